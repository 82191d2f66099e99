//! The page of a one-time link: a button spends it, so that a program that only reads links does not.

use maud::html;

use super::facts::PageFacts;
use super::frame::frame;
use super::message::{Message, message_page};
use crate::clean::clean;

/// The page that lets somebody in: for whom the link was made, and the button that spends it.
///
/// `action` is the path to which it posts; `hours` is how long the session lasts.
#[must_use]
pub fn enter_page(action: &str, member: &str, role: &str, hours: u32, facts: &PageFacts) -> String {
    let hours = crate::units::print::count(i64::from(hours), "hour");
    let body = html! {
        h1 { "Enter as member " (clean(member)) }
        p { "This link lets member " (clean(member)) " in once, as " (clean(role)) ", for " (hours) "." }
        form.enter method="post" action=(action) {
            button.main { "Enter" }
        }
        p { "If you are somebody else, close this page: what is recorded from here bears that number." }
    };
    frame("Enter", facts, &body)
}

/// The page for somebody who has not signed in, or whose session has ended.
#[must_use]
pub fn not_signed_in_page(facts: &PageFacts) -> String {
    let message = Message {
        title: "Not signed in".to_owned(),
        text: vec![
            "These pages are read with a link that the boat-team lead makes for one person: \
             sponson-county let-in MEMBER. It works once."
                .to_owned(),
            "Whoever was signed in before has left, or the session has ended: ask for another link."
                .to_owned(),
        ],
        links: Vec::new(),
    };
    message_page(&message, facts)
}
