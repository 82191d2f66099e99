//! Builds findings: a rule, what it is about, what it does, and where the rule comes from.

use crate::answer::{Action, Effect, Finding, Measure, Required, Rule, Subject, ToDo};
use crate::event::Severity;
use crate::ids::EventId;
use crate::record::Origin;
use crate::standard::Cited;

use super::sides::counts_against;
use super::table;

/// Ages beyond this run from a moment that nobody can show: a thousand years, against some 300
/// million that a subtraction from the end of time gives.
const AGE_MAX_MS: i64 = 1_000 * 366 * 86_400_000;

impl Finding {
    /// A finding from a line of a sheet.
    pub(super) fn cited(
        rule: Rule,
        severity: Severity,
        effect: Effect,
        subject: Subject,
        cited: &Cited,
    ) -> Self {
        Self {
            rule,
            severity,
            effect,
            subject,
            measured: None,
            required: None,
            evidence: Vec::new(),
            basis: cited.basis,
            source: cited.source.clone(),
            to_do: Vec::new(),
        }
    }

    /// A finding of the engine's own, with the source that the engine has for it.
    pub(super) fn own(rule: Rule, severity: Severity, effect: Effect, subject: Subject) -> Self {
        let line = table::line(rule);
        Self {
            rule,
            severity,
            effect,
            subject,
            measured: None,
            required: None,
            evidence: Vec::new(),
            basis: line.basis,
            source: line.source.to_owned(),
            to_do: Vec::new(),
        }
    }

    pub(super) fn measured(mut self, measure: Measure) -> Self {
        self.measured = Some(measure);
        self
    }

    /// An age; left out when the moment it runs from is not known.
    pub(super) fn aged(mut self, age_ms: i64) -> Self {
        self.measured = (age_ms < AGE_MAX_MS).then_some(Measure::SpanMs(age_ms));
        self
    }

    pub(super) fn at_least(mut self, measure: Measure) -> Self {
        self.required = Some(Required {
            low: Some(measure),
            high: None,
        });
        self
    }

    pub(super) fn at_most(mut self, measure: Measure) -> Self {
        self.required = Some(Required {
            low: None,
            high: Some(measure),
        });
        self
    }

    pub(super) fn between(mut self, low: Measure, high: Measure) -> Self {
        self.required = Some(Required {
            low: Some(low),
            high: Some(high),
        });
        self
    }

    pub(super) fn evidence(mut self, events: impl IntoIterator<Item = EventId>) -> Self {
        self.evidence.extend(events);
        self
    }

    pub(super) fn needing(mut self, action: Action, minutes: Option<u32>) -> Self {
        self.to_do.push(ToDo { action, minutes });
        self
    }

    /// The same finding, shown only.
    pub(super) fn noted(mut self) -> Self {
        self.effect = Effect::Note;
        self
    }

    /// The same finding as far as its origin counts against the craft.
    pub(super) fn weighed_by(self, origin: &Origin) -> Self {
        if counts_against(origin) {
            self
        } else {
            self.at_most_unproven()
        }
    }

    /// The same finding when only untrusted events show it: at most 'go and look'.
    pub(super) fn at_most_unproven(mut self) -> Self {
        self.effect = self.effect.min(Effect::Unproven);
        self
    }
}
