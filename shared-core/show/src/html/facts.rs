//! What a page needs beside the answer: who looks at it, what the server offers, when it was made.

use maud::Markup;
use sponson_readiness::ids::SubjectId;
use sponson_readiness::moment::Moment;

/// The facts of one visit.
#[derive(Clone, Debug)]
pub struct PageFacts {
    /// Name of the county.
    pub county: String,
    /// Who looks at the page.
    pub viewer: Viewer,
    /// Proves that a form came from a page of ours; none when nothing may be changed from here.
    pub token: Option<String>,
    /// What the server has to offer.
    pub offers: Offers,
    /// When the page was made, by the server's clock.
    pub rendered: Moment,
    /// Local time, minutes east of UTC.
    pub utc_offset_min: i32,
    /// The question's part of the query string, as it came, without `?`.
    pub query: String,
    /// Path of the page, for example `/`.
    pub path: String,
    /// Seconds after which a browser without script loads the page anew; none when it does not.
    pub again_s: Option<u32>,
    /// Style that was chosen.
    pub light: LightStyle,
    /// Where the style sheet is.
    pub style_href: String,
    /// Where the script is.
    pub script_href: String,
    /// Where the picture is.
    pub icon_href: String,
    /// The map of the county; none when no position is known.
    pub map: Option<Markup>,
    /// What the answer rests on beside its inputs, each a sentence: clocks, a county that came back.
    pub notes: Vec<String>,
}

/// Who looks at a page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Viewer {
    /// Somebody at the county's own machine.
    AtTheMachine,
    /// Somebody who signed in.
    Member {
        /// Member number.
        member: String,
        /// In words: `coordinator`, `lead`, `crew`.
        role: String,
    },
    /// Nobody yet.
    Nobody,
}

/// What the server has to offer on the form and beside the answer.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Offers {
    /// Missions of the boat standards.
    pub missions: Vec<String>,
    /// Named launch places.
    pub places: Vec<String>,
    /// Items of the boat standards, as id and words.
    pub kit: Vec<(String, String)>,
    /// Whether whoever looks may assign and release.
    pub may_assign: bool,
    /// Whether whoever looks may decide what is done about what keeps failing.
    pub may_decide: bool,
}

/// The style of a page.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum LightStyle {
    /// As the device is set.
    #[default]
    System,
    /// Ink on paper, for the sun.
    Day,
    /// Dim, for the dark.
    Night,
}

impl LightStyle {
    /// The word in the cookie and in the markup.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::System => "system",
            Self::Day => "day",
            Self::Night => "night",
        }
    }

    /// The style of a word; the device's own when it is none.
    #[must_use]
    pub fn of(word: &str) -> Self {
        match word {
            "day" => Self::Day,
            "night" => Self::Night,
            _ => Self::System,
        }
    }
}

impl PageFacts {
    /// A path with the question behind it: `/report?mission=flood`. Fields that nobody filled are
    /// left out.
    #[must_use]
    pub fn link(&self, path: &str) -> String {
        let filled = self.query.split('&').filter(|pair| {
            pair.split_once('=')
                .is_some_and(|(name, value)| !value.is_empty() && name != "again")
        });
        let query: Vec<&str> = filled.collect();
        if query.is_empty() {
            return path.to_owned();
        }
        format!("{path}?{}", query.join("&"))
    }

    /// Path of a craft's own page.
    #[must_use]
    pub fn craft(&self, id: SubjectId) -> String {
        self.link(&format!("/craft/{id}"))
    }

    /// This page, with the question.
    #[must_use]
    pub fn here(&self) -> String {
        self.link(&self.path)
    }
}
