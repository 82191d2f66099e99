//! Stable words of a call-out.

use super::super::{Access, CrewKnown, Hindrance, LaunchBy, Reach, Second, SettingOf, Way};
use crate::kit_moves::Holder;

words!(Access {
    Ramp => "ramp",
    Bank => "bank",
});

words!(Reach {
    ByTime => "by_time",
    ByLine => "by_line",
    WayNotKnown => "way_not_known",
    NotChecked => "not_checked",
    CannotGo => "cannot_go",
});

words!(LaunchBy {
    Ramp => "ramp",
    Bank => "bank",
    Either => "either",
    RampIfThere => "ramp_if_there",
    NoRamp => "no_ramp",
});

words!(Holder {
    Shelf => "shelf",
    Bag => "bag",
    Station => "station",
    Craft => "craft",
    Condemned => "condemned",
});

impl Way {
    /// The stable word.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::Table { .. } => "table",
            Self::Said { .. } => "said",
            Self::Straight { .. } => "straight",
            Self::Closed => "closed",
            Self::NotKnown => "not_known",
        }
    }
}

impl CrewKnown {
    /// The stable word.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::AsAsked => "as_asked",
            Self::Enough { .. } => "enough",
            Self::NotKnown => "not_known",
            Self::Short { .. } => "short",
        }
    }
}

impl Second {
    /// The stable word.
    #[must_use]
    pub const fn id(&self) -> &'static str {
        match self {
            Self::NotAsked => "not_asked",
            Self::Boat { .. } => "boat",
            Self::None => "none",
        }
    }
}

impl Hindrance {
    /// The stable word.
    #[must_use]
    pub const fn id(&self) -> &'static str {
        match self {
            Self::WayClosed => "way_closed",
            Self::NoRamp => "no_ramp",
            Self::CrewShort => "crew_short",
            Self::Assigned { .. } => "assigned",
            Self::Declared => "declared",
            Self::NoStation => "no_station",
        }
    }
}

impl SettingOf {
    /// The stable word.
    #[must_use]
    pub const fn id(&self) -> &'static str {
        match self {
            Self::RaiseCrew => "raise_crew",
            Self::RaiseCrewAt(_) => "raise_crew_at",
            Self::OneAfterOther => "one_after_other",
            Self::AtOnce => "at_once",
            Self::LaunchRamp => "launch_ramp",
            Self::LaunchBank => "launch_bank",
            Self::BankUnlessSaid => "bank_unless_said",
            Self::RampUnlessSaid => "ramp_unless_said",
            Self::SafetyBoat => "safety_boat",
        }
    }
}
