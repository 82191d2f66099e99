//! Work on craft: recorded at a station, followed to its sign-off.

use sponson_client::check_file::EXAMPLE;
use sponson_show::terminal::Exit;

use crate::world::World;

fn last_word(text: &str) -> &str {
    text.trim_end().rsplit(' ').next().expect("a word")
}

#[tokio::test(flavor = "multi_thread")]
async fn a_station_records_what_is_done() {
    let (world, serving) = World::up().await;
    let file = world.file("check.toml", EXAMPLE);
    let check = format!("check 'Boat 3' --from {file}");
    world
        .check_all(&[
            (&check, Exit::Fine, "full check: 2 readings"),
            (
                "use boat-3 --time 90min --meter M3=113.6h --water salt",
                Exit::Fine,
                "1 h 30 min",
            ),
            (
                "air 'Boat 3' tube-1 added --before 3psi --after 3.5psi",
                Exit::Fine,
                "air added",
            ),
            (
                "inspect 'Boat 3' engine-service passed --meter 112.4h",
                Exit::Fine,
                "passed",
            ),
            (
                "move M3 'Boat 3'",
                Exit::Fine,
                "M3: fitted to Boat 3 as motor",
            ),
            ("move M3 'Boat 4'", Exit::Fine, "M3: taken off Boat 3"),
            ("move B7 'Boat 4'", Exit::Fine, "B7: now at Boat 4"),
            ("out 'Boat 4' rest", Exit::Fine, "out of service (rest)"),
            ("back 'Boat 4'", Exit::Fine, "back in service"),
        ])
        .await;
    serving.end().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn what_cannot_be_is_not_recorded() {
    let (world, serving) = World::up().await;
    let file = world.file("check.toml", EXAMPLE);
    let other = format!("check 'Boat 4' --from {file}");
    world
        .check_all(&[
            (&other, Exit::Refused, "about Boat 3"),
            ("check 'Boat 3'", Exit::WrongUse, "--from FILE"),
            (
                "check 'Boat 3' --from nowhere.toml",
                Exit::Refused,
                "nowhere.toml",
            ),
            ("use 'Boat 3' --time long", Exit::WrongUse, "--time"),
            (
                "use 'Boat 33' --time 1h",
                Exit::Refused,
                "did you mean Boat 3",
            ),
            (
                "air 'Boat 3' tube-9 added",
                Exit::Refused,
                "did you mean tube-1",
            ),
            (
                "air 'Boat 3' tube-1 added --before 3psi --after 2psi",
                Exit::Refused,
                "gauge rise",
            ),
            ("fault 'Boat 3' tube-2 leak", Exit::WrongUse, "--severity"),
            (
                "inspect 'Boat 3' engine passed",
                Exit::Refused,
                "did you mean engine-",
            ),
            ("move 'Boat 3' 'Boat 4'", Exit::Refused, "give a station"),
            ("move M9 'Boat 4'", Exit::Refused, "not known here"),
            ("out 'Boat 4' tired", Exit::WrongUse, "mechanical"),
            ("back 'Boat 3'", Exit::Refused, "not out of service"),
            ("log", Exit::Fine, "received"),
        ])
        .await;
    let about = world.check("station", "about", Exit::Fine, "").await;
    assert!(about.contains("waiting for the county: 0"), "{about}");
    serving.end().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn faults_are_followed_to_their_sign_off() {
    let (world, serving) = World::up().await;
    let leak = "fault 'Boat 3' tube-2 leak --severity major --side port";
    let first = world.check("station", leak, Exit::Fine, "fault ").await;
    let tear = "fault 'Boat 3' tube-3 tear --severity restrictive --mission flood \
                --note '\u{1b}[2J by a nail'";
    let second = world.check("station", tear, Exit::Fine, "fault ").await;
    let (leak, tear) = (last_word(&first), last_word(&second));
    let event = tear.split('-').next().expect("an event");
    let still_open = format!("still open: {tear} (tear at tube-3)");
    world
        .check_all(&[
            (
                &format!("repair 'Boat 3' {leak} --method patch-two-part --no-launch 72h"),
                Exit::Fine,
                "open until signed off",
            ),
            (
                "repair 'Boat 3' 00000000-0 --method x",
                Exit::Refused,
                "open fault 00000000-0",
            ),
            (
                &format!("sign-off 'Boat 3' {leak}"),
                Exit::Fine,
                &still_open,
            ),
            (
                &format!("sign-off 'Boat 3' {leak}"),
                Exit::Refused,
                "open fault",
            ),
            // What people wrote is shown, and the terminal does not obey it.
            (
                &format!("log {event}"),
                Exit::Fine,
                "note on fault 0: \\u{1b}[2J by a nail",
            ),
            ("sync", Exit::Fine, "nothing waits"),
        ])
        .await;
    let waive = format!("waive 'Boat 3' {tear} --mission flood --until");
    for (until, exit, said) in [
        ("2026-03-15T18:00", Exit::Fine, "may go for flood"),
        ("2026-03-13T18:00", Exit::Refused, "it has passed"),
        ("tomorrow", Exit::WrongUse, "--until"),
    ] {
        world
            .check("county", &format!("{waive} {until}"), exit, said)
            .await;
    }
    world
        .check_all(&[
            (
                "sign-off 'Boat 3' --all-at tube-3",
                Exit::Fine,
                "no other fault is open",
            ),
            (
                "sign-off 'Boat 3' --all-at tube-3",
                Exit::Refused,
                "no open fault there",
            ),
        ])
        .await;
    serving.end().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn signing_off_one_names_what_may_be_the_same_defect() {
    let (world, serving) = World::up().await;
    let mut names = Vec::new();
    for place in ["port", "port", "port", "starboard"] {
        let line = format!("fault 'Boat 3' transom crack --severity major --side {place}");
        let said = world.check("station", &line, Exit::Fine, "fault ").await;
        names.push(last_word(&said).to_owned());
    }
    let [one, other, third, elsewhere] = names.as_slice() else {
        panic!("{names:?}");
    };
    let line = format!("sign-off 'Boat 3' {one}");
    let said = world.check("station", &line, Exit::Fine, "").await;
    for like in [other, third] {
        let asked = format!("{like} (crack at transom) is like it: the same as this one?");
        assert!(said.contains(&asked), "{said}");
        assert!(said.contains(&format!("--also {like}")), "{said}");
    }
    assert!(!said.contains(&format!("--also {elsewhere}")), "{said}");
    let line = format!("sign-off 'Boat 3' {other} --also {third}");
    let said = world.check("station", &line, Exit::Fine, elsewhere).await;
    assert!(!said.contains("is like it"), "{said}");
    world
        .check_all(&[(
            &format!("sign-off 'Boat 3' {elsewhere} --also {third}"),
            Exit::Refused,
            "open fault",
        )])
        .await;
    serving.end().await;
}
