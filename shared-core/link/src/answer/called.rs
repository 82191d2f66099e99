//! A call-out as messages.

use bytes::Bytes;
use sponson_proto::answer::v1 as wire;
use sponson_readiness::answer::{
    Brings, Callout, Candidate, CountyAnswer, CoverLeft, CrewKnown, CrewToGo, Hindrance, KitAtRamp,
    Reach, SaidAt, Second, Setting, SettingOf, SharedWith, StationCover, TimeToWater,
};
use sponson_readiness::ids::SubjectId;
use sponson_show::Context;
use sponson_show::sentence::callout::{to_do_list, would_go_text};

use crate::callout::way_to_wire;
use crate::together;

pub(super) fn callout(callout: &Callout, answer: &CountyAnswer, ctx: &Context) -> wire::Callout {
    let candidates = callout.candidates.iter();
    let home = callout.bring_home.as_ref();
    wire::Callout {
        candidates: candidates.map(|one| candidate(one, answer, ctx)).collect(),
        bring_home: home.map(|home| wire::BringHome {
            craft: home.craft.iter().copied().map(bytes).collect(),
            fewest: home.is_fewest,
            total: home.total,
        }),
        safety_boat: callout.safety_boat,
        cover: callout.cover.iter().map(cover).collect(),
        settings: callout.settings.iter().map(setting).collect(),
    }
}

fn candidate(one: &Candidate, answer: &CountyAnswer, ctx: &Context) -> wire::Candidate {
    let craft = answer.craft.iter().find(|craft| craft.id == one.craft);
    let call = one.whom_to_call.iter();
    wire::Candidate {
        id: bytes(one.craft),
        craft: one.number.clone(),
        station_id: one.station.map(bytes).unwrap_or_default(),
        reach: one.reach.id().to_owned(),
        way: Some(way_to_wire(one.way)),
        time: Some(time(&one.time)),
        launch: one.launch.id().to_owned(),
        crew: Some(crew(&one.crew)),
        seats: one.seats,
        trips: one.trips.map(|trips| wire::CalloutTrips {
            trips: trips.trips,
            left_behind: trips.left_behind,
            fewest: trips.is_fewest,
        }),
        disputed: one.disputed.iter().map(said_at).collect(),
        shared: one.shared.iter().map(|it| shared(it, ctx)).collect(),
        second: Some(second(&one.second)),
        at_ramp: one.at_ramp.iter().map(kit).collect(),
        cover_left: one.cover_left.as_ref().map(left),
        hindrances: one.hindrances.iter().map(hindrance).collect(),
        to_do: to_do_list(&one.to_do, craft, ctx),
        to_do_minutes: one.to_do.iter().map(|it| it.minutes).sum(),
        whom_to_call: call
            .map(|call| wire::WhomToCall {
                station_id: bytes(call.station),
                station: call.name.clone(),
                call: call.call.clone(),
            })
            .collect(),
        would_go: match one.reach {
            Reach::ByTime | Reach::ByLine | Reach::WayNotKnown => String::new(),
            Reach::NotChecked | Reach::CannotGo => would_go_text(one, craft, ctx),
        },
    }
}

fn time(time: &TimeToWater) -> wire::TimeToWater {
    wire::TimeToWater {
        crew: time.crew,
        ready: time.ready,
        at_once: time.at_once,
        drive: time.drive,
        launch: time.launch,
        total: time.total,
        at_least: time.at_least,
        at_unix_ms: time.at.map(|at| at.0),
    }
}

fn crew(crew: &CrewToGo) -> wire::CrewToGo {
    let whole = wire::CrewToGo {
        least: crew.least,
        goes: crew.goes,
        known: crew.known.id().to_owned(),
        ..wire::CrewToGo::default()
    };
    match crew.known {
        CrewKnown::AsAsked | CrewKnown::NotKnown => whole,
        CrewKnown::Enough {
            crews,
            persons,
            until,
        } => wire::CrewToGo {
            crews: Some(crews),
            persons,
            until_unix_ms: Some(until.0),
            ..whole
        },
        CrewKnown::Short { persons } => wire::CrewToGo {
            persons: Some(persons),
            ..whole
        },
    }
}

fn said_at(said: &SaidAt) -> wire::SaidAt {
    wire::SaidAt {
        station_id: bytes(said.station),
        way: Some(way_to_wire(said.way)),
        time: Some(time(&said.time)),
    }
}

fn shared(shared: &SharedWith, ctx: &Context) -> wire::SharedWith {
    wire::SharedWith {
        what: Some(together::shared(&shared.what, ctx)),
        there: shared.there,
        with: shared.with.iter().copied().map(bytes).collect(),
    }
}

fn second(second: &Second) -> wire::SecondBoat {
    let bare = wire::SecondBoat {
        second: second.id().to_owned(),
        ..wire::SecondBoat::default()
    };
    match second {
        Second::NotAsked | Second::None => bare,
        Second::Boat {
            craft,
            number,
            both_total,
        } => wire::SecondBoat {
            id: bytes(*craft),
            craft: number.clone(),
            both_total: *both_total,
            ..bare
        },
    }
}

fn kit(kit: &KitAtRamp) -> wire::KitAtRamp {
    wire::KitAtRamp {
        item: kit.item.0.clone(),
        label: kit.label.clone(),
        short: kit.short,
        from: kit.from.iter().map(brings).collect(),
        still_short: kit.still_short,
    }
}

fn brings(from: &Brings) -> wire::Brings {
    wire::Brings {
        id: bytes(from.from),
        holder: from.holder.id().to_owned(),
        number: from.number.clone(),
        station_id: bytes(from.station),
        units: from.units,
        way: Some(way_to_wire(from.way)),
    }
}

fn left(left: &CoverLeft) -> wire::CoverLeft {
    wire::CoverLeft {
        craft: left.craft,
        less: left.less.iter().map(cover).collect(),
        without: left.without.iter().copied().map(bytes).collect(),
    }
}

fn cover(cover: &StationCover) -> wire::StationCover {
    wire::StationCover {
        station_id: bytes(cover.station),
        craft: cover.craft,
    }
}

fn hindrance(hindrance: &Hindrance) -> String {
    hindrance.id().to_owned()
}

fn setting(setting: &Setting) -> wire::CalloutSetting {
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
    wire::CalloutSetting {
        setting: setting.of.id().to_owned(),
        station_id: at.map(bytes).unwrap_or_default(),
        minutes: setting.minutes,
        basis: setting.basis.id().to_owned(),
        source: setting.source.clone(),
    }
}

fn bytes(id: SubjectId) -> Bytes {
    Bytes::copy_from_slice(id.as_bytes())
}
