//! A device whose program was changed: it signs what no honest one would, leaves out what it had
//! seen, writes two events for one place, and slips forged ones into its messages.

use bytes::Bytes;
use prost::Message as _;
use sponson_log::event::{CheckpointHeld, Clock, Draft, Header, SignedEvent, Subject, event_id};
use sponson_log::ids::SubjectId;
use sponson_log::sign::DeviceKey;
use sponson_proto::event::v1::{self as wire, IfNotUnderstood, Kind, Role, SubjectType};
use sponson_proto::store::v1::ChunkSource;

use crate::acts::{short, stranger};
use crate::clock::YEAR;
use crate::device::Sort;
use crate::invariants::Held;
use crate::said::{self, Found, craft, station};
use crate::world::World;

impl World {
    pub(crate) fn lies(&mut self) -> Held {
        let liars = self.devices.iter().enumerate();
        let liar = liars
            .filter(|(_, device)| device.sort == Sort::Liar && device.is_up())
            .map(|(at, _)| at)
            .next();
        let Some(liar) = liar else {
            return Ok(());
        };
        match self.chance.below(6) {
            0 => self.forges(liar),
            1 => self.alters(liar),
            2 => self.equivocates(liar),
            3 => {
                self.slips_in_a_stranger(liar);
                Ok(())
            }
            _ => {
                let event = self.lie(liar);
                self.keeps(liar, event)
            }
        }
    }

    /// Keeps what the liar signed in its own store; the honest code does not mind.
    fn keeps(&mut self, liar: usize, event: SignedEvent) -> Held {
        let (now, id) = (self.now, event.id());
        let machine = &mut self.devices[liar].machine;
        let unix_ms = machine.now(now).unix_ms;
        match machine.up().keep(vec![event], ChunkSource::Own, unix_ms) {
            Ok(kept) if kept.refused.is_empty() => {
                machine.acknowledged.insert(id);
                self.say(format!("Quay: lies {}", short(Some(id))));
                Ok(())
            }
            Ok(kept) => Err(format!("the lie was not well made: {:?}", kept.refused)),
            Err(error) => {
                machine.failed(&error)?;
                self.tally.count("power cut in a write");
                self.lost_power(Some(liar));
                Ok(())
            }
        }
    }

    /// A statement that is right in form.
    fn lie(&mut self, liar: usize) -> SignedEvent {
        let (kind, payload) = self.untruth(liar);
        let mut header = self.header(liar, kind, craft(0));
        if self.chance.one_in(3) {
            self.tally.count("event of a later time");
            header.clock.unix_ms = self.now + YEAR;
            header.checkpoint = header.checkpoint.map(|held| CheckpointHeld {
                unix_ms: self.now + YEAR,
                ..held
            });
        }
        self.tally.count("seen withheld");
        sign(header, payload, self.devices[liar].machine.device_key())
    }

    fn untruth(&mut self, liar: usize) -> (Kind, Bytes) {
        let machine = &self.devices[liar].machine;
        let faults = machine.events_of(Kind::Fault);
        let outs = machine.events_of(Kind::OutOfService);
        let fault = self.chance.pick(&faults).map(SignedEvent::id);
        let out = self.chance.pick(&outs).map(SignedEvent::id);
        let right = || (Kind::Check, Found::RIGHT.message(None).encode_to_vec());
        let what = self.chance.below(7);
        if (1..=5).contains(&what) {
            self.tally.count("not entitled statement");
        }
        if (4..=5).contains(&what) {
            self.tally.count("registry event by a station");
        }
        let (kind, payload) = match (what, fault, out) {
            (1, Some(fault), _) => (Kind::SignOff, said::sign_off(fault).encode_to_vec()),
            (2, _, Some(out)) => {
                let ends = vec![out.to_bytes()];
                (Kind::Returned, wire::Returned { ends }.encode_to_vec())
            }
            (3, Some(fault), _) => {
                let withdrawn = said::correction(fault, None);
                (Kind::Correction, withdrawn.encode_to_vec())
            }
            (4, _, _) => {
                let key = machine.key();
                let given = said::give_role(key, &[Role::Lead, Role::Maintenance], None);
                (Kind::RoleGiven, given.payload)
            }
            (5, _, _) => {
                let admitted = said::admit(stranger().key(), station(4), &[Role::Lead], None);
                (Kind::KeyAdmitted, admitted.payload)
            }
            (6, _, _) => {
                let placed = wire::Placed {
                    at: station(4).to_bytes(),
                    at_type: SubjectType::Station as i32,
                };
                (Kind::Placed, placed.encode_to_vec())
            }
            _ => right(),
        };
        (kind, payload.into())
    }

    /// The next place of the liar's chain, with nothing seen.
    fn header(&mut self, liar: usize, kind: Kind, about: SubjectId) -> Header {
        let now = self.now;
        let machine = &mut self.devices[liar].machine;
        let (key, clock) = (machine.key(), machine.now(now));
        let replica = machine.up();
        let chain = replica.chains().get(&key);
        let heads = chain.into_iter().flat_map(|chain| chain.heads());
        let last = heads.max_by_key(|(_, seq)| **seq);
        let checkpoint = replica.newest_checkpoint();
        Header {
            county: said::county_id(),
            key,
            seq: last.map_or(1, |(_, seq)| seq + 1),
            previous: last.map(|(id, _)| *id),
            kind: kind as i32,
            kind_version: 1,
            if_not_understood: IfNotUnderstood::Hold,
            subjects: vec![Subject {
                id: about,
                kind: SubjectType::Craft,
                seen: Vec::new(),
            }],
            clock: Clock {
                unix_ms: clock.unix_ms,
                utc_offset_min: 0,
                boot_id: clock.boot_id,
                monotonic_ms: clock.monotonic_ms,
            },
            checkpoint: checkpoint.map(|held| held.held()),
            observed: None,
            member: String::new(),
            beside: Vec::new(),
        }
    }

    /// Two events for one place: one for the own store, one for whoever hears it next.
    fn equivocates(&mut self, liar: usize) -> Held {
        self.tally.count("equivocation");
        let one = self.lie(liar);
        let header = self.header(liar, Kind::Fault, craft(1));
        let payload = said::fault(wire::Severity::Minor).encode_to_vec();
        let other = sign(
            header,
            payload.into(),
            self.devices[liar].machine.device_key(),
        );
        self.devices[liar].lies.push(other.to_wire());
        self.keeps(liar, one)
    }

    /// An event in the name of the lead's device, signed by the liar.
    fn forges(&mut self, liar: usize) -> Held {
        self.tally.count("forged event offered");
        let mut header = self.header(liar, Kind::Check, craft(0));
        header.key = self.devices[0].machine.key();
        header.seq = 1;
        header.previous = None;
        let payload = Found::RIGHT.message(None).encode_to_vec();
        let key = self.devices[liar].machine.device_key();
        self.offers(liar, sign(header, payload.into(), key).to_wire());
        Ok(())
    }

    /// An event of somebody else with a byte changed.
    fn alters(&mut self, liar: usize) -> Held {
        let held = self.devices[liar].machine.lines();
        let Some(line) = self.chance.pick(&held) else {
            return Ok(());
        };
        self.tally.count("altered event offered");
        let mut altered = line.event.to_wire();
        let mut body = altered.body.to_vec();
        let at = self.chance.index(body.len());
        body[at] ^= 1 << self.chance.below(8);
        altered.body = body.into();
        self.offers(liar, altered);
        Ok(())
    }

    fn offers(&mut self, liar: usize, forged: wire::Event) {
        self.forged.insert(event_id(&forged.body));
        self.devices[liar].lies.push(forged);
    }

    /// An event that is well signed, by a key that nobody admitted.
    fn slips_in_a_stranger(&mut self, liar: usize) {
        let mut header = self.header(liar, Kind::Check, craft(1));
        header.key = stranger().key();
        header.seq = 1;
        header.previous = None;
        header.checkpoint = None;
        let payload = Found::RIGHT.message(None).encode_to_vec();
        let strange = sign(header, payload.into(), &stranger());
        self.devices[liar].lies.push(strange.to_wire());
    }
}

fn sign(header: Header, payload: Bytes, key: &DeviceKey) -> SignedEvent {
    let draft = Draft {
        header,
        payload,
        beside: Vec::new(),
    };
    SignedEvent::sign(draft, key).expect("a draft within the limits")
}
