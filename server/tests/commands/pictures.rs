//! Pictures through the commands: with a fault, added later, sent, looked at, removed by the lead.

use image::codecs::jpeg::JpegEncoder;
use image::{ImageEncoder as _, RgbImage};
use sponson_show::terminal::Exit;

use crate::world::World;

/// A picture as a camera writes it: what it says of its owner stands beside the dots.
fn photo(world: &World, name: &str) -> String {
    let dots = RgbImage::from_fn(64, 48, |x, y| {
        image::Rgb([
            u8::try_from(x * 4).unwrap_or(255),
            u8::try_from(y * 4).unwrap_or(255),
            90,
        ])
    });
    let mut bytes = Vec::new();
    let mut encoder = JpegEncoder::new_with_quality(&mut bytes, 90);
    // A TIFF of one field, 0xa430, the owner's name.
    let mut beside = b"MM\0\x2a\0\0\0\x08\0\x01\xa4\x30\0\x02\0\0\0\x0a\0\0\0\x1a\0\0\0\0".to_vec();
    beside.extend(b"OWNERNAME\0");
    encoder.set_exif_metadata(beside).expect("it takes it");
    dots.write_with_encoder(encoder).expect("it writes");
    assert!(holds(&bytes, "OWNERNAME"));
    let path = world.path(name);
    std::fs::write(&path, bytes).expect("writes");
    path.display().to_string()
}

fn holds(bytes: &[u8], text: &str) -> bool {
    bytes
        .windows(text.len())
        .any(|window| window == text.as_bytes())
}

/// Files of pictures in a program's folder.
fn kept(world: &World, program: &str) -> Vec<Vec<u8>> {
    let folder = world.path(program).join("photos");
    let mut files = Vec::new();
    for entry in std::fs::read_dir(folder).expect("it is there") {
        let entry = entry.expect("it reads");
        if entry.file_name().len() == 64 {
            files.push(std::fs::read(entry.path()).expect("it reads"));
        }
    }
    files
}

#[tokio::test(flavor = "multi_thread")]
async fn a_picture_goes_with_its_fault_to_the_county_and_goes_when_the_lead_says_so() {
    let (world, serving) = World::up().await;
    let (first, second) = (photo(&world, "first.jpg"), photo(&world, "second.jpg"));
    let line = format!("fault 'Boat 3' tube-2 leak --severity minor --picture {first}");
    let said = world.check("station", &line, Exit::Fine, "fault ").await;
    let fault = said
        .trim_end()
        .rsplit(' ')
        .next()
        .expect("a word")
        .to_owned();
    let event = fault.split('-').next().expect("an event");
    let add = format!("picture {fault} {second}");
    let added = format!("1 picture added to fault {fault}");
    world.check("station", &add, Exit::Fine, &added).await;
    let waiting = "pictures waiting for the county: 2";
    world.check("station", "about", Exit::Fine, waiting).await;
    world
        .check("station", "sync", Exit::Fine, "2 pictures sent")
        .await;
    let again = world
        .check("station", "sync", Exit::Fine, "nothing waits")
        .await;
    assert!(!again.contains("picture"), "nothing is sent twice: {again}");
    for program in ["station", "county"] {
        let files = kept(&world, program);
        assert_eq!(files.len(), 2, "{program}");
        assert!(
            !files.iter().any(|file| holds(file, "OWNERNAME")),
            "{program}"
        );
        let show = format!("log {event}");
        world
            .check(program, &show, Exit::Fine, "picture of fault 0: ")
            .await;
        world
            .check(program, "verify", Exit::Fine, "2 pictures here")
            .await;
    }
    let backup = format!("backup {}", world.path("county.backup").display());
    world
        .check("county", &backup, Exit::Fine, "2 pictures are not in it")
        .await;

    let redact = format!("redact {event} --reason patient");
    world
        .check("county", &redact, Exit::Fine, "1 picture of")
        .await;
    assert_eq!(kept(&world, "county").len(), 1);
    assert_eq!(kept(&world, "station").len(), 2);
    world
        .check("station", "sync", Exit::Fine, "received 1 event")
        .await;
    assert_eq!(kept(&world, "station").len(), 1);
    let show = format!("log {event}");
    let gone = "picture of fault 0: picture removed by the lead";
    world.check("station", &show, Exit::Fine, gone).await;
    serving.end().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn what_is_no_picture_or_has_no_fault_is_refused_and_nothing_is_recorded() {
    let (world, serving) = World::up().await;
    let good = photo(&world, "good.jpg");
    let wrong = world.file("wrong.jpg", "not a picture");
    let empty = world.file("empty.jpg", "");
    let line = format!("fault 'Boat 3' tube-2 leak --severity minor --picture {good}");
    let said = world.check("station", &line, Exit::Fine, "fault ").await;
    let fault = said
        .trim_end()
        .rsplit(' ')
        .next()
        .expect("a word")
        .to_owned();
    let event = fault.split('-').next().expect("an event");
    for (line, exit, said) in [
        (
            format!("picture {event} {wrong}"),
            Exit::Refused,
            "no JPEG; give a picture as JPEG",
        ),
        (
            format!("picture {event} {empty}"),
            Exit::Refused,
            "0 bytes long",
        ),
        (
            format!("picture {event} {good}x"),
            Exit::Refused,
            "cannot be read",
        ),
        (
            format!("picture {event} {good} --fault 1"),
            Exit::Refused,
            "one fault, 0",
        ),
        (
            format!("picture {event}-x {good}"),
            Exit::WrongUse,
            "1a2b3c4d-0",
        ),
        (
            format!("picture 00000000 {good}"),
            Exit::Refused,
            "no event here has this name",
        ),
        (format!("picture {event}"), Exit::WrongUse, "FILE"),
        (
            format!("fault 'Boat 3' tube-2 tear --severity minor --picture {wrong}"),
            Exit::Refused,
            "no JPEG",
        ),
    ] {
        world.check("station", &line, exit, said).await;
    }
    let log = world.check("station", "log", Exit::Fine, "leak").await;
    assert!(
        !log.contains("tear") && !log.contains("pictures added"),
        "{log}"
    );
    serving.end().await;
}
