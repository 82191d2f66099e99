//! The client's end of a connection.

use std::sync::Arc;
use std::time::Duration;

use hyper_util::rt::TokioIo;
use rustls::ClientConfig;
use rustls::pki_types::ServerName;
use tokio::net::TcpStream;
use tokio_rustls::TlsConnector;
use tokio_rustls::client::TlsStream;
use tonic::transport::{Channel, Endpoint};

use crate::identity::TLS_NAME;
use crate::limits::{CALL_TIMEOUT, CONNECT_TIMEOUT, KEEPALIVE_INTERVAL, KEEPALIVE_TIMEOUT};

/// Why no connection came about.
#[derive(Debug, thiserror::Error)]
pub enum ConnectError {
    /// The address cannot be read.
    #[error("address '{0}' cannot be read: write it as HOST:PORT")]
    Address(String),
    /// Nobody answers there, or no connection came about.
    #[error(
        "cannot reach {address}: {why}: check the network and the address; nothing is lost, try again"
    )]
    Unreachable {
        /// The address.
        address: String,
        /// The system's words.
        why: String,
    },
    /// Somebody answers, but with another key.
    #[error(
        "{address} answers with a key that is not the county's: nothing was sent; check the address, and tell the lead"
    )]
    OtherKey {
        /// The address.
        address: String,
    },
}

/// Connects to `HOST:PORT`.
///
/// # Errors
/// When no connection comes about within [`CONNECT_TIMEOUT`], or the other side has another key.
pub async fn channel(address: &str, config: Arc<ClientConfig>) -> Result<Channel, ConnectError> {
    channel_within(CONNECT_TIMEOUT, address, config).await
}

/// The same, with another limit on how long a connection may take to come about.
///
/// # Errors
/// As [`channel`].
pub async fn channel_within(
    time: Duration,
    address: &str,
    config: Arc<ClientConfig>,
) -> Result<Channel, ConnectError> {
    let bad_address = || ConnectError::Address(address.to_owned());
    let has_port = address
        .rsplit_once(':')
        .is_some_and(|(host, port)| !host.is_empty() && port.parse::<u16>().is_ok());
    if !has_port {
        return Err(bad_address());
    }
    let endpoint = Endpoint::from_shared(format!("http://{address}"))
        .map_err(|_| bad_address())?
        .connect_timeout(time)
        .timeout(CALL_TIMEOUT)
        .http2_keep_alive_interval(KEEPALIVE_INTERVAL)
        .keep_alive_timeout(KEEPALIVE_TIMEOUT)
        .user_agent(concat!("sponson/", env!("CARGO_PKG_VERSION")))
        .map_err(|_| bad_address())?;
    let target = address.to_owned();
    let connector = tower::service_fn(move |_| dial(target.clone(), Arc::clone(&config)));
    endpoint
        .connect_with_connector(connector)
        .await
        .map_err(|error| classify(address, time, &error))
}

async fn dial(
    address: String,
    config: Arc<ClientConfig>,
) -> std::io::Result<TokioIo<TlsStream<TcpStream>>> {
    let tcp = TcpStream::connect(address).await?;
    tcp.set_nodelay(true)?;
    let name = ServerName::try_from(TLS_NAME).map_err(std::io::Error::other)?;
    let stream = TlsConnector::from(config).connect(name, tcp).await?;
    Ok(TokioIo::new(stream))
}

/// Finds the cause: a refused key is told apart from a network that is down.
fn classify(
    address: &str,
    time: Duration,
    error: &(dyn std::error::Error + 'static),
) -> ConnectError {
    let mut cause = Some(error);
    let mut last = error.to_string();
    while let Some(current) = cause {
        last = if is_too_late(current) {
            format!("no connection came about in {time:?}")
        } else {
            current.to_string()
        };
        if is_other_key(current) {
            return ConnectError::OtherKey {
                address: address.to_owned(),
            };
        }
        cause = current.source();
    }
    ConnectError::Unreachable {
        address: address.to_owned(),
        why: last,
    }
}

/// Whether our own limit ended it; the system has one too, with words of its own.
fn is_too_late(error: &(dyn std::error::Error + 'static)) -> bool {
    error
        .downcast_ref::<std::io::Error>()
        .and_then(std::io::Error::get_ref)
        .is_some_and(|inner| inner.is::<tokio::time::error::Elapsed>())
}

fn is_other_key(error: &(dyn std::error::Error + 'static)) -> bool {
    let direct = error.downcast_ref::<rustls::Error>();
    let inner = error
        .downcast_ref::<std::io::Error>()
        .and_then(std::io::Error::get_ref)
        .and_then(|inner| inner.downcast_ref::<rustls::Error>());
    direct.or(inner).is_some_and(|error| {
        *error
            == rustls::Error::InvalidCertificate(
                rustls::CertificateError::ApplicationVerificationFailure,
            )
    })
}
