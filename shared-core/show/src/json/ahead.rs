//! What comes due in the form, described field by field in `due-schema.md`.

mod ids;
mod late;
mod shelf;

use serde::Serialize;
use sponson_readiness::ahead::{
    Ahead, CountedFrom, DueItem, EngineLeft, Material, NotKnown, Often, On, Planned, Standing,
    Visit, WeekCount, What, WhyNotKnown,
};
use sponson_readiness::event::GearKind;
use sponson_readiness::ids::SubjectId;
use sponson_readiness::moment::Moment;
use sponson_readiness::standard::Every;

pub(crate) use self::ids::{by_id, standing_id, what_id};
use self::ids::{gear_id, no_visit_id, use_id};
use self::late::{LateForm, late};
use self::shelf::{ShelfForm, shelf};
use crate::ahead::{due_text, first_lines, not_known_text, notes, often_text, station, what_text};
use crate::caution;
use crate::context::Context;
use crate::units::print;

/// Name and version of the form.
pub const DUE_SCHEMA: &str = "sponson.due/1";

#[derive(Serialize)]
pub(super) struct DueForm {
    schema: &'static str,
    as_of: String,
    county_log_size: u64,
    from: String,
    until: String,
    first: Vec<String>,
    due: Vec<ItemForm>,
    visits: Vec<VisitForm>,
    weeks: Vec<WeekForm>,
    with_the_checks: Vec<OftenForm>,
    day_not_known: Vec<NotKnownForm>,
    shelf: Vec<ShelfForm>,
    late: LateForm,
    visit_window_days: u32,
    order_days: u32,
    notes: Vec<String>,
    caution: &'static str,
}

#[derive(Serialize)]
struct StationForm {
    id: String,
    name: String,
}

#[derive(Serialize)]
struct ItemForm {
    what: &'static str,
    line: Option<String>,
    count: Option<u32>,
    marked: Option<String>,
    gear_kind: Option<&'static str>,
    label: String,
    craft: Option<String>,
    craft_id: Option<String>,
    on: &'static str,
    on_id: String,
    on_number: Option<String>,
    station: Option<StationForm>,
    due: String,
    by: &'static str,
    first_day: Option<String>,
    last_day: Option<String>,
    standing: &'static str,
    overdue_since: Option<String>,
    days_over: Option<i64>,
    engine_s_over: Option<u64>,
    grace_days: u32,
    counted_from: &'static str,
    counted_from_day: Option<String>,
    round: u32,
    engine: Option<EngineForm>,
    used_hard: bool,
    minutes: Option<u32>,
    uses: Vec<MaterialForm>,
    visit: Option<usize>,
    no_visit: Option<&'static str>,
    basis: &'static str,
    source: String,
    evidence: Vec<String>,
    text: String,
}

#[derive(Serialize)]
struct EngineForm {
    left_s: i64,
    expected: Option<String>,
    first_day: Option<String>,
    last_day: Option<String>,
    run_s: Option<u64>,
    run_days: Option<u32>,
    stretches: Option<u32>,
    stretches_run: Option<u32>,
    use_not_known: Option<&'static str>,
}

#[derive(Serialize)]
struct MaterialForm {
    item: String,
    label: String,
    count: u32,
}

#[derive(Serialize)]
struct VisitForm {
    station: StationForm,
    day: String,
    not_before: String,
    items: Vec<usize>,
    minutes: u32,
    minutes_not_known: u32,
    bring: Vec<MaterialForm>,
}

#[derive(Serialize)]
struct WeekForm {
    week: String,
    station: Option<StationForm>,
    items: u32,
    overdue: u32,
    by_engine_hours: u32,
    minutes: u32,
}

#[derive(Serialize)]
struct OftenForm {
    craft: String,
    craft_id: String,
    station: Option<StationForm>,
    inspection: Option<String>,
    label: String,
    every_days: Option<u32>,
    every_months: Option<u32>,
    next: String,
    owed: bool,
    times: u32,
    minutes: Option<u32>,
    text: String,
}

#[derive(Serialize)]
struct NotKnownForm {
    craft: String,
    craft_id: String,
    station: Option<StationForm>,
    inspection: String,
    label: String,
    engine_s_left: Option<u64>,
    why: &'static str,
    text: String,
}

/// Names of stations.
struct Names<'a>(&'a Ahead, &'a Context);

impl Names<'_> {
    fn of(&self, id: SubjectId) -> StationForm {
        StationForm {
            id: id.to_string(),
            name: station(Some(id), self.0, self.1),
        }
    }
}

pub(super) fn form(ahead: &Ahead, as_of: Moment, log_size: u64, ctx: &Context) -> DueForm {
    let names = Names(ahead, ctx);
    DueForm {
        schema: DUE_SCHEMA,
        as_of: print::rfc3339(as_of),
        county_log_size: log_size,
        from: ahead.from.to_string(),
        until: ahead.until.to_string(),
        first: first_lines(ahead, ctx),
        due: ahead.due.iter().map(|it| item(it, &names)).collect(),
        visits: ahead.visits.iter().map(|it| visit(it, &names)).collect(),
        weeks: ahead.weeks.iter().map(|it| week(it, &names)).collect(),
        with_the_checks: ahead.often.iter().map(|it| often(it, &names)).collect(),
        day_not_known: ahead
            .not_known
            .iter()
            .map(|it| not_known(it, &names))
            .collect(),
        shelf: ahead.shelf.iter().map(|it| shelf(it, &names)).collect(),
        late: late(&ahead.late, &names),
        visit_window_days: ahead.window_days,
        order_days: ahead.lead_days,
        notes: notes(ahead),
        caution: caution(),
    }
}

fn item(item: &DueItem, names: &Names<'_>) -> ItemForm {
    let (line, count, marked, gear_kind) = of_what(&item.what);
    let (on, on_id, on_number) = of_on(&item.on);
    let (since, days_over, engine_s_over) = match item.standing {
        Standing::Overdue {
            since,
            days,
            engine_s,
        } => (since, days, engine_s),
        Standing::NeverDone | Standing::Failed | Standing::InTime => (None, None, None),
    };
    let (visit, no_visit) = match item.planned {
        Planned::Visit(at) => (Some(at), None),
        Planned::Not(why) => (None, Some(no_visit_id(why))),
    };
    let (counted_from, counted_from_day) = match item.counted_from {
        CountedFrom::LastDone(day) => ("last_done", Some(day)),
        CountedFrom::ExpectedDone(day) => ("expected_done", Some(day)),
        CountedFrom::Marked => ("marked", None),
        CountedFrom::Nothing => ("nothing", None),
    };
    ItemForm {
        what: what_id(&item.what),
        line,
        count,
        marked,
        gear_kind,
        label: what_text(item),
        craft: item.craft.map(|_| item.number.clone()),
        craft_id: item.craft.map(|id| id.to_string()),
        on,
        on_id,
        on_number,
        station: item.station.map(|id| names.of(id)),
        due: item.due.to_string(),
        by: by_id(item.by),
        first_day: item.between.map(|(first, _)| first.to_string()),
        last_day: item
            .between
            .and_then(|it| it.1)
            .map(|last| last.to_string()),
        standing: standing_id(item.standing),
        overdue_since: since.map(|day| day.to_string()),
        days_over,
        engine_s_over,
        grace_days: item.grace_days,
        counted_from,
        counted_from_day: counted_from_day.map(|day| day.to_string()),
        round: item.round,
        engine: item.engine.as_ref().map(engine),
        used_hard: item.used_hard,
        minutes: item.minutes,
        uses: item.uses.iter().map(material).collect(),
        visit,
        no_visit,
        basis: item.basis.id(),
        source: item.source.clone(),
        evidence: item.evidence.iter().map(ToString::to_string).collect(),
        text: due_text(item),
    }
}

/// Line, count, mark and kind of gear.
type OfWhat = (
    Option<String>,
    Option<u32>,
    Option<String>,
    Option<&'static str>,
);

fn of_what(what: &What) -> OfWhat {
    match what {
        What::Inspection(line) => (Some(line.to_string()), None, None, None),
        What::KitDate { item, count, mark } => {
            let marked = mark.as_ref().map(|mark| print::date_mark(mark.mark));
            (Some(item.to_string()), Some(*count), marked, None)
        }
        What::GearLife(kind) => (None, None, None, Some(gear_id(*kind))),
        What::Requalification | What::CylinderLife => {
            (None, None, None, Some(gear_id(GearKind::Cylinder)))
        }
        What::WaiverEnds(_) | What::SealTag => (None, None, None, None),
    }
}

fn of_on(on: &On) -> (&'static str, String, Option<String>) {
    match on {
        On::Craft(id) => ("craft", id.to_string(), None),
        On::Gear(id, number) => ("gear", id.to_string(), Some(number.clone())),
        On::Bag(id, number) => ("bag", id.to_string(), Some(number.clone())),
    }
}

fn engine(engine: &EngineLeft) -> EngineForm {
    let reached = engine.reached.as_ref().ok();
    let of = reached.map(|it| it.of);
    EngineForm {
        left_s: engine.left_s,
        expected: reached.map(|it| it.expected.to_string()),
        first_day: reached.map(|it| it.between.0.to_string()),
        last_day: reached
            .and_then(|it| it.between.1)
            .map(|day| day.to_string()),
        run_s: of.map(|it| it.run_s),
        run_days: of.map(|it| it.days),
        stretches: of.map(|it| it.stretches),
        stretches_run: of.map(|it| it.ran),
        use_not_known: engine.reached.err().map(use_id),
    }
}

fn material(one: &Material) -> MaterialForm {
    MaterialForm {
        item: one.item.to_string(),
        label: one.label.clone(),
        count: one.count,
    }
}

fn visit(visit: &Visit, names: &Names<'_>) -> VisitForm {
    VisitForm {
        station: names.of(visit.station),
        day: visit.day.to_string(),
        not_before: visit.not_before.to_string(),
        items: visit.items.clone(),
        minutes: visit.minutes,
        minutes_not_known: visit.minutes_not_known,
        bring: visit.bring.iter().map(material).collect(),
    }
}

fn week(week: &WeekCount, names: &Names<'_>) -> WeekForm {
    WeekForm {
        week: week.week.to_string(),
        station: week.station.map(|id| names.of(id)),
        items: week.items,
        overdue: week.overdue,
        by_engine_hours: week.by_engine,
        minutes: week.minutes,
    }
}

fn often(often: &Often, names: &Names<'_>) -> OftenForm {
    let (every_days, every_months) = match often.every {
        Every::Days(days) => (Some(days), None),
        Every::Months(months) => (None, Some(months)),
    };
    OftenForm {
        craft: often.number.clone(),
        craft_id: often.craft.to_string(),
        station: often.station.map(|id| names.of(id)),
        inspection: often.inspection.as_ref().map(ToString::to_string),
        label: often.label.clone(),
        every_days,
        every_months,
        next: often.next.to_string(),
        owed: often.owed,
        times: often.times,
        minutes: often.minutes,
        text: often_text(often),
    }
}

fn not_known(one: &NotKnown, names: &Names<'_>) -> NotKnownForm {
    NotKnownForm {
        craft: one.number.clone(),
        craft_id: one.craft.to_string(),
        station: one.station.map(|id| names.of(id)),
        inspection: one.inspection.to_string(),
        label: one.label.clone(),
        engine_s_left: one.left_s,
        why: match one.why {
            WhyNotKnown::Use(why) => use_id(why),
            WhyNotKnown::NoMeter => "no_meter",
        },
        text: not_known_text(one),
    }
}
