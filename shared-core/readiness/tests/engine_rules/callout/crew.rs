//! The crew of a candidate.

use sponson_readiness::answer::{CrewKnown, Hindrance, Reach};
use sponson_readiness::event::Crews;

use super::county::{candidate, county, raise};
use crate::scene::{HOUR_MS, NOON, STATION, Scene};

fn known(scene: &Scene) -> CrewKnown {
    candidate(scene, 1).crew.known
}

/// Crews and persons that the station can raise, of a craft whose least crew is two.
#[test]
fn enough_or_too_few() {
    let until = NOON.plus_ms(12 * HOUR_MS);
    let enough = |crews, persons| CrewKnown::Enough {
        crews,
        persons,
        until,
    };
    let short = |persons| CrewKnown::Short { persons };
    let cases = [
        ((1, Some(2)), enough(1, Some(2))),
        ((1, None), enough(1, None)),
        ((3, Some(9)), enough(3, Some(9))),
        ((0, None), short(0)),
        ((0, Some(9)), short(0)),
        ((1, Some(1)), short(1)),
    ];
    for ((crews, persons), expected) in cases {
        let mut scene = county(&[STATION]);
        scene.standard.crew_min = 2;
        raise(&mut scene, STATION, crews, persons);
        assert_eq!(known(&scene), expected, "{crews} {persons:?}");
        let first = candidate(&scene, 1);
        let short = matches!(expected, CrewKnown::Short { .. });
        assert_eq!(first.reach == Reach::CannotGo, short);
        assert_eq!(first.hindrances.contains(&Hindrance::CrewShort), short);
        assert_eq!(first.time.total.is_none(), short);
    }
}

/// Nobody said: that is told, and the time stands as it would with a crew.
#[test]
fn silence_is_not_known() {
    let mut scene = county(&[STATION]);
    let time = candidate(&scene, 1).time;
    scene.crews().clear();
    let first = candidate(&scene, 1);
    assert_eq!((first.crew.known, first.time), (CrewKnown::NotKnown, time));
    assert_eq!(first.reach, Reach::ByTime);
}

#[test]
fn what_no_longer_stands_is_silence() {
    let mut scene = county(&[STATION]);
    scene.crews()[0].value.until = NOON;
    assert_eq!(known(&scene), CrewKnown::NotKnown);
}

/// Whoever asks may know better than the station said.
#[test]
fn a_named_crew_is_judged_instead_of_the_stations() {
    let mut scene = county(&[STATION]);
    scene.standard.crew_min = 2;
    raise(&mut scene, STATION, 0, None);
    scene.question.crew.count = Some(2);
    assert_eq!(known(&scene), CrewKnown::AsAsked);
    scene.question.crew.count = Some(1);
    assert_eq!(known(&scene), CrewKnown::Short { persons: 1 });
}

/// An unconfirmed statement raises nobody.
#[test]
fn an_untrusted_statement_is_no_crew() {
    let mut scene = county(&[STATION]);
    let mut said: Crews = scene.crews()[0].value.clone();
    said.crews = 9;
    let untrusted = scene.untrusted(said);
    *scene.crews() = vec![untrusted];
    assert_eq!(known(&scene), CrewKnown::NotKnown);
}
