//! Refusals: a status with a stable reason and what to do, and how a caller reads one back.
//!
//! Every refusal carries exactly one `google.rpc.ErrorInfo` of domain `sponson`; what differs from
//! case to case stands in its metadata too.

use std::collections::HashMap;
use std::time::Duration;

use tonic::{Code, Status};
use tonic_types::{ErrorDetails, StatusExt as _};

use crate::shared::Gone;

/// Domain of all reasons.
pub const DOMAIN: &str = "sponson";

/// Something that a service refuses.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refusal {
    code: Code,
    reason: &'static str,
    what: String,
    to_do: String,
    retry_after: Option<Duration>,
}

impl Refusal {
    /// Says what is refused and what to do about it; `reason` is stable, UPPER_SNAKE.
    #[must_use]
    pub fn new(
        code: Code,
        reason: &'static str,
        what: impl Into<String>,
        to_do: impl Into<String>,
    ) -> Self {
        Self {
            code,
            reason,
            what: what.into(),
            to_do: to_do.into(),
            retry_after: None,
        }
    }

    /// A field of a request that cannot be read.
    #[must_use]
    pub fn field(what: impl Into<String>, to_do: impl Into<String>) -> Self {
        Self::new(Code::InvalidArgument, "FIELD_NOT_READABLE", what, to_do)
    }

    /// What is refused.
    #[must_use]
    pub fn what(&self) -> &str {
        &self.what
    }

    /// What to do about it.
    #[must_use]
    pub fn to_do(&self) -> &str {
        &self.to_do
    }

    /// Whether it is about what was asked, not about the state of the service.
    #[must_use]
    pub fn is_of_the_request(&self) -> bool {
        let of_the_request = [
            Code::InvalidArgument,
            Code::NotFound,
            Code::OutOfRange,
            Code::FailedPrecondition,
        ];
        of_the_request.contains(&self.code)
    }

    /// Its stable reason, UPPER_SNAKE.
    #[must_use]
    pub const fn reason(&self) -> &'static str {
        self.reason
    }

    /// The caller may try again after a while.
    #[must_use]
    pub const fn retry_after(mut self, after: Duration) -> Self {
        self.retry_after = Some(after);
        self
    }
}

/// Most bytes of what is refused. It goes in two headers, in one as it is read, up to three bytes for
/// one, in one as base64: with what to do 3 x 3 KiB and 4/3 x 3 KiB, of the 16 KiB that a client takes.
pub const WHAT_BYTES_MAX: usize = 2 * 1024;

/// Most bytes of what to do about it.
pub const TO_DO_BYTES_MAX: usize = 1024;

/// Cuts a text that repeats more of what was sent than a header holds.
fn shortened(text: String, bytes_max: usize) -> String {
    const CUT: &str = " … (cut short)";
    if text.len() <= bytes_max {
        return text;
    }
    let end = text.floor_char_boundary(bytes_max - CUT.len());
    format!("{}{CUT}", &text[..end])
}

impl From<Refusal> for Status {
    fn from(refusal: Refusal) -> Self {
        let refusal = Refusal {
            what: shortened(refusal.what, WHAT_BYTES_MAX),
            to_do: shortened(refusal.to_do, TO_DO_BYTES_MAX),
            ..refusal
        };
        let metadata = HashMap::from([
            ("what".to_owned(), refusal.what.clone()),
            ("to_do".to_owned(), refusal.to_do.clone()),
        ]);
        let mut details = ErrorDetails::with_error_info(refusal.reason, DOMAIN, metadata);
        if let Some(after) = refusal.retry_after {
            details.set_retry_info(Some(after));
        }
        let message = format!("{}: {}", refusal.what, refusal.to_do);
        Self::with_error_details(refusal.code, message, details)
    }
}

impl From<Gone> for Refusal {
    fn from(gone: Gone) -> Self {
        let what = match gone {
            Gone::Closed => "the log is closed",
            Gone::Broken => "the log met an unexpected fault and was closed",
        };
        Self::new(
            Code::Unavailable,
            "LOG_CLOSED",
            what,
            "start the service again, then verify",
        )
    }
}

/// What is too long for a message is refused before it is sent, in words.
pub(crate) fn fits(
    what: &str,
    bytes: usize,
    bytes_max: usize,
    remedy: &str,
) -> Result<(), Refusal> {
    if bytes <= bytes_max {
        return Ok(());
    }
    Err(Refusal::new(
        Code::OutOfRange,
        "TOO_LONG",
        format!("{what} has {bytes} bytes; a message holds {bytes_max}"),
        remedy,
    ))
}

/// The store failed; nothing further is acknowledged.
pub(crate) fn store_failed(error: &sponson_replica::StoreError) -> Refusal {
    tracing::error!(%error, "the store failed");
    Refusal::new(
        Code::Unavailable,
        "STORE_FAILED",
        error.to_string(),
        "look at the disk, then start the service again",
    )
}

/// A row of the store cannot be read.
pub(crate) fn row_damaged(error: &sponson_replica::RowError) -> Refusal {
    tracing::error!(%error, "a row of the store is damaged");
    Refusal::new(
        Code::DataLoss,
        "ROW_DAMAGED",
        error.to_string(),
        "verify the store",
    )
}

/// An event that was not recorded.
pub(crate) fn append_refused(error: sponson_replica::AppendError) -> Refusal {
    if let sponson_replica::AppendError::Store(store) = &error {
        return store_failed(store);
    }
    if matches!(error, sponson_replica::AppendError::Paused) {
        return Refusal::new(
            Code::FailedPrecondition,
            "COUNTY_PUT_BACK",
            error.to_string(),
            "nothing was recorded",
        );
    }
    Refusal::new(
        Code::InvalidArgument,
        "EVENT_REFUSED",
        error.to_string(),
        "nothing was recorded; set it right and record it again",
    )
}

/// A picture that was not kept, taken or given.
pub(crate) fn picture_refused(error: &sponson_replica::PictureError) -> Refusal {
    use sponson_replica::PictureError as It;
    let (code, reason, to_do) = match error {
        It::NoneKept => (
            Code::FailedPrecondition,
            "NO_PICTURES_KEPT",
            "the log itself is whole",
        ),
        It::Value { .. } => (
            Code::InvalidArgument,
            "PICTURE_REFUSED",
            "nothing of it was kept",
        ),
        It::NotKnown(_) => (
            Code::NotFound,
            "PICTURE_NOT_KNOWN",
            "nothing of it was kept",
        ),
        It::Removed(_) => (
            Code::FailedPrecondition,
            "PICTURE_REMOVED",
            "it does not come back",
        ),
        It::Missing(_) => (
            Code::NotFound,
            "PICTURE_NOT_HERE",
            "nothing else is missing",
        ),
        It::Wrong(_) => (Code::DataLoss, "PICTURE_WRONG", "the log itself is whole"),
        It::Budget { .. } => (
            Code::FailedPrecondition,
            "PICTURES_FULL",
            "nothing was recorded",
        ),
        It::NoRoom { .. } => (
            Code::ResourceExhausted,
            "STORE_NEARLY_FULL",
            "events are still recorded",
        ),
        It::File(error) => {
            tracing::error!(%error, "the files of pictures failed");
            (
                Code::Unavailable,
                "STORE_PICTURES_FAILED",
                "the log itself goes on",
            )
        }
    };
    Refusal::new(code, reason, error.to_string(), to_do)
}

/// The stable reason of a refusal; none when the status is no refusal of ours.
#[must_use]
pub fn reason(status: &Status) -> Option<String> {
    let info = status.get_details_error_info()?;
    (info.domain == DOMAIN).then_some(info.reason)
}

/// How long the other side asks to wait before another try.
#[must_use]
pub fn retry_after(status: &Status) -> Option<Duration> {
    status.get_details_retry_info()?.retry_delay
}

/// A status in words for people.
#[must_use]
pub fn words(status: &Status) -> String {
    match (status.message(), status.code()) {
        ("", Code::Unavailable) => "the connection was lost: try again".to_owned(),
        ("", Code::DeadlineExceeded) => "no reply in time: try again".to_owned(),
        ("", code) => format!("refused without a reason ({code})"),
        (message, _) => message.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_refusal_carries_its_reason_and_what_to_do() {
        let refusal = Refusal::new(
            Code::PermissionDenied,
            "KEY_NOT_ADMITTED",
            "this device's key is not admitted",
            "join with a code",
        )
        .retry_after(Duration::from_secs(60));
        let status = Status::from(refusal);
        assert_eq!(reason(&status).as_deref(), Some("KEY_NOT_ADMITTED"));
        assert_eq!(retry_after(&status), Some(Duration::from_secs(60)));
        insta::assert_snapshot!(words(&status), @"this device's key is not admitted: join with a code");
        assert_eq!(reason(&Status::internal("x")), None);
        insta::assert_snapshot!(words(&Status::unavailable("")), @"the connection was lost: try again");
    }

    #[test]
    fn a_refusal_that_repeats_much_is_cut_short_between_two_letters() {
        for (length, whole) in [(WHAT_BYTES_MAX / 2, true), (WHAT_BYTES_MAX / 2 + 1, false)] {
            let what = "\u{e4}".repeat(length);
            let status = Status::from(Refusal::new(Code::NotFound, "X", what, "look again"));
            let said = words(&status);
            assert_eq!(said.contains("cut short"), !whole, "{length}");
            assert!(said.ends_with(": look again"), "{length}");
            let info = status.get_details_error_info().expect("a reason");
            assert!(info.metadata["what"].len() <= WHAT_BYTES_MAX, "{length}");
        }
    }
}
