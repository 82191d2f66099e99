//! Fitting out a new craft: `/fit-out/ID`.

use std::sync::Arc;

use axum::extract::{Extension, Path, RawQuery, State};
use axum::response::Response;
use sponson_link::refusal::Refusal;
use sponson_proto::service::v1::{
    CheckUnderWay, LogLine, UnderWayKind, UnderWayRequest, UnderWayStage,
};
use sponson_readiness::ids::EventId;
use sponson_readiness::moment::Moment;
use sponson_show::html::station::work::{FitOutFacts, StepBy, fit_out_body};
use sponson_show::units::print;

use super::filled_in::{Filled, not_shown};
use super::on_craft::OnCraft;
use crate::pages::state::{NotShown, Pages};
use crate::web::visit::Visit;

/// Lines of the log that are looked through for who did what: a craft that is fitted out has some
/// dozens.
const LINES: usize = 500;

/// Shows the walk.
pub(super) async fn show(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Path(id): Path<String>,
    RawQuery(query): RawQuery,
) -> Response {
    let craft = match OnCraft::of(&pages, &visit, &id).await {
        Ok(craft) => craft,
        Err(response) => return response,
    };
    let by = match who_did(&pages, &craft).await {
        Ok(by) => by,
        Err(refusal) => return not_shown(&pages, &visit, refusal),
    };
    let under_way = match under_way(&pages, &craft).await {
        Ok(under_way) => under_way,
        Err(why) => return not_shown(&pages, &visit, why),
    };
    let filled = Filled::asked(&pages, query.as_deref()).await;
    let path = format!("/fit-out/{}", craft.id);
    filled
        .page(
            (&pages, &visit),
            (&path, "Fitting out"),
            |page| match craft.answer() {
                Some(answer) => {
                    let facts = FitOutFacts {
                        craft: craft.craft(),
                        answer,
                        as_of: craft.as_of(),
                        by: &by,
                        under_way: under_way.as_deref(),
                    };
                    fit_out_body(&facts, &craft.told.ctx, page)
                }
                None => maud::html! { h1 { "No answer about this craft" } },
            },
        )
        .await
}

/// Its check under way: by whom it was begun, and when anything was last entered.
async fn under_way(pages: &Pages, craft: &OnCraft) -> Result<Option<String>, NotShown> {
    let request = UnderWayRequest {
        without_fields: true,
        ..UnderWayRequest::default()
    };
    let reply = pages.door.under_way(request).await?;
    let is_its = |one: &&CheckUnderWay| {
        let open = one.stage() == UnderWayStage::Open;
        open && one.kind() == UnderWayKind::FittingOut && one.craft == craft.entry.id
    };
    let offset = craft.told.ctx.utc_offset_min;
    Ok(reply.checks.iter().find(is_its).map(|one| {
        format!(
            "begun by member {} on {}, last entry {}",
            one.begun_by,
            print::local(Moment(one.begun_unix_ms), offset),
            print::local(Moment(one.changed_unix_ms), offset)
        )
    }))
}

/// Who recorded what of the craft, and of its station: that says which crews it can raise.
async fn who_did(pages: &Pages, craft: &OnCraft) -> Result<Vec<StepBy>, Refusal> {
    let mut all = Vec::new();
    for id in [&craft.entry.id, &craft.entry.station] {
        if !id.is_empty() {
            let log = pages.door.log_of(id, LINES).await?;
            all.extend(log.lines.iter().filter_map(by));
        }
    }
    Ok(all)
}

/// Who recorded a line.
fn by(line: &LogLine) -> Option<StepBy> {
    let id: [u8; 32] = line.event_id.as_ref().try_into().ok()?;
    let who = match (line.member.as_str(), line.station.as_str()) {
        ("", "") => "the county".to_owned(),
        ("", station) => station.to_owned(),
        (member, "") => format!("member {member}, the county"),
        (member, station) => format!("member {member}, {station}"),
    };
    Some(StepBy {
        event: EventId::from_bytes(id),
        who,
    })
}
