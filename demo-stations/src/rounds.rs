//! What a crew writes down when it goes round a craft: the text of a check file, and the air that
//! it added or let out on the way.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use sponson_readiness::event::DateMark;
use sponson_readiness::standard::Item;

use crate::world::{Craft, Gauge, far_date, pascal};

/// How a round is done.
#[derive(Clone, Debug)]
pub struct Round<'a> {
    /// Painted number.
    pub number: &'a str,
    /// Member number of the crew.
    pub member: &'a str,
    /// `full`, `short`, or `part`: every line then, in an entry that claims only a part.
    pub extent: &'a str,
    /// Air in the bay, degrees Celsius.
    pub celsius: f64,
    /// Now, milliseconds since 1970.
    pub now_ms: i64,
    /// The numbered gauge that is read by.
    pub gauge: Option<&'a Gauge>,
}

/// A chamber that was topped up, or air let out of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AirMoved {
    /// The part.
    pub part: String,
    /// Gauge before and after, millibar.
    pub mbar: (i64, i64),
}

/// Goes round a craft: tops up what is too soft, lets air out of what is too hard, and writes the
/// check file.
#[must_use]
pub fn go_round(craft: &mut Craft, round: &Round<'_>) -> (String, Vec<AirMoved>) {
    let mut text = String::new();
    let mut air_moved = Vec::new();
    heading(&mut text, craft, round);
    readings(&mut text, craft, round, &mut air_moved);
    if round.extent != "short" {
        counts(&mut text, craft);
        let _fits = writeln!(
            text,
            "[meters]\n{} = \"{}\"",
            craft.motor,
            hours(craft.engine_s)
        );
    }
    answers(&mut text, craft, round.extent);
    (text, air_moved)
}

fn heading(text: &mut String, craft: &Craft, round: &Round<'_>) {
    let bags: BTreeSet<&String> = craft.bagged.values().collect();
    let mut aboard: Vec<String> = bags.iter().map(|bag| format!("\"{bag}\"")).collect();
    if !craft.motor.is_empty() {
        aboard.insert(0, format!("\"{}\"", craft.motor));
    }
    let _fits = write!(
        text,
        "craft = \"{}\"\nmember = \"{}\"\nextent = \"{}\"\nair = \"{} C\"\nstood = \"10 h\"\n\
         stowage = \"inflated\"\naboard = [{}]\n",
        round.number,
        round.member,
        round.extent,
        round.celsius,
        aboard.join(", "),
    );
    if let Some(gauge) = round.gauge {
        let _fits = writeln!(text, "gauge = \"{}\"", gauge.number);
    }
}

fn readings(
    text: &mut String,
    craft: &mut Craft,
    round: &Round<'_>,
    air_moved: &mut Vec<AirMoved>,
) {
    let has_pump = craft.counts.get("pump") != Some(&0);
    let rules: Vec<(String, [i64; 3])> = craft
        .standard
        .parts
        .iter()
        .filter_map(|part| {
            let rule = part.pressure.as_ref()?;
            let range = [rule.low_pa, rule.nominal_pa, rule.high_pa];
            Some((part.id.as_str().to_owned(), range))
        })
        .collect();
    let over_pa = round.gauge.map_or(0.0, |gauge| gauge.over_pa);
    for (part, [low_pa, nominal_pa, high_pa]) in rules {
        let Some(chamber) = craft.chambers.get_mut(&part) else {
            continue;
        };
        let found = chamber.gauge_pa(round.now_ms, round.celsius) + over_pa;
        let _fits = writeln!(text, "[readings.{part}]\nfound = \"{} mbar\"", mbar(found));
        let too_soft = found < pascal(low_pa) && has_pump;
        if too_soft || found > pascal(high_pa) {
            let wanted = pascal(nominal_pa);
            chamber.fill(wanted - over_pa, round.now_ms, round.celsius);
            let _fits = writeln!(text, "left = \"{} mbar\"", mbar(wanted));
            air_moved.push(AirMoved {
                part,
                mbar: (mbar(found), mbar(wanted)),
            });
        }
    }
}

fn counts(text: &mut String, craft: &Craft) {
    for item in &craft.standard.items {
        let id = item.id.as_str();
        let most = item.count_for.values().copied().max().unwrap_or(0);
        let usual = item.count.max(most);
        let bag = craft.bagged.get(id);
        let really = craft.counts.get(id).copied().filter(|_| bag.is_none());
        let count = really.unwrap_or(usual);
        let _fits = writeln!(text, "[counts.{id}]\ncount = {count}");
        if let Some(bag) = bag {
            let _fits = writeln!(text, "bag = \"{bag}\"");
        }
        if item.dated.is_some() && count > 0 {
            let _fits = writeln!(text, "dates = [{}]", dates(craft, item, count));
        }
    }
}

fn dates(craft: &Craft, item: &Item, count: u32) -> String {
    let far = DateMark {
        year: 2028,
        month: Some(5),
        day: None,
    };
    let written = craft
        .dates
        .get(item.id.as_str())
        .cloned()
        .unwrap_or_else(|| far_date(count, far));
    let each: Vec<String> = written
        .split(", ")
        .map(|lot| format!("\"{lot}\""))
        .collect();
    each.join(", ")
}

fn answers(text: &mut String, craft: &Craft, extent: &str) {
    let _fits = writeln!(text, "[answers]");
    for question in &craft.standard.questions {
        let id = question.id.as_str();
        let answer = craft.answers.get(id).map_or("yes", String::as_str);
        // Between runs only what stops a boat is looked at.
        let short = matches!(id, "stop-switch" | "nav-lights" | "drain-plug");
        if extent != "short" || short {
            let _fits = writeln!(text, "{id} = \"{answer}\"");
        }
    }
}

/// Engine time as the meter shows it.
#[must_use]
pub fn hours(engine_s: u64) -> String {
    format!("{}.{} h", engine_s / 3600, engine_s % 3600 / 360)
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a gauge shows a few hundred millibar"
)]
fn mbar(gauge_pa: f64) -> i64 {
    (gauge_pa / 100.0).round() as i64
}
