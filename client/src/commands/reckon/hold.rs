//! `reckon hold`: what a part lost in a hold test, once temperature and weather are taken out.

use clap::Args;
use sponson_readiness::leak::{HoldEnd, HoldTest};
use sponson_readiness::pressure::Air;
use sponson_readiness::standard::Policy;
use sponson_show::reckoned::{self, Reckoned};
use sponson_show::{clean, units};

use crate::error::CommandError;

/// Ambient pressure where none was given: the standard atmosphere at sea level, pascal. Taken the
/// same at both ends, its height does not matter to the linear rule, and little to the gas law.
const AMBIENT_PA: f64 = 101_325.0;

/// What a part lost in a hold test, after temperature and weather, and whether it held.
///
/// 24 hours or more are judged by the 24-hour test (30 mbar), less by the one-hour test at working
/// pressure (5 %). Leave the part alone meanwhile: same gauge, valves shut, nobody leaning on it.
#[derive(Args, Debug)]
pub(super) struct HoldArgs {
    #[command(flatten)]
    ends: HoldEnds,
    /// How long it was left alone, hours.
    #[arg(long, value_name = "HOURS")]
    hours: String,
}

/// The two ends of a hold test, as typed.
#[derive(Args, Clone, Debug)]
pub(crate) struct HoldEnds {
    /// Gauge and temperature at the start, for example 260mbar@80F.
    #[arg(long, value_name = "PRESSURE@TEMPERATURE")]
    pub(crate) start: String,
    /// Gauge and temperature at the end.
    #[arg(long, value_name = "PRESSURE@TEMPERATURE")]
    pub(crate) end: String,
    /// Air pressure at the start, as a barometer at the place shows it, for example 1013hPa.
    #[arg(long, value_name = "PRESSURE")]
    pub(crate) ambient_start: Option<String>,
    /// Air pressure at the end.
    #[arg(long, value_name = "PRESSURE")]
    pub(crate) ambient_end: Option<String>,
}

impl HoldArgs {
    /// # Errors
    /// When a value cannot be.
    pub(super) fn reckon(&self) -> Result<Reckoned, CommandError> {
        let policy = default_policy()?;
        let held = read(&self.ends, &self.hours)?;
        Ok(reckoned::hold(&held.test, &policy.hold, held.assumed))
    }
}

fn default_policy() -> Result<Policy, CommandError> {
    Policy::parse(Policy::default_text()).map_err(|error| CommandError::Refused {
        field: "policy".to_owned(),
        value: "the one that comes with the program".to_owned(),
        limit: error.to_string(),
    })
}

/// A hold test as typed.
pub(crate) struct Held {
    pub(crate) test: HoldTest,
    /// Whether the temperatures were given; else they are taken to be the same.
    pub(crate) has_temperatures: bool,
    /// Whether the air pressures were given; else they are taken to be the same.
    pub(crate) has_ambient: bool,
    /// What was not given, a sentence each.
    pub(crate) assumed: Vec<String>,
}

/// Reads a hold test, and says what was not given.
///
/// # Errors
/// When a value cannot be, or only one of a pair was given.
pub(crate) fn read(ends: &HoldEnds, hours: &str) -> Result<Held, CommandError> {
    let mut assumed = Vec::new();
    let start = one_end("--start", &ends.start)?;
    let end = one_end("--end", &ends.end)?;
    let (start_mc, end_mc) = match (start.1, end.1) {
        (Some(start_mc), Some(end_mc)) => (start_mc, end_mc),
        (None, None) => {
            assumed.push("the temperature was the same at both ends".to_owned());
            (15_000, 15_000)
        }
        (Some(_), None) => return Err(half("--end", &ends.end, "temperature")),
        (None, Some(_)) => return Err(half("--start", &ends.start, "temperature")),
    };
    let ambient = |field, text: &Option<String>| {
        let read = text
            .as_deref()
            .map(|text| units::absolute(field, text, None));
        read.transpose()
    };
    let (start_pa, end_pa) = match (
        ambient("--ambient-start", &ends.ambient_start)?,
        ambient("--ambient-end", &ends.ambient_end)?,
    ) {
        (Some(start), Some(end)) => (whole(start.0), whole(end.0)),
        (None, None) => {
            assumed.push(
                "the air pressure was the same at both ends, 1013.25 hPa; weather moves a gauge \
                 mbar for mbar"
                    .to_owned(),
            );
            (AMBIENT_PA, AMBIENT_PA)
        }
        (Some(_), None) => return Err(half("--ambient-end", "missing", "air pressure")),
        (None, Some(_)) => return Err(half("--ambient-start", "missing", "air pressure")),
    };
    let held = |gauge_pa, temperature_mc, ambient_pa| HoldEnd {
        gauge_pa,
        air: Air {
            temperature_mc,
            ambient_pa,
        },
    };
    let test = HoldTest {
        start: held(start.0, start_mc, start_pa),
        end: held(end.0, end_mc, end_pa),
        duration_s: duration_s(hours)?,
    };
    Ok(Held {
        test,
        has_temperatures: start.1.is_some(),
        has_ambient: ends.ambient_start.is_some(),
        assumed,
    })
}

/// `260mbar@80F`, or the gauge alone.
fn one_end(field: &'static str, text: &str) -> Result<(i64, Option<i32>), CommandError> {
    let (gauge, temperature) = match text.split_once('@') {
        Some((gauge, temperature)) => (gauge, Some(temperature)),
        None => (text, None),
    };
    let gauge = units::gauge(field, gauge, None)?.0;
    if gauge <= 0 {
        return Err(CommandError::Argument {
            field,
            value: clean(text),
            limit: "a slack part holds nothing that could be lost: inflate it first".to_owned(),
        });
    }
    let read = temperature.map(|text| units::temperature(field, text, None));
    Ok((gauge, read.transpose()?))
}

fn half(field: &'static str, value: &str, what: &str) -> CommandError {
    CommandError::Argument {
        field,
        value: clean(value),
        limit: format!("give the {what} at both ends, or at neither"),
    }
}

/// Hours, with or without a unit: `24`, `1.5`, `24h`, `90min`.
fn duration_s(text: &str) -> Result<u32, CommandError> {
    let bare = text.trim().parse::<f64>().is_ok();
    let written = if bare {
        format!("{} h", text.trim())
    } else {
        text.to_owned()
    };
    let seconds = units::span("--hours", &written)?;
    if seconds == 0 {
        return Err(CommandError::Argument {
            field: "--hours",
            value: clean(text),
            limit: "a test takes time: give the hours between start and end".to_owned(),
        });
    }
    Ok(seconds)
}

/// The air outside is far below 2^32 pascal.
fn whole(pa: i64) -> f64 {
    u32::try_from(pa).map_or(AMBIENT_PA, f64::from)
}

#[cfg(test)]
mod tests {
    use clap::Parser as _;
    use serde_json::Value;

    use super::HoldArgs;

    #[derive(clap::Parser)]
    struct Typed {
        #[command(flatten)]
        args: HoldArgs,
    }

    fn reckon(words: &str) -> Result<Value, String> {
        let words = ["hold"].into_iter().chain(words.split_whitespace());
        let reckoned = Typed::parse_from(words).args.reckon();
        let reckoned = reckoned.map_err(|error| error.to_string())?;
        Ok(serde_json::from_str(&reckoned.to_json()).expect("JSON"))
    }

    /// Rows of trade-rules section 11, by the words of the command.
    #[test]
    fn worked_values_of_the_trade() {
        for (words, verdict, lost_pa) in [
            (
                "--start 260mbar@80F --end 200mbar@60F --hours 24",
                "passed",
                1_556,
            ),
            (
                "--start 250mbar@70F --end 220mbar@70F --hours 24",
                "passed",
                3_000,
            ),
            (
                "--start 250mbar@70F --end 219mbar@70F --hours 24h",
                "test_for_leaks",
                3_100,
            ),
            (
                "--start 240mbar@60F --end 245mbar@80F --hours 24",
                "test_for_leaks",
                3_944,
            ),
            ("--start 240mbar --end 228mbar --hours 1", "passed", 1_200),
            (
                "--start 240mbar --end 227mbar --hours 60min",
                "test_for_leaks",
                1_300,
            ),
            (
                "--start 240mbar --end 239mbar --hours 0.5",
                "proves_nothing",
                100,
            ),
        ] {
            let told = reckon(words).expect("a test");
            assert_eq!(told["verdict"], verdict, "{words}");
            assert_eq!(told["lost_linear_pa"], lost_pa, "{words}");
        }
        let told = reckon("--start 260mbar@80F --end 200mbar@60F --hours 24").expect("a test");
        // By the gas law: (260 + 1013.25) x 288.706 / 299.817 - 1013.25 = 212.81 mbar.
        assert_eq!(told["expected_gas_law_pa"], 21_281);
        let weather = "--start 250mbar@59F --end 235mbar@59F --hours 24 --ambient-start 1020hPa \
                       --ambient-end 1000hPa";
        assert_eq!(reckon(weather).expect("a test")["lost_gas_law_pa"], 3_500);
    }

    #[test]
    fn what_is_half_given_or_cannot_be_is_refused() {
        for (words, said) in [
            ("--start 260mbar@80F --end 200mbar --hours 24", "both ends"),
            ("--start 260mbar --end 200mbar@60F --hours 24", "both ends"),
            ("--start 260 --end 200mbar --hours 24", "no unit"),
            ("--start 0mbar --end 200mbar --hours 24", "slack"),
            ("--start 260mbar --end 200mbar --hours 0", "takes time"),
            (
                "--start 260mbar --end 200mbar --hours 24 --ambient-start 1013hPa",
                "air pressure",
            ),
        ] {
            let error = reckon(words).expect_err("refused");
            assert!(error.contains(said), "{words}: {error}");
        }
    }
}
