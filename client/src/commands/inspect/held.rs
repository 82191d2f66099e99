//! Hold tests of an inspection, as typed: read, judged, shown by both corrections.

use clap::Args;
use sponson_proto::event::v1 as wire;
use sponson_readiness::leak::{HoldRule, HoldTest, HoldTold, HoldVerdict};
use sponson_readiness::pressure::Air;
use sponson_readiness::standard::{HoldPolicy, Standard};
use sponson_show::clean;
use sponson_show::reckoned::{hold_fault_text, hold_lines};

use crate::commands::reckon::hold::{self, Held, HoldEnds};
use crate::error::CommandError;

/// What was read in a hold test, once for each part.
#[derive(Args, Debug)]
pub(super) struct HeldArgs {
    /// Part that was held, for example tube-1; with --start, --end and --hours after it.
    #[arg(long = "part", value_name = "PART")]
    parts: Vec<String>,
    /// Gauge and temperature at the start, for example 260mbar@80F.
    #[arg(long = "start", value_name = "PRESSURE@TEMPERATURE")]
    starts: Vec<String>,
    /// Gauge and temperature at the end.
    #[arg(long = "end", value_name = "PRESSURE@TEMPERATURE")]
    ends: Vec<String>,
    /// How long it was left alone, hours; once for all parts, or once for each.
    #[arg(long = "hours", value_name = "HOURS")]
    hours: Vec<String>,
    /// Air pressure at the start, as a barometer at the place shows it.
    #[arg(long, value_name = "PRESSURE")]
    ambient_start: Option<String>,
    /// Air pressure at the end.
    #[arg(long, value_name = "PRESSURE")]
    ambient_end: Option<String>,
}

/// Hold tests, judged.
pub(super) struct Tests {
    rule: Option<HoldRule>,
    tests: Vec<One>,
    /// Parts of the standard that hold air and were not tested.
    not_tested: Vec<String>,
}

struct One {
    part: String,
    held: Held,
    told: HoldTold,
    lines: Vec<String>,
}

impl HeldArgs {
    /// Reads and judges.
    ///
    /// # Errors
    /// When a value cannot be, the numbers of values differ, or the inspection is no hold test.
    pub(super) fn read(
        &self,
        inspection: &str,
        standard: &Standard,
        policy: &HoldPolicy,
    ) -> Result<Tests, CommandError> {
        if self.parts.is_empty() && self.starts.is_empty() && self.ends.is_empty() {
            return Ok(Tests {
                rule: None,
                tests: Vec::new(),
                not_tested: Vec::new(),
            });
        }
        let counts = [self.starts.len(), self.ends.len()];
        let one_for_all = self.hours.len() == 1;
        let hours_fit = one_for_all || self.hours.len() == self.parts.len();
        if counts.iter().any(|count| *count != self.parts.len()) || !hours_fit {
            return Err(CommandError::Argument {
                field: "--part",
                value: format!("given {} times", self.parts.len()),
                limit: "give --start and --end once for each --part, and --hours once for all or \
                        once for each"
                    .to_owned(),
            });
        }
        let lines = standard.inspections.iter();
        let mut sorts = lines.filter(|line| line.id.as_str() == inspection);
        let Some(sort) = sorts.find_map(|line| line.hold) else {
            return Err(CommandError::Refused {
                field: "INSPECTION".to_owned(),
                value: inspection.to_owned(),
                limit: "it is no hold test in this boat standard: leave --part, --start, --end \
                        and --hours out"
                    .to_owned(),
            });
        };
        let rule = *policy.rule(sort);
        let mut tests = Vec::new();
        for (at, part) in self.parts.iter().enumerate() {
            holds_air(part, standard)?;
            let hours = self.hours.get(if one_for_all { 0 } else { at });
            let held = self.one(at, hours.map_or("", String::as_str))?;
            let told = rule.judge(&held.test);
            let lines = hold_lines(&held.test, &rule, sort, &told);
            tests.push(One {
                part: part.clone(),
                held,
                told,
                lines,
            });
        }
        let parts = standard.parts.iter().filter(|part| part.pressure.is_some());
        let not_tested = parts.filter(|part| !self.parts.iter().any(|it| it == part.id.as_str()));
        Ok(Tests {
            rule: Some(rule),
            tests,
            not_tested: not_tested.map(|part| part.id.as_str().to_owned()).collect(),
        })
    }

    fn one(&self, at: usize, hours: &str) -> Result<Held, CommandError> {
        let text = |list: &[String]| list.get(at).cloned().unwrap_or_default();
        let ends = HoldEnds {
            start: text(&self.starts),
            end: text(&self.ends),
            ambient_start: self.ambient_start.clone(),
            ambient_end: self.ambient_end.clone(),
        };
        hold::read(&ends, hours)
    }
}

fn holds_air(part: &str, standard: &Standard) -> Result<(), CommandError> {
    let holding = standard.parts.iter().filter(|part| part.pressure.is_some());
    let holding: Vec<&str> = holding.map(|part| part.id.as_str()).collect();
    if holding.contains(&part) {
        return Ok(());
    }
    Err(CommandError::Refused {
        field: "--part".to_owned(),
        value: clean(part),
        limit: format!("give one that holds air: {}", holding.join(", ")),
    })
}

impl Tests {
    pub(super) fn is_empty(&self) -> bool {
        self.tests.is_empty()
    }

    /// Whether a part lost more than is allowed.
    pub(super) fn lost_too_much(&self) -> bool {
        self.tests
            .iter()
            .any(|one| one.told.verdict == HoldVerdict::TestForLeaks)
    }

    /// What was read, by both corrections, and what was not given.
    pub(super) fn lines(&self) -> Vec<String> {
        let of_one = |one: &One| -> Vec<String> {
            let mut lines = one.lines.clone();
            lines.extend(
                one.held
                    .assumed
                    .iter()
                    .map(|said| format!("assumed: {said}")),
            );
            lines
                .iter()
                .map(|line| format!("{}: {line}", one.part))
                .collect()
        };
        let mut lines: Vec<String> = self.tests.iter().flat_map(of_one).collect();
        if !self.is_empty() && !self.not_tested.is_empty() {
            lines.push(format!(
                "not tested: {}; the craft is not proven by this test until they are, in one entry",
                self.not_tested.join(", ")
            ));
        }
        lines
    }

    /// What is to be asked back before it is recorded so.
    pub(super) fn contradicts(&self, passed: bool) -> Option<String> {
        let rule = self.rule.as_ref()?;
        let mut faults = self.tests.iter().filter_map(|one| match one.told.verdict {
            HoldVerdict::ProvesNothing(fault) => Some((one, fault)),
            HoldVerdict::Passed | HoldVerdict::TestForLeaks => None,
        });
        if passed && self.lost_too_much() {
            return Some(
                "said to have passed, but what was read says: test for leaks. Record it so?"
                    .to_owned(),
            );
        }
        let (one, fault) = faults.next()?;
        Some(format!(
            "{} proves nothing: {}. Record it so?",
            one.part,
            hold_fault_text(fault, rule)
        ))
    }

    /// As the event states them.
    pub(super) fn messages(&self) -> Vec<wire::HoldTest> {
        self.tests.iter().map(message).collect()
    }
}

fn message(one: &One) -> wire::HoldTest {
    let HoldTest {
        start,
        end,
        duration_s,
    } = one.held.test;
    let mc = |air: Air| one.held.has_temperatures.then_some(air.temperature_mc);
    let ambient = |air: Air| one.held.has_ambient.then(|| whole(air.ambient_pa));
    wire::HoldTest {
        part: one.part.clone(),
        start_gauge_pa: start.gauge_pa,
        end_gauge_pa: end.gauge_pa,
        start_mc: mc(start.air),
        end_mc: mc(end.air),
        start_ambient_pa: ambient(start.air),
        end_ambient_pa: ambient(end.air),
        duration_s,
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "read as whole pascal from 300 hPa to 1100 hPa"
)]
fn whole(pa: f64) -> u32 {
    pa.round() as u32
}

#[cfg(test)]
mod tests;
