//! Admission codes that the county gave: one file, written whole, durably, at every change.
//!
//! Only the hash of a secret is kept. A code works once, for one key: it is bound to the key
//! before the key is admitted, so that a crash between the two can never let a second key in, and
//! the same key may ask again after a lost reply.

use std::path::{Path, PathBuf};

use data_encoding::HEXLOWER;
use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};
use sponson_log::ids::{Key, SubjectId};
use sponson_proto::event::v1::Role;

use super::whole::{self, same};
use crate::code::SECRET_BYTES;

/// Name of the file in the county's folder.
pub const CODES_FILE: &str = "codes.json";

/// Codes kept; those that ended are dropped first. 1,000 stations may join at once.
const CODES_MAX: usize = 1000;

/// How long a used or ended code is remembered, so that the refusal can say which it was: 30 days.
const REMEMBERED_MS: i64 = 30 * 24 * 60 * 60 * 1000;

/// The codes of a county.
#[derive(Debug)]
pub struct Codes {
    path: PathBuf,
    codes: Vec<Given>,
}

/// What a code lets in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Admits {
    /// The station.
    pub station: SubjectId,
    /// Roles of the key.
    pub roles: Vec<Role>,
    /// The key of the station that it takes over from, which ends then.
    pub replaces: Option<Key>,
}

/// Why a secret lets nobody in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NotAdmitted {
    /// No such code.
    #[error("this code is not known here")]
    Unknown,
    /// It was used by another key.
    #[error("this code was used before")]
    Used,
    /// It ended.
    #[error("this code has ended")]
    Ended,
}

/// Why the file could not be used.
#[derive(Debug, thiserror::Error)]
pub enum CodesError {
    /// Reading or writing failed.
    #[error("cannot {what} {path}: {source}")]
    File {
        /// What was tried.
        what: &'static str,
        /// The file.
        path: PathBuf,
        /// The system's words.
        source: std::io::Error,
    },
    /// The file is not as it was written.
    #[error("{path} cannot be read: {detail}: move it away; codes given before stop working")]
    Damaged {
        /// The file.
        path: PathBuf,
        /// What is wrong.
        detail: String,
    },
    /// Too many are open.
    #[error("{CODES_MAX} codes are open, the most allowed: wait until some have ended")]
    TooMany,
}

/// One code as kept.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Given {
    secret_sha256: String,
    station: String,
    roles: Vec<i32>,
    ends_unix_ms: i64,
    used_by: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    replaces: Option<String>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    version: u32,
    codes: Vec<Given>,
}

impl Codes {
    /// Reads the codes of a county's folder; none when there is no file.
    ///
    /// # Errors
    /// When the file cannot be read or was damaged.
    pub fn load(folder: &Path) -> Result<Self, CodesError> {
        let path = folder.join(CODES_FILE);
        let bytes = match whole::read(&path) {
            Ok(Some(bytes)) => bytes,
            Ok(None) => {
                return Ok(Self {
                    path,
                    codes: Vec::new(),
                });
            }
            Err(source) => {
                return Err(CodesError::File {
                    what: "read",
                    path,
                    source,
                });
            }
        };
        let damaged = |detail: String| CodesError::Damaged {
            path: path.clone(),
            detail,
        };
        let file: File =
            serde_json::from_slice(&bytes).map_err(|error| damaged(error.to_string()))?;
        if file.version != 1 {
            return Err(damaged(format!("version is {}, not 1", file.version)));
        }
        if let Some(wrong) = file.codes.iter().find(|given| given.station().is_none()) {
            return Err(damaged(format!("station '{}' is no id", wrong.station)));
        }
        let no_key = |given: &&Given| given.replaces.is_some() && given.replaces().is_none();
        if file.codes.iter().any(|given| no_key(&given)) {
            return Err(damaged("a code replaces what is no key".to_owned()));
        }
        Ok(Self {
            path,
            codes: file.codes,
        })
    }

    /// Adds a code; durable when this returns.
    ///
    /// # Errors
    /// When too many are open, or the file cannot be written.
    pub fn give(
        &mut self,
        secret: &[u8; SECRET_BYTES],
        admits: &Admits,
        ends_unix_ms: i64,
        now_unix_ms: i64,
    ) -> Result<(), CodesError> {
        let mut codes = self.codes.clone();
        codes.retain(|given| given.ends_unix_ms.saturating_add(REMEMBERED_MS) > now_unix_ms);
        if codes.len() >= CODES_MAX {
            return Err(CodesError::TooMany);
        }
        codes.push(Given {
            secret_sha256: HEXLOWER.encode(&hash(secret)),
            station: admits.station.to_string(),
            roles: admits.roles.iter().map(|role| i32::from(*role)).collect(),
            ends_unix_ms,
            used_by: None,
            replaces: admits.replaces.map(|key| key.to_string()),
        });
        self.replace(codes)
    }

    /// Binds a code to a key and says what it lets in; durable when this returns. The same key may
    /// do so again.
    ///
    /// # Errors
    /// When the file cannot be written. A code that lets nobody in is the inner error.
    pub fn bind(
        &mut self,
        secret: &[u8; SECRET_BYTES],
        key: &Key,
        now_unix_ms: i64,
    ) -> Result<Result<Admits, NotAdmitted>, CodesError> {
        let Some(index) = self.find(secret) else {
            return Ok(Err(NotAdmitted::Unknown));
        };
        let given = &self.codes[index];
        let admits = given.admits();
        match &given.used_by {
            Some(user) if *user == key.to_string() => return Ok(Ok(admits)),
            Some(_) => return Ok(Err(NotAdmitted::Used)),
            None if given.ends_unix_ms <= now_unix_ms => return Ok(Err(NotAdmitted::Ended)),
            None => {}
        }
        let mut codes = self.codes.clone();
        codes[index].used_by = Some(key.to_string());
        self.replace(codes)?;
        Ok(Ok(admits))
    }

    /// Compares with every code, whole, so that the time taken tells nothing.
    fn find(&self, secret: &[u8; SECRET_BYTES]) -> Option<usize> {
        let wanted = HEXLOWER.encode(&hash(secret));
        let mut found = None;
        for (index, given) in self.codes.iter().enumerate() {
            if same(wanted.as_bytes(), given.secret_sha256.as_bytes()) {
                found = Some(index);
            }
        }
        found
    }

    /// Writes beside, syncs, renames, syncs the folder; only then the new list counts.
    fn replace(&mut self, codes: Vec<Given>) -> Result<(), CodesError> {
        let file = File {
            version: 1,
            codes: codes.clone(),
        };
        let write = || whole::replace(&self.path, &serde_json::to_vec_pretty(&file)?);
        write().map_err(|source| CodesError::File {
            what: "write",
            path: self.path.clone(),
            source,
        })?;
        self.codes = codes;
        Ok(())
    }
}

impl Given {
    fn station(&self) -> Option<SubjectId> {
        let bytes = HEXLOWER.decode(self.station.as_bytes()).ok()?;
        SubjectId::parse("station", &bytes).ok()
    }

    fn replaces(&self) -> Option<Key> {
        let bytes = HEXLOWER.decode(self.replaces.as_ref()?.as_bytes()).ok()?;
        Key::parse("replaces", &bytes).ok()
    }

    fn admits(&self) -> Admits {
        Admits {
            replaces: self.replaces(),
            // Every station was read as an id when the file was.
            station: self.station().unwrap_or(SubjectId::from_bytes([0; 16])),
            roles: self
                .roles
                .iter()
                .filter_map(|role| Role::try_from(*role).ok())
                .collect(),
        }
    }
}

fn hash(secret: &[u8; SECRET_BYTES]) -> [u8; 32] {
    Sha256::digest(secret).into()
}

#[cfg(test)]
mod tests {
    use std::fs;

    use super::*;

    const SECRET: [u8; SECRET_BYTES] = [7; SECRET_BYTES];

    fn admits() -> Admits {
        Admits {
            station: SubjectId::from_bytes([3; 16]),
            roles: vec![Role::Crew, Role::Maintenance],
            replaces: Some(key(9)),
        }
    }

    fn key(byte: u8) -> Key {
        Key::from_bytes([byte; 32])
    }

    #[test]
    fn a_code_works_once_for_one_key_and_survives_a_restart() {
        let folder = tempfile::tempdir().expect("folder");
        let mut codes = Codes::load(folder.path()).expect("empty");
        codes.give(&SECRET, &admits(), 1000, 0).expect("given");
        let mut codes = Codes::load(folder.path()).expect("again");
        let tries = [
            ([8; 10], 1, 10, Err(NotAdmitted::Unknown)),
            (SECRET, 1, 1000, Err(NotAdmitted::Ended)),
            (SECRET, 1, 999, Ok(admits())),
            (SECRET, 2, 999, Err(NotAdmitted::Used)),
            (SECRET, 1, 5000, Ok(admits())),
        ];
        for (secret, byte, now, wanted) in tries {
            let got = codes.bind(&secret, &key(byte), now).expect("file");
            assert_eq!(got, wanted);
            codes = Codes::load(folder.path()).expect("after a restart");
        }
        let text = fs::read_to_string(folder.path().join(CODES_FILE)).expect("file");
        assert!(!text.contains(&HEXLOWER.encode(&SECRET)), "no secret kept");
    }

    #[test]
    fn a_damaged_file_is_told() {
        let folder = tempfile::tempdir().expect("folder");
        for text in ["{", r#"{"version":2,"codes":[]}"#] {
            fs::write(folder.path().join(CODES_FILE), text).expect("file");
            let read = Codes::load(folder.path());
            assert!(matches!(read, Err(CodesError::Damaged { .. })), "{text}");
        }
    }

    #[test]
    fn open_codes_are_bounded_and_old_ones_are_forgotten() {
        let folder = tempfile::tempdir().expect("folder");
        let mut codes = Codes::load(folder.path()).expect("empty");
        codes.codes = (0..CODES_MAX)
            .map(|_| Given {
                secret_sha256: String::new(),
                station: "00".repeat(16),
                roles: Vec::new(),
                ends_unix_ms: 1000,
                used_by: None,
                replaces: None,
            })
            .collect();
        let full = codes.give(&SECRET, &admits(), 2000, 500);
        assert!(matches!(full, Err(CodesError::TooMany)));
        let later = 1000 + REMEMBERED_MS;
        codes
            .give(&SECRET, &admits(), later + 1, later)
            .expect("room again");
        assert_eq!(codes.codes.len(), 1);
    }
}
