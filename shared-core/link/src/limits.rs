//! Limits of the wire, each with its arithmetic.

use std::time::Duration;

/// Greatest message, sent or received: 4 MiB holds a chunk of 512 KiB in each direction eight
/// times over, and the answer for 500 craft at 8 KiB each.
pub const MESSAGE_BYTES_MAX: usize = 4 * 1024 * 1024;

/// Greatest chunk of events in one exchange: a slow link of 50 KiB/s carries it in about 10 s.
pub const CHUNK_BYTES_MAX: usize = 512 * 1024;

/// Chunk of a carry file on the local pipe.
pub const CARRY_CHUNK_BYTES: usize = 256 * 1024;

/// Greatest carry file taken in: 256 MiB holds a quarter of a million events of 1 KiB, and a
/// small tablet has the memory to check it whole before anything of it is kept.
pub const CARRY_BYTES_MAX: usize = 256 * 1024 * 1024;

/// How long a reader may leave a piece of a stream lying: meanwhile the log waits for it.
pub const READER_IDLE_MAX: Duration = Duration::from_secs(10);

/// Handshakes at a time: each holds a few KiB for at most [`HANDSHAKE_TIMEOUT`].
pub const HANDSHAKES_MAX: usize = 64;

/// How long a handshake may take.
pub const HANDSHAKE_TIMEOUT: Duration = Duration::from_secs(10);

/// Connections at a time: 100 stations with 5 programs each.
pub const CONNECTIONS_MAX: usize = 512;

/// Exchanges with events at a time: each holds at most a chunk and its verification.
pub const EXCHANGES_MAX: usize = 16;

/// Calls in progress on one connection.
pub const CALLS_PER_CONNECTION_MAX: usize = 64;

/// Streams on one connection, open or waiting.
pub const STREAMS_MAX: u32 = 128;

/// How long one call may take at the county; callers ask for the same.
pub const CALL_TIMEOUT: Duration = Duration::from_secs(30);

/// Age at which the county ends a connection, so that callers spread over restarts and addresses.
pub const CONNECTION_AGE: Duration = Duration::from_secs(30 * 60);

/// How long calls on it may still take then: longer than any one may.
pub const CONNECTION_AGE_GRACE: Duration = Duration::from_secs(60);

/// Silence after which either side asks whether the other is there.
pub const KEEPALIVE_INTERVAL: Duration = Duration::from_secs(30);

/// How long the other side has to answer that.
pub const KEEPALIVE_TIMEOUT: Duration = Duration::from_secs(10);

/// How long a connection may take to come about.
pub const CONNECT_TIMEOUT: Duration = Duration::from_secs(10);

/// How long calls in progress have to end when a service stops; then they are cut.
pub const DRAIN: Duration = Duration::from_secs(20);

/// Failed tries of admission in a minute from one address: a slip of the finger still passes, and
/// whoever tries all the time shuts the door on nobody else.
pub const ADMISSION_FAILURES_PER_ADDRESS_AND_MINUTE: usize = 10;

/// Failed tries of admission in a minute over all addresses. A secret has 80 bits and at most 1,000
/// codes are open, so 600 a minute, 3 x 10^8 a year, hit one within a year with a chance of
/// 3 x 10^8 x 1,000 / 2^80, less than 10^-12.
pub const ADMISSION_FAILURES_PER_MINUTE: usize = 600;

/// Longest name of a device, as `registry.proto` says: a line of a list.
pub const DEVICE_BYTES_MAX: usize = 64;

/// Greatest piece of a picture in one call: a slow link of 10 kB/s carries it in less than a call may
/// take, 26 of 30 s.
pub const PICTURE_PIECE_BYTES_MAX: usize = 256 * 1024;

/// First piece of a picture, before the link was measured.
pub const PICTURE_PIECE_BYTES_FIRST: usize = 16 * 1024;

/// Least piece: a link that takes longer than a call for it carries no events either.
pub const PICTURE_PIECE_BYTES_LEAST: usize = 4 * 1024;

/// How long a piece of a picture is to take: long enough to use the link, short enough for events
/// that are recorded meanwhile.
pub const PICTURE_PIECE_TIME: Duration = Duration::from_secs(2);

/// Pictures offered in one call: 256 of 32 bytes are 8 KiB.
pub const PICTURES_OFFERED_MAX: usize = 256;

/// How long the pictures of one sync may take; the rest waits for the next. At 10 kB/s seven pictures
/// of 400 kB go meanwhile.
pub const PICTURES_TIME_MAX: Duration = Duration::from_secs(5 * 60);

/// Pieces of pictures that the county takes at a time: 8 of 256 KiB hold 2 MiB.
pub const PICTURE_PIECES_MAX: usize = 8;
