//! What keeps failing in words, as JSON and as lists; the same number everywhere.

use insta::assert_snapshot;
use sponson_readiness::event::LeadAction;
use sponson_readiness::ids::FaultId;
use sponson_readiness::keeps_failing::{About, Grouping, Kind, Per};
use unicode_width::UnicodeWidthStr as _;

use super::{Failing, Past, fault_name};
use crate::csv::FaultsList;
use crate::json;
use crate::sample::failing::{boat_9, found, past, said};
use crate::sample::{context, event};
use crate::table::{WithFigures, faults_report};

fn text(failing: &Failing, figures: WithFigures) -> String {
    let text = faults_report(failing, figures, &context());
    for line in text.lines() {
        assert!(line.width() <= crate::table::WIDTH, "{line}");
    }
    text
}

#[test]
fn in_words() {
    assert_snapshot!(text(&said(&found(), &past()), WithFigures::No));
}

#[test]
fn with_its_statistics() {
    assert_snapshot!(text(&said(&found(), &past()), WithFigures::Yes));
}

#[test]
fn as_json() {
    assert_snapshot!(json::faults(&said(&found(), &past())));
}

#[test]
fn as_lists() {
    let failing = said(&found(), &past());
    let lists = FaultsList::ALL.map(|list| list.table(&failing));
    assert_snapshot!(lists.join("\n"));
}

/// The first lines hold no statistics: neither a probability nor the name of a test.
#[test]
fn statistics_are_one_step_behind() {
    let plain = text(&said(&found(), &past()), WithFigures::No);
    for word in ["Laplace", "MIL-HDBK", "power", "p ", "interval"] {
        assert!(!plain.contains(word), "{word}");
    }
    assert!(text(&said(&found(), &past()), WithFigures::Yes).contains("Laplace"));
}

#[test]
fn nothing_held_is_said() {
    let mut none = found();
    none.groups.clear();
    none.proposals.clear();
    none.all = None;
    none.from = None;
    let failing = said(&none, &past());
    assert_eq!(failing.waiting(), 0);
    let text = text(&failing, WithFigures::Yes);
    assert!(text.contains("No fault was counted."), "{text}");
    assert!(text.contains("Nothing was watched"), "{text}");
}

/// What failed again after a decision waits once more.
#[test]
fn what_fails_after_a_decision_waits_again() {
    let mut found = found();
    assert_eq!(said(&found, &past()).waiting(), 2);
    found.proposals[0].since.clear();
    assert_eq!(said(&found, &past()).waiting(), 1);
}

#[test]
fn one_craft_shows_what_it_has_a_part_in() {
    let (standards, ctx, history) = (std::collections::BTreeMap::new(), context(), past());
    let names = Past {
        history: &history,
        standards: &standards,
        ctx: &ctx,
    };
    let all = Failing::of(&found(), &names, None);
    let one = Failing::of(&found(), &names, Some(boat_9()));
    assert_eq!((all.groups.len(), one.groups.len()), (2, 1));
    assert_eq!((all.faults.len(), one.faults.len()), (4, 3));
    assert_eq!(one.groups[0], all.groups[0]);
    assert!(text(&one, WithFigures::No).contains("What keeps failing on Boat 9, by"));
}

/// Every grouping and every exposure has a word that is read back.
#[test]
fn words_are_read_back() {
    for grouping in Grouping::ALL {
        let mut found = found();
        found.asked.grouping = grouping;
        assert_eq!(Failing::grouping(said(&found, &past()).by), Some(grouping));
    }
    for per in [Per::Days, Per::EngineHours, Per::Uses] {
        let mut found = found();
        found.asked.per = per;
        assert_eq!(Failing::per(said(&found, &past()).per), Some(per));
    }
    assert_eq!(Failing::grouping("boat"), None);
}

/// What people wrote obeys nothing: no terminal, no spreadsheet.
#[test]
fn words_of_people_are_text() {
    let mut history = past();
    let craft = history.crafts.get_mut(&boat_9()).expect("the craft");
    craft.number = "=HYPERLINK(1)\u{1b}[31m\u{202e}".to_owned();
    craft.faults[0].class = "-2+3".to_owned();
    craft.repairs[0].method = "@cmd".to_owned();
    craft.repairs[0].glue_batch = "+1".to_owned();
    let mut found = found();
    found.proposals[1].about = About::Batch {
        kind: Kind::Craft,
        model: "=1".to_owned(),
        batch: "\u{1b}".to_owned(),
    };
    let failing = said(&found, &history);
    let text = text(&failing, WithFigures::Yes);
    assert!(!text.contains(['\u{1b}', '\u{202e}']));
    assert!(!json::faults(&failing).contains(['\u{1b}', '\u{202e}']));
    for list in FaultsList::ALL {
        let table = list.table(&failing);
        assert!(!table.contains(['\u{1b}', '\u{202e}']), "{table}");
        let mut rows = csv::Reader::from_reader(table.as_bytes());
        for row in rows.records() {
            for cell in &row.expect("a row") {
                let runs = cell.starts_with(['=', '+', '@']) || cell.starts_with("-2+");
                assert!(!runs, "{}: {cell}", list.id());
            }
        }
    }
}

/// Each action is typed as the command takes it, and no two are the same.
#[test]
fn actions_are_told_apart() {
    let all = [
        LeadAction::RepairAgain,
        LeadAction::SendToMaker,
        LeadAction::TakeOut,
        LeadAction::Condemn,
        LeadAction::Hold,
        LeadAction::Watch,
    ];
    let words: std::collections::BTreeSet<_> = all.map(|it| super::action(it).1).into();
    assert_eq!(words.len(), all.len());
}

#[test]
fn a_fault_is_named_by_its_event_and_place() {
    let fault = FaultId {
        event: event(1),
        ordinal: 10_003,
    };
    let hex = "01".repeat(32);
    assert_eq!(fault_name(fault), format!("{hex}-10003"));
}
