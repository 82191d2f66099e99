//! The county's clock, looked at before anything gets a received time from it.

use sponson_client::session::Session;
use sponson_client::settings::Settings;
use sponson_link::county_clock::{AHEAD_DAYS, ClockDoubt};

use crate::error::CountyError;

/// How the clock is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ClockCheck {
    ahead_days: u32,
    ahead: Ahead,
}

/// What is done about a clock that stands long after the newest entry.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Ahead {
    Refused,
    SaidToBeRight,
}

impl ClockCheck {
    /// As the settings and the command line say.
    #[must_use]
    pub fn of(settings: &Settings, said_to_be_right: bool) -> Self {
        Self {
            ahead_days: settings.clock_ahead_days.unwrap_or(AHEAD_DAYS),
            ahead: if said_to_be_right {
                Ahead::SaidToBeRight
            } else {
                Ahead::Refused
            },
        }
    }

    /// Whether the clock stands before the newest entry, and was said to be right.
    pub(crate) fn is_behind_and_right(self, now_unix_ms: i64, newest: Option<i64>) -> bool {
        let doubt = ClockDoubt::of(now_unix_ms, newest, self.ahead_days);
        let behind = matches!(doubt, Some(ClockDoubt::Behind { .. }));
        behind && self.ahead == Ahead::SaidToBeRight
    }

    /// Refuses a clock that stands before the newest entry, or long after it unless it was said to
    /// be right.
    ///
    /// # Errors
    /// When the clock is in doubt.
    pub(crate) fn check(self, now_unix_ms: i64, newest: Option<i64>) -> Result<(), CountyError> {
        match ClockDoubt::of(now_unix_ms, newest, self.ahead_days) {
            None => Ok(()),
            Some(ClockDoubt::Ahead { .. }) if self.ahead == Ahead::SaidToBeRight => Ok(()),
            Some(doubt @ ClockDoubt::Ahead { .. }) => Err(CountyError::ClockAhead(doubt.words())),
            Some(doubt @ ClockDoubt::Behind { .. }) => Err(CountyError::ClockBehind(doubt.words())),
        }
    }

    /// Looks at the clock by what the local service says of the log.
    ///
    /// # Errors
    /// When the clock is in doubt, or the service fails.
    pub(crate) async fn of_session(self, session: &mut Session<'_>) -> Result<(), CountyError> {
        let newest = session.about().await?.newest_stored_unix_ms;
        self.check(session.now_unix_ms(), newest)
    }
}
