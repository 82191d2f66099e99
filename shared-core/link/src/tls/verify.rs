//! Who is taken for whom: verifiers that look at keys, never at names or dates.
//!
//! Both check that the other side holds the private key of what it shows (TLS 1.3 signs the
//! handshake with it). Before that they look at what sort of key it is: a stranger chooses it, and an
//! RSA key may have any length, so what is paid for its check would be the stranger's choice too.

use std::collections::BTreeSet;
use std::sync::{Arc, Mutex, PoisonError};

use rustls::client::danger::{HandshakeSignatureValid, ServerCertVerified, ServerCertVerifier};
use rustls::crypto::{CryptoProvider, WebPkiSupportedAlgorithms, verify_tls13_signature};
use rustls::pki_types::{AlgorithmIdentifier, CertificateDer, ServerName, UnixTime, alg_id};
use rustls::server::ParsedCertificate;
use rustls::server::danger::{ClientCertVerified, ClientCertVerifier};
use rustls::{
    CertificateError, DigitallySignedStruct, DistinguishedName, Error, PeerMisbehaved,
    SignatureScheme,
};
use sponson_log::ids::Digest;

use super::key_of;

/// Keys that are taken, by what their SubjectPublicKeyInfo (RFC 5280, 4.1) begins with: all of one
/// sort have one length. Our own are P-256; other programs that read the county may have the others.
const KEYS: [([u8; 4], AlgorithmIdentifier); 3] = [
    // RFC 5480: a point of 65 bytes; 89 bytes follow the outer length, 19 of them the names.
    ([0x30, 0x59, 0x30, 0x13], alg_id::ECDSA_P256),
    // RFC 5480: a point of 97 bytes; 118 and 16.
    ([0x30, 0x76, 0x30, 0x10], alg_id::ECDSA_P384),
    // RFC 8410: 32 bytes; 42 and 5.
    ([0x30, 0x2a, 0x30, 0x05], alg_id::ED25519),
];

/// What such keys sign a handshake with (RFC 8446, 4.2.3).
const SCHEMES: [SignatureScheme; 3] = [
    SignatureScheme::ECDSA_NISTP256_SHA256,
    SignatureScheme::ECDSA_NISTP384_SHA384,
    SignatureScheme::ED25519,
];

/// The key of a certificate, if it is one that is taken: nothing is computed with it.
fn taken_key_of(certificate: &CertificateDer<'_>) -> Result<Digest, Error> {
    let parsed = ParsedCertificate::try_from(certificate)?;
    let info = parsed.subject_public_key_info();
    let rest_of = |begins: &[u8; 4]| info.as_ref().strip_prefix(begins);
    let mut sorts = KEYS.iter();
    let is_taken = sorts.any(|(begins, algorithm)| {
        rest_of(begins).is_some_and(|rest| rest.starts_with(algorithm.as_ref()))
    });
    if !is_taken {
        // RFC 8446, 6.2: `unsupported_certificate`.
        return Err(CertificateError::InvalidPurpose.into());
    }
    key_of(certificate).ok_or_else(|| CertificateError::BadEncoding.into())
}

/// Checks the signature of a handshake, when it is one that was asked for.
fn check_signature(
    message: &[u8],
    certificate: &CertificateDer<'_>,
    signed: &DigitallySignedStruct,
    algorithms: &WebPkiSupportedAlgorithms,
) -> Result<HandshakeSignatureValid, Error> {
    if SCHEMES.contains(&signed.scheme) {
        verify_tls13_signature(message, certificate, signed, algorithms)
    } else {
        Err(PeerMisbehaved::SignedHandshakeWithUnadvertisedSigScheme.into())
    }
}

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
        taken_key_of(end_entity).map(|_| ClientCertVerified::assertion())
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
        check_signature(message, cert, dss, &self.algorithms)
    }

    fn supported_verify_schemes(&self) -> Vec<SignatureScheme> {
        SCHEMES.to_vec()
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
        let key = taken_key_of(end_entity)?;
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
        check_signature(message, cert, dss, &self.algorithms)
    }

    fn supported_verify_schemes(&self) -> Vec<SignatureScheme> {
        SCHEMES.to_vec()
    }
}

#[cfg(test)]
mod tests;
