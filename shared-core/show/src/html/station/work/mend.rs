//! Faults repaired, and signed off by somebody entitled.

use maud::{Markup, html};

use super::super::entry::{Entry, Keys, entry, not_recorded, one_of, tick, words};
use super::open_faults::OpenFault;
use super::{OfCraft, WorkPage, hidden, press, top};
use crate::clean::clean;

/// What is recorded.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mending {
    /// Work that was done.
    Repair,
    /// That faults are over.
    SignOff,
}

/// What the page knows of the craft.
#[derive(Clone, Copy, Debug)]
pub struct MendFacts<'a> {
    /// The craft.
    pub craft: OfCraft<'a>,
    /// Which of the two it is.
    pub mending: Mending,
    /// Faults that are open on it.
    pub open: &'a [OpenFault],
    /// Repair methods that the county's settings know.
    pub methods: &'a [String],
}

const FIELDS: [&str; 8] = [
    "fault",
    "method",
    "adhesive",
    "no-inflate",
    "no-launch",
    "no-cure",
    "note",
    "observed",
];

impl Mending {
    /// Its path, before the id of the craft.
    #[must_use]
    pub const fn path(self) -> &'static str {
        match self {
            Self::Repair => "/repair/",
            Self::SignOff => "/sign-off/",
        }
    }

    const fn title(self) -> &'static str {
        match self {
            Self::Repair => "repair",
            Self::SignOff => "sign-off",
        }
    }
}

/// The page.
#[must_use]
pub fn mend_body(facts: &MendFacts<'_>, page: &WorkPage<'_>) -> Markup {
    html! {
        (top(facts.mending.title(), Some(&facts.craft), page))
        (not_recorded(&FIELDS, page.form))
        @if facts.open.is_empty() {
            p { "No fault is open." }
        } @else {
            form.work method="post" action={ (facts.mending.path()) (facts.craft.id) } {
                (hidden(page))
                (which(facts, page))
                @match facts.mending {
                    Mending::Repair => (repair(facts, page)),
                    Mending::SignOff => {
                        p.hint { "Signing off says that these are over. It closes only what is chosen here, and counts when whoever is entitled records it." }
                    }
                }
                (words("note", "In words", "may stay empty", page.form))
                @match facts.mending {
                    Mending::Repair => (press("Record the repair", page)),
                    Mending::SignOff => (press("Sign these off", page)),
                }
            }
        }
    }
}

fn which(facts: &MendFacts<'_>, page: &WorkPage<'_>) -> Markup {
    let fault = page.form.fault("fault");
    html! {
        fieldset.choice id="f-fault" aria-describedby=[fault.map(|_| "e-fault")] {
            legend { "Which faults" }
            div.taps {
                @for (number, one) in facts.open.iter().enumerate() {
                    @let id = format!("f-fault-{number}");
                    span.tap {
                        input type="checkbox" name="fault" id=(id) value=(one.name)
                            checked[page.form.has("fault", &one.name)];
                        label for=(id) {
                            span { (clean(&one.what)) ", " (clean(&one.severity)) ", found " (clean(&one.found)) }
                        }
                    }
                }
            }
            @if let Some(fault) = fault { p.fault id="e-fault" { (clean(fault)) } }
        }
    }
}

fn repair(facts: &MendFacts<'_>, page: &WorkPage<'_>) -> Markup {
    let methods: Vec<(String, String)> = facts
        .methods
        .iter()
        .map(|one| (one.clone(), one.replace('-', " ")))
        .collect();
    let text = |name: &str, label: &str, hint: &str| {
        let one = Entry {
            name,
            label,
            hint,
            keys: Keys::All,
        };
        entry(&one, page.form)
    };
    html! {
        (one_of(("method", "How"), "choose", &methods, page.form))
        (text("method-other", "Another way", "one word, if none above fits, for example welded"))
        (text("adhesive", "Batch of the adhesive", "may stay empty"))
        (text("no-inflate", "Not to be inflated for", "for example 24h; empty: as the county's settings say for the method"))
        (text("no-launch", "Not to be put in the water for", "for example 72h; empty: as the county's settings say"))
        (tick("no-cure", "Leave out the rest that the county's settings propose", page.form))
    }
}
