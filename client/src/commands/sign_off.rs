//! `sign-off`: somebody entitled states that named faults are over.

use clap::Args;
use sponson_proto::event::v1::{Kind, SignOff};
use sponson_proto::service::v1::CatalogueFault;
use sponson_show::clean;
use sponson_show::terminal::Exit;

use super::repair::{chosen, reference, subjects};
use crate::catalogue::short_fault;
use crate::error::CommandError;
use crate::session::{Record, Session};

/// State that named faults are over. Closes only what it names.
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
    let closed = chosen(&catalogue, craft, &args.fault, args.all_at.as_deref())?;
    let message = SignOff {
        closes: closed.iter().map(|fault| reference(fault)).collect(),
    };
    let record = Record::about(subjects(&catalogue, craft, &closed)).note(args.note.as_deref());
    let said = format!("{}: signed off {}", clean(&craft.number), list(&closed));
    let event = session.record(Kind::SignOff, &message, record).await?;
    session.recorded(&said, &event)?;
    let mut open = catalogue.faults(craft);
    open.retain(|fault| !closed.contains(fault));
    let rest = if open.is_empty() {
        "no other fault is open".to_owned()
    } else {
        format!("still open: {}", list(&open))
    };
    session.terminal().result(&rest)?;
    Ok(Exit::Fine)
}

fn list(faults: &[&CatalogueFault]) -> String {
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
