//! What fits where, and chains that part; and the writer by whose events the other tests speak.

mod parting;

use prost::Message;
use sponson_proto::event::v1::{IfNotUnderstood, Kind};

use super::*;
use crate::event::{Clock, Draft, Header, Subject};
use crate::sign::DeviceKey;

/// A device that writes a chain.
#[derive(Clone, Debug)]
pub(crate) struct Writer {
    pub(crate) device: DeviceKey,
    pub(crate) county: CountyId,
    pub(crate) head: Option<(u64, EventId)>,
}

impl Writer {
    pub(crate) fn new(seed: u8, county: CountyId) -> Self {
        Self {
            device: DeviceKey::from_seed([seed; 32]),
            county,
            head: None,
        }
    }

    /// A root key and the county that is made from it.
    pub(crate) fn root(seed: u8) -> Self {
        let device = DeviceKey::from_seed([seed; 32]);
        Self::new(seed, CountyId::of_root(&device.key()))
    }

    pub(crate) fn key(&self) -> Key {
        self.device.key()
    }

    /// Signs the next event.
    pub(crate) fn write(&mut self, kind: Kind, payload: &impl Message) -> SignedEvent {
        self.write_about(kind as i32, Vec::new(), payload.encode_to_vec())
    }

    /// Signs a note whose bytes are as many, so that chunks fill.
    pub(crate) fn note(&mut self, bytes: usize) -> SignedEvent {
        self.write_about(Kind::Note as i32, Vec::new(), vec![0; bytes])
    }

    pub(crate) fn write_about(
        &mut self,
        kind: i32,
        subjects: Vec<Subject>,
        payload: Vec<u8>,
    ) -> SignedEvent {
        let seq = self.head.map_or(1, |(seq, _)| seq + 1);
        let header = Header {
            county: self.county,
            key: self.key(),
            seq,
            previous: self.head.map(|(_, id)| id),
            kind,
            kind_version: 1,
            if_not_understood: IfNotUnderstood::Ignore,
            subjects,
            clock: Clock {
                unix_ms: 1_700_000_000_000,
                utc_offset_min: 0,
                boot_id: [1; 16],
                monotonic_ms: seq,
            },
            checkpoint: None,
            observed: None,
            member: String::new(),
            beside: Vec::new(),
        };
        let draft = Draft {
            header,
            payload: payload.into(),
            beside: Vec::new(),
        };
        let event = SignedEvent::sign(draft, &self.device).expect("draft keeps the limits");
        self.head = Some((seq, event.id()));
        event
    }
}

fn add_all(chains: &mut Chains, events: &[&SignedEvent]) {
    for event in events {
        chains.add(event);
    }
}

#[test]
fn event_fits_where_its_chain_is_held() {
    let mut writer = Writer::root(1);
    let county = writer.county;
    let first = writer.note(1);
    let second = writer.note(2);
    let mut chains = Chains::default();
    let nothing = |_: &EventId| false;

    assert_eq!(chains.fits(county, &first, nothing), Ok(()));
    let missing = Err(Unfit::Missing(vec![first.id()]));
    assert_eq!(chains.fits(county, &second, nothing), missing);
    // Held as an event, and not of this chain.
    let next = Err(Unfit::NotNext { seq: 2 });
    assert_eq!(chains.fits(county, &second, |_| true), next);
    assert_eq!(chains.add(&first), Grown::Longer);
    assert_eq!(chains.add(&first), Grown::Held);
    assert_eq!(chains.fits(county, &second, |_| true), Ok(()));

    let other = CountyId::from_bytes([9; 16]);
    let refused = Err(Unfit::OtherCounty(county));
    assert_eq!(chains.fits(other, &first, nothing), refused);

    // The event before stands in the chain, but not at the seq before.
    let mut skipping = writer.clone();
    skipping.head = Some((7, first.id()));
    let skipped = skipping.note(3);
    let refused = Err(Unfit::NotNext { seq: 8 });
    assert_eq!(chains.fits(county, &skipped, |_| true), refused);
}

#[test]
fn references_in_the_payload_must_be_held() {
    use sponson_proto::event::v1 as wire;
    let mut writer = Writer::root(1);
    let fault = EventId::from_bytes([7; 32]);
    let reference = wire::FaultRef {
        event: fault.to_bytes(),
        ordinal: 0,
    };
    let sign_off = writer.write(
        Kind::SignOff,
        &wire::SignOff {
            closes: vec![reference],
        },
    );
    let fits = Chains::default().fits(writer.county, &sign_off, |_| false);
    assert_eq!(fits, Err(Unfit::Missing(vec![fault])));
}

#[test]
fn parted_chain_keeps_both_branches_in_any_order_of_arrival() {
    let mut left = Writer::root(1);
    let one = left.note(1);
    let mut right = left.clone();
    let (l2, l3, l4) = (left.note(2), left.note(3), left.note(4));
    let (r2, r3) = (right.note(5), right.note(6));
    let orders: [&[&SignedEvent]; 4] = [
        &[&one, &l2, &l3, &l4, &r2, &r3],
        &[&one, &r2, &r3, &l2, &l3, &l4],
        &[&one, &l2, &r2, &l3, &r3, &l4],
        &[&one, &r2, &l2, &r3, &l3, &l4],
    ];
    for order in orders {
        let mut chains = Chains::default();
        add_all(&mut chains, order);
        let chain = chains.get(&left.key()).expect("chain is held");
        assert_eq!(chain.parted_at(), Some(2));
        let heads = BTreeMap::from([(l4.id(), 4), (r3.id(), 3)]);
        assert_eq!(*chain.heads(), heads);
        let branch = |event: &SignedEvent, head: &SignedEvent| {
            let (seq, head_seq) = (event.header().seq, head.header().seq);
            chain.on_branch(seq, &event.id(), head_seq, &head.id())
        };
        for event in [&one, &l2, &l3, &l4] {
            assert!(branch(event, &l4));
            assert_eq!(branch(event, &r3), event.header().seq == 1);
        }
        assert!(branch(&r2, &r3) && !branch(&r2, &l4) && !branch(&r3, &l3));
        assert!(!branch(&l4, &l3), "what comes after is not below");
    }
}

#[test]
fn first_parting_counts() {
    let mut writer = Writer::root(1);
    let one = writer.note(1);
    let mut low = writer.clone();
    let (two, three) = (writer.note(2), writer.note(3));
    let mut high = writer.clone();
    let (four, other_four) = (writer.note(4), high.note(5));
    let mut chains = Chains::default();
    add_all(&mut chains, &[&one, &two, &three, &four]);
    assert_eq!(chains.get(&writer.key()).and_then(Chain::parted_at), None);
    assert_eq!(chains.add(&other_four), Grown::Parted { at: 4 });
    assert_eq!(chains.add(&low.note(6)), Grown::Parted { at: 2 });
    let chain = chains.get(&writer.key()).expect("chain is held");
    assert!(chain.on_branch(2, &two.id(), 4, &four.id()));
    assert!(chain.on_branch(2, &two.id(), 4, &other_four.id()));
    assert_eq!(chain.heads().len(), 3);
}
