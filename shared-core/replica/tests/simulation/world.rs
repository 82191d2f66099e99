//! The simulated county: its machines, what is on its way between them, and its time, which moves
//! from one happening to the next.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use sponson_log::checkpoint::Checkpoint;
use sponson_log::ids::{EventId, LogId};
use sponson_proto::event::v1::Role;
use sponson_proto::store::v1::ChunkSource;
use sponson_replica::{Founding, Undurable};

use crate::chance::Chance;
use crate::clock::{HOUR, MINUTE, START};
use crate::device::{Device, Sort};
use crate::invariants::Held;
use crate::machine::{Machine, PowerCut, Saved};
use crate::network::Message;
use crate::said::{self, Found, station};
use crate::tally::Tally;

/// What everybody may do.
pub(crate) const LEAD: &[Role] = &[Role::Crew, Role::Maintenance, Role::Lead];
/// What a crew with a mechanic may do.
pub(crate) const MAINTENANCE: &[Role] = &[Role::Crew, Role::Maintenance];
/// What a crew may do.
pub(crate) const CREW: &[Role] = &[Role::Crew];

/// Devices at most, copies and replacements with them.
pub(crate) const DEVICES_MAX: usize = 8;

/// Acts in an hour of a busy day: every two minutes.
const BUSY_ACTS_AN_HOUR: u32 = 30;

/// Something that happens at its time.
#[derive(Debug)]
pub(crate) enum Happening {
    /// Somebody does something.
    Act,
    /// A message arrives.
    Arrives(Message),
    /// A device waits no longer for a reply.
    GivesUp {
        /// The device.
        device: usize,
        /// Its sync.
        token: u64,
    },
    /// A stick with a carry file is put in.
    Carried {
        /// The device; the county's machine when none.
        to: Option<usize>,
        /// What is on it.
        file: Vec<u8>,
    },
    /// A machine without power starts again.
    Starts {
        /// The device; the county's machine when none.
        which: Option<usize>,
    },
    /// The network is whole again.
    Heals,
}

/// What happened, in words, shared with whoever prints it after a panic.
pub(crate) type Trace = Arc<Mutex<Vec<String>>>;

/// The county and its stations.
pub(crate) struct World {
    pub(crate) chance: Chance,
    pub(crate) tally: Tally,
    pub(crate) now: i64,
    queue: BTreeMap<(i64, u64), Happening>,
    queued: u64,
    pub(crate) county: Machine,
    pub(crate) devices: Vec<Device>,
    /// Devices that nothing reaches.
    pub(crate) cut_off: BTreeSet<usize>,
    /// Every checkpoint that the county gave.
    pub(crate) given: Vec<Checkpoint>,
    /// Events that nobody may keep: forged or altered.
    pub(crate) forged: BTreeSet<EventId>,
    /// An old copy of all that the county had.
    pub(crate) county_saved: Option<Saved>,
    /// How often it came back from one.
    pub(crate) went_back: u32,
    /// Whether it went back to an old copy, and nobody has shown it what it signed since.
    pub(crate) is_blind: bool,
    /// What it recorded then.
    pub(crate) blindly: BTreeSet<EventId>,
    /// Logs that the county began.
    pub(crate) drawn: u8,
    /// Working keys that the root admitted after the first.
    pub(crate) renewed: u8,
    pace: Pace,
    pub(crate) acts_left: u32,
    pub(crate) revision: u32,
    trace: Trace,
}

/// How much happens.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Pace {
    /// Some days of a county in which mostly little happens: 30 to 89 acts, fewer when so many are
    /// said.
    Life { acts_max: u32 },
    /// So many hours in which somebody does something every two minutes.
    Busy { hours: u32 },
}

/// A county in its first hour, made once: every simulation begins with copies of its disks.
struct Beginning {
    county: Machine,
    devices: Vec<Device>,
    given: Vec<Checkpoint>,
}

impl World {
    pub(crate) fn begin(seed: u64, pace: Pace, trace: Trace) -> Self {
        static BEGINNING: OnceLock<Mutex<Beginning>> = OnceLock::new();
        let beginning = BEGINNING.get_or_init(|| Mutex::new(beginning()));
        let beginning = beginning.lock().unwrap_or_else(PoisonError::into_inner);
        let mut chance = Chance::new(seed);
        let acts = u32::try_from(chance.between(30, 90)).expect("a small number");
        let acts_left = match pace {
            Pace::Life { acts_max } => acts.min(acts_max),
            Pace::Busy { hours } => hours.saturating_mul(BUSY_ACTS_AN_HOUR),
        };
        let devices = beginning.devices.iter();
        let mut world = Self {
            now: START + HOUR,
            queue: BTreeMap::new(),
            queued: 0,
            county: beginning.county.copied(),
            devices: devices
                .map(|device| device.copied(device.machine.name.clone(), device.sort))
                .collect(),
            cut_off: BTreeSet::new(),
            given: beginning.given.clone(),
            forged: BTreeSet::new(),
            county_saved: None,
            went_back: 0,
            is_blind: false,
            blindly: BTreeSet::new(),
            drawn: 0,
            renewed: 0,
            pace,
            acts_left,
            revision: 1,
            tally: Tally::default(),
            chance,
            trace,
        };
        world.at(world.now, Happening::Act);
        world
    }

    /// Until nobody does anything more. What is on its way then is lost.
    pub(crate) fn play(&mut self) -> Held {
        while let Some(((at, _), happening)) = self.queue.pop_first() {
            self.now = self.now.max(at);
            match happening {
                Happening::Act => {
                    if self.acts_left == 0 {
                        let hours = (self.now - START) / HOUR;
                        self.tally.add("hours of the county", hours.unsigned_abs());
                        return Ok(());
                    }
                    self.acts_left -= 1;
                    self.act()?;
                    let gap = self.gap();
                    self.at(self.now + gap, Happening::Act);
                }
                Happening::Arrives(message) => self.arrives(message)?,
                Happening::GivesUp { device, token } => self.gives_up(device, token),
                Happening::Carried { to, file } => self.carried(to, &file)?,
                Happening::Starts { which } => self.starts(which)?,
                Happening::Heals => {
                    self.say("the network is whole again".to_owned());
                    self.cut_off.clear();
                }
            }
        }
        Ok(())
    }

    /// Mostly minutes, now and then most of a day; on a busy day never.
    fn gap(&mut self) -> i64 {
        if let Pace::Busy { .. } = self.pace {
            return self
                .chance
                .between(0, 2 * HOUR / i64::from(BUSY_ACTS_AN_HOUR));
        }
        match self.chance.below(8) {
            0 => self.chance.between(HOUR, 20 * HOUR),
            1 | 2 => self.chance.between(0, MINUTE),
            _ => self.chance.between(MINUTE, 40 * MINUTE),
        }
    }

    pub(crate) fn at(&mut self, at: i64, happening: Happening) {
        self.queue.insert((at, self.queued), happening);
        self.queued += 1;
    }

    /// Forgets what is on its way.
    pub(crate) fn nothing_more_arrives(&mut self) {
        self.queue.clear();
    }

    pub(crate) fn say(&self, what: String) {
        let minutes = (self.now - START) / MINUTE;
        let mut trace = self.trace.lock().unwrap_or_else(PoisonError::into_inner);
        trace.push(format!("{minutes:>6} min  {what}"));
    }

    /// The machine of a device; the county's when none is named.
    pub(crate) fn machine(&mut self, which: Option<usize>) -> &mut Machine {
        match which {
            Some(device) => &mut self.devices[device].machine,
            None => &mut self.county,
        }
    }

    /// Notes that the power of a machine went; it starts again some time later.
    pub(crate) fn lost_power(&mut self, which: Option<usize>) {
        if let Some(device) = which {
            self.devices[device].session = None;
        }
        let name = self.machine(which).name.clone();
        self.say(format!("{name}: the power goes"));
        let later = self.now + self.chance.between(MINUTE, 3 * HOUR);
        self.at(later, Happening::Starts { which });
    }

    pub(crate) fn starts(&mut self, which: Option<usize>) -> Held {
        let undurable = if self.chance.one_in(2) {
            Undurable::Lost
        } else {
            Undurable::Kept
        };
        let now = self.now;
        let machine = self.machine(which);
        if machine.replica.is_some() {
            return Ok(());
        }
        machine.power_on(undurable, now)?;
        let name = machine.name.clone();
        self.say(format!("{name}: starts again, undurable {undurable:?}"));
        self.tally.count(match undurable {
            Undurable::Lost => "undurable batch lost",
            Undurable::Kept => "undurable batch kept",
        });
        if which.is_none() {
            self.tally.count("county restarted");
        }
        Ok(())
    }

    /// What a machine recorded, or that its power went meanwhile.
    pub(crate) fn recorded(
        &mut self,
        which: Option<usize>,
        recorded: Result<EventId, PowerCut>,
    ) -> Option<EventId> {
        match recorded {
            Ok(id) => {
                self.tally.count("events recorded");
                if which.is_none() && self.is_blind {
                    self.blindly.insert(id);
                }
                if let Some(device) = which {
                    let now = self.now;
                    self.devices[device].recorded.push((id, now));
                }
                Some(id)
            }
            Err(PowerCut) => {
                self.tally.count("power cut in a write");
                self.lost_power(which);
                None
            }
        }
    }
}

fn beginning() -> Beginning {
    let founding = Founding::County {
        county: said::county_id(),
        root: said::root_key(),
        log: LogId::from_bytes([0xaa; 16]),
    };
    let mut county = Machine::found("county", said::WORKING, 0, &founding);
    let first = vec![said::root_admits_working()];
    let kept = county.up().keep(first, ChunkSource::Own, START);
    county
        .acknowledged
        .extend(kept.expect("there is power").new);
    // The third station's device is admitted late; the fourth is in the hands of a liar.
    let mut devices = vec![
        Device::join("North", 11, station(1), Sort::Honest),
        Device::join("South", 12, station(2), Sort::Honest),
        Device::join("West", 13, station(3), Sort::Honest),
        Device::join("Quay", 14, station(4), Sort::Liar),
    ];
    let roles = [LEAD, MAINTENANCE, CREW, CREW];
    let mut events = vec![said::policy(), said::adopt(1)];
    events.extend((1..=4).map(said::station_registered));
    for (at, device) in devices.iter().enumerate().filter(|(at, _)| *at != 2) {
        events.push(said::admit(
            device.machine.key(),
            device.station,
            roles[at],
            None,
        ));
    }
    let record = |machine: &mut Machine, event| {
        let recorded = machine.record(event, START).expect("it is right");
        recorded.expect("there is power");
    };
    for event in events {
        record(&mut county, event);
    }
    let lead = &mut devices[0].machine;
    record(lead, said::craft_registered(0, station(1)));
    record(lead, said::craft_registered(1, station(2)));
    record(lead, said::motor_registered(station(1)));
    for number in [0, 1] {
        let check = Found::RIGHT.message(None);
        let kind = sponson_proto::event::v1::Kind::Check;
        record(lead, said::of_craft(kind, &check, said::craft(number)));
    }
    let mut given = Vec::new();
    for _ in 0..2 {
        for at in [0, 1, 3] {
            let met = crate::meeting::meet(&mut devices[at], &mut county, START, &mut 0);
            given.extend(met.expect("the network is whole").given);
        }
    }
    Beginning {
        county,
        devices,
        given,
    }
}
