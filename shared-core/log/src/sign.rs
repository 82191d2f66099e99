//! Signatures: Ed25519 over the DSSE pre-authentication encoding of (type string, body).
//!
//! Acceptance is the rule of ZIP-215, for which single and batch verification agree by
//! definition. Every sort of signature has a type string of its own, so that none can pass for
//! another. That rule lets weak keys sign, so that a key is looked at by [`admissible`] before it
//! is admitted.

#[cfg(test)]
mod tests;

use curve25519_dalek::edwards::CompressedEdwardsY;
use ed25519_zebra::{Signature, SigningKey, VerificationKey, VerificationKeyBytes};
use sponson_proto::event::v1::SignatureAlgorithm;

use crate::ids::Key;

/// What a signature is over.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Signed {
    /// Body of an event.
    Event,
    /// Body of a county checkpoint.
    Checkpoint,
    /// An answer given.
    Answer,
    /// Introduction and admission of a device.
    Admission,
    /// A working key's word for the key that begins a county log.
    LogBegun,
    /// A proof file.
    Proof,
    /// The record of a craft, over its JSON as it is written.
    Record,
}

impl Signed {
    /// The type string, with its version.
    #[must_use]
    pub const fn type_string(self) -> &'static str {
        match self {
            Self::Event => "application/vnd.sponson.event.v1+protobuf",
            Self::Checkpoint => "application/vnd.sponson.checkpoint.v1+protobuf",
            Self::Answer => "application/vnd.sponson.answer.v1+protobuf",
            Self::Admission => "application/vnd.sponson.admission.v1",
            Self::LogBegun => "application/vnd.sponson.log-begun.v1",
            Self::Proof => "application/vnd.sponson.proof.v1+protobuf",
            Self::Record => "application/vnd.sponson.record.v1+json",
        }
    }
}

/// Why a signature was refused.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum SignatureError {
    /// An algorithm number that this version does not know.
    #[error("signature algorithm is {0}; this version knows 1 (Ed25519): upgrade this device")]
    UnknownAlgorithm(i32),
    /// Not 64 bytes.
    #[error("signature has {0} bytes; Ed25519 signatures have 64")]
    WrongLength(usize),
    /// The key is no point of the curve.
    #[error("key {0} is not an Ed25519 key")]
    NotAKey(Key),
    /// The signature is not of this key over these bytes.
    #[error("signature does not belong to key {0} and these bytes: they were changed")]
    DoesNotVerify(Key),
}

/// Why a key may not be admitted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum WeakKey {
    /// Not a point of the curve, or not in its one canonical form.
    #[error("key {0} is not a canonical Ed25519 key: make a new one")]
    NotCanonical(Key),
    /// A point of small order, for which signatures prove nothing.
    #[error("key {0} is of small order and proves nothing: make a new one")]
    SmallOrder(Key),
}

/// The secret key of a device.
#[derive(Clone)]
pub struct DeviceKey(SigningKey);

impl std::fmt::Debug for DeviceKey {
    /// Shows the public half only.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "DeviceKey({})", self.key())
    }
}

impl DeviceKey {
    /// Makes the key from 32 random bytes.
    #[must_use]
    pub fn from_seed(seed: [u8; 32]) -> Self {
        Self(SigningKey::from(seed))
    }

    /// The public half.
    #[must_use]
    pub fn key(&self) -> Key {
        Key::from_bytes(VerificationKeyBytes::from(&self.0).into())
    }

    /// Signs a body.
    #[must_use]
    pub fn sign(&self, what: Signed, body: &[u8]) -> [u8; 64] {
        self.0.sign(&pre_authentication_encoding(what, body)).into()
    }
}

/// The DSSE pre-authentication encoding: `DSSEv1 SP len SP type SP len SP body`.
#[must_use]
pub fn pre_authentication_encoding(what: Signed, body: &[u8]) -> Vec<u8> {
    encode_before_signing(what.type_string(), body)
}

/// The encoding for any type string.
fn encode_before_signing(type_string: &str, body: &[u8]) -> Vec<u8> {
    let mut encoded =
        format!("DSSEv1 {} {type_string} {} ", type_string.len(), body.len()).into_bytes();
    encoded.extend_from_slice(body);
    encoded
}

/// Checks one signature.
///
/// # Errors
/// When the algorithm, the key or the signature is not right.
pub fn verify(
    key: &Key,
    what: Signed,
    body: &[u8],
    algorithm: i32,
    signature: &[u8],
) -> Result<(), SignatureError> {
    let signature = parse_signature(algorithm, signature)?;
    VerificationKey::try_from(*key.as_bytes())
        .map_err(|_| SignatureError::NotAKey(*key))?
        .verify(&signature, &pre_authentication_encoding(what, body))
        .map_err(|_| SignatureError::DoesNotVerify(*key))
}

/// Checks that a key may be admitted: a point in its one canonical form, and not of small order.
///
/// # Errors
/// When signatures of the key would prove nothing, or the same key could be written twice.
pub fn admissible(key: &Key) -> Result<(), WeakKey> {
    let point = CompressedEdwardsY(*key.as_bytes())
        .decompress()
        .ok_or(WeakKey::NotCanonical(*key))?;
    if point.compress().as_bytes() != key.as_bytes() {
        return Err(WeakKey::NotCanonical(*key));
    }
    if point.is_small_order() {
        return Err(WeakKey::SmallOrder(*key));
    }
    Ok(())
}

/// Reads a signature of a known algorithm.
pub(crate) fn parse_signature(
    algorithm: i32,
    signature: &[u8],
) -> Result<Signature, SignatureError> {
    if algorithm != SignatureAlgorithm::Ed25519 as i32 {
        return Err(SignatureError::UnknownAlgorithm(algorithm));
    }
    Signature::try_from(signature).map_err(|_| SignatureError::WrongLength(signature.len()))
}
