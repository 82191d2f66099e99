//! What a cylinder holds, in words, and what its gauge shows at another temperature.

use serde_json::Value;
use sponson_readiness::air::{Cylinder, Reference, breathing_s, of_pressure, test_pressure_pa};
use sponson_readiness::pressure::Air;
use sponson_readiness::standard::AirPolicy;

use super::Reckoned;

/// Where the equation of state comes from.
pub(super) const LEMMON: &str = "air as a real gas: Lemmon, Jacobsen, Penoncello, Friend, J. Phys. \
                                 Chem. Ref. Data 29 (2000) 331";

/// Service pressures are marked for this temperature: 70 °F, milli-degree Celsius.
const MARKED_AT_MC: i32 = 21_111;

/// What is asked: base units, as everywhere.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CylinderAsked {
    /// Water volume, millilitres.
    pub water_volume_ml: u32,
    /// Gauge, pascal.
    pub gauge_pa: i64,
    /// Its temperature, milli-degree Celsius.
    pub temperature_mc: i32,
    /// Another temperature, milli-degree Celsius.
    pub to_mc: Option<i32>,
    /// Temperature at which free air is told, milli-degree Celsius.
    pub reference_mc: Option<i32>,
    /// Service pressure, pascal.
    pub service_pa: Option<i64>,
}

/// What a cylinder holds, and what its gauge shows at another temperature with no air used.
#[must_use]
pub fn cylinder(asked: &CylinderAsked, policy: &AirPolicy) -> Reckoned {
    let cylinder = Cylinder {
        water_volume_ml: asked.water_volume_ml,
        gauge_pa: asked.gauge_pa,
        read_in: at(asked.temperature_mc),
    };
    let reference = Reference {
        temperature_mc: asked.reference_mc.unwrap_or(policy.reference_mc),
        pressure_pa: Reference::STANDARD_PA,
    };
    let free_ml = cylinder.holds().free_ml(reference);
    let after = asked.to_mc.map(|to_mc| cylinder.gauge_in_pa(at(to_mc)));
    let breathing = breathing_s(free_ml, policy.breathing_ml_min);
    let mut reckoned = Reckoned {
        what: "cylinder",
        given: given(asked, reference),
        figures: vec![
            ("free_air_l", litres(free_ml).into()),
            ("gauge_after_psi", after.map(psi).into()),
            ("gauge_after_pa", after.into()),
            ("breathing_min", breathing.map(|s| s / 60).into()),
        ],
        lines: vec![format!(
            "{:.0} L of free air (at {} °C, 1013 hPa)",
            litres(free_ml),
            f64::from(reference.temperature_mc) / 1000.0
        )],
        assumed: vec!["dry air, settled; air pressure outside 1013.25 hPa".to_owned()],
        sources: vec![LEMMON.to_owned()],
    };
    if let (Some(after), Some(to_mc)) = (after, asked.to_mc) {
        let to = f64::from(to_mc) / 1000.0;
        let line = format!("at {to} °C its gauge shows {}", psi_and_bar(after));
        reckoned.lines.push(line);
    }
    if let Some(seconds) = breathing {
        reckoned.lines.push(format!(
            "{} min of breathing at {} L a minute: a breathing set spent on a boat is a \
             firefighter's air",
            seconds / 60,
            policy.breathing_ml_min / 1000
        ));
        let rate = "breathing rate: NFPA 1981, 1,200 L for 30 min, community.nfpa.org/thread/42472";
        reckoned.sources.push(rate.to_owned());
    }
    if asked.reference_mc.is_none() {
        let reference = f64::from(policy.reference_mc) / 1000.0;
        reckoned
            .assumed
            .push(format!("free air told at {reference} °C"));
    }
    service(asked, &cylinder, policy, &mut reckoned);
    reckoned
}

fn given(asked: &CylinderAsked, reference: Reference) -> Vec<(&'static str, Value)> {
    vec![
        ("water_volume_ml", asked.water_volume_ml.into()),
        ("gauge_pa", asked.gauge_pa.into()),
        ("temperature_mc", asked.temperature_mc.into()),
        ("to_mc", asked.to_mc.into()),
        ("reference_mc", reference.temperature_mc.into()),
        ("reference_pa", reference.pressure_pa.into()),
        ("service_pa", asked.service_pa.into()),
    ]
}

/// Least charge and test pressure, where the service pressure is given.
fn service(
    asked: &CylinderAsked,
    cylinder: &Cylinder,
    policy: &AirPolicy,
    reckoned: &mut Reckoned,
) {
    let service_pa = asked.service_pa.and_then(|pa| u64::try_from(pa).ok());
    let least = service_pa.map(|pa| whole_pa(of_pressure(pa, policy.least_charge_ppm)));
    // Every kind of cylinder in the table has five thirds.
    let test = service_pa
        .and_then(|pa| test_pressure_pa(pa, (5, 3)))
        .map(whole_pa);
    let marked = cylinder.gauge_in_pa(at(MARKED_AT_MC));
    let charge = asked.service_pa.map(|_| psi(marked));
    reckoned.figures.extend([
        ("least_charge_psi", least.map(psi).into()),
        ("test_psi", test.map(psi).into()),
        ("gauge_at_70f_psi", charge.into()),
    ]);
    let (Some(least), Some(test)) = (least, test) else {
        return;
    };
    let share = f64::from(policy.least_charge_ppm) / 10_000.0;
    let word = if marked >= least {
        "is enough"
    } else {
        "is not: recharge it"
    };
    reckoned.lines.push(format!(
        "at 70 °F it shows {}; {share} % of its service pressure is {}, so it {word}",
        psi_and_bar(marked),
        psi_and_bar(least),
    ));
    reckoned
        .lines
        .push(format!("its test is held at {}", psi_and_bar(test)));
    reckoned.sources.extend([
        "least charge: 29 CFR 1910.134(h)(3)(i)(B), from memory".to_owned(),
        "test at five thirds of service pressure: 49 CFR 180.209(a) table 1".to_owned(),
    ]);
}

fn at(temperature_mc: i32) -> Air {
    Air {
        temperature_mc,
        ambient_pa: f64::from(Reference::STANDARD_PA),
    }
}

/// Litres to the millilitre.
#[expect(
    clippy::cast_precision_loss,
    reason = "volumes here are far below 2^53 millilitres"
)]
pub(super) fn litres(ml: u64) -> f64 {
    ml as f64 / 1000.0
}

/// Pounds-force per square inch, to a thousandth.
pub(super) fn psi(pa: i64) -> f64 {
    (bar(pa) * 100_000.0 / 6_894.757_293_168_361 * 1000.0).round() / 1000.0
}

#[expect(
    clippy::cast_precision_loss,
    reason = "pressures here are far below 2^53 pascal"
)]
pub(super) fn bar(pa: i64) -> f64 {
    pa as f64 / 100_000.0
}

/// A gauge of a cylinder: `4500 psi (310 bar)`.
pub(super) fn psi_and_bar(pa: i64) -> String {
    format!("{:.0} psi ({:.0} bar)", psi(pa), bar(pa))
}

fn whole_pa(pa: u64) -> i64 {
    i64::try_from(pa).unwrap_or(i64::MAX)
}

#[cfg(test)]
mod tests {
    use sponson_readiness::standard::Policy;

    use super::*;
    use crate::reckoned::figure;

    const ASKED: CylinderAsked = CylinderAsked {
        water_volume_ml: 6_800,
        gauge_pa: 31_026_408,
        temperature_mc: 21_000,
        to_mc: Some(0),
        reference_mc: None,
        service_pa: None,
    };

    fn told(asked: &CylinderAsked) -> Reckoned {
        let policy = Policy::parse(Policy::default_text()).expect("settings");
        cylinder(asked, &policy.free_air)
    }

    /// Source: cylinder-free-air.csv, 6.0 L of 4,500 psi at 21 °C hold 1618.1 L at 15 °C, 1652.6 L
    /// at 21.11 °C; 1 %.
    #[test]
    fn figures_of_a_full_cylinder() {
        let full = told(&ASKED);
        let free = figure(&full, "free_air_l").expect("litres");
        assert!((free - 1_618.1 * 6.8 / 6.0).abs() < 1.0, "{free}");
        // cylinder-temperature.csv: 3753.5 psi at -10 °C, 4236.0 psi at 10 °C.
        for (to_mc, wanted) in [(-10_000, 3_753.5), (10_000, 4_236.0)] {
            let to_mc = Some(to_mc);
            let after = figure(&told(&CylinderAsked { to_mc, ..ASKED }), "gauge_after_psi");
            let after = after.expect("psi");
            assert!((after - wanted).abs() < wanted * 0.001, "{after}");
        }
        let minutes = figure(&full, "breathing_min").expect("minutes");
        assert!((minutes - 45.0).abs() < 0.1, "{minutes}");
        let at_70f = told(&CylinderAsked {
            reference_mc: Some(21_110),
            ..ASKED
        });
        let free = figure(&at_70f, "free_air_l").expect("litres");
        assert!((free - 1_652.6 * 6.8 / 6.0).abs() < 1.0, "{free}");
        for name in ["least_charge_psi", "test_psi", "gauge_at_70f_psi"] {
            assert_eq!(figure(&full, name), None);
        }
        let as_it_is = told(&CylinderAsked {
            to_mc: None,
            ..ASKED
        });
        assert_eq!(figure(&as_it_is, "gauge_after_psi"), None);
    }

    /// Rows 53 and 55: 49 CFR 180.209, five thirds; 29 CFR 1910.134(h)(3), from memory, nine tenths.
    #[test]
    fn least_charge_and_test_of_a_service_pressure() {
        let asked = CylinderAsked {
            service_pa: Some(31_026_408),
            ..ASKED
        };
        let full = told(&asked);
        assert_eq!(figure(&full, "least_charge_psi"), Some(4_050.0));
        assert_eq!(figure(&full, "test_psi"), Some(7_500.0));
        assert!(full.to_text().contains("is enough"), "{}", full.to_text());
        // Cold: it reads less and holds as much.
        let cold = told(&CylinderAsked {
            gauge_pa: 28_041_000,
            temperature_mc: 0,
            ..asked
        });
        assert!(cold.to_text().contains("is enough"), "{}", cold.to_text());
        let low = told(&CylinderAsked {
            gauge_pa: 24_000_000,
            ..asked
        });
        assert!(low.to_text().contains("recharge it"), "{}", low.to_text());
        assert!(low.to_text().contains("a firefighter's air"));
    }
}
