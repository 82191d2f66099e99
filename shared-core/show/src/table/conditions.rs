//! The launch and the job in words: where, for how long, in which light, wind and water.

use sponson_readiness::answer::Asked;
use sponson_readiness::conditions::{Ambient, Dark, Tow, Visibility};
use sponson_readiness::moment::Moment;

use crate::context::Context;
use crate::units::print;

/// Air, water, elevation, and what else was given of the launch.
pub(crate) fn launch_text(asked: &Asked, ctx: &Context) -> String {
    let units = ctx.units;
    let given = &asked.conditions;
    let ambient = given.ambient.map(|ambient| match ambient {
        Ambient::StationPa(pa) => format!("air pressure {}", print::pressure(pa, units)),
        // What a report says is for the sea; what counts is what stands at the launch.
        Ambient::AltimeterPa(pa) => format!(
            "altimeter {}, which is {:.0} hPa there",
            print::altimeter(pa),
            given.ambient_pa(asked.elevation_mm) / 100.0
        ),
    });
    let place = given
        .position
        .map(|it| format!("at {}", print::position(it)));
    let always = [
        format!("air {}", print::temperature(asked.air_mc, units)),
        format!("water {}", print::temperature(asked.water_mc, units)),
        format!("elevation {}", print::elevation(asked.elevation_mm, units)),
    ];
    let parts: Vec<String> = always.into_iter().chain(ambient).chain(place).collect();
    parts.join(", ")
}

/// What was given of the job; none when nothing was.
pub(crate) fn job_text(asked: &Asked, ctx: &Context) -> Option<String> {
    let given = &asked.conditions;
    let duration = given
        .duration_s
        .or(given.position.map(|_| asked.duration_s));
    let duration = duration.map(|s| print::span(i64::from(s).saturating_mul(1_000)));
    let visibility = given.visibility.map(|it| visibility_text(it, asked, ctx));
    let wind = given
        .wind_mm_s
        .map(|it| format!("wind {}", print::speed(it)));
    let current = given.current_mm_s;
    let current = current.map(|it| format!("current {}", print::speed(it)));
    let tow = (given.tow == Tow::Yes).then(|| "a craft to be towed".to_owned());
    let light = light_text(asked, ctx);
    let parts = [duration, light, visibility, wind, current, tow];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    (!parts.is_empty()).then(|| parts.join(", "))
}

fn visibility_text(visibility: Visibility, asked: &Asked, ctx: &Context) -> String {
    match visibility {
        Visibility::Clear => "clear".to_owned(),
        Visibility::Restricted => "visibility restricted".to_owned(),
        Visibility::Metres(m) => {
            let far = print::distance(m, ctx.units);
            let restricted = asked.lights.from() == Some(asked.as_of);
            if restricted && asked.dark != Dark::Yes {
                format!("visibility {far} (restricted)")
            } else {
                format!("visibility {far}")
            }
        }
    }
}

/// Whether it is dark, with sunset and sunrise; none when it is not known.
fn light_text(asked: &Asked, ctx: &Context) -> Option<String> {
    let dark = match asked.dark {
        Dark::No => "daylight throughout".to_owned(),
        Dark::Yes => "dark throughout".to_owned(),
        Dark::Partly { from, to } if from == asked.as_of => {
            format!("dark until {}", time_text(to, asked, ctx))
        }
        Dark::Partly { from, .. } => format!("dark from {}", time_text(from, asked, ctx)),
        Dark::NotKnown => return None,
    };
    let (sunset, sunrise) = asked.night();
    let named = |name: &str, at: Option<Moment>| {
        at.map(|at| format!("{name} {}", time_text(at, asked, ctx)))
    };
    let night = [named("sunset", sunset), named("sunrise", sunrise)];
    let night: Vec<String> = night.into_iter().flatten().collect();
    Some(match night.as_slice() {
        [] => dark,
        night => format!("{dark} ({})", night.join(", ")),
    })
}

/// The time of a day, with the day where it is another than the asked one.
fn time_text(at: Moment, asked: &Asked, ctx: &Context) -> String {
    let whole = ctx.local(at);
    let day = ctx.local(asked.as_of);
    match (whole.split_once(' '), day.split_once(' ')) {
        (Some((at, time)), Some((asked, _))) if at == asked => time.to_owned(),
        _ => whole,
    }
}
