//! Limits of the wire, each with its arithmetic.

use std::time::Duration;

/// Greatest message, sent or received: 4 MiB holds a chunk of 512 KiB in each direction eight
/// times over, and the answer for 500 craft at 8 KiB each.
pub const MESSAGE_BYTES_MAX: usize = 4 * 1024 * 1024;

/// Greatest message of the local service, which serves programs of the same user on the same machine:
/// an answer goes as messages, as JSON and as text at once, 18 KiB of JSON and 30 KiB in all a craft,
/// and 64 MiB hold 2,000 craft.
pub const LOCAL_MESSAGE_BYTES_MAX: usize = 64 * 1024 * 1024;

/// Greatest signed answer, written or checked: 2,000 craft at 8 KiB each, as messages alone.
pub const SIGNED_ANSWER_BYTES_MAX: usize = 16 * 1024 * 1024;

/// Greatest chunk of events in one exchange: a slow link of 50 KiB/s carries it in about 10 s.
pub const CHUNK_BYTES_MAX: usize = 512 * 1024;

/// Chunk of a carry file on the local pipe.
pub const CARRY_CHUNK_BYTES: usize = 256 * 1024;

/// Greatest carry file taken in: 256 MiB holds a quarter of a million events of 1 KiB, and a
/// small tablet has the memory to check it whole before anything of it is kept.
pub const CARRY_BYTES_MAX: usize = 256 * 1024 * 1024;

/// How long a reader may leave a piece of a stream lying: meanwhile the log waits for it.
pub const READER_IDLE_MAX: Duration = Duration::from_secs(10);

/// Connections that are there and not through the door yet, waiting for their handshake included:
/// each holds a few KiB for at most [`HANDSHAKE_TIMEOUT`], so 512 hold a few MiB.
pub const ARRIVING_MAX: usize = 512;

/// Of these from one address: all stations of a county behind one router, twice over.
pub const ARRIVING_PER_ADDRESS_MAX: usize = 128;

/// Handshakes at a time: each holds a few KiB for at most [`HANDSHAKE_TIMEOUT`].
pub const HANDSHAKES_MAX: usize = 64;

/// Of these from one address: half, so that whoever never ends one leaves room for the others. The
/// rest of that address waits for its turn.
pub const HANDSHAKES_PER_ADDRESS_MAX: usize = 32;

/// How long a handshake may take.
pub const HANDSHAKE_TIMEOUT: Duration = Duration::from_secs(10);

/// Connections at a time of keys that the registry admits: 100 stations with 5 programs each.
pub const CONNECTIONS_MAX: usize = 512;

/// Connections of one key at a time: 5 programs, and those that a poor link left behind: a try takes
/// [`CONNECT_TIMEOUT`] or longer before the next, and what it left ends within [`KEEPALIVE_INTERVAL`]
/// and [`KEEPALIVE_TIMEOUT`], so 4 of one program; twice over for somebody who will not wait.
pub const CONNECTIONS_PER_KEY_MAX: usize = 16;

/// Connections at a time that show no admitted key, beside those of stations: a device that joins
/// has one, for seconds. With [`STREAMS_MAX`] messages of [`STRANGER_MESSAGE_BYTES_MAX`] each they
/// hold at most 64 x 128 x 4 KiB, 32 MiB.
pub const STRANGERS_MAX: usize = 64;

/// Of these from one address: a bay of tablets that join at once.
pub const STRANGERS_PER_ADDRESS_MAX: usize = 8;

/// How long a connection without an admitted key stands: joining takes two calls of at most
/// [`CALL_TIMEOUT`].
pub const STRANGER_TIME: Duration = Duration::from_secs(60);

/// Greatest message to a method that is open to all: a request for admission has about 300 bytes,
/// and a question about the form of a message names it.
pub const STRANGER_MESSAGE_BYTES_MAX: usize = 4 * 1024;

/// Exchanges with events at a time: each holds at most a chunk and its verification.
pub const EXCHANGES_MAX: usize = 16;

/// Calls in progress on one connection.
pub const CALLS_PER_CONNECTION_MAX: usize = 64;

/// Calls in progress at the county, until their reply is taken whole: each holds at most a request
/// and a reply of [`MESSAGE_BYTES_MAX`], and hardly ever more than a chunk of either.
pub const CALLS_MAX: usize = 128;

/// Of these of one key, over all its connections: a station makes one at a time for events and one
/// for pictures. Whoever takes nothing of what it asked for holds 16 x 4 MiB, 64 MiB.
pub const CALLS_PER_KEY_MAX: usize = 16;

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

/// How long the county waits for a caller, in each state of a connection.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Patience {
    /// For its handshake.
    pub handshake: Duration,
    /// For one that shows no admitted key, to be done.
    pub stranger: Duration,
    /// For a call, until its reply begins.
    pub call: Duration,
    /// In silence, before it asks whether the caller is there.
    pub silence: Duration,
    /// For the answer to that.
    pub sign_of_life: Duration,
    /// Until it ends a connection for its age.
    pub age: Duration,
    /// For calls that are in progress then.
    pub age_grace: Duration,
}

impl Default for Patience {
    fn default() -> Self {
        Self {
            handshake: HANDSHAKE_TIMEOUT,
            stranger: STRANGER_TIME,
            call: CALL_TIMEOUT,
            silence: KEEPALIVE_INTERVAL,
            sign_of_life: KEEPALIVE_TIMEOUT,
            age: CONNECTION_AGE,
            age_grace: CONNECTION_AGE_GRACE,
        }
    }
}

/// So many at a time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct AtATime {
    /// Over all callers.
    pub in_all: usize,
    /// Of one address, or of one key.
    pub of_each: usize,
}

/// How many connections the county has room for, in each of their states.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Places {
    /// On their way through the door.
    pub arriving: AtATime,
    /// Shaking hands.
    pub handshakes: AtATime,
    /// Of keys that the registry admits.
    pub connections: AtATime,
    /// Of anybody else.
    pub strangers: AtATime,
}

impl Default for Places {
    fn default() -> Self {
        let places = |in_all, of_each| AtATime { in_all, of_each };
        Self {
            arriving: places(ARRIVING_MAX, ARRIVING_PER_ADDRESS_MAX),
            handshakes: places(HANDSHAKES_MAX, HANDSHAKES_PER_ADDRESS_MAX),
            connections: places(CONNECTIONS_MAX, CONNECTIONS_PER_KEY_MAX),
            strangers: places(STRANGERS_MAX, STRANGERS_PER_ADDRESS_MAX),
        }
    }
}
