//! A call-out in words: the way, the time to water and what it is made of, the crew, what meets at
//! the ramp, what is left, what would make a craft go.
//!
//! The same words for the terminal, the JSON form and the pages. Nothing is concluded here.

mod would_go;

use sponson_readiness::answer::{
    Access, Brings, Call, Candidate, CoverLeft, CrewKnown, CrewToGo, Hindrance, KitAtRamp,
    LaunchBy, LaunchPlace, SaidAt, Second, Setting, SettingOf, Shared, SharedWith, TimeToWater,
    Trips, Way,
};
use sponson_readiness::ids::SubjectId;
use sponson_readiness::kit_moves::Holder;

use super::label_or;
use crate::clean::clean;
use crate::context::Context;
use crate::units::print;

pub use would_go::{to_do_list, would_go_text};

/// The launch place: `Mill Street ramp (ramp)`; none when neither name nor access is known.
#[must_use]
pub fn place_text(place: &LaunchPlace) -> Option<String> {
    let access = place.access.map(access_text);
    match (place.name.trim(), access) {
        ("", None) => None,
        ("", Some(access)) => Some(format!("a {access}")),
        (name, None) => Some(format!("{}; ramp or bank not known", clean(name))),
        (name, Some(access)) => Some(format!("{} ({access})", clean(name))),
    }
}

/// How craft get into the water.
#[must_use]
pub const fn access_text(access: Access) -> &'static str {
    match access {
        Access::Ramp => "ramp",
        Access::Bank => "bank",
    }
}

/// How a station gets there.
#[must_use]
pub fn way_text(way: Way, ctx: &Context) -> String {
    match way {
        Way::Table { minutes } => format!("{minutes} min drive by the county's table"),
        Way::Said { minutes } => format!("{minutes} min drive, as said"),
        Way::Straight { metres } => format!(
            "{} in a straight line, and no travel time known",
            print::distance(metres, ctx.units)
        ),
        Way::Closed => "the road is closed".to_owned(),
        Way::NotKnown => "the way is not known".to_owned(),
    }
}

/// Minutes until it is in the water, with when: `24 min to water (18:54)`; what is known of it where
/// a part is not.
#[must_use]
pub fn total_text(time: &TimeToWater, ctx: &Context) -> String {
    match (time.total, time.at) {
        (Some(total), Some(at)) => {
            let when = ctx.local(at);
            let clock = when
                .split_once(' ')
                .map_or(when.as_str(), |(_, clock)| clock);
            format!("{total} min to water ({clock})")
        }
        (Some(total), None) => format!("{total} min to water"),
        (None, _) => format!("at least {} min to water", time.at_least),
    }
}

/// What the time is made of: `crew 10, meanwhile made ready 5, drive 8, ramp 6`.
#[must_use]
pub fn parts_text(time: &TimeToWater, launch: LaunchBy) -> String {
    let ready = time.ready.map_or_else(
        || "making ready not known".to_owned(),
        |minutes| match (minutes, time.at_once) {
            (0, _) => "nothing to make ready".to_owned(),
            (minutes, true) => format!("meanwhile made ready {minutes}"),
            (minutes, false) => format!("made ready {minutes}"),
        },
    );
    let or_not = |what: &str, minutes: Option<u32>| match minutes {
        Some(minutes) => format!("{what} {minutes}"),
        None => format!("{what} not known"),
    };
    let launch = or_not(launch_text(launch), time.launch);
    let drive = or_not("drive", time.drive);
    format!("crew {}, {ready}, {drive}, {launch}", time.crew)
}

/// How it goes in.
#[must_use]
pub const fn launch_text(launch: LaunchBy) -> &'static str {
    match launch {
        LaunchBy::Ramp => "ramp",
        LaunchBy::Bank => "bank",
        LaunchBy::Either => "ramp or bank, not known which,",
        LaunchBy::RampIfThere => "ramp, if there is one,",
        LaunchBy::NoRamp => "no ramp there, and it needs one:",
    }
}

/// The crew that goes, and whether it is there.
#[must_use]
pub fn crew_text(crew: &CrewToGo, ctx: &Context) -> String {
    let goes = match crew.goes == crew.least {
        true => format!("crew of {}", crew.goes),
        false => format!("crew of {} (at least {})", crew.goes, crew.least),
    };
    match crew.known {
        CrewKnown::AsAsked => format!("{goes}, as asked"),
        CrewKnown::Enough {
            crews,
            persons,
            until,
        } => {
            let crews = print::count(i64::from(crews), "crew");
            let persons = persons.map_or_else(String::new, |persons| {
                format!(" ({})", print::count(i64::from(persons), "person"))
            });
            format!(
                "{goes}: its station can raise {crews}{persons} until {}",
                ctx.local(until)
            )
        }
        CrewKnown::NotKnown => format!("{goes}: crew not known, ask"),
        CrewKnown::Short { persons } => {
            format!(
                "{goes}: too few, {} there",
                print::count(i64::from(persons), "person")
            )
        }
    }
}

/// Room in one trip, and the trips that bring everybody home.
#[must_use]
pub fn room_text(seats: Option<u32>, trips: Option<Trips>) -> String {
    let seats = seats.map_or_else(
        || "seats not known".to_owned(),
        |seats| print::count(i64::from(seats), "seat"),
    );
    let Some(trips) = trips else {
        return seats;
    };
    let number = print::count(i64::from(trips.trips), "trip");
    let number = match trips.is_fewest {
        true => number,
        false => format!("at most {number}"),
    };
    match trips.left_behind {
        0 => format!("{seats}, {number} to bring all home"),
        left => format!(
            "{seats}, {number}; no room in any for {}",
            match left {
                1 => "1 of them".to_owned(),
                left => format!("{left} of them"),
            }
        ),
    }
}

/// A station that a craft is said to be at as well.
#[must_use]
pub fn said_at_text(said: &SaidAt, ctx: &Context) -> String {
    format!(
        "{}: {}, {}",
        ctx.station(said.station),
        total_text(&said.time, ctx),
        way_text(said.way, ctx)
    )
}

/// What others want as well; `number` gives the number of a craft.
#[must_use]
pub fn shared_text(
    shared: &SharedWith,
    number: impl Fn(SubjectId) -> String,
    ctx: &Context,
) -> String {
    let what = match &shared.what {
        Shared::Crew(station) => format!("crews of {}", ctx.station(*station)),
        Shared::Persons(station) => format!("persons of {}", ctx.station(*station)),
        Shared::Trailer(station) => format!("trailers of {}", ctx.station(*station)),
        Shared::Vehicle(station) => format!("vehicles of {} that tow", ctx.station(*station)),
        Shared::Gear(_, gear) => clean(gear),
    };
    let with: Vec<String> = shared.with.iter().map(|id| number(*id)).collect();
    format!(
        "{what}: {} there, wanted by {} too",
        shared.there,
        with.join(", ")
    )
}

/// The safety boat; none when the county asks for none.
#[must_use]
pub fn second_text(second: &Second) -> Option<String> {
    Some(match second {
        Second::NotAsked => return None,
        Second::Boat {
            number, both_total, ..
        } => {
            let both = both_total.map_or_else(
                || "when both are in the water is not known".to_owned(),
                |minutes| format!("both in the water in {minutes} min"),
            );
            format!("safety boat: {}, {both}", clean(number))
        }
        Second::None => "safety boat: none can go together with it".to_owned(),
    })
}

/// Kit that is short for the mission, and who brings it to the ramp.
#[must_use]
pub fn kit_text(kit: &KitAtRamp, ctx: &Context) -> String {
    let label = label_or(&kit.label, kit.item.as_str());
    let brought = kit.from.iter().map(|from| brings_text(from, ctx));
    let still = match (kit.still_short, kit.from.is_empty()) {
        (0, _) => None,
        (_, true) => Some("nobody is known to have it to spare".to_owned()),
        (still, false) => Some(format!("{still} still short")),
    };
    let rest: Vec<String> = brought.chain(still).collect();
    let short = format!("{label}: {} short", kit.short);
    match rest.as_slice() {
        [] => short,
        rest => format!("{short}; {}", rest.join("; ")),
    }
}

fn brings_text(from: &Brings, ctx: &Context) -> String {
    let number = clean(&from.number);
    let whose = ctx.station(from.station);
    let holder = match from.holder {
        Holder::Shelf => format!("shelf {number} of {whose}"),
        Holder::Bag => format!("bag {number} of {whose}"),
        Holder::Station => format!("the store of {whose}"),
        Holder::Craft => format!("{number} of {whose}"),
        Holder::Condemned => format!("{number} of {whose}, which is condemned,"),
    };
    format!(
        "{holder} has {} to bring ({})",
        from.units,
        way_text(from.way, ctx)
    )
}

/// What is left in the county once it went.
#[must_use]
pub fn cover_text(left: &CoverLeft, ctx: &Context) -> String {
    let craft = match left.craft {
        0 => "no craft can go then".to_owned(),
        1 => "1 craft can still go".to_owned(),
        craft => format!("{craft} craft can still go"),
    };
    let names: Vec<String> = left.without.iter().map(|id| ctx.station(*id)).collect();
    match names.as_slice() {
        [] => format!("left then: {craft}"),
        names => format!("left then: {craft}; none at {}", names.join(", ")),
    }
}

/// What keeps it from the place, apart from its readiness.
#[must_use]
pub fn hindrance_text(hindrance: &Hindrance) -> String {
    match hindrance {
        Hindrance::WayClosed => "the road from its station is closed".to_owned(),
        Hindrance::NoRamp => "it needs a ramp, and there is a bank only".to_owned(),
        Hindrance::CrewShort => "too few crew".to_owned(),
        Hindrance::Assigned { incident } => match incident.trim() {
            "" => "assigned already".to_owned(),
            incident => format!("assigned already: {}", clean(incident)),
        },
        Hindrance::Declared => "declared out of service".to_owned(),
        Hindrance::NoStation => "at which station it is is not known".to_owned(),
    }
}

/// Whom to call: `call Mill Race (radio call "Mill")`; none when nobody is known.
#[must_use]
pub fn call_text(whom: &[Call]) -> Option<String> {
    let each = whom.iter().map(|one| match one.call.trim() {
        "" => clean(&one.name),
        call => format!("{} (radio call {})", clean(&one.name), clean(call)),
    });
    let each: Vec<String> = each.collect();
    (!each.is_empty()).then(|| format!("call {}", each.join(" and ")))
}

/// A setting of the county that the times rest on.
#[must_use]
pub fn setting_text(setting: &Setting, ctx: &Context) -> String {
    let minutes = setting.minutes.map(|minutes| format!(" {minutes} min"));
    let minutes = minutes.unwrap_or_default();
    match &setting.of {
        SettingOf::RaiseCrew => format!("raising a crew{minutes}"),
        SettingOf::RaiseCrewAt(station) => {
            format!("raising a crew at {}{minutes}", ctx.station(*station))
        }
        SettingOf::OneAfterOther => "made ready once the crew is there".to_owned(),
        SettingOf::AtOnce => "made ready while the crew is raised".to_owned(),
        SettingOf::LaunchRamp => format!("going in by a ramp{minutes}"),
        SettingOf::LaunchBank => format!("going in at a bank{minutes}"),
        SettingOf::BankUnlessSaid => {
            "a craft whose boat standard does not say goes in at a bank".to_owned()
        }
        SettingOf::RampUnlessSaid => {
            "a craft whose boat standard does not say needs a ramp".to_owned()
        }
        SettingOf::SafetyBoat => "the mission wants a safety boat".to_owned(),
    }
}

/// The station of a candidate; both where stations differ.
#[must_use]
pub fn station_text(candidate: &Candidate, ctx: &Context) -> String {
    match (candidate.station, candidate.disputed.as_slice()) {
        (None, _) => "station not known".to_owned(),
        (Some(station), []) => ctx.station(station),
        (Some(_), several) => {
            let names: Vec<String> = several.iter().map(|at| ctx.station(at.station)).collect();
            format!("stations differ where it is: {}", names.join(" / "))
        }
    }
}

#[cfg(test)]
mod tests;
