//! What comes due in the form, described field by field in `due-schema.md`.

use serde::Serialize;
use sponson_readiness::ahead::{
    Ahead, By, CountedFrom, DoneLate, DueItem, EngineLeft, InTime, Late, Material, NeedFor,
    NotKnown, Often, On, Past, Planned, ShelfNeed, Standing, UseNotKnown, Visit, WeekCount, What,
    WhyNoVisit, WhyNotKnown,
};
use sponson_readiness::event::GearKind;
use sponson_readiness::ids::SubjectId;
use sponson_readiness::moment::Moment;
use sponson_readiness::standard::Every;

use crate::ahead::{
    due_text, first_lines, in_time_text, late_text, not_known_text, notes, often_text, percent,
    shelf_text, station, wanted_text, what_text,
};
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

#[derive(Serialize)]
struct ShelfForm {
    station: Option<StationForm>,
    item: String,
    label: String,
    there: u32,
    runs_out_unused: u32,
    not_counted: u32,
    wanted: Vec<WantedForm>,
    short: u32,
    by: Option<String>,
    order_by: Option<String>,
    text: String,
}

#[derive(Serialize)]
struct WantedForm {
    day: String,
    count: u32,
    short: u32,
    what_for: &'static str,
    inspection: Option<String>,
    craft: Option<String>,
    craft_id: Option<String>,
    text: String,
}

#[derive(Serialize)]
struct LateForm {
    county: Option<InTimeForm>,
    by_station: Vec<OfStation>,
    by_craft: Vec<OfCraft>,
    by_inspection: Vec<OfLine>,
    done: Vec<DoneForm>,
}

#[derive(Serialize)]
struct InTimeForm {
    due: u32,
    in_time: u32,
    percent_low: u32,
    percent_high: u32,
    median_days_late: Option<i64>,
    text: String,
}

#[derive(Serialize)]
struct OfStation {
    station: StationForm,
    in_time: InTimeForm,
}

#[derive(Serialize)]
struct OfCraft {
    craft: String,
    craft_id: String,
    in_time: InTimeForm,
}

#[derive(Serialize)]
struct OfLine {
    inspection: String,
    label: String,
    in_time: InTimeForm,
}

#[derive(Serialize)]
struct DoneForm {
    craft: String,
    craft_id: String,
    station: Option<StationForm>,
    inspection: String,
    label: String,
    due: Option<String>,
    done: Option<String>,
    entry: Option<String>,
    days_late: Option<i64>,
    engine_s_late: Option<u64>,
    in_grace: bool,
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

fn shelf(need: &ShelfNeed, names: &Names<'_>) -> ShelfForm {
    let wanted = need.wanted.iter().map(|one| {
        let (what_for, inspection) = match &one.for_what {
            NeedFor::ShortNow => ("lacking_now", None),
            NeedFor::RunsOut => ("runs_out", None),
            NeedFor::Inspection(line, _) => ("inspection", Some(line.to_string())),
            NeedFor::RunsOutAgain => ("runs_out_again", None),
        };
        WantedForm {
            day: one.day.to_string(),
            count: one.count,
            short: one.short,
            what_for,
            inspection,
            craft: one.craft.map(|_| one.number.clone()),
            craft_id: one.craft.map(|id| id.to_string()),
            text: wanted_text(one),
        }
    });
    ShelfForm {
        station: need.station.map(|id| names.of(id)),
        item: need.item.to_string(),
        label: need.label.clone(),
        there: need.there,
        runs_out_unused: need.runs_out_unused,
        not_counted: need.not_counted,
        wanted: wanted.collect(),
        short: need.short,
        by: need.by.map(|day| day.to_string()),
        order_by: need.order_by.map(|day| day.to_string()),
        text: shelf_text(need, names.0.from),
    }
}

fn late(late: &Late, names: &Names<'_>) -> LateForm {
    LateForm {
        county: late.county.as_ref().map(in_time),
        by_station: late
            .by_station
            .iter()
            .map(|(id, share)| OfStation {
                station: names.of(*id),
                in_time: in_time(share),
            })
            .collect(),
        by_craft: late
            .by_craft
            .iter()
            .map(|(id, number, share)| OfCraft {
                craft: number.clone(),
                craft_id: id.to_string(),
                in_time: in_time(share),
            })
            .collect(),
        by_inspection: late
            .by_line
            .iter()
            .map(|(line, label, share)| OfLine {
                inspection: line.to_string(),
                label: label.clone(),
                in_time: in_time(share),
            })
            .collect(),
        done: late.done.iter().map(|it| done(it, names)).collect(),
    }
}

fn in_time(share: &InTime) -> InTimeForm {
    InTimeForm {
        due: share.due,
        in_time: share.in_time,
        percent_low: percent(share.share.0),
        percent_high: percent(share.share.1),
        median_days_late: share.median_days_late,
        text: in_time_text(share),
    }
}

fn done(late: &DoneLate, names: &Names<'_>) -> DoneForm {
    let (done, entry) = match late.past {
        Past::Done(day, event) => (Some(day.to_string()), Some(event.to_string())),
        Past::StillRunning => (None, None),
    };
    DoneForm {
        craft: late.number.clone(),
        craft_id: late.craft.to_string(),
        station: late.station.map(|id| names.of(id)),
        inspection: late.inspection.to_string(),
        label: late.label.clone(),
        due: late.due.map(|day| day.to_string()),
        done,
        entry,
        days_late: late.days,
        engine_s_late: late.engine_s,
        in_grace: late.in_grace,
        text: late_text(late),
    }
}

/// The stable word of what comes due.
pub(crate) const fn what_id(what: &What) -> &'static str {
    match what {
        What::Inspection(_) => "inspection",
        What::KitDate { .. } => "kit_date",
        What::Requalification => "requalification",
        What::CylinderLife => "cylinder_life",
        What::GearLife(_) => "gear_life",
        What::WaiverEnds(_) => "waiver_ends",
        What::SealTag => "seal_date",
    }
}

/// The stable word of what ends first.
pub(crate) const fn by_id(by: By) -> &'static str {
    match by {
        By::Calendar => "calendar",
        By::EngineHours => "engine_hours",
        By::Now => "now",
    }
}

/// The stable word of how it stands.
pub(crate) const fn standing_id(standing: Standing) -> &'static str {
    match standing {
        Standing::Overdue { .. } => "overdue",
        Standing::NeverDone => "never_done",
        Standing::Failed => "failed",
        Standing::InTime => "in_time",
    }
}

const fn no_visit_id(why: WhyNoVisit) -> &'static str {
    match why {
        WhyNoVisit::StationNotKnown => "station_not_known",
        WhyNoVisit::WithTheChecks => "with_the_checks",
        WhyNoVisit::ToBeDecided => "to_be_decided",
    }
}

const fn use_id(why: UseNotKnown) -> &'static str {
    match why {
        UseNotKnown::NotRead => "meter_not_read",
        UseNotKnown::TooShort(_) => "readings_too_short",
        UseNotKnown::NotRun => "did_not_run",
    }
}

const fn gear_id(kind: GearKind) -> &'static str {
    match kind {
        GearKind::Motor => "motor",
        GearKind::FuelTank => "fuel_tank",
        GearKind::FuelLine => "fuel_line",
        GearKind::Cylinder => "cylinder",
        GearKind::InflatableFloor => "inflatable_floor",
        GearKind::Pump => "pump",
        GearKind::Gauge => "gauge",
        GearKind::Radio => "radio",
        GearKind::Trailer => "trailer",
        GearKind::Battery => "battery",
        GearKind::BreathingSet => "breathing_set",
    }
}
