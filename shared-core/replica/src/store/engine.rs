//! The engine, with a limit on how long it may take.
//!
//! It may wait for ever for a write that failed in one of its own threads. So whatever waits for
//! the disk (opening, writing, flushing, closing) is done in a thread of its own; when that is not
//! back in time, the engine is left to it and never called again, and the process can go on to say
//! so and end. So is reading the whole store at its start. Single rows are read by the caller: that
//! waits for nothing but a write, and every write here is waited for before the next call. Knows
//! nothing of what rows mean.

use std::fs::File;
use std::panic::AssertUnwindSafe;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{RecvTimeoutError, sync_channel};
use std::time::Duration;

use super::folder::panic_text;
use super::write::{Row, WriteFailed};

/// Within this a disk answers that answers at all: half the 30 s that a call to the county may
/// take, so that whoever waits is told; and 30 times the half second for which a memory card may
/// be busy with itself (SD specification, from memory).
pub(super) const ANSWERS_WITHIN: Duration = Duration::from_secs(15);

/// What the slowest disk still writes in a second, bytes: a sixteenth of the 2 MB/s of the slowest
/// class of memory card, since the engine does not write in one sweep.
const SLOWEST_BYTES_S: u64 = 128 * 1024;

/// How long something of so many bytes may take.
pub(crate) fn limit_for(bytes: u64) -> Duration {
    ANSWERS_WITHIN + Duration::from_secs(bytes / SLOWEST_BYTES_S)
}

/// Why work did not come back.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub(crate) enum Stuck {
    /// Not within the limit. It may still be under way.
    #[error("the disk did not answer within {} s", .0.as_secs_f32())]
    NoAnswer(Duration),
    /// It ended unexpectedly.
    #[error("the store engine met an unexpected fault: {0}")]
    Panicked(String),
    /// The system gave no thread for it.
    #[error("the system gave no thread for it: {0}")]
    NoThread(String),
}

/// Does work that may wait for the disk, for no longer than a limit.
pub(crate) fn within<T: Send + 'static>(
    limit: Duration,
    work: impl FnOnce() -> T + Send + 'static,
) -> Result<T, Stuck> {
    let (done, waits) = sync_channel(1);
    let working = move || {
        let outcome = std::panic::catch_unwind(AssertUnwindSafe(work));
        // Nobody may wait any longer.
        let _ = done.send(outcome.map_err(|panic| panic_text(panic.as_ref())));
    };
    let thread = std::thread::Builder::new().name("store".to_owned());
    thread
        .spawn(working)
        .map_err(|error| Stuck::NoThread(error.to_string()))?;
    match waits.recv_timeout(limit) {
        Ok(outcome) => outcome.map_err(Stuck::Panicked),
        Err(RecvTimeoutError::Timeout) => Err(Stuck::NoAnswer(limit)),
        Err(RecvTimeoutError::Disconnected) => Err(Stuck::Panicked("it ended".to_owned())),
    }
}

/// An open engine.
#[derive(Debug)]
pub(super) struct Engine {
    held: Option<Held>,
    /// A call did not come back: whoever calls again may wait for ever.
    stuck: AtomicBool,
}

/// What closing gives back, in this order: the engine first, then the lock of the folder.
#[derive(Debug)]
struct Held {
    db: sled::Db,
    file: Arc<File>,
    _lock: Option<File>,
}

impl Engine {
    /// An engine that was opened, its file, and what keeps others out for as long.
    pub(super) fn new(db: sled::Db, file: File, lock: Option<File>) -> Self {
        let held = Held {
            db,
            file: Arc::new(file),
            _lock: lock,
        };
        Self {
            held: Some(held),
            stuck: AtomicBool::new(false),
        }
    }

    /// For reading: never once a call did not come back.
    pub(super) fn reading(&self) -> Result<&sled::Db, sled::Error> {
        let held = self.held.as_ref();
        let held = held.filter(|_| !self.stuck.load(Ordering::Relaxed));
        held.map(|held| &held.db).ok_or_else(|| {
            let what = "the disk did not answer earlier: look at it and start again";
            sled::Error::Io(std::io::Error::other(what))
        })
    }

    /// Hands a batch over.
    pub(super) fn write(&self, batch: Vec<Row>) -> Result<(), WriteFailed> {
        let mut whole = sled::Batch::default();
        let mut bytes = 0_u64;
        for (key, value) in batch {
            bytes += (key.len() + value.as_ref().map_or(0, Vec::len)) as u64;
            match value {
                Some(value) => whole.insert(key, value),
                None => whole.remove(key),
            }
        }
        self.call(limit_for(bytes), move |db, _| {
            db.apply_batch(whole).map_err(|error| error.to_string())
        })
    }

    /// Hands everything to the system.
    pub(super) fn flush(&self) -> Result<(), WriteFailed> {
        self.call(ANSWERS_WITHIN, |db, _| {
            db.flush().map(drop).map_err(|error| error.to_string())
        })
    }

    /// Makes everything survive a power cut.
    pub(super) fn sync(&self) -> Result<(), WriteFailed> {
        // In this order: the engine's flush only hands the bytes to the system.
        self.flush()?;
        self.call(ANSWERS_WITHIN, |_, file| {
            file.sync_data().map_err(|error| error.to_string())
        })
    }

    fn call(
        &self,
        limit: Duration,
        work: impl FnOnce(&sled::Db, &File) -> Result<(), String> + Send + 'static,
    ) -> Result<(), WriteFailed> {
        let db = self.reading().map_err(|error| error.to_string());
        let db = db.map_err(WriteFailed::Refused)?.clone();
        let Some(file) = self.held.as_ref().map(|held| Arc::clone(&held.file)) else {
            return Err(WriteFailed::Refused("the store is closed".to_owned()));
        };
        match within(limit, move || work(&db, &file)) {
            Ok(done) => done.map_err(WriteFailed::Refused),
            Err(stuck) => {
                self.stuck.store(true, Ordering::Relaxed);
                Err(WriteFailed::NoAnswer(stuck.to_string()))
            }
        }
    }
}

impl Drop for Engine {
    fn drop(&mut self) {
        let Some(held) = self.held.take() else {
            return;
        };
        if *self.stuck.get_mut() {
            // Closing would wait for the call that did not come back. The lock stays, too: nobody
            // opens the folder while this process may still write to it.
            std::mem::forget(held);
        } else if let Err(stuck) = within(ANSWERS_WITHIN, move || drop(held)) {
            tracing::error!("the store was not closed: {stuck}; look at the disk");
        }
    }
}

#[cfg(test)]
mod tests {
    use std::sync::mpsc::channel;

    use super::super::folder::{self, Wanted};
    use super::*;
    use crate::errors::OpenError;

    const SHORT: Duration = Duration::from_millis(20);

    #[test]
    fn what_never_comes_back_is_left() {
        let (_never, waits) = channel::<()>();
        let stuck = within(SHORT, move || waits.recv());
        let stuck = stuck.expect_err("it waits for ever");
        assert_eq!(stuck, Stuck::NoAnswer(SHORT));
        insta::assert_snapshot!(stuck, @"the disk did not answer within 0.02 s");
    }

    #[test]
    fn what_comes_back_is_given_and_a_panic_is_said() {
        assert_eq!(within(ANSWERS_WITHIN, || 7), Ok(7));
        let stuck = within(ANSWERS_WITHIN, || -> u8 { panic!("no page") });
        assert_eq!(stuck, Err(Stuck::Panicked("no page".to_owned())));
    }

    /// Nothing of an engine that is stuck is waited for: not the next call, not reading, not its
    /// end. The folder stays locked for as long as the stuck call may still write to it.
    #[test]
    fn a_stuck_engine_is_never_called_again() {
        let folder = tempfile::tempdir().expect("a folder");
        let engine = folder::open(folder.path(), Wanted::New).expect("a new store");
        let (_never, waits) = channel::<()>();
        let failed = engine.call(SHORT, move |_, _| waits.recv().map_err(|it| it.to_string()));
        let said = "the disk did not answer within 0.02 s".to_owned();
        assert_eq!(failed, Err(WriteFailed::NoAnswer(said)));
        let refused = engine.reading().expect_err("it might wait for ever");
        assert!(refused.to_string().contains("the disk did not answer"));
        for again in [engine.write(Vec::new()), engine.sync()] {
            assert!(matches!(again, Err(WriteFailed::Refused(_))), "{again:?}");
        }
        drop(engine);
        let locked = folder::open(folder.path(), Wanted::Existing);
        assert!(matches!(locked, Err(OpenError::InUse(_))), "{locked:?}");
    }

    #[test]
    fn more_bytes_may_take_longer() {
        assert_eq!(limit_for(0), ANSWERS_WITHIN);
        assert_eq!(limit_for(1024 * 1024), Duration::from_secs(23));
    }
}
