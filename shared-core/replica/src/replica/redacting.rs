//! Removing what the lead redacted: contents beside events, never events.
//!
//! The body, its signature and its place in every tree stay, so nothing that was proved becomes
//! unproved. What was removed stays removed: an event that is held is not taken in again, whatever
//! stands beside the copy that comes.

use std::collections::BTreeMap;

use sponson_log::event::SignedEvent;
use sponson_log::ids::EventId;
use sponson_proto::event::v1::Kind;

use super::Replica;
use crate::errors::StoreError;
use crate::store::write::Chunk;
use crate::values::Removed;

/// Whether an event asks that something be removed.
pub(super) fn is_redaction(event: &SignedEvent) -> bool {
    event.header().kind == Kind::Redacted as i32
}

impl Replica {
    /// Removes the rows of all that is redacted by an event that is trusted.
    pub(super) fn drop_redacted(&mut self) -> Result<(), StoreError> {
        let redacted = self
            .index
            .redactions
            .trusted(&self.index.registry, &self.index.chains);
        self.drop_redacted_pictures();
        let mut chunk = Chunk::default();
        for (id, parts) in &redacted {
            let Some(number) = self.index.number(id) else {
                continue;
            };
            for part in parts.keys() {
                if let Some(row) = self.store.beside_row(number, *part)? {
                    chunk.drop_beside(number, *part, &row);
                }
            }
        }
        if chunk.is_empty() {
            return Ok(());
        }
        self.store.write(chunk)
    }

    /// Contents beside an event that were removed by the lead, by position in its header.
    #[must_use]
    pub fn removed(&self, id: &EventId) -> BTreeMap<u16, Removed> {
        let index = &self.index;
        let redacted = index
            .redactions
            .of_event(id, &index.registry, &index.chains);
        let removed = redacted.into_iter().map(|(part, by)| {
            let number = index.number(&by.id());
            let received = number.and_then(|number| index.places.received(number));
            let removed = Removed {
                by: by.id(),
                unix_ms: received.unwrap_or(by.header().clock.unix_ms),
            };
            (part, removed)
        });
        removed.collect()
    }
}
