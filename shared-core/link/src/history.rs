//! The county's past for whoever shows it, commands and pages alike: worked out once for one state of
//! what is held and one minute, and shared by all who ask meanwhile.

use std::collections::{BTreeMap, VecDeque};
use std::sync::{Arc, Mutex, PoisonError};

use sponson_readiness::answer::KnownBy;
use sponson_readiness::engine::{County, NotUnderstood, Question, Station};
use sponson_readiness::history::History;
use sponson_readiness::ids::{ModelId, SubjectId};
use sponson_readiness::moment::Moment;
use sponson_readiness::record::Record;
use sponson_readiness::standard::{Policy, Standard};
use sponson_replica::{Held, Now, Replica};
use sponson_show::Context;
use tokio::sync::OnceCell;

use crate::local::notes;
use crate::refusal::Refusal;
use crate::shared::Shared;

/// Histories kept: that of now, and of some other moment that pages ask about. One of 100,000 events
/// has some tens of MiB.
const KEPT_MAX: usize = 2;

const MINUTE_MS: i64 = 60_000;

/// What happened in a county, what it is judged by, and how to show it.
#[derive(Clone, Debug)]
pub struct HistoryOf {
    /// What happened.
    pub history: Arc<History>,
    /// The records as they are judged at the same moment.
    pub records: Arc<BTreeMap<SubjectId, Record>>,
    /// Boat standards in force, by model.
    pub standards: BTreeMap<ModelId, Standard>,
    /// The policy in force.
    pub policy: Policy,
    /// Stations.
    pub stations: BTreeMap<SubjectId, Station>,
    /// What of the log is not understood, beside what records hold themselves.
    pub not_understood: NotUnderstood,
    /// What it rests on.
    pub known_by: KnownBy,
    /// The moment asked about.
    pub as_of: Moment,
    /// The asker's moment.
    pub now: Moment,
    /// How to show it.
    pub ctx: Context,
    /// What whoever reads it has to know of this county.
    pub notes: Vec<String>,
}

impl HistoryOf {
    /// The county as the engine reads it.
    #[must_use]
    pub fn county(&self) -> County<'_> {
        County {
            policy: &self.policy,
            standards: &self.standards,
            stations: &self.stations,
            records: &self.records,
            not_understood: &self.not_understood,
            known_by: &self.known_by,
        }
    }

    fn read(replica: &mut Replica, as_of: Option<Moment>, now: &Now) -> Self {
        let judged_at = Moment(replica.clock_worth(now).unix_ms);
        let question = Question::general(as_of.unwrap_or(judged_at), judged_at);
        let past = replica.history(&question);
        let names = past.stations.iter();
        Self {
            ctx: Context {
                units: past.policy.units,
                utc_offset_min: match replica.registry().policy() {
                    Some(_) => past.policy.utc_offset_min,
                    None => now.utc_offset_min,
                },
                stations: names.map(|(id, it)| (*id, it.name.clone())).collect(),
                ..Context::default()
            },
            notes: notes(replica, now.unix_ms),
            history: Arc::new(past.history),
            records: Arc::new(past.records),
            standards: past.standards,
            policy: past.policy,
            stations: past.stations,
            not_understood: past.not_understood,
            known_by: past.known_by,
            as_of: past.as_of,
            now: past.now,
        }
    }
}

/// Histories that were worked out, and those that are being.
#[derive(Clone, Debug, Default)]
pub(crate) struct Histories(Arc<Mutex<VecDeque<(Key, Cell)>>>);

type Cell = Arc<OnceCell<Arc<HistoryOf>>>;

/// What makes a history another one.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Key {
    as_of: Option<Moment>,
    held: Held,
    minute: i64,
}

/// What happened until a moment, or until now.
///
/// # Errors
/// When the log is closed.
pub async fn history(shared: &Shared, as_of: Option<Moment>) -> Result<Arc<HistoryOf>, Refusal> {
    let now = shared.clock().now();
    let key = Key {
        as_of,
        held: *shared.held().borrow(),
        minute: now.unix_ms.div_euclid(MINUTE_MS),
    };
    let cell = shared.histories().cell(key);
    let read = move |replica: &mut Replica| Arc::new(HistoryOf::read(replica, as_of, &now));
    let known = cell.get_or_try_init(|| shared.call(read));
    Ok(known.await.map(Arc::clone)?)
}

impl Histories {
    /// The place of a history, there or to come; the one that was asked for longest ago goes.
    fn cell(&self, key: Key) -> Cell {
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
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
