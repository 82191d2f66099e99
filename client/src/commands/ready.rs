//! `ready`: what can go now, and why or why not.

use std::path::PathBuf;

use clap::Args;
use sponson_proto::answer::v1::Question;
use sponson_proto::answer::v1::question::KnownBy;
use sponson_show::terminal::Exit;
use sponson_show::{clean, dates, units};

pub use self::job::Job;
pub(crate) use self::job::visibility;
pub use self::together::Together;
pub use self::without::Without;
use crate::aboard::Aboard;
use crate::catalogue::Catalogue;
use crate::error::CommandError;
use crate::near::{near, plain};
use crate::session::Session;

mod job;
mod together;
mod without;

/// Show which craft can go, or the report of one.
///
/// Ends with 1 when one craft was asked for and it is not ready or not proven. Advice only: local
/// procedure, the maker's manual and the person in charge decide.
#[derive(Args, Debug, Default)]
pub struct ReadyArgs {
    /// Number of one craft; all when not given.
    pub craft: Option<String>,
    /// Launch and moment.
    #[command(flatten)]
    pub launch: Launch,
    /// Which can go at once.
    #[command(flatten)]
    pub together: Together,
    /// What if.
    #[command(flatten)]
    pub without: Without,
    /// Print the answer as JSON, for other programs.
    #[arg(long)]
    pub json: bool,
    /// Also show what each finding rests on: who recorded it when, and who requires it.
    #[arg(long, conflicts_with = "json")]
    pub why: bool,
    /// Also write the answer, with all that it rests on, to this file, signed by this device;
    /// checked by verify --answer at any copy of the log.
    #[arg(long, value_name = "FILE")]
    pub signed: Option<PathBuf>,
}

/// For what, where and when is asked.
#[derive(Args, Debug, Default)]
pub struct Launch {
    /// Mission, for example swiftwater; the general standard when not given.
    #[arg(long)]
    pub mission: Option<String>,
    /// Air at the launch, for example -5C or 23F.
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    pub air: Option<String>,
    /// Water at the launch.
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    pub water: Option<String>,
    /// Elevation of the launch, for example 820ft.
    #[arg(long, value_name = "HEIGHT", allow_hyphen_values = true)]
    pub elevation: Option<String>,
    /// Crew and people to bring home.
    #[command(flatten)]
    pub aboard: Aboard,
    /// The job and its weather.
    #[command(flatten)]
    pub job: Box<Job>,
    /// Moment, and what was known.
    #[command(flatten)]
    pub when: When,
}

/// Which moment is judged, by what was known when.
#[derive(Args, Debug, Default)]
pub struct When {
    /// Judge this moment instead of now, for example "2026-03-14 08:30".
    #[arg(long, value_name = "TIME")]
    pub as_of: Option<String>,
    /// Answer by what the county had stored: by a time, or by a number of entries of its log. The
    /// moment judged is then that one too, when --as-of is not given.
    #[arg(long, value_name = "SIZE|TIME")]
    pub known_by: Option<String>,
}

impl When {
    /// The question about everything at that moment.
    ///
    /// # Errors
    /// When a value is no moment and no number of entries.
    pub fn question(&self, catalogue: &Catalogue) -> Result<Question, CommandError> {
        let offset = catalogue.policy().utc_offset_min;
        let moment = |field, text: &Option<String>| {
            let text = text.as_deref();
            text.map(|text| dates::moment(field, text, offset))
                .transpose()
        };
        let size = self.known_by.as_deref().filter(|text| is_size(text));
        let known_by = match size {
            Some(size) => Some(KnownBy::KnownBySize(size.parse().map_err(|_| {
                CommandError::Argument {
                    field: "--known-by",
                    value: clean(size),
                    limit: "no county log has so many entries".to_owned(),
                }
            })?)),
            None => {
                moment("--known-by", &self.known_by)?.map(|moment| KnownBy::KnownByUnixMs(moment.0))
            }
        };
        Ok(Question {
            as_of_unix_ms: moment("--as-of", &self.as_of)?.map(|moment| moment.0),
            known_by,
            ..Question::default()
        })
    }
}

/// Digits alone are a number of entries; every moment has more than them.
fn is_size(text: &str) -> bool {
    !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit())
}

/// Answers.
///
/// # Errors
/// When a value cannot be, a name is not known, or the service refuses.
pub async fn run(args: &ReadyArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let catalogue = session.catalogue().await?;
    let mut question = args.launch.question(&catalogue)?;
    question.together = args.together.asked()?;
    question.without = args.without.asked(&catalogue)?;
    if let Some(name) = &args.craft {
        question.craft = catalogue.asked(catalogue.craft(name)?);
    }
    let signed = args.signed.as_deref();
    let reply = session.ask_and_keep(question, signed).await?;
    let shown = if args.json { &reply.json } else { &reply.text };
    session.terminal().result(shown)?;
    if args.why {
        session.terminal().result(&reply.evidence_text)?;
    }
    let craft = reply.answer.map(|answer| answer.craft).unwrap_or_default();
    let fit = |readiness: &str| matches!(readiness, "ready" | "ready_with_limits");
    let all_fit = !craft.is_empty() && craft.iter().all(|craft| fit(&craft.readiness));
    let judged = args.craft.is_some() && !all_fit;
    Ok(if judged { Exit::Judged } else { Exit::Fine })
}

impl Launch {
    /// The question about all craft.
    ///
    /// # Errors
    /// When a value cannot be, or no boat standard has the mission.
    pub fn question(&self, catalogue: &Catalogue) -> Result<Question, CommandError> {
        let policy = catalogue.policy();
        let shown = policy.units;
        let temperature = |field, text: &Option<String>| {
            text.as_deref()
                .map(|text| units::temperature(field, text, Some(shown.temperature)))
                .transpose()
        };
        let elevation = self
            .elevation
            .as_deref()
            .map(|text| units::elevation("--elevation", text));
        Ok(Question {
            mission: self.known_mission(catalogue)?,
            air_mc: temperature("--air", &self.air)?,
            water_mc: temperature("--water", &self.water)?,
            elevation_mm: elevation.transpose()?,
            crew: self.aboard.crew_asked(shown.mass)?,
            people: self.aboard.people_asked(shown.mass)?,
            conditions: Some(self.job.conditions()?),
            weather_report: self.job.metar.clone().unwrap_or_default(),
            ..self.when.question(catalogue)?
        })
    }

    /// A slip in the name would otherwise be judged as a mission that no craft serves.
    fn known_mission(&self, catalogue: &Catalogue) -> Result<String, CommandError> {
        let Some(mission) = &self.mission else {
            return Ok(String::new());
        };
        let known = catalogue.missions();
        let wanted = plain(mission);
        if let Some(same) = known.iter().find(|id| plain(id) == wanted) {
            return Ok(same.clone());
        }
        if known.is_empty() {
            return Ok(mission.clone());
        }
        let close = near(mission, known.iter().map(String::as_str));
        let limit = if close.is_empty() {
            let known: Vec<String> = known.into_iter().collect();
            format!("the boat standards here have {}", known.join(", "))
        } else {
            format!("did you mean {}?", close.join(", "))
        };
        Err(CommandError::Refused {
            field: "--mission".to_owned(),
            value: clean(mission),
            limit,
        })
    }
}
