//! `join`: makes this device known to the county.

use std::path::{Path, PathBuf};

use clap::Args;
use data_encoding::HEXLOWER_PERMISSIVE;
use sponson_link::code::Code;
use sponson_link::founding::STORE_FOLDER;
use sponson_link::{Identity, station};
use sponson_log::ids::{EventId, Key};
use sponson_replica::{Founding, OpenError, Replica};
use sponson_show::clean;
use sponson_show::terminal::Exit;

use crate::error::CommandError;
use crate::settings::{Places, Settings};
use crate::surroundings::Surroundings;

/// Make this device known to the county, with the code that the lead gave.
#[derive(Args, Debug)]
pub struct JoinArgs {
    /// The admission code; it works once.
    code: String,
    /// The county's address, for example county.example:7341.
    #[arg(long, value_name = "HOST:PORT")]
    county: String,
    /// Folder of the device that this one takes over from, when it is still at hand: its newest
    /// entry is named to the county, and what waits in it is said.
    #[arg(long, value_name = "DIR", conflicts_with = "replaces")]
    instead_of: Option<PathBuf>,
    /// What people call this device.
    #[arg(long, default_value = "")]
    device: String,
    /// The key that this device wrote with before, as `salvage` says it.
    #[arg(long, value_name = "KEY")]
    replaces: Option<String>,
    /// The newest entry of that key that the county holds, as `salvage` says it.
    #[arg(long, value_name = "EVENT", requires = "replaces")]
    last: Option<String>,
}

/// Joins: makes the keys and the store of this device, and asks to be admitted. After a lost reply
/// the same command may be given again.
///
/// # Errors
/// When the code is mistyped, the county cannot be reached or refuses, or the folder cannot be
/// written.
pub async fn run(
    args: &JoinArgs,
    places: &Places,
    mut settings: Settings,
    surroundings: &mut Surroundings,
) -> Result<Exit, CommandError> {
    let code = Code::parse(&args.code)?;
    let identity = Identity::load_or_create(&places.data, &surroundings.entropy)?;
    let old = args.instead_of.as_deref().map(Old::read).transpose()?;
    let replaces = match &old {
        Some(old) => Some((old.key, old.head)),
        None => replaces(args)?,
    };
    let joined = station::join(&code, &args.county, &identity, &args.device, replaces).await?;
    let store = places.data.join(STORE_FOLDER);
    let founding = Founding::Station {
        county: joined.county,
    };
    let key = identity.log_key().clone();
    match Replica::create(&store, &founding, key) {
        // A second try after a lost reply finds the store of the first.
        Ok(_) | Err(OpenError::AlreadyThere(_)) => {}
        Err(error) => return Err(error.into()),
    }
    settings.set_county(joined.county, &joined.at);
    settings.write(&places.settings)?;
    let line = format!(
        "joined as {}: sync next, to fetch what the county holds",
        clean(&joined.station_name)
    );
    surroundings.terminal().result(&line)?;
    if let Some(old) = old.filter(|old| old.waiting > 0) {
        surroundings.terminal().talk(&old.still_holds())?;
    }
    Ok(Exit::Fine)
}

/// The key that this device takes over from, and its newest entry.
fn replaces(args: &JoinArgs) -> Result<Option<(Key, Option<EventId>)>, CommandError> {
    let Some(key) = &args.replaces else {
        return Ok(None);
    };
    let key = Key::parse("--replaces", &hex_bytes("--replaces", key)?)
        .map_err(|error| not_whole("--replaces", error.to_string()))?;
    let last = args.last.as_ref().map(|last| {
        EventId::parse("--last", &hex_bytes("--last", last)?)
            .map_err(|error| not_whole("--last", error.to_string()))
    });
    Ok(Some((key, last.transpose()?)))
}

fn hex_bytes(field: &'static str, text: &str) -> Result<Vec<u8>, CommandError> {
    let bytes = HEXLOWER_PERMISSIVE.decode(text.as_bytes());
    bytes.map_err(|_| not_whole(field, text.to_owned()))
}

fn not_whole(field: &'static str, value: String) -> CommandError {
    CommandError::Argument {
        field,
        value,
        limit: "it is 64 hexadecimal digits, as salvage says it".to_owned(),
    }
}

/// The device that this one takes over from, as its folder says.
#[derive(Debug)]
struct Old {
    folder: PathBuf,
    key: Key,
    head: Option<EventId>,
    waiting: u64,
}

impl Old {
    /// Reads a folder; its store is closed again before this returns.
    fn read(folder: &Path) -> Result<Self, CommandError> {
        let identity = Identity::load(folder)?;
        let key = identity.log_key().clone();
        let replica = Replica::open(&folder.join(STORE_FOLDER), key)?;
        let chain = replica.chains().get(&replica.key());
        let heads = chain.into_iter().flat_map(|chain| chain.heads());
        let newest = heads.max_by_key(|(_, seq)| **seq).map(|(id, _)| *id);
        Ok(Self {
            folder: folder.to_owned(),
            key: replica.key(),
            head: newest,
            waiting: replica.about().waiting,
        })
    }

    fn still_holds(&self) -> String {
        let (folder, waiting) = (self.folder.display(), self.waiting);
        format!(
            "{waiting} entries in {folder} are not known to be at the county: carry them there with sponson --folder {folder} carry out. They stay unconfirmed until the lead says how far the old device is good"
        )
    }
}
