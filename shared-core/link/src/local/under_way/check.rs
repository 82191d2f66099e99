//! A check under way as its lines tell it. Takes lines in, in their order; writes nothing.

use std::collections::BTreeMap;

use bytes::Bytes;
use prost::Message as _;
use sponson_proto::service::v1::{
    AppendRequest, CheckUnderWay, EventRecorded, FieldEntered, UnderWayStage,
};

use super::line::{Begun, By, Entered, KindWord, Line, Recording};

/// One check.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Check {
    begun: Begun,
    stage: Stage,
    changed_unix_ms: i64,
    entries: u64,
    fields: BTreeMap<String, Field>,
    recorded: Vec<(Bytes, AppendRequest)>,
    unreadable: u64,
}

#[derive(Clone, Debug, PartialEq)]
enum Stage {
    Open,
    /// With the events that are not known to be in the log yet.
    Recording(By, Plan),
    Recorded(By),
    Dropped(By),
}

/// What is to be recorded.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Plan {
    /// Events that the log held when this was fixed.
    pub(super) held: u64,
    /// Events, in order.
    pub(super) events: Vec<AppendRequest>,
}

#[derive(Clone, Debug, PartialEq, Eq)]
struct Field {
    value: String,
    by: By,
    /// What another member had entered, and who.
    before: Option<(String, String)>,
}

impl Check {
    /// A check that begins with this line; none when it is no beginning.
    pub(super) fn of(line: Line) -> Option<Self> {
        let Line::Begun(begun) = line else {
            return None;
        };
        Some(Self {
            changed_unix_ms: begun.by.unix_ms,
            begun,
            stage: Stage::Open,
            entries: 0,
            fields: BTreeMap::new(),
            recorded: Vec::new(),
            unreadable: 0,
        })
    }

    pub(super) fn id(&self) -> &str {
        &self.begun.id
    }

    /// Takes in a line that is durable.
    pub(super) fn take(&mut self, line: Line) {
        self.entries += 1;
        match line {
            // A second beginning says nothing.
            Line::Begun(_) => {}
            Line::Entered(entered) => self.entered(entered),
            Line::Recording(recording) => self.recording(recording),
            Line::InLog(in_log) => {
                if let Stage::Recording(_, plan) = &self.stage
                    && let Some(event) = plan.events.get(self.recorded.len())
                {
                    self.recorded.push((in_log.event, event.clone()));
                }
            }
            Line::OpenAgain(_) => self.stage = Stage::Open,
            Line::Recorded(by) => self.stage = Stage::Recorded(by),
            Line::Dropped(by) => self.stage = Stage::Dropped(by),
        }
    }

    pub(super) const fn could_not_read(&mut self) {
        self.unreadable += 1;
    }

    fn entered(&mut self, entered: Entered) {
        self.changed_unix_ms = entered.by.unix_ms;
        for (name, value) in entered.fields {
            if value.is_empty() {
                self.fields.remove(&name);
                continue;
            }
            let by = entered.by.clone();
            let before = self.fields.get(&name).and_then(|field| {
                if field.by.member == by.member {
                    field.before.clone()
                } else {
                    Some((field.value.clone(), field.by.member.clone()))
                }
            });
            let before = before.filter(|(before, _)| *before != value);
            self.fields.insert(name, Field { value, by, before });
        }
    }

    fn recording(&mut self, recording: Recording) {
        let events = recording.events.into_iter();
        let events: Result<Vec<AppendRequest>, _> = events.map(AppendRequest::decode).collect();
        let Ok(events) = events else {
            self.could_not_read();
            return;
        };
        let plan = Plan {
            held: recording.held,
            events,
        };
        self.stage = Stage::Recording(recording.by, plan);
    }

    /// Not ended.
    pub(super) const fn is_going_on(&self) -> bool {
        match self.stage {
            Stage::Open | Stage::Recording(..) => true,
            Stage::Recorded(_) | Stage::Dropped(_) => false,
        }
    }

    pub(super) const fn is_open(&self) -> bool {
        matches!(self.stage, Stage::Open)
    }

    pub(super) const fn ended_unix_ms(&self) -> Option<i64> {
        match &self.stage {
            Stage::Open | Stage::Recording(..) => None,
            Stage::Recorded(by) | Stage::Dropped(by) => Some(by.unix_ms),
        }
    }

    /// What is being recorded, and by whom.
    pub(super) const fn plan(&self) -> Option<(&By, &Plan)> {
        match &self.stage {
            Stage::Recording(by, plan) => Some((by, plan)),
            Stage::Open | Stage::Recorded(_) | Stage::Dropped(_) => None,
        }
    }

    /// How many events of the plan are in the log.
    pub(super) fn recorded(&self) -> usize {
        self.recorded.len()
    }

    pub(super) const fn entries(&self) -> u64 {
        self.entries
    }

    /// How many fields it has with these taken in.
    pub(super) fn fields_with(&self, names: impl Iterator<Item = impl AsRef<str>>) -> usize {
        let new = names.filter(|name| !self.fields.contains_key(name.as_ref()));
        self.fields.len() + new.count()
    }

    /// Whether somebody who begins such a check can go on with this one.
    pub(super) fn is_like(&self, begun: &Begun) -> bool {
        let held = &self.begun;
        self.is_going_on()
            && held.craft == begun.craft
            && held.kind == begun.kind
            && held.from_paper == begun.from_paper
    }

    /// As the service says it.
    pub(super) fn to_wire(&self, with_fields: bool) -> CheckUnderWay {
        let begun = &self.begun;
        let (stage, ended) = match &self.stage {
            Stage::Open => (UnderWayStage::Open, By::default()),
            Stage::Recording(by, _) => (UnderWayStage::Recording, by.clone()),
            Stage::Recorded(by) => (UnderWayStage::Recorded, by.clone()),
            Stage::Dropped(by) => (UnderWayStage::Dropped, by.clone()),
        };
        let fields = self.fields.iter().filter(|_| with_fields);
        CheckUnderWay {
            id: begun.id.clone(),
            craft: begun.craft.clone(),
            craft_number: begun.number.clone(),
            kind: KindWord::to_wire(begun.kind) as i32,
            from_paper: begun.from_paper,
            begun_by: begun.by.member.clone(),
            begun_unix_ms: begun.by.unix_ms,
            changed_unix_ms: self.changed_unix_ms,
            stage: stage as i32,
            ended_by: ended.member,
            ended_unix_ms: ended.unix_ms,
            entries: self.entries,
            fields: fields.map(|(name, field)| field.to_wire(name)).collect(),
            recorded: self.recorded.iter().map(recorded).collect(),
            unreadable: self.unreadable,
            standard: begun.standard.clone(),
        }
    }
}

impl Field {
    fn to_wire(&self, name: &str) -> FieldEntered {
        let (before, before_member) = self.before.clone().unwrap_or_default();
        FieldEntered {
            name: name.to_owned(),
            value: self.value.clone(),
            member: self.by.member.clone(),
            unix_ms: self.by.unix_ms,
            before,
            before_member,
        }
    }
}

fn recorded((event_id, request): &(Bytes, AppendRequest)) -> EventRecorded {
    EventRecorded {
        event_id: event_id.clone(),
        member: request.member.clone(),
        kind: request.kind,
    }
}
