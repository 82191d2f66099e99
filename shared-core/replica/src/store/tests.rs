//! Rows that were damaged, and a disk that fails.

use sponson_log::event::{Clock, Draft, Header, SignedEvent};
use sponson_log::ids::CountyId;
use sponson_log::sign::DeviceKey;
use sponson_proto::event::v1::{IfNotUnderstood, Kind};

use super::folder::Wanted;
use super::rows::RowKey;
use super::write::Chunk;
use super::*;

fn event() -> SignedEvent {
    let key = DeviceKey::from_seed([1; 32]);
    let header = Header {
        county: CountyId::of_root(&key.key()),
        key: key.key(),
        seq: 1,
        previous: None,
        kind: Kind::Note as i32,
        kind_version: 1,
        if_not_understood: IfNotUnderstood::Ignore,
        subjects: Vec::new(),
        clock: Clock {
            unix_ms: 0,
            utc_offset_min: 0,
            boot_id: [0; 16],
            monotonic_ms: 0,
        },
        checkpoint: None,
        observed: None,
        member: String::new(),
        beside: Vec::new(),
    };
    let draft = Draft {
        header,
        payload: vec![7; 20_000].into(),
        beside: Vec::new(),
    };
    SignedEvent::sign(draft, &key).expect("a draft within the limits")
}

fn with_event(folder: &Path) -> Store {
    let mut store = Store::open(folder, Wanted::New).expect("a new store");
    let mut chunk = Chunk::default();
    chunk.event(0, &event());
    store.write(chunk).expect("the store is whole");
    store
}

fn put(store: &mut Store, key: &[u8], value: Option<Vec<u8>>) {
    let written = store.commit(vec![(key.to_vec(), value)]);
    written.expect("it can be written");
}

#[test]
fn a_damaged_row_is_named_with_the_remedy() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut store = with_event(folder.path());
    assert_eq!(store.event(0).expect("it is whole"), event());
    for (key, said) in [
        (
            RowKey::Event(0),
            "row e 0 of the store is damaged: its check sum",
        ),
        (
            RowKey::BodyPart(0, 3),
            "row x 0 3 of the store is damaged: its check sum",
        ),
    ] {
        let key = key.bytes();
        let whole = store.bytes(&key).expect("it can be read");
        let whole = whole.expect("it is there");
        let mut changed = whole.to_vec();
        changed[20] ^= 1;
        put(&mut store, &key, Some(changed));
        let error = store.event(0).expect_err("it is damaged").to_string();
        assert!(error.starts_with(said), "{error}");
        assert!(error.contains("sponson salvage"), "{error}");
        put(&mut store, &key, Some(whole.to_vec()));
    }
    put(&mut store, &RowKey::BodyPart(0, 2).bytes(), None);
    let error = store.event(0).expect_err("it is missing").to_string();
    assert!(
        error.starts_with("row x 0 2 of the store is damaged: it is missing"),
        "{error}"
    );
}

#[test]
fn no_row_is_longer_than_allowed() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut store = with_event(folder.path());
    let mut chunk = Chunk::default();
    chunk.leaves(0, &[(u64::from(u32::MAX), i64::MAX / 2); 1_000]);
    store.write(chunk).expect("the store is whole");
    for row in store.all_rows() {
        let (key, value) = row.expect("it can be read");
        assert!(
            value.len() <= rows::ROW_BYTES_MAX,
            "{}: {}",
            rows::key_text(&key),
            value.len()
        );
    }
}

#[test]
fn after_a_failed_write_nothing_is_acknowledged() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut store = with_event(folder.path());
    store.fail_next();
    let failed = store.write(Chunk::default());
    assert!(matches!(failed, Err(StoreError::Write(_))), "{failed:?}");
    for _ in 0..2 {
        let refused = store.write(Chunk::default());
        assert!(matches!(refused, Err(StoreError::Poisoned)), "{refused:?}");
    }
}
