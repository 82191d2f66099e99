//! Frames that break the protocol.

use super::Ending::{Ended, GoesOn};
use super::{Attack, INTRODUCE, WATCH, call_begun, check, flood, once, word};
use crate::raw::{
    ACK, CONTINUATION, DATA, END_HEADERS, END_STREAM, GOAWAY, HEADERS, PING, PUSH_PROMISE,
    RST_STREAM, SETTINGS, WINDOW_UPDATE, frame, head, settings_of,
};
use crate::world::limited;

/// Frames that break the protocol.
#[expect(clippy::too_many_lines, reason = "a table, one entry a case")]
fn breaks() -> Vec<Attack> {
    let settings = |name, value| once(frame(SETTINGS, 0, 0, &settings_of(&[(name, value)])));
    let open = || call_begun(1, WATCH);
    let also = |bytes: Vec<u8>| once([open(), bytes].concat());
    let most = word(0x7fff_ffff);
    let twice = |stream| {
        [
            frame(WINDOW_UPDATE, 0, stream, &most),
            frame(WINDOW_UPDATE, 0, stream, &most),
        ]
        .concat()
    };
    let streams = flood(1000, |n| call_begun(1 + 2 * n, WATCH));
    vec![
        (
            "a call on stream 0",
            "RFC 9113 section 6.2",
            once(call_begun(0, INTRODUCE)),
            Ended,
        ),
        (
            "a call on an even stream",
            "RFC 9113 section 5.1.1",
            once(call_begun(2, INTRODUCE)),
            Ended,
        ),
        (
            "a stream that goes back",
            "RFC 9113 section 5.1.1",
            once([call_begun(9, WATCH), call_begun(7, WATCH)].concat()),
            Ended,
        ),
        (
            "the last stream, then the first",
            "RFC 9113 section 5.1.1",
            once([call_begun(0x7fff_ffff, WATCH), call_begun(1, WATCH)].concat()),
            Ended,
        ),
        (
            "the last stream",
            "RFC 9113 section 5.1.1",
            once(call_begun(0x7fff_ffff, WATCH)),
            GoesOn,
        ),
        (
            "a body of no call",
            "RFC 9113 section 5.1",
            once(frame(DATA, 0, 5, b"x")),
            Ended,
        ),
        (
            "a body on stream 0",
            "RFC 9113 section 6.1",
            once(frame(DATA, 0, 0, b"x")),
            Ended,
        ),
        (
            "more padding than frame",
            "RFC 9113 section 6.1",
            also(frame(DATA, 8, 1, &[200, 1, 1])),
            Ended,
        ),
        (
            "a reset of no call",
            "RFC 9113 section 6.4",
            once(frame(RST_STREAM, 0, 5, &word(8))),
            Ended,
        ),
        (
            "a reset of 3 bytes",
            "RFC 9113 section 6.4",
            also(frame(RST_STREAM, 0, 1, &[0; 3])),
            Ended,
        ),
        (
            "settings on a stream",
            "RFC 9113 section 6.5",
            once(frame(SETTINGS, 0, 1, &[])),
            Ended,
        ),
        (
            "settings of 5 bytes",
            "RFC 9113 section 6.5",
            once(frame(SETTINGS, 0, 0, &[0; 5])),
            Ended,
        ),
        (
            "settings taken, with a payload",
            "RFC 9113 section 6.5",
            once(frame(SETTINGS, ACK, 0, &[0; 6])),
            Ended,
        ),
        (
            "a window beyond the most",
            "RFC 9113 section 6.5.2",
            settings(4, 0x8000_0000),
            Ended,
        ),
        (
            "frames of 100 bytes wanted",
            "RFC 9113 section 6.5.2",
            settings(5, 100),
            Ended,
        ),
        (
            "a push that is neither on nor off",
            "RFC 9113 section 6.5.2",
            settings(2, 7),
            Ended,
        ),
        (
            "a promise from the caller",
            "RFC 9113 section 8.4",
            also(frame(PUSH_PROMISE, END_HEADERS, 1, &word(2))),
            Ended,
        ),
        (
            "a ping of 7 bytes",
            "RFC 9113 section 6.7",
            once(frame(PING, 0, 0, &[0; 7])),
            Ended,
        ),
        (
            "a ping on a stream",
            "RFC 9113 section 6.7",
            once(frame(PING, 0, 1, &[0; 8])),
            Ended,
        ),
        (
            "a farewell on a stream",
            "RFC 9113 section 6.8",
            once(frame(GOAWAY, 0, 1, &[0; 8])),
            Ended,
        ),
        (
            "the window of all beyond the most",
            "RFC 9113 section 6.9.1",
            once(twice(0)),
            Ended,
        ),
        (
            "the window of a call beyond the most",
            "RFC 9113 section 6.9.1",
            also(twice(1)),
            GoesOn,
        ),
        (
            "a head that goes on from nothing",
            "RFC 9113 section 6.10",
            once(frame(CONTINUATION, END_HEADERS, 1, &[])),
            Ended,
        ),
        (
            "a body within a head",
            "RFC 9113 section 6.10",
            once(
                [
                    frame(HEADERS, 0, 1, &head(WATCH, &[])),
                    frame(DATA, 0, 1, b"x"),
                ]
                .concat(),
            ),
            Ended,
        ),
        (
            "a frame beyond 16 KiB",
            "RFC 9113 section 4.2",
            also(frame(DATA, 0, 1, &[0; 16_385])),
            Ended,
        ),
        (
            "a call after its end",
            "RFC 9113 section 5.1",
            once(
                [
                    call_begun(1, WATCH),
                    frame(DATA, END_STREAM, 1, &[]),
                    frame(DATA, 0, 1, b"x"),
                ]
                .concat(),
            ),
            Ended,
        ),
        (
            "1,000 calls at once",
            "RFC 9113 section 5.1.2",
            streams,
            GoesOn,
        ),
    ]
}

#[tokio::test]
async fn a_connection_that_breaks_the_protocol_is_ended() {
    limited(check(3, breaks)).await;
}
