//! `repair`: work done on faults, which stay open until a sign-off.

use clap::Args;
use inquire::Confirm;
use sponson_proto::event::v1::{FaultRef, Hold, HoldType, Kind, Repair};
use sponson_proto::service::v1::{AppendSubject, CatalogueEntry, CatalogueFault};
use sponson_readiness::standard::Cure;
use sponson_show::terminal::{Attended, Exit};
use sponson_show::{clean, units};

use crate::catalogue::{Catalogue, short_fault, subject};
use crate::check_file::place;
use crate::error::CommandError;
use crate::session::{Record, Session};
use crate::times;
use crate::under_way::asking::broken_off;

/// Record work done on faults. They stay open until somebody entitled signs them off.
#[derive(Args, Debug)]
pub struct RepairArgs {
    /// Number of the craft.
    craft: String,
    /// Short names of the faults, as fault and log print them, for example 1a2b3c4d-0.
    #[arg(required_unless_present = "all_at")]
    fault: Vec<String>,
    /// All open faults at this part.
    #[arg(long, value_name = "PART", conflicts_with = "fault")]
    all_at: Option<String>,
    /// How, for example patch-two-part, seam-reglued, welded, part-replaced.
    #[arg(long)]
    method: String,
    /// Part, when it is another than the first fault's.
    #[arg(long)]
    part: Option<String>,
    /// Batch of the adhesive.
    #[arg(long, value_name = "BATCH")]
    adhesive: Option<String>,
    /// Not to be inflated for so long from now, for example 24h.
    #[arg(long, value_name = "TIME")]
    no_inflate: Option<String>,
    /// Not to be put in the water for so long from now, for example 72h.
    #[arg(long, value_name = "TIME")]
    no_launch: Option<String>,
    /// Leave out the rest that the county's settings propose for the method.
    #[arg(long)]
    no_cure: bool,
    /// In words.
    #[arg(long)]
    note: Option<String>,
}

/// Records the repair.
///
/// # Errors
/// When a value cannot be, a name is not known, or the service refuses.
pub async fn run(args: &RepairArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let catalogue = session.catalogue().await?;
    let craft = catalogue.craft(&args.craft)?;
    let faults = chosen(&catalogue, craft, &args.fault, args.all_at.as_deref())?;
    let part = match (&args.part, faults.first()) {
        (Some(name), _) => place("--part", name, &catalogue.standard(craft)?.standard)?,
        (None, Some(first)) => first.part.clone(),
        (None, None) => String::new(),
    };
    let method = args.method.trim().to_lowercase().replace(' ', "-");
    let mut holds = Vec::new();
    for (field, kind, time) in [
        ("--no-inflate", HoldType::Inflate, &args.no_inflate),
        ("--no-launch", HoldType::Launch, &args.no_launch),
    ] {
        let Some(time) = time else { continue };
        holds.push(Hold {
            r#type: kind as i32,
            duration_s: times::of_rest(field, time)?,
        });
    }
    let proposed = proposed(args, &method, &catalogue);
    let taken = !proposed.holds.is_empty() && is_taken(&proposed, session).await?;
    if taken {
        holds.extend(proposed.holds.iter().copied());
    }
    let message = Repair {
        faults: faults.iter().map(|fault| reference(fault)).collect(),
        part,
        method,
        adhesive_batch: args.adhesive.clone().unwrap_or_default(),
        holds,
    };
    let record = Record::about(subjects(&catalogue, craft, &faults)).note(args.note.as_deref());
    let names: Vec<String> = faults.iter().map(|fault| short_fault(fault)).collect();
    let event = session.record(Kind::Repair, &message, record).await?;
    let said = format!(
        "{}: repair of {} recorded; open until signed off",
        clean(&craft.number),
        names.join(", ")
    );
    session.recorded(&said, &event)?;
    if taken {
        let line = format!(
            "{}; the maker of the glue decides, and --no-cure leaves it out",
            proposed.said
        );
        session.terminal().result(&line)?;
    }
    Ok(Exit::Fine)
}

/// Rest that the county's settings propose.
#[derive(Debug, Default)]
struct Proposed {
    holds: Vec<Hold>,
    said: String,
}

/// The longest rest that a method wants on any fabric, as far as nobody said it.
fn proposed(args: &RepairArgs, method: &str, catalogue: &Catalogue) -> Proposed {
    if args.no_cure {
        return Proposed::default();
    }
    let cures: Vec<_> = catalogue.policy().faults.cures_of(method, "").collect();
    let open = [
        (HoldType::Inflate, "inflated", args.no_inflate.is_none()),
        (HoldType::Launch, "in the water", args.no_launch.is_none()),
    ];
    let mut proposed = Proposed::default();
    let mut said = Vec::new();
    let mut sources = Vec::new();
    for (kind, words, is_open) in open {
        let time = |cure: &&Cure| match kind {
            HoldType::Launch => cure.launch_s,
            HoldType::Inflate | HoldType::Unspecified => cure.inflate_s,
        };
        let Some(longest) = cures.iter().copied().max_by_key(time).filter(|_| is_open) else {
            continue;
        };
        let duration_s = time(&longest);
        proposed.holds.push(Hold {
            r#type: kind as i32,
            duration_s,
        });
        let span = units::print::span(i64::from(duration_s) * 1_000);
        said.push(format!("not {words} for {span}"));
        if !sources.contains(&longest.cited.source) {
            sources.push(longest.cited.source.clone());
        }
    }
    let sources = clean(&sources.join("; "));
    proposed.said = format!("rests, from now: {} ({sources})", said.join(", "));
    proposed
}

/// Whether the rest is recorded: somebody at a terminal is asked, else it is.
async fn is_taken(proposed: &Proposed, session: &mut Session<'_>) -> Result<bool, CommandError> {
    if session.terminal().attended() != Attended::Yes {
        return Ok(true);
    }
    let question = clean(&format!("{}: record it?", proposed.said));
    let asking = tokio::task::spawn_blocking(move || {
        Confirm::new(&question)
            .with_default(true)
            .with_help_message("no records the repair without a rest")
            .prompt()
            .map_err(broken_off)
    });
    asking.await.unwrap_or(Err(CommandError::BrokenOff))
}

/// The open faults that were named one by one, or all those at a part.
pub(crate) fn chosen<'a>(
    catalogue: &'a Catalogue,
    craft: &'a CatalogueEntry,
    names: &[String],
    all_at: Option<&str>,
) -> Result<Vec<&'a CatalogueFault>, CommandError> {
    let Some(name) = all_at else {
        return named(catalogue, craft, names);
    };
    let part = place("--all-at", name, &catalogue.standard(craft)?.standard)?;
    let mut faults = catalogue.faults(craft);
    faults.retain(|fault| fault.part == part);
    if faults.is_empty() {
        return Err(CommandError::Refused {
            field: "--all-at".to_owned(),
            value: part,
            limit: format!("{} has no open fault there", clean(&craft.number)),
        });
    }
    Ok(faults)
}

/// Finds open faults by their short names.
fn named<'a>(
    catalogue: &'a Catalogue,
    craft: &'a CatalogueEntry,
    names: &[String],
) -> Result<Vec<&'a CatalogueFault>, CommandError> {
    let mut found: Vec<&CatalogueFault> = Vec::new();
    for name in names {
        let fault = catalogue.fault(craft, name)?;
        if !found.contains(&fault) {
            found.push(fault);
        }
    }
    Ok(found)
}

/// The craft, and the gear on it that has one of the faults.
pub(crate) fn subjects(
    catalogue: &Catalogue,
    craft: &CatalogueEntry,
    faults: &[&CatalogueFault],
) -> Vec<AppendSubject> {
    let gear = catalogue.entries().iter().filter(|entry| {
        entry.craft == craft.id && faults.iter().any(|fault| entry.faults.contains(fault))
    });
    std::iter::once(craft).chain(gear).map(subject).collect()
}

/// Names a fault in a message.
pub(crate) fn reference(fault: &CatalogueFault) -> FaultRef {
    FaultRef {
        event: fault.event.clone(),
        ordinal: fault.ordinal,
    }
}
