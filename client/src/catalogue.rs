//! What this replica knows by name: craft, gear, bags, shelves, stations, standards. Finds things
//! by their painted number as people type it. It asks nobody: it is made from one reply.

use std::collections::{BTreeMap, BTreeSet};

use bytes::Bytes;
use sponson_proto::event::v1::SubjectType;
use sponson_proto::service::v1::{
    AppendSubject, CatalogueEntry, CatalogueFault, CatalogueHold, CatalogueReply, CatalogueStandard,
};
use sponson_readiness::standard::{Policy, Standard, StandardError};
use sponson_show::clean;

use crate::near::{near, plain};

mod names;

pub use names::{ID_DIGITS_MIN, hex, short_event, short_fault, short_subject};
use names::{id_digits, whole_fault};

/// Types of things that have a number or a name of their own.
pub const ALL_TYPES: [SubjectType; 5] = [
    SubjectType::Craft,
    SubjectType::Gear,
    SubjectType::Bag,
    SubjectType::Shelf,
    SubjectType::Station,
];

/// Everything that has a name.
#[derive(Clone, Debug)]
pub struct Catalogue {
    entries: Vec<CatalogueEntry>,
    /// Revisions of each model, newest first.
    standards: BTreeMap<String, Vec<CatalogueStandard>>,
    policy: Policy,
    read: PolicyRead,
    holds: Vec<CatalogueHold>,
}

/// Whether the county's policy could be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum PolicyRead {
    Whole,
    /// Only how things are typed.
    InPart,
}

/// Why a name led nowhere, or to more than one thing.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum LookupError {
    /// Nothing has this name.
    #[error("{what} {name} is not known here{}", offer(near))]
    Unknown {
        /// What was looked for.
        what: &'static str,
        /// The name, cleaned.
        name: String,
        /// Names near it.
        near: Vec<String>,
    },
    /// More than one thing has it.
    #[error("{name} names {} things here: give one of {}", ids.len(), ids.join(", "))]
    Several {
        /// The name, cleaned.
        name: String,
        /// What to give instead.
        ids: Vec<String>,
    },
    /// The craft's model has no standard here.
    #[error("model {model} of {craft} has no boat standard here: sync, or have the lead adopt one")]
    NoStandard {
        /// The craft.
        craft: String,
        /// Its model.
        model: String,
    },
    /// A standard or the policy that this version cannot read.
    #[error("{what} cannot be read by this version: {source}; upgrade this device")]
    Unreadable {
        /// Which.
        what: String,
        /// Why.
        source: StandardError,
    },
}

fn offer(near: &[String]) -> String {
    if near.is_empty() {
        return ": look it up in log, or have it registered".to_owned();
    }
    format!(": did you mean {}?", near.join(", "))
}

/// A boat standard and the event that adopted it.
#[derive(Clone, Debug)]
pub struct Adopted {
    /// The sheet.
    pub standard: Standard,
    /// Event id.
    pub event: Bytes,
}

/// Words for a type of subject.
#[must_use]
pub const fn type_word(kind: SubjectType) -> &'static str {
    match kind {
        SubjectType::Unspecified => "thing",
        SubjectType::Craft => "craft",
        SubjectType::Gear => "gear",
        SubjectType::Bag => "bag",
        SubjectType::Shelf => "shelf",
        SubjectType::Station => "station",
        SubjectType::County => "county",
        SubjectType::Member => "member",
    }
}

/// Said where the policy is one of a later version.
const POLICY_NEWER: &str = "the county's policy is newer than this device understands: until it is \
    upgraded no craft is shown as ready here; what you record is kept";

/// Said where the newest boat standard of a model is one of a later version.
fn sheet_newer(revisions: &[CatalogueStandard]) -> Option<String> {
    let (newest, older) = revisions.split_first()?;
    if Standard::parse(&newest.text).is_ok() {
        return None;
    }
    let readable = |held: &&CatalogueStandard| Standard::parse(&held.text).is_ok();
    let by = match older.iter().find(readable) {
        Some(held) => format!("what you record is kept by revision {}", held.revision),
        None => "what needs the sheet cannot be recorded".to_owned(),
    };
    Some(format!(
        "boat standard {} revision {} is newer than this device understands: until it is upgraded \
         its craft are not shown as ready here; {by}",
        clean(&newest.model),
        newest.revision
    ))
}

fn adopted(held: &CatalogueStandard, standard: Standard) -> Adopted {
    Adopted {
        standard,
        event: held.event.clone(),
    }
}

impl Catalogue {
    /// Takes in a reply of the service. Of a policy that this version cannot read only the zone and
    /// the units are taken: nothing is judged by it here, and a crew has to go on recording.
    #[must_use]
    pub fn new(reply: CatalogueReply) -> Self {
        let text = if reply.policy.is_empty() {
            Policy::default_text()
        } else {
            &reply.policy
        };
        let (policy, read) = match Policy::parse(text) {
            Ok(policy) => (policy, PolicyRead::Whole),
            Err(_) => (Policy::typed_by(text), PolicyRead::InPart),
        };
        let mut standards: BTreeMap<String, Vec<CatalogueStandard>> = BTreeMap::new();
        for standard in reply.standards {
            let model = standards.entry(standard.model.clone()).or_default();
            model.push(standard);
        }
        for revisions in standards.values_mut() {
            // Of two with one revision the first stands.
            revisions.sort_by_key(|held| std::cmp::Reverse(held.revision));
        }
        Self {
            entries: reply.entries,
            standards,
            policy,
            read,
            holds: reply.holds,
        }
    }

    /// What of the county's sheets and settings this version cannot read, and what it goes by
    /// instead: for whoever records.
    #[must_use]
    pub fn newer(&self) -> Vec<String> {
        let policy = match self.read {
            PolicyRead::Whole => None,
            PolicyRead::InPart => Some(POLICY_NEWER.to_owned()),
        };
        let sheets = self.standards.values();
        let sheets = sheets.filter_map(|revisions| sheet_newer(revisions));
        policy.into_iter().chain(sheets).collect()
    }

    /// The county's settings for judging; the built-in ones when it has none yet.
    #[must_use]
    pub const fn policy(&self) -> &Policy {
        &self.policy
    }

    /// County-wide holds that nothing lifted.
    #[must_use]
    pub fn holds(&self) -> &[CatalogueHold] {
        &self.holds
    }

    /// Everything, as the service listed it.
    #[must_use]
    pub fn entries(&self) -> &[CatalogueEntry] {
        &self.entries
    }

    /// The newest revision of each standard.
    pub fn standards(&self) -> impl Iterator<Item = &CatalogueStandard> {
        self.standards.values().filter_map(|held| held.first())
    }

    /// Ids of the missions that any standard in force has; those that this version cannot read
    /// have none.
    #[must_use]
    pub fn missions(&self) -> BTreeSet<String> {
        let sheets = self.standards().map(|held| Standard::parse(&held.text));
        sheets
            .filter_map(Result::ok)
            .flat_map(|sheet| sheet.missions.into_keys())
            .map(|id| id.to_string())
            .collect()
    }

    /// Finds one thing of these types by number, or by `#` and the beginning of its id.
    ///
    /// # Errors
    /// When there is none, or more than one.
    pub fn find(&self, kinds: &[SubjectType], name: &str) -> Result<&CatalogueEntry, LookupError> {
        let all = || {
            self.entries
                .iter()
                .filter(|entry| kinds.contains(&entry.r#type()))
        };
        let mut found: Vec<&CatalogueEntry> = if let Some(digits) = id_digits(name) {
            all()
                .filter(|entry| hex(&entry.id).starts_with(&digits))
                .collect()
        } else {
            let exact: Vec<_> = all().filter(|entry| entry.number == name).collect();
            if exact.is_empty() {
                let wanted = plain(name);
                all()
                    .filter(|entry| plain(&entry.number) == wanted)
                    .collect()
            } else {
                exact
            }
        };
        // A thing is listed under each of its numbers.
        found.dedup_by(|one, other| one.id == other.id);
        match found.as_slice() {
            [one] => Ok(one),
            [] => Err(LookupError::Unknown {
                what: kinds.first().map_or("thing", |kind| type_word(*kind)),
                name: clean(name),
                near: near(name, all().map(|entry| entry.number.as_str()))
                    .iter()
                    .map(|name| clean(name))
                    .collect(),
            }),
            several => Err(LookupError::Several {
                name: clean(name),
                ids: several
                    .iter()
                    .map(|entry| short_subject(&entry.id))
                    .collect(),
            }),
        }
    }

    /// Finds a craft.
    ///
    /// # Errors
    /// When there is none, or more than one.
    pub fn craft(&self, name: &str) -> Result<&CatalogueEntry, LookupError> {
        self.find(&[SubjectType::Craft], name)
    }

    /// How a question names a craft: by its number, or by its id where another carries the same.
    #[must_use]
    pub fn asked(&self, craft: &CatalogueEntry) -> String {
        let same = |other: &&CatalogueEntry| {
            other.r#type() == SubjectType::Craft && other.number == craft.number
        };
        if self.entries.iter().filter(same).count() > 1 {
            format!("#{}", hex(&craft.id))
        } else {
            craft.number.clone()
        }
    }

    /// Finds a piece of numbered gear.
    ///
    /// # Errors
    /// When there is none, or more than one.
    pub fn gear(&self, name: &str) -> Result<&CatalogueEntry, LookupError> {
        self.find(&[SubjectType::Gear], name)
    }

    /// The thing with an id.
    #[must_use]
    pub fn by_id(&self, id: &[u8]) -> Option<&CatalogueEntry> {
        self.entries.iter().find(|entry| entry.id == id)
    }

    /// Painted number of the thing with an id; the beginning of the id when it is not known.
    #[must_use]
    pub fn number(&self, id: &[u8]) -> String {
        self.by_id(id)
            .map_or_else(|| short_subject(id), |entry| clean(&entry.number))
    }

    /// Numbered gear at a craft of the sort that serves as a part: its motor, its trailer.
    pub fn serving<'a>(
        &'a self,
        craft: &'a CatalogueEntry,
        part: &'a str,
    ) -> impl Iterator<Item = &'a CatalogueEntry> {
        let is_here = |entry: &&CatalogueEntry| {
            entry.r#type() == SubjectType::Gear && entry.craft == craft.id
        };
        let here = self.entries.iter().filter(is_here);
        let mut listed: Vec<&CatalogueEntry> = here.filter(|entry| entry.gear == part).collect();
        // A thing is listed under each of its numbers.
        listed.dedup_by(|one, other| one.id == other.id);
        listed.into_iter()
    }

    /// The standard by which entries of a craft are made: the newest, or where this version cannot
    /// read that, the newest that it can. A craft is never judged by an older one.
    ///
    /// # Errors
    /// When its model has none here, or this version can read none.
    pub fn standard(&self, craft: &CatalogueEntry) -> Result<Adopted, LookupError> {
        let revisions = self.standards.get(&craft.model);
        let newest = revisions.and_then(|held| held.first());
        let newest = newest.ok_or_else(|| LookupError::NoStandard {
            craft: clean(&craft.number),
            model: clean(&craft.model),
        })?;
        let unreadable = match Standard::parse(&newest.text) {
            Ok(standard) => return Ok(adopted(newest, standard)),
            Err(source) => LookupError::Unreadable {
                what: format!("boat standard {}", clean(&newest.model)),
                source,
            },
        };
        let mut older = revisions.into_iter().flatten().skip(1);
        older
            .find_map(|held| Some(adopted(held, Standard::parse(&held.text).ok()?)))
            .ok_or(unreadable)
    }

    /// Finds open faults by their short names among those of a craft and of the gear on it.
    ///
    /// # Errors
    /// When a name is not that of an open fault there, or of more than one.
    pub fn fault<'a>(
        &'a self,
        craft: &'a CatalogueEntry,
        name: &str,
    ) -> Result<&'a CatalogueFault, LookupError> {
        let wanted = name.trim_start_matches('#').to_lowercase();
        let found: Vec<&CatalogueFault> = self
            .faults(craft)
            .into_iter()
            .filter(|fault| names_fault(&wanted, fault))
            .collect();
        match found.as_slice() {
            [one] => Ok(one),
            [] => Err(LookupError::Unknown {
                what: "open fault",
                name: clean(name),
                near: self
                    .faults(craft)
                    .into_iter()
                    .take(3)
                    .map(short_fault)
                    .collect(),
            }),
            several => Err(LookupError::Several {
                name: clean(name),
                ids: several.iter().map(|fault| whole_fault(fault)).collect(),
            }),
        }
    }

    /// Open faults that may be the same defect as one that is to be recorded: of the same class at the
    /// same part, and not said to be on another side.
    #[must_use]
    pub fn like<'a>(
        &'a self,
        craft: &'a CatalogueEntry,
        (part, class): (&str, &str),
        side: &str,
    ) -> Vec<&'a CatalogueFault> {
        let (part, class) = (plain(part), plain(class));
        let sides = ["port", "starboard", "centre"];
        let is_like = |fault: &&CatalogueFault| {
            let mut others = sides.iter().filter(|other| **other != side);
            let elsewhere = !side.is_empty() && others.any(|other| fault.place.contains(other));
            plain(&fault.part) == part && plain(&fault.class) == class && !elsewhere
        };
        self.faults(craft).into_iter().filter(is_like).collect()
    }

    /// Open faults of a craft and of the gear on it.
    #[must_use]
    pub fn faults<'a>(&'a self, craft: &'a CatalogueEntry) -> Vec<&'a CatalogueFault> {
        let mut faults: Vec<&CatalogueFault> = craft.faults.iter().collect();
        for gear in self.entries.iter().filter(|entry| entry.craft == craft.id) {
            for fault in &gear.faults {
                if !faults.iter().any(|held| same_fault(held, fault)) {
                    faults.push(fault);
                }
            }
        }
        faults
    }
}

fn same_fault(one: &CatalogueFault, other: &CatalogueFault) -> bool {
    one.event == other.event && one.ordinal == other.ordinal
}

fn names_fault(wanted: &str, fault: &CatalogueFault) -> bool {
    let (event, ordinal) = wanted.split_once('-').unwrap_or((wanted, ""));
    event.len() >= ID_DIGITS_MIN
        && hex(&fault.event).starts_with(event)
        && (ordinal.is_empty() || ordinal == fault.ordinal.to_string())
}

/// A subject for an event.
#[must_use]
pub fn subject(entry: &CatalogueEntry) -> AppendSubject {
    AppendSubject {
        id: entry.id.clone(),
        r#type: entry.r#type,
    }
}

#[cfg(test)]
pub(crate) mod tests;
