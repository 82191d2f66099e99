//! `about`: what this copy of the log is.

use clap::Args;
use sponson_proto::service::v1::AboutReply;
use sponson_readiness::moment::Moment;
use sponson_show::clean;
use sponson_show::terminal::Exit;
use sponson_show::units::print;

use crate::catalogue::{Catalogue, hex};
use crate::error::CommandError;
use crate::session::Session;

/// Show what this copy of the log is, what waits to be sent, and when it last met the county.
#[derive(Args, Debug)]
pub struct AboutArgs {}

/// Shows it.
///
/// # Errors
/// When the service fails.
pub async fn run(_args: &AboutArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let catalogue = session.catalogue().await?;
    let about = session.about().await?;
    let now = session.now_unix_ms();
    session.terminal().result(&text(&about, &catalogue, now))?;
    Ok(Exit::Fine)
}

fn text(about: &AboutReply, catalogue: &Catalogue, now_unix_ms: i64) -> String {
    let offset = catalogue.policy().utc_offset_min;
    let synced = about.last_sync_unix_ms.map_or_else(
        || "never".to_owned(),
        |ms| {
            let age = print::ago(Moment(now_unix_ms).since(Moment(ms)));
            format!("{} ({age})", print::local(Moment(ms), offset))
        },
    );
    let key = if about.admitted {
        hex(&about.key)
    } else {
        format!(
            "{}\n  not admitted as far as is known here",
            hex(&about.key)
        )
    };
    let mut rows = vec![
        ("station", clean(&about.station_name)),
        ("events held", about.events.to_string()),
        ("waiting for the county", about.waiting.to_string()),
        ("last met the county", synced),
        ("county", hex(&about.county_id)),
        (
            "county log",
            format!("{} of {}", about.county_size, hex(&about.log_id)),
        ),
        ("its root", hex(&about.root)),
        ("device's key", key),
        ("version", clean(&about.version)),
    ];
    if let Some(off) = about.clock_offset_ms {
        rows.push(("clock against the county", format!("{off} ms")));
    }
    if about.parted_at.is_some() {
        rows.push((
            "tell the lead",
            "this device was copied or restored, and what it\n  recorded since has to be confirmed"
                .to_owned(),
        ));
    }
    let lines = rows.iter().filter(|(_, value)| !value.is_empty());
    let lines: Vec<String> = lines
        .map(|(name, value)| format!("{name}: {value}"))
        .collect();
    let standards = catalogue.standards().map(|held| {
        format!(
            "boat standard: {} revision {}",
            clean(&held.model),
            held.revision
        )
    });
    lines
        .into_iter()
        .chain(standards)
        .collect::<Vec<_>>()
        .join("\n")
}
