//! Why a page of either program was not made, and the number by which a browser is told.

use axum::http::StatusCode;
use sponson_link::refusal::Refusal;
use sponson_show::terminal::Exit;

use crate::error::CommandError;

/// Why a page was not made.
#[derive(Debug, thiserror::Error)]
pub enum NotShown {
    /// The log refused.
    #[error("{}: {}", .0.what(), .0.to_do())]
    Refused(Refusal),
    /// A command would say the same.
    #[error(transparent)]
    Command(#[from] CommandError),
}

impl From<Refusal> for NotShown {
    fn from(refusal: Refusal) -> Self {
        Self::Refused(refusal)
    }
}

impl NotShown {
    /// The number that says how a request ended.
    #[must_use]
    pub fn status(&self) -> StatusCode {
        let exit = match self {
            Self::Refused(refusal) if refusal.is_of_the_request() => Exit::Refused,
            Self::Refused(_) => Exit::Store,
            Self::Command(error) => error.exit(),
        };
        match exit {
            Exit::WrongUse | Exit::Refused => StatusCode::BAD_REQUEST,
            Exit::Fine | Exit::Judged | Exit::Store | Exit::Network => {
                StatusCode::SERVICE_UNAVAILABLE
            }
        }
    }
}
