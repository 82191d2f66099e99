//! Reading what strace recorded: which bytes went where, what was synced, what was acknowledged.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// One thing that the process did, and when: lines of the record.
#[derive(Clone, Debug)]
pub struct Deed {
    /// The line in which it began.
    pub began: usize,
    /// The line in which it had ended.
    pub ended: usize,
    /// What.
    pub done: Done,
}

/// What a process did to the files of a folder.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Done {
    /// Bytes of a file.
    Wrote {
        /// The file.
        file: usize,
        /// From which byte.
        at: usize,
        /// The bytes.
        bytes: Vec<u8>,
    },
    /// A file was cut or lengthened.
    Sized {
        /// The file.
        file: usize,
        /// Its bytes.
        length: usize,
    },
    /// A file got its name.
    Made {
        /// The file.
        file: usize,
        /// Its name.
        name: PathBuf,
    },
    /// A name became another.
    Renamed {
        /// From.
        from: PathBuf,
        /// To.
        to: PathBuf,
    },
    /// A name is gone.
    Removed {
        /// The name.
        name: PathBuf,
    },
    /// A file was synced.
    SyncedFile {
        /// The file.
        file: usize,
    },
    /// The names in a folder were synced.
    SyncedFolder {
        /// The folder.
        name: PathBuf,
    },
    /// Somebody was told something.
    Told {
        /// What.
        text: String,
    },
}

/// The files of a folder before, and everything that was done to them.
#[derive(Clone, Debug, Default)]
pub struct Trace {
    /// Contents of the files that were there, by number.
    pub files: Vec<Vec<u8>>,
    /// Their names.
    pub names: BTreeMap<PathBuf, usize>,
    /// What was done.
    pub deeds: Vec<Deed>,
    lines: usize,
    live: BTreeMap<PathBuf, usize>,
    positions: BTreeMap<String, usize>,
    next_file: usize,
    root: PathBuf,
}

impl Trace {
    /// Begins with a folder as it is on the disk.
    ///
    /// # Panics
    /// When it cannot be read.
    #[must_use]
    pub fn of(root: &Path) -> Self {
        let mut trace = Self {
            root: root.to_owned(),
            ..Self::default()
        };
        trace.read_folder(root);
        trace.live.clone_from(&trace.names);
        trace.next_file = trace.files.len();
        trace
    }

    fn read_folder(&mut self, folder: &Path) {
        let Ok(entries) = std::fs::read_dir(folder) else {
            return;
        };
        for entry in entries {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                self.read_folder(&path);
            } else if path.is_file() && is_kept(&path) {
                self.names.insert(path.clone(), self.files.len());
                self.files.push(std::fs::read(&path).expect("a file"));
            }
        }
    }

    /// How many lines were read.
    #[must_use]
    pub const fn lines(&self) -> usize {
        self.lines
    }

    /// Adds what was recorded of one process, after all that was added before.
    ///
    /// # Panics
    /// When the record is not as strace writes it.
    pub fn add(&mut self, record: &str) {
        self.positions.clear();
        let mut begun: BTreeMap<&str, (usize, String)> = BTreeMap::new();
        for line in record.lines() {
            self.lines += 1;
            let Some((process, call)) = line.split_once(' ') else {
                continue;
            };
            let call = call.trim_start();
            if let Some(half) = call.strip_suffix(" <unfinished ...>") {
                begun.insert(process, (self.lines, half.to_owned()));
            } else if let Some((_, rest)) = call
                .strip_prefix("<... ")
                .and_then(|call| call.split_once(" resumed>"))
            {
                let (began, half) = begun.remove(process).expect("it began");
                self.call(began, &format!("{half}{rest}"));
            } else {
                self.call(self.lines, call);
            }
        }
    }

    fn call(&mut self, began: usize, call: &str) {
        let Some((name, rest)) = call.split_once('(') else {
            return;
        };
        let Some((args, result)) = rest.rsplit_once(" = ") else {
            return;
        };
        let args = args.trim_end().trim_end_matches(')');
        assert!(!args.contains("\"..."), "a string was cut: {name}");
        if result.starts_with('-') {
            return;
        }
        let args: Vec<&str> = args.split(", ").collect();
        if let Some(done) = self.done(name, &args, result) {
            let ended = self.lines;
            self.deeds.push(Deed { began, ended, done });
        }
    }

    fn done(&mut self, name: &str, args: &[&str], result: &str) -> Option<Done> {
        match (name, args) {
            ("openat", [_, path, flags, ..]) => self.opened(&path_of(path), flags, result),
            ("write", [place, bytes, ..]) => self.wrote(place, bytes),
            ("pwrite64", [place, bytes, _, at]) => Some(Done::Wrote {
                file: self.file_of(place)?,
                at: at.parse().ok()?,
                bytes: bytes_of(bytes),
            }),
            ("ftruncate", [place, length]) => Some(Done::Sized {
                file: self.file_of(place)?,
                length: length.parse().ok()?,
            }),
            ("fsync" | "fdatasync", [place]) => self.synced(place),
            ("lseek", [place, ..]) => {
                let at = result.split(' ').next()?.parse().ok()?;
                self.positions.insert(number_of(place), at);
                None
            }
            ("rename", [from, to]) => self.renamed(&path_of(from), path_of(to)),
            ("renameat" | "renameat2", [_, from, _, to, ..]) => {
                self.renamed(&path_of(from), path_of(to))
            }
            ("unlink", [path]) => self.removed(path_of(path)),
            ("unlinkat", [folder, path, _]) => {
                let folder = annotated(folder).unwrap_or_default();
                self.removed(folder.join(path_of(path)))
            }
            _ => None,
        }
    }

    fn opened(&mut self, path: &Path, flags: &str, result: &str) -> Option<Done> {
        self.positions.insert(number_of(result), 0);
        if !is_kept(path) || !path.starts_with(&self.root) {
            return None;
        }
        match self.live.get(path) {
            None if flags.contains("O_CREAT") => {
                let file = self.next_file;
                self.next_file += 1;
                self.live.insert(path.to_owned(), file);
                let name = path.to_owned();
                Some(Done::Made { file, name })
            }
            Some(&file) if flags.contains("O_TRUNC") => Some(Done::Sized { file, length: 0 }),
            None | Some(_) => None,
        }
    }

    fn wrote(&mut self, place: &str, bytes: &str) -> Option<Done> {
        let bytes = bytes_of(bytes);
        let number = number_of(place);
        if number == "1" {
            let text = String::from_utf8_lossy(&bytes).into_owned();
            return Some(Done::Told { text });
        }
        let file = self.file_of(place)?;
        let position = self.positions.entry(number).or_default();
        let at = *position;
        *position += bytes.len();
        Some(Done::Wrote { file, at, bytes })
    }

    fn synced(&self, place: &str) -> Option<Done> {
        let name = annotated(place)?;
        match self.live.get(&name) {
            Some(&file) => Some(Done::SyncedFile { file }),
            None if name.starts_with(&self.root) => Some(Done::SyncedFolder { name }),
            None => None,
        }
    }

    fn renamed(&mut self, from: &Path, to: PathBuf) -> Option<Done> {
        let file = self.live.remove(from)?;
        self.live.insert(to.clone(), file);
        let from = from.to_owned();
        Some(Done::Renamed { from, to })
    }

    fn removed(&mut self, name: PathBuf) -> Option<Done> {
        self.live.remove(&name)?;
        Some(Done::Removed { name })
    }

    fn file_of(&self, place: &str) -> Option<usize> {
        self.live.get(&annotated(place)?).copied()
    }
}

/// A lock holds nothing, and a copy that is made before opening is never relied on.
fn is_kept(path: &Path) -> bool {
    let is = |name: &str| path.components().any(|part| part.as_os_str() == name);
    !is("lock") && !is("at-start") && !is("at-start.new")
}

/// The number of a descriptor, as in `11<...>`.
fn number_of(place: &str) -> String {
    place
        .split('<')
        .next()
        .unwrap_or_default()
        .trim()
        .to_owned()
}

/// The name of a descriptor, as in `11<\x2f...>`.
fn annotated(place: &str) -> Option<PathBuf> {
    let (_, name) = place.split_once('<')?;
    let bytes = escaped(name.split('>').next()?);
    Some(PathBuf::from(String::from_utf8(bytes).ok()?))
}

fn path_of(quoted: &str) -> PathBuf {
    PathBuf::from(String::from_utf8_lossy(&bytes_of(quoted)).into_owned())
}

fn bytes_of(quoted: &str) -> Vec<u8> {
    escaped(quoted.trim().trim_matches('"'))
}

/// Bytes of a text in which each is written as `\xNN`.
fn escaped(text: &str) -> Vec<u8> {
    let digit = |byte: u8| char::from(byte).to_digit(16).unwrap_or(0);
    let bytes = text.as_bytes().chunks_exact(4);
    bytes
        .map(|byte| u8::try_from(digit(byte[2]) * 16 + digit(byte[3])).unwrap_or(0))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_record_is_read() {
        let mut trace = Trace::of(Path::new("/nowhere"));
        trace.add(
            "7 openat(AT_FDCWD<\\x2f>, \"\\x2f\\x6e\\x6f\\x77\\x68\\x65\\x72\\x65\\x2f\\x61\", \
             O_RDWR|O_CREAT, 0666) = 5<\\x2f\\x6e\\x6f\\x77\\x68\\x65\\x72\\x65\\x2f\\x61>\n\
             7 pwrite64(5<\\x2f\\x6e\\x6f\\x77\\x68\\x65\\x72\\x65\\x2f\\x61>, \"\\x01\\x02\", 2, 3 \
             <unfinished ...>\n\
             8 write(1<\\x70>, \"\\x6f\\x6b\", 2) = 2\n\
             7 <... pwrite64 resumed>) = 2\n\
             7 fdatasync(5<\\x2f\\x6e\\x6f\\x77\\x68\\x65\\x72\\x65\\x2f\\x61>) = 0\n",
        );
        let done: Vec<_> = trace.deeds.into_iter().map(|deed| deed.done).collect();
        let name = PathBuf::from("/nowhere/a");
        let bytes = vec![1, 2];
        let text = "ok".to_owned();
        assert_eq!(
            done,
            [
                Done::Made { file: 0, name },
                Done::Told { text },
                Done::Wrote {
                    file: 0,
                    at: 3,
                    bytes
                },
                Done::SyncedFile { file: 0 },
            ]
        );
    }
}
