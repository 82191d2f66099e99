//! What comes due as it is asked for: from the message to the county's past and records, looked ahead
//! from, narrowed to what was asked, and how to show it.

use std::sync::Arc;

use chrono::{DateTime, Days, Months, NaiveDate};
use prost::Message as _;
use sponson_proto::service::v1::{AheadReply, AheadRequest};
use sponson_readiness::ahead::{Ahead, AheadAsked};
use sponson_readiness::ids::SubjectId;
use sponson_readiness::moment::Moment;
use sponson_show::ahead::{Narrow, Show, narrowed};
use sponson_show::{Context, calendar, json, table};

use crate::history::{HistoryOf, history};
use crate::limits::LOCAL_MESSAGE_BYTES_MAX;
use crate::refusal::{Refusal, fits};
use crate::shared::{Gone, Shared};

/// Days that can be looked ahead: two years and a leap day. A monthly inspection then has 24 rounds;
/// 500 craft with 20 of them are 240,000 items of some 400 bytes.
const DAYS_MAX: u32 = 732;

/// A year ahead, where nothing else was asked.
const MONTHS: u32 = 12;

/// What comes due, and what is needed to show it.
#[derive(Clone, Debug)]
pub struct AheadTold {
    /// What comes due, narrowed to what was asked.
    pub ahead: Ahead,
    /// What of it was asked for.
    pub show: Show,
    /// What has an event in its calendar.
    pub of: calendar::Of,
    /// The judged moment.
    pub as_of: Moment,
    /// Size of the county log that it rests on.
    pub log_size: u64,
    /// How to show it.
    pub ctx: Context,
    /// What whoever reads it has to know of this county.
    pub notes: Vec<String>,
}

impl AheadTold {
    /// As people read it in a terminal.
    #[must_use]
    pub fn text(&self) -> String {
        table::ahead_report(&self.ahead, self.show, self.as_of, &self.ctx)
    }

    /// For other programs.
    #[must_use]
    pub fn json(&self) -> String {
        json::due(&self.ahead, self.as_of, self.log_size, &self.ctx)
    }

    /// One list for a spreadsheet.
    #[must_use]
    pub fn csv(&self, list: Show) -> String {
        list.table(&self.ahead, self.as_of, &self.ctx)
    }

    /// For a calendar program.
    #[must_use]
    pub fn calendar(&self) -> String {
        let rests_on = (self.as_of, self.log_size);
        calendar::due(&self.ahead, self.of, rests_on, &self.ctx).text()
    }

    /// The forms that a request wants.
    ///
    /// # Errors
    /// When they are more than a message can hold.
    pub(crate) fn reply(self, request: &AheadRequest) -> Result<AheadReply, Refusal> {
        let count = |count: usize| u32::try_from(count).unwrap_or(u32::MAX);
        let due = &self.ahead.due;
        let overdue = due.iter().filter(|item| item.standing.is_overdue());
        let form = |wanted: bool, form: &dyn Fn() -> String| wanted.then(form).unwrap_or_default();
        let reply = AheadReply {
            text: form(request.text, &|| self.text()),
            json: form(request.json, &|| self.json()),
            csv: form(request.csv, &|| self.csv(self.show)),
            calendar: form(request.calendar, &|| self.calendar()),
            items: count(due.len()),
            overdue: count(overdue.count()),
            notes: self.notes.clone(),
        };
        let remedy = "choose a station, a craft or a shorter time";
        fits(
            "the list",
            reply.encoded_len(),
            LOCAL_MESSAGE_BYTES_MAX,
            remedy,
        )?;
        Ok(reply)
    }
}

/// What a request asks for, read.
struct Read {
    show: Show,
    of: calendar::Of,
    narrow: Narrow,
}

/// Looks ahead.
///
/// # Errors
/// When a field cannot be, or the log is closed.
pub(crate) async fn ahead(shared: &Shared, request: &AheadRequest) -> Result<AheadTold, Refusal> {
    let read = Read {
        show: show(&request.show)?,
        of: match request.each {
            true => calendar::Of::Things,
            false => calendar::Of::Visits,
        },
        narrow: Narrow {
            station: subject("station", &request.station)?,
            craft: subject("craft", &request.craft)?,
        },
    };
    let past = history(shared, request.as_of_unix_ms.map(Moment)).await?;
    let days = days(request, today(&past))?;
    // Not on the thread that holds the log: others go on meanwhile.
    let told = tokio::task::spawn_blocking(move || told(&past, days, &read));
    told.await.map_err(|_| Gone::Broken.into())
}

fn told(past: &Arc<HistoryOf>, days: u32, read: &Read) -> AheadTold {
    let asked = AheadAsked {
        from: past.as_of,
        now: past.now,
        days,
    };
    let all = sponson_readiness::ahead::ahead(&past.county(), &past.history, &asked);
    AheadTold {
        ahead: narrowed(&all, read.narrow),
        show: read.show,
        of: read.of,
        as_of: past.as_of,
        log_size: past.known_by.size,
        ctx: past.ctx.clone(),
        notes: past.notes.clone(),
    }
}

fn show(word: &str) -> Result<Show, Refusal> {
    if word.is_empty() {
        return Ok(Show::default());
    }
    Show::of(word).ok_or_else(|| {
        let known = Show::ALL.map(Show::id).join(", ");
        Refusal::field(
            format!(
                "show is '{}', which is not known to this service",
                sponson_show::clean(word)
            ),
            format!("ask for {known}"),
        )
    })
}

fn subject(field: &str, id: &[u8]) -> Result<Option<SubjectId>, Refusal> {
    if id.is_empty() {
        return Ok(None);
    }
    let id: Result<[u8; 16], _> = id.try_into();
    id.map(|id| Some(SubjectId::from_bytes(id))).map_err(|_| {
        Refusal::field(
            format!("{field} is no id of 16 bytes"),
            "look it up in the catalogue",
        )
    })
}

/// The county's day of the judged moment.
fn today(past: &HistoryOf) -> NaiveDate {
    let local = past
        .as_of
        .plus_ms(i64::from(past.ctx.utc_offset_min) * 60_000);
    DateTime::from_timestamp_millis(local.0).map_or(NaiveDate::MIN, |at| at.date_naive())
}

/// Days to look ahead; months are those of the calendar, so that a yearly thing that was done today
/// is within a year.
fn days(request: &AheadRequest, today: NaiveDate) -> Result<u32, Refusal> {
    let until = match (request.days, request.months) {
        (0, 0) => today.checked_add_months(Months::new(MONTHS)),
        (0, months) => today.checked_add_months(Months::new(months)),
        (days, 0) => today.checked_add_days(Days::new(u64::from(days))),
        (_, _) => {
            return Err(Refusal::field(
                "days and months are both given",
                "give one of them",
            ));
        }
    };
    let days = until.map(|until| (until - today).num_days());
    days.and_then(|days| u32::try_from(days).ok())
        .filter(|days| *days <= DAYS_MAX)
        .ok_or_else(|| {
            Refusal::field(
                "it is asked for more than two years ahead",
                format!("ask for at most {DAYS_MAX} days or 24 months"),
            )
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked(days: u32, months: u32) -> Result<u32, Refusal> {
        let request = AheadRequest {
            days,
            months,
            ..AheadRequest::default()
        };
        let leap = NaiveDate::from_ymd_opt(2028, 2, 29).expect("a day");
        super::days(&request, leap)
    }

    #[test]
    fn a_year_is_one_of_the_calendar_and_two_are_the_most() {
        for (days, months, is) in [
            (0, 0, Some(365)),
            (0, 12, Some(365)),
            (0, 1, Some(29)),
            (0, 24, Some(730)),
            (0, 25, None),
            (14, 0, Some(14)),
            (732, 0, Some(732)),
            (733, 0, None),
            (u32::MAX, 0, None),
            (0, u32::MAX, None),
            (1, 1, None),
        ] {
            assert_eq!(asked(days, months).ok(), is, "{days} {months}");
        }
    }

    #[test]
    fn what_cannot_be_asked_is_named() {
        assert_eq!(show("").ok(), Some(Show::Due));
        assert_eq!(show("late").ok(), Some(Show::Late));
        let refused = show("soon").expect_err("refused");
        assert!(refused.what().contains("soon") && refused.to_do().contains("shelf"));
        assert!(subject("craft", &[1; 15]).is_err_and(|it| it.what().contains("craft")));
        assert_eq!(subject("craft", &[]).ok(), Some(None));
    }
}
