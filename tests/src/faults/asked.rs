//! How many faults are tried, from which seed on and for how long, as the environment asks.
//!
//! `SPONSON_SEED=S` tries one seed again (hexadecimal), `SPONSON_ONLY=N` of it only the N-th fault,
//! `SPONSON_ROUNDS=N` tries N faults. `SPONSON_LONG=MINUTES` goes on with new ones until the time is
//! over, with seeds from `SPONSON_FROM` on (hexadecimal; the test's own without it).

use std::time::{Duration, Instant};

/// What the environment asks of a test.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Asked {
    /// The first seed, in place of the test's own.
    pub seed: Option<u64>,
    /// How many faults, in place of the test's own count.
    pub rounds: Option<u64>,
    /// Only this fault of the seed.
    pub only: Option<u64>,
    /// Go on for so long.
    pub long: Option<Duration>,
}

impl Asked {
    /// What is asked now.
    ///
    /// # Panics
    /// When a variable holds something else than its number.
    #[must_use]
    pub fn now() -> Self {
        Self::from(&|name| std::env::var(name).ok()).unwrap_or_else(|why| panic!("{why}"))
    }

    /// What variables ask; `SPONSON_SEED` goes before `SPONSON_FROM`.
    ///
    /// # Errors
    /// When one holds something else than its number.
    pub fn from(variable: &dyn Fn(&str) -> Option<String>) -> Result<Self, String> {
        let hexadecimal = |name: &str| {
            let seed = |text: String| {
                let digits = text.trim_start_matches("0x");
                u64::from_str_radix(digits, 16)
                    .map_err(|_| format!("{name} is '{text}', no hexadecimal number"))
            };
            variable(name).map(seed).transpose()
        };
        let count = |name: &str| {
            let number = |text: String| {
                text.parse()
                    .map_err(|_| format!("{name} is '{text}', no number"))
            };
            variable(name).map(number).transpose()
        };
        Ok(Self {
            seed: hexadecimal("SPONSON_SEED")?.or(hexadecimal("SPONSON_FROM")?),
            rounds: count("SPONSON_ROUNDS")?,
            only: count("SPONSON_ONLY")?,
            long: variable("SPONSON_LONG").map(minutes).transpose()?,
        })
    }

    /// Whether there is time for one more fault beyond those of the short form.
    #[must_use]
    pub fn goes_on(&self, begun: Instant) -> bool {
        self.only.is_none() && self.long.is_some_and(|long| begun.elapsed() < long)
    }
}

/// At most a week: more is a slip of the finger.
const MINUTES_MOST: f64 = 7.0 * 24.0 * 60.0;

fn minutes(text: String) -> Result<Duration, String> {
    let minutes: Option<f64> = text.parse().ok();
    let within = minutes.filter(|minutes| (0.0..=MINUTES_MOST).contains(minutes));
    let minutes = within
        .ok_or_else(|| format!("SPONSON_LONG is '{text}', no minutes from 0 to {MINUTES_MOST}"))?;
    Ok(Duration::from_secs_f64(minutes * 60.0))
}

/// The seed of a test: what is asked, else its own.
///
/// # Panics
/// When it is set to something else than a number.
#[must_use]
pub fn seed(own: u64) -> u64 {
    Asked::now().seed.unwrap_or(own)
}

/// How many faults a test tries in its short form: what `SPONSON_ROUNDS` says, else its own.
///
/// # Panics
/// When it is set to something else than a number.
#[must_use]
pub fn rounds(own: u64) -> u64 {
    Asked::now().rounds.unwrap_or(own)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_asked_is_read_and_what_is_no_number_is_refused() {
        let check = |set: &[(&str, &str)], expected: Result<Asked, &str>| {
            let variable = |name: &str| {
                let found = set.iter().find(|(other, _)| *other == name);
                found.map(|(_, value)| (*value).to_owned())
            };
            let read = Asked::from(&variable);
            assert_eq!(read, expected.map_err(str::to_owned), "{set:?}");
        };
        check(&[], Ok(Asked::default()));
        let seed = |seed| Asked {
            seed: Some(seed),
            ..Asked::default()
        };
        check(&[("SPONSON_SEED", "0x1f")], Ok(seed(31)));
        check(&[("SPONSON_FROM", "1f")], Ok(seed(31)));
        check(&[("SPONSON_FROM", "2"), ("SPONSON_SEED", "1")], Ok(seed(1)));
        let half = Asked {
            long: Some(Duration::from_secs(30)),
            only: Some(7),
            rounds: Some(9),
            ..Asked::default()
        };
        let set = [
            ("SPONSON_LONG", "0.5"),
            ("SPONSON_ONLY", "7"),
            ("SPONSON_ROUNDS", "9"),
        ];
        check(&set, Ok(half));
        for (name, value, refused) in [
            (
                "SPONSON_SEED",
                "boat",
                "SPONSON_SEED is 'boat', no hexadecimal number",
            ),
            ("SPONSON_ROUNDS", "-1", "SPONSON_ROUNDS is '-1', no number"),
            (
                "SPONSON_LONG",
                "-1",
                "SPONSON_LONG is '-1', no minutes from 0 to 10080",
            ),
            (
                "SPONSON_LONG",
                "NaN",
                "SPONSON_LONG is 'NaN', no minutes from 0 to 10080",
            ),
            (
                "SPONSON_LONG",
                "10081",
                "SPONSON_LONG is '10081', no minutes from 0 to 10080",
            ),
        ] {
            check(&[(name, value)], Err(refused));
        }
    }
}
