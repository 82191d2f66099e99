//! Looking after a store while it is in use: every event read and verified again, a few at a time,
//! and how much of the disk it takes. Mends nothing.

use std::path::PathBuf;

use prost::Message as _;
use sponson_log::tree::{Edge, leaf_hash};

use super::Replica;
use crate::salvage::reading;
use crate::values::Upkeep;

/// Lines of damage that are kept: more help nobody.
const DAMAGE_LINES_MAX: usize = 20;

/// A check that goes on in the background.
#[derive(Debug, Default)]
pub(super) struct Scrub {
    next: u64,
    bytes: u64,
    found: Vec<String>,
    /// When the last pass ended, and how many bytes of events it read.
    passed: Option<(i64, u64)>,
    /// Found in the last pass that ended.
    damage: Vec<String>,
    /// Found in the last copy of the files.
    disk: Vec<String>,
}

/// A copy of a store's files, with how many events must be in it.
#[derive(Debug)]
pub struct DiskCopy {
    folder: PathBuf,
    events: u64,
}

impl DiskCopy {
    /// Reads every event in it and removes it; a line for each thing that is wrong. Takes as long
    /// as opening the store, and needs no replica meanwhile.
    #[must_use]
    pub fn check(self) -> Vec<String> {
        let lines = match reading::read(&self.folder, Some(self.events)) {
            Ok(read) => {
                let mut lines = read.wrong.clone();
                if read.missing() > 0 {
                    let missing = read.missing();
                    lines.push(format!("{missing} events cannot be read from the disk"));
                }
                lines
            }
            // That says nothing of the store.
            Err(error) => {
                tracing::warn!("the copy for a check was not opened: {error}");
                Vec::new()
            }
        };
        if let Err(error) = std::fs::remove_dir_all(&self.folder) {
            tracing::warn!("the copy for a check stays: {error}");
        }
        lines
    }
}

/// How far a check in the background is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scrubbed {
    /// There is more to check.
    More,
    /// Everything was checked once.
    Pass,
}

impl Replica {
    /// Reads and verifies the next few events again; at the end the county log too.
    pub fn scrub(&mut self, events_max: u64, now_unix_ms: i64) -> Scrubbed {
        let end = self
            .index
            .size()
            .min(self.scrub.next.saturating_add(events_max));
        for number in self.scrub.next..end {
            match self.scrub_event(number) {
                Ok(bytes) => self.scrub.bytes = self.scrub.bytes.saturating_add(bytes),
                Err(line) => self.found(line),
            }
        }
        self.scrub.next = end;
        if end < self.index.size() {
            return Scrubbed::More;
        }
        if let Err(line) = self.scrub_places() {
            self.found(line);
        }
        let pass = std::mem::take(&mut self.scrub);
        self.scrub.passed = Some((now_unix_ms, pass.bytes));
        self.scrub.disk = pass.disk;
        self.scrub.damage = pass.found;
        Scrubbed::Pass
    }

    fn found(&mut self, line: String) {
        tracing::error!(store.damage = %line, "the store is damaged: {}", crate::REMEDY);
        if self.scrub.found.len() < DAMAGE_LINES_MAX {
            self.scrub.found.push(line);
        }
    }

    fn scrub_event(&self, number: u64) -> Result<u64, String> {
        let event = self
            .store
            .event(number)
            .map_err(|error| error.to_string())?;
        let known = self.index.at(number).map(|known| known.id);
        if known != Some(event.id()) {
            return Err(format!("event {number} is another than when it was kept"));
        }
        let verified = event.verify();
        verified.map_err(|error| format!("event {number} ({}): {error}", event.id()))?;
        Ok(event.to_wire().encoded_len() as u64)
    }

    fn scrub_places(&self) -> Result<(), String> {
        let places = self.store.places().map_err(|error| error.to_string())?;
        let mut edge = Edge::default();
        for (number, received) in places {
            let known = self.index.at(number);
            let known =
                known.ok_or_else(|| format!("event {number} has a place and is missing"))?;
            edge.append(leaf_hash(&known.id, received));
        }
        if edge.root() == self.tree().edge().root() {
            Ok(())
        } else {
            Err("places in the county log are others than when they were kept".to_owned())
        }
    }

    /// A copy of the store's files: what is read through the open engine comes from its memory, and
    /// a file that went bad would only show at the next start. None when there is no room for one.
    #[must_use]
    pub fn copy_for_check(&self) -> Option<DiskCopy> {
        let events = self.index.size();
        let folder = self.store.copy_for_check()?;
        Some(DiskCopy { folder, events })
    }

    /// Notes what the check of a copy found.
    pub fn note_disk(&mut self, lines: Vec<String>) {
        self.scrub.disk.clear();
        for line in lines {
            tracing::error!(store.damage = %line, "the store is damaged: {}", crate::REMEDY);
            if self.scrub.disk.len() < DAMAGE_LINES_MAX {
                self.scrub.disk.push(line);
            }
        }
    }

    /// What the check in the background found, and how much of the disk the store takes.
    #[must_use]
    pub fn upkeep(&self) -> Upkeep {
        let sizes = self.store.sizes();
        let mut damage = self.scrub.damage.clone();
        damage.extend(self.scrub.disk.iter().cloned());
        let found = self.scrub.found.iter();
        damage.extend(
            found
                .filter(|line| !self.scrub.damage.contains(line))
                .cloned(),
        );
        Upkeep {
            disk_bytes: sizes.map(|(disk, _)| disk),
            free_bytes: sizes.map(|(_, free)| free),
            event_bytes: self.scrub.passed.map(|(_, bytes)| bytes),
            checked_unix_ms: self.scrub.passed.map(|(at, _)| at),
            damage,
        }
    }
}
