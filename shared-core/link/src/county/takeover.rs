//! A device that takes over from another one: what its admission names, and the end of the old key.
//!
//! Only a code that the lead made for it ends a key. The old key ends with the newest event that
//! the county holds of it, or before its chain parted: what the county has accepted so far stays
//! good, also what was recorded after the backup from which a device was brought back. Whatever
//! the old device still has stays unconfirmed until the lead says how far it is good.

use prost::Message as _;
use sponson_log::chains::Chain;
use sponson_log::ids::{EventId, Key};
use sponson_proto::event::v1::{KeyEndReason, KeyEnded, Kind, SubjectType};
use sponson_replica::{NewEvent, Now, Replica};
use tonic::Code;

use super::codes::Admits;
use crate::refusal::{Refusal, append_refused};

/// The key that a device takes over from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Replaced {
    pub(super) key: Key,
    /// Its newest event that both sides know.
    pub(super) head: Option<EventId>,
    end: Option<(u64, EventId)>,
    ends: Ends,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Ends {
    /// The code was made for it.
    Now,
    /// The device says so; the lead has not.
    NotYet,
}

impl Replaced {
    /// What the code and the device say together; none when neither names a key.
    pub(super) fn of(
        replica: &Replica,
        admits: &Admits,
        asked: Option<(Key, Option<EventId>)>,
    ) -> Result<Option<Self>, Refusal> {
        let named = asked.map(|(key, _)| key);
        if let (Some(made_for), Some(named)) = (admits.replaces, named)
            && made_for != named
        {
            return Err(Refusal::new(
                Code::FailedPrecondition,
                "REPLACES_OTHER_DEVICE",
                "this code was made to take over from another device than the one that was named",
                "ask the lead for a code for this device",
            ));
        }
        let Some(key) = admits.replaces.or(named) else {
            return Ok(None);
        };
        let of_station = replica
            .registry()
            .key(&key)
            .is_some_and(|replaced| replaced.station == Some(admits.station));
        if !of_station {
            return Err(Refusal::new(
                Code::FailedPrecondition,
                "REPLACES_OTHER_STATION",
                format!("key {key}, which this device takes over from, is not of this station"),
                "ask the lead for a code of the station that the device belonged to",
            ));
        }
        let end = newest_good(replica, &key);
        let head = asked.and_then(|(_, head)| head).filter(|id| {
            let chain = replica.chains().get(&key);
            chain.is_some_and(|chain| chain.events().any(|(_, held)| held == id))
        });
        Ok(Some(Self {
            key,
            head: head.or(end.map(|(_, id)| id)),
            end,
            ends: if admits.replaces.is_some() {
                Ends::Now
            } else {
                Ends::NotYet
            },
        }))
    }

    /// Ends the key, if that is due and was not done before.
    pub(super) fn end(&self, replica: &mut Replica, now: &Now) -> Result<(), Refusal> {
        let admitted = replica.registry().key(&self.key);
        let (Ends::Now, Some(admitted)) = (self.ends, admitted) else {
            return Ok(());
        };
        if admitted.ended.is_some() {
            return Ok(());
        }
        let station = admitted.station.map(|id| (id, SubjectType::Station));
        let ended = KeyEnded {
            key: self.key.to_bytes(),
            last_good: self
                .end
                .map_or_else(Default::default, |(_, id)| id.to_bytes()),
            last_good_seq: self.end.map_or(0, |(seq, _)| seq),
            reason: KeyEndReason::Replaced.into(),
        };
        let event = NewEvent {
            kind: Kind::KeyEnded,
            kind_version: 1,
            payload: ended.encode_to_vec(),
            subjects: station.into_iter().collect(),
            observed: None,
            member: String::new(),
            texts: Vec::new(),
        };
        replica.append(event, now).map_err(append_refused)?;
        tracing::info!(key = %self.key, "the key of a device that was replaced has ended");
        Ok(())
    }
}

/// The newest event of a key that counts, whatever it says: the last good one of an ended key, the
/// one before a parting, else the newest that is held.
fn newest_good(replica: &Replica, key: &Key) -> Option<(u64, EventId)> {
    let ended = replica.registry().key(key).and_then(|it| it.ended);
    if let Some(end) = ended {
        return end.last_good.map(|id| (end.last_good_seq, id));
    }
    let chain = replica.chains().get(key)?;
    match chain.parted_at() {
        Some(parted) => before(chain, parted),
        None => chain.heads().iter().next().map(|(id, seq)| (*seq, *id)),
    }
}

fn before(chain: &Chain, parted: u64) -> Option<(u64, EventId)> {
    let seq = parted.checked_sub(1)?;
    let id = chain.at(seq)?.first()?;
    Some((seq, *id))
}
