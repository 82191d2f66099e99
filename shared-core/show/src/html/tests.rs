//! The pages as they are served, and what holds of every one of them.

pub(super) mod checks;
mod county;
mod craft;
mod due;
mod failing;
mod gauges;
mod kit_moves;
mod paper;
mod report;
mod size;
mod station;
mod work;

use sponson_readiness::moment::Moment;

use super::{LightStyle, Offers, PageFacts, Viewer};
use crate::sample;

/// A coordinator's visit at the moment of the sample county.
pub(super) fn facts() -> PageFacts {
    PageFacts {
        county: "Two Rivers county".to_owned(),
        viewer: Viewer::Member {
            member: "214".to_owned(),
            role: "coordinator".to_owned(),
        },
        token: Some("a-token".to_owned()),
        offers: Offers {
            missions: ["flood", "swiftwater"].map(str::to_owned).to_vec(),
            places: ["Mill Lane ramp", "Weir bank"].map(str::to_owned).to_vec(),
            kit: vec![("life-jacket".to_owned(), "life jacket".to_owned())],
            may_assign: true,
            may_decide: false,
        },
        rendered: Moment(sample::AS_OF.0 + 2_000),
        utc_offset_min: -240,
        query: "mission=swiftwater".to_owned(),
        path: "/".to_owned(),
        again_s: None,
        light: LightStyle::System,
        style_href: "/style-1.css".to_owned(),
        script_href: "/live-1.js".to_owned(),
        icon_href: "/hull-1.svg".to_owned(),
        map: None,
        notes: Vec::new(),
    }
}

/// The markup with a line for each element, so that a snapshot is read and compared line by line.
pub(super) fn in_lines(page: &str) -> String {
    page.replace("><", ">\n<")
}
