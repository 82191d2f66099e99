//! Which keys are taken, by their sort alone: certificates of keys that nobody holds.

use rcgen::{CertificateParams, KeyPair, PublicKeyData, SignatureAlgorithm, SigningKey};
use rcgen::{PKCS_ECDSA_P256_SHA256, PKCS_ECDSA_P384_SHA384, PKCS_ED25519, PKCS_RSA_SHA256};
use rustls::crypto::ring;

use super::*;

/// A key of any sort and any bytes.
struct Claimed {
    algorithm: &'static SignatureAlgorithm,
    bytes: Vec<u8>,
}

impl PublicKeyData for Claimed {
    fn der_bytes(&self) -> &[u8] {
        &self.bytes
    }

    fn algorithm(&self) -> &'static SignatureAlgorithm {
        self.algorithm
    }
}

impl SigningKey for Claimed {
    fn sign(&self, _message: &[u8]) -> Result<Vec<u8>, rcgen::Error> {
        Ok(vec![0; 64])
    }
}

fn certificate(key: &impl SigningKey) -> CertificateDer<'static> {
    let params = CertificateParams::new(vec!["stranger.example".to_owned()]).expect("a name");
    params.self_signed(key).expect("made").der().clone()
}

fn der(tag: u8, content: &[u8]) -> Vec<u8> {
    let length = u32::try_from(content.len()).expect("short").to_be_bytes();
    let length: Vec<u8> = length.into_iter().skip_while(|byte| *byte == 0).collect();
    let mut out = vec![tag];
    if content.len() >= 128 {
        out.push(0x80 | u8::try_from(length.len()).expect("four"));
    }
    out.extend(length);
    out.extend(content);
    out
}

/// RSA, a modulus of so many bits and an exponent of so many (RFC 8017, A.1.1).
fn rsa(modulus_bits: usize, exponent_bits: usize) -> Claimed {
    let number = |bits: usize| der(0x02, &[vec![0], vec![0xff; bits / 8]].concat());
    Claimed {
        algorithm: &PKCS_RSA_SHA256,
        bytes: der(
            0x30,
            &[number(modulus_bits), number(exponent_bits)].concat(),
        ),
    }
}

fn claimed(algorithm: &'static SignatureAlgorithm, length: usize) -> Claimed {
    let bytes = vec![4; length];
    Claimed { algorithm, bytes }
}

/// CWE-400: the work is bounded by what is refused before any is done. A key that is taken has one
/// length, and its check one cost.
#[test]
fn keys_of_other_sorts_and_lengths_are_refused_before_anything_is_computed() {
    let held = |algorithm| certificate(&KeyPair::generate_for(algorithm).expect("a key"));
    let cases = [
        ("P-256", held(&PKCS_ECDSA_P256_SHA256), true),
        ("P-384", held(&PKCS_ECDSA_P384_SHA384), true),
        ("Ed25519", held(&PKCS_ED25519), true),
        ("RSA 1024", certificate(&rsa(1024, 24)), false),
        ("RSA 2048", certificate(&rsa(2048, 24)), false),
        ("RSA 4096", certificate(&rsa(4096, 24)), false),
        ("RSA 16384", certificate(&rsa(16_384, 24)), false),
        (
            "RSA, exponent as long",
            certificate(&rsa(16_384, 16_384)),
            false,
        ),
        ("RSA of 300,000 bits", certificate(&rsa(300_000, 24)), false),
        (
            "P-256, too short",
            certificate(&claimed(&PKCS_ECDSA_P256_SHA256, 33)),
            false,
        ),
        (
            "P-256, too long",
            certificate(&claimed(&PKCS_ECDSA_P256_SHA256, 97)),
            false,
        ),
        (
            "P-384 of 60 KiB",
            certificate(&claimed(&PKCS_ECDSA_P384_SHA384, 60_000)),
            false,
        ),
        (
            "Ed25519, empty",
            certificate(&claimed(&PKCS_ED25519, 0)),
            false,
        ),
        (
            "no certificate",
            CertificateDer::from(vec![0x30; 200]),
            false,
        ),
    ];
    let provider = ring::default_provider();
    let at_the_county = AnyKey::new(&provider);
    let learnt = Learnt::default();
    let at_a_station = PinnedKey::new(&provider, Trusted::Learn(learnt.clone()));
    let now = UnixTime::since_unix_epoch(std::time::Duration::ZERO);
    let name = ServerName::try_from("county.example").expect("a name");
    for (what, shown, taken) in cases {
        let client = at_the_county.verify_client_cert(&shown, &[], now);
        assert_eq!(client.is_ok(), taken, "{what}: {client:?}");
        let server = at_a_station.verify_server_cert(&shown, &[], &name, &[], now);
        assert_eq!(server.is_ok(), taken, "{what}: {server:?}");
        assert_eq!(learnt.key() == key_of(&shown), taken, "{what}");
    }
    assert_eq!(at_the_county.supported_verify_schemes(), SCHEMES);
}
