//! Questions that a station cannot answer, and files that it cannot take: the check file above all.

use end_to_end::county::text;

use super::{Given, NETWORK, REFUSED, Row, STORE, USE, check};

#[test]
fn a_station_refuses_questions_and_files_that_cannot_be() {
    let given = Given::new();
    let there = given.world.file("there.carry", "something else\n");
    let nowhere = given.world.path("nowhere/x");
    let rows: &[Row<'_>] = &[
        (
            &["ready", "13"],
            REFUSED,
            &["craft 13", "did you mean 11, 12?"],
        ),
        (
            &["ready", "--air", "hot"],
            USE,
            &["--air: 'hot'", "for example 72 F"],
        ),
        (
            &["ready", "--water", "5psi"],
            USE,
            &["--water", "'5psi'", "accepted: "],
        ),
        (
            &["ready", "--elevation", "9C"],
            USE,
            &["--elevation", "'9C'", "accepted: ft, m"],
        ),
        (
            &["ready", "--as-of", "soon"],
            USE,
            &["--as-of: 'soon'", "for example"],
        ),
        (
            &["ready", "--mission", "swftwater"],
            REFUSED,
            &["--mission is swftwater", "did you mean swiftwater?"],
        ),
        (
            &["ready", "--mission", "parade"],
            REFUSED,
            &[
                "--mission is parade",
                "the boat standards here have ",
                "swiftwater",
            ],
        ),
        (&["due", "--soon"], USE, &["--soon", "--help"]),
        (&["log", "parade"], REFUSED, &["parade", "not known here"]),
        (
            &["log", "00000000"],
            REFUSED,
            &["event is 00000000", "look in log"],
        ),
        (&["log", "--last", "-3"], USE, &["-3"]),
        (
            &["carry", "in", text(&nowhere)],
            REFUSED,
            &["nowhere/x cannot be read", "check the name"],
        ),
        (
            &["carry", "in", text(&there)],
            REFUSED,
            &[
                "does not begin as a carry file",
                "choose another",
                "nothing was kept",
            ],
        ),
        (
            &["carry", "out", text(&there)],
            REFUSED,
            &["there.carry", "there already", "give another name"],
        ),
        (
            &["carry", "out", text(&nowhere)],
            STORE,
            &["nowhere/x cannot be written", "choose another place"],
        ),
        (
            &["sync"],
            NETWORK,
            &["cannot reach", &given.gone, "try again"],
        ),
        (&["verify", "--fast"], USE, &["--fast", "--help"]),
        (&["about", "more"], USE, &["'more'", "--help"]),
        (&["serve", "--listen", "x"], USE, &["--listen", "--help"]),
        (&["fly"], USE, &["'fly'", "--help"]),
    ];
    check(&given.station, rows);
}

#[test]
fn a_check_file_is_refused_by_the_place_that_is_wrong() {
    let given = Given::new();
    let files: &[(&str, &[&str])] = &[
        ("craft = \"11", &["TOML", "line 1"]),
        ("extent = \"full\"", &["craft"]),
        ("craft = \"11\"\nextent = \"half\"", &["half", "full"]),
        (
            "craft = \"11\"\nextent = \"full\"\nguage = \"G\"",
            &["guage", "gauge"],
        ),
        ("craft = \"12\"\nextent = \"full\"", &["about 12", "11"]),
        (
            "craft = \"11\"\nextent = \"full\"\n[readings.tube-9]\nfound = \"3psi\"",
            &["readings", "tube-9", "did you mean tube-1"],
        ),
        (
            "craft = \"11\"\nextent = \"full\"\n[readings.tube-1]\nfound = \"3V\"",
            &["readings.tube-1.found", "'3V'", "accepted: psi"],
        ),
        (
            "craft = \"11\"\nextent = \"full\"\n[counts.life-jacket]\ncount = -1",
            &["-1", "count"],
        ),
        (
            "craft = \"11\"\nextent = \"full\"\n[counts.life-jacket]\ncount = 2000",
            &["counts.life-jacket.count is 2000", "at most 1000"],
        ),
        (
            "craft = \"11\"\nextent = \"full\"\n[counts.life-jaket]\ncount = 1",
            &["counts", "life-jaket", "did you mean life-jacket"],
        ),
        (
            "craft = \"11\"\nextent = \"full\"\n[counts.life-jacket]\ncount = 1\n\
             dates = [\"2027-13\"]",
            &["counts.life-jacket.dates", "2027-13"],
        ),
        (
            "craft = \"11\"\nextent = \"full\"\nobserved = \"2026-02-30 08:00\"",
            &["observed", "2026-02-30", "not in the calendar"],
        ),
        (
            "craft = \"11\"\nextent = \"full\"\n[answers]\ndrain-plug = \"maybe\"",
            &["maybe", "yes"],
        ),
        (
            "craft = \"11\"\nextent = \"full\"\nair = \"\\u001b[2J\"",
            &["air", "\\u{1b}[2J"],
        ),
    ];
    for (number, (words, said)) in files.iter().enumerate() {
        let file = given.world.file(&format!("check-{number}.toml"), words);
        check(
            &given.station,
            &[(&["check", "11", "--from", text(&file)], REFUSED, said)],
        );
    }
    check(
        &given.station,
        &[
            (
                &["check", "11"],
                USE,
                &["nobody sits at this terminal", "--from FILE"],
            ),
            (
                &["check", "11", "--from", "nowhere.toml"],
                REFUSED,
                &["nowhere.toml cannot be read", "check the name"],
            ),
        ],
    );
}
