//! What was reckoned by hand, shown: as JSON (`sponson.reckon/1`, described in `reckon-schema.md`)
//! and as lines for a terminal. Each sort of reckoning has its own file; here is what all share.
//!
//! It reckons nothing itself.

mod air;
mod cylinder;
mod distance;
mod due;
mod hold;
mod leak;
mod load;
mod night;
mod plate;
mod pressure;
mod trend;

use serde::ser::SerializeMap as _;
use serde::{Serialize, Serializer};
use serde_json::Value;

use crate::json;
use crate::table::lines::Lines;

pub use air::{AirAsked, PumpAsked, air};
pub use cylinder::{CylinderAsked, cylinder};
pub use distance::{DistanceFound, distance};
pub use due::{DueAsked, EngineAsked, Hard, due};
pub use hold::{hold, hold_fault_text, hold_lines};
pub use leak::{LeakAsked, leak};
pub use load::load;
pub use night::{NightAsked, night};
pub use plate::{PlateAsked, plate};
pub use pressure::{AirOutside, PressureAsked, pressure};
pub use trend::{TrendAsked, trend};

/// Name and version of the form.
pub const SCHEMA: &str = "sponson.reckon/1";

/// One reckoning, ready to be shown.
#[derive(Clone, Debug, PartialEq)]
pub struct Reckoned {
    /// Which one: the word typed after `reckon`.
    pub what: &'static str,
    /// What was given, by name with the base unit in it, in the order in which it is listed.
    pub given: Vec<(&'static str, Value)>,
    /// What was found, in the same way.
    pub figures: Vec<(&'static str, Value)>,
    /// The findings in words, a line each, the most important first.
    pub lines: Vec<String>,
    /// What was not given and so assumed, a sentence each.
    pub assumed: Vec<String>,
    /// Where the rule comes from: published source, or 'common practice, no source'.
    pub sources: Vec<String>,
}

impl Reckoned {
    /// As JSON, indented, with a newline at its end. No field is left out; figures stand at the
    /// top beside `schema`.
    #[must_use]
    pub fn to_json(&self) -> String {
        json::written(self)
    }

    /// For a terminal: wrapped, further lines of one sentence indented.
    #[must_use]
    pub fn to_terminal(&self) -> String {
        let mut wrapped = Lines::default();
        for line in self.to_text().lines() {
            let text = line.trim_start();
            let indent = line.len() - text.len();
            wrapped.wrapped(&" ".repeat(indent), indent + 4, text);
        }
        wrapped.into_text().trim_end().to_owned()
    }

    /// As text, a line for each sentence.
    #[must_use]
    pub fn to_text(&self) -> String {
        let mut lines = self.lines.clone();
        lines.extend(self.assumed.iter().map(|said| format!("assumed: {said}")));
        lines.extend(self.sources.iter().map(|said| format!("source: {said}")));
        lines.push(crate::caution().to_owned());
        lines.join("\n")
    }
}

impl Serialize for Reckoned {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(None)?;
        map.serialize_entry("schema", SCHEMA)?;
        map.serialize_entry("reckoned", self.what)?;
        map.serialize_entry("given", &Fields(&self.given))?;
        for (name, value) in &self.figures {
            map.serialize_entry(name, value)?;
        }
        map.serialize_entry("assumed", &self.assumed)?;
        map.serialize_entry("sources", &self.sources)?;
        map.serialize_entry("caution", crate::caution())?;
        map.end()
    }
}

struct Fields<'a>(&'a [(&'static str, Value)]);

impl Serialize for Fields<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_map(self.0.iter().map(|(name, value)| (name, value)))
    }
}

/// A figure by its name, for tests.
#[cfg(test)]
fn figure(reckoned: &Reckoned, name: &str) -> Option<f64> {
    let mut figures = reckoned.figures.iter();
    let found = figures.find(|(known, _)| *known == name);
    let (_, value) = found.unwrap_or_else(|| panic!("no figure {name}"));
    value.as_f64()
}
