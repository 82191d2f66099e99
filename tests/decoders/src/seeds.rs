//! Files that a fuzzer begins with: what the project itself writes, the examples of its help, and
//! the values of `tests/reference`. Written into the corpus by the test that replays it.

#[cfg(feature = "programs")]
pub(crate) mod programs;

use prost::Message as _;
use sponson_log::checkpoint::Checkpoint;
use sponson_log::event_proof;
use sponson_log::ids::{Digest, LogId};
use sponson_log::sealed::unseal;
use sponson_proto::event::v1::{self as wire, Kind};
use sponson_proto::sync::v1::{ExchangeReply, ExchangeRequest};
use sponson_readiness::standard::Policy;
use sponson_replica::CarryScope;

use crate::county::{self, DAY, MINUTE, SHEETS, START, Who};

type Seeds = Vec<Vec<u8>>;

fn texts(texts: &[&str]) -> Seeds {
    texts.iter().map(|text| text.as_bytes().to_vec()).collect()
}

/// The same texts, each after the number of its choice.
fn chosen(texts: &[(u8, &str)]) -> Seeds {
    let all = texts.iter();
    all.map(|(which, text)| [&[*which], text.as_bytes()].concat())
        .collect()
}

pub(crate) fn boat_standard() -> Seeds {
    texts(&SHEETS)
}

pub(crate) fn carry_file() -> Seeds {
    let write = |scope| {
        let mut file = Vec::new();
        let station = county::station();
        station.carry_out(scope, START + 3 * DAY, &mut |piece| file.extend(piece));
        file
    };
    let golden = include_bytes!("../../../shared-core/log/tests/golden/story.carry");
    vec![
        write(CarryScope::All),
        write(CarryScope::New),
        golden.to_vec(),
    ]
}

pub(crate) fn checkpoint() -> Seeds {
    let golden = include_bytes!("../../../shared-core/log/tests/golden/checkpoint.bin");
    let own = county::county().checkpoint(START + 2 * DAY);
    let own = own.expect("the county signs").to_wire().encode_to_vec();
    let stranger = Checkpoint::sign(
        &county::key(Who::Stranger),
        county::county_id(),
        LogId::from_bytes([1; 16]),
        (u64::MAX, Digest::from_bytes([9; 32])),
        i64::MAX,
    );
    vec![golden.to_vec(), own, stranger.to_wire().encode_to_vec()]
}

pub(crate) fn dates() -> Seeds {
    chosen(&[
        (0, "2027-03-01"),
        (0, "3/2027"),
        (0, "Mar 2027"),
        (0, "1 March 2027"),
        (1, "2027-03-01 08:00"),
        (1, "2027-03-01T08:00:00-06:00"),
        (1, "2027-03-01 08:00Z"),
        (2, "2025"),
        (2, "2027-03-01 08:00"),
        (3, "6 months"),
        (3, "100 h"),
        (3, "1 year"),
    ])
}

/// Events of the golden files and of the county.
pub(crate) fn event() -> Seeds {
    let (events, _) = county::station().unproven(0, 64 * 1024);
    let mut seeds: Seeds = events
        .into_iter()
        .map(|(_, event)| event.encode_to_vec())
        .collect();
    seeds.extend(golden());
    seeds
}

macro_rules! golden {
    ($($name:literal),* $(,)?) => {
        fn golden() -> Seeds {
            vec![$(include_bytes!(concat!(
                "../../../shared-core/log/tests/golden/event-", $name, ".bin"
            )).to_vec()),*]
        }
    };
}

golden!(
    "air-changed",
    "assigned",
    "attachment",
    "bag-registered",
    "check",
    "check-version-3",
    "condemned",
    "correction",
    "craft-registered",
    "crews-available",
    "dismissed",
    "fault",
    "fitted",
    "gear-registered",
    "held-county-wide",
    "hold-lifted",
    "inspection-done",
    "key-admitted",
    "key-ended",
    "lead-decision",
    "log-begun",
    "member-level",
    "note",
    "number-changed",
    "out-of-service",
    "placed",
    "redacted",
    "released",
    "repair",
    "returned",
    "role-given",
    "same-as",
    "shelf-registered",
    "sign-off",
    "station-registered",
    "stock-counted",
    "taken-off",
    "use",
    "waiver-granted",
    "waiver-withdrawn",
);

/// Subject ids of the golden files and what they are here.
fn here(payload: &[u8]) -> Vec<u8> {
    let mut bytes = payload.to_vec();
    for at in 0..bytes.len().saturating_sub(31) {
        // Ids of events of the golden story are digests: 32 bytes after their length.
        if at > 0 && bytes[at - 1] == 32 {
            bytes[at..at + 31].fill(0xee);
            bytes[at + 31] = 14;
        }
    }
    bytes
}

/// The payload of each golden event, alone and after each other.
pub(crate) fn kept_events() -> Seeds {
    let mut seeds = Seeds::new();
    let mut all = Vec::new();
    for event in golden() {
        let event = wire::Event::decode(event.as_slice()).expect("a golden event");
        let body = wire::Body::decode(event.body).expect("a golden body");
        let header = body.header.expect("a golden header");
        let payload = here(&body.payload);
        let length = u16::try_from(payload.len())
            .unwrap_or(u16::MAX)
            .to_be_bytes();
        let first = header
            .subjects
            .first()
            .map_or(0, |subject| match subject.r#type() {
                wire::SubjectType::Gear => 0x10,
                wire::SubjectType::Bag => 0x20,
                wire::SubjectType::Station => 0x30,
                wire::SubjectType::County => 0x50,
                wire::SubjectType::Shelf => 0x60,
                wire::SubjectType::Member => 0x70,
                wire::SubjectType::Craft | wire::SubjectType::Unspecified => 0,
            });
        let kind = u8::try_from(header.kind).unwrap_or(0);
        let version = u8::try_from(header.kind_version).unwrap_or(1);
        let mut one = vec![kind, version, first | 0x03, 1];
        one.extend(length);
        one.extend(payload);
        all.push(one.clone());
        seeds.push(one);
    }
    for some in all.chunks(8) {
        seeds.push(some.concat());
    }
    let check = county::reading(21_000).encode_to_vec();
    let length = u16::try_from(check.len()).unwrap_or(0).to_be_bytes();
    let kind = u8::try_from(Kind::Check as i32).unwrap_or(0);
    let mut two = Vec::new();
    for how in [0_u8, 0x81] {
        two.extend([kind, 1, 0, how]);
        two.extend(length);
        two.extend(&check);
    }
    seeds.push(two);
    seeds
}

pub(crate) fn judged_by_sheet() -> Seeds {
    let each = [0_u8, 1].map(|which| [&[which], SHEETS[0].as_bytes()].concat());
    each.to_vec()
}

pub(crate) fn policy() -> Seeds {
    let whole = Policy::default_text();
    let metric = whole
        .replace("\"psi\"", "\"mbar\"")
        .replace("\"F\"", "\"C\"");
    texts(&[whole, &metric])
}

pub(crate) fn proof_file() -> Seeds {
    let replica = county::station();
    let lines = replica.log_page(None, sponson_replica::Page::Newest, 40);
    let ids = lines.expect("rows are whole").into_iter();
    let ids = ids.map(|line| line.event.id());
    ids.filter_map(|id| replica.prove(&id, START + 3 * DAY).ok())
        .map(|file| unseal(event_proof::SORT, &file).map_or(file.clone(), <[u8]>::to_vec))
        .take(6)
        .collect()
}

pub(crate) fn quantities() -> Seeds {
    chosen(&[
        (0, "3.0 psi"),
        (0, "240 mbar"),
        (1, "3.25"),
        (2, "29.92 inHg"),
        (2, "1013 hPa"),
        (3, "-5 C"),
        (3, "72\u{b0}F"),
        (4, "95 lb 4 oz"),
        (4, "43.1 kg"),
        (5, "12 gal"),
        (5, "3 US qt"),
        (6, "14 ft 6 in"),
        (6, "14\u{2032} 6\u{2033}"),
        (7, "25 hp"),
        (8, "3,200 ft"),
        (9, "1 h 30 min"),
        (10, "0.5 nmi"),
        (11, "15 kn"),
        (12, "44.9,-103.2"),
        (12, "44\u{b0}54'N 103\u{b0}12'W"),
    ])
}

/// For each sort of row its first two, as they are; and the first, gone.
pub(crate) fn store_rows() -> Seeds {
    let disk = county::county_disk();
    let keys = disk.keys();
    let mut seeds = Seeds::new();
    let mut sorts: Vec<u8> = keys.iter().filter_map(|key| key.first().copied()).collect();
    sorts.dedup();
    for sort in sorts {
        let of_sort = keys
            .iter()
            .enumerate()
            .filter(|(_, key)| key.first() == Some(&sort));
        for (at, key) in of_sort.take(2) {
            let which = u16::try_from(at).unwrap_or(0).to_be_bytes();
            let row = disk.row(key).unwrap_or_default();
            let value = row
                .split_last_chunk::<4>()
                .map_or(&[][..], |(value, _)| value);
            let length = u16::try_from(value.len()).unwrap_or(0).to_be_bytes();
            seeds.push([&which[..], &length, value].concat());
            seeds.push([&which[..], &[0, 0]].concat());
        }
    }
    seeds
}

pub(crate) fn sync_reply() -> Seeds {
    let county = county::county();
    let checkpoint = county
        .checkpoint(START + 3 * DAY)
        .expect("the county signs");
    let whole = ExchangeReply {
        checkpoint: Some(checkpoint.to_wire().clone()),
        entries: county.entries(0, 40_000, &|_| false),
        root_events: county.root_events(),
        received_unix_ms: START,
        sent_unix_ms: START,
        ..Default::default()
    };
    let nothing = ExchangeReply {
        entries: Vec::new(),
        ..whole.clone()
    };
    let other_log = Checkpoint::sign(
        &county::key(Who::Working),
        county::county_id(),
        LogId::from_bytes([0xbb; 16]),
        checkpoint.tree(),
        START,
    );
    let other = ExchangeReply {
        checkpoint: Some(other_log.to_wire().clone()),
        other_log: true,
        ..whole.clone()
    };
    let framed = |reply: &ExchangeReply| {
        let bytes = reply.encode_to_vec();
        let length = u16::try_from(bytes.len()).unwrap_or(u16::MAX).to_be_bytes();
        [&length[..], &bytes].concat()
    };
    vec![
        framed(&whole),
        [framed(&nothing), framed(&nothing)].concat(),
        [framed(&other), framed(&whole)].concat(),
    ]
}

pub(crate) fn sync_request() -> Seeds {
    let station = county::station();
    let (events, _) = station.unproven(0, 64 * 1024);
    let has = station.station_has();
    let empty = ExchangeRequest {
        county_id: county::county_id().to_bytes(),
        entries_bytes_max: 16_384,
        sent_unix_ms: START,
        ..Default::default()
    };
    let full = ExchangeRequest {
        log_id: has.log.map(LogId::to_bytes).unwrap_or_default(),
        size: has.edge.size(),
        checkpoint: has.checkpoint.map(|it| it.to_wire().clone()),
        tails: has.tails,
        events: events.into_iter().map(|(_, event)| event).collect(),
        root_events: has.root_events,
        sent_unix_ms: START + MINUTE,
        ..empty.clone()
    };
    let golden = golden()
        .into_iter()
        .filter_map(|event| wire::Event::decode(event.as_slice()).ok());
    let strange = ExchangeRequest {
        events: golden.take(5).collect(),
        ..full.clone()
    };
    [empty, full, strange].map(|it| it.encode_to_vec()).to_vec()
}

pub(crate) fn tree_proofs() -> Seeds {
    vec![
        vec![69, 60, 33, 17, 0, 1, 2, 3],
        [&[8, 7, 3, 2, 1, 0, 5, 6, 1][..], &[9; 32]].concat(),
        vec![0; 8],
    ]
}
