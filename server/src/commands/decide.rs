//! `decide`: what the lead decided about faults that come again, and, where it is wanted, the statement
//! that carries it out.
//!
//! The decision alone changes nothing about a craft. What takes it out of service is recorded by the
//! command that does the same by itself.

use clap::{ArgGroup, Args};
use prost::Message as _;
use sponson_client::CommandError;
use sponson_client::assigning::WHY;
use sponson_client::catalogue::{Catalogue, subject};
use sponson_client::commands::out::{self, OutArgs};
use sponson_client::confirm::yes_or_no;
use sponson_client::deciding::{FaultNamed, fault_named, part_named};
use sponson_client::describe::describe;
use sponson_client::session::{Record, Session};
use sponson_proto::event::v1::{FaultRef, Kind, LeadAction, LeadDecision, SubjectType};
use sponson_proto::service::v1::{AppendSubject, AppendText, CatalogueEntry};
use sponson_show::clean;
use sponson_show::terminal::Exit;

use super::condemn::{self, CondemnArgs, Reason};
use super::hold::{self, HoldArgs};
use crate::error::CountyError;

/// Record what is decided about faults that come again: at one craft, one piece of gear, or a whole
/// model or batch.
///
/// A decision is kept and listed by decisions; by itself it changes nothing about a craft. To take one
/// out of service, condemn it or hold a batch is a statement of its own, which --also records with it.
#[derive(Args, Debug)]
#[command(group = ArgGroup::new("about").required(true).multiple(true).args(["craft", "gear", "model", "batch"]))]
pub struct DecideArgs {
    /// Number of the craft that it is about.
    #[arg(long, value_name = "NUMBER", conflicts_with_all = ["gear", "model", "batch"])]
    craft: Option<String>,
    /// Number of the gear that it is about, for example M3.
    #[arg(long, value_name = "NUMBER", conflicts_with_all = ["model", "batch"])]
    gear: Option<String>,
    /// Model of craft or gear, where it is about all of that model.
    #[arg(long)]
    model: Option<String>,
    /// Maker's batch, where it is about all of that batch.
    #[arg(long)]
    batch: Option<String>,
    /// Part of the boat standard, for example transom; the whole thing when not given.
    #[arg(long)]
    part: Option<String>,
    /// What is decided.
    #[arg(long, value_enum)]
    action: ActionWord,
    /// A fault that it rests on, by its short name, for example 1a2b3c4d-0; one that is over too. May be
    /// given again.
    #[arg(long, value_name = "FAULT")]
    fault: Vec<String>,
    /// Why, in words.
    #[arg(long, value_name = "TEXT")]
    why: Option<String>,
    /// Why it is condemned, where it is.
    #[arg(long, value_enum, required_if_eq("action", "condemn"))]
    reason: Option<Reason>,
    /// Record the statement that carries it out as well: out of service, condemned, held county-wide.
    #[arg(long, conflicts_with = "only_decided")]
    also: bool,
    /// Record the decision alone.
    #[arg(long)]
    only_decided: bool,
}

/// What can be decided.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
enum ActionWord {
    RepairAgain,
    SendToMaker,
    TakeOut,
    Condemn,
    Hold,
    Watch,
}

impl ActionWord {
    const fn message(self) -> LeadAction {
        match self {
            Self::RepairAgain => LeadAction::RepairAgain,
            Self::SendToMaker => LeadAction::SendToMaker,
            Self::TakeOut => LeadAction::TakeOut,
            Self::Condemn => LeadAction::Condemn,
            Self::Hold => LeadAction::HoldBatch,
            Self::Watch => LeadAction::Watch,
        }
    }

    const fn word(self) -> &'static str {
        match self {
            Self::RepairAgain => "repair-again",
            Self::SendToMaker => "send-to-maker",
            Self::TakeOut => "take-out",
            Self::Condemn => "condemn",
            Self::Hold => "hold",
            Self::Watch => "watch",
        }
    }
}

/// The statement that carries a decision out, by the arguments of its own command.
enum Statement {
    Out(OutArgs),
    Condemned(CondemnArgs),
    Held(HoldArgs),
}

impl Statement {
    const fn question(&self) -> &'static str {
        match self {
            Self::Out(_) => "declare it out of service now as well?",
            Self::Condemned(_) => "condemn it now as well, never to be used again?",
            Self::Held(_) => "hold it across the county now as well?",
        }
    }
}

/// Records the decision, and what carries it out where that is wanted.
///
/// # Errors
/// When a name is not known, what is decided does not fit what it is about, nobody says whether it is to
/// be carried out, or the service refuses. Nothing is recorded then.
pub async fn run(args: &DecideArgs, session: &mut Session<'_>) -> Result<Exit, CountyError> {
    let catalogue = session.catalogue().await?;
    let thing = thing(args, &catalogue)?;
    fits(args, thing)?;
    if thing.is_none() {
        hold::check(&held(args), &catalogue)?;
    }
    let message = LeadDecision {
        action: args.action.message().into(),
        faults: faults(args, thing, &catalogue, session).await?,
        part: part(args, thing, &catalogue)?,
        place: None,
        model: trimmed(args.model.as_deref()),
        batch: trimmed(args.batch.as_deref()),
    };
    let carried_out = wanted(args, statement(args, thing), session).await?;
    let about: AppendSubject = match thing {
        Some(thing) => subject(thing),
        None => session.county_subject().await?,
    };
    let mut record = Record::about([about]);
    record.texts.extend(args.why.as_ref().map(|why| AppendText {
        belongs_to: WHY.to_owned(),
        text: why.clone(),
    }));
    let event = session.record(Kind::LeadDecision, &message, record).await?;
    let payload = message.encode_to_vec().into();
    let said = describe(Kind::LeadDecision, &payload, &catalogue);
    let number = thing.map_or_else(String::new, |it| format!("{}: ", clean(&it.number)));
    session.recorded(&format!("{number}{said}"), &event)?;
    match carried_out {
        None => Ok(Exit::Fine),
        Some(Statement::Out(args)) => Ok(out::run(&args, session).await?),
        Some(Statement::Condemned(args)) => condemn::run(&args, session).await,
        Some(Statement::Held(args)) => hold::run(&args, session).await,
    }
}

/// The craft or the gear that it is about; none for a model or a batch.
fn thing<'a>(
    args: &DecideArgs,
    catalogue: &'a Catalogue,
) -> Result<Option<&'a CatalogueEntry>, CountyError> {
    let of_craft = args.craft.as_deref();
    let of_gear = args.gear.as_deref();
    let found = match (of_craft, of_gear) {
        (Some(name), _) => Some(catalogue.find(&[SubjectType::Craft], name)),
        (None, Some(name)) => Some(catalogue.find(&[SubjectType::Gear], name)),
        (None, None) => None,
    };
    Ok(found.transpose().map_err(CommandError::from)?)
}

/// Whether what is decided can be done to what it is about.
fn fits(args: &DecideArgs, thing: Option<&CatalogueEntry>) -> Result<(), CountyError> {
    let limit = match (args.action, thing) {
        (ActionWord::Hold, Some(_)) => {
            "it is about all of a model or a batch: give --model or --batch"
        }
        (ActionWord::TakeOut, None) => {
            "one craft is taken out: give --craft; a whole batch is held"
        }
        (ActionWord::Condemn, None) => "one thing is condemned: give --craft or --gear",
        (ActionWord::TakeOut, Some(thing)) if thing.r#type() != SubjectType::Craft => {
            "a craft is taken out of service: give --craft, or condemn the gear"
        }
        _ => return Ok(()),
    };
    Err(refused("--action", args.action.word(), limit))
}

async fn faults(
    args: &DecideArgs,
    thing: Option<&CatalogueEntry>,
    catalogue: &Catalogue,
    session: &mut Session<'_>,
) -> Result<Vec<FaultRef>, CountyError> {
    let mut faults: Vec<FaultRef> = Vec::new();
    for name in &args.fault {
        let FaultNamed { fault, subjects } = fault_named(name, catalogue, session).await?;
        if let Some(thing) = thing.filter(|thing| !subjects.contains(&thing.id)) {
            let number = clean(&thing.number);
            let limit = format!("it is no fault of {number}: leave it out, or name what it is of");
            return Err(refused("--fault", name, &limit));
        }
        if !faults.contains(&fault) {
            faults.push(fault);
        }
    }
    Ok(faults)
}

/// The part in the words of the sheet: of the craft's, else of any in force.
fn part(
    args: &DecideArgs,
    thing: Option<&CatalogueEntry>,
    catalogue: &Catalogue,
) -> Result<String, CountyError> {
    let Some(name) = args.part.as_deref() else {
        return Ok(String::new());
    };
    if let Some(craft) = thing.filter(|it| it.r#type() == SubjectType::Craft) {
        let standard = catalogue.standard(craft).map_err(CommandError::from)?;
        let part = part_named("--part", name, &standard.standard);
        return Ok(part.map_err(CommandError::from)?);
    }
    hold::known_part(name, catalogue)?;
    Ok(name.trim().to_lowercase())
}

/// What would carry it out, by its own command; none for what no event tells of.
fn statement(args: &DecideArgs, thing: Option<&CatalogueEntry>) -> Option<Statement> {
    let number = || thing.map_or_else(String::new, |it| it.number.clone());
    let why = args.why.clone();
    match (args.action, args.reason) {
        (ActionWord::TakeOut, _) => Some(Statement::Out(OutArgs::mechanical(number(), why))),
        (ActionWord::Condemn, Some(reason)) => {
            Some(Statement::Condemned(CondemnArgs::of(number(), reason, why)))
        }
        (ActionWord::Hold, _) => Some(Statement::Held(held(args))),
        (
            ActionWord::RepairAgain
            | ActionWord::SendToMaker
            | ActionWord::Condemn
            | ActionWord::Watch,
            _,
        ) => None,
    }
}

/// A hold of what the decision is about, for all missions.
fn held(args: &DecideArgs) -> HoldArgs {
    HoldArgs::of(
        args.model.clone(),
        args.batch.clone(),
        args.part.clone(),
        args.why.clone(),
    )
}

/// The statement, where it is to be recorded as well: as said, else as somebody at the terminal says.
async fn wanted(
    args: &DecideArgs,
    statement: Option<Statement>,
    session: &mut Session<'_>,
) -> Result<Option<Statement>, CountyError> {
    let Some(statement) = statement else {
        if args.also {
            let limit = "no statement carries it out: leave out --also";
            return Err(refused("--action", args.action.word(), limit));
        }
        return Ok(None);
    };
    if args.only_decided {
        return Ok(None);
    }
    if args.also {
        return Ok(Some(statement));
    }
    let instead = "--also, or --only-decided";
    let yes = yes_or_no(session, statement.question(), instead).await?;
    Ok(yes.then_some(statement))
}

fn trimmed(word: Option<&str>) -> String {
    word.unwrap_or_default().trim().to_owned()
}

fn refused(field: &str, value: &str, limit: &str) -> CountyError {
    CountyError::Command(CommandError::Refused {
        field: field.to_owned(),
        value: clean(value),
        limit: limit.to_owned(),
    })
}
