//! Whom the craft can bring home.

use sponson_readiness::answer::{Effect, Limit, LoadLimit, Measure, Rule};
use sponson_readiness::event::Plate;

use super::scene::Scene;

fn plate(scene: &mut Scene, plate: Plate) {
    scene.craft().craft.0[0].value.plate = plate;
}

#[test]
fn seats_are_the_smaller_of_heads_and_mass() {
    let mut scene = Scene::inflatable();
    let load = scene.judged().load.expect("a plate");
    // 900 kg less two of 250 lb (113.398 kg) leave 673.2 kg: eight of 185 lb (83.915 kg); 1200 kg
    // less those, kit and a motor of 50 kg leave more; eight persons less two leave six.
    assert_eq!(
        (load.crew, load.seats, load.binds),
        (2, 6, LoadLimit::Persons)
    );
    assert_eq!(load.mass_left_g, Some(673_204));
    scene.mission("swiftwater");
    assert_eq!(scene.judged().load.expect("a plate").crew, 3);
}

/// A plate of 5 persons or 603 lb; four at 185 lb are over by mass, not by heads.
#[test]
fn a_crew_may_be_over_by_mass_though_not_by_heads() {
    let mut scene = Scene::of("flat-bottom-16");
    plate(
        &mut scene,
        Plate {
            persons: Some(5),
            persons_mass_g: Some(273_516),
            ..Plate::default()
        },
    );
    scene.policy.crew_mass_g = 83_915;
    scene.standard.crew_min = 4;
    let finding = scene.finding(Rule::LoadOver).expect("over");
    assert_eq!(finding.effect, Effect::NotReady);
    assert_eq!(finding.measured, Some(Measure::MassG(335_660)));
    assert_eq!(scene.judged().load.expect("a plate").seats, 0);
    scene.standard.crew_min = 3;
    assert_eq!(scene.finding(Rule::LoadOver), None);
}

#[test]
fn kit_and_motor_count_against_the_total() {
    let mut scene = Scene::inflatable();
    let whole = scene.judged().load.expect("a plate");
    plate(
        &mut scene,
        Plate {
            total_mass_g: Some(600_000),
            ..Plate::default()
        },
    );
    let load = scene.judged().load.expect("a plate");
    assert_eq!(load.binds, LoadLimit::TotalMass);
    let left_g = load.mass_left_g.expect("a mass");
    let kit_g = 600_000 - 2 * 113_398 - 50_000 - left_g;
    assert!((50_000..150_000).contains(&kit_g), "kit of {kit_g} g");
    assert!(load.seats < whole.seats);
}

#[test]
fn without_a_plate_nobody_is_promised_a_seat() {
    let mut scene = Scene::inflatable();
    plate(&mut scene, Plate::default());
    assert_eq!(
        scene.effect(Rule::PlateUnknown),
        Some(Effect::Limit(Limit::CrewOnly))
    );
    assert_eq!(scene.judged().load, None);
}
