//! What the page rests on, and how anybody can check it without trusting this server.

use maud::{Markup, html};
use sponson_readiness::answer::{CountyAnswer, CraftAnswer};

use super::Proofs;
use crate::clean::clean;

pub(super) fn proof(answer: &CountyAnswer, craft: &CraftAnswer, proofs: Proofs) -> Markup {
    let known = &answer.known_by;
    let number = clean(&craft.number);
    html! {
        section aria-labelledby="proof" {
            h2 id="proof" { "Proof" }
            dl {
                dt { "Known by" }
                dd {
                    (known.size) " entries of the county log"
                    @if known.beyond > 0 { ", and " (known.beyond) " held beyond it" }
                }
                dt { "Log" }
                dd class="hex" { (hex(&known.log_id)) }
                dt { "Root" }
                dd class="hex" { (hex(&known.root)) }
                dt { "Rules" }
                dd { "version " (answer.engine) }
            }
            p {
                "This answer, signed and with all that it rests on: "
                code { "sponson-county answer '" (number) "' --signed FILE" } ". Check it at any copy of "
                "the log: " code { "sponson verify --answer FILE" } "."
            }
            p {
                @match proofs {
                    Proofs::Served => {
                        "Each entry above is a link to its proof file: the entry, who signed it and its "
                        "place in the county log. Check the file with " code { "sponson verify --proof FILE" } "."
                    },
                    Proofs::ByCommand => {
                        "The proof file of an entry: " code { "sponson prove ENTRY" } "; check it with "
                        code { "sponson verify --proof FILE" } "."
                    },
                }
            }
        }
    }
}

fn hex(bytes: &[u8]) -> String {
    use std::fmt::Write as _;
    bytes.iter().fold(String::new(), |mut out, byte| {
        // Writing to a String cannot fail.
        let _ = write!(out, "{byte:02x}");
        out
    })
}
