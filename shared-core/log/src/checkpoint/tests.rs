//! Signing, opening and tampering.

use proptest::prelude::*;

use super::*;

fn device() -> DeviceKey {
    DeviceKey::from_seed([9; 32])
}

fn checkpoint(size: u64, root: u8) -> Checkpoint {
    Checkpoint::sign(
        &device(),
        CountyId::from_bytes([1; 16]),
        LogId::from_bytes([2; 16]),
        (size, Digest::from_bytes([root; 32])),
        1_772_000_000_000,
    )
}

/// Signs any body, as a county with another version, or none at all, might.
fn signed(body: Vec<u8>) -> wire::SignedCheckpoint {
    let signature = device().sign(Signed::Checkpoint, &body);
    wire::SignedCheckpoint {
        body: body.into(),
        algorithm: 1,
        signature: Bytes::copy_from_slice(&signature),
    }
}

#[test]
fn what_was_signed_opens() {
    let made = checkpoint(40, 3);
    assert_eq!(Checkpoint::open(made.to_wire().clone()), Ok(made.clone()));
    assert_eq!(made.key, device().key());
    assert_eq!(made.tree(), (40, Digest::from_bytes([3; 32])));
    let held = CheckpointHeld {
        log: LogId::from_bytes([2; 16]),
        size: 40,
        unix_ms: 1_772_000_000_000,
    };
    assert_eq!(made.held(), held);
}

#[test]
fn two_roots_of_one_size_contradict() {
    let made = checkpoint(40, 3);
    assert!(made.contradicts(&checkpoint(40, 4)));
    assert!(!made.contradicts(&made));
    assert!(!made.contradicts(&checkpoint(41, 4)));
}

#[test]
fn fields_of_later_versions_stay_signed() {
    let mut body = checkpoint(40, 3).to_wire().body.to_vec();
    // Field 15, a varint of 1.
    body.extend([0x78, 0x01]);
    let opened = Checkpoint::open(signed(body.clone())).expect("an unknown field is no error");
    assert_eq!(opened.to_wire().body, body);
}

#[test]
fn refusals_say_what_is_wrong() {
    let good = checkpoint(40, 3).to_wire().clone();
    let mut other_algorithm = good.clone();
    other_algorithm.algorithm = u32::MAX;
    assert_eq!(
        Checkpoint::open(other_algorithm),
        Err(SignatureError::UnknownAlgorithm(i32::MAX).into())
    );
    let mut short_root = wire::Checkpoint::decode(good.body).expect("its own bytes");
    short_root.root.truncate(31);
    assert_eq!(
        Checkpoint::open(signed(short_root.encode_to_vec())),
        Err(CheckpointError::Length(WrongLength {
            field: "checkpoint root",
            length: 31,
            wanted: 32
        }))
    );
    assert!(matches!(
        Checkpoint::open(signed(vec![0; BODY_BYTES_MAX])),
        Err(CheckpointError::Unreadable(_))
    ));
    assert_eq!(
        Checkpoint::open(signed(vec![0; BODY_BYTES_MAX + 1])),
        Err(CheckpointError::BodyTooLong {
            length: BODY_BYTES_MAX + 1
        })
    );
    assert!(matches!(
        Checkpoint::open(signed(vec![0xff])),
        Err(CheckpointError::Unreadable(_))
    ));
}

#[test]
fn a_signature_over_an_event_is_none_over_a_checkpoint() {
    let mut taken = checkpoint(40, 3).to_wire().clone();
    let signature = device().sign(Signed::Event, &taken.body);
    taken.signature = Bytes::copy_from_slice(&signature);
    assert_eq!(
        Checkpoint::open(taken),
        Err(SignatureError::DoesNotVerify(device().key()).into())
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    #[test]
    fn a_flipped_bit_is_refused(position in any::<prop::sample::Index>(), bit in 0_u32..8) {
        let good = checkpoint(40, 3).to_wire().clone();
        let mut bytes = [good.body.as_ref(), good.signature.as_ref()].concat();
        let at = position.index(bytes.len());
        bytes[at] ^= 1 << bit;
        let signature = bytes.split_off(good.body.len());
        let changed = wire::SignedCheckpoint {
            body: bytes.into(),
            algorithm: good.algorithm,
            signature: signature.into(),
        };
        prop_assert!(Checkpoint::open(changed).is_err());
    }
}
