//! What a part is and where, by the words of the sheet: its id first, then its label.
//!
//! The words are those that the built-in sheets use: `port`, `starboard`; `bow`, `forward`, `midship`,
//! `aft`, `stern`. A part in other words is not guessed at.

use sponson_readiness::event::PlaceSide;
use sponson_readiness::standard::Part;

/// How a part is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Role {
    /// A chamber of the tube round the craft.
    Tube,
    /// Under the floor, along the middle.
    Keel,
    /// Under the floor, on both sides of the keel.
    SpeedTube,
    /// What one stands on.
    Floor,
    /// Round the floor.
    Lacing,
    /// Across, from tube to tube.
    Thwart,
    /// The hull as a whole.
    Hull,
    /// Across the stern.
    Transom,
    /// Behind the transom.
    Motor,
    /// Round the outside.
    Perimeter,
    /// Something small, at the place that its words name.
    Small,
}

/// What the words of the sheet say of a part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Placed {
    pub(super) role: Role,
    pub(super) side: Option<PlaceSide>,
    /// Share of the length, from the transom.
    pub(super) along: Option<f64>,
}

/// Where a part goes; none where its words do not tell.
pub(super) fn placed(part: &Part) -> Option<Placed> {
    let id = words(part.id.as_str());
    let label = words(&part.label);
    let has = |word: &str| id.iter().chain(&label).any(|one| one == word);
    let side = match (has("port"), has("starboard")) {
        (true, false) => Some(PlaceSide::Port),
        (false, true) => Some(PlaceSide::Starboard),
        (true, true) | (false, false) => None,
    };
    let along = ALONG.iter().find(|(word, _)| has(word));
    let along = along.map(|(_, share)| *share);
    let is_placed = side.is_some() || along.is_some();
    let role = match (role(&id), role(&label)) {
        (Named::As(role), _) | (Named::Nothing, Named::As(role)) => role,
        // Small things go where somebody says they are; the middle of the craft is no such place.
        (Named::Nothing, Named::Small | Named::Nothing) | (Named::Small, _) if is_placed => {
            Role::Small
        }
        (Named::Nothing | Named::Small, _) | (Named::Apart, _) => return None,
    };
    Some(Placed { role, side, along })
}

const ALONG: [(&str, f64); 9] = [
    ("bow", 0.9),
    ("stem", 0.9),
    ("stern", 0.1),
    ("midship", 0.5),
    ("midships", 0.5),
    ("amidships", 0.5),
    ("forward", 0.66),
    ("fore", 0.66),
    ("aft", 0.34),
];

/// What words name.
#[derive(Clone, Copy)]
enum Named {
    As(Role),
    /// Something small of something else.
    Small,
    /// No part of what is seen from above.
    Apart,
    Nothing,
}

/// The first that a part's words name: `floor-lacing` is no floor, a valve of a tube is no tube.
const ROLES: [(&[&str], Named); 12] = [
    (&["trailer"], Named::Apart),
    (
        &[
            "valve", "seam", "drain", "light", "lights", "safety", "handle", "steering",
        ],
        Named::Small,
    ),
    (&["lacing"], Named::As(Role::Lacing)),
    (&["speed"], Named::As(Role::SpeedTube)),
    (&["thwart", "seat"], Named::As(Role::Thwart)),
    (&["keel"], Named::As(Role::Keel)),
    (&["floor", "deck"], Named::As(Role::Floor)),
    (&["tube", "chamber", "sponson"], Named::As(Role::Tube)),
    (&["transom"], Named::As(Role::Transom)),
    (&["motor", "outboard", "engine"], Named::As(Role::Motor)),
    (&["hull"], Named::As(Role::Hull)),
    (
        &["perimeter", "lifeline", "rail"],
        Named::As(Role::Perimeter),
    ),
];

fn role(words: &[String]) -> Named {
    let named = |names: &[&str]| words.iter().any(|word| names.contains(&word.as_str()));
    let role = ROLES.iter().find(|(names, _)| named(names));
    role.map_or(Named::Nothing, |(_, role)| *role)
}

fn words(text: &str) -> Vec<String> {
    let lower = text.to_lowercase();
    let words = lower.split(|c: char| !c.is_alphanumeric());
    words
        .filter(|word| !word.is_empty())
        .map(str::to_owned)
        .collect()
}
