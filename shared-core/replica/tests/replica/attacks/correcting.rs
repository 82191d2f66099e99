//! Corrections and sign-offs that reach for more than their writer may.

use sponson_readiness::event::Severity;

use super::*;

#[test]
fn a_correction_needs_the_role_of_what_it_corrects() {
    for roles in [&[Role::Crew][..], &[Role::Crew, Role::Maintenance]] {
        let (mut county, mut lead, mut tablet) = with_tablet(roles);
        let leak = lead.append(fault("leak"), START + 2 * DAY);
        let tear = lead.append(fault("tear"), START + 2 * DAY);
        let waiver = |faults: &[EventId]| wire::WaiverGranted {
            faults: faults
                .iter()
                .map(|fault| wire::FaultRef {
                    event: fault.to_bytes(),
                    ordinal: 0,
                })
                .collect(),
            missions: vec!["flood".to_owned()],
            until_unix_ms: START + YEAR,
        };
        let condemned = lead.append(
            event(Kind::Condemned, &wire::Condemned::default()),
            START + 2 * DAY,
        );
        let granted = lead.append(
            event(Kind::WaiverGranted, &waiver(&[leak])),
            START + 2 * DAY,
        );
        sync(&mut lead, &mut county, START + 2 * DAY);
        sync(&mut tablet, &mut county, START + 2 * DAY);
        tablet.append(correction(condemned, None), START + 3 * DAY);
        let wider = waiver(&[leak, tear]).encode_to_vec();
        tablet.append(correction(granted, Some(wider)), START + 3 * DAY);
        sync(&mut tablet, &mut county, START + 3 * DAY);
        assert!(rules(&mut county, START + 4 * DAY).contains(&Rule::Condemned));
        let record = county.replica.records().values().next().expect("one");
        let waived: Vec<usize> = record
            .waivers
            .values()
            .map(|it| it.value.faults.len())
            .collect();
        assert_eq!(waived, [1]);
        assert_eq!(record.unconfirmed.len(), 2);
    }
}

#[test]
fn crews_take_nothing_back_by_correcting() {
    let (mut county, mut lead, mut crew) = with_tablet(&[Role::Crew]);
    let no = wire::Check {
        extent: wire::CheckExtent::Full as i32,
        answers: vec![wire::Answer {
            line: "drain".to_owned(),
            value: wire::AnswerValue::No as i32,
            ..wire::Answer::default()
        }],
        ..wire::Check::default()
    };
    let leak = crew.append(fault("leak"), START + 2 * DAY);
    let tear = crew.append(fault("tear"), START + 2 * DAY);
    let checked = crew.append(event(Kind::Check, &no), START + 2 * DAY);
    sync(&mut crew, &mut county, START + 2 * DAY);
    sync(&mut lead, &mut county, START + 2 * DAY);
    let off = lead.append(sign_off(leak), START + 2 * DAY);
    sync(&mut lead, &mut county, START + 3 * DAY);
    sync(&mut crew, &mut county, START + 3 * DAY);
    let mut yes = no.clone();
    yes.answers[0].value = wire::AnswerValue::Yes as i32;
    let right = crew.append(
        correction(checked, Some(yes.encode_to_vec())),
        START + 4 * DAY,
    );
    crew.append(correction(tear, None), START + 4 * DAY);
    crew.append(
        correction(off, Some(sign_off(tear).payload)),
        START + 4 * DAY,
    );
    // Of a correction, signed past the device's own door, and with another kind's payload.
    let head = crew.replica.chains().get(&key(5).key()).expect("it wrote");
    let last = head.heads().iter().next().map(|(id, seq)| (*seq, *id));
    let of_correction = signed(
        &key(5),
        header(&key(5), last, Kind::Correction),
        correction(right, None).payload,
    );
    let other_kind = signed(
        &key(5),
        header(
            &key(5),
            Some((of_correction.header().seq, of_correction.id())),
            Kind::Correction,
        ),
        correction(leak, Some(sign_off(tear).payload)).payload,
    );
    keep(&mut crew, vec![of_correction, other_kind], START + 4 * DAY);
    sync(&mut crew, &mut county, START + 4 * DAY);
    let record = county.replica.records().values().next().expect("one");
    assert_eq!(record.open_noes.len(), 1);
    let open = |fault: EventId| {
        let mut faults = record.faults.iter();
        let found = faults.find(|(id, _)| id.event.as_bytes() == fault.as_bytes());
        found.expect("still known").1.closed.is_none()
    };
    assert!(open(tear));
    assert!(
        !open(leak),
        "only a trusted role for sign-offs could doubt one"
    );
    assert!(!record.unconfirmed.is_empty());
    assert_eq!(record.not_understood.len(), 2);
}

#[test]
fn a_sign_off_reaches_no_other_craft() {
    let (mut county, mut lead, _) = with_tablet(&[Role::Crew]);
    let leak = lead.append(fault("leak"), START + 2 * DAY);
    let other = SubjectId::from_bytes([0xc9; 16]);
    let payload = wire::SignOff {
        closes: vec![
            wire::FaultRef {
                event: leak.to_bytes(),
                ordinal: 0,
            };
            3
        ],
    };
    let elsewhere = NewEvent {
        subjects: vec![(other, SubjectType::Craft)],
        ..event(Kind::SignOff, &payload)
    };
    lead.append(elsewhere, START + 2 * DAY);
    assert_eq!(lead.open_faults(), 1);
    lead.append(event(Kind::SignOff, &payload), START + 2 * DAY);
    assert_eq!(lead.open_faults(), 0);
    sync(&mut lead, &mut county, START + 3 * DAY);
    assert_eq!(county.open_faults(), 0);
}

fn milder() -> Vec<u8> {
    let payload = wire::Fault {
        faults: vec![wire::FaultFound {
            part: "tube-2".to_owned(),
            class: "leak".to_owned(),
            severity: wire::Severity::Minor as i32,
            ..wire::FaultFound::default()
        }],
    };
    payload.encode_to_vec()
}

/// Severities of the faults that are open.
fn severities(placed: &mut Placed) -> Vec<Severity> {
    let record = placed.replica.records().values().next().expect("one");
    let open = record.faults.values().filter(|it| it.closed.is_none());
    let mut open: Vec<Severity> = open.map(|it| it.fault.severity).collect();
    open.sort_unstable();
    open
}

#[test]
fn a_role_given_later_and_a_key_that_ended_lend_a_correction_no_power() {
    let (mut county, mut lead, mut tablet) = with_tablet(&[Role::Crew]);
    let leak = lead.append(fault("leak"), START + 2 * DAY);
    sync(&mut lead, &mut county, START + 2 * DAY);
    sync(&mut tablet, &mut county, START + 2 * DAY);
    let first = tablet.append(correction(leak, Some(milder())), START + 3 * DAY);
    sync(&mut tablet, &mut county, START + 3 * DAY);
    let both = [Severity::Major, Severity::Minor];
    assert_eq!(severities(&mut county), both, "crew puts it beside");
    let given = wire::RoleGiven {
        key: key(5).key().to_bytes(),
        roles: vec![Role::Crew as i32, Role::Maintenance as i32],
        from_seq: 2,
        after: first.to_bytes(),
    };
    let given = NewEvent {
        subjects: vec![(SOUTH, SubjectType::Station)],
        ..event(Kind::RoleGiven, &given)
    };
    county.append(given, START + 4 * DAY);
    assert_eq!(
        severities(&mut county),
        both,
        "not for what it signed before"
    );
    sync(&mut tablet, &mut county, START + 4 * DAY);
    tablet.append(correction(leak, Some(milder())), START + 5 * DAY);
    sync(&mut tablet, &mut county, START + 5 * DAY);
    assert_eq!(severities(&mut county), [Severity::Minor]);
    county.append(end(&key(5), Some((1, first))), START + 6 * DAY);
    sync(&mut lead, &mut county, START + 6 * DAY);
    for placed in [&mut county, &mut lead] {
        let open = severities(placed);
        assert!(
            open.contains(&Severity::Major),
            "the key had ended: {open:?}"
        );
    }
}

#[test]
fn a_corrected_inspection_is_as_old_as_it_was_and_a_plate_is_the_lead_s() {
    let (mut county, mut lead, mut tablet) = with_tablet(&[Role::Crew, Role::Maintenance]);
    let passed = wire::InspectionDone {
        inspection: "hold-test".to_owned(),
        result: wire::InspectionResult::Passed as i32,
        ..wire::InspectionDone::default()
    };
    let done = lead.append(event(Kind::InspectionDone, &passed), START + 2 * DAY);
    sync(&mut lead, &mut county, START + 2 * DAY);
    sync(&mut tablet, &mut county, START + 2 * DAY);
    let late = START + 3 * YEAR;
    let overdue = rules(&mut county, late);
    assert!(overdue.contains(&Rule::InspectionOverdue), "{overdue:?}");
    let registered = lead
        .events()
        .into_iter()
        .find(|event| event.header().kind == Kind::CraftRegistered as i32);
    let registered = registered.expect("the craft was registered");
    let mut plate = wire::CraftRegistered::decode(registered.payload().clone()).expect("its kind");
    plate.plate = Some(wire::CapacityPlate {
        persons: Some(60),
        ..wire::CapacityPlate::default()
    });
    let before = seats(&mut county, late);
    tablet.append(correction(done, Some(passed.encode_to_vec())), late);
    tablet.append(
        correction(registered.id(), Some(plate.encode_to_vec())),
        late,
    );
    sync(&mut tablet, &mut county, late);
    let rules = rules(&mut county, late);
    assert!(rules.contains(&Rule::InspectionOverdue), "{rules:?}");
    assert_eq!(seats(&mut county, late), before);
}

fn seats(placed: &mut Placed, unix_ms: i64) -> Option<u32> {
    let answer = placed.replica.ask(&question(unix_ms));
    answer.craft[0].load.as_ref().map(|load| load.seats)
}

#[test]
fn a_correction_of_what_is_not_trusted_relieves_only_by_somebody_who_may() {
    let (mut county, mut lead, mut tablet) = with_tablet(&[Role::Crew]);
    let mut alone = join(stranger());
    let everything = county.events();
    keep(&mut alone, everything, START + DAY);
    let doubtful = alone.append(fault("leak"), START + 2 * DAY);
    let events = alone.events();
    county
        .replica
        .keep(events, ChunkSource::Station, START + 2 * DAY)
        .expect("the store is whole");
    sync(&mut tablet, &mut county, START + 2 * DAY);
    tablet.append(correction(doubtful, None), START + 3 * DAY);
    sync(&mut tablet, &mut county, START + 3 * DAY);
    let unconfirmed = |placed: &mut Placed| {
        let record = placed.replica.records().values().next().expect("one");
        record.unconfirmed.len()
    };
    assert_eq!(unconfirmed(&mut county), 1, "crew takes nothing back");
    sync(&mut lead, &mut county, START + 3 * DAY);
    lead.append(correction(doubtful, None), START + 4 * DAY);
    sync(&mut lead, &mut county, START + 4 * DAY);
    assert_eq!(unconfirmed(&mut county), 0);
}

/// Found by the simulation: whoever asked about a moment that is past did not see it.
#[test]
fn a_correction_of_something_else_leaves_its_doubt_at_a_past_moment_too() {
    let (mut county, mut lead, _) = with_tablet(&[Role::Crew]);
    let other = NewEvent {
        subjects: vec![(SubjectId::from_bytes([0xc2; 16]), SubjectType::Craft)],
        ..fault("leak")
    };
    let original = lead.append(other, START + 2 * DAY);
    sync(&mut lead, &mut county, START + 2 * DAY);
    let payload = wire::Correction {
        original: original.to_bytes(),
        r#type: wire::CorrectionType::Withdrawn as i32,
        kind_version: 1,
        ..wire::Correction::default()
    };
    let header = header(&stranger(), None, Kind::Correction);
    let lie = signed(&stranger(), header, payload.encode_to_vec());
    keep(&mut county, vec![lie], START + 3 * DAY);
    for as_of in [START + 4 * DAY, START + 5 * DAY] {
        let asked = sponson_readiness::engine::Question {
            as_of: Moment(as_of),
            ..question(START + 5 * DAY)
        };
        let answer = county.replica.ask(&asked);
        let id = sponson_readiness::ids::SubjectId::from_bytes(*CRAFT.as_bytes());
        let craft = answer.craft.iter().find(|it| it.id == id).expect("known");
        let doubted = craft.why.iter().any(|it| it.rule == Rule::Unconfirmed);
        assert!(doubted, "{as_of}");
    }
}
