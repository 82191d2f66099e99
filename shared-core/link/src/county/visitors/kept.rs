//! Links and sessions as they stand in the file.

use serde::{Deserialize, Serialize};

use super::{BACK_MAX_MS, PageRole, SESSION_MAX_MS, UNUSED_MAX_MS, Visitor};

/// Hexadecimal digits of a token's hash that name a session: enough to tell 200 apart.
const NAME_DIGITS: usize = 8;

/// The file.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct File {
    version: u32,
    pub(super) links: Vec<Link>,
    pub(super) sessions: Vec<Session>,
}

/// A one-time link.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Link {
    pub(super) code_sha256: String,
    pub(super) member: String,
    pub(super) role: PageRole,
    pub(super) ends_unix_ms: i64,
    pub(super) used: bool,
}

/// Somebody who signed in.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Session {
    pub(super) token_sha256: String,
    pub(super) member: String,
    pub(super) role: PageRole,
    pub(super) begun_unix_ms: i64,
    pub(super) used_unix_ms: i64,
}

impl Default for File {
    fn default() -> Self {
        Self {
            version: 1,
            links: Vec::new(),
            sessions: Vec::new(),
        }
    }
}

impl File {
    /// Reads it; says what is wrong with it.
    pub(super) fn parse(bytes: &[u8]) -> Result<Self, String> {
        let file: Self = serde_json::from_slice(bytes).map_err(|error| error.to_string())?;
        if file.version != 1 {
            return Err(format!("version is {}, not 1", file.version));
        }
        Ok(file)
    }
}

impl Session {
    /// When it ends if it is not used any more; none when it has ended.
    pub(super) fn ends(&self, now_unix_ms: i64) -> Option<i64> {
        let unused = self.used_unix_ms.saturating_add(UNUSED_MAX_MS);
        let ends = unused.min(self.begun_unix_ms.saturating_add(SESSION_MAX_MS));
        let earliest = self.begun_unix_ms.saturating_sub(BACK_MAX_MS);
        (earliest..ends).contains(&now_unix_ms).then_some(ends)
    }

    /// Who it is; none when it has ended.
    pub(super) fn visitor(&self, now_unix_ms: i64) -> Option<Visitor> {
        Some(Visitor {
            ends_unix_ms: self.ends(now_unix_ms)?,
            name: self.token_sha256.chars().take(NAME_DIGITS).collect(),
            member: self.member.clone(),
            role: self.role,
            begun_unix_ms: self.begun_unix_ms,
            used_unix_ms: self.used_unix_ms,
        })
    }
}
