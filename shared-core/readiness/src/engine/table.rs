//! The readiness table, rule by rule: which effects a finding of each rule can have, what decides
//! among them, and the source of the engine's own rules. What an effect makes of the craft stands
//! in `verdict`.
//!
//! Every finding is held against it while tests run, and `show/readiness-table.md` is it in words.

use crate::answer::{Basis, Effect, Rule};

/// What an effect amounts to, whichever limit it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Makes {
    /// Shown, changes nothing.
    Note,
    /// Ready with a limit.
    Limit,
    /// Go and look.
    Unproven,
    /// Not ready.
    NotReady,
}

/// What decides which of the effects it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum DecidedBy {
    /// The engine, by what was found.
    Engine,
    /// A field of the boat standard.
    Sheet(&'static str),
    /// A field of the county's settings.
    Policy(&'static str),
}

/// What only unconfirmed events show.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Unconfirmed {
    /// Makes a finding of the rule as well, at most 'go and look'.
    GoAndLook,
    /// Has no part in the rule, or the rule is about nothing else.
    NoPart,
}

/// One line of the table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RuleLine {
    /// Effects that a finding of the rule can have, the mildest first.
    pub effects: &'static [Makes],
    /// What decides among them.
    pub decided_by: DecidedBy,
    /// What unconfirmed events alone can do.
    pub unconfirmed: Unconfirmed,
    /// Where the engine's own rule comes from; a line of a sheet brings its own.
    pub basis: Basis,
    /// Its source.
    pub source: &'static str,
}

use DecidedBy::{Engine, Policy, Sheet};
use Makes::{Limit, NotReady, Note, Unproven};
use Unconfirmed::{GoAndLook, NoPart};

const COMMON: (Basis, &str) = (Basis::Trade, "common practice, no source");
const STATUS: (Basis, &str) = (Basis::Trade, "incident command status words, ICS 219");
const FAULTS: (Basis, &str) = (
    Basis::Trade,
    "government boat practice, COMDTINST M16114.32 and Defender handbook p. 5-3",
);
const PLATE: (Basis, &str) = (
    Basis::Agency,
    "the maker's plate, 33 CFR 183.25 in form; kept by agency policy",
);
const FITS: (Basis, &str) = (
    Basis::Agency,
    "modelled on 33 CFR 175.15(a) and 175.21: one that fits for everybody aboard",
);
const RE_MOTORED: (Basis, &str) = (
    Basis::Agency,
    "the maker's plate, 33 CFR 183.25 in form; out of service until re-motored",
);
const MANUAL: (Basis, &str) = (
    Basis::Agency,
    "modelled on 33 CFR 183.25(b)(4): a manual plate is not rated for any motor",
);
const HELD: (Basis, &str) = (Basis::Agency, "a county-wide hold of the lead");
const LIGHTS: (Basis, &str) = (
    Basis::Law,
    "33 CFR 83.20: lights from sunset to sunrise and in restricted visibility",
);
const CURE: (Basis, &str) = (Basis::Maker, "cure time of the repair as recorded");
const LEVELS: (Basis, &str) = (
    Basis::Agency,
    "least crew and level as the agency decides; levels as in NFPA 1670 and 2500",
);
const REAL_GAS: (Basis, &str) = (
    Basis::Trade,
    "air as a real gas: Lemmon and others, J. Phys. Chem. Ref. Data 29 (2000) 331",
);
const CHARGED: (Basis, &str) = (
    Basis::Agency,
    "29 CFR 1910.134(h)(3)(i)(B) for breathing air, from memory; for others by agency policy",
);
const REQUALIFIED: (Basis, &str) = (Basis::Law, "49 CFR 180.209(a) table 1 and 180.205(c)");
const LEAK: (Basis, &str) = (
    Basis::Trade,
    "24-hour test, TM 5-1940-321-13&P p. 5-35 and 5-36",
);
const CAPSIZED: (Basis, &str) = (Basis::Maker, "TM 5-1940-321-13&P, capsizing");

/// The line of a rule.
#[must_use]
pub const fn line(rule: Rule) -> RuleLine {
    match rule {
        Rule::NoStandard => of(&[Unproven], Engine, NoPart, COMMON),
        Rule::MissionNotInStandard => of(&[NotReady], Engine, NoPart, COMMON),
        Rule::Condemned => of(&[Note, NotReady], Engine, GoAndLook, COMMON),
        Rule::OutOfService => of(&[Note, NotReady], Engine, GoAndLook, STATUS),
        Rule::Assigned => of(&[Note], Engine, NoPart, STATUS),
        Rule::PressureLow => of(SHORT_OF_NOTE, Sheet("soft"), GoAndLook, COMMON),
        Rule::PressureHigh => of(&[Note, Limit, NotReady], Engine, GoAndLook, COMMON),
        Rule::PressureHighAtHome => of(&[Limit], Engine, NoPart, COMMON),
        Rule::PressureJoined => of(&[Unproven], Engine, NoPart, COMMON),
        Rule::PressureNotRead | Rule::PressureAfterAir => of(&[Unproven], Engine, NoPart, COMMON),
        Rule::PressureProvisional | Rule::PressureNearLimit => of(&[Note], Engine, NoPart, COMMON),
        Rule::PressureImplausible => of(&[Unproven, NotReady], Engine, NoPart, COMMON),
        Rule::KitShort => of(ALL, Sheet("short"), NoPart, COMMON),
        Rule::KitNotCounted | Rule::KitStale => of(UP_TO_UNPROVEN, Sheet("short"), NoPart, COMMON),
        Rule::CountOwed => of(ALL, Sheet("count_owed"), GoAndLook, COMMON),
        Rule::KitExpired | Rule::KitExpiresSoon | Rule::KitUndated => {
            of(&[Note], Engine, NoPart, COMMON)
        }
        Rule::KitDoesNotFit | Rule::KitFitNotKnown | Rule::KitNotForMission => {
            of(&[Note], Engine, NoPart, COMMON)
        }
        Rule::KitWithout => of(ALL, Sheet("without"), NoPart, COMMON),
        Rule::SignalsShortByDay => of(ALL, Sheet("signals day"), GoAndLook, COMMON),
        Rule::SignalsShortByNight => of(ALL, Sheet("signals night"), GoAndLook, COMMON),
        Rule::GearInTwoPlaces => of(&[Note, Unproven], Engine, NoPart, COMMON),
        Rule::GearMissing => of(ALL, Sheet("missing"), NoPart, COMMON),
        Rule::FuelShort => of(ALL, Sheet("fuel short"), GoAndLook, COMMON),
        Rule::FuelOld => of(&[Note, Limit], Policy("fuel"), NoPart, COMMON),
        Rule::FuelMixWrong => of(&[Note], Sheet("fuel mix"), NoPart, COMMON),
        Rule::FuelNotRecorded => of(UP_TO_UNPROVEN, Sheet("fuel unknown"), NoPart, COMMON),
        Rule::GearDoesNotFit => of(&[Note, Limit], Engine, NoPart, COMMON),
        Rule::InspectionOverdue => of(ALL, Sheet("overdue"), NoPart, COMMON),
        Rule::InspectionDueSoon => of(&[Note], Engine, NoPart, COMMON),
        Rule::InspectionNeverDone => of(ALL, Sheet("never"), NoPart, COMMON),
        Rule::UsedHard => of(&[Note], Sheet("hard_use"), NoPart, COMMON),
        Rule::InspectionFailed => of(ALL, Sheet("failed"), GoAndLook, COMMON),
        Rule::InspectionTooShort => of(ALL, Sheet("never"), NoPart, COMMON),
        Rule::FaultOpen => of(&[Note, Limit, NotReady], Engine, GoAndLook, FAULTS),
        Rule::LineNo => of(ALL, Sheet("no"), GoAndLook, COMMON),
        Rule::LineNotAnswered => of(ALL, Sheet("unanswered"), NoPart, COMMON),
        Rule::HoldRuns => of(&[NotReady], Engine, GoAndLook, CURE),
        Rule::CheckStale => of(&[Note, Unproven], Engine, NoPart, COMMON),
        Rule::UsedSinceCheck => of(ALL, Sheet("released"), NoPart, COMMON),
        Rule::OwedAfterUse => of(ALL, Sheet("owed"), NoPart, COMMON),
        Rule::ReportDue | Rule::CasualtyReportDue => of(&[Note], Engine, NoPart, FAULTS),
        Rule::CheckedInParts => of(&[Note], Engine, NoPart, COMMON),
        Rule::NeverChecked => of(&[Unproven], Engine, NoPart, COMMON),
        Rule::PlateUnknown => of(&[Limit, Unproven], Engine, NoPart, PLATE),
        Rule::LoadOver | Rule::PeopleLeftBehind => of(&[NotReady], Engine, NoPart, PLATE),
        Rule::TripsNeeded => of(&[Limit], Engine, NoPart, PLATE),
        Rule::JacketShort => of(ALL, Sheet("short"), GoAndLook, FITS),
        Rule::PlaceDisputed | Rule::Unconfirmed | Rule::NeedsUpgrade => {
            of(&[Unproven], Engine, NoPart, COMMON)
        }
        Rule::SidesDiffer | Rule::NumberTwice | Rule::SameAs | Rule::StationSilent => {
            of(&[Note], Engine, NoPart, COMMON)
        }
        Rule::Rolled => of(SHORT_OF_NOTE, Engine, NoPart, COMMON),
        Rule::MotorImmersed => of(&[NotReady], Engine, GoAndLook, CAPSIZED),
        Rule::MotorOverPlate => of(&[NotReady], Engine, NoPart, RE_MOTORED),
        Rule::MotorOnManual => of(&[NotReady], Engine, GoAndLook, MANUAL),
        Rule::WindOver | Rule::CurrentOver | Rule::TowNotAllowed => {
            of(&[NotReady], Sheet("limits"), NoPart, COMMON)
        }
        Rule::LimitNotSet => of(&[Note], Engine, NoPart, COMMON),
        Rule::LightsNeeded => of(&[Unproven, NotReady], Engine, NoPart, LIGHTS),
        Rule::LeakShows => of(&[Note], Engine, NoPart, LEAK),
        Rule::LeakOver => of(ALL, Policy("leak.over_limit"), NoPart, LEAK),
        Rule::BaffleLeaks => of(ALL, Policy("leak.baffle"), NoPart, COMMON),
        Rule::ReadingsNeverMove => of(ALL, Policy("leak.still"), NoPart, COMMON),
        Rule::HoldProvesNothing => of(ALL, Sheet("never"), NoPart, LEAK),
        Rule::HeldCountyWide => of(&[Limit, NotReady], Engine, GoAndLook, HELD),
        Rule::CrewNotKnown | Rule::OperatorNotNamed => of(&[Note], Engine, NoPart, LEVELS),
        Rule::CrewShort => of(ALL, Policy("crew_short"), NoPart, LEVELS),
        Rule::OperatorLevelShort | Rule::OperatorLevelLapsed => {
            of(ALL, Policy("operator_short"), NoPart, LEVELS)
        }
        Rule::ReliefIced => of(ALL, Sheet("iced"), NoPart, COMMON),
        Rule::ByPumpOnly | Rule::BreathingAir => of(&[Note], Engine, NoPart, COMMON),
        Rule::CylinderNotRead | Rule::CylinderNotDated => of(&[Note], Engine, NoPart, COMMON),
        Rule::AirNotEnough => of(&[Unproven, NotReady], Engine, NoPart, REAL_GAS),
        Rule::CylinderLow => of(ALL, Policy("low_charge"), NoPart, CHARGED),
        Rule::CylinderDueSoon => of(&[Note], Engine, NoPart, REQUALIFIED),
        Rule::CylinderOverdue => of(ALL, Policy("overdue"), NoPart, REQUALIFIED),
        Rule::CylinderLifeOver => of(ALL, Policy("life_over"), NoPart, REQUALIFIED),
    }
}

const ALL: &[Makes] = &[Note, Limit, Unproven, NotReady];
const UP_TO_UNPROVEN: &[Makes] = &[Note, Limit, Unproven];
const SHORT_OF_NOTE: &[Makes] = &[Limit, Unproven, NotReady];

const fn of(
    effects: &'static [Makes],
    decided_by: DecidedBy,
    unconfirmed: Unconfirmed,
    (basis, source): (Basis, &'static str),
) -> RuleLine {
    RuleLine {
        effects,
        decided_by,
        unconfirmed,
        basis,
        source,
    }
}

impl Makes {
    /// What an effect amounts to.
    #[must_use]
    pub const fn of(effect: &Effect) -> Self {
        match effect {
            Effect::Note => Note,
            Effect::Limit(_) => Limit,
            Effect::Unproven => Unproven,
            Effect::NotReady => NotReady,
        }
    }
}

impl RuleLine {
    /// Whether a finding of the rule can have the effect.
    #[must_use]
    pub fn allows(&self, makes: Makes) -> bool {
        self.effects.contains(&makes) || makes == Unproven && self.unconfirmed == GoAndLook
    }
}
