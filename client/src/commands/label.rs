//! `label`: labels with a code that opens a craft's check.

use std::path::PathBuf;

use clap::Args;
use sponson_show::html::station::label::label_file;
use sponson_show::terminal::Exit;

use super::sheet::{HERE, address, write};
use crate::error::CommandError;
use crate::paper::label;
use crate::session::Session;

/// Make labels of craft, each with its number and a QR code that opens its check.
///
/// A whole page in one file, several labels a page: open it in a browser and print it.
#[derive(Args, Debug)]
pub struct LabelArgs {
    /// Numbers of the craft.
    #[arg(required = true, num_args = 1..)]
    pub craft: Vec<String>,
    /// Write them to this file, which must be new; to the terminal when not given.
    #[arg(long, value_name = "FILE.html")]
    pub out: Option<PathBuf>,
    /// Address of this station's pages, for the codes.
    #[arg(long, value_name = "URL", default_value = HERE)]
    pub address: String,
}

/// Makes the labels.
///
/// # Errors
/// When a craft is not known here, or the file cannot be written.
pub async fn run(args: &LabelArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let address = address(&args.address)?;
    let catalogue = session.catalogue().await?;
    let mut labels = Vec::new();
    for craft in &args.craft {
        labels.push(label(catalogue.craft(craft)?, &catalogue, &address));
    }
    write(&label_file(&labels), args.out.as_ref(), session)
}
