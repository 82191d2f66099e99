//! Corrections tried as a back door: over random histories, somebody who may not sign off restates
//! or withdraws anything, and takes nothing away by it.

use proptest::prelude::*;
use sponson_readiness::event::{
    AirChanged, AirDirection, HoldKind, OutReason, Payload, Place, Repair, RepairHold, Severity,
    Stowage,
};
use sponson_readiness::ids::{EventId, FaultId, SubjectId};
use sponson_readiness::moment::Moment;
use sponson_readiness::record::{Placement, Record, Side, Sides};

use crate::desk::{
    BAG, CRAFT, Desk, MOTOR, Role, count, county, fault, fault_id, open, read, reading, subject,
};
use crate::histories::{acts, payload, play};
use sponson_readiness::event::ReadingMoment;

const SUBJECTS: [(SubjectId, sponson_readiness::event::SubjectKind); 3] = [CRAFT, BAG, MOTOR];

#[expect(
    clippy::wildcard_enum_match_arm,
    reason = "a kind without a better form stays as it is"
)]
/// Another payload of the same kind that would make the craft better, had its writer the say.
fn better(payload: &Payload, named: EventId) -> Payload {
    let all = vec![
        fault_id(named, 0),
        fault_id(named, 1),
        fault_id(named, FaultId::FIRST_ANSWER),
    ];
    if let Payload::Fault(faults) = payload {
        let minor = faults.iter().cloned().map(|mut fault| {
            fault.severity = Severity::Minor;
            fault
        });
        return Payload::Fault(minor.collect());
    }
    if let Payload::Check(check) = payload {
        let mut check = check.clone();
        check.answers.clear();
        check.faults.clear();
        check.counts = vec![count("flare", 99, None)];
        return Payload::Check(check);
    }
    match payload {
        Payload::SignOff { .. } => Payload::SignOff { closes: all },
        Payload::Returned { .. } => Payload::Returned { ends: vec![named] },
        Payload::Released { .. } => Payload::Released { assignment: named },
        Payload::WaiverGranted { missions, .. } => Payload::WaiverGranted {
            faults: all,
            missions: missions.clone(),
            until: Moment(i64::MAX),
        },
        Payload::OutOfService(_) => Payload::OutOfService(OutReason::Rest),
        Payload::Placed(_) => Payload::Placed(Place::Station(subject(11))),
        Payload::Repair(repair) => Payload::Repair(Repair {
            faults: all,
            glue_batch: String::new(),
            holds: vec![RepairHold {
                kind: HoldKind::Launch,
                duration_s: 0,
            }],
            ..repair.clone()
        }),
        Payload::AirChanged(air) => Payload::AirChanged(AirChanged {
            direction: AirDirection::LetOut,
            ..air.clone()
        }),
        Payload::SameAs { one, .. } => Payload::SameAs {
            one: *one,
            other: subject(77),
        },
        other => other.clone(),
    }
}

/// Whether every one of these sides stands among those.
fn stand<'a, T: PartialEq + 'a>(
    these: impl IntoIterator<Item = &'a Side<T>>,
    those: impl IntoIterator<Item = &'a Side<T>>,
) -> bool {
    let those: Vec<&Side<T>> = those.into_iter().collect();
    these.into_iter().all(|side| those.contains(&side))
}

fn kept<T: PartialEq>(before: &Sides<T>, after: &Sides<T>) -> bool {
    stand(before, after)
}

/// Where a thing was seen stays. As which part it serves there may have become known: somebody of
/// the crew who restates what a stranger said of a fitting vouches for it as if it were her own.
fn still_there(before: &Sides<Placement>, after: &Sides<Placement>) -> bool {
    before.iter().all(|was| {
        let (at, part) = (was.value.at, &was.value.part);
        after.iter().any(|is| {
            is.origin == was.origin
                && is.value.at == at
                && (part.is_none() || is.value.part == *part)
        })
    })
}

/// What a record says against a craft, or of where it is and what was seen, is all in another.
fn takes_nothing_away(before: &Record, after: &Record) -> Result<(), TestCaseError> {
    for (id, was) in &before.faults {
        let is = after.faults.get(id);
        prop_assert!(is.is_some_and(|is| is.fault == was.fault));
        prop_assert!(was.closed.is_some() || is.is_some_and(|is| is.closed.is_none()));
    }
    prop_assert!(
        before
            .out
            .iter()
            .all(|(id, side)| after.out.get(id) == Some(side))
    );
    prop_assert!(
        before
            .assigned
            .keys()
            .all(|id| after.assigned.contains_key(id))
    );
    prop_assert!(
        before
            .open_noes
            .keys()
            .all(|id| after.open_noes.contains_key(id))
    );
    prop_assert!(
        before
            .condemned
            .iter()
            .all(|it| after.condemned.contains(it))
    );
    prop_assert!(stand(&before.holds, &after.holds));
    prop_assert!(still_there(&before.place, &after.place) && kept(&before.number, &after.number));
    prop_assert!(kept(&before.stowage, &after.stowage));
    for (key, sides) in &before.counts {
        prop_assert!(after.counts.get(key).is_some_and(|it| kept(sides, it)));
    }
    for (key, sides) in &before.answers {
        prop_assert!(after.answers.get(key).is_some_and(|it| kept(sides, it)));
    }
    for (key, sides) in &before.inspections {
        prop_assert!(after.inspections.get(key).is_some_and(|it| kept(sides, it)));
    }
    for (key, sides) in &before.meters {
        prop_assert!(after.meters.get(key).is_some_and(|it| kept(sides, it)));
    }
    for (key, uses) in &before.used_up {
        prop_assert!(after.used_up.get(key).is_some_and(|it| stand(uses, it)));
    }
    for (part, was) in &before.readings {
        let is = after.readings.get(part);
        prop_assert!(is.is_some_and(|is| kept(&was.standing, &is.standing)));
        prop_assert!(is.is_some_and(|is| stand(&was.air_since, &is.air_since)));
    }
    Ok(())
}

/// Nothing is permitted or joined that was not before.
fn grants_nothing(before: &Record, after: &Record) -> Result<(), TestCaseError> {
    let granted = |(id, side)| before.waivers.get(id) == Some(side);
    prop_assert!(after.waivers.iter().all(granted));
    prop_assert!(after.same_as.is_subset(&before.same_as));
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_correction_by_somebody_who_may_not_sign_off_takes_nothing_away_and_grants_nothing(
        acts in acts(40),
        original in any::<prop::sample::Index>(),
        named in any::<prop::sample::Index>(),
        how in 0_u8..3,
        what in any::<u8>(),
    ) {
        let all = play(&acts);
        let ids: Vec<EventId> = all.held.keys().copied().collect();
        let original = ids[original.index(ids.len())];
        let said = &all.held[&original].payload;
        let restated = match how {
            0 => None,
            1 => Some(better(said, ids[named.index(ids.len())])),
            _ => Some(payload(&all, what, what)),
        };
        let before = SUBJECTS.map(|subject| all.record_of(subject));
        let mut crew = Desk::new(60, Role::Crew);
        let mut all = all;
        crew.meets(&mut all);
        crew.writes_about(&SUBJECTS, Payload::Correction {
            original,
            restated: restated.map(Box::new),
        });
        for (before, subject) in before.into_iter().zip(SUBJECTS) {
            let after = crew.record_of(subject);
            takes_nothing_away(&before, &after)?;
            grants_nothing(&before, &after)?;
        }
    }

    #[test]
    fn what_a_correction_adds_is_as_old_as_what_it_corrects(
        acts in acts(40),
        original in any::<prop::sample::Index>(),
        role in prop::sample::select(vec![Role::Crew, Role::Lead]),
    ) {
        let mut all = play(&acts);
        let ids: Vec<EventId> = all.held.keys().copied().collect();
        let original = ids[original.index(ids.len())];
        let of = all.held[&original].clone();
        let mut writer = Desk::new(60, role);
        writer.clock = i64::MAX;
        writer.meets(&mut all);
        writer.writes_about(&SUBJECTS, Payload::Correction {
            original,
            restated: Some(Box::new(better(&of.payload, original))),
        });
        for subject in SUBJECTS {
            let record = writer.record_of(subject);
            let checks = record.checks.values().flatten();
            let origins = checks.map(|side| &side.origin);
            let readings = record.readings.values().flat_map(|it| &it.recent);
            let origins = origins.chain(readings.map(|side| &side.origin));
            let holds = record.holds.iter().map(|side| &side.origin);
            for origin in origins.chain(holds) {
                prop_assert!(origin.interval.claimed < Moment(i64::MAX));
            }
        }
    }
}

#[test]
fn a_restated_reading_does_not_look_new() {
    for role in [Role::Crew, Role::Lead] {
        let (mut crew, _, _) = county();
        let original = crew.writes(read(vec![reading("tube-1", ReadingMoment::AsFound, 3)]));
        let mut writer = Desk::new(7, role);
        writer.clock = 900_000;
        writer.meets(&mut crew);
        let restated = read(vec![reading("tube-1", ReadingMoment::AsFound, 9)]);
        writer.writes(Payload::Correction {
            original,
            restated: Some(Box::new(restated)),
        });
        let standing = &writer.record().readings[&"tube-1".into()].standing;
        let claimed = standing.iter().map(|side| side.origin.interval.claimed);
        assert!(
            claimed.into_iter().all(|at| at == Moment(1_000)),
            "{role:?}"
        );
    }
}

#[test]
fn a_dispute_of_places_is_not_settled_by_correcting_one_side_into_the_other() {
    let (mut one, mut other, _) = county();
    let here = one.writes(Payload::Placed(Place::Station(subject(11))));
    other.writes(Payload::Placed(Place::Station(subject(12))));
    one.meets(&mut other);
    one.writes(Payload::Correction {
        original: here,
        restated: Some(Box::new(Payload::Placed(Place::Station(subject(12))))),
    });
    assert!(one.record().place.is_disputed());
}

#[test]
fn a_sign_off_does_not_close_what_a_correction_unknown_to_it_makes_of_the_fault() {
    let (mut crew, _, mut lead) = county();
    let event = crew.writes(Payload::Fault(vec![fault("tube-1"), fault("tube-3")]));
    crew.meets(&mut lead);
    let closes = vec![fault_id(event, 0), fault_id(event, 1)];
    let mut other = Desk::new(8, Role::Lead);
    other.meets(&mut lead);
    lead.writes(Payload::SignOff {
        closes: closes.clone(),
    });
    // Apart: what was called a leak of a tube is an open transom; the other one stays as it was.
    let worse = Payload::Fault(vec![fault("transom"), fault("tube-3")]);
    other.writes(Payload::Correction {
        original: event,
        restated: Some(Box::new(worse)),
    });
    lead.meets(&mut other);
    assert_eq!(open(&lead.record()), [fault_id(event, 0)]);
    lead.writes(Payload::SignOff { closes });
    assert!(open(&lead.record()).is_empty(), "seen as it stands");
}

#[test]
fn a_return_does_not_end_an_outage_whose_reason_was_corrected_apart() {
    let (mut crew, _, mut lead) = county();
    let out = crew.writes(Payload::OutOfService(OutReason::Rest));
    crew.meets(&mut lead);
    let mut other = Desk::new(8, Role::Lead);
    other.meets(&mut lead);
    lead.writes(Payload::Returned { ends: vec![out] });
    other.writes(Payload::Correction {
        original: out,
        restated: Some(Box::new(Payload::OutOfService(OutReason::Mechanical))),
    });
    lead.meets(&mut other);
    assert!(lead.record().out.contains_key(&out));
    lead.writes(Payload::Returned { ends: vec![out] });
    assert!(lead.record().out.is_empty());
}

#[test]
fn what_was_stowed_and_said_stays_when_crew_withdraws_it() {
    let (mut crew, _, _) = county();
    let check = sponson_readiness::event::Check {
        stowage: Some(Stowage::Rigged),
        ..sponson_readiness::event::Check::default()
    };
    let original = crew.writes(Payload::Check(check));
    let before = crew.record().stowage;
    crew.writes(Payload::Correction {
        original,
        restated: None,
    });
    assert_eq!(crew.record().stowage, before);
}
