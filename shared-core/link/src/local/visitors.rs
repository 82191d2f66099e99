//! Letting people in to the pages of a county or a station, and showing them out.

use data_encoding::BASE32_NOPAD;
use sponson_proto::event::v1::Role;
use sponson_proto::service::v1::{
    LetInReply, LetInRequest, PageSession, SignedInReply, SignedInRequest,
};
use tonic::Code;

use super::Host;
use crate::county::visitors::{CODE_BYTES, PageRole, Visitor, VisitorsError};
use crate::refusal::Refusal;

/// Hours for which a link works when none are given: until the same time tomorrow.
const HOURS: u32 = 24;

/// Most hours: a week.
const HOURS_MAX: u32 = 7 * 24;

/// Longest member number, as an event's header holds it: what somebody records who was let in under a
/// longer one would be refused, every time.
pub use sponson_log::event::MEMBER_BYTES_MAX;

/// Sessions that one call names.
const ENDED_MAX: usize = 200;

/// Makes a link.
pub(super) async fn let_in(host: &Host, request: &LetInRequest) -> Result<LetInReply, Refusal> {
    let visitors = host.role.visitors();
    let member = request.member.trim();
    if member.is_empty() || member.len() > MEMBER_BYTES_MAX || sponson_show::clean(member) != member
    {
        return Err(Refusal::field(
            format!(
                "member is '{}', {} bytes; 1 to {MEMBER_BYTES_MAX} bytes of plain text are allowed",
                sponson_show::clean(member),
                member.len()
            ),
            "give the member number of whoever is let in",
        ));
    }
    let role = page_role(request.role())?;
    let hours = hours(request.hours)?;
    let shared = &host.shared;
    let code = shared.entropy().draw::<CODE_BYTES>();
    let now = shared.clock().now().unix_ms;
    let ends_unix_ms = now.saturating_add(i64::from(hours) * 3_600_000);
    let mut visitors = visitors.lock().await;
    visitors
        .give(&code, (member, role), ends_unix_ms, now)
        .map_err(|error| failed(&error))?;
    Ok(LetInReply {
        code: BASE32_NOPAD.encode(&code).to_lowercase(),
        ends_unix_ms,
        pages_at: visitors.served_at().unwrap_or_default().to_owned(),
    })
}

/// Lists who is signed in, after ending the sessions that are named.
pub(super) async fn signed_in(
    host: &Host,
    request: &SignedInRequest,
) -> Result<SignedInReply, Refusal> {
    let visitors = host.role.visitors();
    if request.end.len() > ENDED_MAX {
        return Err(Refusal::field(
            format!(
                "end has {} names; at most {ENDED_MAX} are allowed",
                request.end.len()
            ),
            "end all, or fewer at a time",
        ));
    }
    let now = host.shared.clock().now().unix_ms;
    let mut visitors = visitors.lock().await;
    let named = |name: &String| {
        let open = visitors.signed_in(now);
        open.iter().any(|visitor| is_named(visitor, name))
    };
    if let Some(unknown) = request.end.iter().find(|name| !named(name)) {
        return Err(Refusal::new(
            Code::NotFound,
            "NOT_SIGNED_IN",
            format!(
                "nobody is signed in as '{}'",
                sponson_show::clean(unknown.trim())
            ),
            "look at signed-in; no session was ended",
        ));
    }
    let mut ended = 0;
    if request.end_all || !request.end.is_empty() {
        let which = |visitor: &Visitor| {
            let mut names = request.end.iter();
            request.end_all || names.any(|name| is_named(visitor, name))
        };
        ended = visitors.end(which, now).map_err(|error| failed(&error))?;
    }
    Ok(SignedInReply {
        sessions: visitors.signed_in(now).into_iter().map(session).collect(),
        ended: u32::try_from(ended).unwrap_or(u32::MAX),
    })
}

fn is_named(visitor: &Visitor, name: &str) -> bool {
    let name = name.trim();
    visitor.name == name || visitor.member == name
}

fn page_role(role: Role) -> Result<PageRole, Refusal> {
    match role {
        Role::Crew => Ok(PageRole::Crew),
        Role::Coordinator => Ok(PageRole::Coordinator),
        Role::Lead => Ok(PageRole::Lead),
        Role::Unspecified | Role::Maintenance | Role::County | Role::Reader => Err(Refusal::field(
            format!("role {} does nothing on the pages", i32::from(role)),
            "give crew, coordinator or lead",
        )),
    }
}

const fn role_of(role: PageRole) -> Role {
    match role {
        PageRole::Crew => Role::Crew,
        PageRole::Coordinator => Role::Coordinator,
        PageRole::Lead => Role::Lead,
    }
}

fn hours(asked: u32) -> Result<u32, Refusal> {
    match asked {
        0 => Ok(HOURS),
        1..=HOURS_MAX => Ok(asked),
        _ => Err(Refusal::field(
            format!("hours is {asked}; at most {HOURS_MAX} are allowed"),
            "make a link that ends sooner; another can be made at any time",
        )),
    }
}

fn session(visitor: Visitor) -> PageSession {
    PageSession {
        name: visitor.name,
        member: visitor.member,
        role: role_of(visitor.role).into(),
        begun_unix_ms: visitor.begun_unix_ms,
        used_unix_ms: visitor.used_unix_ms,
        ends_unix_ms: visitor.ends_unix_ms,
    }
}

fn failed(error: &VisitorsError) -> Refusal {
    tracing::error!(%error, "who may use the pages could not be kept");
    Refusal::new(
        Code::Unavailable,
        "VISITORS_FAILED",
        error.to_string(),
        "nothing was changed; set it right and try again",
    )
}
