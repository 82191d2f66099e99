//! Quantities as people write them in a sheet: a number, a blank, a unit.
//!
//! Gives integers in base units. Knows nothing of what a quantity is for.

use super::StandardError;

/// Where a quantity stands, for the words of a refusal.
#[derive(Clone, Copy)]
pub(super) struct Spot<'a> {
    /// Line or part.
    pub(super) place: &'a str,
    /// Field.
    pub(super) field: &'static str,
}

impl Spot<'_> {
    /// Refuses a value: says what is allowed and how to put it right.
    pub(super) fn refuse(&self, value: &str, limit: &str) -> StandardError {
        StandardError::Value {
            place: self.place.to_owned(),
            field: self.field,
            value: value.to_owned(),
            limit: limit.to_owned(),
        }
    }

    /// Gauge or ambient pressure, pascal. 1 psi = 6894.757293168361 Pa (pound-force 4.4482216152605
    /// N on 25.4 mm squared).
    pub(super) fn pressure_pa(&self, text: &str) -> Result<i64, StandardError> {
        let scales = [
            ("Pa", 1.0),
            ("mbar", 100.0),
            ("hPa", 100.0),
            ("kPa", 1000.0),
            ("bar", 100_000.0),
            ("psi", 6_894.757_293_168_361),
        ];
        let limit = "give a pressure from 0 to 10 bar such as \"240 mbar\" or \"3.5 psi\"";
        self.scaled(text, &scales, 0.0..=1_000_000.0, limit)
    }

    /// Temperature, milli-degree Celsius.
    pub(super) fn temperature_mc(&self, text: &str) -> Result<i32, StandardError> {
        let limit = "give a temperature from -60 to 60 °C such as \"15 °C\" or \"59 °F\"";
        let (number, unit) = split(text).ok_or_else(|| self.refuse(text, limit))?;
        let celsius = match unit {
            "°C" | "C" => number,
            "°F" | "F" => (number - 32.0) * 5.0 / 9.0,
            _ => return Err(self.refuse(text, limit)),
        };
        if !(-60.0..=60.0).contains(&celsius) {
            return Err(self.refuse(text, limit));
        }
        self.narrow(rounded(celsius * 1000.0), text, limit)
    }

    /// Difference of temperature, milli-kelvin.
    pub(super) fn spread_mk(&self, text: &str) -> Result<u32, StandardError> {
        let limit = "give a difference from 0 to 40 °C such as \"8 °C\" or \"15 °F\"";
        let scales = [
            ("°C", 1000.0),
            ("C", 1000.0),
            ("K", 1000.0),
            ("°F", 5000.0 / 9.0),
            ("F", 5000.0 / 9.0),
        ];
        let value = self.scaled(text, &scales, 0.0..=40_000.0, limit)?;
        self.narrow(value, text, limit)
    }

    /// Mass, grams.
    pub(super) fn mass_g(&self, text: &str) -> Result<u32, StandardError> {
        let limit = "give a mass from 0 to 1000 kg such as \"95 lb\" or \"12 kg\"";
        let scales = [("g", 1.0), ("kg", 1000.0), ("lb", 453.592_37)];
        let value = self.scaled(text, &scales, 0.0..=1_000_000.0, limit)?;
        self.narrow(value, text, limit)
    }

    /// Density, grams a litre.
    pub(super) fn density_g_per_l(&self, text: &str) -> Result<u32, StandardError> {
        let limit = "give a density from 0.65 to 0.9 kg/L such as \"6.1 lb/gal\"";
        // A US gallon has 3.785411784 L.
        let scales = [
            ("kg/L", 1000.0),
            ("g/L", 1.0),
            ("lb/gal", 453.592_37 / 3.785_411_784),
        ];
        let value = self.scaled(text, &scales, 650.0..=900.0, limit)?;
        self.narrow(value, text, limit)
    }

    /// Length of a craft, millimetres.
    pub(super) fn length_mm(&self, text: &str) -> Result<u32, StandardError> {
        let limit = "give a length from 2 to 15 m such as \"15.5 ft\" or \"4.7 m\"";
        let scales = [("m", 1000.0), ("cm", 10.0), ("ft", 304.8)];
        let value = self.scaled(text, &scales, 2_000.0..=15_000.0, limit)?;
        self.narrow(value, text, limit)
    }

    /// How far apart two spots on a part may be, millimetres.
    pub(super) fn apart_mm(&self, text: &str) -> Result<u32, StandardError> {
        let limit = "give a distance from 0 to 5 m such as \"1 ft\" or \"300 mm\"";
        let scales = [
            ("mm", 1.0),
            ("cm", 10.0),
            ("m", 1000.0),
            ("in", 25.4),
            ("ft", 304.8),
        ];
        let value = self.scaled(text, &scales, 0.0..=5_000.0, limit)?;
        self.narrow(value, text, limit)
    }

    /// Elevation, millimetres.
    pub(super) fn elevation_mm(&self, text: &str) -> Result<i32, StandardError> {
        let limit = "give an elevation from -450 to 6000 m such as \"310 m\" or \"1000 ft\"";
        let scales = [("m", 1000.0), ("ft", 304.8)];
        let value = self.scaled(text, &scales, -450_000.0..=6_000_000.0, limit)?;
        self.narrow(value, text, limit)
    }

    /// Distance over the ground or water, metres.
    pub(super) fn distance_m(&self, text: &str) -> Result<u32, StandardError> {
        let limit = "give a distance from 0 to 100 km such as \"2 nmi\" or \"2 mi\"";
        let scales = [
            ("m", 1.0),
            ("km", 1000.0),
            ("ft", 0.3048),
            ("mi", 1_609.344),
            ("nmi", 1_852.0),
        ];
        let value = self.scaled(text, &scales, 0.0..=100_000.0, limit)?;
        self.narrow(value, text, limit)
    }

    /// Volume of fuel, millilitres. 1 US gallon = 3785.411784 ml.
    pub(super) fn volume_ml(&self, text: &str) -> Result<u32, StandardError> {
        let limit = "give a volume from 0 to 1000 l such as \"25 l\" or \"6 gal\"";
        let scales = [
            ("ml", 1.0),
            ("l", 1000.0),
            ("L", 1000.0),
            ("gal", 3_785.411_784),
        ];
        let value = self.scaled(text, &scales, 0.0..=1_000_000.0, limit)?;
        self.narrow(value, text, limit)
    }

    /// Speed of wind or water, millimetres a second. A knot is 1852 m an hour.
    pub(super) fn speed_mm_s(&self, text: &str) -> Result<u32, StandardError> {
        let limit = "give a speed from 0 to 60 m/s such as \"25 kn\" or \"5 m/s\"";
        let scales = [
            ("kn", 1_852_000.0 / 3_600.0),
            ("m/s", 1_000.0),
            ("mph", 447.04),
            ("km/h", 1_000.0 / 3.6),
        ];
        let value = self.scaled(text, &scales, 0.0..=60_000.0, limit)?;
        self.narrow(value, text, limit)
    }

    /// Length of time, seconds.
    pub(super) fn time_s(&self, text: &str) -> Result<u32, StandardError> {
        let limit = "give a time from 0 s to 20000 h such as \"2 h\" or \"60 min\"";
        let scales = [("s", 1.0), ("min", 60.0), ("h", 3600.0), ("hours", 3600.0)];
        let value = self.scaled(text, &scales, 0.0..=72_000_000.0, limit)?;
        self.narrow(value, text, limit)
    }

    /// Room on a disk, bytes: 1 MB is 1,000,000.
    pub(super) fn bytes(&self, text: &str) -> Result<u64, StandardError> {
        let limit = "give from 1 MB to 100 GB such as \"200 MB\"";
        let scales = [("MB", 1_000_000.0), ("GB", 1_000_000_000.0)];
        let value = self.scaled(text, &scales, 1_000_000.0..=100_000_000_000.0, limit)?;
        self.narrow(value, text, limit)
    }

    /// Whole days.
    pub(super) fn days(&self, text: &str) -> Result<u32, StandardError> {
        let limit = "give whole days from 0 to 3660 such as \"7 days\"";
        self.whole(text, &["day", "days"], 3_660, limit)
    }

    /// Whole months.
    pub(super) fn months(&self, text: &str) -> Result<u32, StandardError> {
        let limit = "give whole months from 1 to 240 such as \"42 months\"";
        let months = self.whole(text, &["month", "months"], 240, limit)?;
        if months == 0 {
            return Err(self.refuse(text, limit));
        }
        Ok(months)
    }

    fn whole(
        &self,
        text: &str,
        units: &[&str],
        most: u32,
        limit: &str,
    ) -> Result<u32, StandardError> {
        let scales: Vec<(&str, f64)> = units.iter().map(|unit| (*unit, 1.0)).collect();
        let (number, _) = split(text).ok_or_else(|| self.refuse(text, limit))?;
        if number.fract() != 0.0 {
            return Err(self.refuse(text, limit));
        }
        let value = self.scaled(text, &scales, 0.0..=f64::from(most), limit)?;
        self.narrow(value, text, limit)
    }

    fn scaled(
        &self,
        text: &str,
        scales: &[(&str, f64)],
        allowed: std::ops::RangeInclusive<f64>,
        limit: &str,
    ) -> Result<i64, StandardError> {
        let (number, unit) = split(text).ok_or_else(|| self.refuse(text, limit))?;
        let (_, scale) = scales
            .iter()
            .find(|(name, _)| *name == unit)
            .ok_or_else(|| self.refuse(text, limit))?;
        let value = number * scale;
        if !allowed.contains(&value) {
            return Err(self.refuse(text, limit));
        }
        Ok(rounded(value))
    }

    fn narrow<T: TryFrom<i64>>(
        &self,
        value: i64,
        text: &str,
        limit: &str,
    ) -> Result<T, StandardError> {
        T::try_from(value).map_err(|_| self.refuse(text, limit))
    }
}

/// Parts number from unit: at the first blank, or where the digits end.
fn split(text: &str) -> Option<(f64, &str)> {
    let text = text.trim();
    let end =
        text.find(|letter: char| !(letter.is_ascii_digit() || matches!(letter, '.' | '-' | '+')))?;
    let (number, unit) = text.split_at(end);
    let number: f64 = number.parse().ok()?;
    Some((number, unit.trim()))
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "every caller has checked a range far inside that of i64"
)]
fn rounded(value: f64) -> i64 {
    value.round() as i64
}

#[cfg(test)]
mod tests {
    use super::Spot;

    const SPOT: Spot<'static> = Spot {
        place: "test",
        field: "value",
    };

    #[test]
    fn quantities_read_as_people_write_them() {
        assert_eq!(SPOT.pressure_pa("240 mbar"), Ok(24_000));
        assert_eq!(SPOT.pressure_pa("3.5 psi"), Ok(24_132));
        assert_eq!(SPOT.pressure_pa("3.5psi"), Ok(24_132));
        assert_eq!(SPOT.temperature_mc("-5 °C"), Ok(-5_000));
        assert_eq!(SPOT.temperature_mc("59 °F"), Ok(15_000));
        assert_eq!(SPOT.mass_g("95 lb"), Ok(43_091));
        assert_eq!(SPOT.time_s("2 h"), Ok(7_200));
        assert_eq!(SPOT.days("7 days"), Ok(7));
        assert_eq!(SPOT.months("42 months"), Ok(42));
        assert_eq!(SPOT.elevation_mm("1000 ft"), Ok(304_800));
        assert_eq!(SPOT.density_g_per_l("6.1 lb/gal"), Ok(731));
        assert_eq!(SPOT.length_mm("16 ft"), Ok(4_877));
        assert_eq!(SPOT.spread_mk("18 °F"), Ok(10_000));
    }

    #[test]
    fn a_quantity_that_cannot_be_is_refused_with_its_limit() {
        for text in ["", "240", "mbar", "240 lb", "-1 mbar", "11 bar", "NaN mbar"] {
            let refusal = SPOT.pressure_pa(text).expect_err("not a pressure");
            assert!(refusal.to_string().contains("240 mbar"), "{refusal}");
        }
        assert!(SPOT.days("1.5 days").is_err());
        assert!(SPOT.months("0 months").is_err());
        assert!(SPOT.temperature_mc("200 °F").is_err());
    }
}
