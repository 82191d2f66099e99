//! One replica, shared by the services of a process.
//!
//! The replica blocks, so every call runs on a thread for blocking work. Only one call runs at a
//! time. Holds no rule of its own.

use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

use sponson_replica::{Held, Replica};
use tokio::sync::watch;

use crate::clock::{Clock, Entropy};
use crate::history::Histories;
use crate::local::by_itself::Syncs;
use crate::local::under_way::UnderWay;

/// A replica with the clocks and the random bytes of its device.
#[derive(Clone, Debug)]
pub struct Shared {
    replica: Arc<Mutex<Option<Replica>>>,
    clock: Clock,
    entropy: Entropy,
    held: Arc<watch::Sender<Held>>,
    places: Option<PathBuf>,
    under_way: Option<UnderWay>,
    syncs: Syncs,
    histories: Histories,
}

/// The replica can no longer be called.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Gone {
    /// It was closed.
    #[error("the log is closed: start the service again")]
    Closed,
    /// A call before this one ended unexpectedly, so its state is not known.
    #[error("the log met an unexpected fault and was closed: start the service again, then verify")]
    Broken,
}

impl Shared {
    /// Shares a replica.
    #[must_use]
    pub fn new(replica: Replica, clock: Clock, entropy: Entropy) -> Self {
        Self {
            held: Arc::new(watch::Sender::new(replica.held())),
            replica: Arc::new(Mutex::new(Some(replica))),
            clock,
            entropy,
            places: None,
            under_way: None,
            syncs: Syncs::default(),
            histories: Histories::default(),
        }
    }

    /// How the syncs of this process stand.
    #[must_use]
    pub const fn syncs(&self) -> &Syncs {
        &self.syncs
    }

    /// What was worked out of the county's past.
    pub(crate) const fn histories(&self) -> &Histories {
        &self.histories
    }

    /// How much is held, as of the last call that ended; changes as soon as a call held more.
    #[must_use]
    pub fn held(&self) -> watch::Receiver<Held> {
        self.held.subscribe()
    }

    /// With the file of launch places, where there is one. It is read anew for each question that
    /// needs it: whoever corrects a row at night starts nothing again.
    #[must_use]
    pub fn with_places(self, places: Option<PathBuf>) -> Self {
        Self { places, ..self }
    }

    /// The file of launch places.
    #[must_use]
    pub fn places(&self) -> Option<&Path> {
        self.places.as_deref()
    }

    /// With clocks that do not follow a step while this process is up, for a county that serves.
    #[must_use]
    pub fn with_steady_clock(self) -> Self {
        Self {
            clock: self.clock.steady(),
            ..self
        }
    }

    /// With the checks under way of this device.
    #[must_use]
    pub fn with_under_way(self, under_way: Option<UnderWay>) -> Self {
        Self { under_way, ..self }
    }

    /// The checks under way; none at the county.
    #[must_use]
    pub const fn under_way(&self) -> Option<&UnderWay> {
        self.under_way.as_ref()
    }

    /// The device's clocks.
    #[must_use]
    pub const fn clock(&self) -> &Clock {
        &self.clock
    }

    /// The device's random bytes.
    #[must_use]
    pub const fn entropy(&self) -> &Entropy {
        &self.entropy
    }

    /// Calls the replica on a thread for blocking work.
    ///
    /// # Errors
    /// When it was closed, or a call ended unexpectedly.
    pub async fn call<T: Send + 'static>(
        &self,
        work: impl FnOnce(&mut Replica) -> T + Send + 'static,
    ) -> Result<T, Gone> {
        let (replica, told) = (Arc::clone(&self.replica), Arc::clone(&self.held));
        let done = tokio::task::spawn_blocking(move || {
            let mut held = replica.lock().map_err(|_| Gone::Broken)?;
            let replica = held.as_mut().ok_or(Gone::Closed)?;
            let done = work(replica);
            let now = replica.held();
            told.send_if_modified(|before| std::mem::replace(before, now) != now);
            Ok(done)
        });
        done.await.map_err(|_| Gone::Broken)?
    }

    /// Closes the replica: its folder is free when this returns, whoever still holds a copy.
    pub async fn close(&self) {
        let replica = Arc::clone(&self.replica);
        let under_way = self.under_way.clone();
        let closing = tokio::task::spawn_blocking(move || {
            // First: whoever opens the store next opens these too.
            if let Some(under_way) = under_way {
                under_way.close();
            }
            let held = replica
                .lock()
                .unwrap_or_else(PoisonError::into_inner)
                .take();
            drop(held);
        });
        if closing.await.is_err() {
            tracing::error!("closing the log met an unexpected fault");
        }
    }
}
