//! One entry of a craft's record: what it says, when, by whom, and where it stands in the county log.

use std::collections::BTreeMap;

use prost::Message as _;
use sponson_log::ids::EventId;
use sponson_proto::event::v1::{self as wire, BesideType, Kind};
use sponson_readiness::moment::Moment;
use sponson_replica::{CraftLine, Via};
use sponson_show::clean;
use sponson_show::craft_record::{Fact, RecordEntry, RecordPicture, RecordText, SignedBy};
use sponson_show::units::print;

use super::super::marks::Marks;
use super::super::said::{Said, changes, event_name};
use super::{Making, Spoken, kind_id, station_words};

impl Making<'_> {
    pub(super) fn entry(
        &self,
        number: u32,
        one: &Spoken<'_>,
        all: &[Spoken<'_>],
        marks: &Marks,
        places: &BTreeMap<EventId, u64>,
    ) -> RecordEntry {
        let (line, event) = (one.line, &one.line.line.event);
        let header = event.header();
        let place = places.get(&event.id()).copied();
        let known = |moment: Moment| print::is_known(moment).then(|| print::rfc3339(moment));
        let (about, via) = self.about(line);
        let check = (one.kind == Kind::Check)
            .then(|| wire::Check::decode(event.payload().clone()).ok())
            .flatten();
        let observed = header.observed.map_or(header.clock.unix_ms, |(_, to)| to);
        let at = line.interval.latest(self.now);
        let policy = self.policies.iter().rev().find(|(from, _)| *from <= at);
        RecordEntry {
            number,
            event: event.id().to_string(),
            kind: kind_id(one.kind),
            about,
            via: via.to_owned(),
            what: one.said.what.clone(),
            facts: self.facts(one, all),
            texts: self.texts(line),
            pictures: self.pictures(line),
            marks: marks.of_entry(one),
            when: self.when(line),
            claimed_at: known(Moment(observed)).unwrap_or_else(|| observed.to_string()),
            earliest: known(line.interval.earliest(self.now)),
            latest: known(line.interval.latest(self.now)),
            entered_at: header
                .observed
                .map(|_| self.words.local(header.clock.unix_ms)),
            received_at: line
                .line
                .received_unix_ms
                .map(|ms| print::rfc3339(Moment(ms))),
            received: self.received(line, place),
            received_unix_ms: line.line.received_unix_ms,
            place: place.map(|index| index + 1),
            signed_by: self.signed_by(line),
            policy: check.as_ref().and(policy).map(|(_, id)| id.to_string()),
            standard: check
                .and_then(|it| EventId::parse("standard", &it.standard).ok())
                .map(|id| id.to_string()),
            signed: data_encoding::BASE64.encode(&event.to_wire().encode_to_vec()),
        }
    }

    fn received(&self, line: &CraftLine, place: Option<u64>) -> String {
        match (line.line.received_unix_ms, place) {
            (None, _) => "not yet at the county".to_owned(),
            (Some(ms), Some(_)) => format!("received at the county {}", self.words.local(ms)),
            (Some(ms), None) => format!(
                "received at the county {}, beyond the county's last statement held here",
                self.words.local(ms)
            ),
        }
    }

    fn about(&self, line: &CraftLine) -> (String, &'static str) {
        match line.via {
            Via::County => ("the county".to_owned(), "county"),
            Via::Aboard(thing) => (self.words.name(thing.as_bytes()), "aboard"),
            Via::Craft => {
                let subjects = &line.line.event.header().subjects;
                let first = subjects.first();
                let name = first.map(|it| self.words.name(it.id.as_bytes()));
                (name.unwrap_or_default(), "craft")
            }
        }
    }

    /// What an entry says; of a correction, what it changed.
    fn facts(&self, one: &Spoken<'_>, all: &[Spoken<'_>]) -> Vec<Fact> {
        let mut facts = one.said.facts.clone();
        if one.kind != Kind::Correction {
            return facts;
        }
        let Ok(it) = wire::Correction::decode(one.line.line.event.payload().clone()) else {
            return facts;
        };
        let mut originals = all.iter();
        let original =
            originals.find(|other| other.line.line.event.id().as_bytes().as_slice() == it.original);
        match (original, it.r#type()) {
            (Some(original), wire::CorrectionType::Restated) => {
                let after = self.words.said(original.kind, &it.payload);
                let before = Said::clone(&original.said);
                if before.what != after.what {
                    facts.push(Fact {
                        name: "now".to_owned(),
                        value: format!("{} (it said: {})", after.what, before.what),
                    });
                }
                facts.extend(changes(&before, &after));
            }
            (Some(original), _) => facts.push(Fact {
                name: "withdrawn".to_owned(),
                value: original.said.what.clone(),
            }),
            (None, _) => {}
        }
        facts
    }

    fn texts(&self, line: &CraftLine) -> Vec<RecordText> {
        let event = &line.line.event;
        let beside = (0_u16..).zip(&event.header().beside);
        let texts = beside.filter(|(_, it)| it.kind != BesideType::Jpeg);
        let told = texts.map(|(index, committed)| {
            let mut here = event.beside().iter();
            let here = here.find(|it| it.index == u32::from(index));
            let text = here.map(|it| String::from_utf8_lossy(&it.content).into_owned());
            let not_here = match (&text, line.line.removed.get(&index)) {
                (Some(_), _) => String::new(),
                (None, Some(removed)) => self.removed("text", removed),
                (None, None) => "not held here: it came without its text".to_owned(),
            };
            RecordText {
                of: belongs_to(&committed.belongs_to, "note"),
                text,
                not_here,
            }
        });
        told.collect()
    }

    fn removed(&self, what: &str, removed: &sponson_replica::Removed) -> String {
        format!(
            "{what} removed at the lead's word on {} (entry {})",
            print::local_day(Moment(removed.unix_ms), self.words.offset_min),
            event_name(removed.by.as_bytes())
        )
    }

    fn pictures(&self, line: &CraftLine) -> Vec<RecordPicture> {
        let beside = (0_u16..).zip(&line.line.event.header().beside);
        let pictures = beside.filter(|(_, it)| it.kind == BesideType::Jpeg);
        let told = pictures.map(|(index, committed)| RecordPicture {
            of: belongs_to(&committed.belongs_to, "picture"),
            sha256: committed.commitment.to_string(),
            bytes: committed.size,
            removed: line
                .line
                .removed
                .get(&index)
                .map(|removed| self.removed("picture", removed))
                .unwrap_or_default(),
        });
        told.collect()
    }

    fn signed_by(&self, line: &CraftLine) -> SignedBy {
        let header = line.line.event.header();
        let admitted = self.registry.key(&header.key);
        SignedBy {
            key: header.key.to_string(),
            seq: header.seq,
            device: admitted.map_or_else(String::new, |it| clean(&it.device)),
            station: station_words(self.registry, &header.key),
            member: clean(&header.member),
        }
    }
}

/// What something beside an entry belongs to, in words.
fn belongs_to(word: &str, sort: &str) -> String {
    match word {
        "" => sort.to_owned(),
        "why" => "why".to_owned(),
        "shown" => "report that was shown".to_owned(),
        "listed" => "candidates that were listed".to_owned(),
        other => format!("{sort} on {}", clean(&other.replacen(':', " ", 1))),
    }
}
