//! The load in the form: lines of the plate, what was weighed, and how people come home.

use serde::Serialize;
use sponson_readiness::answer::{Homeward, Load};
use sponson_readiness::load::{Counted, Fit, Group, Room, Short};

#[derive(Serialize)]
pub(super) struct LoadForm {
    crew: u32,
    crew_mass_g: u64,
    seats: u32,
    child_seats: u32,
    mass_left_g: Option<i64>,
    binds: &'static str,
    lines: Vec<LineForm>,
    counted: Vec<CountedForm>,
    plate_counts: Option<&'static str>,
    plate_counts_assumed: bool,
    people: Option<HomewardForm>,
}

#[derive(Serialize)]
struct LineForm {
    line: &'static str,
    limit: u64,
    loaded: u64,
    left: i64,
}

#[derive(Serialize)]
struct CountedForm {
    thing: &'static str,
    mass_g: u64,
    by: &'static str,
}

#[derive(Serialize)]
struct HomewardForm {
    trips: usize,
    fewest: bool,
    each_trip: Vec<Vec<GroupForm>>,
    left_behind: Vec<GroupForm>,
    jackets: Vec<JacketForm>,
}

#[derive(Serialize)]
struct GroupForm {
    size: &'static str,
    lying: bool,
    count: u32,
    mass_g: u64,
    seats: u32,
}

#[derive(Serialize)]
struct JacketForm {
    size: Option<&'static str>,
    body_mass_g: Option<u64>,
    need: u32,
    short: u32,
}

pub(super) fn load(load: &Load) -> LoadForm {
    LoadForm {
        crew: load.crew,
        crew_mass_g: load.crew_mass_g,
        seats: load.seats,
        child_seats: load.child_seats,
        mass_left_g: load.mass_left_g,
        binds: load.binds.id(),
        lines: load.lines.iter().map(line).collect(),
        counted: load.counted.iter().map(counted).collect(),
        plate_counts: load.plate_counts.map(|by| by.counts.id()),
        plate_counts_assumed: load.plate_counts.is_some_and(|by| by.is_assumed),
        people: load.homeward.as_ref().map(homeward),
    }
}

fn line(room: &Room) -> LineForm {
    LineForm {
        line: room.binds.id(),
        limit: room.limit,
        loaded: room.loaded,
        left: room.left(),
    }
}

fn counted(one: &Counted) -> CountedForm {
    CountedForm {
        thing: one.thing.id(),
        mass_g: one.mass_g,
        by: one.by.id(),
    }
}

fn homeward(home: &Homeward) -> HomewardForm {
    let packed = &home.packed;
    HomewardForm {
        trips: packed.trips.len(),
        fewest: packed.is_fewest,
        each_trip: packed
            .trips
            .iter()
            .map(|trip| people(&home.groups, &trip.aboard))
            .collect(),
        left_behind: people(&home.groups, &packed.left_behind),
        jackets: home.jackets.iter().map(jacket).collect(),
    }
}

/// So many of each group; those of whom there is none left out.
fn people(groups: &[Group], counts: &[u32]) -> Vec<GroupForm> {
    let some = groups.iter().zip(counts).filter(|(_, count)| **count > 0);
    some.map(|(group, count)| GroupForm {
        size: group.party.size.id(),
        lying: group.party.lying,
        count: *count,
        mass_g: group.mass_g,
        seats: group.seats,
    })
    .collect()
}

fn jacket(short: &Short) -> JacketForm {
    let (size, body_mass_g) = match short.fit {
        Fit::Anybody(size) => (Some(size.id()), None),
        Fit::Mass(mass_g) => (None, Some(mass_g)),
    };
    JacketForm {
        size,
        body_mass_g,
        need: short.need,
        short: short.short,
    }
}
