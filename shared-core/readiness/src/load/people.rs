//! People to bring home: by size, with the weight that was given or the one that is assumed.

use super::jackets::Wearer;

/// Most people in one question: more than a school, and small enough to be packed exactly.
pub const PEOPLE_MAX: u32 = 200;

/// Greatest mass of one person that is taken for one, grams.
pub const PEOPLE_MASS_MAX_G: u64 = 300_000;

/// Greatest crew that is taken for one.
pub const CREW_MAX: u32 = 30;

/// Crew as asked: what is not given is the least of the boat standard, at the county's weight.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct CrewAsked {
    /// How many.
    pub count: Option<u32>,
    /// Mass of each in gear, grams.
    pub mass_g: Option<u64>,
}

/// Sizes by the body weights of life jackets' labels.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Size {
    /// Infant.
    Infant,
    /// Child.
    Child,
    /// Youth.
    Youth,
    /// Adult.
    Adult,
}

impl Size {
    /// Every size, the lightest first.
    pub const ALL: &[Self] = &[Self::Infant, Self::Child, Self::Youth, Self::Adult];

    /// The stable word.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::Infant => "infant",
            Self::Child => "child",
            Self::Youth => "youth",
            Self::Adult => "adult",
        }
    }
}

/// People of one size, as asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Party {
    /// Size.
    pub size: Size,
    /// Lying down: takes the seats that the boat standard says.
    pub lying: bool,
    /// How many.
    pub count: u32,
    /// Mass of each, grams; none when not given.
    pub mass_g: Option<u64>,
}

/// Body weights of the sizes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Sizes {
    /// Below child.
    pub infant: Wearer,
    /// Between infant and youth.
    pub child: Wearer,
    /// Between child and adult.
    pub youth: Wearer,
    /// Above youth.
    pub adult: Wearer,
}

impl Sizes {
    /// Body weights of a size.
    #[must_use]
    pub const fn of(&self, size: Size) -> Wearer {
        match size {
            Size::Infant => self.infant,
            Size::Child => self.child,
            Size::Youth => self.youth,
            Size::Adult => self.adult,
        }
    }

    /// Mass that is reckoned for one of a size whose weight is not given: the heaviest of the size,
    /// for an adult `adult_g`, the county's setting.
    #[must_use]
    pub fn mass_g(&self, size: Size, adult_g: u64) -> u64 {
        match size {
            Size::Adult => adult_g,
            Size::Infant | Size::Child | Size::Youth => {
                let top = self.of(size).high.map(|bound| bound.mass_g);
                top.unwrap_or(adult_g)
            }
        }
    }
}

/// People of one size as they are reckoned with.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Group {
    /// As asked.
    pub party: Party,
    /// Mass of each, grams.
    pub mass_g: u64,
    /// Seats that each takes.
    pub seats: u32,
}

/// Fills in weights, `adult_g` for an adult whose weight was not given, and seats.
#[must_use]
pub fn groups(people: &[Party], sizes: &Sizes, adult_g: u64, lying_seats: u32) -> Vec<Group> {
    let people = people.iter().filter(|party| party.count > 0);
    people
        .map(|party| Group {
            party: *party,
            mass_g: party
                .mass_g
                .unwrap_or_else(|| sizes.mass_g(party.size, adult_g)),
            seats: if party.lying { lying_seats.max(1) } else { 1 },
        })
        .collect()
}
