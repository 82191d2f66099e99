//! The command line as typed.

use std::path::PathBuf;

use clap::{Parser, Subcommand};
use sponson_client::commands as shared;
use sponson_client::device::{opening, reach};
use sponson_client::session::Session;
use sponson_client::settings::{Places, Settings};
use sponson_client::{CommandError, Surroundings};
use sponson_link::local::Side;
use sponson_show::terminal::Exit;

use crate::commands;
use crate::error::CountyError;

/// The county's log of rescue craft: lets stations in, sets the standards, says what can go.
///
/// Advice only: local procedure, the maker's manual and the person in charge decide.
#[derive(Debug, Parser)]
#[command(name = "sponson-county", version)]
pub(crate) struct Cli {
    /// Folder of the log, the keys and the settings, instead of this machine's usual ones.
    #[arg(long, global = true, value_name = "DIR")]
    folder: Option<PathBuf>,
    /// Member number of whoever records.
    #[arg(long, global = true, value_name = "NUMBER")]
    member: Option<String>,
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    Init(commands::init::InitArgs),
    Admit(commands::admit::AdmitArgs),
    Adopt(commands::adopt::AdoptArgs),
    BringIn(commands::bring_in::BringInArgs),
    Serve(commands::serve::ServeArgs),
    Answer(commands::answer::AnswerArgs),
    Waive(commands::waive::WaiveArgs),
    Log(shared::log::LogArgs),
    Carry(shared::carry::CarryArgs),
    Verify(shared::verify::VerifyArgs),
    About(shared::about::AboutArgs),
}

/// Does what was typed.
pub(crate) async fn dispatch(
    cli: &Cli,
    surroundings: &mut Surroundings,
) -> Result<Exit, CountyError> {
    let places = Places::of("sponson-county", cli.folder.as_deref())?;
    let settings = Settings::read(&places.settings)?;
    match &cli.command {
        Command::Init(args) => commands::init::run(args, &places, settings, surroundings),
        Command::Serve(args) => commands::serve::run(args, &places, &settings, surroundings).await,
        Command::Adopt(args) if args.only_shows() => commands::adopt::show(args, surroundings),
        command => {
            let member = cli.member.clone().or_else(|| settings.member.clone());
            let entropy = surroundings.entropy.clone();
            let local = reach(opening(&places, Side::County, surroundings))
                .await
                .map_err(CommandError::from)?;
            let now_unix_ms = surroundings.clock.now().unix_ms;
            let mut session = Session::new(
                local.client(),
                surroundings.terminal(),
                member.unwrap_or_default(),
                now_unix_ms,
            );
            let ended = match command {
                // Done above: they begin before there is a service to talk to.
                Command::Init(_) | Command::Serve(_) => Ok(Exit::Fine),
                Command::Admit(args) => commands::admit::run(args, &settings, &mut session).await,
                Command::Adopt(args) => commands::adopt::run(args, &mut session).await,
                Command::BringIn(args) => {
                    commands::bring_in::run(args, &entropy, &mut session).await
                }
                Command::Answer(args) => commands::answer::run(args, &mut session).await,
                Command::Waive(args) => commands::waive::run(args, &mut session).await,
                Command::Log(args) => Ok(shared::log::run(args, &mut session).await?),
                Command::Carry(args) => Ok(shared::carry::run(args, &mut session).await?),
                Command::Verify(args) => Ok(shared::verify::run(args, &mut session).await?),
                Command::About(args) => Ok(shared::about::run(args, &mut session).await?),
            };
            drop(session);
            local.close().await;
            ended
        }
    }
}
