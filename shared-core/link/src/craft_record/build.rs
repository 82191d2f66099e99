//! From the entries of a craft to its record in words.

use std::collections::{BTreeMap, BTreeSet};

use prost::Message as _;
use sha2::{Digest as _, Sha256};
use sponson_log::ids::{EventId, SubjectId};
use sponson_log::registry::Registry;
use sponson_proto::answer::v1 as answer_wire;
use sponson_proto::event::v1::{self as wire, BesideType, Kind};
use sponson_readiness::answer::ENGINE_VERSION;
use sponson_readiness::event::SubjectKind;
use sponson_readiness::ids::SubjectId as TradeId;
use sponson_readiness::moment::{Interval, Moment};
use sponson_readiness::record::Record;
use sponson_readiness::standard::{Policy, Standard};
use sponson_replica::{CraftLine, CraftLines, Now, RecordOf, Replica, Via};
use sponson_show::clean;
use sponson_show::craft_record::{
    Concluded, CraftIdentity, CraftRecord, Fact, Made, OpenFault, Period, ProofForm, RECORD_SCHEMA,
    RecordEntry, RecordPicture, RecordText, RestsOn, SheetAdopted, SignedBy, Stood,
};
use sponson_show::sentence::{differ_text, until_text};
use sponson_show::units::print;
use sponson_show::{finding_text, words};
use tonic::Code;

use super::marks::Marks;
use super::said::{Said, Words, changes, event_name};
use super::{AskedFor, ENTRIES_MAX, glance, too_much};
use crate::ask::{Given, ask};
use crate::refusal::{Refusal, row_damaged};

/// What the entries are put into words with.
pub(super) struct Making<'a> {
    pub(super) words: Words<'a>,
    pub(super) registry: &'a Registry,
    pub(super) now: Moment,
    pub(super) policies: Vec<(Moment, EventId)>,
}

/// An entry with what it says.
pub(super) struct Spoken<'a> {
    pub(super) line: &'a CraftLine,
    pub(super) kind: Kind,
    pub(super) said: Said,
}

pub(super) fn build(
    replica: &mut Replica,
    asked: &AskedFor,
    now: &Now,
    program: &str,
) -> Result<CraftRecord, Refusal> {
    let then = asked.known.map_or(Moment(now.unix_ms), |known| known.at);
    let of = RecordOf {
        craft: asked.craft,
        known: asked.known,
        now: then,
    };
    let lines = replica
        .craft_lines(&of)
        .map_err(|error| row_damaged(&error))?;
    let is_other = |record: &Record| record.kind != SubjectKind::Craft;
    if lines.lines.is_empty() || lines.record.as_ref().is_some_and(is_other) {
        return Err(Refusal::new(
            Code::NotFound,
            "CRAFT_NOT_KNOWN",
            "nothing is recorded here of this craft, by what was known then",
            "sync first, or look it up by its number",
        ));
    }
    let numbers = names(replica);
    let policy = lines.registry.policy();
    let policy = policy.and_then(|(_, text)| Policy::parse(text).ok());
    let (units, offset_min) = policy.as_ref().map_or_else(
        || (sponson_show::Context::default().units, now.utc_offset_min),
        |policy| (policy.units, policy.utc_offset_min),
    );
    let making = Making {
        words: Words {
            numbers: &numbers,
            units,
            offset_min,
            newest: newest_sheet(&lines),
            sheets: sheets(&lines.registry),
        },
        registry: &lines.registry,
        now: then,
        policies: policies(&lines, then),
    };
    let spoken: Vec<Spoken<'_>> = lines.lines.iter().map(|line| making.spoken(line)).collect();
    let marks = Marks::of(&spoken, &making);
    let within: Vec<&Spoken<'_>> = spoken
        .iter()
        .filter(|one| is_within(&one.line.interval, asked, then))
        .collect();
    if within.len() > ENTRIES_MAX {
        return Err(too_much(format!(
            "{} entries lie in this time",
            within.len()
        )));
    }
    let ids: BTreeSet<EventId> = within
        .iter()
        .map(|one| one.line)
        .chain(&lines.sheets)
        .filter(|line| line.index.is_some())
        .map(|line| line.line.event.id())
        .collect();
    let signers: BTreeSet<EventId> = within.iter().map(|one| one.line.line.event.id()).collect();
    let (proof, places) = replica
        .prove_several(&ids, &signers, now.unix_ms)
        .map_err(|error| row_damaged(&error))?;
    let entries: Vec<RecordEntry> = (1..)
        .zip(&within)
        .map(|(number, one)| making.entry(number, one, &spoken, &marks, &places))
        .collect();
    let given = given(replica, asked, &lines, now)?;
    let base64 = |bytes: &[u8]| data_encoding::BASE64.encode(bytes);
    let path: Vec<u8> = proof
        .path
        .iter()
        .flat_map(|hash| *hash.as_bytes())
        .collect();
    Ok(CraftRecord {
        schema: RECORD_SCHEMA.to_owned(),
        craft: making.identity(&lines, &spoken),
        period: making.period(asked),
        made: made(replica, &making, now, program),
        log: rests_on(replica, &lines, asked, &entries, now),
        glance: glance::glance(&within, &marks, &making),
        stood: making.stood(&spoken, &marks, &lines),
        concluded: given.as_ref().and_then(concluded),
        open_faults: making.open_faults(lines.record.as_ref(), policy.as_ref()),
        disagreements: given.as_ref().map(disagreements).unwrap_or_default(),
        left_out: (spoken.len() - within.len()) as u64,
        entries,
        sheets: lines
            .sheets
            .iter()
            .filter_map(|line| making.sheet(line, &places))
            .collect(),
        proof: ProofForm {
            checkpoint: proof.checkpoint.map(|it| base64(&it.encode_to_vec())),
            path: base64(&path),
            registry: proof
                .registry
                .iter()
                .map(|it| base64(&it.encode_to_vec()))
                .collect(),
        },
        caution: sponson_show::caution().to_owned(),
    })
}

/// Whether it may have happened in the time that is asked for.
fn is_within(interval: &Interval, asked: &AskedFor, now: Moment) -> bool {
    asked.from.is_none_or(|from| interval.latest(now) >= from)
        && asked
            .until
            .is_none_or(|until| interval.earliest(now) < until)
}

fn sheets(registry: &Registry) -> BTreeMap<EventId, Standard> {
    let texts = registry.standards().iter();
    texts
        .filter_map(|(id, sheet)| Some((*id, Standard::parse(&sheet.text).ok()?)))
        .collect()
}

/// The event of the highest revision among the sheets of the craft's model.
fn newest_sheet(lines: &CraftLines) -> Option<EventId> {
    let standards = lines.registry.standards();
    let model = lines.record.as_ref()?.craft.iter().next()?;
    let model = model.value.model.as_str();
    let of_model = standards.iter().filter(|(_, sheet)| sheet.model == model);
    of_model
        .max_by_key(|(id, sheet)| (sheet.revision, **id))
        .map(|(id, _)| *id)
}

fn policies(lines: &CraftLines, now: Moment) -> Vec<(Moment, EventId)> {
    let all = lines.sheets.iter();
    all.filter(|line| line.line.event.header().kind == Kind::Policy as i32)
        .map(|line| (line.interval.latest(now), line.line.event.id()))
        .collect()
}

fn made(replica: &Replica, making: &Making<'_>, now: &Now, program: &str) -> Made {
    let key = replica.key();
    Made {
        at: print::rfc3339(Moment(now.unix_ms)),
        words: format!(
            "{} ({})",
            making.words.local(now.unix_ms),
            print::offset(making.words.offset_min)
        ),
        utc_offset_min: making.words.offset_min,
        program: program.to_owned(),
        engine: ENGINE_VERSION,
        by: signer_words(replica.registry(), &key),
        key: key.to_string(),
    }
}

/// Whose device a key is, in words.
pub(super) fn signer_words(registry: &Registry, key: &sponson_log::ids::Key) -> String {
    let station = station_words(registry, key);
    let device = registry.key(key).map_or("", |admitted| &admitted.device);
    match (station.as_str(), clean(device)) {
        ("", _) => "a device that the county has not let in".to_owned(),
        ("county", device) if device.is_empty() => "the county".to_owned(),
        (station, device) if device.is_empty() => station.to_owned(),
        (station, device) => format!("{station}, device '{device}'"),
    }
}

/// Name of the station of a key; `county` for the county's own; empty when it is not admitted.
pub(super) fn station_words(registry: &Registry, key: &sponson_log::ids::Key) -> String {
    if registry.root() == Some(*key) {
        return "county".to_owned();
    }
    match registry.key(key).map(|admitted| admitted.station) {
        None => String::new(),
        Some(None) => "county".to_owned(),
        Some(Some(station)) => registry
            .stations()
            .get(&station)
            .map_or_else(|| station.to_string(), |facts| clean(&facts.name)),
    }
}

fn rests_on(
    replica: &Replica,
    lines: &CraftLines,
    asked: &AskedFor,
    entries: &[RecordEntry],
    now: &Now,
) -> RestsOn {
    let root = replica.tree().root_at(lines.size);
    let beyond = entries.iter().filter(|entry| entry.place.is_none()).count();
    RestsOn {
        county: replica.county().to_string(),
        id: replica.log_id().map(|log| log.to_string()),
        size: lines.size,
        root: root.map_or_else(String::new, |root| root.to_string()),
        as_known_then: asked.known.is_some(),
        beyond: beyond as u64,
        notes: crate::local::notes(replica, now.unix_ms),
    }
}

/// The question about the craft as it was known.
fn question(asked: &AskedFor, lines: &CraftLines) -> answer_wire::Question {
    let craft = lines
        .record
        .as_ref()
        .map(|record| record.subject.to_string());
    answer_wire::Question {
        craft: format!("#{}", craft.unwrap_or_else(|| asked.craft.to_string())),
        known_by: asked
            .known
            .map(|known| answer_wire::question::KnownBy::KnownBySize(known.size)),
        as_of_unix_ms: asked.known.map(|known| known.at.0),
        ..answer_wire::Question::default()
    }
}

/// What the rules say; none for a craft that is judged no more.
fn concluded(given: &Given) -> Option<Concluded> {
    let as_of = given.answer.asked.as_of;
    let mut craft = given.answer.craft.iter();
    let one = craft.find(|one| Some(one.id) == given.craft)?;
    Some(Concluded {
        as_of: given.ctx.local(as_of),
        readiness: one.readiness.id().to_owned(),
        words: words::readiness(one.readiness).to_owned(),
        why: one
            .why
            .iter()
            .map(|finding| finding_text(finding, as_of, &given.ctx))
            .collect(),
    })
}

fn disagreements(given: &Given) -> Vec<String> {
    let all = given.answer.disagreements.iter();
    let ours = all.filter(|one| given.craft.is_some_and(|craft| one.craft.contains(&craft)));
    let said = ours.map(|one| {
        let differ = differ_text(one, &given.ctx);
        let until = until_text(one, &given.ctx);
        format!("{}: {differ}; {until}", clean(&one.number))
    });
    said.collect()
}

/// The answer for the craft; none when it is judged no more.
fn given(
    replica: &mut Replica,
    asked: &AskedFor,
    lines: &CraftLines,
    now: &Now,
) -> Result<Option<Given>, Refusal> {
    match ask(replica, &question(asked, lines), now, None) {
        Ok(given) => Ok(Some(given)),
        Err(refusal) if refusal.reason() == "CRAFT_NOT_KNOWN" => Ok(None),
        Err(refusal) => Err(refusal),
    }
}

/// Painted numbers and names, by id.
fn names(replica: &mut Replica) -> BTreeMap<TradeId, String> {
    let entries = replica.catalogue().entries.into_iter();
    entries
        .map(|entry| (TradeId::from_bytes(*entry.id.as_bytes()), entry.number))
        .collect()
}

impl Making<'_> {
    fn spoken<'a>(&self, line: &'a CraftLine) -> Spoken<'a> {
        let event = &line.line.event;
        let kind = Kind::try_from(event.header().kind).unwrap_or(Kind::Unspecified);
        Spoken {
            said: self.words.said(kind, event.payload()),
            line,
            kind,
        }
    }

    /// The moment of an entry in words: as claimed where that is believed.
    pub(super) fn when(&self, line: &CraftLine) -> String {
        let interval = &line.interval;
        let local = |moment: Moment| print::local(moment, self.words.offset_min);
        if let Some(moment) = interval.believed(self.now) {
            return local(moment);
        }
        let (early, late) = (interval.earliest(self.now), interval.latest(self.now));
        if print::is_known(early) {
            format!("between {} and {}", local(early), local(late))
        } else {
            format!("not later than {}", local(late))
        }
    }

    fn entry(
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

    fn identity(&self, lines: &CraftLines, spoken: &[Spoken<'_>]) -> CraftIdentity {
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

    fn period(&self, asked: &AskedFor) -> Period {
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

    fn stood(&self, spoken: &[Spoken<'_>], marks: &Marks, lines: &CraftLines) -> Vec<Stood> {
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

    fn open_faults(&self, record: Option<&Record>, policy: Option<&Policy>) -> Vec<OpenFault> {
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

    fn sheet(&self, line: &CraftLine, places: &BTreeMap<EventId, u64>) -> Option<SheetAdopted> {
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

/// A kind as the log names it, in small letters.
pub(super) fn kind_id(kind: Kind) -> String {
    let name = kind.as_str_name();
    name.strip_prefix("KIND_").unwrap_or(name).to_lowercase()
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
