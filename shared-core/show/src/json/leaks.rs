//! Leaks, hold tests and the reading history of a craft in the form, described field by field in
//! `leaks-schema.md`.

use serde::Serialize;
use sponson_readiness::chambers::{
    Chamber, ChamberLeaks, CurvePoint, Height, Holding, Leaking, NotKnown, WhyNotKnown,
};
use sponson_readiness::event::ReadingMoment;
use sponson_readiness::holds_done::{HoldTested, HoldsDone, LossCourse, LossSaid};
use sponson_readiness::ids::EventId;
use sponson_readiness::leak::{Cut, HoldVerdict, NotFitted};
use sponson_readiness::read_back::{ChamberReadings, Happened, ReadBack, ReadingShown};
use sponson_readiness::standard::HoldSort;

use super::craft::{LeakForm, leak};
use crate::caution;
use crate::context::Context;
use crate::sentence::leaks::{
    hold_tested_text, leak_rate_text, leaks_asked_text, leaks_summary, losses_text, soft_on_text,
    why_not_known_text,
};
use crate::units::print;

/// Name and version of the form.
pub const LEAKS_SCHEMA: &str = "sponson.leaks/1";

#[derive(Serialize)]
pub(super) struct LeaksForm {
    schema: &'static str,
    as_of: String,
    county_log_size: u64,
    air_mc: i32,
    water_mc: i32,
    assumed: Vec<&'static str>,
    asked_text: String,
    summary: String,
    limit_pa_per_day: i64,
    leaking: Vec<LeakingForm>,
    not_known: Vec<NotKnownForm>,
    holding: Vec<HoldingForm>,
    hold_tests: Vec<TestForm>,
    hold_courses: Vec<CourseForm>,
    craft: Option<CraftForm>,
    caution: &'static str,
}

#[derive(Serialize)]
struct ChamberForm {
    craft: String,
    craft_id: String,
    stations: Vec<String>,
    part: String,
    label: String,
    least_pa: i64,
    last_read: Option<String>,
}

#[derive(Serialize)]
struct LeakingForm {
    #[serde(flatten)]
    chamber: ChamberForm,
    #[serde(flatten)]
    rate: LeakForm,
    over_limit: bool,
    height: &'static str,
    evidence: Vec<String>,
    text: String,
    soft_text: String,
}

#[derive(Serialize)]
struct NotKnownForm {
    #[serde(flatten)]
    chamber: ChamberForm,
    why: &'static str,
    hint: Option<LeakForm>,
    text: String,
}

#[derive(Serialize)]
struct HoldingForm {
    #[serde(flatten)]
    chamber: ChamberForm,
    readings: u32,
    over_ms: i64,
}

#[derive(Serialize)]
struct TestForm {
    craft: String,
    craft_id: String,
    at: String,
    member: String,
    inspection: String,
    part: String,
    label: String,
    test: &'static str,
    start_pa: i64,
    start_air_mc: Option<i32>,
    start_ambient_pa: Option<u32>,
    end_pa: i64,
    end_air_mc: Option<i32>,
    end_ambient_pa: Option<u32>,
    duration_s: u32,
    verdict: &'static str,
    proves_nothing_because: Option<&'static str>,
    lost_pa: i64,
    limit_pa: i64,
    lost_linear_pa: i64,
    lost_gas_law_pa: i64,
    rules_agree: bool,
    entered_passed: bool,
    evidence: String,
    text: String,
}

#[derive(Serialize)]
struct CourseForm {
    craft: String,
    craft_id: String,
    part: String,
    label: String,
    test: &'static str,
    losses: Vec<LossForm>,
    pa_per_year: Option<i64>,
    p_adjusted: Option<f64>,
    said: &'static str,
    text: String,
}

#[derive(Serialize)]
struct LossForm {
    at: String,
    lost_pa: i64,
}

#[derive(Serialize)]
struct CraftForm {
    craft: String,
    craft_id: String,
    chambers: Vec<ChamberReadingsForm>,
}

#[derive(Serialize)]
struct ChamberReadingsForm {
    part: String,
    label: String,
    least_pa: i64,
    wanted_pa: i64,
    least_corrected_pa: i64,
    leak: Option<LeakForm>,
    not_known: Option<&'static str>,
    happened: Vec<HappenedForm>,
    forecast_from: Option<String>,
    line: Vec<PointForm>,
}

#[derive(Serialize)]
struct HappenedForm {
    at: String,
    what: &'static str,
    gauge_pa: Option<i64>,
    corrected_pa: Option<i64>,
    air_mc: Option<i32>,
    fabric_mc: Option<i32>,
    gauge: Option<String>,
    in_line: bool,
    evidence: Option<String>,
}

#[derive(Serialize)]
struct PointForm {
    at: String,
    line_pa: i64,
    low_pa: Option<i64>,
    high_pa: Option<i64>,
}

pub(super) fn form(
    leaks: &ChamberLeaks,
    holds: &HoldsDone,
    craft: Option<&ReadBack>,
    ctx: &Context,
) -> LeaksForm {
    LeaksForm {
        schema: LEAKS_SCHEMA,
        as_of: print::rfc3339(leaks.as_of),
        county_log_size: leaks.known_by.size,
        air_mc: leaks.air_mc,
        water_mc: leaks.water_mc,
        assumed: leaks.assumed.iter().map(|one| one.id()).collect(),
        asked_text: leaks_asked_text(leaks, ctx),
        summary: leaks_summary(leaks),
        limit_pa_per_day: leaks.limit_pa,
        leaking: leaks
            .leaking
            .iter()
            .map(|one| leaking(one, leaks, ctx))
            .collect(),
        not_known: leaks
            .not_known
            .iter()
            .map(|one| not_known(one, ctx))
            .collect(),
        holding: leaks.holding.iter().map(|one| holding(one, ctx)).collect(),
        hold_tests: holds.tests.iter().map(|one| test(one, ctx)).collect(),
        hold_courses: holds.courses.iter().map(|one| course(one, ctx)).collect(),
        craft: craft.map(|it| CraftForm {
            craft: it.number.clone(),
            craft_id: it.craft.to_string(),
            chambers: it.chambers.iter().map(chamber_readings).collect(),
        }),
        caution: caution(),
    }
}

fn chamber(one: &Chamber, ctx: &Context) -> ChamberForm {
    ChamberForm {
        craft: one.number.clone(),
        craft_id: one.craft.to_string(),
        stations: one.stations.iter().map(|id| ctx.station(*id)).collect(),
        part: one.part.0.clone(),
        label: one.label.clone(),
        least_pa: one.low_pa,
        last_read: one.last_read.map(print::rfc3339),
    }
}

fn leaking(one: &Leaking, leaks: &ChamberLeaks, ctx: &Context) -> LeakingForm {
    LeakingForm {
        chamber: chamber(&one.chamber, ctx),
        rate: leak(&one.rate),
        over_limit: one.is_over,
        height: match one.height {
            Height::Stands => "stands",
            Height::ChangedSince => "changed_since",
        },
        evidence: one.evidence.iter().map(EventId::to_string).collect(),
        text: leak_rate_text(&one.rate, ctx),
        soft_text: soft_on_text(one, leaks, ctx),
    }
}

fn not_known(one: &NotKnown, ctx: &Context) -> NotKnownForm {
    NotKnownForm {
        chamber: chamber(&one.chamber, ctx),
        why: why_id(one.why),
        hint: one.hint.as_ref().map(leak),
        text: why_not_known_text(one.why),
    }
}

const fn why_id(why: WhyNotKnown) -> &'static str {
    match why {
        WhyNotKnown::Rolled => "rolled",
        WhyNotKnown::NotFitted(NotFitted::NoReading) => "no_reading",
        WhyNotKnown::NotFitted(NotFitted::OneReading) => "one_reading",
        WhyNotKnown::NotFitted(NotFitted::OneMoment) => "one_moment",
        WhyNotKnown::NotFitted(NotFitted::Slack) => "slack",
        WhyNotKnown::TooShort { .. } => "too_short",
        WhyNotKnown::FewReadings { .. } => "few_readings",
    }
}

fn holding(one: &Holding, ctx: &Context) -> HoldingForm {
    HoldingForm {
        chamber: chamber(&one.chamber, ctx),
        readings: one.readings,
        over_ms: one.over_ms,
    }
}

const fn sort_id(sort: HoldSort) -> &'static str {
    match sort {
        HoldSort::Day => "day",
        HoldSort::Hour => "hour",
    }
}

fn test(one: &HoldTested, ctx: &Context) -> TestForm {
    let (start, end) = (one.test.start, one.test.end);
    let verdict = match (one.nothing, one.told.verdict) {
        (None, HoldVerdict::Passed) => "passed",
        (None, HoldVerdict::TestForLeaks) => "test_for_leaks",
        (Some(_), _) | (None, HoldVerdict::ProvesNothing(_)) => "proves_nothing",
    };
    TestForm {
        craft: one.number.clone(),
        craft_id: one.craft.to_string(),
        at: print::rfc3339(one.at),
        member: one.by.member.clone(),
        inspection: one.line.0.clone(),
        part: one.test.part.0.clone(),
        label: one.part_label.clone(),
        test: sort_id(one.sort),
        start_pa: start.gauge_pa,
        start_air_mc: start.air_mc,
        start_ambient_pa: start.ambient_pa,
        end_pa: end.gauge_pa,
        end_air_mc: end.air_mc,
        end_ambient_pa: end.ambient_pa,
        duration_s: one.test.duration_s,
        verdict,
        proves_nothing_because: one.nothing.map(|why| why.id()),
        lost_pa: one.told.lost_pa,
        limit_pa: one.told.limit_pa,
        lost_linear_pa: one.told.lost_linear_pa,
        lost_gas_law_pa: one.told.lost_gas_pa,
        rules_agree: one.told.agree,
        entered_passed: one.entered_passed,
        evidence: one.event.to_string(),
        text: hold_tested_text(one, ctx),
    }
}

fn course(one: &LossCourse, ctx: &Context) -> CourseForm {
    let loss = |(at, pa): &(_, i64)| LossForm {
        at: print::rfc3339(*at),
        lost_pa: *pa,
    };
    CourseForm {
        craft: one.number.clone(),
        craft_id: one.craft.to_string(),
        part: one.part.0.clone(),
        label: one.part_label.clone(),
        test: sort_id(one.sort),
        losses: one.losses.iter().map(loss).collect(),
        pa_per_year: one.pa_per_year,
        p_adjusted: one.p_adjusted,
        said: match one.said {
            LossSaid::Grows => "grows",
            LossSaid::Shrinks => "shrinks",
            LossSaid::NoTrend => "no_trend",
            LossSaid::TooFew => "too_few",
        },
        text: losses_text(one, ctx),
    }
}

fn chamber_readings(one: &ChamberReadings) -> ChamberReadingsForm {
    let curve = &one.curve;
    let line = curve.curve.as_ref();
    ChamberReadingsForm {
        part: curve.chamber.part.0.clone(),
        label: curve.chamber.label.clone(),
        least_pa: curve.chamber.low_pa,
        wanted_pa: curve.nominal_pa,
        least_corrected_pa: curve.least_pa,
        leak: curve.rate.as_ref().map(leak),
        not_known: curve.not_known.map(why_id),
        happened: one.happened.iter().map(happened).collect(),
        forecast_from: line.map(|line| print::rfc3339(line.last)),
        line: line.map_or_else(Vec::new, |line| line.points.iter().map(point).collect()),
    }
}

fn happened(one: &Happened) -> HappenedForm {
    match one {
        Happened::Read(shown) => read(shown),
        Happened::Cut(at, cut) => HappenedForm {
            at: print::rfc3339(*at),
            what: match cut {
                Cut::AirAdded => "air_added",
                Cut::AirLetOut => "air_let_out",
                Cut::Inflated => "inflated",
                Cut::Repaired => "repaired",
            },
            gauge_pa: None,
            corrected_pa: None,
            air_mc: None,
            fabric_mc: None,
            gauge: None,
            in_line: false,
            evidence: None,
        },
    }
}

fn read(shown: &ReadingShown) -> HappenedForm {
    let reading = &shown.past.reading;
    HappenedForm {
        at: print::rfc3339(shown.past.at),
        what: match reading.moment {
            ReadingMoment::AsFound => "read_as_found",
            ReadingMoment::AsLeft => "read_as_left",
        },
        gauge_pa: Some(reading.gauge_pa),
        corrected_pa: shown.corrected_pa,
        air_mc: reading.air_mc,
        fabric_mc: reading.fabric_mc,
        gauge: Some(shown.gauge_number.clone()).filter(|number| !number.is_empty()),
        in_line: shown.is_fitted,
        evidence: Some(shown.past.event.to_string()),
    }
}

fn point(one: &CurvePoint) -> PointForm {
    PointForm {
        at: print::rfc3339(one.at),
        line_pa: one.line_pa,
        low_pa: one.between_pa.map(|it| it.0),
        high_pa: one.between_pa.map(|it| it.1),
    }
}
