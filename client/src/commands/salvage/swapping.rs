//! Names of folders and keys: what is old is set aside under another name, what is new takes its
//! place. A cut between two renames leaves what the next try begins from.

use std::fs::File;
use std::path::{Path, PathBuf};

use sponson_link::founding::STORE_FOLDER;
use sponson_link::identity::{LOG_KEY_FILE, TLS_CERTIFICATE_FILE, TLS_KEY_FILE};
use sponson_link::{Entropy, Identity};

use super::{FRESH, SCRATCH};
use crate::error::CommandError;

/// How many set-aside folders are looked through for a free name: one each day for ten years.
const SET_ASIDE_MAX: u32 = 4_000;

/// The store to read: the one in place, else the one that a try cut short had set aside last.
pub(super) fn old_store(data: &Path) -> Result<PathBuf, CommandError> {
    let place = data.join(STORE_FOLDER);
    if place.exists() {
        return Ok(place);
    }
    let aside = (1..SET_ASIDE_MAX).map(|number| set_aside(data, STORE_FOLDER, number));
    match aside.take_while(|path| path.exists()).last() {
        Some(newest) => Ok(newest),
        None => {
            std::fs::create_dir_all(&place).map_err(unwritable(&place))?;
            Ok(place)
        }
    }
}

/// Removes what a try that was cut short had made: it held nothing that is not elsewhere.
pub(super) fn remove_left_over(data: &Path) -> Result<(), CommandError> {
    for name in [FRESH, SCRATCH] {
        let path = data.join(name);
        if path.exists() {
            std::fs::remove_dir_all(&path).map_err(unwritable(&path))?;
        }
    }
    Ok(())
}

/// Sets the old store aside and puts the fresh one in its place; says where the old one is.
pub(super) fn swap(data: &Path, old: &Path) -> Result<PathBuf, CommandError> {
    let place = data.join(STORE_FOLDER);
    let aside = if old == place {
        let aside = free(data, STORE_FOLDER)?;
        rename(old, &aside)?;
        aside
    } else {
        old.to_owned()
    };
    rename(&data.join(FRESH), &place)?;
    sync_folder(data)?;
    Ok(aside)
}

/// Sets the keys aside and makes new ones.
pub(super) fn new_keys(data: &Path, entropy: &Entropy) -> Result<Identity, CommandError> {
    let aside = free(data, "keys")?;
    std::fs::create_dir(&aside).map_err(unwritable(&aside))?;
    // The seed first: without it the others belong to nobody, and a next try makes new ones.
    for name in [LOG_KEY_FILE, TLS_KEY_FILE, TLS_CERTIFICATE_FILE] {
        if data.join(name).exists() {
            rename(&data.join(name), &aside.join(name))?;
        }
    }
    sync_folder(&aside)?;
    sync_folder(data)?;
    Ok(Identity::create(data, entropy)?)
}

fn set_aside(data: &Path, name: &str, number: u32) -> PathBuf {
    data.join(format!("{name}.set-aside-{number}"))
}

fn free(data: &Path, name: &str) -> Result<PathBuf, CommandError> {
    let mut names = (1..SET_ASIDE_MAX).map(|number| set_aside(data, name, number));
    names
        .find(|path| !path.exists())
        .ok_or_else(|| CommandError::Refused {
            field: "folder".to_owned(),
            value: format!("{SET_ASIDE_MAX} stores set aside"),
            limit: "move them to another place".to_owned(),
        })
}

fn rename(from: &Path, to: &Path) -> Result<(), CommandError> {
    std::fs::rename(from, to).map_err(unwritable(to))
}

fn sync_folder(folder: &Path) -> Result<(), CommandError> {
    let synced = File::open(folder).and_then(|folder| folder.sync_all());
    synced.map_err(unwritable(folder))
}

fn unwritable(path: &Path) -> impl Fn(std::io::Error) -> CommandError {
    let file = path.to_owned();
    move |source| CommandError::Write {
        file: file.clone(),
        source,
    }
}
