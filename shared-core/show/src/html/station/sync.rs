//! How the sync of a station stands, in full.

use maud::{Markup, html};

use super::{StationFacts, when};
use crate::clean::clean;
use crate::html::top::sentence;

/// The body of the page; `doubt` is why what this device records does not count, when it does not.
#[must_use]
pub fn sync_page(facts: &StationFacts, doubt: Option<&str>) -> Markup {
    let (now, offset) = (facts.page.rendered, facts.page.utc_offset_min);
    let sync = &facts.sync;
    html! {
        h1 { "Sync with the county" }
        @if let Some(doubt) = doubt { p.mind role="alert" { b { "Tell the lead: " } (clean(doubt)) "." } }
        p { "Everything works without the county. What waits here is safe on this device, and is sent "
            "when the county is in reach." }
        dl.facts {
            div { dt { "Waits for the county" } dd { (sync.waiting) } }
            @if sync.pictures_waiting > 0 {
                div { dt { "Pictures that wait" } dd { (sync.pictures_waiting) } }
            }
            div {
                dt { "Last synced" }
                dd { (sync.last_sync.map_or_else(|| "never".to_owned(), |at| when(at, now, offset))) }
            }
            div { dt { "Now" } dd { (trying(facts)) } }
            div { dt { "This device's clock" } dd { (clock(facts)) } }
        }
        @if let Some(token) = &facts.page.token {
            form method="post" action="/sync" {
                input type="hidden" name="token" value=(token);
                button.main { "Sync now" }
            }
        }
        section aria-labelledby="heard" {
            h2 id="heard" { "Who else was heard" }
            @if sync.heard.is_empty() { p { "No other station is known here." } }
            ul {
                @for (name, at) in &sync.heard {
                    li {
                        (clean(name)) ": "
                        @match at {
                            Some(at) => (when(*at, now, offset)),
                            None => "never",
                        }
                    }
                }
            }
        }
        p { "Without any network a carry file does the same on a stick: sponson carry." }
    }
}

fn trying(facts: &StationFacts) -> String {
    let words = facts.sync.trying_words(facts.page.rendered);
    words.map_or_else(|| "Nothing is tried".to_owned(), |it| sentence(&it))
}

fn clock(facts: &StationFacts) -> String {
    match (facts.sync.clock_words(), facts.sync.clock_offset_ms) {
        (Some(words), _) => format!("{}: set it", sentence(&words)),
        (None, Some(_)) => "Right, as the last sync measured it".to_owned(),
        (None, None) => "Not measured against the county's yet".to_owned(),
    }
}
