//! What is asked back while a check is entered, as a sentence for whoever stands at the craft.
//!
//! It says what was entered, what it is held against, and asks. It refuses nothing.

use sponson_readiness::asked_back::{AskedBack, AskedWhy, FieldRef};
use sponson_readiness::event::ReadingMoment;
use sponson_readiness::ids::{LineId, PartId};
use sponson_readiness::moment::Moment;
use sponson_readiness::standard::Standard;

use crate::clean::clean;
use crate::context::Context;
use crate::units::print;

/// What is asked back, as one sentence; `now` is the moment at which it is read.
#[must_use]
pub fn asked_back_text(
    asked: &AskedBack,
    standard: &Standard,
    now: Moment,
    ctx: &Context,
) -> String {
    let of = of_field(&asked.field, standard);
    let said = Said { standard, now, ctx };
    let why = said.why(&asked.why);
    match of.as_str() {
        "" => why,
        of => format!("{of}: {why}"),
    }
}

/// What the field is about; empty where the sentence says it.
fn of_field(field: &FieldRef, standard: &Standard) -> String {
    match field {
        FieldRef::Observed | FieldRef::Air => String::new(),
        FieldRef::Reading(part, ReadingMoment::AsFound) => {
            format!("{}, as found", part_label(standard, part))
        }
        FieldRef::Reading(part, ReadingMoment::AsLeft) => {
            format!("{}, as left", part_label(standard, part))
        }
        FieldRef::Count(item, _) | FieldRef::Dates(item, _) => item_label(standard, item),
        FieldRef::SealDate(_) => "earliest date on the tag".to_owned(),
        FieldRef::Fuel(_) => "fuel".to_owned(),
        FieldRef::Filled(_) => "fuel filled".to_owned(),
        FieldRef::Meter(_) => "engine meter".to_owned(),
        FieldRef::Cylinder(_) => "cylinder".to_owned(),
    }
}

fn part_label(standard: &Standard, id: &PartId) -> String {
    let part = standard.parts.iter().find(|part| part.id == *id);
    clean(part.map_or(id.as_str(), |part| &part.label))
}

fn item_label(standard: &Standard, id: &LineId) -> String {
    let item = standard.items.iter().find(|item| item.id == *id);
    clean(item.map_or(id.as_str(), |item| &item.label))
}

/// What a sentence is said with.
struct Said<'a> {
    standard: &'a Standard,
    now: Moment,
    ctx: &'a Context,
}

impl Said<'_> {
    fn why(&self, why: &AskedWhy) -> String {
        match why {
            AskedWhy::OtherPart {
                gauge_pa,
                least_pa,
                most_pa,
                fits,
            } => format!(
                "{}: is it that of {}?",
                self.outside(*gauge_pa, *least_pa, *most_pa),
                part_label(self.standard, fits)
            ),
            AskedWhy::NoPart {
                gauge_pa,
                least_pa,
                most_pa,
            } => format!(
                "{}: is the unit right?",
                self.outside(*gauge_pa, *least_pa, *most_pa)
            ),
            AskedWhy::FarFromLast {
                gauge_pa,
                last_pa,
                limit_pa: _,
                last_at,
            } => format!(
                "{}, and by the last reading, {}, it would be {} in this air: is it right?",
                self.pressure(*gauge_pa),
                self.ctx.local_and_age(*last_at, self.now),
                self.pressure(*last_pa)
            ),
            AskedWhy::LeftBelowFound { found_pa, left_pa } => format!(
                "{} is less than {} as found, though air was added: is it right?",
                self.pressure(*left_pa),
                self.pressure(*found_pa)
            ),
            AskedWhy::BeforeLast { date, last } => format!(
                "{} is before {}, which was noted last: is it right?",
                print::date_mark(*date),
                print::date_mark(*last)
            ),
            AskedWhy::Over { date } => format!("{} is over: is it right?", print::date_mark(*date)),
            AskedWhy::BeyondLife { date, life_months } => format!(
                "{} is further away than {life_months} months, which is as long as it is good: is \
                 it right?",
                print::date_mark(*date)
            ),
            AskedWhy::NotYet { date } => {
                format!("{} has not come: is it right?", print::date_mark(*date))
            }
            AskedWhy::MoreThanEver {
                count,
                last,
                wanted,
            } => more_than_ever(*count, *last, *wanted),
            AskedWhy::MeterBack { engine_s, last_s } => format!(
                "{} is less than the {} that it showed before: is it this motor's?",
                print::engine(*engine_s),
                print::engine(*last_s)
            ),
            AskedWhy::MeterFast {
                engine_s,
                last_s,
                passed_s: _,
            } => format!(
                "{} is more than can have run since it showed {}: is it right?",
                print::engine(*engine_s),
                print::engine(*last_s)
            ),
            AskedWhy::AboveTank { amount_ml, most_ml } => format!(
                "{}, where a tank holds {}: is it right?",
                self.volume(*amount_ml),
                self.volume(*most_ml)
            ),
            AskedWhy::AboveService {
                gauge_kpa,
                service_kpa,
            } => format!(
                "{} is above its service pressure of {}: is it right?",
                self.pressure(i64::from(*gauge_kpa) * 1_000),
                self.pressure(i64::from(*service_kpa) * 1_000)
            ),
            AskedWhy::InTheFuture { observed, now } => format!(
                "checked at {}, and it is {} now: is the time right?",
                self.ctx.local(*observed),
                self.ctx.local(*now)
            ),
            AskedWhy::HardlyAnyAir { air_mc, .. } => format!(
                "air of {}: is it right, and in the right unit?",
                print::temperature(*air_mc, self.ctx.units)
            ),
        }
    }

    fn outside(&self, gauge_pa: i64, least_pa: i64, most_pa: i64) -> String {
        format!(
            "{}, and a gauge there shows {} to {}",
            self.pressure(gauge_pa),
            print::pressure_number(least_pa, self.ctx.units),
            self.pressure(most_pa)
        )
    }

    fn pressure(&self, pa: i64) -> String {
        print::pressure(pa, self.ctx.units)
    }

    fn volume(&self, ml: u32) -> String {
        print::volume(u64::from(ml), self.ctx.units)
    }
}

fn more_than_ever(count: u32, last: Option<u32>, wanted: u32) -> String {
    let counted = last.map_or_else(String::new, |last| format!("{last} were counted last and "));
    format!("{count}, where {counted}{wanted} are wanted: is it right?")
}

#[cfg(test)]
mod tests;
