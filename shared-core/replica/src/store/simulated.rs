//! A disk in memory, for tests that simulate many replicas and power cuts. It is no store for
//! anybody's events: they are gone when the process ends.
//!
//! Batches that were written and not yet made durable are kept apart, so that a power cut can drop
//! or keep them. The disk outlives the replica that writes to it, as a real one does.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use super::write::Row;

/// A simulated disk; its clones are the same disk.
#[derive(Clone, Debug, Default)]
pub struct SimulatedDisk(Arc<Mutex<Disk>>);

#[derive(Clone, Debug, Default)]
struct Disk {
    durable: BTreeMap<Vec<u8>, Vec<u8>>,
    /// Written and not yet durable, in order.
    written: Vec<Vec<Row>>,
    mark: Option<u64>,
    /// What the mark says if the power goes now: it is never synced.
    mark_before: Option<u64>,
    /// Writes and syncs until the power goes.
    steps_left: Option<u32>,
    /// Rows that were asked for.
    reads: u64,
}

/// What a power cut does to batches that were written and not yet made durable.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Undurable {
    /// They are gone.
    Lost,
    /// They had reached the disk all the same.
    Kept,
}

impl SimulatedDisk {
    /// Lets the power go after so many further writes and syncs: from then on all of them fail.
    pub fn power_goes_after(&self, steps: u32) {
        self.disk().steps_left = Some(steps);
    }

    /// Ends the cut: what is on the disk from now on is what survived it.
    pub fn power_comes_back(&self, undurable: Undurable) {
        let mut disk = self.disk();
        disk.steps_left = None;
        let written = std::mem::take(&mut disk.written);
        if undurable == Undurable::Kept {
            written.into_iter().for_each(|batch| disk.apply(batch));
        } else {
            disk.mark = disk.mark_before;
        }
    }

    /// Another disk with the same bytes, as a backup or a cloned card has.
    #[must_use]
    pub fn copied(&self) -> Self {
        let mut copied = self.disk().clone();
        copied.steps_left = None;
        Self(Arc::new(Mutex::new(copied)))
    }

    /// Keys of the rows that are durable, in order.
    #[must_use]
    pub fn keys(&self) -> Vec<Vec<u8>> {
        self.disk().durable.keys().cloned().collect()
    }

    /// A row that is durable, as it stands there.
    #[must_use]
    pub fn row(&self, key: &[u8]) -> Option<Vec<u8>> {
        self.disk().durable.get(key).cloned()
    }

    /// How many rows were asked for, one by one or in a row, since the disk was made.
    #[must_use]
    pub fn reads(&self) -> u64 {
        self.disk().reads
    }

    /// Puts a row in place as it is, or takes it away: what a damaged disk does, or another program.
    pub fn put(&self, key: &[u8], row: Option<&[u8]>) {
        let row: Row = (key.to_vec(), row.map(<[u8]>::to_vec));
        self.disk().apply(vec![row]);
    }

    pub(super) fn mark(&self) -> Option<u64> {
        self.disk().mark
    }

    pub(super) fn note(&self, events: u64) {
        let mut disk = self.disk();
        disk.mark_before = disk.mark;
        disk.mark = Some(events);
    }

    pub(super) fn get(&self, key: &[u8]) -> Option<sled::IVec> {
        let mut disk = self.disk();
        disk.reads += 1;
        let written = disk.written.iter().rev().flat_map(|it| it.iter().rev());
        let newest = written
            .filter(|(row, _)| row == key)
            .map(|(_, value)| value.as_ref())
            .next();
        let value = newest.unwrap_or_else(|| disk.durable.get(key));
        value.map(|value| sled::IVec::from(value.as_slice()))
    }

    pub(super) fn scan(&self, prefix: &[u8]) -> Vec<(sled::IVec, sled::IVec)> {
        let disk = self.disk();
        let rows = disk.durable.range(prefix.to_vec()..);
        let mut found: BTreeMap<&[u8], &[u8]> = rows
            .take_while(|(key, _)| key.starts_with(prefix))
            .map(|(key, value)| (key.as_slice(), value.as_slice()))
            .collect();
        for (key, value) in disk.written.iter().flatten() {
            match value {
                Some(value) if key.starts_with(prefix) => found.insert(key, value),
                Some(_) | None => found.remove(key.as_slice()),
            };
        }
        let rows = found.into_iter();
        let rows: Vec<_> = rows
            .map(|(key, value)| (key.into(), value.into()))
            .collect();
        drop(disk);
        self.disk().reads += rows.len() as u64;
        rows
    }

    pub(super) fn write(&self, batch: Vec<Row>) -> Result<(), String> {
        let mut disk = self.disk();
        disk.step()?;
        disk.written.push(batch);
        Ok(())
    }

    pub(super) fn make_durable(&self) -> Result<(), String> {
        let mut disk = self.disk();
        disk.step()?;
        for batch in std::mem::take(&mut disk.written) {
            disk.apply(batch);
        }
        Ok(())
    }

    fn disk(&self) -> MutexGuard<'_, Disk> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Disk {
    fn step(&mut self) -> Result<(), String> {
        match &mut self.steps_left {
            None => Ok(()),
            Some(0) => Err("the power is gone".to_owned()),
            Some(left) => {
                *left -= 1;
                Ok(())
            }
        }
    }

    fn apply(&mut self, batch: Vec<Row>) {
        for (key, value) in batch {
            match value {
                Some(value) => self.durable.insert(key, value),
                None => self.durable.remove(&key),
            };
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(key: &[u8], value: Option<&[u8]>) -> Row {
        (key.to_vec(), value.map(<[u8]>::to_vec))
    }

    #[test]
    fn a_power_cut_takes_only_what_was_not_made_durable() {
        for (undurable, value) in [(Undurable::Lost, b"old"), (Undurable::Kept, b"new")] {
            let disk = SimulatedDisk::default();
            disk.write(vec![row(b"m a", Some(b"old")), row(b"m b", Some(b"b"))])
                .expect("there is power");
            disk.make_durable().expect("there is power");
            disk.power_goes_after(1);
            disk.write(vec![row(b"m a", Some(b"new")), row(b"m b", None)])
                .expect("there is power");
            disk.make_durable().expect_err("the power is gone");
            assert_eq!(disk.get(b"m a").as_deref(), Some(b"new".as_slice()));
            assert_eq!(disk.scan(b"m").len(), 1);
            disk.power_comes_back(undurable);
            assert_eq!(disk.get(b"m a").as_deref(), Some(value.as_slice()));
            assert_eq!(disk.scan(b"m").len(), usize::from(value == b"old") + 1);
            disk.make_durable().expect("there is power");
        }
    }
}
