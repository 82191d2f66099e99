use std::collections::{BTreeMap, BTreeSet};

use sponson_readiness::answer::{CraftAnswer, Effect, Rule, Subject};
use sponson_readiness::event::{Face, PartPlace, PlaceSide};
use sponson_readiness::ids::{FaultId, PartId};
use sponson_readiness::standard::{Standard, built_in};

use super::*;
use crate::sample;
use crate::svg::Point;
use crate::svg::tests::{all_inside, parsed, path_points};

/// A craft of this sheet: its first part that holds air is soft, the last is not read; a fault at the
/// last part, to starboard, 4 ft forward of the transom.
fn craft(standard: &Standard) -> CraftAnswer {
    let mut craft = sample::limited();
    let airy = standard.parts.iter().filter(|part| part.pressure.is_some());
    let airy: Vec<_> = airy.collect();
    let read = craft.pressures[0].clone();
    craft.model = standard.model.clone();
    craft.pressures = airy
        .iter()
        .rev()
        .skip(1)
        .enumerate()
        .map(|(index, part)| {
            let rule = part.pressure.as_ref().expect("it holds air");
            let mut read = read.clone();
            read.part = part.id.clone();
            read.range_pa = (rule.low_pa, rule.high_pa);
            read.read_gauge_pa = rule.nominal_pa;
            read.launch_high_pa = rule.nominal_pa;
            read.launch_low_pa = rule.nominal_pa - 900;
            if index == 1 {
                read.launch_high_pa = rule.high_pa + 4_000;
            }
            if index + 2 == airy.len() {
                read.launch_low_pa = rule.low_pa - 4_000;
            }
            read
        })
        .collect();
    craft.why.clear();
    if let (Some(first), Some(last)) = (airy.first(), airy.last()) {
        for (part, rule) in [(first, Rule::PressureLow), (last, Rule::PressureNotRead)] {
            let mut finding = sample::finding(rule, Effect::NotReady);
            finding.subject = Subject::Part(part.id.clone(), part.label.clone());
            craft.why.push(finding);
        }
    }
    craft
        .why
        .push(sample::finding(Rule::KitShort, Effect::NotReady));
    for (part, place) in faults(standard) {
        let mut finding = sample::finding(Rule::FaultOpen, Effect::NotReady);
        let id = FaultId {
            event: sample::event(0xf0),
            ordinal: 0,
        };
        finding.subject = Subject::Fault(id, part.id.clone(), place, part.label.clone());
        craft.why.push(finding);
    }
    craft
}

fn faults(standard: &Standard) -> Vec<(&sponson_readiness::standard::Part, PartPlace)> {
    let part = |id: &str| {
        standard
            .parts
            .iter()
            .find(|part| part.id == PartId::from(id))
    };
    let at = |side, from_transom_mm| PartPlace {
        side,
        from_transom_mm,
        face: Some(Face::Top),
    };
    let places = [
        ("tube-4", at(Some(PlaceSide::Starboard), Some(1_800))),
        ("transom", at(Some(PlaceSide::Port), None)),
        ("hull", at(Some(PlaceSide::Starboard), Some(1_200))),
        ("floor", at(None, None)),
    ];
    let found = places.into_iter();
    found
        .filter_map(|(id, place)| Some((part(id)?, place)))
        .collect()
}

fn sheets() -> Vec<Standard> {
    let sheets = built_in().into_iter();
    sheets
        .map(|(_, text)| Standard::parse(text).expect("a built-in sheet"))
        .collect()
}

fn drawn(standard: &Standard) -> String {
    plan(standard, &craft(standard), &sample::context()).into_string()
}

#[test]
fn every_built_in_sheet() {
    for sheet in sheets() {
        let shown = drawn(&sheet).replace("><", ">\n<");
        insta::assert_snapshot!(sheet.model.as_str(), shown);
    }
}

#[test]
fn every_part_is_drawn_or_listed_once() {
    let mut sheets = sheets();
    sheets.push(odd());
    for sheet in sheets {
        let shown = drawn(&sheet);
        let document = parsed(&shown);
        let titles = document
            .descendants()
            .filter(|node| node.has_tag_name("title"));
        let in_parts =
            titles.filter(|node| node.parent().is_some_and(|it| it.has_tag_name("path")));
        let mut found: Vec<String> = in_parts
            .filter_map(|it| it.text().map(str::to_owned))
            .collect();
        let listed = document
            .descendants()
            .find(|it| it.attribute("class") == Some("plan-listed"));
        let listed: String = listed
            .into_iter()
            .flat_map(|it| it.descendants())
            .filter(roxmltree::Node::is_text)
            .filter_map(|it| it.text())
            .collect();
        let listed = listed
            .trim_start_matches("Not on the drawing: ")
            .trim_end_matches('.');
        found.extend(
            listed
                .split("; ")
                .filter(|it| !it.is_empty())
                .map(str::to_owned),
        );
        found.sort();
        let mut all: Vec<String> = sheet.parts.iter().map(|part| part.label.clone()).collect();
        all.sort();
        assert_eq!(found, all, "{}", sheet.model.as_str());
        all_inside(&document);
    }
}

/// A sheet of an agency's own: speed tubes, small things, and parts whose words name no place.
fn odd() -> Standard {
    let mut sheet = sheets().remove(0);
    let model = sheet.parts[0].clone();
    let more = [
        ("speed-tubes", "speed tubes"),
        ("speed-port", "speed tube, port"),
        ("valve-3", "inflation valve of tube 3, port midship"),
        ("drain", "drain, starboard, stern"),
        ("steering", "steering"),
        ("tube-9", "tube 9"),
        ("bow-tube-2", "second tube across the bow"),
        ("thing", "something <b>of</b> \u{202e}ours"),
    ];
    for (id, label) in more {
        let mut part = model.clone();
        part.id = PartId::from(id);
        part.label = label.replace('\u{202e}', "");
        sheet.parts.push(part);
    }
    sheet
}

/// Middle of each part that is drawn, by its label.
fn middles(shown: &str) -> BTreeMap<String, Point> {
    let document = parsed(shown);
    let paths = document
        .descendants()
        .filter(|node| node.has_tag_name("path"));
    let middles = paths.filter_map(|node| {
        let label = node
            .children()
            .find(|it| it.has_tag_name("title"))?
            .text()?;
        let points = path_points(node.attribute("d")?);
        let count = f64::from(u32::try_from(points.len()).expect("few"));
        let sum = points
            .iter()
            .fold((0.0, 0.0), |sum, one| (sum.0 + one.x, sum.1 + one.y));
        Some((label.to_owned(), Point::new(sum.0 / count, sum.1 / count)))
    });
    middles.collect()
}

#[test]
fn port_is_left_and_the_bow_is_up() {
    let mut seen = 0;
    for sheet in sheets() {
        let middles = middles(&drawn(&sheet));
        for (label, at) in &middles {
            let is = |word: &str| label.contains(word);
            assert!(!is("port") || at.x < hull::CENTRE - 20.0, "{label} {at:?}");
            assert!(
                !is("starboard") || at.x > hull::CENTRE + 20.0,
                "{label} {at:?}"
            );
            let middle = Hull::y(0.5);
            assert!(
                !is("bow") && !is("forward") || at.y < middle,
                "{label} {at:?}"
            );
            assert!(
                !is("stern") && !is("aft") && !is("motor") || at.y > middle,
                "{label} {at:?}"
            );
            seen += u32::from(is("port") || is("starboard"));
        }
    }
    assert_eq!(
        seen,
        4 + 4 + 4,
        "parts with a side: inflatable, rigid inflatable, raft"
    );
}

#[test]
fn a_fault_is_where_it_was_found() {
    // The floor's has no side and no distance: it goes by the part, without a dot.
    for (sheet, dots) in sheets().iter().zip([2, 2, 2, 1]) {
        let shown = drawn(sheet);
        let document = parsed(&shown);
        let found = document
            .descendants()
            .filter(|it| it.attribute("class") == Some("plan-dot"));
        let found: Vec<(f64, f64)> = found
            .map(|it| {
                let value = |name| it.attribute(name).expect(name).parse().expect(name);
                (value("cx"), value("cy"))
            })
            .collect();
        assert_eq!(found.len(), dots, "{}", sheet.model.as_str());
        let length = f64::from(sheet.length_mm.expect("a length"));
        let wanted = |mm: f64| (Hull::y(mm / length) * 10.0).round() / 10.0;
        let is_hull = sheet
            .parts
            .iter()
            .any(|part| part.id == PartId::from("hull"));
        let (x, y) = found[usize::from(is_hull)];
        assert!(x > hull::CENTRE, "to starboard: {x}");
        assert_eq!(y, wanted(if is_hull { 1_200.0 } else { 1_800.0 }));
    }
}

#[test]
fn every_number_is_drawn_or_told() {
    for sheet in sheets() {
        let craft = craft(&sheet);
        let shown = drawn(&sheet);
        let document = parsed(&shown);
        let boxes = document
            .descendants()
            .filter(|it| it.attribute("class") == Some("plan-number"));
        let text: Vec<&str> = boxes.filter_map(|it| it.text()).collect();
        let mut numbers: Vec<usize> = text
            .iter()
            .flat_map(|it| it.split(", "))
            .map(|it| it.parse().expect("a number"))
            .collect();
        let caption: String = document.descendants().filter_map(|it| it.text()).collect();
        let elsewhere = caption
            .split("Of no one place on the drawing: ")
            .nth(1)
            .expect("one of the craft as a whole");
        let elsewhere = elsewhere.split('.').next().unwrap_or_default();
        numbers.extend(
            elsewhere
                .split(", ")
                .map(|it| it.parse::<usize>().expect("a number")),
        );
        numbers.sort_unstable();
        let all: BTreeSet<usize> = (1..=craft.why.len()).collect();
        assert_eq!(
            numbers,
            all.into_iter().collect::<Vec<_>>(),
            "{}",
            sheet.model.as_str()
        );
    }
}

#[test]
fn what_is_only_noted_has_no_number() {
    let sheet = &sheets()[0];
    let mut craft = craft(sheet);
    craft.why.truncate(1);
    craft.why[0].effect = Effect::Note;
    let shown = plan(sheet, &craft, &sample::context()).into_string();
    assert!(!shown.contains("plan-number"), "{shown}");
}

#[test]
fn all_faults_of_a_craft_stand_where_they_were_found() {
    for standard in sheets() {
        let nowhere = PartId("of another sheet".to_owned());
        let found = faults(&standard);
        let numbered = (1..).zip(&found);
        let mut marks: Vec<FaultMark<'_>> = numbered
            .map(|(number, (part, place))| FaultMark {
                number,
                part: &part.id,
                place: *place,
            })
            .collect();
        let last = marks.len() + 1;
        marks.push(FaultMark {
            number: last,
            part: &nowhere,
            place: PartPlace::default(),
        });
        let shown = plan_of_faults(("past", "Craft <7>"), &standard, &marks).into_string();
        let document = parsed(&shown);
        all_inside(&document);
        let numbers = document
            .descendants()
            .filter(|node| node.attribute("class") == Some("plan-number"));
        let written: Vec<&str> = numbers.filter_map(|node| node.text()).collect();
        let written = written.join(", ");
        let told = shown.split("Of no one place on the drawing: ").nth(1);
        let told = told
            .and_then(|rest| rest.split('.').next())
            .unwrap_or_default();
        let mut all: Vec<usize> = [written.as_str(), told]
            .iter()
            .flat_map(|text| text.split(", "))
            .filter_map(|number| number.parse().ok())
            .collect();
        all.sort_unstable();
        assert_eq!(all, (1..=last).collect::<Vec<_>>(), "{}", standard.label);
        assert!(told.ends_with(&last.to_string()), "{told}");
    }
}

#[test]
fn what_people_wrote_is_text() {
    let mut sheet = sheets().remove(0);
    sheet.parts[0].label = "tube 1, port bow <script>alert(1)</script>\" onload=\"x".to_owned();
    let mut craft = craft(&sheet);
    craft.number = "<svg onload=x>\u{202e}".to_owned();
    let shown = plan(&sheet, &craft, &sample::context()).into_string();
    let document = parsed(&shown);
    let names: BTreeSet<&str> = document
        .descendants()
        .map(|it| it.tag_name().name())
        .collect();
    assert!(!names.contains("script"), "{shown}");
    let attributes = document
        .descendants()
        .flat_map(|it| it.attributes().collect::<Vec<_>>());
    assert!(
        !attributes
            .map(|it| it.name().to_owned())
            .any(|name| name.starts_with("on"))
    );
    assert!(!shown.contains('\u{202e}'));
}
