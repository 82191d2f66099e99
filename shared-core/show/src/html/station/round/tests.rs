//! The round as it is served: sound markup, one tap or entry for each line, nothing filled in.

use std::collections::{BTreeMap, BTreeSet};

use scraper::{ElementRef, Html, Selector};
use sponson_readiness::event::Extent;
use sponson_readiness::ids::{StopId, SubjectId};
use sponson_readiness::moment::Moment;
use sponson_readiness::standard::{Standard, built_in};
use sponson_readiness::walk::{Stop, StopLabel, Walk, WalkLine, Wanted};

use super::{
    AskedLine, Ended, Ending, Entry, EventOfRound, LeftOut, Refused, Round, RoundKind, ended,
    ending, line_of_field, progress, round, round_state,
};
use crate::context::Context;
use crate::html::frame;
use crate::html::tests::{checks, facts, in_lines};
use crate::sample;

const MINUTE_MS: i64 = 60_000;
const BAG: SubjectId = SubjectId::from_bytes([0xb3; 16]);
const OPEN_BAG: SubjectId = SubjectId::from_bytes([0xb4; 16]);
const MOTOR: SubjectId = SubjectId::from_bytes([0x31; 16]);

/// Everything that a page is made of.
struct World {
    standard: Standard,
    walk: Walk,
    names: BTreeMap<SubjectId, String>,
    gauges: Vec<String>,
    sealed: BTreeSet<SubjectId>,
    fields: BTreeMap<String, Entry>,
    refused: BTreeMap<String, Refused>,
    figures: BTreeMap<String, Vec<String>>,
    asked: Vec<AskedLine>,
    ctx: Context,
}

impl World {
    /// An inflatable with a bag under a seal, one without, and its motor; nothing is entered yet.
    fn new() -> Self {
        let (_, sheet) = built_in()[0];
        let standard = Standard::parse(sheet).expect("a built-in sheet");
        let names = [(BAG, "B3"), (OPEN_BAG, "Bag 4"), (MOTOR, "M1")];
        Self {
            walk: walk(&standard),
            standard,
            names: names.map(|(id, number)| (id, number.to_owned())).into(),
            gauges: vec!["G1".to_owned(), "G2".to_owned()],
            sealed: BTreeSet::from([BAG]),
            fields: BTreeMap::new(),
            refused: BTreeMap::new(),
            figures: BTreeMap::new(),
            asked: Vec::new(),
            ctx: sample::context(),
        }
    }

    /// The same in the middle: entered by two, one field refused, one asked back.
    fn begun() -> Self {
        let mut world = Self::new();
        for (field, text, who) in [
            ("air", "41 F", "214"),
            ("stood", "2 h", "214"),
            ("reading.tube-1.found", "3.1", "214"),
            ("reading.tube-1.left", "3.7", "214"),
            ("reading.floor.found", "3.5", "377"),
            ("answer.drain-plug", "no", "214"),
            ("answer.drain-plug.note", "spare is missing", "214"),
            ("answer.plate", "could not look", "377"),
            ("count.life-jacket.count", "4", "377"),
            ("seal.B3.number", "00417", "377"),
            ("fault.7.part", "tube-3", "377"),
            ("fault.7.class", "abrasion", "377"),
            ("fault.7.severity", "minor", "377"),
        ] {
            world.enter(field, text, who);
        }
        let left = world.fields.get_mut("reading.tube-1.left");
        left.expect("entered").before = Some(("3.6".to_owned(), "377".to_owned()));
        let refused = Refused {
            text: "about ten".to_owned(),
            why: "fuel.craft.amount is about ten; write 3 gal or 12 L".to_owned(),
            stand_by: None,
        };
        world
            .refused
            .insert("fuel.craft.amount".to_owned(), refused);
        let figure =
            "left 3.70 psi: 3.52 psi at today's launch, wanted 3.48 to 4.06 psi".to_owned();
        world
            .figures
            .insert("reading.tube-1".to_owned(), vec![figure]);
        world.asked.push(AskedLine {
            field: "reading.floor.found".to_owned(),
            text: "3.5 psi is a tube's pressure; the floor shows 7.25 to 24.66 psi".to_owned(),
            affirm: Some("reading.floor.affirmed".to_owned()),
        });
        world
    }

    fn enter(&mut self, field: &str, text: &str, who: &str) {
        let at =
            Moment(sample::AS_OF.0 + i64::try_from(self.fields.len()).expect("few") * MINUTE_MS);
        let entry = Entry {
            text: text.to_owned(),
            who: who.to_owned(),
            at,
            before: None,
        };
        self.fields.insert(field.to_owned(), entry);
    }

    fn round(&self) -> Round<'_> {
        Round {
            id: "0a1b2c3d",
            craft: "Boat 3",
            craft_id: SubjectId::from_bytes([3; 16]),
            kind: RoundKind::Full,
            from_paper: false,
            begun: ("214", sample::AS_OF),
            member: "214",
            token: Some("a-token"),
            standard: &self.standard,
            walk: &self.walk,
            names: &self.names,
            gauges: &self.gauges,
            sealed: &self.sealed,
            fields: &self.fields,
            entries: 11,
            refused: &self.refused,
            figures: &self.figures,
            asked: &self.asked,
            new_fault: 42,
            ctx: &self.ctx,
        }
    }

    fn page(&self) -> String {
        frame("Boat 3: full check", &facts(), &round(&self.round()))
    }
}

fn stop(id: &str, label: StopLabel, lines: Vec<WalkLine>) -> Stop {
    Stop {
        id: StopId::from(id),
        label,
        lines,
    }
}

/// A walk with a line of every sort: every part, question and item of the sheet.
fn walk(standard: &Standard) -> Walk {
    let readings = standard.parts.iter().filter_map(|part| {
        let pressure = part.pressure.as_ref()?;
        Some(WalkLine::Reading {
            part: part.id.clone(),
            wanted: Wanted {
                low_pa: pressure.low_pa,
                nominal_pa: pressure.nominal_pa,
                high_pa: pressure.high_pa,
            },
            valves: !part.joined_to.is_empty(),
        })
    });
    let answers = |is_motor: bool| {
        let all = standard.questions.iter();
        let all = all.filter(move |it| {
            it.part.as_ref().is_some_and(|it| it.as_str() == "motor") == is_motor
        });
        all.map(|it| WalkLine::Answer {
            line: it.id.clone(),
            part: it.part.clone(),
        })
    };
    let count = |at: usize, bag| {
        let item = &standard.items[at];
        let most = item.count_for.values().copied().max().unwrap_or(0);
        WalkLine::Count {
            item: item.id.clone(),
            bag,
            wanted: most.max(item.count),
            dated: item.dated.is_some(),
        }
    };
    let motor = [
        WalkLine::Fuel { tank: None },
        WalkLine::Meter { motor: Some(MOTOR) },
    ];
    let sealed = (18..24).map(|at| count(at, Some(BAG)));
    let open = (24..standard.items.len()).map(|at| count(at, Some(OPEN_BAG)));
    let arriving = vec![
        WalkLine::Air,
        WalkLine::Stood,
        WalkLine::Gauge,
        WalkLine::Ambient,
        WalkLine::Stowage,
        WalkLine::Aboard {
            gear: MOTOR,
            part: None,
        },
    ];
    Walk {
        extent: Extent::Full,
        stops: vec![
            stop("arriving", StopLabel::Arriving, arriving),
            stop(
                "round",
                StopLabel::Round,
                readings.chain(answers(false)).collect(),
            ),
            stop(
                "motor",
                StopLabel::Motor,
                answers(true).chain(motor).collect(),
            ),
            stop(
                "kit",
                StopLabel::Kit,
                (0..18).map(|at| count(at, None)).collect(),
            ),
            stop(
                "bag-b3",
                StopLabel::Bag("B3".to_owned()),
                std::iter::once(WalkLine::Seal { bag: BAG })
                    .chain(sealed)
                    .collect(),
            ),
            stop(
                "bag-4",
                StopLabel::Bag("Bag 4".to_owned()),
                std::iter::once(WalkLine::Seal { bag: OPEN_BAG })
                    .chain(open)
                    .collect(),
            ),
            stop("faults", StopLabel::Faults, vec![WalkLine::Faults]),
        ],
    }
}

fn select(css: &str) -> Selector {
    Selector::parse(css).expect("a selector")
}

#[test]
fn the_page_is_sound() {
    for world in [World::new(), World::begun()] {
        assert_eq!(checks::faults(&world.page()), Vec::<String>::new());
        let looking = round(&Round {
            token: None,
            from_paper: true,
            ..world.round()
        });
        let page = frame("Boat 3", &facts(), &looking);
        assert_eq!(checks::faults(&page), Vec::<String>::new());
    }
}

#[test]
fn a_round_in_the_middle() {
    insta::assert_snapshot!(in_lines(&World::begun().page()));
}

#[test]
fn what_its_script_is_told() {
    let world = World::begun();
    let state = serde_json::to_string_pretty(&round_state(&world.round())).expect("JSON");
    insta::assert_snapshot!(state);
}

/// A page that stands on a phone for long is not large.
#[test]
fn the_page_is_small() {
    let page = World::begun().page();
    assert!(page.len() < 200_000, "{} bytes", page.len());
}

/// Nobody has counted or answered what nobody entered.
#[test]
fn nothing_is_filled_in() {
    let page = Html::parse_document(&World::new().page());
    let filled = select(
        "input[type=radio][checked]:not([value='']), form.enter option[selected]:not([value=''])",
    );
    assert_eq!(page.select(&filled).count(), 0);
    for field in page.select(&select(
        "form.enter input:not([type=hidden]):not([type=radio])",
    )) {
        assert_eq!(
            field.value().attr("value").unwrap_or(""),
            "",
            "{}",
            field.html()
        );
    }
    let pressed = select("form.enter button[aria-pressed=true]");
    assert_eq!(page.select(&pressed).count(), 0);
}

/// Whether something is in sight before anything is opened.
fn in_sight(one: ElementRef<'_>) -> bool {
    let mut above = one.ancestors().filter_map(ElementRef::wrap);
    !above.any(|it| {
        let is_closed = it.value().name() == "details" && it.value().attr("open").is_none();
        is_closed || it.value().attr("class") == Some("if-no")
    })
}

/// Controls in sight of which one alone enters a line.
fn enough(line: ElementRef<'_>) -> usize {
    let proving = line.value().attr("data-proving").unwrap_or("");
    let proving: BTreeSet<&str> = proving.lines().collect();
    let controls = select("input, button");
    let alone = line.select(&controls).filter(|one| {
        let name = one.value().attr("name");
        name.is_some_and(|name| proving.contains(name)) && in_sight(*one)
    });
    alone.count()
}

/// The weekly check takes at most one tap or entry for a line; a reading takes its second value only
/// where air was added, and a line in a bag under its seal none.
#[test]
fn each_line_takes_one_tap_or_entry() {
    let world = World::new();
    let page = Html::parse_document(&world.page());
    let mut entries = 0;
    for line in page.select(&select(".line")) {
        let name = line.value().attr("data-line").unwrap_or("");
        if in_sight(line) {
            assert!(
                enough(line) > 0,
                "{name} has nothing in sight that enters it"
            );
            entries += 1;
        }
    }
    let counted = progress(&world.round());
    assert_eq!(
        entries, counted.of,
        "one tap or entry for each line that counts"
    );
    let kit = select("[data-line^='count.']");
    assert_eq!(
        page.select(&kit).count(),
        world.standard.items.len(),
        "every item has its line"
    );
}

/// Whoever sees all of them says so with one tap, and it is no number that stood there before.
#[test]
fn all_that_is_wanted_is_one_key() {
    let page = Html::parse_document(&World::new().page());
    for (line, words, value) in [
        ("count.life-jacket", "all 8 there", "8"),
        ("count.pump", "1 there", "1"),
        ("count.mooring-line@Bag 4", "both there", "2"),
    ] {
        let keys = select(&format!("[data-line='{line}'] button.key"));
        let key = page
            .select(&keys)
            .find(|it| it.text().collect::<String>() == words);
        let key = key.unwrap_or_else(|| panic!("{line} has no key '{words}'"));
        assert_eq!(key.value().attr("value"), Some(value));
    }
}

#[test]
fn a_seal_stands_for_what_is_in_its_bag_until_somebody_counts_it() {
    let mut world = World::new();
    let before = progress(&world.round());
    let bag = before.stops[4];
    assert_eq!((bag.done, bag.of), (0, 1));
    world.enter("seal.B3.number", "00417", "214");
    assert_eq!(progress(&world.round()).stops[4].done, 1);
    world.fields.remove("seal.B3.number");
    let WalkLine::Count { item, .. } = &world.walk.stops[4].lines[1] else {
        panic!("a count follows the seal");
    };
    let field = format!("count.{}@B3.count", item.as_str());
    world.enter(&field, "1", "214");
    let opened = progress(&world.round()).stops[4];
    assert_eq!(
        (opened.done, opened.of),
        (2, 7),
        "the broken seal is seen to, and one is counted"
    );
}

#[test]
fn a_field_belongs_to_its_line() {
    for (field, line) in [
        ("air", "air"),
        ("elevation", "ambient"),
        ("reading.tube-1.added-by", "reading.tube-1"),
        ("answer.drain-plug", "answer.drain-plug"),
        ("answer.drain-plug.note", "answer.drain-plug"),
        ("count.flare@Bag 1.2.dates", "count.flare@Bag 1.2"),
        ("seal.B 1.2.earliest", "seal.B 1.2"),
        ("fuel.T.1.amount", "fuel.T.1"),
        ("meter.M.3", "meter.M.3"),
        ("fault.7.from-transom", "fault.7"),
        ("fault.7.picture.0", "fault.7"),
    ] {
        assert_eq!(line_of_field(field), line);
    }
}

#[test]
fn the_end_before_and_after() {
    let world = World::begun();
    let answer = sample::county();
    let craft = &answer.craft[1];
    let left_out = [LeftOut {
        label: "keel".to_owned(),
        at: "l-reading.keel".to_owned(),
    }];
    let before = Ending {
        left_out: &left_out,
        wrong: &[],
        as_if: Ok((&answer, craft)),
    };
    let before = frame("The end", &facts(), &ending(&world.round(), &before));
    assert_eq!(checks::faults(&before), Vec::<String>::new());
    insta::assert_snapshot!("before", in_lines(&before));
    let events = [EventOfRound {
        id: "a1b2c3d4e5f6".to_owned(),
        what: "boat check".to_owned(),
        member: "214".to_owned(),
        is_synced: false,
    }];
    let next = [("/craft/4".to_owned(), "Boat 4 is next".to_owned())];
    let after = Ended {
        is_recorded: true,
        by: "214",
        at: "2026-03-14 09:02".to_owned(),
        station: "Mill Race",
        events: &events,
        next: &next,
    };
    let after = frame(
        "Recorded",
        &facts(),
        &ended(&world.round(), &after, Some((&answer, craft))),
    );
    assert_eq!(checks::faults(&after), Vec::<String>::new());
    insta::assert_snapshot!("after", in_lines(&after));
}

/// What keeps a check from being recorded stands first, and there is no button.
#[test]
fn what_cannot_be_recorded_has_no_button() {
    let world = World::begun();
    let wrong = [(
        "fuel.craft.amount".to_owned(),
        "fuel.craft.amount is about ten".to_owned(),
    )];
    let before = Ending {
        left_out: &[],
        wrong: &wrong,
        as_if: Err("the log is closed"),
    };
    let page = frame("The end", &facts(), &ending(&world.round(), &before));
    assert!(!page.contains("/record"), "nothing to press");
    assert!(page.contains("#l-fuel.craft"), "leads to the line");
}
