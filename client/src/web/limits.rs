//! Limits of the pages' server, each with its arithmetic.

use std::time::Duration;

/// Connections at a time: 40 people with the six connections that a browser opens to one host.
pub const CONNECTIONS_MAX: usize = 256;

/// Connections of one address at a time: a room of ten behind one router.
pub const CONNECTIONS_PER_ADDRESS_MAX: usize = 64;

/// Handshakes at a time: each holds a few KiB for at most [`HANDSHAKE_TIMEOUT`].
pub const HANDSHAKES_MAX: usize = 64;

/// How long a handshake may take.
pub const HANDSHAKE_TIMEOUT: Duration = Duration::from_secs(10);

/// How long the head of a request may take, and how long a connection may lie idle.
pub const HEAD_TIMEOUT: Duration = Duration::from_secs(15);

/// Greatest head of a request: a question with a long weather report, and cookies of other pages of
/// the host.
pub const HEAD_BYTES_MAX: usize = 16 * 1024;

/// Greatest path with its query: a question has some dozens of values of some dozens of bytes.
pub const PATH_BYTES_MAX: usize = 6 * 1024;

/// Requests being answered at a time; each waits for the log or holds one page of 300 KB.
pub const IN_FLIGHT_MAX: usize = 64;

/// How long one may take, its body included.
pub const REQUEST_TIMEOUT: Duration = Duration::from_secs(30);

/// How long a reader may take nothing of what is sent to it.
pub const WRITE_TIMEOUT: Duration = Duration::from_secs(30);

/// Pages that are told of changes, at a time: those of 60 people.
pub const LISTENERS_MAX: usize = 64;

/// How often a listening page hears that the county is there.
pub const HEARTBEAT: Duration = Duration::from_secs(15);

/// Least time between two tellings: a sync of many chunks is one.
pub const TOLD_EVERY: Duration = Duration::from_millis(500);

/// How long requests in progress have to end when the server stops; then they are cut.
pub const DRAIN: Duration = Duration::from_secs(5);

/// Wrong codes of links in a minute from one address.
pub const WRONG_CODES_PER_ADDRESS_AND_MINUTE: usize = 10;

/// Wrong codes of links in a minute from everywhere, after which only whoever has tried none may
/// try; the arithmetic stands with the codes.
pub const WRONG_CODES_PER_MINUTE: usize = 600;

/// Wrong codes noted: 24 bytes each, 240 KB, and looked through at each try.
pub const WRONG_CODES_NOTED_MAX: usize = 10_000;

/// How long the pages wait for a caller, in each state of a connection.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Patience {
    /// For its handshake.
    pub handshake: Duration,
    /// For the head of a request, and between two requests.
    pub head: Duration,
    /// For it to take something of what is sent to it.
    pub write: Duration,
}

impl Default for Patience {
    fn default() -> Self {
        Self {
            handshake: HANDSHAKE_TIMEOUT,
            head: HEAD_TIMEOUT,
            write: WRITE_TIMEOUT,
        }
    }
}
