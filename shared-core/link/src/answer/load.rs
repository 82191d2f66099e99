//! The load of one craft as messages.

use sponson_proto::answer::v1 as wire;
use sponson_readiness::answer::{Homeward, Load};
use sponson_readiness::load::{Fit, Group, Short};

pub(super) fn load(load: &Load) -> wire::Load {
    let lines = load.lines.iter().map(|room| wire::PlateLine {
        line: room.binds.id().to_owned(),
        limit: room.limit,
        loaded: room.loaded,
    });
    let counted = load.counted.iter().map(|one| wire::Weighed {
        thing: one.thing.id().to_owned(),
        mass_g: one.mass_g,
        by: one.by.id().to_owned(),
    });
    let counts = load.plate_counts.map(|by| by.counts.id());
    wire::Load {
        crew: load.crew,
        crew_mass_g: load.crew_mass_g,
        seats: load.seats,
        mass_left_g: load.mass_left_g,
        binds: load.binds.id().to_owned(),
        child_seats: load.child_seats,
        lines: lines.collect(),
        counted: counted.collect(),
        plate_counts: counts.unwrap_or_default().to_owned(),
        plate_counts_assumed: load.plate_counts.is_some_and(|by| by.is_assumed),
        people: load.homeward.as_ref().map(homeward),
    }
}

fn homeward(home: &Homeward) -> wire::Homeward {
    let trips = home.packed.trips.iter().map(|trip| wire::Trip {
        people: carried(&home.groups, &trip.aboard),
    });
    wire::Homeward {
        trips: trips.collect(),
        fewest: home.packed.is_fewest,
        left_behind: carried(&home.groups, &home.packed.left_behind),
        jackets: home.jackets.iter().map(jacket).collect(),
    }
}

/// So many of each group; those of whom there is none left out.
fn carried(groups: &[Group], counts: &[u32]) -> Vec<wire::Carried> {
    let some = groups.iter().zip(counts).filter(|(_, count)| **count > 0);
    some.map(|(group, count)| wire::Carried {
        size: group.party.size.id().to_owned(),
        lying: group.party.lying,
        count: *count,
        mass_g: group.mass_g,
        seats: group.seats,
    })
    .collect()
}

fn jacket(short: &Short) -> wire::JacketShort {
    let (size, body_mass_g) = match short.fit {
        Fit::Anybody(size) => (size.id(), None),
        Fit::Mass(mass_g) => ("", Some(mass_g)),
    };
    wire::JacketShort {
        size: size.to_owned(),
        body_mass_g,
        need: short.need,
        short: short.short,
    }
}
