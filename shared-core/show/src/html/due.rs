//! What comes due as a page: what is said first, the weeks, the visits, everything by station, what
//! must be on the shelf, what was done late, and where to take it along.

use chrono::Days;
use maud::{Markup, html};
use sponson_readiness::ahead::{Ahead, By, DoneLate, DueItem, InTime, Past, ShelfNeed};
use sponson_readiness::dates::Day;
use sponson_readiness::ids::SubjectId;
use sponson_readiness::moment::Moment;

use super::facts::PageFacts;
use super::field::{Field, choice, field};
use super::form::FormValues;
use super::frame::frame;
use super::top::sentence;
use crate::ahead::{
    bring_text, day, due_text, first_lines, how_late, in_time_text, not_known_text, notes,
    often_text, on_text, order_text, plan_text, station, use_text, visit_head, visit_time,
    wanted_text, what_text, when_text, without_visit,
};
use crate::clean::clean;
use crate::context::Context;
use crate::svg::plot::{WeekDue, WeeksPlot, weeks_plot};
use crate::table::{by_station_and_week, label_or, monday, short_number, week_text};
use crate::units::print;

/// Lines of a list that stand on the page; of more only how many, with the whole list in its file.
/// A line has about 400 bytes, so a page stays below some 400 KiB.
const LISTED_MAX: usize = 400;

/// What the page shows.
#[derive(Clone, Copy, Debug)]
pub struct DuePage<'a> {
    /// What comes due.
    pub ahead: &'a Ahead,
    /// The judged moment.
    pub as_of: Moment,
    /// Names of the county's stations, for the form.
    pub stations: &'a [String],
    /// How to show it.
    pub ctx: &'a Context,
}

/// The page; `form` is what was asked.
#[must_use]
pub fn due_page(shown: &DuePage<'_>, facts: &PageFacts, form: &FormValues) -> String {
    let DuePage { ahead, ctx, .. } = *shown;
    let body = html! {
        section.top aria-labelledby="due" {
            h1 id="due" { "What comes due" }
            p.zone {
                "As of " (ctx.local(shown.as_of)) " (" (print::offset(ctx.utc_offset_min)) "), until "
                (time(ahead.until)) "."
            }
            @for note in &facts.notes { p.mind { (clean(note)) } }
            @for line in first_lines(ahead, ctx) { p { b { (line) } } }
            p.caution { (crate::caution()) }
        }
        (asked(shown.stations, form))
        (weeks(ahead, ctx))
        (visits(ahead, ctx))
        (all(ahead, ctx))
        (unlisted(ahead))
        (shelf(ahead, ctx))
        (late(ahead, ctx))
        (along(facts))
        @for note in notes(ahead) { p.soft { (note) } }
    };
    frame(
        "What comes due",
        facts,
        &html! { div.looked-back { (body) } },
    )
}

/// The page of a question that was refused, with each field's fault.
#[must_use]
pub fn due_refused_page(stations: &[String], facts: &PageFacts, form: &FormValues) -> String {
    let body = html! {
        section.top aria-labelledby="due" {
            h1 id="due" { "What comes due" }
            ul.faults role="alert" { @for fault in form.faults() { li { (clean(&fault.text)) } } }
        }
        (asked(stations, form))
    };
    frame("What comes due", facts, &body)
}

/// A day, as programs read it and as people do.
fn time(of: Day) -> Markup {
    html! { time datetime=(of) { (day(of)) } }
}

fn asked(stations: &[String], form: &FormValues) -> Markup {
    let stations: Vec<(&str, &str)> = stations
        .iter()
        .map(|it| (it.as_str(), it.as_str()))
        .collect();
    let craft = Field {
        name: "craft",
        label: "Craft",
        hint: "Its number; empty for all.",
        list: "",
    };
    let ahead = Field {
        name: "ahead",
        label: "How far ahead",
        hint: "For example 6 months; a year when empty.",
        list: "",
    };
    html! {
        section.ask aria-labelledby="ask" {
            h2 id="ask" { "For which station and craft" }
            details id="ask-form" open[!form.faults().is_empty()] {
                summary { "Station, craft, how far ahead" }
                form id="question" method="get" action="/due" {
                    (choice(("station", "station"), "Station", "all", &stations, form))
                    (field(&craft, form))
                    (field(&ahead, form))
                    p.press { button.main { "Show it" } }
                }
            }
        }
    }
}

fn weeks(ahead: &Ahead, ctx: &Context) -> Markup {
    html! {
        section.weeks aria-labelledby="weeks" {
            h2 id="weeks" { "By week" }
            @if ahead.weeks.is_empty() { p { "Nothing that is known here." } }
            @else {
                (weeks_plot(&WeeksPlot {
                    id: "due-weeks",
                    name: "all that is shown here",
                    weeks: &by_week(ahead),
                    past: ahead.weeks.iter().map(|week| week.overdue).sum(),
                }))
                details {
                    summary { "Week by week and station by station" }
                    table {
                        thead {
                            tr {
                                th scope="col" { "Week of" } th scope="col" { "Station" }
                                th scope="col" { "Comes due" } th scope="col" { "Overdue already" }
                                th scope="col" { "By engine hours" } th scope="col" { "Time" }
                            }
                        }
                        tbody {
                            @for week in &ahead.weeks {
                                tr {
                                    th scope="row" { (time(week.week)) }
                                    td { (station(week.station, ahead, ctx)) }
                                    td { (week.items) } td { (week.overdue) } td { (week.by_engine) }
                                    td { (minutes(week.minutes)) }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// Every week of the time, with what comes due in it over all stations.
fn by_week(ahead: &Ahead) -> Vec<WeekDue> {
    let mut monday = monday(ahead.from);
    let mut all = Vec::new();
    while monday <= ahead.until {
        let next = monday.checked_add_days(Days::new(7)).unwrap_or(Day::MAX);
        let of = || ahead.weeks.iter().filter(|week| week.week == monday);
        let visits = ahead.visits.iter();
        let visits = visits.filter(|visit| (monday..next).contains(&visit.day));
        all.push(WeekDue {
            monday,
            by_date: of()
                .map(|it| it.items.saturating_sub(it.overdue + it.by_engine))
                .sum(),
            expected: of().map(|it| it.by_engine).sum(),
            visits: u32::try_from(visits.count()).unwrap_or(u32::MAX),
        });
        monday = next;
    }
    all
}

/// Minutes as a length of time; nothing for none.
fn minutes(minutes: u32) -> String {
    const MINUTE_MS: i64 = 60_000;
    match minutes {
        0 => String::new(),
        minutes => print::span(i64::from(minutes) * MINUTE_MS),
    }
}

fn visits(ahead: &Ahead, ctx: &Context) -> Markup {
    let left: Vec<&DueItem> = without_visit(ahead).collect();
    html! {
        section.visits aria-labelledby="visits" {
            h2 id="visits" { "Visits that do it" }
            @if ahead.visits.is_empty() { p { "None." } }
            @for visit in ahead.visits.iter().take(LISTED_MAX) {
                h3 { (visit_head(visit, ahead, ctx)) }
                p { (sentence(&visit_time(visit))) "." }
                ul {
                    @for item in visit.items.iter().filter_map(|at| ahead.due.get(*at)) {
                        li { (sentence(&due_text(item))) }
                    }
                }
                @let bring = bring_text(&visit.bring);
                @if !bring.is_empty() { p { b { (sentence(&bring)) "." } } }
            }
            (more(ahead.visits.len(), "visits.csv"))
            @if !left.is_empty() {
                h3 { "No visit does these" }
                ul { @for item in left { li { (sentence(&due_text(item))) } } }
            }
        }
    }
}

fn all(ahead: &Ahead, ctx: &Context) -> Markup {
    html! {
        section.all-due aria-labelledby="all-due" {
            h2 id="all-due" { "Everything, by station and week" }
            @if ahead.due.is_empty() { p { "Nothing that is known here." } }
            @for (at, weeks) in listed(ahead) {
                h3 { (sentence(&station(at, ahead, ctx))) }
                table {
                    thead {
                        tr {
                            th scope="col" { "Due" } th scope="col" { "Craft" }
                            th scope="col" { "What" } th scope="col" { "How it stands" }
                        }
                    }
                    @for (week, items) in weeks {
                        tbody {
                            tr { th scope="rowgroup" colspan="4" { (sentence(&week_text(week, &items, ahead.from))) } }
                            @for item in &items { (row(item)) }
                        }
                    }
                }
            }
            (more(ahead.due.len(), "due.csv"))
        }
    }
}

/// A station, and what comes due there week by week.
type AtStation<'a> = (Option<SubjectId>, Vec<(Day, Vec<&'a DueItem>)>);

/// As many whole weeks as the page lists.
fn listed(ahead: &Ahead) -> Vec<AtStation<'_>> {
    let mut left = LISTED_MAX;
    let mut all = Vec::new();
    for (at, weeks) in by_station_and_week(ahead) {
        let weeks: Vec<(Day, Vec<&DueItem>)> = weeks
            .into_iter()
            .filter(|(_, items)| {
                let is_shown = left > 0;
                left = left.saturating_sub(items.len());
                is_shown
            })
            .collect();
        if !weeks.is_empty() {
            all.push((at, weeks));
        }
    }
    all
}

fn row(item: &DueItem) -> Markup {
    let plan = plan_text(item);
    let by_engine = item.engine.as_ref().filter(|_| item.by == By::EngineHours);
    let reckoned = by_engine.and_then(|engine| engine.reached.as_ref().ok());
    html! {
        tr {
            td { (time(item.due)) }
            td { (linked(item.craft, &on_text(item)))}
            th scope="row" { (what_text(item)) }
            td {
                (sentence(&when_text(item)))
                @if !plan.is_empty() { div.soft { (sentence(&plan)) } }
                @if let Some(reached) = reckoned { div.soft { "Reckoned from " (use_text(reached)) } }
            }
        }
    }
}

/// Words that lead to the craft's own page.
fn linked(craft: Option<SubjectId>, words: &str) -> Markup {
    html! {
        @match craft {
            Some(id) => { a href={ "/craft/" (id) } { (words) } }
            None => { (words) }
        }
    }
}

fn more(count: usize, file: &str) -> Markup {
    html! {
        @if count > LISTED_MAX {
            p {
                "Of " (count) " only the first are shown here: choose a station or a craft, or take "
                a href={ "/" (file) } { (file) } "."
            }
        }
    }
}

/// What is not listed by its day: done with the checks, or on a day that nobody can tell.
fn unlisted(ahead: &Ahead) -> Markup {
    html! {
        @if !ahead.often.is_empty() {
            section aria-labelledby="with-checks" {
                h2 id="with-checks" { "With the boat checks, not listed day by day" }
                details {
                    summary { (ahead.often.len()) " of them" }
                    ul { @for often in &ahead.often { li { (sentence(&often_text(often))) } } }
                }
            }
        }
        @if !ahead.not_known.is_empty() {
            section aria-labelledby="no-day" {
                h2 id="no-day" { "Due on a day that nobody can tell" }
                ul { @for one in &ahead.not_known { li { (sentence(&not_known_text(one))) } } }
            }
        }
    }
}

fn shelf(ahead: &Ahead, ctx: &Context) -> Markup {
    html! {
        section.shelf aria-labelledby="shelf" {
            h2 id="shelf" { "What must be on the shelf by when" }
            @if ahead.shelf.is_empty() { p { "Nothing that is known here." } }
            @else {
                table {
                    thead {
                        tr {
                            th scope="col" { "Item" } th scope="col" { "Station" }
                            th scope="col" { "Wanted" } th scope="col" { "There" }
                            th scope="col" { "To order" }
                        }
                    }
                    tbody { @for need in ahead.shelf.iter().take(LISTED_MAX) { (wants(need, ahead, ctx)) } }
                }
                (more(ahead.shelf.len(), "shelf.csv"))
            }
        }
    }
}

fn wants(need: &ShelfNeed, ahead: &Ahead, ctx: &Context) -> Markup {
    html! {
        tr {
            th scope="row" { (label_or(&need.label, need.item.as_str())) }
            td { (station(need.station, ahead, ctx)) }
            td { ul { @for one in &need.wanted { li { (wanted_text(one)) } } } }
            td {
                (need.there)
                @if need.runs_out_unused > 0 {
                    div.soft { (need.runs_out_unused) " more run out before" }
                }
                @if need.not_counted > 0 { div.soft { "Not counted, or long ago: count first" } }
            }
            td { (sentence(&order_text(need, ahead.from))) }
        }
    }
}

fn late(ahead: &Ahead, ctx: &Context) -> Markup {
    let late = &ahead.late;
    let names: Vec<(String, &InTime)> = shares(ahead, ctx);
    html! {
        section.late aria-labelledby="late" {
            h2 id="late" { "What was done late" }
            @match &late.county {
                Some(county) => p { "Across the county: " (in_time_text(county)) "." },
                None => {},
            }
            @if late.done.is_empty() { p { "Nothing was late, as far as is known here." } }
            @if !names.is_empty() {
                details {
                    summary { "In time, by station, craft and inspection" }
                    table {
                        thead { tr { th scope="col" { "Of" } th scope="col" { "In time" } } }
                        tbody {
                            @for (name, share) in &names {
                                tr { th scope="row" { (name) } td { (in_time_text(share)) } }
                            }
                        }
                    }
                }
            }
            @if !late.done.is_empty() {
                table {
                    thead {
                        tr {
                            th scope="col" { "Craft" } th scope="col" { "What" }
                            th scope="col" { "Due" } th scope="col" { "Done" } th scope="col" { "Late" }
                        }
                    }
                    tbody { @for one in late.done.iter().take(LISTED_MAX) { (late_row(one)) } }
                }
                (more(late.done.len(), "late.csv"))
            }
        }
    }
}

fn late_row(one: &DoneLate) -> Markup {
    html! {
        tr {
            td { (linked(Some(one.craft), &short_number(&one.number))) }
            th scope="row" { (label_or(&one.label, one.inspection.as_str())) }
            td { @match one.due { Some(due) => (time(due)), None => "by engine hours" } }
            td { @match one.past { Past::Done(on, _) => (time(on)), Past::StillRunning => "not done yet" } }
            td { (sentence(&how_late(one))) @if one.in_grace { ", within its grace" } }
        }
    }
}

/// Shares in time by station, craft and inspection.
fn shares<'a>(ahead: &'a Ahead, ctx: &Context) -> Vec<(String, &'a InTime)> {
    let late = &ahead.late;
    let stations = late.by_station.iter();
    let stations = stations.map(|(id, share)| (station(Some(*id), ahead, ctx), share));
    let craft = late.by_craft.iter();
    let craft = craft.map(|(_, number, share)| (short_number(number), share));
    let lines = late.by_line.iter();
    let lines = lines.map(|(line, label, share)| (label_or(label, line.as_str()), share));
    stations.chain(craft).chain(lines).collect()
}

/// The same for a calendar, a spreadsheet, a program.
fn along(facts: &PageFacts) -> Markup {
    let files = [
        ("/due.ics", "Visits as a calendar (iCalendar)"),
        ("/due.csv", "What comes due, as CSV"),
        ("/visits.csv", "Visits, as CSV"),
        ("/shelf.csv", "The shelf, as CSV"),
        ("/late.csv", "What was done late, as CSV"),
        ("/due.json", "Everything as JSON"),
    ];
    html! {
        section.rests aria-labelledby="along" {
            h2 id="along" { "To take along" }
            ul.files { @for (path, words) in files { li { a href=(facts.link(path)) { (words) } } } }
            p {
                "A calendar program on the county's own machine can subscribe to due.ics: it then follows "
                "by itself. From elsewhere a calendar program cannot sign in: download the file here and "
                "import it, and do so again for news. An event that moved keeps its name, so a program that "
                "goes by it moves the event and does not double it."
            }
        }
    }
}
