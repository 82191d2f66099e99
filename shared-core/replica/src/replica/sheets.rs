//! Boat standards and the policy as values: parsed once for each text that the registry adopted.

use std::collections::BTreeMap;

use sponson_log::ids::EventId;
use sponson_log::registry::{Registry, StandardText};
use sponson_readiness::engine::NotUnderstood;
use sponson_readiness::ids::{LineId, ModelId};
use sponson_readiness::standard::{Policy, Standard};

use crate::index::Index;
use crate::parse::to_trade_event;

/// The newest sheet of each model and the policy in force.
#[derive(Debug)]
pub(super) struct Sheets {
    standards: BTreeMap<ModelId, Standard>,
    policy: Policy,
    not_read: NotUnderstood,
    of: (Vec<EventId>, Option<EventId>),
}

impl Sheets {
    /// Reads what the registry says.
    pub(super) fn read(registry: &Registry) -> Self {
        let mut not_read = NotUnderstood::default();
        let mut standards: BTreeMap<ModelId, Standard> = BTreeMap::new();
        for (id, text) in newest(registry).into_values() {
            if let Some((model, sheet)) = read_standard((id, text)) {
                standards.insert(model, sheet);
            } else {
                let model = ModelId::from(text.model.as_str());
                not_read.sheets.insert(model, to_trade_event(id));
            }
        }
        for (id, text) in registry.standards() {
            let model = ModelId::from(text.model.as_str());
            let Some(newest) = standards.get_mut(&model) else {
                continue;
            };
            // One that cannot be read any more tells nothing of its lines.
            for line in read_standard((*id, text))
                .into_iter()
                .flat_map(|it| lines(&it.1))
            {
                let first = newest.first_in.entry(line).or_insert(text.revision);
                *first = text.revision.min(*first);
            }
        }
        let policy = match registry.policy() {
            Some((id, text)) => read_policy(*id, text, &mut not_read),
            None => built_in_policy(),
        };
        Self {
            of: texts(registry),
            standards,
            policy,
            not_read,
        }
    }

    /// What of the log is not understood, beside what records hold themselves.
    pub(super) fn not_understood(&self, index: &Index) -> NotUnderstood {
        let mut not_understood = self.not_read.clone();
        let entries = index.not_understood();
        not_understood.entries.extend(entries);
        not_understood
    }

    /// Brings the values up to what the registry says.
    pub(super) fn refresh(&mut self, registry: &Registry) {
        if self.of != texts(registry) {
            *self = Self::read(registry);
        }
    }

    /// The newest sheet of each model, as far as this program can read it.
    pub(super) const fn standards(&self) -> &BTreeMap<ModelId, Standard> {
        &self.standards
    }

    /// The policy in force, or the one that comes with the program.
    pub(super) const fn policy(&self) -> &Policy {
        &self.policy
    }
}

type Newest<'a> = BTreeMap<&'a str, (EventId, &'a StandardText)>;

/// Older revisions too: they tell since when a line is asked.
fn texts(registry: &Registry) -> (Vec<EventId>, Option<EventId>) {
    (
        registry.standards().keys().copied().collect(),
        registry.policy().map(|policy| policy.0),
    )
}

/// Lines that a check answers.
fn lines(sheet: &Standard) -> Vec<LineId> {
    let items = sheet.items.iter().map(|item| item.id.clone());
    let questions = sheet.questions.iter().map(|line| line.id.clone());
    items.chain(questions).collect()
}

/// The highest revision of each model; of two with one revision the one with the greater id.
fn newest(registry: &Registry) -> Newest<'_> {
    let mut newest = Newest::new();
    for (id, text) in registry.standards() {
        let held = newest.entry(&text.model).or_insert((*id, text));
        if held.1.revision <= text.revision {
            *held = (*id, text);
        }
    }
    newest
}

/// A sheet that cannot be read leaves its model without a standard: an older revision would judge
/// by rules that the lead has replaced.
fn read_standard((id, text): (EventId, &StandardText)) -> Option<(ModelId, Standard)> {
    match Standard::parse(&text.text) {
        Ok(sheet) if sheet.model.as_str() == text.model => Some((sheet.model.clone(), sheet)),
        Ok(sheet) => {
            tracing::warn!(standard.event = %id, "sheet for {} is for {}", text.model, sheet.model);
            None
        }
        Err(error) => {
            tracing::warn!(standard.event = %id, "sheet for {} cannot be read: {error}", text.model);
            None
        }
    }
}

/// The policy in force. One that cannot be read holds every craft: the built-in one, which stands in
/// for it, may ask for less.
fn read_policy(id: EventId, text: &str, not_read: &mut NotUnderstood) -> Policy {
    match Policy::parse(text) {
        Ok(policy) => policy,
        Err(error) => {
            tracing::warn!(policy.event = %id, "policy cannot be read: {error}");
            not_read.entries.insert(to_trade_event(id));
            built_in_policy()
        }
    }
}

#[expect(
    clippy::expect_used,
    reason = "the text is part of the program, and a test of its crate reads it"
)]
fn built_in_policy() -> Policy {
    Policy::parse(Policy::default_text()).expect("the built-in policy can be read")
}
