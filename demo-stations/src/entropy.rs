//! Randomness from a seed: SHA-256 over (seed, name, counter). Reproducible, and never to be used
//! for a key that matters.

use std::sync::{Arc, Mutex, PoisonError};

use sha2::{Digest as _, Sha256};

/// A stream of bytes that depends on its seed and name alone.
#[derive(Clone, Debug)]
pub struct SeededEntropy {
    state: Arc<Mutex<([u8; 32], u64)>>,
}

impl SeededEntropy {
    /// The stream of one device.
    #[must_use]
    pub fn of(seed: u64, name: &str) -> Self {
        let start = Sha256::new()
            .chain_update(b"sponson demo")
            .chain_update(seed.to_be_bytes())
            .chain_update(name.as_bytes())
            .finalize();
        Self {
            state: Arc::new(Mutex::new((start.into(), 0))),
        }
    }

    /// Fills a buffer with the next bytes of the stream.
    pub fn fill(&self, buffer: &mut [u8]) {
        let mut state = self.state.lock().unwrap_or_else(PoisonError::into_inner);
        for chunk in buffer.chunks_mut(32) {
            let block = Sha256::new()
                .chain_update(state.0)
                .chain_update(state.1.to_be_bytes())
                .finalize();
            state.1 += 1;
            chunk.copy_from_slice(&block[..chunk.len()]);
        }
    }
}
