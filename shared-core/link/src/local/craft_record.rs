//! The record of a craft over the local service: made once, and its file given in pieces.

use sponson_proto::service::v1::{CraftRecordReply, CraftRecordRequest};

use super::Host;
use crate::craft_record::{self, RecordWritten};
use crate::limits::CARRY_CHUNK_BYTES;
use crate::refusal::Refusal;

/// Makes a record and signs it.
pub(super) async fn write(
    host: &Host,
    request: CraftRecordRequest,
) -> Result<RecordWritten, Refusal> {
    let (now, program) = (host.shared.clock().now(), host.version.clone());
    let work = move |replica: &mut _| craft_record::write(replica, &request, &now, &program);
    host.shared.call(work).await?
}

/// A file in pieces, each far below the greatest message.
pub(super) fn pieces(file: Vec<u8>) -> impl Iterator<Item = CraftRecordReply> + Send {
    let file = bytes::Bytes::from(file);
    let starts = (0..file.len()).step_by(CARRY_CHUNK_BYTES);
    starts.map(move |start| CraftRecordReply {
        chunk: file.slice(start..file.len().min(start + CARRY_CHUNK_BYTES)),
    })
}
