//! A weather report as it was taken in with a question: what it says in the trade's units, and what of it
//! was not understood.
//!
//! Reads no text: whoever takes the question in reads the report (FM 15 METAR, WMO-No. 306) and gives
//! it in here beside the conditions that were made from it.

use std::collections::BTreeSet;

use crate::conditions::Visibility;
use crate::moment::Moment;

/// What a report of an aerodrome says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WeatherReport {
    /// The report in one line, as it was given.
    pub text: String,
    /// The aerodrome, for example KRAP.
    pub station: String,
    /// When it was made.
    pub at: Moment,
    /// Air, milli-degree Celsius.
    pub air_mc: Option<i32>,
    /// Dew point, milli-degree Celsius.
    pub dew_point_mc: Option<i32>,
    /// Wind.
    pub wind: Option<ReportedWind>,
    /// How far one sees, the least of what is said.
    pub visibility: Option<ReportedDistance>,
    /// What restricts visibility whatever the distance, for example FG.
    pub restricted_by: Option<String>,
    /// Altimeter setting, pascal.
    pub altimeter_pa: Option<i64>,
    /// Present weather, group by group, for example +TSRA.
    pub weather: Vec<String>,
    /// Groups that were understood and that nothing here is made of.
    pub not_used: Vec<String>,
    /// Groups that were not understood, or say what another denies.
    pub not_understood: Vec<String>,
    /// What was given by hand as well: that counts, and not the report.
    pub by_hand: BTreeSet<Reported>,
}

/// Values that a question may take from a report.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Reported {
    /// Air temperature.
    Air,
    /// Wind.
    Wind,
    /// Visibility.
    Visibility,
    /// Altimeter setting.
    Altimeter,
}

/// Wind of a report, millimetres a second.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ReportedWind {
    /// Mean.
    pub mean_mm_s: u32,
    /// Gusts.
    pub gust_mm_s: Option<u32>,
    /// Whether it may be more.
    pub reach: Reach,
}

/// A distance of a report.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ReportedDistance {
    /// Metres.
    pub metres: u32,
    /// Whether it is less or may be more.
    pub reach: Reach,
}

/// Whether a value of a report is the value itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Reach {
    /// The value.
    Exact,
    /// Less than it.
    Below,
    /// It, or more.
    OrMore,
}

impl Reported {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Air, Self::Wind, Self::Visibility, Self::Altimeter];

    /// Stable word.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::Air => "air",
            Self::Wind => "wind",
            Self::Visibility => "visibility",
            Self::Altimeter => "altimeter",
        }
    }
}

impl Reach {
    /// Stable word; empty for the value itself.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::Exact => "",
            Self::Below => "below",
            Self::OrMore => "or_more",
        }
    }
}

impl ReportedWind {
    /// What counts: gusts before the mean, since they are what turns a boat over.
    #[must_use]
    pub fn counts_mm_s(&self) -> u32 {
        self.mean_mm_s.max(self.gust_mm_s.unwrap_or(0))
    }
}

impl WeatherReport {
    /// What a question takes as visibility: restricted where something restricts it, and where it is
    /// less than what can be told.
    #[must_use]
    pub fn sight(&self) -> Option<Visibility> {
        let below = |far: ReportedDistance| far.reach == Reach::Below;
        if self.restricted_by.is_some() || self.visibility.is_some_and(below) {
            return Some(Visibility::Restricted);
        }
        self.visibility.map(|far| Visibility::Metres(far.metres))
    }

    /// What it has a value for that a question may take.
    #[must_use]
    pub fn offers(&self) -> BTreeSet<Reported> {
        let offered = [
            (Reported::Air, self.air_mc.is_some()),
            (Reported::Wind, self.wind.is_some()),
            (Reported::Visibility, self.sight().is_some()),
            (Reported::Altimeter, self.altimeter_pa.is_some()),
        ];
        let offered = offered.into_iter().filter(|(_, there)| *there);
        offered.map(|(what, _)| what).collect()
    }

    /// What the question took from it.
    #[must_use]
    pub fn taken(&self) -> BTreeSet<Reported> {
        self.offers().difference(&self.by_hand).copied().collect()
    }
}

/// A report at the judged moment.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ReportAsked {
    /// The report.
    pub report: WeatherReport,
    /// Its age, seconds; below 0 when it is dated a little ahead.
    pub age_s: i64,
    /// Above this age it is told to be old: the county's setting, seconds.
    pub old_above_s: u32,
}

impl ReportAsked {
    /// Whether it is older than the county's setting.
    #[must_use]
    pub fn is_old(&self) -> bool {
        self.age_s > i64::from(self.old_above_s)
    }
}
