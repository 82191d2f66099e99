//! Whom a craft can bring home, and what was weighed for it.

use sponson_readiness::answer::{Homeward, Load};
use sponson_readiness::load::{Fit, Group, Short};

use super::county::heading;
use super::lines::Lines;
use crate::context::Context;
use crate::people::size_text;
use crate::units::print;
use crate::words;

/// The load of one craft under its heading.
pub(super) fn load_lines(lines: &mut Lines, load: Option<&Load>, ctx: &Context) {
    heading(lines, "LOAD");
    let Some(load) = load else {
        lines.hanging("  ", NOT_KNOWN);
        return;
    };
    for (depth, text) in load_texts(load, ctx) {
        let indent = 2 + 2 * depth;
        lines.wrapped(&" ".repeat(indent), indent + 2, &text);
    }
}

/// What is said where nothing of a load is known.
pub(crate) const NOT_KNOWN: &str = "not known: the maker's plate is not recorded";

/// The load of one craft, a line each, with how deep it stands under the one before.
pub(crate) fn load_texts(load: &Load, ctx: &Context) -> Vec<(usize, String)> {
    let mut told = vec![(0, seats(load, ctx))];
    if !load.counted.is_empty() {
        told.push((0, format!("weighed: {}", weighed(load, ctx))));
    }
    if let Some(by) = load.plate_counts {
        let assumed = if by.is_assumed {
            " (assumed, the worse: ask the maker)"
        } else {
            " (by the boat standard)"
        };
        let counts = words::plate_counts(by.counts);
        let said = format!("the plate's weight is taken to count {counts}{assumed}");
        told.push((0, said));
    }
    if let Some(home) = &load.homeward {
        homeward(&mut told, home, ctx);
    }
    told
}

fn seats(load: &Load, ctx: &Context) -> String {
    let crew_mass = mass(load.crew_mass_g, ctx);
    let left = load
        .mass_left_g
        .map(|g| format!(", {} left", print::mass(g, ctx.units)))
        .unwrap_or_default();
    let children = if load.child_seats == load.seats {
        String::new()
    } else {
        format!(" (or {} children)", load.child_seats)
    };
    format!(
        "{}{children} beyond a crew of {} ({crew_mass} each){left}; {} binds",
        print::count(i64::from(load.seats), "seat"),
        load.crew,
        words::load_limit(load.binds, load.plate_counts.map(|by| by.counts))
    )
}

fn weighed(load: &Load, ctx: &Context) -> String {
    let said = load.counted.iter().map(|one| {
        let thing = words::thing(one.thing);
        let by = words::weighed_by(one.by);
        format!("{thing} {} ({by})", mass(one.mass_g, ctx))
    });
    said.collect::<Vec<_>>().join(", ")
}

fn homeward(told: &mut Vec<(usize, String)>, home: &Homeward, ctx: &Context) {
    let packed = &home.packed;
    let count = print::count(
        i64::try_from(packed.trips.len()).unwrap_or(i64::MAX),
        "trip",
    );
    let cut = if packed.is_fewest {
        ""
    } else {
        " (fewer may do: too many people to try every way)"
    };
    told.push((0, format!("to bring home: {count}{cut}")));
    for (number, trip) in (1_usize..).zip(&packed.trips) {
        let who = who(&home.groups, &trip.aboard, ctx);
        told.push((1, format!("trip {number}: {who}")));
    }
    if packed.left_behind.iter().any(|count| *count > 0) {
        let who = who(&home.groups, &packed.left_behind, ctx);
        told.push((1, format!("no room in any trip: {who}")));
    }
    for one in &home.jackets {
        told.push((1, jacket(one, ctx)));
    }
}

fn who(groups: &[Group], counts: &[u32], ctx: &Context) -> String {
    let some = groups.iter().zip(counts).filter(|(_, count)| **count > 0);
    let said = some.map(|(group, count)| {
        let who = size_text(group.party.size, group.party.lying, *count);
        format!("{who} ({} each)", mass(group.mass_g, ctx))
    });
    said.collect::<Vec<_>>().join(", ")
}

fn jacket(short: &Short, ctx: &Context) -> String {
    let whom = match short.fit {
        Fit::Anybody(size) => size_text(size, false, short.need),
        Fit::Mass(mass_g) => format!("{} of {}", short.need, mass(mass_g, ctx)),
    };
    match short.short {
        0 => format!("life jackets for {whom}: aboard"),
        short => format!("life jackets for {whom}: {short} short"),
    }
}

fn mass(mass_g: u64, ctx: &Context) -> String {
    print::mass(i64::try_from(mass_g).unwrap_or(i64::MAX), ctx.units)
}

#[cfg(test)]
mod tests {
    use super::*;
    use sponson_readiness::answer::{CountedBy, LoadLimit};
    use sponson_readiness::load::{
        Counted, Packed, Party, PlateCounts, Size, Thing, Trip, WeighedBy,
    };

    fn group(size: Size, lying: bool, mass_g: u64, seats: u32) -> Group {
        Group {
            party: Party {
                size,
                lying,
                count: 9,
                mass_g: None,
            },
            mass_g,
            seats,
        }
    }

    fn trip(aboard: &[u32]) -> Trip {
        Trip {
            aboard: aboard.to_vec(),
        }
    }

    fn load() -> Load {
        let counted = [
            (Thing::Crew, 340_194, WeighedBy::Setting),
            (Thing::Motor, 92_986, WeighedBy::Table),
        ];
        Load {
            crew: 3,
            crew_mass_g: 113_398,
            seats: 2,
            child_seats: 4,
            mass_left_g: Some(193_594),
            binds: LoadLimit::PersonsMass,
            lines: Vec::new(),
            counted: counted
                .map(|(thing, mass_g, by)| Counted { thing, mass_g, by })
                .to_vec(),
            plate_counts: Some(CountedBy {
                counts: PlateCounts::PersonsMotorGear,
                is_assumed: true,
            }),
            homeward: Some(Homeward {
                groups: vec![
                    group(Size::Adult, false, 83_915, 1),
                    group(Size::Child, false, 22_680, 1),
                    group(Size::Adult, true, 83_915, 3),
                ],
                packed: Packed {
                    trips: vec![trip(&[2, 1, 0]), trip(&[1, 0, 0])],
                    left_behind: vec![0, 0, 1],
                    is_fewest: false,
                },
                jackets: vec![
                    Short {
                        fit: Fit::Anybody(Size::Child),
                        need: 1,
                        short: 1,
                    },
                    Short {
                        fit: Fit::Mass(83_915),
                        need: 2,
                        short: 0,
                    },
                ],
            }),
        }
    }

    #[test]
    fn a_load_with_people_to_bring_home() {
        let mut lines = Lines::default();
        load_lines(&mut lines, Some(&load()), &Context::default());
        insta::assert_snapshot!(lines.into_text().trim_start(), @"
        LOAD
          2 seats (or 4 children) beyond a crew of 3 (250 lb each), 427 lb left; the
            plate's weight binds
          weighed: crew in gear 750 lb (the county's setting), motor 205 lb (assumed:
            ABYC S-30 by power)
          the plate's weight is taken to count persons, motor and gear (assumed, the
            worse: ask the maker)
          to bring home: 2 trips (fewer may do: too many people to try every way)
            trip 1: 2 adults (185 lb each), 1 child (50 lb each)
            trip 2: 1 adult (185 lb each)
            no room in any trip: 1 adult lying down (185 lb each)
            life jackets for 1 child: 1 short
            life jackets for 2 of 185 lb: aboard
        ");
    }
}
