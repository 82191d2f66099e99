//! What a station cannot record: events, work, quantities, moments.

use super::{Given, REFUSED, Row, USE, check};

#[test]
fn a_station_refuses_what_cannot_be_recorded() {
    let given = Given::new();
    let long = "n".repeat(5_000);
    let fault = |rest: &'static [&'static str]| {
        let begin: &[&str] = &["fault", "11", "tube-1", "leak", "--severity", "minor"];
        [begin, rest].concat()
    };
    let (transom, gear) = (fault(&["--from-transom", "3V"]), fault(&["--gear", "M9"]));
    let mission = fault(&["--mission", "swftwater"]);
    let mut note = fault(&["--note"]);
    note.push(&long);
    let rows: &[Row<'_>] = &[
        (
            &transom,
            REFUSED,
            &["--from-transom", "'3V'", "accepted: ft"],
        ),
        (&gear, REFUSED, &["gear M9", "not known here", "log"]),
        (
            &mission,
            REFUSED,
            &["--mission", "swftwater", "did you mean swiftwater?"],
        ),
        (
            &note,
            REFUSED,
            &["note is 5000 bytes long", "at most 4096", "a second note"],
        ),
        (
            &["fault", "13", "tube-1", "leak", "--severity", "minor"],
            REFUSED,
            &["craft 13", "did you mean 11, 12?"],
        ),
        (
            &["fault", "11", "tube-9", "leak", "--severity", "minor"],
            REFUSED,
            &["part", "tube-9", "did you mean tube-1"],
        ),
        (
            &["fault", "11", "tube-1", "le\u{1b}ak", "--severity", "minor"],
            REFUSED,
            &["CLASS", "le\\u{1b}ak", "give one word"],
        ),
        (
            &["fault", "11", "tube-1", "leak", "--severity", "dire"],
            USE,
            &["--severity", "'dire'", "disabling"],
        ),
    ];
    check(&given.station, rows);
}

#[test]
fn a_station_refuses_work_that_cannot_be() {
    let given = Given::new();
    let rows: &[Row<'_>] = &[
        (
            &["out", "1\u{1b}[2J", "rest"],
            REFUSED,
            &["craft 1\\u{1b}[2J"],
        ),
        (&["out", "11", "tired"], USE, &["'tired'", "mechanical"]),
        (
            &["back", "11"],
            REFUSED,
            &["11", "not out of service", "sync first"],
        ),
        (
            &["repair", "11", "00000000-0", "--method", "patch"],
            REFUSED,
            &["open fault 00000000-0", "not known here"],
        ),
        (
            &["repair", "11", "--all-at", "tube-1", "--method", "patch"],
            REFUSED,
            &["--all-at is tube-1", "no open fault"],
        ),
        (&["repair", "11", "--method", "patch"], USE, &["<FAULT>"]),
        (
            &["sign-off", "11", "00000000-0"],
            REFUSED,
            &["open fault 00000000-0"],
        ),
        (
            &["inspect", "11", "engine", "passed"],
            REFUSED,
            &["inspection engine", "did you mean engine-"],
        ),
        (
            &["inspect", "11", "seams", "passed", "--meter", "5C"],
            USE,
            &["--meter", "'5C'", "accepted: s, min, h"],
        ),
        (&["move", "M9", "12"], REFUSED, &["M9", "not known here"]),
        (
            &["move", "11", "Nowhere"],
            REFUSED,
            &["Nowhere", "not known here"],
        ),
        (
            &["move", "11", "12"],
            REFUSED,
            &["TO is 12", "give a station"],
        ),
        (
            &[
                "--member",
                "m234567890123456789012345678901234567890",
                "out",
                "11",
                "rest",
            ],
            REFUSED,
            &["member is 40 bytes long", "at most 32"],
        ),
    ];
    check(&given.station, rows);
}

#[test]
fn a_station_refuses_quantities_that_cannot_be() {
    let given = Given::new();
    let rows: &[Row<'_>] = &[
        (
            &["air", "11", "tube-1", "added", "--before", "3parsec"],
            USE,
            &["--before", "'parsec' in '3parsec'", "accepted: psi"],
        ),
        (
            &["air", "11", "tube-1", "added", "--before", "300psi"],
            REFUSED,
            &["gauge_before_pa is 2068427", "it must lie from"],
        ),
        (
            &[
                "air", "11", "tube-1", "added", "--before", "3psi", "--after", "2psi",
            ],
            REFUSED,
            &["--after", "--before", "exchange or correct"],
        ),
        (
            &["air", "11", "tube-1", "added", "--air", "900C"],
            USE,
            &[
                "--air: '900C'",
                "out of range",
                "check the number and the unit",
            ],
        ),
        (
            &["air", "11", "tube-1", "blown"],
            USE,
            &["'blown'", "added"],
        ),
        (
            &["use", "11", "--time", "5C"],
            USE,
            &["--time", "'5C'", "accepted: s, min, h"],
        ),
        (
            &["use", "11", "--time", "900000h"],
            USE,
            &["--time: '900000h'", "out of range"],
        ),
        (
            &[
                "use",
                "11",
                "--time",
                "1h",
                "--used-up",
                "flare-red-hand=-2",
            ],
            USE,
            &["--used-up is flare-red-hand=-2", "give a whole number"],
        ),
        (
            &["use", "11", "--time", "1h", "--used-up", "flare-red-hnd=2"],
            REFUSED,
            &["--used-up", "flare-red-hnd", "did you mean flare-red-hand?"],
        ),
        (
            &[
                "use",
                "11",
                "--time",
                "1h",
                "--used-up",
                "flare-red-hand=4000000000",
            ],
            REFUSED,
            &["count is 4000000000", "it must lie from"],
        ),
        (
            &["use", "11", "--time", "1h", "--meter", "M9"],
            USE,
            &["--meter is M9", "for example M3=113.6h"],
        ),
        (
            &["use", "11", "--time", "1h", "--mission", "swftwater"],
            REFUSED,
            &["--mission", "swftwater", "did you mean swiftwater?"],
        ),
    ];
    check(&given.station, rows);
}

#[test]
fn a_station_refuses_moments_that_cannot_be() {
    let given = Given::new();
    let rows: &[Row<'_>] = &[
        (
            &["--observed", "2026-02-30T08:00", "out", "11", "rest"],
            USE,
            &["--observed", "2026-02-30", "not in the calendar"],
        ),
        (
            &["--observed", "2190-01-01T00:00", "out", "11", "rest"],
            REFUSED,
            &["observed is 2190-01-01 00:00 UTC", "set the clock"],
        ),
        (
            &["--observed", "yesterday", "out", "11", "rest"],
            USE,
            &["--observed: 'yesterday'", "for example 2026-03-14 08:30"],
        ),
        (
            &["--observed", "2026-03-14T08:30", "ready"],
            USE,
            &["--observed is 2026-03-14T08:30", "leave it out here"],
        ),
    ];
    check(&given.station, rows);
}
