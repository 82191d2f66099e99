//! The engine's files as they were before it opened them.
//!
//! The engine takes a damaged piece for the end of its log and clears what comes after it, in the
//! act of opening: what was only damaged in one place is lost then. So a copy is made first. It is
//! gone again as soon as the store was found to hold what was kept in it; else it stays, for
//! salvage. It is not synced: it guards against a damaged file, not against a power cut.

use std::fs::File;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use super::folder;

/// Folder of the copy.
const AT_START: &str = "at-start";

/// Room that is left free beside a copy: what the engine may write in an hour of a busy day,
/// 1,000 events of 4 KiB each, four times over.
const ROOM_LEFT_BYTES: u64 = 16 * 1024 * 1024;

/// Which files of a store are copied.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Copied {
    from: From,
    snapshots: Snapshots,
    settings: Settings,
}

/// The engine's files as they are, or as they were before an opening that failed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum From {
    Now,
    AtStart,
}

/// Whether the engine's snapshots are copied: it makes them from its log again.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Snapshots {
    With,
    Without,
}

/// Whether the engine's settings are copied or those of a new store taken: they are the same.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Settings {
    Own,
    Fresh,
}

const fn way(from: From, snapshots: Snapshots, settings: Settings) -> Copied {
    Copied {
        from,
        snapshots,
        settings,
    }
}

/// Every way in which a store can be read.
pub(crate) const EVERY_WAY: [Copied; 6] = [
    way(From::Now, Snapshots::With, Settings::Own),
    way(From::AtStart, Snapshots::With, Settings::Own),
    way(From::AtStart, Snapshots::With, Settings::Fresh),
    way(From::AtStart, Snapshots::Without, Settings::Fresh),
    way(From::Now, Snapshots::With, Settings::Fresh),
    way(From::Now, Snapshots::Without, Settings::Fresh),
];

/// Files in which events can be found by their own bytes.
pub(crate) fn data_files(folder: &Path) -> [PathBuf; 2] {
    [folder.join(AT_START), folder.join("store")].map(|files| files.join("db"))
}

/// Copies the engine's files before they are opened. One that is there already stays: it is older.
pub(super) fn keep(folder: &Path) {
    let place = folder.join(AT_START);
    if place.exists() {
        return;
    }
    if let Err(error) = try_keep(folder, &place) {
        // Without it a store that is whole opens as well.
        tracing::warn!("no copy could be made before opening: {error}");
    }
}

fn try_keep(folder: &Path, place: &Path) -> std::io::Result<()> {
    let half = folder.join("at-start.new");
    remove(&half)?;
    let files = folder.join("store");
    let needed = size(&files)?.saturating_add(ROOM_LEFT_BYTES);
    if fs2::available_space(folder)? < needed {
        return Err(std::io::Error::other(format!(
            "the disk has less than {needed} bytes left"
        )));
    }
    copy_files(&files, &half, &|_| true).and_then(|()| std::fs::rename(&half, place))
}

/// Folder of the files while they are put back, and of those whose place they take.
const AGAIN: &str = "store.again";
const OPENED: &str = "store.opened";

/// Whether there is a copy.
pub(super) fn is_kept(folder: &Path) -> bool {
    folder.join(AT_START).exists()
}

/// Puts the files of the copy in the place of those that an opening left, durably: a read that
/// failed once makes the engine clear what it could not read. Says whether it did; not while
/// somebody has the store. The copy stays.
pub(super) fn put_back(folder: &Path) -> std::io::Result<bool> {
    let Some(_lock) = folder::try_lock(folder)? else {
        return Ok(false);
    };
    let again = folder.join(AGAIN);
    remove(&again)?;
    copy_files(&folder.join(AT_START), &again, &|_| true)?;
    for entry in std::fs::read_dir(&again)? {
        File::open(entry?.path())?.sync_all()?;
    }
    File::open(&again)?.sync_all()?;
    let opened = folder.join(OPENED);
    remove(&opened)?;
    std::fs::rename(folder.join("store"), &opened)?;
    finish(folder)?;
    remove(&opened)?;
    Ok(true)
}

/// Whether a cut came while the files were put back: then all of them are there, under another name.
pub(super) fn is_coming_back(folder: &Path) -> bool {
    !folder.join("store").exists() && folder.join(AGAIN).exists()
}

/// Gives them their name, durably.
pub(super) fn finish(folder: &Path) -> std::io::Result<()> {
    if is_coming_back(folder) {
        std::fs::rename(folder.join(AGAIN), folder.join("store"))?;
    }
    File::open(folder)?.sync_all()
}

/// Copies the engine's files as they are now into a folder of its own, for a check; none when there
/// is no room for it.
pub(super) fn for_check(folder: &Path) -> std::io::Result<Option<PathBuf>> {
    let copied = folder.join("check");
    remove(&copied)?;
    let files = folder.join("store");
    let needed = size(&files)?.saturating_add(ROOM_LEFT_BYTES);
    if fs2::available_space(folder)? < needed {
        return Ok(None);
    }
    copy_files(&files, &copied.join("store"), &|_| true)?;
    Ok(Some(copied))
}

/// Removes the copy: the store holds what was kept in it.
pub(super) fn forget(folder: &Path) {
    for name in [AT_START, AGAIN, OPENED] {
        if let Err(error) = remove(&folder.join(name)) {
            tracing::warn!("the copy that was made before opening stays: {error}");
        }
    }
}

/// Removes a folder that may not be there.
pub(super) fn remove(folder: &Path) -> std::io::Result<()> {
    match std::fs::remove_dir_all(folder) {
        Err(error) if error.kind() != ErrorKind::NotFound => Err(error),
        Ok(()) | Err(_) => Ok(()),
    }
}

/// Copies the engine's files of one folder into another, for looking at them there. Says whether
/// there were any of this sort.
pub(crate) fn copy(from: &Path, to: &Path, files: Copied) -> std::io::Result<bool> {
    let from = match files.from {
        From::Now => from.join("store"),
        From::AtStart => from.join(AT_START),
    };
    if !from.exists() {
        return Ok(false);
    }
    let to = to.join("store");
    copy_files(&from, &to, &|name| match files.snapshots {
        Snapshots::With => true,
        Snapshots::Without => !name.starts_with("snap."),
    })?;
    if files.settings == Settings::Fresh {
        let fresh = to.join("fresh");
        folder::open_engine(&fresh, &fresh, None).map_err(std::io::Error::other)?;
        std::fs::copy(fresh.join("conf"), to.join("conf"))?;
        remove(&fresh)?;
    }
    Ok(true)
}

fn copy_files(from: &Path, to: &Path, wanted: &dyn Fn(&str) -> bool) -> std::io::Result<()> {
    std::fs::create_dir_all(to)?;
    for entry in std::fs::read_dir(from)? {
        let entry = entry?;
        let name = entry.file_name();
        if entry.file_type()?.is_dir() {
            // Empty in this version; a later one may keep something there.
            copy_files(&entry.path(), &to.join(name), &|_| true)?;
        } else if wanted(&name.to_string_lossy()) {
            std::fs::copy(entry.path(), to.join(name))?;
        }
    }
    Ok(())
}

/// Bytes of the files of a folder.
pub(crate) fn size(folder: &Path) -> std::io::Result<u64> {
    let mut bytes = 0_u64;
    for entry in std::fs::read_dir(folder)? {
        match entry.and_then(|entry| entry.metadata()) {
            Ok(metadata) if metadata.is_file() => bytes = bytes.saturating_add(metadata.len()),
            // A snapshot may go while it is looked at.
            Err(error) if error.kind() != ErrorKind::NotFound => return Err(error),
            Ok(_) | Err(_) => {}
        }
    }
    Ok(bytes)
}
