//! The rules of the engine.

/// Rules of the engine. The words of `id` are stable.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Rule {
    /// The craft's registration, model or standard is not known here.
    NoStandard,
    /// The standard does not list the mission.
    MissionNotInStandard,
    /// Condemned.
    Condemned,
    /// Out of service.
    OutOfService,
    /// Assigned elsewhere.
    Assigned,
    /// A part is too soft at the launch.
    PressureLow,
    /// A part is too hard at the launch.
    PressureHigh,
    /// A part has no reading.
    PressureNotRead,
    /// A part is right at the launch, and too hard once it is back in the bay.
    PressureHighAtHome,
    /// The reading is not settled: soon after inflating, or the temperature is not known.
    PressureProvisional,
    /// A part is in its range, and a limit lies within the spread of the prediction.
    PressureNearLimit,
    /// Read with the valves to other chambers open: it proves one of them, and not this one.
    PressureJoined,
    /// Air was added since the reading, and nobody read it afterwards.
    PressureAfterAir,
    /// Pressure belongs to another sort of part.
    PressureImplausible,
    /// An item is short.
    KitShort,
    /// An item was never counted.
    KitNotCounted,
    /// An item's count is older than the standard allows.
    KitStale,
    /// A bag's seal is broken, another than noted, or its tag's date has passed: all in it is to be
    /// counted.
    CountOwed,
    /// Units past their date do not count.
    KitExpired,
    /// A date is near.
    KitExpiresSoon,
    /// Aboard, and made for another fabric, connector or motor: counts nothing.
    KitDoesNotFit,
    /// Whether it fits is not known: what it must fit is not recorded.
    KitFitNotKnown,
    /// Aboard, and not for the asked mission: counts nothing.
    KitNotForMission,
    /// Aboard without something that it needs: dry storage, spare batteries, a launcher.
    KitWithout,
    /// What counts does not make up the distress signals by day.
    SignalsShortByDay,
    /// What counts does not make up the distress signals by night.
    SignalsShortByNight,
    /// Units carry no date that can be read, and so do not count.
    KitUndated,
    /// A shared or numbered thing is said to be at two craft.
    GearInTwoPlaces,
    /// A part has no motor or other gear fitted that the standard requires.
    GearMissing,
    /// Less fuel that can be burned than the mission needs.
    FuelShort,
    /// Fuel near or past the county's age.
    FuelOld,
    /// Fuel mixed otherwise than the motor takes.
    FuelMixWrong,
    /// How much fuel is aboard was never recorded, or too long ago.
    FuelNotRecorded,
    /// A tank or line has another connector than the motor.
    GearDoesNotFit,
    /// An inspection is overdue.
    InspectionOverdue,
    /// An inspection falls due soon.
    InspectionDueSoon,
    /// An inspection was never recorded.
    InspectionNeverDone,
    /// An inspection failed.
    InspectionFailed,
    /// Used hard since an inspection was last done: the sheet halves its interval.
    UsedHard,
    /// A run of the engine was shorter than the standard asks.
    InspectionTooShort,
    /// A fault is open.
    FaultOpen,
    /// A line was answered 'no'.
    LineNo,
    /// A line was never answered, or could not be looked at.
    LineNotAnswered,
    /// A repair's hold still runs.
    HoldRuns,
    /// The last full check is older than the standard allows.
    CheckStale,
    /// The newest full check was done in parts: every line of it was looked at.
    CheckedInParts,
    /// Never checked.
    NeverChecked,
    /// The maker's plate is not recorded.
    PlateUnknown,
    /// Crew, kit and motor leave no room.
    LoadOver,
    /// Stations differ about where it is.
    PlaceDisputed,
    /// Stations differ about a value; the worse counts.
    SidesDiffer,
    /// Two craft carry one number.
    NumberTwice,
    /// The craft was registered twice.
    SameAs,
    /// An unconfirmed event says something about it.
    Unconfirmed,
    /// An event of a kind that this replica does not know.
    NeedsUpgrade,
    /// It is rolled up.
    Rolled,
    /// Its station has not been heard for long.
    StationSilent,
    /// The motor was under water and has not been inspected since.
    MotorImmersed,
    /// The fitted motor is more powerful or heavier than the maker's plate allows.
    MotorOverPlate,
    /// A motor is fitted to a craft whose plate is for manual propulsion.
    MotorOnManual,
    /// A part loses air by its readings, within what is allowed.
    LeakShows,
    /// A part loses more in a day than is allowed.
    LeakOver,
    /// Air goes from one chamber into the one beside it.
    BaffleLeaks,
    /// Readings never move with the bay's temperature.
    ReadingsNeverMove,
    /// A hold test was ended too soon, went on too long, gained air, or left parts out.
    HoldProvesNothing,
    /// Used since the last full check.
    UsedSinceCheck,
    /// Its model, its maker's batch or a part of it is held across the county.
    HeldCountyWide,
    /// More wind than the boat standard allows.
    WindOver,
    /// More current than the boat standard allows.
    CurrentOver,
    /// The boat standard does not let it tow.
    TowNotAllowed,
    /// Wind, current or towing is asked for, and the boat standard sets no limit to it.
    LimitNotSet,
    /// By daylight only, and the job runs into the dark or into restricted visibility.
    LightsNeeded,
    /// At the launch the relief valves may be frozen shut.
    ReliefIced,
    /// A part that wants air may not be fed from a cylinder, and one is at hand.
    ByPumpOnly,
    /// Parts that only cylinders reach want more air than is in them.
    AirNotEnough,
    /// A firefighter's air would be spent on the boat.
    BreathingAir,
    /// What is in a cylinder is not known.
    CylinderNotRead,
    /// A cylinder is charged less than the settings ask.
    CylinderLow,
    /// When a cylinder is due is not known.
    CylinderNotDated,
    /// A cylinder falls due soon.
    CylinderDueSoon,
    /// A cylinder's requalification is overdue.
    CylinderOverdue,
    /// A cylinder's service life is over.
    CylinderLifeOver,
    /// The people asked about take more than one trip.
    TripsNeeded,
    /// Some of the people asked about cannot be brought home in any number of trips.
    PeopleLeftBehind,
    /// A life jacket that fits is short for somebody to be brought home.
    JacketShort,
    /// Its station has not said what crews it can raise at the asked moment.
    CrewNotKnown,
    /// Its station can raise no crew, or fewer than the least of the standard.
    CrewShort,
    /// The mission wants an operator of some level, and its station named none.
    OperatorNotNamed,
    /// None of the operators named holds the level.
    OperatorLevelShort,
    /// The level of an operator who was named has lapsed.
    OperatorLevelLapsed,
    /// Drying, flushing or decontamination is owed after use.
    OwedAfterUse,
    /// By the county's reporting times a fault is to be reported.
    ReportDue,
    /// By the same, a casualty report is due.
    CasualtyReportDue,
}
