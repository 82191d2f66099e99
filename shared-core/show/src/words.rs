//! Words for the engine's conclusions: stable ids for programs, plain words for people.
//!
//! Ids are snake case and never change; words for people may. Whole sentences are in `sentence`.

use sponson_readiness::answer::{
    Assumed, Basis, Effect, LoadLimit, Measure, Readiness, Rule, Status,
};
use sponson_readiness::event::{Face, NotApplicable, OutReason, PlaceSide, Severity, Stowage};

use crate::clean::clean;

/// Id of a readiness.
#[must_use]
pub const fn readiness_id(readiness: Readiness) -> &'static str {
    match readiness {
        Readiness::Ready => "ready",
        Readiness::ReadyWithLimits => "ready_with_limits",
        Readiness::Unproven => "unproven",
        Readiness::NotReady => "not_ready",
    }
}

/// A readiness in words.
#[must_use]
pub const fn readiness(readiness: Readiness) -> &'static str {
    match readiness {
        Readiness::Ready => "ready",
        Readiness::ReadyWithLimits => "ready with limits",
        Readiness::Unproven => "not checked",
        Readiness::NotReady => "not ready",
    }
}

/// Id of a severity, which is also its word.
#[must_use]
pub const fn severity(severity: Severity) -> &'static str {
    match severity {
        Severity::Disabling => "disabling",
        Severity::Restrictive => "restrictive",
        Severity::Major => "major",
        Severity::Minor => "minor",
    }
}

/// Id of an effect; the limit itself is a sentence of its own.
#[must_use]
pub const fn effect_id(effect: &Effect) -> &'static str {
    match effect {
        Effect::Note => "note",
        Effect::Limit(_) => "limit",
        Effect::Unproven => "unproven",
        Effect::NotReady => "not_ready",
    }
}

/// An effect in words.
#[must_use]
pub const fn effect(effect: &Effect) -> &'static str {
    match effect {
        Effect::Note => "noted only",
        Effect::Limit(_) => "ready with limits",
        Effect::Unproven => "not checked",
        Effect::NotReady => "not ready",
    }
}

/// Id of a basis, which is also its word.
#[must_use]
pub const fn basis(basis: Basis) -> &'static str {
    match basis {
        Basis::Law => "law",
        Basis::Maker => "maker",
        Basis::Agency => "agency",
        Basis::Trade => "trade",
    }
}

/// Id of an input that was assumed.
#[must_use]
pub const fn assumed_id(assumed: Assumed) -> &'static str {
    match assumed {
        Assumed::Mission => "mission",
        Assumed::Air => "air",
        Assumed::Water => "water",
        Assumed::Elevation => "elevation",
        Assumed::Crew => "crew",
    }
}

/// What was assumed, in words.
#[must_use]
pub const fn assumed(assumed: Assumed) -> &'static str {
    match assumed {
        Assumed::Mission => "mission (general)",
        Assumed::Air => "air temperature (the county's setting)",
        Assumed::Water => "water temperature (the air's)",
        Assumed::Elevation => "elevation (the county's setting)",
        Assumed::Crew => "crew (the least of the boat standard)",
    }
}

/// Id of a way to keep a craft, which is also its word.
#[must_use]
pub const fn stowage(stowage: Stowage) -> &'static str {
    match stowage {
        Stowage::Rigged => "rigged",
        Stowage::Inflated => "inflated",
        Stowage::Rolled => "rolled",
    }
}

/// Id of the line of the plate that binds.
#[must_use]
pub const fn load_limit_id(limit: LoadLimit) -> &'static str {
    match limit {
        LoadLimit::Persons => "persons",
        LoadLimit::PersonsMass => "persons_mass",
        LoadLimit::TotalMass => "total_mass",
    }
}

/// The line of the plate that binds, in words.
#[must_use]
pub const fn load_limit(limit: LoadLimit) -> &'static str {
    match limit {
        LoadLimit::Persons => "the plate's number of persons",
        LoadLimit::PersonsMass => "the plate's weight of persons",
        LoadLimit::TotalMass => "the plate's weight of persons, motor and gear",
    }
}

/// What people declared, in words.
#[must_use]
pub fn status(status: &Status) -> String {
    match status {
        Status::Available => "available".to_owned(),
        Status::Assigned { incident } => format!("assigned to incident {}", clean(incident)),
        Status::OutOfService { reason } => format!("out of service: {}", out_reason(*reason)),
        Status::Condemned => "condemned".to_owned(),
    }
}

/// Why a craft is out of service.
#[must_use]
pub const fn out_reason(reason: OutReason) -> &'static str {
    match reason {
        OutReason::Mechanical => "mechanical",
        OutReason::Personnel => "personnel",
        OutReason::Rest => "rest",
    }
}

/// Id of why a line was not looked at.
#[must_use]
pub const fn not_applicable_id(why: NotApplicable) -> &'static str {
    match why {
        NotApplicable::NotFitted => "not_fitted",
        NotApplicable::CouldNotLook => "could_not_look",
        NotApplicable::NotUsedHere => "not_used_here",
    }
}

/// Why a line was not looked at.
#[must_use]
pub const fn not_applicable(why: NotApplicable) -> &'static str {
    match why {
        NotApplicable::NotFitted => "not fitted",
        NotApplicable::CouldNotLook => "could not be looked at",
        NotApplicable::NotUsedHere => "not used here",
    }
}

/// Side of a craft.
#[must_use]
pub const fn side(side: PlaceSide) -> &'static str {
    match side {
        PlaceSide::Port => "port",
        PlaceSide::Starboard => "starboard",
        PlaceSide::Centre => "centre",
    }
}

/// Face of a part.
#[must_use]
pub const fn face(face: Face) -> &'static str {
    match face {
        Face::Top => "upper face",
        Face::Bottom => "lower face",
        Face::Inboard => "inboard face",
        Face::Outboard => "outboard face",
    }
}

/// Id of the sort of a quantity; the unit of its value is part of it.
#[must_use]
pub const fn measure_id(measure: &Measure) -> &'static str {
    match measure {
        Measure::GaugePa(_) => "gauge_pa",
        Measure::Slack => "slack",
        Measure::Count(_) => "count",
        Measure::SpanMs(_) => "span_ms",
        Measure::EngineS(_) => "engine_s",
        Measure::Date(_) => "date",
        Measure::MassG(_) => "mass_g",
        Measure::Persons(_) => "persons",
        Measure::NotLooked(_) => "not_looked",
        Measure::Word(_) => "word",
        Measure::Sides(_) => "sides",
    }
}

/// Id of a rule.
#[must_use]
pub const fn rule_id(rule: Rule) -> &'static str {
    match rule {
        Rule::NoStandard => "no_standard",
        Rule::MissionNotInStandard => "mission_not_in_standard",
        Rule::Condemned => "condemned",
        Rule::OutOfService => "out_of_service",
        Rule::Assigned => "assigned",
        Rule::PressureLow => "pressure_low",
        Rule::PressureHigh => "pressure_high",
        Rule::PressureNotRead => "pressure_not_read",
        Rule::PressureProvisional => "pressure_provisional",
        Rule::PressureAfterAir => "pressure_after_air",
        Rule::PressureImplausible => "pressure_implausible",
        Rule::KitShort => "kit_short",
        Rule::KitNotCounted => "kit_not_counted",
        Rule::KitStale => "kit_stale",
        Rule::KitExpired => "kit_expired",
        Rule::KitExpiresSoon => "kit_expires_soon",
        Rule::GearInTwoPlaces => "gear_in_two_places",
        Rule::GearMissing => "gear_missing",
        Rule::InspectionOverdue => "inspection_overdue",
        Rule::InspectionDueSoon => "inspection_due_soon",
        Rule::InspectionNeverDone => "inspection_never_done",
        Rule::InspectionFailed => "inspection_failed",
        Rule::FaultOpen => "fault_open",
        Rule::LineNo => "line_no",
        Rule::LineNotAnswered => "line_not_answered",
        Rule::HoldRuns => "hold_runs",
        Rule::CheckStale => "check_stale",
        Rule::NeverChecked => "never_checked",
        Rule::PlateUnknown => "plate_unknown",
        Rule::LoadOver => "load_over",
        Rule::PlaceDisputed => "place_disputed",
        Rule::SidesDiffer => "sides_differ",
        Rule::NumberTwice => "number_twice",
        Rule::SameAs => "same_as",
        Rule::Unconfirmed => "unconfirmed",
        Rule::NeedsUpgrade => "needs_upgrade",
        Rule::Rolled => "rolled",
        Rule::StationSilent => "station_silent",
        Rule::MotorImmersed => "motor_immersed",
        Rule::UsedSinceCheck => "used_since_check",
    }
}
