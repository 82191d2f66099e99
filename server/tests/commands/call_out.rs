//! The call-out, asked at the county with a list of launch places, and at a station without one.

use sponson_show::terminal::Exit;

use crate::world::World;

const PLACES: &str = "\
place,position,access,station,minutes
Mill Street ramp,44.9010 -103.2000,ramp,North Landing,9
Low Meadow,44.8500 -103.1000,bank,,
";

/// A county with two stations, one of them with a position and a radio call.
async fn founded() -> World {
    let world = World::new();
    world.found().await;
    let admit = "admit 'Otter Ferry' --role crew --at 45.0,-103.0 --call Ferry";
    world.check("county", admit, Exit::Fine, "works once").await;
    world
}

fn with_places(world: &World) {
    let file = world.path("county").join("settings.toml");
    let settings = std::fs::read_to_string(&file).unwrap_or_default();
    std::fs::write(&file, format!("{settings}places = \"places.csv\"\n")).expect("writes");
    std::fs::write(world.path("county").join("places.csv"), PLACES).expect("writes");
}

#[tokio::test(flavor = "multi_thread")]
async fn the_place_is_one_of_the_list_by_its_name_or_close_by() {
    let world = founded().await;
    with_places(&world);
    let county = |line: &'static str, exit, said: &'static str| {
        let world = &world;
        async move { world.check("county", line, exit, said).await }
    };
    let named = "call-out --mission flood --place 'mill street ramp'";
    let text = county(named, Exit::Fine, "Goes in at: Mill Street ramp (ramp)").await;
    assert!(text.contains("at 44.9010N 103.2000W"), "{text}");
    assert!(text.contains("Advice only"), "{text}");
    county(
        "call-out --place 44.9,-103.2",
        Exit::Fine,
        "is 111 m from Mill Street ramp, and is taken as it",
    )
    .await;
    county(
        "call-out --place 'Low Medow'",
        Exit::Refused,
        "did you mean Low Meadow?",
    )
    .await;
    // Any question takes a launch place by its name.
    county(
        "answer --place 'Low Meadow'",
        Exit::Fine,
        "at 44.8500N 103.1000W",
    )
    .await;
    // A row that is corrected counts at once.
    std::fs::write(world.path("county").join("places.csv"), "place\n").expect("writes");
    county(
        "call-out --place 'Low Meadow'",
        Exit::Refused,
        "column 'position' is missing",
    )
    .await;
    county(
        "call-out --place 44.9,-103.2",
        Exit::Fine,
        "no travel times are used",
    )
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn ways_are_the_list_s_or_as_said() {
    let world = founded().await;
    with_places(&world);
    let line = "call-out --place 'Mill Street ramp' --json --access bank --people adult:2,child:1 \
                --travel 'Otter Ferry=35' --closed 'north landing'";
    let (exit, text) = world.run("county", line).await;
    assert_eq!(exit, Exit::Fine, "{text}");
    for said in [
        "\"place\": \"Mill Street ramp\"",
        "\"access\": \"bank\"",
        "\"way\": \"closed\"",
        "\"way\": \"said\",\n          \"minutes\": 35",
    ] {
        assert!(text.contains(said), "{said}: {text}");
    }
    let plain = "call-out --place 'Mill Street ramp' --json";
    let table = "\"way\": \"table\",\n          \"minutes\": 9";
    let text = world.check("county", plain, Exit::Fine, table).await;
    // From 45 north, 103 west.
    assert!(text.contains("\"way\": \"straight\""), "{text}");
}

#[tokio::test(flavor = "multi_thread")]
async fn what_cannot_be_is_refused_with_what_can() {
    let world = founded().await;
    for (line, exit, said) in [
        ("call-out --travel North", Exit::WrongUse, "--travel"),
        (
            "call-out --travel 'North Landing=1441'",
            Exit::Refused,
            "from 0 to 1440",
        ),
        (
            "call-out --travel 'Ridge=5'",
            Exit::Refused,
            "the stations known here are",
        ),
        (
            "call-out --closed ' '",
            Exit::WrongUse,
            "say from which station",
        ),
        (
            "call-out --closed 'North Landing' --travel 'North Landing=5'",
            Exit::Refused,
            "is said twice",
        ),
        (
            "call-out --access slip",
            Exit::WrongUse,
            "give ramp or bank",
        ),
        (
            "call-out --place 91,0",
            Exit::WrongUse,
            "latitude from -90 to 90",
        ),
        (
            "call-out --place Nowhere",
            Exit::Refused,
            "no list of launch places is kept here",
        ),
        ("call-out --judge", Exit::Judged, "CAN GO"),
        (
            "call-out --json --why",
            Exit::WrongUse,
            "cannot be used with",
        ),
    ] {
        world.check("county", line, exit, said).await;
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_signed_call_out_is_given_again_without_the_list() {
    let mut world = founded().await;
    let serving = world.serve().await;
    world.join().await;
    let file = world.path("call-out.answer");
    let line = format!(
        "call-out --place 44.9,-103.2 --access ramp --travel 'North Landing=9' --signed {}",
        file.display()
    );
    let said = "written to";
    world.check("station", &line, Exit::Fine, said).await;
    world.check("station", "sync", Exit::Fine, "").await;
    let verify = format!("verify --answer {}", file.display());
    for program in ["station", "county"] {
        world.check(program, &verify, Exit::Fine, "The same").await;
    }
    serving.end().await;
}
