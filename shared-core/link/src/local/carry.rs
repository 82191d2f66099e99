//! Carry files over the local service: bytes in bounded pieces, both ways.

use sponson_proto::service::v1::{CarryInReply, CarryInRequest, CarryOutReply};
use sponson_replica::{CarryInError, CarryScope, Kept};
use tokio::sync::mpsc;
use tonic::{Code, Status, Streaming};

use crate::limits::{CARRY_BYTES_MAX, CARRY_CHUNK_BYTES};
use crate::refusal::{Refusal, store_failed};
use crate::shared::Shared;

type Piece = Result<CarryOutReply, Status>;

/// Writes a carry file into a stream; a slow reader holds the writer up.
pub(super) fn write(shared: Shared, scope: CarryScope, ahead: usize) -> mpsc::Receiver<Piece> {
    let (sender, receiver) = mpsc::channel(ahead);
    tokio::spawn(async move {
        let now = shared.clock().now().unix_ms;
        let out = sender.clone();
        let written = shared.call(move |replica| {
            let mut pieces = Pieces::new(out);
            let events = replica.carry_out(scope, now, &mut |bytes| pieces.put(&bytes));
            pieces.flush();
            events
        });
        let last = match written.await {
            Ok(events) => Ok(CarryOutReply {
                data: bytes::Bytes::new(),
                events,
            }),
            Err(gone) => Err(Refusal::from(gone).into()),
        };
        // A reader that went away wants no end.
        let _ = sender.send(last).await;
    });
    receiver
}

/// Cuts what is written into pieces of at most [`CARRY_CHUNK_BYTES`].
struct Pieces {
    sender: mpsc::Sender<Piece>,
    held: Vec<u8>,
}

impl Pieces {
    fn new(sender: mpsc::Sender<Piece>) -> Self {
        Self {
            sender,
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
        // On a thread for blocking work. A reader that went away gets the rest of nothing.
        let _ = self
            .sender
            .blocking_send(Ok(CarryOutReply { data, events: 0 }));
    }
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
    Refusal::new(
        Code::InvalidArgument,
        reason,
        what,
        "nothing of the file was kept",
    )
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
