//! Loose kit lent and brought back, a spare bag for one on a craft, a craft handed to another station.

use sponson_show::terminal::Exit;

use crate::world::World;

#[tokio::test(flavor = "multi_thread")]
async fn loose_kit_is_counted_at_both_ends_and_comes_back() {
    let (world, serving) = World::up().await;
    world
        .check_all(&[
            (
                "lend 'Boat 3' 'Boat 4' throw-bag --left 1 --there 3 --note 'until Friday'",
                Exit::Fine,
                "lent to Boat 4: throw-bag",
            ),
            ("log 'Boat 3'", Exit::Fine, "part of a check"),
            (
                "lend 'Boat 4' 'Boat 3' throw-bag --left 2 --there 2",
                Exit::Fine,
                "Boat 4: counted in part of a check",
            ),
            (
                "lend 'Boat 3' 'North Landing' throw-bag --left 1 --there 6",
                Exit::Fine,
                "North Landing: ",
            ),
        ])
        .await;
    let log = world.check("station", "log 'Boat 4'", Exit::Fine, "").await;
    assert_eq!(log.matches("part of a check").count(), 2, "{log}");
    let is_name = |word: &&str| word.len() >= 8 && word.chars().all(|c| c.is_ascii_hexdigit());
    let names = log
        .lines()
        .filter_map(|line| line.split_whitespace().find(is_name));
    let mut told = String::new();
    for name in names {
        told.push_str(
            &world
                .check("station", &format!("log {name}"), Exit::Fine, "")
                .await,
        );
    }
    for said in [
        "lent by Boat 3: throw-bag, event",
        "until Friday",
        "lent to Boat 3: throw-bag",
    ] {
        assert!(told.contains(said), "{told}");
    }
    serving.end().await;
}

/// Both ends are looked at before the first is recorded.
#[tokio::test(flavor = "multi_thread")]
async fn what_cannot_be_lent_leaves_nothing_behind() {
    let (world, serving) = World::up().await;
    for (line, exit, said) in [
        (
            "lend 'Boat 3' 'Boat 3' throw-bag --left 1 --there 1",
            Exit::Refused,
            "who gave it",
        ),
        (
            "lend 'Boat 3' 'Boat 9' throw-bag --left 1 --there 1",
            Exit::Refused,
            "not known here",
        ),
        (
            "lend 'Boat 3' M3 throw-bag --left 1 --there 1",
            Exit::Refused,
            "not known here",
        ),
        (
            "lend 'Boat 3' 'Boat 4' throwbags --left 1 --there 1",
            Exit::Refused,
            "ITEM: boat standard",
        ),
        (
            "lend 'Boat 3' 'Boat 4' throw-bag --left 1 --there 1001",
            Exit::Refused,
            "--there is 1001",
        ),
        (
            "lend 'Boat 3' 'Boat 4' flare-red-hand --left 3 --there 1 --there-dates soon",
            Exit::Refused,
            "--there-dates",
        ),
        (
            "lend 'Boat 3' 'North Landing' flare-red-hand --left 3 --there 1 --there-dates '3 x 2031-01'",
            Exit::Refused,
            "--there-dates",
        ),
        (
            "lend 'Boat 3' 'Boat 4' throw-bag --left 1",
            Exit::WrongUse,
            "--there",
        ),
    ] {
        world.check("station", line, exit, said).await;
    }
    let about = world.check("station", "about", Exit::Fine, "").await;
    assert!(about.contains("waiting for the county: 0"), "{about}");
    serving.end().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_spare_bag_takes_the_place_of_one_on_a_craft() {
    let (world, serving) = World::up().await;
    let bags = world.file("more.csv", "number,station\nB9,North Landing\n");
    world
        .check(
            "county",
            &format!("bring-in --bags {bags}"),
            Exit::Fine,
            "1 taken",
        )
        .await;
    world
        .check_all(&[
            ("sync", Exit::Fine, ""),
            ("move B7 'Boat 3'", Exit::Fine, "B7: now at Boat 3"),
            (
                "move B9 'Boat 4' --for B7",
                Exit::Refused,
                "it is not on Boat 4",
            ),
            (
                "move M3 'Boat 3' --for B7",
                Exit::Refused,
                "a bag takes its place",
            ),
            ("move B7 'Boat 3' --for B7", Exit::Refused, "another bag"),
        ])
        .await;
    let line = "move B9 'Boat 3' --for B7";
    let said = world
        .check("station", line, Exit::Fine, "B9: now at Boat 3")
        .await;
    assert!(said.contains("B7: now at North Landing"), "{said}");
    serving.end().await;
}

/// The log is of the craft: the station that gets it has all that was recorded of it, and the county
/// looks for it there.
#[tokio::test(flavor = "multi_thread")]
async fn a_craft_that_is_handed_on_keeps_its_history() {
    let (world, serving) = World::up().await;
    let two = world.file(
        "two.csv",
        "call sign,model,station,persons,total (lb),hp\nRidge 1,inflatable-14,Ridge,10,2600,40\n",
    );
    let line = format!("bring-in --craft {two} --register-stations");
    world.check("county", &line, Exit::Fine, "1 taken").await;
    world.join_as("ridge", "Ridge").await;
    let fault = "fault 'Boat 3' tube-2 leak --severity restrictive --side port";
    let said = world.check("station", fault, Exit::Fine, "fault ").await;
    let name = said.trim_end().rsplit(' ').next().expect("its name");
    world
        .check_all(&[
            (
                "use 'Boat 3' --time 2h --water salt",
                Exit::Fine,
                "on the water",
            ),
            ("sync", Exit::Fine, ""),
            ("move 'Boat 3' Ridge", Exit::Fine, "now at Ridge"),
            ("sync", Exit::Fine, ""),
        ])
        .await;
    for (line, said) in [
        ("sync", ""),
        ("log 'Boat 3'", "used for 2 h"),
        ("log 'Boat 3'", "leak"),
    ] {
        world.check("ridge", line, Exit::Fine, said).await;
    }
    let (_, ready) = world.run("ridge", "ready 'Boat 3'").await;
    assert!(ready.contains("leak"), "{ready}");
    let over = format!("sign-off 'Boat 3' {name}");
    world.check("ridge", &over, Exit::Fine, "signed off").await;
    serving.end().await;
}
