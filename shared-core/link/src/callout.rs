//! What is asked of a call-out, between messages and the trade's types: the place, and how each
//! station gets there.
//!
//! Travel times of the county's list and straight lines are taken in here and listed with the
//! answer, so that it can be given again without the list.

use std::collections::BTreeMap;
use std::path::Path;

use bytes::Bytes;
use sponson_proto::answer::v1 as wire;
use sponson_readiness::answer::{Access, CalloutAsked, LaunchPlace, Way};
use sponson_readiness::conditions::Position;
use sponson_readiness::engine::Station;
use sponson_readiness::ids::SubjectId;
use sponson_show::clean;
use sponson_show::units::print;
use tonic::Code;

use crate::ask::near;
use crate::places::{LaunchPlaces, MINUTES_MAX, Place, metres};
use crate::refusal::Refusal;
use crate::together::station;

/// Stations whose way an asker can tell of: more than any county has.
const WAYS_MAX: usize = 256;

/// Where a question is about, as it was taken.
#[derive(Debug, Default)]
pub(crate) struct Launch {
    position: Option<Position>,
    place: Option<Place>,
    notes: Vec<String>,
}

impl Launch {
    /// Where it is: the place's own position where one was taken.
    pub(crate) fn position(&self) -> Option<Position> {
        let place = self.place.as_ref().map(|place| place.position);
        place.or(self.position)
    }

    /// What has to be said of it, a sentence each.
    pub(crate) fn into_notes(self) -> Vec<String> {
        self.notes
    }
}

/// Takes the place of a question: by its name in the list of launch places; for a call-out by its
/// position too, when that is close to one of them.
pub(crate) fn launch(
    question: &wire::Question,
    position: Option<Position>,
    list: Option<&Path>,
) -> Result<Launch, Refusal> {
    let given = question.conditions.as_ref();
    let name = given.map_or("", |given| given.place_name.trim());
    if !name.is_empty() {
        return named(name, position, list);
    }
    let mut launch = Launch {
        position,
        ..Launch::default()
    };
    let (Some(position), Some(list), Some(_)) = (position, list, &question.callout) else {
        return Ok(launch);
    };
    match LaunchPlaces::read(list) {
        Ok(list) => {
            if let Some((place, away_m)) = list.near(position) {
                launch.notes.extend(said_near(position, place, away_m));
                launch.place = Some(place.clone());
            }
        }
        // Whoever asks at night gets an answer all the same, by straight lines.
        Err(error) => launch
            .notes
            .push(format!("{error}; no travel times are used")),
    }
    Ok(launch)
}

fn said_near(position: Position, place: &Place, away_m: u32) -> Option<String> {
    (away_m > 0).then(|| {
        format!(
            "{} is {away_m} m from {}, and is taken as it",
            print::position(position),
            clean(&place.name)
        )
    })
}

fn named(name: &str, position: Option<Position>, list: Option<&Path>) -> Result<Launch, Refusal> {
    if position.is_some() {
        return Err(Refusal::field(
            format!("place_name is '{}', and a position is given", clean(name)),
            "give one of the two",
        ));
    }
    let list = list.ok_or_else(|| {
        Refusal::new(
            Code::FailedPrecondition,
            "NO_LAUNCH_PLACES",
            format!(
                "the place is '{}', and no list of launch places is kept here",
                clean(name)
            ),
            "give latitude and longitude, or set places in the settings",
        )
    })?;
    let list = LaunchPlaces::read(list).map_err(|error| {
        Refusal::new(
            Code::FailedPrecondition,
            "LAUNCH_PLACES_NOT_READABLE",
            error.to_string(),
            "correct the list, or give latitude and longitude",
        )
    })?;
    let place = list.named(name).ok_or_else(|| not_known(name, &list))?;
    Ok(Launch {
        place: Some(place.clone()),
        ..Launch::default()
    })
}

fn not_known(name: &str, list: &LaunchPlaces) -> Refusal {
    let names = || list.iter().map(|place| place.name.as_str());
    let to_do = match near(name, names()).as_slice() {
        [] => {
            let known: Vec<&str> = names().take(NAMES_MAX).collect();
            format!("the list begins with {}", known.join(", "))
        }
        near => format!("did you mean {}?", near.join(" or ")),
    };
    Refusal::new(
        Code::NotFound,
        "PLACE_NOT_KNOWN",
        format!("no launch place is named '{}'", clean(name)),
        to_do,
    )
}

/// Names told where none is near: more are no help on one line.
const NAMES_MAX: usize = 8;

/// Reads what is asked: the place as it was taken, and the way from every station.
pub(crate) fn parse(
    given: &wire::CalloutAsked,
    launch: &Launch,
    stations: &BTreeMap<SubjectId, Station>,
) -> Result<CalloutAsked, Refusal> {
    let said = said(given, stations)?;
    let access = access("callout.access", &given.access)?;
    let to = launch.position();
    let ways = stations.iter().map(|(id, from)| {
        let by_list = || launch.place.as_ref()?.minutes_from(&from.name);
        let way = match (said.get(id), by_list()) {
            (Some(way), _) => *way,
            (None, Some(minutes)) => Way::Table { minutes },
            (None, None) => match (from.position, to) {
                (Some(from), Some(to)) => Way::Straight {
                    metres: metres(from, to),
                },
                (Some(_) | None, _) => Way::NotKnown,
            },
        };
        (*id, way)
    });
    let place = launch.place.as_ref();
    let access = access.or(place.and_then(|place| place.access));
    let is_known = place.is_some() || access.is_some();
    Ok(CalloutAsked {
        launch: is_known.then(|| LaunchPlace {
            name: place.map(|place| place.name.clone()).unwrap_or_default(),
            access,
        }),
        ways: ways.collect(),
    })
}

/// What the asker says of the way from a station.
fn said(
    given: &wire::CalloutAsked,
    stations: &BTreeMap<SubjectId, Station>,
) -> Result<BTreeMap<SubjectId, Way>, Refusal> {
    within_number(given.ways.len())?;
    let mut said = BTreeMap::new();
    for from in &given.ways {
        let id = station("callout.ways", (&from.station, &from.station_id), stations)?;
        let way = match from.way.as_str() {
            "said" => Way::Said {
                minutes: minutes(from)?,
            },
            "closed" => Way::Closed,
            other => {
                return Err(Refusal::field(
                    format!("callout.ways has the way '{}'", clean(other)),
                    "an asker gives said, with minutes, or closed",
                ));
            }
        };
        if said.insert(id, way).is_some() {
            return Err(Refusal::field(
                format!("the way from {} is said twice", clean(&from.station)),
                "give its minutes, or that its road is closed: one of them, once",
            ));
        }
    }
    Ok(said)
}

fn within_number(number: usize) -> Result<(), Refusal> {
    if number <= WAYS_MAX {
        return Ok(());
    }
    Err(Refusal::field(
        format!("callout.ways has {number} lines; at most {WAYS_MAX} are allowed"),
        "give one for each station",
    ))
}

fn minutes(from: &wire::WayFrom) -> Result<u32, Refusal> {
    let given = from.minutes.filter(|minutes| *minutes <= MINUTES_MAX);
    given.ok_or_else(|| {
        let said = from
            .minutes
            .map_or_else(|| "no minutes".to_owned(), |it| format!("{it} minutes"));
        Refusal::field(
            format!("callout.ways has {said} from {}", clean(&from.station)),
            format!("give minutes of driving, from 0 to {MINUTES_MAX}"),
        )
    })
}

fn access(field: &str, word: &str) -> Result<Option<Access>, Refusal> {
    let mut every = [Access::Ramp, Access::Bank].into_iter();
    match word.trim() {
        "" => Ok(None),
        word => every
            .find(|access| access.id() == word)
            .map(Some)
            .ok_or_else(|| {
                Refusal::field(format!("{field} is '{}'", clean(word)), "give ramp or bank")
            }),
    }
}

/// Reads what was asked as an answer lists it.
pub(crate) fn listed(given: &wire::CalloutAsked) -> Result<CalloutAsked, Refusal> {
    within_number(given.ways.len())?;
    let mut ways = BTreeMap::new();
    for from in &given.ways {
        let metres = from.metres.unwrap_or_default();
        let minutes = from.minutes.unwrap_or_default();
        let every = [
            Way::Table { minutes },
            Way::Said { minutes },
            Way::Straight { metres },
            Way::Closed,
            Way::NotKnown,
        ];
        let way = every.into_iter().find(|way| way.id() == from.way);
        let id = <[u8; 16]>::try_from(from.station_id.as_ref()).ok();
        let (Some(way), Some(id)) = (way, id) else {
            return Err(Refusal::field(
                format!("callout.ways has the way '{}'", clean(&from.way)),
                "it shows nothing",
            ));
        };
        ways.insert(SubjectId::from_bytes(id), way);
    }
    let launch = given.launch.as_ref().map(|place| {
        Ok::<_, Refusal>(LaunchPlace {
            name: place.name.clone(),
            access: access("callout.launch.access", &place.access)?,
        })
    });
    Ok(CalloutAsked {
        launch: launch.transpose()?,
        ways,
    })
}

/// Writes what was asked, as it was taken.
pub(crate) fn asked_to_wire(asked: &CalloutAsked) -> wire::CalloutAsked {
    let ways = asked.ways.iter().map(|(station, way)| wire::WayFrom {
        station_id: bytes(*station),
        ..way_to_wire(*way)
    });
    wire::CalloutAsked {
        access: String::new(),
        ways: ways.collect(),
        launch: asked.launch.as_ref().map(|place| wire::LaunchPlace {
            name: place.name.clone(),
            access: place.access.map(Access::id).unwrap_or_default().to_owned(),
        }),
    }
}

/// Writes a way without the station that it is from.
pub(crate) fn way_to_wire(way: Way) -> wire::WayFrom {
    let (minutes, metres) = match way {
        Way::Table { minutes } | Way::Said { minutes } => (Some(minutes), None),
        Way::Straight { metres } => (None, Some(metres)),
        Way::Closed | Way::NotKnown => (None, None),
    };
    wire::WayFrom {
        way: way.id().to_owned(),
        minutes,
        metres,
        ..wire::WayFrom::default()
    }
}

fn bytes(id: SubjectId) -> Bytes {
    Bytes::copy_from_slice(id.as_bytes())
}

#[cfg(test)]
mod tests;
