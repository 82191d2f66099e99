//! The end of a simulation: faults stop, everybody meets, and every invariant is looked at.

use sponson_replica::{CarryScope, Replica, Undurable};

use crate::acts::carry_file;
use crate::clock::HOUR;
use crate::county::let_in;
use crate::device::Device;
use crate::invariants::{
    Held, Same, every_checkpoint_given_stays_true, everything_verifies, no_event_twice,
    nothing_acknowledged_is_lost, same_answer_everywhere, unfit_is_never_hidden_by_a_merge,
    untrusted_never_relieves,
};
use crate::machine::{Machine, lines};
use crate::meeting::meet;
use crate::world::World;

/// After so many meetings with each device all hold the same: the first brings everything to the
/// county, the second brings everything home.
const MEETINGS: u32 = 2;

/// Rounds of a sync beside those that carry events: the first, and one that finds nothing more.
const ROUNDS_BESIDE: u64 = 4;

/// Events that one round carries at least: the least chunk over the longest note.
const EVENTS_A_ROUND: u64 = 1;

impl World {
    /// Faults stop.
    pub(crate) fn settles(&mut self) -> Held {
        self.say("faults stop".to_owned());
        self.nothing_more_arrives();
        self.cut_off.clear();
        for which in std::iter::once(None).chain((0..self.devices.len()).map(Some)) {
            // Who has power goes on as it is: what it folded step by step is looked at as well.
            if self.machine(which).replica.is_none() {
                self.starts(which)?;
            }
            self.machine(which).disk.power_comes_back(Undurable::Kept);
            if let Some(device) = which {
                self.devices[device].session = None;
                self.devices[device].lies.clear();
            }
        }
        self.progress_in_bounded_rounds()?;
        self.all_is_true()
    }

    fn progress_in_bounded_rounds(&mut self) -> Held {
        for meeting in 0..=MEETINGS {
            for at in 0..self.devices.len() {
                self.now += HOUR;
                let size = self.county.up().tree().size();
                let device = &mut self.devices[at];
                let key = device.machine.key();
                if let_in(self.county.up(), &key).is_none() {
                    by_hand(device, &mut self.county, self.now)?;
                } else {
                    let waits = device.machine.up().about().waiting;
                    let missing = size.saturating_sub(device.machine.up().tree().size());
                    let met = meet(device, &mut self.county, self.now)?;
                    self.given.extend(met.given);
                    let name = &self.devices[at].machine.name;
                    let enough = ROUNDS_BESIDE + (waits + missing) / EVENTS_A_ROUND;
                    if met.rounds > enough {
                        return Err(format!(
                            "progress_in_bounded_rounds: {name} needed {} rounds for {waits} up \
                             and {missing} down",
                            met.rounds
                        ));
                    }
                    if !met.summary.refusals.is_empty() {
                        let refusals = &met.summary.refusals;
                        return Err(format!(
                            "progress_in_bounded_rounds: {name} was refused {refusals:?}"
                        ));
                    }
                }
                if meeting == MEETINGS && self.county.up().tree().size() != size {
                    let name = &self.devices[at].machine.name;
                    return Err(format!(
                        "progress_in_bounded_rounds: {name} still brings something new"
                    ));
                }
            }
        }
        let size = self.county.up().tree().size();
        for device in &mut self.devices {
            let about = device.machine.up().about();
            if about.waiting > 0 || about.county_size != size {
                let name = &device.machine.name;
                return Err(format!(
                    "progress_in_bounded_rounds: {name} holds {} of {size} entries, {} wait",
                    about.county_size, about.waiting
                ));
            }
        }
        Ok(())
    }

    fn all_is_true(&mut self) -> Held {
        let true_ms = self.now + HOUR;
        let asked_at = self.asked_at();
        let moments = (asked_at, true_ms);
        let everywhere = Same::of(self.county.up(), moments)?;
        let held = lines(self.county.up());
        let answer = &everywhere.answers[0];
        unfit_is_never_hidden_by_a_merge(&held, answer, &mut self.tally)?;
        untrusted_never_relieves(&held, answer, asked_at, &mut self.tally)?;
        let county = self.county.replica.as_ref().expect("it has power");
        let devices = self.devices.iter_mut().map(|device| &mut device.machine);
        for machine in devices {
            nothing_acknowledged_is_lost("county", county, &machine.acknowledged)?;
            let replica = machine.replica.as_mut().expect("it has power");
            let here = Same::of(replica, moments)?;
            same_answer_everywhere(&machine.name, &here, replica, (&everywhere, county))?;
        }
        for which in std::iter::once(None).chain((0..self.devices.len()).map(Some)) {
            self.holds_up(which, &everywhere, moments)?;
        }
        // Every signature again is slow: at one machine of each life.
        let which = self.somebody();
        let machine = self.machine(which);
        let name = machine.name.clone();
        everything_verifies(&name, machine.up())?;
        Ok(())
    }

    /// A moment that is before no time which the county has shown to anybody: else each is answered at
    /// the newest that it was shown, and those are other questions.
    fn asked_at(&mut self) -> i64 {
        let mut newest = self.now + HOUR;
        for which in std::iter::once(None).chain((0..self.devices.len()).map(Some)) {
            let shown = self.machine(which).up().newest_shown();
            newest = newest.max(shown.unwrap_or(newest));
        }
        newest
    }

    /// A machine by itself, and what it says after it started again.
    fn holds_up(&mut self, which: Option<usize>, everywhere: &Same, moments: (i64, i64)) -> Held {
        let given = std::mem::take(&mut self.given);
        let forged = std::mem::take(&mut self.forged);
        let machine = self.machine(which);
        let name = machine.name.clone();
        let replica = machine.replica.as_ref().expect("it has power");
        nothing_acknowledged_is_lost(&name, replica, &machine.acknowledged)?;
        every_checkpoint_given_stays_true(&name, replica, &given)?;
        no_event_twice(&name, replica, &forged)?;
        let mut again = machine.copied();
        let here = Same::of(again.up(), moments)?;
        let again: &Replica = again.up();
        let county = self.county.replica.as_ref().expect("it has power");
        let name = format!("{name}, started again,");
        same_answer_everywhere(&name, &here, again, (everywhere, county))?;
        self.given = given;
        self.forged = forged;
        Ok(())
    }
}

/// A device that the county does not let in meets it by carry files, there and back.
fn by_hand(device: &mut Device, county: &mut Machine, true_now: i64) -> Held {
    let machine = &mut device.machine;
    let (unix_ms, county_ms) = (machine.now(true_now).unix_ms, county.now(true_now).unix_ms);
    let there = carry_file(machine.up(), CarryScope::All, unix_ms);
    let kept = county.up().carry_in(&there, county_ms);
    let kept = kept.map_err(|error| format!("county: {error}"))?;
    if !kept.refused.is_empty() {
        return Err(format!(
            "progress_in_bounded_rounds: the county refused {:?} from a carry file of {}",
            kept.refused, machine.name
        ));
    }
    county.acknowledged.extend(kept.new);
    let back = carry_file(county.up(), CarryScope::All, county_ms);
    let kept = machine.up().carry_in(&back, unix_ms);
    let kept = kept.map_err(|error| format!("{}: {error}", machine.name))?;
    machine.acknowledged.extend(kept.new);
    Ok(())
}
