//! The guard: one layer before every method of the county's server, which denies by default.
//!
//! Open are the methods listed here, one by one. Every other path, known or not, needs a connection
//! whose TLS key the registry admits; what the registry says of it goes along with the request, and it
//! has one of the places for calls until its reply is taken.

use std::convert::Infallible;
use std::pin::Pin;
use std::task::{Context, Poll};
use std::time::Duration;

use bytes::Bytes;
use http_body::{Frame, SizeHint};
use sponson_log::ids::{Digest, Key, SubjectId};
use sponson_log::registry::Registry;
use sponson_proto::event::v1::Role;
use tonic::body::Body;
use tonic::codegen::http::{HeaderMap, Request, Response, StatusCode, header};
use tonic::{Code, Status};
use tower::{Layer, Service};

use crate::limits::{AtATime, CALLS_MAX, CALLS_PER_KEY_MAX};
use crate::refusal::Refusal;
use crate::shared::Shared;
use crate::tls::Peer;
use crate::tls::room::{Place, Room};

/// Methods that need no key, whole: a method that is not here is shut, whatever its service.
const OPEN: [&str; 6] = [
    // How a device comes to be known: it has no admitted key yet.
    "/sponson.service.v1.Admission/Introduce",
    "/sponson.service.v1.Admission/Admit",
    // Whether the services are up: says nothing about the county.
    "/grpc.health.v1.Health/Check",
    "/grpc.health.v1.Health/Watch",
    // The published forms of the messages.
    "/grpc.reflection.v1.ServerReflection/ServerReflectionInfo",
    "/grpc.reflection.v1alpha.ServerReflection/ServerReflectionInfo",
];

/// Who calls, as the registry knows it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Caller {
    /// The log key of the device.
    pub key: Key,
    /// Its station; none for the county's own.
    pub station: Option<SubjectId>,
    /// Its roles now.
    pub roles: Vec<Role>,
}

impl Caller {
    /// Whether it may bring events in, its own or carried ones: every role but the reader's
    /// records something.
    #[must_use]
    pub fn brings_events(&self) -> bool {
        self.roles.iter().any(|role| *role != Role::Reader)
    }
}

/// Puts the guard before a service.
#[derive(Clone, Debug)]
pub struct Guard {
    shared: Shared,
    calls: Room<Key>,
}

impl Guard {
    /// A guard that asks this replica's registry.
    #[must_use]
    pub fn new(shared: Shared) -> Self {
        Self {
            shared,
            calls: Room::of(AtATime {
                in_all: CALLS_MAX,
                of_each: CALLS_PER_KEY_MAX,
            }),
        }
    }
}

impl<S> Layer<S> for Guard {
    type Service = Guarded<S>;

    fn layer(&self, inner: S) -> Guarded<S> {
        Guarded {
            inner,
            guard: self.clone(),
        }
    }
}

/// A service behind the guard.
#[derive(Clone, Debug)]
pub struct Guarded<S> {
    inner: S,
    guard: Guard,
}

type Answering = std::pin::Pin<Box<dyn Future<Output = Result<Response<Body>, Infallible>> + Send>>;

impl<S> Service<Request<Body>> for Guarded<S>
where
    S: Service<Request<Body>, Response = Response<Body>, Error = Infallible>
        + Clone
        + Send
        + 'static,
    S::Future: Send,
{
    type Response = Response<Body>;
    type Error = Infallible;
    type Future = Answering;

    fn poll_ready(&mut self, cx: &mut Context<'_>) -> Poll<Result<(), Infallible>> {
        self.inner.poll_ready(cx)
    }

    fn call(&mut self, mut request: Request<Body>) -> Answering {
        // The service that was polled ready is the one to call; the copy takes its place.
        let copy = self.inner.clone();
        let mut inner = std::mem::replace(&mut self.inner, copy);
        let guard = self.guard.clone();
        Box::pin(async move {
            if !is_grpc(request.headers()) {
                return Ok(other_content());
            }
            if OPEN.contains(&request.uri().path()) {
                return inner.call(request).await;
            }
            let peer = request.extensions().get::<Peer>().cloned();
            match guard.admit(peer).await {
                Ok((caller, place)) => {
                    request.extensions_mut().insert(caller);
                    let reply = inner.call(request).await?;
                    Ok(reply.map(|body| {
                        Body::new(Taken {
                            body,
                            _place: place,
                        })
                    }))
                }
                Err(refusal) => Ok(Status::from(refusal).into_http()),
            }
        })
    }
}

/// Whether a request says that it is one of gRPC (PROTOCOL-HTTP2.md, 'Content-Type'). No page of a
/// browser can say so of a request to another host without asking that host first (Fetch standard,
/// CORS-safelisted request-header), and this one allows nobody.
fn is_grpc(headers: &HeaderMap) -> bool {
    let said = headers.get(header::CONTENT_TYPE);
    said.is_some_and(|said| said.as_bytes().starts_with(b"application/grpc"))
}

/// As gRPC has it for what is none.
fn other_content() -> Response<Body> {
    let mut refused = Response::new(Body::empty());
    *refused.status_mut() = StatusCode::UNSUPPORTED_MEDIA_TYPE;
    refused
}

impl Guard {
    /// Who calls, and a place for the call.
    async fn admit(&self, peer: Option<Peer>) -> Result<(Caller, Place<Key>), Refusal> {
        let caller = admit(&self.shared, peer).await?;
        let place = self.calls.take(caller.key).ok_or_else(busy)?;
        Ok((caller, place))
    }
}

/// A reply that holds the place of its call until it is taken whole, or given up.
struct Taken {
    body: Body,
    _place: Place<Key>,
}

impl http_body::Body for Taken {
    type Data = Bytes;
    type Error = Status;

    fn poll_frame(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
    ) -> Poll<Option<Result<Frame<Bytes>, Status>>> {
        Pin::new(&mut self.body).poll_frame(cx)
    }

    fn is_end_stream(&self) -> bool {
        self.body.is_end_stream()
    }

    fn size_hint(&self) -> SizeHint {
        self.body.size_hint()
    }
}

/// A busy county asks for this pause: a few calls of others.
const BUSY_PAUSE: Duration = Duration::from_secs(10);

fn busy() -> Refusal {
    Refusal::new(
        Code::Unavailable,
        "COUNTY_BUSY",
        format!(
            "{CALLS_MAX} calls are in progress, or {CALLS_PER_KEY_MAX} of this device, the most at a \
             time"
        ),
        format!("try again in {} seconds", BUSY_PAUSE.as_secs()),
    )
    .retry_after(BUSY_PAUSE)
}

async fn admit(shared: &Shared, peer: Option<Peer>) -> Result<Caller, Refusal> {
    let Some(tls_key) = peer.and_then(|peer| peer.tls_key) else {
        return Err(Refusal::new(
            Code::Unauthenticated,
            "NO_KEY",
            "this connection shows no key",
            "join the county with a code first, then connect with the device's key",
        ));
    };
    shared
        .call(move |replica| caller(replica.registry(), &tls_key))
        .await?
}

/// What the registry says of a TLS key.
fn caller(registry: &Registry, tls_key: &Digest) -> Result<Caller, Refusal> {
    if let Some((key, admitted)) = registry.key_of_tls(tls_key) {
        return Ok(Caller {
            key,
            station: admitted.station,
            roles: admitted
                .roles
                .last()
                .map(|(_, roles)| roles.clone())
                .unwrap_or_default(),
        });
    }
    let ended = registry
        .keys()
        .values()
        .any(|admitted| admitted.tls_key.as_ref() == Some(tls_key));
    Err(if ended {
        Refusal::new(
            Code::PermissionDenied,
            "KEY_ENDED",
            "the lead ended this device's key",
            "ask the lead for a new code and join again",
        )
    } else {
        Refusal::new(
            Code::PermissionDenied,
            "KEY_NOT_ADMITTED",
            "this county does not know this device's key",
            "ask the lead for a code and join; if you did, check that this is your county",
        )
    })
}
