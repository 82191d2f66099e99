//! What the lead has the county write: keys admitted late, ended, replaced, roles, sheets.

use sponson_log::event::SignedEvent;
use sponson_log::ids::{EventId, Key};
use sponson_proto::event::v1::Role;
use sponson_replica::NewEvent;

use crate::acts::short;
use crate::device::{Device, Sort};
use crate::invariants::Held;
use crate::machine::Machine;
use crate::said;
use crate::world::{CREW, DEVICES_MAX, LEAD, MAINTENANCE, World};

impl World {
    pub(crate) fn lead_acts(&mut self) -> Held {
        if self.county.replica.is_none() || self.county_is_paused()? {
            return Ok(());
        }
        let device = self.chance.index(self.devices.len());
        match self.chance.below(8) {
            0 | 1 => self.admits_late(),
            2 | 3 => self.ends(device),
            4 | 5 => self.gives_role(device),
            6 => self.replaces(device),
            _ => {
                self.tally.count("sheet adopted late");
                self.revision += 1;
                let sheet = said::adopt(self.revision);
                self.writes(sheet, "a sheet")
            }
        }
    }

    fn writes(&mut self, event: NewEvent, what: &str) -> Held {
        let now = self.now;
        let recorded = self.county.record(event, now)?;
        let id = self.recorded(None, recorded);
        self.say(format!("county: {what} {}", short(id)));
        Ok(())
    }

    fn admits_late(&mut self) -> Held {
        self.tally.count("admitted late");
        let west = &self.devices[2];
        let admitted = said::admit(west.machine.key(), west.station, CREW, None);
        self.writes(admitted, "admits West")
    }

    /// An event of a key's chain that the county holds: a place from which something applies.
    fn place(&mut self, key: &Key) -> Option<(u64, EventId)> {
        let held = chain_of(&self.county, key);
        let event = self.chance.pick(&held)?;
        Some((event.header().seq, event.id()))
    }

    fn ends(&mut self, device: usize) -> Held {
        // Not the lead's own for most of the time: without it nothing is dismissed any more.
        if device == 0 && !self.chance.one_in(4) {
            return Ok(());
        }
        let key = self.devices[device].machine.key();
        let last_good = self.place(&key).filter(|_| !self.chance.one_in(8));
        self.tally.count("key ended");
        let name = self.devices[device].machine.name.clone();
        let at = last_good.map_or(0, |(seq, _)| seq);
        self.writes(said::end(key, last_good), &format!("ends {name} at {at}"))?;
        // Now and then the lead finds out more, and ends it elsewhere.
        if self.county.replica.is_none() || !self.chance.one_in(4) {
            return Ok(());
        }
        let last_good = self.place(&key);
        let at = last_good.map_or(0, |(seq, _)| seq);
        self.writes(
            said::end(key, last_good),
            &format!("ends {name} at {at} instead"),
        )
    }

    fn gives_role(&mut self, device: usize) -> Held {
        let key = self.devices[device].machine.key();
        let after = self.place(&key).filter(|_| !self.chance.one_in(8));
        let roles = [CREW, MAINTENANCE, LEAD, &[Role::Reader]];
        let roles = roles[self.chance.index(roles.len())];
        self.tally.count("role given late");
        let name = self.devices[device].machine.name.clone();
        let from = after.map_or(1, |(seq, _)| seq + 1);
        let given = said::give_role(key, roles, after);
        self.writes(given, &format!("gives {name} {roles:?} from {from}"))
    }

    /// A device is reinstalled: its old key ends, a new one takes over.
    fn replaces(&mut self, device: usize) -> Held {
        if self.devices.len() >= DEVICES_MAX || device == 0 {
            return Ok(());
        }
        let old = self.devices[device].machine.key();
        let last = chain_of(&self.county, &old)
            .last()
            .map(|event| (event.header().seq, event.id()));
        let Some((_, head)) = last else {
            return Ok(());
        };
        let station = self.devices[device].station;
        let seed = u8::try_from(20 + self.devices.len()).expect("a few devices");
        let name = format!("{} (new {seed})", self.devices[device].machine.name);
        let new = Device::join(&name, seed, station, Sort::Honest);
        let admitted = said::admit(new.machine.key(), station, CREW, Some((old, head)));
        self.devices.push(new);
        self.tally.count("device replaced");
        self.writes(said::end(old, last), "ends the key of a device")?;
        if self.county.replica.is_none() {
            return Ok(());
        }
        self.writes(admitted, &format!("admits {name}"))
    }
}

/// Events of a key that a machine holds, in the order of keeping.
fn chain_of(machine: &Machine, key: &Key) -> Vec<SignedEvent> {
    let lines = machine.lines().into_iter().map(|line| line.event);
    lines.filter(|event| event.header().key == *key).collect()
}
