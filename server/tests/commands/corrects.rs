//! Corrections and withdrawals, and what each is said to do, by whoever records it.

use sponson_show::terminal::Exit;

use crate::world::World;

/// The short name that a command's answer ends with.
fn name_of(text: &str) -> String {
    let name = text.trim_end().trim_end_matches(')').rsplit(' ').next();
    let name = name.expect("a word").trim_end_matches("-0");
    name.to_owned()
}

async fn fault(world: &World) -> String {
    let fault = "fault 'Boat 3' tube-2 leak --severity restrictive";
    name_of(&world.check("station", fault, Exit::Fine, "leak").await)
}

#[tokio::test(flavor = "multi_thread")]
async fn maintenance_restates_and_withdraws_at_once() {
    let (world, serving) = World::up().await;
    let name = fault(&world).await;
    let again = format!("--corrects {name} fault 'Boat 3' tube-3 leak --severity minor");
    let said = format!("stands in place of {name}");
    world.check("station", &again, Exit::Fine, &said).await;
    let said = format!("{name}-0");
    let text = world
        .check("station", "ready 'Boat 3'", Exit::Judged, "leak")
        .await;
    assert!(
        text.contains("tube 3") && !text.contains("leak at tube 2"),
        "{text}"
    );
    let sign_off = format!("sign-off 'Boat 3' {said}");
    world
        .check("station", &sign_off, Exit::Fine, "signed off")
        .await;
    let name = fault(&world).await;
    let withdraw = format!("withdraw {name} --note 'wrong boat'");
    let said = format!("stands in place of {name}");
    let correction = world.check("station", &withdraw, Exit::Fine, &said).await;
    let correction = name_of(&correction);
    let other = "about something else";
    for (line, exit, said) in [
        (
            format!("withdraw {correction}"),
            Exit::Refused,
            "name the original",
        ),
        (
            format!("--corrects {correction} out 'Boat 3' rest"),
            Exit::Refused,
            "name the original",
        ),
        (
            format!("--corrects {name} out 'Boat 3' rest"),
            Exit::Refused,
            "another sort of entry",
        ),
        (
            format!("--corrects {name} fault 'Boat 4' tube-2 leak --severity minor"),
            Exit::Refused,
            other,
        ),
        (
            format!("--corrects {name} ready"),
            Exit::WrongUse,
            "--corrects",
        ),
        (
            "withdraw 12345678".to_owned(),
            Exit::Refused,
            "no event here",
        ),
        ("withdraw leak".to_owned(), Exit::Refused, "at least 8"),
    ] {
        world.check("station", &line, exit, said).await;
    }
    let text = world.run("station", "ready 'Boat 3'").await.1;
    assert!(!text.contains("leak at"), "{text}");
    serving.end().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn what_a_crew_corrects_stands_beside_the_original() {
    let (world, serving) = World::up().await;
    world
        .check(
            "county",
            "role 'North Landing' crew",
            Exit::Fine,
            "from its entry 1",
        )
        .await;
    world
        .check("station", "sync", Exit::Fine, "nothing waits")
        .await;
    let name = fault(&world).await;
    let beside = format!("stands beside {name} until maintenance or the lead confirms");
    let again = format!("--corrects {name} fault 'Boat 3' tube-3 leak --severity minor");
    world.check("station", &again, Exit::Fine, &beside).await;
    let withdraw = format!("withdraw {name}");
    world.check("station", &withdraw, Exit::Fine, &beside).await;
    let text = world.run("station", "ready 'Boat 3'").await.1;
    assert!(text.contains("leak at tube 2"), "the worse counts: {text}");
    world
        .check("station", "sync", Exit::Fine, "nothing waits")
        .await;
    // The lead confirms it by the same.
    let said = format!("stands in place of {name}");
    world.check("county", &withdraw, Exit::Fine, &said).await;
    let text = world.run("county", "answer 'Boat 3'").await.1;
    assert!(!text.contains("leak at tube 2"), "{text}");
    // What its role does not reach is said at once.
    let inspection = "inspect 'Boat 3' engine-service passed --meter 10h";
    let done = world
        .check("station", inspection, Exit::Fine, "passed")
        .await;
    let withdraw = format!("withdraw {}", name_of(&done));
    world
        .check("station", &withdraw, Exit::Fine, "stays unconfirmed")
        .await;
    serving.end().await;
}
