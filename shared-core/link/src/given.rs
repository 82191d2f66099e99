//! Signed answers: written by the replica that answered, checked by any other.
//!
//! Whoever checks gives the answer again from its own copy of the log and the inputs that are
//! listed, and compares. What it takes as given is the question: the asker's moment, and when
//! stations were last heard.

mod compare;

use bytes::Bytes;
use prost::Message as _;
use sha2::{Digest as _, Sha256};
use sponson_log::ids::{CountyId, EventId, Key, WrongLength};
use sponson_log::sealed::{SealError, Sort, seal, unseal};
use sponson_log::sign::{self, SignatureError, Signed};
use sponson_proto::answer::v1 as wire;
use sponson_proto::event::v1::SignatureAlgorithm;
use sponson_proto::service::v1::CheckAnswerReply;
use sponson_readiness::answer::{AskerClock, Assumed, ENGINE_VERSION};
use sponson_readiness::conditions::Conditions;
use sponson_readiness::engine::Question;
use sponson_readiness::ids::SubjectId;
use sponson_readiness::moment::Moment;
use sponson_readiness::weather_report::WeatherReport;
use sponson_readiness::without::Without;
use sponson_replica::{Inputs, Replica};

use crate::aboard;
use crate::answer;
use crate::ask::{Given, context};
use crate::callout;
use crate::conditions;
use crate::limits::SIGNED_ANSWER_BYTES_MAX;
use crate::refusal::Refusal;
use crate::together;
use crate::weather_report;
use crate::without;
use compare::Report;

/// The sort of file.
pub const SORT: Sort = Sort {
    magic: b"sponson-answer-1\n",
    name: "signed answer",
    bytes_max: SIGNED_ANSWER_BYTES_MAX,
};

/// Events beyond the county log that are listed: 128 KiB of ids.
const BEYOND_MAX: usize = 4_096;

/// Why a file is no signed answer.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum GivenError {
    /// The file is not as it was written.
    #[error(transparent)]
    File(#[from] SealError),
    /// No message.
    #[error("signed answer cannot be read: {0}")]
    Unreadable(String),
    /// A field of the wrong length.
    #[error(transparent)]
    Length(#[from] WrongLength),
    /// Not signed by the key that it names.
    #[error(transparent)]
    Signature(#[from] SignatureError),
    /// Crew or people that no question has.
    #[error("signed answer: its crew or people cannot be")]
    Aboard,
    /// Another county's.
    #[error("signed answer is of county {theirs}, not of {ours}")]
    OtherCounty {
        /// This county.
        ours: CountyId,
        /// The answer's.
        theirs: CountyId,
    },
}

/// Signs an answer that was just given.
pub(crate) fn sign_answer(
    replica: &Replica,
    given: &Given,
    utc_offset_min: i32,
    program: &str,
) -> Vec<u8> {
    let beyond = match given.known {
        Some(_) => Vec::new(),
        None => replica.beyond().into_iter().collect(),
    };
    let listed: &[EventId] = if beyond.len() > BEYOND_MAX {
        &[]
    } else {
        &beyond
    };
    let craft = given.craft;
    let body = wire::AnswerGiven {
        county_id: replica.county().to_bytes(),
        key: replica.key().to_bytes(),
        craft: craft.map_or_else(Bytes::new, |id| Bytes::copy_from_slice(id.as_bytes())),
        beyond: listed.iter().map(|id| id.to_bytes()).collect(),
        beyond_sha256: digest(&beyond),
        utc_offset_min,
        program: program.to_owned(),
        answer: Some(answer::to_wire(&given.answer, &given.ctx)),
    };
    let body = body.encode_to_vec();
    let signature = replica.sign(Signed::Answer, &body);
    let signed = wire::SignedAnswer {
        body: body.into(),
        algorithm: (SignatureAlgorithm::Ed25519 as i32).unsigned_abs(),
        signature: Bytes::copy_from_slice(&signature),
    };
    seal(SORT, &signed.encode_to_vec())
}

fn digest(ids: &[EventId]) -> Bytes {
    let mut hasher = Sha256::new();
    for id in ids {
        hasher.update(id.as_bytes());
    }
    Bytes::copy_from_slice(&hasher.finalize())
}

/// A signed answer whose signature was verified.
struct Opened {
    key: Key,
    given: wire::AnswerGiven,
    answer: wire::CountyAnswer,
    beyond: Vec<EventId>,
}

fn open(file: &[u8], ours: CountyId) -> Result<Opened, GivenError> {
    let message = unseal(SORT, file)?;
    let unreadable = |error: prost::DecodeError| GivenError::Unreadable(error.to_string());
    let signed = wire::SignedAnswer::decode(message).map_err(unreadable)?;
    let given = wire::AnswerGiven::decode(signed.body.clone()).map_err(unreadable)?;
    let key = Key::parse("key", &given.key)?;
    let algorithm = i32::try_from(signed.algorithm).unwrap_or(i32::MAX);
    sign::verify(
        &key,
        Signed::Answer,
        &signed.body,
        algorithm,
        &signed.signature,
    )?;
    let theirs = CountyId::parse("county_id", &given.county_id)?;
    if theirs != ours {
        return Err(GivenError::OtherCounty { ours, theirs });
    }
    let beyond = given.beyond.iter();
    Ok(Opened {
        key,
        beyond: beyond
            .map(|id| EventId::parse("beyond", id))
            .collect::<Result<_, _>>()?,
        answer: given.answer.clone().unwrap_or_default(),
        given,
    })
}

/// Checks a signed answer against what a replica holds, and gives it again from that.
///
/// # Errors
/// When the file is no answer of this county that was signed by the key that it names.
pub fn check(replica: &mut Replica, file: &[u8]) -> Result<CheckAnswerReply, GivenError> {
    let opened = open(file, replica.county())?;
    let mut report = Report::new(replica, &opened.key, &opened.answer, &opened.given.program);
    rests_on(replica, &opened, &mut report);
    if report.may_go_on() {
        let again = again(replica, &opened)?;
        report.compare(&opened.answer, &again);
    }
    Ok(report.into_reply())
}

/// Whether what the answer rests on is held here.
fn rests_on(replica: &Replica, opened: &Opened, report: &mut Report) {
    let known = opened.answer.known_by.clone().unwrap_or_default();
    let tree = replica.tree();
    let ours = replica.log_id().map(|log| log.to_bytes());
    if known.size > 0 && ours.as_ref() != Some(&known.log_id) {
        report.not_checked("it rests on another county log than the one that is held here");
    } else if known.size > tree.size() {
        report.not_checked(&format!(
            "it rests on {} entries of the county log, and {} are held here: sync first",
            known.size,
            tree.size()
        ));
    } else if known.size > 0
        && tree.root_at(known.size).map(|root| root.to_bytes()) != Some(known.root)
    {
        report.differs("the entries of the county log that it rests on are not those held here");
    }
    if opened.answer.engine != ENGINE_VERSION {
        report.not_checked(&format!(
            "it was judged by rules version {}, and this program has {ENGINE_VERSION}",
            opened.answer.engine
        ));
    }
    let listed = opened.beyond.len() as u64;
    if listed == known.beyond {
        let ascending = opened.beyond.is_sorted();
        if !ascending || digest(&opened.beyond) != opened.given.beyond_sha256 {
            report.differs("the entries beyond the county log are not those that it lists");
        }
    } else if listed == 0 {
        report.not_checked(&format!(
            "it rests on {} entries beyond the county log, too many to be listed",
            known.beyond
        ));
    } else {
        report.differs("it lists another number of entries beyond the county log than it says");
    }
    let lacking = opened.beyond.iter().filter(|id| !replica.holds(id)).count();
    if lacking > 0 {
        report.not_checked(&format!(
            "{lacking} of the entries that it rests on are not held here: sync first"
        ));
    }
}

/// The same question, answered from the same inputs by this replica.
fn again(replica: &mut Replica, opened: &Opened) -> Result<wire::CountyAnswer, GivenError> {
    let answer = &opened.answer;
    let asked = answer.asked.clone().unwrap_or_default();
    let assumed = |what: Assumed| asked.assumed.iter().any(|it| it == what.id());
    let given = |what: Assumed, value: i32| (!assumed(what)).then_some(value);
    let craft = match opened.given.craft.as_ref() {
        [] => None,
        bytes => Some(SubjectId::from_bytes(
            *sponson_log::ids::SubjectId::parse("craft", bytes)?.as_bytes(),
        )),
    };
    let question = Question {
        as_of: Moment(answer.as_of_unix_ms),
        now: Moment(asked.now_unix_ms),
        craft,
        mission: Some(asked.mission.as_str())
            .filter(|_| !assumed(Assumed::Mission))
            .map(Into::into),
        air_mc: given(Assumed::Air, asked.air_mc),
        water_mc: given(Assumed::Water, asked.water_mc),
        elevation_mm: given(Assumed::Elevation, asked.elevation_mm),
        crew: aboard::crew(asked.crew.as_ref()).map_err(|_| GivenError::Aboard)?,
        people: aboard::people(&asked.people).map_err(|_| GivenError::Aboard)?,
        conditions: conditions(&asked)?,
        together: asked
            .together
            .as_ref()
            .map(|given| together::parse(given, &replica.stations(Moment(asked.now_unix_ms))))
            .transpose()
            .map_err(unreadable)?,
        weather_report: weather_report(&asked, answer.as_of_unix_ms)?,
        without: without(&asked)?,
        callout: asked
            .callout
            .as_ref()
            .map(callout::listed)
            .transpose()
            .map_err(unreadable)?,
    };
    let heard = answer.stations.iter().map(|station| {
        let id = sponson_log::ids::SubjectId::parse("station", &station.id)?;
        let heard = station.last_heard_unix_ms.map(Moment);
        Ok((SubjectId::from_bytes(*id.as_bytes()), heard))
    });
    let known = answer.known_by.clone().unwrap_or_default();
    let inputs = Inputs {
        size: known.size,
        beyond: opened.beyond.iter().copied().collect(),
        heard: Some(heard.collect::<Result<_, WrongLength>>()?),
        clock: clock(&asked),
    };
    let answered = replica.ask_given(&question, &inputs);
    let offset = opened.given.utc_offset_min;
    let ctx = context(replica, &answered.registry, &answered.answer, offset);
    Ok(answer::to_wire(&answered.answer, &ctx))
}

fn unreadable(refusal: Refusal) -> GivenError {
    let status = tonic::Status::from(refusal);
    GivenError::Unreadable(status.message().to_owned())
}

/// The report as it is read here from its text.
fn weather_report(
    asked: &wire::Asked,
    as_of_unix_ms: i64,
) -> Result<Option<WeatherReport>, GivenError> {
    let Some(given) = &asked.weather_report else {
        return Ok(None);
    };
    let at = Moment(as_of_unix_ms);
    let report = weather_report::read(&given.text, at).map_err(unreadable)?;
    let by_hand = weather_report::by_hand(given);
    Ok(Some(WeatherReport { by_hand, ..report }))
}

/// What was taken as not there.
fn without(asked: &wire::Asked) -> Result<Without, GivenError> {
    let Some(given) = &asked.without else {
        return Ok(Without::default());
    };
    let read = without::of_answer(given);
    read.ok_or_else(|| GivenError::Unreadable("what it is given without has no ids".to_owned()))
}

/// Place, duration and weather as they are listed, and the light that was worked out from them.
fn conditions(asked: &wire::Asked) -> Result<Conditions, GivenError> {
    let given = asked.conditions.as_ref().map(conditions::parse).transpose();
    let given = given.map_err(unreadable)?;
    Ok(Conditions {
        light: asked.light.iter().map(conditions::light_of_wire).collect(),
        ..given.unwrap_or_default()
    })
}

/// What was known against the asker's clock, as it is listed.
fn clock(asked: &wire::Asked) -> AskerClock {
    let by_ms = asked.clock_doubt_ms.unwrap_or_default();
    let other = Moment(asked.clock_other_unix_ms.unwrap_or(asked.now_unix_ms));
    let every = [
        AskerClock::Off {
            county_minus_device_ms: by_ms,
        },
        AskerClock::BeforeCounty { behind_ms: by_ms },
        AskerClock::WasOff {
            county_minus_device_ms: by_ms,
            other,
        },
        AskerClock::Changed { by_ms, other },
    ];
    let named = every.into_iter().find(|it| it.id() == asked.clock_doubt);
    named.unwrap_or_default()
}
