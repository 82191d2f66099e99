//! The folder of a store: the lock that keeps other processes out, and opening the engine in it so
//! that a damaged one is an error and never a panic.

use std::fs::{File, OpenOptions, TryLockError};
use std::io::ErrorKind;
use std::path::Path;

use super::engine::{Engine, Stuck, limit_for, within};
use super::{at_start, compact, making, mark};
use crate::errors::OpenError;

/// Memory for pages: the engine uses two to three times as much.
const CACHE_BYTES: u64 = 16 * 1024 * 1024;

/// How often the engine tidies up by itself.
const TIDY_EVERY_MS: u64 = 500;

/// What a folder must or must not hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Wanted {
    /// Makes a store.
    New,
    /// Opens one that is there.
    Existing,
}

/// Locks the folder and opens the engine in it.
pub(super) fn open(folder: &Path, wanted: Wanted) -> Result<Engine, OpenError> {
    let failed = |what| {
        move |error: std::io::Error| OpenError::Folder {
            folder: folder.display().to_string(),
            what,
            detail: error.to_string(),
        }
    };
    let store = folder.join("store");
    if wanted == Wanted::Existing && at_start::is_coming_back(folder) {
        let _lock = lock(folder)?;
        at_start::finish(folder).map_err(failed("putting the files back"))?;
    }
    let is_begun = making::is_begun(folder);
    if wanted == Wanted::Existing && (is_begun || !compact::is_there(folder)) {
        let folder_name = folder.display().to_string();
        return Err(mark::peek(folder).map_or_else(
            || OpenError::NoStore(folder_name.clone()),
            |kept| OpenError::Lost {
                folder: folder_name.clone(),
                held: 0,
                kept,
            },
        ));
    }
    make(folder).map_err(failed("making the folder"))?;
    let lock = lock(folder)?;
    compact::settle(folder).map_err(failed("ending what was cut short"))?;
    enough_room(folder, fs2::available_space(folder).ok())?;
    remove_half_written_snapshots(&store).map_err(failed("tidying up"))?;
    if wanted == Wanted::Existing {
        at_start::keep(folder);
    }
    let engine = open_engine(folder, &store, Some(lock))?;
    // At every opening: a first one may have been cut short between making the files and here.
    sync_names(folder, &store).map_err(failed("syncing the names of the files"))?;
    Ok(engine)
}

/// Notes that a store is about to be made in a folder; what a cut left of making one goes.
pub(super) fn begin(folder: &Path) -> Result<(), OpenError> {
    let failed = |error: std::io::Error| OpenError::Folder {
        folder: folder.display().to_string(),
        what: "making the store",
        detail: error.to_string(),
    };
    make(folder).map_err(failed)?;
    let _lock = lock(folder)?;
    making::begin(folder).map_err(failed)
}

/// Makes the folder, for this user only.
fn make(folder: &Path) -> std::io::Result<()> {
    let mut builder = std::fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(folder)
}

/// Keeps other processes out, or says that one is in already.
pub(super) fn lock(folder: &Path) -> Result<File, OpenError> {
    match try_lock(folder) {
        Ok(Some(lock)) => Ok(lock),
        Ok(None) => Err(OpenError::InUse(folder.display().to_string())),
        Err(error) => Err(OpenError::Folder {
            folder: folder.display().to_string(),
            what: "locking",
            detail: error.to_string(),
        }),
    }
}

/// Keeps other processes out for as long as the file is open; none when one is in already.
pub(crate) fn try_lock(folder: &Path) -> std::io::Result<Option<File>> {
    let file = OpenOptions::new()
        .create(true)
        .truncate(false)
        .write(true)
        .open(folder.join("lock"))?;
    match file.try_lock() {
        Ok(()) => Ok(Some(file)),
        Err(TryLockError::WouldBlock) => Ok(None),
        Err(TryLockError::Error(error)) => Err(error),
    }
}

/// Least room for opening: the engine writes a segment of 512 KiB and a snapshot as it opens, and
/// the first event a second segment; once more of each, so that what it writes is not torn.
pub(super) const ROOM_LEAST_BYTES: u64 = 4 * 512 * 1024;

/// Refuses to open on a disk that is full: the engine would only fail half-way. Where the system
/// does not say, it is tried.
fn enough_room(folder: &Path, free: Option<u64>) -> Result<(), OpenError> {
    match free {
        Some(free) if free < ROOM_LEAST_BYTES => Err(OpenError::NoRoom {
            folder: folder.display().to_string(),
            free,
            least: ROOM_LEAST_BYTES,
        }),
        Some(_) | None => Ok(()),
    }
}

/// The engine takes a snapshot that it was still writing when the power went for a finished one.
/// Finished ones stay: without them it may panic.
fn remove_half_written_snapshots(store: &Path) -> std::io::Result<()> {
    if !store.exists() {
        return Ok(());
    }
    for entry in std::fs::read_dir(store)? {
        let path = entry?.path();
        let name = path.file_name().and_then(|name| name.to_str());
        if name.is_some_and(|name| name.starts_with("snap.") && name.ends_with(".generating")) {
            std::fs::remove_file(path)?;
        }
    }
    Ok(())
}

/// How often, and how long apart, the engine's lock is tried: 2 s in all. Our own lock is held, so
/// nobody else has the store open; but the engine closes in a thread of its own, and a process that
/// is just being started holds open files for a moment.
const UNLOCK_TRIES: u32 = 41;
const UNLOCK_WAIT: std::time::Duration = std::time::Duration::from_millis(50);

/// Opens the engine; a panic is an error too, and so is one that does not come to an end: that
/// keeps the lock of the folder for as long as it is still opening.
pub(super) fn open_engine(
    folder: &Path,
    store: &Path,
    lock: Option<File>,
) -> Result<Engine, OpenError> {
    let failed = |what, detail| OpenError::Folder {
        folder: folder.display().to_string(),
        what,
        detail,
    };
    let damaged = |detail| OpenError::Damaged {
        folder: folder.display().to_string(),
        detail,
    };
    let no_thread = |detail| OpenError::NoThread {
        folder: folder.display().to_string(),
        detail,
    };
    let path = store.to_owned();
    // It may read and write all of its files once.
    let limit = limit_for(at_start::size(store).unwrap_or_default().saturating_mul(2));
    let opening = move || open_unlocked(&path).map(|(db, file)| Engine::new(db, file, lock));
    match within(limit, opening) {
        Ok(Ok(engine)) => Ok(engine),
        // A file that is too short, or a place that is none, is damage and no refusal.
        Ok(Err(sled::Error::Io(error))) if is_damage(error.kind()) => {
            Err(damaged(error.to_string()))
        }
        // The disk is full or fails: the store may be whole.
        Ok(Err(sled::Error::Io(error))) => Err(failed(OPENING, error.to_string())),
        Ok(Err(error)) => Err(damaged(error.to_string())),
        // The engine panics where it cannot start a thread of its own; its files are whole.
        Err(Stuck::Panicked(words)) if words.contains("kind: WouldBlock") => Err(no_thread(words)),
        Err(Stuck::Panicked(words)) => Err(damaged(words)),
        Err(Stuck::NoThread(words)) => Err(no_thread(words)),
        Err(stuck @ Stuck::NoAnswer(_)) => Err(failed("waiting for the store", stuck.to_string())),
    }
}

/// What the system refused, when the engine was opened.
pub(crate) const OPENING: &str = "opening the store";

const fn is_damage(kind: ErrorKind) -> bool {
    matches!(
        kind,
        ErrorKind::UnexpectedEof | ErrorKind::InvalidInput | ErrorKind::InvalidData
    )
}

/// Opens the engine once nobody holds its lock any more, and its file for syncing.
fn open_unlocked(store: &Path) -> sled::Result<(sled::Db, File)> {
    let config = sled::Config::default()
        .path(store)
        .cache_capacity(CACHE_BYTES)
        .flush_every_ms(Some(TIDY_EVERY_MS));
    let mut tries = 1;
    let db = loop {
        let opened = config.open();
        let still_locked = matches!(&opened, Err(sled::Error::Io(error))
            if error.to_string().contains("could not acquire lock"));
        if !still_locked || tries == UNLOCK_TRIES {
            break opened?;
        }
        tries += 1;
        std::thread::sleep(UNLOCK_WAIT);
    };
    let mut file = OpenOptions::new();
    let file = file.read(true).write(true).open(store.join("db"))?;
    Ok((db, file))
}

/// The words of a panic.
pub(crate) fn panic_text(panic: &(dyn std::any::Any + Send)) -> String {
    let text = panic.downcast_ref::<String>().map(String::as_str);
    text.or_else(|| panic.downcast_ref::<&str>().copied())
        .unwrap_or("it panicked")
        .to_owned()
}

/// The engine syncs neither its folder nor its settings file. Folders above may be as new.
fn sync_names(folder: &Path, store: &Path) -> std::io::Result<()> {
    File::open(store.join("conf"))?.sync_all()?;
    #[cfg(unix)]
    {
        File::open(store)?.sync_all()?;
        for (height, above) in folder.canonicalize()?.ancestors().enumerate() {
            match File::open(above).and_then(|above| above.sync_all()) {
                // Those above may be closed to this program: then others made them.
                Err(error) if height > 0 && error.kind() == ErrorKind::PermissionDenied => break,
                Err(_) if height > 1 => break,
                synced => synced?,
            }
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_full_disk_is_said_before_anything_is_written() {
        let folder = Path::new("/station");
        for free in [None, Some(ROOM_LEAST_BYTES), Some(u64::MAX)] {
            enough_room(folder, free).expect("there is room, or nobody knows");
        }
        let refused = enough_room(folder, Some(ROOM_LEAST_BYTES - 1)).expect_err("too little");
        insta::assert_snapshot!(refused, @"disk of folder /station has 2097151 bytes left, and opening the store takes 2097152: make room and start again; nothing that was recorded is lost");
    }
}
