//! What a sheet of paper asks at each stop of the walk: lines, numbered through, each with the boxes
//! that are filled in. The printed sheet and the page on which it is entered are both made from
//! this, so that the two have the same lines in the same order.
//!
//! A box knows the name of the field under which what stands in it is entered. Nothing is ever
//! filled in here.

mod words;

use sponson_readiness::ids::SubjectId;
use sponson_readiness::standard::{Standard, Units};
use sponson_readiness::walk::{Aboard, Walk, WalkLine};

pub use words::stop_words;

/// From what the lines are made.
#[derive(Clone, Copy, Debug)]
pub struct PaperSource<'a> {
    /// The craft's sheet.
    pub standard: &'a Standard,
    /// The walk round it.
    pub walk: &'a Walk,
    /// What is on it, for the numbers of gear and bags.
    pub aboard: &'a Aboard,
    /// Units in which one writes.
    pub units: Units,
}

/// A stop with its lines.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PaperStop {
    /// What it is called.
    pub label: String,
    /// Its lines.
    pub lines: Vec<PaperLine>,
}

/// A line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PaperLine {
    /// Its number on the sheet, from 1.
    pub number: usize,
    /// What is looked at.
    pub line: WalkLine,
    /// In words.
    pub words: String,
    /// How it should be, in words; empty where nothing is said.
    pub wanted: String,
    /// How much of the paper's width it takes.
    pub room: Room,
    /// What is filled in.
    pub boxes: Vec<PaperBox>,
}

/// How much of the paper's width a line takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Room {
    /// All of it.
    Whole,
    /// A half.
    Half,
    /// A third.
    Third,
}

impl Room {
    /// Lines of its sort side by side.
    #[must_use]
    pub const fn abreast(self) -> usize {
        match self {
            Self::Whole => 1,
            Self::Half => 2,
            Self::Third => 3,
        }
    }
}

/// A box to be filled in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PaperBox {
    /// Name of the field under which it is entered.
    pub field: String,
    /// What belongs in it.
    pub caption: String,
    /// What is written.
    pub kind: BoxKind,
}

/// What is written in a box.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BoxKind {
    /// A whole number.
    Count,
    /// A number with its unit.
    Quantity,
    /// A number or a name that is painted on something.
    Number,
    /// A date, or several.
    Dates,
    /// Words.
    Words,
    /// One of a few words.
    OneOf(&'static [(&'static str, &'static str)]),
    /// One of a few, ticked: the value of the field, and the words beside the square.
    Ticks(&'static [(&'static str, &'static str)]),
}

/// Answers to a question, in the words of the field and of the paper.
pub const ANSWERS: &[(&str, &str)] = &[
    ("yes", "yes"),
    ("no", "no"),
    ("not fitted", "not fitted"),
    ("could not look", "could not look"),
    ("not used here", "not used here"),
];

/// How a craft is kept.
pub const STOWAGES: &[(&str, &str)] = &[
    ("rigged", "rigged"),
    ("inflated", "inflated"),
    ("rolled", "rolled"),
];

/// Yes or no.
pub const YES_NO: &[(&str, &str)] = &[("yes", "yes"), ("no", "no")];

/// What air is added by.
pub const AIR_SOURCES: &[(&str, &str)] = &[
    ("hand pump", "hand pump"),
    ("foot pump", "foot pump"),
    ("electric pump", "electric pump"),
    ("cylinder", "cylinder"),
    ("breathing set", "breathing set"),
    ("compressor", "compressor"),
];

/// Intercommunication valves.
pub const VALVES: &[(&str, &str)] = &[("shut", "shut"), ("open", "open")];

/// How bad a fault is.
pub const SEVERITIES: &[(&str, &str)] = &[
    ("disabling", "disabling"),
    ("restrictive", "restrictive"),
    ("major", "major"),
    ("minor", "minor"),
];

/// Sides of a craft.
pub const SIDES: &[(&str, &str)] = &[
    ("port", "port"),
    ("centre", "middle"),
    ("starboard", "starboard"),
];

/// Every stop of the walk with its lines, numbered through. The line for faults is among them and
/// has no boxes: how many faults there is room for is the page's affair ([`fault_boxes`]).
#[must_use]
pub fn paper_stops(source: &PaperSource<'_>) -> Vec<PaperStop> {
    let mut number = 0;
    let stops = source.walk.stops.iter().map(|stop| PaperStop {
        label: stop_words(&stop.label),
        lines: stop
            .lines
            .iter()
            .map(|line| {
                number += 1;
                paper_line(number, line, source)
            })
            .collect(),
    });
    stops.collect()
}

/// What is filled in for the fault of a number, from 1.
#[must_use]
pub fn fault_boxes(number: usize) -> Vec<PaperBox> {
    let field = |name: &str| format!("fault.{number}.{name}");
    vec![
        boxed(field("part"), "at which part", BoxKind::Words),
        boxed(
            field("class"),
            "what: leak, tear, wear, loose …",
            BoxKind::Words,
        ),
        boxed(field("from-transom"), "from the transom", BoxKind::Quantity),
        boxed(field("severity"), "how bad", BoxKind::Ticks(SEVERITIES)),
        boxed(field("side"), "side", BoxKind::Ticks(SIDES)),
        boxed(
            field("missions"),
            "rules out, if restrictive",
            BoxKind::Words,
        ),
        boxed(field("note"), "in words", BoxKind::Words),
    ]
}

fn paper_line(number: usize, line: &WalkLine, source: &PaperSource<'_>) -> PaperLine {
    PaperLine {
        number,
        line: line.clone(),
        words: words::of_line(line, source),
        wanted: words::wanted(line, source),
        room: room(line),
        boxes: boxes(line, source),
    }
}

const fn room(line: &WalkLine) -> Room {
    match line {
        WalkLine::Air
        | WalkLine::Stood
        | WalkLine::Gauge
        | WalkLine::Ambient
        | WalkLine::Stowage => Room::Third,
        WalkLine::Count { dated: false, .. }
        | WalkLine::Meter { .. }
        | WalkLine::Cylinder { .. }
        | WalkLine::Aboard { .. } => Room::Half,
        WalkLine::Count { dated: true, .. }
        | WalkLine::Reading { .. }
        | WalkLine::Answer { .. }
        | WalkLine::Seal { .. }
        | WalkLine::Fuel { .. }
        | WalkLine::Faults => Room::Whole,
    }
}

fn boxed(field: String, caption: &str, kind: BoxKind) -> PaperBox {
    PaperBox {
        field,
        caption: caption.to_owned(),
        kind,
    }
}

fn boxes(line: &WalkLine, source: &PaperSource<'_>) -> Vec<PaperBox> {
    let one = |field: &str, caption: &str, kind| vec![boxed(field.to_owned(), caption, kind)];
    let gear = |id: &SubjectId| source.number_of(*id);
    match line {
        WalkLine::Air => one(
            "air",
            words::temperature_unit(source.units),
            BoxKind::Quantity,
        ),
        WalkLine::Stood => one("stood", "hours, or days", BoxKind::Quantity),
        WalkLine::Gauge => one("gauge", "its number", BoxKind::Number),
        WalkLine::Ambient => one("ambient", "inHg or hPa", BoxKind::Quantity),
        WalkLine::Stowage => one("stowage", "", BoxKind::Ticks(STOWAGES)),
        WalkLine::Reading { part, valves, .. } => reading(part.as_str(), *valves, source.units),
        WalkLine::Answer { line, .. } => vec![
            boxed(format!("answer.{line}"), "", BoxKind::Ticks(ANSWERS)),
            boxed(format!("answer.{line}.note"), "note", BoxKind::Words),
        ],
        WalkLine::Seal { bag } => seal(&gear(bag)),
        WalkLine::Count {
            item, bag, dated, ..
        } => {
            let bag = bag.as_ref().map(gear);
            let place = bag.map_or_else(|| item.to_string(), |bag| format!("{item}@{bag}"));
            count(&place, *dated)
        }
        WalkLine::Fuel { tank } => {
            let tank = tank.as_ref().map_or_else(|| "craft".to_owned(), gear);
            fuel(&tank, source)
        }
        WalkLine::Meter { motor } => {
            let motor = motor.as_ref().map_or_else(|| "craft".to_owned(), gear);
            one(&format!("meter.{motor}"), "hours", BoxKind::Quantity)
        }
        WalkLine::Cylinder { gear: id } => one(
            &format!("cylinder.{}", gear(id)),
            "gauge",
            BoxKind::Quantity,
        ),
        WalkLine::Aboard { gear: id, .. } => {
            one(&format!("aboard.{}", gear(id)), "", BoxKind::Ticks(YES_NO))
        }
        WalkLine::Faults => Vec::new(),
    }
}

fn reading(part: &str, valves: bool, units: Units) -> Vec<PaperBox> {
    let unit = crate::units::print::pressure_unit(units);
    let field = |name: &str| format!("reading.{part}.{name}");
    let mut boxes = vec![
        boxed(field("found"), &format!("found, {unit}"), BoxKind::Quantity),
        boxed(field("left"), &format!("left, {unit}"), BoxKind::Quantity),
        boxed(
            field("added-by"),
            "air added by",
            BoxKind::OneOf(AIR_SOURCES),
        ),
        boxed(field("since"), "min. since then", BoxKind::Quantity),
    ];
    if valves {
        boxes.push(boxed(field("valves"), "valves", BoxKind::Ticks(VALVES)));
    }
    boxes
}

fn seal(bag: &str) -> Vec<PaperBox> {
    let field = |name: &str| format!("seal.{bag}.{name}");
    vec![
        boxed(field("number"), "seal number", BoxKind::Number),
        boxed(
            field("earliest"),
            "earliest date on its tag",
            BoxKind::Dates,
        ),
    ]
}

fn count(place: &str, dated: bool) -> Vec<PaperBox> {
    let field = |name: &str| format!("count.{place}.{name}");
    let mut boxes = vec![
        boxed(field("count"), "count", BoxKind::Count),
        boxed(field("bad"), "bad", BoxKind::Count),
    ];
    if dated {
        boxes.push(boxed(
            field("dates"),
            "dates, as in 3 × 2027-03, 1 × made 2024-05",
            BoxKind::Dates,
        ));
    }
    boxes
}

fn fuel(tank: &str, source: &PaperSource<'_>) -> Vec<PaperBox> {
    let field = |name: &str| format!("fuel.{tank}.{name}");
    vec![
        boxed(
            field("amount"),
            words::fuel_unit(source.units),
            BoxKind::Quantity,
        ),
        boxed(field("filled"), "filled on", BoxKind::Dates),
        boxed(field("mix"), "petrol to oil", BoxKind::Number),
    ]
}

impl PaperSource<'_> {
    /// Painted number of a bag or of gear; its id where it is not known.
    fn number_of(&self, id: SubjectId) -> String {
        let bag = self.aboard.bags.iter().find(|bag| bag.id == id);
        let gear = self.aboard.gear.iter().find(|gear| gear.id == id);
        let number = bag
            .map(|bag| &bag.number)
            .or_else(|| gear.map(|gear| &gear.number));
        number.map_or_else(|| format!("#{id}"), Clone::clone)
    }
}
