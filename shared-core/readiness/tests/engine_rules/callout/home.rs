//! People: trips of each candidate, and which craft together bring everybody home at once.

use sponson_readiness::answer::{BringHome, Trips};
use sponson_readiness::load::Size;

use super::county::{boat, callout, candidate, county, raise, way};
use crate::scene::{OTHER_STATION, STATION, Scene};
use sponson_readiness::answer::Way;

fn home(scene: &Scene) -> Option<BringHome> {
    callout(scene).bring_home
}

/// A craft with plates of so many persons.
fn plate(scene: &mut Scene, number: u8, persons: u32) {
    let craft = &mut scene.record(boat(number)).craft.0[0].value;
    craft.plate.persons = Some(persons);
    craft.plate.persons_mass_g = Some(9_000_000);
    craft.plate.total_mass_g = Some(9_900_000);
}

fn three() -> Scene {
    let mut scene = county(&[STATION, OTHER_STATION, OTHER_STATION]);
    scene.standard.crew_min = 2;
    for number in 1..=3 {
        plate(&mut scene, number, 6);
        // A jacket for everybody.
        let jackets = scene.standard.items.iter().filter(|it| it.wearer.is_some());
        let jackets: Vec<String> = jackets.map(|it| it.id.to_string()).collect();
        for id in jackets {
            let count = crate::scene::counted(&id, 40);
            let said = scene.said(count);
            let counts = &mut scene.record(boat(number)).counts;
            counts.insert((id.as_str().into(), None), said);
        }
    }
    scene
}

#[test]
fn nobody_to_bring_home_or_one_craft_is_enough() {
    let mut scene = three();
    assert_eq!((home(&scene), candidate(&scene, 1).trips), (None, None));
    scene.bring_home(Size::Adult, 4);
    assert_eq!(home(&scene), None);
    let trips = Trips {
        trips: 1,
        left_behind: 0,
        is_fewest: true,
    };
    assert_eq!(candidate(&scene, 1).trips, Some(trips));
    assert!(candidate(&scene, 1).seats >= Some(4));
}

/// Four seats each beyond the crew: five people take two craft, nine take three, thirteen are too
/// many at once.
#[test]
fn the_fewest_craft_that_take_everybody_and_of_those_the_earliest() {
    let cases: [(u32, &[u8], Option<u32>); 4] = [
        (5, &[1, 2], Some(40)),
        (8, &[1, 2], Some(40)),
        (9, &[1, 2, 3], Some(40)),
        (13, &[], None),
    ];
    for (people, craft, total) in cases {
        let mut scene = three();
        scene.bring_home(Size::Adult, people);
        let expected = BringHome {
            craft: craft.iter().map(|number| boat(*number)).collect(),
            is_fewest: true,
            total,
        };
        assert_eq!(home(&scene), Some(expected), "{people}");
    }
}

#[test]
fn what_cannot_go_together_does_not_bring_them_home_together() {
    let mut scene = three();
    scene.bring_home(Size::Adult, 9);
    raise(&mut scene, OTHER_STATION, 1, None);
    let found = home(&scene).expect("asked for");
    assert_eq!((found.craft.len(), found.is_fewest), (0, false));
    let mut scene = three();
    scene.bring_home(Size::Adult, 5);
    raise(&mut scene, OTHER_STATION, 1, None);
    assert_eq!(home(&scene).expect("asked for").craft, [boat(1), boat(2)]);
}

/// Where only the line is known the craft are told without a time.
#[test]
fn no_known_way_is_no_known_time() {
    let mut scene = three();
    scene.bring_home(Size::Adult, 5);
    way(&mut scene, OTHER_STATION, Way::NotKnown);
    let found = home(&scene).expect("asked for");
    assert_eq!((found.craft.len(), found.total), (2, None));
}

/// By weight: seats alone would do in two.
#[test]
fn weight_counts_beside_seats() {
    let mut scene = three();
    scene.bring_home(Size::Adult, 5);
    for number in 1..=3 {
        let craft = &mut scene.record(boat(number)).craft.0[0].value;
        // The crew of two, and two adults of 250 lb at most.
        craft.plate.persons_mass_g = Some(2 * 113_398 + 2 * 113_398);
    }
    let found = home(&scene).expect("asked for");
    assert_eq!((found.craft.len(), found.is_fewest), (3, true));
}
