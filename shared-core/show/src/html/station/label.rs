//! Labels of craft: the number large, and a code that opens the craft's check.
//!
//! A label holds the painted number and no id: it is for eyes as much as for cameras, and a craft
//! that gets another number gets another label.

use maud::{Markup, html};

use super::sheet::{document, on_screen, style_within};
use crate::clean::clean;
use crate::svg::qr;

/// Longest number that is set in the largest letters: 9 of them fill the width.
const LARGE_MAX: usize = 9;

/// What stands on a label.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Label {
    /// Number of the craft.
    pub number: String,
    /// Its model, in words.
    pub model: String,
    /// Where it is; empty where that is not known.
    pub station: String,
    /// Address that its code opens.
    pub address: String,
}

/// The path at a station that opens the check of a craft by its number.
#[must_use]
pub fn label_path(number: &str) -> String {
    let mut path = "/c/".to_owned();
    for byte in number.bytes() {
        if byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'.' | b'_' | b'~') {
            path.push(char::from(byte));
        } else {
            path.push_str(&format!("%{byte:02X}"));
        }
    }
    path
}

/// Labels as a page that the station serves; the style is found at `style`.
#[must_use]
pub fn label_page(labels: &[Label], style: &str, back: &str) -> String {
    let style = html! { link rel="stylesheet" href=(style); };
    let body = html! { (on_screen(back)) (body(labels)) };
    document("Labels", &style, &body)
}

/// Labels as a file that needs nothing beside itself.
#[must_use]
pub fn label_file(labels: &[Label]) -> String {
    document("Labels", &style_within(), &body(labels))
}

fn body(labels: &[Label]) -> Markup {
    html! {
        main {
            h1.paper-screen { "Labels, to be cut apart" }
            div.labels { @for label in labels { (one(label)) } }
        }
    }
}

fn one(label: &Label) -> Markup {
    let number = clean(&label.number);
    let is_long = number.chars().count() > LARGE_MAX;
    html! {
        article.label {
            @if let Some(code) = qr(&label.address, &format!("Code that opens the check of {number}")) { (code) }
            div {
                h2.label-long[is_long] { (number) }
                p { (clean(&label.model)) }
                @if !label.station.is_empty() { p { (clean(&label.station)) } }
                p { "Opens its boat check." }
                p.label-at { (label.address) }
            }
        }
    }
}
