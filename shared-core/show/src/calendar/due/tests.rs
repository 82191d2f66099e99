//! What has an event, and that it keeps its name when it moves.

use std::collections::BTreeSet;

use super::*;
use crate::sample::ahead::ahead;
use crate::sample::{AS_OF, context, day};

fn calendar(ahead: &Ahead, of: Of) -> Calendar {
    due(ahead, of, (AS_OF, 412), &context())
}

fn uids(calendar: &Calendar) -> Vec<&str> {
    calendar.days.iter().map(|day| day.uid.as_str()).collect()
}

#[test]
fn visits_and_what_no_visit_does() {
    let text = calendar(&ahead(), Of::Visits).text();
    insta::assert_snapshot!(text.replace("\r\n ", "").replace("\r\n", "\n"));
}

#[test]
fn every_event_has_a_name_of_its_own() {
    for of in [Of::Visits, Of::Things] {
        let calendar = calendar(&ahead(), of);
        let all = uids(&calendar);
        let different: BTreeSet<&str> = all.iter().copied().collect();
        assert_eq!(all.len(), different.len(), "{all:?}");
    }
    assert_eq!(calendar(&ahead(), Of::Visits).days.len(), 4 + 2);
    assert_eq!(calendar(&ahead(), Of::Things).days.len(), 11);
}

#[test]
fn an_event_that_moves_keeps_its_name() {
    let before = ahead();
    let mut after = ahead();
    for item in &mut after.due {
        let is_dated = matches!(item.what, What::KitDate { .. });
        if !is_dated {
            item.due = item
                .due
                .checked_add_days(chrono::Days::new(5))
                .expect("a day");
        }
    }
    for visit in &mut after.visits {
        visit.day = day(2026, 5, 5);
    }
    for of in [Of::Visits, Of::Things] {
        let (before, after) = (calendar(&before, of), calendar(&after, of));
        assert_eq!(uids(&before), uids(&after));
        assert_ne!(before.days, after.days);
    }
}

#[test]
fn no_member_and_no_device_is_named() {
    let mut some = ahead();
    some.due[0].evidence.clear();
    let (with, without) = (calendar(&ahead(), Of::Things), calendar(&some, Of::Things));
    assert_eq!(with.text(), without.text());
}

#[test]
fn the_sequence_only_grows_with_what_is_held() {
    let at = |size| due(&ahead(), Of::Visits, (AS_OF, size), &context()).sequence;
    assert!(at(0) < at(1) && at(412) < at(413));
    assert_eq!(at(u64::MAX), 2_147_483_647);
}
