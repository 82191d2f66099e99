//! Links work once and end; sessions end by disuse, by age and by hand, and survive a restart.

use std::fs;
use std::os::unix::fs::PermissionsExt as _;

use super::*;

const CODE: [u8; CODE_BYTES] = [7; CODE_BYTES];
const TOKEN: [u8; TOKEN_BYTES] = [9; TOKEN_BYTES];

fn empty() -> (tempfile::TempDir, Visitors) {
    let folder = tempfile::tempdir().expect("folder");
    let visitors = Visitors::load(folder.path()).expect("empty");
    (folder, visitors)
}

fn again(folder: &tempfile::TempDir) -> Visitors {
    Visitors::load(folder.path()).expect("after a restart")
}

#[test]
fn a_link_works_once_and_ends() {
    let (folder, mut visitors) = empty();
    let whom = ("M17", PageRole::Coordinator);
    visitors.give(&CODE, whom, 1000, 0).expect("given");
    let tries = [
        (&[8; CODE_BYTES], 10, Err(NotLetIn::Unknown)),
        (&CODE, 1000, Err(NotLetIn::Ended)),
        (&CODE, 999, Ok("M17".to_owned())),
        (&CODE, 999, Err(NotLetIn::Used)),
    ];
    for (code, now, wanted) in tries {
        let mut visitors = again(&folder);
        let looked = visitors
            .look(code, now)
            .map(|(member, _)| member.to_owned());
        assert_eq!(looked, wanted, "looking spends nothing");
        let got = visitors.let_in(code, &TOKEN, now).expect("file");
        assert_eq!(got.map(|visitor| visitor.member), wanted);
    }
    let text = fs::read_to_string(folder.path().join(VISITORS_FILE)).expect("file");
    for secret in [CODE.as_slice(), TOKEN.as_slice()] {
        assert!(!text.contains(&HEXLOWER.encode(secret)), "no secret kept");
    }
    let file = fs::metadata(folder.path().join(VISITORS_FILE)).expect("file");
    assert_eq!(file.permissions().mode() & 0o777, 0o600);
}

#[test]
fn a_session_ends_by_disuse_and_by_age() {
    let (folder, mut visitors) = empty();
    visitors
        .give(&CODE, ("M17", PageRole::Crew), 10, 0)
        .expect("given");
    let begun = visitors.let_in(&CODE, &TOKEN, 0).expect("file");
    assert_eq!(begun.map(|it| it.ends_unix_ms), Ok(UNUSED_MAX_MS));
    let lasts = |now| again(&folder).who(&TOKEN, now).is_some();
    assert!(lasts(UNUSED_MAX_MS - 1) && !lasts(UNUSED_MAX_MS));
    assert!(lasts(-BACK_MAX_MS) && !lasts(-BACK_MAX_MS - 1));
    // Used every hour, it still ends after a shift.
    for hour in 1..=11 {
        again(&folder).used(&TOKEN, hour * HOUR_MS).expect("file");
    }
    assert!(lasts(SESSION_MAX_MS - 1) && !lasts(SESSION_MAX_MS));
    assert!(again(&folder).who(&[1; TOKEN_BYTES], 1).is_none());
}

#[test]
fn a_session_that_has_ended_is_not_begun_again_by_use() {
    let (folder, mut visitors) = empty();
    visitors
        .give(&CODE, ("M17", PageRole::Crew), 10, 0)
        .expect("given");
    let begun = visitors.let_in(&CODE, &TOKEN, 0).expect("file");
    assert!(begun.is_ok());
    visitors.used(&TOKEN, UNUSED_MAX_MS).expect("file");
    assert!(again(&folder).who(&TOKEN, UNUSED_MAX_MS).is_none());
}

#[test]
fn sessions_are_listed_and_ended() {
    let (folder, mut visitors) = empty();
    for byte in [1, 2] {
        let member = format!("M{byte}");
        let code = [byte; CODE_BYTES];
        visitors
            .give(&code, (&member, PageRole::Lead), 10, 0)
            .expect("given");
        let in_now = visitors.let_in(&code, &[byte; TOKEN_BYTES], 0);
        assert!(in_now.expect("file").is_ok());
    }
    let names = |visitors: &Visitors| -> Vec<String> {
        let all = visitors.signed_in(1).into_iter();
        all.map(|visitor| visitor.member).collect()
    };
    assert_eq!(names(&visitors), ["M1", "M2"]);
    let ended = visitors.end(|visitor| visitor.member == "M1", 1);
    assert_eq!(ended.expect("file"), 1);
    assert_eq!(names(&again(&folder)), ["M2"]);
}

#[test]
fn a_damaged_file_is_told() {
    let folder = tempfile::tempdir().expect("folder");
    for text in ["{", r#"{"version":2,"links":[],"sessions":[]}"#] {
        fs::write(folder.path().join(VISITORS_FILE), text).expect("file");
        let read = Visitors::load(folder.path());
        assert!(matches!(read, Err(VisitorsError::Damaged { .. })), "{text}");
    }
}

#[test]
fn open_links_and_sessions_are_bounded() {
    let (_folder, mut visitors) = empty();
    for number in 0..KEPT_MAX {
        let byte = u8::try_from(number).expect("200 fit");
        visitors.kept.links.push(Link {
            code_sha256: hash(&[byte; CODE_BYTES]),
            member: "M1".to_owned(),
            role: PageRole::Crew,
            ends_unix_ms: 1000,
            used: false,
        });
        visitors.kept.sessions.push(Session {
            token_sha256: hash(&[byte; TOKEN_BYTES]),
            member: "M1".to_owned(),
            role: PageRole::Crew,
            begun_unix_ms: 0,
            used_unix_ms: 0,
        });
    }
    let whom = ("M2", PageRole::Crew);
    let full = visitors.give(&[250; CODE_BYTES], whom, 2000, 500);
    assert!(matches!(full, Err(VisitorsError::TooManyLinks)));
    let full = visitors.let_in(&[3; CODE_BYTES], &[250; TOKEN_BYTES], 500);
    assert!(matches!(full, Err(VisitorsError::TooManySessions)));
    // What has ended makes room.
    let later = 1000 + REMEMBERED_MS;
    visitors
        .give(&[250; CODE_BYTES], whom, later + 10, later)
        .expect("room again");
    let room = visitors.let_in(&[250; CODE_BYTES], &TOKEN, later);
    assert!(room.expect("file").is_ok());
}
