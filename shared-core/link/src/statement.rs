//! What is signed when a device and a county meet for the first time.
//!
//! Both statements share a type string and differ in length, so neither can pass for the other.

use sponson_log::ids::{Digest, Key};
use sponson_log::sign::{self, DeviceKey, SignatureError, Signed};
use sponson_proto::event::v1::SignatureAlgorithm;

use crate::code::SECRET_BYTES;

/// Signs an introduction: the working key vouches for the server's TLS key.
#[must_use]
pub fn introduce(working: &DeviceKey, tls_key: &Digest) -> [u8; 64] {
    working.sign(Signed::Admission, tls_key.as_bytes())
}

/// Checks an introduction.
///
/// # Errors
/// When the signature is not of this key over this TLS key.
pub fn check_introduction(
    working: &Key,
    tls_key: &Digest,
    signature: &[u8],
) -> Result<(), SignatureError> {
    sign::verify(
        working,
        Signed::Admission,
        tls_key.as_bytes(),
        SignatureAlgorithm::Ed25519.into(),
        signature,
    )
}

/// Signs a request for admission: the device's key vouches for its TLS key, for this one code.
#[must_use]
pub fn ask(key: &DeviceKey, secret: &[u8; SECRET_BYTES], tls_key: &Digest) -> [u8; 64] {
    key.sign(Signed::Admission, &asking(secret, tls_key))
}

/// Checks a request for admission.
///
/// # Errors
/// When the signature is not of this key over this secret and TLS key.
pub fn check_asking(
    key: &Key,
    secret: &[u8; SECRET_BYTES],
    tls_key: &Digest,
    signature: &[u8],
) -> Result<(), SignatureError> {
    sign::verify(
        key,
        Signed::Admission,
        &asking(secret, tls_key),
        SignatureAlgorithm::Ed25519.into(),
        signature,
    )
}

fn asking(secret: &[u8; SECRET_BYTES], tls_key: &Digest) -> Vec<u8> {
    [b"admit".as_slice(), secret, tls_key.as_bytes()].concat()
}
