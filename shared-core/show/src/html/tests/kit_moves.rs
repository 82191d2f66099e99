//! The page of a day's kit moves.

use insta::assert_snapshot;
use sponson_readiness::kit_moves::{Keeps, KitMoves, Proven, Solved};

use super::checks::faults;
use super::{facts, in_lines};
use crate::html::{FormValues, PageFacts, kit_moves_page};
use crate::sample::context;
use crate::sample::kit_moves::planned;

fn page(moves: &KitMoves) -> String {
    let facts = PageFacts {
        query: "mission=flood".to_owned(),
        path: "/kit-moves".to_owned(),
        ..facts()
    };
    let form = FormValues::of([("mission", "flood")]);
    let page = kit_moves_page(moves, &context(), &facts, &form);
    assert_eq!(faults(&page), Vec::<String>::new());
    page
}

#[test]
fn a_plan() {
    assert_snapshot!(in_lines(&page(&planned())));
}

#[test]
fn nothing_to_move_and_what_is_not_shown_are_said() {
    let mut moves = planned();
    moves.solved.proven = Proven::No;
    assert!(page(&moves).contains("a better one may exist"));
    moves.solved = Solved::default();
    moves.county.asked.keeps = Keeps::ChosenMissions;
    let page = page(&moves);
    assert!(page.contains("No move of kit makes another craft go."));
    assert!(page.contains("for these missions only"));
    assert!(!page.contains(": take "));
}

/// What people wrote is text.
#[test]
fn words_of_people_are_text() {
    let mut moves = planned();
    moves.county.problem.takers[0].number = "<b>Marsh\u{202e} 22".to_owned();
    moves.county.problem.stocks[0].number = "<script>A".to_owned();
    let page = page(&moves);
    assert!(!page.contains("<b>Marsh") && !page.contains("<script>A"));
    assert!(!page.contains('\u{202e}'));
}
