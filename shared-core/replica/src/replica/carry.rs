//! Writing carry files: the county log as held, and what it does not prove.

use sponson_log::carry::{MAGIC, frame};
use sponson_log::checkpoint::Checkpoint;
use sponson_log::sync::station::Last;
use sponson_proto::carry::v1::carry_record::What;
use sponson_proto::carry::v1::{CarryEnd, CarryRecord, CarryStart, CountyRun, EventRun};
use sponson_proto::sync::v1::county_entry::What as EntryWhat;

use super::Replica;

/// Bytes of events in one record: a quarter of the greatest record, so that one large event more
/// still fits.
const RUN_BYTES: usize = 256 * 1024;

/// What a carry file holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CarryScope {
    /// The county log as held, and what it does not prove.
    All,
    /// Only what the county log, as held, does not prove.
    New,
}

impl Replica {
    /// Writes a carry file, piece by piece. Says how many events it holds.
    pub fn carry_out(
        &self,
        scope: CarryScope,
        now_unix_ms: i64,
        write: &mut dyn FnMut(Vec<u8>),
    ) -> u64 {
        write(MAGIC.to_vec());
        let mut put = |what| write(frame(&CarryRecord { what: Some(what) }));
        put(What::Start(CarryStart {
            county_id: self.county.to_bytes(),
            written_by: self.key().to_bytes(),
            unix_ms: now_unix_ms,
        }));
        let mut events = 0;
        let checkpoint = match scope {
            CarryScope::All => self
                .checkpoint(now_unix_ms)
                .or_else(|| self.checkpoint.clone()),
            CarryScope::New => None,
        };
        if let Some(checkpoint) = &checkpoint {
            events += self.carry_county_runs(checkpoint, &mut put);
        }
        if scope == CarryScope::All {
            events += self.carry_beyond(checkpoint.as_ref(), &mut put);
        }
        let mut from = 0;
        loop {
            let (unproven, last) = self.unproven(from, RUN_BYTES);
            let run: Vec<_> = unproven.into_iter().map(|(_, event)| event).collect();
            from += run.len() as u64;
            if !run.is_empty() {
                put(What::EventRun(EventRun { events: run }));
            }
            if last == Last::Yes {
                break;
            }
        }
        events += from;
        put(What::End(CarryEnd {
            checkpoint: checkpoint.map(|checkpoint| checkpoint.to_wire().clone()),
            events,
        }));
        events
    }

    /// Entries of the county log that are held and that no checkpoint reaches yet, since a sync was
    /// cut: as events, for what is recorded here refers to them.
    fn carry_beyond(&self, checkpoint: Option<&Checkpoint>, put: &mut dyn FnMut(What)) -> u64 {
        let first = checkpoint.map_or(0, |checkpoint| checkpoint.size);
        let mut next = first;
        loop {
            let entries = self.entries(next, RUN_BYTES, &|_| false);
            if entries.is_empty() {
                return next - first;
            }
            next += entries.len() as u64;
            let events = entries.into_iter().filter_map(|entry| match entry.what {
                Some(EntryWhat::Event(event)) => Some(event),
                Some(EntryWhat::HeldEventId(_)) | None => None,
            });
            put(What::EventRun(EventRun {
                events: events.collect(),
            }));
        }
    }

    fn carry_county_runs(&self, checkpoint: &Checkpoint, put: &mut dyn FnMut(What)) -> u64 {
        let mut first = 0;
        while first < checkpoint.size {
            let mut entries = self.entries(first, RUN_BYTES, &|_| false);
            let left = usize::try_from(checkpoint.size - first).unwrap_or(usize::MAX);
            entries.truncate(left);
            if entries.is_empty() {
                break;
            }
            let count = entries.len() as u64;
            put(What::CountyRun(CountyRun {
                log_id: checkpoint.log.to_bytes(),
                first,
                entries,
            }));
            first += count;
        }
        first
    }
}
