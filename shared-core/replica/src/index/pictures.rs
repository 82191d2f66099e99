//! Pictures that events commit to: which content beside which event. The pictures themselves are
//! files, and may be missing.

use std::collections::BTreeMap;

use sponson_log::event::{PICTURE_BYTES_MAX, SignedEvent};
use sponson_log::ids::Digest;
use sponson_proto::event::v1::BesideType;

/// Commitments to pictures, with the contents that each stands for: one, unless somebody copied it.
#[derive(Debug, Default)]
pub(crate) struct Pictures(BTreeMap<Digest, Vec<Committed>>);

/// One content beside an event.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Committed {
    /// Number of the event.
    pub(crate) number: u64,
    /// Position in its header.
    pub(crate) part: u16,
    /// Bytes of the picture.
    pub(crate) bytes: u32,
}

impl Pictures {
    /// Takes an event. What is larger than a picture may be is none.
    pub(super) fn add(&mut self, number: u64, event: &SignedEvent) {
        for (part, beside) in (0..).zip(&event.header().beside) {
            let small = usize::try_from(beside.size).is_ok_and(|it| it <= PICTURE_BYTES_MAX);
            if beside.kind == BesideType::Jpeg && small && beside.size > 0 {
                let known = self.0.entry(beside.commitment).or_default();
                known.push(Committed {
                    number,
                    part,
                    bytes: beside.size,
                });
            }
        }
    }

    /// What a commitment stands for; nothing when no event that is held commits to it.
    pub(crate) fn of(&self, commitment: &Digest) -> &[Committed] {
        self.0.get(commitment).map_or(&[], Vec::as_slice)
    }

    /// All of them.
    pub(crate) fn iter(&self) -> impl Iterator<Item = (&Digest, &[Committed])> {
        self.0.iter().map(|(id, of)| (id, of.as_slice()))
    }
}
