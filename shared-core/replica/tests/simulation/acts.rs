//! Who does what next: crews, the lead, sticks, and everything that goes wrong.

use sponson_replica::{CarryInError, CarryScope, Replica};

use crate::clock::{DAY, HOUR, MINUTE, YEAR};
use crate::crew::Crew;
use crate::device::Sort;
use crate::invariants::{self, Held};
use crate::machine::key;
use crate::world::{DEVICES_MAX, Happening, World};

#[derive(Clone, Copy, Debug)]
enum Act {
    Work,
    Sync,
    Carry,
    Asks,
    Lead,
    Lies,
    Power,
    PowerInWrite,
    Clock,
    Parts,
    Copies,
    BacksUp,
    Restores,
    CountyBacksUp,
    CountyPutBack,
    CountyRestored,
    CountyRenews,
}

/// How often each happens.
const ACTS: &[(u64, Act)] = &[
    (40, Act::Work),
    (24, Act::Sync),
    (8, Act::Carry),
    (6, Act::Asks),
    (6, Act::Lead),
    (6, Act::Lies),
    (3, Act::Power),
    (4, Act::PowerInWrite),
    (4, Act::Clock),
    (2, Act::Parts),
    (1, Act::Copies),
    (2, Act::BacksUp),
    (1, Act::Restores),
    (2, Act::CountyBacksUp),
    (1, Act::CountyPutBack),
    (1, Act::CountyRestored),
    (1, Act::CountyRenews),
];

impl World {
    pub(crate) fn act(&mut self) -> Held {
        let act = self.chance.weighed(ACTS);
        let device = self.chance.index(self.devices.len());
        match act {
            Act::Work => self.works(device),
            Act::Sync => self.begins_sync(device),
            Act::Carry => {
                self.carries(device);
                Ok(())
            }
            Act::Asks => self.asks_somebody(),
            Act::Lead => self.lead_acts(),
            Act::Lies => self.lies(),
            Act::Power => {
                let which = self.somebody();
                if self.machine(which).replica.is_some() {
                    self.machine(which).power_off();
                    self.tally.count("power cut");
                    self.lost_power(which);
                }
                Ok(())
            }
            Act::PowerInWrite => {
                let which = self.somebody();
                let steps = u32::try_from(self.chance.below(6)).expect("a small number");
                self.machine(which).disk.power_goes_after(steps);
                Ok(())
            }
            Act::Clock => {
                let which = self.somebody();
                self.clock_goes_wrong(which)
            }
            Act::Parts => {
                self.parts();
                Ok(())
            }
            Act::Copies => {
                self.copies(device);
                Ok(())
            }
            Act::BacksUp => {
                let at = &mut self.devices[device];
                if at.is_up() {
                    at.backup = Some(at.machine.saved());
                }
                Ok(())
            }
            Act::Restores => self.restores(device),
            Act::CountyBacksUp => {
                self.county_backs_up();
                Ok(())
            }
            Act::CountyPutBack => self.county_is_put_back(),
            Act::CountyRestored => self.county_is_restored(),
            Act::CountyRenews => self.county_renews_its_key(),
        }
    }

    /// A device, or the county's machine.
    pub(crate) fn somebody(&mut self) -> Option<usize> {
        let which = self.chance.index(self.devices.len() + 1);
        (which < self.devices.len()).then_some(which)
    }

    fn works(&mut self, device: usize) -> Held {
        if !self.devices[device].is_up() {
            return Ok(());
        }
        let now = self.now;
        let machine = &mut self.devices[device].machine;
        let mut crew = Crew {
            held: machine.lines(),
            // Nothing is entered as seen after now, by the device's clock or by the true one.
            unix_ms: machine.now(now).unix_ms.min(now),
            chance: &mut self.chance,
            tally: &mut self.tally,
        };
        let event = crew.says();
        let kind = event.kind;
        let recorded = machine.record(event, now)?;
        let name = machine.name.clone();
        let id = self.recorded(Some(device), recorded);
        self.say(format!("{name}: {kind:?} {}", short(id)));
        Ok(())
    }

    /// Writes a carry file; the stick arrives some time later, whole or not.
    fn carries(&mut self, device: usize) {
        let from = if self.chance.one_in(5) {
            None
        } else {
            Some(device)
        };
        let to = self.somebody();
        let scope = if self.chance.one_in(3) {
            CarryScope::All
        } else {
            CarryScope::New
        };
        let now = self.now;
        let machine = self.machine(from);
        let unix_ms = machine.now(now).unix_ms;
        let name = machine.name.clone();
        let Some(replica) = machine.replica.as_ref().filter(|_| from != to) else {
            return;
        };
        let file = carry_file(replica, scope, unix_ms);
        self.say(format!("{name}: writes a carry file, {scope:?}"));
        let later = now + self.chance.between(MINUTE, 2 * DAY);
        self.at(later, Happening::Carried { to, file });
    }

    pub(crate) fn carried(&mut self, to: Option<usize>, file: &[u8]) -> Held {
        if self.machine(to).replica.is_none() {
            return Ok(());
        }
        let damaged = self.damages(file);
        let now = self.now;
        if let Some(session) = to.and_then(|to| self.devices[to].session.as_mut()) {
            session.is_disturbed = true;
        }
        let machine = self.machine(to);
        let name = machine.name.clone();
        let unix_ms = machine.now(now).unix_ms;
        let before = machine.up().about().events;
        let taken = machine
            .up()
            .carry_in(damaged.as_deref().unwrap_or(file), unix_ms);
        match (taken, damaged) {
            (Ok(_), Some(_)) => Err(format!("{name}: took in a damaged carry file")),
            (Err(_), Some(_)) if machine.up().about().events == before => Ok(()),
            (Err(error), Some(_)) => Err(format!("{name}: kept half of a file: {error}")),
            (Ok(kept), None) => {
                self.say(format!(
                    "{name}: takes {} from a carry file",
                    kept.new.len()
                ));
                self.machine(to).acknowledged.extend(kept.new);
                self.tally.count("carry file taken in");
                Ok(())
            }
            (Err(CarryInError::Store(error)), None) => {
                machine.failed(&error)?;
                self.tally.count("power cut in a write");
                self.lost_power(to);
                Ok(())
            }
            (Err(error), None) => Err(format!("{name}: refused a whole carry file: {error}")),
        }
    }

    /// The file as it arrives, when something happened to it.
    fn damages(&mut self, file: &[u8]) -> Option<Vec<u8>> {
        let at = self.chance.index(file.len());
        match self.chance.below(8) {
            0 => {
                self.tally.count("carry file cut");
                Some(file[..at].to_vec())
            }
            1 => {
                self.tally.count("carry file changed");
                let mut changed = file.to_vec();
                changed[at] ^= 1 << self.chance.below(8);
                Some(changed)
            }
            _ => None,
        }
    }

    fn asks_somebody(&mut self) -> Held {
        let which = self.somebody();
        if self.machine(which).replica.is_none() {
            return Ok(());
        }
        let now = self.now;
        let unix_ms = self.machine(which).now(now).unix_ms;
        let asked = self.machine(which).up().ask(&invariants::question(unix_ms));
        self.tally
            .add("craft asked about on the way", asked.craft.len() as u64);
        invariants::unfit_is_never_hidden_by_a_delay(self, which)?;
        self.checkpoints_stay_true(which)
    }

    /// Every checkpoint that the county gave stays true at a machine; once the county went back to
    /// an older state, those that this machine gave or kept itself.
    pub(crate) fn checkpoints_stay_true(&self, which: Option<usize>) -> Held {
        let machine = match which {
            Some(device) => &self.devices[device].machine,
            None => &self.county,
        };
        let Some(replica) = &machine.replica else {
            return Ok(());
        };
        invariants::every_checkpoint_given_stays_true(&machine.name, replica, &machine.given)?;
        if self.went_back > 0 {
            return Ok(());
        }
        let log = replica.log_id();
        if let Some(other) = self
            .given
            .iter()
            .find(|it| log.is_some_and(|log| it.log != log))
        {
            return Err(format!(
                "{} stands in {log:?}, not in {}",
                machine.name, other.log
            ));
        }
        invariants::every_checkpoint_given_stays_true(&machine.name, replica, &self.given)
    }

    fn clock_goes_wrong(&mut self, which: Option<usize>) -> Held {
        let back = self.chance.between(MINUTE, 3 * DAY);
        // The county's own is set right often enough for somebody to say so while it matters.
        let chosen = if which.is_none() && self.chance.one_in(3) {
            5
        } else {
            self.chance.below(6)
        };
        let clock = &mut self.machine(which).clock;
        let what = match chosen {
            0 => {
                clock.dies();
                "clock dead at 1970"
            }
            1 => {
                clock.is_off(YEAR);
                "clock a year ahead"
            }
            2 => {
                clock.is_off(back);
                "clock days ahead"
            }
            3 | 4 => {
                clock.is_off(-back);
                "clock stepped back"
            }
            _ => {
                clock.set_right();
                "clock set right"
            }
        };
        self.tally.count(what);
        let name = self.machine(which).name.clone();
        self.say(format!("{name}: {what}"));
        if which.is_none() {
            self.tally.count("clock of the county set");
            if chosen == 5 && !self.chance.one_in(4) {
                return self.says_clock_is_right();
            }
        }
        Ok(())
    }

    /// Somebody at the county sees that its clock is right, and says so.
    fn says_clock_is_right(&mut self) -> Held {
        let now = self.now;
        let Some(county) = &mut self.county.replica else {
            return Ok(());
        };
        let said = county
            .say_clock_is_right(now)
            .and_then(|ahead| county.forget_heard_to_come(now).map(|()| ahead));
        match said {
            Ok(ahead) => {
                if ahead > 0 {
                    self.tally.count("county's clock said to be right");
                }
                self.say(format!("county: its clock is right, {ahead} were ahead"));
                Ok(())
            }
            Err(error) => {
                self.county.failed(&error)?;
                self.tally.count("power cut in a write");
                self.lost_power(None);
                Ok(())
            }
        }
    }

    fn parts(&mut self) {
        self.tally.count("partition");
        for device in 0..self.devices.len() {
            if self.chance.one_in(2) {
                self.cut_off.insert(device);
            }
        }
        self.say(format!("cut off: {:?}", self.cut_off));
        let later = self.now + self.chance.between(HOUR, 2 * DAY);
        self.at(later, Happening::Heals);
    }

    /// Somebody uses a copy of the store beside the original.
    fn copies(&mut self, device: usize) {
        if self.devices.len() >= DEVICES_MAX || !self.devices[device].is_up() {
            return;
        }
        self.tally.count("store copied and used twice");
        let at = &mut self.devices[device];
        at.is_only_one = false;
        let name = format!("{} (copy {})", at.machine.name, device);
        let copy = at.copied(name.clone(), Sort::Copy);
        self.devices.push(copy);
        self.say(format!("{name}: begins"));
    }

    /// A tablet goes back to an old backup: what only it held is gone.
    fn restores(&mut self, device: usize) -> Held {
        let at = &mut self.devices[device];
        let Some(saved) = at.backup.take() else {
            return Ok(());
        };
        at.machine.go_back(saved);
        at.session = None;
        at.is_only_one = false;
        at.recorded.clear();
        let name = at.machine.name.clone();
        self.tally.count("backup restored");
        self.say(format!("{name}: goes back to an old backup"));
        self.starts(Some(device))
    }
}

/// A carry file of a replica.
pub(crate) fn carry_file(replica: &Replica, scope: CarryScope, unix_ms: i64) -> Vec<u8> {
    let mut file = Vec::new();
    replica.carry_out(scope, unix_ms, &mut |bytes| file.extend(bytes));
    file
}

/// The beginning of an id, as the trace shows it.
pub(crate) fn short(id: Option<sponson_log::ids::EventId>) -> String {
    id.map_or_else(
        || "not kept".to_owned(),
        |id| id.to_string().chars().take(8).collect(),
    )
}

/// A key that nobody admitted.
pub(crate) fn stranger() -> sponson_log::sign::DeviceKey {
    key(99)
}
