//! The page of a one-time link: a button spends it, so that a program that only reads links does not.

use maud::{Markup, html};

use super::message::{Message, message_body};
use crate::clean::clean;

/// Lets somebody in: for whom the link was made, and the button that spends it.
///
/// `action` is the path to which it posts; `hours` is how long the session lasts.
#[must_use]
pub fn enter_body(action: &str, member: &str, role: &str, hours: u32) -> Markup {
    let hours = crate::units::print::count(i64::from(hours), "hour");
    html! {
        h1 { "Enter as member " (clean(member)) }
        p { "This link lets member " (clean(member)) " in once, as " (clean(role)) ", for " (hours) "." }
        form.enter method="post" action=(action) {
            button.main { "Enter" }
        }
        p { "If you are somebody else, close this page: what is recorded from here bears that number." }
    }
}

/// For somebody who has not signed in, or whose session has ended; `let_in` is the command that
/// makes a link.
#[must_use]
pub fn not_signed_in_body(let_in: &str) -> Markup {
    let message = Message {
        title: "Not signed in".to_owned(),
        text: vec![
            format!(
                "These pages are read with a link that the boat-team lead makes for one person: \
                 {let_in} MEMBER. It works once."
            ),
            "Whoever was signed in before has left, or the session has ended: ask for another link."
                .to_owned(),
        ],
        links: Vec::new(),
    };
    message_body(&message)
}
