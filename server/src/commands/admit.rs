//! `admit`: gives a station an admission code.

use clap::Args;
use sponson_client::CommandError;
use sponson_client::session::Session;
use sponson_client::settings::Settings;
use sponson_proto::event::v1::Role;
use sponson_proto::service::v1::MakeCodeRequest;
use sponson_readiness::moment::Moment;
use sponson_show::clean;
use sponson_show::terminal::Exit;
use sponson_show::units::{self, print};

use crate::devices::Devices;
use crate::error::CountyError;

/// Give a station an admission code, which works once.
#[derive(Args, Debug)]
pub struct AdmitArgs {
    /// Name of the station; registered when there is none of this name.
    station: String,
    /// What its device may sign; crew and maintenance when not given. May be given again.
    #[arg(long, value_enum)]
    role: Vec<RoleWord>,
    /// Device of the station that the new one takes over from, as devices lists it, for one that
    /// was lost or set up anew. Its key ends when the new device joins: what the county holds of it
    /// until then stays good.
    #[arg(long, value_name = "DEVICE")]
    replaces: Option<String>,
    /// Hours for which the code works.
    #[arg(long, default_value_t = 48, value_parser = clap::value_parser!(u32).range(1..=720))]
    hours: u32,
    /// Where the station is, as LATITUDE,LONGITUDE in degrees, for example 44.5012,-92.1034.
    #[arg(long, value_name = "LAT,LON", allow_hyphen_values = true)]
    at: Option<String>,
    /// Elevation of the station, for example 820ft.
    #[arg(long, value_name = "HEIGHT", allow_hyphen_values = true)]
    elevation: Option<String>,
    /// Radio call of the station.
    #[arg(long, default_value = "")]
    call: String,
}

/// A role, as people name it.
#[derive(Clone, Copy, Debug, clap::ValueEnum)]
pub enum RoleWord {
    /// Checks, readings, counts, faults, use, moves, out of service.
    Crew,
    /// Also repairs, sign-offs, inspections, gear fitted.
    Maintenance,
    /// Also assigns and releases.
    Coordinator,
    /// Everything but the registry itself.
    Lead,
    /// Asks and reads, and records nothing: a screen, a program.
    Reader,
}

/// Makes the code.
///
/// # Errors
/// When the name cannot be one, or the service refuses.
pub async fn run(
    args: &AdmitArgs,
    settings: &Settings,
    session: &mut Session<'_>,
) -> Result<Exit, CountyError> {
    let at = args.at.as_deref().map(position).transpose()?;
    let elevation = args
        .elevation
        .as_deref()
        .map(|text| units::elevation("--elevation", text))
        .transpose()
        .map_err(CommandError::from)?;
    let replaces = match &args.replaces {
        Some(name) => Devices::fetch(session).await?.find(name)?.key.clone(),
        None => bytes::Bytes::new(),
    };
    let request = MakeCodeRequest {
        station: args.station.trim().to_owned(),
        roles: args.role.iter().map(|word| role(*word) as i32).collect(),
        hours: args.hours,
        latitude_e7: at.map(|(latitude, _)| latitude),
        longitude_e7: at.map(|(_, longitude)| longitude),
        elevation_mm: elevation,
        call: args.call.clone(),
        replaces_key: replaces,
    };
    let reply = session
        .service()
        .make_code(request)
        .await
        .map_err(CommandError::from)?
        .into_inner();
    let catalogue = session.catalogue().await?;
    let offset = catalogue.policy().utc_offset_min;
    let address = settings.listen.as_deref().unwrap_or("COUNTY-ADDRESS:7341");
    let said = format!(
        "code for {}: {}\nworks once, until {} {}\ntype at the station: sponson join {} --county {}",
        clean(&args.station),
        reply.code,
        print::local(Moment(reply.ends_unix_ms), offset),
        print::offset(offset),
        reply.code,
        clean(address)
    );
    session.terminal().result(&said)?;
    Ok(Exit::Fine)
}

/// The role of a word.
#[must_use]
pub const fn role(word: RoleWord) -> Role {
    match word {
        RoleWord::Crew => Role::Crew,
        RoleWord::Maintenance => Role::Maintenance,
        RoleWord::Coordinator => Role::Coordinator,
        RoleWord::Lead => Role::Lead,
        RoleWord::Reader => Role::Reader,
    }
}

/// Latitude and longitude, degrees times 10,000,000.
fn position(text: &str) -> Result<(i32, i32), CommandError> {
    text.split_once(',')
        .and_then(|(latitude, longitude)| Some((degrees(latitude, 90)?, degrees(longitude, 180)?)))
        .ok_or_else(|| CommandError::Argument {
            field: "--at",
            value: clean(text),
            limit: "give degrees with at most 7 decimals, for example 44.5012,-92.1034".to_owned(),
        })
}

fn degrees(text: &str, most: i32) -> Option<i32> {
    let text = text.trim();
    let (sign, digits) = match text.strip_prefix('-') {
        Some(digits) => (-1, digits),
        None => (1, text),
    };
    let (whole, part) = digits.split_once('.').unwrap_or((digits, ""));
    let all_digits = [whole, part]
        .iter()
        .all(|part| part.bytes().all(|b| b.is_ascii_digit()));
    if whole.is_empty() || part.len() > 7 || !all_digits {
        return None;
    }
    let whole: i32 = whole.parse().ok().filter(|whole| *whole <= most)?;
    let part: i32 = format!("{part:0<7}").parse().ok()?;
    // 180 degrees are 1.8e9, within an i32.
    let value = whole.checked_mul(10_000_000)?.checked_add(part)?;
    (value <= most * 10_000_000).then_some(sign * value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn positions_are_read() {
        for (text, read) in [
            ("44.5012,-92.1034", Some((445_012_000, -921_034_000))),
            ("-90, 180", Some((-900_000_000, 1_800_000_000))),
            ("90.1,0", None),
            ("44.5", None),
            ("44.50120001,0", None),
            ("N44,W92", None),
        ] {
            assert_eq!(position(text).ok(), read, "{text}");
        }
    }
}
