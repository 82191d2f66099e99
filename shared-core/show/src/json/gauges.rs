//! Readings that are doubted in the form, described field by field in `gauges-schema.md`.

use serde::Serialize;
use sponson_readiness::doubted::{
    ApartSaid, ChamberPair, CheckPair, Counted, Doubted, GaugeApart, Reader, Series, Share, Still,
    StillSaid,
};
use sponson_readiness::ids::EventId;

use crate::caution;
use crate::context::Context;
use crate::sentence::gauges::{
    APART_MEANS, STILL_MEANS, apart_text, doubted_summary, series_by_text, series_text,
    shifts_text, still_text,
};
use crate::units::print;

/// Name and version of the form.
pub const GAUGES_SCHEMA: &str = "sponson.gauges/1";

/// Whether member numbers are told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Members {
    /// To the lead alone.
    Told,
    /// To everybody else not.
    LeftOut,
}

#[derive(Serialize)]
pub(super) struct GaugesForm {
    schema: &'static str,
    from: Option<String>,
    until: String,
    readings: u32,
    readings_comparable: u32,
    events_left_out: u64,
    settings: SettingsForm,
    summary: Vec<String>,
    series_that_could_show: u32,
    series: Vec<SeriesForm>,
    by_gauge: Vec<StillForm>,
    by_shift: Vec<StillForm>,
    by_member: Option<Vec<StillForm>>,
    stayed_by_shift: Vec<StillForm>,
    stayed_by_member: Option<Vec<StillForm>>,
    gauges: Vec<GaugeForm>,
    notes: Vec<String>,
    caution: &'static str,
}

#[derive(Serialize)]
struct SettingsForm {
    still_pa: i64,
    still_span_mk: i32,
    least_series: u32,
    pairs_within_ms: i64,
    pairs_within_leak_unknown_ms: i64,
    least_pairs: u32,
    apart_pa: i64,
    by_chance_percent: u32,
    shifts: Vec<String>,
    shifts_stated: bool,
    shifts_text: String,
}

#[derive(Serialize)]
struct SeriesForm {
    craft: String,
    craft_id: String,
    part: String,
    label: String,
    from: String,
    until: String,
    readings: u32,
    gauge_low_pa: i64,
    gauge_high_pa: i64,
    air_low_mc: i32,
    air_high_mc: i32,
    expected_pa: i64,
    gauges: Vec<String>,
    shifts: Vec<String>,
    evidence: Vec<String>,
    text: String,
    read_by: String,
}

#[derive(Serialize)]
struct StillForm {
    reader: &'static str,
    name: Option<String>,
    id: Option<String>,
    said: &'static str,
    counted: &'static str,
    still: u32,
    of: u32,
    share_low: f64,
    share_high: f64,
    others_still: u32,
    others_of: u32,
    p: Option<f64>,
    p_adjusted: Option<f64>,
    text: String,
}

#[derive(Serialize)]
struct GaugeForm {
    gauge: String,
    id: String,
    made: Option<String>,
    said: &'static str,
    pairs: usize,
    other_gauges: u32,
    middle_pa: Option<i64>,
    middle_low_pa: Option<i64>,
    middle_high_pa: Option<i64>,
    p: Option<f64>,
    p_adjusted: Option<f64>,
    text: String,
    compared: Vec<PairForm>,
}

#[derive(Serialize)]
struct PairForm {
    craft: String,
    craft_id: String,
    at: String,
    other_at: String,
    other_gauge: String,
    differs_pa: i64,
    chambers: Vec<ChamberForm>,
    evidence: [String; 2],
}

#[derive(Serialize)]
struct ChamberForm {
    part: String,
    label: String,
    own_pa: i64,
    other_pa: i64,
    own_leak_pa: Option<i64>,
}

pub(super) fn form(doubted: &Doubted, ctx: &Context, members: Members) -> GaugesForm {
    let all = |list: &[Still]| list.iter().map(still).collect();
    GaugesForm {
        schema: GAUGES_SCHEMA,
        from: doubted.from.map(print::rfc3339),
        until: print::rfc3339(doubted.until),
        readings: doubted.readings.0,
        readings_comparable: doubted.readings.1,
        events_left_out: doubted.left_out,
        settings: settings(doubted),
        summary: doubted_summary(doubted, ctx),
        series_that_could_show: doubted.series_that_could,
        series: doubted.series.iter().map(|one| series(one, ctx)).collect(),
        by_gauge: all(&doubted.by_gauge),
        by_shift: all(&doubted.by_shift),
        by_member: (members == Members::Told).then(|| all(&doubted.by_member)),
        stayed_by_shift: all(&doubted.stayed_by_shift),
        stayed_by_member: (members == Members::Told).then(|| all(&doubted.stayed_by_member)),
        gauges: doubted.gauges.iter().map(|one| gauge(one, ctx)).collect(),
        notes: vec![STILL_MEANS.to_owned(), APART_MEANS.to_owned()],
        caution: caution(),
    }
}

fn settings(doubted: &Doubted) -> SettingsForm {
    let settings = doubted.settings;
    SettingsForm {
        still_pa: doubted.still_pa,
        still_span_mk: doubted.still_span_mk,
        least_series: settings.least_series,
        pairs_within_ms: settings.pairs_within_ms,
        pairs_within_leak_unknown_ms: settings.unknown_within_ms,
        least_pairs: settings.least_pairs,
        apart_pa: settings.apart_pa,
        by_chance_percent: settings.by_chance_percent,
        shifts: doubted.shifts.names.clone(),
        shifts_stated: doubted.shifts.is_stated,
        shifts_text: shifts_text(doubted),
    }
}

fn series(one: &Series, ctx: &Context) -> SeriesForm {
    SeriesForm {
        craft: one.number.clone(),
        craft_id: one.craft.to_string(),
        part: one.part.0.clone(),
        label: one.label.clone(),
        from: print::rfc3339(one.from),
        until: print::rfc3339(one.until),
        readings: one.readings,
        gauge_low_pa: one.gauge_pa.0,
        gauge_high_pa: one.gauge_pa.1,
        air_low_mc: one.air_mc.0,
        air_high_mc: one.air_mc.1,
        expected_pa: one.expected_pa,
        gauges: one.gauges.clone(),
        shifts: one.shifts.clone(),
        evidence: one.events.iter().map(EventId::to_string).collect(),
        text: series_text(one, ctx),
        read_by: series_by_text(one),
    }
}

fn still(one: &Still) -> StillForm {
    let (reader, name, id) = match &one.reader {
        Reader::Shift(name) => ("shift", Some(name.clone()), None),
        Reader::Member(number) => ("member", Some(number.clone()), None),
        Reader::Gauge(id, number) => ("gauge", Some(number.clone()), Some(id.to_string())),
        Reader::NotSaid => ("not_said", None, None),
    };
    let Share { count, of, between } = one.of;
    StillForm {
        reader,
        name,
        id,
        said: match one.said {
            StillSaid::MoreOften => "more_often",
            StillSaid::CouldBeChance => "could_be_chance",
            StillSaid::AsOthers => "as_others",
            StillSaid::NoOthers => "no_others",
            StillSaid::TooFew => "too_few",
        },
        counted: match one.counted {
            Counted::Series => "series",
            Counted::Readings => "readings",
        },
        still: count,
        of,
        share_low: between.0,
        share_high: between.1,
        others_still: one.others.count,
        others_of: one.others.of,
        p: one.p,
        p_adjusted: one.p_adjusted,
        text: still_text(one),
    }
}

fn gauge(one: &GaugeApart, ctx: &Context) -> GaugeForm {
    GaugeForm {
        gauge: one.number.clone(),
        id: one.gauge.to_string(),
        made: one.made.map(print::date_mark),
        said: match one.said {
            ApartSaid::Apart => "apart",
            ApartSaid::CouldBeChance => "could_be_chance",
            ApartSaid::Within => "within",
            ApartSaid::TooFew => "too_few",
        },
        pairs: one.pairs.len(),
        other_gauges: one.others,
        middle_pa: one.middle_pa,
        middle_low_pa: one.between_pa.map(|it| it.0),
        middle_high_pa: one.between_pa.map(|it| it.1),
        p: one.p,
        p_adjusted: one.p_adjusted,
        text: apart_text(one, ctx),
        compared: one.pairs.iter().map(pair).collect(),
    }
}

fn pair(one: &CheckPair) -> PairForm {
    let chamber = |one: &ChamberPair| ChamberForm {
        part: one.part.0.clone(),
        label: one.label.clone(),
        own_pa: one.own_pa,
        other_pa: one.other_pa,
        own_leak_pa: one.leak_pa,
    };
    PairForm {
        craft: one.number.clone(),
        craft_id: one.craft.to_string(),
        at: print::rfc3339(one.own.1),
        other_at: print::rfc3339(one.other.1),
        other_gauge: one.other_number.clone(),
        differs_pa: one.differs_pa,
        chambers: one.chambers.iter().map(chamber).collect(),
        evidence: [one.own.0.to_string(), one.other.0.to_string()],
    }
}
