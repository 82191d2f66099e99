//! Untrusted never relieves, over random histories of a whole county: chains that part, keys that
//! end anywhere, devices admitted late or never, roles given late, dismissals, county-wide holds.
//!
//! Every entry is kept by a real replica, one after another; before and after each the county is
//! asked. Not here: where things are and what kit is counted, which the engine's own laws try.

use std::collections::{BTreeMap, BTreeSet};

use proptest::prelude::*;
use proptest::sample::Index;
use sponson_log::event::{Clock, Header, SignedEvent, Subject as Of};
use sponson_log::ids::{EventId, SubjectId};
use sponson_log::sign::DeviceKey;
use sponson_log::trust::{Trust, Unconfirmed};
use sponson_made::signed;
use sponson_proto::event::v1::{self as wire, Kind, Role, SubjectType};
use sponson_proto::store::v1::ChunkSource;
use sponson_readiness::answer::{CraftAnswer, Effect, Readiness, Subject};
use sponson_readiness::engine::Question;
use sponson_replica::{NewEvent, Page};

use crate::asking::question;
use crate::county::{
    CRAFT, MINUTE, NORTH, Placed, SOUTH, START, about, admit_as, craft_registered, end, found, key,
    north, stranger,
};

const LEAD: usize = 0;
const COUNTY: (SubjectId, SubjectType) = (SubjectId::from_bytes([0xcc; 16]), SubjectType::County);

/// What one device records.
#[derive(Clone, Copy, Debug)]
enum Act {
    Fault,
    SignOff,
    Reading(i64),
    Answer(wire::AnswerValue),
    Out,
    Returned,
    Inspection(wire::InspectionResult),
    Cure,
    Hold,
    Lift,
    Withdraw,
}

/// What happens next.
#[derive(Clone, Debug)]
enum Step {
    /// A device records something: after its newest entry or, when it was copied, after any; having
    /// seen all of the thing, or nothing.
    Records {
        device: usize,
        act: Act,
        after: Option<Index>,
        saw: bool,
        names: Index,
    },
    AdmitLate,
    Role(Index, Role),
    End(usize, Option<Index>),
    Dismiss(usize),
}

/// The county, and what was written by whom.
struct Story {
    county: Placed,
    keys: [DeviceKey; 4],
    /// Entries of each device: seq, id.
    written: [Vec<(u64, EventId)>; 4],
    heads: BTreeMap<SubjectId, BTreeSet<EventId>>,
    /// Entries by kind, for those that name them.
    named: BTreeMap<i32, Vec<EventId>>,
    now: i64,
}

impl Story {
    /// The lead and a crew are admitted; a third device is later, a fourth never.
    fn begins() -> Self {
        let mut county = found();
        let crew = admit_as(&key(6), SOUTH, &[Role::Crew]);
        county.append(crew, START + 20 * MINUTE);
        let mut story = Self {
            county,
            keys: [north(), key(6), key(7), stranger()],
            written: Default::default(),
            heads: BTreeMap::new(),
            named: BTreeMap::new(),
            now: START + 30 * MINUTE,
        };
        let registered = craft_registered("4-1", NORTH);
        story.records(LEAD, registered, None, true);
        story
    }

    fn takes(&mut self, step: &Step) -> Option<Trust> {
        self.now += MINUTE;
        match step {
            Step::Records {
                device,
                act,
                after,
                saw,
                names,
            } => {
                let event = self.event(*act, names)?;
                return Some(self.records(*device, event, after.as_ref(), *saw));
            }
            Step::AdmitLate => {
                let roles = [Role::Crew, Role::Maintenance];
                self.says(admit_as(&self.keys[2], SOUTH, &roles));
            }
            Step::Role(place, role) => {
                let before = place.index(self.written[1].len() + 1);
                let after = before.checked_sub(1).map(|at| self.written[1][at]);
                let given = wire::RoleGiven {
                    key: self.keys[1].key().to_bytes(),
                    roles: vec![*role as i32],
                    from_seq: after.map_or(1, |(seq, _)| seq + 1),
                    after: after.map(|(_, id)| id.to_bytes()).unwrap_or_default(),
                };
                self.says(about(Kind::RoleGiven, &given, COUNTY));
            }
            Step::End(device, place) => {
                let written = &self.written[*device];
                let place = place.filter(|_| !written.is_empty());
                let last = place.map(|place| written[place.index(written.len())]);
                self.says(end(&self.keys[*device], last));
            }
            Step::Dismiss(device) => {
                let key = self.keys[*device].key();
                let view = self
                    .county
                    .replica
                    .chain_view(&key, 0)
                    .expect("rows are whole");
                for from in view.dismiss {
                    let dismissed = wire::Dismissed {
                        key: key.to_bytes(),
                        from_seq: from.seq,
                        from_event: from.event.to_bytes(),
                    };
                    self.records(LEAD, about(Kind::Dismissed, &dismissed, COUNTY), None, true);
                }
            }
        }
        None
    }

    /// The county says something, in the registry.
    fn says(&mut self, event: NewEvent) {
        self.county.append(event, self.now);
    }

    /// What a device records; none when there is nothing yet that it could name.
    fn event(&self, act: Act, names: &Index) -> Option<NewEvent> {
        let named = |kind: Kind| {
            let of_kind = self.named.get(&(kind as i32))?;
            of_kind.get(names.index(of_kind.len())).copied()
        };
        let craft = (CRAFT, SubjectType::Craft);
        Some(match act {
            Act::Fault => about(Kind::Fault, &fault(), craft),
            Act::SignOff => about(Kind::SignOff, &signs(named(Kind::Fault)?), craft),
            Act::Reading(pa) => crate::county::reading(pa),
            Act::Answer(value) => about(Kind::Check, &answers(value), craft),
            Act::Out => crate::county::out_of_service(),
            Act::Returned => {
                let ends = vec![named(Kind::OutOfService)?.to_bytes()];
                about(Kind::Returned, &wire::Returned { ends }, craft)
            }
            Act::Inspection(result) => {
                let done = wire::InspectionDone {
                    inspection: "relief-valves".to_owned(),
                    result: result.into(),
                    ..wire::InspectionDone::default()
                };
                about(Kind::InspectionDone, &done, craft)
            }
            Act::Cure => about(Kind::Repair, &cures(named(Kind::Fault)?), craft),
            Act::Hold => {
                let hold = wire::HeldCountyWide {
                    model: "inflatable-14".to_owned(),
                    missions: vec!["flood".to_owned()],
                    ..wire::HeldCountyWide::default()
                };
                about(Kind::HeldCountyWide, &hold, COUNTY)
            }
            Act::Lift => {
                let hold = named(Kind::HeldCountyWide)?.to_bytes();
                about(Kind::HoldLifted, &wire::HoldLifted { hold }, COUNTY)
            }
            Act::Withdraw => {
                let withdrawn = wire::Correction {
                    original: named(Kind::Fault)?.to_bytes(),
                    r#type: wire::CorrectionType::Withdrawn.into(),
                    kind_version: 1,
                    ..wire::Correction::default()
                };
                about(Kind::Correction, &withdrawn, craft)
            }
        })
    }

    /// Signs and keeps an entry; says whether it is trusted now.
    fn records(
        &mut self,
        device: usize,
        event: NewEvent,
        after: Option<&Index>,
        saw: bool,
    ) -> Trust {
        let written = &self.written[device];
        let before = match after.filter(|_| !written.is_empty()) {
            Some(place) => Some(written[place.index(written.len())]),
            None => written.iter().max_by_key(|(seq, _)| *seq).copied(),
        };
        let subjects = event.subjects.iter().map(|(id, kind)| Of {
            id: *id,
            kind: *kind,
            seen: self.seen(*id, saw),
        });
        let header = Header {
            subjects: subjects.collect(),
            clock: Clock {
                unix_ms: self.now,
                utc_offset_min: 0,
                boot_id: [1; 16],
                monotonic_ms: self.now.unsigned_abs(),
            },
            ..signed::header(self.keys[device].key(), event.kind, before)
        };
        let place = header.seq;
        let signed = signed::sign(header, event.payload, &self.keys[device]);
        self.notes(device, place, &signed);
        let kept = self
            .county
            .replica
            .keep(vec![signed], ChunkSource::Station, self.now);
        assert_eq!(kept.expect("the store is whole").refused, []);
        let line = self.county.replica.log_page(None, Page::Newest, 1);
        line.expect("rows are whole")[0].trust
    }

    fn seen(&self, subject: SubjectId, saw: bool) -> Vec<EventId> {
        let heads = self.heads.get(&subject).filter(|_| saw);
        heads.into_iter().flatten().copied().take(64).collect()
    }

    fn notes(&mut self, device: usize, seq: u64, event: &SignedEvent) {
        self.written[device].push((seq, event.id()));
        self.named
            .entry(event.header().kind)
            .or_default()
            .push(event.id());
        for subject in &event.header().subjects {
            let heads = self.heads.entry(subject.id).or_default();
            for seen in &subject.seen {
                heads.remove(seen);
            }
            heads.insert(event.id());
        }
    }

    /// The craft, for no mission, one that is never held, and one that is.
    fn answers(&mut self) -> Vec<CraftAnswer> {
        let missions = [None, Some("lake"), Some("flood")];
        let asked = missions.map(|mission| Question {
            mission: mission.map(Into::into),
            ..question(START + 40 * MINUTE * 60)
        });
        let answers = asked
            .iter()
            .map(|question| self.county.replica.ask(question));
        answers
            .map(|answer| answer.craft.first().cloned().expect("the craft is known"))
            .collect()
    }

    /// Whether any entry counts for nothing because its chain parts.
    fn parts(&self) -> bool {
        let lines = self.county.replica.log_page(None, Page::Newest, 1_000);
        let mut lines = lines.expect("rows are whole").into_iter();
        lines.any(|line| line.trust == Trust::Unconfirmed(Unconfirmed::Parted))
    }
}

fn fault() -> wire::Fault {
    wire::Fault {
        faults: vec![wire::FaultFound {
            part: "tube-2".to_owned(),
            class: "leak".to_owned(),
            severity: wire::Severity::Restrictive.into(),
            ..wire::FaultFound::default()
        }],
    }
}

fn reference(fault: EventId) -> Vec<wire::FaultRef> {
    vec![wire::FaultRef {
        event: fault.to_bytes(),
        ordinal: 0,
    }]
}

fn signs(fault: EventId) -> wire::SignOff {
    wire::SignOff {
        closes: reference(fault),
    }
}

fn cures(fault: EventId) -> wire::Repair {
    wire::Repair {
        faults: reference(fault),
        method: "patch".to_owned(),
        holds: vec![wire::Hold {
            r#type: wire::HoldType::Launch.into(),
            duration_s: 10 * 86_400,
        }],
        ..wire::Repair::default()
    }
}

fn answers(value: wire::AnswerValue) -> wire::Check {
    wire::Check {
        extent: wire::CheckExtent::Part.into(),
        answers: vec![wire::Answer {
            line: "drain-plug".to_owned(),
            value: value.into(),
            ..wire::Answer::default()
        }],
        ..wire::Check::default()
    }
}

/// The worst that stands against each subject.
fn against(craft: &CraftAnswer) -> BTreeMap<&Subject, &Effect> {
    let mut worst: BTreeMap<&Subject, &Effect> = BTreeMap::new();
    for finding in &craft.why {
        let held = worst.entry(&finding.subject).or_insert(&finding.effect);
        *held = (*held).max(&finding.effect);
    }
    worst.retain(|_, effect| **effect >= Effect::Unproven);
    worst
}

/// Nothing that stood against the craft stands less, and it is not readier as a whole.
fn not_readier(before: &[CraftAnswer], after: &[CraftAnswer]) -> Result<(), TestCaseError> {
    for (before, after) in before.iter().zip(after) {
        prop_assert!(after.readiness >= before.readiness);
        let now = against(after);
        for (subject, effect) in against(before) {
            prop_assert!(
                now.get(subject).is_some_and(|now| *now >= effect),
                "{subject:?}: {effect:?} before, {:?} after",
                now.get(subject)
            );
        }
    }
    Ok(())
}

fn act() -> impl Strategy<Value = Act> {
    prop_oneof![
        3 => Just(Act::Fault),
        3 => Just(Act::SignOff),
        1 => Just(Act::Reading(500)),
        1 => Just(Act::Reading(24_000)),
        1 => Just(Act::Answer(wire::AnswerValue::Yes)),
        1 => Just(Act::Answer(wire::AnswerValue::No)),
        2 => Just(Act::Out),
        2 => Just(Act::Returned),
        1 => Just(Act::Inspection(wire::InspectionResult::Passed)),
        1 => Just(Act::Inspection(wire::InspectionResult::Failed)),
        1 => Just(Act::Cure),
        2 => Just(Act::Hold),
        2 => Just(Act::Lift),
        1 => Just(Act::Withdraw),
    ]
}

fn step() -> impl Strategy<Value = Step> {
    let records = (
        0_usize..4,
        act(),
        prop::option::weighted(0.2, any::<Index>()),
        prop::bool::weighted(0.8),
        any::<Index>(),
    );
    let records = records.prop_map(|(device, act, after, saw, names)| Step::Records {
        device,
        act,
        after,
        saw,
        names,
    });
    prop_oneof![
        20 => records,
        1 => Just(Step::AdmitLate),
        1 => (any::<Index>(), prop_oneof![Just(Role::Maintenance), Just(Role::Crew)])
            .prop_map(|(place, role)| Step::Role(place, role)),
        2 => (1_usize..4, prop::option::of(any::<Index>()))
            .prop_map(|(device, place)| Step::End(device, place)),
        1 => (1_usize..4).prop_map(Step::Dismiss),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    #[test]
    fn an_untrusted_entry_never_makes_a_craft_readier(
        steps in prop::collection::vec(step(), 8..28),
    ) {
        let mut story = Story::begins();
        let mut before = story.answers();
        for step in &steps {
            let trust = story.takes(step);
            let after = story.answers();
            if matches!(trust, Some(Trust::Unconfirmed(_))) {
                not_readier(&before, &after)?;
            }
            before = after;
        }
        // Without all that is untrusted the craft is no less ready, and what it had made of it was
        // no worse than 'go and look'.
        let parts = story.parts();
        for device in 0..4 {
            story.takes(&Step::Dismiss(device));
        }
        for (with, without) in before.iter().zip(story.answers()) {
            if parts {
                continue;
            }
            prop_assert!(without.readiness <= with.readiness);
            prop_assert!(with.readiness <= without.readiness.max(Readiness::Unproven));
        }
    }
}
