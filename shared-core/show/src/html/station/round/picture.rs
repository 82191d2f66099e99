//! Pictures of a fault, and of the craft: those that were taken, and a form for one more.
//!
//! A file cannot stand in the form of a stop: it has one of its own, which posts to
//! `/check/ID/picture`.

use maud::{Markup, html};

use super::{Round, fault};
use crate::clean::clean;

/// Pictures whose fields begin with this: `fault.7.`, or nothing for those of the craft.
pub(super) fn taken(round: &Round<'_>, prefix: &str) -> Markup {
    let begin = format!("{prefix}picture.");
    let all = round
        .fields
        .iter()
        .filter(|(field, _)| field.starts_with(&begin));
    html! {
        div.pictures data-pictures=(begin) {
            @for (number, (_, entry)) in (1_usize..).zip(all) {
                img src={ "/picture/" (entry.text) } alt={ "Picture " (number) } loading="lazy" width="160";
            }
        }
    }
}

/// Takes one more.
pub(super) fn form(round: &Round<'_>) -> Markup {
    html! {
        (taken(round, ""))
        @if let Some(token) = round.token {
            form.picture method="post" action={ "/check/" (round.id) "/picture" } enctype="multipart/form-data" {
                input type="hidden" name="token" value=(token);
                input type="hidden" name="stop" value="faults";
                div.typed {
                    label for="p-fault" { "A picture of" }
                    select id="p-fault" name="fault" {
                        option value="" { "the craft" }
                        @for number in fault::numbers(round) { (of(round, number)) }
                    }
                }
                div.typed {
                    label for="p-file" { "Picture" }
                    input id="p-file" type="file" name="picture" accept="image/*" required;
                }
                p.press { button { "Keep this picture" } }
            }
        }
    }
}

fn of(round: &Round<'_>, number: u32) -> Markup {
    let said = |end: &str| clean(super::typed::text(round, &format!("fault.{number}.{end}")));
    html! { option value=(number) { (said("class")) " at " (said("part")) } }
}
