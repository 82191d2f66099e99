//! Which craft would go if only their kit were whole, and that moving spare kit makes them go and
//! nobody worse.

use std::collections::BTreeMap;

use proptest::prelude::*;
use sponson_readiness::answer::{CraftAnswer, Readiness, Rule};
use sponson_readiness::engine::{answer, kit_county};
use sponson_readiness::event::OutReason;
use sponson_readiness::ids::{LineId, SubjectId};
use sponson_readiness::kit_moves::{Hindrance, Keeps, KitAsked, KitCounty, Want};
use sponson_readiness::standard::RuleEffect;

use super::scene::{CRAFT, OTHER_CRAFT, STATION, Scene, counted, missions};
use super::spares::{add_other_craft, add_shelf, set};

fn county(scene: &Scene, chosen: &[&str]) -> KitCounty {
    let asked = KitAsked {
        missions: missions(chosen),
        keeps: Keeps::EveryMission,
    };
    scene.of_county(|county| kit_county(county, &scene.question, &asked, BTreeMap::new()))
}

/// What the craft of the scene wants: line, units, and by what.
fn wants(scene: &Scene, chosen: &[&str]) -> Vec<String> {
    let county = county(scene, chosen);
    let takers = county.problem.takers.iter();
    let taker = takers.filter(|taker| taker.id == CRAFT);
    let wants = taker.flat_map(|taker| &taker.wants);
    wants.map(told).collect()
}

fn told(want: &Want) -> String {
    let by: Vec<&str> = want.by.iter().map(LineId::as_str).collect();
    format!("{} {} by {}", want.units, want.line, by.join(" or "))
}

/// Why kit alone does not make the craft of the scene go.
fn hindrance(scene: &Scene, chosen: &[&str]) -> Option<Hindrance> {
    let hindered = county(scene, chosen).hindered.into_iter();
    let mut own = hindered.filter(|one| one.id == CRAFT);
    own.next().map(|one| one.why)
}

fn rules(why: Option<Hindrance>) -> Vec<Rule> {
    match why {
        Some(Hindrance::Findings(findings)) => findings.iter().map(|it| it.rule).collect(),
        other => panic!("no findings: {other:?}"),
    }
}

#[test]
fn what_can_go_wants_nothing() {
    let scene = Scene::inflatable();
    let county = county(&scene, &["lake", "flood"]);
    assert_eq!(county.ready, [(CRAFT, "Boat 14".to_owned())]);
    assert!(county.hindered.is_empty() && county.problem.takers.is_empty());
}

/// Of several missions the one that wants most; swiftwater wants 3 throw bags, lake 1.
#[test]
fn what_is_short_is_wanted_for_the_mission_that_wants_most() {
    for (aboard, chosen, wanted) in [
        (0, &["lake"][..], &["1 throw-bag by throw-bag"][..]),
        (0, &["lake", "swiftwater"], &["3 throw-bag by throw-bag"]),
        (2, &["lake", "swiftwater"], &["1 throw-bag by throw-bag"]),
        (2, &["lake"], &[]),
        (0, &[], &["1 throw-bag by throw-bag"]),
    ] {
        let mut scene = Scene::inflatable();
        scene.count("throw-bag", aboard);
        assert_eq!(wants(&scene, chosen), wanted, "{aboard} for {chosen:?}");
    }
}

#[test]
fn what_only_limits_is_not_wanted() {
    let mut scene = Scene::inflatable();
    scene.count("gauge", 0);
    scene.count("throw-bag", 0);
    assert_eq!(wants(&scene, &["lake"]), ["1 throw-bag by throw-bag"]);
}

#[test]
fn every_line_that_stands_against_going_is_wanted() {
    let mut scene = Scene::inflatable();
    scene.count("throw-bag", 0);
    scene.count("life-jacket", 1);
    assert_eq!(
        wants(&scene, &["lake"]),
        ["3 life-jacket by life-jacket", "1 throw-bag by throw-bag"]
    );
}

#[test]
fn what_else_stands_against_going_is_said() {
    let mut scene = Scene::inflatable();
    scene.count("throw-bag", 0);
    scene.read("tube-1", 1_000);
    assert_eq!(wants(&scene, &["lake"]), [""; 0]);
    assert_eq!(rules(hindrance(&scene, &["lake"])), [Rule::PressureLow]);

    let mut scene = Scene::inflatable();
    scene.count("throw-bag", 0);
    let out = scene.side(OutReason::Personnel);
    let id = out.origin.event;
    scene.craft().out.insert(id, out);
    let why = hindrance(&scene, &["lake"]);
    assert!(matches!(why, Some(Hindrance::Declared(_))), "{why:?}");
}

/// Somebody has to go and count: what is there may be enough.
#[test]
fn what_nobody_knows_is_not_wanted() {
    let never = |scene: &mut Scene| {
        scene
            .craft()
            .counts
            .remove(&(LineId::from("throw-bag"), None));
    };
    let long_ago = |scene: &mut Scene| scene.counted_long_ago("throw-bag", 0);
    let unconfirmed = |scene: &mut Scene| {
        let fewer = scene.untrusted(counted("throw-bag", 0));
        let key = (LineId::from("throw-bag"), None);
        let sides = scene.craft().counts.get_mut(&key);
        sides.expect("counted").0.push(fewer);
    };
    type Change<'c> = &'c dyn Fn(&mut Scene);
    let cases: [(Change<'_>, Rule); 3] = [
        (&never, Rule::KitNotCounted),
        (&long_ago, Rule::KitStale),
        (&unconfirmed, Rule::KitShort),
    ];
    for (disturb, rule) in cases {
        let mut scene = Scene::inflatable();
        disturb(&mut scene);
        assert_eq!(wants(&scene, &["lake"]), [""; 0], "{rule:?}");
        assert!(
            rules(hindrance(&scene, &["lake"])).contains(&rule),
            "{rule:?}"
        );
    }
}

/// The radio is aboard and worth nothing without its dry bag: that is what is to be brought.
#[test]
fn what_an_item_is_worth_nothing_without_is_wanted_before_another_of_it() {
    let mut scene = Scene::inflatable();
    for item in &mut scene.standard.items {
        match item.id.as_str() {
            "radio" => (item.short, item.without) = (RuleEffect::NotReady, None),
            "dry-bag" => item.count = 0,
            _ => {}
        }
    }
    scene.count("dry-bag", 0);
    assert_eq!(wants(&scene, &["lake"]), ["1 dry-bag by dry-bag"]);
    scene.count("radio", 0);
    assert_eq!(
        wants(&scene, &["lake"]),
        ["1 dry-bag by dry-bag", "1 radio by radio"]
    );
}

#[test]
fn what_the_sheet_lets_stand_in_may_be_brought_unless_another_line_draws_on_it() {
    let mut scene = Scene::inflatable();
    scene.count("paddle", 1);
    scene.count("oar", 0);
    assert_eq!(wants(&scene, &["lake"]), ["1 paddle by paddle or oar"]);
    for item in &mut scene.standard.items {
        if item.id.as_str() == "gauge" {
            item.alternatives = vec![LineId::from("oar")];
        }
    }
    scene.count("gauge", 0);
    assert_eq!(wants(&scene, &["lake"]), ["1 paddle by paddle"]);
}

#[test]
fn only_what_fits_is_wanted() {
    let mut scene = Scene::of("raft-13");
    for item in &mut scene.standard.items {
        if item.id.as_str() == "glue-csm" {
            item.short = RuleEffect::NotReady;
        }
    }
    scene.mission("swiftwater");
    scene.count("glue-csm", 0);
    scene.count("glue-pvc", 0);
    for (fabric, wanted) in [
        ("csm", &["1 glue-csm by glue-csm"][..]),
        ("pvc", &["1 glue-csm by glue-pvc"]),
        ("canvas", &[]),
        ("", &[]),
    ] {
        scene.craft().craft.0[0].value.fabric = fabric.to_owned();
        assert_eq!(wants(&scene, &["swiftwater"]), wanted, "'{fabric}'");
    }
}

#[test]
fn a_craft_counts_for_the_chosen_missions_that_its_sheet_has() {
    let mut scene = Scene::inflatable();
    scene.standard.missions.remove(&"ice".into());
    scene.count("throw-bag", 0);
    assert_eq!(hindrance(&scene, &["ice"]), Some(Hindrance::NoMission));
    assert_eq!(
        wants(&scene, &["ice", "lake"]),
        ["1 throw-bag by throw-bag"]
    );
}

#[test]
fn what_is_taken_away_neither_gives_nor_takes() {
    let mut scene = Scene::inflatable();
    add_other_craft(&mut scene);
    add_shelf(&mut scene, &[("throw-bag", 2)]);
    scene.count("throw-bag", 0);
    assert_eq!(county(&scene, &["lake"]).problem.stocks.len(), 2);
    scene.question.without.stations.insert(STATION);
    let without = county(&scene, &["lake"]);
    assert!(without.problem.takers.is_empty() && without.problem.stocks.is_empty());
}

/// The lines that are moved about below, as many as a craft may have of each.
const LINES: [(&str, u32); 6] = [
    ("throw-bag", 5),
    ("life-jacket", 10),
    ("helmet", 5),
    ("paddle", 5),
    ("oar", 3),
    ("flare-red-hand", 5),
];

fn any_counts() -> impl Strategy<Value = Vec<u32>> {
    LINES.iter().map(|(_, most)| 0..=*most).collect::<Vec<_>>()
}

fn counts_of(scene: &mut Scene, craft: SubjectId, counts: &[u32]) {
    for ((line, _), count) in LINES.iter().zip(counts) {
        set(scene.record(craft), line, |it| *it = counted(line, *count));
    }
}

/// Every craft for every mission of its sheet.
fn every_answer(scene: &Scene) -> Vec<CraftAnswer> {
    let own = scene.standard.missions.keys().cloned().map(Some);
    let missions = own.chain([None]);
    missions
        .flat_map(|mission| {
            let mut question = scene.question.clone();
            question.mission = mission;
            scene.of_county(|county| answer(county, &question)).craft
        })
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    /// Whoever fills all that a craft wants from what is spare, by any of the lines that may be
    /// brought, makes it go for every chosen mission; and no craft is worse for any mission.
    #[test]
    fn moving_what_is_spare_makes_craft_go_and_nobody_worse(
        first in any_counts(),
        second in any_counts(),
        shelf in any_counts(),
        turn in 0..7_usize,
    ) {
        let mut scene = Scene::inflatable();
        add_other_craft(&mut scene);
        let shelf: Vec<(&str, u32)> =
            LINES.iter().zip(shelf).map(|((line, _), count)| (*line, count)).collect();
        add_shelf(&mut scene, &shelf);
        counts_of(&mut scene, CRAFT, &first);
        counts_of(&mut scene, OTHER_CRAFT, &second);
        let before = every_answer(&scene);
        let chosen = ["lake", "flood", "swiftwater"];
        let county = county(&scene, &chosen);
        let filled = fill(&mut scene, &county, turn);
        let after = every_answer(&scene);
        for (was, is) in before.iter().zip(&after) {
            prop_assert!(is.readiness <= was.readiness, "{}: {:?}", was.number, is.why);
        }
        for craft in filled {
            for mission in chosen {
                scene.mission(mission);
                let answer = scene.answer().craft;
                let one = answer.iter().find(|one| one.id == craft).expect("judged");
                prop_assert!(one.readiness <= Readiness::ReadyWithLimits, "{:?}", one.why);
            }
        }
    }
}

/// Fills craft from what is spare, as long as it lasts, each line by its stocks in turn; gives those
/// that got all.
fn fill(scene: &mut Scene, county: &KitCounty, turn: usize) -> Vec<SubjectId> {
    let problem = &county.problem;
    let mut spare: Vec<u32> = problem.stocks.iter().map(|stock| stock.spare).collect();
    let mut filled = Vec::new();
    for taker in &problem.takers {
        let mut with = spare.clone();
        let mut moves: Vec<(usize, u32)> = Vec::new();
        let mut whole = true;
        for want in &taker.wants {
            let mut lacking = want.units;
            let mut fitting: Vec<usize> = (0..problem.stocks.len())
                .filter(|at| problem.fits(taker, want, &problem.stocks[*at]))
                .collect();
            if !fitting.is_empty() {
                let by = turn % fitting.len();
                fitting.rotate_left(by);
            }
            for stock in fitting {
                let units = lacking.min(with[stock]);
                with[stock] -= units;
                lacking -= units;
                moves.push((stock, units));
            }
            whole &= lacking == 0;
        }
        if !whole {
            continue;
        }
        spare = with;
        filled.push(taker.id);
        for (stock, units) in moves {
            let stock = &problem.stocks[stock];
            for (id, more) in [(taker.id, true), (stock.id, false)] {
                set(scene.record(id), stock.line.as_str(), |it| {
                    let count = if more {
                        it.count + units
                    } else {
                        it.count - units
                    };
                    *it = counted(stock.line.as_str(), count);
                });
            }
        }
    }
    filled
}
