//! A plan as people and programs read it.

use sponson_readiness::kit_moves::{Solved, Worth};

use super::*;
use crate::json;
use crate::sample::context;
use crate::sample::kit_moves::planned;

/// The report as one line.
fn said(moves: &KitMoves) -> String {
    let text = kit_moves_report(moves, &context());
    let words: Vec<&str> = text.split_whitespace().collect();
    words.join(" ")
}

#[test]
fn a_plan_in_words() {
    insta::assert_snapshot!(kit_moves_report(&planned(), &context()));
}

#[test]
fn a_plan_for_other_programs() {
    insta::assert_snapshot!(json::kit_moves(&planned(), &context()));
}

#[test]
fn nothing_to_move_and_what_is_not_shown_are_said() {
    let mut moves = planned();
    moves.solved.proven = Proven::No;
    assert!(said(&moves).contains("a better one may exist"));
    moves.solved = Solved {
        worth: Worth::default(),
        ..Solved::default()
    };
    let text = said(&moves);
    assert!(
        text.contains("No kit that there is makes another one go."),
        "{text}"
    );
    assert!(!text.contains("take "), "{text}");
    moves.county.asked.keeps = Keeps::ChosenMissions;
    assert!(said(&moves).contains("can become short for others"));
}

/// What people wrote reaches no terminal as it is, and no line is too wide.
#[test]
fn words_of_people_are_cleaned() {
    let mut moves = planned();
    moves.county.problem.takers[0].number = "Marsh\u{1b}[2J 22".to_owned();
    moves.county.problem.stocks[0].number = "A\nB ".repeat(60);
    moves.county.problem.stocks[0].label = "\u{202e}bags".to_owned();
    let text = kit_moves_report(&moves, &context());
    assert!(!text.contains(['\u{1b}', '\u{202e}']), "{text}");
    for line in text.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    assert!(!json::kit_moves(&moves, &context()).contains(['\u{1b}', '\u{202e}']));
}
