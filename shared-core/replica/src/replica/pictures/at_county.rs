//! The list of the pictures that the county has. It is a memory of the last sync, and no proof: whoever
//! loses it offers everything again.

use std::collections::BTreeSet;
use std::fs::{self, File};
use std::io::Write as _;
use std::path::{Path, PathBuf};

use sponson_log::ids::Digest;

/// The list's file, in the folder of the pictures.
pub(super) fn list(folder: &Path) -> PathBuf {
    folder.join("at-county")
}

pub(super) fn read_list(path: &Path) -> BTreeSet<Digest> {
    let text = fs::read_to_string(path).unwrap_or_default();
    text.lines().filter_map(Digest::from_hex).collect()
}

pub(super) fn write_list(path: &Path, ids: &BTreeSet<Digest>) -> std::io::Result<()> {
    let beside = path.with_extension("new");
    let mut file = File::create(&beside)?;
    for id in ids {
        writeln!(file, "{id}")?;
    }
    file.sync_all()?;
    fs::rename(&beside, path)
}
