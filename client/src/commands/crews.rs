//! `crews`: the crews that a station can raise, and until when.

use clap::Args;
use sponson_proto::event::v1::{CrewsAvailable, Kind, SubjectType};
use sponson_proto::service::v1::AppendSubject;
use sponson_readiness::moment::Moment;
use sponson_show::terminal::Exit;
use sponson_show::units::print;
use sponson_show::{clean, dates, units};

use crate::catalogue::{Catalogue, subject};
use crate::error::CommandError;
use crate::session::{Record, Session};

/// Longest time for which crews are said: whoever means longer says it again, and a slip in the
/// year is seen. A month of shifts has at most 31 days.
const LONGEST_MS: i64 = 31 * 86_400_000;

/// Say what crews this station can raise, and until when.
///
/// After that time, and while nothing is said, answers say 'crew not known'. Said anew it takes the
/// place of what was said before, from its own beginning on.
#[derive(Args, Debug)]
pub struct CrewsArgs {
    /// How many crews; 0 for none.
    crews: u32,
    /// Persons in all of them.
    #[arg(long, value_name = "NUMBER")]
    persons: Option<u32>,
    /// Until then, local time of the county, for example "2026-03-14 18:00".
    #[arg(long, value_name = "TIME", required_unless_present = "hours")]
    until: Option<String>,
    /// For so long, for example 12h, instead of --until.
    #[arg(long = "for", value_name = "LENGTH", conflicts_with = "until")]
    hours: Option<String>,
    /// From then on; from now when not given.
    #[arg(long, value_name = "TIME")]
    from: Option<String>,
    /// Member number of an operator among them. May be given again.
    #[arg(long, value_name = "NUMBER")]
    operator: Vec<String>,
    /// Station, when it is another than this device's.
    #[arg(long, value_name = "NAME")]
    station: Option<String>,
    /// In words.
    #[arg(long)]
    note: Option<String>,
}

/// Records the statement.
///
/// # Errors
/// When a time cannot be, the station is not known, or the service refuses.
pub async fn run(args: &CrewsArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let catalogue = session.catalogue().await?;
    let (station, name) = station(args, &catalogue, session).await?;
    let offset = catalogue.policy().utc_offset_min;
    let (from, until) = times(args, offset, session.now_unix_ms())?;
    if args.crews == 0 && (args.persons.unwrap_or(0) > 0 || !args.operator.is_empty()) {
        return Err(refused(
            "CREWS",
            "0",
            "with no crew there are no persons and no operators: leave those out",
        ));
    }
    let message = CrewsAvailable {
        crews: args.crews,
        persons: args.persons.unwrap_or(0),
        from_unix_ms: from.0,
        until_unix_ms: until.0,
        operators: args
            .operator
            .iter()
            .map(|it| it.trim().to_owned())
            .collect(),
    };
    let record = Record::about([station]).note(args.note.as_deref());
    let event = session
        .record(Kind::CrewsAvailable, &message, record)
        .await?;
    let number = print::count(i64::from(args.crews), "crew");
    let until = print::local(until, offset);
    session.recorded(&format!("{name}: {number} until {until}"), &event)?;
    Ok(Exit::Fine)
}

/// The station that was named, else the device's own.
async fn station(
    args: &CrewsArgs,
    catalogue: &Catalogue,
    session: &mut Session<'_>,
) -> Result<(AppendSubject, String), CommandError> {
    if let Some(name) = &args.station {
        let entry = catalogue.find(&[SubjectType::Station], name)?;
        return Ok((subject(entry), clean(&entry.number)));
    }
    let about = session.about().await?;
    if about.station.is_empty() {
        return Err(refused(
            "--station",
            "not given",
            "name the station that has the crews",
        ));
    }
    let own = AppendSubject {
        id: about.station,
        r#type: SubjectType::Station.into(),
    };
    Ok((own, clean(&about.station_name)))
}

fn times(
    args: &CrewsArgs,
    offset: i32,
    now_unix_ms: i64,
) -> Result<(Moment, Moment), CommandError> {
    let from = match &args.from {
        Some(text) => dates::moment("--from", text, offset)?,
        None => Moment(now_unix_ms),
    };
    let (field, said, until) = match (&args.until, &args.hours) {
        (Some(text), _) => ("--until", text, dates::moment("--until", text, offset)?),
        (None, Some(text)) => {
            let seconds = i64::from(units::span("--for", text)?);
            ("--for", text, from.plus_ms(seconds.saturating_mul(1_000)))
        }
        (None, None) => return Err(refused("--until", "not given", "say until when")),
    };
    if until <= from {
        let limit = format!("it must be after {}", print::local(from, offset));
        return Err(refused(field, said, &limit));
    }
    if until.0 <= now_unix_ms {
        return Err(refused(field, said, "it has passed: give a later time"));
    }
    if until.since(from) > LONGEST_MS {
        return Err(refused(
            field,
            said,
            "crews are said for at most 31 days: say it again then",
        ));
    }
    Ok((from, until))
}

fn refused(field: &str, value: &str, limit: &str) -> CommandError {
    CommandError::Refused {
        field: field.to_owned(),
        value: clean(value),
        limit: limit.to_owned(),
    }
}
