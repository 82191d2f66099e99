//! Room for faults: the craft from above to mark them on, and what has to be told of each.

use maud::{Markup, html};
use sponson_readiness::walk::WalkLine;

use super::super::paper_lines::{PaperStop, fault_boxes};
use super::SheetFacts;
use super::row::boxed;
use crate::clean::clean;
use crate::svg::plan::blank;

/// Faults that a sheet has room for: as many as stand beside the drawing.
pub(crate) const FAULTS: usize = 4;

/// The drawing and the faults, one block that is not broken.
pub(super) fn found(number: usize, facts: &SheetFacts<'_>, all: &[PaperStop]) -> Markup {
    let lines = || all.iter().flat_map(|stop| &stop.lines);
    let of_part = |id: &sponson_readiness::ids::PartId| {
        let mut lines = lines();
        let line =
            lines.find(|line| matches!(&line.line, WalkLine::Reading { part, .. } if part == id));
        line.map(|line| line.number)
    };
    html! {
        div.sheet-found {
            h2 { b { (number) } " Faults found" }
            @if !facts.open_faults.is_empty() {
                p.sheet-open {
                    "Open already, not to be written down again: "
                    @for (place, fault) in facts.open_faults.iter().enumerate() {
                        @if place > 0 { "; " }
                        (clean(fault))
                    }
                    "."
                }
            }
            div.sheet-faults {
                figure {
                    (blank(facts.source.standard, of_part))
                    figcaption { "Mark each place with the number of its fault. Numbers on the drawing are those of the lines." }
                }
                ol {
                    @for fault in 1..=FAULTS {
                        li {
                            b { (fault) }
                            @for one in fault_boxes(fault) { (boxed(&one)) }
                        }
                    }
                }
            }
        }
    }
}
