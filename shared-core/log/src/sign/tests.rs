//! Holds signing against RFC 8032 and DSSE, and weak keys away from admission.
//!
//! Values: `tests/reference/signature-and-tree-vectors.json`, from RFC 8032, 7.1; its negative
//! cases were refused by two other libraries.

use curve25519_dalek::constants::EIGHT_TORSION;
use serde_json::Value;

use super::*;

const VECTORS: &str = include_str!("../../../../tests/reference/signature-and-tree-vectors.json");

const ALL: [Signed; 7] = [
    Signed::Event,
    Signed::Checkpoint,
    Signed::Answer,
    Signed::Admission,
    Signed::LogBegun,
    Signed::Proof,
    Signed::Record,
];

const ED25519: i32 = SignatureAlgorithm::Ed25519 as i32;

fn ed25519() -> Value {
    let mut all: Value = serde_json::from_str(VECTORS).expect("vectors are JSON");
    all["ed25519"].take()
}

fn hex(value: &Value) -> Vec<u8> {
    let text = value.as_str().expect("hexadecimal");
    data_encoding::HEXLOWER
        .decode(text.as_bytes())
        .expect("hexadecimal")
}

fn bytes32(value: &Value) -> [u8; 32] {
    hex(value).try_into().expect("32 bytes")
}

/// Verifies a signature over the message alone, as the RFC's vectors are made.
fn verifies(case: &Value) -> bool {
    let key = VerificationKey::try_from(bytes32(&case["public_key"])).expect("a key");
    let signature = parse_signature(ED25519, &hex(&case["signature"])).expect("64 bytes");
    key.verify(&signature, &hex(&case["message"])).is_ok()
}

#[test]
fn keys_and_signatures_are_those_of_rfc_8032() {
    let ed25519 = ed25519();
    for case in ed25519["vectors"].as_array().expect("vectors") {
        let device = DeviceKey::from_seed(bytes32(&case["secret_key"]));
        assert_eq!(device.key().as_bytes(), &bytes32(&case["public_key"]));
        let signature: [u8; 64] = device.0.sign(&hex(&case["message"])).into();
        assert_eq!(signature.to_vec(), hex(&case["signature"]), "{case}");
        assert!(verifies(case), "{case}");
        assert_eq!(admissible(&device.key()), Ok(()));
    }
}

#[test]
fn changed_signatures_are_refused() {
    let ed25519 = ed25519();
    for case in ed25519["negative"]["cases"].as_array().expect("cases") {
        assert!(!verifies(case), "{case}");
    }
}

#[test]
fn encoding_before_signing_is_that_of_dsse() {
    // The example of the DSSE specification (protocol.md, test vectors).
    let encoded = encode_before_signing("http://example.com/HelloWorld", b"hello world");
    assert_eq!(
        encoded,
        b"DSSEv1 29 http://example.com/HelloWorld 11 hello world"
    );
}

#[test]
fn encoding_of_an_event_begins_with_its_type() {
    let encoded = pre_authentication_encoding(Signed::Event, b"body");
    assert_eq!(
        encoded,
        b"DSSEv1 41 application/vnd.sponson.event.v1+protobuf 4 body"
    );
}

#[test]
fn a_signature_of_one_sort_is_none_of_another() {
    let device = DeviceKey::from_seed([3; 32]);
    for made in ALL {
        let signature = device.sign(made, b"body");
        for asked in ALL {
            let verified = verify(&device.key(), asked, b"body", ED25519, &signature);
            assert_eq!(verified.is_ok(), made == asked, "{made:?} as {asked:?}");
            let same_type = made.type_string() == asked.type_string();
            assert_eq!(same_type, made == asked);
        }
    }
}

#[test]
fn refusals_say_what_is_wrong() {
    let device = DeviceKey::from_seed([3; 32]);
    let key = device.key();
    let signature = device.sign(Signed::Event, b"body");
    let check = |key: &Key, body: &[u8], algorithm, signature: &[u8]| {
        verify(key, Signed::Event, body, algorithm, signature)
    };
    assert_eq!(
        check(&key, b"body", 2, &signature),
        Err(SignatureError::UnknownAlgorithm(2))
    );
    assert_eq!(
        check(&key, b"body", 0, &signature),
        Err(SignatureError::UnknownAlgorithm(0))
    );
    assert_eq!(
        check(&key, b"body", ED25519, &signature[..63]),
        Err(SignatureError::WrongLength(63))
    );
    assert_eq!(
        check(&key, b"bodY", ED25519, &signature),
        Err(SignatureError::DoesNotVerify(key))
    );
    // y = 2 is no point of the curve.
    let no_point = small(2);
    assert_eq!(
        check(&no_point, b"body", ED25519, &signature),
        Err(SignatureError::NotAKey(no_point))
    );
    let other = DeviceKey::from_seed([4; 32]).key();
    assert_eq!(
        check(&other, b"body", ED25519, &signature),
        Err(SignatureError::DoesNotVerify(other))
    );
}

/// The encoding whose y is a small number.
fn small(y: u8) -> Key {
    let mut bytes = [0; 32];
    bytes[0] = y;
    Key::from_bytes(bytes)
}

/// The encoding whose y is the field's prime, 2^255 - 19, and a number below 19: it fits the 255
/// bits, and means the number alone.
fn beyond_the_prime(y: u8) -> Key {
    let mut bytes = [0xff; 32];
    bytes[0] = 0xed + y;
    bytes[31] = 0x7f;
    Key::from_bytes(bytes)
}

fn with_sign(key: Key) -> Key {
    let mut bytes = *key.as_bytes();
    bytes[31] |= 0x80;
    Key::from_bytes(bytes)
}

#[test]
fn points_of_small_order_are_not_admitted() {
    let identity = small(1);
    let mut keys = EIGHT_TORSION
        .map(|point| Key::from_bytes(point.compress().0))
        .to_vec();
    assert!(keys.contains(&identity));
    keys.sort_unstable();
    keys.dedup();
    assert_eq!(keys.len(), 8, "the torsion group has eight points");
    for key in keys {
        assert_eq!(admissible(&key), Err(WeakKey::SmallOrder(key)));
    }
}

#[test]
fn second_encodings_of_a_point_are_not_admitted() {
    let mut points = 0;
    for y in 0..19 {
        for key in [beyond_the_prime(y), with_sign(beyond_the_prime(y))] {
            assert_eq!(admissible(&key), Err(WeakKey::NotCanonical(key)), "p + {y}");
        }
        points += usize::from(admissible(&small(y)).is_ok());
    }
    assert!(
        points > 0,
        "some of them are points, once written in their one form"
    );
    // The identity has x = 0, which has no other sign.
    let signed_identity = with_sign(small(1));
    assert_eq!(
        admissible(&signed_identity),
        Err(WeakKey::NotCanonical(signed_identity))
    );
}

#[test]
fn a_weak_key_would_sign_anything() {
    // Why keys are looked at before admission: by ZIP-215 the identity as key and as R, with
    // S = 0, is a signature of every message.
    let identity = small(1);
    let mut signature = [0; 64];
    signature[0] = 1;
    for body in [b"one".as_slice(), b"other"] {
        let verified = verify(&identity, Signed::Event, body, ED25519, &signature);
        assert_eq!(verified, Ok(()));
    }
    assert_eq!(admissible(&identity), Err(WeakKey::SmallOrder(identity)));
}

#[test]
fn a_secret_key_shows_its_public_half_only() {
    let device = DeviceKey::from_seed([3; 32]);
    assert_eq!(
        format!("{device:?}"),
        format!("DeviceKey({})", device.key())
    );
}
