//! What comes due as it stands in a terminal, and as another program reads it.

use insta::assert_snapshot;
use proptest::prelude::*;
use unicode_width::UnicodeWidthStr as _;

use super::*;
use crate::ahead::{Narrow, narrowed};
use crate::json;
use crate::sample::ahead::{ahead, inspection};
use crate::sample::{AS_OF, context, day, station as id};
use crate::table::WIDTH;

fn report(show: Show) -> String {
    let text = ahead_report(&ahead(), show, AS_OF, &context());
    for line in text.lines() {
        assert!(line.width() <= WIDTH, "{line}");
    }
    text
}

#[test]
fn by_station_and_week_in_words() {
    assert_snapshot!(report(Show::Due));
}

#[test]
fn visits_in_words() {
    assert_snapshot!(report(Show::Visits));
}

#[test]
fn the_shelf_in_words() {
    assert_snapshot!(report(Show::Shelf));
}

#[test]
fn what_was_late_in_words() {
    assert_snapshot!(report(Show::Late));
}

#[test]
fn for_other_programs() {
    assert_snapshot!(json::due(&ahead(), AS_OF, 412, &context()));
}

#[test]
fn lists_for_a_spreadsheet() {
    let lists = Show::ALL.map(|list| list.table(&ahead(), AS_OF, &context()));
    assert_snapshot!(lists.concat().replace("\r\n", "\n"));
}

/// What is said first, for some things of one station that come due.
fn first_of(due: Vec<DueItem>) -> Vec<String> {
    let some = Ahead {
        from: day(2026, 11, 28),
        visits: ahead().visits[..1].to_vec(),
        due,
        ..ahead()
    };
    let mut some = some;
    some.visits[0].day = day(2026, 11, 29);
    some.visits[0].items = (0..some.due.len()).collect();
    first_lines(&some, &context())
}

#[test]
fn what_is_said_first_is_plain() {
    let on = |of| inspection("valves", "valves", of);
    let sunday = day(2026, 11, 29);
    let first = first_of(vec![on(sunday), on(sunday), on(sunday)]);
    assert_eq!(
        first[0],
        "3 things are due this week at Mill Race; one visit on Sunday 29 November does them."
    );
    let one = first_of(vec![on(sunday)]);
    assert_eq!(
        one[0],
        "1 thing is due this week at Mill Race; one visit on Sunday 29 November does it."
    );
    // The Monday after is another week, and the year is said where it is another one.
    let later = first_of(vec![on(day(2027, 1, 4))]);
    assert_eq!(
        later[..2],
        [
            "Nothing more is due this week.",
            "Next: 1 thing on Monday 4 January 2027, Mill Race."
        ]
    );
    let nothing = first_lines(
        &Ahead {
            from: sunday,
            until: sunday,
            ..Ahead::default()
        },
        &context(),
    );
    let last = nothing.last().expect("a line");
    assert!(
        last.contains("nothing comes due that is known here"),
        "{last}"
    );
}

#[test]
fn one_station_and_one_craft_are_told_alone() {
    let otter = narrowed(
        &ahead(),
        Narrow {
            station: Some(id(2)),
            craft: None,
        },
    );
    assert!(otter.due.iter().all(|item| item.station == Some(id(2))));
    assert_eq!((otter.due.len(), otter.visits.len()), (4, 1));
    // What a visit does is named by its place in the shorter list.
    assert_eq!(otter.visits[0].items, [0, 1, 2, 3]);
    assert_eq!(otter.late.by_station.len(), 1);
    let counted: u32 = otter.weeks.iter().map(|week| week.items).sum();
    assert_eq!(counted, 4);
    let craft = ahead().due[1].craft;
    let boat = narrowed(
        &ahead(),
        Narrow {
            station: None,
            craft,
        },
    );
    assert_eq!((boat.due.len(), boat.visits[0].minutes), (2, 60));
    assert!(boat.late.by_station.is_empty() && boat.late.county.is_none());
    let all = narrowed(&ahead(), Narrow::default());
    assert_eq!(all, ahead());
}

/// Whatever is asked, a list keeps what an item is to its visit.
#[test]
fn narrowed_visits_and_items_name_each_other() {
    for station in [None, Some(id(1)), Some(id(2)), Some(id(9))] {
        for craft in [None, ahead().due[0].craft, ahead().due[1].craft] {
            let some = narrowed(&ahead(), Narrow { station, craft });
            for (at, visit) in some.visits.iter().enumerate() {
                for item in &visit.items {
                    let planned = some.due[*item].planned;
                    assert_eq!(planned, sponson_readiness::ahead::Planned::Visit(at));
                }
            }
        }
    }
}

proptest! {
    #[test]
    fn no_name_breaks_a_line(number in "\\PC{0,60}", label in any::<String>()) {
        let mut some = ahead();
        for item in &mut some.due {
            item.number.clone_from(&number);
            item.label.clone_from(&label);
        }
        for show in Show::ALL {
            let text = ahead_report(&some, show, AS_OF, &context());
            for line in text.lines() {
                prop_assert!(line.width() <= WIDTH, "{line}");
                prop_assert!(!line.chars().any(crate::clean::obeyed));
            }
        }
    }
}
