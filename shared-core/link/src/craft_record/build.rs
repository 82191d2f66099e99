//! From the entries of a craft to its record in words.

mod entry;
mod identity;

use std::collections::{BTreeMap, BTreeSet};

use prost::Message as _;
use sponson_log::ids::EventId;
use sponson_log::registry::Registry;
use sponson_proto::answer::v1 as answer_wire;
use sponson_proto::event::v1::Kind;
use sponson_readiness::answer::ENGINE_VERSION;
use sponson_readiness::event::SubjectKind;
use sponson_readiness::ids::SubjectId as TradeId;
use sponson_readiness::moment::{Interval, Moment};
use sponson_readiness::record::Record;
use sponson_readiness::standard::{Policy, Standard};
use sponson_replica::{CraftLine, CraftLines, Now, RecordOf, Replica};
use sponson_show::clean;
use sponson_show::craft_record::{
    Concluded, CraftRecord, Made, ProofForm, RECORD_SCHEMA, RecordEntry, RestsOn,
};
use sponson_show::sentence::{differ_text, until_text};
use sponson_show::units::print;
use sponson_show::{finding_text, words};
use tonic::Code;

use super::marks::Marks;
use super::said::{Said, Words};
use super::{AskedFor, glance, too_much};
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
    if within.len() > asked.entries_max {
        let (found, most) = (within.len(), asked.entries_max);
        return Err(too_much(format!(
            "{found} entries lie in this time; at most {most} go into one record"
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
}

/// A kind as the log names it, in small letters.
pub(super) fn kind_id(kind: Kind) -> String {
    let name = kind.as_str_name();
    name.strip_prefix("KIND_").unwrap_or(name).to_lowercase()
}
