//! `salvage`: the way back from a store that is damaged.
//!
//! Works on the folder itself, since there is nothing that a service could open. The old store is
//! set aside under another name and never deleted.

mod filling;
mod report;
mod swapping;

use std::path::{Path, PathBuf};

use clap::Args;
use sponson_link::Identity;
use sponson_link::founding::STORE_FOLDER;
use sponson_log::ids::CountyId;
use sponson_replica::{Replica, Salvaged, StoreOf, TailDoubt};
use sponson_show::terminal::Exit;

use crate::error::CommandError;
use crate::settings::{Places, Settings, SettingsError};
use crate::surroundings::Surroundings;

/// Build a fresh store from what can still be read of a damaged one, from carry files, and from
/// the county. The old one is set aside, never deleted.
#[derive(Args, Debug)]
pub struct SalvageArgs {
    /// A carry file to fill it from as well; may be given more than once.
    #[arg(long = "carry", value_name = "FILE")]
    carry: Vec<PathBuf>,
    /// Build a fresh store though the old one is whole, and set that aside. To have it written anew in
    /// less room, use `compact`.
    #[arg(long)]
    anew: bool,
    /// Do not meet the county.
    #[arg(long)]
    offline: bool,
}

/// Folder of the fresh store while it is filled.
const FRESH: &str = "store.new";

/// Folder of the copy that is read.
const SCRATCH: &str = "store.copy";

/// Salvages. Cut short anywhere, it may be given again.
///
/// # Errors
/// When the folder is in use, is the county's, or cannot be written.
pub async fn run(
    args: &SalvageArgs,
    places: &Places,
    settings: &Settings,
    surroundings: &mut Surroundings,
) -> Result<Exit, CommandError> {
    if settings.county.is_none() && settings.name.is_none() {
        return Err(SettingsError::NotJoined.into());
    }
    let data = &places.data;
    let old = swapping::old_store(data)?;
    if !args.anew && old.ends_with(STORE_FOLDER) && is_whole(&old, data) {
        let line = "the store is whole: nothing was done";
        surroundings.terminal().result(line)?;
        return Ok(Exit::Fine);
    }
    swapping::remove_left_over(data)?;
    let read = Salvaged::read(&old, &data.join(SCRATCH))?;
    refuse_county(&read, settings)?;
    let job = filling::Job {
        data: data.clone(),
        identity: Identity::load_or_create(data, &surroundings.entropy)?,
        carry: args.carry.clone(),
        county_id: county_id(&read, settings)?,
        county: settings.station_side().ok().filter(|_| !args.offline),
        read,
    };
    let filled = filling::fill(job, surroundings).await?;
    let set_aside = swapping::swap(data, &old)?;
    let text = report::text(&filled, &set_aside, settings);
    surroundings.terminal().result(&text)?;
    Ok(match filled.key {
        NewKey::NotNeeded if filled.left == 0 => Exit::Fine,
        NewKey::NotNeeded | NewKey::Made(_) | NewKey::HadOne => Exit::Store,
    })
}

/// Whether the device has another key than the one that wrote the old store.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum NewKey {
    /// It writes on with its own.
    NotNeeded,
    /// It was given one, since the end of its chain is in doubt.
    Made(TailDoubt),
    /// It had one already: the old one was lost, or an earlier try was cut short.
    HadOne,
}

/// Whether there is nothing to salvage.
fn is_whole(store: &Path, data: &Path) -> bool {
    let Ok(identity) = Identity::load(data) else {
        return false;
    };
    let opened = Replica::open(store, identity.log_key().clone());
    opened.is_ok_and(|replica| replica.verify(&mut |_, _| {}).is_whole())
}

/// The county's own log has another way back: what it holds has an order that only it knows.
fn refuse_county(read: &Salvaged, settings: &Settings) -> Result<(), CommandError> {
    let county = read
        .whose
        .is_some_and(|whose| whose.role == StoreOf::County);
    if county || (read.whose.is_none() && settings.name.is_some()) {
        return Err(CommandError::Refused {
            field: "folder".to_owned(),
            value: "the county's".to_owned(),
            limit: "its way back is its backup, brought back into a new folder, and what its \
                    stations send again"
                .to_owned(),
        });
    }
    Ok(())
}

fn county_id(read: &Salvaged, settings: &Settings) -> Result<CountyId, CommandError> {
    let known = read.county().or_else(|| settings.county_id());
    known.ok_or_else(|| CommandError::Refused {
        field: "store".to_owned(),
        value: "not readable at all".to_owned(),
        limit: "not even its county is known: set the folder aside, and join into a new one with \
                a new code"
            .to_owned(),
    })
}
