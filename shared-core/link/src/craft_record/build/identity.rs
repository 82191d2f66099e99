//! What a craft's record says of the craft as a whole: what it is, where it stood, what is open, and
//! the sheets that it was held against.

use std::collections::BTreeMap;

use prost::Message as _;
use sha2::{Digest as _, Sha256};
use sponson_log::ids::{EventId, SubjectId};
use sponson_proto::event::v1::{self as wire, Kind};
use sponson_readiness::moment::{Interval, Moment};
use sponson_readiness::record::Record;
use sponson_readiness::standard::Policy;
use sponson_replica::{CraftLine, CraftLines, Via};
use sponson_show::clean;
use sponson_show::craft_record::{CraftIdentity, Fact, OpenFault, Period, SheetAdopted, Stood};
use sponson_show::units::print;

use super::super::AskedFor;
use super::super::marks::Marks;
use super::super::said::event_name;
use super::{Making, Spoken};

impl Making<'_> {
    pub(super) fn identity(&self, lines: &CraftLines, spoken: &[Spoken<'_>]) -> CraftIdentity {
        let mut numbers: Vec<String> = Vec::new();
        let mut add = |number: &str| {
            let number = clean(number);
            if !number.is_empty() && !numbers.contains(&number) {
                numbers.push(number);
            }
        };
        let record = lines.record.iter();
        for side in record.flat_map(|record| record.number.iter()) {
            add(&side.value);
        }
        let mut facts: Vec<Fact> = Vec::new();
        let own = spoken.iter().filter(|one| one.line.via == Via::Craft);
        for one in own {
            let payload = one.line.line.event.payload().clone();
            if one.kind == Kind::CraftRegistered {
                if let Ok(it) = wire::CraftRegistered::decode(payload) {
                    add(&it.number);
                }
                let new = one.said.facts.iter().filter(|fact| fact.name != "station");
                let new: Vec<Fact> = new.filter(|fact| !facts.contains(fact)).cloned().collect();
                facts.extend(new);
            } else if one.kind == Kind::NumberChanged
                && let Ok(it) = wire::NumberChanged::decode(payload)
            {
                add(&it.number);
            }
        }
        CraftIdentity {
            ids: lines.ids.iter().map(SubjectId::to_string).collect(),
            numbers,
            facts,
        }
    }

    pub(super) fn period(&self, asked: &AskedFor) -> Period {
        let day = |moment: Moment| print::local(moment, self.words.offset_min);
        Period {
            from: asked.from.map(print::rfc3339),
            until: asked.until.map(print::rfc3339),
            from_unix_ms: asked.from.map(|it| it.0),
            until_unix_ms: asked.until.map(|it| it.0),
            words: match (asked.from, asked.until) {
                (None, None) => "all that is known".to_owned(),
                (Some(from), None) => format!("from {} on", day(from)),
                (None, Some(until)) => format!("until {}", day(until)),
                (Some(from), Some(until)) => format!("from {} until {}", day(from), day(until)),
            },
        }
    }

    pub(super) fn stood(
        &self,
        spoken: &[Spoken<'_>],
        marks: &Marks,
        lines: &CraftLines,
    ) -> Vec<Stood> {
        let is_ours = |one: &&Spoken<'_>| {
            let subjects = &one.line.line.event.header().subjects;
            one.line.via == Via::Craft
                && !marks.says_nothing(one)
                && subjects
                    .first()
                    .is_some_and(|it| lines.ids.contains(&it.id))
        };
        let stood = spoken.iter().filter(is_ours).filter_map(|one| {
            let payload = one.line.line.event.payload().clone();
            let at = if one.kind == Kind::Placed {
                wire::Placed::decode(payload).ok()?.at
            } else if one.kind == Kind::CraftRegistered {
                wire::CraftRegistered::decode(payload).ok()?.station
            } else {
                return None;
            };
            Some(Stood {
                from: self.when(one.line),
                place: self.words.name(&at),
                event: one.line.line.event.id().to_string(),
            })
        });
        stood.collect()
    }

    pub(super) fn open_faults(
        &self,
        record: Option<&Record>,
        policy: Option<&Policy>,
    ) -> Vec<OpenFault> {
        let repairer_may = policy.is_some_and(|policy| policy.faults.repairer_signs_off);
        let Some(record) = record else {
            return Vec::new();
        };
        let found =
            |event: &sponson_readiness::ids::EventId, interval: &Interval, words: String| {
                OpenFault {
                    fault: event_name(event.as_bytes()),
                    words,
                    found: print::local(interval.latest(self.now), self.words.offset_min),
                    event: event.to_string(),
                }
            };
        let faults = record.faults.iter();
        let faults = faults
            .filter(|(_, fault)| !fault.is_signed_off(repairer_may))
            .map(|(id, fault)| {
                let words = self.words.fault(&fault.fault);
                let one = found(&id.event, &fault.origin.interval, words);
                OpenFault {
                    fault: format!("{}-{}", one.fault, id.ordinal),
                    ..one
                }
            });
        let noes = record.open_noes.iter().map(|(id, no)| {
            let words = format!("answered 'no': {}", self.words.line(no.value.as_str()));
            let one = found(&id.event, &no.origin.interval, words);
            OpenFault {
                fault: format!("{}-{}", one.fault, id.ordinal),
                ..one
            }
        });
        faults.chain(noes).collect()
    }

    pub(super) fn sheet(
        &self,
        line: &CraftLine,
        places: &BTreeMap<EventId, u64>,
    ) -> Option<SheetAdopted> {
        let event = &line.line.event;
        let payload = event.payload().clone();
        let (what, text) = if event.header().kind == Kind::Policy as i32 {
            (
                "Policy".to_owned(),
                wire::Policy::decode(payload).ok()?.text,
            )
        } else {
            let sheet = wire::BoatStandard::decode(payload).ok()?;
            let model = clean(&sheet.model);
            let revision = sheet.revision;
            (
                format!("Boat standard {model}, revision {revision}"),
                sheet.text,
            )
        };
        let place = places.get(&event.id());
        Some(SheetAdopted {
            event: event.id().to_string(),
            what,
            adopted: self.when(line),
            text_sha256: data_encoding::HEXLOWER.encode(&Sha256::digest(text.as_bytes())),
            received_unix_ms: line.line.received_unix_ms,
            place: place.map(|index| index + 1),
        })
    }
}
