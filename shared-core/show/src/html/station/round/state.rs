//! A round as it stands, for its script: what was entered by whom, what was reckoned, what is asked
//! back. The words are those of the page.

use std::collections::BTreeMap;

use serde::Serialize;

use super::{Round, names, said};
use crate::clean::clean;

/// A round as it stands.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct RoundState {
    /// How many entries there were: higher is later.
    pub entries: u64,
    /// Text by field.
    pub fields: BTreeMap<String, String>,
    /// What stands beneath each line of which anything is known.
    pub lines: BTreeMap<String, LineState>,
}

/// What stands beneath a line.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct LineState {
    /// What was reckoned.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub figures: Vec<String>,
    /// What is asked back.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub asked: Vec<AskedState>,
    /// Who entered it and when.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub by: Option<String>,
}

/// Something that is asked back.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct AskedState {
    /// In words.
    pub text: String,
    /// The field that stands by it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub affirm: Option<String>,
}

/// A round as it stands.
#[must_use]
pub fn round_state(round: &Round<'_>) -> RoundState {
    let mut lines: BTreeMap<String, LineState> = BTreeMap::new();
    for field in round.fields.keys() {
        let line = names::line_of_field(field);
        if !lines.contains_key(line) {
            let by = said::who(round, line);
            lines.insert(
                line.to_owned(),
                LineState {
                    by,
                    ..LineState::default()
                },
            );
        }
    }
    for (line, figures) in round.figures {
        let figures = figures.iter().map(|text| clean(text)).collect();
        lines.entry(line.clone()).or_default().figures = figures;
    }
    for one in round.asked {
        let line = names::line_of_field(&one.field).to_owned();
        lines.entry(line).or_default().asked.push(AskedState {
            text: clean(&one.text),
            affirm: one.affirm.clone(),
        });
    }
    let fields = round.fields.iter();
    RoundState {
        entries: round.entries,
        fields: fields
            .map(|(name, entry)| (name.clone(), entry.text.clone()))
            .collect(),
        lines,
    }
}
