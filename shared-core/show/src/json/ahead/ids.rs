//! Stable words of the form: whoever reads it may hold on to them.

use sponson_readiness::ahead::{By, Standing, UseNotKnown, What, WhyNoVisit};
use sponson_readiness::event::GearKind;

/// The stable word of what comes due.
pub(crate) const fn what_id(what: &What) -> &'static str {
    match what {
        What::Inspection(_) => "inspection",
        What::KitDate { .. } => "kit_date",
        What::Requalification => "requalification",
        What::CylinderLife => "cylinder_life",
        What::GearLife(_) => "gear_life",
        What::WaiverEnds(_) => "waiver_ends",
        What::SealTag => "seal_date",
    }
}

/// The stable word of what ends first.
pub(crate) const fn by_id(by: By) -> &'static str {
    match by {
        By::Calendar => "calendar",
        By::EngineHours => "engine_hours",
        By::Now => "now",
    }
}

/// The stable word of how it stands.
pub(crate) const fn standing_id(standing: Standing) -> &'static str {
    match standing {
        Standing::Overdue { .. } => "overdue",
        Standing::NeverDone => "never_done",
        Standing::Failed => "failed",
        Standing::InTime => "in_time",
    }
}

pub(super) const fn no_visit_id(why: WhyNoVisit) -> &'static str {
    match why {
        WhyNoVisit::StationNotKnown => "station_not_known",
        WhyNoVisit::WithTheChecks => "with_the_checks",
        WhyNoVisit::ToBeDecided => "to_be_decided",
    }
}

pub(super) const fn use_id(why: UseNotKnown) -> &'static str {
    match why {
        UseNotKnown::NotRead => "meter_not_read",
        UseNotKnown::TooShort(_) => "readings_too_short",
        UseNotKnown::NotRun => "did_not_run",
    }
}

pub(super) const fn gear_id(kind: GearKind) -> &'static str {
    match kind {
        GearKind::Motor => "motor",
        GearKind::FuelTank => "fuel_tank",
        GearKind::FuelLine => "fuel_line",
        GearKind::Cylinder => "cylinder",
        GearKind::InflatableFloor => "inflatable_floor",
        GearKind::Pump => "pump",
        GearKind::Gauge => "gauge",
        GearKind::Radio => "radio",
        GearKind::Trailer => "trailer",
        GearKind::Battery => "battery",
        GearKind::BreathingSet => "breathing_set",
    }
}
