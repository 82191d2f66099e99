//! `compact`: the same log in as little room as it needs. At a station and at the county.
//!
//! Works on the folder itself, since a service holds its files open. What is kept stays as it is,
//! byte for byte; nothing is fetched, and nothing is set aside.

use clap::Args;
use sponson_link::Identity;
use sponson_link::founding::STORE_FOLDER;
use sponson_replica::Replica;
use sponson_show::terminal::Exit;

use crate::error::CommandError;
use crate::settings::Places;
use crate::surroundings::Surroundings;

/// Write the log anew in as little room as it needs. Nothing that was recorded changes.
///
/// For when 'about' says that the store takes too much, and after a text was removed that must be
/// off the disk too. End the service first. It takes twice the room while it runs; cut short, it
/// may be given again.
#[derive(Args, Debug)]
pub struct CompactArgs {}

/// Writes it anew.
///
/// # Errors
/// When the log is in use, is not whole, or the disk has no room for a second one meanwhile.
pub fn run(
    _args: &CompactArgs,
    places: &Places,
    surroundings: &mut Surroundings,
) -> Result<Exit, CommandError> {
    let identity = Identity::load(&places.data)?;
    let store = places.data.join(STORE_FOLDER);
    let compacted = Replica::compact(&store, identity.log_key().clone())?;
    let said = format!(
        "the log takes {} of the disk; it took {}. Everything in it is as it was",
        kib(compacted.after),
        kib(compacted.before)
    );
    surroundings.terminal().result(&said)?;
    Ok(Exit::Fine)
}

const KIB: u64 = 1024;

fn kib(bytes: u64) -> String {
    format!("{} KiB", bytes.div_ceil(KIB))
}
