//! Which craft can go at once, in the form.

use serde::Serialize;
use sponson_readiness::answer::{Shared, Together, TogetherAsked};
use sponson_readiness::ids::SubjectId;

use crate::context::Context;

#[derive(Serialize)]
pub(super) struct TogetherForm {
    number: usize,
    exact: bool,
    craft: Vec<GoesForm>,
    kept_back: Vec<KeptBackForm>,
    crews_not_known: Vec<String>,
    vehicles_not_known: Vec<String>,
}

#[derive(Serialize)]
struct GoesForm {
    craft: String,
    persons: u32,
    takes: Vec<SharedForm>,
}

#[derive(Serialize)]
struct KeptBackForm {
    craft: String,
    lacks: Vec<SharedForm>,
}

#[derive(Serialize)]
struct SharedForm {
    what: &'static str,
    name: String,
}

#[derive(Serialize)]
pub(super) struct TogetherAskedForm {
    wanted: Option<u32>,
    vehicles: Vec<VehiclesForm>,
}

#[derive(Serialize)]
struct VehiclesForm {
    station: String,
    count: u32,
}

pub(super) fn together(together: &Together, ctx: &Context) -> TogetherForm {
    let names = |ids: &[SubjectId]| ids.iter().map(|id| ctx.station(*id)).collect();
    let goes = together.craft.iter();
    let kept_back = together.kept_back.iter();
    TogetherForm {
        number: together.craft.len(),
        exact: together.exact,
        craft: goes
            .map(|goes| GoesForm {
                craft: goes.number.clone(),
                persons: goes.persons,
                takes: goes.takes.iter().map(|one| shared(one, ctx)).collect(),
            })
            .collect(),
        kept_back: kept_back
            .map(|kept| KeptBackForm {
                craft: kept.number.clone(),
                lacks: kept.lacks.iter().map(|one| shared(one, ctx)).collect(),
            })
            .collect(),
        crews_not_known: names(&together.crews_not_known),
        vehicles_not_known: names(&together.vehicles_not_known),
    }
}

fn shared(one: &Shared, ctx: &Context) -> SharedForm {
    SharedForm {
        what: one.id(),
        name: match one {
            Shared::Crew(id) | Shared::Persons(id) | Shared::Trailer(id) | Shared::Vehicle(id) => {
                ctx.station(*id)
            }
            Shared::Gear(_, number) => number.clone(),
        },
    }
}

pub(super) fn together_asked(asked: &TogetherAsked, ctx: &Context) -> TogetherAskedForm {
    let vehicles = asked.vehicles.iter();
    TogetherAskedForm {
        wanted: asked.wanted,
        vehicles: vehicles
            .map(|(station, count)| VehiclesForm {
                station: ctx.station(*station),
                count: *count,
            })
            .collect(),
    }
}
