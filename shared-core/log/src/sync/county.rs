//! The county's end of a sync: one request in, what to keep and then the reply out.

use sponson_proto::sync::v1::ExchangeRequest;

use crate::chains::Chains;
use crate::checkpoint::Checkpoint;
use crate::event::SignedEvent;
use crate::ids::{CountyId, EventId, Key, LogId};

/// A request that was read and found right in form.
#[derive(Clone, Debug)]
pub struct Request {
    /// The station's log; none before its first sync.
    pub log: Option<LogId>,
    /// Entries that it holds.
    pub size: u64,
    /// The newest checkpoint that it holds.
    pub checkpoint: Option<Checkpoint>,
    /// Its tails: key, seq, head.
    pub tails: Vec<(Key, u64, EventId)>,
    /// Events for the county that are right in form and signed.
    pub events: Vec<SignedEvent>,
    /// Events that were not, and why.
    pub refused: Vec<(EventId, String)>,
    /// About how many bytes of entries it wants.
    pub entries_bytes_max: usize,
    /// Its clock.
    pub sent_unix_ms: i64,
}

/// Why a request was refused whole.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum RequestError {
    /// Another county's.
    #[error("this is county {ours}; the request is for {theirs}")]
    OtherCounty {
        /// This county.
        ours: CountyId,
        /// The one asked for.
        theirs: String,
    },
    /// Not right in form.
    #[error("{field} cannot be read: {detail}")]
    Unreadable {
        /// The field.
        field: &'static str,
        /// Why.
        detail: String,
    },
}

impl Request {
    /// Reads and verifies a request.
    ///
    /// # Errors
    /// When it is another county's or not right in form.
    pub fn open(_county: CountyId, _request: ExchangeRequest) -> Result<Self, RequestError> {
        todo!()
    }

    /// Entries below the checkpoint that the station said it holds of its own: ids that need not
    /// be sent whole. An event of a chain in `tails` with a seq up to the tail's, on its branch.
    #[must_use]
    pub fn holds(&self, _event: &SignedEvent, _chains: &Chains) -> bool {
        todo!()
    }
}
