//! `call-out`: who can get to a place, when, with what, and what would make the others go.

use std::path::PathBuf;

use clap::Args;
use sponson_proto::answer::v1::{CalloutAsked, WayFrom};
use sponson_show::clean;
use sponson_show::terminal::Exit;

use super::ready::{Launch, Without};
use crate::error::CommandError;
use crate::session::Session;

/// Show who can get to a place, when and with what, and what would make the others go.
///
/// Advice only: local procedure, the maker's manual and the person in charge decide.
#[derive(Args, Debug, Default)]
pub struct CallOutArgs {
    /// Place, moment, people, weather.
    #[command(flatten)]
    pub launch: Box<Launch>,
    /// How stations get there.
    #[command(flatten)]
    pub ways: Ways,
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
    /// End with 1 when no craft can go there by a way whose time is known.
    #[arg(long)]
    pub judge: bool,
}

/// What the asker says of the way to the place.
#[derive(Args, Debug, Default)]
pub struct Ways {
    /// Minutes of driving from a station for this call, for example "Mill Race=35", instead of those
    /// of the county's list; once for each station.
    #[arg(long, value_name = "STATION=MINUTES")]
    pub travel: Vec<String>,
    /// The road from this station is closed; once for each station.
    #[arg(long, value_name = "STATION")]
    pub closed: Vec<String>,
    /// How craft get into the water there, instead of what the county's list says.
    #[arg(long, value_name = "ramp|bank")]
    pub access: Option<String>,
}

impl Ways {
    /// What a question carries of it.
    ///
    /// # Errors
    /// When a value cannot be read.
    pub fn asked(&self) -> Result<CalloutAsked, CommandError> {
        let said = self.travel.iter().map(|text| travel(text));
        let closed = self.closed.iter().map(|text| {
            Ok(WayFrom {
                way: "closed".to_owned(),
                ..from("--closed", text, text)?
            })
        });
        Ok(CalloutAsked {
            access: access(self.access.as_deref())?,
            ways: said.chain(closed).collect::<Result<_, CommandError>>()?,
            launch: None,
        })
    }
}

fn access(text: Option<&str>) -> Result<String, CommandError> {
    let Some(text) = text else {
        return Ok(String::new());
    };
    let word = text.trim().to_lowercase();
    if matches!(word.as_str(), "ramp" | "bank") {
        return Ok(word);
    }
    Err(CommandError::Argument {
        field: "--access",
        value: clean(text),
        limit: "give ramp or bank".to_owned(),
    })
}

fn travel(text: &str) -> Result<WayFrom, CommandError> {
    let refused = || CommandError::Argument {
        field: "--travel",
        value: clean(text),
        limit: "give a station and whole minutes of driving, for example \"Mill Race=35\""
            .to_owned(),
    };
    let (station, minutes) = text.rsplit_once('=').ok_or_else(refused)?;
    let minutes = minutes.trim();
    let bare = minutes.strip_suffix("min").unwrap_or(minutes).trim_end();
    Ok(WayFrom {
        way: "said".to_owned(),
        minutes: Some(bare.parse().map_err(|_| refused())?),
        ..from("--travel", station, text)?
    })
}

fn from(field: &'static str, station: &str, text: &str) -> Result<WayFrom, CommandError> {
    let station = station.trim();
    if station.is_empty() {
        return Err(CommandError::Argument {
            field,
            value: clean(text),
            limit: "say from which station".to_owned(),
        });
    }
    Ok(WayFrom {
        station: station.to_owned(),
        ..WayFrom::default()
    })
}

/// Answers.
///
/// # Errors
/// When a value cannot be, a name is not known, or the service refuses.
pub async fn run(args: &CallOutArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let catalogue = session.catalogue().await?;
    let mut question = args.launch.question(&catalogue)?;
    question.callout = Some(args.ways.asked()?);
    question.without = args.without.asked(&catalogue)?;
    let signed = args.signed.as_deref();
    let reply = session.ask_and_keep(question, signed).await?;
    let shown = if args.json {
        &reply.json
    } else {
        &reply.callout_text
    };
    session.terminal().result(shown)?;
    if args.why {
        session.terminal().result(&reply.evidence_text)?;
    }
    let callout = reply.answer.and_then(|answer| answer.callout);
    let candidates = callout.map(|callout| callout.candidates);
    let goes = candidates.unwrap_or_default();
    let goes = goes.iter().any(|one| one.reach == "by_time");
    Ok(if args.judge && !goes {
        Exit::Judged
    } else {
        Exit::Fine
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked(
        travel: &[&str],
        closed: &[&str],
        access: Option<&str>,
    ) -> Result<CalloutAsked, String> {
        let owned = |all: &[&str]| all.iter().map(|text| (*text).to_owned()).collect();
        let typed = Ways {
            travel: owned(travel),
            closed: owned(closed),
            access: access.map(str::to_owned),
        };
        typed.asked().map_err(|error| error.to_string())
    }

    #[test]
    fn what_is_said_of_ways() {
        let found = asked(
            &["Mill Race=35", "A=B = 0 min"],
            &[" Otter Ferry "],
            Some("Bank"),
        );
        let found = found.expect("read");
        let ways = found.ways.iter();
        let ways: Vec<_> = ways
            .map(|it| (it.station.as_str(), it.way.as_str(), it.minutes))
            .collect();
        assert_eq!(
            ways,
            [
                ("Mill Race", "said", Some(35)),
                ("A=B", "said", Some(0)),
                ("Otter Ferry", "closed", None),
            ]
        );
        assert_eq!(found.access, "bank");
        assert_eq!(asked(&[], &[], None), Ok(CalloutAsked::default()));
    }

    #[test]
    fn what_cannot_be_read_names_its_flag() {
        for text in [
            "Mill Race",
            "=35",
            "Mill Race=",
            "Mill Race=soon",
            "Mill Race=-1",
        ] {
            let refusal = asked(&[text], &[], None).expect_err(text);
            assert!(refusal.contains("--travel"), "{refusal}");
        }
        let refusal = asked(&[], &["  "], None).expect_err("no station");
        assert!(refusal.contains("--closed"), "{refusal}");
        let refusal = asked(&[], &[], Some("slip")).expect_err("no access");
        assert!(
            refusal.contains("--access") && refusal.contains("slip"),
            "{refusal}"
        );
    }
}
