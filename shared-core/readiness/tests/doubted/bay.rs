//! Stations with bays that warm and cool, craft in them, gauges that are read once a week: made from a
//! seed, so that what is found in it can be counted.

use std::collections::BTreeMap;

use sponson_made::Seeded;
use sponson_readiness::doubted::{Doubted, Past, doubted};
use sponson_readiness::event::{
    AirChanged, AirDirection, Author, CylinderMarks, GearKind, Reading, ReadingMoment, ValveState,
};
use sponson_readiness::history::{AirPast, CraftPast, GearPast, History, ReadingPast};
use sponson_readiness::ids::{EventId, ModelId, PartId, SubjectId};
use sponson_readiness::leak::{REFERENCE, corrected_gas};
use sponson_readiness::moment::Moment;
use sponson_readiness::pressure::{Air, standard_pressure_pa};
use sponson_readiness::standard::{Policy, Standard, built_in};

pub(crate) const DAY_MS: i64 = 86_400_000;
/// 2025-03-01T00:00:00Z.
pub(crate) const START: Moment = Moment(1_740_787_200_000);

/// The numbers of a seed.
pub(crate) struct Dice(Seeded);

impl Dice {
    pub(crate) const fn of(seed: u64) -> Self {
        Self(Seeded::new(seed))
    }

    /// From 0 to 1.
    pub(crate) fn share(&mut self) -> f64 {
        let high = u32::try_from(self.0.any() >> 32).expect("32 bits");
        f64::from(high) / f64::from(u32::MAX)
    }

    pub(crate) fn below(&mut self, n: usize) -> usize {
        self.0.place(n)
    }

    /// About normal, mean 0, standard deviation 1: twelve throws less six.
    pub(crate) fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.share()).sum::<f64>() - 6.0
    }
}

/// What is made up.
#[derive(Clone, Copy)]
pub(crate) struct Made {
    pub(crate) seed: u64,
    pub(crate) stations: u8,
    pub(crate) craft: u8,
    pub(crate) gauges: u8,
    pub(crate) weeks: i64,
    /// How far the first gauge of all is off, mbar.
    pub(crate) off_mbar: f64,
    /// Who writes down something else than the gauge shows.
    pub(crate) wrong: Wrong,
}

/// Who writes down something else than the gauge shows.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Wrong {
    Nobody,
    /// The first gauge of all always shows the same.
    FirstGaugeSticks,
    /// At night at the first station the last value is written down again.
    NightsCopy,
}

pub(crate) const HONEST: Made = Made {
    seed: 1,
    stations: 4,
    craft: 2,
    gauges: 3,
    weeks: 52,
    off_mbar: 0.0,
    wrong: Wrong::Nobody,
};

pub(crate) fn standard() -> Standard {
    let sheets = built_in().into_iter();
    let mut text = sheets.filter(|(name, _)| *name == "inflatable-14");
    Standard::parse(text.next().expect("a sheet").1).expect("a sheet")
}

pub(crate) fn policy() -> Policy {
    Policy::parse(Policy::default_text()).expect("the policy")
}

pub(crate) fn subject(kind: u8, station: u8, n: u8) -> SubjectId {
    let mut bytes = [0; 16];
    bytes[..3].copy_from_slice(&[kind, station, n]);
    SubjectId::from_bytes(bytes)
}

pub(crate) fn event(n: u32) -> EventId {
    let mut bytes = [0; 32];
    bytes[..4].copy_from_slice(&n.to_be_bytes());
    EventId::from_bytes(bytes)
}

pub(crate) fn craft(id: SubjectId, number: &str, model: ModelId) -> CraftPast {
    CraftPast::registered(id, number, model, START)
}

pub(crate) fn gauge(id: SubjectId, number: &str) -> GearPast {
    GearPast {
        id,
        number: number.to_owned(),
        kind: GearKind::Gauge,
        model: String::new(),
        batch: String::new(),
        made: None,
        cylinder: CylinderMarks::default(),
        registered: START,
        ended: None,
        stations: Vec::new(),
        on: Vec::new(),
        meters: Vec::new(),
        faults: Vec::new(),
        repairs: Vec::new(),
        sign_offs: Vec::new(),
        inspections: Vec::new(),
        gauges: Vec::new(),
        out: Vec::new(),
        unvouched: Vec::new(),
    }
}

/// A settled reading at sea level.
pub(crate) fn read(
    (event, at): (EventId, Moment),
    part: &str,
    gauge: Option<SubjectId>,
    (mbar, celsius): (f64, f64),
) -> ReadingPast {
    ReadingPast {
        event,
        at,
        by: Author {
            key: [7; 32],
            station: None,
            member: "1042".to_owned(),
        },
        checked_by: String::new(),
        reading: Reading {
            part: PartId::from(part),
            moment: ReadingMoment::AsFound,
            gauge_pa: whole(mbar * 100.0),
            gauge,
            air_mc: Some(i32::try_from(whole(celsius * 1_000.0)).expect("a temperature")),
            stood_s: Some(10_800),
            fabric_mc: None,
            ambient_pa: None,
            elevation_mm: Some(0),
            valves: Some(ValveState::Shut),
            since_inflating_s: None,
        },
    }
}

pub(crate) fn added((event, at): (EventId, Moment), part: &str) -> AirPast {
    AirPast {
        event,
        at,
        by: Author {
            key: [7; 32],
            station: None,
            member: String::new(),
        },
        air: AirChanged {
            part: PartId::from(part),
            direction: AirDirection::Added,
            before_pa: None,
            after_pa: None,
            air_mc: None,
            source: None,
            source_gear: None,
            source_after_kpa: None,
        },
    }
}

/// The history of what is made up.
pub(crate) fn history(made: &Made) -> History {
    let mut history = History::empty(START.plus_ms(made.weeks * 7 * DAY_MS));
    history.from = Some(START);
    let mut bay = Bay {
        made: *made,
        dice: Dice::of(made.seed),
        next: 0,
        parts: parts(),
    };
    for station in 0..made.stations {
        bay.fill(&mut history, station);
    }
    history
}

fn parts() -> Vec<String> {
    let standard = standard();
    let parts = standard.parts.iter().filter(|part| part.pressure.is_some());
    parts.map(|part| part.id.0.clone()).take(4).collect()
}

struct Bay {
    made: Made,
    dice: Dice,
    next: u32,
    parts: Vec<String>,
}

impl Bay {
    fn fill(&mut self, history: &mut History, station: u8) {
        let offsets: Vec<f64> = (0..self.made.gauges)
            .map(|n| {
                let id = subject(2, station, n);
                history
                    .gear
                    .insert(id, gauge(id, &format!("G-{station}{n}")));
                let is_first = station == 0 && n == 0;
                let own = (self.dice.normal() * 1.5).clamp(-5.0, 5.0);
                if is_first && self.made.off_mbar.abs() > 0.0 {
                    self.made.off_mbar
                } else {
                    own
                }
            })
            .collect();
        for n in 0..self.made.craft {
            let mut past = craft(
                subject(1, station, n),
                &format!("{station}{n}"),
                standard().model,
            );
            self.year(&mut past, station, &offsets);
            history.crafts.insert(past.id, past);
        }
    }

    /// Weekly checks; a chamber that is far too soft is topped up.
    fn year(&mut self, craft: &mut CraftPast, station: u8, offsets: &[f64]) {
        // At 15 °C; from tight to 1 mbar a day.
        let mut mbar: Vec<f64> = self.parts.iter().map(|_| 200.0).collect();
        let loss: Vec<f64> = self
            .parts
            .iter()
            .map(|_| self.dice.share() * 0.005)
            .collect();
        let mut before: Vec<f64> = mbar.clone();
        for week in 0..self.made.weeks {
            let night = self.dice.share() < 0.4;
            let hour = if night { 21 } else { 9 };
            let at = START.plus_ms((week * 7 * 24 + hour) * 3_600_000);
            let season =
                f64::from(i32::try_from(week).expect("weeks")) / 52.0 * std::f64::consts::TAU;
            let bay = 12.0 + 8.0 * libm::sin(season) + 2.5 * self.dice.normal();
            // The thermometer is read to a degree, and is not the fabric.
            let said = (bay + 0.7 * self.dice.normal()).round();
            let n = self.dice.below(offsets.len());
            let id = subject(2, station, u8::try_from(n).expect("few"));
            self.next += 1;
            let check = event(self.next);
            for (place, part) in self.parts.clone().iter().enumerate() {
                let seven = if week == 0 { 0.0 } else { 7.0 };
                mbar[place] *= libm::exp(-loss[place] * seven);
                let true_mbar = shows(mbar[place], bay);
                let noise = self.dice.normal();
                let is_first = station == 0 && n == 0;
                let wrote = match self.made.wrong {
                    Wrong::FirstGaugeSticks if is_first => 195.0,
                    Wrong::NightsCopy if night && station == 0 => before[place],
                    Wrong::Nobody | Wrong::FirstGaugeSticks | Wrong::NightsCopy => {
                        (true_mbar + offsets[n] + noise).round()
                    }
                };
                before[place] = wrote;
                craft
                    .readings
                    .push(read((check, at), part, Some(id), (wrote, said)));
                if mbar[place] < 170.0 {
                    self.next += 1;
                    craft
                        .air
                        .push(added((event(self.next), at.plus_ms(600_000)), part));
                    mbar[place] = 200.0;
                    before[place] = shows(mbar[place], bay).round();
                }
            }
        }
    }
}

/// What a gauge shows of a chamber with so much at 15 °C, mbar.
fn shows(mbar: f64, celsius: f64) -> f64 {
    let air = Air {
        temperature_mc: i32::try_from(whole(celsius * 1_000.0)).expect("a temperature"),
        ambient_pa: standard_pressure_pa(0),
    };
    corrected_gas(mbar * 100.0, REFERENCE, air) / 100.0
}

pub(crate) fn doubted_in(history: &History) -> Doubted {
    let standard = standard();
    let standards = BTreeMap::from([(standard.model.clone(), standard)]);
    doubted(Past {
        history,
        policy: &policy(),
        standards: &standards,
        stations: &BTreeMap::new(),
    })
}

#[expect(clippy::cast_possible_truncation, reason = "small numbers of a test")]
pub(crate) fn whole(number: f64) -> i64 {
    number.round() as i64
}
