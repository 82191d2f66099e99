//! What the lead does about devices: the list, roles, the end of a key, dismissals.

use sponson_show::terminal::Exit;

use crate::world::World;

#[tokio::test(flavor = "multi_thread")]
async fn devices_are_listed_by_station_and_number() {
    let (world, serving) = World::up().await;
    let (_, said) = world.run("county", "devices").await;
    insta::assert_snapshot!(said, @r#"
    device           roles         admitted    last heard  entries  what counts
    ----------------------------------------------------------------------------
    county           lead, county  2026-03-14  here        10       all
    North Landing/1  crew,         2026-03-14              0        all
                     maintenance
    "#);
    serving.end().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_role_is_given_from_the_next_entry_on() {
    let (world, serving) = World::up().await;
    let fault = "fault 'Boat 3' tube-2 leak --severity restrictive";
    world.check("station", fault, Exit::Fine, "leak").await;
    world.check("station", "sync", Exit::Fine, "sent 1").await;
    for (line, exit, said) in [
        ("role Nowhere crew", Exit::Refused, "not known here"),
        ("role 'North Landing' chief", Exit::WrongUse, "chief"),
        ("role 'North Landing'", Exit::WrongUse, "<ROLE>"),
        (
            "role 'North Landing/1' crew coordinator",
            Exit::Fine,
            "crew, coordinator from its entry 2 on",
        ),
        ("devices", Exit::Fine, "coordinator"),
        ("log --last 1", Exit::Fine, "roles given"),
    ] {
        world.check("county", line, exit, said).await;
    }
    serving.end().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_key_ends_where_the_lead_says_and_what_follows_is_dismissed() {
    let (world, serving) = World::up().await;
    for part in ["tube-2", "tube-3"] {
        let fault = format!("fault 'Boat 3' {part} leak --severity restrictive");
        world.check("station", &fault, Exit::Fine, "leak").await;
    }
    world.check("station", "sync", Exit::Fine, "sent 2").await;
    for (line, exit, said) in [
        (
            "dismiss 'North Landing' --yes",
            Exit::Refused,
            "nothing of it is unconfirmed",
        ),
        ("revoke 'North Landing' lost", Exit::WrongUse, "give --yes"),
        (
            "revoke 'North Landing' lost --last-good 9 --yes",
            Exit::Refused,
            "holds no such entry",
        ),
        (
            "revoke 'North Landing' lost --last-good 12345678 --yes",
            Exit::Refused,
            "no event here",
        ),
        (
            "revoke 'North Landing' lost --last-good 1 --yes",
            Exit::Fine,
            "after that 1 entry held here: unconfirmed, until dismissed",
        ),
        ("devices", Exit::Fine, "ended after entry 1"),
    ] {
        world.check("county", line, exit, said).await;
    }
    world.check("station", "sync", Exit::Refused, "").await;
    for (line, exit, said) in [
        ("dismiss 'North Landing/1'", Exit::WrongUse, "give --yes"),
        (
            "dismiss 'North Landing/1' --yes --note 'nobody there'",
            Exit::Fine,
            "leak at tube-3",
        ),
        ("devices", Exit::Fine, "1 entry"),
        (
            "dismiss 'North Landing/1' --yes",
            Exit::Refused,
            "unconfirmed",
        ),
        (
            "revoke 'North Landing/1' lost --yes",
            Exit::Refused,
            "ended after entry 1: give --last-good",
        ),
        (
            "revoke 'North Landing/1' lost --last-good 2 --yes",
            Exit::Fine,
            "1 entry that did not count will count",
        ),
        ("devices", Exit::Fine, "ended after entry 2"),
        (
            "revoke county lost --yes",
            Exit::Refused,
            "only the root key",
        ),
    ] {
        world.check("county", line, exit, said).await;
    }
    serving.end().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_code_may_be_made_to_take_over_from_a_device() {
    let (world, serving) = World::up().await;
    for (line, exit, said) in [
        (
            "admit 'South Landing' --replaces 'North Landing/1'",
            Exit::Refused,
            "not of station South Landing",
        ),
        (
            "admit 'North Landing' --replaces 'North Landing/7'",
            Exit::Refused,
            "did you mean North Landing/1",
        ),
        (
            "admit 'North Landing' --replaces 'North Landing'",
            Exit::Fine,
            "works once",
        ),
    ] {
        let said = world.check("county", line, exit, said).await;
        if exit == Exit::Fine {
            let first = said.lines().next().expect("a line");
            let code = first.rsplit(' ').next().expect("it ends with the code");
            let old = world.path("station");
            let join = format!(
                "join {code} --county {} --device 'second tablet' --instead-of {}",
                world.address(),
                old.display()
            );
            world
                .check("new", &join, Exit::Fine, "joined as North Landing")
                .await;
        }
    }
    let devices = world
        .check("county", "devices", Exit::Fine, "(second")
        .await;
    assert!(devices.contains("(replaced)"), "{devices}");
    world
        .check("new", "sync", Exit::Fine, "nothing waits")
        .await;
    serving.end().await;
}
