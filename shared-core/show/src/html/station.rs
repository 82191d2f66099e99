//! What stands round every page of a station: whose it is, how its sync stands, who records.
//!
//! Pages of a station are for one hand, gloves, sun and night: their own style sheet makes every
//! target at least 48 px high.

use maud::{DOCTYPE, Markup, html};
use sponson_readiness::moment::Moment;

use super::facts::PageFacts;
use super::frame::{footer, head, switch};
use super::marks::shapes;
use crate::clean::clean;

pub mod coming;
pub mod entry;
pub mod home;
pub mod label;
pub mod paper;
pub mod paper_lines;
pub mod place;
pub mod round;
pub mod sheet;
pub mod sync;
mod sync_line;
pub mod who;
pub mod work;

pub use sync_line::{SyncLine, SyncTrying};

/// The style sheet of a station's pages, after the one that all pages have.
pub const STYLE: &str = concat!(
    include_str!("station/station.css"),
    include_str!("station/work.css"),
    include_str!("station/paper.css"),
    include_str!("station/round.css")
);

/// The facts of one visit to a station's pages.
#[derive(Clone, Debug)]
pub struct StationFacts {
    /// What every page needs.
    pub page: PageFacts,
    /// Where the style sheet of a station's pages is.
    pub station_style_href: String,
    /// Name of the station.
    pub station: String,
    /// Member number of whoever records; none when nobody has said.
    pub member: Option<String>,
    /// How its sync stands.
    pub sync: SyncLine,
}

/// A whole page of a station: `body` is what stands in its `main`, beginning with the one `h1`.
#[must_use]
pub fn station_frame(title: &str, facts: &StationFacts, body: &Markup) -> String {
    station_frame_with(title, facts, &[&facts.page.script_href], body)
}

/// The same with scripts of its own, by their addresses, instead of the one that puts news in the
/// place of what is shown.
#[must_use]
pub fn station_frame_with(
    title: &str,
    facts: &StationFacts,
    scripts: &[&str],
    body: &Markup,
) -> String {
    let page = &facts.page;
    let more = html! {
        link rel="stylesheet" href=(facts.station_style_href);
        @for script in scripts { script src=(script) defer {} }
    };
    let page = html! {
        (DOCTYPE)
        html lang="en" data-light=(page.light.id()) {
            (head(title, page, &more))
            body.station {
                a.skip href="#main" { "Skip to the page" }
                (shapes())
                (header(facts))
                main id="main" tabindex="-1" data-whose="the station"
                    data-rendered=(crate::units::print::rfc3339(page.rendered))
                    data-offset=(page.utc_offset_min) {
                    (body)
                }
                (footer(page))
            }
        }
    };
    page.into_string()
}

fn header(facts: &StationFacts) -> Markup {
    html! {
        header.head {
            p.name { (clean(&facts.station)) }
            nav aria-label="Pages" {
                ul {
                    @for (path, words) in [("/", "Craft"), ("/sync", "Sync")] {
                        li {
                            a href=(path) aria-current=[(path == facts.page.path).then_some("page")] {
                                (words)
                            }
                        }
                    }
                }
            }
            (facts.sync.line(facts.page.rendered, facts.page.utc_offset_min))
            (who(facts))
            (switch(&facts.page))
            p.live id="live" role="status" {}
        }
    }
}

/// Who records, and the way to say that it is somebody else.
fn who(facts: &StationFacts) -> Markup {
    html! {
        @match &facts.member {
            Some(member) => p.viewer { "Member " (clean(member)) ". " a href="/who" { "Not you?" } },
            None => p.viewer { a href="/who" { "Who are you?" } },
        }
    }
}

/// A moment in local time, and how long ago.
pub(super) fn when(at: Moment, now: Moment, utc_offset_min: i32) -> String {
    use crate::units::print;
    format!(
        "{} ({})",
        print::ago(now.since(at)),
        print::local(at, utc_offset_min)
    )
}
