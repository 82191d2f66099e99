//! Joining a county: know the county by the code, only then send the code's secret.
//!
//! The code holds the hash of the county's root key. The root key's events lead to the working
//! key, whose signature vouches for the TLS key of the connection. Whatever does not fit ends the
//! joining before anything secret was sent. Nothing is written here.

use std::collections::BTreeSet;

use sponson_log::chains::Chains;
use sponson_log::event::SignedEvent;
use sponson_log::ids::{CountyId, Digest, EventId, Key, SubjectId};
use sponson_log::registry::Registry;
use sponson_proto::service::v1::{AdmitReply, AdmitRequest, IntroduceReply, IntroduceRequest};
use tonic::{Request, Status};

use super::CountyAt;
use crate::code::Code;
use crate::identity::Identity;
use crate::limits::{CALL_TIMEOUT, MESSAGE_BYTES_MAX};
use crate::statement;
use crate::stubs::service::admission_client::AdmissionClient;
use crate::tls::{self, ConnectError, Learnt, TlsError, Trusted};

/// Longest path of events from a root key to a working key that is followed: a new working key
/// every year for a lifetime.
const PATH_MAX: usize = 64;

/// What joining gave.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Joined {
    /// The county.
    pub county: CountyId,
    /// Where it is, with its TLS key pinned: for the settings.
    pub at: CountyAt,
    /// The station that the device belongs to.
    pub station: SubjectId,
    /// Its name.
    pub station_name: String,
    /// The registry event that admitted the device.
    pub admitted_by: EventId,
}

/// Why joining failed.
#[derive(Debug, thiserror::Error)]
pub enum JoinError {
    /// No connection came about.
    #[error(transparent)]
    Connect(#[from] ConnectError),
    /// TLS could not be set up.
    #[error(transparent)]
    Tls(#[from] TlsError),
    /// The other side is not the county of the code.
    #[error(
        "{address} is not the county that gave this code: {why}; the code was not sent; check the address"
    )]
    OtherCounty {
        /// The address.
        address: String,
        /// What does not fit.
        why: String,
    },
    /// The county refused.
    #[error("the county refused: {}", crate::refusal::words(.0))]
    Refused(Box<Status>),
    /// The county's reply cannot be read.
    #[error("the county's reply cannot be read: {0}; join with the program of its version")]
    Reply(#[from] sponson_log::ids::WrongLength),
}

impl From<Status> for JoinError {
    fn from(status: Status) -> Self {
        Self::Refused(Box::new(status))
    }
}

/// Joins the county at `HOST:PORT`. `replaces` names the key that this device takes over from and
/// the newest event of it that is held. Joining again with the same keys and code gives the same.
///
/// # Errors
/// When the county cannot be reached, is not the code's, or refuses.
pub async fn join(
    code: &Code,
    address: &str,
    identity: &Identity,
    device: &str,
    replaces: Option<(Key, Option<EventId>)>,
) -> Result<Joined, JoinError> {
    let tls_key = introduced(code, address).await?;
    let pinned = Trusted::Keys(BTreeSet::from([tls_key]));
    let channel = tls::channel(address, tls::client(identity, pinned)?).await?;
    let signature = statement::ask(identity.log_key(), code.secret(), &identity.tls_key());
    let (replaces_key, replaces_head) = replaces.unzip();
    let mut request = Request::new(AdmitRequest {
        secret: bytes::Bytes::copy_from_slice(code.secret()),
        key: identity.log_key().key().to_bytes(),
        tls_key_sha256: identity.tls_key().to_bytes(),
        signature: bytes::Bytes::copy_from_slice(&signature),
        device: device.to_owned(),
        replaces_key: replaces_key.map(Key::to_bytes).unwrap_or_default(),
        replaces_head: replaces_head
            .flatten()
            .map(EventId::to_bytes)
            .unwrap_or_default(),
    });
    request.set_timeout(CALL_TIMEOUT);
    let reply = AdmissionClient::new(channel)
        .max_decoding_message_size(MESSAGE_BYTES_MAX)
        .admit(request)
        .await?
        .into_inner();
    read_reply(code, reply, address, tls_key)
}

/// Meets the county and gives the TLS key that it proved to be its own.
async fn introduced(code: &Code, address: &str) -> Result<Digest, JoinError> {
    let learnt = Learnt::default();
    let config = tls::client_without_key(Trusted::Learn(learnt.clone()))?;
    let channel = tls::channel(address, config).await?;
    let mut request = Request::new(IntroduceRequest {});
    request.set_timeout(CALL_TIMEOUT);
    let reply = AdmissionClient::new(channel)
        .max_decoding_message_size(MESSAGE_BYTES_MAX)
        .introduce(request)
        .await?
        .into_inner();
    let other = |why: String| JoinError::OtherCounty {
        address: address.to_owned(),
        why,
    };
    let shown = learnt
        .key()
        .ok_or_else(|| other("it showed no key".to_owned()))?;
    check(code.county(), &shown, reply).map_err(other)?;
    Ok(shown)
}

/// Checks an introduction from the code to the TLS key.
fn check(county: CountyId, shown: &Digest, reply: IntroduceReply) -> Result<(), String> {
    let root = Key::parse("root_key", &reply.root_key).map_err(|error| error.to_string())?;
    if CountyId::of_root(&root) != county {
        return Err("it has another root key".to_owned());
    }
    if reply.path.len() > PATH_MAX {
        return Err(format!(
            "its path has {} events; at most {PATH_MAX} are followed",
            reply.path.len()
        ));
    }
    let working =
        Key::parse("working_key", &reply.working_key).map_err(|error| error.to_string())?;
    let mut registry = Registry::new(county);
    let mut chains = Chains::default();
    for event in reply.path {
        let event = SignedEvent::open(event).map_err(|error| error.to_string())?;
        if event.header().key != root {
            return Err("an event of its path is not signed by its root key".to_owned());
        }
        chains.add(&event);
        registry.apply(&event, &chains);
    }
    let admitted = registry
        .key(&working)
        .filter(|admitted| admitted.ended.is_none());
    match admitted.map(|admitted| admitted.tls_key) {
        None => return Err("its root key does not admit its working key".to_owned()),
        Some(Some(tls_key)) if tls_key != *shown => {
            return Err("the connection has another key than its root key admits".to_owned());
        }
        Some(_) => {}
    }
    statement::check_introduction(&working, shown, &reply.signature)
        .map_err(|_| "its working key does not vouch for this connection".to_owned())
}

fn read_reply(
    code: &Code,
    reply: AdmitReply,
    address: &str,
    tls_key: Digest,
) -> Result<Joined, JoinError> {
    let county = CountyId::parse("county_id", &reply.county_id)?;
    if county != code.county() {
        return Err(JoinError::OtherCounty {
            address: address.to_owned(),
            why: "its reply names another county".to_owned(),
        });
    }
    Ok(Joined {
        county,
        at: CountyAt {
            address: address.to_owned(),
            tls_key,
        },
        station: SubjectId::parse("station", &reply.station)?,
        station_name: reply.station_name,
        admitted_by: EventId::parse("admitted_by", &reply.admitted_by)?,
    })
}

#[cfg(test)]
mod tests {
    use sponson_log::sign::DeviceKey;
    use sponson_proto::event::v1::Event;

    use super::*;

    #[test]
    fn so_long_a_path_is_followed_and_of_a_longer_one_nothing() {
        let root = DeviceKey::from_seed([1; 32]).key();
        let said = |length: usize| {
            let reply = IntroduceReply {
                root_key: root.to_bytes(),
                working_key: DeviceKey::from_seed([2; 32]).key().to_bytes(),
                path: vec![Event::default(); length],
                ..IntroduceReply::default()
            };
            let shown = Digest::from_bytes([3; 32]);
            check(CountyId::of_root(&root), &shown, reply).expect_err("no event is empty")
        };
        let over = said(PATH_MAX + 1);
        assert_eq!(over, "its path has 65 events; at most 64 are followed");
        assert!(!said(PATH_MAX).contains("followed"), "each is opened");
    }
}
