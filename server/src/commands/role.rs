//! `role`: gives a device other roles.

use bytes::Bytes;
use clap::Args;
use sponson_client::CommandError;
use sponson_client::session::{Record, Session};
use sponson_proto::event::v1::{Kind, RoleGiven};
use sponson_show::clean;
use sponson_show::terminal::Exit;

use super::admit::{RoleWord, role};
use crate::devices::{Devices, called, roles};
use crate::error::CountyError;

/// Give a device other roles, from the entry on that follows those held here. Earlier ones keep
/// the roles that they had.
#[derive(Args, Debug)]
pub struct RoleArgs {
    /// The device, as devices lists it, for example "North Landing/1".
    device: String,
    /// What it may sign from now on; replaces what it had.
    #[arg(required = true, value_enum)]
    role: Vec<RoleWord>,
}

/// Records the roles.
///
/// # Errors
/// When the device is not known, its entries part in two, or the service refuses.
pub async fn run(args: &RoleArgs, session: &mut Session<'_>) -> Result<Exit, CountyError> {
    let devices = Devices::fetch(session).await?;
    let device = devices.find(&args.device)?;
    if !device.admitted || device.ended_at.is_some() || device.working {
        return Err(refused(
            &called(device),
            "it is not an admitted device of a station: admit it with a code",
        ));
    }
    let (from_seq, after) = match device.heads.as_slice() {
        [] => (1, Bytes::new()),
        [head] => (head.seq.saturating_add(1), head.event_id.clone()),
        [_, _, ..] => {
            return Err(refused(
                &called(device),
                "its entries part in two, so there is no next one: revoke it, and admit the device anew",
            ));
        }
    };
    let given: Vec<_> = args.role.iter().map(|word| role(*word)).collect();
    let message = RoleGiven {
        key: device.key.clone(),
        roles: given.iter().map(|role| i32::from(*role)).collect(),
        from_seq,
        after,
    };
    let event = session
        .record(Kind::RoleGiven, &message, Record::default())
        .await?;
    let mut said = format!(
        "{}: {} from its entry {from_seq} on",
        called(device),
        roles(given)
    );
    if device.unconfirmed > 0 {
        said.push_str(
            "\nwhat it recorded before stays unconfirmed: dismiss it, or have it recorded again",
        );
    }
    session.recorded(&said, &event)?;
    Ok(Exit::Fine)
}

fn refused(device: &str, limit: &str) -> CountyError {
    CountyError::Command(CommandError::Refused {
        field: "DEVICE".to_owned(),
        value: clean(device),
        limit: limit.to_owned(),
    })
}
