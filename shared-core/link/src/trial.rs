//! What the tests of this crate share: seeded random bytes.

use std::sync::atomic::{AtomicU64, Ordering};

use sha2::{Digest as _, Sha256};

use crate::clock::Entropy;

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
