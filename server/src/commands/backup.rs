//! `backup`: writes the county to one file.

use std::io::{BufWriter, Write as _};
use std::path::{Path, PathBuf};

use clap::Args;
use sponson_client::CommandError;
use sponson_client::new_file::{NewFile, Readers};
use sponson_client::session::Session;
use sponson_client::settings::{Places, SETTINGS_FILE};
use sponson_link::county::codes::CODES_FILE;
use sponson_link::identity::{LOG_KEY_FILE, TLS_CERTIFICATE_FILE, TLS_KEY_FILE};
use sponson_link::restoring::SavedLog;
use sponson_log::ids::CountyId;
use sponson_proto::service::v1::CarryOutRequest;
use sponson_show::clean;
use sponson_show::terminal::Exit;
use sponson_show::units::print;

use crate::backup::{Backup, Writer};
use crate::error::CountyError;

/// Write the county's log, keys, settings and open admission codes to one file.
///
/// The file holds the county's keys: whoever has it can speak for the county. The root key is not
/// in it. The county may be serving meanwhile.
#[derive(Args, Debug)]
pub struct BackupArgs {
    /// The file; one that is there is never written over.
    file: PathBuf,
}

/// Writes it: under another name, synced, read back, and only then named.
///
/// # Errors
/// When the file is there, cannot be written, or does not read back.
pub async fn run(
    args: &BackupArgs,
    places: &Places,
    session: &mut Session<'_>,
) -> Result<Exit, CountyError> {
    let new = NewFile::begin(&args.file, Readers::Owner)?;
    // Half a backup would be taken for a whole one, and holds keys: dropped, it goes.
    write(&new, places, session).await?;
    let saved = read_back(new.beside())?;
    // Whatever can still be refused comes before the file has its name.
    let pictures = pictures(session).await?;
    new.name()?;
    let entries = print::count(i64::try_from(saved.size()).unwrap_or(i64::MAX), "entry");
    let file = clean(&args.file.display().to_string());
    let said = format!(
        "{entries} of the county log, the county's keys and settings: {file}\n\
         Whoever has this file can speak for the county: keep it off this machine, locked away,\n\
         and two copies of it. The root key is not in it.\n\
{pictures}         To come back in an empty folder: sponson-county restore {file} --root-key FILE"
    );
    session.terminal().result(&said)?;
    Ok(Exit::Fine)
}

/// That pictures are not in it, and how they come back; nothing where there are none.
async fn pictures(session: &mut Session<'_>) -> Result<String, CountyError> {
    let held = session.about().await?.pictures;
    if held == 0 {
        return Ok(String::new());
    }
    let pictures = print::count(i64::try_from(held).unwrap_or(i64::MAX), "picture");
    Ok(format!(
        "The county's {pictures} are not in it: after a restore stations give back those that they\n\
         still have. Copy the folder 'photos' beside it to have them all.\n"
    ))
}

async fn write(
    new: &NewFile,
    places: &Places,
    session: &mut Session<'_>,
) -> Result<(), CountyError> {
    let about = session.about().await?;
    let county = CountyId::parse("county_id", &about.county_id)
        .map_err(|error| CountyError::Backup(error.to_string()))?;
    let now = session.now_unix_ms();
    let begun = Writer::begin(BufWriter::new(new.file()), county, now);
    let mut writer = begun.map_err(|error| new.unwritable(error))?;
    let mut stream = session
        .service()
        .carry_out(CarryOutRequest { new_only: false })
        .await
        .map_err(CommandError::from)?
        .into_inner();
    while let Some(reply) = stream.message().await.map_err(CommandError::from)? {
        if !reply.data.is_empty() {
            new.written(writer.log(reply.data))?;
        }
    }
    // The codes after the log: a code that was used meanwhile is known as used.
    for name in [LOG_KEY_FILE, TLS_KEY_FILE, TLS_CERTIFICATE_FILE, CODES_FILE] {
        put(&mut writer, name, &places.data.join(name))?;
    }
    put(&mut writer, SETTINGS_FILE, &places.settings)?;
    let mut buffered = writer.end().map_err(|error| new.unwritable(error))?;
    new.written(buffered.flush())?;
    Ok(())
}

/// Puts a file of the folder in, when it is there.
fn put<W: std::io::Write>(
    writer: &mut Writer<W>,
    name: &str,
    path: &Path,
) -> Result<(), CountyError> {
    let content = match std::fs::read(path) {
        Ok(content) => content,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(()),
        Err(source) => {
            return Err(CountyError::Command(CommandError::Read {
                file: path.to_owned(),
                source,
            }));
        }
    };
    writer.file(name, content)?;
    Ok(())
}

/// Reads what was written as a restore would.
fn read_back(file: &Path) -> Result<SavedLog, CountyError> {
    let bytes = std::fs::read(file)?;
    let backup = Backup::read(&bytes).map_err(|source| CountyError::NotABackup {
        file: file.to_owned(),
        source,
    })?;
    Ok(SavedLog::read(&backup.log)?)
}
