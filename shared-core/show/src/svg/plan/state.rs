//! How a part's pressure stands, as the answer has it.

use sponson_readiness::answer::{CraftAnswer, Effect, PartPressure, Rule, Subject};
use sponson_readiness::standard::Part;

use crate::context::Context;
use crate::units::print;

/// How a part stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum State {
    /// It holds no air.
    NoAir,
    /// Nothing was read, or nothing that counts; with the wanted range, pascal.
    NotRead((i64, i64)),
    /// Read.
    Read(How, PartPressure),
}

/// What the launch makes of a reading.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum How {
    InRange,
    Soft,
    Hard,
    SoftOrHard,
}

impl State {
    pub(crate) fn of(part: &Part, craft: &CraftAnswer) -> Self {
        let Some(rule) = &part.pressure else {
            return Self::NoAir;
        };
        let found = |rule: Rule| {
            craft.why.iter().any(|finding| {
                let here = matches!(&finding.subject, Subject::Part(id, _) if *id == part.id);
                here && finding.rule == rule && finding.effect != Effect::Note
            })
        };
        let mut read = craft.pressures.iter();
        let read = read.find(|one| one.part == part.id);
        let Some(read) = read.filter(|_| !found(Rule::PressureNotRead)) else {
            return Self::NotRead((rule.low_pa, rule.high_pa));
        };
        let is_soft = read.launch_low_pa < read.range_pa.0 || found(Rule::PressureLow);
        let is_hard = read.launch_high_pa > read.range_pa.1 || found(Rule::PressureHigh);
        let how = match (is_soft, is_hard) {
            (false, false) => How::InRange,
            (true, false) => How::Soft,
            (false, true) => How::Hard,
            (true, true) => How::SoftOrHard,
        };
        Self::Read(how, read.clone())
    }

    /// Class of the style sheet.
    pub(super) const fn class(&self) -> &'static str {
        match self {
            Self::NoAir => "plan-no-air",
            Self::NotRead(_) => "plan-not-read",
            Self::Read(How::InRange, _) => "plan-in-range",
            Self::Read(How::Soft, _) => "plan-soft",
            Self::Read(How::Hard, _) => "plan-hard",
            Self::Read(How::SoftOrHard, _) => "plan-soft plan-hard",
        }
    }

    /// The word for it, with its mark; none for a part that holds no air.
    pub(crate) const fn word(&self) -> Option<&'static str> {
        match self {
            Self::NoAir => None,
            Self::NotRead(_) => Some("? not read"),
            Self::Read(How::InRange, _) => Some("in range"),
            Self::Read(How::Soft, _) => Some("▽ soft"),
            Self::Read(How::Hard, _) => Some("△ hard"),
            Self::Read(How::SoftOrHard, _) => Some("▽△ soft or hard"),
        }
    }

    /// What is told of it, a line each: the word, the launch, what is wanted, what was read.
    pub(super) fn words(&self, ctx: &Context) -> Vec<String> {
        let mut lines: Vec<String> = self.word().map(str::to_owned).into_iter().collect();
        match self {
            Self::NoAir => {}
            Self::NotRead(range) => lines.push(format!("wanted {}", between(*range, ctx))),
            Self::Read(_, read) => {
                let launch = between((read.launch_low_pa, read.launch_high_pa), ctx);
                lines.push(format!("launch {launch}"));
                lines.push(format!("wanted {}", between(read.range_pa, ctx)));
                lines.push(format!("read {}", number(read.read_gauge_pa, ctx)));
            }
        }
        lines
    }
}

/// Two gauge pressures without their unit; one where they read the same.
pub(crate) fn between((low, high): (i64, i64), ctx: &Context) -> String {
    let (low, high) = (number(low, ctx), number(high, ctx));
    if low == high {
        return low;
    }
    format!("{low}–{high}")
}

/// A gauge pressure without its unit.
pub(crate) fn number(pa: i64, ctx: &Context) -> String {
    if pa == 0 {
        "slack".to_owned()
    } else {
        print::pressure_number(pa, ctx.units)
    }
}
