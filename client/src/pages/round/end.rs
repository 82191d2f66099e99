//! The end of a round: what it comes to, recording it, and what became of it.

use std::sync::Arc;

use axum::extract::{Extension, Form, Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse as _, Redirect, Response};
use sponson_proto::answer::v1::Question;
use sponson_proto::event::v1::Kind;
use sponson_proto::service::v1::{CheckUnderWay, RecordUnderWayRequest, UnderWayStage};
use sponson_readiness::moment::Moment;
use sponson_show::html::station::round::{
    Ended, Ending, EventOfRound, LeftOut, ended, ending, left_out_lines,
};
use sponson_show::units::print;

use super::made::Made;
use super::{is_over, not_there, of};
use crate::catalogue::hex;
use crate::describe::kind_words;
use crate::pages::record::{Pair, recorder, value};
use crate::pages::state::{NotShown, Pages};
use crate::under_way::finish::is_half_recorded;
use crate::web::visit::Visit;

/// Hexadecimal digits of an event's name that are shown, as everywhere.
const DIGITS: usize = 12;

/// Shows what a check comes to.
pub(in crate::pages) async fn before(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Path(id): Path<String>,
) -> Response {
    let check = match of(&pages, &id).await {
        Ok(Some(check)) => check,
        Ok(None) => return not_there(&pages, &visit),
        Err(why) => return pages.not_shown(&visit, &why),
    };
    if is_over(&check) {
        return after(&pages, &visit, check).await;
    }
    match Made::of(&pages, &visit, check).await {
        Ok(made) => shown(&pages, &visit, &made).await,
        Err(why) => pages.not_shown(&visit, &why),
    }
}

async fn shown(pages: &Pages, visit: &Visit, made: &Made) -> Response {
    let round = made.round();
    let left_out: Vec<LeftOut> = left_out_lines(&round);
    let wrong = made.planned.as_ref().err().into_iter().flatten();
    let wrong: Vec<(String, String)> = wrong
        .map(|one| (one.field.to_string(), one.why.clone()))
        .collect();
    let as_if = match &made.tried {
        Err(why) => Err(why.as_str()),
        Ok(told) => match told.craft() {
            Some(craft) => Ok((&told.answer, craft)),
            None => Err("nobody registered the craft"),
        },
    };
    let body = ending(
        &round,
        &Ending {
            left_out: &left_out,
            wrong: &wrong,
            as_if,
        },
    );
    match pages.facts(visit, "/check").await {
        Ok(facts) => pages.page(&facts, "The end of the check", &body),
        Err(why) => pages.not_shown(visit, &why),
    }
}

/// Records a check.
pub(in crate::pages) async fn record(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Path(id): Path<String>,
    Form(form): Form<Vec<Pair>>,
) -> Response {
    let member = match recorder(&pages, &visit, &form) {
        Ok(member) => member,
        Err(refused) => return *refused,
    };
    let check = match of(&pages, &id).await {
        Ok(Some(check)) => check,
        Ok(None) => return not_there(&pages, &visit),
        Err(why) => return pages.not_shown(&visit, &why),
    };
    let here = format!("/check/{id}");
    if is_over(&check) {
        return Redirect::to(&here).into_response();
    }
    match recorded(&pages, &visit, check, (member, &form)).await {
        Ok(Some(again)) => again,
        Ok(None) => Redirect::to(&here).into_response(),
        Err(why) => pages.not_shown(&visit, &why),
    }
}

/// Records it; gives a page instead where somebody has to look once more.
async fn recorded(
    pages: &Pages,
    visit: &Visit,
    check: CheckUnderWay,
    (member, form): (String, &[Pair]),
) -> Result<Option<Response>, NotShown> {
    let id = check.id.clone();
    let mut request = RecordUnderWayRequest {
        id,
        member,
        events: Vec::new(),
        entries: check.entries,
    };
    if !is_half_recorded(&check) {
        if value(form, "entries") != check.entries.to_string() {
            let text = "Somebody entered more while you looked at the end: look at it once more.";
            let page = pages.say(visit, StatusCode::CONFLICT, "Not recorded yet", &[text]);
            return Ok(Some(page));
        }
        let made = Made::of(pages, visit, check).await?;
        let is_whole = left_out_lines(&made.round()).is_empty() && made.round().asked.is_empty();
        let may_be_less = value(form, "all_the_same") == "yes";
        match &made.planned {
            Ok(planned) if is_whole || may_be_less => request.events.clone_from(&planned.events),
            Ok(_) | Err(_) => return Ok(Some(shown(pages, visit, &made).await)),
        }
    }
    pages.door.record_under_way(request).await?;
    Ok(None)
}

/// What became of a check that was recorded or dropped.
pub(super) async fn after(pages: &Pages, visit: &Visit, check: CheckUnderWay) -> Response {
    match after_page(pages, visit, check).await {
        Ok(page) => page,
        Err(why) => pages.not_shown(visit, &why),
    }
}

async fn after_page(
    pages: &Pages,
    visit: &Visit,
    check: CheckUnderWay,
) -> Result<Response, NotShown> {
    let facts = pages.facts(visit, "/check").await?;
    let made = Made::of(pages, visit, check).await?;
    let known = &made.known;
    let craft = known.by_id(&made.check.craft);
    let question = Question {
        craft: craft.map(|craft| known.asked(craft)).unwrap_or_default(),
        ..Question::default()
    };
    let told = pages.door.ask(&question).await?;
    let now = told
        .answer
        .craft
        .iter()
        .find(|one| one.id == made.round().craft_id);
    let waiting = pages.door.about().await?.waiting;
    let events = made.check.recorded.iter().map(|one| EventOfRound {
        id: hex(&one.event_id).chars().take(DIGITS).collect(),
        what: kind_of(one.kind),
        member: one.member.clone(),
        is_synced: waiting == 0,
    });
    let events: Vec<EventOfRound> = events.collect();
    let at = Moment(made.check.ended_unix_ms);
    let body = ended(
        &made.round(),
        &Ended {
            is_recorded: made.check.stage() == UnderWayStage::Recorded,
            by: &made.check.ended_by,
            at: print::local(at, known.policy().utc_offset_min),
            station: &facts.station,
            events: &events,
            next: &[("/".to_owned(), "To the next craft".to_owned())],
        },
        now.map(|craft| (&told.answer, craft)),
    );
    Ok(pages.page(&facts, "The check", &body))
}

fn kind_of(kind: u32) -> String {
    let kind = i32::try_from(kind)
        .ok()
        .and_then(|kind| Kind::try_from(kind).ok());
    kind_words(kind.unwrap_or(Kind::Unspecified)).to_owned()
}
