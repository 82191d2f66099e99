//! Who may use the county's pages: one-time links that the lead gave, and who is signed in. One
//! file, written whole, durably, at every change.
//!
//! Only the hash of a link's code and of a session's token is kept. A link works once: it is spent,
//! durably, before the session that it begins is known to anybody.

use std::path::{Path, PathBuf};

use data_encoding::HEXLOWER;
use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};

use super::whole::{self, same};

mod kept;

use kept::{File, Link, Session};

/// Name of the file in the county's folder.
pub const VISITORS_FILE: &str = "visitors.json";

/// Bytes of a link's code: 160 bits. 600 wrong tries a minute hit one of 200 within a year with a
/// chance of 3 x 10^8 x 200 / 2^160, less than 10^-37; a million a minute, from as many addresses,
/// with one of less than 10^-33.
pub const CODE_BYTES: usize = 20;

/// Bytes of a session's token.
pub const TOKEN_BYTES: usize = 32;

/// Links kept, and sessions: a county has some dozens of people who look at the pages.
const KEPT_MAX: usize = 200;

/// How long a spent or ended link is remembered, so that the refusal can say which it was: 7 days.
const REMEMBERED_MS: i64 = 7 * 24 * HOUR_MS;

/// A session ends after so long without use: a meal, not a shift.
pub const UNUSED_MAX_MS: i64 = 2 * HOUR_MS;

/// A session ends after so long in any case: one shift.
pub const SESSION_MAX_MS: i64 = 12 * HOUR_MS;

/// Use is written down when so much later than what was written: not at every click.
const NOTED_EVERY_MS: i64 = 60_000;

/// A clock that stands further back than this before a session began cannot say when it ends.
const BACK_MAX_MS: i64 = 5 * 60_000;

const HOUR_MS: i64 = 60 * 60 * 1000;

/// What somebody may do on the pages.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PageRole {
    /// Reads.
    Crew,
    /// Also assigns and releases.
    Coordinator,
    /// Everything that the pages can do.
    Lead,
}

/// Somebody who is signed in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Visitor {
    /// By which the session is listed and ended; tells nothing of its token.
    pub name: String,
    /// Member number.
    pub member: String,
    /// What the member may do.
    pub role: PageRole,
    /// When the session began.
    pub begun_unix_ms: i64,
    /// When it was last used.
    pub used_unix_ms: i64,
    /// When it ends if it is not used any more.
    pub ends_unix_ms: i64,
}

/// Why a link's code lets nobody in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NotLetIn {
    /// No such link.
    #[error("this link is not known here")]
    Unknown,
    /// It was used.
    #[error("this link was used before")]
    Used,
    /// It ended.
    #[error("this link has ended")]
    Ended,
}

/// Why the file could not be used.
#[derive(Debug, thiserror::Error)]
pub enum VisitorsError {
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
    #[error("{path} cannot be read: {detail}: move it away; everybody then signs in anew")]
    Damaged {
        /// The file.
        path: PathBuf,
        /// What is wrong.
        detail: String,
    },
    /// Too many links are open.
    #[error("{KEPT_MAX} links are open, the most allowed: wait until some have ended")]
    TooManyLinks,
    /// Too many sessions are open.
    #[error("{KEPT_MAX} are signed in, the most allowed: end one with signed-in --end")]
    TooManySessions,
}

/// The links and sessions of a county.
#[derive(Debug)]
pub struct Visitors {
    path: PathBuf,
    kept: File,
    at: Option<String>,
}

impl Visitors {
    /// Reads those of a county's folder; none when there is no file.
    ///
    /// # Errors
    /// When the file cannot be read or was damaged.
    pub fn load(folder: &Path) -> Result<Self, VisitorsError> {
        let path = folder.join(VISITORS_FILE);
        let bytes = whole::read(&path).map_err(|source| VisitorsError::File {
            what: "read",
            path: path.clone(),
            source,
        })?;
        let kept = match bytes {
            None => File::default(),
            Some(bytes) => File::parse(&bytes).map_err(|detail| VisitorsError::Damaged {
                path: path.clone(),
                detail,
            })?,
        };
        Ok(Self {
            path,
            kept,
            at: None,
        })
    }

    /// Where the pages are served now, for whoever makes a link; none when they are not.
    #[must_use]
    pub fn served_at(&self) -> Option<&str> {
        self.at.as_deref()
    }

    /// Notes where the pages are served; not kept on disk.
    pub fn serve_at(&mut self, at: Option<String>) {
        self.at = at;
    }

    /// Adds a link; durable when this returns.
    ///
    /// # Errors
    /// When too many are open, or the file cannot be written.
    pub fn give(
        &mut self,
        code: &[u8; CODE_BYTES],
        (member, role): (&str, PageRole),
        ends_unix_ms: i64,
        now_unix_ms: i64,
    ) -> Result<(), VisitorsError> {
        let mut kept = self.kept.clone();
        let remembered = |link: &Link| link.ends_unix_ms.saturating_add(REMEMBERED_MS);
        kept.links.retain(|link| remembered(link) > now_unix_ms);
        if kept.links.len() >= KEPT_MAX {
            return Err(VisitorsError::TooManyLinks);
        }
        kept.links.push(Link {
            code_sha256: hash(code),
            member: member.to_owned(),
            role,
            ends_unix_ms,
            used: false,
        });
        self.replace(kept)
    }

    /// Whether a code would let somebody in, and whom; spends nothing.
    ///
    /// # Errors
    /// When it would not.
    pub fn look(&self, code: &[u8], now_unix_ms: i64) -> Result<(&str, PageRole), NotLetIn> {
        let link = &self.kept.links[self.find(code, now_unix_ms)?];
        Ok((&link.member, link.role))
    }

    /// Spends a link and begins a session under a new token; durable when this returns.
    ///
    /// # Errors
    /// When the file cannot be written or too many are signed in. A code that lets nobody in is the
    /// inner error.
    pub fn let_in(
        &mut self,
        code: &[u8],
        token: &[u8; TOKEN_BYTES],
        now_unix_ms: i64,
    ) -> Result<Result<Visitor, NotLetIn>, VisitorsError> {
        let index = match self.find(code, now_unix_ms) {
            Ok(index) => index,
            Err(why) => return Ok(Err(why)),
        };
        let mut kept = self.kept.clone();
        kept.sessions
            .retain(|session| session.ends(now_unix_ms).is_some());
        if kept.sessions.len() >= KEPT_MAX {
            return Err(VisitorsError::TooManySessions);
        }
        let link = &mut kept.links[index];
        link.used = true;
        let session = Session {
            token_sha256: hash(token),
            member: link.member.clone(),
            role: link.role,
            begun_unix_ms: now_unix_ms,
            used_unix_ms: now_unix_ms,
        };
        let visitor = session.visitor(now_unix_ms);
        kept.sessions.push(session);
        self.replace(kept)?;
        // It has just begun, so it has an end.
        Ok(visitor.ok_or(NotLetIn::Ended))
    }

    /// Who holds a token; none when nobody does or the session has ended.
    #[must_use]
    pub fn who(&self, token: &[u8], now_unix_ms: i64) -> Option<Visitor> {
        self.kept.sessions[self.holder(token)?].visitor(now_unix_ms)
    }

    /// Notes that a session is used; written down now and then.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn used(&mut self, token: &[u8], now_unix_ms: i64) -> Result<(), VisitorsError> {
        let Some(index) = self.holder(token) else {
            return Ok(());
        };
        let session = &self.kept.sessions[index];
        let since = now_unix_ms.saturating_sub(session.used_unix_ms);
        if since < NOTED_EVERY_MS || session.ends(now_unix_ms).is_none() {
            return Ok(());
        }
        let mut kept = self.kept.clone();
        kept.sessions[index].used_unix_ms = now_unix_ms;
        self.replace(kept)
    }

    /// Everybody who is signed in, the earliest first.
    #[must_use]
    pub fn signed_in(&self, now_unix_ms: i64) -> Vec<Visitor> {
        let sessions = self.kept.sessions.iter();
        sessions
            .filter_map(|session| session.visitor(now_unix_ms))
            .collect()
    }

    /// Ends the sessions that `which` says; gives how many. Durable when this returns.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn end(
        &mut self,
        which: impl Fn(&Visitor) -> bool,
        now_unix_ms: i64,
    ) -> Result<usize, VisitorsError> {
        let mut kept = self.kept.clone();
        let goes_on = |session: &Session| {
            let visitor = session.visitor(now_unix_ms);
            visitor.is_some_and(|visitor| !which(&visitor))
        };
        let open = self.signed_in(now_unix_ms).len();
        kept.sessions.retain(goes_on);
        let ended = open - kept.sessions.len();
        self.replace(kept)?;
        Ok(ended)
    }

    fn find(&self, code: &[u8], now_unix_ms: i64) -> Result<usize, NotLetIn> {
        let wanted = hash(code);
        let links = self.kept.links.iter();
        let hashes = links.map(|link| link.code_sha256.as_str());
        let index = position(hashes, &wanted).ok_or(NotLetIn::Unknown)?;
        let link = &self.kept.links[index];
        match link {
            Link { used: true, .. } => Err(NotLetIn::Used),
            Link { ends_unix_ms, .. } if *ends_unix_ms <= now_unix_ms => Err(NotLetIn::Ended),
            Link { .. } => Ok(index),
        }
    }

    fn holder(&self, token: &[u8]) -> Option<usize> {
        let sessions = self.kept.sessions.iter();
        let hashes = sessions.map(|session| session.token_sha256.as_str());
        position(hashes, &hash(token))
    }

    /// Only once it is on disk the new list counts.
    fn replace(&mut self, kept: File) -> Result<(), VisitorsError> {
        let write = || whole::replace(&self.path, &serde_json::to_vec_pretty(&kept)?);
        write().map_err(|source| VisitorsError::File {
            what: "write",
            path: self.path.clone(),
            source,
        })?;
        self.kept = kept;
        Ok(())
    }
}

/// Compares with every hash, whole.
fn position<'a>(hashes: impl Iterator<Item = &'a str>, wanted: &str) -> Option<usize> {
    let mut found = None;
    for (index, hash) in hashes.enumerate() {
        if same(wanted.as_bytes(), hash.as_bytes()) {
            found = Some(index);
        }
    }
    found
}

fn hash(secret: &[u8]) -> String {
    HEXLOWER.encode(&Sha256::digest(secret))
}

#[cfg(test)]
mod tests;
