//! The device's clock against the county's: what a sync measured of it, what it is worth now, and
//! which moments a question asked by it is judged at.
//!
//! Reads no clock: the device's clocks are handed in with every question and entry.

use std::collections::BTreeMap;

use bytes::Bytes;
use sponson_log::ids::SubjectId;
use sponson_log::sync::program::Program;
use sponson_proto::store::v1::meta_row::What;
use sponson_proto::store::v1::{DisownedMeta, OffsetMeta, StationClockMeta};
use sponson_readiness::answer::{AskerClock, CountyAnswer};
use sponson_readiness::engine::Question;
use sponson_readiness::moment::{CLOCK_TOLERANCE_MS, Moment};

use super::Replica;
use crate::errors::{RowError, StoreError};
use crate::index::{Disowned, is_after, is_same_clock};
use crate::store::Store;
use crate::store::write::Chunk;
use crate::values::{ClockOffset, Now, StationClock};

/// How far a county's clock may stand before the newest time that it has shown: as far as the county
/// itself takes at its start, ten minutes.
const COUNTY_BEHIND_MAX_MS: i64 = 10 * 60 * 1000;

/// What a device's clock is worth at one moment.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ClockWorth {
    /// What is known against it.
    pub doubt: AskerClock,
    /// The time by the best that is known here, milliseconds since 1970.
    pub unix_ms: i64,
}

impl Replica {
    /// What this device's clock is worth, by what the county has shown and by the count since the
    /// device was started, which nobody sets.
    #[must_use]
    pub fn clock_worth(&self, now: &Now) -> ClockWorth {
        let by = |doubt, unix_ms| ClockWorth { doubt, unix_ms };
        let device = now.unix_ms;
        if self.is_county() {
            return by(AskerClock::NotDoubted, device);
        }
        if let Some(county) = self.county_time_by_count(now) {
            let county_minus_device_ms = county.saturating_sub(device);
            let doubt = AskerClock::Off {
                county_minus_device_ms,
            };
            return if is_off(county_minus_device_ms) {
                by(doubt, county)
            } else {
                by(AskerClock::NotDoubted, device)
            };
        }
        let newest = self.newest_shown().unwrap_or(i64::MIN);
        let behind_ms = newest.saturating_sub(device);
        if behind_ms > CLOCK_TOLERANCE_MS {
            return by(AskerClock::BeforeCounty { behind_ms }, newest);
        }
        if let Some(offset) = self.offset.filter(|it| is_off(it.county_minus_device_ms)) {
            let county_minus_device_ms = offset.county_minus_device_ms;
            let other = device.saturating_add(county_minus_device_ms);
            let doubt = AskerClock::WasOff {
                county_minus_device_ms,
                other: Moment(other.max(newest)),
            };
            return by(doubt, device);
        }
        self.set_in_this_start(now, newest)
            .map_or_else(|| by(AskerClock::NotDoubted, device), |it| by(it, device))
    }

    /// Whether what was recorded since this start shows that the clock was set since.
    fn set_in_this_start(&self, now: &Now, newest: i64) -> Option<AskerClock> {
        let counted = i64::try_from(now.monotonic_ms).unwrap_or(i64::MAX);
        let apart = now.unix_ms.saturating_sub(counted);
        let (least, most) = self.index.starts.apart_ms(&self.key(), &now.boot_id)?;
        let farther = if apart.abs_diff(least) > apart.abs_diff(most) {
            least
        } else {
            most
        };
        let other = counted.saturating_add(farther);
        (!is_same_clock(apart, farther)).then(|| AskerClock::Changed {
            by_ms: apart.saturating_sub(farther),
            other: Moment(other.max(newest)),
        })
    }

    /// Answers a question that this device asks now by its own clock: at the time that is known
    /// best, and where two are possible each craft at both, so that the worse counts.
    ///
    /// A moment to judge that is not now stays as it is asked for.
    #[must_use]
    pub fn ask_by_clock(&mut self, question: &Question, now: &Now) -> CountyAnswer {
        let worth = self.clock_worth(now);
        let mut answer = self.ask(&at(question, Moment(worth.unix_ms)));
        if let Some(other) = worth.doubt.other() {
            let other = self.ask(&at(question, other));
            worse(&mut answer, other);
        }
        answer.asked.clock = worth.doubt;
        answer
    }

    /// The county's time, by what the last sync showed and what was counted since, when the device
    /// was not started again in between.
    fn county_time_by_count(&self, now: &Now) -> Option<i64> {
        let offset = self.offset?;
        let measured = offset.measured;
        let since = now.monotonic_ms.checked_sub(measured.monotonic_ms)?;
        if measured.boot_id != now.boot_id {
            return None;
        }
        let then = measured
            .unix_ms
            .checked_add(offset.county_minus_device_ms)?;
        then.checked_add(i64::try_from(since).ok()?)
    }

    /// The county's time as it was shown last: what it signed last, else the newest entry. It goes
    /// back only where somebody at the county said that its clock had run ahead
    /// ([`Self::say_clock_is_right`]).
    #[must_use]
    pub fn newest_shown(&self) -> Option<i64> {
        // Where a sync was cut the newest that is signed reaches further than what is held.
        let signed = self.ahead.as_ref().or(self.checkpoint.as_ref());
        let signed = signed.map(|checkpoint| checkpoint.unix_ms);
        signed.or_else(|| self.index.places.last_received())
    }

    /// How many entries of the county log were stored at times that are still to come.
    #[must_use]
    pub fn stored_to_come(&self, now: Moment) -> u64 {
        let places = &self.index.places;
        if !places.is_any_after(now) {
            return 0;
        }
        let to_come = places.all().iter();
        to_come.filter(|(_, at)| is_after(*at, now)).count() as u64
    }

    /// At the county: when it stored its oldest entry.
    #[must_use]
    pub const fn oldest_stored(&self) -> Option<i64> {
        self.index.places.first_received()
    }

    /// At the county: takes somebody's word, durably, that its clock is right although it stands
    /// before the newest entry. What was stored later than now was stored by a clock that ran ahead;
    /// it keeps its times, and from now on nothing more is held at them. Says how many entries there
    /// are of that sort.
    ///
    /// # Errors
    /// When the store fails, or this is no county.
    pub fn say_clock_is_right(&mut self, now_unix_ms: i64) -> Result<u64, StoreError> {
        if !self.is_county() {
            return Err(StoreError::NotTheCounty);
        }
        let places = self.index.places.all().iter();
        let ahead = places.filter(|(_, received)| *received > now_unix_ms);
        let ahead = ahead.count() as u64;
        if ahead == 0 {
            return Ok(0);
        }
        let disowned = Disowned {
            first: 0,
            end: self.index.places.size(),
            said_unix_ms: now_unix_ms,
        };
        let mut chunk = Chunk::default();
        chunk.meta(b"disowned", disowned_row(disowned));
        self.store.write(chunk)?;
        self.index.places.disown(disowned);
        Ok(ahead)
    }

    /// At the county: takes back, durably, when stations were heard at times that are still to come,
    /// so that nobody believes them once the time has come. They were heard at some time since the
    /// county began, and count as heard then until they are heard again.
    ///
    /// # Errors
    /// When the store fails.
    pub fn forget_heard_to_come(&mut self, now_unix_ms: i64) -> Result<(), StoreError> {
        let Some(oldest) = self.oldest_stored().filter(|_| self.is_county()) else {
            return Ok(());
        };
        let to_come = self.heard_to_come(Moment(now_unix_ms)).into_keys();
        self.note_heard(&to_come.map(|station| (station, oldest)).collect())
    }

    /// Notes, durably, a sync with the county and what it showed of the device's clock.
    ///
    /// A county whose clock stands before what it has shown itself is wrong, and says nothing against
    /// a device's: else one flat battery there would have every station judge as of 1970.
    ///
    /// # Errors
    /// When the store fails.
    pub fn note_sync(&mut self, offset: ClockOffset) -> Result<(), StoreError> {
        if is_off(offset.county_minus_device_ms) && self.county_is_behind(offset) {
            return Ok(());
        }
        let mut chunk = Chunk::default();
        let row = OffsetMeta {
            county_minus_device_ms: offset.county_minus_device_ms,
            round_trip_ms: offset.round_trip_ms,
            measured_unix_ms: offset.measured.unix_ms,
            boot_id: Bytes::copy_from_slice(&offset.measured.boot_id),
            monotonic_ms: offset.measured.monotonic_ms,
        };
        chunk.meta(b"offset", What::Offset(row));
        self.store.write(chunk)?;
        self.offset = Some(offset);
        Ok(())
    }

    fn county_is_behind(&self, offset: ClockOffset) -> bool {
        let device = offset.measured.unix_ms;
        let county = device.saturating_add(offset.county_minus_device_ms);
        let newest = self.newest_shown();
        newest.is_some_and(|newest| newest.saturating_sub(county) > COUNTY_BEHIND_MAX_MS)
    }

    /// At the county: notes what the clock of a station said that was heard directly; durably when
    /// that is news, so that a sync of many chunks does not write it with each.
    ///
    /// # Errors
    /// When the store fails.
    pub fn note_station_clock(
        &mut self,
        station: SubjectId,
        clock: StationClock,
    ) -> Result<(), StoreError> {
        let is_news = self.station_clocks.get(&station).is_none_or(|known| {
            let apart = known.apart_ms().abs_diff(clock.apart_ms());
            let since = known.received_unix_ms.abs_diff(clock.received_unix_ms);
            apart >= CLOCK_TOLERANCE_MS.unsigned_abs() / 2
                || since >= CLOCK_NEWS_MS
                || known.program != clock.program
        });
        if !is_news {
            return Ok(());
        }
        let mut chunk = Chunk::default();
        let row = StationClockMeta {
            sent_unix_ms: clock.sent_unix_ms,
            received_unix_ms: clock.received_unix_ms,
            engine_version: clock.program.engine_version,
            program_version: clock.program.version.clone(),
        };
        self.station_clocks.insert(station, clock);
        chunk.meta(&station_clock_name(station), What::StationClock(row));
        self.store.write(chunk)
    }
}

/// How long what a station's clock said is no news while it stays the same: an hour. A sync brings
/// it with every chunk, up to one in 10 s; so it is written once where it would be 360 times.
const CLOCK_NEWS_MS: u64 = 3_600_000;

/// Whether a difference is more than a clock may have without a word: as far as a claimed time may
/// lie outside its interval. No rule counts in less than an hour, so it changes no answer.
fn is_off(difference_ms: i64) -> bool {
    difference_ms.unsigned_abs() > CLOCK_TOLERANCE_MS.unsigned_abs()
}

/// A question as asked at another moment.
pub(super) fn at(question: &Question, now: Moment) -> Question {
    let as_of = if question.as_of == question.now {
        now
    } else {
        question.as_of
    };
    Question {
        as_of,
        now,
        ..question.clone()
    }
}

/// Takes over every craft that another answer to the same question finds worse, with what is
/// short or overdue on it then.
pub(super) fn worse(answer: &mut CountyAnswer, mut other: CountyAnswer) {
    if let (Some(callout), Some(other)) = (&mut answer.callout, other.callout.take()) {
        callout.worse(other);
    }
    let can_go = |it: &CountyAnswer| it.together.as_ref().map(|together| together.craft.len());
    if can_go(&other) < can_go(answer) {
        answer.together.clone_from(&other.together);
    }
    for craft in other.craft {
        let known = answer.craft.iter_mut().find(|known| known.id == craft.id);
        let Some(known) = known.filter(|known| known.readiness < craft.readiness) else {
            continue;
        };
        answer.missing_kit.retain(|it| it.number != craft.number);
        answer.overdue.retain(|it| it.number != craft.number);
        let missing = other.missing_kit.iter();
        let missing = missing.filter(|it| it.number == craft.number);
        answer.missing_kit.extend(missing.cloned());
        let overdue = other.overdue.iter();
        let overdue = overdue.filter(|it| it.number == craft.number);
        answer.overdue.extend(overdue.cloned());
        *known = craft;
    }
}

pub(super) const fn disowned_row(disowned: Disowned) -> What {
    What::Disowned(DisownedMeta {
        first: disowned.first,
        end: disowned.end,
        said_unix_ms: disowned.said_unix_ms,
    })
}

pub(super) fn read_disowned(store: &Store) -> Result<Option<Disowned>, RowError> {
    let Some(What::Disowned(row)) = store.meta(b"disowned")? else {
        return Ok(None);
    };
    Ok(Some(Disowned {
        first: row.first,
        end: row.end,
        said_unix_ms: row.said_unix_ms,
    }))
}

fn station_clock_name(station: SubjectId) -> Vec<u8> {
    [b"clock".as_slice(), station.as_bytes()].concat()
}

pub(super) fn read_station_clocks(
    store: &Store,
) -> Result<BTreeMap<SubjectId, StationClock>, RowError> {
    let rows = store.metas(b"clock")?.into_iter();
    let clocks = rows.filter_map(|(name, what)| {
        let What::StationClock(row) = what else {
            return None;
        };
        let clock = StationClock {
            sent_unix_ms: row.sent_unix_ms,
            received_unix_ms: row.received_unix_ms,
            program: Program::said(row.engine_version, &row.program_version),
        };
        Some((SubjectId::parse("station", &name).ok()?, clock))
    });
    Ok(clocks.collect())
}

/// A measurement of which the start is not known proves nothing later: it is given a start that no
/// device has.
pub(super) fn read_offset(store: &Store) -> Result<Option<ClockOffset>, RowError> {
    let Some(What::Offset(offset)) = store.meta(b"offset")? else {
        return Ok(None);
    };
    let measured = Now {
        unix_ms: offset.measured_unix_ms,
        utc_offset_min: 0,
        boot_id: offset.boot_id.as_ref().try_into().unwrap_or_default(),
        monotonic_ms: match offset.boot_id.len() {
            16 => offset.monotonic_ms,
            _ => u64::MAX,
        },
    };
    Ok(Some(ClockOffset {
        county_minus_device_ms: offset.county_minus_device_ms,
        round_trip_ms: offset.round_trip_ms,
        measured,
    }))
}
