//! `init`: founds the county.

use std::io::Write as _;
use std::os::unix::fs::OpenOptionsExt as _;
use std::path::{Path, PathBuf};

use clap::Args;
use data_encoding::HEXLOWER;
use prost::Message as _;
use sponson_client::settings::{Places, SETTINGS_FILE, Settings};
use sponson_client::{CommandError, Surroundings, taken_file};
use sponson_link::Identity;
use sponson_link::founding::{Begun, CutShort, found};
use sponson_link::taken_file::TakenFileError;
use sponson_log::ids::CountyId;
use sponson_log::sign::DeviceKey;
use sponson_proto::event::v1::{Kind, Policy as PolicyMessage};
use sponson_readiness::standard::Policy;
use sponson_replica::{NewEvent, Replica};
use sponson_show::clean;
use sponson_show::terminal::Exit;

use crate::error::CountyError;

/// Found the county: its keys, its log, its first settings for judging.
#[derive(Args, Debug)]
pub struct InitArgs {
    /// Name of the county.
    #[arg(long)]
    name: String,
    /// Where to write the root key, best on a stick; it admits working keys and is kept off this
    /// machine afterwards. `root.key` in the county's folder when not given.
    #[arg(long, value_name = "FILE")]
    root_key: Option<PathBuf>,
}

/// First words of a root key's file.
const ROOT_KEY_HEAD: &str = "sponson root key 1";

/// Greatest file of a root key: its head, 64 digits and two ends of lines have 84 bytes, and some
/// editors add a few.
const ROOT_KEY_BYTES_MAX: u64 = 256;

/// Founds it.
///
/// # Errors
/// When there is a county or a root key already, or something cannot be written; then what was
/// begun is taken away again.
pub fn run(
    args: &InitArgs,
    places: &Places,
    mut settings: Settings,
    surroundings: &mut Surroundings,
) -> Result<Exit, CountyError> {
    let name = args.name.trim();
    if name.is_empty() {
        return Err(CountyError::Command(CommandError::Argument {
            field: "--name",
            value: "empty".to_owned(),
            limit: "give the county's name".to_owned(),
        }));
    }
    take_away_what_was_cut_short(&places.data, surroundings)?;
    if occupied(&places.data)? {
        return Err(CountyError::CountyThere(places.data.clone()));
    }
    let root_file = args
        .root_key
        .clone()
        .unwrap_or_else(|| places.data.join("root.key"));
    let seed = surroundings.entropy.draw::<32>();
    let root = DeviceKey::from_seed(seed);
    let begun = Begun::begin(&places.data, CountyId::of_root(&root.key()), &root_file)?;
    settings.name = Some(name.to_owned());
    let made = write_root_key(&root_file, &seed)
        .and_then(|()| keys_and_log(&root, places, surroundings))
        .and_then(|()| Ok(settings.write(&places.settings)?));
    match made {
        Ok(()) => begun.done()?,
        Err(error) => {
            drop(begun);
            take_away_what_was_cut_short(&places.data, surroundings)?;
            return Err(error);
        }
    }
    let said = format!(
        "founded {} (county {})\n\
         root key: {}\n\
         Take the root key off this machine now and keep two copies of it in safe places.\n\
         Next: adopt boat standards, bring in craft, admit stations, serve.",
        clean(name),
        CountyId::of_root(&root.key()),
        clean(&root_file.display().to_string())
    );
    surroundings.terminal().result(&said)?;
    Ok(Exit::Fine)
}

/// Takes away a founding that was cut short. Half a county is of no use, and its root key would be
/// taken for that of a whole one; one that cannot be reached is named.
fn take_away_what_was_cut_short(
    folder: &Path,
    surroundings: &mut Surroundings,
) -> Result<(), CountyError> {
    let Some(cut) = CutShort::read(folder)? else {
        return Ok(());
    };
    if let Some(file) = &cut.root_file {
        match is_of(file, cut.county) {
            Some(true) => std::fs::remove_file(file)?,
            Some(false) => {}
            None => {
                let line = format!(
                    "a root key at {} would be of no county: delete it if it is there",
                    clean(&file.display().to_string())
                );
                surroundings.terminal().talk(&line)?;
            }
        }
    }
    Ok(CutShort::take_away(folder)?)
}

/// Whether a file holds the root key of a county that was never whole, or the beginning of one;
/// none when that cannot be told, as when a stick
/// is not plugged in.
fn is_of(file: &Path, county: Option<CountyId>) -> Option<bool> {
    let folder_is_there = file.parent().is_some_and(Path::exists);
    if folder_is_there && !file.exists() {
        return Some(false);
    }
    let text = match sponson_link::taken_file::text(file, ROOT_KEY_BYTES_MAX) {
        Ok(text) => text,
        Err(TakenFileError::TooLong(_)) => return Some(false),
        Err(TakenFileError::Unreadable(_)) => return None,
    };
    let whole = text.strip_prefix(ROOT_KEY_HEAD).map(str::trim);
    let seed = whole.and_then(|digits| HEXLOWER.decode(digits.as_bytes()).ok());
    let seed: Option<[u8; 32]> = seed.and_then(|seed| seed.try_into().ok());
    Some(match seed {
        Some(seed) => county == Some(CountyId::of_root(&DeviceKey::from_seed(seed).key())),
        None => text.starts_with(ROOT_KEY_HEAD) || ROOT_KEY_HEAD.starts_with(text.as_str()),
    })
}

/// Whether a folder holds anything but settings.
pub(super) fn occupied(folder: &Path) -> Result<bool, CountyError> {
    match std::fs::read_dir(folder) {
        Ok(entries) => {
            for entry in entries {
                // The settings, or what a cut left of writing them.
                let name = entry?.file_name();
                if !name.to_string_lossy().starts_with(SETTINGS_FILE) {
                    return Ok(true);
                }
            }
            Ok(false)
        }
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => Ok(false),
        Err(error) => Err(error.into()),
    }
}

/// Reads a root key as [`run`] wrote it.
pub(super) fn read_root_key(file: &Path) -> Result<DeviceKey, CountyError> {
    let remedy = "name the file that init wrote";
    let text = taken_file::text("root key", file, ROOT_KEY_BYTES_MAX, remedy)?;
    let digits = text.strip_prefix(ROOT_KEY_HEAD).map(str::trim);
    let seed = digits.and_then(|digits| HEXLOWER.decode(digits.as_bytes()).ok());
    let seed: Option<[u8; 32]> = seed.and_then(|seed| seed.try_into().ok());
    seed.map(DeviceKey::from_seed)
        .ok_or_else(|| CountyError::NoRootKey(file.to_owned()))
}

fn write_root_key(file: &Path, seed: &[u8; 32]) -> Result<(), CountyError> {
    let write = || {
        let mut written = std::fs::OpenOptions::new()
            .write(true)
            .create_new(true)
            .mode(0o600)
            .open(file)?;
        writeln!(written, "{ROOT_KEY_HEAD}\n{}", HEXLOWER.encode(seed))?;
        written.sync_all()
    };
    write().map_err(|source: std::io::Error| {
        if source.kind() == std::io::ErrorKind::AlreadyExists {
            CountyError::RootKeyThere(file.to_owned())
        } else {
            CountyError::RootKey {
                file: file.to_owned(),
                source,
            }
        }
    })
}

fn keys_and_log(
    root: &DeviceKey,
    places: &Places,
    surroundings: &Surroundings,
) -> Result<(), CountyError> {
    let (clock, entropy) = (&surroundings.clock, &surroundings.entropy);
    let working = Identity::create(&places.data, entropy)?;
    let mut replica = found(&places.data, root, &working, clock, entropy)?;
    first_policy(&mut replica, surroundings)
}

/// The built-in settings, with the offset of this machine's local time.
fn first_policy(replica: &mut Replica, surroundings: &Surroundings) -> Result<(), CountyError> {
    let now = surroundings.clock.now();
    let text = with_offset(Policy::default_text(), now.utc_offset_min);
    Policy::parse(&text).map_err(|source| CountyError::Standard {
        name: "the built-in policy".to_owned(),
        source,
    })?;
    let message = PolicyMessage { format: 1, text };
    let event = NewEvent {
        kind: Kind::Policy,
        kind_version: 1,
        payload: message.encode_to_vec(),
        subjects: Vec::new(),
        observed: None,
        member: String::new(),
        texts: Vec::new(),
    };
    replica.append(event, &now)?;
    Ok(())
}

fn with_offset(text: &str, utc_offset_min: i32) -> String {
    let lines = text.lines().map(|line| {
        if line.starts_with("utc_offset_min") {
            format!("utc_offset_min = {utc_offset_min}\n")
        } else {
            format!("{line}\n")
        }
    });
    lines.collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_policy_has_the_local_offset() {
        let text = with_offset(Policy::default_text(), -240);
        assert_eq!(Policy::parse(&text).expect("reads").utc_offset_min, -240);
    }

    #[test]
    fn a_root_key_is_never_written_over() {
        let folder = tempfile::tempdir().expect("a folder");
        let file = folder.path().join("root.key");
        write_root_key(&file, &[7; 32]).expect("writes");
        let again = write_root_key(&file, &[8; 32]).expect_err("there already");
        assert!(matches!(again, CountyError::RootKeyThere(_)), "{again}");
        let text = std::fs::read_to_string(&file).expect("reads");
        assert!(text.starts_with(ROOT_KEY_HEAD) && text.contains("0707"));
    }
}
