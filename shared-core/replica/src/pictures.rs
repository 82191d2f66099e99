//! Pictures as files beside the store: salt and content under the name of their commitment.
//!
//! A picture is there whole or not at all: written beside, synced, then named, and the names synced.
//! One that comes in pieces grows under another name until all of it is there and is what was
//! committed to. This knows no event: who commits to a picture is asked elsewhere.

use std::collections::BTreeMap;
use std::fs::{self, File, OpenOptions};
use std::io::{self, ErrorKind, Read as _, Seek as _, SeekFrom, Write as _};
use std::path::{Path, PathBuf};
use std::time::UNIX_EPOCH;

use sponson_log::event::{PICTURE_BYTES_MAX, commitment};
use sponson_log::ids::Digest;

#[cfg(test)]
mod tests;

/// Bytes of salt before the content.
pub const SALT_BYTES: usize = 16;

/// Greatest length of a file: the salt and the greatest picture.
pub const PICTURE_FILE_BYTES_MAX: usize = SALT_BYTES + PICTURE_BYTES_MAX;

/// Pictures that may be under way in pieces at a time: 64 of at most a megabyte take 64 MB.
const PARTS_MAX: usize = 64;

/// A piece that nobody went on with for so long goes: a station that is cut off for a month begins
/// that one picture again.
pub(crate) const OLD_MS: i64 = 30 * 24 * 60 * 60 * 1_000;

/// What a file of a piece is called behind its commitment.
const PART: &str = ".part";

/// What a picture is called that no event was recorded with yet. Only such a one goes when nobody
/// records it within a month: a store that was built anew does not know yet what its pictures are for.
const LOOSE: &str = ".loose";

/// A picture.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    /// Its salt.
    pub salt: [u8; SALT_BYTES],
    /// The picture, a JPEG.
    pub content: Vec<u8>,
}

/// Why the files of pictures could not be read or written.
#[derive(Debug, thiserror::Error)]
pub enum PictureFileError {
    /// The file system refused.
    #[error("picture file {} could not be {what}: {source}; look at the disk and its permissions", file.display())]
    File {
        /// The file.
        file: PathBuf,
        /// What was tried.
        what: &'static str,
        /// Why.
        source: io::Error,
    },
    /// A file is not what its name says.
    #[error("picture file {} is damaged: it was set aside, and a sync brings it again if anybody has it", .0.display())]
    Damaged(PathBuf),
    /// Too many are under way.
    #[error("{PARTS_MAX} pictures are under way already, the most at a time: try again later")]
    Parts,
}

/// How far a picture that comes in pieces is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Grown {
    /// So many bytes of its file are here and durable.
    To(u64),
    /// It is whole and kept.
    Whole,
    /// It was whole, and not what was committed to: all of it went.
    Wrong,
}

/// The files.
#[derive(Clone, Debug)]
pub(crate) struct PictureFiles {
    folder: PathBuf,
}

impl PictureFiles {
    /// Makes the folder if it is not there, and removes what a power cut left half written.
    pub(crate) fn open(folder: &Path, now_unix_ms: i64) -> Result<Self, PictureFileError> {
        let files = Self {
            folder: folder.to_owned(),
        };
        let mut builder = fs::DirBuilder::new();
        builder.recursive(true);
        #[cfg(unix)]
        std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
        builder
            .create(folder)
            .map_err(|error| failed(folder, "made", error))?;
        if let Some(above) = folder.parent() {
            File::open(above)
                .and_then(|above| above.sync_all())
                .map_err(|error| failed(above, "synced", error))?;
        }
        files.tidy(now_unix_ms)?;
        Ok(files)
    }

    fn tidy(&self, now_unix_ms: i64) -> Result<(), PictureFileError> {
        for (name, path) in self.names()? {
            let passing = name.ends_with(PART) || name.ends_with(LOOSE);
            let stale = passing && is_old(&path, now_unix_ms);
            if name.ends_with(".new") || stale {
                remove(&path)?;
            }
        }
        Ok(())
    }

    fn names(&self) -> Result<Vec<(String, PathBuf)>, PictureFileError> {
        let read = || -> io::Result<Vec<(String, PathBuf)>> {
            let mut names = Vec::new();
            for entry in fs::read_dir(&self.folder)? {
                let entry = entry?;
                names.extend(
                    entry
                        .file_name()
                        .into_string()
                        .ok()
                        .map(|name| (name, entry.path())),
                );
            }
            Ok(names)
        };
        read().map_err(|error| failed(&self.folder, "read", error))
    }

    /// The folder.
    pub(crate) fn folder(&self) -> &Path {
        &self.folder
    }

    /// Pictures that are here, with the bytes of each without its salt.
    pub(crate) fn held(&self) -> Result<BTreeMap<Digest, u64>, PictureFileError> {
        let mut held = BTreeMap::new();
        for (name, path) in self.names()? {
            let Some(id) = Digest::from_hex(&name) else {
                continue;
            };
            let bytes = fs::metadata(&path).map_err(|error| failed(&path, "read", error))?;
            held.insert(id, bytes.len().saturating_sub(SALT_BYTES as u64));
        }
        Ok(held)
    }

    /// Bytes of all pictures that no event was recorded with yet.
    pub(crate) fn loose_bytes(&self) -> Result<u64, PictureFileError> {
        let mut bytes = 0;
        for (name, path) in self.names()? {
            if name.ends_with(LOOSE) {
                let file = fs::metadata(&path).map_err(|error| failed(&path, "read", error))?;
                bytes += file.len();
            }
        }
        Ok(bytes)
    }

    /// Length of a picture that is here, without its salt.
    pub(crate) fn bytes(&self, id: &Digest) -> Option<u64> {
        let bytes = fs::metadata(self.path(id)).ok()?.len();
        Some(bytes.saturating_sub(SALT_BYTES as u64))
    }

    /// Whether a picture is here.
    pub(crate) fn holds(&self, id: &Digest) -> bool {
        self.path(id).is_file()
    }

    /// Keeps a picture, durably, under the commitment that it gives, until an event is recorded with
    /// it.
    pub(crate) fn keep(&self, picture: &Picture) -> Result<Digest, PictureFileError> {
        let id = commitment(&picture.salt, &picture.content);
        let beside = self.folder.join(format!("{id}.new"));
        let write = || {
            let mut file = File::create(&beside)?;
            file.write_all(&picture.salt)?;
            file.write_all(&picture.content)?;
            file.sync_all()
        };
        write().map_err(|error| failed(&beside, "written", error))?;
        self.name(&beside, &self.loose_path(&id))?;
        Ok(id)
    }

    /// An event is about to be recorded with a picture: from now on it stays.
    pub(crate) fn bind(&self, id: &Digest) -> Result<(), PictureFileError> {
        let loose = self.loose_path(id);
        if self.holds(id) || !loose.is_file() {
            return Ok(());
        }
        self.name(&loose, &self.path(id))
    }

    /// Reads a picture that no event was recorded with yet, or one that is kept.
    pub(crate) fn read_loose(&self, id: &Digest) -> Result<Option<Picture>, PictureFileError> {
        if let Some(picture) = self.read(id)? {
            return Ok(Some(picture));
        }
        let loose = fs::read(self.loose_path(id));
        Ok(loose.ok().and_then(|bytes| of(&bytes, id)))
    }

    /// Reads a picture that is here; one that is not what its name says is set aside.
    pub(crate) fn read(&self, id: &Digest) -> Result<Option<Picture>, PictureFileError> {
        let path = self.path(id);
        let bytes = match fs::read(&path) {
            Ok(bytes) => bytes,
            Err(error) if error.kind() == ErrorKind::NotFound => return Ok(None),
            Err(error) => return Err(failed(&path, "read", error)),
        };
        if let Some(picture) = of(&bytes, id) {
            return Ok(Some(picture));
        }
        let aside = self.folder.join(format!("{id}.damaged"));
        fs::rename(&path, &aside).map_err(|error| failed(&path, "set aside", error))?;
        Err(PictureFileError::Damaged(aside))
    }

    /// Whether a file that is here is what its name says; changes nothing.
    pub(crate) fn is_right(&self, id: &Digest) -> bool {
        fs::read(self.path(id)).is_ok_and(|bytes| of(&bytes, id).is_some())
    }

    /// Bytes that are here of a picture that comes in pieces.
    pub(crate) fn part(&self, id: &Digest) -> u64 {
        fs::metadata(self.part_path(id)).map_or(0, |it| it.len())
    }

    /// Adds a piece at the end of what is here, durably. A piece from elsewhere changes nothing: the
    /// reply says where to go on. With its last byte the picture is checked and kept.
    pub(crate) fn grow(
        &self,
        id: &Digest,
        file_bytes: u64,
        (offset, piece): (u64, &[u8]),
    ) -> Result<Grown, PictureFileError> {
        if self.holds(id) {
            return Ok(Grown::Whole);
        }
        let path = self.part_path(id);
        let here = self.part(id);
        if here == 0 && self.parts()? >= PARTS_MAX {
            return Err(PictureFileError::Parts);
        }
        // One that grew beyond its length can only have been spoilt.
        if here > file_bytes {
            remove(&path)?;
            return Ok(Grown::To(0));
        }
        let after = here.saturating_add(piece.len() as u64);
        if offset != here || after > file_bytes {
            return Ok(Grown::To(here));
        }
        let write = || {
            let mut file = OpenOptions::new().create(true).append(true).open(&path)?;
            file.write_all(piece)?;
            file.sync_data()
        };
        write().map_err(|error| failed(&path, "written", error))?;
        if after < file_bytes {
            return Ok(Grown::To(after));
        }
        let bytes = fs::read(&path).map_err(|error| failed(&path, "read", error))?;
        if of(&bytes, id).is_none() {
            remove(&path)?;
            return Ok(Grown::Wrong);
        }
        self.name(&path, &self.path(id))?;
        Ok(Grown::Whole)
    }

    /// A piece of the file of a picture that is here, from a place on; none when it is not here.
    pub(crate) fn piece(
        &self,
        id: &Digest,
        offset: u64,
        bytes_max: usize,
    ) -> Result<Option<Vec<u8>>, PictureFileError> {
        let path = self.path(id);
        let mut file = match File::open(&path) {
            Ok(file) => file,
            Err(error) if error.kind() == ErrorKind::NotFound => return Ok(None),
            Err(error) => return Err(failed(&path, "read", error)),
        };
        let mut read = || {
            let mut piece = Vec::new();
            file.seek(SeekFrom::Start(offset))?;
            (&mut file).take(bytes_max as u64).read_to_end(&mut piece)?;
            Ok(piece)
        };
        read()
            .map(Some)
            .map_err(|error| failed(&path, "read", error))
    }

    /// Removes a picture, whole or in pieces or damaged; nothing when it is not here.
    pub(crate) fn remove(&self, id: &Digest) -> Result<(), PictureFileError> {
        remove(&self.path(id))?;
        remove(&self.part_path(id))?;
        remove(&self.loose_path(id))?;
        remove(&self.folder.join(format!("{id}.damaged")))
    }

    fn parts(&self) -> Result<usize, PictureFileError> {
        let names = self.names()?;
        Ok(names
            .iter()
            .filter(|(name, _)| name.ends_with(PART))
            .count())
    }

    fn name(&self, beside: &Path, path: &Path) -> Result<(), PictureFileError> {
        fs::rename(beside, path)
            .and_then(|()| File::open(&self.folder)?.sync_all())
            .map_err(|error| failed(path, "written", error))
    }

    fn loose_path(&self, id: &Digest) -> PathBuf {
        self.folder.join(format!("{id}{LOOSE}"))
    }

    fn path(&self, id: &Digest) -> PathBuf {
        self.folder.join(id.to_string())
    }

    fn part_path(&self, id: &Digest) -> PathBuf {
        self.folder.join(format!("{id}{PART}"))
    }
}

/// The picture in a file, when it is what was committed to.
fn of(bytes: &[u8], id: &Digest) -> Option<Picture> {
    let (salt, content) = bytes.split_first_chunk::<SALT_BYTES>()?;
    (commitment(salt, content) == *id).then(|| Picture {
        salt: *salt,
        content: content.to_vec(),
    })
}

fn is_old(path: &Path, now_unix_ms: i64) -> bool {
    let changed = fs::metadata(path).and_then(|it| it.modified()).ok();
    let since = changed.and_then(|it| it.duration_since(UNIX_EPOCH).ok());
    let changed_ms = since.and_then(|it| i64::try_from(it.as_millis()).ok());
    changed_ms.is_some_and(|at| now_unix_ms.saturating_sub(at) > OLD_MS)
}

fn remove(path: &Path) -> Result<(), PictureFileError> {
    match fs::remove_file(path) {
        Ok(()) => Ok(()),
        Err(error) if error.kind() == ErrorKind::NotFound => Ok(()),
        Err(error) => Err(failed(path, "removed", error)),
    }
}

fn failed(file: &Path, what: &'static str, source: io::Error) -> PictureFileError {
    PictureFileError::File {
        file: file.to_owned(),
        what,
        source,
    }
}
