//! What an answer would be if a check were recorded, told to whoever enters it; and what is on a
//! craft, for the walk round it. Nothing here records anything.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use bytes::Bytes;
use sponson_proto::answer::v1::Question as WireQuestion;
use sponson_proto::service::v1 as wire;
use sponson_readiness::answer::{CountyAnswer, CraftAnswer};
use sponson_readiness::asked_back::{AskedBack, FieldRef};
use sponson_readiness::event::{GearKind, ReadingMoment};
use sponson_readiness::ids::{LineId, PartId, SubjectId};
use sponson_readiness::moment::Moment;
use sponson_readiness::walk::{Aboard, BagAboard, GearAboard};
use sponson_replica::{NewEvent, Now, Replica, Tried, WalkOf};
use sponson_show::sentence::{asked_back_text, figures};
use sponson_show::{Context, table};
use tonic::Code;

use super::read;
use crate::answer;
use crate::ask;
use crate::catalogue::gear_word;
use crate::refusal::{Refusal, append_refused};
use crate::shared::Shared;

/// Most fields that are stood by at a time: a check has some hundred.
const AFFIRMED_MAX: usize = 500;

/// What recording would give, with what is needed to show it.
#[derive(Clone, Debug)]
pub struct TriedTold {
    /// The answer as if recorded, with this craft alone; without when nobody registered it.
    pub answer: CountyAnswer,
    /// How to show it.
    pub ctx: Context,
    /// What is asked back.
    pub asked: Vec<AskedLine>,
    /// What each reading means at the launch.
    pub figures: Vec<FigureLine>,
}

impl TriedTold {
    /// The craft, as if the check were recorded.
    #[must_use]
    pub fn craft(&self) -> Option<&CraftAnswer> {
        self.answer.craft.first()
    }
}

/// One field that is asked back.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AskedLine {
    /// The field's name.
    pub field: String,
    /// What is asked, a sentence.
    pub words: String,
    /// Name of the field by which somebody stands by it.
    pub affirmed_by: String,
    /// The same as the engine says it.
    pub asked: AskedBack,
}

/// What one field means.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FigureLine {
    /// The field's name.
    pub field: String,
    /// What it means, a sentence.
    pub words: String,
}

/// Answers as if events were recorded.
pub(super) async fn try_check(
    shared: &Shared,
    request: wire::TryCheckRequest,
) -> Result<TriedTold, Refusal> {
    if request.affirmed.len() > AFFIRMED_MAX {
        return Err(Refusal::field(
            format!("{} fields are stood by", request.affirmed.len()),
            format!("at most {AFFIRMED_MAX} are taken"),
        ));
    }
    let craft = craft(&request.craft)?;
    let events = request.events.into_iter();
    let events = events.map(|event| read::event(event, shared.entropy()));
    let events: Vec<NewEvent> = events.collect::<Result<_, _>>()?;
    let question = WireQuestion {
        craft: String::new(),
        known_by: None,
        ..request.question.unwrap_or_default()
    };
    let affirmed: BTreeSet<String> = request.affirmed.into_iter().collect();
    let now = shared.clock().now();
    let places = shared.places().map(Path::to_owned);
    let work = move |replica: &mut Replica| {
        let mut question = ask::read(replica, &question, &now, places.as_deref())?.question;
        if question.as_of < question.now {
            return Err(Refusal::field(
                "the moment to judge is over".to_owned(),
                "a check that is tried counts from now on: give now or later",
            ));
        }
        question.craft = Some(craft);
        let tried = replica
            .try_record(events, craft, &question, &now)
            .map_err(append_refused)?;
        Ok(told(replica, tried, &affirmed, &now))
    };
    shared.call(work).await?
}

fn told(replica: &mut Replica, tried: Tried, affirmed: &BTreeSet<String>, now: &Now) -> TriedTold {
    let names = Names::of(replica);
    let ctx = ask::context(
        replica,
        replica.registry(),
        &tried.answer,
        now.utc_offset_min,
    );
    let (mut asked, mut means) = (Vec::new(), Vec::new());
    if let Some(standard) = &tried.standard {
        for back in tried.asked_back {
            let (field, affirmed_by) = (names.field(&back.field), names.affirmed_by(&back.field));
            if affirmed.contains(&affirmed_by) {
                continue;
            }
            asked.push(AskedLine {
                words: asked_back_text(&back, standard, Moment(now.unix_ms), &ctx),
                field,
                affirmed_by,
                asked: back,
            });
        }
        let judged = tried.craft.as_ref();
        let said =
            judged.map(|craft| figures(&tried.check, craft, (standard, &tried.answer.asked), &ctx));
        means.extend(said.into_iter().flatten().map(|(field, words)| FigureLine {
            field: names.field(&field),
            words,
        }));
    }
    TriedTold {
        answer: tried.answer,
        ctx,
        asked,
        figures: means,
    }
}

/// A craft as one walks round it.
pub(super) async fn walk_of(shared: &Shared, id: &[u8]) -> Result<WalkOf, Refusal> {
    let craft = craft(id)?;
    let found = shared.call(move |replica| replica.walk_of(craft)).await?;
    found.ok_or_else(|| {
        Refusal::new(
            Code::NotFound,
            "NO_WALK",
            "no boat standard is in force for this craft, or it is not known here",
            "sync first, or ask the lead to adopt the sheet of its model",
        )
    })
}

fn craft(id: &[u8]) -> Result<SubjectId, Refusal> {
    let read = sponson_log::ids::SubjectId::parse("craft", id);
    let read =
        read.map_err(|error| Refusal::field(error.to_string(), "look the craft up by its number"))?;
    Ok(SubjectId::from_bytes(*read.as_bytes()))
}

/// What was tried, as messages.
pub(super) fn to_wire(told: &TriedTold) -> wire::TryCheckReply {
    let report = told
        .craft()
        .map(|craft| table::craft_report(craft, &told.answer.asked, &told.ctx));
    let asked = told.asked.iter().map(|line| wire::AskedBackLine {
        field: line.field.clone(),
        words: line.words.clone(),
        affirmed_by: line.affirmed_by.clone(),
    });
    let figures = told.figures.iter().map(|line| wire::FigureLine {
        field: line.field.clone(),
        words: line.words.clone(),
    });
    wire::TryCheckReply {
        answer: Some(answer::to_wire(&told.answer, &told.ctx)),
        text: report.unwrap_or_default(),
        asked: asked.collect(),
        figures: figures.collect(),
    }
}

/// Painted numbers, for the names of fields.
struct Names(BTreeMap<SubjectId, String>);

impl Names {
    fn of(replica: &mut Replica) -> Self {
        let records = replica.records().iter();
        let numbers = records.filter_map(|(id, record)| {
            let number = record.number.iter().next()?;
            Some((*id, number.value.clone()))
        });
        Self(numbers.collect())
    }

    fn number(&self, id: SubjectId) -> String {
        self.0.get(&id).cloned().unwrap_or_else(|| id.to_string())
    }

    /// A tank or a motor; the craft's own is `craft`.
    fn own(&self, id: Option<SubjectId>) -> String {
        id.map_or_else(|| "craft".to_owned(), |id| self.number(id))
    }

    fn item(&self, item: &LineId, bag: Option<SubjectId>) -> String {
        match bag {
            Some(bag) => format!("count.{item}@{}", self.number(bag)),
            None => format!("count.{item}"),
        }
    }

    /// The name of a field of a check under way.
    fn field(&self, field: &FieldRef) -> String {
        match field {
            FieldRef::Observed => "observed".to_owned(),
            FieldRef::Air => "air".to_owned(),
            FieldRef::Reading(part, ReadingMoment::AsFound) => format!("reading.{part}.found"),
            FieldRef::Reading(part, ReadingMoment::AsLeft) => format!("reading.{part}.left"),
            FieldRef::Count(item, bag) => format!("{}.count", self.item(item, *bag)),
            FieldRef::Dates(item, bag) => format!("{}.dates", self.item(item, *bag)),
            FieldRef::SealDate(bag) => format!("seal.{}.earliest", self.number(*bag)),
            FieldRef::Fuel(tank) => format!("fuel.{}.amount", self.own(*tank)),
            FieldRef::Filled(tank) => format!("fuel.{}.filled", self.own(*tank)),
            FieldRef::Meter(motor) => format!("meter.{}", self.own(*motor)),
            FieldRef::Cylinder(cylinder) => format!("cylinder.{}", self.number(*cylinder)),
        }
    }

    /// The field by which somebody stands by another: one for a gauge and one for a count, as they
    /// have it; else one of its own.
    fn affirmed_by(&self, field: &FieldRef) -> String {
        match field {
            FieldRef::Reading(part, _) => format!("reading.{part}.affirmed"),
            FieldRef::Count(item, bag) | FieldRef::Dates(item, bag) => {
                format!("{}.affirmed", self.item(item, *bag))
            }
            FieldRef::Observed
            | FieldRef::Air
            | FieldRef::SealDate(_)
            | FieldRef::Fuel(_)
            | FieldRef::Filled(_)
            | FieldRef::Meter(_)
            | FieldRef::Cylinder(_) => format!("affirmed.{}", self.field(field)),
        }
    }
}

/// What is on a craft, as messages.
pub(super) fn on_craft_reply(aboard: &Aboard) -> wire::OnCraftReply {
    let id = |id: SubjectId| Bytes::copy_from_slice(id.as_bytes());
    let bags = aboard.bags.iter().map(|bag| wire::BagOnCraft {
        id: id(bag.id),
        number: bag.number.clone(),
        items: bag.items.iter().map(|item| item.0.clone()).collect(),
    });
    let gear = aboard.gear.iter().map(|gear| wire::GearOnCraft {
        id: id(gear.id),
        number: gear.number.clone(),
        gear: gear_word(gear.kind).to_owned(),
        part: gear
            .part
            .as_ref()
            .map_or_else(String::new, |part| part.0.clone()),
    });
    wire::OnCraftReply {
        bags: bags.collect(),
        gear: gear.collect(),
        on_craft: aboard.on_craft.iter().map(|item| item.0.clone()).collect(),
    }
}

/// What is on a craft, from messages; what this program does not know of is left out.
#[must_use]
pub fn aboard_of(reply: &wire::OnCraftReply) -> Aboard {
    let id = |bytes: &Bytes| Some(SubjectId::from_bytes(bytes.as_ref().try_into().ok()?));
    let items = |items: &[String]| items.iter().map(|item| LineId(item.clone())).collect();
    let bags = reply.bags.iter().filter_map(|bag| {
        Some(BagAboard {
            id: id(&bag.id)?,
            number: bag.number.clone(),
            items: items(&bag.items),
        })
    });
    let gear = reply.gear.iter().filter_map(|gear| {
        Some(GearAboard {
            id: id(&gear.id)?,
            number: gear.number.clone(),
            kind: kind_of(&gear.gear)?,
            part: (!gear.part.is_empty()).then(|| PartId(gear.part.clone())),
        })
    });
    Aboard {
        bags: bags.collect(),
        gear: gear.collect(),
        on_craft: items(&reply.on_craft),
    }
}

fn kind_of(word: &str) -> Option<GearKind> {
    let mut kinds = [
        GearKind::Motor,
        GearKind::FuelTank,
        GearKind::FuelLine,
        GearKind::Cylinder,
        GearKind::InflatableFloor,
        GearKind::Pump,
        GearKind::Gauge,
        GearKind::Radio,
        GearKind::Trailer,
        GearKind::Battery,
        GearKind::BreathingSet,
    ]
    .into_iter();
    kinds.find(|kind| gear_word(*kind) == word)
}
