//! What is told of pictures: where one is, how many there are, and why one was not kept.

use sponson_log::ids::Digest;

use crate::pictures::PictureFileError;

/// Less than this left on a disk, and no picture is taken in: the log goes before it. Four times what
/// is said to be nearly full.
const FREE_LEAST: u64 = 512 * 1024 * 1024;

/// Where a picture is, as far as this replica knows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PicturePlace {
    /// No event that is held commits to it.
    NotKnown,
    /// The lead had it removed.
    Removed,
    /// It is here.
    Held,
    /// So many bytes of its file are here.
    Missing(u64),
}

/// What became of a piece of a picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// So many bytes of its file are here and durable: go on from there.
    To(u64),
    /// The picture is whole and kept.
    Whole,
}

/// A picture beside an event.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PictureBeside {
    /// Its commitment, by which it is asked for.
    pub id: Digest,
    /// What it belongs to.
    pub belongs_to: String,
    /// Where it is.
    pub place: PicturePlace,
}

/// Pictures of a replica.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct PicturesAbout {
    /// Pictures that are here and that an event commits to.
    pub held: u64,
    /// Bytes of all that are here.
    pub bytes: u64,
    /// At a station: of those, what the county does not have as far as is known.
    pub waiting: u64,
    /// Pictures that events commit to, not removed, and not here.
    pub missing: u64,
}

/// Why a picture was not kept, taken or given.
#[derive(Debug, thiserror::Error)]
pub enum PictureError {
    /// This replica keeps none.
    #[error("this copy of the log keeps no pictures: ask the county or a station")]
    NoneKept,
    /// It breaks a limit.
    #[error("{field} is {value}; {limit}")]
    Value {
        /// The field.
        field: &'static str,
        /// Its value.
        value: String,
        /// What is allowed.
        limit: String,
    },
    /// Nothing that is held commits to it.
    #[error(
        "no event that is held here commits to picture {0:.12}: sync first, or look at the name"
    )]
    NotKnown(String),
    /// The lead had it removed.
    #[error("picture {0:.12} was removed by the lead")]
    Removed(String),
    /// It is not here.
    #[error("picture {0:.12} is not here yet: it comes with a sync once the county has it")]
    Missing(String),
    /// What came is not what was committed to.
    #[error(
        "picture {0:.12} is not what its event commits to: nothing of it was kept; send it again"
    )]
    Wrong(String),
    /// Pictures that the county does not have take all the room that the policy gives.
    #[error(
        "pictures that the county does not have yet take {bytes} bytes, and the policy gives \
         {budget}: sync first, or record it without the picture"
    )]
    Budget {
        /// Bytes that wait.
        bytes: u64,
        /// Bytes that are allowed.
        budget: u64,
    },
    /// The disk is nearly full.
    #[error(
        "the disk has {free} bytes left, and pictures are kept only while {FREE_LEAST} are: make room"
    )]
    NoRoom {
        /// Bytes left.
        free: u64,
    },
    /// The files.
    #[error(transparent)]
    File(#[from] PictureFileError),
}

/// Whether a disk with so many bytes left has room for pictures.
pub(super) fn room(free: Option<u64>) -> Result<(), PictureError> {
    match free {
        Some(free) if free < FREE_LEAST => Err(PictureError::NoRoom { free }),
        Some(_) | None => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_picture_is_taken_when_the_log_needs_the_room() {
        assert!(room(Some(FREE_LEAST)).is_ok());
        assert!(room(None).is_ok());
        let refused = room(Some(FREE_LEAST - 1)).expect_err("too little");
        assert!(refused.to_string().contains("make room"), "{refused}");
    }
}
