//! What the answer is given without, in the form; absent where nothing was taken away.

use serde::Serialize;
use sponson_readiness::answer::CountyAnswer;
use sponson_readiness::without::{KitAway, TakenAway, TakenBy, Without};

use crate::context::Context;

#[derive(Serialize)]
pub(super) struct WithoutForm {
    craft: Vec<String>,
    stations: Vec<String>,
    kit: Vec<KitAwayForm>,
}

#[derive(Serialize)]
struct KitAwayForm {
    item: String,
    station: Option<String>,
}

#[derive(Serialize)]
pub(super) struct TakenForm {
    craft: String,
    stations: Vec<String>,
    by: &'static str,
    by_station: Option<String>,
}

pub(super) fn without(
    without: &Without,
    answer: &CountyAnswer,
    ctx: &Context,
) -> Option<WithoutForm> {
    let named = answer.taken_away.iter();
    let named = named.filter(|taken| without.craft.contains(&taken.craft));
    let form = WithoutForm {
        craft: named.map(|taken| taken.number.clone()).collect(),
        stations: without.stations.iter().map(|id| ctx.station(*id)).collect(),
        kit: without.kit.iter().map(|away| kit(away, ctx)).collect(),
    };
    (!without.is_nothing()).then_some(form)
}

fn kit(away: &KitAway, ctx: &Context) -> KitAwayForm {
    KitAwayForm {
        item: away.line.0.clone(),
        station: away.station.map(|id| ctx.station(id)),
    }
}

pub(super) fn taken_away(answer: &CountyAnswer, ctx: &Context) -> Option<Vec<TakenForm>> {
    let taken = answer.taken_away.iter().map(|one| taken(one, ctx));
    (!answer.asked.without.is_nothing()).then(|| taken.collect())
}

fn taken(one: &TakenAway, ctx: &Context) -> TakenForm {
    TakenForm {
        craft: one.number.clone(),
        stations: one.stations.iter().map(|id| ctx.station(*id)).collect(),
        by: one.by.id(),
        by_station: match one.by {
            TakenBy::Itself => None,
            TakenBy::Station(id) => Some(ctx.station(id)),
        },
    }
}
