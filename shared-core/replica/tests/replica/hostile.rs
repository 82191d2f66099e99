//! Keys that count for less than they say: what they write may add, and never relieves.

use bytes::Bytes;
use prost::Message as _;
use sponson_log::event::{CheckpointHeld, Clock, Header, SEEN_MAX, SignedEvent, Subject};
use sponson_log::ids::{EventId, LogId, SubjectId};
use sponson_log::sign::DeviceKey;
use sponson_made::signed;
use sponson_proto::event::v1::{self as wire, IfNotUnderstood, Kind, Role, SubjectType};
use sponson_proto::store::v1::ChunkSource;
use sponson_readiness::moment::Moment;
use sponson_readiness::record::Record;
use sponson_replica::NewEvent;

use crate::county::{
    CRAFT, DAY, MINUTE, NORTH, Placed, START, admit_as, county_id, craft_registered, end, event,
    fault, found, join, key, north, now, reading, sign, south, stranger, sync, working,
};

/// A key of the workshop: it signs faults off, and decides nothing that is the lead's.
fn workshop() -> DeviceKey {
    key(5)
}

/// A county that knows the craft, a synced station of the lead's and one of the workshop's.
fn county_and_workshop() -> (Placed, Placed, Placed) {
    let mut county = found();
    county.append(
        admit_as(&workshop(), NORTH, &[Role::Crew, Role::Maintenance]),
        START + 10 * MINUTE,
    );
    let mut lead = join(north());
    sync(&mut lead, &mut county, START + DAY);
    lead.append(craft_registered("4-1", NORTH), START + DAY);
    sync(&mut lead, &mut county, START + DAY);
    let mut other = join(workshop());
    sync(&mut other, &mut county, START + DAY);
    (county, lead, other)
}

fn correction(original: EventId, restated: Option<&impl prost::Message>) -> NewEvent {
    let kind = match restated {
        Some(_) => wire::CorrectionType::Restated,
        None => wire::CorrectionType::Withdrawn,
    };
    let payload = wire::Correction {
        original: original.to_bytes(),
        r#type: kind as i32,
        payload: restated.map_or_else(Bytes::new, |it| it.encode_to_vec().into()),
        kind_version: u32::from(restated.is_some()),
    };
    event(Kind::Correction, &payload)
}

fn record(placed: &mut Placed) -> Record {
    let id = sponson_readiness::ids::SubjectId::from_bytes(*CRAFT.as_bytes());
    placed.replica.records()[&id].clone()
}

#[test]
fn a_correction_needs_the_role_of_what_it_corrects() {
    let (mut county, mut lead, mut other) = county_and_workshop();
    let found = lead.append(fault("leak"), START + DAY + MINUTE);
    let waiver = |missions: &[&str], until: i64| wire::WaiverGranted {
        faults: vec![wire::FaultRef {
            event: found.to_bytes(),
            ordinal: 0,
        }],
        missions: missions.iter().map(|it| (*it).to_owned()).collect(),
        until_unix_ms: until,
    };
    let granted = waiver(&["lake"], START + 3 * DAY);
    let granted = lead.append(
        event(Kind::WaiverGranted, &granted),
        START + DAY + 2 * MINUTE,
    );
    let condemned = event(Kind::Condemned, &wire::Condemned::default());
    let condemned = lead.append(condemned, START + DAY + 3 * MINUTE);
    sync(&mut lead, &mut county, START + 2 * DAY);
    sync(&mut other, &mut county, START + 2 * DAY);
    let wider = waiver(&["lake", "swiftwater"], START + 300 * DAY);
    other.append(correction(granted, Some(&wider)), START + 2 * DAY);
    other.append(correction(condemned, None::<&wire::Note>), START + 2 * DAY);
    // Its own kind of work it may correct.
    other.append(correction(found, None::<&wire::Note>), START + 2 * DAY);
    sync(&mut other, &mut county, START + 2 * DAY);

    let record = record(&mut county);
    assert_eq!(record.condemned.len(), 1);
    let untils: Vec<Moment> = record.waivers.values().map(|it| it.value.until).collect();
    assert_eq!(untils, [Moment(START + 3 * DAY)]);
    assert!(record.faults.is_empty());
    assert_eq!(record.unconfirmed.len(), 2);
}

#[test]
fn a_correction_about_other_subjects_replaces_nothing() {
    let (mut county, mut lead, _) = county_and_workshop();
    let id = lead.append(fault("leak"), START + DAY);
    let mut other = correction(id, None::<&wire::Note>);
    other.subjects.push((NORTH, SubjectType::Station));
    let refused = lead.replica.append(other, &now(START + DAY));
    insta::assert_snapshot!(refused.expect_err("it is about more"), @"subjects is other than those of the original; a correction names the same");
    sync(&mut lead, &mut county, START + DAY);
    // A device that does not care.
    let mut forged = Forged::after(south(), &county);
    let payload = wire::Correction {
        original: id.to_bytes(),
        r#type: wire::CorrectionType::Withdrawn as i32,
        ..wire::Correction::default()
    };
    let subjects = [(CRAFT, SubjectType::Craft), (NORTH, SubjectType::Station)];
    let event = forged.write(Kind::Correction, &payload, &subjects, (START + DAY, None));
    let kept = county
        .replica
        .keep(vec![event], ChunkSource::Station, START + DAY);
    assert_eq!(kept.expect("the store is whole").new.len(), 1);
    assert_eq!(county.open_faults(), 1);
}

#[test]
fn what_was_seen_through_a_dismissed_event_stays_seen() {
    let (mut county, mut lead, _) = county_and_workshop();
    lead.append(reading(12_000), START + DAY + MINUTE);
    sync(&mut lead, &mut county, START + DAY);
    let mut thief = join(stranger());
    sync(&mut thief, &mut county, START + DAY);
    let first = thief.append(fault("tear"), START + DAY + 2 * MINUTE);
    sync(&mut thief, &mut county, START + DAY);
    sync(&mut lead, &mut county, START + DAY);
    lead.append(reading(20_000), START + 2 * DAY);
    let standing = |record: &Record| {
        let part = sponson_readiness::ids::PartId("tube-1".to_owned());
        let sides = record.readings[&part].standing.iter();
        sides.map(|side| side.value.gauge_pa).collect::<Vec<_>>()
    };
    assert_eq!(standing(&record(&mut lead)), [20_000]);

    let payload = wire::Dismissed {
        key: stranger().key().to_bytes(),
        from_seq: 1,
        from_event: first.to_bytes(),
    };
    lead.append(event(Kind::Dismissed, &payload), START + 2 * DAY);
    sync(&mut lead, &mut county, START + 2 * DAY);
    let record = record(&mut county);
    assert!(record.unconfirmed.is_empty());
    assert!(record.faults.is_empty());
    assert_eq!(standing(&record), [20_000]);
}

/// What a key that was lost writes by itself, whatever its device shows.
struct Forged {
    key: DeviceKey,
    last: Option<EventId>,
    seq: u64,
}

impl Forged {
    fn after(key: DeviceKey, placed: &Placed) -> Self {
        let chain = placed.replica.chains().get(&key.key());
        let last = chain.and_then(|chain| chain.heads().first_key_value());
        Self {
            last: last.map(|it| *it.0),
            seq: last.map_or(0, |it| *it.1),
            key,
        }
    }

    fn write(
        &mut self,
        kind: Kind,
        payload: &impl prost::Message,
        subjects: &[(SubjectId, SubjectType)],
        times: (i64, Option<i64>),
    ) -> SignedEvent {
        let plain = sign(&self.key, 1, None, kind, payload.encode_to_vec());
        self.seq += 1;
        let subjects = subjects.iter().map(|(id, kind)| Subject {
            id: *id,
            kind: *kind,
            seen: Vec::new(),
        });
        let header = Header {
            seq: self.seq,
            previous: self.last,
            subjects: subjects.collect(),
            clock: Clock {
                unix_ms: times.0,
                ..plain.header().clock
            },
            checkpoint: times.1.map(|unix_ms| CheckpointHeld {
                log: LogId::from_bytes([0xaa; 16]),
                size: 1,
                unix_ms,
            }),
            county: county_id(),
            if_not_understood: IfNotUnderstood::Hold,
            ..plain.header().clone()
        };
        let event = signed::sign(header, plain.payload().clone(), &self.key);
        self.last = Some(event.id());
        event
    }
}

#[test]
fn many_heads_never_make_an_event_too_long_to_record() {
    let (mut county, mut lead, _) = county_and_workshop();
    let mut subjects = vec![(CRAFT, SubjectType::Craft)];
    for bag in 1..60 {
        subjects.push((SubjectId::from_bytes([bag; 16]), SubjectType::Bag));
    }
    let mut forged = Forged::after(south(), &county);
    let flood = (0..SEEN_MAX + 6).map(|_| {
        let note = wire::Note {};
        forged.write(Kind::Note, &note, &subjects, (START + DAY, None))
    });
    let flood: Vec<SignedEvent> = flood.collect();
    let kept = county
        .replica
        .keep(flood, ChunkSource::Station, START + DAY);
    assert_eq!(kept.expect("the store is whole").refused, []);
    county.append(end(&south(), None), START + DAY + MINUTE);
    sync(&mut lead, &mut county, START + 2 * DAY);

    let before = lead.append(reading(20_000), START + 2 * DAY);
    let mut check = reading(21_000);
    check.subjects = subjects;
    let id = lead.append(check, START + 2 * DAY + MINUTE);
    let appended = lead.replica.event(&id).expect("its row is whole");
    let header = appended.expect("it is held").header().clone();
    // Of its own work it has seen the newest, whatever else lies about.
    assert_eq!(header.subjects[0].seen[0], before);
    assert_eq!(header.subjects.len(), 60);
    assert_eq!(
        record(&mut lead)
            .readings
            .values()
            .next()
            .map(|it| it.standing.0.len()),
        Some(1)
    );
}

#[test]
fn who_writes_with_an_ended_key_is_not_its_station_being_heard() {
    let mut county = found();
    let mut station = join(north());
    sync(&mut station, &mut county, START + DAY);
    let last = station.append(craft_registered("4-1", NORTH), START + DAY);
    sync(&mut station, &mut county, START + DAY);
    county.append(end(&north(), Some((1, last))), START + 2 * DAY);
    let mut forged = Forged::after(north(), &county);
    let later = forged.write(
        Kind::Fault,
        &wire::Fault::decode(fault("leak").payload.as_slice()).expect("a fault"),
        &[(CRAFT, SubjectType::Craft)],
        (START + 9 * DAY, Some(START + 2 * DAY)),
    );
    let kept = county
        .replica
        .keep(vec![later], ChunkSource::Station, START + 9 * DAY);
    assert_eq!(kept.expect("the store is whole").new.len(), 1);
    let stations = county.replica.stations(Moment(START + 10 * DAY));
    let id = sponson_readiness::ids::SubjectId::from_bytes(*NORTH.as_bytes());
    assert_eq!(stations[&id].last_heard, Some(Moment(START + DAY)));
}

#[test]
fn a_fork_after_the_key_ended_is_no_word_of_the_station() {
    // A copied store: the same seq signed twice.
    let mut county = found();
    let mut station = join(north());
    sync(&mut station, &mut county, START + DAY);
    station.append(craft_registered("4-1", NORTH), START + DAY);
    sync(&mut station, &mut county, START + DAY);
    let mut one = Forged::after(north(), &county);
    let mut two = Forged::after(north(), &county);
    let craft = [(CRAFT, SubjectType::Craft)];
    let events = vec![
        one.write(Kind::Note, &wire::Note {}, &craft, (START + 5 * DAY, None)),
        two.write(Kind::Note, &wire::Note {}, &craft, (START + 6 * DAY, None)),
    ];
    let kept = county
        .replica
        .keep(events, ChunkSource::Station, START + 9 * DAY);
    assert_eq!(kept.expect("the store is whole").new.len(), 2);
    let stations = county.replica.stations(Moment(START + 10 * DAY));
    let id = sponson_readiness::ids::SubjectId::from_bytes(*NORTH.as_bytes());
    assert_eq!(stations[&id].last_heard, Some(Moment(START + DAY)));
}

#[test]
fn an_end_that_names_another_place_reads_the_same_before_and_after_opening() {
    let mut county = found();
    let mut station = join(north());
    sync(&mut station, &mut county, START + DAY);
    let last = station.append(craft_registered("4-1", NORTH), START + DAY);
    sync(&mut station, &mut county, START + DAY);
    // A slip: the event stands at 1, not at 2. Then the event at 2 arrives.
    county.append(end(&north(), Some((2, last))), START + 2 * DAY);
    county.record_bytes();
    station.append(reading(20_000), START + 3 * DAY);
    sync(&mut station, &mut county, START + 3 * DAY);
    let records = county.record_bytes();
    assert_eq!(county.reopen(working()).record_bytes(), records);
}

#[test]
fn no_clock_makes_a_check_fresh_for_ever_or_a_cure_over_at_once() {
    let (mut county, _, _) = county_and_workshop();
    let mut forged = Forged::after(south(), &county);
    let craft = [(CRAFT, SubjectType::Craft)];
    let check = wire::Check::decode(reading(20_000).payload.as_slice()).expect("a check");
    let cases = [
        (START + DAY, Some(i64::MAX)),
        (i64::MAX, Some(i64::MAX)),
        (i64::MAX, Some(START)),
        (i64::MAX, None),
        (i64::MIN, None),
        (0, None),
        (i64::MIN, Some(i64::MIN)),
        (i64::MIN, Some(i64::MAX)),
    ];
    let received = START + 2 * DAY;
    let now = Moment(START + 50 * DAY);
    for times in cases {
        let event = forged.write(Kind::Check, &check, &craft, times);
        let id = event.id();
        let kept = county
            .replica
            .keep(vec![event], ChunkSource::Station, received);
        assert_eq!(kept.expect("the store is whole").new, [id]);
        let record = record(&mut county);
        let recent = &record.readings.values().next().expect("a reading").recent;
        let newest = recent
            .iter()
            .find(|it| it.origin.event.as_bytes() == id.as_bytes());
        let interval = newest.expect("it is kept").origin.interval;
        assert!(interval.earliest(now) <= Moment(received), "{times:?}");
        assert!(interval.latest(now) >= Moment(START), "{times:?}");
        for asked in [START + 50 * DAY, i64::MAX, i64::MIN] {
            let answer = county.replica.ask(&crate::asking::question(asked));
            assert_eq!(answer.craft.len(), 1, "{times:?} asked at {asked}");
        }
    }
}
