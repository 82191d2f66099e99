//! A hand-made call-out in the invented county: one candidate of each sort.

use std::collections::BTreeMap;

use sponson_readiness::answer::{
    Access, Action, Basis, BringHome, Brings, Call, Callout, CalloutAsked, Candidate, CountyAnswer,
    CoverLeft, CrewKnown, CrewToGo, Hindrance, KitAtRamp, LaunchBy, LaunchPlace, Reach, SaidAt,
    Second, Setting, SettingOf, Shared, SharedWith, StationCover, TimeToWater, ToDo, Trips, Way,
};
use sponson_readiness::ids::{LineId, PartId, SubjectId};
use sponson_readiness::kit_moves::Holder;

use super::{AS_OF, county, station};

const MINUTE_MS: i64 = 60_000;

/// The county answer with a call-out in it.
pub(crate) fn called_out() -> CountyAnswer {
    let mut answer = county();
    answer.asked.callout = Some(CalloutAsked {
        launch: Some(LaunchPlace {
            name: "Mill Street ramp".to_owned(),
            access: Some(Access::Ramp),
        }),
        ways: BTreeMap::from([
            (station(1), Way::Table { minutes: 8 }),
            (station(2), Way::Straight { metres: 19_322 }),
        ]),
    });
    let mut each: Vec<Candidate> = answer
        .craft
        .iter()
        .map(|craft| bare(craft.id, &craft.number))
        .collect();
    let reaches = [
        Reach::ByTime,
        Reach::ByLine,
        Reach::NotChecked,
        Reach::CannotGo,
    ];
    for (one, reach) in each.iter_mut().zip(reaches) {
        one.reach = reach;
        match reach {
            Reach::ByTime => by_time(one),
            Reach::ByLine => by_line(one),
            Reach::NotChecked => not_checked(one),
            Reach::WayNotKnown | Reach::CannotGo => cannot_go(one),
        }
    }
    answer.callout = Some(Callout {
        bring_home: Some(BringHome {
            craft: each.iter().take(2).map(|one| one.craft).collect(),
            is_fewest: true,
            total: None,
        }),
        candidates: each,
        safety_boat: true,
        cover: vec![StationCover {
            station: station(1),
            craft: 1,
        }],
        settings: vec![
            setting(SettingOf::RaiseCrew, Some(10)),
            setting(SettingOf::AtOnce, None),
            setting(SettingOf::LaunchRamp, Some(6)),
        ],
    });
    answer
}

fn setting(of: SettingOf, minutes: Option<u32>) -> Setting {
    Setting {
        of,
        minutes,
        basis: Basis::Trade,
        source: "common practice, no source".to_owned(),
    }
}

/// A candidate of Mill Race with nothing to say about.
pub(crate) fn bare(craft: SubjectId, number: &str) -> Candidate {
    Candidate {
        craft,
        number: number.to_owned(),
        station: Some(station(1)),
        reach: Reach::ByTime,
        way: Way::Table { minutes: 8 },
        time: TimeToWater {
            crew: 10,
            ready: Some(5),
            at_once: true,
            drive: Some(8),
            launch: Some(6),
            total: Some(24),
            at_least: 24,
            at: Some(AS_OF.plus_ms(24 * MINUTE_MS)),
        },
        launch: LaunchBy::Ramp,
        crew: CrewToGo {
            least: 2,
            goes: 2,
            known: CrewKnown::NotKnown,
        },
        seats: Some(4),
        trips: None,
        disputed: Vec::new(),
        shared: Vec::new(),
        second: Second::NotAsked,
        at_ramp: Vec::new(),
        cover_left: None,
        hindrances: Vec::new(),
        to_do: Vec::new(),
        whom_to_call: vec![Call {
            station: station(1),
            name: "Mill Race".to_owned(),
            call: "Mill".to_owned(),
        }],
    }
}

fn by_time(one: &mut Candidate) {
    one.trips = Some(Trips {
        trips: 2,
        left_behind: 0,
        is_fewest: true,
    });
    one.crew.known = CrewKnown::Enough {
        crews: 1,
        persons: Some(3),
        until: AS_OF.plus_ms(600 * MINUTE_MS),
    };
    one.second = Second::Boat {
        craft: SubjectId::from_bytes([0x42; 16]),
        number: "Marsh 22".to_owned(),
        both_total: None,
    };
    one.at_ramp = vec![KitAtRamp {
        item: LineId::from("life-jackets"),
        label: "life jacket, youth".to_owned(),
        short: 3,
        from: vec![Brings {
            from: SubjectId::from_bytes([0x70; 16]),
            holder: Holder::Shelf,
            number: "S1".to_owned(),
            station: station(2),
            units: 2,
            way: Way::Straight { metres: 19_322 },
        }],
        still_short: 1,
    }];
    one.shared = vec![SharedWith {
        what: Shared::Crew(station(1)),
        there: 1,
        with: vec![SubjectId::from_bytes([0x42; 16])],
    }];
    one.cover_left = Some(CoverLeft {
        craft: 1,
        less: vec![StationCover {
            station: station(1),
            craft: 0,
        }],
        without: vec![station(1)],
    });
}

fn by_line(one: &mut Candidate) {
    one.station = Some(station(2));
    one.way = Way::Straight { metres: 19_322 };
    one.time.drive = None;
    one.time.total = None;
    one.time.at = None;
    one.time.at_least = 16;
    one.second = Second::None;
    one.disputed = vec![
        SaidAt {
            station: station(1),
            way: Way::Table { minutes: 8 },
            time: TimeToWater {
                drive: Some(8),
                total: Some(24),
                at_least: 24,
                ..one.time
            },
        },
        SaidAt {
            station: station(2),
            way: one.way,
            time: one.time,
        },
    ];
}

fn to_do(action: Action, minutes: u32) -> ToDo {
    ToDo {
        action,
        minutes: Some(minutes),
    }
}

fn not_checked(one: &mut Candidate) {
    let gauge = |part| to_do(Action::ReadGauge(PartId::from(part)), 2);
    one.to_do = vec![
        gauge("tube-1"),
        gauge("tube-2"),
        gauge("keel"),
        to_do(Action::Count(LineId::from("life-jackets")), 2),
        to_do(Action::Count(LineId::from("life-jackets")), 0),
    ];
}

fn cannot_go(one: &mut Candidate) {
    one.hindrances = vec![Hindrance::WayClosed, Hindrance::CrewShort];
    one.way = Way::Closed;
    one.crew.known = CrewKnown::Short { persons: 1 };
}
