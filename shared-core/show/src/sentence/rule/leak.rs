//! Sentences about leaks, baffles, gauges that never move and hold tests. The figure comes first;
//! statistics stand behind it.

use sponson_readiness::answer::{LeakRate, Measure, Rule};

use super::Said;
use crate::clean::clean;
use crate::context::Context;
use crate::units::print;

impl Said<'_> {
    pub(super) fn leak(&self) -> String {
        let it = &self.it;
        let Some(Measure::Leak(rate)) = self.measured() else {
            return format!("{it} loses air by its readings");
        };
        let over = match (self.finding.rule == Rule::LeakOver, self.high()) {
            (true, Some(most)) => format!(", more than the {} of a leak test", self.say(most)),
            (true, None) | (false, _) => String::new(),
        };
        let below = below_text(rate);
        format!("{it} loses {}{over}{below}", rate_text(rate, self.ctx))
    }

    pub(super) fn baffle(&self) -> String {
        let it = &self.it;
        let Some(Measure::Sides(sides)) = self.measured() else {
            return format!("{it} fell while the chamber beside it rose: the baffle leaks");
        };
        match sides.as_slice() {
            [fell, rose, Measure::Word(beside)] => format!(
                "{it} fell by {} while {} rose by {}: air goes through the baffle between them, \
                 or a valve between them is open",
                self.say(fell),
                clean(beside),
                self.say(rose)
            ),
            _ => format!("{it} fell while the chamber beside it rose: the baffle leaks"),
        }
    }

    pub(super) fn never_moves(&self) -> String {
        let at = match self.measured() {
            Some(gauge) => format!("stood at {} ", self.say(gauge)),
            None => "stood still ".to_owned(),
        };
        format!(
            "{}: the gauge {at}at every reading though the bay's temperature changed; read it \
             again, with another gauge",
            self.it
        )
    }

    pub(super) fn inspection_failed(&self) -> String {
        let it = &self.it;
        match (self.measured(), self.high()) {
            (Some(lost), Some(most)) => format!(
                "{it}: failed when last done, {} lost after temperature and at most {} allowed",
                self.say(lost),
                self.say(most)
            ),
            (Some(_), None) | (None, _) => format!("{it}: failed when last done"),
        }
    }

    pub(super) fn hold_proves_nothing(&self) -> String {
        let (why, parts) = match self.measured() {
            Some(Measure::Sides(sides)) => match sides.split_first() {
                Some((Measure::Word(why), parts)) => (why.as_str(), parts),
                Some(_) | None => ("", &[][..]),
            },
            Some(_) | None => ("", &[][..]),
        };
        let why = match why {
            "too-short" => "it was ended too soon",
            "too-long" => "it went on for longer than such a test does",
            "gained" => "it gained air, or a value is wrong",
            "implausible" => "its gauge belongs to another sort of part",
            "begun-soft" => "it began below its pressure",
            "not-tested" => "not tested",
            _ => "its values do not fit",
        };
        let parts: Vec<String> = parts.iter().map(|part| self.say(part)).collect();
        let parts = match parts.as_slice() {
            [] => String::new(),
            parts => format!("{}: ", parts.join("; ")),
        };
        format!("{}: the last test proves nothing ({parts}{why})", self.it)
    }
}

/// `0.17 psi a day, by 4 readings over 21 days (95 % between 0.12 psi and 0.23 psi)`.
pub(in crate::sentence) fn rate_text(rate: &LeakRate, ctx: &Context) -> String {
    let say = |pa| print::pressure(pa, ctx.units);
    let between = rate.between_pa.map_or_else(String::new, |(least, most)| {
        format!(" (95 % between {} and {})", say(least), say(most))
    });
    let faster_of_late = rate
        .between_pa
        .is_some_and(|(_, most)| rate.pa_per_day > most);
    let by = if faster_of_late {
        "by the last two of"
    } else {
        "by"
    };
    format!(
        "{} a day, {by} {} over {}{between}",
        say(rate.pa_per_day),
        print::count(i64::from(rate.readings), "reading"),
        print::span(rate.over_ms)
    )
}

fn below_text(rate: &LeakRate) -> String {
    let Some(day) = rate.below_on else {
        return String::new();
    };
    let between = match rate.below_between {
        (Some(first), Some(last)) => format!(" (95 % between {first} and {last})"),
        (Some(first), None) => format!(" (not before {first}; how long after is not known)"),
        (None, Some(_) | None) => String::new(),
    };
    format!("; below its least on {day} at the launch's temperature{between}")
}
