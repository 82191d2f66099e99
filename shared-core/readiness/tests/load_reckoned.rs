//! Lines of a plate, trips and life jackets: worked cases, and laws.

use proptest::prelude::*;
use sponson_readiness::answer::LoadLimit;
use sponson_readiness::event::Plate;
use sponson_readiness::load::{
    Counted, Fit, Group, Jacket, Need, Party, PlateCounts, Size, Sizes, Thing, Weighed, WeighedBy,
    counts_of, full_load_of_motor, groups, mass_left_g, rooms, seats_of, short_of, tightest, trips,
};
use sponson_readiness::plate::Lb;
use sponson_readiness::standard::Policy;

fn lb(pounds: i64) -> u64 {
    Lb::whole(pounds).to_g()
}

fn sizes() -> Sizes {
    let policy = Policy::parse(Policy::default_text()).expect("built in");
    policy.load.sizes
}

fn weighed(crew: u32, each: i64, rest: &[(Thing, i64)]) -> Weighed {
    let crew_g = u64::from(crew) * lb(each);
    let things = [(Thing::Crew, crew_g)].into_iter();
    let things = things.chain(rest.iter().map(|(thing, pounds)| (*thing, lb(*pounds))));
    Weighed {
        crew,
        counted: things
            .map(|(thing, mass_g)| Counted {
                thing,
                mass_g,
                by: WeighedBy::Given,
            })
            .collect(),
    }
}

/// Row 23 D: a plate of 5 persons or 603 lb (33 CFR 183.25), four rescuers at 185 lb (46 CFR
/// 170.090): over by weight, though four heads are fewer than five.
#[test]
fn four_rescuers_are_over_a_plate_of_five() {
    let plate = Plate {
        persons: Some(5),
        persons_mass_g: Some(lb(603)),
        ..Plate::default()
    };
    let lines = rooms(&plate, PlateCounts::Persons, &weighed(4, 185, &[]));
    assert_eq!(lines[0].left(), 1);
    assert!(lines[1].left() < 0);
    assert_eq!(seats_of(&lines, lb(185)), 0);
    let binds = tightest(&lines, lb(185)).expect("lines").binds;
    assert_eq!(binds, LoadLimit::PersonsMass);
}

/// A plate of 6 persons or 1,430 lb, three of 240 lb, kit 95 lb, motor 115 lb, fuel 73 lb.
#[test]
fn what_the_one_weight_counts_decides() {
    let plate = Plate {
        persons: Some(6),
        persons_mass_g: Some(lb(1_430)),
        ..Plate::default()
    };
    let aboard = weighed(
        3,
        240,
        &[(Thing::Kit, 95), (Thing::Motor, 115), (Thing::Fuel, 73)],
    );
    let all = rooms(&plate, PlateCounts::PersonsMotorGear, &aboard);
    // 1430 - 720 - 95 - 115 - 73 = 427: two of 185 lb.
    assert_eq!(seats_of(&all, lb(185)), 2);
    let left = Lb::from_g(mass_left_g(&all).expect("a weight").unsigned_abs());
    assert_eq!(left, Lb::whole(427));
    let alone = rooms(&plate, PlateCounts::Persons, &aboard);
    // 1430 - 720 = 710: three of 185 lb, as many as heads.
    assert_eq!(seats_of(&alone, lb(185)), 3);
    let full = Plate {
        persons_mass_g: Some(lb(720 + 555)),
        ..plate
    };
    let lines = rooms(&full, PlateCounts::Persons, &aboard);
    assert_eq!(seats_of(&lines, lb(185)), 3, "555 lb are three of 185 lb");
    let both = Plate {
        total_mass_g: Some(lb(1_600)),
        ..plate
    };
    let counts = counts_of(&both, PlateCounts::PersonsMotorGear);
    assert_eq!(
        counts,
        PlateCounts::Persons,
        "two lines say what each counts"
    );
    assert_eq!(counts_of(&plate, counts), PlateCounts::Persons);
}

/// 25 hp: 350 lb, of which a full tank of 100 and a battery of 45 (ABYC S-30 table 1A).
#[test]
fn a_motor_of_which_only_the_power_is_known() {
    let [motor, fuel, battery] = full_load_of_motor(18_642).expect("in the table");
    assert_eq!(Lb::from_g(motor.mass_g), Lb::whole(205));
    assert_eq!(Lb::from_g(fuel.mass_g), Lb::whole(100));
    assert_eq!(Lb::from_g(battery.mass_g), Lb::whole(45));
    assert_eq!(full_load_of_motor(150_000), None);
}

fn party(size: Size, lying: bool, count: u32, pounds: Option<i64>) -> Party {
    Party {
        size,
        lying,
        count,
        mass_g: pounds.map(lb),
    }
}

fn people(parties: &[Party]) -> Vec<Group> {
    groups(parties, &sizes(), lb(185), 3)
}

#[test]
fn people_take_seats_and_weight() {
    let found = people(&[
        party(Size::Adult, false, 1, None),
        party(Size::Child, false, 1, None),
        party(Size::Child, false, 1, Some(45)),
        party(Size::Adult, true, 1, None),
        party(Size::Infant, false, 0, None),
    ]);
    let said: Vec<(u32, Lb)> = found
        .iter()
        .map(|group| (group.seats, Lb::from_g(group.mass_g)))
        .collect();
    let pounds = Lb::whole;
    let wanted = [
        (1, pounds(185)),
        (1, pounds(50)),
        (1, pounds(45)),
        (3, pounds(185)),
    ];
    assert_eq!(said, wanted);
}

fn trip_count(parties: &[Party], seats: Option<u32>, pounds: Option<i64>) -> usize {
    let packed = trips(&people(parties), seats, pounds.map(lb));
    assert!(packed.is_fewest);
    packed.trips.len()
}

#[test]
fn the_fewest_trips_by_heads_and_by_weight() {
    let adults = |count| [party(Size::Adult, false, count, None)];
    assert_eq!(trip_count(&adults(6), Some(6), None), 1);
    assert_eq!(trip_count(&adults(7), Some(6), None), 2);
    assert_eq!(trip_count(&adults(6), None, Some(555)), 2);
    // Three of 185 lb are 555 lb, whatever a gram says.
    assert_eq!(trip_count(&adults(3), None, Some(555)), 1);
    assert_eq!(trip_count(&adults(3), None, Some(554)), 2);
    assert_eq!(trip_count(&[], Some(6), None), 0);
    // Somebody lying down takes three of four seats: one more goes along.
    let lying = [
        party(Size::Adult, true, 2, None),
        party(Size::Adult, false, 2, None),
    ];
    assert_eq!(trip_count(&lying, Some(4), None), 2);
    assert_eq!(trip_count(&lying, Some(3), None), 3);
    // 7 + 3, 6 + 4, 5 + 5 tenths: the heaviest first alone would take a fourth trip for 5, 4, 3...
    let odd = [
        party(Size::Adult, false, 2, Some(180)),
        party(Size::Adult, false, 2, Some(150)),
        party(Size::Youth, false, 4, Some(90)),
        party(Size::Youth, false, 2, Some(60)),
    ];
    assert_eq!(
        trip_count(&odd, None, Some(390)),
        3,
        "1140 lb in 390 lb each"
    );
}

#[test]
fn whom_no_trip_takes_is_told() {
    let list = [
        party(Size::Adult, true, 1, None),
        party(Size::Adult, false, 2, None),
        party(Size::Adult, false, 1, Some(400)),
    ];
    let packed = trips(&people(&list), Some(2), Some(lb(390)));
    assert_eq!(packed.left_behind, [1, 0, 1]);
    assert_eq!(packed.trips.len(), 1);
    assert_eq!(packed.trips[0].aboard, [0, 2, 0]);
    let none = trips(&people(&list), Some(0), None);
    assert_eq!(none.left_behind, [1, 2, 1]);
    assert!(none.trips.is_empty());
}

fn jacket(low: Option<(i64, bool)>, high: Option<(i64, bool)>, count: u32) -> Jacket {
    let bound = |end: Option<(i64, bool)>| {
        end.map(|(pounds, is_included)| sponson_readiness::load::Bound {
            mass_g: lb(pounds),
            is_included,
        })
    };
    Jacket {
        wearer: sponson_readiness::load::Wearer {
            low: bound(low),
            high: bound(high),
        },
        count,
    }
}

/// Labels by body weight; 33 CFR 175.21: the right size for the wearer, as labelled.
#[test]
fn no_size_stands_in_for_another() {
    let adult = jacket(Some((90, false)), None, 9);
    let child = jacket(Some((30, true)), Some((50, true)), 1);
    let need = |fit, count| Need { fit, count };
    let lacks = |needs: &[Need], jackets: &[Jacket]| -> Vec<u32> {
        let short = short_of(needs, jackets, &sizes());
        short.iter().map(|one| one.short).collect()
    };
    let any = Fit::Anybody;
    assert_eq!(lacks(&[need(any(Size::Child), 2)], &[adult, child]), [1]);
    assert_eq!(lacks(&[need(any(Size::Infant), 1)], &[adult, child]), [1]);
    assert_eq!(lacks(&[need(any(Size::Adult), 9)], &[adult, child]), [0]);
    // By body weight where it was given: a heavy child wears an adult's.
    assert_eq!(lacks(&[need(Fit::Mass(lb(120)), 1)], &[adult, child]), [0]);
    assert_eq!(lacks(&[need(Fit::Mass(lb(90)), 1)], &[adult, child]), [1]);
    assert_eq!(lacks(&[need(Fit::Mass(lb(50)), 1)], &[adult, child]), [0]);
    assert_eq!(lacks(&[need(Fit::Mass(lb(29)), 1)], &[adult, child]), [1]);
    // Somebody of 50 lb wears either: who can wear only the one gets it.
    let youth = jacket(Some((50, true)), Some((90, true)), 1);
    let both = [need(Fit::Mass(lb(50)), 1), need(Fit::Mass(lb(40)), 1)];
    assert_eq!(lacks(&both, &[child, youth]), [0, 0]);
    let both = [need(Fit::Mass(lb(50)), 1), need(Fit::Mass(lb(60)), 1)];
    assert_eq!(lacks(&both, &[child, youth]), [0, 0]);
}

fn parties() -> impl Strategy<Value = Vec<Party>> {
    let one = (
        0_usize..4,
        any::<bool>(),
        0_u32..4,
        prop::option::of(10_i64..330),
    );
    prop::collection::vec(one, 0..4).prop_map(|list| {
        let read = |(size, lying, count, pounds): (usize, bool, u32, Option<i64>)| {
            party(Size::ALL[size], lying, count, pounds)
        };
        list.into_iter().map(read).collect()
    })
}

proptest! {
    /// Every trip is within heads and weight, and everybody is on one trip or told to be left.
    #[test]
    fn everybody_is_on_one_trip_within_the_limits(
        list in parties(), seats in 1_u32..9, pounds in 100_i64..1_200,
    ) {
        let people = people(&list);
        let packed = trips(&people, Some(seats), Some(lb(pounds)));
        for trip in &packed.trips {
            let sum = |of: fn(&Group) -> u64| -> u64 {
                people.iter().zip(&trip.aboard).map(|(group, count)| of(group) * u64::from(*count)).sum()
            };
            prop_assert!(sum(|group| u64::from(group.seats)) <= u64::from(seats));
            // Half a gram each is rounding.
            prop_assert!(sum(|group| group.mass_g) <= lb(pounds) + 32);
            prop_assert!(trip.aboard.iter().any(|count| *count > 0));
        }
        for (at, group) in people.iter().enumerate() {
            let aboard: u32 = packed.trips.iter().map(|trip| trip.aboard[at]).sum();
            prop_assert_eq!(aboard + packed.left_behind[at], group.party.count);
        }
    }

    /// More people never take fewer trips, and never leave fewer behind.
    #[test]
    fn more_people_never_take_fewer_trips(
        list in parties(), more in parties(), seats in 1_u32..9, pounds in 100_i64..1_200,
    ) {
        let few = trips(&people(&list), Some(seats), Some(lb(pounds)));
        let all: Vec<Party> = list.iter().chain(&more).copied().collect();
        let many = trips(&people(&all), Some(seats), Some(lb(pounds)));
        prop_assert!(many.trips.len() >= few.trips.len());
        let behind = |packed: &sponson_readiness::load::Packed| packed.left_behind.iter().sum::<u32>();
        prop_assert!(behind(&many) >= behind(&few));
    }

    /// A smaller boat never takes fewer trips for the same people, those whom it cannot take at all
    /// being left out of both.
    #[test]
    fn less_room_never_takes_fewer_trips(
        list in parties(), seats in 3_u32..9, less in 0_u32..3, pounds in 340_i64..1_200, lighter in 0_i64..1_000,
    ) {
        let people = people(&list);
        let large = trips(&people, Some(seats), Some(lb(pounds)));
        let smaller = (pounds - lighter).max(331);
        let small = trips(&people, Some((seats - less).max(3)), Some(lb(smaller)));
        prop_assert_eq!(&small.left_behind, &large.left_behind);
        prop_assert!(small.trips.len() >= large.trips.len());
    }

    /// More weight aboard never leaves more seats; a stricter plate never does; what the plate
    /// counts beside persons never does.
    #[test]
    fn more_weight_or_a_stricter_plate_never_leaves_more_seats(
        persons in 1_u32..12, pounds in 100_i64..2_500, total in prop::option::of(100_i64..3_000),
        crew in 1_u32..6, each in 100_i64..300, kit in 0_i64..300, motor in 0_i64..300,
        more in 0_i64..300, stricter in 0_i64..500,
    ) {
        let plate = Plate {
            persons: Some(persons),
            persons_mass_g: Some(lb(pounds)),
            total_mass_g: total.map(lb),
            ..Plate::default()
        };
        let aboard = |crew, each, kit| weighed(crew, each, &[(Thing::Kit, kit), (Thing::Motor, motor)]);
        for counts in [PlateCounts::Persons, PlateCounts::PersonsMotorGear] {
            let seats = |plate: &Plate, aboard: &Weighed| seats_of(&rooms(plate, counts, aboard), lb(185));
            let now = seats(&plate, &aboard(crew, each, kit));
            prop_assert!(seats(&plate, &aboard(crew, each, kit + more)) <= now);
            prop_assert!(seats(&plate, &aboard(crew, each + more, kit)) <= now);
            prop_assert!(seats(&plate, &aboard(crew + 1, each, kit)) <= now);
            let strict = Plate {
                persons: Some(persons - 1),
                persons_mass_g: Some(lb((pounds - stricter).max(0))),
                total_mass_g: total.map(|total| lb((total - stricter).max(0))),
                ..plate
            };
            prop_assert!(seats(&strict, &aboard(crew, each, kit)) <= now);
        }
        let aboard = aboard(crew, each, kit);
        let alone = seats_of(&rooms(&plate, PlateCounts::Persons, &aboard), lb(185));
        let all = seats_of(&rooms(&plate, PlateCounts::PersonsMotorGear, &aboard), lb(185));
        prop_assert!(all <= alone);
    }

    /// One more jacket never leaves more people without; one more person never fewer.
    #[test]
    fn more_jackets_never_leave_more_without(
        needs in prop::collection::vec((0_usize..4, prop::option::of(10_i64..200), 0_u32..4), 0..4),
        counts in prop::collection::vec(0_u32..4, 4), which in 0_usize..4,
    ) {
        let labels = [
            (None, Some((30, false))),
            (Some((30, true)), Some((50, true))),
            (Some((50, true)), Some((90, true))),
            (Some((90, false)), None),
        ];
        let mut jackets: Vec<Jacket> = labels
            .iter()
            .zip(&counts)
            .map(|((low, high), count)| jacket(*low, *high, *count))
            .collect();
        let needs: Vec<Need> = needs
            .iter()
            .map(|(size, pounds, count)| Need {
                fit: pounds.map_or(Fit::Anybody(Size::ALL[*size]), |pounds| Fit::Mass(lb(pounds))),
                count: *count,
            })
            .collect();
        let short = |needs: &[Need], jackets: &[Jacket]| -> u32 {
            short_of(needs, jackets, &sizes()).iter().map(|one| one.short).sum()
        };
        let before = short(&needs, &jackets);
        let mut more = needs.clone();
        if let Some(first) = more.first_mut() {
            first.count += 1;
        }
        prop_assert!(short(&more, &jackets) >= before);
        jackets[which].count += 1;
        prop_assert!(short(&needs, &jackets) <= before);
    }
}
