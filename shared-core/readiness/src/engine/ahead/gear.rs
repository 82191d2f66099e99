//! Dates of numbered gear, on a craft or not: requalification and life of cylinders, service lives
//! from making.

use super::{Span, craft_in_use, kit, one_station};
use crate::ahead::{By, CountedFrom, DueItem, On, Planned, What, WhyNoVisit};
use crate::air::{CylinderDates, CylinderStanding};
use crate::dates::{self, Day};
use crate::engine::facts::number;
use crate::engine::index::Index;
use crate::engine::sides::{is_trusted, shown, trusted};
use crate::engine::{County, air};
use crate::event::{GearKind, GearRegistered, Place, SubjectKind};
use crate::ids::SubjectId;
use crate::record::{Record, Side};
use crate::standard::Cited;

/// Gear, with where it is.
struct Kept<'a> {
    record: &'a Record,
    side: &'a Side<GearRegistered>,
    craft: Option<&'a Record>,
    station: Option<SubjectId>,
    span: Span,
}

/// Every dated thing of the county that nobody condemned.
pub(super) fn gather(county: &County<'_>, index: &Index<'_>, span: Span, due: &mut Vec<DueItem>) {
    let gear = county.records.values();
    let gear = gear.filter(|record| {
        record.kind == SubjectKind::Gear && !record.condemned.iter().any(is_trusted)
    });
    for record in gear {
        let Some(side) = shown(&record.gear) else {
            continue;
        };
        let craft = craft_of(county, index, record);
        let kept = Kept {
            record,
            side,
            craft,
            station: match craft {
                Some(craft) => one_station(craft),
                None => station(county, record),
            },
            span,
        };
        kept.gather(county, due);
    }
}

/// The craft in use that it is on, when all agree.
fn craft_of<'a>(county: &County<'a>, index: &Index<'_>, gear: &Record) -> Option<&'a Record> {
    let mut craft = craft_in_use(county);
    craft.find(|craft| {
        let mut here = index.gear_at(craft.subject).iter();
        here.any(|kept| kept.record.subject == gear.subject && kept.whereabouts.counts_here())
    })
}

/// The station at which it lies by itself, or on a shelf; without a word of that the registered one.
fn station(county: &County<'_>, gear: &Record) -> Option<SubjectId> {
    let mut places = trusted(&gear.place).map(|side| side.value.at);
    match (places.next(), places.next()) {
        (Some(Place::Station(station)), None) => Some(station),
        (Some(Place::Shelf(shelf)), None) => one_station(county.records.get(&shelf)?),
        (None, _) => trusted(&gear.gear).next().map(|side| side.value.station),
        (Some(_), _) => None,
    }
}

impl Kept<'_> {
    fn gather(&self, county: &County<'_>, due: &mut Vec<DueItem>) {
        let registered = &self.side.value;
        let kind = registered.kind;
        if matches!(kind, GearKind::Cylinder | GearKind::BreathingSet) {
            return self.cylinder(county, due);
        }
        let policy = county.policy;
        let life = registered.made.zip(policy.ahead.life_months(kind));
        let ends = life.and_then(|(made, months)| dates::life_end(made, months, policy.marks));
        if let Some(last) = ends {
            due.extend(self.item(What::GearLife(kind), last, &policy.ahead.cited));
        }
    }

    fn cylinder(&self, county: &County<'_>, due: &mut Vec<DueItem>) {
        let registered = &self.side.value;
        let Some((rule, dates)) = air::cylinder_dates(&county.policy.free_air, registered) else {
            return;
        };
        let CylinderDates {
            requalify_by,
            life_ends,
        } = dates;
        if let Some(last) = life_ends {
            due.extend(self.item(What::CylinderLife, last, &rule.cited));
        }
        // One whose life is over is retired, not tested; one that will be is tested until then.
        let is_over = dates.on(self.span.today) == Some(CylinderStanding::LifeOver);
        if let Some(last) = requalify_by.filter(|last| !is_over && Some(*last) != life_ends) {
            due.extend(self.item(What::Requalification, last, &rule.cited));
        }
    }

    fn item(&self, what: What, last: Day, cited: &Cited) -> Option<DueItem> {
        if last > self.span.until {
            return None;
        }
        let today = self.span.today;
        let name = number(Some(self.record), self.record.subject);
        let craft = self.craft.map(|craft| craft.subject);
        Some(DueItem {
            what,
            craft,
            on: On::Gear(self.record.subject, name.clone()),
            number: self
                .craft
                .map_or_else(|| name.clone(), |craft| number(Some(craft), craft.subject)),
            station: self.station,
            label: name,
            due: last.max(today),
            between: None,
            by: if today > last { By::Now } else { By::Calendar },
            standing: kit::past(today, last),
            grace_days: 0,
            counted_from: CountedFrom::Marked,
            round: 1,
            engine: None,
            used_hard: false,
            minutes: None,
            uses: Vec::new(),
            basis: cited.basis,
            source: cited.source.clone(),
            evidence: vec![self.side.origin.event],
            planned: Planned::Not(WhyNoVisit::StationNotKnown),
        })
    }
}
