//! The formulas of 33 CFR 183, each row of the trade rules' worked values with its source.
//!
//! S: stated by the source; D: reckoned from the text of the regulation.

use sponson_readiness::event::Plate;
use sponson_readiness::plate::{
    Bottom, Doubt, Hull, Lb, NotApplied, PowerAsked, PowerRefused, Propulsion, Steering, Um,
    WeightAsked, applies, applies_to_power, doubt, hp_of_watts, motor_weight, persons_of,
    persons_outboard, persons_paddled, power, weight_max_outboard, weight_max_paddled,
};

/// Rows 1, 2, 6, 7: 33 CFR 183.41(b); 1 and 2 also the USCG boatbuilder's handbook.
#[test]
fn whole_persons_of_a_weight() {
    for (pounds, persons, row) in [
        (550, 4, "1 S"),
        (547, 4, "2 S"),
        (602, 4, "6 D"),
        (603, 5, "6 D"),
        (179, 1, "7 D"),
        (180, 2, "7 D"),
        (0, 0, "nobody weighs nothing"),
        // (38.5 + 32) / 141 is a half, which goes up.
        (38, 0, "D"),
    ] {
        assert_eq!(persons_of(Lb::whole(pounds)), persons, "row {row}");
    }
    assert_eq!(persons_of(Lb(3_850)), 1, "a half goes up, 183.41(b)");
    assert_eq!(persons_of(Lb(3_849)), 0);
}

/// A weight that was typed in pounds is kept in grams, and counts as it was typed.
#[test]
fn pounds_come_back_from_grams_as_they_were_typed() {
    for hundredths in [17_950, 18_000, 60_249, 60_250, 60_300, 143_000] {
        assert_eq!(Lb::from_g(Lb(hundredths).to_g()), Lb(hundredths));
    }
}

/// Rows 4 and 5: 33 CFR 183.41(a)(2), figures of the boatbuilder's handbook. The source leaves out
/// what is over a whole pound.
#[test]
fn the_stability_test_decides_below_550_lb() {
    let by = |stability| persons_outboard(Lb::whole(547), Lb(0), stability);
    let found = by(Some(Lb::whole(545)));
    assert_eq!(
        (found.weight, found.persons),
        (Lb::whole(547), 4),
        "row 4 S"
    );
    let found = by(Some(Lb::whole(328)));
    assert_eq!(found.weight, Lb::whole(546), "row 5 S");
    assert!(!found.needs_stability);
    assert!(by(None).needs_stability);
    let heavy = persons_outboard(Lb::whole(550), Lb(0), Some(Lb::whole(100)));
    assert_eq!(
        heavy.weight,
        Lb::whole(550),
        "from 550 lb on it has no part"
    );
}

/// Rows 8 and 9: 33 CFR 183.35(a), 183.41 and ABYC S-30 table 1A.
#[test]
fn weight_and_persons_of_an_outboard_boat() {
    let most = weight_max_outboard(WeightAsked {
        displacement: Lb::whole(3_300),
        boat: Lb::whole(300),
    });
    assert_eq!(most, Lb::whole(600), "row 8 D");
    let motor = motor_weight(250).expect("in the table");
    assert_eq!(motor.total, Lb::whole(350));
    let found = persons_outboard(most, motor.total, None);
    assert_eq!(found.weight, Lb::whole(250), "row 9 D");
    assert_eq!(found.persons, 2, "row 9 D");
    assert!(found.needs_stability, "row 9 D");
}

/// Rows 11 and 12: 33 CFR 183.37(a), 183.43.
#[test]
fn weight_and_persons_of_a_paddled_boat() {
    let most = weight_max_paddled(WeightAsked {
        displacement: Lb::whole(1_500),
        boat: Lb::whole(100),
    });
    assert_eq!(most, Lb::whole(420), "row 11 D");
    let paddled = persons_paddled(most, false);
    assert_eq!(
        (paddled.weight, paddled.persons),
        (Lb::whole(378), 3),
        "row 11 D"
    );
    let small = persons_paddled(most, true);
    assert_eq!(
        (small.weight, small.persons),
        (Lb::whole(353), 3),
        "row 12 D"
    );
}

/// Every row of ABYC S-30 table 1A, total, fuel and battery, as read in a secondary copy.
#[test]
fn motor_weights_by_power() {
    for (least, most, total, fuel, battery) in [
        (1, 20, 32, 0, 0),
        (21, 39, 44, 0, 0),
        (40, 69, 94, 25, 0),
        (70, 109, 185, 50, 20),
        (110, 229, 234, 50, 45),
        (230, 349, 350, 100, 45),
        (350, 649, 459, 100, 45),
        (650, 949, 628, 100, 45),
        (950, 1_049, 649, 100, 45),
        (1_050, 1_449, 723, 100, 45),
    ] {
        for tenths in [least, most] {
            let weight = motor_weight(tenths).expect("in the table");
            assert_eq!(weight.total, Lb::whole(total), "{tenths}");
            assert_eq!(weight.fuel, Lb::whole(fuel), "{tenths}");
            assert_eq!(weight.battery, Lb::whole(battery), "{tenths}");
        }
    }
    assert_eq!(motor_weight(1_450), None);
    assert_eq!(hp_of_watts(18_642), 250);
    assert_eq!(hp_of_watts(7_457), 100);
}

fn asked(length: Um, transom_width: Um) -> PowerAsked {
    PowerAsked {
        hull: Hull::Monohull,
        propulsion: Propulsion::Outboard,
        length,
        transom_width,
        transom_height: None,
        steering: Steering::Tiller,
        bottom: Bottom::Other,
    }
}

/// A boat one foot wide, so that its length is the factor; for factors below 20.
fn of_factor(milli: u64) -> PowerAsked {
    asked(Um::from_ft(10), Um::from_milli_ft(milli / 10))
}

fn tenths(asked: &PowerAsked) -> (u32, u32) {
    let found = power(asked).unwrap_or_else(|why| panic!("{asked:?}: {why:?}"));
    (found.power_tenths, found.raised_tenths)
}

/// Rows 13 to 18: 33 CFR 183.53(a) and Table 183.53; 13 as newboatbuilders.com works it.
#[test]
fn power_of_the_worked_boats() {
    let remote = |asked: PowerAsked| PowerAsked {
        steering: Steering::Remote,
        transom_height: Some(Um::from_in(20)),
        ..asked
    };
    let flat = |asked: PowerAsked| PowerAsked {
        bottom: Bottom::FlatHardChine,
        ..asked
    };
    let long = remote(asked(Um::from_milli_ft(19_500), Um::from_ft(7)));
    assert_eq!(power(&long).expect("applies").factor_hundredths, 13_650);
    assert_eq!(tenths(&long), (1_830, 1_850), "row 13 S");
    assert_eq!(tenths(&of_factor(46_000)), (150, 150), "row 14 D");
    assert_eq!(tenths(&flat(of_factor(46_000))), (100, 100), "row 14 D");
    let jon = flat(asked(Um::from_ft(14), Um::from_ft(3)));
    assert_eq!(tenths(&jon), (50, 50), "row 15 D");
    let sixteen = asked(Um::from_ft(16), Um::from_milli_ft(4_500));
    assert_eq!(tenths(&flat(sixteen)), (210, 250), "flat, tiller, 72: D");
    assert_eq!(tenths(&sixteen), (326, 350), "row 17 D");
    assert_eq!(tenths(&remote(sixteen)), (540, 550), "row 18 D");
    assert_eq!(
        tenths(&remote(flat(sixteen))),
        (540, 550),
        "183.53(a)(2): any hull"
    );
    let low = PowerAsked {
        transom_height: Some(Um(Um::from_in(20).0 - 1)),
        ..remote(sixteen)
    };
    assert_eq!(tenths(&low), (326, 350), "remote, transom under 20 in: D");
    let unknown = PowerAsked {
        transom_height: None,
        ..remote(sixteen)
    };
    assert_eq!(
        tenths(&unknown),
        (326, 350),
        "the lower where the height is not known"
    );
}

/// Every step of Table 183.53, to the nearest whole factor, and one lower for a flat bottom.
#[test]
fn power_by_the_table() {
    for (milli, other, flat) in [
        (35_000, 30, None),
        (35_400, 30, None),
        (35_500, 50, Some(30)),
        (36_000, 50, Some(30)),
        (39_000, 50, Some(30)),
        (39_500, 75, Some(50)),
        (40_000, 75, Some(50)),
        (42_000, 75, Some(50)),
        (43_000, 100, Some(75)),
        (45_000, 100, Some(75)),
        (46_000, 150, Some(100)),
        (52_000, 150, Some(100)),
        (52_400, 150, Some(100)),
    ] {
        let asked = of_factor(milli);
        assert_eq!(tenths(&asked), (other, other), "{milli}");
        let found = power(&PowerAsked {
            bottom: Bottom::FlatHardChine,
            ..asked
        });
        let found = found.map(|power| power.power_tenths);
        assert_eq!(found, flat.ok_or(PowerRefused::BelowTable), "flat {milli}");
    }
}

/// Row 20, and the factor of 52.5 that falls between table and formula.
#[test]
fn what_the_regulation_leaves_open_is_refused() {
    let flat = PowerAsked {
        bottom: Bottom::FlatHardChine,
        ..of_factor(34_800)
    };
    assert_eq!(power(&flat), Err(PowerRefused::BelowTable), "row 20 D");
    assert_eq!(power(&of_factor(52_500)), Err(PowerRefused::Between));
    assert_eq!(
        tenths(&of_factor(52_510)),
        (170, 200),
        "0.8 x 52.51 - 25 = 17.0"
    );
}

/// Rows 21 and 22, and the other sorts: 33 CFR 183.3, 183.21, 183.31, 183.51.
#[test]
fn boats_that_the_formulas_are_not_for() {
    let long = Um::from_ft(14);
    for hull in [
        Hull::Inflatable,
        Hull::Multihull,
        Hull::Sailboat,
        Hull::Canoe,
        Hull::Kayak,
    ] {
        assert_eq!(applies(hull, long), Err(NotApplied::Hull(hull)), "row 21 S");
        let refused = power(&PowerAsked {
            hull,
            ..asked(long, Um::from_ft(4))
        });
        let why = PowerRefused::NotApplied(NotApplied::Hull(hull));
        assert_eq!(refused, Err(why));
    }
    let hull = Hull::Monohull;
    assert_eq!(
        applies(hull, Um::from_ft(20)),
        Err(NotApplied::TooLong),
        "row 22 S"
    );
    assert_eq!(applies(hull, Um(Um::from_ft(20).0 - 1)), Ok(()));
    assert_eq!(applies(hull, Um::from_milli_ft(19_990)), Ok(()));
    let manual = applies_to_power(hull, long, Propulsion::Manual);
    assert_eq!(manual, Err(NotApplied::NoOutboard));
}

/// A plate that was typed in wrong is asked back; one that the formula gives is not.
#[test]
fn a_plate_far_from_the_formula_is_doubted() {
    let plate = Plate {
        persons: Some(5),
        persons_mass_g: Some(Lb::whole(603).to_g()),
        total_mass_g: Some(Lb::whole(953).to_g()),
        power_w: Some(18_642),
        motor_mass_g: None,
    };
    assert_eq!(doubt(&plate), None);
    let persons = Plate {
        persons: Some(15),
        ..plate
    };
    let wanted = Doubt::Persons {
        typed: 15,
        formula: 5,
    };
    assert_eq!(doubt(&persons), Some(wanted));
    // A maker may say fewer than the formula gives, not far fewer.
    let fewer = Plate {
        persons: Some(3),
        ..plate
    };
    assert_eq!(doubt(&fewer), None);
    let far_fewer = Plate {
        persons: Some(2),
        ..plate
    };
    assert!(matches!(doubt(&far_fewer), Some(Doubt::Persons { .. })));
    let swapped = Plate {
        persons_mass_g: plate.total_mass_g,
        total_mass_g: plate.persons_mass_g,
        persons: None,
        ..plate
    };
    assert_eq!(doubt(&swapped), Some(Doubt::TotalBelowPersons));
    let heavy = Plate {
        total_mass_g: Some(Lb::whole(9_530).to_g()),
        ..plate
    };
    assert!(matches!(doubt(&heavy), Some(Doubt::Motor { .. })));
    assert_eq!(doubt(&Plate::default()), None);
}
