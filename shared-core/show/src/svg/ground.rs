//! What a county's map shows beneath its stations: water, roads, the boundary, launch places.
//!
//! Holds it; reads no file.

use sponson_readiness::conditions::Position;

/// Shapes in the order of the county's file.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Ground {
    /// The shapes.
    pub shapes: Vec<Shape>,
}

/// One shape.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shape {
    /// What it is.
    pub kind: Kind,
    /// Its name; empty when it has none.
    pub name: String,
    /// Where it is.
    pub form: Form,
}

/// Sorts of shape.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// A lake or a river.
    Water,
    /// A road.
    Road,
    /// Where the county ends.
    Boundary,
    /// A named ramp or bank.
    Launch,
}

impl Kind {
    /// Every kind, the lowest on the map first.
    pub const ALL: [Self; 4] = [Self::Water, Self::Road, Self::Boundary, Self::Launch];

    /// Its stable word in a county's file.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::Water => "water",
            Self::Road => "road",
            Self::Boundary => "boundary",
            Self::Launch => "launch",
        }
    }
}

/// Places of a shape, WGS 84.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Form {
    /// Single places.
    Points(Vec<Position>),
    /// Lines of two places or more.
    Lines(Vec<Vec<Position>>),
    /// Areas: the ring round each, then the rings of its holes; the first place of a ring is its last.
    Areas(Vec<Vec<Vec<Position>>>),
}

impl Form {
    /// Every place of it.
    pub fn places(&self) -> impl Iterator<Item = Position> + '_ {
        let (points, lines, areas): (&[_], &[Vec<_>], &[Vec<Vec<_>>]) = match self {
            Self::Points(points) => (points, &[], &[]),
            Self::Lines(lines) => (&[], lines, &[]),
            Self::Areas(areas) => (&[], &[], areas),
        };
        let lines = lines.iter().flatten();
        let areas = areas.iter().flatten().flatten();
        points.iter().chain(lines).chain(areas).copied()
    }
}
