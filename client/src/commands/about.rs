//! `about`: what this copy of the log is.

use clap::Args;
use sponson_proto::event::v1::{KeyEndReason, LogBegunReason, Role};
use sponson_proto::service::v1::AboutReply;
use sponson_readiness::moment::Moment;
use sponson_show::clean;
use sponson_show::terminal::Exit;
use sponson_show::units::print;

use crate::catalogue::{Catalogue, hex};
use crate::clock_words;
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
        ("pictures waiting for the county", waiting_pictures(about)),
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
    rows.extend(by_itself(about, now_unix_ms, offset));
    if let Some(off) = about.clock_offset_ms {
        rows.push(("clock", clock_words::measured(off)));
    }
    if let Some(clock) = &about.clock {
        rows.push(("clock now", clock_words::entry(clock, offset)));
    }
    let clocks = about.station_clocks.iter();
    rows.extend(clocks.map(|clock| ("clock of", clock_words::of_station(clock, offset))));
    let roles: Vec<String> = about
        .roles()
        .map(|role| role_word(role).to_owned())
        .collect();
    rows.push(("it may record as", roles.join(", ")));
    if about.own_unconfirmed > 0 {
        rows.push(("unconfirmed of its own", about.own_unconfirmed.to_string()));
    }
    if about.own_dismissed > 0 {
        rows.push(("dismissed of its own", about.own_dismissed.to_string()));
    }
    if about.after_dismissal > 0 {
        rows.push(("from dismissed devices", came_after(about)));
    }
    if let Some(refused) = &about.sync_refused {
        let age = print::ago(Moment(now_unix_ms).since(Moment(refused.unix_ms)));
        rows.push((
            "the county refused the last sync",
            format!("{age}: {}", clean(&refused.words)),
        ));
    }
    if let Some(doubt) = doubt(about) {
        rows.push(("tell the lead", doubt.replace(", ", ",\n  ")));
    }
    rows.extend(begun(about, offset));
    for note in &about.notes {
        rows.push(("note", clean(note)));
    }
    rows.extend(upkeep(about, offset));
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

/// Pictures that wait; empty when none does.
fn waiting_pictures(about: &AboutReply) -> String {
    match about.pictures_waiting {
        0 => String::new(),
        many => many.to_string(),
    }
}

/// How the syncs of a running service stand, and who else was heard.
fn by_itself(about: &AboutReply, now_unix_ms: i64, offset: i32) -> Vec<(&'static str, String)> {
    let mut rows = Vec::new();
    let ago = |ms: i64| print::ago(Moment(now_unix_ms).since(Moment(ms)));
    if let Some(state) = about.sync_state.as_ref().filter(|state| state.by_itself) {
        let next = match (state.now, state.next_unix_ms) {
            (true, _) => "by itself, now".to_owned(),
            (false, Some(next)) => {
                format!("by itself, next at {}", print::local(Moment(next), offset))
            }
            (false, None) => "by itself".to_owned(),
        };
        rows.push(("syncs", next));
        if let Some(tried) = state.tried_unix_ms.filter(|_| !state.failed.is_empty()) {
            let why = format!("{}: {}", ago(tried), clean(&state.failed));
            rows.push(("the last sync did not go through", why));
        }
    }
    for heard in &about.heard {
        let when = heard.unix_ms.map_or_else(|| "never".to_owned(), ago);
        rows.push(("heard", format!("{}, {when}", clean(&heard.station))));
    }
    rows
}

/// How the county log follows another one, and what came back since.
fn begun(about: &AboutReply, offset: i32) -> Vec<(&'static str, String)> {
    let Some(begun) = &about.begun else {
        return Vec::new();
    };
    let when = print::local(Moment(begun.unix_ms), offset);
    let held = begun.old_size;
    let why = match begun.reason() {
        LogBegunReason::Restored => format!("restored from a backup of {held} entries"),
        LogBegunReason::Shown => format!(
            "it had been put back to {held} entries, and had signed for {}",
            begun.shown_size
        ),
        LogBegunReason::Unspecified => format!("after {held} entries"),
    };
    let mut rows = vec![("county log begun anew", format!("{when}, {why}"))];
    for given in &begun.back {
        let back = format!("{} from {}", given.entries, clean(&given.station));
        rows.push(("lost entries that came back", back));
    }
    rows.push(("not heard since", clean(&begun.to_hear.join(", "))));
    rows
}

/// What a crew has to know about its own device: that what it records does not count.
#[must_use]
pub fn doubt(about: &AboutReply) -> Option<String> {
    if about.ended_at.is_some() {
        let why = match about.end_reason() {
            KeyEndReason::Lost => "as lost",
            KeyEndReason::Replaced => "since another took over",
            KeyEndReason::Copied => "as copied or restored",
            KeyEndReason::Retired => "as no longer used",
            KeyEndReason::Unspecified => "without a reason",
        };
        return Some(format!(
            "this device was ended by the lead {why}, what it records since does not count, and it must join again with a new code in an empty folder"
        ));
    }
    about.parted_at.is_some().then(|| {
        "this device was copied or restored, and what it recorded since has to be confirmed by the lead"
            .to_owned()
    })
}

/// What came from devices after the lead had dismissed them.
#[must_use]
pub fn came_after(about: &AboutReply) -> String {
    let (number, came) = (about.after_dismissal, "came from a dismissed device");
    if number == 1 {
        format!("1 more entry {came}: see devices")
    } else {
        format!("{number} more entries {came}: see devices")
    }
}

const fn role_word(role: Role) -> &'static str {
    match role {
        Role::Unspecified => "nobody",
        Role::Crew => "crew",
        Role::Maintenance => "maintenance",
        Role::Coordinator => "coordinator",
        Role::Lead => "lead",
        Role::County => "county",
        Role::Reader => "reader",
    }
}

/// What the store takes of the disk, when it was last checked, and what is wrong with it.
fn upkeep(about: &AboutReply, offset: i32) -> Vec<(&'static str, String)> {
    const MIB: u64 = 1024 * 1024;
    let checked = about
        .checked_unix_ms
        .map(|ms| print::local(Moment(ms), offset));
    let mut rows = vec![("store last checked", checked.unwrap_or_default())];
    if let (Some(disk), Some(free)) = (about.disk_bytes, about.free_bytes) {
        let line = format!("{} MiB, {} MiB left", disk.div_ceil(MIB), free / MIB);
        rows.push(("disk", line));
    }
    if about.pictures > 0 {
        let mb = about.picture_bytes.div_ceil(1_000_000);
        rows.push(("pictures", format!("{}, {mb} MB", about.pictures)));
    }
    if about.pictures_missing > 0 {
        let line = format!("{} (no damage)", about.pictures_missing);
        rows.push(("pictures not here", line));
    }
    let warnings = about.room_warnings.iter();
    rows.extend(warnings.map(|line| ("disk warning", clean(line))));
    let damage = about.damage.iter();
    rows.extend(damage.map(|line| ("STORE DAMAGED", clean(line))));
    rows
}
