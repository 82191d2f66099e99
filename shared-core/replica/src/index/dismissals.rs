//! What the lead dismissed: a whole tail of a chain by one event, as far as it is unconfirmed.

use std::collections::BTreeSet;

use prost::Message as _;
use sponson_log::chains::Chains;
use sponson_log::event::SignedEvent;
use sponson_log::ids::{EventId, Key};
use sponson_log::registry::Registry;
use sponson_log::trust::{Stands, Trust, Unconfirmed, trust, trust_at};
use sponson_proto::event::v1::{self as wire, Kind};

/// Dismissals that are held, whoever signed them.
#[derive(Debug, Default)]
pub(crate) struct Dismissals(Vec<Dismissal>);

/// One dismissal.
#[derive(Clone, Debug)]
struct Dismissal {
    by: SignedEvent,
    key: Key,
    from_seq: u64,
    from_event: EventId,
}

impl Dismissals {
    /// Takes an event; says whether it dismisses anything now.
    pub(super) fn add(
        &mut self,
        event: &SignedEvent,
        registry: &Registry,
        chains: &Chains,
    ) -> bool {
        let Some(dismissal) = read(event) else {
            return false;
        };
        self.0.push(dismissal);
        trust(registry, chains, event) == Trust::Trusted
    }

    /// Those whose events count.
    pub(super) fn only(&self, counts: impl Fn(&EventId) -> bool) -> Self {
        let counted = self.0.iter().filter(|it| counts(&it.by.id()));
        Self(counted.cloned().collect())
    }

    /// Whether an event that is not trusted was dismissed by somebody who is. What a parting alone
    /// puts in doubt is not covered until the lead ends the key: else whoever holds a copy of a
    /// device could make its faults vanish by parting the chain under an older dismissal.
    pub(crate) fn cover(&self, stands: &Stands, registry: &Registry, chains: &Chains) -> bool {
        let Some(chain) = chains.get(&stands.key) else {
            return false;
        };
        let parted = Trust::Unconfirmed(Unconfirmed::Parted);
        let mut covers = self.0.iter().filter(|it| it.key == stands.key).peekable();
        if covers.peek().is_none() || trust_at(registry, chains, stands) == parted {
            return false;
        }
        covers.any(|it| {
            chain.on_branch(it.from_seq, &it.from_event, stands.seq, &stands.id)
                && trust(registry, chains, &it.by) == Trust::Trusted
        })
    }
}

impl Dismissals {
    /// Keys of which anything was said to be dismissed, by whomever.
    pub(crate) fn keys(&self) -> BTreeSet<Key> {
        self.0.iter().map(|it| it.key).collect()
    }

    /// Number of the newest trusted dismissal that covers what stands at a place.
    pub(crate) fn newest_over(
        &self,
        stands: &Stands,
        registry: &Registry,
        chains: &Chains,
        number: impl Fn(&EventId) -> Option<u64>,
    ) -> Option<u64> {
        let chain = chains.get(&stands.key)?;
        let covering = self.0.iter().filter(|it| {
            it.key == stands.key
                && chain.on_branch(it.from_seq, &it.from_event, stands.seq, &stands.id)
                && trust(registry, chains, &it.by) == Trust::Trusted
        });
        covering.filter_map(|it| number(&it.by.id())).max()
    }
}

fn read(event: &SignedEvent) -> Option<Dismissal> {
    let header = event.header();
    if header.kind != Kind::Dismissed as i32 || header.kind_version != 1 {
        return None;
    }
    let message = wire::Dismissed::decode(event.payload().clone()).ok()?;
    Some(Dismissal {
        key: Key::parse("key", &message.key).ok()?,
        from_seq: message.from_seq,
        from_event: EventId::parse("from_event", &message.from_event).ok()?,
        by: event.clone(),
    })
}
