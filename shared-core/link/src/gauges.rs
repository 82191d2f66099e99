//! Gauges and leaks from the county's past: worked out here for commands and pages alike, shown elsewhere.

use std::sync::Arc;

use sponson_proto::answer::v1 as asked;
use sponson_proto::service::v1::{GaugesReply, GaugesRequest, LeaksReply, LeaksRequest};
use sponson_readiness::chambers::ChamberLeaks;
use sponson_readiness::doubted::{Doubted, Past, doubted};
use sponson_readiness::engine::{Question, chamber_curves, chamber_leaks};
use sponson_readiness::holds_done::{HoldsDone, holds_done};
use sponson_readiness::ids::SubjectId;
use sponson_readiness::moment::Moment;
use sponson_readiness::read_back::{ReadBack, read_back};
use sponson_show::json::Members;
use sponson_show::{csv, json, table};
use tonic::Code;

use crate::ask;
use crate::history::{HistoryOf, history};
use crate::refusal::Refusal;
use crate::shared::Shared;

/// What is asked about leaks.
#[derive(Clone, Debug, Default)]
pub struct LeaksAsked {
    /// The moment; now when none.
    pub as_of: Option<Moment>,
    /// One craft, or all.
    pub craft: Option<SubjectId>,
    /// Air at the launch, milli-degree Celsius.
    pub air_mc: Option<i32>,
    /// Water, milli-degree Celsius.
    pub water_mc: Option<i32>,
    /// Elevation of the launch, millimetres.
    pub elevation_mm: Option<i32>,
}

/// Readings that are doubted.
#[derive(Debug)]
pub struct DoubtedTold {
    /// What is doubted.
    pub doubted: Doubted,
    /// What it was made from.
    pub of: Arc<HistoryOf>,
}

/// Chambers by their leak, and hold tests.
#[derive(Debug)]
pub struct LeaksTold {
    /// Chambers.
    pub leaks: ChamberLeaks,
    /// Hold tests; of the craft alone where one was asked for.
    pub holds: HoldsDone,
    /// The reading history of the craft that was asked for.
    pub craft: Option<ReadBack>,
    /// What it was made from.
    pub of: Arc<HistoryOf>,
}

/// Looks for readings that are doubted.
///
/// # Errors
/// When the log is closed.
pub(crate) async fn doubted_of(
    shared: &Shared,
    as_of: Option<Moment>,
) -> Result<DoubtedTold, Refusal> {
    let of = history(shared, as_of).await?;
    work(move || DoubtedTold {
        doubted: doubted(past(&of)),
        of,
    })
    .await
}

/// Ranks chambers by their leak.
///
/// # Errors
/// When a craft is asked for of which nothing is known, or the log is closed.
pub(crate) async fn leaks_of(shared: &Shared, asked: LeaksAsked) -> Result<LeaksTold, Refusal> {
    let of = history(shared, asked.as_of).await?;
    work(move || {
        let question = Question {
            craft: asked.craft,
            air_mc: asked.air_mc,
            water_mc: asked.water_mc,
            elevation_mm: asked.elevation_mm,
            ..Question::general(of.as_of, of.now)
        };
        let county = of.county();
        let mut holds = holds_done(past(&of));
        if let Some(craft) = asked.craft {
            holds.tests.retain(|test| test.craft == craft);
            holds.courses.retain(|course| course.craft == craft);
        }
        let craft = asked.craft.and_then(|id| of.history.crafts.get(&id));
        let craft = craft.map(|craft| {
            let curves = chamber_curves(&county, &question);
            read_back(past(&of), craft, curves)
        });
        LeaksTold {
            leaks: chamber_leaks(&county, &question),
            holds,
            craft,
            of,
        }
    })
    .await
}

fn past(of: &HistoryOf) -> Past<'_> {
    Past {
        history: &of.history,
        policy: &of.policy,
        standards: &of.standards,
        stations: &of.stations,
    }
}

/// Works it out beside what is served meanwhile.
async fn work<T: Send + 'static>(does: impl FnOnce() -> T + Send + 'static) -> Result<T, Refusal> {
    tokio::task::spawn_blocking(does).await.map_err(|error| {
        Refusal::new(
            Code::Internal,
            "NOT_WORKED_OUT",
            format!("it could not be worked out: {error}"),
            "ask again; when it stays so, say what was asked",
        )
    })
}

/// The service's reply about readings that are doubted.
pub(crate) async fn gauges(
    shared: &Shared,
    request: GaugesRequest,
    is_county: bool,
) -> Result<GaugesReply, Refusal> {
    if request.members && !is_county {
        return Err(Refusal::field(
            "members: it is told by member number at the county alone",
            "ask without, or ask the lead",
        ));
    }
    let members = if request.members {
        Members::Told
    } else {
        Members::LeftOut
    };
    let told = doubted_of(shared, request.as_of_unix_ms.map(Moment)).await?;
    let ctx = &told.of.ctx;
    Ok(GaugesReply {
        text: table::gauges_report(&told.doubted, ctx, members),
        json: json::gauges(&told.doubted, ctx, members),
        notes: told.of.notes.clone(),
    })
}

/// The service's reply about leaks.
pub(crate) async fn leaks(shared: &Shared, request: LeaksRequest) -> Result<LeaksReply, Refusal> {
    let asked = leaks_asked(shared, request.question.unwrap_or_default()).await?;
    let wants_craft = asked.craft;
    let told = leaks_of(shared, asked).await?;
    let ctx = &told.of.ctx;
    let text = match &told.craft {
        Some(craft) => table::readings_report(craft, &told.leaks, ctx),
        None if wants_craft.is_some() => {
            return Err(Refusal::field(
                "the craft has no past here",
                "ask about one that was registered before the moment that is judged",
            ));
        }
        None => table::leaks_report(&told.leaks, &told.holds, ctx),
    };
    Ok(LeaksReply {
        text,
        json: json::leaks(&told.leaks, &told.holds, told.craft.as_ref(), ctx),
        csv: csv::leaks(&told.leaks, ctx),
        notes: told.of.notes.clone(),
    })
}

/// What a question asks about leaks; its craft by number.
///
/// # Errors
/// When no such craft is known, or the log is closed.
pub(crate) async fn leaks_asked(
    shared: &Shared,
    question: asked::Question,
) -> Result<LeaksAsked, Refusal> {
    let number = question.craft.trim().to_owned();
    let craft = if number.is_empty() {
        None
    } else {
        let find = move |replica: &mut sponson_replica::Replica| ask::subject_of(replica, &number);
        Some(shared.call(find).await??)
    };
    Ok(LeaksAsked {
        as_of: question.as_of_unix_ms.map(Moment),
        craft,
        air_mc: question.air_mc,
        water_mc: question.water_mc,
        elevation_mm: question.elevation_mm,
    })
}
