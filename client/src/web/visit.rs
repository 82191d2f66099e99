//! One visit: who it is, by the cookie that came along; and the cookies that are sent.

use axum::http::header::{COOKIE, HeaderMap};
use data_encoding::{BASE32_NOPAD, HEXLOWER};
use sha2::{Digest as _, Sha256};
use sponson_link::county::visitors::{PageRole, SESSION_MAX_MS, TOKEN_BYTES, Visitor};
use sponson_show::html::{LightStyle, Viewer};

use super::at::{At, Reach};

/// Cookie that says day or night.
const LIGHT_COOKIE: &str = "sponson-light";

/// What proves that a form came from a page of this session: derived from the session's token, so
/// that it is nowhere kept and no other page can know it.
const FORM_TOKEN_OF: &[u8] = b"sponson.pages.form.v1";

/// One visit.
#[derive(Clone, Debug)]
pub(super) struct Visit {
    /// Who signed in.
    pub visitor: Option<Visitor>,
    /// What a form of this session must carry.
    pub form_token: Option<String>,
    /// The token of the session.
    pub session: Option<Vec<u8>>,
    /// Day or night.
    pub light: LightStyle,
    /// Who can reach the pages.
    pub reach: Reach,
}

impl Visit {
    /// Whether whoever looks may read the county's data.
    #[must_use]
    pub(super) const fn may_read(&self) -> bool {
        matches!(self.reach, Reach::Machine) || self.visitor.is_some()
    }

    /// Whether whoever looks has a role or a higher one.
    #[must_use]
    pub(super) fn has(&self, role: PageRole) -> bool {
        let visitor = self.visitor.as_ref();
        visitor.is_some_and(|visitor| visitor.role >= role)
    }

    /// Who looks, for a page.
    #[must_use]
    pub(super) fn viewer(&self) -> Viewer {
        match (&self.visitor, self.reach) {
            (Some(visitor), _) => Viewer::Member {
                member: visitor.member.clone(),
                role: role_word(visitor.role).to_owned(),
            },
            (None, Reach::Machine) => Viewer::AtTheMachine,
            (None, Reach::Network) => Viewer::Nobody,
        }
    }

    /// Whether a form carries what this session's forms carry.
    #[must_use]
    pub(super) fn is_ours(&self, token: &str) -> bool {
        let wanted = self.form_token.as_deref().map(Sha256::digest);
        wanted.is_some_and(|wanted| wanted == Sha256::digest(token))
    }
}

/// A role in words.
#[must_use]
pub(super) const fn role_word(role: PageRole) -> &'static str {
    match role {
        PageRole::Crew => "crew",
        PageRole::Coordinator => "coordinator",
        PageRole::Lead => "lead",
    }
}

/// The token in the session's cookie; none when there is none that could be one.
#[must_use]
pub(super) fn session_of(headers: &HeaderMap, at: &At) -> Option<Vec<u8>> {
    let text = cookie(headers, session_cookie(at))?;
    let token = BASE32_NOPAD.decode(text.to_uppercase().as_bytes()).ok()?;
    (token.len() == TOKEN_BYTES).then_some(token)
}

/// Day or night, as the cookie says.
#[must_use]
pub(super) fn light_of(headers: &HeaderMap) -> LightStyle {
    LightStyle::of(&cookie(headers, LIGHT_COOKIE).unwrap_or_default())
}

/// What the forms of a session carry.
#[must_use]
pub(super) fn form_token(session: &[u8]) -> String {
    let bound = Sha256::new()
        .chain_update(FORM_TOKEN_OF)
        .chain_update(session);
    HEXLOWER.encode(&bound.finalize())
}

/// The cookie that begins a session.
#[must_use]
pub(super) fn begin_session(token: &[u8; TOKEN_BYTES], at: &At) -> String {
    let token = BASE32_NOPAD.encode(token).to_lowercase();
    kept(session_cookie(at), &token, SESSION_MAX_MS / 1000, at)
}

/// The cookie that ends a session in the browser.
#[must_use]
pub(super) fn end_session(at: &At) -> String {
    kept(session_cookie(at), "", 0, at)
}

/// The cookie that keeps day or night for a year.
#[must_use]
pub(super) fn keep_light(light: LightStyle, at: &At) -> String {
    kept(LIGHT_COOKIE, light.id(), 365 * 24 * 60 * 60, at)
}

/// The prefix makes a browser refuse it from anywhere but this host, unencrypted, or for a part of
/// the paths.
const fn session_cookie(at: &At) -> &'static str {
    if at.encrypted {
        "__Host-sponson"
    } else {
        "sponson"
    }
}

fn kept(name: &str, value: &str, seconds: i64, at: &At) -> String {
    let secure = if at.encrypted { "; Secure" } else { "" };
    format!("{name}={value}; Path=/; HttpOnly; SameSite=Strict; Max-Age={seconds}{secure}")
}

fn cookie(headers: &HeaderMap, name: &str) -> Option<String> {
    let lines = headers.get_all(COOKIE).into_iter();
    lines
        .filter_map(|line| line.to_str().ok())
        .flat_map(|line| line.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .find_map(|(known, value)| (known == name).then(|| value.to_owned()))
}
