//! Messages between stations and the county: lost, late, doubled, cut at any byte.
//!
//! A message is framed by its length, as the real transport does it: of one that was cut the other
//! end sees that it is not whole, and hands nothing on.

use sponson_log::sync::station::{Step, SyncError};
use sponson_proto::sync::v1::{ExchangeReply, ExchangeRequest};
use sponson_replica::{ClockOffset, StoreError};

use prost::Message as _;

use crate::clock::{MINUTE, SECOND};
use crate::county::{self, NoReply};
use crate::device::Session;
use crate::invariants::{Held, unfit_is_never_hidden_by_a_delay};
use crate::world::{Happening, World};

/// After so long a device gives up, and the county drops what comes later: the deadline of a call.
pub(crate) const DEADLINE_MS: i64 = 2 * MINUTE;

/// One message.
#[derive(Clone, Debug)]
pub(crate) struct Message {
    pub(crate) device: usize,
    pub(crate) token: u64,
    pub(crate) to: To,
    sent_at: i64,
    framed: Vec<u8>,
}

/// Which way it goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum To {
    County,
    Device,
}

impl Message {
    /// What was sent, when all of it came.
    fn whole(&self) -> Option<&[u8]> {
        let (length, bytes) = self.framed.split_first_chunk::<4>()?;
        let length = usize::try_from(u32::from_be_bytes(*length)).ok()?;
        (bytes.len() == length).then_some(bytes)
    }
}

impl World {
    /// Begins a sync of a device with the county.
    pub(crate) fn begins_sync(&mut self, device: usize) -> Held {
        let at = &mut self.devices[device];
        if !at.is_up() || at.session.is_some() {
            return Ok(());
        }
        let token = self.chance.below(1 << 48);
        at.session = Some(Session {
            core: crate::meeting::begin(at.machine.up()),
            token,
            asked_at: None,
            is_disturbed: false,
        });
        self.goes_on(device)
    }

    /// Does what the sync core says, until it waits for a reply or is done.
    fn goes_on(&mut self, device: usize) -> Held {
        loop {
            let now = self.now;
            let at = &mut self.devices[device];
            let Some(session) = &mut at.session else {
                return Ok(());
            };
            match session.core.next(at.machine.now(now).unix_ms) {
                Step::Load { from, bytes_max } => {
                    let (events, last) = at.machine.up().unproven(from, bytes_max);
                    session.core.loaded(events, last);
                }
                Step::LoadPlaced { from, bytes_max } => {
                    let (events, last) = at.machine.up().placed(from, bytes_max);
                    session.core.loaded_placed(events, last);
                }
                Step::Keep(run) => {
                    let unix_ms = at.machine.now(now).unix_ms;
                    match at.machine.up().keep_run(&run, unix_ms) {
                        Ok(kept) => {
                            at.machine.acknowledged.extend(kept.new);
                            at.machine.given.extend(run.checkpoint);
                            session.core.kept();
                        }
                        Err(error) => return self.not_kept(device, &error),
                    }
                }
                Step::Send(request) => {
                    // Each request is a call of its own: a reply to another one is not taken for it.
                    session.token += 1;
                    session.asked_at = Some(now);
                    let token = session.token;
                    self.asks(device, token, *request);
                    return Ok(());
                }
                Step::Done(summary) => {
                    at.session = None;
                    let measured = at.machine.now(now);
                    let offset = summary.offset_ms.map(|(offset, trip)| ClockOffset {
                        county_minus_device_ms: offset,
                        round_trip_ms: trip,
                        measured,
                    });
                    let noted =
                        at.machine.up().note_heard(&summary.heard).and_then(|()| {
                            offset.map_or(Ok(()), |it| at.machine.up().note_sync(it))
                        });
                    let name = at.machine.name.clone();
                    self.tally.count("syncs done");
                    // Records that were folded now are stepped, or folded again, later.
                    if self.chance.one_in(2) {
                        at.machine.up().records();
                        if let Some(county) = &mut self.county.replica {
                            county.records();
                        }
                    }
                    self.say(format!(
                        "{name}: sync done, {} sent, {} received, {} refused",
                        summary.sent,
                        summary.received,
                        summary.refusals.len()
                    ));
                    return noted.or_else(|error| self.not_kept(device, &error));
                }
            }
        }
    }

    fn asks(&mut self, device: usize, token: u64, mut request: ExchangeRequest) {
        let at = &mut self.devices[device];
        if let Some(session) = at.session.as_mut().filter(|_| !at.lies.is_empty()) {
            // It claims to hold what it slips in: what the county makes of that is its own concern.
            session.is_disturbed = true;
        }
        request.events.append(&mut at.lies);
        let bytes = request.encode_to_vec();
        let gives_up = Happening::GivesUp { device, token };
        self.at(self.now + DEADLINE_MS, gives_up);
        self.send(device, token, To::County, &bytes);
    }

    fn not_kept(&mut self, device: usize, error: &StoreError) -> Held {
        let at = &mut self.devices[device];
        let disturbed = at.session.take().is_some_and(|it| it.is_disturbed);
        let stale = matches!(
            error,
            StoreError::RunPlace { .. } | StoreError::RunEntry { .. }
        );
        if disturbed && stale {
            self.tally.count("syncs given up");
            return Ok(());
        }
        at.machine.failed(error)?;
        self.tally.count("power cut in a write");
        self.lost_power(Some(device));
        Ok(())
    }

    fn send(&mut self, device: usize, token: u64, to: To, bytes: &[u8]) {
        let length = u32::try_from(bytes.len()).expect("a short message");
        let mut message = Message {
            device,
            token,
            to,
            sent_at: self.now,
            framed: [&length.to_be_bytes(), bytes].concat(),
        };
        if self.cut_off.contains(&device) || self.chance.one_in(10) {
            self.tally.count("message lost");
            return;
        }
        if self.chance.one_in(10) {
            self.tally.count("connection cut at a byte");
            let at = self.chance.index(message.framed.len());
            message.framed.truncate(at);
        }
        let mut copies = 1;
        if self.chance.one_in(10) {
            self.tally.count("message doubled");
            copies = 2;
        }
        for _ in 0..copies {
            let late = if self.chance.one_in(8) {
                self.tally.count("message delayed");
                self.chance.between(10 * SECOND, 3 * MINUTE)
            } else {
                self.chance.between(20, 2 * SECOND)
            };
            self.at(self.now + late, Happening::Arrives(message.clone()));
        }
    }

    pub(crate) fn arrives(&mut self, message: Message) -> Held {
        let is_late = self.now - message.sent_at > DEADLINE_MS;
        if self.cut_off.contains(&message.device) || is_late {
            self.tally.count("message lost");
            return Ok(());
        }
        match message.to {
            To::County => self.county_hears(&message),
            To::Device => self.device_hears(&message),
        }
    }

    fn county_hears(&mut self, message: &Message) -> Held {
        let Some(request) = message.whole() else {
            return Ok(());
        };
        let key = self.devices[message.device].machine.key();
        let Some(county) = &mut self.county.replica else {
            return Ok(());
        };
        let Some(station) = county::let_in(county, &key) else {
            self.tally.count("not admitted and turned away");
            return Ok(());
        };
        let now = self.county.clock.now(self.now);
        match county::exchange(county, station, request, &now, &mut self.drawn) {
            Ok(exchanged) => {
                self.county.acknowledged.extend(exchanged.new);
                self.county.given.push(exchanged.checkpoint.clone());
                self.given.push(exchanged.checkpoint);
                self.came_back(exchanged.begun.is_some(), exchanged.back);
                let reply = exchanged.reply.encode_to_vec();
                self.send(message.device, message.token, To::Device, &reply);
                unfit_is_never_hidden_by_a_delay(self, None)
            }
            Err(NoReply::Store(error)) => {
                self.county.failed(&error)?;
                self.tally.count("power cut in a write");
                self.lost_power(None);
                Ok(())
            }
            Err(NoReply::Broken(why)) => Err(format!("the county refused a sync: {why}")),
        }
    }

    fn device_hears(&mut self, message: &Message) -> Held {
        let now = self.now;
        let at = &mut self.devices[message.device];
        let session = at.session.as_mut();
        let Some(session) = session.filter(|it| it.token == message.token) else {
            return Ok(());
        };
        let (Some(asked_at), Some(reply)) = (session.asked_at, message.whole()) else {
            return Ok(());
        };
        let reply = ExchangeReply::decode(reply).map_err(|error| error.to_string())?;
        let elapsed = (now - asked_at).unsigned_abs();
        session.asked_at = None;
        let heard = session
            .core
            .replied(reply, at.machine.clock.now(now).unix_ms, elapsed);
        match heard {
            Ok(()) => self.goes_on(message.device),
            Err(error) => self.reply_is_wrong(message.device, &error),
        }
    }

    fn reply_is_wrong(&mut self, device: usize, error: &SyncError) -> Held {
        let unknown = self.shows_what_the_county_cannot_know(device);
        let at = &mut self.devices[device];
        let disturbed = at.session.take().is_some_and(|it| it.is_disturbed);
        if disturbed || unknown {
            self.tally.count("syncs given up");
            return Ok(());
        }
        Err(format!("{}: {error}", at.machine.name))
    }

    pub(crate) fn gives_up(&mut self, device: usize, token: u64) {
        let now = self.now;
        let session = &mut self.devices[device].session;
        let waits_since = session
            .as_ref()
            .filter(|it| it.token == token)
            .and_then(|it| it.asked_at);
        if waits_since.is_some_and(|asked| now - asked >= DEADLINE_MS) {
            *session = None;
            self.tally.count("syncs given up");
            let name = self.devices[device].machine.name.clone();
            self.say(format!("{name}: no reply, gives the sync up"));
        }
    }
}
