//! TLS between replicas: self-signed keys, looked up in the registry, pinned by their hash.
//!
//! No certificate authority and no dates. The server takes any client key that proves to be held
//! (or none) and leaves it to the guard what the caller may do; the client takes only a server key
//! that it was told. TLS 1.3 only, one provider (ring), HTTP/2 only. No session is resumed: a key
//! is proved at every connection.

use std::sync::Arc;

use rustls::pki_types::CertificateDer;
use rustls::server::{NoServerSessionStorage, ParsedCertificate};
use rustls::{ClientConfig, ServerConfig};
use sha2::{Digest as _, Sha256};
use sponson_log::ids::Digest;

use crate::identity::Identity;

pub mod accept;
pub mod connect;
pub mod pages;
pub(crate) mod room;
mod verify;

pub use accept::{Accepting, Known, Peer, PeerStream};
pub use connect::{ConnectError, channel, channel_within};
pub use verify::{Learnt, Trusted};

const HTTP_2: &[u8] = b"h2";

/// Why TLS cannot be set up with an identity.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("TLS cannot be set up with this device's key: {0}")]
pub struct TlsError(String);

impl From<rustls::Error> for TlsError {
    fn from(error: rustls::Error) -> Self {
        Self(error.to_string())
    }
}

/// SHA-256 of the SubjectPublicKeyInfo of a certificate; none when it cannot be read.
#[must_use]
pub fn key_of(certificate: &CertificateDer<'_>) -> Option<Digest> {
    let parsed = ParsedCertificate::try_from(certificate).ok()?;
    let info = parsed.subject_public_key_info();
    Some(Digest::from_bytes(Sha256::digest(info.as_ref()).into()))
}

/// Settings of a server with this identity.
///
/// # Errors
/// When the key does not belong to the certificate.
pub fn server(identity: &Identity) -> Result<Arc<ServerConfig>, TlsError> {
    let provider = Arc::new(rustls::crypto::ring::default_provider());
    let verifier = verify::AnyKey::new(&provider);
    let mut config = ServerConfig::builder_with_provider(provider)
        .with_protocol_versions(&[&rustls::version::TLS13])?
        .with_client_cert_verifier(Arc::new(verifier))
        .with_single_cert(vec![identity.certificate().clone()], identity.tls_private())?;
    config.alpn_protocols = vec![HTTP_2.to_vec()];
    config.session_storage = Arc::new(NoServerSessionStorage {});
    config.send_tls13_tickets = 0;
    // Early data could be sent again by whoever listened.
    config.max_early_data_size = 0;
    Ok(Arc::new(config))
}

/// Settings of a client with this identity that talks only to whom it trusts.
///
/// # Errors
/// When the key does not belong to the certificate.
pub fn client(identity: &Identity, trusted: Trusted) -> Result<Arc<ClientConfig>, TlsError> {
    let config = client_builder(trusted)?
        .with_client_auth_cert(vec![identity.certificate().clone()], identity.tls_private())?;
    Ok(Arc::new(only_http_2(config)))
}

/// Settings of a client that shows no key.
///
/// # Errors
/// When the provider cannot speak TLS 1.3.
pub fn client_without_key(trusted: Trusted) -> Result<Arc<ClientConfig>, TlsError> {
    let config = client_builder(trusted)?.with_no_client_auth();
    Ok(Arc::new(only_http_2(config)))
}

fn client_builder(
    trusted: Trusted,
) -> Result<rustls::ConfigBuilder<ClientConfig, rustls::client::WantsClientCert>, TlsError> {
    let provider = Arc::new(rustls::crypto::ring::default_provider());
    let verifier = verify::PinnedKey::new(&provider, trusted);
    Ok(ClientConfig::builder_with_provider(provider)
        .with_protocol_versions(&[&rustls::version::TLS13])?
        .dangerous()
        .with_custom_certificate_verifier(Arc::new(verifier)))
}

fn only_http_2(mut config: ClientConfig) -> ClientConfig {
    config.alpn_protocols = vec![HTTP_2.to_vec()];
    config.resumption = rustls::client::Resumption::disabled();
    config.enable_early_data = false;
    config
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trial::seeded;

    #[test]
    fn nothing_is_resumed_and_nothing_is_sent_early() {
        let identity = Identity::draw(&seeded(1)).expect("keys");
        let server = server(&identity).expect("tls");
        assert_eq!(
            (server.max_early_data_size, server.send_tls13_tickets),
            (0, 0)
        );
        assert!(!server.session_storage.can_cache());
        let trusted = Trusted::Learn(Learnt::default());
        let clients = [
            client(&identity, trusted.clone()).expect("tls"),
            client_without_key(trusted).expect("tls"),
        ];
        for client in clients {
            assert!(!client.enable_early_data);
            assert_eq!(client.alpn_protocols, [HTTP_2.to_vec()]);
        }
    }
}
