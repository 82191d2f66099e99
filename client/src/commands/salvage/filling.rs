//! Filling the fresh store: from what was read of the old one, from carry files, from the county.

use std::path::{Path, PathBuf};

use sponson_link::limits::CARRY_BYTES_MAX;
use sponson_link::local::Side;
use sponson_link::station;
use sponson_link::taken_file::{self, TakenFileError};
use sponson_link::{Identity, Shared};
use sponson_log::ids::{CountyId, EventId, Key};
use sponson_replica::{Filled as From, Founding, OwnTail, Refill, Replica, Salvaged, StoreError};

use super::{FRESH, NewKey, swapping};
use crate::error::CommandError;
use crate::surroundings::Surroundings;

/// What is to be done.
pub(super) struct Job {
    /// What was read of the old store.
    pub(super) read: Salvaged,
    /// The device's folder.
    pub(super) data: PathBuf,
    /// Its keys.
    pub(super) identity: Identity,
    /// Carry files.
    pub(super) carry: Vec<PathBuf>,
    /// The county's id.
    pub(super) county_id: CountyId,
    /// Where the county is; none when it is not to be met.
    pub(super) county: Option<Side>,
}

/// What was done.
pub(super) struct Filled {
    /// What was read of the old store.
    pub(super) read: Salvaged,
    /// Events kept again from it.
    pub(super) from_old: u64,
    /// Each carry file, and how many events were new in it or why it was not taken in.
    pub(super) from_carry: Vec<(PathBuf, Result<u64, String>)>,
    /// How the county was met.
    pub(super) met: Met,
    /// Events that were read and do not fit, since what they refer to is lost.
    pub(super) left: u64,
    /// Events held now.
    pub(super) held: u64,
    /// Events that the county has not confirmed.
    pub(super) waiting: u64,
    /// The key that wrote the old store, and its newest event that is held.
    pub(super) old_key: (Key, Option<EventId>),
    /// Whether the device has another key now.
    pub(super) key: NewKey,
    /// What a check of the fresh store found.
    pub(super) wrong: Vec<String>,
}

/// How the county was met.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Met {
    /// It was not to be met.
    NotAsked,
    /// It does not know the device's key yet.
    NotYetAdmitted,
    /// It could not be reached or did not go on to the end.
    Failed(String),
    /// It said all that it holds; so many events were new here.
    ToTheEnd(u64),
}

/// Fills a fresh store beside the old one.
pub(super) async fn fill(
    job: Job,
    surroundings: &mut Surroundings,
) -> Result<Filled, CommandError> {
    let fresh = job.data.join(FRESH);
    let founding = Founding::Station {
        county: job.county_id,
    };
    let key = job.identity.log_key().clone();
    let replica = Replica::create(&fresh, &founding, key)?;
    let (clock, entropy) = (surroundings.clock.clone(), surroundings.entropy.clone());
    let shared = Shared::new(replica, clock, entropy);
    let filled = fill_shared(job, &shared, surroundings).await;
    shared.close().await;
    filled
}

async fn fill_shared(
    job: Job,
    shared: &Shared,
    surroundings: &mut Surroundings,
) -> Result<Filled, CommandError> {
    let now = shared.clock().now().unix_ms;
    let Job {
        read,
        data,
        identity,
        carry,
        county,
        ..
    } = job;
    let old_key = read.whose.map_or(identity.log_key().key(), |it| it.key);
    let is_own = old_key == identity.log_key().key();
    let (read, mut from_old) = refill(shared, read, Refill::Rows).await?;
    let mut from_carry = Vec::new();
    for file in carry {
        let taken = take_in(shared, &file, now).await?;
        from_carry.push((file, taken));
    }
    let mut met = match &county {
        Some(Side::Station(_)) if !is_own => Met::NotYetAdmitted,
        Some(Side::Station(county)) => meet(shared, county, &identity).await?,
        Some(Side::County) | None => Met::NotAsked,
    };
    let (read, late) = refill(shared, read, Refill::All).await?;
    from_old += late;
    if late > 0
        && let (Met::ToTheEnd(before), Some(Side::Station(county))) = (&met, &county)
    {
        let more = meet(shared, county, &identity).await?;
        met = match more {
            Met::ToTheEnd(more) => Met::ToTheEnd(before + more),
            Met::NotAsked | Met::NotYetAdmitted | Met::Failed(_) => more,
        };
    }
    let filled_from = match met {
        Met::ToTheEnd(_) => From::WithCounty,
        Met::NotAsked | Met::NotYetAdmitted | Met::Failed(_) => From::Alone,
    };
    let (read, tail) = with_read(shared, read, move |replica, read| {
        Ok(read.own_tail(&old_key, replica, filled_from))
    })
    .await?;
    let key = match (is_own, tail) {
        (false, _) => NewKey::HadOne,
        (true, OwnTail::Whole) => NewKey::NotNeeded,
        (true, OwnTail::InDoubt(why)) => {
            let new = swapping::new_keys(&data, &surroundings.entropy)?;
            let log_key = new.log_key().clone();
            call(shared, move |replica| replica.take_key(log_key)).await?;
            NewKey::Made(why)
        }
    };
    let mut filled = Filled {
        from_old,
        from_carry,
        met,
        left: 0,
        held: 0,
        waiting: 0,
        old_key: (old_key, None),
        key,
        wrong: Vec::new(),
        read: Salvaged::default(),
    };
    let (read, (left, about, head, wrong)) = with_read(shared, read, move |replica, read| {
        let chain = replica.chains().get(&old_key);
        let heads = chain.into_iter().flat_map(|chain| chain.heads());
        let head = heads.max_by_key(|(_, seq)| **seq).map(|(id, _)| *id);
        let wrong = replica.verify(&mut |_, _| {}).wrong;
        Ok((replica.not_refilled(read), replica.about(), head, wrong))
    })
    .await?;
    filled.read = read;
    filled.left = left;
    (filled.held, filled.waiting) = (about.events, about.waiting);
    (filled.old_key.1, filled.wrong) = (head, wrong);
    Ok(filled)
}

/// Calls the replica; what fails is the store.
async fn call<T: Send + 'static>(
    shared: &Shared,
    work: impl FnOnce(&mut Replica) -> Result<T, StoreError> + Send + 'static,
) -> Result<T, CommandError> {
    Ok(shared.call(work).await??)
}

/// Calls the replica with what was read, and gives that back.
async fn with_read<T: Send + 'static>(
    shared: &Shared,
    read: Salvaged,
    work: impl FnOnce(&mut Replica, &Salvaged) -> Result<T, StoreError> + Send + 'static,
) -> Result<(Salvaged, T), CommandError> {
    call(shared, move |replica| {
        let done = work(replica, &read)?;
        Ok((read, done))
    })
    .await
}

async fn refill(
    shared: &Shared,
    read: Salvaged,
    what: Refill,
) -> Result<(Salvaged, u64), CommandError> {
    let now = shared.clock().now().unix_ms;
    with_read(shared, read, move |replica, read| {
        replica.refill(read, what, now)
    })
    .await
}

/// Takes in one carry file. One that is no use is said and passed over.
async fn take_in(
    shared: &Shared,
    file: &Path,
    now: i64,
) -> Result<Result<u64, String>, CommandError> {
    let bytes = match taken_file::bytes(file, CARRY_BYTES_MAX as u64) {
        Ok(bytes) => bytes,
        Err(TakenFileError::Unreadable(error)) => {
            return Ok(Err(format!("it cannot be read: {error}")));
        }
        Err(TakenFileError::TooLong(bytes)) => {
            return Ok(Err(format!(
                "it has {bytes} bytes; at most {CARRY_BYTES_MAX} are taken in at once: give smaller ones"
            )));
        }
    };
    let taken = shared
        .call(move |replica| replica.carry_in(&bytes, now))
        .await?;
    Ok(taken
        .map(|kept| kept.new.len() as u64)
        .map_err(|error| error.to_string()))
}

/// Meets the county: what was read goes there first, then all that it holds comes.
async fn meet(
    shared: &Shared,
    county: &station::CountyAt,
    identity: &Identity,
) -> Result<Met, CommandError> {
    let held = |replica: &mut Replica| Ok(replica.about().events);
    let before = call(shared, held).await?;
    let met = station::sync(shared, county, identity, |_| {}).await;
    let new = call(shared, held).await?.saturating_sub(before);
    Ok(met.map_or_else(
        |failure| Met::Failed(failure.to_string()),
        |_| Met::ToTheEnd(new),
    ))
}
