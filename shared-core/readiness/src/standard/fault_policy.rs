//! The county's settings about faults: who signs them off, when they are reported, how long a glued
//! repair rests.

use serde::Deserialize;

use super::quantity::Spot;
use super::{Cited, StandardError};
use crate::answer::Basis;

/// Settings about faults and repairs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FaultPolicy {
    /// Whether whoever repaired a disabling fault may sign it off. Default: yes.
    pub repairer_signs_off: bool,
    /// Reporting times; none when the county does not go by them, which is the default.
    pub reporting: Option<Reporting>,
    /// Rests after glued repairs.
    pub cures: Vec<Cure>,
}

/// Reporting times of the government boat practice (Defender handbook p. 5-3).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Reporting {
    /// A restrictive fault that is not over after so long is reported, seconds. A disabling one is
    /// at once.
    pub restrictive_s: u32,
    /// Not repaired after so long it is a case for a casualty report, seconds.
    pub casualty_s: u32,
    /// Within so long of the casualty that report is made, seconds.
    pub within_s: u32,
}

/// How long a repair rests.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cure {
    /// Methods of repair, as they are recorded.
    pub methods: Vec<String>,
    /// Fabrics; empty for any.
    pub fabrics: Vec<String>,
    /// Not inflated before, seconds.
    pub inflate_s: u32,
    /// Not in the water before, seconds.
    pub launch_s: u32,
    /// Source.
    pub cited: Cited,
}

/// The settings as written; what is not there means the default.
#[derive(Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct Raw {
    repairer_signs_off: bool,
    reporting: Option<RawReporting>,
    cure: Vec<RawCure>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawReporting {
    on: bool,
    restrictive_after: String,
    casualty_after: String,
    casualty_within: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawCure {
    methods: Vec<String>,
    #[serde(default)]
    fabrics: Vec<String>,
    no_inflate: String,
    no_launch: String,
    basis: Basis,
    source: String,
}

impl Default for Raw {
    fn default() -> Self {
        Self {
            repairer_signs_off: true,
            reporting: None,
            cure: Vec::new(),
        }
    }
}

impl Raw {
    pub(super) fn read(self) -> Result<FaultPolicy, StandardError> {
        let reporting = self.reporting.filter(|reporting| reporting.on);
        Ok(FaultPolicy {
            repairer_signs_off: self.repairer_signs_off,
            reporting: reporting.map(RawReporting::read).transpose()?,
            cures: self
                .cure
                .into_iter()
                .map(RawCure::read)
                .collect::<Result<_, _>>()?,
        })
    }
}

impl RawReporting {
    fn read(self) -> Result<Reporting, StandardError> {
        let time = |field, text: &str| {
            let place = "faults.reporting";
            Spot { place, field }.time_s(text)
        };
        Ok(Reporting {
            restrictive_s: time("restrictive_after", &self.restrictive_after)?,
            casualty_s: time("casualty_after", &self.casualty_after)?,
            within_s: time("casualty_within", &self.casualty_within)?,
        })
    }
}

impl RawCure {
    fn read(self) -> Result<Cure, StandardError> {
        let spot = |field| Spot {
            place: "faults.cure",
            field,
        };
        if self.methods.is_empty() {
            return Err(spot("methods").refuse("none", "name at least one method of repair"));
        }
        if self.source.trim().is_empty() {
            return Err(spot("source").refuse("empty", "say where the times come from"));
        }
        Ok(Cure {
            inflate_s: spot("no_inflate").time_s(&self.no_inflate)?,
            launch_s: spot("no_launch").time_s(&self.no_launch)?,
            methods: self.methods,
            fabrics: self.fabrics,
            cited: Cited {
                basis: self.basis,
                source: self.source,
            },
        })
    }
}

impl FaultPolicy {
    /// Rests that a repair by a method wants on a fabric; on one that is not known, all that any
    /// fabric wants.
    pub fn cures_of<'a>(
        &'a self,
        method: &'a str,
        fabric: &'a str,
    ) -> impl Iterator<Item = &'a Cure> {
        let named = |words: &[String], word: &str| {
            let mut words = words.iter();
            words.any(|one| one.trim().eq_ignore_ascii_case(word.trim()))
        };
        self.cures.iter().filter(move |cure| {
            let fits =
                cure.fabrics.is_empty() || fabric.trim().is_empty() || named(&cure.fabrics, fabric);
            fits && named(&cure.methods, method)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::{FaultPolicy, Raw};
    use crate::standard::Policy;

    const HOUR_S: u32 = 3_600;

    /// Source: Zodiac PVC glue page, 24 h before inflating and 72 h before water; Avon kit, 12 h
    /// (TM 55-1905-223-24-18-1).
    #[test]
    fn glue_rests_by_its_fabric_and_longest_where_that_is_not_known() {
        let policy = Policy::parse(Policy::default_text()).expect("the built-in policy");
        let longest = |method: &str, fabric: &str| {
            let cures: Vec<_> = policy.faults.cures_of(method, fabric).collect();
            let inflate = cures.iter().map(|cure| cure.inflate_s / HOUR_S).max();
            inflate.zip(cures.iter().map(|cure| cure.launch_s / HOUR_S).max())
        };
        assert_eq!(longest("patch-two-part", "pvc"), Some((24, 72)));
        assert_eq!(longest("seam-reglued", "PVC"), Some((24, 72)));
        assert_eq!(longest("patch-two-part", "csm"), Some((12, 12)));
        assert_eq!(longest("patch-two-part", ""), Some((24, 72)));
        assert_eq!(longest("part-replaced", "pvc"), None);
    }

    #[test]
    fn what_is_off_by_default_is_off_and_what_is_written_is_read() {
        let read = |text: &str| -> FaultPolicy {
            let raw: Raw = toml::from_str(text).expect("TOML");
            raw.read().expect("settings")
        };
        let plain = read("");
        assert!(plain.repairer_signs_off && plain.reporting.is_none() && plain.cures.is_empty());
        let policy = Policy::parse(Policy::default_text()).expect("the built-in policy");
        assert!(policy.faults.repairer_signs_off && policy.faults.reporting.is_none());
        let times = "restrictive_after = \"1 h\"\ncasualty_after = \"48 h\"\n\
                     casualty_within = \"24 h\"";
        let on = read(&format!("[reporting]\non = true\n{times}"));
        let reporting = on.reporting.expect("on");
        assert_eq!(reporting.restrictive_s, HOUR_S);
        assert_eq!(
            (reporting.casualty_s, reporting.within_s),
            (48 * HOUR_S, 24 * HOUR_S)
        );
    }
}
