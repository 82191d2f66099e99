//! What stands beside the body: dropped, changed, too long.

use super::*;

#[test]
fn contents_may_be_dropped_and_nothing_else() {
    let made = sign(draft());
    let dropped = wire::Event {
        beside: Vec::new(),
        ..made.to_wire()
    };
    let opened = SignedEvent::open(dropped).expect("a content may be dropped");
    assert_eq!(opened.id(), made.id());
    assert_eq!(opened.header(), made.header());
    assert_eq!(opened.verify(), Ok(()));
}

#[test]
fn contents_that_were_not_signed_are_refused() {
    let check = |change: fn(&mut Vec<BesideContent>), index| {
        let mut changed = sign(draft()).to_wire();
        change(&mut changed.beside);
        assert_eq!(
            SignedEvent::open(changed),
            Err(EventError::Beside { index })
        );
    };
    check(|it| it[0].content = Bytes::from_static(b"all is well"), 0);
    check(|it| it[0].salt = Bytes::from_static(&[7; 16]), 0);
    check(|it| it[0].salt.truncate(15), 0);
    check(|it| it[0].index = 1, 1);
    check(|it| it.push(it[0].clone()), 0);
}

#[test]
fn a_content_has_the_length_that_was_signed() {
    let mut other = draft();
    other.header.beside[0].size = 28;
    let refused = SignedEvent::sign(other, &device());
    assert_eq!(refused, Err(EventError::Beside { index: 0 }));
}

/// A draft with some contents of a length.
fn with_contents(count: u32, length: usize) -> Draft {
    let content = Bytes::from(vec![0; length]);
    let mut draft = draft();
    let signed = Beside {
        commitment: commitment(&SALT, &content),
        size: u32::try_from(length).expect("short"),
        ..draft.header.beside[0].clone()
    };
    draft.header.beside = (0..count).map(|_| signed.clone()).collect();
    draft.beside = (0..count)
        .map(|index| BesideContent {
            index,
            salt: Bytes::from_static(&SALT),
            content: content.clone(),
        })
        .collect();
    draft
}

#[test]
fn contents_have_a_greatest_length() {
    let signs = |count, length| SignedEvent::sign(with_contents(count, length), &device());
    assert!(signs(4, BESIDE_BYTES_MAX).is_ok());
    assert_eq!(
        signs(1, BESIDE_BYTES_MAX + 1),
        Err(EventError::Beside { index: 0 })
    );
    // 5 x 52,429 are one more than 262,144.
    assert!(signs(5, 52_428).is_ok());
    let refused = signs(5, 52_429).expect_err("too much for one event");
    assert_eq!(
        refused.to_string(),
        "contents beside the body is 262145 bytes; at most 262144 go with one event: \
         attach the rest with another"
    );
}
