//! A family of four, one of them a toddler, on a car roof in a flooded street; the water is at 6 °C,
//! dusk is in forty minutes, one road is closed.

use sponson_readiness::answer::{Access, Hindrance, Reach, Second, Way};
use sponson_readiness::conditions::{Dark, Light, Position};
use sponson_readiness::load::Size;
use sponson_readiness::moment::Moment;

use super::county::{FAR, access, callout, candidate, county, order, way};
use crate::scene::{NOON, OTHER_STATION, STATION, Scene, counted};

const DUSK: Moment = Moment(NOON.0 + 40 * 60_000);

fn street() -> Scene {
    let mut scene = county(&[STATION, OTHER_STATION, FAR, FAR]);
    scene.mission("flood").weather(8, 6);
    scene.bring_home(Size::Adult, 2);
    scene.bring_home(Size::Child, 1);
    scene.bring_home(Size::Infant, 1);
    scene.question.conditions.position = Some(Position {
        lat_e7: 415_000_000,
        lon_e7: -930_000_000,
    });
    scene.question.conditions.duration_s = Some(7_200);
    scene.question.conditions.light = vec![Light {
        from: NOON.plus_ms(-86_400_000),
        to: NOON.plus_ms(86_400_000),
        dark: vec![(DUSK, DUSK.plus_ms(12 * 3_600_000))],
    }];
    way(&mut scene, STATION, Way::Closed);
    access(&mut scene, Some(Access::Bank));
    scene
}

#[test]
fn the_coordinators_one_look() {
    let scene = street();
    let answer = scene.answer();
    assert!(matches!(answer.asked.dark, Dark::Partly { .. }));
    let callout = callout(&scene);
    // Bracken Ford in 15 + 20 + 10 minutes; Cress Weir's second crew stands by.
    let first = &callout.candidates[0];
    assert_eq!(first.number, "Boat 2");
    let total = first.time.total.expect("a known way");
    assert_eq!(total, 45 + first.time.ready.expect("known"));
    assert!(first.time.at > Some(DUSK), "in the water after dusk");
    assert_eq!(
        first.trips.map(|it| (it.trips, it.left_behind)),
        Some((1, 0))
    );
    let Second::Boat { ref number, .. } = first.second else {
        panic!("{:?}", first.second);
    };
    assert_eq!(number, "Boat 3");
    let left = first.cover_left.as_ref().expect("it can go");
    assert_eq!((left.craft, &left.without[..]), (2, &[OTHER_STATION][..]));
    assert_eq!(order(&scene).last().map(String::as_str), Some("Boat 1"));
    let closed = candidate(&scene, 1);
    assert_eq!(
        (closed.reach, closed.hindrances),
        (Reach::CannotGo, vec![Hindrance::WayClosed])
    );
}

/// The toddler's jacket that nobody has aboard is on a shelf somewhere, or is said to be short.
#[test]
fn a_jacket_for_the_toddler_is_asked_for() {
    let mut scene = street();
    let sizes = scene.policy.load.sizes;
    let fits = |it: &&sponson_readiness::standard::Item| {
        it.wearer
            .is_some_and(|wearer| wearer.fits_all(sizes.infant))
    };
    let line = scene
        .standard
        .items
        .iter()
        .find(fits)
        .expect("a line of the sheet");
    let id = line.id.clone();
    let none = scene.said(counted(id.as_str(), 0));
    let boat = super::county::boat(2);
    scene.record(boat).counts.insert((id.clone(), None), none);
    let second = candidate(&scene, 2);
    let short = second.at_ramp.iter().find(|line| line.item == id);
    assert_eq!(short.expect("short").short, 1);
}
