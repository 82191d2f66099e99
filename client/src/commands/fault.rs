//! `fault`: something is wrong at a part of a craft.

use std::path::PathBuf;

use clap::Args;
use inquire::Confirm;
use sponson_proto::event::v1::{Fault, Kind};
use sponson_proto::service::v1::{AppendPicture, AppendText};
use sponson_show::clean;
use sponson_show::terminal::{Attended, Exit};

use super::picture;
use super::sign_off::list;
use crate::catalogue::{short_event, subject};
use crate::check_file::{CheckFileError, FaceWord, FaultLine, SeverityWord, SideWord, fault_found};
use crate::error::CommandError;
use crate::session::{Record, Session};
use crate::under_way::asking::broken_off;

/// Record something wrong at a part of a craft.
///
/// Prints the fault's short name, by which repair and sign-off name it.
#[derive(Args, Debug)]
pub struct FaultArgs {
    /// Number of the craft.
    craft: String,
    /// Part of its boat standard, for example tube-2.
    part: String,
    /// Class of fault, for example leak, tear, seam-open, corrosion.
    class: String,
    /// How bad it is.
    #[arg(long, value_enum)]
    severity: SeverityWord,
    /// Side of the craft.
    #[arg(long, value_enum)]
    side: Option<SideWord>,
    /// Distance forward of the transom, for example 40cm.
    #[arg(long, value_name = "LENGTH")]
    from_transom: Option<String>,
    /// Face of the part.
    #[arg(long, value_enum)]
    face: Option<FaceWord>,
    /// Mission that it rules out, for a restrictive fault; all when none is given. May be given
    /// again.
    #[arg(long)]
    mission: Vec<String>,
    /// Number of the gear that it is on, for example M3.
    #[arg(long)]
    gear: Option<String>,
    /// In words.
    #[arg(long)]
    note: Option<String>,
    /// A picture of it, a JPEG: made small, and what the camera wrote beside it left out. May be given
    /// again.
    #[arg(long, value_name = "FILE")]
    picture: Vec<PathBuf>,
}

/// What a fault of a check file is called in refusals; none of its fields is typed by that name.
const FILE_PLACE: &str = "fault";

/// A refusal in the words of this command: its arguments, not the fields of a check file.
fn as_typed(error: CheckFileError) -> CheckFileError {
    let named = |text: &str| {
        let fields = [
            ("part", "PART"),
            ("class", "CLASS"),
            ("from_transom", "--from-transom"),
            ("missions", "--mission"),
            ("gear", "--gear"),
        ];
        fields
            .iter()
            .fold(text.to_owned(), |text, (field, argument)| {
                let field = format!("{FILE_PLACE}.{field}");
                match text.strip_prefix(&field) {
                    Some(rest) => format!("{argument}{rest}"),
                    None => text,
                }
            })
    };
    match error {
        CheckFileError::Value {
            place,
            value,
            limit,
        } => CheckFileError::Value {
            place: named(&place),
            value,
            limit,
        },
        CheckFileError::Name { place, what } => CheckFileError::Name {
            place: named(&place),
            what,
        },
        CheckFileError::Quantity(said) => CheckFileError::Quantity(named(&said)),
        CheckFileError::Unreadable(_) | CheckFileError::OtherCraft { .. } => error,
    }
}

/// Records the fault.
///
/// # Errors
/// When a value cannot be, a name is not known, or the service refuses.
pub async fn run(args: &FaultArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let catalogue = session.catalogue().await?;
    let craft = catalogue.craft(&args.craft)?;
    let standard = catalogue.standard(craft)?.standard;
    let line = FaultLine {
        part: args.part.clone(),
        class: args.class.clone(),
        severity: args.severity,
        side: args.side,
        from_transom: args.from_transom.clone(),
        face: args.face,
        missions: args.mission.clone(),
        gear: args.gear.clone(),
        note: None,
    };
    let found = fault_found(FILE_PLACE, &line, &standard, &catalogue).map_err(as_typed)?;
    let side = args.side.map(SideWord::id).unwrap_or_default();
    let like = catalogue.like(craft, (&found.part, &found.class), side);
    if !like.is_empty() && is_the_same(list(&like), session).await? {
        let said = "nothing was recorded: it is open already";
        session.terminal().result(said)?;
        return Ok(Exit::Fine);
    }
    let mut record = Record::about([subject(craft)]);
    if let Some(number) = &args.gear {
        record.subjects.push(subject(catalogue.gear(number)?));
    }
    record
        .texts
        .extend(args.note.as_ref().map(|note| AppendText {
            belongs_to: "fault:0".to_owned(),
            text: note.clone(),
        }));
    for file in &args.picture {
        let picture = picture::keep(file, session).await?;
        record.pictures.push(AppendPicture {
            belongs_to: "fault:0".to_owned(),
            picture,
        });
    }
    let said = format!(
        "{}: {} at {}",
        clean(&craft.number),
        found.class,
        found.part
    );
    let message = Fault {
        faults: vec![found],
    };
    let event = session.record(Kind::Fault, &message, record).await?;
    let line = format!("{said}: fault {}-0", short_event(&event));
    session.terminal().result(&line)?;
    Ok(Exit::Fine)
}

/// Asks whoever sits at the terminal; where nobody does, it is another one: no fault is lost.
async fn is_the_same(like: String, session: &mut Session<'_>) -> Result<bool, CommandError> {
    if session.terminal().attended() != Attended::Yes {
        return Ok(false);
    }
    let asking = tokio::task::spawn_blocking(move || {
        Confirm::new(&clean(&format!(
            "open already: {like}. The same as this one?"
        )))
        .with_default(false)
        .with_help_message("yes leaves it at that; no records another one")
        .prompt()
        .map_err(broken_off)
    });
    asking.await.unwrap_or(Err(CommandError::BrokenOff))
}
