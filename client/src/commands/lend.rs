//! `lend`: loose kit went from one craft, shelf or store to another.

use clap::Args;
use sponson_show::terminal::Exit;

use crate::check_file::CountLine;
use crate::error::CommandError;
use crate::lending::{Lent, lend};
use crate::session::Session;

/// Record that loose kit went from one craft, shelf, store or bag to another, as it was counted at
/// both afterwards.
///
/// Both counts are recorded together, each with a note that names the other. To bring it back, give
/// the two the other way round. A bag with all that is in it is recorded by move.
#[derive(Args, Debug)]
pub struct LendArgs {
    /// Who gave it: number of the craft, shelf or bag, or name of the station.
    from: String,
    /// Who has it now.
    to: String,
    /// Line of the boat standards, for example throw-bag.
    item: String,
    /// How many are left at the giver, good or not.
    #[arg(long, value_name = "COUNT")]
    left: u32,
    /// Their dates, where they carry any, for example "3 x 2027-03". May be given again, or with
    /// commas.
    #[arg(long, value_name = "DATES")]
    left_dates: Vec<String>,
    /// How many are at the taker now, good or not.
    #[arg(long, value_name = "COUNT")]
    there: u32,
    /// Their dates, where they carry any.
    #[arg(long, value_name = "DATES")]
    there_dates: Vec<String>,
    /// In words.
    #[arg(long)]
    note: Option<String>,
}

/// Records both counts.
///
/// # Errors
/// When a name is not known, a count cannot be, or the service refuses.
pub async fn run(args: &LendArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let counted = |count: u32, dates: &[String]| CountLine {
        count,
        dates: dates
            .iter()
            .flat_map(|text| text.split(','))
            .map(|text| text.trim().to_owned())
            .filter(|text| !text.is_empty())
            .collect(),
        ..CountLine::default()
    };
    let lent = Lent {
        from: args.from.clone(),
        to: args.to.clone(),
        item: args.item.clone(),
        left: counted(args.left, &args.left_dates),
        there: counted(args.there, &args.there_dates),
        note: args.note.clone(),
    };
    for counted in lend(&lent, session).await? {
        session.recorded(&counted.said, &counted.event)?;
    }
    Ok(Exit::Fine)
}
