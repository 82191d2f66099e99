//! `carry`: events on a stick, for when there is no network at all.

use std::io::Write as _;
use std::path::{Path, PathBuf};

use clap::{Args, Subcommand};
use sponson_proto::service::v1::{CarryInRequest, CarryOutRequest};
use sponson_show::clean;
use sponson_show::terminal::Exit;
use sponson_show::units::print;

use crate::error::CommandError;
use crate::new_file::{NewFile, Readers};
use crate::progress::Progress;
use crate::session::Session;

/// Carry events on a stick, for when there is no network at all.
#[derive(Args, Debug)]
pub struct CarryArgs {
    /// Which way.
    #[command(subcommand)]
    pub way: Way,
}

/// Which way.
#[derive(Debug, Subcommand)]
pub enum Way {
    /// Write a carry file.
    Out {
        /// File to write; it must not be there yet.
        file: PathBuf,
        /// Only what the county has not confirmed.
        #[arg(long)]
        new_only: bool,
    },
    /// Take in a carry file. What is held already is kept once.
    In {
        /// File to read.
        file: PathBuf,
    },
}

/// Bytes sent at a time: a quarter of a message's limit.
const PIECE_BYTES: usize = 256 * 1024;

/// Longest carry file: what the local service takes in.
const FILE_BYTES_MAX: u64 = sponson_link::limits::CARRY_BYTES_MAX as u64;

/// Carries.
///
/// # Errors
/// When the file cannot be read or written, is damaged, or the service fails.
pub async fn run(args: &CarryArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    match &args.way {
        Way::Out { file, new_only } => out(file, *new_only, session).await,
        Way::In { file } => take_in(file, session).await,
    }
}

async fn out(file: &Path, new_only: bool, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let mut stream = session
        .service()
        .carry_out(CarryOutRequest { new_only })
        .await?
        .into_inner();
    let new = NewFile::begin(file, Readers::Anybody)?;
    let mut progress = Progress::start(session.terminal().attended(), "carry out");
    let (mut bytes, mut events) = (0_u64, 0);
    while let Some(reply) = stream.message().await? {
        new.written(new.file().write_all(&reply.data))?;
        bytes = bytes.saturating_add(u64::try_from(reply.data.len()).unwrap_or(0));
        events = reply.events.max(events);
        progress.at(bytes, 0);
    }
    new.name()?;
    progress.end();
    let count = print::count(i64::try_from(events).unwrap_or(i64::MAX), "event");
    let line = format!("{count} written to {}", clean(&file.display().to_string()));
    session.terminal().result(&line)?;
    if session.about().await?.pictures > 0 {
        let line = "pictures are not in it: they go with a sync";
        session.terminal().talk(line)?;
    }
    Ok(Exit::Fine)
}

async fn take_in(file: &Path, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let unreadable = |source| CommandError::Read {
        file: file.to_owned(),
        source,
    };
    let length = std::fs::metadata(file).map_err(unreadable)?.len();
    if length > FILE_BYTES_MAX {
        return Err(CommandError::Refused {
            field: "file".to_owned(),
            value: format!("{length} bytes long"),
            limit: format!("at most {FILE_BYTES_MAX} bytes are taken in at once: carry --new-only"),
        });
    }
    let opened = std::fs::File::open(file).map_err(unreadable)?;
    let (send, receive) = tokio::sync::mpsc::channel(4);
    let reading = tokio::task::spawn_blocking(move || read_pieces(opened, &send));
    let pieces = tokio_stream::wrappers::ReceiverStream::new(receive);
    let reply = session.service().carry_in(pieces).await;
    let read = reading.await.unwrap_or(Ok(()));
    let reply = reply?.into_inner();
    read.map_err(unreadable)?;
    let count = |number: u64| print::count(i64::try_from(number).unwrap_or(i64::MAX), "event");
    let line = format!(
        "{} in the file, {} new here, {} refused",
        count(reply.events),
        reply.new_events,
        reply.refused
    );
    session.terminal().result(&line)?;
    for refusal in &reply.refusals {
        session
            .terminal()
            .talk(&format!("refused: {}", clean(refusal)))?;
    }
    Ok(if reply.refused == 0 {
        Exit::Fine
    } else {
        Exit::Refused
    })
}

/// Reads the file piece by piece until its end, or until nobody listens any more.
fn read_pieces(
    mut file: std::fs::File,
    send: &tokio::sync::mpsc::Sender<CarryInRequest>,
) -> std::io::Result<()> {
    use std::io::Read as _;
    loop {
        let mut data = Vec::with_capacity(PIECE_BYTES);
        let limit = u64::try_from(PIECE_BYTES).unwrap_or(u64::MAX);
        (&mut file).take(limit).read_to_end(&mut data)?;
        if data.is_empty()
            || send
                .blocking_send(CarryInRequest { data: data.into() })
                .is_err()
        {
            return Ok(());
        }
    }
}
