//! What stands in the fields of a form, and what is wrong with it.
//!
//! It reads no value: whoever takes a question in does, and says what was refused.

use std::collections::BTreeMap;

/// Values of a form as they came, by name of the field, and what was refused.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FormValues {
    values: BTreeMap<String, Vec<String>>,
    faults: Vec<Fault>,
}

/// Why a field was refused.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Name of the field, with or without leading dashes; empty when it is about no one field.
    pub field: String,
    /// What is wrong, with the value, the limit and what to do.
    pub text: String,
}

impl FormValues {
    /// The values of a query string or a form, in the order in which they came.
    #[must_use]
    pub fn of<N: Into<String>, V: Into<String>>(pairs: impl IntoIterator<Item = (N, V)>) -> Self {
        let mut values: BTreeMap<String, Vec<String>> = BTreeMap::new();
        for (name, value) in pairs {
            values.entry(name.into()).or_default().push(value.into());
        }
        Self {
            values,
            faults: Vec::new(),
        }
    }

    /// The same, with what was refused.
    #[must_use]
    pub fn refused(self, faults: Vec<Fault>) -> Self {
        Self { faults, ..self }
    }

    /// Everything that was refused.
    #[must_use]
    pub fn faults(&self) -> &[Fault] {
        &self.faults
    }

    pub(super) fn first(&self, field: &str) -> &str {
        let all = self.values.get(field);
        all.and_then(|all| all.first())
            .map_or("", |value| value.as_str())
    }

    /// The first value of a field that is of a kind; empty when none is.
    pub(super) fn find(&self, field: &str, is: impl Fn(&str) -> bool) -> &str {
        let mut all = self.values.get(field).into_iter().flatten();
        all.find(|value| is(value))
            .map_or("", |value| value.as_str())
    }

    pub(super) fn has(&self, field: &str, value: &str) -> bool {
        let all = self.values.get(field);
        all.is_some_and(|all| all.iter().any(|one| one == value))
    }

    /// Whether anything stands in one of these fields.
    pub(super) fn any(&self, fields: &[&str]) -> bool {
        let filled = |field: &&str| self.values.get(*field).is_some_and(|all| !all.is_empty());
        let mut fields = fields.iter();
        fields.any(|field| filled(field) && !self.first(field).trim().is_empty())
    }

    pub(super) fn fault(&self, field: &str) -> Option<&str> {
        let mut faults = self.faults.iter();
        faults.find(|fault| fault.name() == field).map(Fault::words)
    }
}

impl Fault {
    /// What is wrong, without the dashes of a flag before the field's name.
    pub(super) fn words(&self) -> &str {
        self.text.trim_start_matches('-')
    }

    /// The field without dashes.
    pub(super) fn name(&self) -> &str {
        self.field.trim_start_matches('-')
    }
}
