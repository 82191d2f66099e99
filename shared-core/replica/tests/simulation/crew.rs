//! What a crew records next, from what its device holds.

use prost::Message as _;
use sponson_log::event::SignedEvent;
use sponson_log::ids::SubjectId;
use sponson_log::trust::Trust;
use sponson_proto::event::v1::{self as wire, Kind, SubjectType};
use sponson_replica::{LogLine, NewEvent};

use crate::chance::Chance;
use crate::clock::{DAY, HOUR};
use crate::said::{self, Found, MOTOR, about, craft, of_craft, station};
use crate::tally::Tally;

/// A crew at a device.
pub(crate) struct Crew<'a> {
    pub(crate) chance: &'a mut Chance,
    pub(crate) tally: &'a mut Tally,
    /// What the device holds.
    pub(crate) held: Vec<LogLine>,
    /// What time they take it for.
    pub(crate) unix_ms: i64,
}

#[derive(Clone, Copy, Debug)]
enum Work {
    CheckRight,
    CheckWrong,
    Fault,
    SignOff,
    Repair,
    Out,
    Returned,
    Moved,
    Fitted,
    TakenOff,
    Counted,
    Corrected,
    Dismissed,
    Used,
    Waived,
    Assigned,
    Released,
    Note,
}

/// How often each is done; by feel, so that craft are sometimes ready and sometimes not.
const WORK: &[(u64, Work)] = &[
    (10, Work::CheckRight),
    (4, Work::CheckWrong),
    (4, Work::Fault),
    (8, Work::SignOff),
    (2, Work::Repair),
    (2, Work::Out),
    (4, Work::Returned),
    (2, Work::Moved),
    (1, Work::Fitted),
    (1, Work::TakenOff),
    (2, Work::Counted),
    (4, Work::Corrected),
    (4, Work::Dismissed),
    (1, Work::Used),
    (1, Work::Waived),
    (1, Work::Assigned),
    (1, Work::Released),
    (2, Work::Note),
];

impl Crew<'_> {
    /// The next statement.
    pub(crate) fn says(&mut self) -> NewEvent {
        let work = self.chance.weighed(WORK);
        let mut event = self.does(work).unwrap_or_else(|| self.checks(Found::RIGHT));
        if self.chance.one_in(12) {
            self.tally.count("events entered late");
            let to = self.unix_ms - self.chance.between(0, 2 * DAY);
            event.observed = Some((to - self.chance.between(0, 6 * HOUR), to));
        }
        event
    }

    fn does(&mut self, work: Work) -> Option<NewEvent> {
        let craft = self.craft();
        let event = match work {
            Work::CheckRight => self.checks(Found::RIGHT),
            Work::CheckWrong => self.checks_wrong(),
            Work::Fault => {
                let severities = [
                    wire::Severity::Disabling,
                    wire::Severity::Restrictive,
                    wire::Severity::Minor,
                ];
                let severity = severities[self.chance.index(3)];
                of_craft(Kind::Fault, &said::fault(severity), craft)
            }
            Work::SignOff => self.signs_off()?,
            Work::Repair => self.repairs()?,
            Work::Out => {
                let reasons = [wire::OutReason::Mechanical, wire::OutReason::Rest];
                let reason = reasons[self.chance.index(2)] as i32;
                of_craft(Kind::OutOfService, &wire::OutOfService { reason }, craft)
            }
            Work::Returned => self.returns()?,
            Work::Moved => self.moves(),
            Work::Fitted => self.fits(craft),
            Work::TakenOff => self.takes_off(craft),
            Work::Counted => self.counts(),
            Work::Corrected => self.corrects()?,
            Work::Dismissed => self.dismisses()?,
            Work::Used => {
                let used = wire::Use {
                    duration_s: 3_600,
                    water: wire::WaterType::Fresh as i32,
                    ..wire::Use::default()
                };
                of_craft(Kind::Use, &used, craft)
            }
            Work::Waived => self.waives()?,
            Work::Assigned => {
                let assigned = wire::Assigned {
                    incident: "high water".to_owned(),
                    mission: "lake".to_owned(),
                    ..wire::Assigned::default()
                };
                of_craft(Kind::Assigned, &assigned, craft)
            }
            Work::Released => self.releases()?,
            Work::Note => self.notes(),
        };
        Some(event)
    }

    fn craft(&mut self) -> SubjectId {
        craft(if self.chance.one_in(3) { 1 } else { 0 })
    }

    /// One of the held events of these kinds.
    fn held_of(&mut self, kinds: &[Kind]) -> Option<SignedEvent> {
        let of_kind = |line: &&LogLine| {
            let kind = line.event.header().kind;
            kinds.iter().any(|wanted| *wanted as i32 == kind)
        };
        let held: Vec<&LogLine> = self.held.iter().filter(of_kind).collect();
        self.chance.pick(&held).map(|line| line.event.clone())
    }

    fn checks(&mut self, found: Found) -> NewEvent {
        let standard = self.held_of(&[Kind::BoatStandard]);
        let message = found.message(standard.map(|event| event.id()));
        of_craft(Kind::Check, &message, self.craft())
    }

    fn checks_wrong(&mut self) -> NewEvent {
        let no = wire::AnswerValue::No;
        let wrong = match self.chance.below(4) {
            0 => Found {
                drain: no,
                ..Found::RIGHT
            },
            1 => Found {
                paddles: 1,
                ..Found::RIGHT
            },
            2 => Found {
                bow_line: no,
                ..Found::RIGHT
            },
            _ => Found {
                gauge_pa: 9_000,
                ..Found::RIGHT
            },
        };
        let extents = [wire::CheckExtent::Full, wire::CheckExtent::Short];
        let extent = extents[self.chance.index(2)];
        self.checks(Found { extent, ..wrong })
    }

    fn signs_off(&mut self) -> Option<NewEvent> {
        let fault = self.held_of(&[Kind::Fault, Kind::Fault, Kind::Check])?;
        let about = first(&fault);
        Some(of_craft(Kind::SignOff, &said::sign_off(fault.id()), about))
    }

    fn repairs(&mut self) -> Option<NewEvent> {
        let fault = self.held_of(&[Kind::Fault])?;
        let repair = wire::Repair {
            faults: vec![said::fault_ref(fault.id())],
            part: "tube-1".to_owned(),
            method: "patch".to_owned(),
            holds: vec![wire::Hold {
                r#type: wire::HoldType::Launch as i32,
                duration_s: 12 * 3_600,
            }],
            ..wire::Repair::default()
        };
        Some(of_craft(Kind::Repair, &repair, first(&fault)))
    }

    fn returns(&mut self) -> Option<NewEvent> {
        let out = self.held_of(&[Kind::OutOfService])?;
        let ends = vec![out.id().to_bytes()];
        Some(of_craft(
            Kind::Returned,
            &wire::Returned { ends },
            first(&out),
        ))
    }

    fn moves(&mut self) -> NewEvent {
        let to = u8::try_from(self.chance.between(1, 4)).expect("a station's number");
        let placed = wire::Placed {
            at: station(to).to_bytes(),
            at_type: SubjectType::Station as i32,
        };
        if self.chance.one_in(3) {
            return about(Kind::Placed, &placed, (MOTOR, SubjectType::Gear));
        }
        self.tally.count("craft disputed or moved");
        of_craft(Kind::Placed, &placed, self.craft())
    }

    fn fits(&mut self, craft: SubjectId) -> NewEvent {
        let fitted = wire::Fitted {
            gear: MOTOR.to_bytes(),
            craft: craft.to_bytes(),
            part: "motor".to_owned(),
        };
        with_motor(of_craft(Kind::Fitted, &fitted, craft))
    }

    fn takes_off(&mut self, craft: SubjectId) -> NewEvent {
        let taken = wire::TakenOff {
            gear: MOTOR.to_bytes(),
            craft: craft.to_bytes(),
        };
        with_motor(of_craft(Kind::TakenOff, &taken, craft))
    }

    fn counts(&mut self) -> NewEvent {
        let count = if self.chance.one_in(2) { 1 } else { 3 };
        let counted = wire::StockCounted {
            counts: vec![wire::ItemCount {
                item: "paddle".to_owned(),
                count,
                ..wire::ItemCount::default()
            }],
        };
        of_craft(Kind::StockCounted, &counted, self.craft())
    }

    /// Corrects what somebody recorded; keeps its kind and its subjects.
    fn corrects(&mut self) -> Option<NewEvent> {
        let original = self.held_of(&[
            Kind::Check,
            Kind::Fault,
            Kind::SignOff,
            Kind::OutOfService,
            Kind::Returned,
        ])?;
        self.tally.count("corrections");
        let restated = self.restates(&original);
        let payload = said::correction(original.id(), restated);
        let subjects = original.header().subjects.iter();
        Some(NewEvent {
            subjects: subjects.map(|subject| (subject.id, subject.kind)).collect(),
            ..of_craft(Kind::Correction, &payload, first(&original))
        })
    }

    fn restates(&mut self, original: &SignedEvent) -> Option<Vec<u8>> {
        if self.chance.one_in(2) {
            return None;
        }
        let kind = original.header().kind;
        if kind == Kind::Check as i32 {
            let paddles = if self.chance.one_in(2) { 2 } else { 1 };
            let found = Found {
                paddles,
                ..Found::RIGHT
            };
            return Some(found.message(None).encode_to_vec());
        }
        if kind == Kind::Fault as i32 {
            return Some(said::fault(wire::Severity::Minor).encode_to_vec());
        }
        if kind == Kind::SignOff as i32 {
            let fault = self.held_of(&[Kind::Fault])?;
            return Some(said::sign_off(fault.id()).encode_to_vec());
        }
        None
    }

    /// The tail of something that is in doubt here, now and then of anything.
    fn dismisses(&mut self) -> Option<NewEvent> {
        let doubtful = |line: &&LogLine| line.trust != Trust::Trusted;
        let doubtful: Vec<&LogLine> = self.held.iter().filter(doubtful).collect();
        let from = if self.chance.one_in(6) {
            let held: Vec<&LogLine> = self.held.iter().collect();
            self.chance.pick(&held).copied()?.event.clone()
        } else {
            self.chance.pick(&doubtful).copied()?.event.clone()
        };
        self.tally.count("dismissals");
        let dismissed = wire::Dismissed {
            key: from.header().key.to_bytes(),
            from_seq: from.header().seq,
            from_event: from.id().to_bytes(),
        };
        Some(of_craft(Kind::Dismissed, &dismissed, self.craft()))
    }

    fn waives(&mut self) -> Option<NewEvent> {
        let fault = self.held_of(&[Kind::Fault])?;
        let waiver = wire::WaiverGranted {
            faults: vec![said::fault_ref(fault.id())],
            missions: vec!["lake".to_owned()],
            until_unix_ms: self.unix_ms + 3 * DAY,
        };
        Some(of_craft(Kind::WaiverGranted, &waiver, first(&fault)))
    }

    fn releases(&mut self) -> Option<NewEvent> {
        let assigned = self.held_of(&[Kind::Assigned])?;
        let released = wire::Released {
            assignment: assigned.id().to_bytes(),
        };
        Some(of_craft(Kind::Released, &released, first(&assigned)))
    }

    /// Now and then long, so that what waits to be sent needs more than one round.
    fn notes(&mut self) -> NewEvent {
        let length = if self.chance.one_in(2) { 4_000 } else { 40 };
        NewEvent {
            texts: (0..3)
                .map(|salt| (String::new(), "x".repeat(length), [salt; 16]))
                .collect(),
            ..of_craft(Kind::Note, &wire::Note {}, self.craft())
        }
    }
}

fn with_motor(mut event: NewEvent) -> NewEvent {
    event.subjects.push((MOTOR, SubjectType::Gear));
    event
}

/// The subject that an event is mainly about.
fn first(event: &SignedEvent) -> SubjectId {
    let subject = event.header().subjects.first();
    subject.map_or(craft(0), |subject| subject.id)
}
