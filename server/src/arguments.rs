//! The command line as typed.

use std::path::PathBuf;

use clap::{Parser, Subcommand};
use sponson_client::commands as shared;
use sponson_client::device::{opening, reach};
use sponson_client::session::Session;
use sponson_client::settings::{Places, Settings};
use sponson_client::{CommandError, Surroundings};
use sponson_link::Entropy;
use sponson_link::local::Side;
use sponson_show::terminal::Exit;

use crate::clock_check::ClockCheck;
use crate::commands;
use crate::error::CountyError;

/// The county's log of rescue craft: lets stations in, sets the standards, says what can go.
///
/// Advice only: local procedure, the maker's manual and the person in charge decide.
#[derive(Debug, Parser)]
#[command(
    name = "sponson-county",
    bin_name = "sponson-county",
    version,
    term_width = 80
)]
pub(crate) struct Cli {
    /// Folder of the log, the keys and the settings, instead of this machine's usual ones.
    #[arg(long, global = true, value_name = "DIR")]
    folder: Option<PathBuf>,
    /// Member number of whoever records.
    #[arg(long, global = true, value_name = "NUMBER")]
    member: Option<String>,
    /// Go on although this machine's clock stands long after the county's newest entry, or, with
    /// `serve`, before it, since an earlier clock ran ahead.
    #[arg(long, global = true)]
    clock_is_right: bool,
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    Init(commands::init::InitArgs),
    #[command(flatten)]
    Talk(Talk),
    Serve(commands::serve::ServeArgs),
    Restore(commands::restore::RestoreArgs),
    RenewKey(commands::renew_key::RenewKeyArgs),
    Compact(shared::compact::CompactArgs),
}

/// Commands that talk to the local service.
#[derive(Debug, Subcommand)]
enum Talk {
    Admit(commands::admit::AdmitArgs),
    Adopt(commands::adopt::AdoptArgs),
    BringIn(commands::bring_in::BringInArgs),
    Answer(commands::answer::AnswerArgs),
    CallOut(shared::call_out::CallOutArgs),
    KitMoves(commands::kit_moves::KitMovesArgs),
    Gauges(commands::gauges::CountyGaugesArgs),
    Leaks(shared::leaks::LeaksArgs),
    Faults(shared::faults::FaultsArgs),
    Due(shared::due::DueArgs),
    Assign(shared::assign::AssignArgs),
    Release(shared::release::ReleaseArgs),
    Sent(shared::sent::SentArgs),
    Waive(commands::waive::WaiveArgs),
    Redact(commands::redact::RedactArgs),
    Count(shared::count::CountArgs),
    Crews(shared::crews::CrewsArgs),
    Level(commands::level::LevelArgs),
    Disagreements(shared::disagreements::DisagreementsArgs),
    Decisions(shared::decisions::DecisionsArgs),
    PlaceInService(shared::place_in_service::PlaceInServiceArgs),
    Move(shared::r#move::MoveArgs),
    Number(shared::number::NumberArgs),
    SignOff(shared::sign_off::SignOffArgs),
    LetIn(commands::let_in::LetInArgs),
    SignedIn(sponson_client::commands::signed_in::SignedInArgs),
    Devices(commands::devices::DevicesArgs),
    Revoke(commands::revoke::RevokeArgs),
    Role(commands::role::RoleArgs),
    Dismiss(commands::dismiss::DismissArgs),
    Hold(commands::hold::HoldArgs),
    Lift(commands::lift::LiftArgs),
    Condemn(commands::condemn::CondemnArgs),
    Decide(commands::decide::DecideArgs),
    SameAs(commands::same_as::SameAsArgs),
    Withdraw(shared::withdraw::WithdrawArgs),
    Backup(commands::backup::BackupArgs),
    Log(shared::log::LogArgs),
    Carry(shared::carry::CarryArgs),
    Verify(shared::verify::VerifyArgs),
    Prove(shared::prove::ProveArgs),
    Record(shared::record::RecordArgs),
    About(shared::about::AboutArgs),
}

/// Whether a command records at the county.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Records {
    Yes,
    No,
}

impl Talk {
    /// Only what is recorded gets a received time: whoever looks is told of the clock, and answered.
    const fn records(&self) -> Records {
        let looks = matches!(
            self,
            Self::Answer(_)
                | Self::CallOut(_)
                | Self::KitMoves(_)
                | Self::Gauges(_)
                | Self::Leaks(_)
                | Self::Faults(_)
                | Self::Due(_)
                | Self::Sent(_)
                | Self::Disagreements(_)
                | Self::Decisions(_)
                | Self::PlaceInService(_)
                | Self::LetIn(_)
                | Self::SignedIn(_)
                | Self::Devices(_)
                | Self::Backup(_)
                | Self::Log(_)
                | Self::Verify(_)
                | Self::Prove(_)
                | Self::Record(_)
                | Self::About(_)
        );
        if looks { Records::No } else { Records::Yes }
    }
}

/// Does what was typed.
pub(crate) async fn dispatch(
    cli: &Cli,
    surroundings: &mut Surroundings,
) -> Result<Exit, CountyError> {
    if let Command::Talk(Talk::Verify(args)) = &cli.command
        && let Some(file) = &args.proof
    {
        let county = args.county.as_deref();
        return Ok(shared::verify::check_proof(file, county, surroundings)?);
    }
    let places = Places::of("sponson-county", cli.folder.as_deref())?;
    let settings = Settings::read(&places.settings)?;
    if let Command::Talk(Talk::Verify(args)) = &cli.command
        && let Some(file) = &args.record
    {
        shared::verify::check_record(file, args.county.as_deref(), surroundings)?;
        if !places.data.is_dir() {
            shared::verify::not_held_against(surroundings)?;
            return Ok(Exit::Fine);
        }
    }
    match &cli.command {
        Command::Init(args) => commands::init::run(args, &places, settings, surroundings),
        Command::Serve(args) => {
            let clock = ClockCheck::of(&settings, cli.clock_is_right);
            commands::serve::run(args, &places, (&settings, clock), surroundings).await
        }
        Command::Restore(args) => commands::restore::run(args, &places, surroundings),
        Command::RenewKey(args) => commands::renew_key::run(args, &places, surroundings).await,
        Command::Compact(args) => Ok(shared::compact::run(args, &places, surroundings)?),
        Command::Talk(Talk::Adopt(args)) if args.only_shows() => {
            commands::adopt::show(args, surroundings)
        }
        Command::Talk(command) => {
            let member = cli.member.clone().or_else(|| settings.member.clone());
            let entropy = surroundings.entropy.clone();
            let opening = opening(&places, Side::County, surroundings)
                .with_places(settings.launch_places(&places));
            let local = reach(opening).await.map_err(CommandError::from)?;
            let now_unix_ms = surroundings.clock.now().unix_ms;
            let mut session = Session::new(
                local.client(),
                surroundings.terminal(),
                member.unwrap_or_default(),
                now_unix_ms,
            );
            let clock = ClockCheck::of(&settings, cli.clock_is_right);
            let may = match command.records() {
                Records::Yes => clock.of_session(&mut session).await,
                Records::No => Ok(()),
            };
            if let Err(error) = may {
                drop(session);
                local.close().await;
                return Err(error);
            }
            let ended = with_service(command, &places, (&settings, &entropy), &mut session).await;
            drop(session);
            local.close().await;
            ended
        }
    }
}

async fn with_service(
    command: &Talk,
    places: &Places,
    (settings, entropy): (&Settings, &Entropy),
    session: &mut Session<'_>,
) -> Result<Exit, CountyError> {
    match command {
        Talk::Admit(args) => commands::admit::run(args, settings, session).await,
        Talk::Adopt(args) => commands::adopt::run(args, session).await,
        Talk::BringIn(args) => commands::bring_in::run(args, entropy, session).await,
        Talk::Answer(args) => commands::answer::run(args, session).await,
        Talk::CallOut(args) => Ok(shared::call_out::run(args, session).await?),
        Talk::KitMoves(args) => commands::kit_moves::run(args, session).await,
        Talk::Gauges(args) => commands::gauges::run(args, session).await,
        Talk::Leaks(args) => Ok(shared::leaks::run(args, session).await?),
        Talk::Faults(args) => Ok(shared::faults::run(args, session).await?),
        Talk::Due(args) => Ok(shared::due::run(args, session).await?),
        Talk::Assign(args) => Ok(shared::assign::run(args, session).await?),
        Talk::Release(args) => Ok(shared::release::run(args, session).await?),
        Talk::Sent(args) => Ok(shared::sent::run(args, session).await?),
        Talk::Waive(args) => commands::waive::run(args, session).await,
        Talk::Count(args) => Ok(shared::count::run(args, session).await?),
        Talk::Crews(args) => Ok(shared::crews::run(args, session).await?),
        Talk::Level(args) => commands::level::run(args, session).await,
        Talk::Redact(args) => commands::redact::run(args, session).await,
        Talk::PlaceInService(args) => Ok(shared::place_in_service::run(args, session).await?),
        Talk::Decisions(args) => Ok(shared::decisions::run(args, session).await?),
        Talk::Disagreements(args) => Ok(shared::disagreements::run(args, session).await?),
        Talk::Move(args) => Ok(shared::r#move::run(args, session).await?),
        Talk::Number(args) => Ok(shared::number::run(args, session).await?),
        Talk::SignOff(args) => Ok(shared::sign_off::run(args, session).await?),
        Talk::LetIn(args) => commands::let_in::run(args, (settings, places), session).await,
        Talk::SignedIn(args) => Ok(sponson_client::commands::signed_in::run(args, session).await?),
        Talk::Devices(args) => commands::devices::run(args, session).await,
        Talk::Revoke(args) => commands::revoke::run(args, session).await,
        Talk::Role(args) => commands::role::run(args, session).await,
        Talk::Dismiss(args) => commands::dismiss::run(args, session).await,
        Talk::Hold(args) => commands::hold::run(args, session).await,
        Talk::Lift(args) => commands::lift::run(args, session).await,
        Talk::Condemn(args) => commands::condemn::run(args, session).await,
        Talk::Decide(args) => commands::decide::run(args, session).await,
        Talk::SameAs(args) => commands::same_as::run(args, session).await,
        Talk::Withdraw(args) => Ok(shared::withdraw::run(args, session).await?),
        Talk::Backup(args) => commands::backup::run(args, places, session).await,
        Talk::Log(args) => Ok(shared::log::run(args, session).await?),
        Talk::Carry(args) => Ok(shared::carry::run(args, session).await?),
        Talk::Verify(args) => Ok(shared::verify::run(args, session).await?),
        Talk::Prove(args) => Ok(shared::prove::run(args, session).await?),
        Talk::Record(args) => Ok(shared::record::run(args, session).await?),
        Talk::About(args) => Ok(shared::about::run(args, session).await?),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const UNIT: &str = include_str!("../sponson-county.service");

    /// What the unit file starts is a command line of this program, in the folder that it keeps.
    #[test]
    fn the_unit_file_starts_what_there_is() {
        let line = |key: &str| {
            let mut lines = UNIT.lines();
            lines.find_map(|line| line.strip_prefix(key)).expect(key)
        };
        let words = line("ExecStart=").split(' ');
        let cli = Cli::try_parse_from(words.clone()).expect("a command line");
        assert!(matches!(cli.command, Command::Serve(_)), "{cli:?}");
        let program = words.clone().next().expect("a program");
        assert_eq!(program, "/usr/local/bin/sponson-county");
        let kept = format!("/var/lib/{}", line("StateDirectory="));
        assert_eq!(cli.folder, Some(PathBuf::from(kept)));
    }

    #[test]
    fn the_unit_file_gives_no_more_than_serving_needs() {
        for wanted in [
            "NoNewPrivileges=yes",
            "ProtectSystem=strict",
            "ProtectHome=yes",
            "PrivateTmp=yes",
            "CapabilityBoundingSet=",
            "UMask=0077",
            "Restart=on-failure",
            "WantedBy=multi-user.target",
        ] {
            assert!(UNIT.lines().any(|line| line == wanted), "{wanted}");
        }
        assert!(!UNIT.contains("User=root"));
    }
}
