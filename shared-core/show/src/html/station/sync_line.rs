//! How the sync of a station stands, in one line that is on every page.

use maud::{Markup, html};
use sponson_readiness::moment::Moment;

use super::when;
use crate::clean::clean;
use crate::units::print;

/// How a sync stands.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SyncLine {
    /// Entries that the county has not got yet.
    pub waiting: u64,
    /// Pictures that the county has not got yet: they go after the entries.
    pub pictures_waiting: u64,
    /// The last sync that ended well; none when there was none.
    pub last_sync: Option<Moment>,
    /// The county's clock less this device's, as last measured, milliseconds.
    pub clock_offset_ms: Option<i64>,
    /// Whether it is being tried.
    pub trying: SyncTrying,
    /// Other stations and when they were last heard, the newest first.
    pub heard: Vec<(String, Option<Moment>)>,
}

/// Whether a sync is being tried.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum SyncTrying {
    /// Nothing is tried by itself.
    #[default]
    Idle,
    /// Right now.
    Now,
    /// Again at this moment.
    NextAt(Moment),
    /// The county refused, in its words.
    Refused(String),
    /// It cannot be: this device has not joined, or was ended.
    Never,
}

/// From how much on a clock is said to be wrong: a minute.
const CLOCK_SAID_MS: u64 = 60_000;

impl SyncLine {
    /// The line.
    #[must_use]
    pub fn line(&self, now: Moment, utc_offset_min: i32) -> Markup {
        html! {
            p.sync id="sync" data-waiting=(self.waiting) {
                a href="/sync" { (self.words(now, utc_offset_min)) }
            }
        }
    }

    /// The same as a sentence.
    #[must_use]
    pub fn words(&self, now: Moment, utc_offset_min: i32) -> String {
        let mut said = vec![self.waiting_words()];
        said.extend(self.pictures_words());
        said.push(self.last_words(now, utc_offset_min));
        said.extend(self.trying_words(now));
        said.extend(self.clock_words());
        said.extend(self.heard_words(now));
        format!("{}.", said.join("; "))
    }

    fn waiting_words(&self) -> String {
        match self.waiting {
            0 => "Nothing waits for the county".to_owned(),
            1 => "1 entry waits for the county".to_owned(),
            more => format!("{more} entries wait for the county"),
        }
    }

    /// Pictures that wait, in words.
    fn pictures_words(&self) -> Option<String> {
        match self.pictures_waiting {
            0 => None,
            1 => Some("1 picture waits".to_owned()),
            more => Some(format!("{more} pictures wait")),
        }
    }

    fn last_words(&self, now: Moment, utc_offset_min: i32) -> String {
        self.last_sync.map_or_else(
            || "never synced".to_owned(),
            |at| format!("last synced {}", when(at, now, utc_offset_min)),
        )
    }

    /// Whether it is being tried, in words.
    #[must_use]
    pub fn trying_words(&self, now: Moment) -> Option<String> {
        match &self.trying {
            SyncTrying::Idle => None,
            SyncTrying::Now => Some("trying now".to_owned()),
            SyncTrying::NextAt(at) => {
                let wait_s = at.since(now).div_euclid(1000).max(0);
                Some(match wait_s {
                    0..=90 => format!("tries again in {wait_s} s"),
                    _ => format!("tries again in {} min", wait_s.div_euclid(60)),
                })
            }
            SyncTrying::Refused(words) => Some(format!("the county refused: {}", clean(words))),
            SyncTrying::Never => Some("this device cannot sync: tell the lead".to_owned()),
        }
    }

    /// Which other station was heard last.
    fn heard_words(&self, now: Moment) -> Option<String> {
        let mut heard = self.heard.iter();
        let (name, at) = heard.find_map(|(name, at)| Some((name, (*at)?)))?;
        Some(format!(
            "{} heard {}",
            clean(name),
            print::ago(now.since(at))
        ))
    }

    /// What is wrong with the clock, when it is off by a minute or more.
    #[must_use]
    pub fn clock_words(&self) -> Option<String> {
        let off = self.clock_offset_ms?;
        if off.unsigned_abs() < CLOCK_SAID_MS {
            return None;
        }
        let (by, side) = (off.unsigned_abs(), if off > 0 { "slow" } else { "fast" });
        let by = i64::try_from(by).unwrap_or(i64::MAX);
        Some(format!("this clock is {} {side}", print::span(by)))
    }
}
