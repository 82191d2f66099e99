//! The craft that a page of work is about: what is known of it, and the answer about it alone.

use std::sync::Arc;

use axum::http::StatusCode;
use axum::response::Response;
use data_encoding::HEXLOWER_PERMISSIVE;
use sponson_link::local::pages::Told;
use sponson_proto::answer::v1::Question;
use sponson_proto::event::v1::SubjectType;
use sponson_proto::service::v1::{CatalogueEntry, CatalogueFault};
use sponson_readiness::answer::CraftAnswer;
use sponson_readiness::moment::Moment;
use sponson_show::clean;
use sponson_show::html::station::work::{OfCraft, OpenFault};
use sponson_show::units::print;

use super::filled_in::not_shown;
use crate::catalogue::{Adopted, Catalogue, hex, short_fault};
use crate::error::CommandError;
use crate::filled::Pair;
use crate::pages::state::Pages;
use crate::web::visit::Visit;

/// A craft, and what is known of it.
pub(super) struct OnCraft {
    /// Everything that has a name.
    pub(super) known: Arc<Catalogue>,
    /// The craft.
    pub(super) entry: CatalogueEntry,
    /// Its id, as addresses hold it.
    pub(super) id: String,
    /// Its boat standard in force.
    pub(super) adopted: Adopted,
    /// The answer about it alone.
    pub(super) told: Arc<Told>,
}

impl OnCraft {
    /// The craft of an address.
    ///
    /// # Errors
    /// The page that says why not.
    pub(super) async fn of(pages: &Pages, visit: &Visit, name: &str) -> Result<Self, Response> {
        let known = pages
            .known()
            .await
            .map_err(|why| not_shown(pages, visit, why))?;
        let id = HEXLOWER_PERMISSIVE
            .decode(name.as_bytes())
            .unwrap_or_default();
        let entry = known
            .by_id(&id)
            .filter(|entry| entry.r#type() == SubjectType::Craft);
        let Some(entry) = entry.cloned() else {
            let said = format!("No craft {} is known here.", clean(name));
            return Err(pages.say(visit, StatusCode::NOT_FOUND, "No such craft", &[&said]));
        };
        let adopted = known
            .standard(&entry)
            .map_err(|error| not_shown(pages, visit, CommandError::from(error)))?;
        let question = Question {
            craft: known.asked(&entry),
            ..Question::default()
        };
        let told = pages.door.ask(&question).await;
        let told = told.map_err(|refusal| not_shown(pages, visit, refusal))?;
        Ok(Self {
            id: hex(&entry.id),
            known,
            entry,
            adopted,
            told,
        })
    }

    /// The same, for markup.
    pub(super) fn craft(&self) -> OfCraft<'_> {
        OfCraft {
            id: &self.id,
            number: &self.entry.number,
        }
    }

    /// The answer about it; none when its answer could not be given.
    pub(super) fn answer(&self) -> Option<&CraftAnswer> {
        self.told.answer.craft.first()
    }

    /// The moment that was judged.
    pub(super) fn as_of(&self) -> Moment {
        self.told.answer.asked.as_of
    }

    /// The fields of a form with the craft, by its id: two may carry one number.
    pub(super) fn with(&self, form: &[Pair]) -> Vec<Pair> {
        let craft = ("craft".to_owned(), format!("#{}", self.id));
        let rest = form.iter().filter(|(name, _)| name != "craft");
        std::iter::once(craft).chain(rest.cloned()).collect()
    }

    /// Numbers of the numbered gear on it.
    pub(super) fn gear(&self) -> Vec<String> {
        let is_here = |entry: &&CatalogueEntry| {
            entry.r#type() == SubjectType::Gear && entry.craft == self.entry.id
        };
        numbers(self.known.entries().iter().filter(is_here))
    }

    /// Faults that are open on it.
    pub(super) fn open_faults(&self) -> Vec<OpenFault> {
        let faults = self.known.faults(&self.entry).into_iter();
        faults.map(|fault| self.open_fault(fault)).collect()
    }

    fn open_fault(&self, fault: &CatalogueFault) -> OpenFault {
        let offset = self.told.ctx.utc_offset_min;
        OpenFault {
            name: short_fault(fault),
            what: what_is_open(fault),
            severity: fault.severity.clone(),
            found: print::local(Moment(fault.found_unix_ms), offset),
        }
    }
}

/// What an open fault is, and where.
pub(super) fn what_is_open(fault: &CatalogueFault) -> String {
    let what = if fault.class.is_empty() {
        &fault.line
    } else {
        &fault.class
    };
    let at = [&fault.part, &fault.place]
        .into_iter()
        .filter(|it| !it.is_empty());
    let at: Vec<String> = at.map(|it| clean(it)).collect();
    if at.is_empty() {
        return clean(what);
    }
    format!("{} at {}", clean(what), at.join(", "))
}

/// Numbers of things, each once.
pub(super) fn numbers<'a>(all: impl Iterator<Item = &'a CatalogueEntry>) -> Vec<String> {
    let mut listed: Vec<&CatalogueEntry> = all.collect();
    // A thing is listed under each of its numbers.
    listed.dedup_by(|one, other| one.id == other.id);
    listed.iter().map(|entry| entry.number.clone()).collect()
}
