//! A sentence for every rule, limit and action, and the words that never stand in one.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use sponson_readiness::answer::{
    Action, Effect, LeakRate, Mark, Measure, Required, Rule, Said, Settle, ToDo,
};
use sponson_readiness::event::{DateMark, NotApplicable, OutReason};
use sponson_readiness::ids::{FaultId, LineId, MissionId, PartId};
use sponson_readiness::standard::MarkDay;

use super::*;
use crate::sample::{AS_OF, context, day, event, finding, soft_tube, station, tube};

fn measures() -> Vec<Measure> {
    vec![
        Measure::GaugePa(17_995),
        Measure::Slack,
        Measure::Count(3),
        Measure::SpanMs(9 * 86_400_000),
        Measure::EngineS(9000),
        Measure::Date(day(2026, 2, 10)),
        Measure::MassG(45_359),
        Measure::Persons(4),
        Measure::SpeedMmS(12_861),
        Measure::Moment(AS_OF),
        Measure::FreeAirMl(62_500),
        Measure::NotLooked(NotApplicable::CouldNotLook),
        Measure::Word("seam-open".to_owned()),
        Measure::Said(Said::SignedOff),
        Measure::Sides(vec![Measure::Count(3), Measure::Count(4)]),
    ]
}

#[test]
#[expect(clippy::too_many_lines, reason = "one line for each rule")]
fn every_rule_with_nothing_measured() {
    let ctx = context();
    let mut text = String::new();
    for rule in Rule::ALL.iter().copied() {
        let found = Finding {
            subject: tube(),
            ..finding(rule, Effect::Note)
        };
        writeln!(text, "{}", finding_text(&found, AS_OF, &ctx)).expect("a string takes all");
    }
    insta::assert_snapshot!(text, @"
    its registration, model or boat standard is not known here
    its boat standard does not list this mission
    condemned: never to be used again
    declared out of service
    assigned to an incident
    tube 1 (port bow) would be too soft at the launch
    tube 1 (port bow) would be too hard at the launch
    tube 1 (port bow): gauge not read
    tube 1 (port bow) would be too hard once topped up in the cold and back in the bay
    tube 1 (port bow): the reading is not settled (taken soon after inflating, or in a temperature that is not known), so the worse case counts
    tube 1 (port bow) would be in its range at the launch, so near its limit that gauge, weather or moist air may take it over: read the gauge there
    tube 1 (port bow): read with the valves to other chambers open, which proves one chamber only; shut them and read each
    tube 1 (port bow): air was added after the last reading, and the gauge not read since
    tube 1 (port bow): the reading cannot belong to this part
    tube 1 (port bow): short
    tube 1 (port bow): never counted
    tube 1 (port bow): counted too long ago
    tube 1 (port bow): its seal is broken or gone
    tube 1 (port bow): some are past their date and do not count
    tube 1 (port bow): date runs out soon
    tube 1 (port bow): does not fit here, so it does not count
    tube 1 (port bow): counted, though what it must fit is not recorded, so whether it fits is not known
    tube 1 (port bow): not for this mission, so they do not count
    tube 1 (port bow): aboard without what it needs
    tube 1 (port bow) by day: too few that count
    tube 1 (port bow) by night: too few that count
    tube 1 (port bow): some carry no date that can be read, and do not count
    tube 1 (port bow) is said to be in two places
    tube 1 (port bow): nothing fitted, and the boat standard requires it
    tube 1 (port bow): too little that can be burned
    tube 1 (port bow): old
    tube 1 (port bow): not the mix that the motor takes, so it does not count
    tube 1 (port bow): how much is aboard never recorded
    tube 1 (port bow): its connector is not the motor's
    tube 1 (port bow) overdue: when it was last done cannot be shown
    tube 1 (port bow) due soon
    tube 1 (port bow): never recorded as done
    tube 1 (port bow): failed when last done
    tube 1 (port bow): used hard since it was last done, so it is due twice as often
    tube 1 (port bow): ran too short, so it does not count
    fault at tube 1 (port bow): not signed off
    tube 1 (port bow): answered 'no'
    tube 1 (port bow): not answered
    a repair has not rested long enough
    last full check too long ago
    full check done in parts, in 1 entry
    no full check was ever recorded
    the maker's plate is not recorded, so whom it can carry is not known
    crew, kit and motor leave no room on the maker's plate
    stations differ about where it is
    tube 1 (port bow): stations differ, the worse counts
    another craft carries the same number
    registered twice, judged as one
    an entry about tube 1 (port bow) is not confirmed; go and look
    an entry about tube 1 (port bow) is newer than this device understands
    kept rolled up; it has to be rigged first
    tube 1 (port bow) not heard for long
    tube 1 (port bow) was under water and has not been inspected since
    tube 1 (port bow): more than the maker's plate allows
    tube 1 (port bow) is fitted, and its plate is for paddles or oars: no motor at all
    tube 1 (port bow) loses air by its readings
    tube 1 (port bow) loses air by its readings
    tube 1 (port bow) fell while the chamber beside it rose: the baffle leaks
    tube 1 (port bow): the gauge stood still at every reading though the bay's temperature changed; read it again, with another gauge
    tube 1 (port bow): the last test proves nothing (its values do not fit)
    used since its last full check
    tube 1 (port bow): held across the county
    more wind than its boat standard allows
    more current than its boat standard allows
    its boat standard does not let it tow
    its boat standard sets no limit for this; ask the lead
    lights needed, in the dark or in restricted visibility, and it may go by daylight only
    at the launch the relief valves may be frozen shut: add no more air than the gauge says
    tube 1 (port bow): by hand or foot pump only, not from a cylinder: it has no working relief valve
    its parts want more air than the cylinders aboard hold
    tube 1 (port bow) is a firefighter's: spent on a boat it is gone
    tube 1 (port bow): what is in it is not known: its gauge was not read lately, or air was taken since
    tube 1 (port bow) is charged less than wanted
    tube 1 (port bow): when it is due is not known: its mark or its dates are not recorded
    tube 1 (port bow) falls due soon
    tube 1 (port bow): requalification overdue; may be used until empty, not refilled
    tube 1 (port bow): its service life ended; not to be refilled, and it counts as no air
    the people to bring home take more than one trip
    some people cannot be brought home in it: the plate has no room for even one beside crew and kit
    tube 1 (port bow): short for the people of one trip
    crew not known: tube 1 (port bow) has not said what it can raise
    tube 1 (port bow) can raise fewer than the least crew
    tube 1 (port bow): no operator is named
    tube 1 (port bow): no level of those named is recorded
    tube 1 (port bow): the level of an operator has lapsed
    tube 1 (port bow): owed after use
    fault at tube 1 (port bow): to be reported
    fault at tube 1 (port bow): a casualty report is due
    ");
}

fn line(label: &str) -> Subject {
    Subject::Line(LineId::from("line"), label.to_owned())
}

fn days(n: i64) -> Measure {
    Measure::SpanMs(n * 86_400_000)
}

fn low(measure: Measure) -> Option<Required> {
    Some(Required {
        low: Some(measure),
        high: None,
    })
}

fn high(measure: Measure) -> Option<Required> {
    Some(Required {
        low: None,
        high: Some(measure),
    })
}

fn marked(is_making: bool, month: Option<u32>) -> Option<Required> {
    high(Measure::Mark(Mark {
        mark: DateMark {
            year: 2026,
            month,
            day: None,
        },
        is_making,
        day: MarkDay::LastDay,
    }))
}

type Case = (Rule, Subject, Measure, Option<Required>);

fn shown(cases: impl IntoIterator<Item = Case>) -> String {
    let ctx = context();
    let mut text = String::new();
    for (rule, subject, measured, required) in cases {
        let found = Finding {
            subject,
            measured: Some(measured),
            required,
            ..finding(rule, Effect::Note)
        };
        writeln!(text, "{}", finding_text(&found, AS_OF, &ctx)).expect("a string takes all");
    }
    text
}

#[test]
fn kit_and_dates_with_what_was_measured() {
    let flare = || line("hand flare");
    let fuel_line = || line("fuel line inspection");
    let on = |m, d| Measure::Date(day(2026, m, d));
    insta::assert_snapshot!(shown([
        (Rule::KitShort, line("life jacket"), Measure::Count(3), low(Measure::Count(4))),
        (Rule::KitStale, line("life jacket"), days(40), high(days(30))),
        (Rule::KitExpired, flare(), Measure::Count(2), None),
        (Rule::KitExpired, flare(), on(2, 10), None),
        (Rule::KitExpiresSoon, flare(), on(4, 1), None),
        (Rule::KitExpired, flare(), on(2, 28), marked(false, Some(2))),
        (Rule::KitExpiresSoon, flare(), on(3, 31), marked(true, Some(3))),
        (Rule::KitExpiresSoon, flare(), on(12, 31), marked(false, None)),
        (Rule::KitUndated, flare(), Measure::Count(1), None),
        (Rule::KitUndated, flare(), Measure::Count(2), None),
        (Rule::UsedHard, line("engine service"), Measure::EngineS(180_000), high(Measure::EngineS(360_000))),
        (Rule::InspectionOverdue, fuel_line(), on(2, 8), None),
        (Rule::InspectionOverdue, fuel_line(), days(34), None),
        (
            Rule::InspectionOverdue,
            fuel_line(),
            Measure::EngineS(396_000),
            high(Measure::EngineS(360_000)),
        ),
        (Rule::InspectionDueSoon, line("bearings"), on(3, 20), None),
        (Rule::CheckStale, Subject::Craft, days(9), high(days(7))),
        (Rule::LineNotAnswered, line("drain plug in"), days(9), high(days(7))),
        (
            Rule::LineNotAnswered,
            line("drain plug in"),
            Measure::NotLooked(NotApplicable::CouldNotLook),
            None,
        ),
    ]), @"
    life jacket: 3 that count, 4 needed
    life jacket: last counted 40 days ago; every 30 days wanted
    hand flare: 2 past their date, which do not count
    hand flare: past their date (2026-02-10); those do not count
    hand flare: date runs out on 2026-04-01 (in 18 days)
    hand flare: past their date (2026-02-28; marked 2026-02: good through its last day, a setting of the county); those do not count
    hand flare: date runs out on 2026-03-31 (in 17 days; made 2026-03: its life counts from the month's last day, a setting of the county)
    hand flare: date runs out on 2026-12-31 (in 292 days; marked 2026: a year alone, good through its last day, a setting of the county)
    hand flare: 1 carries no date that can be read, and does not count
    hand flare: 2 carry no date that can be read, and do not count
    engine service: used hard since it was last done, so it is due after 50.0 engine hours and not 100.0 engine hours
    fuel line inspection 34 days overdue (due 2026-02-08)
    fuel line inspection 34 days overdue
    fuel line inspection overdue: 110.0 engine hours run since, every 100.0 engine hours wanted
    bearings due on 2026-03-20 (in 6 days)
    last full check 9 days ago; every 7 days wanted
    drain plug in: last answered 9 days ago; every 7 days wanted
    drain plug in: could not be looked at
    ");
}

fn leak_rate(between_pa: Option<(i64, i64)>) -> Measure {
    Measure::Leak(LeakRate {
        pa_per_day: 4_000,
        between_pa,
        readings: 4,
        over_ms: 21 * 86_400_000,
        below_on: chrono::NaiveDate::from_ymd_opt(2026, 3, 14),
        below_between: (chrono::NaiveDate::from_ymd_opt(2026, 3, 10), None),
    })
}

#[test]
fn the_rest_with_what_was_measured() {
    let pa = Measure::GaugePa;
    let word = |text: &str| Measure::Word(text.to_owned());
    let both = Some(Required {
        low: Some(pa(6895)),
        high: Some(pa(41_369)),
    });
    let otter_ferry = Subject::Station(station(2), String::new());
    let motor = Subject::Gear(station(9), "M-12".to_owned());
    let other = Subject::Gear(station(8), "Boat 3".to_owned());
    let sides = Measure::Sides(vec![word("Boat 3"), word("Boat 7")]);
    insta::assert_snapshot!(shown([
        (Rule::OutOfService, Subject::Craft, word("rest"), None),
        (Rule::Assigned, Subject::Craft, word("26-104"), None),
        (Rule::MissionNotInStandard, Subject::Craft, word("ice"), None),
        (Rule::PressureHigh, tube(), pa(30_000), high(pa(25_993))),
        (Rule::PressureHighAtHome, tube(), pa(30_000), high(pa(25_993))),
        (Rule::PressureNearLimit, tube(), pa(25_500), both.clone()),
        (Rule::PressureJoined, tube(), pa(25_500), None),
        (Rule::PressureLow, tube(), pa(23_990), low(pa(23_994))),
        (Rule::PressureLow, tube(), Measure::Slack, low(pa(23_994))),
        (Rule::PressureNotRead, tube(), days(12), high(days(7))),
        (Rule::PressureProvisional, tube(), pa(22_000), None),
        (Rule::PressureImplausible, tube(), pa(90_000), both),
        (Rule::LoadOver, Subject::Craft, Measure::MassG(500_000), high(Measure::MassG(453_592))),
        (Rule::StationSilent, otter_ferry, days(3), None),
        (Rule::GearInTwoPlaces, motor, sides.clone(), None),
        (Rule::FaultOpen, tube(), word("seam-open"), None),
        (Rule::HoldRuns, Subject::Craft, word("launch"), low(days(1))),
        (Rule::NumberTwice, other.clone(), word("Boat 3"), None),
        (Rule::SameAs, other, word("Boat 3"), None),
        (Rule::PlaceDisputed, Subject::Craft, sides.clone(), None),
        (Rule::SidesDiffer, tube(), Measure::Sides(vec![pa(20_684), pa(22_063)]), None),
        (Rule::InspectionOverdue, line("oil change"), Measure::EngineS(9000), None),
        (Rule::LeakShows, tube(), leak_rate(None), high(pa(3_000))),
        (Rule::LeakOver, tube(), leak_rate(Some((3_000, 5_000))), high(pa(3_000))),
        (Rule::BaffleLeaks, tube(), Measure::Sides(vec![pa(1_500), pa(1_400), word("tube 2")]), None),
        (Rule::ReadingsNeverMove, tube(), pa(24_000), None),
        (Rule::InspectionFailed, line("24 h hold test"), pa(3_944), high(pa(3_000))),
        (Rule::HoldProvesNothing, line("24 h hold test"), Measure::Sides(vec![word("too-short"), word("keel")]), None),
        (Rule::HoldProvesNothing, line("24 h hold test"), Measure::Sides(vec![word("not-tested"), word("keel"), word("floor")]), None),
    ]), @"
    declared out of service: rest
    assigned to incident 26-104
    its boat standard does not list ice
    tube 1 (port bow) would be 4.35 psi at the launch; at most 3.77 psi allowed
    tube 1 (port bow) would be 4.35 psi once topped up in the cold and back in the bay; at most 3.77 psi allowed
    tube 1 (port bow) would be 3.70 psi at the launch, so near its limit (1.00 psi to 6.00 psi wanted) that gauge, weather or moist air may take it over: read the gauge there
    tube 1 (port bow): read with the valves to other chambers open, which proves one chamber only; shut them and read each
    tube 1 (port bow) would be 3.48 psi (23990 Pa) at the launch; at least 3.48 psi (23994 Pa) wanted
    tube 1 (port bow) would be slack at the launch; at least 3.48 psi wanted
    tube 1 (port bow): read 12 days ago; every 7 days wanted
    tube 1 (port bow): the reading of 3.19 psi is not settled (taken soon after inflating, or in a temperature that is not known), so the worse case counts
    tube 1 (port bow): a reading of 13.05 psi cannot belong to this part (from 1.00 psi to 6.00 psi can)
    crew, kit and motor make 1102 lb; the plate allows 1000 lb
    Otter Ferry not heard for 3 days
    M-12 is said to be in two places (Boat 3 / Boat 7)
    seam open at tube 1 (port bow): not signed off
    a repair has not rested long enough to launch: 24 h needed
    another craft is numbered Boat 3
    registered twice, judged as one; also Boat 3
    stations differ about where it is (Boat 3 / Boat 7)
    tube 1 (port bow): stations differ, the worse counts: 3.00 psi / 3.20 psi
    oil change overdue by 2.5 engine hours
    tube 1 (port bow) loses 0.58 psi a day, by 4 readings over 21 days; below its least on 2026-03-14 at the launch's temperature (not before 2026-03-10; how long after is not known)
    tube 1 (port bow) loses 0.58 psi a day, by 4 readings over 21 days (95 % between 0.44 psi and 0.73 psi), more than the 0.44 psi of a leak test; below its least on 2026-03-14 at the launch's temperature (not before 2026-03-10; how long after is not known)
    tube 1 (port bow) fell by 0.22 psi while tube 2 rose by 0.20 psi: air goes through the baffle between them, or a valve between them is open
    tube 1 (port bow): the gauge stood at 3.48 psi at every reading though the bay's temperature changed; read it again, with another gauge
    24 h hold test: failed when last done, 0.57 psi lost after temperature and at most 0.44 psi allowed
    24 h hold test: the last test proves nothing (keel: it was ended too soon)
    24 h hold test: the last test proves nothing (keel; floor: not tested)
    ");
}

#[test]
fn limits_and_to_dos() {
    let ctx = context();
    let part = PartId::from("tube-1");
    let line = LineId::from("life-jacket");
    let missions = BTreeSet::from([MissionId::from("ice"), MissionId::from("swiftwater")]);
    let mut text = String::new();
    for limit in [
        Limit::TopUp(part.clone()),
        Limit::LetOut(part.clone()),
        Limit::LetOutAtHome(part.clone()),
        Limit::NoPower,
        Limit::DaylightOnly,
        Limit::NotFor(missions.clone()),
        Limit::OnlyFor(missions, AS_OF),
        Limit::CrewOnly,
        Limit::Rig(12),
        Limit::DoSoon(line.clone()),
        Limit::Trips(3),
        Limit::Jackets,
    ] {
        writeln!(text, "{}", limit_text(&limit, &ctx)).expect("a string takes all");
    }
    let fault = FaultId {
        event: event(1),
        ordinal: 0,
    };
    for action in [
        Action::ReadGauge(part.clone()),
        Action::BringTo(part.clone(), 24_821),
        Action::BringToAtHome(part, 23_442),
        Action::Count(line.clone()),
        Action::Bring(line.clone(), 2),
        Action::Inspect(line.clone()),
        Action::Look(line),
        Action::FullCheck,
        Action::RepairAndSignOff(fault),
        Action::WaitUntil(AS_OF),
        Action::SettlePlace(station(1)),
        Action::Settle(Settle::Check("Boat 3".to_owned())),
        Action::Rig,
        Action::AskStation,
        Action::RecordPlate,
        Action::Upgrade,
        Action::AskLead,
    ] {
        let to_do = ToDo {
            action,
            minutes: Some(5),
        };
        writeln!(text, "{}", to_do_text(&to_do, &tube(), &ctx)).expect("a string takes all");
    }
    insta::assert_snapshot!(text, @"
    add air to tube 1 before power is used
    let air out of tube 1 before it warms
    once back in the bay, let air out of tube 1 before it warms
    no power: the motor is not to be used
    by daylight and in clear weather only
    not for ice or swiftwater
    only for ice and swiftwater, until 2026-03-14 08:30 (waiver)
    crew only: nobody to be brought aboard
    to be rigged first: 12 min
    may go; see to life jacket soon
    3 trips for the people to bring home
    bring life jackets that fit the people to be brought home, by body weight
    read the gauge at tube 1 (port bow) (5 min)
    bring tube 1 (port bow) to 3.60 psi now, where the craft stands (5 min)
    bring tube 1 (port bow) to 3.40 psi once the craft is back in the bay (5 min)
    count: life jacket (5 min)
    bring 2 more: life jacket (5 min)
    do and record: life jacket (5 min)
    look at: life jacket (5 min)
    do a full check (5 min)
    repair it, then have somebody entitled sign it off (5 min)
    wait until 2026-03-14 08:30 (5 min)
    see where it is and record it (5 min)
    look again and record it: sponson check 'Boat 3' --from FILE (5 min)
    rig it (5 min)
    ask whoever declared it (5 min)
    record the maker's plate (5 min)
    upgrade this device (5 min)
    ask the boat-team lead (5 min)
    ");
}

/// Every rule with every measure: a sentence, free of the words of those who work on the log.
#[test]
fn no_sentence_speaks_of_the_log() {
    let ctx = context();
    let mut shown = Vec::new();
    for rule in Rule::ALL.iter().copied() {
        for measured in measures() {
            for low in measures() {
                let found = Finding {
                    subject: tube(),
                    measured: Some(measured.clone()),
                    required: Some(Required {
                        low: Some(low.clone()),
                        high: Some(low),
                    }),
                    ..finding(rule, Effect::Note)
                };
                shown.push(finding_text(&found, AS_OF, &ctx));
            }
        }
    }
    assert_eq!(shown.len(), Rule::ALL.len() * measures().len().pow(2));
    for text in shown {
        assert!(!text.is_empty() && !text.contains("  "), "{text:?}");
        let words: Vec<&str> = text.split(|c: char| !c.is_alphabetic()).collect();
        for banned in ["fork", "frontier", "fold", "head", "Merkle", "epoch"] {
            assert!(!words.contains(&banned), "{banned} in {text}");
        }
    }
}

#[test]
fn a_soft_tube_and_statuses() {
    use sponson_readiness::answer::Status;
    insta::assert_snapshot!(finding_text(&soft_tube(), AS_OF, &context()), @"tube 1 (port bow) would be 2.61 psi at the launch; at least 3.48 psi wanted");
    let assigned = Status::Assigned {
        incident: "26-104".to_owned(),
    };
    for (status, wanted) in [
        (Status::Available, "available"),
        (assigned, "assigned to incident 26-104"),
        (
            Status::OutOfService {
                reason: OutReason::Mechanical,
            },
            "out of service: mechanical",
        ),
        (Status::Condemned, "condemned"),
    ] {
        assert_eq!(words::status(&status), wanted);
    }
}

#[test]
fn an_assignment_says_who_sent_it_when_and_why() {
    let mut ctx = context();
    let found = Finding {
        measured: Some(Measure::Word("26-104".to_owned())),
        evidence: vec![event(0xe1)],
        ..finding(Rule::Assigned, Effect::Note)
    };
    let mut said = |member: &str, why: &str| {
        let witness = crate::context::Witness {
            station: "Mill Race".to_owned(),
            member: member.to_owned(),
            at: AS_OF,
            why: why.to_owned(),
        };
        ctx.witnesses.insert(event(0xe1), witness);
        finding_text(&found, AS_OF, &ctx)
    };
    assert_eq!(
        said("214", "nearest to the ford"),
        "assigned to incident 26-104 by Mill Race, 214, 2026-03-14 08:30: nearest to the ford"
    );
    assert_eq!(
        said("", ""),
        "assigned to incident 26-104 by Mill Race, 2026-03-14 08:30"
    );
}
