//! Entries of the log that stand beside others: what stations recorded apart and nobody has
//! settled. It is asked of the same answer that lists the disagreements.

use std::collections::BTreeMap;

use bytes::Bytes;
use sponson_proto::answer::v1::{Disagreement, Question};
use sponson_show::clean;

use crate::catalogue::short_event;
use crate::error::CommandError;
use crate::session::Session;

/// What each entry stands beside, by event id.
#[derive(Debug, Default)]
pub(crate) struct Beside(BTreeMap<Bytes, Vec<String>>);

impl Beside {
    /// Asks the service what is open now.
    pub(crate) async fn known(session: &mut Session<'_>) -> Result<Self, CommandError> {
        let reply = session.ask(Question::default()).await?;
        let open = reply.answer.unwrap_or_default().disagreements;
        let mut beside = Self::default();
        for one in &open {
            for side in &one.sides {
                let texts = beside.0.entry(side.event.clone()).or_default();
                texts.push(text(one, &side.event));
            }
        }
        Ok(beside)
    }

    /// Whether an entry stands beside another.
    pub(crate) fn marks(&self, event: &Bytes) -> bool {
        self.0.contains_key(event)
    }

    /// What an entry stands beside, one line for each disagreement.
    pub(crate) fn of(&self, event: &Bytes) -> &[String] {
        self.0.get(event).map_or(&[], Vec::as_slice)
    }
}

fn text(one: &Disagreement, event: &Bytes) -> String {
    let others = one.sides.iter().filter(|side| side.event != *event);
    let others: Vec<String> = others
        .map(|side| {
            let name = short_event(&side.event);
            let station = clean(&side.station);
            format!("{name} ({station}: {})", clean(&side.value))
        })
        .collect();
    format!(
        "{}: {}; {}",
        clean(&one.subject),
        one.text,
        others.join(", ")
    )
}
