//! A TCP relay between a station and its county that stops a sync at a chosen byte.
//!
//! The station always dials the relay, so that the county may come back at any port. Once a trip
//! is set off the relay holds bytes back: the sync cannot end then, and whoever is killed is
//! killed inside it. Reads nothing of what passes.

use std::io::{Read as _, Write as _};
use std::net::{Shutdown, SocketAddr, TcpListener, TcpStream};
use std::sync::{Arc, Condvar, Mutex, MutexGuard};

use crate::process::wait_for;

/// Which way bytes go.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// From the station to the county.
    ToCounty,
    /// From the county to the station.
    ToStation,
}

/// Where to stop.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Trip {
    /// Which way bytes are counted.
    pub way: Way,
    /// At how many bytes, over all connections since the trip was set.
    pub bytes: u64,
    /// What is held back from then on.
    pub holds: Holds,
}

/// What is held back.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Holds {
    /// Nothing passes, so the county gets half a chunk.
    Everything,
    /// The county gets whole chunks and stores them; the station never hears of it.
    Replies,
}

/// The relay; its threads end with the connections.
#[derive(Debug)]
pub struct Relay {
    address: SocketAddr,
    gate: Arc<Gate>,
}

#[derive(Debug)]
struct Gate {
    state: Mutex<State>,
    changed: Condvar,
}

#[derive(Debug)]
struct State {
    county: SocketAddr,
    trip: Option<Trip>,
    passed: u64,
    is_tripped: bool,
    /// Counts up when all connections are to end.
    round: u64,
}

/// Passed on at a time: small beside any chunk, so that a trip is exact enough.
const PIECE_BYTES: usize = 512;

impl Relay {
    /// Begins, towards a county.
    ///
    /// # Panics
    /// When no port can be had.
    #[must_use]
    pub fn to(county: SocketAddr) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").expect("a free port");
        let address = listener.local_addr().expect("it is bound");
        let gate = Arc::new(Gate {
            state: Mutex::new(State {
                county,
                trip: None,
                passed: 0,
                is_tripped: false,
                round: 0,
            }),
            changed: Condvar::new(),
        });
        let kept = Arc::clone(&gate);
        std::thread::spawn(move || {
            for station in listener.incoming().flatten() {
                // A county that is down is met as a connection that ends at once.
                connect(station, &kept);
            }
        });
        Self { address, gate }
    }

    /// Where the station dials.
    #[must_use]
    pub const fn address(&self) -> SocketAddr {
        self.address
    }

    /// The county came back at another address.
    pub fn county_is_at(&self, county: SocketAddr) {
        self.gate.lock().county = county;
    }

    /// Sets a trip; bytes count from now.
    pub fn set(&self, trip: Trip) {
        let mut state = self.gate.lock();
        (state.trip, state.passed, state.is_tripped) = (Some(trip), 0, false);
    }

    /// Waits until the trip is set off.
    ///
    /// # Panics
    /// When `sync_is_up` says that the sync ended before it, or the deadline passes.
    pub fn wait_until_tripped(&self, mut sync_is_up: impl FnMut() -> bool) {
        wait_for("the trip", || {
            let (is_tripped, passed) = {
                let state = self.gate.lock();
                (state.is_tripped, state.passed)
            };
            assert!(
                is_tripped || sync_is_up(),
                "the sync ended after {passed} bytes, before the trip"
            );
            is_tripped.then_some(())
        });
    }

    /// Cuts what is connected and lets everything pass again.
    pub fn cut(&self) {
        let mut state = self.gate.lock();
        (state.trip, state.is_tripped) = (None, false);
        state.round += 1;
        drop(state);
        self.gate.changed.notify_all();
    }
}

impl Gate {
    fn lock(&self) -> MutexGuard<'_, State> {
        self.state.lock().expect("no panic while it is held")
    }

    /// Counts some bytes, waits while they are held back; says whether they may pass.
    fn pass(&self, way: Way, length: usize, round: u64) -> bool {
        let mut state = self.lock();
        if let Some(trip) = state.trip.filter(|trip| trip.way == way) {
            state.passed += u64::try_from(length).expect("a piece is small");
            if state.passed >= trip.bytes {
                state.is_tripped = true;
            }
        }
        let held = |state: &mut State| {
            let holds = state.trip.is_some_and(|trip| match trip.holds {
                Holds::Everything => true,
                Holds::Replies => way == Way::ToStation,
            });
            state.round == round && state.is_tripped && holds
        };
        let state = self.changed.wait_while(state, held);
        state.expect("no panic while it is held").round == round
    }
}

fn connect(station: TcpStream, gate: &Arc<Gate>) {
    let (address, round) = {
        let state = gate.lock();
        (state.county, state.round)
    };
    let Ok(county) = TcpStream::connect(address) else {
        return;
    };
    let (Ok(station_too), Ok(county_too)) = (station.try_clone(), county.try_clone()) else {
        return;
    };
    for (from, to, way) in [
        (station, county, Way::ToCounty),
        (county_too, station_too, Way::ToStation),
    ] {
        let gate = Arc::clone(gate);
        std::thread::spawn(move || pump(from, to, way, round, &gate));
    }
}

/// Passes bytes on until either end is gone; then both are.
fn pump(mut from: TcpStream, mut to: TcpStream, way: Way, round: u64, gate: &Gate) {
    let mut piece = [0; PIECE_BYTES];
    while let Ok(length @ 1..) = from.read(&mut piece) {
        if !gate.pass(way, length, round) || to.write_all(&piece[..length]).is_err() {
            break;
        }
    }
    // One that is gone already needs no end.
    let _ = from.shutdown(Shutdown::Both);
    let _ = to.shutdown(Shutdown::Both);
}
