//! What showing needs beside the answer: units, the local time, names of stations.

use std::collections::BTreeMap;

use sponson_readiness::ids::SubjectId;
use sponson_readiness::moment::Moment;
use sponson_readiness::standard::{MassUnit, PressureUnit, TemperatureUnit, Units};

use crate::clean::clean;
use crate::units::print;

/// How an answer is to be shown.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Context {
    /// The county's units.
    pub units: Units,
    /// Local time, minutes east of UTC.
    pub utc_offset_min: i32,
    /// Names of stations.
    pub stations: BTreeMap<SubjectId, String>,
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
