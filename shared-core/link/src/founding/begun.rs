//! The note that a founding is under way: written before anything else, taken away last.
//!
//! A folder that has it holds half a county at most. Nobody opens it; whoever founds again takes
//! away what was begun. Says nothing about folders that are whole.

use std::fs::{self, File};
use std::io::{ErrorKind, Write as _};
use std::os::unix::fs::{DirBuilderExt as _, OpenOptionsExt as _};
use std::path::{Path, PathBuf};

use data_encoding::HEXLOWER;
use sponson_log::ids::CountyId;

use super::{BegunError, STORE_FOLDER};
use crate::county::codes::CODES_FILE;
use crate::identity::{LOG_KEY_FILE, LOG_KEY_MAKING_FILE, TLS_CERTIFICATE_FILE, TLS_KEY_FILE};

/// Name of the note in the county's folder.
pub const BEGUN_FILE: &str = "founding";

/// First line of the note.
const HEAD: &str = "sponson founding 1";

/// A founding that is under way in a folder; held until it is done or taken back.
#[derive(Debug)]
pub struct Begun {
    folder: PathBuf,
    /// Locked while it is held, so that nobody takes it for one that was cut short.
    _note: File,
}

/// A founding that was cut short.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CutShort {
    /// The county that was to be; none when the note itself was cut.
    pub county: Option<CountyId>,
    /// Where its root key was to be written.
    pub root_file: Option<PathBuf>,
}

/// Whether a founding in this folder is under way or was cut short.
#[must_use]
pub fn is_begun(folder: &Path) -> bool {
    folder.join(BEGUN_FILE).exists()
}

impl Begun {
    /// Makes the folder, for this user only, and writes the note, durably.
    ///
    /// # Errors
    /// When the note is there already, or cannot be written.
    pub fn begin(folder: &Path, county: CountyId, root_file: &Path) -> Result<Self, BegunError> {
        let path = folder.join(BEGUN_FILE);
        let failed = |source| BegunError {
            what: "write",
            path: path.clone(),
            source,
        };
        let write = || {
            fs::DirBuilder::new()
                .recursive(true)
                .mode(0o700)
                .create(folder)?;
            let root_file = std::path::absolute(root_file)?;
            let mut note = fs::OpenOptions::new()
                .write(true)
                .create_new(true)
                .mode(0o600)
                .open(&path)?;
            note.try_lock()?;
            let county = HEXLOWER.encode(county.as_bytes());
            write!(note, "{HEAD}\n{county}\n{}\n", root_file.display())?;
            note.sync_all()?;
            sync_folder(folder)?;
            Ok(note)
        };
        Ok(Self {
            folder: folder.to_owned(),
            _note: write().map_err(failed)?,
        })
    }

    /// The county is whole: takes the note away, durably. From here on the folder is its folder.
    ///
    /// # Errors
    /// When the note cannot be taken away.
    pub fn done(self) -> Result<(), BegunError> {
        remove(&self.folder.join(BEGUN_FILE))?;
        sync_folder(&self.folder).map_err(|source| BegunError {
            what: "sync",
            path: self.folder,
            source,
        })
    }
}

impl CutShort {
    /// What the note of a folder says; none when there is none.
    ///
    /// # Errors
    /// When it cannot be read, or its founding is still under way.
    pub fn read(folder: &Path) -> Result<Option<Self>, BegunError> {
        let path = folder.join(BEGUN_FILE);
        let failed = |source| BegunError {
            what: "read",
            path: path.clone(),
            source,
        };
        let note = match File::open(&path) {
            Ok(note) => note,
            Err(error) if error.kind() == ErrorKind::NotFound => return Ok(None),
            Err(error) => return Err(failed(error)),
        };
        note.try_lock()
            .map_err(|error| failed(std::io::Error::from(error)))?;
        let text = fs::read_to_string(&path).map_err(failed)?;
        let whole = text.strip_suffix('\n').unwrap_or_default();
        let mut lines = whole.splitn(3, '\n');
        let headed = lines.next() == Some(HEAD);
        let county = lines.next().filter(|_| headed).and_then(|line| {
            let bytes = HEXLOWER.decode(line.as_bytes()).ok()?;
            CountyId::parse("county", &bytes).ok()
        });
        Ok(Some(Self {
            county,
            root_file: lines.next().map(PathBuf::from),
        }))
    }

    /// Takes away what was begun in the folder, the note last. The root key's file is whoever's
    /// wrote it: see [`CutShort::root_file`].
    ///
    /// # Errors
    /// When something cannot be taken away; then the note stays, and it can be tried again.
    pub fn take_away(folder: &Path) -> Result<(), BegunError> {
        let store = folder.join(STORE_FOLDER);
        match fs::remove_dir_all(&store) {
            Err(source) if source.kind() != ErrorKind::NotFound => {
                return Err(BegunError {
                    what: "take away",
                    path: store,
                    source,
                });
            }
            Ok(()) | Err(_) => {}
        }
        for name in [
            LOG_KEY_FILE,
            LOG_KEY_MAKING_FILE,
            TLS_KEY_FILE,
            TLS_CERTIFICATE_FILE,
            CODES_FILE,
        ] {
            remove(&folder.join(name))?;
        }
        remove(&folder.join(BEGUN_FILE))
    }
}

fn remove(path: &Path) -> Result<(), BegunError> {
    match fs::remove_file(path) {
        Err(source) if source.kind() != ErrorKind::NotFound => Err(BegunError {
            what: "take away",
            path: path.to_owned(),
            source,
        }),
        Ok(()) | Err(_) => Ok(()),
    }
}

fn sync_folder(folder: &Path) -> std::io::Result<()> {
    File::open(folder)?.sync_all()
}
