//! A sync over a network that is whole, from beginning to end.

use prost::Message as _;
use sponson_log::checkpoint::Checkpoint;
use sponson_log::sync::station::{StationSync, Step, Summary};
use sponson_replica::Replica;

use crate::county::{self, NoReply};
use crate::device::Device;
use crate::machine::Machine;

/// What a meeting did.
#[derive(Debug)]
pub(crate) struct Met {
    pub(crate) summary: Summary,
    /// Rounds: requests with their replies.
    pub(crate) rounds: u64,
    /// Checkpoints that the county gave.
    pub(crate) given: Vec<Checkpoint>,
    /// Logs that the county began.
    pub(crate) begun: u32,
    /// Events that it got back.
    pub(crate) back: usize,
}

pub(crate) fn begin(replica: &Replica) -> StationSync {
    StationSync::begin(replica.station_has())
}

/// Meets until both are done.
pub(crate) fn meet(
    device: &mut Device,
    county: &mut Machine,
    true_now: i64,
    drawn: &mut u8,
) -> Result<Met, String> {
    let machine = &mut device.machine;
    let unix_ms = machine.now(true_now).unix_ms;
    let county_now = county.now(true_now);
    let wrong = |error: &dyn std::fmt::Display| format!("{}: {error}", device.machine.name);
    let replica = device.machine.replica.as_mut().expect("it has power");
    let mut core = begin(replica);
    let mut met = Met {
        summary: Summary::default(),
        rounds: 0,
        given: Vec::new(),
        begun: 0,
        back: 0,
    };
    loop {
        match core.next(unix_ms) {
            Step::Load { from, bytes_max } => {
                let (events, last) = replica.unproven(from, bytes_max);
                core.loaded(events, last);
            }
            Step::LoadPlaced { from, bytes_max } => {
                let (events, last) = replica.placed(from, bytes_max);
                core.loaded_placed(events, last);
            }
            Step::Send(request) => {
                met.rounds += 1;
                let station = device.station;
                let request = request.encode_to_vec();
                let reply = county::exchange(county.up(), station, &request, &county_now, drawn);
                let exchanged = reply.map_err(|error| match error {
                    NoReply::Store(error) => wrong(&error),
                    NoReply::Broken(why) => wrong(&why),
                })?;
                county.acknowledged.extend(exchanged.new);
                met.back += exchanged.back;
                met.begun += u32::from(exchanged.begun.is_some());
                county.given.push(exchanged.checkpoint.clone());
                met.given.push(exchanged.checkpoint);
                core.replied(exchanged.reply, unix_ms, 100)
                    .map_err(|error| wrong(&error))?;
            }
            Step::Keep(run) => {
                let kept = replica.keep_run(&run, unix_ms);
                let kept = kept.map_err(|error| wrong(&error))?;
                device.machine.acknowledged.extend(kept.new);
                device.machine.given.extend(run.checkpoint);
                core.kept();
            }
            Step::Done(summary) => {
                let noted = replica.note_heard(&summary.heard);
                noted.map_err(|error| wrong(&error))?;
                met.summary = summary;
                return Ok(met);
            }
        }
    }
}
