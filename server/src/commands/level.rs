//! `level`: records a level of training that a member holds, and until when.

use clap::Args;
use sponson_client::CommandError;
use sponson_client::session::{Record, Session};
use sponson_log::ids::{CountyId, SubjectId};
use sponson_proto::event::v1::{DateMark, Kind, MemberLevel, SubjectType};
use sponson_proto::service::v1::AppendSubject;
use sponson_show::terminal::Exit;
use sponson_show::{clean, dates};

use crate::error::CountyError;

/// Record a level that a member holds, by member number: no name stands in the log.
///
/// Stated anew it takes the place of the same level stated before; a level that is over is stated
/// with the last day on which it was current.
#[derive(Args, Debug)]
pub struct LevelArgs {
    /// Member number.
    member_number: String,
    /// Level, for example operations or swiftwater-technician.
    level: String,
    /// Last day, month or year in which it is current; without an end when not given.
    #[arg(long, value_name = "DATE")]
    until: Option<String>,
    /// In words.
    #[arg(long)]
    note: Option<String>,
}

/// Records the level.
///
/// # Errors
/// When a value cannot be, or the service refuses.
pub async fn run(args: &LevelArgs, session: &mut Session<'_>) -> Result<Exit, CountyError> {
    let member = args.member_number.trim();
    let level = args.level.trim().to_lowercase().replace(' ', "-");
    let until = args.until.as_deref();
    let until = until
        .map(|text| dates::date_mark("--until", text))
        .transpose()
        .map_err(CommandError::from)?;
    let county = session.county_subject().await?.id;
    let county = CountyId::parse("county id", &county).map_err(|error| CommandError::Refused {
        field: "county id".to_owned(),
        value: format!("{} bytes", error.length),
        limit: "this device holds no county: found or join one".to_owned(),
    })?;
    let subject = AppendSubject {
        id: SubjectId::of_member(&county, member).to_bytes(),
        r#type: SubjectType::Member.into(),
    };
    let message = MemberLevel {
        member: member.to_owned(),
        level: level.clone(),
        until: until.map(|mark| DateMark {
            year: mark.year.unsigned_abs(),
            month: mark.month.unwrap_or(0),
            day: mark.day.unwrap_or(0),
        }),
    };
    let record = Record::about([subject]).note(args.note.as_deref());
    let event = session.record(Kind::MemberLevel, &message, record).await?;
    let end = until.map_or_else(
        || "without an end".to_owned(),
        |_| {
            format!(
                "until {}",
                clean(args.until.as_deref().unwrap_or_default().trim())
            )
        },
    );
    let said = format!("member {}: {}, {end}", clean(member), clean(&level));
    session.recorded(&said, &event)?;
    Ok(Exit::Fine)
}
