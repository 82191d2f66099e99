//! Why a command did not do what it was asked, and the number that its program then ends with.

use std::io;
use std::path::PathBuf;

use sponson_link::code::CodeError;
use sponson_link::identity::IdentityError;
use sponson_link::local::{ConnectError, ServeError};
use sponson_link::shared::Gone;
use sponson_link::station::JoinError;
use sponson_link::tls;
use sponson_log::event_proof::EventProofError;
use sponson_replica::{CompactError, OpenError, REMEDY, SalvageError, StoreError};
use sponson_show::dates::DateError;
use sponson_show::terminal::Exit;
use sponson_show::units::UnitError;
use tonic::{Code, Status};
use tonic_types::StatusExt as _;

use crate::catalogue::LookupError;
use crate::check_file::CheckFileError;
use crate::pages::PagesError;
use crate::settings::SettingsError;

/// Why a command failed.
#[derive(Debug, thiserror::Error)]
pub enum CommandError {
    /// A quantity on the command line.
    #[error(transparent)]
    Unit(#[from] UnitError),
    /// People on the command line.
    #[error(transparent)]
    People(#[from] sponson_show::people::PeopleError),
    /// A date or moment on the command line.
    #[error(transparent)]
    Date(#[from] DateError),
    /// An argument whose value cannot be.
    #[error("{field} is {value}; {limit}")]
    Argument {
        /// The argument, as typed.
        field: &'static str,
        /// Its value.
        value: String,
        /// What is allowed.
        limit: String,
    },
    /// Somebody would have to be asked, and nobody sits there.
    #[error("nobody sits at this terminal to be asked: give {instead}")]
    NobodyToAsk {
        /// What to give instead.
        instead: &'static str,
    },
    /// The person broke off.
    #[error("broken off: nothing was recorded")]
    BrokenOff,
    /// The person broke off a check that is kept.
    #[error("left under way, nothing was recorded: go on with sponson check '{craft}'")]
    LeftUnderWay {
        /// The craft.
        craft: String,
    },
    /// A name that the log does not hold.
    #[error(transparent)]
    Lookup(#[from] LookupError),
    /// A check that cannot be recorded as it is.
    #[error(transparent)]
    Check(#[from] CheckFileError),
    /// A picture that cannot be taken.
    #[error(transparent)]
    Picture(#[from] crate::pictures::PictureError),
    /// Data that was given was refused.
    #[error("{field} is {value}; {limit}")]
    Refused {
        /// The field.
        field: String,
        /// Its value.
        value: String,
        /// What is allowed, or what to do.
        limit: String,
    },
    /// The store holds something that is wrong.
    #[error("{0} wrong: do not rely on this copy; {REMEDY}")]
    StoreWrong(String),
    /// The store is whole, and devices were copied or restored.
    #[error(
        "this copy is whole, but {0} recorded twice from one entry on, copied or restored: the \
         lead ends the key with 'sponson-county revoke', and it joins anew"
    )]
    Parted(String),
    /// The settings file.
    #[error(transparent)]
    Settings(#[from] SettingsError),
    /// A file that was named cannot be read.
    #[error("{} cannot be read: {source}; check the name", sponson_show::clean(&file.display().to_string()))]
    Read {
        /// The file.
        file: PathBuf,
        /// Why.
        source: io::Error,
    },
    /// A file that was named cannot be written.
    #[error("{} cannot be written: {source}; choose another place", sponson_show::clean(&file.display().to_string()))]
    Write {
        /// The file.
        file: PathBuf,
        /// Why.
        source: io::Error,
    },
    /// A proof file shows nothing.
    #[error("the proof does not hold: {0}")]
    Proof(#[from] EventProofError),
    /// The signed record of a craft does not hold.
    #[error(transparent)]
    Record(Box<sponson_link::craft_record::RecordCheckError>),
    /// The admission code is mistyped.
    #[error(transparent)]
    Code(#[from] CodeError),
    /// The device's keys.
    #[error(transparent)]
    Identity(#[from] IdentityError),
    /// The county did not let the device join.
    #[error(transparent)]
    Join(#[from] JoinError),
    /// The store of the device could not be made or opened.
    #[error(transparent)]
    Open(#[from] OpenError),
    /// The damaged store could not be looked at.
    #[error(transparent)]
    Salvage(#[from] SalvageError),
    /// The store was not written anew.
    #[error(transparent)]
    Compact(#[from] CompactError),
    /// The fresh store failed.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// The fresh store was closed.
    #[error(transparent)]
    Gone(#[from] Gone),
    /// The local service could not be reached or opened.
    #[error(transparent)]
    Connect(#[from] ConnectError),
    /// The local service could not be kept up.
    #[error(transparent)]
    Serve(#[from] ServeError),
    /// The pages cannot be served as was asked.
    #[error(transparent)]
    Pages(#[from] PagesError),
    /// The service refused or failed.
    #[error(transparent)]
    Service(#[from] ServiceError),
    /// The system starts no thread.
    #[error(
        "the system starts no thread for this program: {0}; end other programs, or raise the limit of \
         processes (ulimit -u), and give the command again: nothing was done"
    )]
    NoThread(String),
    /// The terminal cannot be written to.
    #[error("the terminal cannot be written to: {0}")]
    Terminal(#[from] io::Error),
}

impl CommandError {
    /// The number that the program ends with.
    #[must_use]
    pub fn exit(&self) -> Exit {
        match self {
            Self::Unit(_)
            | Self::People(_)
            | Self::Date(_)
            | Self::Argument { .. }
            | Self::NobodyToAsk { .. }
            | Self::BrokenOff
            | Self::LeftUnderWay { .. }
            | Self::Connect(ConnectError::OtherSide { .. }) => Exit::WrongUse,
            Self::Settings(error) => match error {
                SettingsError::NoUsualFolder
                | SettingsError::Malformed { .. }
                | SettingsError::NotJoined
                | SettingsError::TlsKey => Exit::WrongUse,
                SettingsError::Unreadable { .. } | SettingsError::Unwritable { .. } => Exit::Store,
            },
            Self::Lookup(_)
            | Self::Check(_)
            | Self::Picture(_)
            | Self::Refused { .. }
            | Self::Read { .. }
            | Self::Proof(_)
            | Self::Record(_)
            | Self::Parted(_)
            | Self::Code(_) => Exit::Refused,
            Self::StoreWrong(_)
            | Self::Write { .. }
            | Self::Identity(_)
            | Self::Open(_)
            | Self::Salvage(_)
            | Self::Compact(_)
            | Self::Store(_)
            | Self::Gone(_)
            | Self::Connect(_)
            | Self::Serve(_)
            | Self::NoThread(_) => Exit::Store,
            Self::Join(error) => match error {
                JoinError::Connect(tls::ConnectError::Address(_)) => Exit::WrongUse,
                JoinError::Connect(
                    tls::ConnectError::Unreachable { .. } | tls::ConnectError::OtherKey { .. },
                )
                | JoinError::Tls(_) => Exit::Network,
                JoinError::OtherCounty { .. } | JoinError::Reply(_) => Exit::Refused,
                JoinError::Refused(status) => ServiceError::from((**status).clone()).exit(),
            },
            Self::Pages(error) => match error {
                PagesError::At(error) => error.exit(),
                PagesError::NotAllowed(_) => Exit::WrongUse,
                PagesError::Refused(_) => Exit::Store,
            },
            Self::Service(error) => error.exit(),
            Self::Terminal(error) if error.kind() == io::ErrorKind::BrokenPipe => Exit::Fine,
            Self::Terminal(_) => Exit::Store,
        }
    }
}

impl From<Status> for CommandError {
    fn from(status: Status) -> Self {
        Self::Service(ServiceError::from(status))
    }
}

/// What a service said when it refused or failed, in one sentence.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{sentence}")]
pub struct ServiceError {
    sentence: String,
    code: Code,
    /// Stable, `UPPER_SNAKE`; empty when the service gave none.
    reason: String,
}

impl ServiceError {
    /// The stable reason; empty when the service gave none.
    #[must_use]
    pub fn reason(&self) -> &str {
        &self.reason
    }

    /// The number that the program ends with.
    #[must_use]
    pub fn exit(&self) -> Exit {
        // The store is asked through the service, so its failures arrive as refusals too.
        if self.reason.starts_with("STORE_") || self.reason.starts_with("LOG_") {
            return Exit::Store;
        }
        match self.code {
            Code::Ok => Exit::Fine,
            Code::InvalidArgument
            | Code::NotFound
            | Code::AlreadyExists
            | Code::PermissionDenied
            | Code::FailedPrecondition
            | Code::OutOfRange
            | Code::Unauthenticated => Exit::Refused,
            Code::Internal | Code::DataLoss | Code::Unknown | Code::Unimplemented => Exit::Store,
            Code::Unavailable
            | Code::DeadlineExceeded
            | Code::Cancelled
            | Code::Aborted
            | Code::ResourceExhausted => Exit::Network,
        }
    }
}

impl From<Status> for ServiceError {
    fn from(status: Status) -> Self {
        let info = status.get_details_error_info();
        let said = sponson_show::clean(status.message());
        let sentence = if said.is_empty() {
            plain_code(status.code()).to_owned()
        } else {
            said
        };
        Self {
            sentence,
            code: status.code(),
            reason: info.map(|info| info.reason).unwrap_or_default(),
        }
    }
}

const fn plain_code(code: Code) -> &'static str {
    match code {
        Code::Ok => "done",
        Code::Cancelled => "the service broke off: try again",
        Code::Unknown | Code::Internal => "the service failed: start it again and look at its log",
        Code::InvalidArgument | Code::OutOfRange => "the service refused the data",
        Code::DeadlineExceeded => "the other side did not answer in time: try again",
        Code::NotFound => "the service does not know what was named",
        Code::AlreadyExists => "it is there already",
        Code::PermissionDenied | Code::Unauthenticated => {
            "this device is not entitled to that: ask the lead"
        }
        Code::ResourceExhausted => "the other side is busy: try again in a minute",
        Code::FailedPrecondition => "that cannot be done as things stand",
        Code::Aborted => "something else came between: try again",
        Code::Unimplemented => {
            "the running service is older than this command: end it, and start it again with the \
             upgraded program"
        }
        Code::Unavailable => {
            "the other side cannot be reached: look at the network, then try again"
        }
        Code::DataLoss => "the store is damaged: run verify",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_status_becomes_one_sentence_and_an_end() {
        for (status, sentence, exit) in [
            (
                Status::not_found("craft Boat 9 is not known"),
                "craft Boat 9 is not known",
                Exit::Refused,
            ),
            (
                Status::unavailable(""),
                "the other side cannot be reached: look at the network, then try again",
                Exit::Network,
            ),
            (
                Status::data_loss("row 3 is torn"),
                "row 3 is torn",
                Exit::Store,
            ),
            (
                Status::invalid_argument("bad \u{1b}[2J name"),
                "bad \\u{1b}[2J name",
                Exit::Refused,
            ),
        ] {
            let error = CommandError::from(status);
            assert_eq!((error.to_string().as_str(), error.exit()), (sentence, exit));
        }
    }
}
