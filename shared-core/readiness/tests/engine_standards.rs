//! Built-in sheets, and what a sheet is refused for.

#[path = "engine_standards/limits.rs"]
mod limits;

use sponson_readiness::answer::Basis;
use sponson_readiness::ids::LineId;
use sponson_readiness::standard::{
    Cited, FUEL, Policy, SIGNALS, Standard, StandardError, built_in,
};

fn sheet(name: &str) -> &'static str {
    built_in()
        .into_iter()
        .find(|(built, _)| *built == name)
        .map(|(_, text)| text)
        .expect("a built-in sheet")
}

#[test]
fn built_in_sheets_parse_and_every_line_has_a_source() {
    for (name, text) in built_in() {
        let standard = Standard::parse(text).unwrap_or_else(|error| panic!("{name}: {error}"));
        assert_eq!(standard.model.as_str(), name);
        let all = every_line(&standard);
        assert!(all.len() > 50, "{name} has {} lines", all.len());
        for (line, cited) in all {
            assert!(cited.source.trim().len() > 5, "{name} {line}");
        }
    }
}

/// Every line of a sheet by its id, with where it comes from.
fn every_line(standard: &Standard) -> Vec<(&str, &Cited)> {
    let parts = standard.parts.iter().map(|it| (it.id.as_str(), &it.cited));
    let items = standard.items.iter().map(|it| (it.id.as_str(), &it.cited));
    let inspections = standard.inspections.iter();
    let inspections = inspections.map(|it| (it.id.as_str(), &it.cited));
    let questions = standard.questions.iter();
    let questions = questions.map(|it| (it.id.as_str(), &it.cited));
    let signals = standard.signals.iter().map(|it| (SIGNALS, &it.cited));
    let fuel = standard.fuel.iter().map(|it| (FUEL, &it.cited));
    let lines = parts.chain(items).chain(inspections).chain(questions);
    let tables = signals
        .chain(fuel)
        .chain([("check", &standard.check.cited)]);
    lines.chain(tables).collect()
}

/// What has no source says so in one way, so that nobody takes a figure of ours for a rule: the
/// words end the source, alone or after what they are about. Neither law nor maker is such.
#[test]
fn what_is_common_practice_says_so_in_one_way() {
    const WORDS: &str = "common practice, no source";
    let mut said = 0;
    for (name, text) in built_in() {
        let standard = Standard::parse(text).unwrap_or_else(|error| panic!("{name}: {error}"));
        for (line, cited) in every_line(&standard) {
            let source = cited.source.as_str();
            let lower = source.to_lowercase();
            if !lower.contains("common practice") && !lower.contains("no source") {
                continue;
            }
            said += 1;
            let before = source.strip_suffix(WORDS);
            let before = before.unwrap_or_else(|| panic!("{name} {line}: {source}"));
            assert!(
                before.is_empty() || before.ends_with(": "),
                "{name} {line}: {source}"
            );
            assert!(
                !before.contains("common practice"),
                "{name} {line}: {source}"
            );
            let weak = matches!(cited.basis, Basis::Trade | Basis::Agency);
            assert!(weak || !before.is_empty(), "{name} {line}: {source}");
        }
    }
    assert!(said > 50, "{said} lines");
    for line in Policy::default_text()
        .lines()
        .filter(|line| line.starts_with('#'))
    {
        let lower = line.to_lowercase();
        assert_eq!(
            lower.contains("common practice"),
            lower.contains(WORDS),
            "{line}"
        );
    }
}

#[test]
fn the_short_check_is_what_a_sheet_marks_else_pressure_jackets_lights_damage_and_fuel() {
    let check = |text: &str, parts: usize, lines: &[&str]| {
        let between = Standard::parse(text).expect("parses").between_runs();
        let found: Vec<&str> = between.lines.iter().map(LineId::as_str).collect();
        assert_eq!(between.parts.len(), parts, "{:?}", between.parts);
        assert_eq!(found, lines);
    };
    let jackets = ["child-life-jacket", "infant-life-jacket", "life-jacket"];
    let own = |first: &[&'static str], last: &[&'static str]| {
        let mut lines: Vec<&str> = [first, &jackets, last].concat();
        lines.push("youth-life-jacket");
        lines.sort_unstable();
        lines
    };
    let marked = sheet("inflatable-14");
    check(
        marked,
        7,
        &own(&["fuel", "fuel-leak"], &["hull", "nav-lights"]),
    );
    let unmarked = marked.replace("between_runs = true\n", "");
    check(&unmarked, 7, &own(&["fuel"], &["hull", "nav-lights"]));
    let raft = sheet("raft-13");
    check(raft, 7, &own(&["inflatable-life-jacket"], &["hull"]));
    check(
        &raft.replace("between_runs = true\n", ""),
        7,
        &own(&["inflatable-life-jacket"], &["hull"]),
    );
    let one = unmarked.replace("id = \"keel\"\n", "id = \"keel\"\nbetween_runs = true\n");
    check(&one, 1, &["fuel"]);
    insta::assert_snapshot!(
        refused("id = \"transom\"\n", "id = \"transom\"\nbetween_runs = true\n"),
        @"transom: between_runs is true; only a part that holds air is read between runs: drop it, or mark a question"
    );
}

#[test]
fn ids_that_others_rely_on_are_there() {
    let standard = Standard::parse(sheet("inflatable-14")).expect("parses");
    let parts: Vec<&str> = standard.parts.iter().map(|part| part.id.as_str()).collect();
    for id in ["tube-1", "tube-5", "keel", "floor", "transom", "motor"] {
        assert!(parts.contains(&id), "part {id}");
    }
    let items: Vec<&str> = standard.items.iter().map(|item| item.id.as_str()).collect();
    for id in [
        "life-jacket",
        "child-life-jacket",
        "flare-red-hand",
        "throw-bag",
        "pump",
        "gauge",
        "repair-kit",
        "paddle",
        "first-aid-kit",
        "radio",
        "helmet",
        "fire-extinguisher",
        "anchor-line",
    ] {
        assert!(items.contains(&id), "item {id}");
    }
    let lines: Vec<&str> = standard
        .inspections
        .iter()
        .map(|line| line.id.as_str())
        .chain(standard.questions.iter().map(|line| line.id.as_str()))
        .collect();
    for id in [
        "fuel-line",
        "transom-seal",
        "seams",
        "engine-service",
        "valves",
        "relief-valves",
        "engine-run",
        "stop-switch",
        "safety-line",
        "nav-lights",
        "drain-plug",
        "numbers",
        "plate",
        "steering",
        "trailer",
    ] {
        assert!(lines.contains(&id), "line {id}");
    }
}

#[test]
fn the_built_in_policy_parses() {
    let policy = Policy::parse(Policy::default_text()).expect("parses");
    assert_eq!(policy.crew_mass_g, 113_398);
    assert_eq!(policy.person_mass_g, 83_915);
    assert_eq!(policy.silent_hours, 72);
}

/// What a change of the sheet is refused with.
fn refused(from: &str, to: &str) -> String {
    let text = sheet("inflatable-14");
    assert!(text.contains(from), "the sheet has {from}");
    let changed = text.replacen(from, to, 1);
    Standard::parse(&changed)
        .expect_err("this sheet cannot be right")
        .to_string()
}

#[test]
fn a_wrong_sheet_is_refused_by_place_field_value_and_remedy() {
    insta::assert_snapshot!(
        refused("low = \"240 mbar\"", "low = \"290 mbar\""),
        @"tube-1: nominal is 26000 Pa; must be at least low, which is 29000 Pa: swap or correct them"
    );
    insta::assert_snapshot!(
        refused("low = \"240 mbar\"", "low = \"240\""),
        @r#"tube-1: low is 240; give a pressure from 0 to 10 bar such as "240 mbar" or "3.5 psi""#
    );
    insta::assert_snapshot!(
        refused("relief = \"280 mbar\"", "relief = \"200 mbar\""),
        @"tube-1: relief is 20000 Pa; a valve that lifts below nominal, 26000 Pa, cannot hold it: raise it or leave it out"
    );
    insta::assert_snapshot!(
        refused("id = \"tube-2\"", "id = \"tube-1\""),
        @"tube-1: id is tube-1; two parts have this id: rename one"
    );
    insta::assert_snapshot!(
        refused("id = \"seams\"", "id = \"life-jacket\""),
        @"life-jacket: id is life-jacket; two lines have this id: rename one"
    );
    insta::assert_snapshot!(
        refused("alternatives = [\"oar\"]", "alternatives = [\"outrigger\"]"),
        @"paddle: alternatives is outrigger; must be the id of another item of this sheet: correct it or drop it"
    );
    insta::assert_snapshot!(
        refused("missions = [\"ice\"]", "missions = [\"surf\"]"),
        @"ice-picks: missions is surf; must be a mission of this sheet: add it under [missions] or correct it"
    );
    insta::assert_snapshot!(
        refused("life = \"42 months\"", "life = \"3 years\""),
        @r#"flare-red-hand: life is 3 years; give whole months from 1 to 240 such as "42 months""#
    );
    insta::assert_snapshot!(
        refused("part = \"motor\"", "part = \"sail\""),
        @"fuel-line: part is sail; must be a part of this sheet: add it or correct it"
    );
    insta::assert_snapshot!(
        refused("revision = 1", "revision = 0"),
        @"sheet: revision is 0; revisions count from 1: give 1 or more"
    );
}

#[test]
fn a_wrong_table_of_signals_or_fuel_is_refused() {
    insta::assert_snapshot!(
        refused("signal = { by = \"both\", units = 3 }", "signal = { by = \"both\", units = 13 }"),
        @"flare-red-hand: signal units is 13; give from 1 to 12 units that do alone"
    );
    insta::assert_snapshot!(
        refused("signal = { by = \"both\", units = 3 }", "signal = { by = \"both\", units = 3, launcher = \"sling\" }"),
        @"flare-red-hand: signal launcher is sling; must be the id of another item of this sheet: correct it or drop it"
    );
    insta::assert_snapshot!(
        refused("needs = [\"dry-bag\", \"radio-battery\"]\n", ""),
        @"radio: without is given; only means something beside needs: name what it needs, or drop it"
    );
    insta::assert_snapshot!(
        refused("least = \"3 gal\"", "least = \"3 oz\""),
        @r#"fuel: least is 3 oz; give a volume from 0 to 1000 l such as "25 l" or "6 gal""#
    );
    insta::assert_snapshot!(
        refused("length = \"14 ft\"", "length = \"14\""),
        @r#"sheet: length is 14; give a length from 2 to 15 m such as "15.5 ft" or "4.7 m""#
    );
    insta::assert_snapshot!(
        refused("id = \"drain-plug\"", "id = \"signals\""),
        @"signals: id is signals; the table of this name has it: rename the line"
    );
}

/// ISO 6185, scope of all parts: single-chamber boats are outside.
#[test]
fn a_boat_of_one_chamber_is_no_rescue_craft() {
    let text = sheet("raft-13");
    let chambers = text.split("\n[[part]]\n");
    let kept = chambers.filter(|part| {
        !["tube-2", "tube-3", "tube-4"]
            .iter()
            .any(|id| part.starts_with(&format!("id = \"{id}\"")))
    });
    let one: Vec<&str> = kept.collect();
    let refusal = Standard::parse(&one.join("\n[[part]]\n")).expect_err("one tube");
    insta::assert_snapshot!(refusal, @"sheet: part is 1 chambers that hold it up; a rescue craft that floats on air has at least two (ISO 6185, scope): name them");
}

/// A sheet that was signed before there were signals, fuel, lengths: it still reads, and asks none.
#[test]
fn a_sheet_in_its_old_form_still_reads() {
    let mut kept = Vec::new();
    let mut skips = false;
    for line in sheet("inflatable-14").lines() {
        if line.starts_with('[') {
            skips = line == "[signals]" || line == "[fuel]";
        }
        let new = [
            "length",
            "waters",
            "signal ",
            "needs",
            "without",
            "run_least",
        ];
        let alone = ["distress-light", "smoke-orange-hand"];
        let is_new = new.iter().any(|field| line.starts_with(field));
        if !skips && !is_new && !alone.iter().any(|id| line.contains(id)) {
            kept.push(line);
        }
    }
    // The two lines that only signals have lost their ids with the filter: leave them out whole.
    let text = kept.join("\n");
    let blocks = text
        .split("\n\n")
        .filter(|block| !block.starts_with("[[item]]\nlabel"));
    let blocks: Vec<&str> = blocks.collect();
    let standard = Standard::parse(&blocks.join("\n\n")).expect("the old form");
    assert_eq!(
        (standard.signals, standard.fuel, standard.length_mm),
        (None, None, None)
    );
    assert!(
        standard
            .items
            .iter()
            .all(|item| item.signal.is_none() && item.needs.is_empty())
    );
    assert!(
        standard
            .inspections
            .iter()
            .all(|line| line.run_least_s.is_none())
    );
}

#[test]
fn a_line_without_source_and_an_unknown_field_are_refused() {
    let empty = refused("source = \"common practice, no source\"", "source = \" \"");
    assert!(empty.contains("source is empty"), "{empty}");
    let unknown = refused("crew_min = 2", "crew_min = 2\ncrew_max = 6");
    assert!(unknown.contains("crew_max"), "{unknown}");
}

#[test]
fn a_sheet_longer_than_its_limit_is_refused() {
    let long = format!("{}# {}", sheet("flat-bottom-16"), "x".repeat(64 * 1024));
    let refusal = Standard::parse(&long).expect_err("too long");
    assert!(matches!(
        refusal,
        StandardError::Value {
            field: "length",
            ..
        }
    ));
}
