//! The leaks of every chamber of the county side by side, and the line through the readings of each.

use super::history::{DAY_MS, History};
use super::{OwnLeak, Shows, cold, told, whole, wide};
use crate::answer::{Asked, LeakRate, Status};
use crate::chambers::{
    Chamber, ChamberCurve, ChamberLeaks, Curve, CurvePoint, Height, Holding, Leaking, NotKnown,
    WhyNotKnown,
};
use crate::engine::county::taken_by;
use crate::engine::facts::{Facts, number};
use crate::engine::index::Index;
use crate::engine::{County, Question, asked, place, standing};
use crate::event::{Stowage, SubjectKind};
use crate::leak::{REFERENCE, corrected_gas};
use crate::standard::{Part, PressureRule};

/// Points of a line: one each fortieth of it is finer than a plot shows.
const POINTS: i32 = 40;

/// How far a forecast goes beyond the newest reading, days: a season, beyond which weekly readings
/// say more.
const AHEAD_DAYS: f64 = 90.0;

/// Days shown beyond the one on which the chamber is too soft.
const BEYOND_DAYS: f64 = 3.0;

/// What one chamber's readings tell.
struct Told<'a> {
    chamber: Chamber,
    rule: &'a PressureRule,
    own: Result<(OwnLeak, Shows), WhyNotKnown>,
}

/// Every chamber of the craft that a question is about, by its leak. Craft that are condemned or
/// taken away are left out.
#[must_use]
pub fn chamber_leaks(county: &County<'_>, question: &Question) -> ChamberLeaks {
    let index = Index::new(county.records);
    let asked = asked::asked(county.policy, question);
    let mut all = ChamberLeaks {
        as_of: asked.as_of,
        air_mc: asked.air_mc,
        water_mc: asked.water_mc,
        assumed: asked.assumed.clone(),
        known_by: county.known_by.clone(),
        limit_pa: county.policy.leak.limit_pa,
        leaking: Vec::new(),
        holding: Vec::new(),
        not_known: Vec::new(),
    };
    each(county, question, &index, &asked, &mut |facts, told| {
        all.take(facts, told);
    });
    all.leaking.sort_by_key(|one| {
        let day = one.rate.below_on;
        let fastest = std::cmp::Reverse(one.rate.pa_per_day);
        (day.is_none(), day, fastest, one.chamber.clone())
    });
    all.holding
        .sort_by(|one, two| one.chamber.cmp(&two.chamber));
    all.not_known
        .sort_by(|one, two| one.chamber.cmp(&two.chamber));
    all
}

/// Every chamber of the craft that a question is about, in the order of its sheet, with the line
/// through its readings.
#[must_use]
pub fn chamber_curves(county: &County<'_>, question: &Question) -> Vec<ChamberCurve> {
    let index = Index::new(county.records);
    let asked = asked::asked(county.policy, question);
    let mut curves = Vec::new();
    each(county, question, &index, &asked, &mut |facts, told| {
        curves.push(told.curve(facts));
    });
    curves
}

fn each(
    county: &County<'_>,
    question: &Question,
    index: &Index<'_>,
    asked: &Asked,
    take: &mut dyn FnMut(&Facts<'_>, Told<'_>),
) {
    let records = county.records.values();
    let craft = records
        .filter(|record| record.kind == SubjectKind::Craft)
        .filter(|record| question.craft.is_none_or(|id| id == record.subject))
        .filter(|record| taken_by(index, question, record).is_none())
        .filter(|record| standing::status(record) != Status::Condemned);
    for record in craft {
        let Some(facts) = Facts::new(county, index, question, asked, record) else {
            continue;
        };
        for part in &facts.standard.parts {
            if let Some(rule) = &part.pressure {
                take(&facts, Told::of(&facts, part, rule));
            }
        }
    }
}

impl<'a> Told<'a> {
    fn of(facts: &Facts<'_>, part: &Part, rule: &'a PressureRule) -> Self {
        let history = History::of(facts, &part.id, rule);
        let own = if standing::stowage(facts.record) == Some(Stowage::Rolled) {
            Err(WhyNotKnown::Rolled)
        } else {
            OwnLeak::look(facts, &history, rule).map_err(WhyNotKnown::NotFitted)
        };
        Self {
            chamber: Chamber {
                number: number(Some(facts.record), facts.record.subject),
                craft: facts.record.subject,
                part: part.id.clone(),
                label: part.label.clone(),
                stations: place::stations(facts.record),
                low_pa: rule.low_pa,
                last_read: history.last_known(),
            },
            rule,
            own,
        }
    }
    /// What it loses, where it loses anything; else why that is not said.
    fn stands(&self, facts: &Facts<'_>) -> Stands {
        let settings = &facts.county.policy.leak;
        let (own, shows) = match &self.own {
            Ok(own) => own,
            Err(why) => return Stands::NotKnown(*why, None),
        };
        let over_ms = whole(own.fitted.days * DAY_MS);
        match shows {
            Shows::TooShort => Stands::NotKnown(
                WhyNotKnown::TooShort {
                    over_ms,
                    least_ms: settings.least_ms,
                },
                None,
            ),
            Shows::NoLoss => Stands::Holds(over_ms),
            Shows::Loss if own.is_known => Stands::Leaks(self.rate(facts, own)),
            Shows::Loss => Stands::NotKnown(
                WhyNotKnown::FewReadings {
                    readings: own.fitted.line.n,
                    least: settings.known_readings,
                },
                Some(self.rate(facts, own)),
            ),
        }
    }

    /// The figures of the finding on the craft's own page.
    fn rate(&self, facts: &Facts<'_>, own: &OwnLeak) -> LeakRate {
        let (_, from_pa) = told(facts, self.rule, own);
        own.rate(facts, self.rule.low_pa, from_pa)
    }

    fn curve(self, facts: &Facts<'_>) -> ChamberCurve {
        let least = corrected_gas(wide(self.rule.low_pa), cold(facts), REFERENCE);
        let (rate, not_known) = match self.stands(facts) {
            Stands::Leaks(rate) => (Some(rate), None),
            Stands::Holds(_) => (None, None),
            Stands::NotKnown(why, _) => (None, Some(why)),
        };
        let own = self.own.as_ref().ok().map(|(own, _)| own);
        ChamberCurve {
            nominal_pa: self.rule.nominal_pa,
            least_pa: whole(least),
            rate,
            not_known,
            fitted: own.map_or_else(Vec::new, |own| own.evidence.clone()),
            curve: own.map(|own| own.curve(least)),
            chamber: self.chamber,
        }
    }
}

/// How a chamber stands.
enum Stands {
    Leaks(LeakRate),
    Holds(i64),
    NotKnown(WhyNotKnown, Option<LeakRate>),
}

impl ChamberLeaks {
    fn take(&mut self, facts: &Facts<'_>, one: Told<'_>) {
        let stands = one.stands(facts);
        let own = one.own.as_ref().ok().map(|(own, _)| own);
        match (stands, own) {
            (Stands::Leaks(rate), Some(own)) => self.leaking.push(Leaking {
                rate,
                is_over: told(facts, one.rule, own).0,
                height: if own.fitted.is_current {
                    Height::Stands
                } else {
                    Height::ChangedSince
                },
                evidence: own.evidence.clone(),
                chamber: one.chamber,
            }),
            (Stands::Holds(over_ms), Some(own)) => self.holding.push(Holding {
                readings: own.fitted.line.n,
                over_ms,
                chamber: one.chamber,
            }),
            (Stands::NotKnown(why, hint), _) => self.not_known.push(NotKnown {
                why,
                hint,
                chamber: one.chamber,
            }),
            (Stands::Leaks(_) | Stands::Holds(_), None) => {}
        }
    }
}

impl OwnLeak {
    /// The line from the first reading of the newest stretch, some days on: to a little beyond where
    /// it is at `least`, as far as a forecast goes.
    fn curve(&self, least: f64) -> Curve {
        let last = self.fitted.last.t_days;
        let ahead = last + AHEAD_DAYS;
        let reached = if least > 0.0 {
            self.fitted.line.reaches(libm::log(least))
        } else {
            None
        };
        let until = match reached {
            _ if !self.fitted.is_current => last,
            Some(day) if day > last => (day + BEYOND_DAYS).min(ahead),
            Some(_) | None => ahead,
        };
        let first = self.newest_from.min(last);
        let step = (until - first) / f64::from(POINTS);
        let points = (0..=POINTS).map(|place| self.point(first + step * f64::from(place)));
        Curve {
            points: points.collect(),
            last: self.moment(last),
        }
    }

    fn point(&self, t_days: f64) -> CurvePoint {
        let pa = |y: f64| whole(libm::exp(y).min(1e12));
        let between = self.fitted.spread.as_ref();
        let between = between.map(|spread| spread.prediction(t_days).reading_interval);
        CurvePoint {
            at: self.moment(t_days),
            line_pa: pa(self.fitted.line.at(t_days)),
            between_pa: between.map(|(low, high)| (pa(low), pa(high))),
        }
    }
}
