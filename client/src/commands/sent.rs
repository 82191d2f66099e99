//! `sent`: shows again what was shown when a craft was sent, by whom, when and why.

use bytes::Bytes;
use clap::Args;
use prost::Message as _;
use sha2::{Digest as _, Sha256};
use sponson_proto::event::v1::{Assigned, Header, Kind};
use sponson_proto::service::v1::LogLine;
use sponson_readiness::moment::Moment;
use sponson_show::clean;
use sponson_show::terminal::Exit;
use sponson_show::units::print;

use crate::assigning::{LISTED, SHOWN, WHY};
use crate::catalogue::{Catalogue, short_event};
use crate::commands::log;
use crate::error::CommandError;
use crate::session::Session;
use crate::text_beside::{TextBeside, text};

/// Show again what was shown when a craft was sent to an incident: who sent it, when and why, and the
/// report as it was read then, held against its SHA-256.
#[derive(Args, Debug)]
pub struct SentArgs {
    /// A craft by number, for the last time that it was sent; or the entry by its short name.
    pub what: String,
}

/// Shows it.
///
/// # Errors
/// When there is no such assignment, what is kept is not what was signed, or the service fails.
pub async fn run(args: &SentArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let catalogue = session.catalogue().await?;
    let line = match catalogue.craft(&args.what) {
        Ok(craft) => {
            let id = craft.id.clone();
            let newest = log::newest_of(Kind::Assigned, id, session).await?;
            newest
                .ok_or_else(|| refused(&args.what, "it was never sent, as far as is known here"))?
        }
        Err(error) => {
            let found = log::find_event(&args.what, session).await;
            found.map_err(|_| CommandError::from(error))?
        }
    };
    if log::kind(&line) != Kind::Assigned {
        let limit = "this entry is no assignment: see it with log";
        return Err(refused(&args.what, limit));
    }
    let body = log::body(&line).unwrap_or_default();
    let header = body.header.unwrap_or_default();
    let message = Assigned::decode(body.payload).unwrap_or_default();
    let said = whole(&line, &header, &message, &catalogue)?;
    session.terminal().result(&said)?;
    Ok(Exit::Fine)
}

fn refused(what: &str, limit: &str) -> CommandError {
    CommandError::Refused {
        field: "what was sent".to_owned(),
        value: clean(what),
        limit: limit.to_owned(),
    }
}

fn whole(
    line: &LogLine,
    header: &Header,
    message: &Assigned,
    catalogue: &Catalogue,
) -> Result<String, CommandError> {
    let mut lines = head(line, header, message, catalogue);
    for (name, belongs_to, hash) in [
        ("Shown then", SHOWN, &message.report_sha256),
        ("Listed then", LISTED, &message.listed_sha256),
    ] {
        if hash.is_empty() {
            continue;
        }
        lines.push(String::new());
        lines.extend(part(line, header, (name, belongs_to), hash, catalogue)?);
    }
    if message.report_sha256.is_empty() {
        lines.push(format!(
            "Of what was shown only the SHA-256 was kept: {}",
            crate::catalogue::hex(&message.shown_sha256)
        ));
    }
    Ok(lines.join("\n"))
}

/// Who sent what, where, when and why, and what the answer rested on.
fn head(line: &LogLine, header: &Header, message: &Assigned, catalogue: &Catalogue) -> Vec<String> {
    let offset = catalogue.policy().utc_offset_min;
    let zone = print::offset(offset);
    let at = |ms| format!("{} {zone}", print::local(Moment(ms), offset));
    let number = line.numbers.first().map(|it| clean(it)).unwrap_or_default();
    let mission = match clean(&message.mission) {
        mission if mission.is_empty() => String::new(),
        mission => format!(", mission: {mission}"),
    };
    let station = match clean(&line.station) {
        station if station.is_empty() => "county".to_owned(),
        station => station,
    };
    let member = match clean(&line.member) {
        member if member.is_empty() => "member not given".to_owned(),
        member => format!("member {member}"),
    };
    let mut lines = vec![
        format!(
            "{number}: assigned to {}{mission}",
            clean(&message.incident)
        ),
        format!("sent by {member}, {station}, {}", at(line.claimed_unix_ms)),
    ];
    if let Some(why) = text(line, header, WHY) {
        lines.push(format!("why: {}", words(&why, offset)));
    }
    lines.extend(asked(message));
    if let Some(ms) = message.as_of_unix_ms {
        lines.push(format!(
            "judged for {}, by {} entries of the county log and {} beyond it, rules version {}",
            at(ms),
            message.known_size,
            message.known_beyond,
            message.engine
        ));
    }
    lines.push(format!("entry {}", short_event(&line.event_id)));
    lines
}

/// Place and people that were asked about.
fn asked(message: &Assigned) -> Vec<String> {
    let mut lines = Vec::new();
    let place = clean(&message.place);
    let position = message.latitude_e7.zip(message.longitude_e7);
    let position = position.map(|(lat_e7, lon_e7)| {
        print::position(sponson_readiness::conditions::Position { lat_e7, lon_e7 })
    });
    let place: Vec<String> = [Some(place).filter(|it| !it.is_empty()), position]
        .into_iter()
        .flatten()
        .collect();
    if !place.is_empty() {
        lines.push(format!("place: {}", place.join(", ")));
    }
    let people = message.people.iter().map(|it| {
        let lying = if it.lying { " lying" } else { "" };
        format!("{} {}{lying}", it.count, clean(&it.size))
    });
    let people: Vec<String> = people.collect();
    if !people.is_empty() {
        lines.push(format!("people to bring home: {}", people.join(", ")));
    }
    lines
}

/// One text that was shown, held against what was signed.
fn part(
    line: &LogLine,
    header: &Header,
    (name, belongs_to): (&str, &str),
    hash: &Bytes,
    catalogue: &Catalogue,
) -> Result<Vec<String>, CommandError> {
    let offset = catalogue.policy().utc_offset_min;
    let found = text(line, header, belongs_to).unwrap_or(TextBeside::NotHere);
    let TextBeside::Here(shown) = &found else {
        return Ok(vec![format!("{name}: {}", words(&found, offset))]);
    };
    if Sha256::digest(shown.as_bytes()).as_slice() != hash.as_ref() {
        return Err(refused(
            &short_event(&line.event_id),
            "what is kept of it is not what was signed as shown: do not rely on it",
        ));
    }
    let mut lines = vec![format!("{name}, as signed with the assignment:")];
    lines.extend(shown.lines().map(clean));
    Ok(lines)
}

fn words(text: &TextBeside<'_>, offset: i32) -> String {
    match text {
        TextBeside::Here(text) => clean(text),
        TextBeside::Removed(removed) => log::removed_words(removed, offset),
        TextBeside::NotHere => log::NOT_HERE.to_owned(),
    }
}
