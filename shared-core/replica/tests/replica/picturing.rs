//! Pictures in real folders: an event commits to them and travels without; they are taken in only for
//! an event that is held, and go at the lead's word.

use sponson_log::event::{Beside, commitment};
use sponson_log::ids::{Digest, EventId, SubjectId};
use sponson_proto::event::v1::{self as wire, BesideType, Kind, SubjectType};
use sponson_replica::{
    NewEvent, NewPicture, PICTURES_MAX, Part, PictureError, PicturePlace, PicturesPlan, Replica,
};

use crate::county::{
    DAY, NORTH, Placed, SOUTH, START, about, admit_as, county_id, craft_registered, fault, found,
    join, key, north, now, south, sync,
};

/// A JPEG as far as its first bytes go: nothing here looks further.
fn picture(number: u8) -> NewPicture {
    let mut content = vec![0xff, 0xd8, 0xff];
    content.extend([number; 200]);
    NewPicture {
        salt: [number; 16],
        content,
    }
}

fn file(picture: &NewPicture) -> Vec<u8> {
    [picture.salt.as_slice(), &picture.content].concat()
}

fn id(picture: &NewPicture) -> Digest {
    commitment(&picture.salt, &picture.content)
}

/// With a folder for pictures.
fn picturing(placed: Placed) -> Placed {
    let Placed { replica, folder } = placed;
    let replica = replica.with_pictures(&folder.path().join("photos"), START);
    Placed {
        replica: replica.expect("the folder can be made"),
        folder,
    }
}

fn of_fault(id: Digest) -> Vec<(String, Digest)> {
    vec![("fault:0".to_owned(), id)]
}

fn record(placed: &mut Placed, picture: &NewPicture) -> EventId {
    let id = placed.replica.keep_picture(picture).expect("there is room");
    let recorded =
        placed
            .replica
            .append_with_pictures(fault("leak"), &of_fault(id), &now(START + DAY));
    recorded.expect("it is right").id
}

fn take(replica: &mut Replica, picture: &NewPicture) -> Result<Part, PictureError> {
    let bytes = picture.content.len() as u64;
    replica.take_picture_piece(&id(picture), bytes, (0, &file(picture)))
}

fn redaction(of: EventId, parts: &[u32]) -> NewEvent {
    let payload = wire::Redacted {
        event: of.to_bytes(),
        parts: parts.to_vec(),
        reason: wire::RedactionReason::Patient as i32,
    };
    let county = SubjectId::from_bytes(*county_id().as_bytes());
    about(Kind::Redacted, &payload, (county, SubjectType::County))
}

/// The county and both stations, with a picture of a fault of the north's craft at the north.
fn pictured() -> (Placed, Placed, Placed, EventId) {
    let mut county = picturing(found());
    let (mut one, mut other) = (picturing(join(north())), picturing(join(south())));
    one.append(craft_registered("4-1", NORTH), START + DAY);
    let event = record(&mut one, &picture(1));
    sync(&mut one, &mut county, START + DAY);
    sync(&mut other, &mut county, START + DAY);
    (county, one, other, event)
}

fn verified(placed: &Placed) -> (Vec<String>, u64, u64) {
    let found = placed.replica.verify(&mut |_, _| {});
    (found.wrong, found.pictures, found.pictures_missing)
}

#[test]
fn an_event_commits_to_a_picture_and_goes_without_it() {
    let (mut county, one, other, event) = pictured();
    for placed in [&county, &one, &other] {
        let held = placed.replica.event(&event).expect("its row is whole");
        let held = held.expect("it is held");
        assert_eq!(held.beside(), []);
        let committed = Beside {
            commitment: id(&picture(1)),
            kind: BesideType::Jpeg,
            size: 203,
            belongs_to: "fault:0".to_owned(),
        };
        assert_eq!(held.header().beside, [committed]);
    }
    let place = |placed: &Placed| placed.replica.picture_place(&id(&picture(1)));
    assert_eq!(place(&one), PicturePlace::Held);
    assert_eq!(place(&county), PicturePlace::Missing(0));
    let about = |placed: &Placed| {
        let about = placed.replica.pictures_about();
        (about.held, about.bytes, about.waiting, about.missing)
    };
    assert_eq!(about(&one), (1, 203, 1, 0));
    assert_eq!(about(&county), (0, 0, 0, 1));
    assert_eq!(verified(&one), (vec![], 1, 0));
    assert_eq!(verified(&county), (vec![], 0, 1));
    assert_eq!(
        take(&mut county.replica, &picture(1)).expect("it is wanted"),
        Part::Whole
    );
    assert_eq!(
        county
            .replica
            .picture(&id(&picture(1)))
            .expect("it is here"),
        picture(1)
    );
    assert_eq!(about(&county), (1, 203, 0, 0));
    let county = picturing(county.reopen(crate::county::working()));
    assert_eq!(place(&county), PicturePlace::Held);
}

#[test]
fn only_a_picture_that_is_kept_can_be_committed_to() {
    let mut one = picturing(join(north()));
    one.append(craft_registered("4-1", NORTH), START);
    let kept: Vec<Digest> = (0..17_u8)
        .map(|number| one.replica.keep_picture(&picture(number)).expect("room"))
        .collect();
    let named = |ids: &[Digest], to: &str| {
        ids.iter()
            .map(|id| (to.to_owned(), *id))
            .collect::<Vec<_>>()
    };
    for (pictures, said) in [
        (named(&[id(&picture(99))], ""), "give the file again"),
        (named(&[kept[0], kept[0]], ""), "named once"),
        (named(&kept, ""), "at most 16"),
        (named(&kept[..1], &"x".repeat(81)), "at most 80"),
    ] {
        let refused = one
            .replica
            .append_with_pictures(fault("leak"), &pictures, &now(START));
        let refused = refused.expect_err(said).to_string();
        assert!(
            refused.starts_with("picture is ") && refused.contains(said),
            "{refused}"
        );
    }
    assert_eq!(one.open_faults(), 0);
    let most = named(&kept[..PICTURES_MAX], "fault:0");
    let recorded = one
        .replica
        .append_with_pictures(fault("leak"), &most, &now(START));
    recorded.expect("so many may be");
    // One whose file was spoilt is none.
    let path = one
        .folder
        .path()
        .join("photos")
        .join(format!("{}.loose", kept[16]));
    std::fs::write(path, b"spoilt").expect("written");
    let refused =
        one.replica
            .append_with_pictures(fault("leak"), &named(&kept[16..], ""), &now(START));
    assert!(refused.is_err());
    let mut bare = join(south());
    let refused = bare.replica.keep_picture(&picture(1));
    assert!(matches!(refused, Err(PictureError::NoneKept)));
}

#[test]
fn what_is_no_jpeg_or_too_large_is_not_kept() {
    let mut one = picturing(join(north()));
    let mut large = picture(1);
    large.content.resize(1_000_001, 0);
    let png = NewPicture {
        content: b"\x89PNG".to_vec(),
        ..picture(1)
    };
    for (picture, said) in [(large, "at most 1000000"), (png, "no JPEG")] {
        let refused = one.replica.keep_picture(&picture).expect_err(said);
        assert!(refused.to_string().contains(said), "{refused}");
    }
}

#[test]
fn nothing_is_taken_that_no_held_event_commits_to() {
    let mut county = picturing(found());
    let mut one = picturing(join(north()));
    one.append(craft_registered("4-1", NORTH), START + DAY);
    record(&mut one, &picture(1));
    let refused = take(&mut county.replica, &picture(1));
    assert!(matches!(refused, Err(PictureError::NotKnown(_))));
    sync(&mut one, &mut county, START + DAY);
    let refused = take(&mut county.replica, &picture(2));
    assert!(matches!(refused, Err(PictureError::NotKnown(_))));
    // Another length than the event says, or another content: nothing of it stays.
    let other = county
        .replica
        .take_picture_piece(&id(&picture(1)), 900_000, (0, b"much"));
    assert!(matches!(other, Err(PictureError::Wrong(_))));
    let mut spoilt = file(&picture(1));
    spoilt[100] ^= 1;
    let taken = county
        .replica
        .take_picture_piece(&id(&picture(1)), 203, (0, &spoilt));
    assert!(matches!(taken, Err(PictureError::Wrong(_))));
    let photos = county.folder.path().join("photos");
    assert_eq!(std::fs::read_dir(photos).expect("it is there").count(), 0);
    assert_eq!(
        take(&mut county.replica, &picture(1)).expect("the right one is"),
        Part::Whole
    );
}

#[test]
fn a_redaction_removes_the_picture_everywhere_and_it_does_not_come_back() {
    let (mut county, mut one, mut other, event) = pictured();
    for placed in [&mut county, &mut other] {
        take(&mut placed.replica, &picture(1)).expect("it is wanted");
    }
    one.append(redaction(event, &[0]), START + 2 * DAY);
    let place = |placed: &Placed| placed.replica.picture_place(&id(&picture(1)));
    assert_eq!(place(&one), PicturePlace::Removed);
    assert_eq!(place(&county), PicturePlace::Held, "it has not heard of it");
    sync(&mut one, &mut county, START + 3 * DAY);
    sync(&mut other, &mut county, START + 3 * DAY);
    for placed in [&mut county, &mut one, &mut other] {
        assert_eq!(place(placed), PicturePlace::Removed);
        let photos = placed.folder.path().join("photos");
        let left = std::fs::read_dir(photos).expect("it is there");
        let left: Vec<_> = left.map(|it| it.expect("it reads").file_name()).collect();
        assert!(left.iter().all(|name| name == "at-county"), "{left:?}");
        let refused = take(&mut placed.replica, &picture(1));
        assert!(matches!(refused, Err(PictureError::Removed(_))));
        let refused = placed.replica.picture(&id(&picture(1)));
        assert!(matches!(refused, Err(PictureError::Removed(_))));
        assert_eq!(placed.replica.pictures_held().expect("it reads").len(), 0);
        assert_eq!(verified(placed), (vec![], 0, 0));
        let plan = placed.replica.pictures_plan().expect("it reads");
        assert_eq!(plan, PicturesPlan::default());
    }
    // A file that was put back by hand goes at the next start.
    let photos = one.folder.path().join("photos");
    std::fs::write(photos.join(id(&picture(1)).to_string()), file(&picture(1))).expect("written");
    let (wrong, ..) = verified(&one);
    assert!(
        wrong
            .iter()
            .any(|line| line.contains("removed by the lead")),
        "{wrong:?}"
    );
    let one = picturing(one.reopen(north()));
    assert_eq!(verified(&one), (vec![], 0, 0));
}

#[test]
fn a_redaction_that_is_not_trusted_removes_no_picture() {
    let (mut county, one, _, event) = pictured();
    take(&mut county.replica, &picture(1)).expect("it is wanted");
    let crew = key(7);
    county.append(admit_as(&crew, SOUTH, &[wire::Role::Crew]), START + 2 * DAY);
    let mut theirs = picturing(join(crew));
    sync(&mut theirs, &mut county, START + 2 * DAY);
    theirs.append(redaction(event, &[0]), START + 2 * DAY);
    sync(&mut theirs, &mut county, START + 2 * DAY);
    assert_eq!(
        county.replica.picture_place(&id(&picture(1))),
        PicturePlace::Held
    );
    assert_eq!(
        one.replica.picture_place(&id(&picture(1))),
        PicturePlace::Held
    );
}

#[test]
fn a_station_fetches_pictures_of_its_own_craft_and_lets_none_go_that_the_county_lacks() {
    let (mut county, mut one, mut other, _) = pictured();
    let wanted = |placed: &mut Placed| {
        let plan = placed.replica.pictures_plan().expect("it reads");
        let fetch = plan.fetch.iter().map(|it| it.0).collect::<Vec<_>>();
        (fetch, plan.let_go)
    };
    // The craft is at the north; another device of it gets what the first one took.
    county.append(
        admit_as(&key(8), NORTH, &[wire::Role::Crew]),
        START + 2 * DAY,
    );
    let mut second = picturing(join(key(8)));
    sync(&mut second, &mut county, START + 2 * DAY);
    assert_eq!(wanted(&mut second), (vec![id(&picture(1))], vec![]));
    assert_eq!(wanted(&mut other), (vec![], vec![]));
    assert_eq!(wanted(&mut one), (vec![], vec![]));
    let alone = one.replica.let_picture_go(&id(&picture(1)));
    assert!(alone.is_err(), "nobody else has it");
    let noted = one.replica.note_at_county([id(&picture(1))].into());
    noted.expect("it can be written");
    let mut one = picturing(one.reopen(north()));
    assert_eq!(one.replica.pictures_about().waiting, 0);
    one.replica
        .let_picture_go(&id(&picture(1)))
        .expect("the county has it");
    assert_eq!(wanted(&mut one), (vec![id(&picture(1))], vec![]));
}

#[test]
fn what_nobody_commits_to_goes_after_a_month() {
    let mut one = picturing(join(north()));
    one.append(craft_registered("4-1", NORTH), START);
    record(&mut one, &picture(1));
    one.replica.keep_picture(&picture(2)).expect("room");
    let opened_at = |placed: Placed, unix_ms| {
        let Placed { replica, folder } = placed;
        let photos = folder.path().join("photos");
        let replica = replica.with_pictures(&photos, unix_ms).expect("it opens");
        Placed { replica, folder }
    };
    let here = |placed: &Placed| {
        let folder = placed.folder.path().join("photos");
        [(1, ""), (2, ".loose")].map(|(number, end)| {
            let name = format!("{}{end}", id(&picture(number)));
            folder.join(name).exists()
        })
    };
    let written = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH);
    let written = i64::try_from(written.expect("after 1970").as_millis()).expect("small");
    let one = opened_at(one, written + 29 * DAY);
    assert_eq!(here(&one), [true, true]);
    let one = opened_at(one, written + 31 * DAY);
    assert_eq!(here(&one), [true, false]);
}

#[test]
fn a_store_that_was_built_anew_loses_no_picture_that_it_does_not_know_yet() {
    let (mut county, one, ..) = pictured();
    let photos = one.folder.path().join("photos");
    let mut anew = join(north());
    let written = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH);
    let written = i64::try_from(written.expect("after 1970").as_millis()).expect("small");
    let opened = anew.replica.with_pictures(&photos, written + 400 * DAY);
    anew.replica = opened.expect("it opens");
    assert_eq!(
        anew.replica.picture_place(&id(&picture(1))),
        PicturePlace::NotKnown
    );
    sync(&mut anew, &mut county, START + DAY);
    assert_eq!(
        anew.replica.picture_place(&id(&picture(1))),
        PicturePlace::Held
    );
}

#[test]
fn a_spoilt_file_is_said_by_verify_and_comes_again() {
    let (mut county, ..) = pictured();
    take(&mut county.replica, &picture(1)).expect("it is wanted");
    let path = county
        .folder
        .path()
        .join("photos")
        .join(id(&picture(1)).to_string());
    let mut bytes = file(&picture(1));
    bytes[50] ^= 1;
    std::fs::write(path, bytes).expect("written");
    let (wrong, ..) = verified(&county);
    assert!(
        wrong.len() == 1 && wrong[0].contains("damaged"),
        "{wrong:?}"
    );
    assert!(county.replica.picture(&id(&picture(1))).is_err());
    assert_eq!(
        take(&mut county.replica, &picture(1)).expect("it is wanted again"),
        Part::Whole
    );
    assert_eq!(verified(&county), (vec![], 1, 0));
}

#[test]
fn a_commitment_that_was_copied_stands_for_the_same_picture_and_goes_with_it() {
    let (mut county, mut one, _, event) = pictured();
    let again = one
        .replica
        .append_with_pictures(fault("tear"), &of_fault(id(&picture(1))), &now(START + DAY))
        .expect("the same picture of two faults");
    sync(&mut one, &mut county, START + DAY);
    take(&mut county.replica, &picture(1)).expect("it is wanted");
    let beside = county.replica.pictures_beside(&again.id);
    assert_eq!(beside.len(), 1);
    assert_eq!(beside[0].place, PicturePlace::Held);
    one.append(redaction(event, &[0]), START + 2 * DAY);
    sync(&mut one, &mut county, START + 2 * DAY);
    let beside = county.replica.pictures_beside(&again.id);
    assert_eq!(beside[0].place, PicturePlace::Removed);
}
