//! The groups of a report together: each value once. What two groups say differently is taken from
//! neither, and both are listed.

use std::collections::BTreeSet;

use sponson_readiness::moment::Moment;
use sponson_readiness::weather_report::{Reach, ReportedDistance, ReportedWind, WeatherReport};
use sponson_show::clean;

use super::remarks;
use super::shapes::{self, Sight};

/// How far tenths may lie from the whole degrees that are rounded from them, milli-degree.
const ROUNDED_MC: u32 = 1_000;

/// How far the same setting may differ between whole hectopascals, which are rounded down, and
/// hundredths of an inch.
const SETTING_PA: u64 = 150;

/// A value, and the groups that it was read from.
#[derive(Debug)]
enum Value<'t, T> {
    None,
    One(T, &'t str),
    /// Groups that deny each other.
    Denied(Vec<&'t str>),
}

impl<'t, T: Copy> Value<'t, T> {
    /// Takes a further group: it says the same, or neither counts.
    fn take(&mut self, value: T, group: &'t str, same: impl Fn(T, T) -> bool) {
        *self = match std::mem::replace(self, Self::None) {
            Self::None => Self::One(value, group),
            Self::One(known, first) if same(known, value) => Self::One(known, first),
            Self::One(_, first) => Self::Denied(vec![first, group]),
            Self::Denied(mut groups) => {
                groups.push(group);
                Self::Denied(groups)
            }
        };
    }

    fn value(self, denied: &mut Vec<String>) -> Option<T> {
        match self {
            Self::None => None,
            Self::One(value, _) => Some(value),
            Self::Denied(groups) => {
                denied.extend(groups.into_iter().map(clean));
                None
            }
        }
    }
}

/// What is read so far.
#[derive(Debug)]
pub(super) struct Groups<'t> {
    wind: Value<'t, ReportedWind>,
    prevailing: Value<'t, ReportedDistance>,
    least: Option<ReportedDistance>,
    temperatures: Value<'t, (Option<i32>, Option<i32>)>,
    tenths: Value<'t, (i32, Option<i32>)>,
    altimeter: Value<'t, i64>,
    weather: Vec<&'t str>,
    not_used: Vec<String>,
    not_understood: Vec<String>,
}

impl<'t> Groups<'t> {
    /// Reads what comes after the time.
    pub(super) fn read(groups: &'t [&'t str]) -> Self {
        let mut read = Self {
            wind: Value::None,
            prevailing: Value::None,
            least: None,
            temperatures: Value::None,
            tenths: Value::None,
            altimeter: Value::None,
            weather: Vec::new(),
            not_used: Vec::new(),
            not_understood: Vec::new(),
        };
        let remarks = groups.iter().position(|it| *it == "RMK");
        let (body, remarks) = groups.split_at(remarks.unwrap_or(groups.len()));
        let trend = |group: &&str| matches!(*group, "BECMG" | "TEMPO" | "NOSIG");
        let (body, trend) = body.split_at(body.iter().position(trend).unwrap_or(body.len()));
        read.body(body);
        if !trend.is_empty() {
            // What is expected, not what is.
            read.not_used.push(clean(&trend.join(" ")));
        }
        read.remarks(remarks);
        read
    }

    fn body(&mut self, groups: &'t [&'t str]) {
        let mut groups = groups.iter().copied().peekable();
        while let Some(group) = groups.next() {
            let next = groups.peek().copied().unwrap_or_default();
            match whole_miles(group, next) {
                Some(sight) => {
                    self.sight(sight, next);
                    groups.next();
                }
                None => self.one(group),
            }
        }
    }

    fn one(&mut self, group: &'t str) {
        if shapes::is_missing(group) || shapes::is_modifier(group) {
            return;
        }
        if let Some(wind) = shapes::wind(group) {
            self.wind.take(wind, group, |one, other| one == other);
        } else if let Some(sight) = shapes::visibility(group, 0) {
            self.sight(sight, group);
        } else if shapes::weather(group).is_some() {
            self.weather.push(group);
        } else if let Some(read) = shapes::temperatures(group) {
            self.temperatures
                .take(read, group, |one, other| one == other);
        } else if let Some(pa) = shapes::altimeter(group) {
            let same = |one: i64, other: i64| one.abs_diff(other) <= SETTING_PA;
            self.altimeter.take(pa, group, same);
        } else if shapes::is_cloud(group) || shapes::is_wind_range(group) || shapes::is_other(group)
        {
            self.not_used.push(clean(group));
        } else {
            self.not_understood.push(clean(group));
        }
    }

    fn sight(&mut self, sight: Sight, group: &'t str) {
        match sight {
            Sight::Prevailing(far) => {
                self.prevailing.take(far, group, |one, other| one == other);
            }
            Sight::Least(far) => {
                let nearer = |known: ReportedDistance| nearer(known, far);
                self.least = Some(self.least.map_or(far, nearer));
            }
        }
    }

    fn remarks(&mut self, remarks: &'t [&'t str]) {
        let mut rest = Vec::new();
        for group in remarks {
            match remarks::tenths(group) {
                Some(read) => self.tenths.take(read, group, |one, other| one == other),
                None => rest.push(*group),
            }
        }
        if rest.len() > 1 {
            self.not_used.push(clean(&rest.join(" ")));
        }
    }

    /// The report.
    pub(super) fn into_report(
        mut self,
        text: String,
        station: String,
        at: Moment,
    ) -> WeatherReport {
        let mut denied = Vec::new();
        let (air_mc, dew_point_mc) = self.air(&mut denied);
        let prevailing = self.prevailing.value(&mut denied);
        let visibility = match (prevailing, self.least) {
            (Some(far), Some(least)) => Some(nearer(far, least)),
            (far, least) => far.or(least),
        };
        let sorts = self.weather.iter();
        let sorts = sorts.map(|group| (*group, shapes::weather(group).unwrap_or_default()));
        let restricts = |group: &str, codes: &[&str]| {
            shapes::restricts(group, codes) || visibility.is_none() && shapes::may_restrict(codes)
        };
        let restricted_by = sorts
            .filter(|(group, codes)| restricts(group, codes))
            .map(|(group, _)| group.to_owned())
            .next();
        let report = WeatherReport {
            text,
            station,
            at,
            air_mc,
            dew_point_mc,
            wind: self.wind.value(&mut denied),
            visibility,
            restricted_by,
            altimeter_pa: self.altimeter.value(&mut denied),
            weather: self.weather.into_iter().map(str::to_owned).collect(),
            not_used: self.not_used,
            not_understood: Vec::new(),
            by_hand: BTreeSet::new(),
        };
        self.not_understood.append(&mut denied);
        WeatherReport {
            not_understood: self.not_understood,
            ..report
        }
    }

    /// Air and dew point: tenths where they agree with the whole degrees.
    fn air(&mut self, denied: &mut Vec<String>) -> (Option<i32>, Option<i32>) {
        let tenths = std::mem::replace(&mut self.tenths, Value::None);
        let whole = std::mem::replace(&mut self.temperatures, Value::None);
        let group = |value: &Value<'t, _>| match value {
            Value::One(_, group) => Some(*group),
            Value::None | Value::Denied(_) => None,
        };
        let tenths_group = match &tenths {
            Value::One(_, group) => Some(*group),
            Value::None | Value::Denied(_) => None,
        };
        let whole_group = group(&whole);
        let whole = whole.value(denied).unwrap_or((None, None));
        let milli = |degrees: Option<i32>| degrees.map(|degrees| degrees * 1_000);
        let (air, dew) = (milli(whole.0), milli(whole.1));
        let Some((air_mc, dew_mc)) = tenths.value(denied) else {
            return (air, dew);
        };
        let agrees = |one: Option<i32>, other: Option<i32>| {
            let both = one.zip(other);
            both.is_none_or(|(one, other)| one.abs_diff(other) < ROUNDED_MC)
        };
        if agrees(air, Some(air_mc)) && agrees(dew, dew_mc) {
            return (Some(air_mc), dew_mc.or(dew));
        }
        denied.extend(whole_group.into_iter().chain(tenths_group).map(clean));
        (None, None)
    }
}

/// Whole miles that a part of a mile follows, for example `1` and `1/2SM`.
fn whole_miles(group: &str, next: &str) -> Option<Sight> {
    let short = shapes::all_digits(group) && group.len() <= 2;
    let whole: u32 = group.parse().ok().filter(|whole| short && *whole > 0)?;
    shapes::visibility(next, whole).filter(|_| next.ends_with("SM") && next.contains('/'))
}

/// The less of two distances; of one distance the one that may be less.
fn nearer(one: ReportedDistance, other: ReportedDistance) -> ReportedDistance {
    let rank = |reach| match reach {
        Reach::Below => 0,
        Reach::Exact => 1,
        Reach::OrMore => 2,
    };
    let key = |far: ReportedDistance| (far.metres, rank(far.reach));
    if key(other) < key(one) { other } else { one }
}
