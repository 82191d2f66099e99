//! What the tests of this crate share: seeded random bytes and a clock that is set by hand.

use std::sync::Arc;
use std::sync::atomic::{AtomicI64, AtomicU64, Ordering};

use sha2::{Digest as _, Sha256};
use sponson_replica::Now;

use crate::clock::{Clock, Entropy};

/// Random bytes that depend on the seed alone.
pub(crate) fn seeded(seed: u64) -> Entropy {
    let drawn = AtomicU64::new(0);
    Entropy::new(move |bytes| {
        for chunk in bytes.chunks_mut(32) {
            let count = drawn.fetch_add(1, Ordering::Relaxed);
            let block = Sha256::new()
                .chain_update(seed.to_be_bytes())
                .chain_update(count.to_be_bytes())
                .finalize();
            chunk.copy_from_slice(&block[..chunk.len()]);
        }
    })
}

/// A clock that stands still until it is moved.
#[derive(Clone, Debug)]
pub(crate) struct Standing(Arc<AtomicI64>);

impl Standing {
    pub(crate) fn at(unix_ms: i64) -> Self {
        Self(Arc::new(AtomicI64::new(unix_ms)))
    }

    pub(crate) fn move_by_ms(&self, ms: i64) {
        self.0.fetch_add(ms, Ordering::Relaxed);
    }

    pub(crate) fn clock(&self) -> Clock {
        let held = Arc::clone(&self.0);
        Clock::new(move || {
            let unix_ms = held.load(Ordering::Relaxed);
            Now {
                unix_ms,
                utc_offset_min: -300,
                boot_id: [9; 16],
                monotonic_ms: unix_ms.unsigned_abs(),
            }
        })
    }
}
