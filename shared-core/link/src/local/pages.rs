//! The door of the pages of a county or a station: asks in this process and gives the answer as the trade's types.
//!
//! An answer is kept for as long as it is the same: for one question, one state of what is held and
//! one minute. Whoever asks for what is being worked out waits for it: however many ask at once, it
//! is worked out once. What can be seen by whom is decided elsewhere.

use std::collections::{BTreeMap, VecDeque};
use std::path::Path;
use std::sync::{Arc, Mutex, PoisonError};

use prost::Message as _;
use sponson_log::ids::SubjectId;
use sponson_proto::answer::v1::Question;
use sponson_proto::service::v1::{
    AboutReply, AheadRequest, BeginReply, BeginRequest, CatalogueReply, CraftRecordRequest,
    EndUnderWayReply, EndUnderWayRequest, EnterReply, EnterRequest, KeepsFailingRequest, LogReply,
    PlanKitMovesRequest, RecordUnderWayReply, RecordUnderWayRequest, TryCheckRequest,
    UnderWayReply, UnderWayRequest,
};
use sponson_readiness::answer::CountyAnswer;
use sponson_readiness::conditions::Position;
use sponson_readiness::ids::SubjectId as StationId;
use sponson_readiness::kit_moves::KitMoves;
use sponson_readiness::moment::Moment;
use sponson_replica::{Held, Now, Page, WalkOf};
use sponson_show::Context;
use tokio::sync::{Mutex as AsyncMutex, OnceCell, watch};

use super::pictures::{self, PictureOf};
use super::{
    ConnectError, Host, Local, TriedTold, notes, read, service, trying, under_way, within,
};
use crate::ahead::{self, AheadTold};
use crate::ask::ask;
use crate::catalogue;
use crate::county::visitors::Visitors;
use crate::craft_record::RecordWritten;
use crate::gauges::{self, DoubtedTold, LeaksAsked, LeaksTold};
use crate::history::{self, HistoryOf};
use crate::keeps_failing::{self, FailingTold};
use crate::kit_moves;
use crate::refusal::Refusal;

/// Answers kept: some coordinators with a question each. One of 500 craft has about 8 MiB.
const KEPT_MAX: usize = 12;

const MINUTE_MS: i64 = 60_000;

/// The door.
#[derive(Clone, Debug)]
pub struct Door {
    host: Host,
    visitors: Arc<AsyncMutex<Visitors>>,
    kept: Arc<Mutex<VecDeque<(Key, Cell)>>>,
}

type Cell = Arc<OnceCell<Arc<Told>>>;

/// What makes an answer another one.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Key {
    question: Vec<u8>,
    held: Held,
    minute: i64,
}

/// An answer, and what is needed to show it.
#[derive(Debug)]
pub struct Told {
    /// The answer.
    pub answer: CountyAnswer,
    /// How to show it.
    pub ctx: Context,
    /// What whoever reads it has to know of this county.
    pub notes: Vec<String>,
    /// Where the stations are, as far as that is known.
    pub positions: BTreeMap<StationId, Position>,
    /// What was held.
    pub held: Held,
    /// When it was worked out, milliseconds since 1970.
    pub at_unix_ms: i64,
}

/// A plan for moving kit, and what is needed to show it.
#[derive(Debug)]
pub struct Planned {
    /// The plan.
    pub moves: KitMoves,
    /// How to show it.
    pub ctx: Context,
    /// What whoever reads it has to know of this county.
    pub notes: Vec<String>,
}

impl Door {
    /// The door of a county, or of a station.
    #[must_use]
    pub fn of(host: Host) -> Self {
        Self {
            visitors: Arc::clone(host.role.visitors()),
            host,
            kept: Arc::default(),
        }
    }

    /// Answers a question.
    ///
    /// # Errors
    /// When it cannot be answered as asked, or the log is closed.
    pub async fn ask(&self, question: &Question) -> Result<Arc<Told>, Refusal> {
        let shared = &self.host.shared;
        let now = shared.clock().now();
        let key = Key {
            question: question.encode_to_vec(),
            held: *shared.held().borrow(),
            minute: now.unix_ms.div_euclid(MINUTE_MS),
        };
        let cell = self.cell(key);
        let told = cell.get_or_try_init(|| self.work_out(question.clone(), now));
        told.await.map(Arc::clone)
    }

    /// The newest lines of the log about one subject, newest last.
    ///
    /// # Errors
    /// When the id is none, a row is damaged, or the log is closed.
    pub async fn log_of(&self, subject: &[u8], lines: usize) -> Result<LogReply, Refusal> {
        let subject = SubjectId::parse("subject", subject)
            .map_err(|error| Refusal::field(error.to_string(), "look it up on the county page"))?;
        let lines = lines.min(read::PAGE_LINES_MAX);
        let shared = &self.host.shared;
        let read = move |replica: &mut _| read::log(replica, Some(subject), Page::Newest, lines);
        shared.call(read).await?
    }

    /// Pictures of one subject: of its open faults first, then the newest.
    ///
    /// # Errors
    /// When the id is none, a row is damaged, or the log is closed.
    pub async fn pictures_of(&self, subject: &[u8]) -> Result<Vec<PictureOf>, Refusal> {
        let subject = SubjectId::parse("subject", subject)
            .map_err(|error| Refusal::field(error.to_string(), "look it up on the county page"))?;
        let read = move |replica: &mut _| pictures::of_subject(replica, subject);
        self.host.shared.call(read).await?
    }

    /// A picture by its name, one that nothing commits to yet too.
    ///
    /// # Errors
    /// When it is not known or not here, was removed, or is damaged.
    pub async fn picture(&self, name: &str) -> Result<Vec<u8>, Refusal> {
        let id = pictures::named(name)?;
        pictures::give(&self.host.shared, id).await
    }

    /// Keeps a picture that was made ready already; gives its name.
    ///
    /// # Errors
    /// When it is no JPEG, too large, or there is no room.
    pub async fn keep_picture(&self, content: Vec<u8>) -> Result<String, Refusal> {
        let id = pictures::keep(&self.host.shared, content).await?;
        Ok(id.to_string())
    }

    /// What keeps failing, and what to do about it.
    ///
    /// # Errors
    /// When it cannot be told as asked, or the log is closed.
    pub async fn keeps_failing(
        &self,
        request: &KeepsFailingRequest,
    ) -> Result<FailingTold, Refusal> {
        keeps_failing::told(&self.host.shared, request).await
    }

    /// Plans which spare kit to take from where.
    ///
    /// # Errors
    /// When it cannot be planned as asked, or the log is closed.
    pub async fn plan_kit_moves(&self, request: PlanKitMovesRequest) -> Result<Planned, Refusal> {
        let now = self.now();
        let plan = move |replica: &mut _| {
            let planned = kit_moves::plan(replica, &request, &now)?;
            Ok::<_, Refusal>(Planned {
                moves: planned.moves,
                ctx: planned.ctx,
                notes: notes::of(replica, now.unix_ms),
            })
        };
        self.host.shared.call(plan).await?
    }

    /// What happened in the county until a moment, or until now: worked out once for all pages that
    /// ask within a minute, while nothing more is held.
    ///
    /// # Errors
    /// When the log is closed.
    pub async fn history(&self, as_of: Option<Moment>) -> Result<Arc<HistoryOf>, Refusal> {
        history::history(&self.host.shared, as_of).await
    }

    /// The record of a craft, signed.
    ///
    /// # Errors
    /// When the craft is not known, too much would stand in it, a row is damaged, or the log is closed.
    pub async fn craft_record(
        &self,
        request: CraftRecordRequest,
    ) -> Result<RecordWritten, Refusal> {
        super::craft_record::write(&self.host, request).await
    }

    /// Readings that are doubted, and gauges that read apart.
    ///
    /// # Errors
    /// When the log is closed.
    pub async fn doubted(&self, as_of: Option<Moment>) -> Result<DoubtedTold, Refusal> {
        gauges::doubted_of(&self.host.shared, as_of).await
    }

    /// Chambers by their leak, and hold tests; of one craft with its reading history.
    ///
    /// # Errors
    /// When the log is closed.
    pub async fn leaks(&self, asked: LeaksAsked) -> Result<LeaksTold, Refusal> {
        gauges::leaks_of(&self.host.shared, asked).await
    }

    /// What comes due, as [`Local`]'s method of that name.
    ///
    /// # Errors
    /// When it cannot be asked as it is, or the log is closed.
    pub async fn ahead(&self, request: AheadRequest) -> Result<AheadTold, Refusal> {
        ahead::ahead(&self.host.shared, &request).await
    }

    /// Everything that has a name.
    ///
    /// # Errors
    /// When the log is closed.
    pub async fn catalogue(&self) -> Result<CatalogueReply, Refusal> {
        let known = self.host.shared.call(sponson_replica::Replica::catalogue);
        Ok(catalogue::to_wire(known.await?))
    }

    /// Answers as if events were recorded, and asks back what hardly makes sense. Nothing is
    /// recorded.
    ///
    /// # Errors
    /// When one of them would be refused, the question cannot be asked, or the log is closed.
    pub async fn try_check(&self, request: TryCheckRequest) -> Result<TriedTold, Refusal> {
        trying::try_check(&self.host.shared, request).await
    }

    /// A craft as one walks round it: its sheet, what is on it, the settings of the county.
    ///
    /// # Errors
    /// When no craft of the id is known here, or no boat standard is in force for it.
    pub async fn walk_of(&self, craft: &[u8]) -> Result<WalkOf, Refusal> {
        trying::walk_of(&self.host.shared, craft).await
    }

    /// Checks under way, as [`Local`]'s method of that name.
    ///
    /// # Errors
    /// When there is none of the id that is asked for, or the log is closed.
    pub async fn under_way(&self, request: UnderWayRequest) -> Result<UnderWayReply, Refusal> {
        under_way::list(&self.host.shared, request).await
    }

    /// Begins a check.
    ///
    /// # Errors
    /// When a field cannot be, there are too many, or the disk does not take it.
    pub async fn begin(&self, request: BeginRequest) -> Result<BeginReply, Refusal> {
        under_way::begin(&self.host.shared, request).await
    }

    /// Enters fields of a check under way; they are durable when this returns.
    ///
    /// # Errors
    /// When the check is not open, a field cannot be, or the disk does not take it.
    pub async fn enter(&self, request: EnterRequest) -> Result<EnterReply, Refusal> {
        under_way::enter(&self.host.shared, request).await
    }

    /// Records the events of a check under way and ends it.
    ///
    /// # Errors
    /// When the check is not open, somebody entered something meanwhile, the log refuses an event,
    /// or the disk does not take it.
    pub async fn record_under_way(
        &self,
        request: RecordUnderWayRequest,
    ) -> Result<RecordUnderWayReply, Refusal> {
        under_way::record(&self.host.shared, request).await
    }

    /// Drops a check under way.
    ///
    /// # Errors
    /// When the check is not open, or the disk does not take it.
    pub async fn end_under_way(
        &self,
        request: EndUnderWayRequest,
    ) -> Result<EndUnderWayReply, Refusal> {
        under_way::drop_it(&self.host.shared, request).await
    }

    /// Changes as soon as anything about checks under way does.
    ///
    /// # Errors
    /// Where none are kept: at the county.
    pub fn watch_under_way(&self) -> Result<watch::Receiver<u64>, Refusal> {
        under_way::changes(&self.host.shared)
    }

    /// What this replica is, and how its syncs went.
    ///
    /// # Errors
    /// When the log is closed.
    pub async fn about(&self) -> Result<AboutReply, Refusal> {
        service::about(&self.host).await
    }

    /// Changes as soon as more is held: a station synced, an event was recorded.
    #[must_use]
    pub fn changes(&self) -> watch::Receiver<Held> {
        self.host.shared.held()
    }

    /// The device's clocks, now.
    #[must_use]
    pub fn now(&self) -> Now {
        self.host.shared.clock().now()
    }

    /// So many random bytes.
    #[must_use]
    pub fn draw<const N: usize>(&self) -> [u8; N] {
        self.host.shared.entropy().draw()
    }

    /// Who may use the pages.
    #[must_use]
    pub fn visitors(&self) -> &AsyncMutex<Visitors> {
        &self.visitors
    }

    /// What is served.
    #[must_use]
    pub const fn host(&self) -> &Host {
        &self.host
    }

    /// A connection to the local service in this process, for recording as every command does.
    ///
    /// # Errors
    /// When the pipe cannot be set up.
    pub async fn local(&self) -> Result<Local, ConnectError> {
        within(self.host.clone()).await
    }

    async fn work_out(&self, question: Question, now: Now) -> Result<Arc<Told>, Refusal> {
        let places = self.host.shared.places().map(Path::to_owned);
        let clock = self.host.shared.clock().clone();
        let work = move |replica: &mut _| {
            let given = ask(replica, &question, &now, places.as_deref())?;
            let mut notes = given.notes;
            notes.extend(notes::served(replica, &clock, now.unix_ms));
            let stations = replica.stations(Moment(now.unix_ms)).into_iter();
            let positions = stations.filter_map(|(id, station)| Some((id, station.position?)));
            Ok::<_, Refusal>(Told {
                positions: positions.collect(),
                answer: given.answer,
                ctx: given.ctx,
                notes,
                held: replica.held(),
                at_unix_ms: now.unix_ms,
            })
        };
        Ok(Arc::new(self.host.shared.call(work).await??))
    }

    /// The place of an answer, there or to come; the one that was asked for longest ago goes.
    fn cell(&self, key: Key) -> Cell {
        let mut kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        // What is no more asked for since more is held, or the minute is over.
        kept.retain(|(known, _)| known.held == key.held && known.minute == key.minute);
        let there = kept.iter().position(|(known, _)| *known == key);
        let entry = there.and_then(|index| kept.remove(index));
        let (key, cell) = entry.unwrap_or_else(|| (key, Cell::default()));
        if kept.len() >= KEPT_MAX {
            kept.pop_front();
        }
        kept.push_back((key, Arc::clone(&cell)));
        cell
    }
}
