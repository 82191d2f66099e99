//! Which craft can go at once, in words.

use sponson_readiness::answer::{Shared, Together};
use sponson_readiness::ids::SubjectId;

use super::lines::Lines;
use super::lists::number_prefix;
use crate::clean::clean;
use crate::context::Context;
use crate::units::print;

/// How many and which, with what each takes, who stays and why, and what is not known.
pub(super) fn together_lines(lines: &mut Lines, together: &Together, ctx: &Context) {
    lines.hanging("", &headline(together));
    for goes in &together.craft {
        let crew = print::count(i64::from(goes.persons), "person");
        let takes = goes.takes.iter().filter_map(|one| takes(one, ctx));
        let takes: Vec<String> = [format!("crew of {crew}")]
            .into_iter()
            .chain(takes)
            .collect();
        lines.hanging(&number_prefix(&goes.number), &takes.join(", "));
    }
    for kept in &together.kept_back {
        let lacks: Vec<String> = kept.lacks.iter().map(|one| lacks(one, ctx)).collect();
        let why = match lacks.as_slice() {
            [] => "stays: enough go without it".to_owned(),
            lacks => format!("stays: {}", lacks.join("; ")),
        };
        lines.hanging(&number_prefix(&kept.number), &why);
    }
    not_known(lines, "Crew not known", &together.crews_not_known, ctx);
    let vehicles = &together.vehicles_not_known;
    not_known(lines, "Vehicles that tow not known", vehicles, ctx);
}

fn headline(together: &Together) -> String {
    let number = together.craft.len();
    let can = match together.wanted {
        None => format!("{number} craft can go at once"),
        Some(wanted) if usize::try_from(wanted).is_ok_and(|wanted| wanted > number) => {
            format!("{number} craft can go at once, of {wanted} wanted")
        }
        Some(wanted) => format!("{wanted} craft wanted, and so many can go at once"),
    };
    if together.exact {
        return format!("{can}; what they share is counted once");
    }
    format!("at least {can}: there are too many ways to try them all")
}

fn takes(one: &Shared, ctx: &Context) -> Option<String> {
    Some(match one {
        Shared::Crew(_) | Shared::Persons(_) => return None,
        Shared::Trailer(station) => format!("a trailer of {}", ctx.station(*station)),
        Shared::Vehicle(station) => format!("a vehicle of {}", ctx.station(*station)),
        Shared::Gear(_, number) => clean(number),
    })
}

fn lacks(one: &Shared, ctx: &Context) -> String {
    match one {
        Shared::Crew(station) => format!("no further crew at {}", ctx.station(*station)),
        Shared::Persons(station) => {
            format!("not enough persons left at {}", ctx.station(*station))
        }
        Shared::Trailer(station) => format!("no further trailer at {}", ctx.station(*station)),
        Shared::Vehicle(station) => {
            format!("no further vehicle that tows at {}", ctx.station(*station))
        }
        Shared::Gear(_, number) => format!("{} goes with another", clean(number)),
    }
}

fn not_known(lines: &mut Lines, what: &str, stations: &[SubjectId], ctx: &Context) {
    if stations.is_empty() {
        return;
    }
    let names: Vec<String> = stations.iter().map(|id| ctx.station(*id)).collect();
    let text = format!("{what}, so it keeps nobody back: {}", names.join(", "));
    lines.wrapped("  ", 4, &text);
}
