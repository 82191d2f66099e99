//! Plain words for the engine's conclusions, for people.
//!
//! These may change; the stable words for programs are the `id` functions of the readiness crate.
//! Whole sentences are in `sentence`.

use sponson_readiness::answer::{
    AskerClock, Assumed, CrewsAt, Effect, LoadLimit, Readiness, Status, StepId,
};
use sponson_readiness::event::{Face, NotApplicable, PlaceSide};
use sponson_readiness::load::{PlateCounts, Thing, WeighedBy};

use crate::clean::clean;
use crate::context::Context;
use crate::units::print;

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

/// What was assumed, in words.
#[must_use]
pub const fn assumed(assumed: Assumed) -> &'static str {
    match assumed {
        Assumed::Mission => "mission (general)",
        Assumed::Air => "air temperature (the county's)",
        Assumed::Water => "water temperature (the air's)",
        Assumed::Elevation => "elevation (the county's)",
        Assumed::Crew => "crew (the least)",
        Assumed::CrewWeight => "the crew's weight (the county's setting)",
        Assumed::PeopleWeight => {
            "people's weight (the heaviest of their size; an adult's the county's setting)"
        }
        Assumed::Place => "light (no place given)",
        Assumed::Duration => "duration (the county's)",
        Assumed::Visibility => "clear view",
        Assumed::Wind => "wind in limits",
        Assumed::Current => "current in limits",
        Assumed::Ambient => "standard air pressure",
    }
}

/// What is known against the clock of the device that asks, in words; none when nothing is.
#[must_use]
pub fn asker_clock(clock: AskerClock) -> Option<String> {
    Some(match clock {
        AskerClock::NotDoubted => return None,
        AskerClock::Off {
            county_minus_device_ms,
        } => format!(
            "the clock of this device is {} the county's: judged at the county's time; set it",
            against(county_minus_device_ms)
        ),
        AskerClock::BeforeCounty { behind_ms } => format!(
            "the clock of this device is {} the newest time that the county has shown: judged at \
             that time; set it",
            against(behind_ms)
        ),
        AskerClock::WasOff {
            county_minus_device_ms,
            ..
        } => format!(
            "the clock of this device was {} the county's at the last sync, and the device was \
             started again since: judged at both times, and the worse counts; sync, or set it",
            against(county_minus_device_ms)
        ),
        AskerClock::Changed { by_ms, .. } => format!(
            "the clock of this device was set {} since it was started: judged by both, and the \
             worse counts until it has synced",
            moved(by_ms)
        ),
    })
}

/// Where a device's clock stands: `3 h 12 min behind`.
#[must_use]
pub fn against(county_minus_device_ms: i64) -> String {
    let by = print::span(i64::try_from(county_minus_device_ms.unsigned_abs()).unwrap_or(i64::MAX));
    if county_minus_device_ms < 0 {
        format!("{by} ahead of")
    } else {
        format!("{by} behind")
    }
}

fn moved(by_ms: i64) -> String {
    let by = print::span(i64::try_from(by_ms.unsigned_abs()).unwrap_or(i64::MAX));
    let way = if by_ms < 0 { "back" } else { "forward" };
    format!("{by} {way}")
}

/// The line of the plate that binds, in words; `counts` is what a plate of one weight counts.
#[must_use]
pub const fn load_limit(limit: LoadLimit, counts: Option<PlateCounts>) -> &'static str {
    match (limit, counts) {
        (LoadLimit::Persons, _) => "the plate's number of persons",
        (LoadLimit::PersonsMass, Some(PlateCounts::PersonsMotorGear)) => "the plate's weight",
        (LoadLimit::PersonsMass, Some(PlateCounts::Persons) | None) => {
            "the plate's weight of persons"
        }
        (LoadLimit::TotalMass, _) => "the plate's weight of persons, motor and gear",
    }
}

/// What people declared, in words.
#[must_use]
pub fn status(status: &Status) -> String {
    match status {
        Status::Available => "available".to_owned(),
        Status::Assigned { incident } => format!("assigned to incident {}", clean(incident)),
        Status::OutOfService { reason } => format!("out of service: {}", reason.id()),
        Status::Condemned => "condemned".to_owned(),
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

/// Crews that a station can raise, in words.
#[must_use]
pub fn crews(crews: &CrewsAt, ctx: &Context) -> String {
    let persons = crews
        .persons
        .map(|persons| format!(" ({})", print::count(i64::from(persons), "person")))
        .unwrap_or_default();
    let number = print::count(i64::from(crews.crews), "crew");
    format!("{number}{persons} until {}", ctx.local(crews.until))
}

/// A step by which a craft is placed in service, in words.
#[must_use]
pub const fn step(step: StepId) -> &'static str {
    match step {
        StepId::Registered => "registered, of a model that has a boat standard",
        StepId::Plate => "maker's plate recorded, and aboard to be read",
        StepId::Placed => "placed at a station",
        StepId::FirstInflation => "first inflation: every part filled, every gauge read",
        StepId::FilledByHand => "keel and floor by hand or foot pump, never from a cylinder",
        StepId::ReCheck => "gauges read again an hour later: settled, and in range",
        StepId::HoldTest => "hold test",
        StepId::Valves => "valves right: caps, intercommunication, relief",
        StepId::Motor => "motor fitted, within the plate's power and weight, and in order",
        StepId::SafetyLine => "motor safety line of rope or webbing that can be cut",
        StepId::Numbers => "number on craft, bag and motor top",
        StepId::Kit => "kit aboard; what is short is still to buy or bring",
        StepId::Inspections => "the other inspections of the boat standard",
        StepId::FullCheck => "full check",
        StepId::NothingOpen => "no fault, hold or doubt open",
        StepId::Operators => "crew known, operators named",
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

/// What was weighed, in words.
#[must_use]
pub const fn thing(thing: Thing) -> &'static str {
    match thing {
        Thing::Crew => "crew in gear",
        Thing::Kit => "kit",
        Thing::Motor => "motor",
        Thing::Fuel => "fuel and tank",
        Thing::Battery => "battery",
    }
}

/// Where a weight comes from, in words.
#[must_use]
pub const fn weighed_by(by: WeighedBy) -> &'static str {
    match by {
        WeighedBy::Given => "as given",
        WeighedBy::Setting => "the county's setting",
        WeighedBy::Counts => "as counted or needed, by the boat standard",
        WeighedBy::Registered => "as registered",
        WeighedBy::Plate => "assumed: the most that the plate allows",
        WeighedBy::Table => "assumed: ABYC S-30 by power",
        WeighedBy::Density => "by amount",
        WeighedBy::NotKnown => "not known, so not counted",
    }
}

/// What a plate's weight counts, in words.
#[must_use]
pub const fn plate_counts(counts: PlateCounts) -> &'static str {
    match counts {
        PlateCounts::Persons => "persons alone",
        PlateCounts::PersonsMotorGear => "persons, motor and gear",
    }
}
