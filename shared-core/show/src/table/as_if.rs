//! What an answer is given without, before anything else is said.

use sponson_readiness::answer::CountyAnswer;

use super::lines::Lines;
use crate::context::Context;
use crate::without::as_if;

/// What is taken as not there, at most 80 columns wide; empty when nothing is.
#[must_use]
pub fn as_if_text(answer: &CountyAnswer, ctx: &Context) -> String {
    let mut lines = Lines::default();
    let Some(without) = as_if(answer, ctx) else {
        return String::new();
    };
    lines.hanging("AS IF: ", &without);
    lines.into_text()
}
