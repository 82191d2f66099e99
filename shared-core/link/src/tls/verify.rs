//! Who is taken for whom: verifiers that look at keys, never at names or dates.
//!
//! Both check that the other side holds the private key of what it shows (TLS 1.3 signs the
//! handshake with it).

use std::collections::BTreeSet;
use std::sync::{Arc, Mutex, PoisonError};

use rustls::client::danger::{HandshakeSignatureValid, ServerCertVerified, ServerCertVerifier};
use rustls::crypto::{CryptoProvider, WebPkiSupportedAlgorithms, verify_tls13_signature};
use rustls::pki_types::{CertificateDer, ServerName, UnixTime};
use rustls::server::danger::{ClientCertVerified, ClientCertVerifier};
use rustls::{CertificateError, DigitallySignedStruct, DistinguishedName, Error, SignatureScheme};
use sponson_log::ids::Digest;

use super::key_of;

/// Server keys that a client takes.
#[derive(Clone, Debug)]
pub enum Trusted {
    /// Any of these.
    Keys(BTreeSet<Digest>),
    /// Any, which is then known: for an introduction, in which the county proves its key itself.
    Learn(Learnt),
}

/// The key of a server that was met for the first time.
#[derive(Clone, Debug, Default)]
pub struct Learnt(Arc<Mutex<Option<Digest>>>);

impl Learnt {
    /// The key of the newest connection; none before the first.
    #[must_use]
    pub fn key(&self) -> Option<Digest> {
        *self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn set(&self, key: Digest) {
        *self.0.lock().unwrap_or_else(PoisonError::into_inner) = Some(key);
    }
}

/// TLS 1.2 is not offered, so nobody gets here.
fn only_tls_13() -> Error {
    Error::General("TLS 1.3 only".to_owned())
}

/// Takes any client key that proves to be held, and none.
#[derive(Debug)]
pub(super) struct AnyKey {
    algorithms: WebPkiSupportedAlgorithms,
}

impl AnyKey {
    pub(super) fn new(provider: &CryptoProvider) -> Self {
        Self {
            algorithms: provider.signature_verification_algorithms,
        }
    }
}

impl ClientCertVerifier for AnyKey {
    fn offer_client_auth(&self) -> bool {
        true
    }

    fn client_auth_mandatory(&self) -> bool {
        false
    }

    fn root_hint_subjects(&self) -> &[DistinguishedName] {
        &[]
    }

    fn verify_client_cert(
        &self,
        end_entity: &CertificateDer<'_>,
        _intermediates: &[CertificateDer<'_>],
        _now: UnixTime,
    ) -> Result<ClientCertVerified, Error> {
        match key_of(end_entity) {
            Some(_) => Ok(ClientCertVerified::assertion()),
            None => Err(CertificateError::BadEncoding.into()),
        }
    }

    fn verify_tls12_signature(
        &self,
        _message: &[u8],
        _cert: &CertificateDer<'_>,
        _dss: &DigitallySignedStruct,
    ) -> Result<HandshakeSignatureValid, Error> {
        Err(only_tls_13())
    }

    fn verify_tls13_signature(
        &self,
        message: &[u8],
        cert: &CertificateDer<'_>,
        dss: &DigitallySignedStruct,
    ) -> Result<HandshakeSignatureValid, Error> {
        verify_tls13_signature(message, cert, dss, &self.algorithms)
    }

    fn supported_verify_schemes(&self) -> Vec<SignatureScheme> {
        self.algorithms.supported_schemes()
    }
}

/// Takes the server keys that it was told.
#[derive(Debug)]
pub(super) struct PinnedKey {
    algorithms: WebPkiSupportedAlgorithms,
    trusted: Trusted,
}

impl PinnedKey {
    pub(super) fn new(provider: &CryptoProvider, trusted: Trusted) -> Self {
        Self {
            algorithms: provider.signature_verification_algorithms,
            trusted,
        }
    }
}

impl ServerCertVerifier for PinnedKey {
    fn verify_server_cert(
        &self,
        end_entity: &CertificateDer<'_>,
        _intermediates: &[CertificateDer<'_>],
        _server_name: &ServerName<'_>,
        _ocsp_response: &[u8],
        _now: UnixTime,
    ) -> Result<ServerCertVerified, Error> {
        let key = key_of(end_entity).ok_or(CertificateError::BadEncoding)?;
        match &self.trusted {
            Trusted::Keys(keys) if !keys.contains(&key) => {
                Err(CertificateError::ApplicationVerificationFailure.into())
            }
            Trusted::Keys(_) => Ok(ServerCertVerified::assertion()),
            Trusted::Learn(learnt) => {
                learnt.set(key);
                Ok(ServerCertVerified::assertion())
            }
        }
    }

    fn verify_tls12_signature(
        &self,
        _message: &[u8],
        _cert: &CertificateDer<'_>,
        _dss: &DigitallySignedStruct,
    ) -> Result<HandshakeSignatureValid, Error> {
        Err(only_tls_13())
    }

    fn verify_tls13_signature(
        &self,
        message: &[u8],
        cert: &CertificateDer<'_>,
        dss: &DigitallySignedStruct,
    ) -> Result<HandshakeSignatureValid, Error> {
        verify_tls13_signature(message, cert, dss, &self.algorithms)
    }

    fn supported_verify_schemes(&self) -> Vec<SignatureScheme> {
        self.algorithms.supported_schemes()
    }
}
