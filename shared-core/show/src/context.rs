//! What showing needs beside the answer: units, the local time, names of stations.

use std::collections::BTreeMap;

use sponson_readiness::ids::{EventId, SubjectId};
use sponson_readiness::moment::Moment;
use sponson_readiness::standard::{MassUnit, PressureUnit, TemperatureUnit, Units};

use crate::clean::clean;
use crate::units::print;

/// Hexadecimal digits of an event's id that are shown. Among 100,000 events, the chance that any
/// two share these 48 bits is about 1 in 56,000 (100,000² / 2 / 2^48).
pub(crate) const EVIDENCE_DIGITS: usize = 12;

/// How an answer is to be shown.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Context {
    /// The county's units.
    pub units: Units,
    /// Local time, minutes east of UTC.
    pub utc_offset_min: i32,
    /// Names of stations.
    pub stations: BTreeMap<SubjectId, String>,
    /// Who recorded the events that the answer rests on.
    pub witnesses: BTreeMap<EventId, Witness>,
}

/// Who recorded an event, and when.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Witness {
    /// Name of the station; empty for the county.
    pub station: String,
    /// Member number; empty when not given.
    pub member: String,
    /// When it was observed or written, as claimed.
    pub at: Moment,
    /// Why, where whoever recorded it said so; else empty.
    pub why: String,
}

impl Default for Context {
    /// Psi, Fahrenheit, pounds, UTC, no names.
    fn default() -> Self {
        Self {
            units: Units {
                pressure: PressureUnit::Psi,
                temperature: TemperatureUnit::F,
                mass: MassUnit::Lb,
            },
            utc_offset_min: 0,
            stations: BTreeMap::new(),
            witnesses: BTreeMap::new(),
        }
    }
}

impl Context {
    /// Name of a station; the beginning of its id when the name is not known.
    #[must_use]
    pub fn station(&self, id: SubjectId) -> String {
        self.stations.get(&id).map_or_else(
            || format!("station {:.8}", id.to_string()),
            |name| clean(name),
        )
    }

    /// Names of stations, ` / ` between them; more than one when stations differ.
    #[must_use]
    pub fn station_list(&self, ids: &[SubjectId]) -> String {
        if ids.is_empty() {
            return "place not known".to_owned();
        }
        let names: Vec<String> = ids.iter().map(|id| self.station(*id)).collect();
        names.join(" / ")
    }

    /// An event that is evidence: the beginning of its id, and who recorded it when.
    #[must_use]
    pub fn evidence(&self, id: EventId) -> String {
        let short = format!("{:.*}", EVIDENCE_DIGITS, id.to_string());
        let Some(witness) = self.witnesses.get(&id) else {
            return short;
        };
        format!("{short} ({})", self.witness(witness))
    }

    /// Who recorded an event, and when.
    #[must_use]
    pub fn witness(&self, witness: &Witness) -> String {
        let station = if witness.station.is_empty() {
            "county".to_owned()
        } else {
            clean(&witness.station)
        };
        let member = clean(&witness.member);
        let gap = if member.is_empty() { "" } else { ", " };
        format!("{station}{gap}{member}, {}", self.local(witness.at))
    }

    /// A moment in local time, `2026-03-14 08:30`.
    #[must_use]
    pub fn local(&self, moment: Moment) -> String {
        print::local(moment, self.utc_offset_min)
    }

    /// A moment in local time and how long before `now` it was.
    #[must_use]
    pub fn local_and_age(&self, moment: Moment, now: Moment) -> String {
        if !print::is_known(moment) {
            return "a time that is not known".to_owned();
        }
        format!("{} ({})", self.local(moment), print::ago(now.since(moment)))
    }
}
