//! Built-in sheets, and what a sheet is refused for.

use sponson_readiness::standard::{Cited, Policy, Standard, StandardError, built_in};

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
        let parts = standard.parts.iter().map(|line| &line.cited);
        let items = standard.items.iter().map(|line| &line.cited);
        let inspections = standard.inspections.iter().map(|line| &line.cited);
        let questions = standard.questions.iter().map(|line| &line.cited);
        let all: Vec<&Cited> = parts
            .chain(items)
            .chain(inspections)
            .chain(questions)
            .chain([&standard.check.cited])
            .collect();
        assert!(all.len() > 50, "{name} has {} lines", all.len());
        assert!(all.iter().all(|cited| !cited.source.trim().is_empty()));
    }
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
