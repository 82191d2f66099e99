//! What keeps failing, for commands and pages alike: the county's past, grouped and put into words.
//!
//! It reads what was asked and refuses what cannot be; what is said and proposed is worked out in the
//! readiness crate, and worded by show.

use std::collections::BTreeSet;
use std::sync::Arc;

use sponson_proto::service::v1::{KeepsFailingReply, KeepsFailingRequest};
use sponson_readiness::ids::SubjectId;
use sponson_readiness::keeps_failing::{Asked, Grouping, Per, keeps_failing};
use sponson_readiness::moment::Moment;
use sponson_show::csv::FaultsList;
use sponson_show::failing::{Failing, Past};
use sponson_show::json;
use sponson_show::table::{WithFigures, faults_report};
use tonic::Code;

use crate::history::{HistoryOf, history};
use crate::refusal::Refusal;
use crate::shared::Shared;

/// What keeps failing, and what it was made from.
#[derive(Clone, Debug)]
pub struct FailingTold {
    /// In words and rounded figures.
    pub failing: Failing,
    /// What happened, and how to show it.
    pub past: Arc<HistoryOf>,
}

/// Works it out. Nothing is recorded.
///
/// # Errors
/// When a word is not known, the craft is none, the time is empty, or the log is closed.
pub(crate) async fn told(
    shared: &Shared,
    request: &KeepsFailingRequest,
) -> Result<FailingTold, Refusal> {
    let asked = asked(request)?;
    let past = history(shared, request.as_of_unix_ms.map(Moment)).await?;
    let craft = craft(request, &past)?;
    if let Some(from) = asked.from.filter(|from| *from >= past.as_of) {
        return Err(Refusal::field(
            format!(
                "from is {}, which is not before the judged moment, {}",
                past.ctx.local(from),
                past.ctx.local(past.as_of)
            ),
            "give an earlier day, or leave it out",
        ));
    }
    let work = move || {
        let found = keeps_failing(&past.history, &past.standards, &past.policy, &asked);
        let names = Past {
            history: &past.history,
            standards: &past.standards,
            ctx: &past.ctx,
        };
        FailingTold {
            failing: Failing::of(&found, &names, craft),
            past,
        }
    };
    // A county of 500 craft takes a while: the runtime goes on meanwhile.
    tokio::task::spawn_blocking(work).await.map_err(|error| {
        Refusal::new(
            Code::Internal,
            "NOT_WORKED_OUT",
            format!("it met an unexpected fault: {error}"),
            "ask again; if it stays, tell whoever looks after this program",
        )
    })
}

/// All forms of it.
///
/// # Errors
/// As [`told`], and when a list is not known.
pub(crate) async fn reply(
    shared: &Shared,
    request: &KeepsFailingRequest,
) -> Result<KeepsFailingReply, Refusal> {
    let lists: Result<Vec<FaultsList>, Refusal> = request.csv.iter().map(|it| list(it)).collect();
    let lists = lists?;
    let FailingTold { failing, past } = told(shared, request).await?;
    let figures = match request.figures {
        true => WithFigures::Yes,
        false => WithFigures::No,
    };
    Ok(KeepsFailingReply {
        text: faults_report(&failing, figures, &past.ctx),
        json: json::faults(&failing),
        to_decide: u32::try_from(failing.waiting()).unwrap_or(u32::MAX),
        csv: lists.iter().map(|list| list.table(&failing)).collect(),
        notes: past.notes.clone(),
    })
}

fn asked(request: &KeepsFailingRequest) -> Result<Asked, Refusal> {
    let or = |word: &str, none: &'static str| match word {
        "" => none.to_owned(),
        word => word.to_owned(),
    };
    let by = or(&request.by, "place");
    let grouping: Grouping = Failing::grouping(&by).ok_or_else(|| {
        Refusal::field(
            format!("by is '{}', which is no grouping", sponson_show::clean(&by)),
            "give one of place, craft-place, craft, model, batch, method, glue, class, fabric, station, gear",
        )
    })?;
    let per = or(&request.per, "days");
    let per: Per = Failing::per(&per).ok_or_else(|| {
        Refusal::field(
            format!(
                "per is '{}', which nothing is counted against",
                sponson_show::clean(&per)
            ),
            "give days, hours or uses",
        )
    })?;
    Ok(Asked {
        grouping,
        per,
        from: request.from_unix_ms.map(Moment),
        severities: BTreeSet::new(),
        classes: BTreeSet::new(),
    })
}

fn craft(request: &KeepsFailingRequest, past: &HistoryOf) -> Result<Option<SubjectId>, Refusal> {
    if request.craft.is_empty() {
        return Ok(None);
    }
    let id = <[u8; 16]>::try_from(&*request.craft).map(SubjectId::from_bytes);
    let known = id.ok().filter(|id| past.history.crafts.contains_key(id));
    known.map(Some).ok_or_else(|| {
        Refusal::field(
            "craft is none that was here by the judged moment".to_owned(),
            "look it up on the county page, or leave it out",
        )
    })
}

fn list(word: &str) -> Result<FaultsList, Refusal> {
    let mut all = FaultsList::ALL.into_iter();
    all.find(|list| list.id() == word).ok_or_else(|| {
        let known = FaultsList::ALL.map(FaultsList::id).join(", ");
        Refusal::field(
            format!("list '{}' is not known", sponson_show::clean(word)),
            format!("ask for {known}"),
        )
    })
}
