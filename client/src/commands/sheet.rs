//! `sheet`: the check of a craft on paper, to be printed.

use std::path::PathBuf;

use clap::Args;
use sponson_link::local::aboard_of;
use sponson_proto::service::v1::OnCraftRequest;
use sponson_readiness::moment::Moment;
use sponson_show::clean;
use sponson_show::html::station::sheet::sheet_file;
use sponson_show::terminal::Exit;

use crate::check_file::Extent;
use crate::commands::prove::write_new;
use crate::error::CommandError;
use crate::paper::PaperCraft;
use crate::session::Session;

/// Make the printable sheet of a craft's check, to fill in by hand and enter afterwards.
///
/// A whole page in one file: open it in a browser and print it, on A4 or Letter. Its code opens the
/// page of this station on which the filled sheet is entered.
#[derive(Args, Debug)]
pub struct SheetArgs {
    /// Number of the craft.
    pub craft: String,
    /// Write it to this file, which must be new; to the terminal when not given.
    #[arg(long, value_name = "FILE.html")]
    pub out: Option<PathBuf>,
    /// How much is asked: a full check, or the short one between runs.
    #[arg(long, value_enum, default_value_t = Extent::Full)]
    pub extent: Extent,
    /// Address of this station's pages, for the code.
    #[arg(long, value_name = "URL", default_value = HERE)]
    pub address: String,
}

/// Where the pages are when nothing else is said.
pub(crate) const HERE: &str = "http://127.0.0.1:7343";

/// Makes the sheet.
///
/// # Errors
/// When the craft or its standard is not known here, or the file cannot be written.
pub async fn run(args: &SheetArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let address = address(&args.address)?;
    let catalogue = session.catalogue().await?;
    let about = session.about().await?;
    let craft = catalogue.craft(&args.craft)?;
    let request = OnCraftRequest {
        craft: craft.id.clone(),
    };
    let aboard = session.service().on_craft(request).await?.into_inner();
    let on_craft = (aboard_of(&aboard), args.extent.into());
    let paper = PaperCraft::of(craft, on_craft, (&catalogue, &about))?;
    let entry = format!("{address}{}", paper.entry_path());
    let printed = Moment(session.now_unix_ms());
    let page = sheet_file(&paper.sheet(printed, Some(&entry)));
    write(&page, args.out.as_ref(), session)
}

/// Writes a page to a new file and says so, or to the terminal.
pub(super) fn write(
    page: &str,
    out: Option<&PathBuf>,
    session: &mut Session<'_>,
) -> Result<Exit, CommandError> {
    let Some(file) = out else {
        session.terminal().result(page)?;
        return Ok(Exit::Fine);
    };
    write_new(file, page.as_bytes())?;
    let line = format!(
        "written to {}: print it from a browser",
        clean(&file.display().to_string())
    );
    session.terminal().result(&line)?;
    Ok(Exit::Fine)
}

/// The address of pages as it was given, without a slash at its end.
pub(super) fn address(given: &str) -> Result<String, CommandError> {
    let given = given.trim().trim_end_matches('/');
    let host = given
        .strip_prefix("https://")
        .or_else(|| given.strip_prefix("http://"));
    let can_be = host.is_some_and(|host| {
        !host.is_empty() && host.len() <= ADDRESS_MAX && host.chars().all(|c| c.is_ascii_graphic())
    });
    if can_be {
        return Ok(given.to_owned());
    }
    Err(CommandError::Argument {
        field: "--address",
        value: clean(given),
        limit: format!("give http:// or https://, host and port, as in {HERE}"),
    })
}

/// Longest name of a host with its port: 253 and 6.
const ADDRESS_MAX: usize = 259;
