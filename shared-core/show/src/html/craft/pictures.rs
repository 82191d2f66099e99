//! Pictures of a craft's faults and checks: a small view that leads to the whole one; of those that are
//! not here, why not.
//!
//! Each is asked for at `/picture/NAME` only when it comes into sight. Nothing here reads a picture.

use maud::{Markup, html};
use sponson_readiness::moment::Moment;

use crate::clean::clean;
use crate::context::Context;

/// A picture as a page shows it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PictureShown {
    /// Its name, hexadecimal digits: what stands after `/picture/`.
    pub name: String,
    /// What it shows: class and part of a fault; none when it belongs to a whole entry.
    pub fault: Option<(String, String)>,
    /// The fault is open.
    pub open: bool,
    /// When its entry was recorded, as claimed.
    pub at: Moment,
    /// Where it is.
    pub place: ShownPlace,
}

/// Where a picture is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ShownPlace {
    /// Here.
    Here,
    /// Not here yet, or not any more.
    NotHere,
    /// The lead had it removed.
    Removed,
}

impl PictureShown {
    /// What it shows, in words.
    fn of(&self, ctx: &Context) -> String {
        let at = ctx.local(self.at);
        match &self.fault {
            Some((class, part)) => format!("the {} at {}, {at}", clean(class), clean(part)),
            None => format!("what was recorded at {at}"),
        }
    }
}

/// All of them; nothing when there are none.
pub(super) fn pictures(pictures: &[PictureShown], ctx: &Context) -> Markup {
    html! {
        @if !pictures.is_empty() {
            section aria-labelledby="pictures" {
                h2 id="pictures" { "Pictures" }
                ul class="pictures" { @for one in pictures { li { (picture(one, ctx)) } } }
            }
        }
    }
}

fn picture(one: &PictureShown, ctx: &Context) -> Markup {
    let of = one.of(ctx);
    let href = format!("/picture/{}", one.name);
    let standing = match (&one.fault, one.open) {
        (Some(_), true) => ": open",
        (Some(_), false) => ": not open any more",
        (None, _) => "",
    };
    html! {
        @match one.place {
            ShownPlace::Here => a href=(href) {
                img src=(href) alt={ "picture of " (of) } loading="lazy" decoding="async"
                    width="240" height="180";
            },
            ShownPlace::NotHere => p { "The picture is not here: it comes with a sync once the county has it." },
            ShownPlace::Removed => p { "The lead had the picture removed." },
        }
        p { (crate::html::top::sentence(&of)) (standing) "." }
    }
}
