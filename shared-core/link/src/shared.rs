//! One replica, shared by the services of a process.
//!
//! The replica blocks, so every call runs on a thread for blocking work. Only one call runs at a
//! time. Holds no rule of its own.

use std::sync::{Arc, Mutex, PoisonError};

use sponson_replica::Replica;

use crate::clock::{Clock, Entropy};

/// A replica with the clocks and the random bytes of its device.
#[derive(Clone, Debug)]
pub struct Shared {
    replica: Arc<Mutex<Option<Replica>>>,
    clock: Clock,
    entropy: Entropy,
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
            replica: Arc::new(Mutex::new(Some(replica))),
            clock,
            entropy,
        }
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
        let replica = Arc::clone(&self.replica);
        let done = tokio::task::spawn_blocking(move || {
            let mut held = replica.lock().map_err(|_| Gone::Broken)?;
            held.as_mut().map(work).ok_or(Gone::Closed)
        });
        done.await.map_err(|_| Gone::Broken)?
    }

    /// Closes the replica: its folder is free when this returns, whoever still holds a copy.
    pub async fn close(&self) {
        let replica = Arc::clone(&self.replica);
        let closing = tokio::task::spawn_blocking(move || {
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
