//! What a disk may hold when the power goes.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use super::trace::{Deed, Done, Trace};
use crate::faults::Seeded;

/// What a disk writes as a whole.
const SECTOR_BYTES: usize = 512;

/// What becomes of what was not synced.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cut {
    /// Nothing of it is there.
    Dropped,
    /// All of it is there.
    Kept,
    /// Each piece is there or not.
    Mixed,
    /// Each sector is there or not.
    Torn,
}

/// The files that the disk holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Image {
    files: BTreeMap<PathBuf, Vec<u8>>,
}

impl Image {
    /// The files after a cut at a line of the record.
    #[must_use]
    pub fn at(trace: &Trace, line: usize, cut: Cut, seeded: &mut Seeded) -> Self {
        let deeds: Vec<&Deed> = trace.deeds.iter().filter(|it| it.began < line).collect();
        let mut disk = trace.files.clone();
        for deed in &deeds {
            let kept = is_synced(&deeds, deed, line);
            match &deed.done {
                Done::Wrote { file, at, bytes } => {
                    for (at, bytes) in pieces(*at, bytes, kept, cut, seeded) {
                        write(content(&mut disk, *file), at, bytes);
                    }
                }
                Done::Sized { file, length } => {
                    if kept || is_there(cut, seeded) {
                        content(&mut disk, *file).resize(*length, 0);
                    }
                }
                Done::Made { file, .. } => {
                    content(&mut disk, *file);
                }
                Done::Renamed { .. }
                | Done::Removed { .. }
                | Done::SyncedFile { .. }
                | Done::SyncedFolder { .. }
                | Done::Told { .. } => {}
            }
        }
        let names = names(trace, &deeds, line, cut, seeded);
        let files = names
            .into_iter()
            .map(|(name, file)| (name, disk.get(file).cloned().unwrap_or_default()));
        Self {
            files: files.collect(),
        }
    }

    /// Writes the files of one folder into another.
    ///
    /// # Panics
    /// When they cannot be written.
    pub fn write(&self, root: &Path, to: &Path) {
        std::fs::create_dir_all(to).expect("a folder");
        for (name, bytes) in &self.files {
            let name = to.join(name.strip_prefix(root).expect("it lies in the folder"));
            std::fs::create_dir_all(name.parent().expect("it has one")).expect("a folder");
            std::fs::write(name, bytes).expect("writes");
        }
    }
}

fn content(disk: &mut Vec<Vec<u8>>, file: usize) -> &mut Vec<u8> {
    if disk.len() <= file {
        disk.resize(file + 1, Vec::new());
    }
    &mut disk[file]
}

fn write(content: &mut Vec<u8>, at: usize, bytes: &[u8]) {
    if content.len() < at + bytes.len() {
        content.resize(at + bytes.len(), 0);
    }
    content[at..at + bytes.len()].copy_from_slice(bytes);
}

/// Whether a sync that had ended by the cut began after a deed had ended.
fn is_synced(deeds: &[&Deed], deed: &Deed, line: usize) -> bool {
    let (Done::Wrote { file, .. } | Done::Sized { file, .. }) = &deed.done else {
        return false;
    };
    let sync = Done::SyncedFile { file: *file };
    deeds
        .iter()
        .any(|other| other.done == sync && other.began > deed.ended && other.ended < line)
}

fn is_there(cut: Cut, seeded: &mut Seeded) -> bool {
    match cut {
        Cut::Dropped => false,
        Cut::Kept => true,
        Cut::Mixed | Cut::Torn => seeded.between((0, 2)) == 1,
    }
}

/// The pieces of a write that are there.
fn pieces<'a>(
    at: usize,
    bytes: &'a [u8],
    kept: bool,
    cut: Cut,
    seeded: &mut Seeded,
) -> Vec<(usize, &'a [u8])> {
    match cut {
        Cut::Torn if !kept => {
            let sectors = bytes.chunks(SECTOR_BYTES).enumerate();
            let places = sectors.map(|(number, sector)| (at + number * SECTOR_BYTES, sector));
            places.filter(|_| is_there(cut, seeded)).collect()
        }
        Cut::Dropped | Cut::Kept | Cut::Mixed | Cut::Torn => {
            let there = kept || is_there(cut, seeded);
            there.then_some((at, bytes)).into_iter().collect()
        }
    }
}

/// The names: all that were synced, and of the others the first few.
fn names(
    trace: &Trace,
    deeds: &[&Deed],
    line: usize,
    cut: Cut,
    seeded: &mut Seeded,
) -> BTreeMap<PathBuf, usize> {
    let changes: Vec<&Deed> = deeds
        .iter()
        .copied()
        .filter(|deed| folder_of(&deed.done).is_some())
        .collect();
    let synced = changes.iter().rposition(|change| {
        let sync = folder_of(&change.done).map(|name| Done::SyncedFolder { name });
        deeds.iter().any(|other| {
            Some(&other.done) == sync.as_ref() && other.began > change.ended && other.ended < line
        })
    });
    let first = synced.map_or(0, |last| last + 1);
    let there = match cut {
        Cut::Dropped => first,
        Cut::Kept => changes.len(),
        Cut::Mixed | Cut::Torn => first + seeded.place(changes.len() - first + 1),
    };
    let mut names = trace.names.clone();
    for change in &changes[..there] {
        match &change.done {
            Done::Made { file, name } => {
                names.insert(name.clone(), *file);
            }
            Done::Renamed { from, to } => {
                if let Some(file) = names.remove(from) {
                    names.insert(to.clone(), file);
                }
            }
            Done::Removed { name } => {
                names.remove(name);
            }
            Done::Wrote { .. }
            | Done::Sized { .. }
            | Done::SyncedFile { .. }
            | Done::SyncedFolder { .. }
            | Done::Told { .. } => {}
        }
    }
    names
}

fn folder_of(done: &Done) -> Option<PathBuf> {
    let name = match done {
        Done::Made { name, .. } | Done::Removed { name } => name,
        Done::Renamed { to, .. } => to,
        Done::Wrote { .. }
        | Done::Sized { .. }
        | Done::SyncedFile { .. }
        | Done::SyncedFolder { .. }
        | Done::Told { .. } => return None,
    };
    name.parent().map(Path::to_owned)
}
