//! `restore`: brings the county back from a backup.

use std::fs::OpenOptions;
use std::io::Write as _;
use std::os::unix::fs::OpenOptionsExt as _;
use std::path::{Path, PathBuf};

use clap::Args;
use sponson_client::settings::{Places, SETTINGS_FILE};
use sponson_client::{Surroundings, taken_file};
use sponson_link::Identity;
use sponson_link::county::codes::CODES_FILE;
use sponson_link::founding::STORE_FOLDER;
use sponson_link::identity::{LOG_KEY_FILE, TLS_CERTIFICATE_FILE, TLS_KEY_FILE};
use sponson_link::restoring::{ComesBack, RestoreError, SavedLog, restore};
use sponson_log::sign::DeviceKey;
use sponson_readiness::moment::Moment;
use sponson_show::terminal::Exit;
use sponson_show::units::print;

use super::init::{occupied, read_root_key};
use crate::backup::{Backup, MAGIC};
use crate::error::CountyError;

/// Bring the county back from a backup, into a folder that holds no county.
///
/// It comes back under a new log: stations notice at their next sync, and bring what the county
/// lost since the backup.
#[derive(Args, Debug)]
pub struct RestoreArgs {
    /// The backup.
    file: PathBuf,
    /// File of the root key, which admits a new working key. Without it the county takes in and
    /// answers, and records nothing itself until `renew-key`.
    #[arg(long, value_name = "FILE")]
    root_key: Option<PathBuf>,
}

/// Brings it back: in a folder beside, and only then where it belongs, the keys last.
///
/// # Errors
/// When the folder holds a county, the backup is not whole, or something cannot be written; then
/// nothing is left behind.
pub fn run(
    args: &RestoreArgs,
    places: &Places,
    surroundings: &mut Surroundings,
) -> Result<Exit, CountyError> {
    if occupied(&places.data)? {
        return Err(CountyError::CountyThere(places.data.clone()));
    }
    let root = args.root_key.as_deref().map(read_root_key).transpose()?;
    // As long as it is: a county that could be saved must come back. What is no backup is not read.
    let bytes = taken_file::headed("backup", &args.file, MAGIC, u64::MAX, "choose another file")?;
    let backup = Backup::read(&bytes).map_err(|source| CountyError::NotABackup {
        file: args.file.clone(),
        source,
    })?;
    let saved = SavedLog::read(&backup.log)?;
    let size = saved.size();
    let beside = beside(&places.data);
    if beside.exists() {
        // Of a restore that was cut: nobody has used it.
        std::fs::remove_dir_all(&beside)?;
    }
    let made = bring_back(&beside, &backup, saved, root.as_ref(), surroundings)
        .and_then(|()| move_in(&beside, &places.data))
        .and_then(|()| settings(&backup, &places.settings));
    let _ = std::fs::remove_dir_all(&beside);
    made?;
    surroundings
        .terminal()
        .result(&said(&backup, size, root.is_some()))?;
    Ok(Exit::Fine)
}

fn said(backup: &Backup, size: u64, renewed: bool) -> String {
    let entries = print::count(i64::try_from(size).unwrap_or(i64::MAX), "entry");
    let key = if renewed {
        "It goes on with a new working key, which the root key admitted: take the root key off\n\
         this machine again."
    } else {
        "Without the root key the county records nothing itself: it takes in what stations bring,\n\
         and answers. Bring the root key soon: sponson-county renew-key --root-key FILE"
    };
    format!(
        "restored from a backup of {} UTC: {entries}, under a new log\n\
         What came in since that backup is missing until the stations bring it: have every station\n\
         sync, and look at sponson-county about. Until then a device whose key was ended since\n\
         may connect again, and an admission code that was used since may work once more.\n\
         Never let the old county run beside this one.\n{key}",
        print::local(Moment(backup.unix_ms), 0)
    )
}

/// The folder in which it is made.
fn beside(data: &Path) -> PathBuf {
    let mut name = data.file_name().unwrap_or_default().to_owned();
    name.push(".restoring");
    data.with_file_name(name)
}

fn bring_back(
    folder: &Path,
    backup: &Backup,
    saved: SavedLog,
    root: Option<&DeviceKey>,
    surroundings: &Surroundings,
) -> Result<(), CountyError> {
    let file = |name: &'static str| backup.file(name).ok_or(CountyError::NotInBackup(name));
    let seed: [u8; 32] = file(LOG_KEY_FILE)?
        .try_into()
        .map_err(|_| CountyError::NotInBackup(LOG_KEY_FILE))?;
    let old = DeviceKey::from_seed(seed);
    if old.key() != saved.working_key() {
        return Err(RestoreError::NotSigned("its key is another than the one that signed").into());
    }
    let seed = root.map_or(seed, |_| surroundings.entropy.draw::<32>());
    let (tls_key, certificate) = (file(TLS_KEY_FILE)?, file(TLS_CERTIFICATE_FILE)?);
    let identity = Identity::bring_back(folder, &seed, tls_key, certificate)?;
    let comes_back = match root {
        Some(root) => ComesBack::Renewed {
            root,
            key: identity.log_key(),
            tls_key: identity.tls_key(),
        },
        None => ComesBack::Paused { key: &old },
    };
    let now = surroundings.clock.now();
    let replica = restore(folder, saved, comes_back, &now, &surroundings.entropy)?;
    drop(replica);
    if let Some(codes) = backup.file(CODES_FILE) {
        write(&folder.join(CODES_FILE), codes)?;
    }
    Ok(())
}

fn write(path: &Path, content: &[u8]) -> Result<(), CountyError> {
    let mut file = OpenOptions::new()
        .write(true)
        .create_new(true)
        .mode(0o600)
        .open(path)?;
    file.write_all(content)?;
    Ok(file.sync_all()?)
}

/// Moves everything to where it belongs; the seed of the log key last, whose presence says that
/// the rest is there.
fn move_in(beside: &Path, data: &Path) -> Result<(), CountyError> {
    if !data.exists() {
        std::fs::rename(beside, data)?;
    } else {
        for name in [STORE_FOLDER, TLS_KEY_FILE, TLS_CERTIFICATE_FILE, CODES_FILE] {
            if beside.join(name).exists() {
                std::fs::rename(beside.join(name), data.join(name))?;
            }
        }
        std::fs::File::open(data)?.sync_all()?;
        std::fs::rename(beside.join(LOG_KEY_FILE), data.join(LOG_KEY_FILE))?;
        std::fs::File::open(data)?.sync_all()?;
    }
    let above = data.parent().filter(|above| !above.as_os_str().is_empty());
    Ok(std::fs::File::open(above.unwrap_or(Path::new(".")))?.sync_all()?)
}

/// The settings of the backup, unless there are some already.
fn settings(backup: &Backup, file: &Path) -> Result<(), CountyError> {
    let Some(content) = backup.file(SETTINGS_FILE).filter(|_| !file.exists()) else {
        return Ok(());
    };
    if let Some(folder) = file.parent() {
        std::fs::create_dir_all(folder)?;
    }
    write(file, content)
}
