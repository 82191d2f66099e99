//! What is recorded of a check under way at its end: which event for whom, in which order.
//!
//! Each member who entered something gets an event of her own, then whoever records the check gets
//! one with its extent. What lay for long before it is recorded is told by when it was looked at.
//! Nothing is recorded here: the service takes the list, and goes on with it after a cut.

mod air;
mod pictures;
mod share;

use std::collections::BTreeSet;

use sponson_proto::event::v1::{Check, Kind, Observed, TakenOff};
use sponson_proto::service::v1::{AppendRequest, AppendSubject, CheckUnderWay, UnderWayStage};
use sponson_proto::version;
use sponson_readiness::moment::Moment;
use sponson_replica::TEXTS_MAX;

pub use air::SOURCES;
pub(super) use air::air_source;
use share::{Share, shares};

use super::fields::FieldName;
use super::form::{Fields, Problem, check_file, fields_of, problems};
use super::typed;
use crate::catalogue::{Catalogue, subject};
use crate::check_file::{BuiltCheck, CheckFile, Extent, build};

/// What a check becomes.
#[derive(Clone, Debug, PartialEq)]
pub struct Planned {
    /// Events, in the order in which they are recorded.
    pub events: Vec<AppendRequest>,
    /// Everything that was entered as one check, for what it would mean.
    pub whole: BuiltCheck,
    /// Lines that its extent asks and that nobody entered.
    pub left_out: Vec<String>,
}

/// What a check under way becomes when a member records it at a moment.
///
/// # Errors
/// Gives what is wrong, by field.
pub fn plan(
    check: &CheckUnderWay,
    recorder: &str,
    catalogue: &Catalogue,
    now: Moment,
) -> Result<Planned, Vec<Problem>> {
    let fields = fields_of(check);
    let whole = whole(check, &fields, catalogue, now)?;
    let mut events = Vec::new();
    for share in shares(check, recorder, now) {
        events.extend(of_share(check, &share, catalogue, now)?);
    }
    events.extend(taken_off(check, &fields, recorder, catalogue));
    Ok(Planned {
        events,
        left_out: whole.left_out.clone(),
        whole,
    })
}

/// Everything that was entered, as one check.
///
/// # Errors
/// Gives what is wrong, by field.
pub fn whole(
    check: &CheckUnderWay,
    fields: &Fields,
    catalogue: &Catalogue,
    now: Moment,
) -> Result<BuiltCheck, Vec<Problem>> {
    let mut wrong = problems(check, fields, catalogue, now);
    wrong.extend(air::problems(fields, catalogue));
    wrong.extend(pictures::problems(fields));
    if check.from_paper && !fields.contains_key(&FieldName::Observed) {
        wrong.push(Problem {
            field: FieldName::Observed,
            why: "type when it was checked, as it stands on the paper".to_owned(),
            stand_by: None,
        });
    }
    if !wrong.is_empty() {
        return Err(wrong);
    }
    let file = check_file(check, fields, catalogue)?;
    built(&file, catalogue, now)
}

fn built(file: &CheckFile, catalogue: &Catalogue, now: Moment) -> Result<BuiltCheck, Vec<Problem>> {
    build(file, catalogue, now).map_err(|error| {
        // What concerns one field was said beside it already.
        vec![Problem {
            field: FieldName::Note,
            why: error.to_string(),
            stand_by: None,
        }]
    })
}

/// The events of what one member looked at in one go.
fn of_share(
    check: &CheckUnderWay,
    share: &Share,
    catalogue: &Catalogue,
    now: Moment,
) -> Result<Vec<AppendRequest>, Vec<Problem>> {
    let mut file = check_file(check, &share.fields, catalogue)?;
    if !share.is_last {
        file.extent = Extent::Part;
    }
    let mut built = built(&file, catalogue, now)?;
    if built.texts.len() > TEXTS_MAX {
        return Err(vec![Problem {
            field: FieldName::Note,
            why: format!(
                "{} notes are too many for one check: join some, at most {TEXTS_MAX} go",
                built.texts.len()
            ),
            stand_by: None,
        }]);
    }
    let observed = built.observed.or(share.looked_at);
    let added = air::added(&share.fields, &built.check);
    let mut events = Vec::new();
    if !added.is_empty() {
        let parts: BTreeSet<String> = added.iter().map(|air| air.part.clone()).collect();
        let found = air::found_first(&mut built.check, &parts);
        let craft: Vec<AppendSubject> = built.subjects.iter().take(1).cloned().collect();
        events.push(request(Kind::Check, &found, craft.clone(), share, observed));
        events.extend(
            added
                .iter()
                .map(|air| request(Kind::AirChanged, air, craft.clone(), share, observed)),
        );
    }
    let pictures = pictures::of(&share.fields);
    if share.is_last || says_something(&built) || !pictures.is_empty() {
        let texts = std::mem::take(&mut built.texts);
        let last = request(Kind::Check, &built.check, built.subjects, share, observed);
        events.push(AppendRequest {
            texts,
            pictures,
            ..last
        });
    }
    Ok(events)
}

/// Whether a part of a check says anything: one that only says who checked does not.
fn says_something(built: &BuiltCheck) -> bool {
    let empty = Check {
        extent: built.check.extent,
        standard: built.check.standard.clone(),
        checked_by: built.check.checked_by.clone(),
        ..Check::default()
    };
    built.check != empty || !built.texts.is_empty()
}

/// Gear that is not on the craft any more.
fn taken_off(
    check: &CheckUnderWay,
    fields: &Fields,
    recorder: &str,
    catalogue: &Catalogue,
) -> Vec<AppendRequest> {
    let mut gone = Vec::new();
    for (name, value) in fields {
        let FieldName::Aboard(number) = name else {
            continue;
        };
        let gear = catalogue.gear(number).ok();
        let gear = gear.filter(|gear| gear.craft == check.craft);
        let (Some(gear), Some(false)) = (gear, typed::yes(value)) else {
            continue;
        };
        let Some(craft) = catalogue.by_id(&check.craft) else {
            continue;
        };
        let message = TakenOff {
            gear: gear.id.clone(),
            craft: craft.id.clone(),
        };
        let share = Share::of(recorder);
        let subjects = vec![subject(gear), subject(craft)];
        gone.push(request(Kind::TakenOff, &message, subjects, &share, None));
    }
    gone
}

fn request(
    kind: Kind,
    message: &impl prost::Message,
    subjects: Vec<AppendSubject>,
    share: &Share,
    observed: Option<Observed>,
) -> AppendRequest {
    let payload = message.encode_to_vec();
    AppendRequest {
        kind: (kind as i32).unsigned_abs(),
        kind_version: version::needed(kind, &payload),
        payload: payload.into(),
        subjects,
        observed,
        member: share.member.clone(),
        ..AppendRequest::default()
    }
}

/// Whether a cut left a check half recorded: recording it goes on, without a plan.
#[must_use]
pub fn is_half_recorded(check: &CheckUnderWay) -> bool {
    check.stage() == UnderWayStage::Recording
}

#[cfg(test)]
mod tests;
