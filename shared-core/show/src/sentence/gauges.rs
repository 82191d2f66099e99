//! Readings that are doubted, and gauges that read apart, in plain words: about gauges and readings,
//! never about people.

use sponson_readiness::doubted::{
    ApartSaid, Counted, Doubted, GaugeApart, Reader, Series, Share, Still, StillSaid,
};

use crate::clean::clean;
use crate::context::Context;
use crate::units::print;

/// What the lists of readings that never move are about, and what not.
pub const STILL_MEANS: &str = "These readings do not follow the temperature: a gauge that sticks, a temperature that was not \
     taken, or a value that was carried over all look like this. Look at the gauge, and at how and \
     where it is read.";

/// What a gauge that reads apart may be.
pub const APART_MEANS: &str = "Apart may be the gauge, or those that it was compared with: read both on one chamber, one \
     straight after the other.";

/// The first lines: how many readings, how many of them never moved, how many gauges read apart.
#[must_use]
pub fn doubted_summary(doubted: &Doubted, ctx: &Context) -> Vec<String> {
    let (readings, comparable) = doubted.readings;
    let Some(from) = doubted.from else {
        return vec!["No gauge reading is known here.".to_owned()];
    };
    let since = print::local_day(from, ctx.utc_offset_min);
    let first = format!(
        "{} since {since}; {comparable} can be compared: the temperature of the air in the part was \
         known.",
        print::count(i64::from(readings), "reading")
    );
    let series = match (doubted.series.len(), doubted.series_that_could) {
        (_, 0) => "No series of readings is long enough to show whether gauges follow the bay's \
                   temperature."
            .to_owned(),
        (0, could) => format!(
            "None of {could} series of readings stayed where it was while the bay's temperature \
             changed."
        ),
        (still, could) => format!(
            "{still} of {could} series of readings never moved though the bay's temperature did."
        ),
    };
    vec![first, series, gauges_summary(doubted)]
}

fn gauges_summary(doubted: &Doubted) -> String {
    let compared = doubted
        .gauges
        .iter()
        .filter(|it| it.said != ApartSaid::TooFew);
    let compared = compared.count();
    let apart = doubted
        .gauges
        .iter()
        .filter(|it| it.said == ApartSaid::Apart);
    let apart = apart.count();
    let all = doubted.gauges.len();
    match (compared, apart) {
        (0, _) => format!(
            "No gauge has been compared often enough: at least {} pairs of checks are needed.",
            doubted.settings.least_pairs
        ),
        (compared, 0) => format!("Of {all} gauges {compared} were compared: none reads apart."),
        (compared, 1) => format!("Of {all} gauges {compared} were compared: one reads apart."),
        (compared, apart) => {
            format!("Of {all} gauges {compared} were compared: {apart} read apart.")
        }
    }
}

/// How crew shifts were told.
#[must_use]
pub fn shifts_text(doubted: &Doubted) -> String {
    let shifts = &doubted.shifts;
    let each = print::span(i64::from(shifts.each_s) * 1_000);
    let starts = format!(
        "{:02}:{:02}",
        shifts.starts_min / 60,
        shifts.starts_min % 60
    );
    if shifts.is_stated {
        return format!(
            "by the shifts of the policy: {each} each, from {starts} on {}",
            shifts.first_day
        );
    }
    format!(
        "by day and night of the county's clock, {each} each from {starts}: the policy names no \
         shifts"
    )
}

/// Whose readings.
#[must_use]
pub fn reader_text(reader: &Reader) -> String {
    match reader {
        Reader::Shift(name) => format!("shift {}", clean(name)),
        Reader::Member(number) => format!("member {}", clean(number)),
        Reader::Gauge(_, number) => gauge_text(number),
        Reader::NotSaid => "not said".to_owned(),
    }
}

/// A gauge by its number.
#[must_use]
pub fn gauge_text(number: &str) -> String {
    if number.is_empty() {
        return "a gauge that is not registered".to_owned();
    }
    format!("gauge {}", clean(number))
}

/// What a count of series comes to.
#[must_use]
pub fn still_text(still: &Still) -> String {
    let of = still.of;
    let others = still.others;
    let (what, stayed) = match still.counted {
        Counted::Series => ("series", "never moved"),
        Counted::Readings => ("readings", "stayed where the one before was"),
    };
    let figures = format!(
        "{} of {} {what} {stayed} ({}); of the others' {} of {}",
        of.count,
        of.of,
        between_text(of),
        others.count,
        others.of
    );
    match still.said {
        StillSaid::MoreOften => format!("more often than the others: {figures}"),
        StillSaid::CouldBeChance => format!("could be chance: {figures}"),
        StillSaid::AsOthers => format!("as the others: {figures}"),
        StillSaid::NoOthers => format!(
            "no others to compare with: {} of {} {what} {stayed}",
            of.count, of.of
        ),
        StillSaid::TooFew => format!("too few to say: {} of {} {what} {stayed}", of.count, of.of),
    }
}

/// `95 % between 35 and 97 %`.
#[must_use]
pub fn between_text(share: Share) -> String {
    let percent = |share: f64| format!("{:.0}", share * 100.0);
    let (least, most) = share.between;
    format!("95 % between {} and {} %", percent(least), percent(most))
}

/// One series that never moved.
#[must_use]
pub fn series_text(series: &Series, ctx: &Context) -> String {
    let say = |pa| print::pressure(pa, ctx.units);
    let (least, most) = series.gauge_pa;
    let read = if say(least) == say(most) {
        format!("always {}", say(least))
    } else {
        format!("{} to {}", say(least), say(most))
    };
    let (cold, warm) = series.air_mc;
    let day = |at| print::local_day(at, ctx.utc_offset_min);
    format!(
        "{} from {} to {}: {read}, while the air went from {} to {}; a closed part would have moved \
         by {}",
        print::count(i64::from(series.readings), "reading"),
        day(series.from),
        day(series.until),
        print::temperature(cold, ctx.units),
        print::temperature(warm, ctx.units),
        say(series.expected_pa),
    )
}

/// With which gauges and on which shifts a series was read.
#[must_use]
pub fn series_by_text(series: &Series) -> String {
    let gauges: Vec<String> = series
        .gauges
        .iter()
        .map(|number| gauge_text(number))
        .collect();
    let gauges = if gauges.is_empty() {
        "gauge not said".to_owned()
    } else {
        gauges.join(", ")
    };
    let shifts: Vec<String> = series.shifts.iter().map(|name| clean(name)).collect();
    format!("{gauges}; shift {}", shifts.join(", "))
}

/// What the differences of a gauge come to.
#[must_use]
pub fn apart_text(gauge: &GaugeApart, ctx: &Context) -> String {
    let Some(middle_pa) = gauge.middle_pa else {
        return "never compared: no other gauge read the same chamber within reach".to_owned();
    };
    let from = match gauge.pairs.len() {
        1 => "from 1 pair of checks".to_owned(),
        pairs => format!("from {pairs} pairs of checks"),
    };
    let between = gauge.between_pa.map_or_else(String::new, |(least, most)| {
        format!(
            " (95 % between {} and {})",
            signed(least, ctx),
            signed(most, ctx)
        )
    });
    let reads = differs(middle_pa, ctx);
    let others = match gauge.others {
        1 => "; only one other gauge: either may be the one".to_owned(),
        others => format!("; {others} other gauges"),
    };
    match gauge.said {
        ApartSaid::Apart => format!("reads {reads}, {from}{between}{others}"),
        ApartSaid::CouldBeChance => {
            format!("could be chance: {reads}, {from}{between}{others}")
        }
        ApartSaid::Within => format!("as the others: {reads}, {from}{between}{others}"),
        ApartSaid::TooFew => format!("too few to say: {reads}, {from}{others}"),
    }
}

fn differs(pa: i64, ctx: &Context) -> String {
    let size = print::pressure(pa.saturating_abs(), ctx.units);
    match pa.signum() {
        1 => format!("{size} higher than the others"),
        -1 => format!("{size} lower than the others"),
        _ => "the same as the others".to_owned(),
    }
}

/// A difference with its sign.
#[must_use]
pub fn signed(pa: i64, ctx: &Context) -> String {
    let size = print::pressure(pa, ctx.units);
    if pa > 0 { format!("+{size}") } else { size }
}
