//! A page that says one thing: a refusal, something not found, something done.

use maud::{Markup, html};

use super::facts::PageFacts;
use super::frame::frame;
use crate::clean::clean;

/// One thing to be said.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Message {
    /// In a few words; the heading.
    pub title: String,
    /// Sentences, each a paragraph: what happened, and what to do.
    pub text: Vec<String>,
    /// Where to go on: path and words.
    pub links: Vec<(String, String)>,
}

/// The page of a message.
#[must_use]
pub fn message_page(message: &Message, facts: &PageFacts) -> String {
    frame(&message.title, facts, &message_body(message))
}

/// What stands in the page of a message.
#[must_use]
pub fn message_body(message: &Message) -> Markup {
    html! {
        h1 { (clean(&message.title)) }
        @for text in &message.text { p { (clean(text)) } }
        @if !message.links.is_empty() {
            ul.ways {
                @for (path, words) in &message.links { li { a href=(path) { (clean(words)) } } }
            }
        }
    }
}
