//! A boat check as written down, against its craft and standard: the event to record, or the place
//! that is wrong.

use bytes::Bytes;
use sponson_proto::event::v1::{
    Answer, AnswerValue, Check, CheckExtent, CylinderReading, FoundAboard, FuelAboard, ItemCount,
    MeterReading, NotApplicableReason, Observed, Stowage, SubjectType,
};
use sponson_proto::service::v1::{AppendSubject, AppendText, CatalogueEntry};
use sponson_readiness::moment::Moment;
use sponson_readiness::standard::Standard;
use sponson_show::{clean, dates, units};

use super::faults::{fault_found, known_line};
use super::lots::{Read, lots};
use super::{AnswerWord, CheckFile, CheckFileError, CountLine, Extent, StowageWord};
use crate::catalogue::{Adopted, Catalogue, subject};
use crate::times;

mod fuel;
mod readings;
mod seals;

use fuel::fuel_aboard;
pub(crate) use readings::STAND_BY_READING;

/// A check that can be recorded.
#[derive(Clone, Debug, PartialEq)]
pub struct BuiltCheck {
    /// The message.
    pub check: Check,
    /// The craft first, then gear and bags that it touches.
    pub subjects: Vec<AppendSubject>,
    /// When, if it was not just now.
    pub observed: Option<Observed>,
    /// Notes.
    pub texts: Vec<AppendText>,
    /// Lines of a full check that the standard asks and that were left out.
    pub left_out: Vec<String>,
}

/// Fits a check to the craft that it names, and to that craft's standard. `now` is the moment of
/// the check unless the file names another.
///
/// # Errors
/// Names the place that is wrong, its value and what to do.
pub fn build(
    file: &CheckFile,
    catalogue: &Catalogue,
    now: Moment,
) -> Result<BuiltCheck, CheckFileError> {
    let named = |error: crate::catalogue::LookupError| CheckFileError::Name {
        place: "craft".to_owned(),
        what: error.to_string(),
    };
    let craft = catalogue.craft(&file.craft).map_err(named)?;
    let adopted = catalogue.standard(craft).map_err(named)?;
    Builder {
        file,
        catalogue,
        adopted: &adopted,
        now,
        touched: vec![subject(craft)],
    }
    .build(craft)
}

struct Builder<'a> {
    file: &'a CheckFile,
    catalogue: &'a Catalogue,
    adopted: &'a Adopted,
    now: Moment,
    touched: Vec<AppendSubject>,
}

impl Builder<'_> {
    fn build(mut self, craft: &CatalogueEntry) -> Result<BuiltCheck, CheckFileError> {
        let check = Check {
            extent: match self.file.extent {
                Extent::Full => CheckExtent::Full,
                Extent::Short => CheckExtent::Short,
                Extent::Part => CheckExtent::Part,
            } as i32,
            standard: self.adopted.event.clone(),
            readings: self.readings()?,
            counts: self.counts()?,
            answers: self.answers()?,
            meters: self.meters(craft)?,
            found: self.found()?,
            seals: self.seals()?,
            fuel: self.fuel(craft)?,
            faults: self.faults()?,
            stowage: match self.file.stowage {
                None => Stowage::Unspecified,
                Some(StowageWord::Rigged) => Stowage::Rigged,
                Some(StowageWord::Inflated) => Stowage::Inflated,
                Some(StowageWord::Rolled) => Stowage::Rolled,
            } as i32,
            cylinders: self.cylinders()?,
            checked_by: self.checked_by()?,
        };
        let left_out = match self.file.extent {
            Extent::Full => left_out(&self.adopted.standard, &check),
            Extent::Short | Extent::Part => Vec::new(),
        };
        Ok(BuiltCheck {
            texts: self.texts()?,
            observed: self.observed()?,
            check,
            subjects: self.touched,
            left_out,
        })
    }

    fn standard(&self) -> &Standard {
        &self.adopted.standard
    }

    /// Finds gear or a bag, and makes it a subject of the check.
    fn touch(
        &mut self,
        at: &str,
        kinds: &[SubjectType],
        number: &str,
    ) -> Result<Bytes, CheckFileError> {
        let entry = self
            .catalogue
            .find(kinds, number)
            .map_err(|error| CheckFileError::Name {
                place: at.to_owned(),
                what: error.to_string(),
            })?;
        let subject = subject(entry);
        if !self.touched.contains(&subject) {
            self.touched.push(subject);
        }
        Ok(entry.id.clone())
    }

    fn counts(&mut self) -> Result<Vec<ItemCount>, CheckFileError> {
        let file = self.file;
        let offset_min = self.catalogue.policy().utc_offset_min;
        let seen = self.moment()?.unwrap_or(self.now);
        let on = sponson_readiness::dates::day(seen, offset_min);
        let mut counts = Vec::new();
        for (name, line) in &file.counts {
            let at = format!("counts.{}", clean(name));
            let ids = self
                .adopted
                .standard
                .items
                .iter()
                .map(|item| item.id.as_str());
            let (item, in_bag) = item_and_bag(name, line);
            let item = known_line(&at, "item", item, ids, self.standard())?;
            let bag = match in_bag {
                None => Bytes::new(),
                Some(number) => self.touch(&format!("{at}.bag"), &[SubjectType::Bag], number)?,
            };
            let mut items = self.standard().items.iter();
            let dated = items
                .find(|known| known.id.as_str() == item)
                .and_then(|known| known.dated);
            let life_months = dated.and_then(|dated| dated.life_months);
            counts.push(ItemCount {
                item,
                count: line.count,
                unserviceable: line.unserviceable,
                lots: lots(&at, line, Read { life_months, on })?,
                bag,
            });
        }
        Ok(counts)
    }

    fn answers(&self) -> Result<Vec<Answer>, CheckFileError> {
        let ids = self
            .standard()
            .questions
            .iter()
            .map(|line| line.id.as_str());
        let answer = |(name, word): (&String, &AnswerWord)| {
            let at = format!("answers.{}", clean(name));
            let (value, why) = answer_value(*word);
            Ok(Answer {
                line: known_line(&at, "question", name, ids.clone(), self.standard())?,
                value: value as i32,
                not_applicable: why as i32,
            })
        };
        self.file.answers.iter().map(answer).collect()
    }

    fn meters(&mut self, craft: &CatalogueEntry) -> Result<Vec<MeterReading>, CheckFileError> {
        let file = self.file;
        let mut meters = Vec::new();
        for (number, text) in &file.meters {
            let at = format!("meters.{}", clean(number));
            let own = number == "craft" || *number == craft.number;
            let subject = if own {
                Bytes::new()
            } else {
                self.touch(&at, &[SubjectType::Gear], number)?
            };
            meters.push(MeterReading {
                subject,
                engine_s: u64::from(times::of_meter(&at, text).map_err(quantity)?),
            });
        }
        Ok(meters)
    }

    fn cylinders(&mut self) -> Result<Vec<CylinderReading>, CheckFileError> {
        let file = self.file;
        let shown = self.catalogue.policy().units;
        let air = file.air.as_deref();
        let air = air.map(|text| units::temperature("air", text, Some(shown.temperature)));
        let temperature_mc = air.transpose().map_err(quantity)?;
        let mut cylinders = Vec::new();
        for (number, text) in &file.cylinders {
            let at = format!("cylinders.{}", clean(number));
            let subject = self.touch(&at, &[SubjectType::Gear], number)?;
            let gauge_kpa = cylinder_kpa(&at, text).map_err(quantity)?;
            cylinders.push(CylinderReading {
                subject,
                gauge_kpa: gauge_kpa.ok_or_else(|| CheckFileError::Value {
                    place: at,
                    value: clean(text),
                    limit: "a cylinder's gauge is not below 0".to_owned(),
                })?,
                temperature_mc,
            });
        }
        Ok(cylinders)
    }

    fn fuel(&mut self, craft: &CatalogueEntry) -> Result<Vec<FuelAboard>, CheckFileError> {
        let file = self.file;
        let mut fuel = Vec::new();
        for (number, line) in &file.fuel {
            let at = format!("fuel.{}", clean(number));
            let own = number == "craft" || *number == craft.number;
            let tank = if own {
                Bytes::new()
            } else {
                self.touch(&at, &[SubjectType::Gear], number)?
            };
            fuel.push(fuel_aboard(&at, line, tank)?);
        }
        Ok(fuel)
    }

    fn found(&mut self) -> Result<Vec<FoundAboard>, CheckFileError> {
        let file = self.file;
        let kinds = [SubjectType::Gear, SubjectType::Bag];
        file.aboard
            .iter()
            .map(|number| {
                let subject = self.touch("aboard", &kinds, number)?;
                self.touch_left(&subject);
                Ok(FoundAboard { subject })
            })
            .collect()
    }

    /// The craft that a bag has left: what is in it has left with it.
    fn touch_left(&mut self, thing: &[u8]) {
        let entries = self.catalogue.entries().iter();
        let mut bags = entries.filter(|entry| entry.r#type() == SubjectType::Bag);
        let bag = bags.find(|entry| entry.id == thing);
        if let Some(left) = bag.and_then(|bag| self.catalogue.by_id(&bag.craft)) {
            let left = subject(left);
            if !self.touched.contains(&left) {
                self.touched.push(left);
            }
        }
    }

    fn faults(&mut self) -> Result<Vec<sponson_proto::event::v1::FaultFound>, CheckFileError> {
        let file = self.file;
        let mut faults = Vec::new();
        for (position, line) in file.faults.iter().enumerate() {
            let at = format!("faults {}", position + 1);
            if let Some(number) = &line.gear {
                self.touch(&format!("{at}.gear"), &[SubjectType::Gear], number)?;
            }
            faults.push(fault_found(&at, line, self.standard(), self.catalogue)?);
        }
        Ok(faults)
    }

    fn texts(&self) -> Result<Vec<AppendText>, CheckFileError> {
        let mut texts = Vec::new();
        for (name, text) in &self.file.notes {
            texts.push(AppendText {
                belongs_to: self.note_place(name)?,
                text: text.clone(),
            });
        }
        for (position, line) in self.file.faults.iter().enumerate() {
            if let Some(note) = &line.note {
                texts.push(AppendText {
                    belongs_to: format!("fault:{position}"),
                    text: note.clone(),
                });
            }
        }
        Ok(texts)
    }

    fn note_place(&self, name: &str) -> Result<String, CheckFileError> {
        if name == "check" {
            return Ok(String::new());
        }
        let standard = self.standard();
        if standard.parts.iter().any(|part| part.id.as_str() == name) {
            return Ok(format!("reading:{name}"));
        }
        let questions = standard.questions.iter().map(|line| line.id.as_str());
        let items = standard.items.iter().map(|item| item.id.as_str());
        let at = format!("notes.{}", clean(name));
        let line = known_line(&at, "line", name, questions.chain(items), standard)?;
        Ok(format!("answer:{line}"))
    }

    /// When it was, if it was not just now.
    fn moment(&self) -> Result<Option<Moment>, CheckFileError> {
        let offset = self.catalogue.policy().utc_offset_min;
        let observed = self.file.observed.as_deref();
        observed
            .map(|text| dates::moment("observed", text, offset))
            .transpose()
            .map_err(|error| CheckFileError::Quantity(error.to_string()))
    }

    fn observed(&self) -> Result<Option<Observed>, CheckFileError> {
        let moment = self.moment()?;
        Ok(moment.map(|moment| Observed {
            from_unix_ms: moment.0,
            to_unix_ms: moment.0,
        }))
    }
}

/// The item and the bag of a count: `flare@B7`, or the bag in a line of its own.
fn item_and_bag<'a>(name: &'a str, line: &'a CountLine) -> (&'a str, Option<&'a str>) {
    match name.split_once('@') {
        Some((item, bag)) => (item, Some(bag)),
        None => (name, line.bag.as_deref()),
    }
}

const fn answer_value(word: AnswerWord) -> (AnswerValue, NotApplicableReason) {
    match word {
        AnswerWord::Yes => (AnswerValue::Yes, NotApplicableReason::Unspecified),
        AnswerWord::No => (AnswerValue::No, NotApplicableReason::Unspecified),
        AnswerWord::NotFitted => (AnswerValue::NotApplicable, NotApplicableReason::NotFitted),
        AnswerWord::CouldNotLook => (
            AnswerValue::NotApplicable,
            NotApplicableReason::CouldNotLook,
        ),
        AnswerWord::NotUsedHere => (AnswerValue::NotApplicable, NotApplicableReason::NotUsedHere),
    }
}

/// A cylinder's gauge in whole kilopascal; none when it is below 0.
pub(crate) fn cylinder_kpa(field: &str, text: &str) -> Result<Option<u32>, units::UnitError> {
    let gauge_pa = units::gauge(field, text, None)?.0;
    Ok(u32::try_from(gauge_pa).ok().map(|pa| (pa + 500) / 1000))
}

fn quantity(error: units::UnitError) -> CheckFileError {
    CheckFileError::Quantity(error.to_string())
}

/// Lines that a full check owes and that are not in it.
fn left_out(standard: &Standard, check: &Check) -> Vec<String> {
    let parts = standard.parts.iter().filter(|part| part.pressure.is_some());
    let parts = parts.map(|part| part.id.as_str());
    let parts = parts.filter(|id| !check.readings.iter().any(|reading| reading.part == *id));
    let items = standard.items.iter().map(|item| item.id.as_str());
    let items = items.filter(|id| !check.counts.iter().any(|count| count.item == *id));
    let lines = standard.questions.iter().map(|line| line.id.as_str());
    let lines = lines.filter(|id| !check.answers.iter().any(|answer| answer.line == *id));
    parts.chain(items).chain(lines).map(str::to_owned).collect()
}

#[cfg(test)]
mod tests;
