//! `devices`: the keys of stations and of the county, and how far what they signed counts.

use clap::Args;
use sponson_client::session::Session;
use sponson_proto::service::v1::Device;
use sponson_readiness::moment::Moment;
use sponson_show::table::columns;
use sponson_show::terminal::Exit;
use sponson_show::units::print;

use crate::devices::{Devices, called, counts, roles};
use crate::error::CountyError;

/// Show the devices that stations record with: since when, with which roles, when last heard, and
/// how far what they recorded counts.
#[derive(Args, Debug)]
pub struct DevicesArgs {}

const HEADERS: [&str; 6] = [
    "device",
    "roles",
    "admitted",
    "last heard",
    "entries",
    "what counts",
];

/// Shows them.
///
/// # Errors
/// When the service fails.
pub async fn run(_args: &DevicesArgs, session: &mut Session<'_>) -> Result<Exit, CountyError> {
    let offset = session.catalogue().await?.policy().utc_offset_min;
    let devices = Devices::fetch(session).await?;
    let rows: Vec<Vec<String>> = devices
        .in_order()
        .into_iter()
        .map(|device| row(device, offset))
        .collect();
    session.terminal().result(&columns(&HEADERS, &rows))?;
    Ok(Exit::Fine)
}

fn row(device: &Device, offset: i32) -> Vec<String> {
    let at = |ms: Option<i64>| ms.map_or_else(String::new, |ms| print::local(Moment(ms), offset));
    let name = if device.working {
        "county".to_owned()
    } else {
        called(device)
    };
    let newest = device.heads.iter().map(|head| head.seq).max();
    vec![
        name,
        roles(device.roles()),
        device
            .admitted_unix_ms
            .map_or_else(String::new, |ms| print::local_day(Moment(ms), offset)),
        if device.working {
            "here".to_owned()
        } else {
            at(device.heard_unix_ms)
        },
        newest.unwrap_or(0).to_string(),
        counts(device),
    ]
}
