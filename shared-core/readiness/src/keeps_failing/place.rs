//! Which spots on a part count as one place.

use crate::event::{Face, PlaceSide};
use crate::ids::PartId;

/// A place on a part.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct PlaceOn {
    /// Part.
    pub part: PartId,
    /// Side; none when not said.
    pub side: Option<PlaceSide>,
    /// Face; none when not said.
    pub face: Option<Face>,
    /// Nearest and furthest spot found, millimetres forward of the transom; none when not said.
    pub from_transom_mm: Option<(u32, u32)>,
    /// Class of fault, where the policy tells them apart.
    pub class: Option<String>,
}
