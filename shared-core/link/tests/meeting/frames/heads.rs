//! Heads that are too large, or are none.

use super::Ending::{Ended, GoesOn};
use super::{Attack, INTRODUCE, check, once};
use crate::raw::{CONTINUATION, END_HEADERS, HEADERS, frame, head, literal};
use crate::world::limited;

/// Heads that are too large, or are none.
#[expect(clippy::too_many_lines, reason = "a table, one entry a case")]
fn heads() -> Vec<Attack> {
    let named_nothing = {
        let mut block = head(INTRODUCE, &[]);
        for _ in 0..4000 {
            literal(&mut block, "", "");
        }
        frame(HEADERS, END_HEADERS, 1, &block)
    };
    let long = {
        let text = "y".repeat(15_000);
        let mut first = frame(HEADERS, 0, 1, &head(INTRODUCE, &[("x-a", &text)]));
        for n in 0..20 {
            let mut block = Vec::new();
            literal(&mut block, "x-b", &text);
            let last = if n == 19 { END_HEADERS } else { 0 };
            first.extend(frame(CONTINUATION, last, 1, &block));
        }
        first
    };
    let indexed = {
        // A value kept in the table (RFC 7541 section 6.2.1), then named 12,000 times by one byte.
        let mut block = head(INTRODUCE, &[]);
        block.extend([0x40, 3]);
        block.extend(b"x-a");
        block.extend([0x7f, 0xa1, 0x1d]);
        block.extend([b'y'; 127 + 0x21 + (0x1d << 7)]);
        block.extend([0xbe; 12_000]);
        frame(HEADERS, END_HEADERS, 1, &block)
    };
    let block = |bytes: &[u8]| once(frame(HEADERS, END_HEADERS, 1, bytes));
    vec![
        (
            "4,000 headers without a name",
            "CVE-2019-9516",
            once(named_nothing),
            Ended,
        ),
        (
            "a head of 300 KB",
            "RFC 9113 section 10.5.1",
            once(long),
            Ended,
        ),
        (
            "45 MB of head in 16 KB",
            "CVE-2016-6581",
            once(indexed),
            Ended,
        ),
        (
            "a place that the table has not",
            "RFC 7541 section 3.3",
            block(&[0xff, 0xff, 0x7f]),
            Ended,
        ),
        (
            "a table larger than allowed",
            "RFC 7541 section 6.3",
            block(&[0x3f, 0xff, 0xff, 0x7f]),
            Ended,
        ),
        (
            "a number without end",
            "RFC 7541 section 5.1",
            block(&[0xff; 100]),
            Ended,
        ),
        (
            "no method and no path",
            "RFC 9113 section 8.3.1",
            block(&[]),
            GoesOn,
        ),
        (
            "a name in capitals",
            "RFC 9113 section 8.2.1",
            once(frame(
                HEADERS,
                END_HEADERS,
                1,
                &head(INTRODUCE, &[("X-A", "y")]),
            )),
            Ended,
        ),
        (
            "a line break in a value",
            "RFC 9113 section 8.2.1",
            once(frame(
                HEADERS,
                END_HEADERS,
                1,
                &head(INTRODUCE, &[("x-a", "y\r\nz: 1")]),
            )),
            Ended,
        ),
        (
            "a header of the connection",
            "RFC 9113 section 8.2.2",
            once(frame(
                HEADERS,
                END_HEADERS,
                1,
                &head(INTRODUCE, &[("transfer-encoding", "chunked")]),
            )),
            GoesOn,
        ),
    ]
}

#[tokio::test]
async fn heads_that_are_too_large_or_none_reach_nobody() {
    limited(check(2, heads)).await;
}
