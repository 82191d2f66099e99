//! What stands round every page: head, links, who is signed in, the switch for day and night, the
//! caution.

use maud::{DOCTYPE, Markup, html};

use super::facts::{LightStyle, PageFacts, Viewer};
use super::marks::shapes;
use crate::clean::clean;
use crate::units::print;

/// A whole page: `body` is what stands in its `main`, beginning with the one `h1`.
///
/// `main` is what the script replaces when there is news.
#[must_use]
pub fn frame(title: &str, facts: &PageFacts, body: &Markup) -> String {
    let page = html! {
        (DOCTYPE)
        html lang="en" data-light=(facts.light.id()) {
            (head(title, facts, &html! { script src=(facts.script_href) defer {} }))
            body {
                a.skip href="#main" { "Skip to the answer" }
                (shapes())
                (header(facts))
                main id="main" tabindex="-1" data-rendered=(print::rfc3339(facts.rendered))
                    data-offset=(facts.utc_offset_min) {
                    (body)
                }
                (footer(facts))
            }
        }
    };
    page.into_string()
}

/// `more` is what a page has beside what all have.
pub(super) fn head(title: &str, facts: &PageFacts, more: &Markup) -> Markup {
    html! {
        head {
            meta charset="utf-8";
            meta name="viewport" content="width=device-width, initial-scale=1";
            meta name="color-scheme" content=(scheme(facts.light));
            meta name="referrer" content="same-origin";
            @if let Some(seconds) = facts.again_s {
                noscript { meta http-equiv="refresh" content=(seconds); }
            }
            title { (clean(title)) " - Sponson" }
            link rel="stylesheet" href=(facts.style_href);
            link rel="icon" type="image/svg+xml" href=(facts.icon_href);
            (more)
        }
    }
}

const fn scheme(light: LightStyle) -> &'static str {
    match light {
        LightStyle::System => "light dark",
        LightStyle::Day => "light",
        LightStyle::Night => "dark",
    }
}

fn header(facts: &PageFacts) -> Markup {
    html! {
        header.head {
            p.name { (clean(&facts.county)) }
            @if facts.viewer != Viewer::Nobody { (links(facts)) }
            (switch(facts))
            (viewer(facts))
            p.live id="live" role="status" {}
            noscript { (without_script(facts)) }
        }
    }
}

/// Pages with fields of their own: the question about a launch is not carried to them, nor theirs away.
const ASKS_ITS_OWN: [&str; 3] = ["/faults", "/due", "/gauges"];

fn links(facts: &PageFacts) -> Markup {
    let links = [
        ("/", "County"),
        ("/kit-moves", "Kit moves"),
        ("/report", "Report to print"),
        ("/faults", "Keeps failing"),
        ("/due", "Coming due"),
        ("/gauges", "Gauges and leaks"),
    ];
    html! {
        nav aria-label="Pages" {
            ul {
                @for (path, words) in links {
                    li {
                        a href=(way(path, facts)) aria-current=[(path == facts.path).then_some("page")] {
                            (words)
                        }
                    }
                }
            }
        }
    }
}

fn way(path: &str, facts: &PageFacts) -> String {
    let asks_its_own = |path: &str| ASKS_ITS_OWN.iter().any(|own| path.starts_with(own));
    if path != facts.path && (asks_its_own(path) || asks_its_own(&facts.path)) {
        return path.to_owned();
    }
    facts.link(path)
}

/// Day or night by a form, so that it needs no script and is kept from page to page.
pub(super) fn switch(facts: &PageFacts) -> Markup {
    let styles = [
        (LightStyle::Day, "Day"),
        (LightStyle::Night, "Night"),
        (LightStyle::System, "As the device"),
    ];
    html! {
        form.switch method="post" action="/light" {
            input type="hidden" name="back" value=(facts.here());
            fieldset {
                legend { "Style" }
                @for (style, words) in styles {
                    button name="light" value=(style.id()) aria-pressed=(facts.light == style) {
                        (words)
                    }
                }
            }
        }
    }
}

fn viewer(facts: &PageFacts) -> Markup {
    match &facts.viewer {
        Viewer::AtTheMachine => html! { p.viewer { "At the county's own machine" } },
        Viewer::Nobody => html! {},
        Viewer::Member { member, role } => html! {
            form.viewer method="post" action="/leave" {
                @if let Some(token) = &facts.token {
                    input type="hidden" name="token" value=(token);
                }
                span { "Member " (clean(member)) ", " (clean(role)) }
                button { "Leave" }
            }
        },
    }
}

/// Without script a page stands still, unless somebody asks for it to be loaded again by itself.
fn without_script(facts: &PageFacts) -> Markup {
    let here = facts.here();
    let gap = if here.contains('?') { '&' } else { '?' };
    let again = format!("{here}{gap}again=120");
    html! {
        p.live {
            @if let Some(seconds) = facts.again_s {
                "Without script this page is loaded again every " (seconds) " seconds, and what is "
                "being filled in is lost then. " a href=(here) { "Stop that" }
            } @else {
                "Without script this page does not update by itself. "
                a href=(here) { "Show it as it is now" } " "
                a href=(again) { "Load it again every 2 minutes" }
            }
        }
    }
}

pub(super) fn footer(facts: &PageFacts) -> Markup {
    html! {
        footer {
            p.caution { (crate::caution()) }
            p { "Page made " (made(facts)) "." }
        }
    }
}

/// When the page was made, in local time.
pub(super) fn made(facts: &PageFacts) -> String {
    let zone = print::offset(facts.utc_offset_min);
    format!(
        "{} ({zone})",
        print::local(facts.rendered, facts.utc_offset_min)
    )
}
