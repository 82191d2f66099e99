//! One visit: who it is, by the cookie that came along; and the cookies that are sent.

use axum::http::header::{COOKIE, HeaderMap};
use data_encoding::{BASE32_NOPAD, HEXLOWER};
use sha2::{Digest as _, Sha256};
use sponson_link::county::visitors::{PageRole, SESSION_MAX_MS, TOKEN_BYTES, Visitor};
use sponson_link::local::MEMBER_BYTES_MAX;
use sponson_show::html::{LightStyle, Viewer};

use super::at::{At, Reach};

/// Cookie that says day or night.
const LIGHT_COOKIE: &str = "sponson-light";

/// Cookie that says who stands at a station's own machine: a member number, which is no secret. The
/// port follows.
const MEMBER_COOKIE: &str = "sponson-member";

/// How long it is kept: a shift of a day, so that the next one says who it is.
const MEMBER_KEPT_S: i64 = 24 * 60 * 60;

/// What proves that a form came from a page of this session: derived from the session's token, so
/// that it is nowhere kept and no other page can know it.
const FORM_TOKEN_OF: &[u8] = b"sponson.front.form.v1";

/// One visit.
#[derive(Clone, Debug)]
pub struct Visit {
    /// Who signed in.
    pub visitor: Option<Visitor>,
    /// What a form of this session must carry.
    pub form_token: Option<String>,
    /// The member number that was said at the machine itself.
    pub said_member: Option<String>,
    /// The token of the session.
    pub session: Option<Vec<u8>>,
    /// Day or night.
    pub light: LightStyle,
    /// Who can reach the front.
    pub reach: Reach,
}

impl Visit {
    /// Whether whoever looks may read the county's data.
    #[must_use]
    pub const fn may_read(&self) -> bool {
        matches!(self.reach, Reach::Machine) || self.visitor.is_some()
    }

    /// Who records what is filled in: whoever signed in, else whoever said so at the machine.
    #[must_use]
    pub fn member(&self) -> Option<String> {
        let signed_in = self.visitor.as_ref().map(|visitor| &visitor.member);
        signed_in.or(self.said_member.as_ref()).cloned()
    }

    /// Whether whoever looks has a role or a higher one.
    #[must_use]
    pub fn has(&self, role: PageRole) -> bool {
        let visitor = self.visitor.as_ref();
        visitor.is_some_and(|visitor| visitor.role >= role)
    }

    /// Who looks, for a page.
    #[must_use]
    pub fn viewer(&self) -> Viewer {
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
    pub fn is_ours(&self, token: &str) -> bool {
        let wanted = self.form_token.as_deref().map(Sha256::digest);
        wanted.is_some_and(|wanted| wanted == Sha256::digest(token))
    }
}

/// A role in words.
#[must_use]
pub const fn role_word(role: PageRole) -> &'static str {
    match role {
        PageRole::Crew => "crew",
        PageRole::Coordinator => "coordinator",
        PageRole::Lead => "lead",
    }
}

/// The token in the session's cookie; none when there is none that could be one.
#[must_use]
pub fn session_of(headers: &HeaderMap, at: &At) -> Option<Vec<u8>> {
    let text = cookie(headers, &session_cookie(at))?;
    let token = BASE32_NOPAD.decode(text.to_uppercase().as_bytes()).ok()?;
    (token.len() == TOKEN_BYTES).then_some(token)
}

/// Day or night, as the cookie says.
#[must_use]
pub fn light_of(headers: &HeaderMap) -> LightStyle {
    LightStyle::of(&cookie(headers, LIGHT_COOKIE).unwrap_or_default())
}

/// The member number that was said at the machine; none when it could not be one.
#[must_use]
pub fn member_of(headers: &HeaderMap, at: &At) -> Option<String> {
    let text = cookie(headers, &member_cookie(at))?;
    let bytes = BASE32_NOPAD.decode(text.to_uppercase().as_bytes()).ok()?;
    is_member(&String::from_utf8(bytes).ok()?)
}

/// A member number, blanks around it taken off; none when it cannot be one.
#[must_use]
pub fn is_member(text: &str) -> Option<String> {
    let text = text.trim();
    let can_be = !text.is_empty() && text.len() <= MEMBER_BYTES_MAX;
    (can_be && sponson_show::clean(text) == text).then(|| text.to_owned())
}

/// The cookie that keeps who stands at the machine; that of nobody ends it.
#[must_use]
pub fn keep_member(member: Option<&str>, at: &At) -> String {
    let seconds = member.map_or(0, |_| MEMBER_KEPT_S);
    let text = BASE32_NOPAD.encode(member.unwrap_or_default().as_bytes());
    kept(&member_cookie(at), &text.to_lowercase(), seconds, at)
}

/// What the forms of a session carry.
#[must_use]
pub fn form_token(session: &[u8]) -> String {
    let bound = Sha256::new()
        .chain_update(FORM_TOKEN_OF)
        .chain_update(session);
    HEXLOWER.encode(&bound.finalize())
}

/// The cookie that begins a session.
#[must_use]
pub fn begin_session(token: &[u8; TOKEN_BYTES], at: &At) -> String {
    let token = BASE32_NOPAD.encode(token).to_lowercase();
    kept(&session_cookie(at), &token, SESSION_MAX_MS / 1000, at)
}

/// The cookie that ends a session in the browser.
#[must_use]
pub fn end_session(at: &At) -> String {
    kept(&session_cookie(at), "", 0, at)
}

/// The cookie that keeps day or night for a year.
#[must_use]
pub fn keep_light(light: LightStyle, at: &At) -> String {
    kept(LIGHT_COOKIE, light.id(), 365 * 24 * 60 * 60, at)
}

/// The prefix makes a browser refuse it from anywhere but this host, unencrypted, or for a part of
/// the paths. A browser sends the cookies of a host to each of its ports (RFC 6265, 8.5), and one of
/// the same name takes the place of the other: so the port is in the name, and signing in at the
/// station signs nobody out at the county on the same machine.
fn session_cookie(at: &At) -> String {
    let prefix = if at.encrypted { "__Host-" } else { "" };
    format!("{prefix}sponson-{}", at.port)
}

/// Who stands at this station, and not at another one on the same machine.
fn member_cookie(at: &At) -> String {
    format!("{MEMBER_COOKIE}-{}", at.port)
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
