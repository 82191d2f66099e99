use super::*;

fn line(fills: Fills) -> Line {
    Line {
        stop: "Round the craft".to_owned(),
        asked: "Gauge at tube 1".to_owned(),
        fills,
    }
}

fn reading() -> Fills {
    Fills::Reading("tube-1".to_owned())
}

fn count() -> Fills {
    Fills::Count("flare".to_owned(), Some("B7".to_owned()))
}

/// Fields that a typed line fills, as `name=value`.
fn filled(fills: &Fills, text: &str) -> Vec<String> {
    let fields = typed(&line(fills.clone()), text, 2).expect(text);
    let filled = fields.into_iter().filter(|(_, value)| !value.is_empty());
    filled
        .map(|(name, value)| format!("{name}={value}"))
        .collect()
}

#[test]
fn a_typed_line_fills_its_fields_and_they_make_it_again() {
    let dates = Fills::Dates("flare".to_owned(), None);
    let answer = Fills::Answer("drain-plug".to_owned());
    let fuel = Fills::Fuel("craft".to_owned());
    let seal = Fills::Seal("B7".to_owned());
    for (fills, text, fields, again) in [
        (reading(), "3.4", vec!["reading.tube-1.found=3.4"], None),
        (
            reading(),
            "3.4 psi, left 3.6 psi by foot pump !",
            vec![
                "reading.tube-1.found=3.4 psi",
                "reading.tube-1.left=3.6 psi",
                "reading.tube-1.added-by=foot pump",
                "reading.tube-1.affirmed=yes",
            ],
            Some("3.4 psi left 3.6 psi by foot pump !"),
        ),
        (
            reading(),
            "left 3.6 valves open since 20 min fabric 40 F",
            vec![
                "reading.tube-1.left=3.6",
                "reading.tube-1.fabric=40 F",
                "reading.tube-1.valves=open",
                "reading.tube-1.since=20 min",
            ],
            Some("left 3.6 valves open since 20 min fabric 40 F"),
        ),
        (count(), "6", vec!["count.flare@B7.count=6"], None),
        (
            count(),
            "6 bad 1",
            vec!["count.flare@B7.count=6", "count.flare@B7.bad=1"],
            None,
        ),
        (
            dates,
            "3 x 3/27, 1 x 4/27 !",
            vec![
                "count.flare.dates=3 x 3/27, 1 x 4/27",
                "count.flare.affirmed=yes",
            ],
            None,
        ),
        (answer.clone(), "yes", vec!["answer.drain-plug=yes"], None),
        (
            answer,
            "not fitted: plug is welded",
            vec![
                "answer.drain-plug=not fitted",
                "answer.drain-plug.note=plug is welded",
            ],
            None,
        ),
        (
            seal,
            "004217, 3/27",
            vec!["seal.B7.number=004217", "seal.B7.earliest=3/27"],
            None,
        ),
        (
            fuel,
            "5.5 gal, filled 3/26, mix 50:1",
            vec![
                "fuel.craft.amount=5.5 gal",
                "fuel.craft.filled=3/26",
                "fuel.craft.mix=50:1",
            ],
            None,
        ),
        (
            Fills::One(FieldName::Air, "41 F"),
            "41",
            vec!["air=41"],
            None,
        ),
    ] {
        assert_eq!(filled(&fills, text), fields, "{text}");
        let of_line = typed(&line(fills.clone()), text, 0).expect(text);
        let there: Fields = of_line
            .into_iter()
            .filter(|(_, value)| !value.is_empty())
            .collect();
        assert_eq!(super::text(&line(fills), &there), again.unwrap_or(text));
    }
}

#[test]
fn a_fault_is_typed_in_one_line() {
    assert_eq!(
        filled(
            &Fills::Faults,
            "tube-2 leak Major port 40 cm top on M3: hisses"
        ),
        [
            "fault.2.part=tube-2",
            "fault.2.class=leak",
            "fault.2.severity=major",
            "fault.2.side=port",
            "fault.2.from-transom=40 cm",
            "fault.2.face=top",
            "fault.2.gear=M3",
            "fault.2.note=hisses",
        ]
    );
    let refused = typed(&line(Fills::Faults), "tube-2 leak", 0).expect_err("two words");
    assert!(refused.contains("three words"), "{refused}");
}

/// What is not named in a line that is typed again is taken out.
#[test]
fn a_line_that_is_typed_again_stands_for_all_of_it() {
    let fields = typed(&line(reading()), "3.4", 0).expect("reads");
    assert_eq!(fields.len(), ReadingField::ALL.len());
    assert_eq!(
        fields.iter().filter(|(_, value)| value.is_empty()).count(),
        fields.len() - 1
    );
}

#[test]
fn what_lies_under_a_seal_is_not_left_out() {
    let lines = [
        line(reading()),
        line(count()),
        line(Fills::Seal("B7".to_owned())),
    ];
    let with = |pairs: &[(&str, &str)]| -> Fields {
        let pairs = pairs.iter();
        pairs
            .map(|(name, value)| (name.parse().expect("a field"), (*value).to_owned()))
            .collect()
    };
    for (fields, left) in [
        (with(&[]), 2),
        (with(&[("seal.B7.number", "004217")]), 1),
        (with(&[("seal.B7.number", "broken")]), 2),
        (
            with(&[
                ("reading.tube-1.left", "3.4"),
                ("count.flare@B7.count", "0"),
            ]),
            0,
        ),
    ] {
        assert_eq!(left_out(&lines, &fields).len(), left, "{fields:?}");
    }
}
