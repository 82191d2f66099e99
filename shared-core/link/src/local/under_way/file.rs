//! The file of one check: lines are appended, and durable before the next step.
//!
//! A line without its end was never acknowledged and is cut off when the file is opened; after a
//! failed write or sync the file is cut back to what was durable, or not written to any more.

use std::fs::File;
use std::io::{self, Read as _, Seek as _, SeekFrom, Write as _};
use std::path::{Path, PathBuf};

use super::check::Check;
use super::line::Line;

const ENDING: &str = "check";

/// Bytes of one file: 1 MiB of entries (a check of 60 lines with 200 fields, each of them of 100
/// bytes and entered 50 times) and twice as much for what is to be recorded of it (24 bodies of 64 KiB, a third longer as text).
pub(super) const FILE_BYTES_MAX: u64 = 3 * 1024 * 1024;

/// Bytes up to which fields can be entered: the rest is for recording.
pub(super) const ENTRIES_BYTES_MAX: u64 = 1024 * 1024;

/// A file that lines can be appended to.
#[derive(Debug)]
pub(super) struct CheckFile {
    path: PathBuf,
    file: File,
    /// Up to here everything is durable.
    durable: u64,
    /// It could not be cut back to that: nothing more is written.
    broken: bool,
}

impl CheckFile {
    /// Makes the file with its first line; durable with its name when this returns.
    pub(super) fn create(folder: &Path, id: &str, first: &Line) -> io::Result<Self> {
        let path = path_of(folder, id);
        let file = File::options().append(true).create_new(true).open(&path)?;
        let mut made = Self {
            path,
            file,
            durable: 0,
            broken: false,
        };
        let written = made.append(first).and_then(|()| sync_folder(folder));
        if let Err(error) = written {
            // Without an answer there is no check: nothing is left of it by halves.
            let _ = std::fs::remove_file(&made.path);
            return Err(error);
        }
        Ok(made)
    }

    /// Opens a file and takes in its lines; none when not even its beginning was written whole.
    pub(super) fn replay(path: &Path) -> io::Result<Option<(Self, Check)>> {
        let mut file = File::options().read(true).append(true).open(path)?;
        let mut bytes = Vec::new();
        let read = (&file).take(FILE_BYTES_MAX + 1).read_to_end(&mut bytes)?;
        if length(read) > FILE_BYTES_MAX {
            // Nothing here wrote it so long: what is behind is not cut off.
            super::set_aside(path, "longer than a file of a check may be")?;
            return Ok(None);
        }
        let whole = bytes
            .iter()
            .rposition(|byte| *byte == b'\n')
            .map(|at| at + 1);
        let Some(whole) = whole else {
            std::fs::remove_file(path)?;
            return Ok(None);
        };
        bytes.truncate(whole);
        if whole < read {
            file.set_len(length(whole))?;
            file.sync_data()?;
        }
        let Some(check) = taken_in(&bytes) else {
            super::set_aside(path, "damaged at its beginning")?;
            return Ok(None);
        };
        file.seek(SeekFrom::End(0))?;
        let file = Self {
            path: path.to_owned(),
            file,
            durable: length(whole),
            broken: false,
        };
        Ok(Some((file, check)))
    }

    /// Bytes that are durable.
    pub(super) const fn bytes(&self) -> u64 {
        self.durable
    }

    /// Appends a line; it is durable when this returns, or nothing of it is kept.
    pub(super) fn append(&mut self, line: &Line) -> io::Result<()> {
        if self.broken {
            return Err(io::Error::other("a write before this one failed"));
        }
        let text = line.to_text()?;
        let written = self
            .file
            .write_all(text.as_bytes())
            .and_then(|()| self.file.sync_data());
        match written {
            Ok(()) => {
                self.durable += length(text.len());
                Ok(())
            }
            Err(error) => {
                let cut = self.file.set_len(self.durable);
                self.broken = cut.and_then(|()| self.file.sync_data()).is_err();
                Err(error)
            }
        }
    }

    /// Writes elsewhere from here on: to a disk that fails.
    #[cfg(test)]
    pub(super) fn write_to(&mut self, file: File) {
        self.file = file;
    }

    /// Takes the file away.
    pub(super) fn remove(self, folder: &Path) -> io::Result<()> {
        std::fs::remove_file(&self.path)?;
        sync_folder(folder)
    }
}

/// The check that these whole lines tell; none when the first is not its beginning.
fn taken_in(bytes: &[u8]) -> Option<Check> {
    let mut lines = bytes.split(|byte| *byte == b'\n');
    let mut check = Check::of(Line::parse(lines.next()?)?)?;
    for line in lines.filter(|line| !line.is_empty()) {
        match Line::parse(line) {
            Some(line) => check.take(line),
            None => check.could_not_read(),
        }
    }
    Some(check)
}

/// The id in the name of a check's file; none for other files.
pub(super) fn id_of(path: &Path) -> Option<String> {
    let ending = path.extension()?;
    let id = path.file_stem()?.to_str()?;
    (ending == ENDING && !id.is_empty()).then(|| id.to_owned())
}

fn path_of(folder: &Path, id: &str) -> PathBuf {
    folder.join(id).with_extension(ENDING)
}

/// Makes the names in a folder durable.
pub(super) fn sync_folder(folder: &Path) -> io::Result<()> {
    File::open(folder)?.sync_all()
}

fn length(bytes: usize) -> u64 {
    u64::try_from(bytes).unwrap_or(u64::MAX)
}
