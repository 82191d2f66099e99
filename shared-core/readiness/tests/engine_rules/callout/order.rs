//! The order of candidates, and what keeps one from the place.

use sponson_readiness::answer::{Access, Call, Hindrance, Reach, Readiness, Way};
use sponson_readiness::event::{AnswerValue, OutReason, Place};
use sponson_readiness::ids::MissionId;
use sponson_readiness::record::{Assignment, Placement, Side};

use super::county::{
    FAR, access, asked, boat, callout, candidate, county, order, raise, reaches, way,
};
use crate::scene::{NOON, OTHER_STATION, STATION, Scene};

#[test]
fn nothing_is_said_of_it_when_nobody_asks() {
    let mut scene = county(&[STATION]);
    scene.question.callout = None;
    let answer = scene.answer();
    assert_eq!((answer.callout, answer.asked.callout), (None, None));
}

#[test]
fn what_was_asked_is_listed_as_given() {
    let scene = county(&[STATION]);
    assert_eq!(scene.answer().asked.callout, scene.question.callout);
}

/// By time to water; then by the straight line; then where no way is known; then what nobody
/// checked; then what cannot go.
#[test]
fn candidates_stand_in_the_order_of_reach_then_of_time_or_distance() {
    let mut scene = county(&[FAR, OTHER_STATION, STATION, STATION, STATION]);
    assert_eq!(
        order(&scene),
        ["Boat 3", "Boat 4", "Boat 5", "Boat 2", "Boat 1"]
    );
    way(&mut scene, OTHER_STATION, Way::Straight { metres: 100 });
    asked(&mut scene).ways.remove(&STATION);
    scene.record(boat(4)).checks.clear();
    let out = scene.side(OutReason::Rest);
    scene.record(boat(5)).out.insert(out.origin.event, out);
    assert_eq!(
        order(&scene),
        ["Boat 1", "Boat 2", "Boat 3", "Boat 4", "Boat 5"]
    );
    let expected = [
        Reach::ByTime,
        Reach::ByLine,
        Reach::WayNotKnown,
        Reach::NotChecked,
        Reach::CannotGo,
    ];
    assert_eq!(reaches(&scene), expected);
}

#[test]
fn by_line_the_shorter_distance_is_first() {
    let mut scene = county(&[STATION, OTHER_STATION]);
    way(&mut scene, STATION, Way::Straight { metres: 9_000 });
    way(&mut scene, OTHER_STATION, Way::Straight { metres: 8_999 });
    assert_eq!(order(&scene), ["Boat 2", "Boat 1"]);
    let time = candidate(&scene, 2).time;
    assert_eq!((time.drive, time.total, time.at), (None, None, None));
}

#[test]
fn a_closed_road_keeps_a_craft_away_and_says_whom_to_call() {
    let mut scene = county(&[STATION, OTHER_STATION]);
    way(&mut scene, STATION, Way::Closed);
    assert_eq!(order(&scene), ["Boat 2", "Boat 1"]);
    let first = candidate(&scene, 1);
    assert_eq!(first.reach, Reach::CannotGo);
    assert_eq!(first.hindrances, [Hindrance::WayClosed]);
    assert_eq!(first.time.total, None);
    let call = Call {
        station: STATION,
        name: "Alder Creek".to_owned(),
        call: "Alder Creek base".to_owned(),
    };
    assert_eq!(first.whom_to_call, [call]);
}

/// What people declared keeps a craft away whatever the boat itself is fit for.
#[test]
fn assigned_and_out_of_service_cannot_go() {
    let mut scene = county(&[STATION]);
    let assigned = scene.side(Assignment {
        incident: "F-17".to_owned(),
        mission: MissionId::from("flood"),
    });
    scene
        .craft()
        .assigned
        .insert(assigned.origin.event, assigned);
    let first = candidate(&scene, 1);
    assert_eq!(scene.readiness(), Readiness::Ready);
    let away = Hindrance::Assigned {
        incident: "F-17".to_owned(),
    };
    assert_eq!(
        (first.reach, first.hindrances),
        (Reach::CannotGo, vec![away])
    );
    let out = scene.side(OutReason::Personnel);
    scene.craft().out.insert(out.origin.event, out);
    assert_eq!(candidate(&scene, 1).hindrances, [Hindrance::Declared]);
}

/// Asked about one craft: what is left and who stands by is still the county's.
#[test]
fn one_craft_is_told_among_all() {
    let mut scene = county(&[STATION, OTHER_STATION]);
    scene.mission("flood");
    let among_all = candidate(&scene, 2);
    scene.question.craft = Some(boat(2));
    assert_eq!(callout(&scene).candidates, [among_all]);
    assert_eq!(scene.answer().craft.len(), 1);
}

/// What cannot go says what would make it go, and in how many minutes.
#[test]
fn what_would_make_it_go_stands_with_its_minutes() {
    let mut scene = county(&[STATION]);
    scene.answered("drain", AnswerValue::No);
    let judged = scene.judged();
    let first = candidate(&scene, 1);
    assert_eq!(first.time.ready, judged.minutes_to_ready);
    let from_why: Vec<_> = judged.why.iter().flat_map(|it| it.to_do.clone()).collect();
    assert!(first.to_do.iter().all(|one| from_why.contains(one)));
}

#[test]
fn a_craft_that_needs_a_ramp_does_not_go_where_there_is_a_bank_only() {
    let mut scene = county(&[STATION]);
    access(&mut scene, Some(Access::Bank));
    assert_eq!(candidate(&scene, 1).reach, Reach::ByTime);
    scene.policy.callout.bank.clear();
    let first = candidate(&scene, 1);
    assert_eq!(first.hindrances, [Hindrance::NoRamp]);
    assert_eq!((first.reach, first.time.launch), (Reach::CannotGo, None));
}

/// It may have to come from the worse of two stations, and both are told.
#[test]
fn a_disputed_craft_is_told_at_both_stations_and_comes_from_the_worse() {
    let mut scene = county(&[STATION, OTHER_STATION]);
    let other: Side<Placement> = scene.side(Placement {
        at: Place::Station(FAR),
        part: None,
    });
    scene.craft().place.0.push(other);
    let first = candidate(&scene, 1);
    assert_eq!(first.reach, Reach::NotChecked);
    assert_eq!(first.station, Some(FAR));
    assert_eq!(first.time.drive, Some(30));
    let told: Vec<_> = first
        .disputed
        .iter()
        .map(|at| (at.station, at.time.drive))
        .collect();
    assert_eq!(told, [(STATION, Some(10)), (FAR, Some(30))]);
    let calls: Vec<_> = first.whom_to_call.iter().map(|call| call.station).collect();
    assert_eq!(calls, [STATION, FAR]);
    assert_eq!(candidate(&scene, 2).disputed, []);
    way(&mut scene, STATION, Way::Closed);
    let first = candidate(&scene, 1);
    assert_eq!(
        (first.station, first.reach),
        (Some(STATION), Reach::CannotGo)
    );
}

/// Of craft that could be there in the same time one whose crew is known is first.
#[test]
fn at_the_same_time_a_known_crew_is_first() {
    let mut scene = county(&[STATION, OTHER_STATION]);
    way(&mut scene, OTHER_STATION, Way::Said { minutes: 10 });
    assert_eq!(order(&scene), ["Boat 1", "Boat 2"]);
    scene.record(STATION).crews.clear();
    assert_eq!(order(&scene), ["Boat 2", "Boat 1"]);
    raise(&mut scene, STATION, 1, None);
    assert_eq!(order(&scene), ["Boat 1", "Boat 2"]);
}

/// Of two answers, at two moments, the later of each candidate counts.
#[test]
fn of_two_moments_the_worse_counts() {
    let scene = county(&[STATION, OTHER_STATION]);
    let mut later: Scene = scene.clone();
    way(&mut later, STATION, Way::Closed);
    let (good, bad) = (callout(&scene), callout(&later));
    let mut merged = good.clone();
    merged.worse(bad.clone());
    assert_eq!(merged.candidates, bad.candidates);
    assert_eq!(merged.cover, bad.cover);
    let mut merged = bad.clone();
    merged.worse(good);
    assert_eq!(merged, bad);
    assert_eq!(scene.question.as_of, NOON);
}
