//! What an answer is to be given without, between messages and the trade's types.

use std::collections::{BTreeMap, BTreeSet};

use bytes::Bytes;
use sponson_proto::answer::v1 as wire;
use sponson_readiness::engine::Station;
use sponson_readiness::ids::{LineId, SubjectId};
use sponson_readiness::moment::Moment;
use sponson_readiness::without::{KitAway, TakenAway, TakenBy, Without};
use sponson_replica::Replica;
use sponson_show::{Context, clean};
use tonic::Code;

use crate::ask::{near, short, subject_of};
use crate::refusal::Refusal;

/// Lines of each sort: more craft and stations than a county has to do without.
const LINES_MAX: usize = 256;

/// Reads what a question names: numbers of craft, names of stations, lines or labels of kit.
pub(crate) fn parse(
    replica: &mut Replica,
    given: &wire::Without,
    now: Moment,
) -> Result<Without, Refusal> {
    at_most("craft", given.craft.len())?;
    at_most("stations", given.stations.len())?;
    at_most("kit", given.kit.len())?;
    let stations = replica.stations(now);
    let craft = given.craft.iter().map(|it| it.craft.trim());
    let craft = craft.map(|number| subject_of(replica, number));
    let craft = craft.collect::<Result<_, _>>()?;
    let named = given.stations.iter();
    let named = named.map(|it| station(&it.station, &stations));
    let named = named.collect::<Result<_, _>>()?;
    let lines = replica.kit_lines();
    let kit = given.kit.iter().map(|it| kit(it, &lines, &stations));
    Ok(Without {
        craft,
        stations: named,
        kit: kit.collect::<Result<_, _>>()?,
    })
}

/// Reads what an answer lists, by its ids: what is not known here takes nothing away.
pub(crate) fn of_answer(given: &wire::Without) -> Option<Without> {
    let kit = given.kit.iter().map(|it| {
        let station = match it.station_id.is_empty() {
            true => None,
            false => Some(id(&it.station_id)?),
        };
        Some(KitAway {
            line: LineId(it.item.clone()),
            station,
        })
    });
    Some(Without {
        craft: given
            .craft
            .iter()
            .map(|it| id(&it.id))
            .collect::<Option<_>>()?,
        stations: given
            .stations
            .iter()
            .map(|it| id(&it.id))
            .collect::<Option<_>>()?,
        kit: kit.collect::<Option<_>>()?,
    })
}

/// Writes what was taken as not there; absent where nothing was.
pub(crate) fn to_wire(without: &Without) -> Option<wire::Without> {
    let named = || String::new();
    let written = wire::Without {
        craft: without
            .craft
            .iter()
            .map(|id| wire::WithoutCraft {
                craft: named(),
                id: bytes(*id),
            })
            .collect(),
        stations: without
            .stations
            .iter()
            .map(|id| wire::WithoutStation {
                station: named(),
                id: bytes(*id),
            })
            .collect(),
        kit: without
            .kit
            .iter()
            .map(|away| wire::WithoutKit {
                item: away.line.0.clone(),
                station: named(),
                station_id: away.station.map(bytes).unwrap_or_default(),
            })
            .collect(),
    };
    (!without.is_nothing()).then_some(written)
}

/// Writes a craft that the answer is given without.
pub(crate) fn taken_to_wire(taken: &TakenAway, ctx: &Context) -> wire::TakenAway {
    wire::TakenAway {
        id: bytes(taken.craft),
        craft: taken.number.clone(),
        stations: taken.stations.iter().map(|id| ctx.station(*id)).collect(),
        by: taken.by.id().to_owned(),
        by_station: match taken.by {
            TakenBy::Itself => Bytes::new(),
            TakenBy::Station(station) => bytes(station),
        },
    }
}

fn at_most(field: &str, number: usize) -> Result<(), Refusal> {
    if number <= LINES_MAX {
        return Ok(());
    }
    Err(Refusal::field(
        format!("without: {field} has {number} lines; at most {LINES_MAX} are allowed"),
        "name fewer",
    ))
}

fn station(name: &str, stations: &BTreeMap<SubjectId, Station>) -> Result<SubjectId, Refusal> {
    let name = name.trim();
    short("station", name, "give its name")?;
    let mut known = stations.iter();
    if let Some((id, _)) = known.find(|(_, it)| it.name.eq_ignore_ascii_case(name)) {
        return Ok(*id);
    }
    let names: Vec<&str> = stations.values().map(|it| it.name.as_str()).collect();
    Err(Refusal::new(
        Code::NotFound,
        "STATION_NOT_KNOWN",
        format!("no station '{}' is known here", clean(name)),
        did_you_mean(name, &names, "stations known here"),
    ))
}

fn kit(
    given: &wire::WithoutKit,
    lines: &BTreeMap<LineId, BTreeSet<String>>,
    stations: &BTreeMap<SubjectId, Station>,
) -> Result<KitAway, Refusal> {
    let station = match given.station.trim() {
        "" => None,
        name => Some(station(name, stations)?),
    };
    Ok(KitAway {
        line: line(&given.item, lines)?,
        station,
    })
}

/// By its id, else by what the standards call it.
fn line(name: &str, lines: &BTreeMap<LineId, BTreeSet<String>>) -> Result<LineId, Refusal> {
    let name = name.trim();
    short(
        "kit",
        name,
        "give its line in the boat standard, for example throw-bag",
    )?;
    let by_id = |id: &LineId| id.0.eq_ignore_ascii_case(name);
    let labelled = |labels: &BTreeSet<String>| {
        let mut labels = labels.iter();
        labels.any(|label| label.eq_ignore_ascii_case(name))
    };
    let of_id = lines.keys().find(|id| by_id(id));
    let found = of_id.or_else(|| {
        let mut lines = lines.iter();
        lines.find(|(_, labels)| labelled(labels)).map(|(id, _)| id)
    });
    found.cloned().ok_or_else(|| {
        let ids: Vec<&str> = lines.keys().map(|id| id.0.as_str()).collect();
        Refusal::new(
            Code::NotFound,
            "KIT_NOT_KNOWN",
            format!("no boat standard here has the kit line '{}'", clean(name)),
            did_you_mean(name, &ids, "lines of the boat standards here"),
        )
    })
}

fn did_you_mean(name: &str, known: &[&str], what: &str) -> String {
    let close = near(name, known.iter().copied());
    let cleaned = |names: &[&str]| names.iter().map(|it| clean(it)).collect::<Vec<_>>();
    match close.as_slice() {
        [] => format!("the {what} are {}", cleaned(known).join(", ")),
        close => format!("did you mean {}?", cleaned(close).join(" or ")),
    }
}

fn id(bytes: &[u8]) -> Option<SubjectId> {
    Some(SubjectId::from_bytes(bytes.try_into().ok()?))
}

fn bytes(id: SubjectId) -> Bytes {
    Bytes::copy_from_slice(id.as_bytes())
}
