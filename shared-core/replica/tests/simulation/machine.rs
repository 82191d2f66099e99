//! A machine with a replica: its disk, its clock, its power, and what it said that it keeps.

use std::collections::BTreeSet;
use std::sync::OnceLock;

use sponson_log::checkpoint::Checkpoint;
use sponson_log::event::SignedEvent;
use sponson_log::ids::{EventId, Key};
use sponson_log::sign::DeviceKey;
use sponson_proto::event::v1::Kind;
use sponson_replica::{
    AppendError, Founding, LogLine, NewEvent, Now, OpenError, Page, Replica, SimulatedDisk,
    StoreError, Undurable,
};

use crate::clock::DeviceClock;
use crate::invariants::{self, Held};

/// A machine.
#[derive(Debug)]
pub(crate) struct Machine {
    pub(crate) name: String,
    pub(crate) seed: u8,
    /// The key that takes the other's place, from before the store knows of it.
    pub(crate) next_seed: Option<u8>,
    pub(crate) disk: SimulatedDisk,
    /// None while it has no power.
    pub(crate) replica: Option<Replica>,
    pub(crate) clock: DeviceClock,
    /// Events that it said it keeps.
    pub(crate) acknowledged: BTreeSet<EventId>,
    /// Checkpoints that it gave, at the county; that it keeps, at a device.
    pub(crate) given: Vec<Checkpoint>,
}

/// A copy of all that a machine has: what a backup or an old copy of its folder holds.
#[derive(Clone, Debug)]
pub(crate) struct Saved {
    pub(crate) seed: u8,
    pub(crate) disk: SimulatedDisk,
    pub(crate) acknowledged: BTreeSet<EventId>,
    pub(crate) given: Vec<Checkpoint>,
}

/// The power went while it wrote.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct PowerCut;

impl Machine {
    /// A machine that founds its store.
    pub(crate) fn found(name: &str, seed: u8, clock: u8, founding: &Founding) -> Self {
        let disk = SimulatedDisk::default();
        let replica = Replica::create_simulated(&disk, founding, key(seed));
        Self {
            name: name.to_owned(),
            seed,
            next_seed: None,
            disk,
            replica: Some(replica.expect("a new store")),
            clock: DeviceClock::new(clock),
            acknowledged: BTreeSet::new(),
            given: Vec::new(),
        }
    }

    /// The same machine on a copy of its disk.
    pub(crate) fn copied(&self) -> Self {
        let disk = self.disk.copied();
        let replica = Replica::open_simulated(&disk, key(self.seed));
        Self {
            name: self.name.clone(),
            seed: self.seed,
            next_seed: None,
            disk,
            replica: Some(replica.expect("a store that was closed rightly")),
            clock: self.clock.clone(),
            acknowledged: self.acknowledged.clone(),
            given: self.given.clone(),
        }
    }

    /// A copy of what it has, beside it.
    pub(crate) fn saved(&self) -> Saved {
        Saved {
            seed: self.seed,
            disk: self.disk.copied(),
            acknowledged: self.acknowledged.clone(),
            given: self.given.clone(),
        }
    }

    /// Has what it had then, and no power yet.
    pub(crate) fn go_back(&mut self, saved: Saved) {
        self.power_off();
        self.seed = saved.seed;
        self.next_seed = None;
        self.disk = saved.disk;
        self.acknowledged = saved.acknowledged;
        self.given = saved.given;
    }

    pub(crate) fn device_key(&self) -> &'static DeviceKey {
        made(self.seed).0
    }

    pub(crate) fn key(&self) -> Key {
        made(self.seed).1
    }

    pub(crate) fn now(&self, true_now: i64) -> Now {
        self.clock.now(true_now)
    }

    /// The replica of a machine that has power.
    pub(crate) fn up(&mut self) -> &mut Replica {
        self.replica.as_mut().expect("it has power")
    }

    /// Records a statement; the event's id once it is durable.
    pub(crate) fn record(
        &mut self,
        event: NewEvent,
        true_now: i64,
    ) -> Result<Result<EventId, PowerCut>, String> {
        let now = self.now(true_now);
        let kind = event.kind;
        match self.up().append(event, &now) {
            Ok(appended) => {
                self.acknowledged.insert(appended.id);
                Ok(Ok(appended.id))
            }
            Err(AppendError::Store(error)) => self.failed(&error).map(Err),
            Err(error) => Err(format!("{}: a {kind:?} was refused: {error}", self.name)),
        }
    }

    /// What a failed store means here: the power went, or the replica is wrong.
    pub(crate) fn failed(&mut self, error: &StoreError) -> Result<PowerCut, String> {
        match error {
            StoreError::Write(_) | StoreError::NoAnswer(_) | StoreError::Poisoned => {
                self.power_off();
                Ok(PowerCut)
            }
            StoreError::Row(_)
            | StoreError::NotAStation
            | StoreError::NotTheCounty
            | StoreError::Beginning(_)
            | StoreError::RunPlace { .. }
            | StoreError::RunEntry { .. }
            | StoreError::RunRoot { .. } => Err(format!("{}: {error}", self.name)),
        }
    }

    pub(crate) fn power_off(&mut self) {
        self.replica = None;
    }

    /// Starts again: everything that it said it keeps is there.
    pub(crate) fn power_on(&mut self, undurable: Undurable, true_now: i64) -> Held {
        self.disk.power_comes_back(undurable);
        self.clock.boot(true_now);
        let mut opened = Replica::open_simulated(&self.disk, key(self.seed));
        // The power may have gone between the next key's file and the store, or after that.
        if let (Err(OpenError::OtherKey { .. }), Some(next)) = (&opened, self.next_seed) {
            self.seed = next;
            opened = Replica::open_simulated(&self.disk, key(next));
        }
        self.next_seed = None;
        let replica = opened.map_err(|error| format!("{} does not start: {error}", self.name))?;
        invariants::nothing_acknowledged_is_lost(&self.name, &replica, &self.acknowledged)?;
        self.replica = Some(replica);
        Ok(())
    }

    /// All events held, in the order of keeping.
    pub(crate) fn lines(&self) -> Vec<LogLine> {
        let replica = self.replica.as_ref().expect("it has power");
        lines(replica)
    }

    /// Events of a kind that are held.
    pub(crate) fn events_of(&self, kind: Kind) -> Vec<SignedEvent> {
        let lines = self.lines().into_iter().map(|line| line.event);
        lines
            .filter(|event| event.header().kind == kind as i32)
            .collect()
    }
}

/// All events that a replica holds, page by page: a long day has more than one.
pub(crate) fn lines(replica: &Replica) -> Vec<LogLine> {
    let mut held = Vec::new();
    let mut page = Page::Newest;
    loop {
        let older = replica.log_page(None, page, 1_000);
        let older = older.expect("rows are whole");
        let first = older.first().map_or(0, |line| line.number);
        held.splice(0..0, older);
        if first == 0 {
            return held;
        }
        page = Page::Before(first);
    }
}

/// The key of a seed.
pub(crate) fn key(seed: u8) -> DeviceKey {
    made(seed).0.clone()
}

/// The key of a seed and its public half, made once: to make one is as slow as to sign.
fn made(seed: u8) -> (&'static DeviceKey, Key) {
    static MADE: [OnceLock<(DeviceKey, Key)>; 256] = [const { OnceLock::new() }; 256];
    let (key, public) = MADE[usize::from(seed)].get_or_init(|| {
        let key = DeviceKey::from_seed([seed; 32]);
        let public = key.key();
        (key, public)
    });
    (key, *public)
}
