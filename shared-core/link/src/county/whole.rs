//! Small files of the county that are written whole, durably, for this user only.

use std::fs;
use std::io::{self, Write as _};
use std::os::unix::fs::OpenOptionsExt as _;
use std::path::Path;

/// Reads a file; none when there is none.
pub(super) fn read(path: &Path) -> io::Result<Option<Vec<u8>>> {
    match fs::read(path) {
        Ok(bytes) => Ok(Some(bytes)),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
        Err(error) => Err(error),
    }
}

/// Writes beside, syncs, renames, syncs the folder: a cut leaves the old file or the new one.
pub(super) fn replace(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let beside = path.with_extension("json.new");
    let mut opened = fs::OpenOptions::new()
        .write(true)
        .create(true)
        .truncate(true)
        .mode(0o600)
        .open(&beside)?;
    opened.write_all(bytes)?;
    opened.sync_all()?;
    fs::rename(&beside, path)?;
    let folder = path.parent().unwrap_or(Path::new("."));
    fs::File::open(folder)?.sync_all()
}

/// Compares without an early end, so that the time taken tells nothing. `black_box` keeps the loop
/// from being cut short.
pub(super) fn same(one: &[u8], other: &[u8]) -> bool {
    let differ = one.iter().zip(other).fold(0_u8, |differ, (a, b)| {
        std::hint::black_box(differ | (a ^ b))
    });
    one.len() == other.len() && differ == 0
}
