//! Files of pictures in real folders: whole or not at all, pieces from any byte on.

use proptest::prelude::*;
use tempfile::TempDir;

use super::*;

fn picture(bytes: usize) -> Picture {
    let content = (0..bytes).map(|at| u8::try_from(at % 251).expect("small"));
    Picture {
        salt: [7; SALT_BYTES],
        content: content.collect(),
    }
}

fn files() -> (TempDir, PictureFiles) {
    let folder = tempfile::tempdir().expect("a folder");
    let files = PictureFiles::open(&folder.path().join("photos"), 0).expect("it opens");
    (folder, files)
}

fn whole(picture: &Picture) -> Vec<u8> {
    [picture.salt.as_slice(), &picture.content].concat()
}

#[test]
fn a_picture_is_kept_read_and_removed() {
    let (_folder, files) = files();
    let picture = picture(1_000);
    let id = files.keep(&picture).expect("it is kept");
    assert_eq!(id, commitment(&picture.salt, &picture.content));
    assert_eq!(files.read(&id).expect("it reads"), None, "for no event yet");
    assert_eq!(
        files.read_loose(&id).expect("it reads").as_ref(),
        Some(&picture)
    );
    assert_eq!(files.loose_bytes().expect("it reads"), 1_016);
    files.bind(&id).expect("an event is recorded with it");
    assert_eq!(files.loose_bytes().expect("it reads"), 0);
    assert_eq!(files.read(&id).expect("it reads"), Some(picture));
    assert_eq!(files.held().expect("it reads").get(&id), Some(&1_000));
    files.remove(&id).expect("it goes");
    assert_eq!(files.read(&id).expect("it reads"), None);
    files.remove(&id).expect("nothing is there");
}

#[test]
fn a_changed_byte_anywhere_is_found_and_the_file_set_aside() {
    let (_folder, files) = files();
    let picture = picture(40);
    for at in 0..whole(&picture).len() {
        let id = files.keep(&picture).expect("it is kept");
        files.bind(&id).expect("it stays");
        let mut bytes = whole(&picture);
        bytes[at] ^= 1;
        fs::write(files.path(&id), bytes).expect("written");
        assert!(!files.is_right(&id));
        assert!(
            matches!(files.read(&id), Err(PictureFileError::Damaged(_))),
            "byte {at}"
        );
        assert!(!files.holds(&id), "it can come again");
    }
}

#[test]
fn pieces_go_on_from_every_byte_and_over_a_restart() {
    let picture = picture(60);
    let bytes = whole(&picture);
    let id = commitment(&picture.salt, &picture.content);
    for cut in 0..bytes.len() {
        let (folder, files) = files();
        let length = bytes.len() as u64;
        let grown = files
            .grow(&id, length, (0, &bytes[..cut]))
            .expect("it grows");
        assert_eq!(grown, Grown::To(cut as u64));
        assert!(!files.holds(&id));
        let files = PictureFiles::open(&folder.path().join("photos"), 0).expect("again");
        let here = usize::try_from(files.part(&id)).expect("small");
        assert_eq!(here, cut);
        let grown = files
            .grow(&id, length, (here as u64, &bytes[here..]))
            .expect("it grows");
        assert_eq!(grown, Grown::Whole);
        assert_eq!(files.read(&id).expect("it reads").as_ref(), Some(&picture));
        assert_eq!(files.part(&id), 0);
    }
}

#[test]
fn a_piece_from_elsewhere_or_too_much_changes_nothing() {
    let (_folder, files) = files();
    let picture = picture(60);
    let bytes = whole(&picture);
    let id = commitment(&picture.salt, &picture.content);
    let length = bytes.len() as u64;
    for (piece, here) in [
        ((10, &bytes[10..20]), 0),
        ((0, &bytes[..10]), 10),
        ((0, &bytes[..10]), 10),
        ((11, &bytes[11..]), 10),
        ((10, [bytes.as_slice(), &[0]].concat().as_slice()), 10),
    ] {
        let grown = files.grow(&id, length, piece).expect("nothing fails");
        assert_eq!(grown, Grown::To(here), "{piece:?}");
    }
}

#[test]
fn what_was_not_committed_to_goes_with_its_last_byte() {
    let (_folder, files) = files();
    let picture = picture(60);
    let mut bytes = whole(&picture);
    bytes[30] ^= 1;
    let id = commitment(&picture.salt, &picture.content);
    let length = bytes.len() as u64;
    let grown = files
        .grow(&id, length, (0, &bytes[..50]))
        .expect("it grows");
    assert_eq!(grown, Grown::To(50));
    let grown = files
        .grow(&id, length, (50, &bytes[50..]))
        .expect("it is looked at");
    assert_eq!(grown, Grown::Wrong);
    assert_eq!((files.part(&id), files.holds(&id)), (0, false));
}

#[test]
fn only_so_many_are_under_way_at_a_time() {
    let (_folder, files) = files();
    let id = |number: usize| commitment(&[0; 16], &number.to_be_bytes());
    for number in 0..PARTS_MAX {
        files
            .grow(&id(number), 100, (0, b"x"))
            .expect("there is room");
    }
    let refused = files.grow(&id(PARTS_MAX), 100, (0, b"x"));
    assert!(matches!(refused, Err(PictureFileError::Parts)));
    files
        .grow(&id(0), 100, (1, b"y"))
        .expect("one that is under way goes on");
}

#[test]
fn what_a_power_cut_left_half_written_goes_and_old_pieces_do() {
    let (folder, files) = files();
    let photos = folder.path().join("photos");
    let id = commitment(&[0; 16], b"any");
    fs::write(photos.join(format!("{id}.new")), b"half").expect("written");
    files.grow(&id, 100, (0, b"x")).expect("it grows");
    let changed = fs::metadata(files.part_path(&id)).and_then(|it| it.modified());
    let changed = changed
        .expect("it says")
        .duration_since(UNIX_EPOCH)
        .expect("after 1970");
    let changed_ms = i64::try_from(changed.as_millis()).expect("small");
    let names = |now| {
        let files = PictureFiles::open(&photos, now).expect("it opens");
        files.names().expect("they read").len()
    };
    assert_eq!(names(changed_ms + OLD_MS), 1);
    assert_eq!(names(changed_ms + OLD_MS + 1), 0);
}

#[test]
fn names_are_commitments_or_none() {
    let id = commitment(&[0; 16], b"any");
    assert_eq!(Digest::from_hex(&id.to_string()), Some(id));
    for name in [
        "",
        "at-county",
        &id.to_string().to_uppercase(),
        &format!("{id}0"),
        &"+f".repeat(32),
    ] {
        assert_eq!(Digest::from_hex(name), None, "{name}");
    }
}

proptest! {
    #[test]
    fn any_pieces_with_any_cuts_give_the_picture(
        bytes in 1_usize..400,
        cuts in proptest::collection::vec((1_usize..90, any::<bool>()), 1..40),
    ) {
        let (_folder, files) = files();
        let picture = picture(bytes);
        let file = whole(&picture);
        let id = commitment(&picture.salt, &picture.content);
        let mut cuts = cuts.into_iter().cycle();
        let mut calls = 0;
        // A reply that was lost is a piece that is sent again from where the sender thinks it is.
        let mut at = 0;
        loop {
            let (length, lost) = cuts.next().expect("it cycles");
            let end = (at + length).min(file.len());
            match files.grow(&id, file.len() as u64, (at as u64, &file[at..end])).expect("it grows") {
                Grown::Whole => break,
                Grown::To(here) if !lost || calls % 7 == 0 => at = usize::try_from(here).expect("small"),
                Grown::To(_) => {}
                Grown::Wrong => prop_assert!(false, "it is right"),
            }
            calls += 1;
            prop_assert!(calls < 10_000);
        }
        prop_assert_eq!(files.read(&id).expect("it reads"), Some(picture));
    }
}
