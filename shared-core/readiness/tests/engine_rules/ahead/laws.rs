//! Laws of the plan, over counties somewhat out of order.

use std::collections::{BTreeMap, BTreeSet};

use chrono::Duration;
use proptest::prelude::*;
use sponson_readiness::ahead::{DueItem, On, Planned, Standing, What, WhyNoVisit};
use sponson_readiness::event::Use;
use sponson_readiness::ids::LineId;

use super::super::scene::{MOTOR, Scene};
use super::{SHELF, by_ahead, by_engine, looked, metered, rounds, scenes, without_history};

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, cases: 48, ..ProptestConfig::default() })]

    #[test]
    fn what_is_overdue_is_the_same_in_any_county(scene in scenes()) {
        prop_assert_eq!(by_ahead(&scene), by_engine(&scene));
    }

    #[test]
    fn every_item_is_done_by_one_visit_or_it_is_told_why_by_none(scene in scenes()) {
        let told = without_history(&scene);
        let window = Duration::days(i64::from(told.window_days));
        for (place, item) in told.due.iter().enumerate() {
            let of = told.visits.iter().filter(|visit| visit.items.contains(&place)).count();
            match item.planned {
                Planned::Visit(at) => {
                    let visit = &told.visits[at];
                    prop_assert_eq!(of, 1);
                    prop_assert!(visit.items.contains(&place));
                    prop_assert_eq!(Some(visit.station), item.station);
                    prop_assert!(visit.day <= item.due && visit.day >= item.due - window);
                    prop_assert!(visit.day >= told.from && visit.not_before <= visit.day);
                }
                Planned::Not(why) => {
                    prop_assert_eq!(of, 0);
                    prop_assert_eq!(why == WhyNoVisit::StationNotKnown, item.station.is_none());
                }
            }
        }
        // No round of a thing is done with the round before.
        for visit in &told.visits {
            let things: BTreeSet<(&On, &What)> =
                visit.items.iter().map(|at| (&told.due[*at].on, &told.due[*at].what)).collect();
            let lots = visit.items.iter().filter(|at| matches!(told.due[**at].what, What::KitDate { .. })).count();
            prop_assert!(things.len() + lots >= visit.items.len());
        }
        let counted: u32 = told.weeks.iter().map(|week| week.items).sum();
        prop_assert_eq!(counted as usize, told.due.len());
    }

    #[test]
    fn an_inspection_that_was_done_comes_due_no_longer_now(mut scene in scenes(), pick in any::<prop::sample::Index>()) {
        let due = without_history(&scene).due;
        let mut now: Vec<LineId> = Vec::new();
        for item in due {
            if let (What::Inspection(line), true) = (item.what, item.standing != Standing::InTime) {
                now.push(line);
            }
        }
        if !now.is_empty() {
            let line = pick.get(&now).clone();
            scene.inspected(line.as_str(), 0, true);
            let told = without_history(&scene);
            let is_later = |item: &&DueItem| item.standing == Standing::InTime && item.due > told.from;
            prop_assert!(rounds(&told, line.as_str()).iter().all(is_later));
        }
    }

    #[test]
    fn more_hours_on_the_meter_make_nothing_due_later(
        runs in prop::collection::vec(0_u64..30, 4..12),
        at_h in 0_u64..150,
        more_h in 0_u64..120,
        hard in any::<bool>(),
    ) {
        let mut hours = 0;
        let steps = i64::try_from(runs.len()).expect("few");
        let values: Vec<(i64, u64)> = runs.iter().zip(0_i64..).map(|(run, step)| {
            hours += run;
            ((steps - step) * 30, hours)
        }).collect();
        let history = metered(&values);
        let mut scene = Scene::inflatable();
        scene.inspected("engine-service", 40, true).engine_s = Some(0);
        let due = |scene: &Scene| {
            let told = looked(scene, &history);
            let due = rounds(&told, "engine-service");
            (due[0].due, due[0].between)
        };
        let meter = |scene: &mut Scene, hours: u64| {
            let meters = scene.said(hours * 3_600);
            scene.record(MOTOR).meters.insert(None, meters);
        };
        meter(&mut scene, at_h);
        let before = due(&scene);
        meter(&mut scene, at_h + more_h);
        if hard {
            let used = scene.side(Use { hard: true, ..Use::default() });
            scene.craft().uses.push(used);
        }
        let after = due(&scene);
        prop_assert!(after.0 <= before.0, "{before:?} {after:?}");
        if let (Some((one, _)), Some((other, _))) = (before.1, after.1) {
            prop_assert!(other <= one);
        }
    }

    #[test]
    fn less_on_the_shelf_never_means_less_to_order(mut scene in scenes(), pick in any::<prop::sample::Index>()) {
        let short = |scene: &Scene| -> BTreeMap<LineId, u32> {
            let told = without_history(scene);
            told.shelf.into_iter().map(|need| (need.item, need.short)).collect()
        };
        let before = short(&scene);
        let keys: Vec<_> = scene.record(SHELF).counts.keys().cloned().collect();
        if !keys.is_empty() {
            scene.record(SHELF).counts.remove(pick.get(&keys));
            let after = short(&scene);
            for (line, units) in before {
                prop_assert!(after.get(&line).is_some_and(|it| *it >= units), "{line}");
            }
        }
    }
}
