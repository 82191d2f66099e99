//! Where the logs of a program go: stderr, filtered by `RUST_LOG`.
//!
//! Never logged: admission codes, seeds of keys, texts of notes.

use tracing_subscriber::EnvFilter;

/// Sends the logs of this process to stderr; warnings and worse unless `RUST_LOG` says otherwise.
/// Only a program's `main` calls it: it is global.
pub fn to_stderr() {
    let filter = EnvFilter::try_from_default_env().unwrap_or_else(|_| EnvFilter::new("warn"));
    // A second call changes nothing, and nobody needs to know.
    let _ = tracing_subscriber::fmt()
        .with_env_filter(filter)
        .with_writer(std::io::stderr)
        .with_ansi(false)
        .try_init();
}
