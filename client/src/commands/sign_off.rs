//! `sign-off`: somebody entitled states that named faults are over.

use clap::Args;
use inquire::Confirm;
use sponson_proto::event::v1::{Kind, SignOff};
use sponson_proto::service::v1::{CatalogueEntry, CatalogueFault};
use sponson_show::clean;
use sponson_show::terminal::{Attended, Exit};

use super::repair::{chosen, reference, subjects};

use crate::catalogue::{Catalogue, short_fault};
use crate::error::CommandError;
use crate::session::{Record, Session};
use crate::under_way::asking::broken_off;

/// State that named faults are over. Closes only what it names.
///
/// When another open fault is like one of them, at the same part and place and of the same class,
/// it asks whether that is the same defect; where nobody can be asked, it says which it is.
#[derive(Args, Debug)]
pub struct SignOffArgs {
    /// Number of the craft.
    craft: String,
    /// Short names of the faults, for example 1a2b3c4d-0.
    #[arg(required_unless_present = "all_at")]
    fault: Vec<String>,
    /// All open faults at this part.
    #[arg(long, value_name = "PART", conflicts_with = "fault")]
    all_at: Option<String>,
    /// Another open fault that is the same defect, and is over with it; any number of times.
    #[arg(long, value_name = "FAULT")]
    also: Vec<String>,
    /// In words.
    #[arg(long)]
    note: Option<String>,
}

/// Records the sign-off.
///
/// # Errors
/// When a fault is not open here, a name is not known, or the service refuses.
pub async fn run(args: &SignOffArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let catalogue = session.catalogue().await?;
    let craft = catalogue.craft(&args.craft)?;
    let mut closed = chosen(&catalogue, craft, &args.fault, args.all_at.as_deref())?;
    for name in &args.also {
        let same = catalogue.fault(craft, name)?;
        if !closed.contains(&same) {
            closed.push(same);
        }
    }
    let mut like = alike(&catalogue, craft, &closed);
    if session.terminal().attended() == Attended::Yes {
        for fault in std::mem::take(&mut like) {
            if is_the_same(list(&closed), list(&[fault])).await? {
                closed.push(fault);
            }
        }
    }
    let message = SignOff {
        closes: closed.iter().map(|fault| reference(fault)).collect(),
    };
    let record = Record::about(subjects(&catalogue, craft, &closed)).note(args.note.as_deref());
    let said = format!("{}: signed off {}", clean(&craft.number), list(&closed));
    let event = session.record(Kind::SignOff, &message, record).await?;
    session.recorded(&said, &event)?;
    not_by_the_repairer(&closed, &args.craft, session).await?;
    let mut open = catalogue.faults(craft);
    open.retain(|fault| !closed.contains(fault));
    let rest = if open.is_empty() {
        "no other fault is open".to_owned()
    } else {
        format!("still open: {}", list(&open))
    };
    session.terminal().result(&rest)?;
    for fault in like {
        let name = short_fault(fault);
        session.terminal().result(&format!(
            "{} is like it: the same as this one? Then sign it off too: sponson sign-off '{}' \
             {name} (or both at once, with --also {name})",
            list(&[fault]),
            clean(&craft.number),
        ))?;
    }
    Ok(Exit::Fine)
}

/// Where the county asks for a second person, says which of the faults stay open for that.
async fn not_by_the_repairer(
    closed: &[&CatalogueFault],
    craft: &str,
    session: &mut Session<'_>,
) -> Result<(), CommandError> {
    let now = session.catalogue().await?;
    if now.policy().faults.repairer_signs_off {
        return Ok(());
    }
    let still = now.faults(now.craft(craft)?);
    let same = |fault: &&CatalogueFault| {
        let mut closed = closed.iter();
        closed.any(|one| one.event == fault.event && one.ordinal == fault.ordinal)
    };
    let still: Vec<&CatalogueFault> = still.into_iter().filter(same).collect();
    if still.is_empty() {
        return Ok(());
    }
    let said = format!(
        "stays open: {}. Whoever repaired a disabling fault does not sign it off in this county: \
         somebody else has to",
        list(&still)
    );
    Ok(session.terminal().result(&said)?)
}

/// Open faults that may be the same defect as one that is signed off.
fn alike<'a>(
    catalogue: &'a Catalogue,
    craft: &'a CatalogueEntry,
    closed: &[&CatalogueFault],
) -> Vec<&'a CatalogueFault> {
    let same = |one: &CatalogueFault, other: &CatalogueFault| {
        (&one.part, &one.place, &one.class, &one.line)
            == (&other.part, &other.place, &other.class, &other.line)
    };
    let mut faults = catalogue.faults(craft);
    faults.retain(|fault| !closed.contains(fault) && closed.iter().any(|one| same(one, fault)));
    faults
}

/// Asks the person at the terminal.
async fn is_the_same(these: String, like: String) -> Result<bool, CommandError> {
    let asking = tokio::task::spawn_blocking(move || {
        Confirm::new(&clean(&format!("{like} is like it: the same as {these}?")))
            .with_default(false)
            .with_help_message("yes signs it off too; no leaves it open")
            .prompt()
            .map_err(broken_off)
    });
    asking.await.unwrap_or(Err(CommandError::BrokenOff))
}

pub(super) fn list(faults: &[&CatalogueFault]) -> String {
    let names: Vec<String> = faults
        .iter()
        .map(|fault| {
            let what = if fault.class.is_empty() {
                &fault.line
            } else {
                &fault.class
            };
            let at = if fault.part.is_empty() {
                String::new()
            } else {
                format!(" at {}", clean(&fault.part))
            };
            format!("{} ({}{at})", short_fault(fault), clean(what))
        })
        .collect();
    names.join(", ")
}
