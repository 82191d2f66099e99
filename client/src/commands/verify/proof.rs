//! `verify --proof`: what a proof file shows, and what it does not, in plain words. Reads the file
//! and nothing else.

use std::path::Path;

use sponson_link::code::Code;
use sponson_log::event_proof::{self, Proven};
use sponson_log::ids::{CountyId, Key};
use sponson_log::registry::AdmittedKey;
use sponson_log::trust::{Trust, Unconfirmed};
use sponson_proto::event::v1::{Kind, Role};
use sponson_proto::service::v1::CatalogueReply;
use sponson_readiness::moment::Moment;
use sponson_show::clean;
use sponson_show::terminal::Exit;
use sponson_show::units::print;

use crate::catalogue::Catalogue;
use crate::describe::{fields, kind_words};
use crate::error::CommandError;
use crate::surroundings::Surroundings;

/// Whether the reader said which county is meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Meant {
    Given,
    NotGiven,
}

/// Checks a proof file.
///
/// # Errors
/// When the file cannot be read or does not hold.
pub fn check(
    file: &Path,
    county: Option<&str>,
    surroundings: &mut Surroundings,
) -> Result<Exit, CommandError> {
    let county = county.map(county_meant).transpose()?;
    let bytes = read(file, event_proof::SORT.bytes_max)?;
    let proven = event_proof::check(&bytes, county)?;
    let meant = county.map_or(Meant::NotGiven, |_| Meant::Given);
    let text = words(&proven, meant)?;
    surroundings.terminal().result(&text)?;
    Ok(Exit::Fine)
}

/// Reads a file of a message of at most so many bytes.
pub(super) fn read(file: &Path, message_bytes_max: usize) -> Result<Vec<u8>, CommandError> {
    use std::io::Read as _;
    let unreadable = |source| CommandError::Read {
        file: file.to_owned(),
        source,
    };
    // The head, and one byte more than may be there, so that a file that is too long shows itself.
    let limit = u64::try_from(message_bytes_max).unwrap_or(u64::MAX);
    let opened = std::fs::File::open(file).map_err(unreadable)?;
    let mut bytes = Vec::new();
    opened
        .take(limit.saturating_add(64))
        .read_to_end(&mut bytes)
        .map_err(unreadable)?;
    Ok(bytes)
}

/// The county that is meant: its id or its root key in hexadecimal digits, or an admission code.
pub(super) fn county_meant(text: &str) -> Result<CountyId, CommandError> {
    let typed = text.trim().to_ascii_lowercase();
    if let Ok(bytes) = data_encoding::HEXLOWER.decode(typed.as_bytes()) {
        let id = CountyId::parse("county", &bytes);
        let root = Key::parse("county", &bytes).map(|root| CountyId::of_root(&root));
        if let Ok(county) = id.or(root) {
            return Ok(county);
        }
    }
    Ok(Code::parse(text)?.county())
}

fn words(proven: &Proven, meant: Meant) -> Result<String, CommandError> {
    let nothing = Catalogue::new(CatalogueReply::default());
    let header = proven.event.header();
    let kind = Kind::try_from(header.kind).unwrap_or(Kind::Unspecified);
    let mut lines = vec![
        format!("The proof holds: {}.", counts(proven)),
        String::new(),
        "It proves that".to_owned(),
    ];
    lines.extend(proved(proven, kind, meant));
    lines.push("It does not prove".to_owned());
    lines.extend(not_proved(proven, meant));
    lines.push("The event says".to_owned());
    let about = header
        .subjects
        .iter()
        .map(|subject| format!("about: id {}", subject.id));
    lines.extend(about.map(|line| format!("  {line}")));
    let said = fields(kind, proven.event.payload(), &nothing);
    lines.extend(said.into_iter().map(|line| format!("  {line}")));
    lines.extend(proven.event.beside().iter().map(|content| {
        let text = String::from_utf8_lossy(&content.content);
        format!("  note: {}", clean(&text))
    }));
    Ok(lines.join("\n"))
}

/// Whether the event counts, by what the file shows.
const fn counts(proven: &Proven) -> &'static str {
    match proven.trust {
        Trust::Trusted => "the event counts",
        Trust::Unconfirmed(Unconfirmed::NotAdmitted) => {
            "but the event does not count, for the county had not let its device in"
        }
        Trust::Unconfirmed(Unconfirmed::NoRole) => {
            "but the event does not count, for its device may not record this"
        }
        Trust::Unconfirmed(Unconfirmed::AfterEnd) => {
            "but the event does not count, for the lead ended its device's key before it"
        }
        Trust::Unconfirmed(Unconfirmed::Parted) => {
            "but the event does not count, for its device was restored or copied"
        }
    }
}

fn proved(proven: &Proven, kind: Kind, meant: Meant) -> Vec<String> {
    let header = proven.event.header();
    let checkpoint = &proven.checkpoint;
    let mut lines = vec![
        format!("this event: {}, {}", kind_words(kind), proven.event.id()),
        format!(
            "was signed by {}, as number {} of what its key wrote",
            writer(proven),
            header.seq
        ),
        format!("with the key {}", header.key),
    ];
    if !header.member.is_empty() {
        lines.push(format!("for member {}", clean(&header.member)));
    }
    lines.push(format!(
        "with the role {} at that time",
        role_list(&proven.roles)
    ));
    lines.push(format!("and claims {}", utc(header.clock.unix_ms)));
    if let Some((_, to)) = header.observed {
        lines.push(format!("for what was observed {}", utc(to)));
    }
    let county = match meant {
        Meant::Given => "the county that you named",
        Meant::NotGiven => "the county below",
    };
    lines.push(format!(
        "and was stored by {county} at {},",
        utc(proven.received_unix_ms)
    ));
    lines.push(format!(
        "as entry {} of the {} that it had signed for at {}",
        proven.index + 1,
        checkpoint.size,
        utc(checkpoint.unix_ms)
    ));
    lines.push(format!("county {}", proven.county));
    lines.push(format!("county log {}", checkpoint.log));
    lines.into_iter().map(|line| format!("  {line}")).collect()
}

fn not_proved(proven: &Proven, meant: Meant) -> Vec<String> {
    let mut lines = vec!["that what it says is true".to_owned()];
    if proven.event.header().member.is_empty() {
        lines.push("which person recorded it".to_owned());
    } else {
        lines.push("that this member recorded it: the device takes any number".to_owned());
    }
    if meant == Meant::NotGiven {
        lines.push(
            "that this county is the one you think: compare its id with what about".to_owned(),
        );
        lines.push("  shows at a station, or give that with --county".to_owned());
    }
    let committed = proven.event.header().beside.len();
    if committed > proven.event.beside().len() {
        lines.push("what stood beside it: some of that was dropped".to_owned());
    }
    let (key, admitted) = &proven.vouched_by;
    lines.push("that the county says no more of this device: for that, up to the last".to_owned());
    lines.push(format!(
        "  of those entries, {} vouches, with the key",
        voucher(admitted)
    ));
    lines.push(format!("  {key}"));
    lines.into_iter().map(|line| format!("  {line}")).collect()
}

fn writer(proven: &Proven) -> String {
    match (&proven.admitted, &proven.station) {
        _ if proven.by_root => "the county's root key".to_owned(),
        (None, _) => "a device that this file does not show".to_owned(),
        (Some(admitted), None) => voucher(admitted),
        (Some(admitted), Some((id, name))) => {
            let station = if name.is_empty() {
                format!("station {id}")
            } else {
                clean(name)
            };
            format!("{} of {station}", device(admitted))
        }
    }
}

fn voucher(admitted: &AdmittedKey) -> String {
    match admitted.station {
        Some(_) => device(admitted),
        None if admitted.member.is_empty() => "the county itself".to_owned(),
        None => format!("member {}", clean(&admitted.member)),
    }
}

fn device(admitted: &AdmittedKey) -> String {
    match admitted.device.as_str() {
        "" => "a device".to_owned(),
        name => format!("the device '{}'", clean(name)),
    }
}

fn role_list(roles: &[Role]) -> String {
    if roles.is_empty() {
        return "of nobody whom this file shows".to_owned();
    }
    let words = roles.iter().map(|role| match role {
        Role::Unspecified => "that is not known",
        Role::Crew => "crew",
        Role::Maintenance => "maintenance",
        Role::Coordinator => "coordinator",
        Role::Lead => "lead",
        Role::County => "county",
        Role::Reader => "reader",
    });
    words.collect::<Vec<_>>().join(", ")
}

fn utc(unix_ms: i64) -> String {
    format!("{} UTC", print::local(Moment(unix_ms), 0))
}
