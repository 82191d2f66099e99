//! The county's server: admission, sync, questions, health and reflection on one TLS listener.
//!
//! Takes a bound listener and a future that says when to stop. The guard stands before every
//! method (see [`crate::guard`]).

use std::sync::Arc;
use std::time::Duration;

use sponson_proto::DESCRIPTORS;
use tokio::net::TcpListener;
use tokio::sync::{Mutex, oneshot};
use tokio_rustls::TlsAcceptor;
use tonic::codec::CompressionEncoding;
use tonic::transport::server::{Router, Server};

use crate::guard::Guard;
use crate::identity::Identity;
use crate::limits::{
    CALLS_PER_CONNECTION_MAX, DRAIN, MESSAGE_BYTES_MAX, Patience, Places,
    STRANGER_MESSAGE_BYTES_MAX, STREAMS_MAX,
};
use crate::shared::Shared;
use crate::stubs::service::admission_server::AdmissionServer;
use crate::stubs::service::county_server::CountyServer as QuestionsServer;
use crate::stubs::service::pictures_server::PicturesServer;
use crate::stubs::sync::sync_server::SyncServer;
use crate::tls::{self, Accepting, Known, TlsError};

mod admission;
pub mod codes;
mod exchange;
mod pictures;
mod questions;
mod takeover;
pub mod visitors;
mod whole;

use admission::AdmissionService;
use codes::Codes;
use exchange::ExchangeService;
use pictures::PicturesService;
use questions::QuestionsService;

type Layered = tower::layer::util::Stack<Guard, tower::layer::util::Identity>;

/// The county's server.
#[derive(Clone, Debug)]
pub struct CountyServer {
    shared: Shared,
    identity: Arc<Identity>,
    codes: Arc<Mutex<Codes>>,
    drain: Duration,
    patience: Patience,
    places: Places,
}

/// Why the server did not run, or ended before it was told to.
#[derive(Debug, thiserror::Error)]
pub enum ServeError {
    /// TLS could not be set up.
    #[error(transparent)]
    Tls(#[from] TlsError),
    /// The descriptors of the services could not be read.
    #[error("the service descriptions could not be read: {0}")]
    Reflection(#[from] tonic_reflection::server::Error),
    /// The listener failed.
    #[error("the server ended: {0}")]
    Transport(#[from] tonic::transport::Error),
}

impl CountyServer {
    /// Puts a server together; `codes` are shared with whoever gives them.
    #[must_use]
    pub fn new(shared: Shared, identity: Arc<Identity>, codes: Arc<Mutex<Codes>>) -> Self {
        Self {
            shared,
            identity,
            codes,
            drain: DRAIN,
            patience: Patience::default(),
            places: Places::default(),
        }
    }

    /// Sets how long calls in progress have to end once the server is told to stop; [`DRAIN`]
    /// otherwise.
    #[must_use]
    pub const fn drain(mut self, drain: Duration) -> Self {
        self.drain = drain;
        self
    }

    /// Sets how long callers are waited for; as [`crate::limits`] says otherwise.
    #[must_use]
    pub const fn patience(mut self, patience: Patience) -> Self {
        self.patience = patience;
        self
    }

    /// Sets how many connections there is room for; as [`crate::limits`] says otherwise.
    #[must_use]
    pub const fn places(mut self, places: Places) -> Self {
        self.places = places;
        self
    }

    /// Serves until `shutdown`, then lets calls in progress end for at most [`DRAIN`] and cuts the
    /// rest. Everything acknowledged before is durable in either case.
    ///
    /// # Errors
    /// When TLS cannot be set up or the listener fails.
    pub async fn run(
        self,
        listener: TcpListener,
        shutdown: impl Future<Output = ()> + Send,
    ) -> Result<(), ServeError> {
        let acceptor = TlsAcceptor::from(tls::server(&self.identity)?);
        let (drain, limits) = (self.drain, (self.patience, self.places));
        let known = known_to(&self.shared);
        let router = self.router().await?;
        let mut accepting = Accepting::begin(listener, acceptor, known, limits);
        let Some(streams) = accepting.take_streams() else {
            return Ok(());
        };
        let (stop, stopped) = oneshot::channel::<()>();
        let serving = router.serve_with_incoming_shutdown(streams, async {
            // A dropped sender stops as well.
            let _ = stopped.await;
        });
        tokio::pin!(serving, shutdown);
        tokio::select! {
            ended = &mut serving => return Ok(ended?),
            () = &mut shutdown => {}
        }
        accepting.stop();
        drop(stop);
        match tokio::time::timeout(drain, serving).await {
            Ok(ended) => Ok(ended?),
            Err(_) => {
                tracing::warn!(?drain, "calls in progress were cut");
                Ok(())
            }
        }
    }

    async fn router(self) -> Result<Router<Layered>, ServeError> {
        let (health, health_service) = tonic_health::server::health_reporter();
        health.set_serving::<SyncServer<ExchangeService>>().await;
        health
            .set_serving::<QuestionsServer<QuestionsService>>()
            .await;
        let reflection = tonic_reflection::server::Builder::configure()
            .register_encoded_file_descriptor_set(DESCRIPTORS)
            .build_v1()?;
        // The name of before it was version 1: most clients still ask by it alone.
        let reflection_alpha = tonic_reflection::server::Builder::configure()
            .register_encoded_file_descriptor_set(DESCRIPTORS)
            .build_v1alpha()?;
        let exchange = ExchangeService::new(self.shared.clone());
        let questions = QuestionsService::new(self.shared.clone());
        let pictures = PicturesService::new(self.shared.clone());
        let admission = AdmissionService::new(self.shared.clone(), self.identity, self.codes);
        Ok(Server::builder()
            .http2_keepalive_interval(Some(self.patience.silence))
            .http2_keepalive_timeout(Some(self.patience.sign_of_life))
            .max_connection_age(self.patience.age)
            .timeout(self.patience.call)
            .concurrency_limit_per_connection(CALLS_PER_CONNECTION_MAX)
            .load_shed(true)
            .max_concurrent_streams(STREAMS_MAX)
            .layer(Guard::new(self.shared))
            .add_service(open_to_all!(health_service))
            .add_service(open_to_all!(reflection))
            .add_service(open_to_all!(reflection_alpha))
            .add_service(limited!(SyncServer::new(exchange)))
            .add_service(limited!(QuestionsServer::new(questions)))
            .add_service(limited!(PicturesServer::new(pictures)))
            .add_service(open_to_all!(
                AdmissionServer::new(admission)
                    .accept_compressed(CompressionEncoding::Zstd)
                    .send_compressed(CompressionEncoding::Zstd)
            )))
    }
}

/// The keys that the registry admits now.
fn known_to(shared: &Shared) -> Known {
    let shared = shared.clone();
    Known::by(move |tls_key| {
        let shared = shared.clone();
        Box::pin(async move {
            let found =
                shared.call(move |replica| replica.registry().key_of_tls(&tls_key).is_some());
            found.await.unwrap_or(false)
        })
    })
}

/// Sets the limit of a service that is open to all: what it is sent is short, and anybody can send it.
macro_rules! open_to_all {
    ($service:expr) => {
        $service.max_decoding_message_size(STRANGER_MESSAGE_BYTES_MAX)
    };
}
use open_to_all;

/// Sets the limits of one service: both ways the same, zstd both ways.
macro_rules! limited {
    ($service:expr) => {
        $service
            .max_decoding_message_size(MESSAGE_BYTES_MAX)
            .max_encoding_message_size(MESSAGE_BYTES_MAX)
            .accept_compressed(CompressionEncoding::Zstd)
            .send_compressed(CompressionEncoding::Zstd)
    };
}
use limited;
