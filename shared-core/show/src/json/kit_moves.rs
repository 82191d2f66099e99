//! A day's plan of kit moves in the form, described field by field in `kit-moves-schema.md`.

use serde::Serialize;
use sponson_readiness::ids::SubjectId;
use sponson_readiness::kit_moves::{
    Hindered, Hindrance, Holder, Keeps, KitMoves, Move, Proven, Stock, Taker,
};
use sponson_readiness::moment::Moment;

use crate::caution;
use crate::context::Context;
use crate::table::{givers, hindrance, kit_move_text, kit_moves_notes};
use crate::units::print;

/// Name and version of the form.
pub const KIT_MOVES_SCHEMA: &str = "sponson.kit-moves/1";

#[derive(Serialize)]
pub(super) struct KitMovesForm {
    schema: &'static str,
    as_of: String,
    county_log_size: u64,
    missions: Vec<String>,
    givers_keep: &'static str,
    proven: &'static str,
    craft_made_ready: u32,
    units: u64,
    units_way_not_known: u64,
    unit_metres: u64,
    ready: Vec<CraftForm>,
    made_ready: Vec<CraftForm>,
    moves: Vec<MoveForm>,
    stay_short: Vec<ShortForm>,
    kit_alone_does_not: Vec<HinderedForm>,
    givers: Vec<GiverForm>,
    notes: Vec<String>,
    caution: &'static str,
}

#[derive(Serialize)]
struct CraftForm {
    craft: String,
    id: String,
}

#[derive(Serialize)]
struct MoveForm {
    item: String,
    label: String,
    units: u32,
    in_place_of: Option<String>,
    from: FromForm,
    to: String,
    to_id: String,
    to_station: String,
    metres: Option<u32>,
    text: String,
}

#[derive(Serialize)]
struct FromForm {
    holder: &'static str,
    number: String,
    id: String,
    station: String,
}

#[derive(Serialize)]
struct ShortForm {
    craft: String,
    id: String,
    station: String,
    lacks: Vec<LackForm>,
}

#[derive(Serialize)]
struct LackForm {
    item: String,
    label: String,
    units: u32,
    spare: u64,
    left_over: u64,
}

#[derive(Serialize)]
struct HinderedForm {
    craft: String,
    id: String,
    why: &'static str,
    rules: Vec<&'static str>,
    text: String,
}

#[derive(Serialize)]
struct GiverForm {
    from: FromForm,
    item: String,
    label: String,
    good: u32,
    spare: u32,
    gives: u64,
}

pub(super) fn form(moves: &KitMoves, ctx: &Context) -> KitMovesForm {
    let (county, worth) = (&moves.county, moves.solved.worth);
    let takers = county.problem.takers.iter().enumerate();
    let (made_ready, short): (Vec<_>, Vec<_>) =
        takers.partition(|(at, _)| moves.solved.plan.ready.contains(at));
    let ready = county.ready.iter();
    KitMovesForm {
        schema: KIT_MOVES_SCHEMA,
        as_of: print::rfc3339(moves.as_of),
        county_log_size: moves.known_by.size,
        missions: county
            .asked
            .missions
            .iter()
            .map(|it| it.0.clone())
            .collect(),
        givers_keep: match county.asked.keeps {
            Keeps::EveryMission => "every_mission",
            Keeps::ChosenMissions => "chosen_missions",
        },
        proven: match moves.solved.proven {
            Proven::Yes => "yes",
            Proven::NotFirst => "not_first",
            Proven::No => "no",
        },
        craft_made_ready: worth.craft,
        units: worth.units,
        units_way_not_known: worth.way_not_known,
        unit_metres: worth.metres,
        ready: ready.map(|(id, number)| craft(*id, number)).collect(),
        made_ready: made_ready
            .iter()
            .map(|(_, taker)| craft(taker.id, &taker.number))
            .collect(),
        moves: moves
            .solved
            .plan
            .moves
            .iter()
            .filter_map(|one| moved(moves, one, ctx))
            .collect(),
        stay_short: short
            .iter()
            .map(|(_, taker)| stays(moves, taker, ctx))
            .collect(),
        kit_alone_does_not: county
            .hindered
            .iter()
            .map(|one| hindered(one, moves.as_of, ctx))
            .collect(),
        givers: givers(moves)
            .into_iter()
            .map(|(stock, gives)| GiverForm {
                from: from(stock, ctx),
                item: stock.line.0.clone(),
                label: stock.label.clone(),
                good: stock.good,
                spare: stock.spare,
                gives,
            })
            .collect(),
        notes: kit_moves_notes(moves),
        caution: caution(),
    }
}

fn craft(id: SubjectId, number: &str) -> CraftForm {
    CraftForm {
        craft: number.to_owned(),
        id: id.to_string(),
    }
}

fn from(stock: &Stock, ctx: &Context) -> FromForm {
    FromForm {
        holder: match stock.holder {
            Holder::Shelf => "shelf",
            Holder::Bag => "bag",
            Holder::Station => "station",
            Holder::Craft => "craft",
            Holder::Condemned => "condemned_craft",
        },
        number: stock.number.clone(),
        id: stock.id.to_string(),
        station: ctx.station(stock.station),
    }
}

fn moved(moves: &KitMoves, one: &Move, ctx: &Context) -> Option<MoveForm> {
    let problem = &moves.county.problem;
    let (taker, stock) = (
        problem.takers.get(one.taker)?,
        problem.stocks.get(one.stock)?,
    );
    let want = taker.wants.get(one.want)?;
    Some(MoveForm {
        item: stock.line.0.clone(),
        label: stock.label.clone(),
        units: one.units,
        in_place_of: (want.line != stock.line).then(|| want.line.0.clone()),
        from: from(stock, ctx),
        to: taker.number.clone(),
        to_id: taker.id.to_string(),
        to_station: ctx.station(taker.station),
        metres: problem.way(stock.station, taker.station),
        text: kit_move_text(moves, one, ctx)?,
    })
}

fn stays(moves: &KitMoves, taker: &Taker, ctx: &Context) -> ShortForm {
    let short = moves.county.problem.stays_short(&moves.solved.plan, taker);
    let lacks = short.iter().zip(&taker.wants);
    ShortForm {
        craft: taker.number.clone(),
        id: taker.id.to_string(),
        station: ctx.station(taker.station),
        lacks: lacks
            .map(|(short, want)| LackForm {
                item: want.line.0.clone(),
                label: want.label.clone(),
                units: want.units,
                spare: short.spare,
                left_over: short.left,
            })
            .collect(),
    }
}

fn hindered(one: &Hindered, as_of: Moment, ctx: &Context) -> HinderedForm {
    let (why, rules) = match &one.why {
        Hindrance::Findings(findings) => (
            "findings",
            findings.iter().map(|finding| finding.rule.id()).collect(),
        ),
        Hindrance::Declared(status) => ("declared", vec![status.id()]),
        Hindrance::PlaceNotKnown => ("place_not_known", Vec::new()),
        Hindrance::NoMission => ("no_mission", Vec::new()),
        Hindrance::NoStandard => ("no_standard", Vec::new()),
    };
    HinderedForm {
        craft: one.number.clone(),
        id: one.id.to_string(),
        why,
        rules,
        text: hindrance(&one.why, as_of, ctx),
    }
}
