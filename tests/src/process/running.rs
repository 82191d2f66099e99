//! A process that runs: what it wrote so far, and its end.

use std::io::Read;
use std::process::{Child, Command, ExitStatus, Stdio};
use std::sync::{Arc, Mutex};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use super::{DEADLINE, LOOK_EVERY, signal};

/// How a command ended, and what it wrote.
#[derive(Clone, Debug)]
pub struct Ended {
    /// How it ended.
    pub status: ExitStatus,
    /// Standard output.
    pub out: String,
    /// Standard error.
    pub err: String,
}

impl Ended {
    /// The number it ended with; none when a signal ended it.
    #[must_use]
    pub fn code(&self) -> Option<i32> {
        self.status.code()
    }
}

/// A process that was started, with all that it wrote so far. Dropped, it is killed.
#[derive(Debug)]
pub struct Running {
    child: Child,
    out: Written,
    err: Written,
}

impl Running {
    /// Starts a program of our own.
    ///
    /// # Panics
    /// When the process cannot be started.
    #[must_use]
    pub fn start(mut command: Command) -> Self {
        let mut child = command
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program starts");
        let out = Written::of(child.stdout.take().expect("piped"));
        let err = Written::of(child.stderr.take().expect("piped"));
        Self { child, out, err }
    }

    /// Its process id.
    #[must_use]
    pub fn id(&self) -> u32 {
        self.child.id()
    }

    /// Standard output so far.
    #[must_use]
    pub fn out(&self) -> String {
        self.out.text()
    }

    /// Standard error so far.
    #[must_use]
    pub fn err(&self) -> String {
        self.err.text()
    }

    /// Whether it still runs.
    ///
    /// # Panics
    /// When the system does not say.
    pub fn is_up(&mut self) -> bool {
        self.child.try_wait().expect("our own child").is_none()
    }

    pub(super) fn assert_up(&mut self) {
        assert!(self.is_up(), "it ended: {}{}", self.out(), self.err());
    }

    /// Waits for its end; gives how it ended and all that it wrote.
    ///
    /// # Panics
    /// When it does not end in time.
    #[must_use]
    pub fn wait(self) -> Ended {
        self.wait_within(DEADLINE)
    }

    /// The same with a limit of its own.
    ///
    /// # Panics
    /// When it does not end in time.
    #[must_use]
    pub fn wait_within(mut self, limit: Duration) -> Ended {
        let status = self.ended_within(limit).unwrap_or_else(|| {
            let (out, err) = (self.out(), self.err());
            panic!("not ended within {limit:?}; it wrote {out}{err}");
        });
        self.ended(status)
    }

    pub(super) fn ended_within(&mut self, limit: Duration) -> Option<ExitStatus> {
        let begun = Instant::now();
        loop {
            let status = self.child.try_wait().expect("our own child");
            if status.is_some() || begun.elapsed() > limit {
                return status;
            }
            std::thread::sleep(LOOK_EVERY);
        }
    }

    pub(super) fn ended(mut self, status: ExitStatus) -> Ended {
        Ended {
            status,
            out: self.out.read_to_end(),
            err: self.err.read_to_end(),
        }
    }

    /// Asks it to end with SIGTERM, and waits for its end.
    ///
    /// # Panics
    /// When it cannot be told, or does not end in time.
    #[must_use]
    pub fn terminate(self) -> Ended {
        let told = signal("-TERM", &self.child.id().to_string());
        assert!(told.success(), "SIGTERM could not be sent");
        self.wait()
    }

    /// Asks it to end with SIGTERM, when it has not ended by itself; one that does not end in time
    /// is killed, and what it had written is the error.
    ///
    /// # Errors
    /// When it does not end in time.
    pub fn terminate_within(mut self, limit: Duration) -> Result<Ended, String> {
        if self.is_up() {
            // It may end by itself just now.
            let _ = signal("-TERM", &self.child.id().to_string());
        }
        match self.ended_within(limit) {
            Some(status) => Ok(self.ended(status)),
            None => Err(format!(
                "hangs: not ended within {limit:?}, killed; it wrote {}{}",
                self.out(),
                self.err()
            )),
        }
    }

    /// Ends it with SIGKILL; gives how it ended, which tells whether it had ended by itself.
    ///
    /// # Panics
    /// When it does not end in time.
    #[must_use]
    pub fn kill(mut self) -> Ended {
        self.child.kill().expect("our own child");
        self.wait()
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        // It may have ended already; then there is nothing to do.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// What a process wrote on one pipe.
#[derive(Debug)]
struct Written {
    bytes: Arc<Mutex<Vec<u8>>>,
    reader: Option<JoinHandle<()>>,
}

impl Written {
    fn of(mut pipe: impl Read + Send + 'static) -> Self {
        let bytes = Arc::new(Mutex::new(Vec::new()));
        let kept = Arc::clone(&bytes);
        let reader = std::thread::spawn(move || {
            let mut piece = [0; 4096];
            while let Ok(length @ 1..) = pipe.read(&mut piece) {
                let piece = piece.get(..length).unwrap_or_default();
                kept.lock().expect("no panic").extend_from_slice(piece);
            }
        });
        Self {
            bytes,
            reader: Some(reader),
        }
    }

    fn text(&self) -> String {
        String::from_utf8_lossy(&self.bytes.lock().expect("no panic")).into_owned()
    }

    fn read_to_end(&mut self) -> String {
        if let Some(reader) = self.reader.take() {
            reader.join().expect("no panic");
        }
        self.text()
    }
}
