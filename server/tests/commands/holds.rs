//! What the lead states about things: held across the county, lifted, condemned, registered twice.

use sponson_show::terminal::Exit;

use crate::world::World;

fn name_of(text: &str) -> String {
    let (_, after) = text.rsplit_once("(event ").expect("it names the event");
    after.chars().take_while(char::is_ascii_hexdigit).collect()
}

#[tokio::test(flavor = "multi_thread")]
async fn a_hold_is_shown_everywhere_until_it_is_lifted_by_name() {
    let (world, serving) = World::up().await;
    for (line, exit, said) in [
        ("lift", Exit::Fine, "nothing is held"),
        ("hold", Exit::WrongUse, "--model"),
        ("hold --model kayak", Exit::Refused, "no craft or gear here"),
        (
            "hold --part jet",
            Exit::Refused,
            "no boat standard in force",
        ),
        (
            "hold --model inflatable-14 --mission moon",
            Exit::Refused,
            "the boat standards in force have",
        ),
    ] {
        world.check("county", line, exit, said).await;
    }
    let hold = "hold --model inflatable-14 --part tube-1 --mission flood --note 'seams'";
    let first = world
        .check("county", hold, Exit::Fine, "held county-wide: model")
        .await;
    let second = world.check("county", hold, Exit::Fine, "held").await;
    let (first, second) = (name_of(&first), name_of(&second));
    world.check("station", "sync", Exit::Fine, "received").await;
    for (program, command, exit) in [
        ("county", "answer", Exit::Fine),
        ("station", "ready", Exit::Judged),
    ] {
        let asked = format!("{command} 'Boat 3' --mission flood");
        let said = "held across the county";
        world.check(program, &asked, exit, said).await;
    }
    let lift = format!("lift {first}");
    world.check("county", &lift, Exit::Fine, "lifted").await;
    world
        .check("county", &lift, Exit::Refused, "no hold in force")
        .await;
    // Another hold of the same thing stays.
    world.check("county", "lift", Exit::Fine, &second).await;
    let ask = "answer 'Boat 3' --mission flood";
    world
        .check("county", ask, Exit::Fine, "held across the county")
        .await;
    let lift = format!("lift {second}");
    world.check("county", &lift, Exit::Fine, "lifted").await;
    let (_, text) = world.run("county", ask).await;
    assert!(!text.contains("held across"), "{text}");
    serving.end().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_thing_is_condemned_or_joined_with_its_second_registration() {
    let (world, serving) = World::up().await;
    for (line, exit, said) in [
        (
            "condemn 'Boat 9' damaged --yes",
            Exit::Refused,
            "not known here",
        ),
        ("condemn 'Boat 4' damaged", Exit::WrongUse, "give --yes"),
        ("condemn 'Boat 4' tired --yes", Exit::WrongUse, "tired"),
        (
            "condemn 'Boat 4' damaged --yes",
            Exit::Fine,
            "Boat 4: condemned (damaged)",
        ),
        ("answer 'Boat 4'", Exit::Fine, "never to be used again"),
        (
            "condemn M3 recalled --yes",
            Exit::Fine,
            "M3: condemned (recalled)",
        ),
        (
            "same-as 'Boat 3' M3 --yes",
            Exit::Refused,
            "different sorts",
        ),
        (
            "same-as 'Boat 3' 'Boat 3' --yes",
            Exit::Refused,
            "same registration",
        ),
        ("same-as 'Boat 3' 'Boat 4'", Exit::WrongUse, "give --yes"),
        ("same-as 'Boat 3' 'Boat 4' --yes", Exit::Fine, "one thing"),
        ("answer 'Boat 3'", Exit::Fine, "never to be used again"),
        ("log --last 1", Exit::Fine, "same"),
    ] {
        world.check("county", line, exit, said).await;
    }
    serving.end().await;
}
