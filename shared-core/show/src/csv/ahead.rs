//! What comes due as tables: `due.csv`, `visits.csv`, `shelf.csv`, `late.csv`.

use sponson_readiness::ahead::{Ahead, On, Past, Planned, Standing};
use sponson_readiness::moment::Moment;

use super::cell::{Cell, Table, list, moment, yes_no};
use crate::ahead::{Show, on_text, plan_text, station, wanted_text, what_text, when_text};
use crate::context::Context;
use crate::json;

impl Show {
    /// The list as a table.
    #[must_use]
    pub fn table(self, ahead: &Ahead, as_of: Moment, ctx: &Context) -> String {
        match self {
            Self::Due => due(ahead, as_of, ctx),
            Self::Visits => visits(ahead, as_of, ctx),
            Self::Shelf => shelf(ahead, as_of, ctx),
            Self::Late => late(ahead, as_of, ctx),
        }
    }
}

fn table(as_of: Moment, columns: &[&'static str]) -> Table {
    Table::new(columns, [("as_of", moment(as_of))])
}

fn due(ahead: &Ahead, as_of: Moment, ctx: &Context) -> String {
    let columns = [
        "station",
        "craft",
        "on",
        "what",
        "label",
        "due",
        "by",
        "first_day",
        "last_day",
        "standing",
        "days_over",
        "engine_s_over",
        "engine_s_left",
        "round",
        "minutes",
        "visit",
        "visit_day",
        "basis",
        "source",
        "text",
    ];
    let mut all = table(as_of, &columns);
    for item in &ahead.due {
        let (_, days, engine_s) = over(item.standing);
        let (visit, visit_day) = match item.planned {
            Planned::Visit(at) => (Some(at + 1), ahead.visits.get(at).map(|it| it.day)),
            Planned::Not(_) => (None, None),
        };
        all.line([
            station(item.station, ahead, ctx).into(),
            item.craft.map(|_| item.number.clone()).into(),
            beside(&item.on),
            json::what_id(&item.what).into(),
            what_text(item).into(),
            item.due.to_string().into(),
            json::by_id(item.by).into(),
            item.between.map(|(first, _)| first.to_string()).into(),
            item.between
                .and_then(|(_, last)| last)
                .map(|last| last.to_string())
                .into(),
            json::standing_id(item.standing).into(),
            days.into(),
            engine_s.into(),
            item.engine.map(|engine| engine.left_s).into(),
            item.round.into(),
            item.minutes.into(),
            visit.into(),
            visit_day.map(|day| day.to_string()).into(),
            item.basis.id().into(),
            item.source.as_str().into(),
            text([on_text(item), when_text(item), plan_text(item)]),
        ]);
    }
    all.into_text()
}

/// What is not empty of it, in one cell.
fn text(all: [String; 3]) -> Cell {
    list(all.into_iter().filter(|one| !one.is_empty()))
}

fn beside(on: &On) -> Cell {
    match on {
        On::Craft(_) => Cell::Empty,
        On::Gear(_, number) | On::Bag(_, number) => number.as_str().into(),
    }
}

/// Since when, how many days and how much engine time something is overdue.
fn over(standing: Standing) -> (Option<String>, Option<i64>, Option<u64>) {
    match standing {
        Standing::Overdue {
            since,
            days,
            engine_s,
        } => (since.map(|day| day.to_string()), days, engine_s),
        Standing::NeverDone | Standing::Failed | Standing::InTime => (None, None, None),
    }
}

fn visits(ahead: &Ahead, as_of: Moment, ctx: &Context) -> String {
    let columns = [
        "visit",
        "station",
        "day",
        "not_before",
        "items",
        "minutes",
        "minutes_not_known",
        "what",
        "bring",
    ];
    let mut all = table(as_of, &columns);
    for (number, visit) in (1_usize..).zip(&ahead.visits) {
        let items = visit.items.iter().filter_map(|at| ahead.due.get(*at));
        let bring = visit.bring.iter();
        all.line([
            number.into(),
            station(Some(visit.station), ahead, ctx).into(),
            visit.day.to_string().into(),
            visit.not_before.to_string().into(),
            visit.items.len().into(),
            visit.minutes.into(),
            visit.minutes_not_known.into(),
            list(items.map(|item| format!("{}: {}", on_text(item), what_text(item)))),
            list(bring.map(|one| format!("{} {}", one.count, one.label))),
        ]);
    }
    all.into_text()
}

fn shelf(ahead: &Ahead, as_of: Moment, ctx: &Context) -> String {
    let columns = [
        "station",
        "item",
        "label",
        "wanted",
        "there",
        "runs_out_unused",
        "not_counted",
        "short",
        "by",
        "order_by",
        "what_for",
    ];
    let mut all = table(as_of, &columns);
    for need in &ahead.shelf {
        let wanted: u32 = need.wanted.iter().map(|one| one.count).sum();
        all.line([
            station(need.station, ahead, ctx).into(),
            need.item.as_str().into(),
            need.label.as_str().into(),
            wanted.into(),
            need.there.into(),
            need.runs_out_unused.into(),
            need.not_counted.into(),
            need.short.into(),
            need.by.map(|day| day.to_string()).into(),
            need.order_by.map(|day| day.to_string()).into(),
            list(need.wanted.iter().map(wanted_text)),
        ]);
    }
    all.into_text()
}

fn late(ahead: &Ahead, as_of: Moment, ctx: &Context) -> String {
    let columns = [
        "craft",
        "station",
        "inspection",
        "label",
        "due",
        "done",
        "days_late",
        "engine_s_late",
        "in_grace",
        "entry",
    ];
    let mut all = table(as_of, &columns);
    for late in &ahead.late.done {
        let (done, entry) = match late.past {
            Past::Done(day, event) => (Some(day.to_string()), Some(event.to_string())),
            Past::StillRunning => (None, None),
        };
        all.line([
            late.number.as_str().into(),
            station(late.station, ahead, ctx).into(),
            late.inspection.as_str().into(),
            late.label.as_str().into(),
            late.due.map(|day| day.to_string()).into(),
            done.into(),
            late.days.into(),
            late.engine_s.into(),
            yes_no(late.in_grace),
            entry.into(),
        ]);
    }
    all.into_text()
}
