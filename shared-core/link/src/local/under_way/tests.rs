//! What of a check is there after a cut at any byte, and on a disk that takes nothing.

use std::fs::File;
use std::os::fd::OwnedFd;

use bytes::Bytes;
use sponson_proto::service::v1::{CheckUnderWay, UnderWayStage};
use tempfile::TempDir;

use super::line::{Begun, By, Entered, KindWord, Line};
use super::*;

const ID: &str = "0a1b2c3d";

fn by(member: &str, unix_ms: i64) -> By {
    By {
        member: member.to_owned(),
        unix_ms,
    }
}

fn begun() -> Begun {
    Begun {
        id: ID.to_owned(),
        craft: Bytes::from_static(&[2; 16]),
        number: "Boat 3".to_owned(),
        kind: KindWord::Full,
        from_paper: false,
        standard: Bytes::from_static(&[9; 32]),
        by: by("M-104", 1_000),
    }
}

fn entered(member: &str, unix_ms: i64, fields: &[(&str, &str)]) -> Line {
    let field = |(name, value): &(&str, &str)| ((*name).to_owned(), (*value).to_owned());
    Line::Entered(Entered {
        by: by(member, unix_ms),
        fields: fields.iter().map(field).collect(),
    })
}

/// A check by two members, entry by entry.
fn lines() -> Vec<Line> {
    vec![
        entered("M-104", 2_000, &[("air", "41 F"), ("stood", "10 h")]),
        entered(
            "M-099",
            3_000,
            &[("count.flare.count", "6"), ("air", "43 F")],
        ),
        entered("M-104", 4_000, &[("note", "naïve \"quotes\"\nand lines")]),
        entered("M-104", 5_000, &[("stood", "")]),
        Line::Recorded(by("M-104", 6_000)),
    ]
}

fn folder() -> TempDir {
    tempfile::tempdir().expect("a folder")
}

fn open(device: &TempDir) -> Held {
    Held::open(device.path(), &device.path().join(UNDER_WAY_FOLDER)).expect("opens")
}

fn file(device: &TempDir) -> PathBuf {
    device
        .path()
        .join(UNDER_WAY_FOLDER)
        .join(ID)
        .with_extension("check")
}

fn told(held: &Held) -> Option<CheckUnderWay> {
    held.checks.get(ID).map(|(check, _)| check.to_wire(true))
}

/// A folder with the check written whole, and how it stood after its beginning and each entry,
/// with the bytes of the file then.
fn written(device: &TempDir) -> Vec<(usize, CheckUnderWay)> {
    let mut held = open(device);
    held.begin(begun()).expect("begins");
    let stands = |held: &Held| {
        let bytes = std::fs::read(file(device)).expect("reads").len();
        (bytes, told(held).expect("listed"))
    };
    let mut stood = vec![stands(&held)];
    for line in lines() {
        held.write(ID, line).expect("writes");
        stood.push(stands(&held));
    }
    stood
}

#[test]
fn what_was_entered_is_there_after_a_start() {
    let device = folder();
    let stood = written(&device);
    let (_, last) = stood.last().expect("entries");
    assert_eq!(told(&open(&device)).as_ref(), Some(last));
    assert_eq!(last.stage(), UnderWayStage::Recorded);
    assert_eq!(last.ended_by, "M-104");
    let field = |name: &str| {
        let mut fields = last.fields.iter();
        fields.find(|field| field.name == name).cloned()
    };
    let air = field("air").expect("entered");
    assert_eq!((air.value.as_str(), air.member.as_str()), ("43 F", "M-099"));
    assert_eq!(
        (air.before.as_str(), air.before_member.as_str()),
        ("41 F", "M-104")
    );
    assert_eq!(field("stood"), None, "taken out");
    assert_eq!(
        field("note").expect("entered").value,
        "naïve \"quotes\"\nand lines"
    );
}

/// The disk has some first bytes of the file: every entry that is whole is there, the one that is
/// not is not, and the next one is kept behind them.
#[test]
fn a_cut_at_any_byte_loses_the_last_entry_at_most() {
    let whole = folder();
    let stood = written(&whole);
    let bytes = std::fs::read(file(&whole)).expect("reads");
    for cut in 0..=bytes.len() {
        let device = folder();
        std::fs::create_dir(device.path().join(UNDER_WAY_FOLDER)).expect("a folder");
        std::fs::write(file(&device), &bytes[..cut]).expect("writes");
        let kept = stood.iter().rev().find(|(length, _)| *length <= cut);
        let mut held = open(&device);
        assert_eq!(
            told(&held).as_ref(),
            kept.map(|(_, check)| check),
            "cut at {cut}"
        );
        let Some((_, kept)) = kept else {
            assert!(
                !file(&device).exists(),
                "a beginning that nobody was told of is left"
            );
            continue;
        };
        let next = entered("M-104", 9_000, &[("gauge", "G1")]);
        held.write(ID, next).expect("writes").expect("there");
        drop(held);
        let after = told(&open(&device)).expect("listed");
        assert_eq!(after.entries, kept.entries + 1, "cut at {cut}");
        assert_eq!(after.unreadable, 0, "cut at {cut}");
        assert!(
            after.fields.iter().any(|field| field.name == "gauge"),
            "cut at {cut}"
        );
    }
}

#[test]
fn a_damaged_entry_is_left_out_and_told_and_the_others_stay() {
    let device = folder();
    let stood = written(&device);
    let mut bytes = std::fs::read(file(&device)).expect("reads");
    // In the second entry.
    bytes[stood[1].0 + 30] ^= 1;
    std::fs::write(file(&device), &bytes).expect("writes");
    let check = told(&open(&device)).expect("listed");
    assert_eq!(check.unreadable, 1);
    assert_eq!(
        check
            .fields
            .iter()
            .map(|field| field.name.as_str())
            .collect::<Vec<_>>(),
        ["air", "note"]
    );
    bytes[20] ^= 1;
    std::fs::write(file(&device), &bytes).expect("writes");
    assert_eq!(told(&open(&device)), None, "its beginning is damaged");
    assert!(
        file(&device).with_extension("damaged").exists(),
        "set aside, not thrown away"
    );
}

/// `/dev/full` takes nothing, and what went into a pipe cannot be made durable: what was there
/// stays as it was, and nothing new is told.
#[test]
fn on_a_disk_that_fails_nothing_is_kept_by_halves() {
    let (reader, writer) = std::io::pipe().expect("a pipe");
    let full = File::options().write(true).open("/dev/full");
    for disk in [full.expect("opens"), File::from(OwnedFd::from(writer))] {
        let device = folder();
        let mut held = open(&device);
        held.begin(begun()).expect("begins");
        held.write(ID, entered("M-104", 2_000, &[("air", "41 F")]))
            .expect("writes");
        let before = told(&held);
        let (_, check_file) = held.checks.get_mut(ID).expect("there");
        check_file.write_to(disk);
        for _ in 0..2 {
            let next = held.write(ID, entered("M-104", 3_000, &[("stood", "10 h")]));
            assert!(next.is_err(), "it is not on the disk");
            assert_eq!(told(&held), before);
        }
        assert_eq!(told(&open(&device)), before);
    }
    drop(reader);
}

#[test]
fn what_ended_goes_after_a_day_and_what_goes_on_stays() {
    const DAY_MS: i64 = 24 * 60 * 60 * 1_000;
    for (now, line, there) in [
        (
            6_000 + DAY_MS,
            Some(Line::Recorded(by("M-104", 6_000))),
            true,
        ),
        (
            6_001 + DAY_MS,
            Some(Line::Recorded(by("M-104", 6_000))),
            false,
        ),
        (
            6_001 + DAY_MS,
            Some(Line::Dropped(by("M-104", 6_000))),
            false,
        ),
        (
            5_999 - DAY_MS,
            Some(Line::Dropped(by("M-104", 6_000))),
            false,
        ),
        (6_000 + 30 * DAY_MS, None, true),
    ] {
        let device = folder();
        let mut held = open(&device);
        held.begin(begun()).expect("begins");
        if let Some(line) = line {
            held.write(ID, line).expect("writes");
        }
        held.prune(now);
        assert_eq!(told(&held).is_some(), there, "{now}");
        assert_eq!(file(&device).exists(), there, "{now}");
    }
}

/// A file as long as one may be is read; a longer one is set aside whole, nothing of it cut off.
#[test]
fn a_file_longer_than_a_check_may_be_is_set_aside_whole() {
    let most = usize::try_from(file::FILE_BYTES_MAX).expect("fits");
    for (bytes, listed) in [(most, true), (most + 1, false)] {
        let device = folder();
        let (_, last) = written(&device).pop().expect("entries");
        let mut content = std::fs::read(file(&device)).expect("reads");
        content.resize(bytes, b'\n');
        std::fs::write(file(&device), &content).expect("writes");
        assert_eq!(told(&open(&device)), listed.then_some(last), "{bytes}");
        let aside = std::fs::read(file(&device).with_extension("damaged")).ok();
        assert_eq!(aside, (!listed).then_some(content), "{bytes}");
    }
}
