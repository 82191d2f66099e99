//! What a history keeps of what desks wrote: each rule, and that it agrees with the record.

use proptest::prelude::*;
use sponson_readiness::event::{
    AnswerValue, Check, CountyHold, CraftRegistered, CylinderMarks, Event, FaultFound, GearKind,
    GearRegistered, LeadAction, LeadDecision, Meter, OutReason, Payload, Place, Plate, PumpMarks,
    Repair, SubjectKind,
};
use sponson_readiness::history::{FaultPast, History};
use sponson_readiness::ids::{EventId, FaultId, SubjectId};
use sponson_readiness::moment::Moment;

use crate::desk::{
    BAG, CRAFT, Desk, MOTOR, OTHER_CRAFT, Role, answered, count, counted, county, fault, fault_id,
    open, subject,
};
use crate::histories::{acts, play};

const COUNTY: (SubjectId, SubjectKind) = (subject(40), SubjectKind::County);
const SHELF: (SubjectId, SubjectKind) = (subject(41), SubjectKind::Shelf);
const NORTH: SubjectId = subject(11);
const SOUTH: SubjectId = subject(12);
const LATER: Moment = Moment(1_000_000);

fn looked_back(desk: &Desk) -> History {
    History::of(&desk.events(), LATER, LATER)
}

/// The faults of a history as part, whether over, and how often repaired.
fn faults(history: &History) -> Vec<(&str, bool, usize)> {
    let told = |fault: &'_ FaultPast| (fault.over.is_some(), fault.repairs.len());
    let faults = history.faults().into_iter();
    faults
        .map(|fault| (fault.part.as_str(), told(fault).0, told(fault).1))
        .collect()
}

fn craft(number: &str, station: SubjectId) -> Payload {
    Payload::CraftRegistered(CraftRegistered {
        number: number.to_owned(),
        model: "inflatable-14".into(),
        station,
        plate: Plate::default(),
        fabric: "csm".to_owned(),
        batch: "L7".to_owned(),
    })
}

fn motor() -> Payload {
    Payload::GearRegistered(GearRegistered {
        number: "M 1".to_owned(),
        kind: GearKind::Motor,
        model: "m-30".to_owned(),
        station: NORTH,
        mass_g: None,
        power_w: None,
        connector: String::new(),
        batch: "K2".to_owned(),
        made: None,
        cylinder: Box::new(CylinderMarks::default()),
        pump: PumpMarks::default(),
    })
}

fn repair(faults: Vec<FaultId>) -> Payload {
    Payload::Repair(Repair {
        faults,
        part: "tube-1".into(),
        method: "patch-two-part".to_owned(),
        glue_batch: "G 44".to_owned(),
        holds: Vec::new(),
    })
}

fn instead(original: EventId, restated: Option<Payload>) -> Payload {
    Payload::Correction {
        original,
        restated: restated.map(Box::new),
    }
}

fn fitted(craft: SubjectId) -> Payload {
    Payload::Fitted {
        gear: MOTOR.0,
        craft,
        part: "motor".into(),
    }
}

fn meter(engine_s: u64) -> Payload {
    Payload::Check(Check {
        meters: vec![Meter {
            subject: Some(MOTOR.0),
            engine_s,
        }],
        ..Check::default()
    })
}

#[test]
fn what_the_lead_restates_stands_at_the_place_and_time_of_its_original() {
    let (_, _, mut lead) = county();
    let found = lead.writes(Payload::Fault(vec![fault("tube-1")]));
    lead.clock = 9_000;
    let other = Payload::Fault(vec![fault("transom")]);
    lead.writes(instead(found, Some(other)));
    let history = looked_back(&lead);
    assert_eq!(faults(&history), [("transom", false, 0)]);
    let only = history.faults()[0];
    assert_eq!((only.id, only.found), (fault_id(found, 0), Moment(1_000)));
}

#[test]
fn what_was_withdrawn_is_out_and_counted() {
    let (_, _, mut lead) = county();
    let found = lead.writes(Payload::Fault(vec![fault("tube-1")]));
    lead.writes(Payload::Fault(vec![fault("keel")]));
    lead.writes(instead(found, None));
    let history = looked_back(&lead);
    assert_eq!(faults(&history), [("keel", false, 0)]);
    assert_eq!(history.left_out.count(), 1);
    assert!(history.left_out.withdrawn.contains(&found));
}

#[test]
fn a_correction_by_who_may_not_replace_makes_no_second_fault() {
    let (mut crew, ..) = county();
    let found = crew.writes(Payload::Fault(vec![fault("tube-1")]));
    let beside = crew.writes(instead(found, Some(Payload::Fault(vec![fault("tube-2")]))));
    let history = looked_back(&crew);
    assert_eq!(faults(&history), [("tube-1", false, 0)]);
    assert!(history.left_out.beside.contains(&beside));
}

#[test]
fn what_nobody_vouches_for_is_shown_as_such_and_relieves_nothing() {
    let (mut crew, ..) = county();
    let mut stranger = Desk::new(7, Role::Stranger);
    let found = crew.writes(Payload::Fault(vec![fault("tube-1")]));
    stranger.meets(&mut crew);
    stranger.clock = 2_000;
    stranger.writes(Payload::Fault(vec![fault("keel")]));
    stranger.writes(Payload::SignOff {
        closes: vec![fault_id(found, 0)],
    });
    stranger.writes(repair(vec![fault_id(found, 0)]));
    stranger.writes(Payload::Condemned);
    stranger.writes(Payload::LeadDecision(LeadDecision {
        action: Some(LeadAction::Watch),
        ..LeadDecision::default()
    }));
    let history = looked_back(&stranger);
    assert_eq!(faults(&history), [("tube-1", false, 0), ("keel", false, 0)]);
    let confirmed = history.faults().into_iter().map(|it| it.confirmed);
    assert_eq!(confirmed.collect::<Vec<_>>(), [true, false]);
    assert_eq!(history.left_out.unconfirmed.len(), 5);
    assert_eq!(history.left_out.count(), 5);
    assert_eq!(history.crafts[&CRAFT.0].unvouched.len(), 5);
    assert_eq!(history.crafts[&CRAFT.0].ended, None);
    assert!(history.decisions.is_empty());
}

#[test]
fn a_repair_is_joined_to_what_it_names_and_a_sign_off_closes_that_alone() {
    let (mut crew, _, mut lead) = county();
    let found = crew.writes(Payload::Fault(vec![fault("tube-1"), fault("keel")]));
    lead.meets(&mut crew);
    lead.clock = 5_000;
    let mended = lead.writes(repair(vec![fault_id(found, 0)]));
    lead.clock = 6_000;
    let over = lead.writes(Payload::SignOff {
        closes: vec![fault_id(found, 0)],
    });
    let history = looked_back(&lead);
    assert_eq!(faults(&history), [("tube-1", true, 1), ("keel", false, 0)]);
    let craft = &history.crafts[&CRAFT.0];
    assert_eq!(craft.faults[0].over, Some((Moment(6_000), over)));
    let done = &craft.repairs[0];
    assert_eq!((done.event, done.at), (mended, Moment(5_000)));
    assert_eq!(done.glue_batch, "G 44");
    assert_eq!(craft.sign_offs[0].closes, [fault_id(found, 0)]);
}

#[test]
fn an_answer_no_is_over_once_it_is_signed_off() {
    let (mut crew, _, mut lead) = county();
    let said = crew.writes(answered("lanyard", AnswerValue::No));
    let id = fault_id(said, FaultId::FIRST_ANSWER);
    lead.meets(&mut crew);
    assert_eq!(looked_back(&lead).crafts[&CRAFT.0].noes[0].over, None);
    let over = lead.writes(Payload::SignOff { closes: vec![id] });
    let history = looked_back(&lead);
    let no = &history.crafts[&CRAFT.0].noes[0];
    assert_eq!((no.id, no.over), (id, Some((Moment(1_000), over))));
}

#[test]
fn a_fault_of_a_motor_goes_with_it_from_craft_to_craft() {
    let (_, _, mut lead) = county();
    lead.writes_about(&[CRAFT], craft("B 1", NORTH));
    lead.writes_about(&[OTHER_CRAFT], craft("B 2", SOUTH));
    lead.writes_about(&[MOTOR], motor());
    lead.clock = 2_000;
    lead.writes_about(&[MOTOR, CRAFT], fitted(CRAFT.0));
    lead.clock = 3_000;
    lead.writes_about(&[CRAFT, MOTOR], meter(3_600));
    lead.clock = 4_000;
    let on_motor = FaultFound {
        gear: Some(MOTOR.0),
        ..fault("motor")
    };
    let found = lead.writes_about(&[CRAFT, MOTOR], Payload::Fault(vec![on_motor]));
    lead.clock = 5_000;
    lead.writes_about(&[MOTOR, OTHER_CRAFT], fitted(OTHER_CRAFT.0));
    lead.writes_about(&[OTHER_CRAFT, MOTOR], meter(7_200));
    lead.clock = 6_000;
    // Signed off where the motor alone is named.
    let over = lead.writes_about(
        &[MOTOR],
        Payload::SignOff {
            closes: vec![fault_id(found, 0)],
        },
    );
    let history = looked_back(&lead);
    let gear = &history.gear[&MOTOR.0];
    assert_eq!(
        gear.on.iter().map(|it| it.1).collect::<Vec<_>>(),
        [None, Some(CRAFT.0), Some(OTHER_CRAFT.0)]
    );
    assert_eq!(history.faults().len(), 1);
    for fault in [&gear.faults[0], &history.crafts[&CRAFT.0].faults[0]] {
        assert_eq!((fault.craft, fault.gear), (Some(CRAFT.0), Some(MOTOR.0)));
        assert_eq!(fault.engine_s, Some(3_600));
        assert_eq!(fault.station, Some(NORTH));
        assert_eq!(fault.over, Some((Moment(6_000), over)));
    }
    let served = |craft: SubjectId| {
        let fitted = &history.crafts[&craft].fitted[0];
        (fitted.from, fitted.until)
    };
    assert_eq!(served(CRAFT.0), (Moment(2_000), Some(Moment(5_000))));
    assert_eq!(served(OTHER_CRAFT.0), (Moment(5_000), None));
    assert_eq!(gear.meters.len(), 2);
}

#[test]
fn a_fault_of_the_craft_has_the_meter_of_the_motor_that_was_fitted_then() {
    let (_, _, mut lead) = county();
    lead.writes_about(&[CRAFT], craft("B 1", NORTH));
    lead.writes_about(&[MOTOR], motor());
    lead.writes_about(&[MOTOR, CRAFT], fitted(CRAFT.0));
    lead.clock = 3_000;
    lead.writes_about(&[CRAFT, MOTOR], meter(3_600));
    lead.clock = 4_000;
    lead.writes(Payload::Fault(vec![fault("transom")]));
    lead.clock = 5_000;
    lead.writes_about(
        &[MOTOR, CRAFT],
        Payload::TakenOff {
            gear: MOTOR.0,
            craft: CRAFT.0,
        },
    );
    lead.clock = 6_000;
    lead.writes(Payload::Fault(vec![fault("keel")]));
    let history = looked_back(&lead);
    let read: Vec<_> = history.faults().iter().map(|it| it.engine_s).collect();
    assert_eq!(read, [Some(3_600), None]);
}

#[test]
fn a_fault_counts_at_the_station_where_the_craft_stood_then() {
    let (_, _, mut lead) = county();
    lead.writes_about(&[CRAFT], craft("B 1", NORTH));
    lead.clock = 2_000;
    lead.writes(Payload::Fault(vec![fault("tube-1")]));
    lead.clock = 3_000;
    lead.writes(Payload::Placed(Place::Station(SOUTH)));
    lead.writes(Payload::NumberChanged {
        number: "B 9".to_owned(),
    });
    lead.clock = 4_000;
    lead.writes(Payload::Fault(vec![fault("tube-1")]));
    lead.clock = 5_000;
    lead.writes(Payload::Condemned);
    let history = looked_back(&lead);
    let stations: Vec<_> = history.faults().iter().map(|it| it.station).collect();
    assert_eq!(stations, [Some(NORTH), Some(SOUTH)]);
    let craft = &history.crafts[&CRAFT.0];
    assert_eq!(
        craft.stations,
        [(Moment(1_000), NORTH), (Moment(3_000), SOUTH)]
    );
    assert_eq!(craft.number, "B 9");
    assert_eq!(
        (craft.registered, craft.ended),
        (Moment(1_000), Some(Moment(5_000)))
    );
    assert_eq!((craft.fabric.as_str(), craft.batch.as_str()), ("csm", "L7"));
}

#[test]
fn what_was_registered_twice_is_one_craft() {
    let (_, _, mut lead) = county();
    lead.writes_about(&[CRAFT], craft("B 1", NORTH));
    lead.writes_about(&[OTHER_CRAFT], craft("B 1", SOUTH));
    lead.writes_about(&[CRAFT], Payload::Fault(vec![fault("tube-1")]));
    lead.writes_about(&[OTHER_CRAFT], Payload::Fault(vec![fault("tube-1")]));
    assert_eq!(looked_back(&lead).crafts.len(), 2);
    let same = lead.writes_about(
        &[CRAFT, OTHER_CRAFT],
        Payload::SameAs {
            one: CRAFT.0,
            other: OTHER_CRAFT.0,
        },
    );
    let history = looked_back(&lead);
    assert_eq!(history.crafts.len(), 1);
    assert_eq!(history.crafts[&CRAFT.0].faults.len(), 2);
    lead.writes_about(&[CRAFT, OTHER_CRAFT], instead(same, None));
    assert_eq!(looked_back(&lead).crafts.len(), 2);
}

#[test]
fn the_leads_decisions_and_holds_are_kept_with_what_became_of_them() {
    let (_, _, mut lead) = county();
    let found = lead.writes(Payload::Fault(vec![fault("transom")]));
    lead.writes(Payload::LeadDecision(LeadDecision {
        action: Some(LeadAction::SendToMaker),
        faults: vec![fault_id(found, 0)],
        part: Some("transom".into()),
        ..LeadDecision::default()
    }));
    // One that says nothing known here is no decision.
    lead.writes(Payload::LeadDecision(LeadDecision::default()));
    let hold = lead.writes_about(
        &[COUNTY],
        Payload::HeldCountyWide(CountyHold {
            model: String::new(),
            batch: "L7".to_owned(),
            part: String::new(),
            missions: Vec::new(),
        }),
    );
    lead.clock = 2_000;
    let lifted = lead.writes_about(&[COUNTY], Payload::HoldLifted { hold });
    let history = looked_back(&lead);
    assert_eq!(history.decisions.len(), 1);
    let decided = &history.decisions[0];
    assert_eq!(decided.action, LeadAction::SendToMaker);
    assert_eq!(decided.subjects, [CRAFT.0]);
    assert_eq!(decided.faults, [fault_id(found, 0)]);
    assert_eq!(history.holds[0].lifted, Some((Moment(2_000), lifted)));
}

#[test]
fn counts_stand_with_the_bag_and_the_shelf_that_they_were_made_in() {
    let (mut crew, ..) = county();
    let in_bag = vec![count("flare", 3, Some(BAG.0)), count("paddle", 4, None)];
    crew.writes_about(&[CRAFT, BAG], counted(in_bag));
    crew.writes_about(
        &[SHELF],
        Payload::StockCounted(vec![count("flare", 12, None)]),
    );
    let history = looked_back(&crew);
    let bag = &history.bags[&BAG.0].counts[0].counts;
    assert_eq!((bag.len(), bag[0].count), (1, 3));
    assert_eq!(history.stock[&SHELF.0].counts[0].counts[0].count, 12);
    assert_eq!(history.crafts[&CRAFT.0].checks[0].counts.len(), 2);
}

#[test]
fn a_time_out_of_service_ends_with_what_names_it() {
    let (mut crew, _, mut lead) = county();
    let rest = crew.writes(Payload::OutOfService(OutReason::Rest));
    let broken = crew.writes(Payload::OutOfService(OutReason::Mechanical));
    lead.meets(&mut crew);
    let back = lead.writes(Payload::Returned { ends: vec![rest] });
    let history = looked_back(&lead);
    let out = &history.crafts[&CRAFT.0].out;
    let told = |event| out.iter().find(|it| it.event == event).map(|it| it.back);
    assert_eq!(told(rest), Some(Some((Moment(1_000), back))));
    assert_eq!(told(broken), Some(None));
}

#[test]
fn nothing_happened_after_the_moment_that_is_judged() {
    let (mut crew, ..) = county();
    crew.clock = 5_000;
    crew.writes(Payload::Fault(vec![fault("keel")]));
    let history = History::of(&crew.events(), Moment(3_000), LATER);
    assert_eq!(history.faults()[0].found, Moment(3_000));
    assert_eq!(history.until, Moment(3_000));
    assert_eq!(History::of(&[], LATER, LATER), History::empty(LATER));
}

/// Orders the events by a list of keys.
fn shuffled(events: &[Event], keys: &[u32]) -> Vec<Event> {
    let mut keyed: Vec<(u32, &Event)> = keys.iter().copied().cycle().zip(events).collect();
    keyed.sort_by_key(|(key, _)| *key);
    keyed.into_iter().map(|(_, event)| event.clone()).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn neither_order_nor_an_event_given_twice_makes_a_difference(
        acts in acts(30),
        keys in prop::collection::vec(any::<u32>(), 1..40),
    ) {
        let events = play(&acts).events();
        let mut mixed = shuffled(&events, &keys);
        mixed.extend(events.first().cloned());
        prop_assert_eq!(
            History::of(&events, LATER, LATER),
            History::of(&mixed, LATER, LATER)
        );
    }

    #[test]
    fn what_is_open_is_what_the_record_holds_open(acts in acts(30)) {
        let desk = play(&acts);
        let (record, history) = (desk.record(), looked_back(&desk));
        let Some(craft) = history.crafts.get(&CRAFT.0) else { return Ok(()) };
        let open = open(&record);
        for fault in &craft.faults {
            prop_assert!(record.faults.contains_key(&fault.id));
            prop_assert_eq!(fault.over.is_none(), open.contains(&fault.id));
        }
        // Of what stands twice since it was corrected by who may not replace it, or by somebody for
        // whom nobody vouches, one is kept.
        let events = desk.events();
        let corrects = |id: &EventId| {
            let of_id = events.iter().find(|event| event.id == *id);
            of_id.is_some_and(|event| matches!(event.payload, Payload::Correction { .. }))
        };
        let left_out = &history.left_out;
        let is_left_out = |id: &EventId| {
            left_out.beside.contains(id) || (left_out.unconfirmed.contains(id) && corrects(id))
        };
        for id in record.faults.keys().filter(|id| !is_left_out(&id.event)) {
            prop_assert!(craft.faults.iter().any(|fault| fault.id == *id));
        }
        for no in &craft.noes {
            prop_assert_eq!(no.over.is_none(), record.open_noes.contains_key(&no.id));
        }
        let out = craft.out.iter().filter(|it| it.back.is_none());
        for out in out {
            prop_assert!(record.out.contains_key(&out.event));
        }
    }

    #[test]
    fn every_list_is_in_order_of_time(acts in acts(30)) {
        let history = looked_back(&play(&acts));
        for craft in history.crafts.values() {
            prop_assert!(craft.faults.is_sorted_by_key(|it| (it.found, it.id)));
            prop_assert!(craft.repairs.is_sorted_by_key(|it| (it.at, it.event)));
            prop_assert!(craft.meters.is_sorted_by_key(|it| (it.at, it.event)));
            prop_assert!(craft.readings.is_sorted_by_key(|it| (it.at, it.event)));
            prop_assert!(craft.fitted.is_sorted_by_key(|it| it.from));
        }
        prop_assert!(history.faults().is_sorted_by_key(|it| (it.found, it.id)));
    }
}
