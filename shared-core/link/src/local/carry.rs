//! Carry files over the local service: bytes in bounded pieces, both ways.

use sponson_log::carry::MAGIC;
use sponson_proto::service::v1::{CarryInReply, CarryInRequest, CarryOutReply};
use sponson_replica::{CarryInError, CarryScope, Kept};
use tokio::runtime::Handle;
use tokio::sync::mpsc;
use tonic::{Code, Status, Streaming};

use crate::limits::{CARRY_BYTES_MAX, CARRY_CHUNK_BYTES, READER_IDLE_MAX};
use crate::refusal::{Refusal, store_failed};
use crate::shared::Shared;

type Piece = Result<CarryOutReply, Status>;

/// Writes a carry file into a stream. A slow reader holds the log up, so one that stands still is
/// given up.
pub(super) fn write(shared: Shared, scope: CarryScope, ahead: usize) -> mpsc::Receiver<Piece> {
    let (sender, receiver) = mpsc::channel(ahead);
    tokio::spawn(async move {
        let now = shared.clock().now().unix_ms;
        let out = sender.clone();
        let runtime = tokio::runtime::Handle::current();
        let written = shared.call(move |replica| {
            let mut pieces = Pieces::new(out, runtime);
            let events = replica.carry_out(scope, now, &mut |bytes| pieces.put(&bytes));
            pieces.flush();
            pieces.reader.map(|_| events)
        });
        let last = match written.await {
            Ok(Some(events)) => Ok(CarryOutReply {
                data: bytes::Bytes::new(),
                events,
            }),
            Ok(None) => Err(too_slow().into()),
            Err(gone) => Err(Refusal::from(gone).into()),
        };
        // A reader that went away wants no end.
        let _ = sender.send(last).await;
    });
    receiver
}

/// Cuts what is written into pieces of at most [`CARRY_CHUNK_BYTES`].
struct Pieces {
    /// None once the reader was given up: what is written then goes nowhere.
    reader: Option<mpsc::Sender<Piece>>,
    runtime: Handle,
    held: Vec<u8>,
}

impl Pieces {
    fn new(sender: mpsc::Sender<Piece>, runtime: Handle) -> Self {
        Self {
            reader: Some(sender),
            runtime,
            held: Vec::with_capacity(CARRY_CHUNK_BYTES),
        }
    }

    fn put(&mut self, mut bytes: &[u8]) {
        while !bytes.is_empty() {
            let room = CARRY_CHUNK_BYTES - self.held.len();
            let (now, later) = bytes.split_at(room.min(bytes.len()));
            self.held.extend_from_slice(now);
            bytes = later;
            if self.held.len() == CARRY_CHUNK_BYTES {
                self.flush();
            }
        }
    }

    fn flush(&mut self) {
        if self.held.is_empty() {
            return;
        }
        let data = std::mem::take(&mut self.held).into();
        let Some(reader) = &self.reader else {
            return;
        };
        let piece = Ok(CarryOutReply { data, events: 0 });
        // On a thread for blocking work, so that waiting here holds up no other task.
        let sent = self
            .runtime
            .block_on(async { tokio::time::timeout(READER_IDLE_MAX, reader.send(piece)).await });
        if !matches!(sent, Ok(Ok(()))) {
            self.reader = None;
        }
    }
}

fn too_slow() -> Refusal {
    Refusal::new(
        Code::DeadlineExceeded,
        "READER_TOO_SLOW",
        format!(
            "nobody read the carry file for {} seconds",
            READER_IDLE_MAX.as_secs()
        ),
        "the file is not whole: delete it and write it again",
    )
}

/// Reads a carry file from a stream, whole, and takes it in.
pub(super) async fn read(
    shared: &Shared,
    mut pieces: Streaming<CarryInRequest>,
) -> Result<CarryInReply, Status> {
    let mut file = Vec::new();
    while let Some(piece) = pieces.message().await? {
        if file.len() + piece.data.len() > CARRY_BYTES_MAX {
            return Err(Refusal::new(
                Code::InvalidArgument,
                "CARRY_FILE_TOO_LONG",
                format!("the carry file has more than {CARRY_BYTES_MAX} bytes, the most taken in"),
                "carry only what is new, or sync over the network",
            )
            .into());
        }
        file.extend_from_slice(&piece.data);
        if file.len() >= MAGIC.len() && !file.starts_with(MAGIC) {
            // Another sort of file: no more of it is needed to say so.
            break;
        }
    }
    let now = shared.clock().now().unix_ms;
    let kept = shared
        .call(move |replica| replica.carry_in(&file, now))
        .await
        .map_err(Refusal::from)?
        .map_err(refused)?;
    Ok(reply(&kept))
}

fn refused(error: CarryInError) -> Refusal {
    let what = error.to_string();
    let reason = match error {
        CarryInError::Store(store) => return store_failed(&store),
        CarryInError::OtherCounty { .. } => "OTHER_COUNTY",
        CarryInError::File(_) | CarryInError::Record { .. } => "CARRY_FILE_REFUSED",
    };
    Refusal::new(Code::InvalidArgument, reason, what, "nothing was kept")
}

fn reply(kept: &Kept) -> CarryInReply {
    let (new, refused) = (kept.new.len() as u64, kept.refused.len() as u64);
    CarryInReply {
        events: new + kept.held + refused,
        new_events: new,
        refused,
        refusals: kept
            .refused
            .iter()
            .map(|refused| format!("event {}: {}", refused.id, refused.detail))
            .collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test(start_paused = true)]
    async fn a_reader_that_stands_still_is_given_up() {
        let (sender, mut receiver) = mpsc::channel(1);
        let runtime = Handle::current();
        let writing = tokio::task::spawn_blocking(move || {
            let mut pieces = Pieces::new(sender, runtime);
            pieces.put(&vec![7; 3 * CARRY_CHUNK_BYTES + 5]);
            pieces.flush();
            pieces.reader.is_some()
        });
        // The runtime does not move a paused clock while work blocks; this does.
        tokio::time::advance(READER_IDLE_MAX).await;
        while !writing.is_finished() {
            tokio::time::advance(READER_IDLE_MAX).await;
            tokio::task::yield_now().await;
        }
        assert!(!writing.await.expect("no panic"), "given up");
        let first = receiver.recv().await.expect("a piece").expect("data");
        assert_eq!(first.data.len(), CARRY_CHUNK_BYTES);
        assert!(receiver.recv().await.is_none());
    }
}
