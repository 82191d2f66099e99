//! The county's end of an admission.

use std::collections::VecDeque;
use std::sync::Arc;
use std::time::Duration;

use prost::Message as _;
use sponson_log::ids::{Digest, EventId, Key, SubjectId};
use sponson_log::registry::Registry;
use sponson_proto::event::v1::{KeyAdmitted, Kind, SubjectType};
use sponson_proto::service::v1::{AdmitReply, AdmitRequest, IntroduceReply, IntroduceRequest};
use sponson_replica::{NewEvent, Now, Replica};
use tokio::sync::Mutex;
use tokio::time::Instant;
use tonic::{Code, Request, Response, Status};

use super::codes::{Admits, Codes, NotAdmitted};
use super::takeover::Replaced;
use crate::code::SECRET_BYTES;
use crate::identity::Identity;
use crate::limits::{
    ADMISSION_FAILURES_PER_ADDRESS_AND_MINUTE, ADMISSION_FAILURES_PER_MINUTE, DEVICE_BYTES_MAX,
};
use crate::refusal::{Refusal, append_refused, row_damaged};
use crate::shared::Shared;
use crate::statement;
use crate::stubs::service::admission_server::Admission;
use crate::tls::Peer;
use crate::tls::room::Origin;

const MINUTE: Duration = Duration::from_secs(60);

/// The service.
#[derive(Clone, Debug)]
pub(super) struct AdmissionService {
    shared: Shared,
    identity: Arc<Identity>,
    /// Held through a whole admission: one at a time.
    door: Arc<Mutex<Door>>,
}

/// What admissions share.
#[derive(Debug)]
struct Door {
    codes: Arc<Mutex<Codes>>,
    /// When tries failed and from where, the newest last.
    failures: VecDeque<(Instant, Origin)>,
}

/// A request for admission, right in form.
#[derive(Clone, Debug)]
struct Asked {
    secret: [u8; SECRET_BYTES],
    key: Key,
    tls_key: Digest,
    device: String,
    replaces: Option<(Key, Option<EventId>)>,
    origin: Origin,
}

impl AdmissionService {
    pub(super) fn new(shared: Shared, identity: Arc<Identity>, codes: Arc<Mutex<Codes>>) -> Self {
        let door = Door {
            codes,
            failures: VecDeque::new(),
        };
        Self {
            shared,
            identity,
            door: Arc::new(Mutex::new(door)),
        }
    }

    async fn admitted(&self, asked: Asked) -> Result<AdmitReply, Refusal> {
        let mut door = self.door.lock().await;
        door.may_try(Instant::now(), asked.origin)?;
        let now = self.shared.clock().now();
        let bound = door
            .codes
            .lock()
            .await
            .bind(&asked.secret, &asked.key, now.unix_ms)
            .map_err(|error| {
                tracing::error!(%error, "the admission codes could not be kept");
                Refusal::new(
                    Code::Unavailable,
                    "CODES_FAILED",
                    "the county cannot keep its admission codes",
                    "tell the county's operator; the code still works afterwards",
                )
            })?;
        let admits = match bound {
            Ok(admits) => admits,
            Err(why) => {
                door.failures.push_back((Instant::now(), asked.origin));
                return Err(not_admitted(why));
            }
        };
        self.shared
            .call(move |replica| {
                let replaced = Replaced::of(replica, &admits, asked.replaces)?;
                let reply = admit(replica, &asked, &admits, replaced, &now)?;
                // After the admission: a cut between the two leaves the old key, not no key; the
                // device then asks again.
                if let Some(replaced) = replaced {
                    replaced.end(replica, &now)?;
                }
                Ok(reply)
            })
            .await?
    }
}

impl Door {
    /// Refuses while too many tries failed within the last minute, from there or from anywhere.
    fn may_try(&mut self, now: Instant, origin: Origin) -> Result<(), Refusal> {
        let is_over = |(failed, _): &(Instant, Origin)| now.duration_since(*failed) >= MINUTE;
        while self.failures.front().is_some_and(is_over) {
            self.failures.pop_front();
        }
        let from_there = self.failures.iter().filter(|(_, from)| *from == origin);
        let from_there: Vec<Instant> = from_there.map(|(failed, _)| *failed).collect();
        if from_there.len() >= ADMISSION_FAILURES_PER_ADDRESS_AND_MINUTE {
            return Err(too_many(from_there.len(), from_there.first(), now));
        }
        if self.failures.len() >= ADMISSION_FAILURES_PER_MINUTE {
            let first = self.failures.front().map(|(failed, _)| failed);
            return Err(too_many(self.failures.len(), first, now));
        }
        Ok(())
    }
}

fn too_many(failed: usize, first: Option<&Instant>, now: Instant) -> Refusal {
    let wait = first.map_or(MINUTE, |first| {
        MINUTE.saturating_sub(now.duration_since(*first))
    });
    Refusal::new(
        Code::ResourceExhausted,
        "TOO_MANY_TRIES",
        format!("{failed} wrong codes were tried within a minute"),
        format!("wait {} seconds, then try again", wait.as_secs() + 1),
    )
    .retry_after(wait)
}

#[tonic::async_trait]
impl Admission for AdmissionService {
    async fn introduce(
        &self,
        _request: Request<IntroduceRequest>,
    ) -> Result<Response<IntroduceReply>, Status> {
        let working = self.identity.log_key().key();
        let (root, path) = self
            .shared
            .call(move |replica| path_to(replica, &working))
            .await
            .map_err(Refusal::from)??;
        let signature = statement::introduce(self.identity.log_key(), &self.identity.tls_key());
        Ok(Response::new(IntroduceReply {
            root_key: root.to_bytes(),
            path,
            working_key: working.to_bytes(),
            signature: bytes::Bytes::copy_from_slice(&signature),
        }))
    }

    async fn admit(&self, request: Request<AdmitRequest>) -> Result<Response<AdmitReply>, Status> {
        let peer = request.extensions().get::<Peer>().cloned();
        let peer = peer.ok_or_else(no_peer)?;
        let asked = Asked::read(request.into_inner(), &peer)?;
        Ok(Response::new(self.admitted(asked).await?))
    }
}

/// The root key, and the events that lead from it to the working key.
fn path_to(
    replica: &Replica,
    working: &Key,
) -> Result<(Key, Vec<sponson_proto::event::v1::Event>), Refusal> {
    let registry = replica.registry();
    let admitted_by = registry.key(working).map(|admitted| admitted.admitted_by);
    let event = match admitted_by.map(|id| replica.event(&id)) {
        Some(Ok(event)) => event,
        Some(Err(error)) => return Err(row_damaged(&error)),
        None => None,
    };
    match (registry.root(), event) {
        (Some(root), Some(event)) => Ok((root, vec![event.to_wire()])),
        _ => Err(Refusal::new(
            Code::Unavailable,
            "NO_WORKING_KEY",
            "this county's working key is not admitted by its root key",
            "tell the county's operator",
        )),
    }
}

impl Asked {
    /// Reads a request and checks that the device holds both keys.
    fn read(request: AdmitRequest, peer: &Peer) -> Result<Self, Refusal> {
        const AGAIN: &str = "join again with the program of this version";
        let unreadable =
            |error: sponson_log::ids::WrongLength| Refusal::field(error.to_string(), AGAIN);
        let secret = request.secret.as_ref().try_into().map_err(|_| {
            Refusal::field(
                format!(
                    "secret has {} bytes; it must have {SECRET_BYTES}",
                    request.secret.len()
                ),
                AGAIN,
            )
        })?;
        if request.device.len() > DEVICE_BYTES_MAX {
            return Err(Refusal::field(
                format!(
                    "device has {} bytes; at most {DEVICE_BYTES_MAX} are allowed",
                    request.device.len()
                ),
                "give the device a shorter name",
            ));
        }
        let replaces =
            Key::parse_optional("replaces_key", &request.replaces_key).map_err(unreadable)?;
        let head =
            EventId::parse_optional("replaces_head", &request.replaces_head).map_err(unreadable)?;
        let asked = Self {
            secret,
            key: Key::parse("key", &request.key).map_err(unreadable)?,
            tls_key: Digest::parse("tls_key_sha256", &request.tls_key_sha256)
                .map_err(unreadable)?,
            device: request.device,
            replaces: replaces.map(|key| (key, head)),
            origin: Origin::of(peer.address.ip()),
        };
        if peer.tls_key != Some(asked.tls_key) {
            return Err(Refusal::new(
                Code::Unauthenticated,
                "TLS_KEY_DIFFERS",
                "the connection does not show the TLS key that is to be admitted",
                AGAIN,
            ));
        }
        sponson_log::sign::admissible(&asked.key)
            .map_err(|weak| Refusal::field(weak.to_string(), "join again with new keys"))?;
        statement::check_asking(
            &asked.key,
            &asked.secret,
            &asked.tls_key,
            &request.signature,
        )
        .map_err(|error| Refusal::field(error.to_string(), AGAIN))?;
        Ok(asked)
    }
}

/// Every connection of the accept loop says who is at its other end.
fn no_peer() -> Refusal {
    Refusal::new(
        Code::Unauthenticated,
        "NO_KEY",
        "this connection shows no key",
        "join with the program of this version",
    )
}

fn not_admitted(why: NotAdmitted) -> Refusal {
    let reason = match why {
        NotAdmitted::Unknown => "CODE_UNKNOWN",
        NotAdmitted::Used => "CODE_USED",
        NotAdmitted::Ended => "CODE_ENDED",
    };
    Refusal::new(
        Code::PermissionDenied,
        reason,
        why.to_string(),
        "compare it with what you were given, or ask the lead for a new code",
    )
}

/// Admits a key whose code is bound to it; says the same again when that was done before.
fn admit(
    replica: &mut Replica,
    asked: &Asked,
    admits: &Admits,
    replaced: Option<Replaced>,
    now: &Now,
) -> Result<AdmitReply, Refusal> {
    if let Some(before) = replica.registry().key(&asked.key) {
        if before.tls_key != Some(asked.tls_key) || before.station != Some(admits.station) {
            return Err(Refusal::new(
                Code::AlreadyExists,
                "KEY_KNOWN",
                "this device's key is admitted already, for another station or another TLS key",
                "join again with new keys, in an empty folder",
            ));
        }
        return Ok(reply(
            replica.registry(),
            admits.station,
            before.admitted_by,
        ));
    }
    let taken = replica
        .registry()
        .keys()
        .values()
        .any(|admitted| admitted.tls_key == Some(asked.tls_key));
    if taken {
        return Err(Refusal::new(
            Code::AlreadyExists,
            "TLS_KEY_KNOWN",
            "this TLS key belongs to another device",
            "join again with new keys, in an empty folder",
        ));
    }
    let payload = admission(replica.registry(), asked, admits, replaced);
    let event = NewEvent {
        kind: Kind::KeyAdmitted,
        kind_version: 1,
        payload: payload.encode_to_vec(),
        subjects: vec![(admits.station, SubjectType::Station)],
        observed: None,
        member: String::new(),
        texts: Vec::new(),
    };
    let appended = replica.append(event, now).map_err(append_refused)?;
    tracing::info!(key = %asked.key, station = %admits.station, "a device was admitted");
    Ok(reply(replica.registry(), admits.station, appended.id))
}

fn admission(
    registry: &Registry,
    asked: &Asked,
    admits: &Admits,
    replaced: Option<Replaced>,
) -> KeyAdmitted {
    let before = registry
        .keys()
        .values()
        .filter(|admitted| admitted.station == Some(admits.station))
        .count();
    KeyAdmitted {
        key: asked.key.to_bytes(),
        station: admits.station.to_bytes(),
        roles: admits.roles.iter().map(|role| i32::from(*role)).collect(),
        tls_key_sha256: asked.tls_key.to_bytes(),
        replaces_key: replaced.map(|it| it.key.to_bytes()).unwrap_or_default(),
        replaces_head: replaced
            .and_then(|it| it.head)
            .map(EventId::to_bytes)
            .unwrap_or_default(),
        member: String::new(),
        device: asked.device.clone(),
        epoch: u32::try_from(before).unwrap_or(u32::MAX).saturating_add(1),
    }
}

fn reply(registry: &Registry, station: SubjectId, admitted_by: EventId) -> AdmitReply {
    AdmitReply {
        county_id: registry.county().to_bytes(),
        station: station.to_bytes(),
        station_name: registry
            .stations()
            .get(&station)
            .map(|facts| facts.name.clone())
            .unwrap_or_default(),
        admitted_by: admitted_by.to_bytes(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn door(folder: &std::path::Path) -> Door {
        let codes = Codes::load(folder).expect("codes");
        Door {
            codes: Arc::new(Mutex::new(codes)),
            failures: VecDeque::new(),
        }
    }

    fn from(address: &str) -> Origin {
        Origin::of(address.parse().expect("an address"))
    }

    #[tokio::test(start_paused = true)]
    async fn wrong_codes_close_the_door_for_a_minute_to_where_they_came_from() {
        let folder = tempfile::tempdir().expect("folder");
        let mut door = door(folder.path());
        let start = Instant::now();
        let (there, elsewhere) = (from("192.0.2.1"), from("192.0.2.2"));
        for _ in 0..ADMISSION_FAILURES_PER_ADDRESS_AND_MINUTE {
            door.may_try(start, there).expect("open");
            door.failures.push_back((start, there));
        }
        assert!(door.may_try(start, there).is_err());
        assert!(
            door.may_try(start + Duration::from_secs(59), there)
                .is_err()
        );
        door.may_try(start, elsewhere).expect("open to others");
        door.may_try(start + MINUTE, there).expect("open again");
    }

    #[tokio::test(start_paused = true)]
    async fn wrong_codes_from_everywhere_close_the_door_to_all() {
        let folder = tempfile::tempdir().expect("folder");
        let mut door = door(folder.path());
        let start = Instant::now();
        let other = from("198.51.100.1");
        for number in 0..ADMISSION_FAILURES_PER_MINUTE {
            door.may_try(start, other).expect("open");
            let [.., high, low] = number.to_be_bytes();
            let origin = from(&format!("203.0.{high}.{low}"));
            door.failures.push_back((start, origin));
        }
        assert!(door.may_try(start, other).is_err());
        door.may_try(start + MINUTE, other).expect("open again");
        assert!(door.failures.is_empty(), "what is over is forgotten");
    }

    #[test]
    fn one_site_is_one_origin_however_it_is_written() {
        assert_eq!(from("2001:db8:1:2::3"), from("2001:db8:1:2:ffff::9"));
        assert_ne!(from("2001:db8:1:2::3"), from("2001:db8:1:3::3"));
        assert_eq!(from("::ffff:192.0.2.1"), from("192.0.2.1"));
        assert_ne!(from("192.0.2.1"), from("192.0.2.2"));
    }
}
