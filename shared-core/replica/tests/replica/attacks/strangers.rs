//! Keys that nobody admitted, a key that two devices write with, files of nobody.

use super::*;

#[test]
fn a_flood_of_strangers_heads_hides_nothing_of_the_device_s_own() {
    let (mut county, mut lead, _) = with_tablet(&[Role::Crew]);
    let mine = lead.append(reading(20_000), START + DAY);
    let flood = (30..110).map(|seed| {
        let key = key(seed);
        signed(&key, header(&key, None, Kind::Note), Vec::new())
    });
    keep(&mut lead, flood.collect(), START + DAY);
    let first = lead.append(reading(19_000), START + 2 * DAY);
    let seen = |placed: &Placed, id: &EventId| {
        let event = placed.replica.event(id).expect("rows are whole");
        event.expect("held").header().subjects[0].seen.clone()
    };
    assert_eq!(seen(&lead, &first).len(), 64);
    assert!(seen(&lead, &first).contains(&mine));
    // What was left out is a head still, and the next one has seen it.
    let second = lead.append(reading(18_000), START + 2 * DAY);
    let left = 80 + 1 - 64;
    assert_eq!(seen(&lead, &second).len(), left + 1);
    let third = lead.append(reading(18_500), START + 2 * DAY);
    assert_eq!(seen(&lead, &third), [second]);
    sync(&mut lead, &mut county, START + 3 * DAY);
    assert_eq!(county.record_bytes(), lead.record_bytes());
}

#[test]
fn a_copied_device_is_told_and_counts_for_nothing_from_there_on() {
    let (mut county, mut lead, _) = with_tablet(&[Role::Crew]);
    let leak = lead.append(fault("leak"), START + 2 * DAY);
    sync(&mut lead, &mut county, START + 2 * DAY);
    let mut copy = join(north());
    sync(&mut copy, &mut county, START + 2 * DAY);
    lead.append(sign_off(leak), START + 3 * DAY);
    copy.append(reading(20_000), START + 3 * DAY);
    assert_eq!(lead.replica.about().parted, None);
    sync(&mut lead, &mut county, START + 3 * DAY);
    assert_eq!(county.open_faults(), 0);
    sync(&mut copy, &mut county, START + 3 * DAY);
    sync(&mut lead, &mut county, START + 3 * DAY);
    let records = county.record_bytes();
    for placed in [&mut lead, &mut copy, &mut county] {
        assert_eq!(placed.open_faults(), 1, "its sign-off is in doubt");
        assert_eq!(placed.record_bytes(), records);
    }
    assert_eq!(lead.replica.about().parted, Some(3));
    assert_eq!(copy.replica.about().parted, Some(3));
    // The lead ends the key at one branch: that one counts again, everywhere.
    let signed_off = lead
        .events()
        .into_iter()
        .find(|event| event.header().kind == Kind::SignOff as i32);
    let last = signed_off.map(|event| (event.header().seq, event.id()));
    county.append(end(&north(), last), START + 4 * DAY);
    sync(&mut lead, &mut county, START + 4 * DAY);
    assert_eq!(county.open_faults(), 0);
    assert_eq!(lead.record_bytes(), county.record_bytes());
}

#[test]
fn what_was_seen_through_a_dismissed_event_stays_seen() {
    let (mut county, mut lead, _) = with_tablet(&[Role::Crew]);
    lead.append(reading(15_000), START + DAY);
    sync(&mut lead, &mut county, START + DAY);
    let mut thief = join(stranger());
    sync(&mut thief, &mut county, START + DAY);
    let bad = thief.append(fault("leak"), START + DAY + MINUTE);
    sync(&mut thief, &mut county, START + DAY + MINUTE);
    sync(&mut lead, &mut county, START + DAY + MINUTE);
    lead.append(reading(20_000), START + 2 * DAY);
    let payload = wire::Dismissed {
        key: stranger().key().to_bytes(),
        from_seq: 1,
        from_event: bad.to_bytes(),
    };
    let dismissed = NewEvent {
        subjects: vec![(NORTH, SubjectType::Station)],
        ..event(Kind::Dismissed, &payload)
    };
    lead.append(dismissed, START + 2 * DAY);
    // More of the dismissed tail comes later.
    thief.append(fault("tear"), START + 2 * DAY);
    sync(&mut lead, &mut county, START + 3 * DAY);
    sync(&mut thief, &mut county, START + 3 * DAY);
    sync(&mut lead, &mut county, START + 3 * DAY);
    for placed in [&mut lead, &mut county] {
        let mut records = placed.replica.records().values();
        let record = records.find(|one| !one.readings.is_empty()).expect("one");
        let readings = &record.readings.values().next().expect("one").standing;
        let pressures: Vec<i64> = readings.iter().map(|side| side.value.gauge_pa).collect();
        assert_eq!(pressures, [20_000]);
        assert!(record.unconfirmed.is_empty());
        assert!(record.faults.is_empty());
    }
    assert_eq!(lead.record_bytes(), county.record_bytes());
}

#[test]
fn a_flood_of_entries_from_nobody_stays_small_and_quick() {
    let (mut county, ..) = with_tablet(&[Role::Crew]);
    let thief = stranger();
    let mut last = None;
    let mut events = Vec::new();
    for _ in 0..30 {
        let answers = (0..4_000).map(|_| wire::Answer {
            line: "x".to_owned(),
            value: wire::AnswerValue::No as i32,
            ..wire::Answer::default()
        });
        let check = wire::Check {
            extent: wire::CheckExtent::Full as i32,
            answers: answers.collect(),
            ..wire::Check::default()
        };
        let header = header(&thief, last, Kind::Check);
        let event = signed(&thief, header, check.encode_to_vec());
        last = Some((event.header().seq, event.id()));
        events.push(event);
    }
    keep(&mut county, events, START + 2 * DAY);
    let record = county.replica.records().values().next().expect("one");
    assert_eq!(record.unconfirmed.len(), 30);
    assert_eq!(record.open_noes.len(), 30 * 256);
}

#[test]
fn a_carry_file_cannot_begin_where_no_log_ends() {
    let (mut county, ..) = with_tablet(&[Role::Crew]);
    let event = county.events().swap_remove(0).to_wire();
    for first in [u64::MAX, u64::MAX - 1, u64::MAX - 2] {
        let entry = CountyEntry {
            received_unix_ms: START,
            what: Some(EntryWhat::Event(event.clone())),
        };
        let run = CountyRun {
            log_id: vec![0xaa; 16].into(),
            first,
            entries: vec![entry; 2],
        };
        let start = CarryStart {
            county_id: county_id().to_bytes(),
            written_by: stranger().key().to_bytes(),
            unix_ms: START,
        };
        let mut file = MAGIC.to_vec();
        for what in [
            What::Start(start),
            What::CountyRun(run),
            What::End(sponson_proto::carry::v1::CarryEnd {
                checkpoint: None,
                events: 2,
            }),
        ] {
            file.extend(frame(&CarryRecord { what: Some(what) }));
        }
        let mut station = join(south());
        assert!(station.replica.carry_in(&file, START).is_err());
        assert!(county.replica.carry_in(&file, START).is_err());
    }
}
