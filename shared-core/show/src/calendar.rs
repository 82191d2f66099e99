//! Days as an iCalendar feed (RFC 5545, with the refresh of RFC 7986) that a calendar program can
//! subscribe to.
//!
//! The same days and the same moment give the same bytes: the moment is an argument, and an event is
//! known by its UID, so that a program that reads the feed again moves the event and never doubles it.
//! It holds no names of people. It decides nothing.

use std::fmt::Write as _;

use chrono::{DateTime, Days, NaiveDate, Utc};
use icalendar::{Component as _, Event, EventLike as _, Property};
use sponson_readiness::moment::Moment;

use crate::clean::clean;

mod due;
#[cfg(test)]
mod tests;

pub use due::{Of, due};

/// Octets of a line without its end (RFC 5545, 3.1).
const LINE_OCTETS: usize = 75;

/// What made it (RFC 5545, 3.7.3): a formal public identifier without a registered owner.
const PRODID: &str = "-//Sponson//What comes due//EN";

/// How often a program should look again (RFC 7986, 5.7).
const REFRESH: &str = "PT6H";

/// A calendar.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Calendar {
    /// Its name.
    pub name: String,
    /// What it is.
    pub about: String,
    /// The moment of the answer that it shows.
    pub at: Moment,
    /// Only grows while the same is told anew (RFC 5545, 3.8.7.4).
    pub sequence: u32,
    /// Its events.
    pub days: Vec<Day>,
}

/// An event of a whole day.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Day {
    /// What it is known by, now and when it has moved.
    pub uid: String,
    /// The day.
    pub day: NaiveDate,
    /// In one line.
    pub summary: String,
    /// In more lines.
    pub lines: Vec<String>,
    /// Where.
    pub place: String,
}

impl Calendar {
    /// The feed.
    #[must_use]
    pub fn text(&self) -> String {
        let mut feed = icalendar::Calendar::empty();
        for (name, value) in [
            ("VERSION", "2.0"),
            ("PRODID", PRODID),
            ("CALSCALE", "GREGORIAN"),
            ("METHOD", "PUBLISH"),
        ] {
            feed.append_property(Property::new(name, value));
        }
        let (name, about) = (clean(&self.name), clean(&self.about));
        // The library knows this property not as text and would not escape it.
        feed.append_property(typed("NAME", &name, "TEXT"));
        feed.append_property(Property::new("X-WR-CALNAME", name));
        feed.append_property(Property::new("DESCRIPTION", about));
        feed.append_property(typed("REFRESH-INTERVAL", REFRESH, "DURATION"));
        feed.append_property(Property::new("X-PUBLISHED-TTL", REFRESH));
        for day in &self.days {
            feed.push(self.event(day));
        }
        folded(&feed.to_string())
    }

    fn event(&self, day: &Day) -> Event {
        let lines: Vec<String> = day.lines.iter().map(|line| clean(line)).collect();
        let at = utc(self.at);
        let next = day.day.checked_add_days(Days::new(1)).unwrap_or(day.day);
        Event::new()
            .uid(&clean(&day.uid))
            .timestamp(at)
            .last_modified(at)
            .sequence(self.sequence)
            .starts(day.day)
            .ends(next)
            .summary(&clean(&day.summary))
            .description(&lines.join("\n"))
            .location(&clean(&day.place))
            // A day on which something is due keeps nobody from being free.
            .append_property(Property::new("TRANSP", "TRANSPARENT"))
            .done()
    }
}

fn typed(name: &str, value: &str, of: &str) -> Property {
    Property::new(name, value).add_parameter("VALUE", of).done()
}

/// A moment as calendar and clock, to the second; one that no calendar holds is 1970.
fn utc(at: Moment) -> DateTime<Utc> {
    DateTime::from_timestamp(at.0.div_euclid(1000), 0).unwrap_or_default()
}

/// Folds lines anew: the library folds so that the last piece of a line can have 76 octets with the
/// blank before it. A line end with a blank after it is a fold and nothing else, since no value holds
/// a line end.
fn folded(text: &str) -> String {
    let whole = text.replace("\r\n ", "");
    let mut out = String::with_capacity(text.len());
    for line in whole.split_terminator("\r\n") {
        let mut octets = 0;
        for c in line.chars() {
            if octets + c.len_utf8() > LINE_OCTETS {
                out.push_str("\r\n ");
                octets = 1;
            }
            // Writing to a String cannot fail.
            let _ = out.write_char(c);
            octets += c.len_utf8();
        }
        out.push_str("\r\n");
    }
    out
}
