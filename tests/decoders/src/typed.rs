//! What people type: quantities, places, dates.

use sponson_readiness::moment::Moment;
use sponson_readiness::standard::{MassUnit, PressureUnit, TemperatureUnit, Units};
use sponson_show::dates as written_dates;
use sponson_show::units::{self, print};

use crate::said::{choice, refused, shown, text};

const US: Units = Units {
    pressure: PressureUnit::Psi,
    temperature: TemperatureUnit::F,
    mass: MassUnit::Lb,
};

const METRIC: Units = Units {
    pressure: PressureUnit::Mbar,
    temperature: TemperatureUnit::C,
    mass: MassUnit::Kg,
};

/// What comes of reading a quantity, and how it is printed in both systems.
type Printed = Result<[String; 2], String>;

fn printed<T: Copy, E: ToString>(
    read: Result<T, E>,
    print: impl Fn(T, Units) -> String,
) -> Printed {
    let read = read.map_err(|error| error.to_string())?;
    Ok([print(read, US), print(read, METRIC)])
}

fn read_quantity(which: usize, text: &str) -> Printed {
    let field = "the value";
    let int = |value: u32| i64::from(value);
    match which % 12 {
        0 => printed(units::gauge(field, text, None), |it, units| {
            print::pressure(it.0, units)
        }),
        1 => printed(
            units::gauge(field, text, Some(PressureUnit::Psi)),
            |it, units| print::pressure(it.0, units),
        ),
        2 => printed(units::absolute(field, text, None), |it, _| {
            format!("{} Pa", it.0)
        }),
        3 => printed(units::temperature(field, text, None), print::temperature),
        4 => printed(units::mass(field, text, Some(MassUnit::Lb)), |it, units| {
            print::mass(it.try_into().unwrap_or(i64::MAX), units)
        }),
        5 => printed(units::volume(field, text), |it, units| {
            print::volume(it.into(), units)
        }),
        6 => printed(units::length(field, text), print::length),
        7 => printed(units::power(field, text), print::power),
        8 => printed(units::elevation(field, text), print::elevation),
        9 => printed(units::span(field, text), |it, _| {
            print::span(int(it) * 1_000)
        }),
        10 => printed(units::distance(field, text), print::distance),
        _ => printed(units::speed(field, text), |it, _| print::speed(it)),
    }
}

/// A quantity: the first byte says which, the rest is what somebody typed.
///
/// # Panics
/// When what the program prints it does not read, or reads as something else.
pub fn quantities(data: &[u8]) {
    let (which, rest) = choice(data);
    let Some(typed) = text(rest) else { return };
    if which % 13 == 12 {
        return place(typed);
    }
    match read_quantity(which, typed) {
        Ok(printed) => {
            for (system, once) in printed.into_iter().enumerate() {
                shown(&once);
                // At the ends of a range rounding may lead out of it.
                if let Ok(twice) = read_quantity(which, &once) {
                    assert_eq!(
                        twice[system], once,
                        "'{typed}' is printed, and reads otherwise"
                    );
                }
            }
        }
        Err(error) => refused(&error),
    }
    if let (Ok(fine), Ok(whole)) = (
        units::gauge_unrounded("it", typed),
        units::gauge("it", typed, None),
    ) {
        #[expect(clippy::cast_precision_loss, reason = "a gauge is below 2^53")]
        let apart = (fine - whole.0 as f64).abs();
        assert!(apart <= 0.51, "rounded by {apart} Pa");
    }
}

fn place(typed: &str) {
    match units::position("the place", typed) {
        Ok(position) => {
            let once = print::position(position);
            let again = units::position("the place", &once);
            let again = again.map(print::position);
            assert_eq!(again.ok(), Some(once), "'{typed}'");
        }
        Err(error) => refused(&error.to_string()),
    }
}

/// Dates, moments and intervals: the first byte says which.
///
/// # Panics
/// When what the program prints it reads as something else.
pub fn dates(data: &[u8]) {
    let (which, rest) = choice(data);
    let Some(typed) = text(rest) else { return };
    let read = match which % 4 {
        0 => written_dates::date_mark("the date", typed).map(|mark| {
            let once = print::date_mark(mark);
            let again = written_dates::date_mark("the date", &once);
            assert_eq!(again.ok(), Some(mark), "'{typed}' is printed as '{once}'");
        }),
        1 => written_dates::moment("the time", typed, -360).map(same_moment),
        2 => written_dates::moment_or_day("the time", typed, 840).map(same_moment),
        _ => written_dates::every("the interval", typed).map(|_| ()),
    };
    if let Err(error) = read {
        refused(&error.to_string());
    }
}

fn same_moment(moment: Moment) {
    shown(&print::local(moment, -360));
    if print::is_known(moment) {
        let once = print::rfc3339(moment);
        let again = written_dates::moment("the time", &once, 0);
        assert_eq!(again.ok(), Some(moment), "it is printed as '{once}'");
    }
}
