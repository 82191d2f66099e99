//! A station that serves syncs by itself: at once, soon after something was recorded here, and on a
//! schedule. When, is decided in `pace`; this is its shell.
//!
//! However a sync is asked for, by this task or by somebody, there is one at a time.

mod pace;

use std::sync::Arc;

use sponson_proto::service::v1 as wire;
use sponson_readiness::moment::Moment;
use sponson_replica::Replica;
use tokio::sync::{Mutex, MutexGuard, watch};
use tokio::time::Instant;

use super::{Host, HostRole, syncing};
use crate::shared::Shared;
use crate::station::{self, CountyAt, SyncFailure, SyncReport};
use pace::Pace;

/// How the syncs of a running service stand, shared by all who ask for one.
#[derive(Clone, Debug)]
pub struct Syncs(Arc<Inner>);

#[derive(Debug)]
struct Inner {
    alone: Mutex<()>,
    state: watch::Sender<SyncState>,
}

/// How a sync stands.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SyncState {
    /// Whether the service syncs by itself.
    pub by_itself: bool,
    /// Whether one is under way.
    pub now: bool,
    /// When the next one is tried, milliseconds since 1970.
    pub next_unix_ms: Option<i64>,
    /// When the last one ended.
    pub tried_unix_ms: Option<i64>,
    /// Why it did not go through; none when it did, or none was tried.
    pub failed: Option<String>,
}

impl Default for Syncs {
    fn default() -> Self {
        let inner = Inner {
            alone: Mutex::new(()),
            state: watch::Sender::new(SyncState::default()),
        };
        Self(Arc::new(inner))
    }
}

impl Syncs {
    /// How it stands now, and whenever that changes.
    #[must_use]
    pub fn state(&self) -> watch::Receiver<SyncState> {
        self.0.state.subscribe()
    }

    /// Waits until no other sync is under way; while it is held none begins.
    pub(super) async fn begin(&self) -> Under<'_> {
        let alone = self.0.alone.lock().await;
        self.0.state.send_modify(|state| state.now = true);
        Under {
            syncs: self,
            _alone: alone,
        }
    }

    fn next(&self, unix_ms: i64) {
        self.0.state.send_modify(|state| {
            state.by_itself = true;
            state.next_unix_ms = Some(unix_ms);
        });
    }

    /// Nothing is tried by itself any more.
    fn ended(&self) {
        self.0.state.send_modify(|state| {
            state.by_itself = false;
            state.next_unix_ms = None;
        });
    }
}

/// A sync that is under way.
pub(super) struct Under<'s> {
    syncs: &'s Syncs,
    _alone: MutexGuard<'s, ()>,
}

impl Under<'_> {
    /// Notes how it ended.
    pub(super) fn ended(self, unix_ms: i64, done: &Result<SyncReport, SyncFailure>) {
        let failed = done.as_ref().err().map(ToString::to_string);
        self.syncs.0.state.send_modify(|state| {
            state.tried_unix_ms = Some(unix_ms);
            state.failed = failed;
        });
    }
}

impl Drop for Under<'_> {
    fn drop(&mut self) {
        self.syncs.0.state.send_modify(|state| state.now = false);
    }
}

/// Syncs by itself until it is dropped or the log is closed: what was kept by then stays. At the
/// county it does nothing, for ever.
pub async fn by_itself(host: Host) {
    match host.role.clone() {
        HostRole::Station { county, .. } => again_and_again(host, county).await,
        HostRole::County { .. } => std::future::pending().await,
    }
}

async fn again_and_again(host: Host, county: CountyAt) {
    let _told = ToldEnd(host.shared.syncs().clone());
    let begun = Instant::now();
    let now_ms = || u64::try_from(begun.elapsed().as_millis()).unwrap_or(u64::MAX);
    let mut held = host.shared.held();
    let mut pace = Pace::begin(now_ms());
    let Some(mut carried) = recorded(&host.shared).await else {
        return;
    };
    loop {
        tell_next(&host.shared, &pace, now_ms());
        let due = begun + std::time::Duration::from_millis(pace.next_ms());
        tokio::select! {
            () = tokio::time::sleep_until(due) => {}
            changed = held.changed() => {
                if changed.is_err() {
                    return;
                }
                match recorded(&host.shared).await {
                    Some(now) if now > carried => pace.recorded(now_ms()),
                    Some(_) => {}
                    None => return,
                }
                continue;
            }
        }
        let Some(before) = recorded(&host.shared).await else {
            return;
        };
        carried = before;
        let [random] = host.shared.entropy().draw();
        match once(&host, &county).await {
            Ok(_) => pace.went_through(now_ms(), random),
            Err(SyncFailure::Gone(_)) => return,
            Err(SyncFailure::Busy { retry_after, .. }) => {
                pace.failed(now_ms(), Some(retry_after), random);
            }
            Err(failure) => {
                tracing::info!(why = %failure, "the sync did not go through");
                pace.failed(now_ms(), None, random);
            }
        }
    }
}

async fn once(host: &Host, county: &CountyAt) -> Result<SyncReport, SyncFailure> {
    let under = host.shared.syncs().begin().await;
    let done = station::sync(&host.shared, county, &host.identity, |_| {}).await;
    syncing::note(&host.shared, &done).await;
    under.ended(host.shared.clock().now().unix_ms, &done);
    done
}

/// Entries that this device ever wrote; none once the log is closed.
async fn recorded(shared: &Shared) -> Option<u64> {
    shared.call(|replica| replica.recorded()).await.ok()
}

fn tell_next(shared: &Shared, pace: &Pace, now_ms: u64) {
    let wait_ms = pace.next_ms().saturating_sub(now_ms);
    let wait_ms = i64::try_from(wait_ms).unwrap_or(i64::MAX);
    let now = shared.clock().now().unix_ms;
    shared.syncs().next(now.saturating_add(wait_ms));
}

/// Says that nothing is tried any more, however the task ends.
struct ToldEnd(Syncs);

impl Drop for ToldEnd {
    fn drop(&mut self) {
        self.0.ended();
    }
}

/// The other stations and when each was last heard, the newest first.
pub(super) fn heard(replica: &Replica, now_unix_ms: i64) -> Vec<wire::HeardFrom> {
    let own = replica.about().station.map(|(_, name)| name);
    let stations = replica.stations(Moment(now_unix_ms)).into_values();
    let others = stations.filter(|station| Some(&station.name) != own.as_ref());
    let mut heard: Vec<wire::HeardFrom> = others
        .map(|station| wire::HeardFrom {
            station: station.name,
            unix_ms: station
                .last_heard
                .filter(|at| sponson_show::units::print::is_known(*at))
                .map(|at| at.0),
        })
        .collect();
    heard.sort_by_key(|one| std::cmp::Reverse(one.unix_ms));
    heard
}

/// How it stands, as `about` tells it.
pub(super) fn to_wire(state: &SyncState) -> wire::SyncState {
    wire::SyncState {
        by_itself: state.by_itself,
        now: state.now,
        next_unix_ms: state.next_unix_ms,
        tried_unix_ms: state.tried_unix_ms,
        failed: state.failed.clone().unwrap_or_default(),
    }
}
