//! A line between two hosts that carries whole packets as badly as it is told to: late, not at all,
//! twice, out of order, slowly.
//!
//! It stands between two TUN devices, so the ends are the system's own TCP, with its own resending.
//! Knows of a packet no more than its ports. Its threads end with the process.

use std::cmp::Reverse;
use std::collections::{BTreeSet, BinaryHeap};
use std::sync::{Arc, Condvar, Mutex, MutexGuard};
use std::time::{Duration, Instant};

use tappers::linux::Tun;

use crate::faults::Seeded;
use crate::relay::Way;

/// How well a line carries.
#[derive(Clone, Copy, Debug, Default)]
pub struct Quality {
    /// How late each packet comes, milliseconds from the least to the most: packets overtake each
    /// other where these differ.
    pub late_ms: (u64, u64),
    /// Of a thousand packets so many are lost.
    pub lost: u64,
    /// Of a thousand packets so many come twice.
    pub doubled: u64,
    /// Bits in a second, each way; no limit when none.
    pub bits_s: Option<u64>,
}

/// What passes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Passes {
    /// Everything.
    All,
    /// Nothing, and nobody is told: no reset comes back.
    Nothing,
    /// Only what goes one way.
    Only(Way),
}

/// What happened on a line.
#[derive(Clone, Copy, Debug, Default)]
pub struct Carried {
    /// Bytes that came out at the county's end.
    pub to_county: u64,
    /// Bytes that came out at the station's end.
    pub to_station: u64,
    /// Packets that were lost by chance.
    pub lost: u64,
    /// Packets that came twice.
    pub doubled: u64,
    /// Packets that were let go because nothing passed.
    pub stopped: u64,
}

/// What waits in a line at most, as time at its rate: a modem keeps some seconds, and drops the rest.
const BACKLOG_MOST: Duration = Duration::from_secs(4);

/// Greater than any packet of a device with the usual 1,500 bytes.
const PACKET_BYTES_MAX: usize = 2_048;

/// The line.
#[derive(Clone, Debug)]
pub struct Line(Arc<Shared>);

#[derive(Debug)]
struct Shared {
    state: Mutex<State>,
    changed: Condvar,
}

#[derive(Debug)]
struct State {
    quality: Quality,
    passes: Passes,
    seeded: Seeded,
    /// Connections by their ports, the lower first.
    seen: BTreeSet<(u16, u16)>,
    /// Those that nothing is passed on of any more.
    forgotten: BTreeSet<(u16, u16)>,
    under_way: [UnderWay; 2],
    carried: Carried,
}

/// Packets under way in one direction.
#[derive(Debug, Default)]
struct UnderWay {
    packets: BinaryHeap<Reverse<(Instant, u64, Vec<u8>)>>,
    count: u64,
    /// Until when the line is busy with what was put in before.
    busy: Option<Instant>,
}

impl Line {
    /// Begins to carry between the devices of a county and of a station.
    #[must_use]
    pub fn between(county: Tun, station: Tun, seed: u64) -> Self {
        let line = Self(Arc::new(Shared {
            state: Mutex::new(State {
                quality: Quality::default(),
                passes: Passes::All,
                seeded: Seeded::new(seed),
                seen: BTreeSet::new(),
                forgotten: BTreeSet::new(),
                under_way: Default::default(),
                carried: Carried::default(),
            }),
            changed: Condvar::new(),
        }));
        let (county, station) = (Arc::new(county), Arc::new(station));
        for (from, to, way) in [
            (&station, &county, Way::ToCounty),
            (&county, &station, Way::ToStation),
        ] {
            let (line_in, from) = (line.clone(), Arc::clone(from));
            std::thread::spawn(move || line_in.takes(&from, way));
            let (line_out, to) = (line.clone(), Arc::clone(to));
            std::thread::spawn(move || line_out.gives(&to, way));
        }
        line
    }

    /// From now on it carries so well.
    pub fn is(&self, quality: Quality) {
        self.lock().quality = quality;
    }

    /// From now on this passes.
    pub fn passes(&self, passes: Passes) {
        self.lock().passes = passes;
    }

    /// Forgets the connections that it has seen, as a router that translates addresses does after a
    /// while or a restart: nothing of them passes any more, and nobody is told.
    pub fn forgets(&self) {
        let mut state = self.lock();
        let seen = std::mem::take(&mut state.seen);
        state.forgotten.extend(seen);
    }

    /// What happened on it so far.
    #[must_use]
    pub fn carried(&self) -> Carried {
        self.lock().carried
    }

    fn lock(&self) -> MutexGuard<'_, State> {
        self.0.state.lock().expect("no panic while it is held")
    }

    fn takes(&self, from: &Tun, way: Way) {
        let mut packet = [0; PACKET_BYTES_MAX];
        loop {
            match from.recv(&mut packet) {
                Ok(length) => self.lock().put_in(&packet[..length], way, Instant::now()),
                // The device is down: nothing comes out of it until it is up again.
                Err(_) => std::thread::sleep(Duration::from_millis(20)),
            }
            self.0.changed.notify_all();
        }
    }

    fn gives(&self, to: &Tun, way: Way) {
        let mut state = self.lock();
        loop {
            let now = Instant::now();
            let due = state.next_at(way);
            state = match due {
                Some(at) if at <= now => {
                    let packet = state.take_out(way);
                    drop(state);
                    // What a device that is down does not take is lost.
                    let _ = to.send(&packet);
                    self.lock()
                }
                Some(at) => self.waits(state, at - now),
                None => self.waits(state, Duration::from_secs(1)),
            };
        }
    }

    fn waits<'a>(&self, state: MutexGuard<'a, State>, at_most: Duration) -> MutexGuard<'a, State> {
        let woken = self.0.changed.wait_timeout(state, at_most);
        woken.expect("no panic while it is held").0
    }
}

impl State {
    fn put_in(&mut self, packet: &[u8], way: Way, now: Instant) {
        let Some(ports) = ports(packet) else {
            return;
        };
        let shut = match self.passes {
            Passes::All => false,
            Passes::Nothing => true,
            Passes::Only(only) => only != way,
        };
        if shut || self.forgotten.contains(&ports) {
            self.carried.stopped += 1;
            return;
        }
        self.seen.insert(ports);
        if self.seeded.between((0, 1_000)) < self.quality.lost {
            self.carried.lost += 1;
            return;
        }
        let Some(leaves) = self.leaves(packet.len(), way, now) else {
            self.carried.lost += 1;
            return;
        };
        let doubled = self.seeded.between((0, 1_000)) < self.quality.doubled;
        self.carried.doubled += u64::from(doubled);
        for _ in 0..=u64::from(doubled) {
            let (least, most) = self.quality.late_ms;
            let late = Duration::from_millis(self.seeded.between((least, most + 1)));
            let under_way = &mut self.under_way[at(way)];
            under_way.count += 1;
            let packet = (leaves + late, under_way.count, packet.to_vec());
            under_way.packets.push(Reverse(packet));
        }
    }

    /// When the last bit of a packet is in the line; none when too much waits already.
    fn leaves(&mut self, length: usize, way: Way, now: Instant) -> Option<Instant> {
        let Some(bits_s) = self.quality.bits_s else {
            return Some(now);
        };
        let bits = u64::try_from(length).expect("a packet is small") * 8;
        let busy = &mut self.under_way[at(way)].busy;
        let begins = busy.unwrap_or(now).max(now);
        if begins - now > BACKLOG_MOST {
            return None;
        }
        let leaves = begins + Duration::from_micros(bits * 1_000_000 / bits_s);
        *busy = Some(leaves);
        Some(leaves)
    }

    fn next_at(&self, way: Way) -> Option<Instant> {
        let next = self.under_way[at(way)].packets.peek();
        next.map(|Reverse((at, ..))| *at)
    }

    fn take_out(&mut self, way: Way) -> Vec<u8> {
        let next = self.under_way[at(way)].packets.pop();
        let Reverse((_, _, packet)) = next.expect("it was looked at");
        let bytes = u64::try_from(packet.len()).expect("a packet is small");
        match way {
            Way::ToCounty => self.carried.to_county += bytes,
            Way::ToStation => self.carried.to_station += bytes,
        }
        packet
    }
}

const fn at(way: Way) -> usize {
    match way {
        Way::ToCounty => 0,
        Way::ToStation => 1,
    }
}

/// The ports of an IPv4 TCP packet (RFC 791, 3.1; RFC 9293, 3.1), the lower first; none of another.
fn ports(packet: &[u8]) -> Option<(u16, u16)> {
    let (first, protocol) = (*packet.first()?, *packet.get(9)?);
    if first >> 4 != 4 || protocol != 6 {
        return None;
    }
    let begins = usize::from(first & 0x0f) * 4;
    let port = |from: usize| {
        let bytes = packet.get(from..from + 2)?;
        Some(u16::from_be_bytes(bytes.try_into().ok()?))
    };
    let (one, other) = (port(begins)?, port(begins + 2)?);
    Some((one.min(other), one.max(other)))
}
