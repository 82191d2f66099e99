//! Why a command of the county did not do what it was asked.

use std::io;
use std::path::PathBuf;

use sponson_client::CommandError;
use sponson_client::catalogue::LookupError;
use sponson_client::settings::SettingsError;
use sponson_link::county::ServeError;
use sponson_link::founding::{BegunError, FoundError};
use sponson_link::identity::IdentityError;
use sponson_link::restoring::RestoreError;
use sponson_readiness::standard::StandardError;
use sponson_replica::{AppendError, StoreError};
use sponson_show::terminal::Exit;

use crate::backup::BackupError;
use crate::pages::PagesError;

/// Why a command failed.
#[derive(Debug, thiserror::Error)]
pub enum CountyError {
    /// As at a station.
    #[error(transparent)]
    Command(#[from] CommandError),
    /// There is a county already.
    #[error("folder {} holds a county already: choose another with --folder", .0.display())]
    CountyThere(PathBuf),
    /// The file for the root key is there already.
    #[error("{} is there already: a root key is never written over; choose another --root-key", .0.display())]
    RootKeyThere(PathBuf),
    /// The root key could not be written.
    #[error("the root key cannot be written to {}: {source}", file.display())]
    RootKey {
        /// The file.
        file: PathBuf,
        /// Why.
        source: io::Error,
    },
    /// A file that is no root key.
    #[error("{} is no root key: bring the file that init wrote", .0.display())]
    NoRootKey(PathBuf),
    /// A file that is no whole backup.
    #[error("{}: {source}", file.display())]
    NotABackup {
        /// The file.
        file: PathBuf,
        /// What is wrong.
        source: BackupError,
    },
    /// A file that a backup must hold.
    #[error("the backup holds no {0} as a county has it: take another one")]
    NotInBackup(&'static str),
    /// A backup could not be made.
    #[error("no backup was made: {0}")]
    Backup(String),
    /// The county did not come back, or its key was not renewed.
    #[error(transparent)]
    Restore(#[from] RestoreError),
    /// The store failed.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// The clock stands before the newest entry.
    #[error(
        "{0}; nothing was recorded, for it would look older than it is. When this clock is right, and \
         the newest entries were stored by one that ran ahead: sponson-county serve --clock-is-right"
    )]
    ClockBehind(String),
    /// The clock stands long after the newest entry.
    #[error(
        "{0}; nothing was recorded: set it right, or, when the county was off for so long, say --clock-is-right"
    )]
    ClockAhead(String),
    /// The county's keys.
    #[error(transparent)]
    Identity(#[from] IdentityError),
    /// The county was not founded.
    #[error(transparent)]
    Found(#[from] FoundError),
    /// The note that a founding is under way.
    #[error(transparent)]
    Begun(#[from] BegunError),
    /// The first policy could not be recorded.
    #[error(transparent)]
    Append(#[from] AppendError),
    /// A boat standard or a policy was refused.
    #[error("{name}: {source}")]
    Standard {
        /// Name or file.
        name: String,
        /// The place that is wrong.
        source: StandardError,
    },
    /// No built-in sheet and no file has this name.
    #[error("{name} is neither a built-in boat standard ({}) nor a file", built_in.join(", "))]
    NoSheet {
        /// The name.
        name: String,
        /// What is built in.
        built_in: Vec<String>,
    },
    /// A list could not be read as a whole.
    #[error("{}: {detail}", file.display())]
    List {
        /// The file.
        file: PathBuf,
        /// What is wrong.
        detail: String,
    },
    /// The address cannot be listened at.
    #[error("cannot listen at {address}: {source}; choose another with --listen")]
    Listen {
        /// The address.
        address: String,
        /// Why.
        source: io::Error,
    },
    /// The pages are not served as was asked.
    #[error(transparent)]
    Pages(#[from] PagesError),
    /// The server ended.
    #[error(transparent)]
    Serve(#[from] ServeError),
}

impl CountyError {
    /// The number that the program ends with.
    #[must_use]
    pub fn exit(&self) -> Exit {
        match self {
            Self::Command(error) => error.exit(),
            Self::CountyThere(_)
            | Self::RootKeyThere(_)
            | Self::NoRootKey(_)
            | Self::ClockBehind(_)
            | Self::ClockAhead(_)
            | Self::NotABackup { .. }
            | Self::NotInBackup(_)
            | Self::Standard { .. }
            | Self::NoSheet { .. }
            | Self::List { .. } => Exit::Refused,
            Self::Restore(error) => match error {
                RestoreError::Open(_) | RestoreError::Store(_) => Exit::Store,
                RestoreError::Log(_)
                | RestoreError::Entry { .. }
                | RestoreError::NotSigned(_)
                | RestoreError::OtherRoot { .. }
                | RestoreError::Parted { .. }
                | RestoreError::NoSuchEnd { .. }
                | RestoreError::Event(_)
                | RestoreError::NotKept(_) => Exit::Refused,
            },
            Self::Backup(_)
            | Self::Store(_)
            | Self::RootKey { .. }
            | Self::Identity(_)
            | Self::Found(_)
            | Self::Begun(_)
            | Self::Append(_) => Exit::Store,
            Self::Pages(error) => match error {
                PagesError::At(error) => error.exit(),
                PagesError::Map(_) => Exit::Refused,
            },
            Self::Listen { .. } | Self::Serve(_) => Exit::Network,
        }
    }
}

impl From<LookupError> for CountyError {
    fn from(error: LookupError) -> Self {
        Self::Command(error.into())
    }
}

impl From<SettingsError> for CountyError {
    fn from(error: SettingsError) -> Self {
        Self::Command(error.into())
    }
}

impl From<io::Error> for CountyError {
    fn from(error: io::Error) -> Self {
        Self::Command(error.into())
    }
}
