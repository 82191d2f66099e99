//! The air that a part wants, in words: free air, what is left in a cylinder, strokes of a pump.

use serde_json::Value;
use sponson_readiness::air::{Amount, Cylinder, From, Pump, Reference, TopUp};
use sponson_readiness::pressure::Air;
use sponson_readiness::standard::AirPolicy;

use super::Reckoned;
use super::cylinder::{LEMMON, bar, litres, psi, psi_and_bar};

/// What is asked: base units, as everywhere.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct AirAsked {
    /// Volume of the part, millilitres.
    pub volume_ml: u32,
    /// Gauge that it has, pascal.
    pub gauge_pa: i64,
    /// Gauge that it is to have, pascal.
    pub to_pa: i64,
    /// Temperature of the part, the air round it and the cylinder, milli-degree Celsius.
    pub temperature_mc: i32,
    /// Ambient pressure, pascal; the standard one when not given.
    pub ambient_pa: Option<u32>,
    /// Temperature at which free air is told, milli-degree Celsius.
    pub reference_mc: Option<i32>,
    /// Water volume in millilitres and gauge in pascal of a cylinder.
    pub cylinder: Option<(u32, i64)>,
    /// A pump.
    pub pump: Option<PumpAsked>,
    /// Growth of the part from slack to the wanted gauge, parts per million.
    pub growth_ppm: Option<u32>,
}

/// A pump as asked about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PumpAsked {
    /// Volume of a stroke, millilitres.
    pub stroke_ml: u32,
    /// Greatest gauge that it reaches, pascal.
    pub most_pa: Option<i64>,
    /// Share of each stroke that does not arrive, parts per million.
    pub losses_ppm: Option<u32>,
}

/// The air that brings a part from one gauge to another, and where it may come from.
#[must_use]
pub fn air(asked: &AirAsked, policy: &AirPolicy) -> Reckoned {
    let ambient_pa = asked.ambient_pa.unwrap_or(Reference::STANDARD_PA);
    let here = Air {
        temperature_mc: asked.temperature_mc,
        ambient_pa: f64::from(ambient_pa),
    };
    let reference = Reference {
        temperature_mc: asked.reference_mc.unwrap_or(policy.reference_mc),
        pressure_pa: Reference::STANDARD_PA,
    };
    let wanted = asked.wanted(asked.growth_ppm.unwrap_or(0), here);
    let grown = asked.wanted(asked.growth_ppm.unwrap_or(policy.growth_ppm), here);
    let mut told = Told {
        asked,
        here,
        reckoned: Reckoned {
            what: "air",
            given: given(asked, ambient_pa, reference),
            figures: vec![
                ("free_air_l", litres(wanted.free_ml(reference)).into()),
                ("free_air_grown_l", litres(grown.free_ml(reference)).into()),
            ],
            lines: Vec::new(),
            assumed: Vec::new(),
            sources: vec![LEMMON.to_owned()],
        },
    };
    told.amounts(wanted, grown, reference, policy);
    told.cylinder(wanted);
    told.pump(wanted);
    told.assume(policy);
    told.reckoned
}

impl AirAsked {
    fn wanted(&self, growth_ppm: u32, here: Air) -> Amount {
        let top_up = TopUp {
            volume_ml: u64::from(self.volume_ml),
            from: From::GaugePa(self.gauge_pa),
            to_pa: self.to_pa,
            growth_ppm,
        };
        top_up.wanted(here)
    }
}

fn given(asked: &AirAsked, ambient_pa: u32, at: Reference) -> Vec<(&'static str, Value)> {
    let (water_ml, cylinder_pa) = asked.cylinder.unzip();
    vec![
        ("volume_ml", asked.volume_ml.into()),
        ("gauge_pa", asked.gauge_pa.into()),
        ("to_pa", asked.to_pa.into()),
        ("temperature_mc", asked.temperature_mc.into()),
        ("ambient_pa", ambient_pa.into()),
        ("reference_mc", at.temperature_mc.into()),
        ("reference_pa", at.pressure_pa.into()),
        ("growth_ppm", asked.growth_ppm.into()),
        ("cylinder_water_ml", water_ml.into()),
        ("cylinder_gauge_pa", cylinder_pa.into()),
        (
            "pump_stroke_ml",
            asked.pump.map(|pump| pump.stroke_ml).into(),
        ),
        (
            "pump_most_pa",
            asked.pump.and_then(|pump| pump.most_pa).into(),
        ),
        (
            "pump_losses_ppm",
            asked.pump.and_then(|pump| pump.losses_ppm).into(),
        ),
    ]
}

struct Told<'a> {
    asked: &'a AirAsked,
    here: Air,
    reckoned: Reckoned,
}

impl Told<'_> {
    fn say(&mut self, line: String) {
        self.reckoned.lines.push(line);
    }

    fn figure(&mut self, name: &'static str, value: impl Into<Value>) {
        self.reckoned.figures.push((name, value.into()));
    }

    fn amounts(&mut self, wanted: Amount, grown: Amount, at: Reference, policy: &AirPolicy) {
        let asked = self.asked;
        self.say(format!(
            "{} of free air (at {}, 1013 hPa) brings {} from {} to {}",
            litres_text(wanted.free_ml(at)),
            celsius(at.temperature_mc),
            litres_text(u64::from(asked.volume_ml)),
            small(asked.gauge_pa),
            small(asked.to_pa),
        ));
        if asked.growth_ppm.is_none() {
            self.say(format!(
                "a tube that grows by {} as it fills wants {}: count on that",
                percent(policy.growth_ppm),
                litres_text(grown.free_ml(at)),
            ));
            let common = "growth of a tube: common practice, no source; no measured figure is \
                          published";
            self.reckoned.sources.push(common.to_owned());
        }
    }

    fn cylinder(&mut self, wanted: Amount) {
        let Some((water_volume_ml, gauge_pa)) = self.asked.cylinder else {
            for name in ["cylinder_after_psi", "cylinder_after_pa", "cylinders"] {
                self.figure(name, Value::Null);
            }
            return;
        };
        let cylinder = Cylinder {
            water_volume_ml,
            gauge_pa,
            read_in: self.here,
        };
        let after = cylinder.after_pa(wanted, self.asked.to_pa, self.here);
        let count = cylinder.count(wanted, self.asked.to_pa, self.here);
        self.figure("cylinder_after_psi", after.map(psi));
        self.figure("cylinder_after_pa", after);
        self.figure("cylinders", count);
        let name = format!(
            "a cylinder of {} at {}",
            litres_text(u64::from(water_volume_ml)),
            psi_and_bar(gauge_pa)
        );
        self.say(match (after, count) {
            (Some(after), _) => format!("{name}: {} left in it", psi_and_bar(after)),
            (None, Some(count)) => format!("{name} cannot do it alone: {count} such are needed"),
            (None, None) => format!("{name} gives nothing at that gauge"),
        });
        self.say(
            "from a cylinder only through a regulator and only into a part with a working relief \
             valve; at and below 0 °C it may be iced: go by the gauge; keel, floor and other parts \
             without one: hand or foot pump"
                .to_owned(),
        );
    }

    fn pump(&mut self, wanted: Amount) {
        let Some(asked) = self.asked.pump else {
            self.figure("strokes", Value::Null);
            return;
        };
        let reaches = asked
            .most_pa
            .is_none_or(|most_pa| most_pa >= self.asked.to_pa);
        let pump = Pump {
            stroke_ml: asked.stroke_ml,
            losses_ppm: asked.losses_ppm.unwrap_or(0),
        };
        let strokes = pump.strokes(wanted, self.here).filter(|_| reaches);
        self.figure("strokes", strokes);
        let stroke = litres_text(u64::from(asked.stroke_ml));
        self.say(match (strokes, asked.most_pa) {
            (Some(strokes), _) => format!("{strokes} strokes of {stroke}"),
            (None, Some(most_pa)) if !reaches => format!(
                "the pump reaches only {}: it cannot bring the part to {}",
                small(most_pa),
                small(self.asked.to_pa)
            ),
            (None, _) => "the pump gives nothing".to_owned(),
        });
    }

    fn assume(&mut self, policy: &AirPolicy) {
        let asked = self.asked;
        let mut assume = |is_so: bool, said: String| {
            if is_so {
                self.reckoned.assumed.push(said);
            }
        };
        assume(
            asked.ambient_pa.is_none(),
            "air pressure 1013.25 hPa, that at sea level".to_owned(),
        );
        assume(
            asked.reference_mc.is_none(),
            format!("free air told at {}", celsius(policy.reference_mc)),
        );
        assume(
            asked.growth_ppm.is_none(),
            "the part keeps its volume, but for the line that says otherwise".to_owned(),
        );
        assume(
            asked.pump.is_some_and(|pump| pump.losses_ppm.is_none()),
            "nothing of a stroke is lost past piston, hose and valve: more strokes are likely"
                .to_owned(),
        );
        assume(
            true,
            "dry air; part, cylinder and the air round them at one temperature, settled: a \
             cylinder that just gave air is colder and reads lower"
                .to_owned(),
        );
    }
}

fn litres_text(ml: u64) -> String {
    format!("{:.1} L", litres(ml))
}

fn celsius(mc: i32) -> String {
    format!("{} °C", f64::from(mc) / 1000.0)
}

fn percent(ppm: u32) -> String {
    format!("{} %", f64::from(ppm) / 10_000.0)
}

/// A gauge of a part: `3.41 psi (235 mbar)`.
fn small(pa: i64) -> String {
    format!("{:.2} psi ({:.0} mbar)", psi(pa), bar(pa) * 1000.0)
}

#[cfg(test)]
mod tests {
    use sponson_readiness::standard::Policy;

    use super::*;
    use crate::reckoned::figure;

    /// 900 L from 165 to 235 mbar at 10 °C, a 6.8 L cylinder of 4,500 psi.
    const ASKED: AirAsked = AirAsked {
        volume_ml: 900_000,
        gauge_pa: 16_500,
        to_pa: 23_500,
        temperature_mc: 10_000,
        ambient_pa: None,
        reference_mc: None,
        cylinder: Some((6_800, 31_026_408)),
        pump: None,
        growth_ppm: None,
    };

    fn told(asked: &AirAsked) -> Reckoned {
        let policy = Policy::parse(Policy::default_text()).expect("settings");
        air(asked, &policy.free_air)
    }

    /// Source: top-up-air.csv, 910 L at 10 °C takes 62.909 L counted there; so many litres at 15 °C
    /// are 288.15 / 283.15 times as many.
    #[test]
    fn figures_of_a_top_up() {
        let told = told(&ASKED);
        let wanted = 62.909 * 900.0 / 910.0 * 288.15 / 283.15;
        let free = figure(&told, "free_air_l").expect("litres");
        assert!(
            (free - wanted).abs() < wanted * 0.001,
            "{free}, not {wanted}"
        );
        let grown = figure(&told, "free_air_grown_l").expect("litres");
        assert!(grown > free * 1.05 && grown < free * 1.2, "{grown}");
        let after = figure(&told, "cylinder_after_psi").expect("psi");
        assert!((4_250.0..4_350.0).contains(&after), "{after}");
        assert_eq!(figure(&told, "cylinders"), Some(1.0));
        assert_eq!(figure(&told, "strokes"), None);
    }

    #[test]
    fn free_air_told_where_it_is_filled_is_that_of_the_reference() {
        let told = told(&AirAsked {
            volume_ml: 910_000,
            reference_mc: Some(10_000),
            ..ASKED
        });
        let free = figure(&told, "free_air_l").expect("litres");
        assert!((free - 62.909).abs() < 0.01, "{free}");
    }

    #[test]
    fn what_is_said_warns_of_high_pressure_and_of_growth() {
        let text = told(&ASKED).to_text();
        for said in [
            "only into a part with a working relief valve",
            "it may be iced: go by the gauge",
            "hand or foot pump",
            "a tube that grows by 2 % as it fills wants",
            "assumed: air pressure 1013.25 hPa",
            "source: air as a real gas: Lemmon",
            "common practice, no source",
        ] {
            assert!(text.contains(said), "{said} not in {text}");
        }
        let grown = told(&AirAsked {
            growth_ppm: Some(20_000),
            ..ASKED
        });
        assert!(!grown.to_text().contains("grows by"), "it was given");
        assert_eq!(
            figure(&grown, "free_air_l"),
            figure(&grown, "free_air_grown_l")
        );
    }

    #[test]
    fn a_cylinder_that_cannot_do_it_alone_says_how_many_do() {
        let told = told(&AirAsked {
            cylinder: Some((1_000, 2_000_000)),
            ..ASKED
        });
        assert_eq!(figure(&told, "cylinder_after_psi"), None);
        // 62.2 L against some 17 L each.
        assert_eq!(figure(&told, "cylinders"), Some(4.0));
        assert!(
            told.to_text()
                .contains("cannot do it alone: 4 such are needed")
        );
    }

    #[test]
    fn strokes_of_a_pump_that_reaches_and_none_of_one_that_does_not() {
        let pumped = |most_pa| {
            let pump = PumpAsked {
                stroke_ml: 2_000,
                most_pa,
                losses_ppm: None,
            };
            told(&AirAsked {
                pump: Some(pump),
                ..ASKED
            })
        };
        assert_eq!(figure(&pumped(None), "strokes"), Some(32.0));
        assert_eq!(figure(&pumped(Some(40_000)), "strokes"), Some(32.0));
        let weak = pumped(Some(20_000));
        assert_eq!(figure(&weak, "strokes"), None);
        assert!(
            weak.to_text().contains("reaches only"),
            "{}",
            weak.to_text()
        );
    }
}
