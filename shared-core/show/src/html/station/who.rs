//! Who records at the station's own machine, and letting a phone in.

use maud::{Markup, html};

use super::StationFacts;
use crate::clean::clean;
use crate::svg::qr;

/// Asks for a member number; `back` is where it goes on, `wrong` what was not one.
#[must_use]
pub fn who_page(facts: &StationFacts, back: &str, wrong: Option<&str>) -> Markup {
    html! {
        h1 { "Who is checking?" }
        p { "What is recorded here bears your member number. Whoever comes after you is asked again "
            "after a day, or says so here." }
        form.who method="post" action="/who" {
            @if let Some(token) = &facts.page.token { input type="hidden" name="token" value=(token); }
            input type="hidden" name="back" value=(back);
            label for="member" { "Member number" }
            @if let Some(wrong) = wrong { p.wrong id="member-wrong" role="alert" { (clean(wrong)) } }
            div.row {
                input id="member" name="member" type="text" autocomplete="off" autocapitalize="off"
                    spellcheck="false" maxlength="32" required
                    aria-describedby=[wrong.map(|_| "member-wrong")];
                button.main { "That is me" }
            }
        }
        @if let Some(member) = &facts.member {
            form.who method="post" action="/who" {
                @if let Some(token) = &facts.page.token { input type="hidden" name="token" value=(token); }
                input type="hidden" name="gone" value="yes";
                button { "I, member " (clean(member)) ", am done here" }
            }
        }
    }
}

/// Asks whom to let in with a phone.
#[must_use]
pub fn let_in_form(facts: &StationFacts, wrong: Option<&str>) -> Markup {
    html! {
        h1 { "Let a phone in" }
        p { "Makes a link that lets one member in with one phone, once. It works within the hour." }
        form.who method="post" action="/let-in" {
            @if let Some(token) = &facts.page.token { input type="hidden" name="token" value=(token); }
            label for="member" { "Member number of whoever has the phone" }
            @if let Some(wrong) = wrong { p.wrong id="member-wrong" role="alert" { (clean(wrong)) } }
            div.row {
                input id="member" name="member" type="text" autocomplete="off" autocapitalize="off"
                    spellcheck="false" maxlength="32" required
                    aria-describedby=[wrong.map(|_| "member-wrong")];
                button.main { "Make the link" }
            }
        }
    }
}

/// The link, to be opened or photographed with the phone.
#[must_use]
pub fn let_in_page(member: &str, link: &str, until: &str) -> Markup {
    let said = format!("QR code of the link for member {}", clean(member));
    html! {
        h1 { "Link for member " (clean(member)) }
        p { "Hold the phone before this code, or open the link on it. It works once, until " (until)
            ", and whoever opens it first is taken for member " (clean(member)) "." }
        @if let Some(code) = qr(link, &said) { div.code { (code) } }
        p.link { (link) }
        p { "The phone may warn that it does not know the certificate: compare its fingerprint with the "
            "one that serve printed." }
    }
}
