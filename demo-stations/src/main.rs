//! Plays the demo county and prints what happened, ending with the county answer.

use std::io;
use std::path::PathBuf;
use std::process::ExitCode;

use anyhow::Context as _;
use clap::Parser;
use demo_stations::play::{Player, SCENARIOS};

/// Plays five weeks of a county of our own invention, with a real county service and real stations
/// on this machine, and prints the county answer.
#[derive(Debug, Parser)]
struct Arguments {
    /// Leave the county running, and say how to ask it more.
    #[arg(long)]
    keep: bool,
    /// Folder that the county is made in; what it held is removed.
    #[arg(long, default_value = "target/demo")]
    folder: PathBuf,
}

fn main() -> ExitCode {
    let arguments = Arguments::parse();
    let runtime = tokio::runtime::Runtime::new().context("no runtime can be started");
    match runtime.and_then(|runtime| runtime.block_on(run(&arguments))) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln_error(&error);
            ExitCode::FAILURE
        }
    }
}

#[expect(
    clippy::print_stderr,
    reason = "the one place where the demo's failure is told"
)]
fn eprintln_error(error: &anyhow::Error) {
    eprintln!("{error:#}");
}

async fn run(arguments: &Arguments) -> anyhow::Result<()> {
    let folder = fresh(&arguments.folder)?;
    let mut player = Player::new(&folder, Box::new(io::stdout()));
    player.play(SCENARIOS).await?;
    if arguments.keep {
        let pages = player.serve_pages().await?;
        player.say_how_to_ask(&arguments.folder, &pages)?;
        tokio::signal::ctrl_c().await?;
    }
    player.stop().await;
    Ok(())
}

/// An empty folder, by its whole path. Only a folder that the demo made before is emptied.
fn fresh(folder: &std::path::Path) -> anyhow::Result<PathBuf> {
    let mark = folder.join("made-by-the-demo");
    if mark.exists() {
        std::fs::remove_dir_all(folder)
            .with_context(|| format!("{} cannot be emptied", folder.display()))?;
    } else if folder.exists() && folder.read_dir()?.next().is_some() {
        anyhow::bail!(
            "{} holds things that the demo did not make: name another --folder",
            folder.display()
        );
    }
    std::fs::create_dir_all(folder)?;
    std::fs::write(mark, "")?;
    Ok(folder.canonicalize()?)
}
