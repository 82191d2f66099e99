//! What an entry of a craft's record says: one line, and everything in it by name and value.
//!
//! Read from the message as it was signed, so that nothing of it is left out; named by the boat
//! standard that was answered. It judges nothing.

mod checks;
mod subjects;
mod work;

use std::collections::BTreeMap;

use bytes::Bytes;
use prost::Message;
use sponson_log::ids::EventId;
use sponson_proto::event::v1::{self as wire, Kind};
use sponson_readiness::event::{DateMark, FaultFound, PartPlace, Severity};
use sponson_readiness::ids::{PartId, SubjectId};
use sponson_readiness::moment::Moment;
use sponson_readiness::standard::{Part, Standard, Units};
use sponson_show::clean;
use sponson_show::craft_record::Fact;
use sponson_show::units::print;
use sponson_show::words;

/// Digits of an event's name, as the log shows them.
const NAME_DIGITS: usize = 12;

/// What words are made with.
pub(super) struct Words<'a> {
    /// Painted numbers and names.
    pub(super) numbers: &'a BTreeMap<SubjectId, String>,
    /// The county's units.
    pub(super) units: Units,
    /// Minutes east of UTC.
    pub(super) offset_min: i32,
    /// Boat standards by the event that adopted them.
    pub(super) sheets: BTreeMap<EventId, Standard>,
    /// The newest of the craft's model.
    pub(super) newest: Option<EventId>,
}

/// What one entry says.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Said {
    /// In one line.
    pub(super) what: String,
    /// All of it.
    pub(super) facts: Vec<Fact>,
}

impl Said {
    fn new(what: impl Into<String>) -> Self {
        Self {
            what: what.into(),
            facts: Vec::new(),
        }
    }

    /// With something that is said; nothing when the value is empty.
    fn with(mut self, name: &str, value: impl AsRef<str>) -> Self {
        let value = clean(value.as_ref());
        if !value.is_empty() {
            self.facts.push(Fact {
                name: clean(name),
                value,
            });
        }
        self
    }

    fn with_all(mut self, facts: impl IntoIterator<Item = (String, String)>) -> Self {
        for (name, value) in facts {
            self = self.with(&name, value);
        }
        self
    }
}

impl Words<'_> {
    /// What an event of a kind says.
    pub(super) fn said(&self, kind: Kind, payload: &Bytes) -> Said {
        match kind {
            Kind::Check => read(payload, |it| checks::check(&it, self)),
            Kind::AirChanged => read(payload, |it| work::air(&it, self)),
            Kind::Use => read(payload, |it| work::used(&it, self)),
            Kind::Fault => read(payload, |it: wire::Fault| checks::faults(&it.faults, self)),
            Kind::Repair => read(payload, |it| work::repair(&it, self)),
            Kind::SignOff => read(payload, |it: wire::SignOff| {
                Said::new("Signed off").with("faults that are over", faults_named(&it.closes))
            }),
            Kind::InspectionDone => read(payload, |it| work::inspection(&it, self)),
            Kind::OutOfService => read(payload, |it| work::out(&it)),
            Kind::Returned => read(payload, |it: wire::Returned| {
                Said::new("Back in service").with("ends", events_named(&it.ends))
            }),
            Kind::WaiverGranted => read(payload, |it| work::waiver(&it, self)),
            Kind::WaiverWithdrawn => read(payload, |it: wire::WaiverWithdrawn| {
                Said::new("Waiver withdrawn").with("waiver", event_name(&it.waiver))
            }),
            Kind::Assigned => read(payload, |it| work::assigned(&it, self)),
            Kind::Released => read(payload, |it: wire::Released| {
                Said::new("Released").with("assignment", event_name(&it.assignment))
            }),
            Kind::Correction => read(payload, |it| correction(&it)),
            Kind::Dismissed => read(payload, |it: wire::Dismissed| {
                Said::new("Unconfirmed entries dismissed by the lead")
                    .with("of the device", event_name(&it.key))
                    .with("from its entry", it.from_seq.to_string())
            }),
            Kind::LeadDecision => read(payload, |it| work::decided(&it, self)),
            Kind::Attachment => read(payload, |it: wire::Attachment| {
                Said::new("Pictures added").with("to entry", event_name(&it.event))
            }),
            Kind::Note => Said::new("Note"),
            Kind::Redacted => read(payload, |it| work::redacted(&it)),
            Kind::CraftRegistered => read(payload, |it| subjects::craft(&it, self)),
            Kind::GearRegistered => read(payload, |it| subjects::gear(&it, self)),
            Kind::BagRegistered => read(payload, |it| subjects::bag(&it, self)),
            Kind::ShelfRegistered => read(payload, |it| subjects::shelf(&it, self)),
            Kind::NumberChanged => read(payload, |it: wire::NumberChanged| {
                Said::new(format!("Number changed to {}", clean(&it.number)))
            }),
            Kind::Placed => read(payload, |it: wire::Placed| {
                Said::new(format!("Now at {}", self.name(&it.at)))
            }),
            Kind::Fitted => read(payload, |it| subjects::fitted(&it, self)),
            Kind::TakenOff => read(payload, |it| subjects::taken_off(&it, self)),
            Kind::Condemned => read(payload, |it| subjects::condemned(&it)),
            Kind::HeldCountyWide => read(payload, |it| subjects::held(&it, self)),
            Kind::HoldLifted => read(payload, |it: wire::HoldLifted| {
                Said::new("County-wide hold lifted").with("hold", event_name(&it.hold))
            }),
            Kind::SameAs => read(payload, |it| subjects::same_as(&it, self)),
            Kind::StockCounted => read(payload, |it| subjects::stock(&it, self)),
            Kind::CrewsAvailable => Said::new("Crews that the station can raise"),
            Kind::MemberLevel => Said::new("Level of a member"),
            Kind::Unspecified
            | Kind::KeyAdmitted
            | Kind::KeyEnded
            | Kind::StationRegistered
            | Kind::RoleGiven
            | Kind::Policy
            | Kind::BoatStandard
            | Kind::LogBegun => Said::new("Entry of the registry"),
        }
    }

    /// Painted number of something, or the beginning of its id.
    pub(super) fn name(&self, id: &[u8]) -> String {
        let known = <[u8; 16]>::try_from(id).ok();
        let known = known.and_then(|id| self.numbers.get(&SubjectId::from_bytes(id)));
        known.map_or_else(|| event_name(id), |number| clean(number))
    }

    /// The boat standard that an entry answered, or the newest.
    fn sheet(&self, event: &[u8]) -> Option<&Standard> {
        let named = EventId::parse("standard", event).ok();
        let named = named.and_then(|id| self.sheets.get(&id));
        named.or_else(|| self.sheets.get(self.newest.as_ref()?))
    }

    /// A part in the words of the newest sheet.
    pub(super) fn part(&self, id: &str) -> String {
        part_words(self.newest(), id)
    }

    /// A line in the words of the newest sheet.
    pub(super) fn line(&self, id: &str) -> String {
        line_words(self.newest(), id)
    }

    /// A fault as it is judged.
    pub(super) fn fault(&self, fault: &FaultFound) -> String {
        let severity = match fault.severity {
            Severity::Disabling => "disabling",
            Severity::Restrictive => "restrictive",
            Severity::Major => "major",
            Severity::Minor => "minor",
        };
        let class = clean(&fault.class.replace('-', " "));
        let place = self.place(&fault.part, fault.place);
        let gear = fault.gear.as_ref();
        let gear = gear.map_or_else(String::new, |id| {
            format!(", on {}", self.name(id.as_bytes()))
        });
        format!("{severity}, {class} at {place}{gear}")
    }

    /// A part and the place on it.
    pub(super) fn place(&self, id: &PartId, place: PartPlace) -> String {
        let along = place
            .from_transom_mm
            .map(|mm| format!("{} from the transom", print::length(mm, self.units)));
        let said = [
            Some(part_words(self.newest(), id.as_str())),
            place.side.map(|side| words::side(side).to_owned()),
            along,
            place.face.map(|face| words::face(face).to_owned()),
        ];
        let said: Vec<String> = said.into_iter().flatten().collect();
        said.join(", ")
    }

    fn newest(&self) -> Option<&Standard> {
        self.sheet(&[])
    }

    fn temperature(&self, mc: i32) -> String {
        print::temperature(mc, self.units)
    }

    fn pressure(&self, pa: i64) -> String {
        print::pressure(pa, self.units)
    }

    pub(super) fn local(&self, unix_ms: i64) -> String {
        print::local(Moment(unix_ms), self.offset_min)
    }
}

fn part<'a>(sheet: Option<&'a Standard>, id: &str) -> Option<&'a Part> {
    let mut parts = sheet.into_iter().flat_map(|sheet| &sheet.parts);
    parts.find(|part| part.id.as_str() == id)
}

/// A part in the words of a sheet.
fn part_words(sheet: Option<&Standard>, id: &str) -> String {
    part(sheet, id).map_or_else(|| clean(id), |part| clean(&part.label))
}

/// A line in the words of a sheet: a question, an item or an inspection.
fn line_words(sheet: Option<&Standard>, id: &str) -> String {
    let label = sheet.and_then(|sheet| {
        let questions = sheet.questions.iter().map(|line| (&line.id, &line.label));
        let items = sheet.items.iter().map(|line| (&line.id, &line.label));
        let inspections = sheet.inspections.iter().map(|line| (&line.id, &line.label));
        let mut all = questions.chain(items).chain(inspections);
        all.find(|(line, _)| line.as_str() == id)
    });
    label.map_or_else(|| clean(id), |(_, label)| clean(label))
}

fn read<M: Message + Default>(payload: &Bytes, say: impl FnOnce(M) -> Said) -> Said {
    match M::decode(payload.clone()) {
        Ok(message) => say(message),
        Err(error) => Said::new("Entry that cannot be read").with("why", error.to_string()),
    }
}

/// The name of an event: the beginning of its id.
pub(super) fn event_name(id: &[u8]) -> String {
    let digits = data_encoding::HEXLOWER.encode(id);
    digits.chars().take(NAME_DIGITS).collect()
}

fn events_named(ids: &[Bytes]) -> String {
    let names: Vec<String> = ids.iter().map(|id| event_name(id)).collect();
    names.join(", ")
}

fn fault_named(fault: &wire::FaultRef) -> String {
    format!("{}-{}", event_name(&fault.event), fault.ordinal)
}

fn faults_named(faults: &[wire::FaultRef]) -> String {
    let names: Vec<String> = faults.iter().map(fault_named).collect();
    names.join(", ")
}

fn date(mark: Option<wire::DateMark>) -> String {
    let mark = mark.and_then(|mark| {
        Some(DateMark {
            year: i32::try_from(mark.year).ok()?,
            month: Some(mark.month).filter(|month| *month > 0),
            day: Some(mark.day).filter(|day| *day > 0),
        })
    });
    mark.map(print::date_mark).unwrap_or_default()
}

fn seconds(s: u32) -> String {
    print::span(i64::from(s) * 1_000)
}

fn list(words: &[String]) -> String {
    let cleaned: Vec<String> = words.iter().map(|word| clean(word)).collect();
    cleaned.join(", ")
}

/// What a correction is; what it changed is found by whoever holds its original.
fn correction(it: &wire::Correction) -> Said {
    let what = match it.r#type() {
        wire::CorrectionType::Restated => "Correction: restates an earlier entry",
        wire::CorrectionType::Withdrawn => "Withdrawal of an earlier entry",
        wire::CorrectionType::Unspecified => "Correction",
    };
    Said::new(what).with("entry", event_name(&it.original))
}

/// What differs between what an entry said and what restates it: a fact each, as it was and as it
/// is.
pub(super) fn changes(before: &Said, after: &Said) -> Vec<Fact> {
    let mut changes = Vec::new();
    let mut gone: Vec<&Fact> = before.facts.iter().collect();
    for fact in &after.facts {
        if let Some(same) = gone.iter().position(|it| *it == fact) {
            gone.remove(same);
            continue;
        }
        let was = gone.iter().position(|it| it.name == fact.name);
        let was = was.map(|at| gone.remove(at).value.clone());
        changes.push(Fact {
            name: fact.name.clone(),
            value: match was {
                Some(was) => format!("{} (it said: {was})", fact.value),
                None => format!("{} (it did not say)", fact.value),
            },
        });
    }
    changes.extend(gone.into_iter().map(|fact| Fact {
        name: fact.name.clone(),
        value: format!("no longer said (it said: {})", fact.value),
    }));
    changes
}
