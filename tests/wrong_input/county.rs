//! What the county refuses.

use end_to_end::county::text;

use super::{Given, NETWORK, REFUSED, Row, USE, check};

#[test]
fn the_county_refuses_what_is_wrong() {
    let given = Given::new();
    let mine = given.world.file("mine.toml", "model = \"x\"\n");
    let broken = given.world.file("broken.toml", "model = \"x\n");
    let other = given.world.file("other.csv", "a,b\n1,2\n");
    let nowhere = given.world.path("nowhere/x");
    let rows: &[Row<'_>] = &[
        (
            &["init", "--name", "Again"],
            REFUSED,
            &["a county already", "--folder"],
        ),
        (&["adopt", text(&mine)], REFUSED, &["mine.toml"]),
        (
            &["adopt", text(&broken)],
            REFUSED,
            &["broken.toml", "line 1"],
        ),
        (
            &["adopt", "kayak"],
            REFUSED,
            &["kayak", "inflatable-14", "nor a file"],
        ),
        (
            &["adopt", "--policy", text(&nowhere)],
            REFUSED,
            &["nowhere/x cannot be read", "check the name"],
        ),
        (
            &["adopt", "--show", "kayak"],
            REFUSED,
            &["kayak", "inflatable-14"],
        ),
        (
            &["bring-in", "--craft", text(&other)],
            REFUSED,
            &["other.csv", "no column for"],
        ),
        (
            &["bring-in", "--craft", text(&nowhere)],
            REFUSED,
            &["nowhere/x", "check the name"],
        ),
        (&["bring-in"], USE, &["--craft"]),
        (
            &["admit", ""],
            REFUSED,
            &["station has 0 bytes", "give the station's name"],
        ),
        (
            &["admit", "South", "--hours", "0"],
            USE,
            &["--hours", "1..=720"],
        ),
        (
            &["admit", "South", "--at", "north"],
            USE,
            &["--at is north", "44.5012,-92.1034"],
        ),
        (&["admit", "South", "--at", "91,0"], USE, &["--at is 91,0"]),
        (
            &["admit", "South", "--elevation", "9C"],
            USE,
            &["--elevation", "accepted: ft, m"],
        ),
    ];
    check(&given.county, rows);
}

#[test]
fn the_county_refuses_questions_and_work_that_cannot_be() {
    let given = Given::new();
    let craft = given.world.path("craft.csv");
    let rows: &[Row<'_>] = &[
        (
            &["answer", "13"],
            REFUSED,
            &["craft 13", "did you mean 11, 12?"],
        ),
        (
            &["answer", "--mission", "swftwater"],
            REFUSED,
            &["--mission is swftwater", "did you mean swiftwater?"],
        ),
        (
            &["assign", "13", "Flood"],
            REFUSED,
            &["craft 13", "did you mean 11, 12?"],
        ),
        (&["release", "11"], REFUSED, &["11", "not assigned"]),
        (
            &[
                "waive",
                "11",
                "00000000-0",
                "--mission",
                "flood",
                "--until",
                "2190-01-01T00:00",
            ],
            REFUSED,
            &["open fault 00000000-0"],
        ),
        (
            &[
                "waive",
                "11",
                "00000000-0",
                "--mission",
                "flood",
                "--until",
                "tomorrow",
            ],
            USE,
            &["--until: 'tomorrow'", "for example"],
        ),
        (
            &[
                "waive",
                "11",
                "00000000-0",
                "--mission",
                "flood",
                "--until",
                "2001-01-01T00:00",
            ],
            REFUSED,
            &["--until is 2001-01-01T00:00", "give a later time"],
        ),
        (
            &["serve", "--listen", "nowhere"],
            NETWORK,
            &["nowhere", "choose another with --listen"],
        ),
        (
            &["carry", "in", text(&craft)],
            REFUSED,
            &["does not begin as a carry file"],
        ),
        (&["log", "parade"], REFUSED, &["parade", "not known here"]),
        (&["verify", "--fast"], USE, &["--fast", "--help"]),
        (&["about", "more"], USE, &["'more'", "--help"]),
    ];
    check(&given.county, rows);
    let again = given.county.run(&["bring-in", "--craft", text(&craft)]);
    assert_eq!(again.code(), Some(REFUSED), "{again:?}");
    assert!(again.out.contains("already registered"), "{again:?}");
}
