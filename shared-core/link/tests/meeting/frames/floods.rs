//! Floods that were published as attacks.

use super::Ending::{Ended, GoesOn};
use super::{Attack, INTRODUCE, MANY, WATCH, after, call_begun, check, flood, word};
use crate::raw::{
    CONTINUATION, DATA, HEADERS, PING, PRIORITY, RST_STREAM, SETTINGS, WINDOW_UPDATE, frame, head,
    literal, message,
};
use crate::world::limited;

/// Floods that were published as attacks.
fn floods() -> Vec<Attack> {
    let reset = |stream| frame(RST_STREAM, 0, stream, &word(8));
    let headers = |bytes: usize| {
        let mut block = Vec::new();
        literal(&mut block, "x-more", &"y".repeat(bytes));
        frame(CONTINUATION, 0, 1, &block)
    };
    let watching = [call_begun(1, WATCH), frame(DATA, 0, 1, &message(0, 0, &[]))].concat();
    vec![
        (
            "calls that are taken back at once",
            "CVE-2023-44487",
            flood(MANY, move |n| {
                [call_begun(1 + 2 * n, INTRODUCE), reset(1 + 2 * n)].concat()
            }),
            Ended,
        ),
        (
            "calls that make the server reset them",
            "CVE-2025-8671",
            flood(MANY, |n| {
                let stream = 1 + 2 * n;
                [
                    call_begun(stream, INTRODUCE),
                    frame(WINDOW_UPDATE, 0, stream, &word(0)),
                ]
                .concat()
            }),
            Ended,
        ),
        (
            "a head that goes on for ever",
            "CVE-2024-27316",
            after(
                frame(HEADERS, 0, 1, &head(INTRODUCE, &[])),
                flood(MANY, move |_| headers(100)),
            ),
            Ended,
        ),
        (
            "a head that goes on for ever with nothing",
            "CVE-2019-9518",
            after(
                frame(HEADERS, 0, 1, &head(INTRODUCE, &[])),
                flood(MANY, |_| frame(CONTINUATION, 0, 1, &[])),
            ),
            Ended,
        ),
        (
            "empty pieces of a body",
            "CVE-2019-9518, RUSTSEC-2026-0258",
            after(
                call_begun(1, INTRODUCE),
                flood(3 * MANY, |_| frame(DATA, 0, 1, &[])),
            ),
            Ended,
        ),
        (
            "pieces of a body after its message",
            "CVE-2019-9518",
            after(watching, flood(3 * MANY, |_| frame(DATA, 0, 1, &[]))),
            Ended,
        ),
        (
            "pings, their answers read",
            "CVE-2019-9512",
            flood(MANY, |n| frame(PING, 0, 0, &[word(n), word(n)].concat())),
            GoesOn,
        ),
        (
            "settings, their answers read",
            "CVE-2019-9515",
            flood(MANY, |_| frame(SETTINGS, 0, 0, &[])),
            GoesOn,
        ),
        (
            "streams in another order again and again",
            "CVE-2019-9513",
            flood(MANY, |n| {
                frame(
                    PRIORITY,
                    0,
                    1 + 2 * n,
                    &[word(0), vec![n.to_be_bytes()[3]]].concat(),
                )
            }),
            GoesOn,
        ),
        (
            "windows by one byte",
            "CVE-2019-9511",
            flood(MANY, |_| frame(WINDOW_UPDATE, 0, 0, &word(1))),
            GoesOn,
        ),
        (
            "frames of no known kind",
            "RFC 9113 section 4.1",
            flood(MANY, |_| frame(0xfe, 0xff, 0, &[7; 100])),
            GoesOn,
        ),
    ]
}

#[tokio::test]
async fn floods_are_ended_or_answered_and_others_are_served() {
    limited(check(1, floods)).await;
}
