//! An invented county of seven stations and fifteen craft, told as events and folded: most in
//! order, one thing wrong at each of some.

use std::collections::{BTreeMap, BTreeSet};

use sponson_readiness::answer::{CountyAnswer, KnownBy};
use sponson_readiness::engine::{self, Question, Station};
use sponson_readiness::event::{
    AnswerValue, Author, Check, CraftRegistered, Event, Extent, FaultFound, GearKind,
    GearRegistered, HoldKind, ItemCount, LineAnswer, Lot, Meter, OutReason, PartPlace, Payload,
    Place, PlaceSide, Plate, PumpMarks, Reading, ReadingMoment, Repair, RepairHold, Severity,
    Stowage, SubjectKind, SubjectSeen, Trust, Unconfirmed, Use, ValveState,
};
use sponson_readiness::ids::{EventId, FaultId, LineId, MissionId, ModelId, PartId, SubjectId};
use sponson_readiness::moment::{Interval, Moment};
use sponson_readiness::record::{Record, fold};
use sponson_readiness::standard::{Policy, Standard, built_in};
use sponson_show::Context;

/// 2026-03-14T09:00:00Z, 03:00 in the county.
pub(crate) const NIGHT: Moment = Moment(1_773_478_800_000);
const HOUR_MS: i64 = 3_600_000;
const DAY_H: i64 = 24;

const STATIONS: [(u8, &str); 7] = [
    (1, "Millrace"),
    (2, "North Landing"),
    (3, "Sedge Ford"),
    (4, "Quarry Lake"),
    (5, "Eastbank"),
    (6, "Otter Bend"),
    (7, "High Weir"),
];

const CRAFT: [(u8, &str); 15] = [
    (11, "inflatable-14"),
    (12, "inflatable-14"),
    (13, "rigid-inflatable-17"),
    (21, "inflatable-14"),
    (22, "rigid-inflatable-17"),
    (31, "inflatable-14"),
    (32, "flat-bottom-16"),
    (41, "inflatable-14"),
    (42, "flat-bottom-16"),
    (51, "rigid-inflatable-17"),
    (52, "flat-bottom-16"),
    (61, "inflatable-14"),
    (62, "flat-bottom-16"),
    (71, "inflatable-14"),
    (72, "flat-bottom-16"),
];

pub(crate) const fn craft(number: u8) -> SubjectId {
    SubjectId::from_bytes([number; 16])
}

const fn motor(number: u8) -> SubjectId {
    SubjectId::from_bytes([100 + number; 16])
}

const fn station(number: u8) -> SubjectId {
    SubjectId::from_bytes([200 + number; 16])
}

/// The county, as told so far.
pub(crate) struct Told {
    standards: BTreeMap<ModelId, Standard>,
    stations: BTreeMap<SubjectId, Station>,
    events: Vec<Event>,
    heads: BTreeMap<SubjectId, Vec<EventId>>,
}

impl Told {
    /// Everything in order: registered, inspected 60 days ago, checked 30 hours ago.
    pub(crate) fn in_order() -> Self {
        let sheets = built_in().map(|(_, text)| Standard::parse(text).expect("a built-in sheet"));
        let stations = STATIONS.map(|(number, name)| {
            let heard = Station {
                name: name.to_owned(),
                call: String::new(),
                position: None,
                elevation_mm: Some(0),
                last_heard: Some(NIGHT.plus_ms(-HOUR_MS)),
            };
            (station(number), heard)
        });
        let mut told = Self {
            standards: sheets.map(|sheet| (sheet.model.clone(), sheet)).into(),
            stations: stations.into(),
            events: Vec::new(),
            heads: BTreeMap::new(),
        };
        for (number, model) in CRAFT {
            told.bring_in(number, model);
            for line in told.sheet(number).inspections.clone() {
                let recent = line.id.as_str() == "engine-run";
                told.inspects(number, line.id.as_str(), if recent { 2 } else { 60 });
            }
            let check = told.full_check(number);
            told.checks(number, 30, check);
        }
        told
    }

    /// The same with one thing wrong at most craft.
    pub(crate) fn after_a_hard_month() -> Self {
        let mut told = Self::in_order();
        told.trouble_at_the_first_stations();
        told.trouble_at_the_last_stations();
        told
    }

    fn trouble_at_the_first_stations(&mut self) {
        let mission = MissionId::from("swiftwater");
        let incident = "F-12".to_owned();
        self.says(12, 5, Payload::Assigned { incident, mission });
        let mut check = self.full_check(13);
        set_count(&mut check, "life-jacket", 3);
        set_count(&mut check, "gauge", 0);
        self.checks(13, 20, check);
        let tear = FaultFound {
            part: PartId::from("tube-2"),
            place: PartPlace {
                side: Some(PlaceSide::Starboard),
                from_transom_mm: Some(2_400),
                face: None,
            },
            class: "seam-open".to_owned(),
            severity: Severity::Restrictive,
            missions: Vec::new(),
            gear: None,
        };
        let event = self.says(21, 50, Payload::Fault(vec![tear]));
        let waiver = Payload::WaiverGranted {
            faults: vec![FaultId { event, ordinal: 0 }],
            missions: vec![MissionId::from("lake"), MissionId::from("flood")],
            until: NIGHT.plus_ms(60 * HOUR_MS),
        };
        self.says(21, 40, waiver);
        self.inspects(22, "fuel-line", 420);
        self.inspects(22, "trailer-yearly", 401);
        let mut check = self.full_check(31);
        for reading in &mut check.readings {
            if reading.part.as_str() == "tube-2" {
                reading.gauge_pa = 18_500;
            }
        }
        self.checks(31, 12, check);
        self.says(32, 9, Payload::OutOfService(OutReason::Personnel));
        self.silent(4, 5 * DAY_H);
        self.forgets(41);
        let old = self.full_check(41);
        self.checks(41, 12 * DAY_H, old);
        let mut check = self.full_check(42);
        set_count(&mut check, "child-life-jacket", 0);
        set_count(&mut check, "youth-life-jacket", 1);
        self.checks(42, 6 * DAY_H, check);
    }

    fn trouble_at_the_last_stations(&mut self) {
        let head = self.heads.get(&craft(51)).cloned();
        self.says(51, 8, Payload::Placed(Place::Station(station(5))));
        self.heads.insert(craft(51), head.unwrap_or_default());
        self.says(51, 7, Payload::Placed(Place::Station(station(1))));
        self.says(52, 20 * DAY_H, Payload::Condemned);
        let mut check = self.full_check(61);
        check.stowage = Some(Stowage::Rolled);
        self.checks(61, 10, check);
        self.says(62, 3, Payload::Use(Use::default()));
        let glued = Repair {
            faults: Vec::new(),
            part: PartId::from("tube-1"),
            method: "two-part patch".to_owned(),
            glue_batch: String::new(),
            holds: vec![RepairHold {
                kind: HoldKind::Launch,
                duration_s: 72 * 3_600,
            }],
        };
        self.says(71, 50, Payload::Repair(glued));
        self.says(72, 4, Payload::OutOfService(OutReason::Mechanical));
        let last = self.events.last_mut().expect("just said");
        last.trust = Trust::Unconfirmed(Unconfirmed::NotAdmitted);
    }

    /// The children's jackets of boats 42 and 72 are in one bag, which each station says it has.
    pub(crate) fn with_a_bag_on_two_craft(mut self) -> Self {
        let bag = SubjectId::from_bytes([99; 16]);
        let kind = [(bag, SubjectKind::Bag)];
        let registered = Payload::BagRegistered {
            number: "B7".to_owned(),
            station: station(4),
            craft: None,
        };
        self.tells(&kind, 90, registered);
        let head = self.heads.get(&bag).cloned().unwrap_or_default();
        for number in [42, 72] {
            self.heads.insert(bag, head.clone());
            self.tells(&kind, 5, Payload::Placed(Place::Craft(craft(number))));
            let mut check = self.full_check(number);
            for line in &mut check.counts {
                if line.item.as_str() == "child-life-jacket" {
                    line.bag = Some(bag);
                }
            }
            self.checks(number, 2, check);
        }
        self
    }

    fn sheet(&self, number: u8) -> &Standard {
        let (_, model) = CRAFT
            .into_iter()
            .find(|(known, _)| *known == number)
            .expect("a craft of the county");
        &self.standards[&ModelId::from(model)]
    }

    fn bring_in(&mut self, number: u8, model: &str) {
        let lb = |pounds: u64| Some(pounds * 453_592 / 1_000);
        let (persons, persons_lb, total_lb, motor_lb) = match model {
            "inflatable-14" => (8, 1_650, 2_310, 119),
            "rigid-inflatable-17" => (9, 1_820, 2_640, 245),
            _ => (5, 890, 1_380, 126),
        };
        let registered = CraftRegistered {
            number: format!("Boat {number}"),
            model: ModelId::from(model),
            station: station(number / 10),
            plate: Plate {
                persons: Some(persons),
                persons_mass_g: lb(persons_lb),
                total_mass_g: lb(total_lb),
                power_w: Some(52_000),
                motor_mass_g: None,
            },
            fabric: "csm".to_owned(),
            batch: String::new(),
        };
        self.says(number, 400 * DAY_H, Payload::CraftRegistered(registered));
        let outboard = GearRegistered {
            batch: String::new(),
            number: format!("M{number}"),
            kind: GearKind::Motor,
            model: "outboard".to_owned(),
            station: station(number / 10),
            mass_g: lb(motor_lb).and_then(|grams| u32::try_from(grams).ok()),
            power_w: Some(18_600),
            connector: String::new(),
            made: None,
            cylinder: Box::default(),
            pump: PumpMarks::default(),
        };
        let gear = [(motor(number), SubjectKind::Gear)];
        self.tells(&gear, 400 * DAY_H, Payload::GearRegistered(outboard));
        let fitted = Payload::Fitted {
            gear: motor(number),
            craft: craft(number),
            part: PartId::from("motor"),
        };
        let both = [gear[0], (craft(number), SubjectKind::Craft)];
        self.tells(&both, 399 * DAY_H, fitted);
    }

    fn inspects(&mut self, number: u8, line: &str, days_ago: i64) {
        let done = Payload::InspectionDone {
            inspection: LineId::from(line),
            passed: true,
            engine_s: Some(100 * 3_600),
            run_s: None,
            holds: Vec::new(),
        };
        self.says(number, days_ago * DAY_H, done);
    }

    fn checks(&mut self, number: u8, hours_ago: i64, check: Check) {
        self.says(number, hours_ago, Payload::Check(check));
    }

    /// As the sheet wants it, in a bay at 12 °C.
    fn full_check(&self, number: u8) -> Check {
        let sheet = self.sheet(number);
        let held = sheet.parts.iter();
        let held = held.filter_map(|part| Some((part, part.pressure.as_ref()?)));
        Check {
            seals: Vec::new(),
            checked_by: String::new(),
            extent: Extent::Full,
            standard_revision: Some(1),
            readings: held
                .map(|(part, rule)| Reading {
                    part: part.id.clone(),
                    moment: ReadingMoment::AsFound,
                    gauge_pa: rule.nominal_pa,
                    gauge: None,
                    air_mc: Some(12_000),
                    stood_s: Some(8 * 3_600),
                    fabric_mc: None,
                    ambient_pa: None,
                    elevation_mm: None,
                    valves: Some(ValveState::Shut),
                    since_inflating_s: None,
                })
                .collect(),
            counts: sheet
                .items
                .iter()
                .map(|item| {
                    let special = item.count_for.values().copied().max().unwrap_or(0);
                    let count = special.max(item.count);
                    ItemCount {
                        item: item.id.clone(),
                        count,
                        unserviceable: 0,
                        lots: vec![Lot {
                            count,
                            expires: "2028-06-30".parse().ok().map(mark),
                            made: None,
                        }],
                        bag: None,
                    }
                })
                .collect(),
            answers: sheet
                .questions
                .iter()
                .map(|line| LineAnswer {
                    line: line.id.clone(),
                    value: AnswerValue::Yes,
                })
                .collect(),
            meters: vec![Meter {
                subject: Some(motor(number)),
                engine_s: 120 * 3_600,
            }],
            found_aboard: Vec::new(),
            fuel: Vec::new(),
            faults: Vec::new(),
            stowage: Some(Stowage::Rigged),
            cylinders: Vec::new(),
        }
    }

    fn silent(&mut self, number: u8, hours: i64) {
        let heard = self.stations.get_mut(&station(number));
        heard.expect("a station of the county").last_heard = Some(NIGHT.plus_ms(-hours * HOUR_MS));
    }

    /// Drops the checks of a craft.
    fn forgets(&mut self, number: u8) {
        let id = craft(number);
        let is_check = |event: &Event| matches!(event.payload, Payload::Check(_));
        self.events
            .retain(|event| !(is_check(event) && event.subjects[0].id == id));
    }

    fn says(&mut self, number: u8, hours_ago: i64, payload: Payload) -> EventId {
        self.tells(&[(craft(number), SubjectKind::Craft)], hours_ago, payload)
    }

    fn tells(
        &mut self,
        subjects: &[(SubjectId, SubjectKind)],
        hours_ago: i64,
        payload: Payload,
    ) -> EventId {
        let at = NIGHT.plus_ms(-hours_ago * HOUR_MS);
        let count = u16::try_from(self.events.len()).expect("few events");
        let mut bytes = [0; 32];
        bytes[..2].copy_from_slice(&count.to_be_bytes());
        let id = EventId::from_bytes(bytes);
        let writer = subjects.first().map_or(0, |(id, _)| id.as_bytes()[0]) % 100 / 10;
        let seen = |id| self.heads.get(&id).cloned().unwrap_or_default();
        let event = Event {
            id,
            author: Author {
                key: [writer; 32],
                station: Some(station(writer)),
                member: "M-101".to_owned(),
            },
            subjects: subjects
                .iter()
                .map(|(id, kind)| SubjectSeen {
                    id: *id,
                    kind: *kind,
                    seen: seen(*id),
                })
                .collect(),
            interval: Interval {
                early: Some(at.plus_ms(-HOUR_MS)),
                late: Some(at.plus_ms(HOUR_MS)),
                claimed: at,
            },
            trust: Trust::Trusted,
            may_sign_off: true,
            payload,
        };
        for (subject, _) in subjects {
            self.heads.insert(*subject, vec![id]);
        }
        self.events.push(event);
        id
    }

    /// The answer at night, in a cold launch.
    pub(crate) fn asked(&self, mission: Option<&str>, air_c: i32, water_c: i32) -> CountyAnswer {
        let about: BTreeSet<(SubjectId, SubjectKind)> = self
            .events
            .iter()
            .flat_map(|event| &event.subjects)
            .map(|seen| (seen.id, seen.kind))
            .collect();
        let records: BTreeMap<SubjectId, Record> = about
            .into_iter()
            .map(|(id, kind)| (id, fold(id, kind, &self.events)))
            .collect();
        let policy = Policy {
            utc_offset_min: -360,
            ..Policy::parse(Policy::default_text()).expect("the built-in policy")
        };
        let known_by = KnownBy {
            log_id: [0x0c; 16],
            size: u64::try_from(self.events.len()).expect("few events"),
            root: [0x0d; 32],
            beyond: 0,
        };
        let county = engine::County {
            policy: &policy,
            standards: &self.standards,
            stations: &self.stations,
            records: &records,
            not_understood: &engine::NotUnderstood::default(),
            known_by: &known_by,
        };
        let question = Question {
            mission: mission.map(MissionId::from),
            air_mc: Some(air_c * 1_000),
            water_mc: Some(water_c * 1_000),
            ..Question::general(NIGHT, NIGHT)
        };
        engine::answer(&county, &question)
    }

    /// How the county reads answers.
    pub(crate) fn context(&self) -> Context {
        Context {
            witnesses: std::collections::BTreeMap::new(),
            utc_offset_min: -360,
            stations: self
                .stations
                .iter()
                .map(|(id, station)| (*id, station.name.clone()))
                .collect(),
            ..Context::default()
        }
    }
}

fn set_count(check: &mut Check, item: &str, count: u32) {
    for line in &mut check.counts {
        if line.item.as_str() == item {
            line.count = count;
            line.lots.iter_mut().for_each(|lot| lot.count = count);
        }
    }
}

fn mark(day: chrono::NaiveDate) -> sponson_readiness::event::DateMark {
    use chrono::Datelike as _;
    sponson_readiness::event::DateMark {
        year: day.year(),
        month: Some(day.month()),
        day: Some(day.day()),
    }
}
