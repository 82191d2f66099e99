//! The county that comes back: an old copy of its folder in its place, a backup restored under
//! another log, and the working key that the root admits afterwards.
//!
//! What the programs do around the replica is done here as they do it (`restore`, `renew-key`),
//! without files. What only the county held of what came in since is gone; what a station holds
//! comes back.

use std::collections::BTreeMap;

use sponson_log::begun::{BegunReason, LogBegun, Voucher};
use sponson_log::event::{Clock, SignedEvent};
use sponson_log::ids::{EventId, Key, LogId};
use sponson_log::sign::DeviceKey;
use sponson_proto::event::v1::{self as wire, KeyEndReason, Kind, Role};
use sponson_proto::store::v1::ChunkSource;
use sponson_proto::sync::v1::county_entry::What;
use sponson_replica::{AppendError, Founding, Now, Replica, SimulatedDisk, Undurable};

use crate::county::draws;
use crate::invariants::Held;
use crate::machine::{Saved, key};
use crate::said;
use crate::world::World;

/// Working keys after the first have these seeds: none of a device, and not the stranger's.
const RENEWED: u8 = 150;

impl World {
    /// Notes what came of one round with a county that may have gone back.
    pub(crate) fn came_back(&mut self, begun: bool, back: usize) {
        if begun {
            self.is_blind = false;
            self.tally.count("county began another log");
            self.say("county: sees that it was put back, and begins another log".to_owned());
        }
        if back > 0 {
            self.tally.add("events given back", back as u64);
        }
    }

    pub(crate) fn county_backs_up(&mut self) {
        if self.county.replica.is_some() {
            self.county_saved = Some(self.county.saved());
            self.say("county: is backed up".to_owned());
        }
    }

    /// Somebody puts an old copy of the county's folder in its place.
    pub(crate) fn county_is_put_back(&mut self) -> Held {
        let Some(saved) = self.goes_back() else {
            return Ok(());
        };
        self.tally.count("county put back to an old copy");
        self.say("county: an old copy takes its place".to_owned());
        self.county.go_back(saved);
        self.is_blind = true;
        self.starts(None)
    }

    /// The county is brought back from a backup, with another working key or, without the root
    /// key, under the one that it had, which signs nothing then.
    pub(crate) fn county_is_restored(&mut self) -> Held {
        let Some(saved) = self.goes_back() else {
            return Ok(());
        };
        let renews = self.chance.one_in(2);
        self.tally.count("county restored from a backup");
        self.say(format!("county: restored, with another key: {renews}"));
        self.county.power_off();
        self.county.clock.boot(self.now);
        let now = self.county.now(self.now);
        let (log, writer) = draws(&mut self.drawn);
        let seed = if renews { self.next_seed() } else { saved.seed };
        let comes_back = ComesBack {
            log,
            writer: if renews { key(seed) } else { writer },
            own: key(seed),
            renews,
        };
        let (disk, replica) = restored(&saved, &comes_back, &now)?;
        self.county.go_back(Saved {
            seed,
            disk,
            ..saved
        });
        self.county.replica = Some(replica);
        self.is_blind = false;
        Ok(())
    }

    /// What the county goes back to. Devices hear from another county than the one they asked.
    fn goes_back(&mut self) -> Option<Saved> {
        let saved = self.county_saved.as_ref()?;
        let disk = saved.disk.copied();
        let saved = Saved {
            disk,
            ..saved.clone()
        };
        self.went_back += 1;
        for device in &mut self.devices {
            if let Some(session) = &mut device.session {
                session.is_disturbed = true;
            }
        }
        Some(saved)
    }

    /// Whether a device followed a log of the county as far as its first entries, under a working
    /// key that the county has forgotten and whose admission the device does not hold yet: it can
    /// show what was signed, not that the key is one. It refuses to go back, and tells the lead.
    pub(crate) fn shows_what_the_county_cannot_know(&self, device: usize) -> bool {
        let replicas = (&self.county.replica, &self.devices[device].machine.replica);
        let (Some(county), Some(replica)) = replicas else {
            return false;
        };
        let has = replica.station_has();
        let is_unknown = |key: &Key| !county.registry().keys().contains_key(key);
        // A checkpoint by a key of which the device does not hold the admission is not kept by it.
        let stands_alone = has.log.is_some() && has.log != county.log_id();
        let unknown = has
            .checkpoint
            .map_or(stands_alone, |shown| is_unknown(&shown.key));
        self.went_back > 0 && unknown
    }

    fn next_seed(&mut self) -> u8 {
        self.renewed += 1;
        RENEWED + self.renewed
    }

    /// The root admits another working key: always when the county signs nothing, now and then
    /// otherwise.
    pub(crate) fn county_renews_its_key(&mut self) -> Held {
        let Some(county) = &self.county.replica else {
            return Ok(());
        };
        if !county.is_paused() && !self.chance.one_in(4) {
            return Ok(());
        }
        let chain = county.chains().get(&county.key());
        let heads = chain.into_iter().flat_map(|chain| chain.heads());
        let heads: Vec<(u64, EventId)> = heads.map(|(id, seq)| (*seq, *id)).collect();
        let parted = chain.and_then(sponson_log::chains::Chain::parted_at);
        // Where it parts the lead says which branch is right, and may be wrong.
        let good = self
            .chance
            .pick(&heads)
            .copied()
            .filter(|_| parted.is_some());
        let seed = self.next_seed();
        let now = self.county.now(self.now);
        let county = self.county.up();
        let events = renewal(county, key(seed).key(), good, &now);
        self.tally.count("working key renewed");
        if good.is_some() {
            self.tally.count("working key ended where its chain parts");
        }
        self.say(format!("county: the root admits another key, {seed}"));
        self.county.next_seed = Some(seed);
        let ids: Vec<EventId> = events.iter().map(SignedEvent::id).collect();
        match self.county.up().renew_key(key(seed), events, &now) {
            Ok(()) => {
                self.county.seed = seed;
                self.county.next_seed = None;
                self.county.acknowledged.extend(ids);
                Ok(())
            }
            Err(error) => {
                self.county.failed(&error)?;
                self.tally.count("power cut in a write");
                self.lost_power(None);
                Ok(())
            }
        }
    }

    /// Whether the county signs no event now; then it refuses to.
    pub(crate) fn county_is_paused(&mut self) -> Result<bool, String> {
        let now = self.county.now(self.now);
        let county = self.county.up();
        if !county.is_paused() {
            return Ok(false);
        }
        self.tally
            .count("county records nothing while its key is in doubt");
        match self.county.up().append(said::policy(), &now) {
            Err(AppendError::Paused) => Ok(true),
            other => Err(format!(
                "the county recorded with a key in doubt: {other:?}"
            )),
        }
    }
}

/// How a county comes back from a backup.
struct ComesBack {
    log: LogId,
    /// Who writes the first leaf.
    writer: DeviceKey,
    /// The key that it goes on with.
    own: DeviceKey,
    /// Whether the root admits that key.
    renews: bool,
}

/// The store that a restore makes, as `restore` of the county's program does it.
fn restored(
    saved: &Saved,
    comes_back: &ComesBack,
    now: &Now,
) -> Result<(SimulatedDisk, Replica), String> {
    let told = |error: &dyn std::fmt::Display| format!("the county is not restored: {error}");
    saved.disk.power_comes_back(Undurable::Lost);
    let old = Replica::open_simulated(&saved.disk, key(saved.seed));
    let old = old.map_err(|error| told(&error))?;
    let shown = old.checkpoint(now.unix_ms).ok_or("it is no county")?;
    let begun = LogBegun {
        log: comes_back.log,
        old_log: shown.log,
        old_tree: shown.tree(),
        reason: BegunReason::Restored,
        vouched_by: None,
    };
    let own = key(saved.seed);
    let voucher = if comes_back.renews {
        Voucher::Itself
    } else {
        Voucher::Working(&own)
    };
    let begun = begun.sign(said::county_id(), &comes_back.writer, voucher, clock(now));
    let begun = begun.map_err(|error| told(&error))?;
    let founding = Founding::County {
        county: said::county_id(),
        root: said::root_key(),
        log: comes_back.log,
    };
    let disk = SimulatedDisk::default();
    let replica = Replica::create_simulated(&disk, &founding, comes_back.own.clone());
    let mut replica = replica.map_err(|error| told(&error))?;
    let mut keep = |events: Vec<SignedEvent>, times: &BTreeMap<EventId, i64>| {
        let kept = replica.keep_stored(events, times, ChunkSource::Carry, now.unix_ms);
        let kept = kept.map_err(|error| told(&error))?;
        let refused = kept.refused.first().map(|refused| &refused.detail);
        refused.map_or(Ok(()), |detail| Err(told(detail)))
    };
    keep(vec![begun], &BTreeMap::new())?;
    let mut times = BTreeMap::new();
    let mut placed = Vec::new();
    for entry in old.entries(0, usize::MAX, &|_| false) {
        let Some(What::Event(event)) = entry.what else {
            return Err(told(&"an entry comes without its event"));
        };
        let event = SignedEvent::open(event).map_err(|error| told(&error))?;
        times.insert(event.id(), entry.received_unix_ms);
        placed.push(event);
    }
    keep(placed, &times)?;
    if comes_back.renews {
        let key = comes_back.own.key();
        let admission = admission(&replica, (old.key(), None), root_place(&replica), key, now);
        let kept = replica.keep(vec![admission], ChunkSource::Carry, now.unix_ms);
        kept.map_err(|error| told(&error))?;
    }
    Ok((disk, replica))
}

/// What `renew-key` has the root sign: the admission, and where the old key's chain parts its end.
fn renewal(
    county: &Replica,
    new: Key,
    good: Option<(u64, EventId)>,
    now: &Now,
) -> Vec<SignedEvent> {
    let old = county.key();
    let place = root_place(county);
    let Some((seq, last)) = good else {
        return vec![admission(county, (old, None), place, new, now)];
    };
    let ended = wire::KeyEnded {
        key: old.to_bytes(),
        last_good: last.to_bytes(),
        last_good_seq: seq,
        reason: KeyEndReason::Replaced.into(),
    };
    let ended = said::by_root(place, Kind::KeyEnded, &ended, now.unix_ms);
    let after = Some((ended.header().seq, ended.id()));
    let admission = admission(county, (old, Some(last)), after, new, now);
    vec![ended, admission]
}

fn admission(
    county: &Replica,
    (old, head): (Key, Option<EventId>),
    after: Option<(u64, EventId)>,
    new: Key,
    now: &Now,
) -> SignedEvent {
    let newest = county.chains().get(&old).into_iter();
    let newest = newest.flat_map(|chain| chain.heads());
    let newest = newest.max_by_key(|(_, seq)| **seq).map(|(id, _)| *id);
    let admitted = wire::KeyAdmitted {
        key: new.to_bytes(),
        roles: vec![Role::County.into(), Role::Lead.into()],
        replaces_key: old.to_bytes(),
        replaces_head: head.or(newest).map(EventId::to_bytes).unwrap_or_default(),
        device: "county".to_owned(),
        epoch: 2,
        ..wire::KeyAdmitted::default()
    };
    said::by_root(after, Kind::KeyAdmitted, &admitted, now.unix_ms)
}

/// The newest event of the root key that is held.
fn root_place(county: &Replica) -> Option<(u64, EventId)> {
    let chain = county.chains().get(&said::root_key())?;
    let newest = chain.heads().iter().max_by_key(|(_, seq)| **seq);
    newest.map(|(id, seq)| (*seq, *id))
}

const fn clock(now: &Now) -> Clock {
    Clock {
        unix_ms: now.unix_ms,
        utc_offset_min: now.utc_offset_min,
        boot_id: now.boot_id,
        monotonic_ms: now.monotonic_ms,
    }
}
