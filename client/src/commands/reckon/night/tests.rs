//! What is typed for a night.

use super::*;

const NOW: Now = Now {
    unix_ms: 1_773_511_200_000,
    utc_offset_min: -360,
};

fn typed(at: &str, time: Option<&str>, duration: Option<&str>) -> NightArgs {
    NightArgs {
        at: at.to_owned(),
        time: time.map(str::to_owned),
        duration: duration.map(str::to_owned),
        visibility: None,
    }
}

/// The rows of `sunrise-sunset.csv` (astral 3.2) for one place and two days of UTC.
#[test]
fn sunrise_and_sunset_are_those_of_the_day_in_the_time_that_was_written() {
    let cases = [
        (
            "2026-01-15T12:00Z",
            "2026-01-15T14:10:59Z",
            "2026-01-15T23:05:11Z",
        ),
        (
            "2026-03-20T00:00Z",
            "2026-03-20T12:31:19Z",
            "2026-03-20T00:39:37Z",
        ),
        (
            "2026-03-20T23:59Z",
            "2026-03-20T12:31:19Z",
            "2026-03-20T00:39:37Z",
        ),
    ];
    for (time, sunrise, sunset) in cases {
        let args = typed("47.3,-97.1", Some(time), None);
        let reckoned = args.reckon(NOW).expect(time);
        for (name, wanted) in [("sunrise", sunrise), ("sunset", sunset)] {
            let figure = reckoned.figures.iter().find(|(it, _)| *it == name);
            let found = figure.and_then(|(_, value)| value.as_str()).expect(name);
            let at = |text| dates::moment(name, text, 0).expect(name);
            let off_ms = at(found).since(at(wanted)).abs();
            assert!(off_ms <= 120_000, "{time} {name}: {found}, wanted {wanted}");
        }
    }
}

#[test]
fn a_day_alone_is_its_noon_and_nothing_is_now() {
    let noon = typed("44.9,-103.2", Some("2026-03-14"), None).reckon(NOW);
    let now = typed("44.9,-103.2", None, None).reckon(NOW);
    assert_eq!(noon.expect("a day"), now.expect("now"));
}

#[test]
fn what_cannot_be_is_refused_by_name() {
    let cases = [
        (typed("44.9", None, None), "--at"),
        (typed("-103.2,44.9", None, None), "--at"),
        (typed("44.9,-103.2", Some("25:00"), None), "--time"),
        (typed("44.9,-103.2", Some("2026-02-30"), None), "--time"),
        (typed("44.9,-103.2", Some("1850-01-01"), None), "--time"),
        (typed("44.9,-103.2", None, Some("3")), "--duration"),
        (typed("44.9,-103.2", None, Some("31 days")), "--duration"),
    ];
    for (args, named) in cases {
        let refusal = args.reckon(NOW).expect_err(named).to_string();
        assert!(refusal.contains(named), "{refusal}");
    }
}
