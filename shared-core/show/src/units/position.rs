//! A place on the Earth as people write it: `44.9,-103.2`, `44.9N 103.2W`.

use sponson_readiness::conditions::Position;

use super::UnitError;

/// Longest text that is looked at: `-44.1234567, -103.1234567` has 25.
const TEXT_MAX: usize = 48;

/// Reads latitude and longitude in degrees (WGS 84), north and east positive. Longitudes counted
/// round the Earth, up to 360, are taken.
///
/// # Errors
/// Names the field, the value and what is accepted.
pub fn position(field: &str, text: &str) -> Result<Position, UnitError> {
    let refused = || UnitError::NoPlace {
        field: field.to_owned(),
        value: crate::clean(text),
    };
    if text.len() > TEXT_MAX {
        return Err(refused());
    }
    let text = text.trim();
    let half = text.find(['N', 'n', 'S', 's']).map(|at| at + 1);
    let cut = text.find(',').or(half).or_else(|| text.find(' '));
    let (lat, lon) = text.split_at(cut.ok_or_else(refused)?);
    let lon = lon.trim_start_matches(',');
    let out_of_range = |range| UnitError::OutOfRange {
        field: field.to_owned(),
        value: crate::clean(text),
        range,
    };
    Ok(Position {
        lat_e7: degrees_e7(lat, ['N', 'S'])
            .ok_or_else(refused)?
            .filter(90)
            .ok_or_else(|| out_of_range("latitude from -90 to 90 degrees, the first of the two"))?,
        lon_e7: degrees_e7(lon, ['E', 'W'])
            .ok_or_else(refused)?
            .counted_both_ways()
            .filter(180)
            .ok_or_else(|| {
                out_of_range("longitude from -180 to 180 degrees, the second of the two")
            })?,
    })
}

/// Ten-millionths of a degree, of any size.
struct DegreesE7(f64);

impl DegreesE7 {
    /// A longitude counted round the Earth, up to 360 degrees, as one from -180 to 180.
    fn counted_both_ways(self) -> Self {
        let half = 180.0 * 1e7;
        match self.0 {
            past if past > half && past <= 2.0 * half => Self(past - 2.0 * half),
            past if past < -half && past >= -2.0 * half => Self(past + 2.0 * half),
            within => Self(within),
        }
    }

    #[expect(
        clippy::cast_possible_truncation,
        reason = "at most 1.8e9 of them are let through"
    )]
    fn filter(&self, most: u32) -> Option<i32> {
        let within = self.0.abs() <= f64::from(most) * 1e7;
        within.then(|| self.0.round() as i32)
    }
}

/// Degrees with a sign, or with the letter of a half of the Earth: the second is negative.
fn degrees_e7(text: &str, [positive, negative]: [char; 2]) -> Option<DegreesE7> {
    let text = text.trim().replace('\u{2212}', "-");
    let upper = text.to_ascii_uppercase();
    let halves = [(positive, 1.0), (negative, -1.0)];
    let half = halves
        .iter()
        .find_map(|(letter, sign)| Some((upper.strip_suffix(*letter)?, *sign)));
    let (number, sign) = half.unwrap_or((&upper, 1.0));
    let number = number.trim().trim_end_matches(['°', ' ']);
    let digits = |c: char| c.is_ascii_digit() || matches!(c, '.' | '-' | '+');
    if half.is_some() && number.starts_with(['-', '+']) || !number.chars().all(digits) {
        return None;
    }
    let degrees: f64 = number.parse().ok()?;
    Some(DegreesE7(sign * degrees * 1e7))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_read_as_people_write_them() {
        let cases = [
            ("44.9,-103.2", 449_000_000, -1_032_000_000),
            (" 44.9 , -103.2 ", 449_000_000, -1_032_000_000),
            ("44.9N,103.2W", 449_000_000, -1_032_000_000),
            ("44.9° n 103.2° w", 449_000_000, -1_032_000_000),
            ("33.8688S,151.2093E", -338_688_000, 1_512_093_000),
            ("\u{2212}33.8688,151.2093", -338_688_000, 1_512_093_000),
            ("90,180", 900_000_000, 1_800_000_000),
            ("-12.70631,285.90344", -127_063_100, -740_965_600),
            ("0.00000004,0.00000006", 0, 1),
        ];
        for (text, lat_e7, lon_e7) in cases {
            let found = position("--place", text).expect(text);
            assert_eq!((found.lat_e7, found.lon_e7), (lat_e7, lon_e7), "{text}");
        }
    }

    #[test]
    fn what_is_no_place_is_refused_with_the_way_to_write_one() {
        for text in [
            "",
            "44.9",
            "44.9;-103.2",
            "a,b",
            "-44.9N,1",
            "44.9W,103.2N",
            "1e1,2",
            "nan,nan",
        ] {
            let refusal = position("--place", text).expect_err(text).to_string();
            assert!(
                refusal.contains("--place") && refusal.contains("44.9,-103.2"),
                "{refusal}"
            );
        }
        for (text, named) in [
            ("91,0", "latitude"),
            ("0,360.1", "longitude"),
            ("-103.2,44.9", "latitude"),
        ] {
            let refusal = position("--place", text).expect_err(text).to_string();
            assert!(refusal.contains(named), "{refusal}");
        }
    }
}
