//! When a rule makes a finding, in a few words.

use sponson_readiness::answer::Rule;

#[expect(
    clippy::too_many_lines,
    reason = "a table: one line for each rule, and no branch"
)]
pub(super) const fn when(rule: Rule) -> &'static str {
    match rule {
        Rule::NoStandard => "registration, model or boat standard is not known, or in doubt",
        Rule::MissionNotInStandard => "the boat standard does not list the asked mission",
        Rule::Condemned => {
            "the craft is condemned; of gear on it a note, since it counts as not there"
        }
        Rule::OutOfService => {
            "declared out of service: mechanical stops it, crew and rest are noted"
        }
        Rule::Assigned => "assigned to an incident: its status, not its readiness",
        Rule::PressureLow => "a part will be too soft at the launch",
        Rule::PressureHigh => "a part that no relief valve guards will be too hard",
        Rule::PressureHighAtHome => "right at the launch, and too hard back in the warm bay",
        Rule::PressureNearLimit => "right, though within the spread of what a gauge tells",
        Rule::PressureJoined => {
            "read with the valves to other chambers open: it proves one of them, and not this one"
        }
        Rule::PressureNotRead => "a part has no reading that is young enough",
        Rule::PressureProvisional => "the reading is not settled: the worse temperature counts",
        Rule::PressureAfterAir => "air was added or let out, and the gauge not read since",
        Rule::PressureImplausible => "the reading belongs to another sort of part",
        Rule::KitShort => "fewer units count than the mission needs",
        Rule::KitNotCounted => "an item was never counted",
        Rule::KitStale => "an item was counted too long ago",
        Rule::CountOwed => {
            "a bag's seal is broken or another than noted, or its tag's date has passed"
        }
        Rule::KitExpired => "units past their date do not count",
        Rule::KitExpiresSoon => "a date is near",
        Rule::KitUndated => "units without a date that can be read do not count",
        Rule::KitDoesNotFit => "units that do not fit this craft do not count",
        Rule::KitFitNotKnown => "units count though what they must fit is not recorded",
        Rule::KitNotForMission => "units that are not for the asked mission do not count",
        Rule::KitWithout => "an item lacks what it needs beside it: dry storage, batteries",
        Rule::SignalsShortByDay => "the signals aboard do not add up by day",
        Rule::SignalsShortByNight => "the signals aboard do not add up by night",
        Rule::GearInTwoPlaces => "a numbered thing or a bag is said to be in two places",
        Rule::GearMissing => "nothing is fitted where the boat standard requires it",
        Rule::FuelShort => "less fuel that can be burned than the mission needs",
        Rule::FuelOld => {
            "fuel is near the county's age: a limit; past it a note, and it counts nothing"
        }
        Rule::FuelMixWrong => "fuel of another mix than the motor takes counts nothing",
        Rule::FuelNotRecorded => "how much fuel is aboard was never recorded, or too long ago",
        Rule::GearDoesNotFit => {
            "a tank or line has another connector than the motor: no power where none fits"
        }
        Rule::InspectionOverdue => "past its due day or engine hours; a note within its grace",
        Rule::InspectionDueSoon => "its due day or engine hours are near",
        Rule::InspectionNeverDone => "never recorded as done",
        Rule::InspectionFailed => "failed when last done, or a part lost too much in the hold test",
        Rule::UsedHard => "used hard since it was last done, and so due already",
        Rule::InspectionTooShort => "a run was shorter than the standard asks: as if not done",
        Rule::FaultOpen => {
            "a fault is not signed off: disabling stops the craft, restrictive too unless a waiver \
             holds, others are noted; missions that it rules out are a limit for the rest"
        }
        Rule::LineNo => "a line of the check was answered 'no'",
        Rule::LineNotAnswered => {
            "a line was never answered, too long ago, or could not be looked at"
        }
        Rule::HoldRuns => "the cure time of a repair still runs",
        Rule::CheckStale => "the last full check is old: owed within its grace, then go and look",
        Rule::CheckedInParts => "every line of the full check was looked at, in several entries",
        Rule::NeverChecked => "no full check was ever recorded",
        Rule::PlateUnknown => "the maker's plate is not recorded",
        Rule::LoadOver => "crew, kit and motor alone are more than the plate allows",
        Rule::TripsNeeded => "the people asked about need more than one trip",
        Rule::PeopleLeftBehind => "somebody asked about fits on no trip",
        Rule::JacketShort => "too few life jackets of a size for the fullest trip",
        Rule::CrewNotKnown => "its station has not said which crews it can raise",
        Rule::CrewShort => {
            "its station can raise no crew, or fewer than the least of the boat standard"
        }
        Rule::OperatorNotNamed => {
            "the mission wants an operator of some level, and its station named none"
        }
        Rule::OperatorLevelShort => "none of the operators named holds the level",
        Rule::OperatorLevelLapsed => "the level of an operator who was named has lapsed",
        Rule::OwedAfterUse => {
            "drying, flushing or decontamination is owed after use; while it is assigned a note"
        }
        Rule::ReportDue => "a fault is to be reported by the county's reporting times",
        Rule::CasualtyReportDue => "a casualty report is due by the county's reporting times",
        Rule::PlaceDisputed => "stations differ about where the craft is",
        Rule::SidesDiffer => "stations differ about a value: the worse counts",
        Rule::NumberTwice => "another craft carries the same number",
        Rule::SameAs => "registered twice, judged as one",
        Rule::Unconfirmed => "an unconfirmed entry says something about it",
        Rule::NeedsUpgrade => "an entry is newer than this device understands",
        Rule::Rolled => "kept rolled: rigging comes first, and takes air",
        Rule::StationSilent => "its station has not been heard for long: said first",
        Rule::MotorImmersed => "the motor was under water and has not been inspected since",
        Rule::MotorOverPlate => "the fitted motor is stronger or heavier than the plate allows",
        Rule::MotorOnManual => "a motor is fitted, and the plate is for paddles or oars",
        Rule::LeakShows => "a part loses air by its readings, within what is allowed",
        Rule::LeakOver => "a part loses more in a day than is allowed: test for leaks",
        Rule::BaffleLeaks => "one chamber fell while the one beside it rose",
        Rule::ReadingsNeverMove => "a gauge never moves though the bay's temperature does",
        Rule::HoldProvesNothing => {
            "a hold test ended too soon, went on too long, gained air, began soft or left parts out"
        }
        Rule::UsedSinceCheck => {
            "used since the last check; after a short check the full one is owed"
        }
        Rule::WindOver => "more wind is asked for than the boat standard allows",
        Rule::CurrentOver => "more current is asked for than the boat standard allows",
        Rule::TowNotAllowed => "a tow is asked for, and the boat standard allows none",
        Rule::LimitNotSet => {
            "wind, current or a tow is asked for, and the boat standard sets no limit"
        }
        Rule::LightsNeeded => {
            "by daylight only, and the asked job runs into the dark or into restricted visibility"
        }
        Rule::HeldCountyWide => "its model, batch or a part of it is held across the county",
        Rule::ReliefIced => "at the launch the relief valves may be frozen shut: gauge only",
        Rule::ByPumpOnly => {
            "a part that wants air has no working relief valve, or one that may be iced, and a cylinder is at hand"
        }
        Rule::AirNotEnough => {
            "parts that only cylinders reach want more air than is in them; go and look where one was not read"
        }
        Rule::BreathingAir => "a breathing set is among what can fill a part: a firefighter's air",
        Rule::CylinderNotRead => {
            "a cylinder's gauge was never read, not lately, or air was taken since"
        }
        Rule::CylinderLow => "a cylinder is charged less than the settings ask",
        Rule::CylinderNotDated => "a cylinder's mark or dates are not recorded",
        Rule::CylinderDueSoon => "a cylinder falls due for requalification, or its life ends, soon",
        Rule::CylinderOverdue => {
            "a cylinder's requalification is overdue: used until empty, not refilled"
        }
        Rule::CylinderLifeOver => {
            "a cylinder's service life is over: not refilled, and it counts as no air"
        }
    }
}
