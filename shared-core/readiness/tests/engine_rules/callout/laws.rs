//! Laws: a worse fact never moves a craft earlier, nor does an untrusted event; the order is total
//! and the same each time.

use proptest::prelude::*;
use sponson_readiness::answer::{Access, Candidate, Way};
use sponson_readiness::event::{AnswerValue, OutReason, Place, Stowage};
use sponson_readiness::ids::{LineId, SubjectId};
use sponson_readiness::record::{Placement, Sides};
use sponson_readiness::standard::{AtBank, LaunchRule};

use super::county::{FAR, access, boat, callout, candidate, county, raise, way};
use crate::scene::{OTHER_STATION, STATION, Scene, fault};

/// A fact that is worse than the one before it.
#[derive(Clone, Copy, Debug)]
enum Worse {
    Closed,
    Longer(u32),
    LineOnly,
    NoWay,
    OutOfService,
    FewerCrews,
    NoCrew,
    NeverChecked,
    NoMotorAnswer,
    Tear,
    Rolled,
    NeedsRamp,
    Disputed,
    SlowerCrew,
    Cold,
}

const ALL: [Worse; 15] = [
    Worse::Closed,
    Worse::Longer(7),
    Worse::LineOnly,
    Worse::NoWay,
    Worse::OutOfService,
    Worse::FewerCrews,
    Worse::NoCrew,
    Worse::NeverChecked,
    Worse::NoMotorAnswer,
    Worse::Tear,
    Worse::Rolled,
    Worse::NeedsRamp,
    Worse::Disputed,
    Worse::SlowerCrew,
    Worse::Cold,
];

fn worsen(scene: &mut Scene, worse: Worse) {
    match worse {
        Worse::Closed => way(scene, STATION, Way::Closed),
        Worse::Longer(by) => longer(scene, by),
        Worse::LineOnly => unless_closed(scene, Way::Straight { metres: 10 }),
        Worse::NoWay => unless_closed(scene, Way::NotKnown),
        Worse::OutOfService => {
            let out = scene.side(OutReason::Mechanical);
            scene.craft().out.insert(out.origin.event, out);
        }
        Worse::FewerCrews => raise(scene, STATION, 1, Some(1)),
        Worse::NoCrew => raise(scene, STATION, 0, None),
        Worse::NeverChecked => scene.craft().checks.clear(),
        Worse::NoMotorAnswer => {
            let lines: Vec<LineId> = scene.craft().answers.keys().cloned().collect();
            for line in lines {
                scene.answered(line.as_str(), AnswerValue::No);
            }
        }
        Worse::Tear => {
            let side = scene.side(());
            let state = fault(side, sponson_readiness::event::Severity::Disabling, &[]);
            let id = sponson_readiness::ids::FaultId {
                event: state.origin.event,
                ordinal: 0,
            };
            scene.craft().faults.insert(id, state);
        }
        Worse::Rolled => {
            scene.standard.rig_minutes = Some(20);
            let said = scene.said(Stowage::Rolled);
            scene.craft().stowage = said;
        }
        Worse::NeedsRamp => {
            scene.standard.launch = Some(LaunchRule {
                bank: Some(AtBank::NeedsRamp),
                ramp_minutes: None,
                bank_minutes: None,
                cited: scene.policy.callout.cited.clone(),
            });
        }
        Worse::Disputed => {
            let other = scene.side(Placement {
                at: Place::Station(FAR),
                part: None,
            });
            scene.craft().place.0.push(other);
        }
        Worse::SlowerCrew => {
            let times = &mut scene.policy.callout.raise_crew_at;
            times.insert("Alder Creek".to_owned(), 40);
        }
        Worse::Cold => {
            scene.weather(-20, 0);
        }
    }
}

fn longer(scene: &mut Scene, by: u32) {
    let ways = &mut super::county::asked(scene).ways;
    if let Some(Way::Table { minutes }) = ways.get_mut(&STATION) {
        *minutes += by;
    }
}

/// A way that was worse before stays.
fn unless_closed(scene: &mut Scene, to: Way) {
    let ways = &mut super::county::asked(scene).ways;
    let known = ways.get(&STATION).copied().unwrap_or(Way::NotKnown);
    let rank = |way| match way {
        Way::Table { .. } | Way::Said { .. } => 0,
        Way::Straight { .. } => 1,
        Way::NotKnown => 2,
        Way::Closed => 3,
    };
    if rank(known) < rank(to) {
        ways.insert(STATION, to);
    }
}

/// Whether the first stands no later than the second, as far as the law goes: among what can go by
/// all of the order; beyond that by reach, since a check that is owed may take in what was owed
/// singly.
fn no_later(before: &Candidate, after: &Candidate) -> bool {
    if after.reach.can_go() {
        before.order() <= after.order()
    } else {
        before.reach <= after.reach
    }
}

#[test]
fn each_worse_fact_alone_moves_no_craft_earlier() {
    let before = candidate(&county(&[STATION]), 1);
    for worse in ALL {
        let mut scene = county(&[STATION]);
        worsen(&mut scene, worse);
        let after = candidate(&scene, 1);
        assert!(no_later(&before, &after), "{worse:?}: {after:?}");
    }
}

/// These alone must move it later, or the law says nothing.
#[test]
fn the_facts_of_the_law_do_move_a_craft() {
    let before = candidate(&county(&[STATION]), 1);
    for worse in ALL {
        let mut scene = county(&[STATION]);
        access(&mut scene, Some(Access::Bank));
        let bank = candidate(&scene, 1);
        worsen(&mut scene, worse);
        let after = candidate(&scene, 1);
        assert!(bank.order() > before.order());
        assert!(bank.order() < after.order(), "{worse:?}: {after:?}");
    }
}

fn worse() -> impl Strategy<Value = Worse> {
    prop::sample::select(ALL.to_vec())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// However many worse facts came before.
    #[test]
    fn a_worse_fact_never_moves_a_craft_earlier(
        facts in prop::collection::vec(worse(), 1..5),
        at_bank in any::<bool>(),
    ) {
        let mut scene = county(&[STATION, OTHER_STATION]);
        if at_bank {
            access(&mut scene, Some(Access::Bank));
        }
        let mut before = candidate(&scene, 1);
        for fact in facts {
            // Setting crews anew could make a crew of none: only ever fewer.
            worsen(&mut scene, fact);
            let after = candidate(&scene, 1);
            let again = matches!(fact, Worse::FewerCrews | Worse::NoCrew);
            prop_assert!(again || no_later(&before, &after), "{fact:?}\n{before:?}\n{after:?}");
            before = after;
        }
    }

    /// The order is total, and no order of what comes in changes it.
    #[test]
    fn the_order_is_total_and_the_same(minutes in prop::collection::vec(0_u32..4, 3), shift in 0_u8..5) {
        let mut scene = county(&[STATION, OTHER_STATION, FAR, STATION, FAR]);
        for (station, minutes) in [STATION, OTHER_STATION, FAR].into_iter().zip(minutes) {
            way(&mut scene, station, Way::Table { minutes });
        }
        let mut out = scene.record(boat(1 + shift)).clone();
        out.checks.clear();
        scene.records.insert(out.subject, out);
        let told = callout(&scene);
        let orders: Vec<_> = told.candidates.iter().map(Candidate::order).collect();
        prop_assert!(orders.windows(2).all(|two| two[0] < two[1]));
        prop_assert_eq!(&told, &callout(&scene));
        prop_assert_eq!(told.candidates.len(), 5);
    }
}

/// An untrusted event about a craft, its station or its kit.
#[test]
fn an_untrusted_event_moves_no_craft_earlier() {
    type Adds = fn(&mut Scene);
    let cases: [(&str, Adds); 5] = [
        ("placed nearer", |scene| {
            let nearer = scene.untrusted(Placement {
                at: Place::Station(STATION),
                part: None,
            });
            scene.record(boat(2)).place.0.push(nearer);
        }),
        ("more crews", |scene| {
            let mut said = scene.record(OTHER_STATION).crews[0].value.clone();
            said.crews = 50;
            let said = scene.untrusted(said);
            scene.record(OTHER_STATION).crews.push(said);
        }),
        ("rigged", |scene| {
            let rigged = scene.untrusted(Stowage::Rigged);
            scene.record(boat(2)).stowage.0.push(rigged);
        }),
        ("answered yes", |scene| {
            let yes = scene.untrusted(AnswerValue::Yes);
            let answers = &mut scene.record(boat(2)).answers;
            for sides in answers.values_mut() {
                sides.0.push(yes.clone());
            }
        }),
        ("named anew", |scene| {
            let name = scene.untrusted("Boat 0".to_owned());
            scene.record(boat(2)).number.0.push(name);
        }),
    ];
    for rolled in [false, true] {
        for (what, add) in cases {
            let mut scene = county(&[STATION, OTHER_STATION]);
            raise(&mut scene, OTHER_STATION, 1, Some(2));
            if rolled {
                let said = scene.said(Stowage::Rolled);
                scene.record(boat(2)).stowage = said;
            }
            let no: Sides<AnswerValue> = scene.said(AnswerValue::No);
            let line = LineId::from("lights");
            scene.record(boat(2)).answers.insert(line, no);
            let before = candidate(&scene, 2);
            add(&mut scene);
            let after = candidate(&scene, 2);
            assert!(
                before.order() <= after.order(),
                "{what}: {before:?}\n{after:?}"
            );
            let _: SubjectId = after.craft;
        }
    }
}
