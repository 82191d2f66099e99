//! Files that hold secrets: for this user only, durable once written.

use std::fs;
use std::io::Write as _;
use std::os::unix::fs::{DirBuilderExt as _, OpenOptionsExt as _, PermissionsExt as _};
use std::path::Path;

use super::IdentityError;

pub(super) fn make_folder(folder: &Path) -> Result<(), IdentityError> {
    fs::DirBuilder::new()
        .recursive(true)
        .mode(0o700)
        .create(folder)
        .map_err(|source| file_error("cannot make", folder, source))
}

pub(super) fn write_secret(path: &Path, bytes: &[u8]) -> Result<(), IdentityError> {
    let write = || {
        let mut file = fs::OpenOptions::new()
            .write(true)
            .create_new(true)
            .mode(0o600)
            .open(path)?;
        file.write_all(bytes)?;
        file.sync_all()
    };
    write().map_err(|source| file_error("cannot write", path, source))
}

/// Writes a secret beside its name and then names it: whoever finds the name finds it whole.
pub(super) fn name_secret(beside: &Path, path: &Path, bytes: &[u8]) -> Result<(), IdentityError> {
    if beside.exists() {
        // Of an attempt that was cut: it has no name, so nothing was signed with it.
        fs::remove_file(beside).map_err(|source| file_error("cannot remove", beside, source))?;
    }
    write_secret(beside, bytes)?;
    fs::rename(beside, path).map_err(|source| file_error("cannot move to", path, source))
}

pub(super) fn read_secret(path: &Path) -> Result<Vec<u8>, IdentityError> {
    let failed = |source| file_error("cannot read", path, source);
    let mode = fs::metadata(path).map_err(failed)?.permissions().mode() & 0o777;
    if mode & 0o077 != 0 {
        return Err(IdentityError::Open {
            path: path.to_owned(),
            mode,
        });
    }
    fs::read(path).map_err(failed)
}

pub(super) fn sync_folder(folder: &Path) -> Result<(), IdentityError> {
    fs::File::open(folder)
        .and_then(|opened| opened.sync_all())
        .map_err(|source| file_error("cannot sync", folder, source))
}

pub(super) fn file_error(what: &'static str, path: &Path, source: std::io::Error) -> IdentityError {
    IdentityError::File {
        what,
        path: path.to_owned(),
        source,
    }
}
