//! Stable words for the engine's values: what machines read. Text for people is made elsewhere.
//!
//! A word never changes its meaning; a new meaning gets a new word.

use super::{
    Action, AskerClock, Assumed, Basis, Breathing, Differ, Effect, Feed, Limit, LoadLimit,
    Readiness, Rule, Said, Settle, Status, StepId, StepState, Until,
};
use crate::event::{NotApplicable, OutReason, PumpPower, Severity, Stowage, WaterType};
use crate::load::{PlateCounts, Thing, WeighedBy};
use crate::moment::Moment;

macro_rules! words {
    ($name:ident { $($variant:ident => $word:literal),+ $(,)? }) => {
        impl $name {
            /// Every value, in order.
            pub const ALL: &[Self] = &[$(Self::$variant),+];

            /// The stable word.
            #[must_use]
            pub const fn id(self) -> &'static str {
                match self {
                    $(Self::$variant => $word),+
                }
            }
        }
    };
}

mod callout;

words!(Rule {
    NoStandard => "no_standard",
    MissionNotInStandard => "mission_not_in_standard",
    Condemned => "condemned",
    OutOfService => "out_of_service",
    Assigned => "assigned",
    PressureLow => "pressure_low",
    PressureHigh => "pressure_high",
    PressureNotRead => "pressure_not_read",
    PressureHighAtHome => "pressure_high_at_home",
    PressureProvisional => "pressure_provisional",
    PressureNearLimit => "pressure_near_limit",
    PressureJoined => "pressure_joined",
    PressureAfterAir => "pressure_after_air",
    PressureImplausible => "pressure_implausible",
    KitShort => "kit_short",
    KitNotCounted => "kit_not_counted",
    KitStale => "kit_stale",
    CountOwed => "count_owed",
    KitExpired => "kit_expired",
    KitExpiresSoon => "kit_expires_soon",
    KitDoesNotFit => "kit_does_not_fit",
    KitFitNotKnown => "kit_fit_not_known",
    KitNotForMission => "kit_not_for_mission",
    KitWithout => "kit_without",
    SignalsShortByDay => "signals_short_by_day",
    SignalsShortByNight => "signals_short_by_night",
    KitUndated => "kit_undated",
    GearInTwoPlaces => "gear_in_two_places",
    GearMissing => "gear_missing",
    FuelShort => "fuel_short",
    FuelOld => "fuel_old",
    FuelMixWrong => "fuel_mix_wrong",
    FuelNotRecorded => "fuel_not_recorded",
    GearDoesNotFit => "gear_does_not_fit",
    InspectionOverdue => "inspection_overdue",
    InspectionDueSoon => "inspection_due_soon",
    InspectionNeverDone => "inspection_never_done",
    InspectionFailed => "inspection_failed",
    UsedHard => "used_hard",
    InspectionTooShort => "inspection_too_short",
    FaultOpen => "fault_open",
    LineNo => "line_no",
    LineNotAnswered => "line_not_answered",
    HoldRuns => "hold_runs",
    CheckStale => "check_stale",
    CheckedInParts => "checked_in_parts",
    NeverChecked => "never_checked",
    PlateUnknown => "plate_unknown",
    LoadOver => "load_over",
    PlaceDisputed => "place_disputed",
    SidesDiffer => "sides_differ",
    NumberTwice => "number_twice",
    SameAs => "same_as",
    Unconfirmed => "unconfirmed",
    NeedsUpgrade => "needs_upgrade",
    Rolled => "rolled",
    StationSilent => "station_silent",
    MotorImmersed => "motor_immersed",
    MotorOverPlate => "motor_over_plate",
    MotorOnManual => "motor_on_manual",
    LeakShows => "leak_shows",
    LeakOver => "leak_over",
    BaffleLeaks => "baffle_leaks",
    ReadingsNeverMove => "readings_never_move",
    HoldProvesNothing => "hold_proves_nothing",
    UsedSinceCheck => "used_since_check",
    HeldCountyWide => "held_county_wide",
    WindOver => "wind_over",
    CurrentOver => "current_over",
    TowNotAllowed => "tow_not_allowed",
    LimitNotSet => "limit_not_set",
    LightsNeeded => "lights_needed",
    ReliefIced => "relief_iced",
    ByPumpOnly => "by_pump_only",
    AirNotEnough => "air_not_enough",
    BreathingAir => "breathing_air",
    CylinderNotRead => "cylinder_not_read",
    CylinderLow => "cylinder_low",
    CylinderNotDated => "cylinder_not_dated",
    CylinderDueSoon => "cylinder_due_soon",
    CylinderOverdue => "cylinder_overdue",
    CylinderLifeOver => "cylinder_life_over",
    TripsNeeded => "trips_needed",
    PeopleLeftBehind => "people_left_behind",
    JacketShort => "jacket_short",
    CrewNotKnown => "crew_not_known",
    CrewShort => "crew_short",
    OperatorNotNamed => "operator_not_named",
    OperatorLevelShort => "operator_level_short",
    OperatorLevelLapsed => "operator_level_lapsed",
    OwedAfterUse => "owed_after_use",
    ReportDue => "report_due",
    CasualtyReportDue => "casualty_report_due",
});

words!(StepId {
    Registered => "registered",
    Plate => "plate",
    Placed => "placed",
    FirstInflation => "first_inflation",
    FilledByHand => "filled_by_hand",
    ReCheck => "re_check",
    HoldTest => "hold_test",
    Valves => "valves",
    Motor => "motor",
    SafetyLine => "safety_line",
    Numbers => "numbers",
    Kit => "kit",
    Inspections => "inspections",
    FullCheck => "full_check",
    NothingOpen => "nothing_open",
    Operators => "operators",
});

words!(Assumed {
    Mission => "mission",
    Air => "air",
    Water => "water",
    Elevation => "elevation",
    Crew => "crew",
    CrewWeight => "crew_weight",
    PeopleWeight => "people_weight",
    Place => "place",
    Duration => "duration",
    Visibility => "visibility",
    Wind => "wind",
    Current => "current",
    Ambient => "ambient",
});

words!(Feed {
    Any => "any",
    NoRelief => "no_relief",
    Iced => "iced",
});

words!(Breathing {
    Set => "set",
    No => "no",
});

words!(PumpPower {
    Hand => "hand",
    Foot => "foot",
    Battery => "battery",
});

words!(Readiness {
    Ready => "ready",
    ReadyWithLimits => "ready_with_limits",
    Unproven => "unproven",
    NotReady => "not_ready",
});

words!(Severity {
    Disabling => "disabling",
    Restrictive => "restrictive",
    Major => "major",
    Minor => "minor",
});

words!(Basis {
    Law => "law",
    Maker => "maker",
    Agency => "agency",
    Trade => "trade",
});

words!(LoadLimit {
    Persons => "persons",
    PersonsMass => "persons_mass",
    TotalMass => "total_mass",
});

words!(Thing {
    Crew => "crew",
    Kit => "kit",
    Motor => "motor",
    Fuel => "fuel",
    Battery => "battery",
});

words!(WeighedBy {
    Given => "given",
    Setting => "setting",
    Counts => "counts",
    Registered => "registered",
    Plate => "plate",
    Table => "table",
    Density => "density",
    NotKnown => "not_known",
});

words!(PlateCounts {
    Persons => "persons",
    PersonsMotorGear => "persons_motor_gear",
});

words!(OutReason {
    Mechanical => "mechanical",
    Personnel => "personnel",
    Rest => "rest",
});

words!(Stowage {
    Rigged => "rigged",
    Inflated => "inflated",
    Rolled => "rolled",
});

words!(WaterType {
    Fresh => "fresh",
    Salt => "salt",
    Polluted => "polluted",
});

words!(NotApplicable {
    NotFitted => "not_fitted",
    CouldNotLook => "could_not_look",
    NotUsedHere => "not_used_here",
});

words!(Differ {
    FaultAndSignOff => "fault_and_sign_off",
    DefectTwice => "defect_twice",
    NoThenYes => "no_then_yes",
    OutAndReturned => "out_and_returned",
    AssignedTwice => "assigned_twice",
    AssignedAndOut => "assigned_and_out",
    AssignedAndReleased => "assigned_and_released",
    Readings => "readings",
    Counts => "counts",
    KitMoved => "kit_moved",
    Answers => "answers",
    Inspections => "inspections",
    Stowage => "stowage",
    Fuel => "fuel",
    PlacedTwice => "placed_twice",
    FoundTwice => "found_twice",
    Number => "number",
    NumberTwice => "number_twice",
    Model => "model",
});

impl StepState {
    /// The stable word; what stands with it is not part of it.
    #[must_use]
    pub const fn id(&self) -> &'static str {
        match self {
            Self::Done { .. } => "done",
            Self::Clear => "clear",
            Self::Open => "open",
        }
    }
}

impl Said {
    /// The stable word; what stands with it is not part of it.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::Yes => "yes",
            Self::No => "no",
            Self::SignedOff => "signed_off",
            Self::OutOfService(_) => "out_of_service",
            Self::Returned => "returned",
            Self::Released => "released",
            Self::MovedAway(_) => "moved_away",
            Self::Passed => "passed",
            Self::Failed => "failed",
        }
    }
}

impl Until {
    /// The stable word; what stands with it is not part of it.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::Side(_) => "side",
            Self::FaultOpen => "fault_open",
            Self::OutOfService => "out_of_service",
            Self::Assigned => "assigned",
            Self::Units(_) => "units",
            Self::Nowhere => "nowhere",
            Self::Unproven => "unproven",
            Self::Each => "each",
        }
    }
}

impl Settle {
    /// The stable word; what stands with it is not part of it.
    #[must_use]
    pub const fn id(&self) -> &'static str {
        match self {
            Self::Check(_) => "check",
            Self::SignOff(..) => "sign_off",
            Self::Return(_) => "return",
            Self::Release(_) => "release",
            Self::Assign(_) => "assign",
            Self::Inspect(..) => "inspect",
            Self::Place(_) => "place",
            Self::Renumber(_) => "renumber",
            Self::SameAs(_) => "same_as",
            Self::Lead => "lead",
        }
    }
}

impl Status {
    /// The stable word; what stands with it is not part of it.
    #[must_use]
    pub const fn id(&self) -> &'static str {
        match self {
            Self::Available => "available",
            Self::Assigned { .. } => "assigned",
            Self::OutOfService { .. } => "out_of_service",
            Self::Condemned => "condemned",
        }
    }
}

impl Effect {
    /// The stable word; what stands with it is not part of it.
    #[must_use]
    pub const fn id(&self) -> &'static str {
        match self {
            Self::Note => "note",
            Self::Limit(_) => "limit",
            Self::Unproven => "unproven",
            Self::NotReady => "not_ready",
        }
    }
}

impl Limit {
    /// The stable word; what stands with it is not part of it.
    #[must_use]
    pub const fn id(&self) -> &'static str {
        match self {
            Self::TopUp(_) => "top_up",
            Self::LetOut(_) => "let_out",
            Self::LetOutAtHome(_) => "let_out_at_home",
            Self::NoPower => "no_power",
            Self::DaylightOnly => "daylight_only",
            Self::NotFor(_) => "not_for",
            Self::OnlyFor(..) => "only_for",
            Self::CrewOnly => "crew_only",
            Self::Rig(_) => "rig",
            Self::DoSoon(_) => "do_soon",
            Self::Trips(_) => "trips",
            Self::Jackets => "jackets",
            Self::Crew(_) => "crew",
            Self::Operator(_) => "operator",
        }
    }
}

impl Action {
    /// The stable word; what stands with it is not part of it.
    #[must_use]
    pub const fn id(&self) -> &'static str {
        match self {
            Self::ReadGauge(_) => "read_gauge",
            Self::FindLeak(_) => "find_leak",
            Self::BringTo(..) => "bring_to",
            Self::BringToAtHome(..) => "bring_to_at_home",
            Self::Count(_) => "count",
            Self::CountBag(_) => "count_bag",
            Self::Bring(..) => "bring",
            Self::Inspect(_) => "inspect",
            Self::Look(_) => "look",
            Self::Refuel => "refuel",
            Self::FullCheck => "full_check",
            Self::RepairAndSignOff(_) => "repair_and_sign_off",
            Self::WaitUntil(_) => "wait_until",
            Self::SettlePlace(_) => "settle_place",
            Self::Settle(_) => "settle",
            Self::Rig => "rig",
            Self::ReadCylinder(_) => "read_cylinder",
            Self::Recharge => "recharge",
            Self::Requalify => "requalify",
            Self::AskStation => "ask_station",
            Self::RecordPlate => "record_plate",
            Self::Upgrade => "upgrade",
            Self::AskLead => "ask_lead",
            Self::SayCrews(_) => "say_crews",
            Self::SignOffByAnother(_) => "sign_off_by_another",
            Self::Report => "report",
        }
    }
}

impl AskerClock {
    /// The stable word.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::NotDoubted => "not_doubted",
            Self::Off { .. } => "off",
            Self::BeforeCounty { .. } => "before_county",
            Self::WasOff { .. } => "was_off",
            Self::Changed { .. } => "changed",
        }
    }

    /// By how much, milliseconds; none when it is not doubted.
    #[must_use]
    pub const fn by_ms(self) -> Option<i64> {
        match self {
            Self::NotDoubted => None,
            Self::Off {
                county_minus_device_ms: by_ms,
            }
            | Self::WasOff {
                county_minus_device_ms: by_ms,
                ..
            }
            | Self::BeforeCounty { behind_ms: by_ms }
            | Self::Changed { by_ms, .. } => Some(by_ms),
        }
    }

    /// The other time at which a question was judged, when neither is known to be right.
    #[must_use]
    pub const fn other(self) -> Option<Moment> {
        match self {
            Self::NotDoubted | Self::Off { .. } | Self::BeforeCounty { .. } => None,
            Self::WasOff { other, .. } | Self::Changed { other, .. } => Some(other),
        }
    }
}
