//! Files that a person asks for, as a carry file or a proof: under their name they are whole, or not
//! there. What a cut leaves has another name, and the same command may be given again.

use std::fs::{File, OpenOptions};
use std::io::ErrorKind;
use std::os::unix::fs::OpenOptionsExt as _;
use std::path::{Path, PathBuf};

use sponson_show::clean;

use crate::error::CommandError;

/// Who may read a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Readers {
    /// Whoever the system lets.
    Anybody,
    /// This user only: it holds keys.
    Owner,
}

/// A file that is being written, beside its place. Dropped, it goes.
#[derive(Debug)]
pub struct NewFile {
    place: PathBuf,
    beside: PathBuf,
    written: File,
}

impl NewFile {
    /// Begins it under another name; what a cut left there goes.
    ///
    /// # Errors
    /// When there is a file of this name already, or it cannot be made.
    pub fn begin(place: &Path, readers: Readers) -> Result<Self, CommandError> {
        if place.exists() {
            return Err(there(place));
        }
        let beside = beside(place);
        let make = || {
            remove(&beside)?;
            let mut options = OpenOptions::new();
            options.write(true).create_new(true);
            if readers == Readers::Owner {
                options.mode(0o600);
            }
            options.open(&beside)
        };
        let written = make().map_err(unwritable(place))?;
        Ok(Self {
            place: place.to_owned(),
            beside,
            written,
        })
    }

    /// What is written to.
    #[must_use]
    pub const fn file(&self) -> &File {
        &self.written
    }

    /// Where it stands until it is named.
    #[must_use]
    pub fn beside(&self) -> &Path {
        &self.beside
    }

    /// An error of writing it, in words.
    #[must_use]
    pub fn unwritable(&self, error: std::io::Error) -> CommandError {
        unwritable(&self.place)(error)
    }

    /// What came of writing to it.
    ///
    /// # Errors
    /// When that failed.
    pub fn written(&self, done: std::io::Result<()>) -> Result<(), CommandError> {
        done.map_err(unwritable(&self.place))
    }

    /// Makes it durable, then gives it its name, durably, unless somebody made a file of that name
    /// meanwhile.
    ///
    /// # Errors
    /// When it is there, or cannot be synced or named; then no file of that name was made.
    pub fn name(self) -> Result<(), CommandError> {
        self.written(self.written.sync_all())?;
        if let Err(error) = std::fs::hard_link(&self.beside, &self.place) {
            if error.kind() == ErrorKind::AlreadyExists || self.place.exists() {
                return Err(there(&self.place));
            }
            // A stick may know no second name for a file.
            self.written(std::fs::rename(&self.beside, &self.place))?;
        }
        let synced = sync_folder(&self.place);
        if synced.is_err() {
            // Nobody was told that it is there.
            let _ = std::fs::remove_file(&self.place);
        }
        self.written(synced)
    }
}

impl Drop for NewFile {
    fn drop(&mut self) {
        // Half a file is of no use to anybody. Once it is named this is only its second name.
        let _ = std::fs::remove_file(&self.beside);
    }
}

fn there(place: &Path) -> CommandError {
    CommandError::Refused {
        field: "file".to_owned(),
        value: clean(&place.display().to_string()),
        limit: "it is there already: give another name".to_owned(),
    }
}

fn beside(place: &Path) -> PathBuf {
    let mut name = place.file_name().unwrap_or_default().to_owned();
    name.push(".part");
    place.with_file_name(name)
}

fn remove(path: &Path) -> std::io::Result<()> {
    match std::fs::remove_file(path) {
        Err(error) if error.kind() != ErrorKind::NotFound => Err(error),
        Ok(()) | Err(_) => Ok(()),
    }
}

fn sync_folder(place: &Path) -> std::io::Result<()> {
    let folder = place.parent().filter(|it| !it.as_os_str().is_empty());
    File::open(folder.unwrap_or(Path::new(".")))?.sync_all()
}

fn unwritable(place: &Path) -> impl Fn(std::io::Error) -> CommandError {
    let file = place.to_owned();
    move |source| CommandError::Write {
        file: file.clone(),
        source,
    }
}

#[cfg(test)]
mod tests {
    use std::io::Write as _;
    use std::os::unix::fs::PermissionsExt as _;

    use super::*;

    fn names(folder: &Path) -> Vec<String> {
        let entries = std::fs::read_dir(folder).expect("a folder");
        let names = entries.map(|entry| entry.expect("an entry").file_name());
        let mut names: Vec<String> = names.map(|it| it.to_string_lossy().into_owned()).collect();
        names.sort();
        names
    }

    #[test]
    fn it_is_whole_under_its_name_or_not_there() {
        let folder = tempfile::tempdir().expect("a folder");
        let place = folder.path().join("out.carry");
        std::fs::write(folder.path().join("out.carry.part"), "of a cut").expect("writes");
        let new = NewFile::begin(&place, Readers::Owner).expect("begins");
        new.file().write_all(b"half").expect("writes");
        assert_eq!(names(folder.path()), ["out.carry.part"]);
        drop(new);
        assert_eq!(names(folder.path()), [""; 0]);
        let new = NewFile::begin(&place, Readers::Owner).expect("again");
        new.file().write_all(b"whole").expect("writes");
        new.name().expect("named");
        assert_eq!(names(folder.path()), ["out.carry"]);
        assert_eq!(std::fs::read(&place).expect("reads"), b"whole");
        let mode = std::fs::metadata(&place).expect("there").permissions();
        assert_eq!(mode.mode() & 0o777, 0o600);
    }

    #[test]
    fn a_file_that_is_there_is_never_written_over() {
        let folder = tempfile::tempdir().expect("a folder");
        let place = folder.path().join("out.carry");
        let new = NewFile::begin(&place, Readers::Anybody).expect("begins");
        std::fs::write(&place, "theirs").expect("writes");
        let refused = [
            new.name(),
            NewFile::begin(&place, Readers::Anybody).map(drop),
        ];
        for refused in refused {
            let refused = refused.expect_err("it is there").to_string();
            assert!(refused.contains("give another name"), "{refused}");
        }
        assert_eq!(std::fs::read(&place).expect("reads"), b"theirs");
        assert_eq!(names(folder.path()), ["out.carry"]);
    }
}
