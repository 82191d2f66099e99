//! The end of a simulation: faults stop, everybody meets, and every invariant is looked at.

use sponson_replica::{CarryScope, Replica, Undurable};

use crate::acts::carry_file;
use crate::clock::HOUR;
use crate::county::let_in;
use crate::device::Device;
use crate::invariants::{
    Held, Same, everything_verifies, no_event_twice, nothing_acknowledged_is_lost,
    same_answer_everywhere, unfit_is_never_hidden_by_a_merge, untrusted_never_relieves,
};
use crate::machine::{Machine, lines};
use crate::meeting::meet;
use crate::stands_by::{
    a_log_goes_on_from_the_one_before, a_working_chain_parts_only_before_it_is_noticed,
    nothing_is_stored_before_it_was_made, what_was_signed_is_held,
};
use crate::world::World;

/// After so many meetings with each device all hold the same: the first brings everything to the
/// county, the second brings everything home.
const MEETINGS: u32 = 2;

/// Meetings more when the county went back to an older state: one until somebody shows it what it
/// signed, one until all went over to its new log.
const MEETINGS_BACK: u32 = 2;

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
        let meetings = MEETINGS + self.went_back.min(1) * MEETINGS_BACK;
        for meeting in 0..=meetings {
            for at in 0..self.devices.len() {
                self.now += HOUR;
                let size = self.county.up().tree().size();
                let device = &mut self.devices[at];
                let key = device.machine.key();
                let unknown = self.shows_what_the_county_cannot_know(at);
                let device = &mut self.devices[at];
                if let_in(self.county.up(), &key).is_none() || unknown {
                    by_hand(device, &mut self.county, self.now)?;
                } else {
                    let waits = device.machine.up().about().waiting;
                    let held = device.machine.up().tree().size();
                    let log = device.machine.up().log_id();
                    let met = meet(device, &mut self.county, self.now, &mut self.drawn)?;
                    self.came_back(met.begun > 0, met.back);
                    self.given.extend(met.given);
                    // Whoever goes over to another log gives back the one before, and gets it all.
                    let moved = log.is_some() && self.devices[at].machine.up().log_id() != log;
                    let (up, beside, missing) = if moved {
                        let size = self.county.up().tree().size();
                        (waits + held, 2 * ROUNDS_BESIDE, size)
                    } else {
                        (waits, ROUNDS_BESIDE, size.saturating_sub(held))
                    };
                    let name = &self.devices[at].machine.name;
                    let enough = beside + (up + missing) / EVENTS_A_ROUND;
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
                if meeting == meetings && self.county.up().tree().size() != size {
                    let name = &self.devices[at].machine.name;
                    return Err(format!(
                        "progress_in_bounded_rounds: {name} still brings something new"
                    ));
                }
            }
        }
        let size = self.county.up().tree().size();
        for at in 0..self.devices.len() {
            if self.stays_in_an_old_log(at) {
                continue;
            }
            let device = &mut self.devices[at];
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

    /// Whether a device that the county does not let in stays in a log that the county left, or that
    /// it lost the end of: it holds every event, by hand, and nobody tells it of another log.
    pub(crate) fn stays_in_an_old_log(&self, device: usize) -> bool {
        let county = self.county.replica.as_ref().expect("it has power");
        let machine = &self.devices[device].machine;
        let replica = machine.replica.as_ref().expect("it has power");
        let apart = let_in(county, &machine.key()).is_none()
            || self.shows_what_the_county_cannot_know(device);
        let shown = replica.station_has().checkpoint;
        let unheld = shown.is_some_and(|shown| !county.holds_what_it_signed(&shown));
        apart && (unheld || replica.log_id() != county.log_id())
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
        what_was_signed_is_held(self)?;
        a_working_chain_parts_only_before_it_is_noticed(self)?;
        nothing_is_stored_before_it_was_made(self)?;
        for at in 0..self.devices.len() {
            let stays = self.stays_in_an_old_log(at);
            let county = self.county.replica.as_ref().expect("it has power");
            let machine = &mut self.devices[at].machine;
            let name = format!("county, of what {} keeps,", machine.name);
            nothing_acknowledged_is_lost(&name, county, &machine.acknowledged).map_err(|why| {
                let lost = machine.acknowledged.iter().find(|id| !county.holds(id));
                let lines = machine.lines();
                let line = lines
                    .iter()
                    .find(|line| Some(line.event.id()) == lost.copied());
                let header = line.map(|line| (line.event.header().kind, line.event.header().seq));
                format!("{why}: kind and seq {header:?}")
            })?;
            let replica = machine.replica.as_mut().expect("it has power");
            let here = Same::of(replica, moments)?;
            if stays {
                self.tally
                    .count("device stays in a log that the county left");
                here.same_events(&machine.name, &everywhere)?;
            } else {
                same_answer_everywhere(&machine.name, &here, replica, (&everywhere, county))?;
            }
        }
        a_log_goes_on_from_the_one_before(self.county.up())?;
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
        self.checkpoints_stay_true(which)?;
        let stays = which.is_some_and(|device| self.stays_in_an_old_log(device));
        let forged = std::mem::take(&mut self.forged);
        let machine = self.machine(which);
        let name = machine.name.clone();
        let replica = machine.replica.as_ref().expect("it has power");
        nothing_acknowledged_is_lost(&name, replica, &machine.acknowledged)?;
        no_event_twice(&name, replica, &forged)?;
        let mut again = machine.copied();
        let here = Same::of(again.up(), moments)?;
        let again: &Replica = again.up();
        let county = self.county.replica.as_ref().expect("it has power");
        let name = format!("{name}, started again,");
        if stays {
            here.same_events(&name, everywhere)?;
        } else {
            same_answer_everywhere(&name, &here, again, (everywhere, county))?;
        }
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
