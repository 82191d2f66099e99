//! What a plate leaves for people, in words.

use serde_json::{Value, json};
use sponson_readiness::load::{ByHand, Found, Group, Party, WeighedBy, by_hand};
use sponson_readiness::plate::Lb;
use sponson_readiness::standard::Policy;

use super::Reckoned;
use crate::people::size_text;
use crate::units::print;
use crate::words;

/// Seats, weight left, trips; none for a plate without a line of persons or weight.
#[must_use]
pub fn load(given: &ByHand, policy: &Policy) -> Option<Reckoned> {
    let found = by_hand(given, policy)?;
    Some(Reckoned {
        what: "load",
        given: given_fields(given),
        figures: figures(&found),
        lines: lines(given, &found),
        assumed: assumed(given, &found, policy),
        sources: sources(&found),
    })
}

fn given_fields(given: &ByHand) -> Vec<(&'static str, Value)> {
    let plate = &given.plate;
    vec![
        ("plate_persons", plate.persons.into()),
        ("plate_weight_g", plate.persons_mass_g.into()),
        ("plate_total_g", plate.total_mass_g.into()),
        ("crew", given.crew.into()),
        ("crew_mass_g", given.crew_mass_g.into()),
        ("kit_g", given.kit_g.into()),
        ("motor_g", given.motor_g.into()),
        ("motor_power_w", given.motor_power_w.into()),
        ("fuel_ml", given.fuel_ml.into()),
        ("battery_g", given.battery_g.into()),
        ("person_mass_g", given.person_mass_g.into()),
        ("lying_seats", given.lying_seats.into()),
        ("people", parties(&given.people)),
    ]
}

fn parties(people: &[Party]) -> Value {
    let people = people.iter().map(|party| {
        json!({
            "size": party.size.id(),
            "lying": party.lying,
            "count": party.count,
            "mass_g": party.mass_g,
        })
    });
    people.collect::<Vec<_>>().into()
}

fn figures(found: &Found) -> Vec<(&'static str, Value)> {
    let packed = &found.packed;
    let asked = !found.groups.is_empty();
    let trips = asked.then_some(packed.trips.len());
    let each: Vec<Value> = packed
        .trips
        .iter()
        .map(|trip| people(&found.groups, &trip.aboard))
        .collect();
    let lines: Vec<Value> = found
        .lines
        .iter()
        .map(|room| {
            json!({
                "line": room.binds.id(),
                "limit": room.limit,
                "loaded": room.loaded,
                "left": room.left(),
            })
        })
        .collect();
    let counted: Vec<Value> = found
        .counted
        .iter()
        .map(|one| json!({"thing": one.thing.id(), "mass_g": one.mass_g, "by": one.by.id()}))
        .collect();
    vec![
        ("seats", found.seats.into()),
        ("child_seats", found.child_seats.into()),
        ("weight_left_lb", found.mass_left_g.map(tenths_lb).into()),
        ("weight_left_g", found.mass_left_g.into()),
        ("binds", found.binds.id().into()),
        ("over", is_over(found).into()),
        ("trips", trips.into()),
        ("fewest", asked.then_some(packed.is_fewest).into()),
        ("each_trip", each.into()),
        ("left_behind", people(&found.groups, &packed.left_behind)),
        ("lines", lines.into()),
        ("counted", counted.into()),
        (
            "plate_counts",
            found.plate_counts.map(|by| by.counts.id()).into(),
        ),
    ]
}

fn people(groups: &[Group], counts: &[u32]) -> Value {
    let some = groups.iter().zip(counts).filter(|(_, count)| **count > 0);
    let people = some.map(|(group, count)| {
        json!({
            "size": group.party.size.id(),
            "lying": group.party.lying,
            "count": count,
            "mass_g": group.mass_g,
            "seats": group.seats,
        })
    });
    people.collect::<Vec<_>>().into()
}

fn is_over(found: &Found) -> bool {
    found.lines.iter().any(|room| room.is_over())
}

fn lines(given: &ByHand, found: &Found) -> Vec<String> {
    let left = found.mass_left_g.map(|left_g| match left_g {
        0.. => format!("; {} left", pounds(left_g)),
        _ => format!("; {} too much", pounds(-left_g)),
    });
    let binds = words::load_limit(found.binds, found.plate_counts.map(|by| by.counts));
    let seats = print::count(i64::from(found.seats), "seat");
    let crew = given.crew;
    let mut lines = Vec::new();
    if is_over(found) {
        lines.push("OVER THE PLATE before anybody is brought aboard".to_owned());
    }
    lines.push(format!(
        "{seats} beyond a crew of {crew}, or {} for children{}; {binds} binds",
        found.child_seats,
        left.unwrap_or_default()
    ));
    if let Some(by) = found.plate_counts {
        let counts = words::plate_counts(by.counts);
        lines.push(format!("the plate's weight is taken to count {counts}"));
    }
    let weighed = found.counted.iter().map(|one| {
        let mass = pounds(i64::try_from(one.mass_g).unwrap_or(i64::MAX));
        let by = words::weighed_by(one.by);
        format!("{} {mass} ({by})", words::thing(one.thing))
    });
    lines.push(format!(
        "weighed: {}",
        weighed.collect::<Vec<_>>().join(", ")
    ));
    lines.extend(homeward(found));
    lines
}

fn homeward(found: &Found) -> Vec<String> {
    let packed = &found.packed;
    if found.groups.is_empty() {
        return Vec::new();
    }
    let cut = if packed.is_fewest {
        ""
    } else {
        ": fewer may do, there are too many people to try every way"
    };
    let count = print::count(
        i64::try_from(packed.trips.len()).unwrap_or(i64::MAX),
        "trip",
    );
    let mut lines = vec![format!("{count}{cut}")];
    for (number, trip) in (1_usize..).zip(&packed.trips) {
        lines.push(format!(
            "  trip {number}: {}",
            who(&found.groups, &trip.aboard)
        ));
    }
    if packed.left_behind.iter().any(|count| *count > 0) {
        let who = who(&found.groups, &packed.left_behind);
        lines.push(format!("  no room in any trip: {who}"));
    }
    lines
}

fn who(groups: &[Group], counts: &[u32]) -> String {
    let some = groups.iter().zip(counts).filter(|(_, count)| **count > 0);
    let said = some.map(|(group, count)| {
        let each = pounds(i64::try_from(group.mass_g).unwrap_or(i64::MAX));
        let who = size_text(group.party.size, group.party.lying, *count);
        format!("{who} of {each}")
    });
    said.collect::<Vec<_>>().join(", ")
}

fn assumed(given: &ByHand, found: &Found, policy: &Policy) -> Vec<String> {
    let mass = |g: u64| pounds(i64::try_from(g).unwrap_or(i64::MAX));
    let mut assumed = Vec::new();
    if given.crew_mass_g.is_none() {
        assumed.push(format!(
            "each of the crew in gear {}",
            mass(policy.crew_mass_g)
        ));
    }
    if given.person_mass_g.is_none() {
        assumed.push(format!(
            "an adult brought aboard {}",
            mass(policy.person_mass_g)
        ));
    }
    if found.plate_counts.is_some_and(|by| by.is_assumed) {
        assumed.push(
            "the plate's weight counts motor and gear too, the worse: ask the maker what it counts"
                .to_owned(),
        );
    }
    if given.people.iter().any(|party| party.mass_g.is_none()) {
        let heaviest =
            "somebody whose weight is not given: the heaviest of the size, an adult as above";
        assumed.push(heaviest.to_owned());
    }
    if given.people.iter().any(|party| party.lying) {
        let seats = given.lying_seats;
        assumed.push(format!("somebody lying down takes {seats} seats"));
    }
    let lacks = [
        ("kit", given.kit_g.is_none()),
        (
            "motor",
            given.motor_g.is_none() && given.motor_power_w.is_none(),
        ),
        (
            "fuel",
            given.fuel_ml.is_none() && given.motor_power_w.is_none(),
        ),
    ];
    let lacks: Vec<&str> = lacks
        .into_iter()
        .filter(|(_, lacks)| *lacks)
        .map(|(it, _)| it)
        .collect();
    if !lacks.is_empty() {
        assumed.push(format!("no weight of {}: none was given", lacks.join(", ")));
    }
    if given.fuel_ml.is_some() {
        let density = policy.load.fuel_g_per_l;
        assumed.push(format!("fuel {density} g a litre, its tank not counted"));
    }
    assumed
}

fn sources(found: &Found) -> Vec<String> {
    let by_table = found.counted.iter().any(|one| one.by == WeighedBy::Table);
    let table = "motor by power: ABYC S-30 table 1A, a secondary copy (newboatbuilders.com)";
    [
        Some("the maker's plate, persons and pounds each tested, 33 CFR 183.25 in form"),
        Some("an adult brought aboard: 46 CFR 170.090(d)(1), 185 lb"),
        Some("a rescuer in gear, seats lying down, weight of fuel: common practice, no source"),
        by_table.then_some(table),
    ]
    .into_iter()
    .flatten()
    .map(str::to_owned)
    .collect()
}

/// Pounds to a tenth.
pub(super) fn tenths_lb(g: i64) -> f64 {
    let hundredths = Lb::from_g(g.unsigned_abs()).0;
    let tenths = (hundredths + 5) / 10;
    #[expect(
        clippy::cast_precision_loss,
        reason = "weights of a boat are far below 2^53 tenths of a pound"
    )]
    let pounds = tenths as f64 / 10.0;
    if g < 0 { -pounds } else { pounds }
}

/// `427 lb (194 kg)`.
pub(super) fn pounds(g: i64) -> String {
    format!("{:.0} lb ({} kg)", tenths_lb(g), (g + 500).div_euclid(1000))
}

#[cfg(test)]
mod tests {
    use super::*;
    use sponson_readiness::event::Plate;
    use sponson_readiness::load::{PlateCounts, Size};

    const LB: f64 = 453.592_37;

    fn g(lb: f64) -> u64 {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "small and positive"
        )]
        let grams = (lb * LB).round() as u64;
        grams
    }

    fn given() -> ByHand {
        ByHand {
            plate: Plate {
                persons: Some(6),
                persons_mass_g: Some(g(1430.0)),
                ..Plate::default()
            },
            counts: None,
            crew: 3,
            crew_mass_g: Some(g(240.0)),
            kit_g: Some(g(95.0)),
            motor_g: Some(g(115.0)),
            motor_power_w: None,
            // 12 US gallons.
            fuel_ml: Some(45_425),
            battery_g: None,
            person_mass_g: None,
            lying_seats: 3,
            people: vec![
                Party {
                    size: Size::Adult,
                    lying: false,
                    count: 3,
                    mass_g: None,
                },
                Party {
                    size: Size::Child,
                    lying: false,
                    count: 1,
                    mass_g: Some(g(45.0)),
                },
            ],
        }
    }

    fn reckoned(given: &ByHand) -> Reckoned {
        let policy = Policy::parse(Policy::default_text()).expect("built in");
        load(given, &policy).expect("a plate")
    }

    fn figure(reckoned: &Reckoned, name: &str) -> Value {
        let mut figures = reckoned.figures.iter();
        let found = figures.find(|(it, _)| *it == name);
        found.map(|(_, value)| value.clone()).expect(name)
    }

    /// 1430 less 720, 95, 115 and 12 gallons of 6.1 lb (73.2) leave 426.8 lb: two of 185 lb.
    #[test]
    fn what_the_plate_leaves_is_said_with_what_binds() {
        let said = reckoned(&given());
        assert_eq!(figure(&said, "seats"), 2);
        assert_eq!(figure(&said, "weight_left_lb"), 426.8);
        assert_eq!(figure(&said, "binds"), "persons_mass");
        assert_eq!(figure(&said, "plate_counts"), "persons_motor_gear");
        assert_eq!(figure(&said, "trips"), 2);
        insta::assert_snapshot!(said.to_text(), @"
        2 seats beyond a crew of 3, or 3 for children; 427 lb (194 kg) left; the plate's weight binds
        the plate's weight is taken to count persons, motor and gear
        weighed: crew in gear 720 lb (327 kg) (as given), kit 95 lb (43 kg) (as given), motor 115 lb (52 kg) (as given), fuel and tank 73 lb (33 kg) (by amount)
        2 trips
          trip 1: 2 adults of 185 lb (84 kg), 1 child of 45 lb (20 kg)
          trip 2: 1 adult of 185 lb (84 kg)
        assumed: an adult brought aboard 185 lb (84 kg)
        assumed: the plate's weight counts motor and gear too, the worse: ask the maker what it counts
        assumed: somebody whose weight is not given: the heaviest of the size, an adult as above
        assumed: fuel 731 g a litre, its tank not counted
        source: the maker's plate, persons and pounds each tested, 33 CFR 183.25 in form
        source: an adult brought aboard: 46 CFR 170.090(d)(1), 185 lb
        source: a rescuer in gear, seats lying down, weight of fuel: common practice, no source
        Advice only: local procedure, the maker's manual and the person in charge decide.
        ");
    }

    /// Where the plate's weight counts persons alone, 710 lb are left: three of 185 lb, and heads.
    #[test]
    fn a_plate_of_persons_alone_leaves_more() {
        let mut given = given();
        given.counts = Some(PlateCounts::Persons);
        let said = reckoned(&given);
        assert_eq!(figure(&said, "seats"), 3);
        assert_eq!(figure(&said, "weight_left_lb"), 710.0);
        assert_eq!(figure(&said, "binds"), "persons");
        assert_eq!(figure(&said, "trips"), 2);
    }

    #[test]
    fn a_crew_that_is_too_much_is_said_first() {
        let mut given = given();
        given.crew = 7;
        let said = reckoned(&given);
        assert_eq!(figure(&said, "over"), true);
        assert_eq!(figure(&said, "seats"), 0);
        assert_eq!(figure(&said, "trips"), 0);
        assert!(said.lines[0].contains("OVER THE PLATE"), "{:?}", said.lines);
        assert!(said.to_text().contains("no room in any trip: 3 adults"));
    }

    #[test]
    fn without_a_line_of_the_plate_there_is_nothing_to_say() {
        let mut given = given();
        given.plate = Plate::default();
        let policy = Policy::parse(Policy::default_text()).expect("built in");
        assert_eq!(load(&given, &policy), None);
    }
}
