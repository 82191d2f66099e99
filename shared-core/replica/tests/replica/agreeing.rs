//! Replicas that hold the same events and the same county log say the same, whatever came when:
//! stations apart, carried events, a copied store, keys admitted late and ended after the fact.

use proptest::prelude::*;
use proptest::test_runner::TestCaseResult;
use sponson_log::event::SignedEvent;
use sponson_log::ids::EventId;
use sponson_log::sign::DeviceKey;
use sponson_proto::event::v1::{self as wire, Kind, Role, SubjectType};
use sponson_proto::store::v1::ChunkSource;
use sponson_readiness::engine::Question;
use sponson_readiness::moment::Moment;
use sponson_replica::{Knowing, NewEvent, Replica};

use crate::asking::question;
use crate::county::{
    CRAFT, DAY, MINUTE, MOTOR, NORTH, Placed, SOUTH, START, about, admit, admit_as,
    craft_registered, end, event, fault, found, join, key, next_run, north, out_of_service,
    reading, sign_off, south, stranger, sync, working,
};
use crate::durable::copy;

/// One thing that happens: who, what, with which argument.
type Happening = (usize, u8, usize);

/// Devices: north, south, a crew's, one not admitted, and a copy of the north's store.
const DEVICES: usize = 5;

struct World {
    county: Placed,
    devices: Vec<Placed>,
    now: i64,
}

fn crew() -> DeviceKey {
    key(5)
}

fn key_of(device: usize) -> DeviceKey {
    [north(), south(), crew(), stranger(), north()][device].clone()
}

impl World {
    fn begun() -> Self {
        let mut county = found();
        county.append(admit_as(&crew(), NORTH, &[Role::Crew]), START + 10 * MINUTE);
        let now = START + DAY;
        let mut first = join(north());
        sync(&mut first, &mut county, now);
        first.append(craft_registered("4-1", NORTH), now);
        sync(&mut first, &mut county, now);
        let mut devices = vec![first, join(south()), join(crew()), join(stranger())];
        for device in &mut devices {
            sync(device, &mut county, now);
        }
        let folder = copy(devices[0].folder.path());
        let replica = Replica::open(folder.path(), north()).expect("the copy opens");
        devices.push(Placed { replica, folder });
        Self {
            county,
            devices,
            now,
        }
    }

    fn happens(&mut self, (device, what, argument): Happening) {
        self.now += 47 * MINUTE;
        let now = self.now;
        match what {
            0..=8 => {
                let event = self.draft(device, what, argument);
                // One clock is a year ahead, one is dead.
                let claimed = [now, now + 365 * DAY, now, 0, now][device];
                self.devices[device].append(event, claimed);
            }
            9..=11 => sync(&mut self.devices[device], &mut self.county, now),
            12 | 13 => self.carried(device, argument % DEVICES, argument),
            14 => {
                let keys = [stranger(), crew()];
                let roles = [Role::Crew, Role::Maintenance];
                let key = &keys[argument % 2];
                self.county.append(admit_as(key, SOUTH, &roles), now);
            }
            15 => self.ended(device, argument),
            16 => self.dismissed(device, argument),
            _ => self.role_given(device, argument),
        }
    }

    fn draft(&self, device: usize, what: u8, argument: usize) -> NewEvent {
        let held = self.devices[device].events();
        let last = |kind: Kind| {
            let mut of_kind = held
                .iter()
                .rev()
                .filter(|it| it.header().kind == kind as i32);
            of_kind.nth(argument % 3).map(SignedEvent::id)
        };
        let pa = 15_000 + i64::try_from(argument).expect("it is small") * 100;
        match what {
            0 | 1 => reading(pa),
            2 => fault("leak"),
            3 => last(Kind::Fault).map_or_else(|| reading(pa), sign_off),
            4 => out_of_service(),
            5 => last(Kind::OutOfService).map_or_else(out_of_service, returned),
            6 => last(Kind::Check).map_or_else(|| reading(pa), |id| corrected(id, pa)),
            7 => last(Kind::Fault).map_or_else(|| fault("tear"), withdrawn),
            _ => fitted(),
        }
    }

    /// What one device holds goes to another on a stick, from somewhere on.
    fn carried(&mut self, from: usize, to: usize, skip: usize) {
        let mut events = self.devices[from].events();
        let turned = skip % events.len();
        events.rotate_left(turned);
        // What does not fit yet is refused and comes another time.
        let kept = self.devices[to]
            .replica
            .keep(events, ChunkSource::Carry, self.now);
        kept.expect("the store is whole");
    }

    fn chain_event(&self, device: usize, argument: usize) -> Option<(u64, EventId)> {
        let key = key_of(device).key();
        let chain: Vec<SignedEvent> = self.county.events();
        let mut own = chain.iter().filter(|it| it.header().key == key);
        let count = own.clone().count();
        let event = own.nth(argument.checked_rem(count)?)?;
        Some((event.header().seq, event.id()))
    }

    fn ended(&mut self, device: usize, argument: usize) {
        let last_good = self.chain_event(device, argument);
        self.county
            .append(end(&key_of(device), last_good), self.now);
    }

    fn dismissed(&mut self, device: usize, argument: usize) {
        let Some((from_seq, id)) = self.chain_event(device, argument) else {
            return;
        };
        let payload = wire::Dismissed {
            key: key_of(device).key().to_bytes(),
            from_seq,
            from_event: id.to_bytes(),
        };
        let held = self.devices[1].replica.holds(&id);
        if held {
            self.devices[1].append(event(Kind::Dismissed, &payload), self.now);
        }
    }

    fn role_given(&mut self, device: usize, argument: usize) {
        let Some((seq, id)) = self.chain_event(device, argument) else {
            return;
        };
        let payload = wire::RoleGiven {
            key: key_of(device).key().to_bytes(),
            roles: vec![Role::Crew as i32],
            from_seq: seq + 1,
            after: id.to_bytes(),
        };
        let subject = (SOUTH, SubjectType::Station);
        self.county
            .append(about(Kind::RoleGiven, &payload, subject), self.now);
    }
}

fn returned(out: EventId) -> NewEvent {
    let payload = wire::Returned {
        ends: vec![out.to_bytes()],
    };
    event(Kind::Returned, &payload)
}

fn corrected(original: EventId, gauge_pa: i64) -> NewEvent {
    let payload = wire::Correction {
        original: original.to_bytes(),
        r#type: wire::CorrectionType::Restated as i32,
        payload: reading(gauge_pa).payload.into(),
        kind_version: 1,
    };
    event(Kind::Correction, &payload)
}

fn withdrawn(original: EventId) -> NewEvent {
    let payload = wire::Correction {
        original: original.to_bytes(),
        r#type: wire::CorrectionType::Withdrawn as i32,
        ..wire::Correction::default()
    };
    event(Kind::Correction, &payload)
}

fn fitted() -> NewEvent {
    let payload = wire::Fitted {
        gear: MOTOR.to_bytes(),
        craft: CRAFT.to_bytes(),
        part: "motor".to_owned(),
    };
    NewEvent {
        subjects: vec![(CRAFT, SubjectType::Craft), (MOTOR, SubjectType::Gear)],
        ..event(Kind::Fitted, &payload)
    }
}

fn check(happenings: &[Happening]) -> TestCaseResult {
    let mut world = World::begun();
    for happening in happenings {
        world.happens(*happening);
        // Some ask in between, so that what is kept up to date is not only made at the end.
        world.devices[happening.0].record_bytes();
        world.county.record_bytes();
    }
    let World {
        mut county,
        mut devices,
        now,
    } = world;
    for _ in 0..2 {
        for device in &mut devices {
            sync(device, &mut county, now);
        }
    }
    let asked = question(now + DAY);
    // A device hears its own station now: when each was heard is made the same for all.
    let answered = |placed: &mut Placed| {
        for station in [NORTH, SOUTH] {
            let heard = placed.replica.heard(station, now + DAY);
            heard.expect("the store is whole");
        }
        placed.replica.ask(&asked)
    };
    let records = county.record_bytes();
    let answer = answered(&mut county);
    let mut late = join(key(8));
    sync(&mut late, &mut county, now);
    devices.push(late);
    for (at, device) in devices.iter_mut().enumerate() {
        prop_assert_eq!(&device.record_bytes(), &records, "device {}", at);
        prop_assert_eq!(&answered(device), &answer, "device {}", at);
    }
    known_then(&mut county, &mut devices)?;
    let mut county = county.reopen(working());
    prop_assert_eq!(county.record_bytes(), records);
    prop_assert_eq!(answered(&mut county), answer);
    Ok(())
}

/// What was known by each size of the county log is what a copy says that holds no more than that.
fn known_then(county: &mut Placed, devices: &mut [Placed]) -> TestCaseResult {
    let mut bare = join(key(7));
    let entries = county.replica.tree().size();
    for size in 1..=entries {
        let run = next_run(&bare.replica, &county.replica, 1, START);
        bare.replica.keep_run(&run, START).expect("it continues");
        let known = county.replica.known(Knowing::Size(size), Moment(START));
        let known = known.expect("the county holds it");
        // The last entry's time, and one before it.
        for as_of in [known.at, known.at.plus_ms(-DAY / 2)] {
            let asked = Question {
                as_of,
                now: known.at,
                ..question(START)
            };
            let alone = bare.replica.ask(&asked);
            let said = county.replica.ask_known(&asked, known).answer;
            prop_assert_eq!(&said, &alone, "size {} of {}", size, entries);
            if size % 7 == 0 {
                for device in devices.iter_mut() {
                    let said = device.replica.ask_known(&asked, known).answer;
                    prop_assert_eq!(&said, &alone, "size {} of {}", size, entries);
                }
            }
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    #[test]
    fn the_same_events_give_the_same_records_and_answers(
        happenings in prop::collection::vec((0..DEVICES, 0..18_u8, 0..50_usize), 1..40),
    ) {
        check(&happenings)?;
    }
}

#[test]
fn a_key_admitted_late_counts_from_its_first_event_everywhere() {
    let mut county = found();
    let mut station = join(stranger());
    sync(&mut station, &mut county, START + DAY);
    station.append(craft_registered("4-1", NORTH), START + DAY);
    sync(&mut station, &mut county, START + DAY);
    county.append(admit(&stranger(), NORTH), START + 2 * DAY);
    sync(&mut station, &mut county, START + 2 * DAY);
    assert_eq!(station.record_bytes(), county.record_bytes());
    assert!(
        county
            .replica
            .records()
            .values()
            .all(|it| it.unconfirmed.is_empty())
    );
}
