//! What the formulas of 33 CFR 183 say of a boat, or why they say nothing, in words.

use serde_json::Value;
use sponson_readiness::plate::{
    Bottom, Hull, Lb, NotApplied, Persons, Power, PowerAsked, PowerRefused, Propulsion, Steering,
    Um, WeightAsked, applies, motor_weight, persons_of, persons_outboard, persons_paddled, power,
    weight_max_outboard, weight_max_paddled,
};

use super::Reckoned;

/// What is asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PlateAsked {
    /// Hull; a monohull is assumed when it was not given.
    pub hull: Option<Hull>,
    /// Propulsion.
    pub propulsion: Propulsion,
    /// Length.
    pub length: Um,
    /// Greatest width of the transom.
    pub transom_width: Option<Um>,
    /// Height of the transom.
    pub transom_height: Option<Um>,
    /// Steering.
    pub steering: Steering,
    /// Bottom.
    pub bottom: Bottom,
    /// Greatest displacement and weight of the boat.
    pub weight: Option<WeightAsked>,
    /// Power of the motor, tenths of a horsepower.
    pub motor_tenths: Option<u32>,
    /// Weight of the stability test.
    pub stability: Option<Lb>,
    /// Weight of persons, to be told in persons.
    pub persons_weight: Option<Lb>,
}

/// Power, weight, persons, each where it was asked and the formulas apply.
#[must_use]
pub fn plate(asked: &PlateAsked) -> Reckoned {
    let hull = asked.hull.unwrap_or(Hull::Monohull);
    let applied = applies(hull, asked.length);
    let mut said = Reckoned {
        what: "plate",
        given: given(asked, hull),
        figures: vec![("applies", applied.is_ok().into())],
        lines: Vec::new(),
        assumed: Vec::new(),
        sources: vec![
            "33 CFR 183.21, 183.31, 183.51: monohulls under 20 ft, no inflatables, sailboats, \
             canoes or kayaks"
                .to_owned(),
        ],
    };
    if asked.hull.is_none() {
        said.assumed
            .push("a monohull, and no inflatable".to_owned());
    }
    let refused = applied.err();
    said.figures.push(("why_not", refused.map(word).into()));
    if let Some(why) = refused {
        said.lines.push(format!(
            "the formulas of 33 CFR 183 do not apply: {}; take it from the maker's plate or manual",
            not_applied(why)
        ));
    }
    powered(asked, hull, &mut said);
    weighed(asked, refused.is_none(), &mut said);
    said
}

fn given(asked: &PlateAsked, hull: Hull) -> Vec<(&'static str, Value)> {
    vec![
        ("hull", hull_word(hull).into()),
        ("length_um", asked.length.0.into()),
        (
            "transom_width_um",
            asked.transom_width.map(|um| um.0).into(),
        ),
        (
            "transom_height_um",
            asked.transom_height.map(|um| um.0).into(),
        ),
        (
            "remote_steering",
            (asked.steering == Steering::Remote).into(),
        ),
        (
            "flat_bottom",
            (asked.bottom == Bottom::FlatHardChine).into(),
        ),
        ("manual", (asked.propulsion == Propulsion::Manual).into()),
        ("motor_hp", asked.motor_tenths.map(tenths).into()),
    ]
}

fn powered(asked: &PlateAsked, hull: Hull, said: &mut Reckoned) {
    let found = asked.transom_width.map(|transom_width| {
        power(&PowerAsked {
            hull,
            propulsion: asked.propulsion,
            length: asked.length,
            transom_width,
            transom_height: asked.transom_height,
            steering: asked.steering,
            bottom: asked.bottom,
        })
    });
    let (power, refused) = match found {
        Some(Ok(power)) => (Some(power), None),
        Some(Err(refused)) => (None, Some(refused)),
        None => (None, None),
    };
    let refused_word = refused.map(|refused| match refused {
        PowerRefused::NotApplied(why) => word(why),
        PowerRefused::Between => "factor_52_5",
        PowerRefused::BelowTable => "below_table",
    });
    said.figures.extend([
        (
            "factor",
            power.map(|it| factor(it.factor_hundredths)).into(),
        ),
        ("power_hp", power.map(|it| tenths(it.power_tenths)).into()),
        (
            "power_raised_hp",
            power.map(|it| tenths(it.raised_tenths)).into(),
        ),
        ("power_why_not", refused_word.into()),
    ]);
    said.lines.extend(power.map(power_line));
    said.lines.extend(refused.and_then(refused_line));
    if power.is_some() {
        let source = "power: 33 CFR 183.53(a), Table 183.53";
        said.sources.push(source.to_owned());
    }
}

fn power_line(power: Power) -> String {
    let hp = tenths(power.power_tenths);
    let raised = if power.raised_tenths > power.power_tenths {
        format!(
            ", which may be raised to {} hp",
            tenths(power.raised_tenths)
        )
    } else {
        String::new()
    };
    let factor = factor(power.factor_hundredths);
    format!("power: at most {hp} hp{raised} (length by transom {factor})")
}

fn refused_line(refused: PowerRefused) -> Option<String> {
    match refused {
        PowerRefused::NotApplied(NotApplied::NoOutboard) => {
            Some("power: a boat that is paddled is not rated for a motor".to_owned())
        }
        PowerRefused::NotApplied(NotApplied::Hull(_) | NotApplied::TooLong) => None,
        PowerRefused::Between => Some(
            "power: length by transom is 52.5 exactly, between the table and the formula: ask the \
             maker"
                .to_owned(),
        ),
        PowerRefused::BelowTable => Some(
            "power: a flat bottom goes one step down, and the table has none below 3 hp: ask the \
             maker"
                .to_owned(),
        ),
    }
}

fn weighed(asked: &PlateAsked, applied: bool, said: &mut Reckoned) {
    let weight = asked.weight.filter(|_| applied);
    let weight_max = weight.map(|weight| match asked.propulsion {
        Propulsion::Outboard => weight_max_outboard(weight),
        Propulsion::OutboardTo2Hp | Propulsion::Manual => weight_max_paddled(weight),
    });
    let by_weight = weight_max.and_then(|most| persons(asked, most));
    let typed = asked.persons_weight.filter(|_| applied);
    let persons = by_weight.map(|it| it.persons);
    said.figures.extend([
        ("weight_max_lb", weight_max.map(lb).into()),
        (
            "persons_weight_lb",
            by_weight.map(|it| it.weight).or(typed).map(lb).into(),
        ),
        ("persons", persons.or(typed.map(persons_of)).into()),
        (
            "stability_test_owed",
            by_weight.map(|it| it.needs_stability).into(),
        ),
    ]);
    if let Some(most) = weight_max {
        said.lines.push(format!("weight: at most {} lb", lb(most)));
        said.sources
            .push("weight: 33 CFR 183.35, 183.37".to_owned());
    }
    match (by_weight, typed) {
        (Some(found), _) => said.lines.extend(persons_lines(&found)),
        (None, Some(typed)) => {
            let count = persons_of(typed);
            said.lines
                .push(format!("{count} persons or {} lb", lb(typed)));
        }
        (None, None) if weight_max.is_some() => said.lines.push(
            "persons: give the motor's power, its weight comes off first (up to 144.9 hp)"
                .to_owned(),
        ),
        (None, None) => {}
    }
    if by_weight.is_some() || typed.is_some() {
        said.sources
            .push("persons: 33 CFR 183.41, 183.43".to_owned());
    }
    if by_weight.is_some() && asked.propulsion == Propulsion::Outboard {
        let table = "motor by power: ABYC S-30 table 1A, a secondary copy (newboatbuilders.com)";
        said.sources.push(table.to_owned());
    }
}

fn persons(asked: &PlateAsked, most: Lb) -> Option<Persons> {
    match asked.propulsion {
        Propulsion::Outboard => {
            let motor = motor_weight(asked.motor_tenths?)?;
            Some(persons_outboard(most, motor.total, asked.stability))
        }
        Propulsion::OutboardTo2Hp => Some(persons_paddled(most, true)),
        Propulsion::Manual => Some(persons_paddled(most, false)),
    }
}

fn persons_lines(found: &Persons) -> Vec<String> {
    let mut lines = vec![format!(
        "{} persons or {} lb",
        found.persons,
        lb(found.weight)
    )];
    if found.needs_stability {
        let owed =
            "at most so many: under 550 lb a stability test decides too (33 CFR 183.41(a)(2))";
        lines.push(owed.to_owned());
    }
    lines
}

const fn hull_word(hull: Hull) -> &'static str {
    match hull {
        Hull::Monohull => "monohull",
        Hull::Inflatable => "inflatable",
        Hull::Multihull => "multihull",
        Hull::Sailboat => "sailboat",
        Hull::Canoe => "canoe",
        Hull::Kayak => "kayak",
    }
}

const fn word(why: NotApplied) -> &'static str {
    match why {
        NotApplied::Hull(hull) => hull_word(hull),
        NotApplied::TooLong => "20_ft_or_longer",
        NotApplied::NoOutboard => "no_outboard",
    }
}

const fn not_applied(why: NotApplied) -> &'static str {
    match why {
        NotApplied::Hull(Hull::Inflatable) => "it is an inflatable",
        NotApplied::Hull(Hull::Multihull) => "it is no monohull",
        NotApplied::Hull(Hull::Sailboat) => "it is a sailboat",
        NotApplied::Hull(Hull::Canoe) => "it is a canoe",
        NotApplied::Hull(Hull::Kayak) => "it is a kayak",
        NotApplied::Hull(Hull::Monohull) => "of its hull",
        NotApplied::TooLong => "it is 20 ft or longer, and they are for less than 20 ft",
        NotApplied::NoOutboard => "it is not made for an outboard",
    }
}

fn tenths(tenths: u32) -> f64 {
    f64::from(tenths) / 10.0
}

#[expect(
    clippy::cast_precision_loss,
    reason = "a factor of feet by feet is far below 2^53 hundredths"
)]
fn factor(hundredths: u64) -> f64 {
    hundredths as f64 / 100.0
}

#[expect(
    clippy::cast_precision_loss,
    reason = "weights of a boat are far below 2^53 hundredths of a pound"
)]
fn lb(weight: Lb) -> f64 {
    weight.0 as f64 / 100.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked() -> PlateAsked {
        PlateAsked {
            hull: None,
            propulsion: Propulsion::Outboard,
            length: Um::from_ft(16),
            transom_width: Some(Um::from_milli_ft(4_500)),
            transom_height: None,
            steering: Steering::Tiller,
            bottom: Bottom::Other,
            weight: None,
            motor_tenths: None,
            stability: None,
            persons_weight: None,
        }
    }

    fn figure(said: &Reckoned, name: &str) -> Value {
        let mut figures = said.figures.iter();
        let found = figures.find(|(it, _)| *it == name);
        found.map(|(_, value)| value.clone()).expect(name)
    }

    #[test]
    fn a_boat_of_the_sort_has_its_power() {
        let said = plate(&asked());
        assert_eq!(figure(&said, "applies"), true);
        assert_eq!(figure(&said, "factor"), 72.0);
        assert_eq!(figure(&said, "power_hp"), 32.6);
        assert_eq!(figure(&said, "power_raised_hp"), 35.0);
        insta::assert_snapshot!(said.to_text(), @"
        power: at most 32.6 hp, which may be raised to 35 hp (length by transom 72)
        assumed: a monohull, and no inflatable
        source: 33 CFR 183.21, 183.31, 183.51: monohulls under 20 ft, no inflatables, sailboats, canoes or kayaks
        source: power: 33 CFR 183.53(a), Table 183.53
        Advice only: local procedure, the maker's manual and the person in charge decide.
        ");
    }

    #[test]
    fn weight_and_persons_come_with_the_motor() {
        let said = plate(&PlateAsked {
            weight: Some(WeightAsked {
                displacement: Lb::whole(3_300),
                boat: Lb::whole(300),
            }),
            motor_tenths: Some(250),
            ..asked()
        });
        assert_eq!(figure(&said, "weight_max_lb"), 600.0);
        assert_eq!(figure(&said, "persons_weight_lb"), 250.0);
        assert_eq!(figure(&said, "persons"), 2);
        assert_eq!(figure(&said, "stability_test_owed"), true);
    }

    #[test]
    fn boats_of_other_sorts_are_refused_with_why() {
        for (hull, length, word) in [
            (Hull::Inflatable, Um::from_ft(14), "inflatable"),
            (Hull::Multihull, Um::from_ft(16), "multihull"),
            (Hull::Monohull, Um::from_ft(20), "20_ft_or_longer"),
        ] {
            let said = plate(&PlateAsked {
                hull: Some(hull),
                length,
                persons_weight: Some(Lb::whole(550)),
                ..asked()
            });
            assert_eq!(figure(&said, "applies"), false);
            assert_eq!(figure(&said, "why_not"), word);
            assert_eq!(figure(&said, "power_hp"), Value::Null);
            assert_eq!(figure(&said, "persons"), Value::Null);
            assert!(said.to_text().contains("maker's plate or manual"));
        }
    }

    #[test]
    fn what_the_regulation_leaves_open_is_said() {
        let said = plate(&PlateAsked {
            length: Um::from_ft(15),
            transom_width: Some(Um::from_milli_ft(3_500)),
            ..asked()
        });
        assert_eq!(figure(&said, "power_why_not"), "factor_52_5");
        assert!(said.to_text().contains("ask the maker"));
    }
}
