//! The air that parts want, and what each source does about it, in words.

use sponson_readiness::answer::{AirFrom, AirNeeded, Breathing, Feed, Gives, PartAir};
use sponson_readiness::event::PumpPower;

use super::{subject_text, words_of};
use crate::context::Context;
use crate::units::print;

/// One part: `tube 1: 12.3 L to go from 2.61 psi to 3.48 psi`.
#[must_use]
pub fn part_air_text(part: &PartAir, ctx: &Context) -> String {
    let it = words_of(part.part.as_str());
    let from = match part.from_pa {
        None => "flat".to_owned(),
        Some(0) => "slack".to_owned(),
        Some(pa) => print::pressure(pa, ctx.units),
    };
    let to = print::pressure(part.to_pa, ctx.units);
    let amount = match part.free_air_ml {
        Some(ml) => print::litres(ml),
        None => "not reckoned (its volume is not in the boat standard):".to_owned(),
    };
    let only = match part.feed {
        Feed::Any => "",
        Feed::NoRelief => "; by hand or foot pump only, no working relief valve",
        Feed::Iced => "; by hand or foot pump only, its relief valve may be iced",
    };
    format!("{it}: {amount} from {from} to {to}{only}")
}

/// All parts: `62 L of free air at 59 °F, with 2 % for tubes that grow`.
#[must_use]
pub fn air_needed_text(needed: &AirNeeded, ctx: &Context) -> String {
    let reference = print::temperature(needed.reference_mc, ctx.units);
    let growth = f64::from(needed.growth_ppm) / 10_000.0;
    let unknown = needed.parts.iter().any(|part| part.free_air_ml.is_none());
    let beyond = match unknown {
        true => ", and what is not reckoned",
        false => "",
    };
    format!(
        "together {} of free air (at {reference}, 1013 hPa; tubes taken to grow {growth} %){beyond}",
        print::litres(needed.free_air_ml)
    )
}

/// One source: `C1, 4200 psi: 4096 psi left in it`.
#[must_use]
pub fn air_from_text(from: &AirFrom, ctx: &Context) -> String {
    let it = subject_text(&from.source, ctx);
    if from.parts.is_empty() {
        return format!("{it}: not for any of these parts");
    }
    let what = match from.gives {
        Gives::Cylinder {
            gauge_pa,
            after_pa,
            cylinders,
            breathing,
        } => {
            let does = cylinder_text(gauge_pa, after_pa, cylinders, ctx);
            match breathing {
                Breathing::Set => format!("{does}; a firefighter's air"),
                Breathing::No => does,
            }
        }
        Gives::Pump {
            strokes, runs_on, ..
        } => pump_text(strokes, runs_on),
    };
    let parts: Vec<String> = from.parts.iter().map(|id| words_of(id.as_str())).collect();
    format!("{it}, for {}: {what}", parts.join(", "))
}

fn cylinder_text(
    gauge_pa: Option<i64>,
    after_pa: Option<i64>,
    cylinders: Option<u64>,
    ctx: &Context,
) -> String {
    let Some(gauge_pa) = gauge_pa else {
        return "what is in it is not known".to_owned();
    };
    let shows = format!("{} at the launch", print::pressure(gauge_pa, ctx.units));
    match (after_pa, cylinders) {
        (Some(after), _) => {
            format!(
                "{shows}, {} left afterwards",
                print::pressure(after, ctx.units)
            )
        }
        (None, Some(count)) => format!("{shows}, not enough alone: {count} such are needed"),
        (None, None) => format!("{shows}, what it gives is not reckoned"),
    }
}

fn pump_text(strokes: Option<u64>, runs_on: Option<PumpPower>) -> String {
    let by = match runs_on {
        Some(PumpPower::Hand) => "by hand, ",
        Some(PumpPower::Foot) => "by foot, ",
        Some(PumpPower::Battery) => "on a battery, ",
        None => "",
    };
    match strokes {
        Some(strokes) => format!("{by}{strokes} strokes"),
        None => format!("{by}strokes not reckoned"),
    }
}
