//! Files that are whole, cut, changed and out of order.

use bytes::Bytes;
use proptest::prelude::*;
use sponson_proto::carry::v1::{CarryEnd, CarryStart, CountyRun, EventRun};
use sponson_proto::event::v1::Event;

use super::*;

fn record(what: What) -> CarryRecord {
    CarryRecord { what: Some(what) }
}

fn start() -> CarryRecord {
    record(What::Start(CarryStart {
        county_id: Bytes::from_static(&[1; 16]),
        written_by: Bytes::from_static(&[2; 32]),
        unix_ms: 1_772_000_000_000,
    }))
}

fn county_run() -> CarryRecord {
    record(What::CountyRun(CountyRun {
        log_id: Bytes::from_static(&[3; 16]),
        first: 7,
        entries: Vec::new(),
    }))
}

fn event_run(signature_bytes: usize) -> CarryRecord {
    record(What::EventRun(EventRun {
        events: vec![Event {
            body: Bytes::from_static(b"body"),
            algorithm: 1,
            signature: vec![4; signature_bytes].into(),
            beside: Vec::new(),
        }],
    }))
}

fn end() -> CarryRecord {
    record(What::End(CarryEnd {
        checkpoint: None,
        events: 1,
    }))
}

fn records() -> Vec<CarryRecord> {
    vec![start(), county_run(), event_run(64), end()]
}

fn file(records: &[CarryRecord]) -> Vec<u8> {
    let frames = records.iter().flat_map(frame);
    MAGIC.iter().copied().chain(frames).collect()
}

/// Where each record of a file begins, and where the file ends.
fn begins(records: &[CarryRecord]) -> Vec<usize> {
    let mut at = vec![MAGIC.len()];
    for record in records {
        at.push(at[at.len() - 1] + frame(record).len());
    }
    at
}

fn unreadable(record: u64, offset: usize, detail: &str) -> Result<Vec<CarryRecord>, CarryError> {
    Err(CarryError::Unreadable {
        record,
        offset: bytes(offset),
        detail: detail.to_owned(),
    })
}

#[test]
fn a_whole_file_reads_as_it_was_written() {
    assert_eq!(read(&file(&records())), Ok(records()));
    assert_eq!(read(&file(&[start(), end()])), Ok(vec![start(), end()]));
}

#[test]
fn a_frame_is_length_digest_record() {
    let record = start().encode_to_vec();
    let length = u32::try_from(record.len()).expect("short");
    let by_hand = [
        length.to_be_bytes().as_slice(),
        &Sha256::digest(&record),
        &record,
    ]
    .concat();
    assert_eq!(frame(&start()), by_hand);
}

#[test]
fn a_cut_is_found_at_every_byte() {
    let records = records();
    let whole = file(&records);
    let begins = begins(&records);
    for length in 0..whole.len() {
        let expected = if length < MAGIC.len() {
            CarryError::NotACarryFile
        } else {
            let record = begins
                .iter()
                .rposition(|at| *at <= length)
                .expect("a place");
            CarryError::Cut {
                record: bytes(record),
                offset: bytes(begins[record]),
            }
        };
        assert_eq!(read(&whole[..length]), Err(expected), "{length} bytes");
    }
}

#[test]
fn another_file_is_none() {
    let refused = Err(CarryError::NotACarryFile);
    assert_eq!(read(b""), refused);
    assert_eq!(read(b"sponson-carry-2\nand so on"), refused);
}

#[test]
fn a_record_that_is_too_long_is_named() {
    let around = event_run(RECORD_BYTES_MAX - 100).encoded_len() - (RECORD_BYTES_MAX - 100);
    let records = [start(), event_run(RECORD_BYTES_MAX - around + 1), end()];
    let length = bytes(records[1].encoded_len());
    assert_eq!(length, bytes(RECORD_BYTES_MAX + 1));
    let offset = bytes(begins(&records)[1]);
    let too_long = |length| CarryError::TooLong {
        record: 1,
        offset,
        length,
    };
    assert_eq!(read(&file(&records)), Err(too_long(length)));
    // A length that the file does not hold is refused by the length alone.
    let mut hostile = file(&[start()]);
    hostile.extend([0xff; 4]);
    assert_eq!(read(&hostile), Err(too_long(u32::MAX.into())));
}

#[test]
fn the_longest_record_is_read() {
    let rest = event_run(RECORD_BYTES_MAX - 100).encoded_len() - (RECORD_BYTES_MAX - 100);
    let longest = event_run(RECORD_BYTES_MAX - rest);
    assert_eq!(longest.encoded_len(), RECORD_BYTES_MAX);
    let records = vec![start(), longest, end()];
    assert_eq!(read(&file(&records)), Ok(records));
}

#[test]
fn records_out_of_order_are_named() {
    let check = |records: &[CarryRecord], at: usize, detail: &str| {
        let offset = begins(records)[at];
        let expected = unreadable(bytes(at), offset, detail);
        assert_eq!(read(&file(records)), expected);
    };
    let late = "a start stands after the first record";
    let not_a_start = "the first record is not a start";
    let after = "the file goes on after its end";
    check(&[start(), start(), end()], 1, late);
    check(&[county_run(), start(), end()], 0, not_a_start);
    check(&[end()], 0, not_a_start);
    check(&[start(), end(), county_run()], 2, after);
    check(&[start(), end(), end()], 2, after);
    let unknown = CarryRecord { what: None };
    let no_sort = "it is of no sort that this version knows: upgrade this device";
    check(&[start(), unknown, end()], 1, no_sort);
}

#[test]
fn a_file_without_an_end_is_cut() {
    let records = [start(), county_run()];
    let refused = CarryError::Cut {
        record: 2,
        offset: bytes(begins(&records)[2]),
    };
    assert_eq!(read(&file(&records)), Err(refused));
}

#[test]
fn bytes_after_the_end_are_refused() {
    let mut longer = file(&records());
    let offset = longer.len();
    longer.push(0);
    let refused = unreadable(4, offset, "the file goes on after its end");
    assert_eq!(read(&longer), refused);
}

#[test]
fn refusals_read_as_sentences() {
    let changed = CarryError::Changed {
        record: 3,
        offset: 412,
    };
    assert_eq!(
        changed.to_string(),
        "record 3 at byte 412 was changed: copy the file again"
    );
}

proptest! {
    #[test]
    fn a_flipped_bit_is_refused(position in any::<prop::sample::Index>(), bit in 0_u32..8) {
        let mut changed = file(&records());
        let at = position.index(changed.len());
        changed[at] ^= 1 << bit;
        prop_assert!(read(&changed).is_err());
    }

    #[test]
    fn a_change_inside_a_record_names_it(position in any::<prop::sample::Index>(), bit in 0_u32..8) {
        let records = records();
        let begins = begins(&records);
        let mut changed = file(&records);
        let at = begins[2] + 4 + position.index(begins[3] - begins[2] - 4);
        changed[at] ^= 1 << bit;
        let offset = bytes(begins[2]);
        prop_assert_eq!(read(&changed), Err(CarryError::Changed { record: 2, offset }));
    }

    #[test]
    fn bytes_of_a_stranger_are_refused(garbage in prop::collection::vec(any::<u8>(), 0..200)) {
        let mut file = MAGIC.to_vec();
        file.extend(garbage);
        prop_assert!(read(&file).is_err());
    }
}
