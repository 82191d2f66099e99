//! Fields as a check: what was typed in each becomes a line of a check file, and what is wrong is
//! said beside its field.
//!
//! Fields that only make sense together (found and left, a count and its dates) are one group.
//! Nothing is kept or recorded here.

mod fill;
mod said;

use std::collections::BTreeMap;

use sponson_proto::event::v1::SubjectType;
use sponson_proto::service::v1::{CheckUnderWay, FieldTyped, UnderWayKind};
use sponson_readiness::moment::Moment;

use super::fields::{CountField, FieldName, FuelField, ReadingField, SealField};
use super::typed;
use crate::catalogue::{Catalogue, hex};
use crate::check_file::{CheckFile, Extent, build};
use fill::fill;
use said::{blamed, said, stand_by};

/// Fields with what was typed.
pub type Fields = BTreeMap<FieldName, String>;

/// Something that is wrong in a field.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// The field.
    pub field: FieldName,
    /// What is wrong, and what to do.
    pub why: String,
    /// The field that, with `yes` in it, lets it stand as it is.
    pub stand_by: Option<Box<FieldName>>,
}

/// What came of fields that somebody typed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Tried {
    /// To be kept.
    pub keep: Vec<FieldTyped>,
    /// Not to be kept: the field as it was named, what is wrong, and how to stand by it.
    pub refused: Vec<Refused>,
}

/// A field that is not kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refused {
    /// Its name, as it was sent.
    pub field: String,
    /// What is wrong, and what to do.
    pub why: String,
    /// The field that, with `yes` in it, lets it stand.
    pub stand_by: Option<String>,
}

/// Fields that belong together.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Group {
    /// Alone: of the craft or the whole check.
    One(FieldName),
    /// The gauge at a part.
    Reading(String),
    /// A question.
    Answer(String),
    /// A count.
    Count(String, Option<String>),
    /// A seal.
    Seal(String),
    /// A tank.
    Fuel(String),
    /// A fault.
    Fault(u32),
}

/// Fields of a check under way; those that this version does not know are left out.
#[must_use]
pub fn fields_of(check: &CheckUnderWay) -> Fields {
    let fields = check.fields.iter();
    let known = fields.filter_map(|field| Some((field.name.parse().ok()?, field.value.clone())));
    known.collect()
}

/// Tries fields that somebody types into a check under way: each is to be kept, or said to be
/// wrong. What is not complete yet is no fault of what was typed.
#[must_use]
pub fn try_fields(
    check: &CheckUnderWay,
    typed: &[FieldTyped],
    catalogue: &Catalogue,
    now: Moment,
) -> Tried {
    let mut tried = Tried::default();
    let mut fields = fields_of(check);
    let mut named: Vec<(FieldName, &FieldTyped)> = Vec::new();
    for field in typed {
        match field.name.parse::<FieldName>() {
            Ok(name) => named.push((name, field)),
            Err(error) => tried.refused.push(Refused {
                field: field.name.clone(),
                why: error.to_string(),
                stand_by: None,
            }),
        }
    }
    for (name, field) in &named {
        put(&mut fields, name, &field.value);
    }
    let mut groups: Vec<Group> = named.iter().map(|(name, _)| group(name)).collect();
    groups.sort();
    groups.dedup();
    let form = Form::new(check, catalogue, now);
    for group in groups {
        let own = |name: &FieldName| self::group(name) == group;
        let mut typed: Vec<&(FieldName, &FieldTyped)> =
            named.iter().filter(|(name, _)| own(name)).collect();
        // Each turn refuses one field: what is left of the group may still be kept.
        while let Some(problem) = form.wrong_in(&fields, &group) {
            let at = typed.iter().position(|(name, _)| *name == problem.field);
            let Some((name, field)) = (!typed.is_empty()).then(|| typed.remove(at.unwrap_or(0)))
            else {
                break;
            };
            tried.refused.push(Refused {
                field: field.name.clone(),
                why: problem.why,
                stand_by: problem.stand_by.map(|name| name.to_string()),
            });
            let before = check.fields.iter().find(|kept| kept.name == field.name);
            put(&mut fields, name, before.map_or("", |kept| &kept.value));
        }
        let kept = typed.into_iter().map(|(_, field)| (*field).clone());
        tried.keep.extend(kept);
    }
    tried
}

/// A field is put in, or taken out when nothing is typed.
fn put(fields: &mut Fields, name: &FieldName, value: &str) {
    let value = value.trim();
    if value.is_empty() {
        fields.remove(name);
    } else {
        fields.insert(name.clone(), value.to_owned());
    }
}

/// Everything that is wrong in a check, by field; what is not complete is too.
#[must_use]
pub fn problems(
    check: &CheckUnderWay,
    fields: &Fields,
    catalogue: &Catalogue,
    now: Moment,
) -> Vec<Problem> {
    let form = Form::new(check, catalogue, now);
    let mut groups: Vec<Group> = fields.keys().map(group).collect();
    groups.sort();
    groups.dedup();
    let wrong = groups.iter().filter_map(|group| {
        let missing = missing(fields, group);
        missing.or_else(|| form.wrong_in(fields, group))
    });
    wrong.collect()
}

/// The check file that fields make.
///
/// # Errors
/// Gives what cannot be read, by field.
pub fn check_file(
    check: &CheckUnderWay,
    fields: &Fields,
    catalogue: &Catalogue,
) -> Result<CheckFile, Vec<Problem>> {
    let mut file = head(check);
    let mut problems = Vec::new();
    let mut groups: Vec<Group> = fields.keys().map(group).collect();
    groups.sort();
    groups.dedup();
    let units = catalogue.policy().units;
    for group in groups {
        problems.extend(fill(&mut file, &group, fields, units).err());
    }
    if problems.is_empty() {
        return Ok(file);
    }
    Err(problems)
}

/// Fields that belong together with this one.
pub(super) fn group(name: &FieldName) -> Group {
    match name {
        FieldName::Reading(part, _) => Group::Reading(part.clone()),
        FieldName::Answer(line) | FieldName::AnswerNote(line) => Group::Answer(line.clone()),
        FieldName::Count(item, bag, _) => Group::Count(item.clone(), bag.clone()),
        FieldName::Seal(bag, _) => Group::Seal(bag.clone()),
        FieldName::Fuel(tank, _) => Group::Fuel(tank.clone()),
        FieldName::Fault(number, _) | FieldName::FaultPicture(number, _) => Group::Fault(*number),
        FieldName::Air
        | FieldName::Stood
        | FieldName::Gauge
        | FieldName::Ambient
        | FieldName::Elevation
        | FieldName::Stowage
        | FieldName::Observed
        | FieldName::ObservedBy
        | FieldName::Note
        | FieldName::Meter(_)
        | FieldName::Cylinder(_)
        | FieldName::Aboard(_)
        | FieldName::Picture(_)
        | FieldName::Affirmed(_) => Group::One(name.clone()),
    }
}

/// Fields of a group, the one that says most first: whoever entered it entered the group.
pub(super) fn of_group<'f>(fields: &'f Fields, wanted: &Group) -> Vec<(&'f FieldName, &'f str)> {
    let own = fields.iter().filter(|(name, _)| group(name) == *wanted);
    own.map(|(name, value)| (name, value.as_str())).collect()
}

/// What a group needs and has not.
fn missing(fields: &Fields, group: &Group) -> Option<Problem> {
    let has = |name: &FieldName| fields.contains_key(name);
    let (needed, why) = match group {
        Group::One(_) | Group::Answer(_) => return None,
        Group::Reading(part) => {
            let of = |field| FieldName::Reading(part.clone(), field);
            if has(&of(ReadingField::Found)) || has(&of(ReadingField::Left)) {
                return None;
            }
            (of(ReadingField::Found), "type what the gauge shows")
        }
        Group::Count(item, bag) => (
            FieldName::Count(item.clone(), bag.clone(), CountField::Count),
            "type how many are there",
        ),
        Group::Seal(bag) => (
            FieldName::Seal(bag.clone(), SealField::Number),
            "type the number on the seal",
        ),
        Group::Fuel(tank) => (
            FieldName::Fuel(tank.clone(), FuelField::Amount),
            "type how much is in it",
        ),
        Group::Fault(number) => {
            use super::fields::FaultField::{Class, Part, Severity};
            let of = |field| FieldName::Fault(*number, field);
            let needed = [Part, Class, Severity]
                .into_iter()
                .map(of)
                .find(|name| !has(name))?;
            (
                needed,
                "a fault needs its part, what it is and how bad it is",
            )
        }
    };
    (!has(&needed)).then(|| Problem {
        field: needed,
        why: why.to_owned(),
        stand_by: None,
    })
}

/// What fields are held against.
struct Form<'a> {
    check: &'a CheckUnderWay,
    catalogue: &'a Catalogue,
    now: Moment,
}

impl<'a> Form<'a> {
    const fn new(check: &'a CheckUnderWay, catalogue: &'a Catalogue, now: Moment) -> Self {
        Self {
            check,
            catalogue,
            now,
        }
    }

    /// The first thing that is wrong in a group. One that is not complete is only read.
    fn wrong_in(&self, fields: &Fields, group: &Group) -> Option<Problem> {
        let mut file = head(self.check);
        let units = self.catalogue.policy().units;
        if let Err(problem) = fill(&mut file, group, fields, units) {
            return Some(problem);
        }
        if missing(fields, group).is_some() {
            return None;
        }
        if let Some(problem) = self.bag_not_aboard(fields, group) {
            return Some(problem);
        }
        // Dates are held against the day of the check, a cylinder's gauge against its air.
        for around in [FieldName::Observed, FieldName::Air] {
            let around = Group::One(around);
            if around != *group {
                // What is wrong there is said there.
                let _ = fill(&mut file, &around, fields, units);
            }
        }
        let error = build(&file, self.catalogue, self.now).err()?;
        let field = blamed(group, fields, &error)?;
        Some(Problem {
            why: said(&error),
            stand_by: stand_by(&field, &error).map(Box::new),
            field,
        })
    }
}

impl Form<'_> {
    /// Gear that is not on the craft is taken off it; of a bag somebody has to say more.
    fn bag_not_aboard(&self, fields: &Fields, group: &Group) -> Option<Problem> {
        let Group::One(name @ FieldName::Aboard(number)) = group else {
            return None;
        };
        let bag = self.catalogue.find(&[SubjectType::Bag], number).is_ok();
        let gone = typed::yes(fields.get(name)?) == Some(false);
        (bag && gone).then(|| Problem {
            field: name.clone(),
            why:
                "a bag that is not aboard: record where it was moved to; when nobody knows, leave \
                  this empty and count what should be in it as 0"
                    .to_owned(),
            stand_by: None,
        })
    }
}

/// A check file without lines.
fn head(check: &CheckUnderWay) -> CheckFile {
    CheckFile {
        craft: format!("#{}", hex(&check.craft)),
        extent: match check.kind() {
            UnderWayKind::Short => Extent::Short,
            UnderWayKind::Part => Extent::Part,
            UnderWayKind::Full | UnderWayKind::FittingOut | UnderWayKind::Unspecified => {
                Extent::Full
            }
        },
        ..CheckFile::default()
    }
}

#[cfg(test)]
mod tests;
