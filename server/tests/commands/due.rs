//! What is past due, and what comes due: at a station from what it holds, and at the county.

use sponson_show::terminal::Exit;

use crate::world::World;

/// Words of a text, one blank between.
fn plain(text: &str) -> String {
    let words: Vec<&str> = text.split_whitespace().collect();
    words.join(" ")
}

#[tokio::test(flavor = "multi_thread")]
async fn without_flags_it_lists_what_is_past_due_and_says_so_by_its_number() {
    let (world, serving) = World::up().await;
    let said = world.check("station", "due", Exit::Judged, "Boat 3").await;
    assert!(said.contains("never done"), "{said}");
    let json = "\"schema\": \"sponson.answer/";
    world
        .check("station", "due --json", Exit::Judged, json)
        .await;
    let file = world.path("overdue.csv");
    let line = format!("due --csv {}", file.display());
    world.check("station", &line, Exit::Judged, "wrote").await;
    let csv = std::fs::read_to_string(&file).expect("written");
    assert!(csv.starts_with("as_of,mission,craft,line,"), "{csv}");
    world
        .check("station", &line, Exit::Refused, "give another name")
        .await;
    serving.end().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn what_comes_due_is_told_at_the_station_and_at_the_county() {
    let (world, serving) = World::up().await;
    let done = [
        ("inspect 'Boat 3' valves passed", Exit::Fine, ""),
        ("sync", Exit::Fine, "nothing waits"),
    ];
    world.check_all(&done).await;
    for program in ["station", "county"] {
        let all = world
            .check(program, "due --ahead", Exit::Fine, "Until 14 March 2027")
            .await;
        let all = plain(&all);
        for said in [
            "As of 2026-03-14 09:00 (UTC).",
            "North Landing:",
            "now and this week:",
            "never done, or nothing shows it: now",
            "A visit does a thing at most 14 days before it is due, never after.",
            "Advice only",
        ] {
            assert!(all.contains(said), "{program}: {said}: {all}");
        }
        let boat = world
            .check(program, "due --craft 'Boat 4'", Exit::Fine, "Boat 4")
            .await;
        assert!(!boat.contains("Boat 3"), "{boat}");
        let visits = "due --visits --station 'North Landing'";
        world
            .check(program, visits, Exit::Fine, "at North Landing: ")
            .await;
        world
            .check(program, "due --late", Exit::Fine, "As of 2026-03-14")
            .await;
        world
            .check(program, "due --shelf", Exit::Fine, "As of 2026-03-14")
            .await;
        let json = world
            .check(program, "due --ahead --json", Exit::Fine, "sponson.due/1")
            .await;
        let json = json.lines().filter(|line| !line.starts_with("note:"));
        let json: Vec<&str> = json.collect();
        let json: serde_json::Value = serde_json::from_str(&json.join("\n")).expect("JSON");
        assert_eq!(json["from"], "2026-03-14");
        assert_eq!(json["until"], "2027-03-14");
        assert!(json["due"].as_array().is_some_and(|due| !due.is_empty()));
    }
    serving.end().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn lists_and_calendars_are_written_to_new_files() {
    let (world, serving) = World::up().await;
    let (csv, ics) = (world.path("due.csv"), world.path("due.ics"));
    let line = format!(
        "due --ahead 6months --csv {} --ics {}",
        csv.display(),
        ics.display()
    );
    world.check("station", &line, Exit::Fine, "wrote").await;
    let csv = std::fs::read_to_string(&csv).expect("written");
    assert!(csv.starts_with("as_of,station,craft,on,what,"), "{csv}");
    let visits = std::fs::read_to_string(&ics).expect("written");
    assert!(visits.starts_with("BEGIN:VCALENDAR\r\n"), "{visits}");
    assert!(visits.contains("UID:visit."), "{visits}");
    let each = world.path("each.ics");
    let line = format!("due --ics {} --each", each.display());
    world.check("station", &line, Exit::Fine, "wrote").await;
    let each = std::fs::read_to_string(&each).expect("written");
    assert!(each.matches("BEGIN:VEVENT").count() > visits.matches("BEGIN:VEVENT").count());
    let line = format!("due --ahead --ics {}", ics.display());
    world
        .check("station", &line, Exit::Refused, "give another name")
        .await;
    serving.end().await;
}

/// What cannot be together, and what cannot be.
#[tokio::test(flavor = "multi_thread")]
async fn what_contradicts_is_refused_by_name() {
    let (world, serving) = World::up().await;
    for (line, exit, said) in [
        ("due --visits --shelf", Exit::WrongUse, "--shelf"),
        ("due --late --visits", Exit::WrongUse, "--visits"),
        ("due --late --ahead", Exit::WrongUse, "--ahead"),
        ("due --late --ics x.ics", Exit::WrongUse, "--ics"),
        ("due --shelf --ics x.ics", Exit::WrongUse, "--ics"),
        ("due --ahead --each", Exit::WrongUse, "--ics"),
        (
            "due --ahead soon",
            Exit::WrongUse,
            "--ahead: 'soon' is not an interval",
        ),
        ("due --ahead 0days", Exit::WrongUse, "--ahead"),
        (
            "due --ahead 25months",
            Exit::Refused,
            "at most 732 days or 24 months",
        ),
        (
            "due --ahead --known-by 3",
            Exit::WrongUse,
            "--known-by is 3",
        ),
        ("due --craft 'Boat 9'", Exit::Refused, "Boat 9"),
        ("due --station Nowhere", Exit::Refused, "Nowhere"),
    ] {
        let (ended, text) = world.run("station", line).await;
        assert!(text.contains(said), "{line}: {text}");
        assert_eq!(ended, exit, "{line}: {text}");
    }
    serving.end().await;
}
