//! The walk round a craft: every line of its sheet at one stop, whatever the sheet names.

use std::collections::BTreeSet;

use proptest::prelude::*;
use sponson_readiness::event::{Extent, GearKind};
use sponson_readiness::ids::{LineId, PartId, StopId, SubjectId};
use sponson_readiness::standard::{Also, SheetStop, Standard, built_in};
use sponson_readiness::walk::{Aboard, BagAboard, GearAboard, StopLabel, Walk, WalkLine, walk};

fn sheets() -> Vec<Standard> {
    let texts = built_in().into_iter();
    texts
        .map(|(name, text)| Standard::parse(text).unwrap_or_else(|error| panic!("{name}: {error}")))
        .collect()
}

fn subject(byte: u8) -> SubjectId {
    SubjectId::from_bytes([byte; 16])
}

/// A motor, a tank, a trailer, a breathing set, a radio, and two bags, one with jackets in it.
fn laden(standard: &Standard) -> Aboard {
    let gear = [
        (1, "M1", GearKind::Motor),
        (2, "T1", GearKind::FuelTank),
        (3, "TR1", GearKind::Trailer),
        (4, "BA1", GearKind::BreathingSet),
        (5, "R1", GearKind::Radio),
    ];
    let gear = gear.map(|(byte, number, kind)| GearAboard {
        id: subject(byte),
        number: number.to_owned(),
        kind,
        part: (kind == GearKind::Motor).then(|| PartId::from("motor")),
    });
    let bag = |byte, number: &str, items: &[LineId]| BagAboard {
        id: subject(byte),
        number: number.to_owned(),
        items: items.iter().cloned().collect(),
    };
    let items: Vec<LineId> = standard.items.iter().map(|item| item.id.clone()).collect();
    Aboard {
        bags: vec![bag(20, "B 3", &items[..2]), bag(21, "b-3", &items[1..3])],
        gear: gear.to_vec(),
        on_craft: [items[0].clone()].into(),
    }
}

/// The ids of a walk, each as often as it is looked at.
fn parts(walk: &Walk) -> Vec<&PartId> {
    let mut parts: Vec<&PartId> = walk
        .lines()
        .filter_map(|line| {
            let WalkLine::Reading { part, .. } = line else {
                return None;
            };
            Some(part)
        })
        .collect();
    parts.sort();
    parts
}

fn check_whole(standard: &Standard, aboard: &Aboard) {
    let whole = walk(standard, aboard, Extent::Full);
    let of_air = standard.parts.iter().filter(|part| part.pressure.is_some());
    let mut wanted: Vec<&PartId> = of_air.map(|part| &part.id).collect();
    wanted.sort();
    assert_eq!(parts(&whole), wanted, "each gauge is read once");
    let answers: Vec<&LineId> = whole
        .lines()
        .filter_map(|line| {
            let WalkLine::Answer { line, .. } = line else {
                return None;
            };
            Some(line)
        })
        .collect();
    let once: BTreeSet<&LineId> = answers.iter().copied().collect();
    assert_eq!(once.len(), answers.len(), "no question is asked twice");
    assert_eq!(
        once,
        standard.questions.iter().map(|line| &line.id).collect()
    );
    let counted: BTreeSet<&LineId> = whole
        .lines()
        .filter_map(|line| {
            let WalkLine::Count { item, .. } = line else {
                return None;
            };
            Some(item)
        })
        .collect();
    let long = |item: &&sponson_readiness::standard::Item| {
        let length = standard.length_mm.zip(item.from_length_mm);
        length.is_none_or(|(length, from)| length >= from)
    };
    let items = standard.items.iter().filter(long);
    assert_eq!(counted, items.map(|item| &item.id).collect());
    let lines: Vec<&WalkLine> = whole.lines().collect();
    let distinct: BTreeSet<&WalkLine> = lines.iter().copied().collect();
    assert_eq!(distinct.len(), lines.len(), "nothing stands at two stops");
    let ids: BTreeSet<&StopId> = whole.stops.iter().map(|stop| &stop.id).collect();
    assert_eq!(ids.len(), whole.stops.len(), "no stop has another's id");
    for bag in &aboard.bags {
        assert!(distinct.contains(&WalkLine::Seal { bag: bag.id }));
    }
    for gear in &aboard.gear {
        let seen =
            |line: &&WalkLine| matches!(line, WalkLine::Aboard { gear: id, .. } if *id == gear.id);
        assert_eq!(lines.iter().filter(|line| seen(line)).count(), 1);
    }
    assert!(distinct.contains(&WalkLine::Faults));
}

#[test]
fn every_line_of_every_built_in_sheet_stands_at_one_stop() {
    for standard in sheets() {
        check_whole(&standard, &Aboard::default());
        check_whole(&standard, &laden(&standard));
        let mut bare = standard;
        bare.stops.clear();
        check_whole(&bare, &Aboard::default());
        check_whole(&bare, &laden(&bare));
    }
}

#[test]
fn a_short_check_comes_by_a_part_of_the_same_walk_in_the_same_order() {
    for standard in sheets() {
        let aboard = laden(&standard);
        let full = walk(&standard, &aboard, Extent::Full);
        let short = walk(&standard, &aboard, Extent::Short);
        let mut rest = full.lines();
        for line in short.lines() {
            assert!(rest.any(|other| other == line), "{line:?} in its order");
        }
        assert!(short.lines().count() * 2 < full.lines().count());
        assert!(short.stops.iter().all(|stop| !stop.lines.is_empty()));
        let gauges = parts(&short);
        assert_eq!(gauges, parts(&full), "every gauge is read between runs");
        assert_eq!(walk(&standard, &aboard, Extent::Part).stops, full.stops);
    }
}

/// How the walk of a sheet goes, for people to look at.
fn told(walk: &Walk) -> String {
    let stops = walk.stops.iter();
    let stops = stops.map(|stop| {
        let lines: Vec<String> = stop.lines.iter().map(word).collect();
        format!(
            "{} [{}]: {}\n",
            stop.id,
            label(&stop.label),
            lines.join(", ")
        )
    });
    stops.collect()
}

fn label(label: &StopLabel) -> String {
    if let StopLabel::Sheet(words) = label {
        return words.clone();
    }
    format!("{label:?}")
}

fn word(line: &WalkLine) -> String {
    if let WalkLine::Reading { part, valves, .. } = line {
        return format!("{part}{}", if *valves { " (valves)" } else { "" });
    }
    if let WalkLine::Answer { line, .. } = line {
        return format!("{line}?");
    }
    if let WalkLine::Count { item, wanted, .. } = line {
        return format!("{wanted} {item}");
    }
    format!("{line:?}").to_lowercase()
}

#[test]
fn the_walk_of_the_inflatable_goes_round_it() {
    let sheets = sheets();
    let inflatable = &sheets[0];
    insta::assert_snapshot!(told(&walk(inflatable, &Aboard::default(), Extent::Full)));
}

#[test]
fn a_sheet_without_stops_is_walked_by_its_parts() {
    let sheets = sheets();
    let mut raft = sheets[3].clone();
    raft.stops.clear();
    insta::assert_snapshot!(told(&walk(&raft, &laden(&raft), Extent::Full)));
}

/// What a sheet says when a stop is added to it.
fn refused(stop: &str) -> String {
    let (_, text) = built_in()[0];
    let text = format!("{text}\n[[stop]]\n{stop}");
    let error = Standard::parse(&text).expect_err("the stop cannot be");
    error.to_string()
}

#[test]
fn a_stop_that_cannot_be_is_refused_with_its_remedy() {
    let cases = [
        (
            "id = \"x\"\nlabel = \"X\"\nlines = [\"no-such\"]",
            "must be a question or an item",
        ),
        (
            "id = \"x\"\nlabel = \"X\"\nparts = [\"no-such\"]",
            "must be a part of this sheet",
        ),
        (
            "id = \"x\"\nlabel = \"X\"\nlines = [\"hull\"]",
            "leave it at one stop",
        ),
        (
            "id = \"x\"\nlabel = \"X\"\nparts = [\"keel\"]",
            "leave it at one stop",
        ),
        (
            "id = \"x\"\nlabel = \"X\"\nalso = [\"fuel\"]",
            "leave it at one stop",
        ),
        (
            "id = \"bow\"\nlabel = \"X\"\nlines = [\"knife\"]",
            "rename one",
        ),
        (
            "id = \"bag-3\"\nlabel = \"X\"\nlines = [\"knife\"]",
            "give another id",
        ),
        (
            "id = \"rest\"\nlabel = \"X\"\nlines = [\"knife\"]",
            "give another id",
        ),
        (
            "id = \"At Bow\"\nlabel = \"X\"\nlines = [\"knife\"]",
            "small letters",
        ),
        (
            "id = \"x\"\nlabel = \" \"\nlines = [\"knife\"]",
            "characters of words",
        ),
        ("id = \"x\"\nlabel = \"X\"", "drop it"),
        (
            "id = \"x\"\nlabel = \"X\"\nalso = [\"lunch\"]",
            "unknown variant",
        ),
    ];
    for (stop, remedy) in cases {
        let said = refused(stop);
        assert!(said.contains(remedy), "{stop}: {said}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, cases: 64, ..ProptestConfig::default() })]

    /// Stops drawn at random: each part and line at one of them or at none.
    #[test]
    fn whatever_the_stops_name_every_line_stands_at_one(
        sheet in 0_usize..4,
        places in prop::collection::vec(0_usize..6, 120),
        loaded in any::<bool>(),
    ) {
        let mut standard = sheets().swap_remove(sheet);
        let mut places = places.into_iter();
        let mut stops: Vec<SheetStop> = (0..5).map(|at| SheetStop {
            id: StopId(format!("stop-{at}")),
            label: format!("Stop {at}"),
            parts: Vec::new(),
            lines: Vec::new(),
            also: Vec::new(),
        }).collect();
        let mut draw = || places.next().unwrap_or(5);
        for part in &standard.parts {
            if let Some(stop) = stops.get_mut(draw()) {
                stop.parts.push(part.id.clone());
            }
        }
        let items = standard.items.iter().map(|line| &line.id);
        for line in items.chain(standard.questions.iter().map(|line| &line.id)) {
            if let Some(stop) = stops.get_mut(draw()) {
                stop.lines.push(line.clone());
            }
        }
        for also in Also::ALL {
            if let Some(stop) = stops.get_mut(draw()) {
                stop.also.push(also);
            }
        }
        standard.stops = stops;
        let aboard = if loaded { laden(&standard) } else { Aboard::default() };
        check_whole(&standard, &aboard);
    }
}
