//! A call-out in the form: what was asked, and who can get there.

use serde::Serialize;
use sponson_readiness::answer::{
    Access, Brings, Callout, CalloutAsked, Candidate, CountyAnswer, CoverLeft, CrewKnown, CrewToGo,
    Hindrance, KitAtRamp, Reach, SaidAt, Second, Setting, SettingOf, Shared, SharedWith,
    TimeToWater, Way,
};
use sponson_readiness::ids::SubjectId;

use crate::context::Context;
use crate::sentence::callout::{to_do_list, would_go_text};
use crate::units::print;

#[derive(Serialize)]
pub(super) struct CalloutAskedForm {
    place: Option<String>,
    access: Option<&'static str>,
    ways: Vec<StationWayForm>,
}

#[derive(Serialize)]
struct StationWayForm {
    station: String,
    #[serde(flatten)]
    way: WayForm,
}

#[derive(Serialize)]
struct WayForm {
    way: &'static str,
    minutes: Option<u32>,
    metres: Option<u32>,
}

#[derive(Serialize)]
pub(super) struct CalloutForm {
    candidates: Vec<CandidateForm>,
    all_home_at_once: Option<HomeForm>,
    safety_boat: bool,
    cover: Vec<CoverForm>,
    settings: Vec<SettingForm>,
}

#[derive(Serialize)]
struct CandidateForm {
    craft: String,
    station: Option<String>,
    reach: &'static str,
    way: WayForm,
    time_to_water: TimeForm,
    launch: &'static str,
    crew: CrewForm,
    seats: Option<u32>,
    trips: Option<TripsForm>,
    disputed: Vec<SaidAtForm>,
    shared: Vec<SharedForm>,
    safety_boat: SecondForm,
    kit_at_ramp: Vec<KitForm>,
    cover_left: Option<LeftForm>,
    hindrances: Vec<&'static str>,
    to_do: Vec<String>,
    to_do_min: Option<u32>,
    whom_to_call: Vec<CallForm>,
    would_go: Option<String>,
}

#[derive(Serialize)]
struct TimeForm {
    crew_min: u32,
    ready_min: Option<u32>,
    ready_meanwhile: bool,
    drive_min: Option<u32>,
    launch_min: Option<u32>,
    total_min: Option<u32>,
    at_least_min: u32,
    at: Option<String>,
}

#[derive(Serialize)]
struct CrewForm {
    least: u32,
    goes: u32,
    known: &'static str,
    crews: Option<u32>,
    persons: Option<u32>,
    until: Option<String>,
}

#[derive(Serialize)]
struct TripsForm {
    trips: u32,
    left_behind: u32,
    fewest: bool,
}

#[derive(Serialize)]
struct SaidAtForm {
    station: String,
    way: WayForm,
    time_to_water: TimeForm,
}

#[derive(Serialize)]
struct SharedForm {
    what: &'static str,
    name: String,
    there: u32,
    with: Vec<String>,
}

#[derive(Serialize)]
struct SecondForm {
    second: &'static str,
    craft: Option<String>,
    both_min: Option<u32>,
}

#[derive(Serialize)]
struct KitForm {
    item: String,
    label: String,
    short: u32,
    from: Vec<BringsForm>,
    still_short: u32,
}

#[derive(Serialize)]
struct BringsForm {
    holder: &'static str,
    number: String,
    station: String,
    units: u32,
    way: WayForm,
}

#[derive(Serialize)]
struct LeftForm {
    craft: u32,
    less: Vec<CoverForm>,
    without: Vec<String>,
}

#[derive(Serialize)]
struct CoverForm {
    station: String,
    craft: u32,
}

#[derive(Serialize)]
struct CallForm {
    station: String,
    call: String,
}

#[derive(Serialize)]
struct HomeForm {
    craft: Vec<String>,
    fewest: bool,
    total_min: Option<u32>,
}

#[derive(Serialize)]
struct SettingForm {
    setting: &'static str,
    station: Option<String>,
    minutes: Option<u32>,
    basis: &'static str,
    source: String,
}

pub(super) fn callout_asked(asked: &CalloutAsked, ctx: &Context) -> CalloutAskedForm {
    let launch = asked.launch.as_ref();
    let name = launch.map(|launch| launch.name.clone());
    CalloutAskedForm {
        place: name.filter(|name| !name.is_empty()),
        access: launch.and_then(|launch| launch.access).map(Access::id),
        ways: asked
            .ways
            .iter()
            .map(|(station, way)| StationWayForm {
                station: ctx.station(*station),
                way: self::way(*way),
            })
            .collect(),
    }
}

const fn way(way: Way) -> WayForm {
    let (minutes, metres) = match way {
        Way::Table { minutes } | Way::Said { minutes } => (Some(minutes), None),
        Way::Straight { metres } => (None, Some(metres)),
        Way::Closed | Way::NotKnown => (None, None),
    };
    WayForm {
        way: way.id(),
        minutes,
        metres,
    }
}

pub(super) fn callout(callout: &Callout, answer: &CountyAnswer, ctx: &Context) -> CalloutForm {
    let home = callout.bring_home.as_ref();
    let numbers = |ids: &[SubjectId]| ids.iter().map(|id| number(callout, *id)).collect();
    CalloutForm {
        candidates: callout
            .candidates
            .iter()
            .map(|one| candidate(one, callout, answer, ctx))
            .collect(),
        all_home_at_once: home.map(|home| HomeForm {
            craft: numbers(&home.craft),
            fewest: home.is_fewest,
            total_min: home.total,
        }),
        safety_boat: callout.safety_boat,
        cover: callout
            .cover
            .iter()
            .map(|it| cover(it.station, it.craft, ctx))
            .collect(),
        settings: callout.settings.iter().map(|it| setting(it, ctx)).collect(),
    }
}

fn number(callout: &Callout, id: SubjectId) -> String {
    let mut all = callout.candidates.iter();
    all.find(|one| one.craft == id)
        .map_or_else(|| id.to_string(), |one| one.number.clone())
}

fn candidate(
    one: &Candidate,
    callout: &Callout,
    answer: &CountyAnswer,
    ctx: &Context,
) -> CandidateForm {
    let craft = answer.craft.iter().find(|craft| craft.id == one.craft);
    CandidateForm {
        craft: one.number.clone(),
        station: one.station.map(|id| ctx.station(id)),
        reach: one.reach.id(),
        way: way(one.way),
        time_to_water: time(&one.time),
        launch: one.launch.id(),
        crew: crew(&one.crew),
        seats: one.seats,
        trips: one.trips.map(|trips| TripsForm {
            trips: trips.trips,
            left_behind: trips.left_behind,
            fewest: trips.is_fewest,
        }),
        disputed: one.disputed.iter().map(|it| said_at(it, ctx)).collect(),
        shared: one
            .shared
            .iter()
            .map(|it| shared(it, callout, ctx))
            .collect(),
        safety_boat: second(&one.second),
        kit_at_ramp: one.at_ramp.iter().map(|it| kit(it, ctx)).collect(),
        cover_left: one.cover_left.as_ref().map(|it| left(it, ctx)),
        hindrances: one.hindrances.iter().map(Hindrance::id).collect(),
        to_do: to_do_list(&one.to_do, craft, ctx),
        to_do_min: one.to_do.iter().map(|it| it.minutes).sum(),
        whom_to_call: one
            .whom_to_call
            .iter()
            .map(|it| CallForm {
                station: it.name.clone(),
                call: it.call.clone(),
            })
            .collect(),
        would_go: match one.reach {
            Reach::ByTime | Reach::ByLine | Reach::WayNotKnown => None,
            Reach::NotChecked | Reach::CannotGo => Some(would_go_text(one, craft, ctx)),
        },
    }
}

fn time(time: &TimeToWater) -> TimeForm {
    TimeForm {
        crew_min: time.crew,
        ready_min: time.ready,
        ready_meanwhile: time.at_once,
        drive_min: time.drive,
        launch_min: time.launch,
        total_min: time.total,
        at_least_min: time.at_least,
        at: time.at.map(print::rfc3339),
    }
}

fn crew(crew: &CrewToGo) -> CrewForm {
    let (crews, persons, until) = match crew.known {
        CrewKnown::AsAsked | CrewKnown::NotKnown => (None, None, None),
        CrewKnown::Enough {
            crews,
            persons,
            until,
        } => (Some(crews), persons, Some(until)),
        CrewKnown::Short { persons } => (None, Some(persons), None),
    };
    CrewForm {
        least: crew.least,
        goes: crew.goes,
        known: crew.known.id(),
        crews,
        persons,
        until: until.map(print::rfc3339),
    }
}

fn said_at(said: &SaidAt, ctx: &Context) -> SaidAtForm {
    SaidAtForm {
        station: ctx.station(said.station),
        way: way(said.way),
        time_to_water: time(&said.time),
    }
}

fn shared(shared: &SharedWith, callout: &Callout, ctx: &Context) -> SharedForm {
    SharedForm {
        what: shared.what.id(),
        name: match &shared.what {
            Shared::Crew(id) | Shared::Persons(id) | Shared::Trailer(id) | Shared::Vehicle(id) => {
                ctx.station(*id)
            }
            Shared::Gear(_, number) => number.clone(),
        },
        there: shared.there,
        with: shared.with.iter().map(|id| number(callout, *id)).collect(),
    }
}

fn second(second: &Second) -> SecondForm {
    let (craft, both_min) = match second {
        Second::NotAsked | Second::None => (None, None),
        Second::Boat {
            number, both_total, ..
        } => (Some(number.clone()), *both_total),
    };
    SecondForm {
        second: second.id(),
        craft,
        both_min,
    }
}

fn kit(kit: &KitAtRamp, ctx: &Context) -> KitForm {
    KitForm {
        item: kit.item.0.clone(),
        label: kit.label.clone(),
        short: kit.short,
        from: kit.from.iter().map(|it| brings(it, ctx)).collect(),
        still_short: kit.still_short,
    }
}

fn brings(from: &Brings, ctx: &Context) -> BringsForm {
    BringsForm {
        holder: from.holder.id(),
        number: from.number.clone(),
        station: ctx.station(from.station),
        units: from.units,
        way: way(from.way),
    }
}

fn left(left: &CoverLeft, ctx: &Context) -> LeftForm {
    let less = left.less.iter();
    LeftForm {
        craft: left.craft,
        less: less.map(|it| cover(it.station, it.craft, ctx)).collect(),
        without: left.without.iter().map(|id| ctx.station(*id)).collect(),
    }
}

fn cover(station: SubjectId, craft: u32, ctx: &Context) -> CoverForm {
    CoverForm {
        station: ctx.station(station),
        craft,
    }
}

fn setting(setting: &Setting, ctx: &Context) -> SettingForm {
    let at = match setting.of {
        SettingOf::RaiseCrewAt(station) => Some(station),
        SettingOf::RaiseCrew
        | SettingOf::OneAfterOther
        | SettingOf::AtOnce
        | SettingOf::LaunchRamp
        | SettingOf::LaunchBank
        | SettingOf::BankUnlessSaid
        | SettingOf::RampUnlessSaid
        | SettingOf::SafetyBoat => None,
    };
    SettingForm {
        setting: setting.of.id(),
        station: at.map(|id| ctx.station(id)),
        minutes: setting.minutes,
        basis: setting.basis.id(),
        source: setting.source.clone(),
    }
}

#[cfg(test)]
mod tests;
