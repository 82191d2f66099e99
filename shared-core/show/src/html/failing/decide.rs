//! The form by which the lead decides: the same as the command `decide`.

use maud::{Markup, html};
use sponson_readiness::ids::FaultId;

use crate::clean::clean;
use crate::failing::{DecidesAbout, fault_name};
use crate::html::facts::PageFacts;

/// What can be decided, as it is typed and in words.
const ACTIONS: [(&str, &str); 6] = [
    ("repair-again", "repair again"),
    ("send-to-maker", "send to the maker"),
    ("take-out", "take out of service"),
    ("condemn", "condemn"),
    ("hold", "hold the whole batch or model, county-wide"),
    ("watch", "watch"),
];

/// Why something is condemned, as it is typed and in words.
const REASONS: [(&str, &str); 5] = [
    ("worn-out", "worn out"),
    ("damaged", "damaged"),
    ("life-expired", "past its service life"),
    ("failed-test", "failed a test"),
    ("recalled", "recalled"),
];

/// What it is about, by the names of the command's flags.
fn named(about: &DecidesAbout) -> Vec<(&'static str, &str)> {
    let all = [
        ("craft", about.craft.as_str()),
        ("gear", &about.gear),
        ("model", &about.model),
        ("batch", &about.batch),
        ("part", &about.part),
    ];
    let given = all.into_iter().filter(|(_, value)| !value.is_empty());
    given.collect()
}

/// The form; nothing for whoever may not decide. `proposed` is chosen beforehand.
pub(super) fn form(
    (id, title): (&str, &str),
    proposed: Option<&str>,
    about: &DecidesAbout,
    faults: &[FaultId],
    facts: &PageFacts,
) -> Markup {
    let Some(token) = facts.token.as_ref().filter(|_| facts.offers.may_decide) else {
        return html! {};
    };
    html! {
        details.decide {
            summary { "Decide: " (clean(title)) }
            form method="post" action="/faults/decide" {
                input type="hidden" name="token" value=(token);
                input type="hidden" name="back" value=(facts.here());
                @for (name, value) in named(about) { input type="hidden" name=(name) value=(value); }
                @for fault in faults { input type="hidden" name="fault" value=(fault_name(*fault)); }
                div.field {
                    label for={ (id) "-action" } { "What is to be done" }
                    select id={ (id) "-action" } name="action" {
                        @for (value, words) in ACTIONS {
                            option value=(value) selected[Some(value) == proposed] { (words) }
                        }
                    }
                }
                div.field {
                    label for={ (id) "-why" } { "Why" }
                    textarea id={ (id) "-why" } name="why" rows="2" maxlength="2000" required
                        autocomplete="off" {}
                }
                div.field {
                    label for={ (id) "-reason" } { "Where it is condemned: the reason" }
                    select id={ (id) "-reason" } name="reason" {
                        option value="" { "it is not" }
                        @for (value, words) in REASONS { option value=(value) { (words) } }
                    }
                }
                span.check {
                    input type="checkbox" id={ (id) "-also" } name="also";
                    label for={ (id) "-also" } { "Carry it out now: out of service, condemned, or held county-wide" }
                }
                p.soft {
                    "Recorded as decided by the member who is signed in. By itself it changes no craft: what carries it "
                    "out is a statement of its own, recorded with it where that is ticked."
                }
                p.press { button { "Record the decision" } }
            }
        }
    }
}
