//! Keeping events from elsewhere: in any order, twice, in parts; what does not fit; what a key
//! that nobody admitted can do.

use proptest::prelude::*;
use sponson_log::event::SignedEvent;
use sponson_log::ids::EventId;
use sponson_proto::event::v1::{self as wire, Kind};
use sponson_proto::store::v1::ChunkSource;

use crate::county::{
    DAY, MINUTE, NORTH, Placed, START, craft_registered, end, event, fault, found, join, key,
    north, out_of_service, reading, sign, sign_off, south, stranger, sync, working,
};

/// A county with two stations apart: everything that anybody signed.
fn everything() -> Vec<SignedEvent> {
    let mut county = found();
    let mut one = join(north());
    let mut other = join(south());
    let registered = craft_registered("4-1", NORTH);
    one.append(registered, START + DAY);
    let leak = one.append(fault("leak"), START + DAY);
    sync(&mut one, &mut county, START + DAY);
    sync(&mut other, &mut county, START + DAY);
    one.append(reading(20_000), START + 2 * DAY);
    other.append(reading(19_000), START + 2 * DAY);
    other.append(sign_off(leak), START + 2 * DAY);
    one.append(out_of_service(), START + 2 * DAY);
    let tear = one.append(fault("tear"), START + 2 * DAY);
    sync(&mut one, &mut county, START + 3 * DAY);
    sync(&mut other, &mut county, START + 3 * DAY);
    other.append(sign_off(tear), START + 3 * DAY);
    sync(&mut other, &mut county, START + 4 * DAY);
    let last = other
        .replica
        .chains()
        .get(&south().key())
        .expect("it wrote");
    let (head, seq) = last.heads().iter().next().expect("it wrote");
    let last = Some((seq - 1, previous(&other, head)));
    county.append(end(&south(), last), START + 5 * DAY);
    county.events()
}

fn previous(placed: &Placed, id: &EventId) -> EventId {
    let event = placed.replica.event(id).expect("rows are whole");
    let header = event.expect("held").header().clone();
    header.previous.expect("not its first")
}

/// Hands events over in an order until nothing more fits.
fn deliver(to: &mut Placed, events: &[SignedEvent], order: &[usize], part: usize) {
    loop {
        let mut new = 0;
        for chunk in order.chunks(part) {
            let chunk = chunk.iter().map(|at| events[at % events.len()].clone());
            let kept = to
                .replica
                .keep(chunk.collect(), ChunkSource::Station, START + 9 * DAY);
            new += kept.expect("the store is whole").new.len();
        }
        if new == 0 {
            return;
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 12, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_order_of_arrival_does_not_matter(
        shuffled in Just((0..40).collect::<Vec<usize>>()).prop_shuffle(),
        part in 1_usize..9,
        asked_between in any::<bool>(),
    ) {
        let events = everything();
        let mut in_order = join(key(20));
        deliver(&mut in_order, &events, &(0..events.len()).collect::<Vec<_>>(), events.len());
        prop_assert_eq!(in_order.replica.about().events, events.len() as u64);
        let mut mixed = join(key(21));
        if asked_between {
            // Records that are folded early are stepped and folded again later.
            deliver(&mut mixed, &events, &shuffled[..20], part);
            mixed.record_bytes();
        }
        deliver(&mut mixed, &events, &shuffled, part);
        prop_assert_eq!(mixed.replica.about().events, events.len() as u64);
        prop_assert_eq!(mixed.replica.registry(), in_order.replica.registry());
        let records = in_order.record_bytes();
        prop_assert!(!records.is_empty());
        prop_assert_eq!(mixed.record_bytes(), records.clone());
        let question = crate::asking::question(START + 9 * DAY);
        prop_assert_eq!(mixed.replica.ask(&question), in_order.replica.ask(&question));
        prop_assert_eq!(mixed.reopen(key(21)).record_bytes(), records);
    }
}

#[test]
fn what_does_not_fit_is_refused_with_its_reason() {
    let mut station = join(north());
    let first = sign(&stranger(), 1, None, Kind::Note, Vec::new());
    let second = sign(&stranger(), 2, Some(first.id()), Kind::Note, Vec::new());
    let fourth = sign(&stranger(), 4, Some(second.id()), Kind::Note, Vec::new());
    let batch = vec![second.clone(), first.clone(), second.clone(), fourth];
    let kept = station
        .replica
        .keep(batch, ChunkSource::Carry, START)
        .expect("the store is whole");
    assert_eq!(kept.new, [first.id(), second.id()]);
    let reasons: Vec<_> = kept
        .refused
        .iter()
        .map(|it| (it.reason, it.missing.len()))
        .collect();
    assert_eq!(reasons, [("MISSING_REFERENCES", 1), ("NOT_NEXT", 0)]);
    let again = station.replica.keep(vec![first], ChunkSource::Carry, START);
    assert_eq!(again.expect("the store is whole").held, 1);
}

#[test]
fn a_kind_that_is_not_known_is_kept_and_holds_its_subject() {
    let mut station = join(north());
    station.append(craft_registered("4-1", NORTH), START);
    let mut unreadable = sign(&stranger(), 1, None, Kind::Check, vec![0xff; 9]);
    let kept = station
        .replica
        .keep(vec![unreadable.clone()], ChunkSource::Carry, START);
    assert_eq!(kept.expect("the store is whole").new, [unreadable.id()]);
    unreadable = sign(
        &stranger(),
        2,
        Some(unreadable.id()),
        Kind::Unspecified,
        Vec::new(),
    );
    let kept = station
        .replica
        .keep(vec![unreadable.clone()], ChunkSource::Carry, START);
    assert_eq!(kept.expect("the store is whole").new, [unreadable.id()]);
    let records = station.replica.records();
    let record = records.values().next().expect("the craft");
    assert_eq!(record.events, 3);
    assert_eq!(record.not_understood.len() + record.unconfirmed.len(), 5);
}

#[test]
fn a_key_that_nobody_admitted_closes_nothing() {
    let mut county = found();
    let mut station = join(north());
    station.append(craft_registered("4-1", NORTH), START + DAY);
    let leak = station.append(fault("leak"), START + DAY);
    sync(&mut station, &mut county, START + DAY);
    let mut thief = join(stranger());
    sync(&mut thief, &mut county, START + DAY);
    thief.append(sign_off(leak), START + DAY + MINUTE);
    sync(&mut thief, &mut county, START + 2 * DAY);

    assert_eq!(county.open_faults(), 1);
    // Once admitted, its chain counts from its first event.
    county.append(crate::county::admit(&stranger(), NORTH), START + 3 * DAY);
    assert_eq!(county.open_faults(), 0);
    // Ended before its first event, it never counted.
    county.append(end(&stranger(), None), START + 4 * DAY);
    assert_eq!(county.open_faults(), 1);
    let records = county.record_bytes();
    assert_eq!(county.reopen(working()).record_bytes(), records);
}

#[test]
fn a_chain_that_parts_stops_counting_there() {
    let mut county = found();
    let mut station = join(north());
    station.append(craft_registered("4-1", NORTH), START + DAY);
    let leak = station.append(fault("leak"), START + DAY);
    // The tablet was copied: two devices go on from here with one key.
    let copied = crate::durable::copy(station.folder.path());
    station.append(sign_off(leak), START + DAY + MINUTE);
    sync(&mut station, &mut county, START + DAY + MINUTE);
    assert_eq!(county.open_faults(), 0);
    let replica = sponson_replica::Replica::open(copied.path(), north()).expect("the copy opens");
    let mut copy = Placed {
        replica,
        folder: copied,
    };
    copy.append(reading(20_000), START + DAY + MINUTE);
    sync(&mut copy, &mut county, START + 2 * DAY);
    assert_eq!(county.open_faults(), 1);
    let heads = county.replica.heads();
    assert_eq!(
        heads
            .iter()
            .filter(|tail| tail.key == north().key().to_bytes())
            .count(),
        2
    );
    let wrong = county.replica.verify(&mut |_, _| {}).wrong;
    assert_eq!(wrong.len(), 1);
    assert!(wrong[0].contains("parts in two at seq 3"), "{wrong:?}");
}

#[test]
fn what_the_lead_dismisses_is_gone_until_its_key_counts() {
    let mut county = found();
    let mut station = join(north());
    station.append(craft_registered("4-1", NORTH), START + DAY);
    sync(&mut station, &mut county, START + DAY);
    let mut thief = join(stranger());
    sync(&mut thief, &mut county, START + DAY);
    let first = thief.append(fault("leak"), START + DAY + MINUTE);
    thief.append(fault("tear"), START + DAY + 2 * MINUTE);
    sync(&mut thief, &mut county, START + 2 * DAY);
    assert_eq!(county.open_faults(), 2);

    let payload = wire::Dismissed {
        key: stranger().key().to_bytes(),
        from_seq: 1,
        from_event: first.to_bytes(),
    };
    // Nobody dismisses anything with a key that does not count itself.
    thief.append(event(Kind::Dismissed, &payload), START + 2 * DAY);
    sync(&mut thief, &mut county, START + 2 * DAY);
    assert_eq!(county.open_faults(), 2);
    sync(&mut station, &mut county, START + 2 * DAY);
    station.append(event(Kind::Dismissed, &payload), START + 3 * DAY);
    sync(&mut station, &mut county, START + 3 * DAY);
    assert_eq!(county.open_faults(), 0);
    let records = county.record_bytes();
    let mut county = county.reopen(working());
    assert_eq!(county.record_bytes(), records);
    assert_eq!(station.record_bytes(), records);
    county.append(crate::county::admit(&stranger(), NORTH), START + 4 * DAY);
    assert_eq!(county.open_faults(), 2);
}
