//! `renew-key`: the root key admits a new working key of the county.

use std::path::PathBuf;

use clap::Args;
use sponson_client::device::opening;
use sponson_client::settings::Places;
use sponson_client::{CommandError, Surroundings};
use sponson_link::Identity;
use sponson_link::local::Side;
use sponson_link::restoring::renewal;
use sponson_log::sign::DeviceKey;
use sponson_show::clean;
use sponson_show::terminal::Exit;

use super::init::read_root_key;
use crate::error::CountyError;

/// Let the root key admit a new working key of the county, which records from then on.
///
/// Needed after the county was put back to an older state: it does not know how far its key
/// signed. The county must not be serving.
#[derive(Args, Debug)]
pub struct RenewKeyArgs {
    /// File of the root key.
    #[arg(long, value_name = "FILE")]
    root_key: PathBuf,
    /// Where the county's own entries part in two: the first digits of the last right one. What
    /// stands on the other branch does not count any more.
    #[arg(long, value_name = "EVENT")]
    last_good: Option<String>,
}

/// Renews it: the next key is on disk before the log takes it, and takes the old one's place after.
///
/// # Errors
/// When the folder is in use, the root key is another county's, or something cannot be written.
pub async fn run(
    args: &RenewKeyArgs,
    places: &Places,
    surroundings: &mut Surroundings,
) -> Result<Exit, CountyError> {
    let root = read_root_key(&args.root_key)?;
    let seed = surroundings.entropy.draw::<32>();
    let now = surroundings.clock.now();
    let host = opening(places, Side::County, surroundings)
        .host()
        .await
        .map_err(CommandError::from)?;
    let tls_key = host.identity.tls_key();
    let (folder, last_good) = (places.data.clone(), args.last_good.clone());
    let key = DeviceKey::from_seed(seed);
    let id = key.key();
    let renewed = host.shared.call(move |replica| {
        let last_good = last_good.as_deref();
        let events = renewal(replica, &root, id, tls_key, last_good, &now)?;
        Identity::write_next(&folder, &seed)?;
        replica.renew_key(key, events, &now)?;
        Ok::<_, CountyError>(())
    });
    let renewed = renewed.await;
    host.shared.close().await;
    renewed.map_err(|gone| CountyError::Backup(gone.to_string()))??;
    Identity::take_next(&places.data, &id)?;
    let said = format!(
        "the county goes on with a new working key {}\n\
         Take the root key off this machine again.",
        clean(&id.to_string())
    );
    surroundings.terminal().result(&said)?;
    Ok(Exit::Fine)
}
