//! A county of one station, one craft, its motor and its bag, all in order, for tests to disturb.

use std::collections::{BTreeMap, BTreeSet};

use sponson_readiness::answer::{
    CountyAnswer, CraftAnswer, Effect, Finding, KnownBy, Readiness, Rule,
};
use sponson_readiness::engine::{County, NotUnderstood, Question, Station, answer};
use sponson_readiness::event::{
    AnswerValue, Author, CraftRegistered, Crews, DateMark, Extent, FaultFound, GearKind,
    GearRegistered, ItemCount, Lot, MemberLevel, PartPlace, Place, Plate, PumpMarks, Reading,
    ReadingMoment, Severity, SubjectKind, Trust, Unconfirmed, ValveState,
};
use sponson_readiness::ids::{EventId, LineId, MissionId, ModelId, PartId, SubjectId};
use sponson_readiness::load::{Party, Size};
use sponson_readiness::moment::{Interval, Moment};
use sponson_readiness::record::{
    Checked, FaultState, Inspection, Origin, PartReadings, Placement, Recent, Record, Side, Sides,
};
use sponson_readiness::standard::{Policy, Propulsion, Standard, built_in};

/// 2026-03-01T12:00:00Z, a Sunday.
pub(crate) const NOON: Moment = Moment(1_772_366_400_000);
/// One hour.
pub(crate) const HOUR_MS: i64 = 3_600_000;
/// One day.
pub(crate) const DAY_MS: i64 = 24 * HOUR_MS;

pub(crate) const CRAFT: SubjectId = SubjectId::from_bytes([1; 16]);
pub(crate) const OTHER_CRAFT: SubjectId = SubjectId::from_bytes([2; 16]);
pub(crate) const MOTOR: SubjectId = SubjectId::from_bytes([3; 16]);
pub(crate) const BAG: SubjectId = SubjectId::from_bytes([4; 16]);
pub(crate) const STATION: SubjectId = SubjectId::from_bytes([5; 16]);
pub(crate) const OTHER_STATION: SubjectId = SubjectId::from_bytes([6; 16]);
pub(crate) const MEMBER: SubjectId = SubjectId::from_bytes([8; 16]);

/// Everything that a test may disturb before it asks.
#[derive(Clone, Debug)]
pub(crate) struct Scene {
    pub(crate) policy: Policy,
    pub(crate) standard: Standard,
    pub(crate) stations: BTreeMap<SubjectId, Station>,
    pub(crate) records: BTreeMap<SubjectId, Record>,
    pub(crate) question: Question,
    pub(crate) not_understood: NotUnderstood,
    pub(crate) known_by: KnownBy,
    next_event: u16,
}

impl Scene {
    /// A craft of the built-in model, everything in order an hour ago, asked about at noon with
    /// air and water as in the bay.
    pub(crate) fn of(model: &str) -> Self {
        let text = built_in()
            .into_iter()
            .find(|(name, _)| *name == model)
            .map(|(_, text)| text)
            .expect("a built-in sheet");
        let mut scene = Self {
            policy: Policy::parse(Policy::default_text()).expect("built-in policy"),
            standard: Standard::parse(text).expect("built-in sheet"),
            stations: BTreeMap::from([
                (STATION, station("Alder Creek")),
                (OTHER_STATION, station("Bracken Ford")),
            ]),
            records: BTreeMap::new(),
            question: Question {
                mission: Some(MissionId::from("lake")),
                air_mc: Some(20_000),
                water_mc: Some(20_000),
                elevation_mm: Some(0),
                ..Question::general(NOON, NOON)
            },
            not_understood: NotUnderstood::default(),
            known_by: KnownBy {
                log_id: [0; 16],
                size: 0,
                root: [0; 32],
                beyond: 0,
            },
            next_event: 0,
        };
        scene.add_craft();
        if scene.standard.propulsion == Propulsion::Motor {
            scene.add_motor();
        }
        scene.add_people();
        scene
    }

    pub(crate) fn inflatable() -> Self {
        Self::of("inflatable-14")
    }

    fn add_craft(&mut self) {
        let mut record = Record::new(CRAFT, SubjectKind::Craft);
        record.craft = self.said(CraftRegistered {
            number: "Boat 14".to_owned(),
            model: self.standard.model.clone(),
            station: STATION,
            plate: Plate {
                persons: Some(8),
                persons_mass_g: Some(900_000),
                total_mass_g: Some(1_200_000),
                power_w: Some(30_000),
                motor_mass_g: Some(70_000),
            },
            fabric: String::new(),
            batch: String::new(),
        });
        record.number = self.said("Boat 14".to_owned());
        record.place = self.said(Placement {
            at: Place::Station(STATION),
            part: None,
        });
        record
            .checks
            .insert(Extent::Full, self.said(Checked::default()));
        for part in self.standard.parts.clone() {
            if let Some(rule) = part.pressure {
                let standing = self.said(reading(part.id.as_str(), rule.nominal_pa));
                record.readings.insert(part.id, of_part(standing));
            }
        }
        // Nobody counted the oars, which stand in for paddles: so the lines alone make no check.
        for item in self.standard.items.clone() {
            if item.id.as_str() == "oar" {
                continue;
            }
            let count = item.count_for.values().copied().max().unwrap_or(0);
            let count = counted(item.id.as_str(), count.max(item.count));
            record.counts.insert((item.id, None), self.said(count));
        }
        for line in self.standard.inspections.clone() {
            let passed = self.said(Inspection {
                passed: true,
                engine_s: Some(360_000),
                run_s: None,
                holds: Vec::new(),
            });
            record.inspections.insert(line.id, passed);
        }
        for question in self.standard.questions.clone() {
            record
                .answers
                .insert(question.id, self.said(AnswerValue::Yes));
        }
        self.records.insert(CRAFT, record);
    }

    fn add_motor(&mut self) {
        let mut record = Record::new(MOTOR, SubjectKind::Gear);
        record.gear = self.said(GearRegistered {
            batch: String::new(),
            number: "Motor 3".to_owned(),
            kind: GearKind::Motor,
            model: String::new(),
            station: STATION,
            mass_g: Some(50_000),
            power_w: Some(22_000),
            connector: String::new(),
            made: None,
            cylinder: Box::default(),
            pump: PumpMarks::default(),
        });
        record.number = self.said("Motor 3".to_owned());
        record.place = self.said(Placement {
            at: Place::Craft(CRAFT),
            part: Some(PartId::from("motor")),
        });
        record.meters.insert(None, self.said(361_000));
        self.records.insert(MOTOR, record);
    }

    /// Two crews of the station until midnight, with an operator of the highest level.
    fn add_people(&mut self) {
        let mut station = Record::new(STATION, SubjectKind::Station);
        let crews = Crews {
            crews: 2,
            persons: Some(8),
            from: NOON.plus_ms(-6 * HOUR_MS),
            until: NOON.plus_ms(12 * HOUR_MS),
            operators: vec!["214".to_owned()],
        };
        station.crews = vec![self.side(crews)];
        self.records.insert(STATION, station);
        self.level("214", "technician", None);
    }

    /// Replaces the levels of a member by one.
    pub(crate) fn level(&mut self, number: &str, level: &str, until: Option<DateMark>) {
        let mut member = Record::new(MEMBER, SubjectKind::Member);
        let held = self.said(MemberLevel {
            member: number.to_owned(),
            level: level.to_owned(),
            until,
        });
        member.levels.insert(level.to_owned(), held);
        self.records.insert(MEMBER, member);
    }

    /// What the station said of its crews.
    pub(crate) fn crews(&mut self) -> &mut Vec<Side<Crews>> {
        &mut self.record(STATION).crews
    }

    /// Adds a bag at a place.
    pub(crate) fn add_bag(&mut self, at: Place) -> &mut Record {
        let mut record = Record::new(BAG, SubjectKind::Bag);
        record.number = self.said("Bag 14".to_owned());
        record.place = self.said(Placement { at, part: None });
        self.records.insert(BAG, record);
        self.record(BAG)
    }

    pub(crate) fn record(&mut self, id: SubjectId) -> &mut Record {
        self.records.get_mut(&id).expect("a record of the scene")
    }

    pub(crate) fn craft(&mut self) -> &mut Record {
        self.record(CRAFT)
    }

    /// One side, said an hour before noon.
    pub(crate) fn said<T>(&mut self, value: T) -> Sides<T> {
        Sides(vec![self.side(value)])
    }

    /// A trusted side, said an hour before noon by a writer of its own.
    pub(crate) fn side<T>(&mut self, value: T) -> Side<T> {
        self.side_at(value, NOON.plus_ms(-HOUR_MS))
    }

    pub(crate) fn side_at<T>(&mut self, value: T, at: Moment) -> Side<T> {
        self.next_event += 1;
        let [high, low] = self.next_event.to_be_bytes();
        let mut id = [0; 32];
        id[0] = high;
        id[1] = low;
        Side {
            value,
            origin: Origin {
                event: EventId::from_bytes(id),
                author: Author {
                    key: id,
                    station: Some(STATION),
                    member: "104".to_owned(),
                },
                interval: Interval {
                    early: Some(at),
                    late: Some(at),
                    claimed: at,
                },
                trust: Trust::Trusted,
            },
        }
    }

    pub(crate) fn untrusted<T>(&mut self, value: T) -> Side<T> {
        let mut side = self.side(value);
        side.origin.trust = Trust::Unconfirmed(Unconfirmed::NotAdmitted);
        side
    }

    pub(crate) fn mission(&mut self, id: &str) -> &mut Self {
        self.question.mission = Some(MissionId::from(id));
        self
    }

    /// Asks to bring people of one size home.
    pub(crate) fn bring_home(&mut self, size: Size, count: u32) {
        self.question.people.push(Party {
            size,
            lying: false,
            count,
            mass_g: None,
        });
    }

    /// Sets the air and water of the launch, degrees Celsius.
    pub(crate) fn weather(&mut self, air_c: i32, water_c: i32) -> &mut Self {
        self.question.air_mc = Some(air_c * 1_000);
        self.question.water_mc = Some(water_c * 1_000);
        self
    }

    /// Replaces what was counted of an item on the craft itself.
    pub(crate) fn count(&mut self, item: &str, count: u32) -> &mut ItemCount {
        let sides = self.said(counted(item, count));
        let counts = &mut self.craft().counts;
        counts.insert((LineId::from(item), None), sides);
        let sides = counts.get_mut(&(LineId::from(item), None));
        &mut sides.expect("just put there").0[0].value
    }

    /// Replaces what was counted of an item by a count of more than a year ago.
    pub(crate) fn counted_long_ago(&mut self, item: &str, count: u32) {
        let old = self.side_at(counted(item, count), NOON.plus_ms(-400 * DAY_MS));
        let key = (LineId::from(item), None);
        self.craft().counts.insert(key, Sides(vec![old]));
    }

    /// Replaces the reading of a part; pascal.
    pub(crate) fn read(&mut self, part: &str, gauge_pa: i64) -> &mut Reading {
        let sides = of_part(self.said(reading(part, gauge_pa)));
        let readings = &mut self.craft().readings;
        readings.insert(PartId::from(part), sides);
        let sides = readings.get_mut(&PartId::from(part)).expect("just put");
        &mut sides.standing.0[0].value
    }

    /// Replaces the readings of parts by a history: so many days before noon, the bay's temperature
    /// and the gauge of each part, mbar; the last stands.
    pub(crate) fn past(&mut self, parts: &[&str], checks: &[(i64, i32, &[i64])]) {
        for part in parts {
            self.craft()
                .readings
                .insert(PartId::from(*part), PartReadings::default());
        }
        for (days_ago, celsius, gauges) in checks {
            let check = self.side_at((), NOON.plus_ms(-days_ago * DAY_MS));
            for (part, mbar) in parts.iter().zip(*gauges) {
                let read = Reading {
                    air_mc: Some(celsius * 1_000),
                    ..reading(part, mbar * 100)
                };
                self.recent(part, Recent::Read(read.clone()), &check.origin);
                let kept = self.craft().readings.get_mut(&PartId::from(*part));
                kept.expect("just put").standing = Sides(vec![Side {
                    value: read,
                    origin: check.origin.clone(),
                }]);
            }
        }
    }

    /// One more settled reading of a part, at 20 °C, so many days before noon; it stands.
    pub(crate) fn past_goes_on(&mut self, part: &str, days_ago: i64, mbar: i64) {
        let side = self.side_at(reading(part, mbar * 100), NOON.plus_ms(-days_ago * DAY_MS));
        self.recent(part, Recent::Read(side.value.clone()), &side.origin);
        let kept = self.craft().readings.get_mut(&PartId::from(part));
        kept.expect("just put").standing = Sides(vec![side]);
    }

    /// Adds to the recent history of a part.
    pub(crate) fn recent(&mut self, part: &str, value: Recent, origin: &Origin) {
        let readings = self.craft().readings.entry(PartId::from(part));
        readings.or_default().recent.push(Side {
            value,
            origin: origin.clone(),
        });
    }

    /// Replaces an answer.
    pub(crate) fn answered(&mut self, line: &str, value: AnswerValue) {
        let sides = self.said(value);
        self.craft().answers.insert(LineId::from(line), sides);
    }

    /// Replaces an inspection by one so many days before noon.
    pub(crate) fn inspected(&mut self, line: &str, days_ago: i64, passed: bool) -> &mut Inspection {
        let inspection = Inspection {
            passed,
            engine_s: Some(360_000),
            run_s: None,
            holds: Vec::new(),
        };
        let side = self.side_at(inspection, NOON.plus_ms(-days_ago * DAY_MS));
        let inspections = &mut self.craft().inspections;
        inspections.insert(LineId::from(line), Sides(vec![side]));
        let sides = inspections.get_mut(&LineId::from(line)).expect("just put");
        &mut sides.0[0].value
    }

    pub(crate) fn answer(&self) -> CountyAnswer {
        self.of_county(|county| answer(county, &self.question))
    }

    /// Hands the county over to be asked.
    pub(crate) fn of_county<T>(&self, ask: impl FnOnce(&County<'_>) -> T) -> T {
        let standards = BTreeMap::from([(self.standard.model.clone(), self.standard.clone())]);
        let county = County {
            policy: &self.policy,
            standards: &standards,
            stations: &self.stations,
            records: &self.records,
            not_understood: &self.not_understood,
            known_by: &self.known_by,
        };
        ask(&county)
    }

    /// The answer for the craft of the scene.
    pub(crate) fn judged(&self) -> CraftAnswer {
        let answer = self.answer();
        let mut craft = answer.craft.into_iter();
        craft.find(|craft| craft.id == CRAFT).expect("an answer")
    }

    pub(crate) fn readiness(&self) -> Readiness {
        self.judged().readiness
    }

    /// The first finding of a rule.
    pub(crate) fn finding(&self, rule: Rule) -> Option<Finding> {
        let mut why = self.judged().why.into_iter();
        why.find(|finding| finding.rule == rule)
    }

    /// What a rule does to the craft.
    pub(crate) fn effect(&self, rule: Rule) -> Option<Effect> {
        self.finding(rule).map(|finding| finding.effect)
    }
}

fn station(name: &str) -> Station {
    Station {
        name: name.to_owned(),
        call: format!("{name} base"),
        position: None,
        elevation_mm: Some(0),
        last_heard: Some(NOON.plus_ms(-HOUR_MS)),
    }
}

/// A settled reading at 20 °C at sea level.
pub(crate) fn reading(part: &str, gauge_pa: i64) -> Reading {
    Reading {
        part: PartId::from(part),
        moment: ReadingMoment::AsFound,
        gauge_pa,
        gauge: None,
        air_mc: Some(20_000),
        stood_s: Some(7_200),
        fabric_mc: None,
        ambient_pa: None,
        elevation_mm: None,
        valves: Some(ValveState::Shut),
        since_inflating_s: None,
    }
}

pub(crate) fn of_part(standing: Sides<Reading>) -> PartReadings {
    PartReadings {
        standing,
        air_since: Vec::new(),
        filled: Sides(Vec::new()),
        recent: Vec::new(),
    }
}

/// A count of units that are good for years.
pub(crate) fn counted(item: &str, count: u32) -> ItemCount {
    ItemCount {
        item: LineId::from(item),
        count,
        unserviceable: 0,
        lots: vec![lot(count, 2029, Some(1), None)],
        bag: None,
    }
}

pub(crate) fn lot(count: u32, year: i32, month: Option<u32>, day: Option<u32>) -> Lot {
    Lot {
        count,
        expires: Some(sponson_readiness::event::DateMark { year, month, day }),
        made: None,
    }
}

pub(crate) fn fault(side: Side<()>, severity: Severity, missions: &[&str]) -> FaultState {
    FaultState {
        fault: FaultFound {
            part: PartId::from("tube-1"),
            place: PartPlace::default(),
            class: "tear".to_owned(),
            severity,
            missions: missions.iter().map(|id| MissionId::from(*id)).collect(),
            gear: None,
        },
        origin: side.origin,
        repairs: Vec::new(),
        closed: None,
    }
}

pub(crate) fn missions(ids: &[&str]) -> BTreeSet<MissionId> {
    ids.iter().map(|id| MissionId::from(*id)).collect()
}

pub(crate) fn model(id: &str) -> ModelId {
    ModelId::from(id)
}
