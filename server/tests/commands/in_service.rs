//! A craft as delivered is placed in service by real commands: at the last tick `ready` says ready.

use std::fmt::Write as _;

use sponson_readiness::standard::{Standard, built_in};
use sponson_show::terminal::Exit;

use crate::world::World;

/// A full check of Boat 3 without a throw bag.
pub(crate) fn check_without_throw_bags() -> String {
    check(&sheet(), 0)
}

fn sheet() -> Standard {
    let (_, text) = built_in()
        .into_iter()
        .find(|(model, _)| *model == "inflatable-14")
        .expect("a built-in sheet");
    Standard::parse(text).expect("it parses")
}

/// Everything that a full check asks, as it should be, with so many throw bags; gauges read in the bay,
/// long after inflating.
fn check(sheet: &Standard, throw_bags: u32) -> String {
    let mut text = String::from(
        "craft = \"Boat 3\"\nmember = \"104\"\nextent = \"full\"\nair = \"15 C\"\n\
         stood = \"10 h\"\nelevation = \"0 m\"\nstowage = \"rigged\"\naboard = [\"M3\"]\n\n",
    );
    let mut line = |line: String| writeln!(text, "{line}").expect("a string takes all");
    for part in &sheet.parts {
        if let Some(rule) = &part.pressure {
            line(format!("[readings.{}]", part.id));
            line(format!("found = \"{} mbar\"", rule.nominal_pa / 100));
            line("valves = \"shut\"\n".to_owned());
        }
    }
    for item in &sheet.items {
        let count = item.count_for.values().copied().max().unwrap_or(0);
        let count = match item.id.as_str() {
            "throw-bag" => throw_bags,
            _ => count.max(item.count).max(6),
        };
        line(format!("[counts.{}]\ncount = {count}", item.id));
        if item.dated.is_some() {
            line(format!("dates = [\"{count} x 2027-12\"]"));
        }
        line(String::new());
    }
    line("[answers]".to_owned());
    for question in &sheet.questions {
        line(format!("{} = \"yes\"", question.id));
    }
    line("\n[meters]\nM3 = \"2 h\"\n".to_owned());
    line("[fuel.craft]\namount = \"12 gal\"\nfilled = \"2026-03-13\"".to_owned());
    text
}

/// Takes Boat 3 from delivered to ready, and syncs.
pub(crate) async fn place_in_service(world: &World) {
    let sheet = sheet();
    let list = "place-in-service 'Boat 3'";
    let delivered = world.check("station", list, Exit::Judged, "[ ]").await;
    for step in [
        "[x]  1. registered",
        "[ ]  4. first inflation",
        "[ ]  7. hold test",
    ] {
        assert!(delivered.contains(step), "{step}: {delivered}");
    }
    let by_cylinder = "air 'Boat 3' keel added --by cylinder";
    world
        .check("station", by_cylinder, Exit::Fine, "air added")
        .await;
    for part in sheet.parts.iter().filter(|part| part.pressure.is_some()) {
        let line = format!("air 'Boat 3' {} added --by foot-pump", part.id);
        world.check("station", &line, Exit::Fine, "air added").await;
    }
    let motor = "move M3 'Boat 3'";
    world.check("station", motor, Exit::Fine, "fitted").await;
    let file = world.file("check.toml", &check(&sheet, 6));
    let full = format!("check 'Boat 3' --from {file}");
    world
        .check("station", &full, Exit::Fine, "full check")
        .await;
    for line in &sheet.inspections {
        let line = format!("inspect 'Boat 3' {} passed --meter 2h --ran 3min", line.id);
        let (exit, said) = world.run("station", &line).await;
        if exit != Exit::Fine {
            let plain = line.replace(" --ran 3min", "");
            let (exit, again) = world.run("station", &plain).await;
            assert_eq!(exit, Exit::Fine, "{line}: {said}{again}");
        }
    }
    let open = world
        .check("station", list, Exit::Judged, "operators")
        .await;
    assert_eq!(open.matches("[ ]").count(), 1, "{open}");
    let level = "level 214 technician --until 2027-12";
    world
        .check("county", level, Exit::Fine, "member 214: technician")
        .await;
    let crews = "crews 1 --persons 4 --operator 214 --for 12h";
    world
        .check("station", crews, Exit::Fine, "North Landing: 1 crew until")
        .await;
    world.check("station", "sync", Exit::Fine, "").await;
}

#[tokio::test(flavor = "multi_thread")]
async fn from_delivered_to_ready() {
    let (world, serving) = World::up().await;
    place_in_service(&world).await;
    let list = "place-in-service 'Boat 3'";
    let done = world.check("station", list, Exit::Fine, "[x]").await;
    assert!(!done.contains("[ ]"), "{done}");
    world
        .check("station", "ready 'Boat 3'", Exit::Fine, "Boat 3: READY\n")
        .await;
    let json = "place-in-service 'Boat 3' --json";
    let schema = "\"schema\": \"sponson.place-in-service/1\"";
    world.check("station", json, Exit::Fine, schema).await;
    // At the county the crew counts as well, and a slip in a name is asked back.
    world
        .check(
            "county",
            "place-in-service 'Boat 33'",
            Exit::Refused,
            "did you mean",
        )
        .await;
    serving.end().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn what_people_cannot_say_of_crews_is_asked_back() {
    let (world, serving) = World::up().await;
    for (line, exit, said) in [
        ("crews 2", Exit::WrongUse, "--until"),
        (
            "crews 2 --until 2026-03-13T18:00",
            Exit::Refused,
            "must be after",
        ),
        ("crews 2 --for 60days", Exit::Refused, "at most 31 days"),
        (
            "crews 0 --persons 3 --for 8h",
            Exit::Refused,
            "leave those out",
        ),
        ("crews 2 --persons 7 --for 12h", Exit::Fine, "2 crews until"),
        (
            "ready 'Boat 3'",
            Exit::Judged,
            "its station can raise 2 crews (7 persons)",
        ),
        (
            "crews 1 --for 1h --station Nowhere",
            Exit::Refused,
            "not known here",
        ),
    ] {
        world.check("station", line, exit, said).await;
    }
    let lone = "crews 1 --for 1h";
    world
        .check("county", lone, Exit::Refused, "--station")
        .await;
    serving.end().await;
}
