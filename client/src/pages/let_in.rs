//! Letting a phone in: the lead makes a link for one member, and the page shows it as a code.

use std::sync::Arc;

use axum::extract::{Extension, Form, State};
use axum::http::StatusCode;
use axum::response::Response;
use sponson_proto::event::v1::Role;
use sponson_proto::service::v1::LetInRequest;
use sponson_readiness::moment::Moment;
use sponson_show::html::station::who::{let_in_form, let_in_page};
use sponson_show::units::print;

use super::record::{Pair, command, recorder, value};
use super::state::Pages;
use crate::web::visit::Visit;

/// Hours for which such a link works: the phone is at hand.
const HOURS: u32 = 1;

/// Asks whom.
pub(super) async fn ask(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
) -> Response {
    asked_again(&pages, &visit, None).await
}

async fn asked_again(pages: &Pages, visit: &Visit, wrong: Option<&str>) -> Response {
    match pages.facts(visit, "/let-in").await {
        Err(why) => pages.not_shown(visit, &why),
        Ok(facts) => {
            let mut page = pages.page(&facts, "Let a phone in", &let_in_form(&facts, wrong));
            if wrong.is_some() {
                *page.status_mut() = StatusCode::BAD_REQUEST;
            }
            page
        }
    }
}

/// Makes the link.
pub(super) async fn make(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Form(form): Form<Vec<Pair>>,
) -> Response {
    let lead = match recorder(&pages, &visit, &form) {
        Ok(lead) => lead,
        Err(refused) => return *refused,
    };
    let member = value(&form, "member").trim();
    let request = LetInRequest {
        member: member.to_owned(),
        role: Role::Crew.into(),
        hours: HOURS,
    };
    let made = command(&pages, &lead, async |session| {
        Ok(session.service().let_in(request).await?.into_inner())
    });
    let reply = match made.await {
        Ok(reply) => reply,
        Err(error) => return asked_again(&pages, &visit, Some(&error.to_string())).await,
    };
    match pages.facts(&visit, "/let-in").await {
        Err(why) => pages.not_shown(&visit, &why),
        Ok(facts) => {
            let link = format!("{}/enter/{}", pages.front.at.url, reply.code);
            let until = print::local(Moment(reply.ends_unix_ms), facts.page.utc_offset_min);
            pages.page(&facts, "Link", &let_in_page(member, &link, &until))
        }
    }
}
