//! What the lead dismissed: a whole tail of a chain by one event, as far as it is unconfirmed.

use prost::Message as _;
use sponson_log::chains::Chains;
use sponson_log::event::SignedEvent;
use sponson_log::ids::{EventId, Key};
use sponson_log::registry::Registry;
use sponson_log::trust::{Trust, trust};
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

    /// Whether an event that is not trusted was dismissed by somebody who is.
    pub(crate) fn cover(&self, event: &SignedEvent, registry: &Registry, chains: &Chains) -> bool {
        let header = event.header();
        let Some(chain) = chains.get(&header.key) else {
            return false;
        };
        self.0.iter().any(|it| {
            it.key == header.key
                && chain.on_branch(it.from_seq, &it.from_event, header.seq, &event.id())
                && trust(registry, chains, &it.by) == Trust::Trusted
        })
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
