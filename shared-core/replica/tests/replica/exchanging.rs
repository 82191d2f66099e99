//! Three stations and a county: whatever happens, in whatever order it gets round, once all have
//! met all hold the same records and give the same answer.

use proptest::prelude::*;
use sponson_log::event::SignedEvent;
use sponson_log::ids::{EventId, SubjectId};
use sponson_log::sign::DeviceKey;
use sponson_proto::event::v1::{self as wire, Kind, Role, SubjectType};
use sponson_proto::store::v1::ChunkSource;
use sponson_replica::{CarryScope, NewEvent};

use crate::asking::question;
use crate::county::{
    DAY, MINUTE, NORTH, Placed, SOUTH, START, admit, craft_registered, end, event, fault, found,
    join, key, north, out_of_service, reading, sign_off, south, sync, working,
};

const WEST: SubjectId = NORTH;

/// One thing that happens.
#[derive(Clone, Copy, Debug)]
struct Act {
    who: usize,
    other: usize,
    what: u8,
    which: usize,
}

fn acts() -> impl Strategy<Value = Vec<Act>> {
    let act = (0..3_usize, 0..4_usize, 0..22_u8, 0..1_000_usize);
    let act = act.prop_map(|(who, other, what, which)| Act {
        who,
        other,
        what,
        which,
    });
    prop::collection::vec(act, 8..32)
}

/// Keys of the stations; the third is nobody's until it is admitted.
fn keys() -> [DeviceKey; 3] {
    [north(), south(), key(6)]
}

struct World {
    county: Placed,
    stations: [Placed; 3],
    at: i64,
}

impl World {
    fn new() -> Self {
        let mut county = found();
        let mut stations = keys().map(join);
        stations[0].append(craft_registered("4-1", NORTH), START + DAY);
        for station in &mut stations {
            sync(station, &mut county, START + DAY);
        }
        let at = START + 2 * DAY;
        Self {
            county,
            stations,
            at,
        }
    }

    fn play(&mut self, act: Act) {
        self.at += MINUTE;
        let Act { who, what, .. } = act;
        match what {
            0..=10 => {
                let event = self.event(act);
                self.stations[who].append(event, self.at);
            }
            11..=13 => sync(&mut self.stations[who], &mut self.county, self.at),
            14..=15 => self.carry(act),
            16 => self.hand_over(act),
            17 => self.copy(act),
            18 => self.admit_third(),
            19 => self.end(act),
            20 => self.give_role(act),
            _ => self.reopen(who),
        }
    }

    fn event(&self, act: Act) -> NewEvent {
        let held = self.stations[act.who].events();
        let named = |kind: Kind| {
            let mut of_kind = held.iter().filter(|it| it.header().kind == kind as i32);
            let count = of_kind.clone().count();
            of_kind.nth(act.which % count.max(1)).map(SignedEvent::id)
        };
        let other = reading(15_000 + i64::try_from(act.which).unwrap_or_default());
        match act.what {
            0 => fault("leak"),
            1 => out_of_service(),
            2 | 3 => named(Kind::Fault).map_or(other, sign_off),
            4 => named(Kind::OutOfService).map_or(other, |id| {
                let ends = vec![id.to_bytes()];
                event(Kind::Returned, &wire::Returned { ends })
            }),
            5 => named(Kind::Fault).map_or(other, |id| correction(id, None)),
            6 => named(Kind::Check).map_or(other.clone(), |id| {
                correction(id, Some(other.payload.clone()))
            }),
            7 => named(Kind::SignOff).map_or(other, |id| correction(id, None)),
            8 => dismissal(&held, act.which).unwrap_or(other),
            9 => no(),
            _ => other,
        }
    }

    fn carry(&mut self, act: Act) {
        let scope = if act.which.is_multiple_of(2) {
            CarryScope::All
        } else {
            CarryScope::New
        };
        let mut file = Vec::new();
        let from = &self.stations[act.who].replica;
        from.carry_out(scope, self.at, &mut |bytes| file.extend(bytes));
        let to = self.stations.get_mut(act.other).unwrap_or(&mut self.county);
        let kept = to.replica.carry_in(&file, self.at);
        kept.expect("the file is whole");
    }

    /// Some of the events by hand, as they lie: what does not fit yet is refused.
    fn hand_over(&mut self, act: Act) {
        let events = self.stations[act.who].events();
        let from = act.which % events.len();
        let to = self.stations.get_mut(act.other).unwrap_or(&mut self.county);
        let kept = to
            .replica
            .keep(events[from..].to_vec(), ChunkSource::Carry, self.at);
        kept.expect("the store is whole");
    }

    /// Somebody starts a copy of the device from what the county holds, and writes.
    fn copy(&mut self, act: Act) {
        let [one, two, three] = keys();
        let key = [one, two, three]
            .into_iter()
            .nth(act.who)
            .expect("one of three");
        let mut copy = join(key);
        sync(&mut copy, &mut self.county, self.at);
        copy.append(fault("tear"), self.at);
        sync(&mut copy, &mut self.county, self.at);
    }

    fn admit_third(&mut self) {
        let [.., third] = keys();
        self.county.append(admit(&third, WEST), self.at);
    }

    /// A place of a station's chain that the county holds.
    fn place(&self, act: Act) -> Option<(u64, EventId)> {
        let key = keys()[act.who].key();
        let events = self.county.events();
        let chain: Vec<_> = events.iter().filter(|it| it.header().key == key).collect();
        let event = chain.get(act.which % chain.len().max(1))?;
        Some((event.header().seq, event.id()))
    }

    fn end(&mut self, act: Act) {
        let last = self.place(act);
        self.county.append(end(&keys()[act.who], last), self.at);
    }

    fn give_role(&mut self, act: Act) {
        let Some((seq, id)) = self.place(act) else {
            return;
        };
        let roles = if act.which.is_multiple_of(2) {
            vec![Role::Crew as i32]
        } else {
            vec![Role::Crew as i32, Role::Maintenance as i32]
        };
        let payload = wire::RoleGiven {
            key: keys()[act.who].key().to_bytes(),
            roles,
            from_seq: seq + 1,
            after: id.to_bytes(),
        };
        let given = NewEvent {
            subjects: vec![(SOUTH, SubjectType::Station)],
            ..event(Kind::RoleGiven, &payload)
        };
        self.county.append(given, self.at);
    }

    fn reopen(&mut self, who: usize) {
        let [one, two, three] = keys();
        let key = [one, two, three]
            .into_iter()
            .nth(who)
            .expect("one of three");
        let spare = join(crate::county::key(60));
        let station = std::mem::replace(&mut self.stations[who], spare);
        self.stations[who] = station.reopen(key);
    }

    /// Everybody meets the county, twice.
    fn meet(&mut self) {
        for _ in 0..2 {
            for station in &mut self.stations {
                self.at += MINUTE;
                sync(station, &mut self.county, self.at);
            }
        }
    }
}

fn correction(original: EventId, restated: Option<Vec<u8>>) -> NewEvent {
    let payload = wire::Correction {
        original: original.to_bytes(),
        r#type: if restated.is_some() {
            wire::CorrectionType::Restated as i32
        } else {
            wire::CorrectionType::Withdrawn as i32
        },
        payload: restated.unwrap_or_default().into(),
        kind_version: 1,
    };
    event(Kind::Correction, &payload)
}

fn dismissal(held: &[SignedEvent], which: usize) -> Option<NewEvent> {
    let from = held.get(which % held.len().max(1))?;
    let payload = wire::Dismissed {
        key: from.header().key.to_bytes(),
        from_seq: from.header().seq,
        from_event: from.id().to_bytes(),
    };
    Some(event(Kind::Dismissed, &payload))
}

fn no() -> NewEvent {
    let check = wire::Check {
        extent: wire::CheckExtent::Short as i32,
        answers: vec![wire::Answer {
            line: "drain".to_owned(),
            value: wire::AnswerValue::No as i32,
            ..wire::Answer::default()
        }],
        ..wire::Check::default()
    };
    event(Kind::Check, &check)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 16, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn all_that_met_hold_the_same(acts in acts(), looked in any::<bool>()) {
        let mut world = World::new();
        for act in acts {
            world.play(act);
            if looked {
                // Records that were folded early are stepped and folded again later.
                world.stations[act.who].record_bytes();
                world.county.record_bytes();
            }
        }
        world.meet();
        let World { mut county, stations, at } = world;
        let asked = question(at + DAY);
        let answer = |placed: &mut Placed| {
            for station in [NORTH, SOUTH] {
                placed.replica.heard(station, at + DAY).expect("the store is whole");
            }
            placed.replica.ask(&asked)
        };
        let records = county.record_bytes();
        let expected = answer(&mut county);
        prop_assert!(!records.is_empty());
        for (mut station, key) in stations.into_iter().zip(keys()) {
            prop_assert_eq!(station.replica.registry(), county.replica.registry());
            prop_assert_eq!(station.replica.chains(), county.replica.chains());
            prop_assert_eq!(station.record_bytes(), records.clone());
            prop_assert_eq!(answer(&mut station), expected.clone());
            let mut station = station.reopen(key);
            prop_assert_eq!(station.record_bytes(), records.clone());
            prop_assert_eq!(answer(&mut station), expected.clone());
        }
        let mut county = county.reopen(working());
        prop_assert_eq!(county.record_bytes(), records);
        prop_assert_eq!(answer(&mut county), expected);
    }
}
