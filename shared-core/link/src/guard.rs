//! The guard: one layer before every method of the county's server, which denies by default.
//!
//! Open are the methods listed here, one by one. Every other path, known or not, needs a connection
//! whose TLS key the registry admits; what the registry says of it goes along with the request.

use std::convert::Infallible;
use std::task::{Context, Poll};

use sponson_log::ids::{Digest, Key, SubjectId};
use sponson_log::registry::Registry;
use sponson_proto::event::v1::Role;
use tonic::body::Body;
use tonic::{Code, Status};
use tower::{Layer, Service};

use crate::refusal::Refusal;
use crate::shared::Shared;
use crate::tls::Peer;

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
}

impl Guard {
    /// A guard that asks this replica's registry.
    #[must_use]
    pub const fn new(shared: Shared) -> Self {
        Self { shared }
    }
}

impl<S> Layer<S> for Guard {
    type Service = Guarded<S>;

    fn layer(&self, inner: S) -> Guarded<S> {
        Guarded {
            inner,
            shared: self.shared.clone(),
        }
    }
}

/// A service behind the guard.
#[derive(Clone, Debug)]
pub struct Guarded<S> {
    inner: S,
    shared: Shared,
}

type Answering = std::pin::Pin<
    Box<dyn Future<Output = Result<tonic::codegen::http::Response<Body>, Infallible>> + Send>,
>;

impl<S> Service<tonic::codegen::http::Request<Body>> for Guarded<S>
where
    S: Service<
            tonic::codegen::http::Request<Body>,
            Response = tonic::codegen::http::Response<Body>,
            Error = Infallible,
        > + Clone
        + Send
        + 'static,
    S::Future: Send,
{
    type Response = tonic::codegen::http::Response<Body>;
    type Error = Infallible;
    type Future = Answering;

    fn poll_ready(&mut self, cx: &mut Context<'_>) -> Poll<Result<(), Infallible>> {
        self.inner.poll_ready(cx)
    }

    fn call(&mut self, mut request: tonic::codegen::http::Request<Body>) -> Answering {
        // The service that was polled ready is the one to call; the copy takes its place.
        let copy = self.inner.clone();
        let mut inner = std::mem::replace(&mut self.inner, copy);
        let shared = self.shared.clone();
        Box::pin(async move {
            if OPEN.contains(&request.uri().path()) {
                return inner.call(request).await;
            }
            let peer = request.extensions().get::<Peer>().cloned();
            match admit(&shared, peer).await {
                Ok(caller) => {
                    request.extensions_mut().insert(caller);
                    inner.call(request).await
                }
                Err(refusal) => Ok(Status::from(refusal).into_http()),
            }
        })
    }
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
