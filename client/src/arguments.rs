//! The command line as typed.

use std::path::PathBuf;

use clap::{Parser, Subcommand};
use sponson_show::terminal::Exit;

use crate::commands;
use crate::device::{opening, reach};
use crate::error::CommandError;
use crate::session::Session;
use crate::settings::{Places, Settings};
use crate::surroundings::Surroundings;

/// The log of a station's rescue craft: records what was done, and says which craft can go.
///
/// Works alone, and meets the county when it can. Advice only: local procedure, the maker's manual
/// and the person in charge decide.
#[derive(Debug, Parser)]
#[command(name = "sponson", bin_name = "sponson", version, term_width = 80)]
pub(crate) struct Cli {
    /// Folder of the log, the keys and the settings, instead of this machine's usual ones.
    #[arg(long, global = true, value_name = "DIR")]
    folder: Option<PathBuf>,
    /// Member number of whoever records.
    #[arg(long, global = true, value_name = "NUMBER")]
    member: Option<String>,
    /// When it was observed, for what is recorded later, for example from paper: local time of
    /// the county, as in "2026-03-14 08:30".
    #[arg(long, global = true, value_name = "TIME")]
    observed: Option<String>,
    /// Short name of an earlier entry that what is recorded restates as a whole, for example
    /// 1a2b3c4d: the same command again, with everything as it should have been.
    #[arg(long, global = true, value_name = "EVENT", conflicts_with = "observed")]
    corrects: Option<String>,
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    Join(commands::join::JoinArgs),
    Salvage(commands::salvage::SalvageArgs),
    Compact(commands::compact::CompactArgs),
    #[command(flatten)]
    Talk(Talk),
    Reckon(commands::reckon::ReckonArgs),
    Serve(commands::serve::ServeArgs),
}

/// Commands that talk to the local service.
#[derive(Debug, Subcommand)]
enum Talk {
    Check(commands::check::CheckArgs),
    Checks(commands::checks::ChecksArgs),
    Use(commands::r#use::UseArgs),
    Air(commands::air::AirArgs),
    Fault(commands::fault::FaultArgs),
    Picture(commands::picture::PictureArgs),
    Repair(commands::repair::RepairArgs),
    SignOff(commands::sign_off::SignOffArgs),
    Inspect(commands::inspect::InspectArgs),
    Move(commands::r#move::MoveArgs),
    Lend(commands::lend::LendArgs),
    Number(commands::number::NumberArgs),
    Out(commands::out::OutArgs),
    Back(commands::back::BackArgs),
    Count(commands::count::CountArgs),
    Crews(commands::crews::CrewsArgs),
    Assign(commands::assign::AssignArgs),
    Release(commands::release::ReleaseArgs),
    Sent(commands::sent::SentArgs),
    Withdraw(commands::withdraw::WithdrawArgs),
    Ready(commands::ready::ReadyArgs),
    CallOut(commands::call_out::CallOutArgs),
    PlaceInService(commands::place_in_service::PlaceInServiceArgs),
    Due(commands::due::DueArgs),
    Gauges(commands::gauges::GaugesArgs),
    Leaks(commands::leaks::LeaksArgs),
    Faults(commands::faults::FaultsArgs),
    Disagreements(commands::disagreements::DisagreementsArgs),
    Decisions(commands::decisions::DecisionsArgs),
    Sheet(commands::sheet::SheetArgs),
    Label(commands::label::LabelArgs),
    Log(commands::log::LogArgs),
    Sync(commands::sync::SyncArgs),
    Carry(commands::carry::CarryArgs),
    Verify(commands::verify::VerifyArgs),
    Prove(commands::prove::ProveArgs),
    Record(commands::record::RecordArgs),
    About(commands::about::AboutArgs),
    LetIn(commands::let_in::LetInArgs),
    SignedIn(commands::signed_in::SignedInArgs),
}

impl Talk {
    const fn records(&self) -> bool {
        match self {
            Self::Check(_)
            | Self::Use(_)
            | Self::Air(_)
            | Self::Fault(_)
            | Self::Picture(_)
            | Self::Repair(_)
            | Self::SignOff(_)
            | Self::Inspect(_)
            | Self::Move(_)
            | Self::Lend(_)
            | Self::Number(_)
            | Self::Out(_)
            | Self::Back(_)
            | Self::Count(_)
            | Self::Crews(_)
            | Self::Assign(_)
            | Self::Release(_) => true,
            Self::Checks(_)
            | Self::Sent(_)
            | Self::Withdraw(_)
            | Self::Ready(_)
            | Self::CallOut(_)
            | Self::PlaceInService(_)
            | Self::Due(_)
            | Self::Gauges(_)
            | Self::Leaks(_)
            | Self::Faults(_)
            | Self::Disagreements(_)
            | Self::Decisions(_)
            | Self::Sheet(_)
            | Self::Label(_)
            | Self::Log(_)
            | Self::Sync(_)
            | Self::Carry(_)
            | Self::Verify(_)
            | Self::Prove(_)
            | Self::Record(_)
            | Self::About(_)
            | Self::LetIn(_)
            | Self::SignedIn(_) => false,
        }
    }
}

/// Does what was typed.
pub(crate) async fn dispatch(
    cli: &Cli,
    surroundings: &mut Surroundings,
) -> Result<Exit, CommandError> {
    if let Command::Talk(Talk::Verify(args)) = &cli.command
        && let Some(file) = &args.proof
    {
        return commands::verify::check_proof(file, args.county.as_deref(), surroundings);
    }
    let places = Places::of("sponson", cli.folder.as_deref())?;
    let settings = Settings::read(&places.settings)?;
    if let Command::Talk(Talk::Verify(args)) = &cli.command
        && let Some(file) = &args.record
    {
        commands::verify::check_record(file, args.county.as_deref(), surroundings)?;
        if settings.station_side().is_err() || !places.data.is_dir() {
            commands::verify::not_held_against(surroundings)?;
            return Ok(Exit::Fine);
        }
    }
    match &cli.command {
        Command::Join(args) => commands::join::run(args, &places, settings, surroundings).await,
        Command::Salvage(args) => {
            commands::salvage::run(args, &places, &settings, surroundings).await
        }
        Command::Compact(args) => commands::compact::run(args, &places, surroundings),
        Command::Serve(args) => commands::serve::run(args, &places, &settings, surroundings).await,
        Command::Reckon(args) => {
            let now = surroundings.clock.now();
            let now = commands::reckon::Now {
                unix_ms: now.unix_ms,
                utc_offset_min: now.utc_offset_min,
            };
            commands::reckon::run(args, now, surroundings.terminal())
        }
        Command::Talk(command) => {
            let member = cli.member.clone().or_else(|| settings.member.clone());
            let side = settings.station_side()?;
            let opening =
                opening(&places, side, surroundings).with_places(settings.launch_places(&places));
            let local = reach(opening).await?;
            let now_unix_ms = surroundings.clock.now().unix_ms;
            let mut session = Session::new(
                local.client(),
                surroundings.terminal(),
                member.unwrap_or_default(),
                now_unix_ms,
            );
            let ended = observed_earlier(cli, command, &mut session).await;
            let ended = match ended {
                Ok(()) => corrects(cli, command, &mut session).await,
                Err(error) => Err(error),
            };
            let ended = match ended {
                Ok(()) => with_service(command, (&settings, &places), &mut session).await,
                Err(error) => Err(error),
            };
            drop(session);
            local.close().await;
            ended
        }
    }
}

/// Takes `--corrects`, which only goes with what is recorded.
async fn corrects(
    cli: &Cli,
    command: &Talk,
    session: &mut Session<'_>,
) -> Result<(), CommandError> {
    let Some(name) = &cli.corrects else {
        return Ok(());
    };
    if !command.records() {
        return Err(CommandError::Argument {
            field: "--corrects",
            value: name.clone(),
            limit: "it goes with the command that records the entry anew; leave it out here"
                .to_owned(),
        });
    }
    session.set_corrects(name).await
}

/// Takes `--observed`, which only goes with what is recorded.
async fn observed_earlier(
    cli: &Cli,
    command: &Talk,
    session: &mut Session<'_>,
) -> Result<(), CommandError> {
    let Some(text) = &cli.observed else {
        return Ok(());
    };
    if !command.records() {
        return Err(CommandError::Argument {
            field: "--observed",
            value: text.clone(),
            limit: "it goes with commands that record something; leave it out here".to_owned(),
        });
    }
    session.set_observed(text).await
}

async fn with_service(
    command: &Talk,
    of_folder: (&Settings, &Places),
    session: &mut Session<'_>,
) -> Result<Exit, CommandError> {
    match command {
        Talk::Check(args) => commands::check::run(args, session).await,
        Talk::Checks(args) => commands::checks::run(args, session).await,
        Talk::Use(args) => commands::r#use::run(args, session).await,
        Talk::Air(args) => commands::air::run(args, session).await,
        Talk::Fault(args) => commands::fault::run(args, session).await,
        Talk::Picture(args) => commands::picture::run(args, session).await,
        Talk::Repair(args) => commands::repair::run(args, session).await,
        Talk::SignOff(args) => commands::sign_off::run(args, session).await,
        Talk::Inspect(args) => commands::inspect::run(args, session).await,
        Talk::Move(args) => commands::r#move::run(args, session).await,
        Talk::Lend(args) => commands::lend::run(args, session).await,
        Talk::Number(args) => commands::number::run(args, session).await,
        Talk::Out(args) => commands::out::run(args, session).await,
        Talk::Back(args) => commands::back::run(args, session).await,
        Talk::Count(args) => commands::count::run(args, session).await,
        Talk::Crews(args) => commands::crews::run(args, session).await,
        Talk::Assign(args) => commands::assign::run(args, session).await,
        Talk::Release(args) => commands::release::run(args, session).await,
        Talk::Sent(args) => commands::sent::run(args, session).await,
        Talk::Withdraw(args) => commands::withdraw::run(args, session).await,
        Talk::PlaceInService(args) => commands::place_in_service::run(args, session).await,
        Talk::Ready(args) => commands::ready::run(args, session).await,
        Talk::CallOut(args) => commands::call_out::run(args, session).await,
        Talk::Due(args) => commands::due::run(args, session).await,
        Talk::Decisions(args) => commands::decisions::run(args, session).await,
        Talk::Gauges(args) => commands::gauges::run(args, session).await,
        Talk::Leaks(args) => commands::leaks::run(args, session).await,
        Talk::Faults(args) => commands::faults::run(args, session).await,
        Talk::Disagreements(args) => commands::disagreements::run(args, session).await,
        Talk::Sheet(args) => commands::sheet::run(args, session).await,
        Talk::Label(args) => commands::label::run(args, session).await,
        Talk::Log(args) => commands::log::run(args, session).await,
        Talk::Sync(args) => commands::sync::run(args, session).await,
        Talk::Carry(args) => commands::carry::run(args, session).await,
        Talk::Verify(args) => commands::verify::run(args, session).await,
        Talk::Prove(args) => commands::prove::run(args, session).await,
        Talk::Record(args) => commands::record::run(args, session).await,
        Talk::About(args) => commands::about::run(args, session).await,
        Talk::LetIn(args) => commands::let_in::run(args, of_folder, session).await,
        Talk::SignedIn(args) => commands::signed_in::run(args, session).await,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const UNIT: &str = include_str!("../sponson.service");

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
        assert_eq!(program, "/usr/local/bin/sponson");
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
