//! What the lead redacted: contents beside an event that no replica keeps any more.
//!
//! Only a redaction that is trusted counts: what nobody vouches for neither relieves nor destroys.
//! The rows are removed elsewhere; what went while a redaction was trusted does not come back when
//! its key is ended afterwards.

use std::collections::{BTreeMap, BTreeSet};

use prost::Message as _;
use sponson_log::chains::Chains;
use sponson_log::event::SignedEvent;
use sponson_log::ids::EventId;
use sponson_log::registry::Registry;
use sponson_log::trust::{Trust, trust};
use sponson_proto::event::v1::{self as wire, Kind};

/// Redactions that are held, whoever signed them.
#[derive(Debug, Default)]
pub(crate) struct Redactions(Vec<Redaction>);

/// One redaction.
#[derive(Debug)]
struct Redaction {
    by: SignedEvent,
    of: EventId,
    parts: BTreeSet<u16>,
}

impl Redactions {
    /// Takes an event.
    pub(super) fn add(&mut self, event: &SignedEvent) {
        self.0.extend(read(event));
    }

    /// Redacted contents by event, each with the first redaction kept here that took it.
    pub(crate) fn trusted(
        &self,
        registry: &Registry,
        chains: &Chains,
    ) -> BTreeMap<EventId, BTreeMap<u16, &SignedEvent>> {
        let mut redacted: BTreeMap<EventId, BTreeMap<u16, &SignedEvent>> = BTreeMap::new();
        for it in &self.0 {
            if trust(registry, chains, &it.by) == Trust::Trusted {
                let of_event = redacted.entry(it.of).or_default();
                for part in &it.parts {
                    of_event.entry(*part).or_insert(&it.by);
                }
            }
        }
        redacted
    }

    /// Redacted contents of one event.
    pub(crate) fn of_event(
        &self,
        id: &EventId,
        registry: &Registry,
        chains: &Chains,
    ) -> BTreeMap<u16, &SignedEvent> {
        let mut redacted = BTreeMap::new();
        for it in self.0.iter().filter(|it| it.of == *id) {
            if trust(registry, chains, &it.by) == Trust::Trusted {
                for part in &it.parts {
                    redacted.entry(*part).or_insert(&it.by);
                }
            }
        }
        redacted
    }
}

fn read(event: &SignedEvent) -> Option<Redaction> {
    let header = event.header();
    if header.kind != Kind::Redacted as i32 || header.kind_version != 1 {
        return None;
    }
    let message = wire::Redacted::decode(event.payload().clone()).ok()?;
    let parts = message.parts.iter();
    Some(Redaction {
        of: EventId::parse("event", &message.event).ok()?,
        parts: parts.filter_map(|part| u16::try_from(*part).ok()).collect(),
        by: event.clone(),
    })
}
