//! Values that go in and out of a replica.

use std::collections::BTreeMap;

use sponson_log::begun::LogBegun;
use sponson_log::event::SignedEvent;
use sponson_log::ids::{CountyId, Digest, EventId, Key, LogId, SubjectId};
use sponson_log::registry::AdmittedKey;
use sponson_log::sync::program::Program;
use sponson_log::trust::Trust;
use sponson_proto::event::v1 as wire;
use sponson_readiness::event::{CountyHold, GearKind, PartPlace, Severity};

/// What a new replica is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Founding {
    /// The county: writes the county log.
    County {
        /// The county.
        county: CountyId,
        /// Its root key.
        root: Key,
        /// Id of the new log.
        log: LogId,
    },
    /// A station: follows the county log.
    Station {
        /// The county.
        county: CountyId,
    },
}

/// The device's clocks and a source of random bytes at one moment, read once at the edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Now {
    /// Wall time, milliseconds since 1970.
    pub unix_ms: i64,
    /// Local time's offset from UTC, minutes.
    pub utc_offset_min: i32,
    /// Changes with every start of the device.
    pub boot_id: [u8; 16],
    /// Milliseconds since that start.
    pub monotonic_ms: u64,
}

/// An event that a person wants recorded.
#[derive(Clone, Debug, PartialEq)]
pub struct NewEvent {
    /// Its kind and the version of its message.
    pub kind: wire::Kind,
    /// Version of the message.
    pub kind_version: u32,
    /// The encoded message.
    pub payload: Vec<u8>,
    /// Its subjects; what was seen of each is filled in.
    pub subjects: Vec<(SubjectId, wire::SubjectType)>,
    /// When it was observed, if earlier: from, to, milliseconds since 1970.
    pub observed: Option<(i64, i64)>,
    /// Member number; may be empty.
    pub member: String,
    /// Texts beside the body: what each belongs to, the text, 16 random bytes.
    pub texts: Vec<(String, String, [u8; 16])>,
}

/// An event that was recorded, durably.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Appended {
    /// Its id.
    pub id: EventId,
    /// Its place in the chain.
    pub seq: u64,
}

/// What became of a batch.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Kept {
    /// Events that are durable now and were not before.
    pub new: Vec<EventId>,
    /// Events that were held already.
    pub held: u64,
    /// Events that do not fit.
    pub refused: Vec<RefusedEvent>,
}

/// An event that was not kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RefusedEvent {
    /// Its id.
    pub id: EventId,
    /// Stable, UPPER_SNAKE.
    pub reason: &'static str,
    /// In words.
    pub detail: String,
    /// Events that are missing here.
    pub missing: Vec<EventId>,
}

/// One line of the log, for people.
#[derive(Clone, Debug, PartialEq)]
pub struct LogLine {
    /// Local number.
    pub number: u64,
    /// The event.
    pub event: SignedEvent,
    /// When the county stored it.
    pub received_unix_ms: Option<i64>,
    /// Whether it is trusted.
    pub trust: Trust,
    /// Contents beside it that were removed, by position in its header. What is neither held nor
    /// here came to this replica without.
    pub removed: BTreeMap<u16, Removed>,
}

/// A content beside an event that was removed at the lead's word.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Removed {
    /// The redaction.
    pub by: EventId,
    /// When, milliseconds since 1970: when the county stored the redaction, else as claimed.
    pub unix_ms: i64,
}

/// One key: a station's device, or the county's own.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Device {
    /// The key.
    pub key: Key,
    /// What the registry says of it; none when it is not admitted as far as is known here.
    pub admitted: Option<AdmittedKey>,
    /// When the county stored its admission.
    pub admitted_unix_ms: Option<i64>,
    /// When the county stored the newest of its events.
    pub heard_unix_ms: Option<i64>,
    /// Its newest events: one, or more after its chain parted.
    pub heads: Vec<(u64, EventId)>,
    /// Lowest seq at which its chain parts.
    pub parted: Option<u64>,
    /// What of it counts for nothing.
    pub untrusted: Untrusted,
}

/// How many events of a chain count for nothing.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Untrusted {
    /// Unconfirmed: they make craft unproven until the lead says something.
    pub open: u64,
    /// Dismissed by the lead.
    pub dismissed: u64,
    /// Of those dismissed, kept here after the newest dismissal that covers them.
    pub after_dismissal: u64,
}

/// The chain of one key as the lead looks at it.
#[derive(Clone, Debug, PartialEq)]
pub struct ChainView {
    /// Events at the seq that was asked for.
    pub at: Vec<EventId>,
    /// Unconfirmed events that nobody dismissed, then those that came after their dismissal; the
    /// first of them when there are many.
    pub lines: Vec<LogLine>,
    /// Places from which dismissals cover all of those, also the ones left out: one a branch.
    pub dismiss: Vec<DismissFrom>,
    /// Counts.
    pub untrusted: Untrusted,
}

/// Where a dismissal begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DismissFrom {
    /// Seq in the chain.
    pub seq: u64,
    /// The event there.
    pub event: EventId,
}

/// Which lines of the log are wanted; newest last in every page.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Page {
    /// The newest lines.
    Newest,
    /// The lines before a local number, the nearest to it.
    Before(u64),
    /// The lines after a local number, the nearest to it.
    After(u64),
}

/// What a check of the whole store found.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Verified {
    /// Events looked at.
    pub events: u64,
    /// Chains.
    pub chains: u64,
    /// Places in the county log.
    pub county_size: u64,
    /// One line for each thing that is wrong.
    pub wrong: Vec<String>,
    /// How many of these are chains that parted: no damage, but for the lead to settle.
    pub parted: u64,
    /// Pictures that are here.
    pub pictures: u64,
    /// Pictures that events commit to and that are not here: no damage. They may be at the county, at
    /// another station, or nowhere any more.
    pub pictures_missing: u64,
}

impl Verified {
    /// Whether the store holds what was written, whoever wrote it.
    #[must_use]
    pub fn is_whole(&self) -> bool {
        self.wrong.len() as u64 == self.parted
    }
}

/// The device's clock against the county's, as last measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ClockOffset {
    /// County's clock less the device's, milliseconds.
    pub county_minus_device_ms: i64,
    /// The round trip that it was measured in, milliseconds.
    pub round_trip_ms: i64,
    /// When, by the device's clocks.
    pub measured: Now,
}

/// At the county: a station's clock beside the county's, when it was last heard directly. The time
/// that the request was on its way stands in the difference. With it the program that said so.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StationClock {
    /// The station's, as its request said, milliseconds since 1970.
    pub sent_unix_ms: i64,
    /// The county's, when the request came, milliseconds since 1970.
    pub received_unix_ms: i64,
    /// The station's program, as it says.
    pub program: Program,
}

impl StationClock {
    /// The county's clock less the station's, milliseconds.
    #[must_use]
    pub const fn apart_ms(&self) -> i64 {
        self.received_unix_ms.saturating_sub(self.sent_unix_ms)
    }
}

/// Entries that the county had stored and signed for once, did not hold, and got back from one
/// station. They keep their received times.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct GivenBack {
    /// The log that was begun before they came.
    pub log: LogId,
    /// How many came.
    pub entries: u64,
    /// When the first came, milliseconds since 1970.
    pub first_unix_ms: i64,
    /// When the last came.
    pub last_unix_ms: i64,
}

/// How the county log that is held follows another one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Begun {
    /// What its first leaf says.
    pub begun: LogBegun,
    /// When the county said so, milliseconds since 1970.
    pub unix_ms: i64,
    /// At the county: what stations gave back since, by station.
    pub back: BTreeMap<SubjectId, GivenBack>,
    /// Registered stations whose devices were not heard since: what they hold may be missing.
    pub to_hear: Vec<String>,
}

/// What a replica is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct About {
    /// The county.
    pub county: CountyId,
    /// Own key.
    pub key: Key,
    /// The station that the key belongs to, and its name, as far as the registry says.
    pub station: Option<(SubjectId, String)>,
    /// Whether the key is admitted and not ended.
    pub admitted: bool,
    /// Lowest seq at which the own chain parts, when somebody else wrote with the same key: a
    /// copied or restored device. Nothing from there on counts until the lead ends the key.
    pub parted: Option<u64>,
    /// Events held.
    pub events: u64,
    /// Events that the county log, as held, does not prove.
    pub waiting: u64,
    /// The last sync's measurement.
    pub offset: Option<ClockOffset>,
    /// At the county: the clocks of stations that were heard directly.
    pub station_clocks: BTreeMap<SubjectId, StationClock>,
    /// The county log.
    pub log: Option<LogId>,
    /// Its entries as held.
    pub county_size: u64,
    /// Root over them.
    pub root: Digest,
    /// Set when that log follows another one.
    pub begun: Option<Begun>,
    /// At the county: its key may sign nothing any more; the root key admits another.
    pub paused: bool,
    /// At a station: why the county refused the last sync; none once one went through.
    pub sync_refused: Option<SyncRefused>,
}

/// Why the county refused a sync.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SyncRefused {
    /// When, by this device's clock, milliseconds since 1970.
    pub unix_ms: i64,
    /// Stable, `UPPER_SNAKE`.
    pub reason: String,
    /// For people: what is wrong and what to do.
    pub words: String,
}

/// How a store is kept up.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Upkeep {
    /// Bytes of the store's files; none on a disk that is simulated.
    pub disk_bytes: Option<u64>,
    /// Bytes left on the disk.
    pub free_bytes: Option<u64>,
    /// Bytes of the events in it, once all were read by the check in the background.
    pub event_bytes: Option<u64>,
    /// When that check last ended, milliseconds since 1970.
    pub checked_unix_ms: Option<i64>,
    /// One line for each thing that it found damaged.
    pub damage: Vec<String>,
}

impl Upkeep {
    /// What a store takes that holds next to nothing: sixteen of the engine's segments of 512 KiB.
    const SLACK_BYTES: u64 = 8 * 1024 * 1024;

    /// Less than this left on a disk is said: a day's 1,000 events of 4 KiB, four times over as the
    /// engine writes them, for a week and a little.
    const FREE_SAID_BYTES: u64 = 128 * 1024 * 1024;

    /// What is said of a store that takes too much.
    pub const SWOLLEN: &str = "the store takes more than four times the room of what it holds: end \
                               the service and run 'sponson compact', at the county \
                               'sponson-county compact', which writes it anew";

    /// What is said when the disk is nearly full.
    pub const NEARLY_FULL: &str = "the disk is nearly full: make room, else nothing more can be \
                                   recorded";

    /// Whether the store takes more than four times what it holds, beside its slack.
    #[must_use]
    pub fn is_swollen(&self) -> bool {
        let (Some(disk), Some(events)) = (self.disk_bytes, self.event_bytes) else {
            return false;
        };
        disk > events.saturating_mul(4).saturating_add(Self::SLACK_BYTES)
    }

    /// Whether the disk is nearly full.
    #[must_use]
    pub fn is_nearly_full(&self) -> bool {
        self.free_bytes
            .is_some_and(|free| free < Self::FREE_SAID_BYTES)
    }
}

/// Craft, gear, bags, shelves, stations and standards that a replica knows.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Catalogue {
    /// Things and stations, in order of id.
    pub entries: Vec<CatalogueEntry>,
    /// Every adopted revision of every standard.
    pub standards: Vec<CatalogueStandard>,
    /// Text of the policy in force.
    pub policy: Option<String>,
    /// County-wide holds that nothing lifted, in order of event.
    pub holds: Vec<CatalogueHold>,
}

/// A county-wide hold.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CatalogueHold {
    /// The event.
    pub event: EventId,
    /// What it holds.
    pub hold: CountyHold,
    /// Whether it is trusted.
    pub trust: sponson_readiness::event::Trust,
}

/// One thing, or one station.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CatalogueEntry {
    /// Its id.
    pub id: SubjectId,
    /// What sort of thing it is.
    pub kind: wire::SubjectType,
    /// Painted number, or name of a station; the first side where stations differ.
    pub number: String,
    /// Model; empty when it has none.
    pub model: String,
    /// The station where it is; none when not known or disputed.
    pub station: Option<SubjectId>,
    /// The craft that it is on.
    pub craft: Option<SubjectId>,
    /// Sort of gear.
    pub gear: Option<GearKind>,
    /// Open faults and open answers 'no'.
    pub faults: Vec<OpenFault>,
    /// Out-of-service statements that nothing ended.
    pub out: Vec<EventId>,
    /// Assignments that nothing ended.
    pub assigned: Vec<EventId>,
}

/// A fault that is open.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OpenFault {
    /// The event that recorded it.
    pub event: EventId,
    /// Its position there.
    pub ordinal: u32,
    /// Its part; empty for an answer 'no'.
    pub part: String,
    /// Where on it.
    pub place: PartPlace,
    /// Its class; empty for an answer 'no'.
    pub class: String,
    /// How bad; none for an answer 'no', which the standard rates.
    pub severity: Option<Severity>,
    /// Claimed time of the event, milliseconds since 1970.
    pub found_unix_ms: i64,
    /// For an answer 'no': its line.
    pub line: String,
}

/// A boat standard as adopted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CatalogueStandard {
    /// The event that adopted it.
    pub event: EventId,
    /// Model.
    pub model: String,
    /// Revision.
    pub revision: u32,
    /// The sheet.
    pub text: String,
}

/// How much a replica holds, for whoever waits for more: two that are equal hold the same.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Held {
    /// Events.
    pub events: u64,
    /// Entries of the county log.
    pub county_size: u64,
    /// Sum of the times at which stations were heard directly, milliseconds, wrapping: any of them
    /// that is heard again changes it.
    pub heard_ms_sum: i64,
}
