//! Faults that are open on a craft, and the way to repair and sign-off.

use maud::{Markup, html};

use super::OfCraft;
use crate::clean::clean;

/// An open fault.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OpenFault {
    /// Its short name.
    pub name: String,
    /// What it is, and where.
    pub what: String,
    /// How bad, in words.
    pub severity: String,
    /// When it was found, in words.
    pub found: String,
}

/// The list, with what is done about it.
#[must_use]
pub fn open_faults(craft: &OfCraft<'_>, all: &[OpenFault]) -> Markup {
    html! {
        @if all.is_empty() { p { "No fault is open." } }
        ul.rows {
            @for one in all {
                li {
                    (clean(&one.what)) ", " (clean(&one.severity)) ", found " (clean(&one.found))
                    " (fault " (one.name) ")"
                }
            }
        }
        @if !all.is_empty() {
            p.hint { "A fault stays open until somebody entitled signs it off." }
            div.press {
                a.tapped href={ "/repair/" (craft.id) } { "Record a repair" }
                a.tapped href={ "/sign-off/" (craft.id) } { "Sign off" }
            }
        }
    }
}
