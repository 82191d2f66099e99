//! Something is somewhere else now: `/move`.

use std::sync::Arc;

use axum::extract::{Extension, Form, RawQuery, State};
use axum::response::Response;
use sponson_proto::event::v1::SubjectType;
use sponson_proto::service::v1::CatalogueEntry;
use sponson_show::html::Fault;
use sponson_show::html::station::work::{GoesAlong, MoveFacts, Thing, move_body};

use super::filled_in::{Failed, Filled, OF_THE_PAGE, not_shown, on_to, press};
use super::on_craft::{numbers, what_is_open};
use crate::catalogue::{Catalogue, hex, type_word};
use crate::commands::r#move::{self as moved, MoveArgs};
use crate::error::CommandError;
use crate::filled::{self, Pair};
use crate::pages::record::recorder;
use crate::pages::state::{NotShown, Pages};
use crate::web::visit::Visit;

/// Things that are moved.
const THINGS: [SubjectType; 3] = [SubjectType::Craft, SubjectType::Gear, SubjectType::Bag];
/// Where they can be.
const PLACES: [SubjectType; 3] = [SubjectType::Station, SubjectType::Craft, SubjectType::Shelf];
/// The spare bag of a swap.
const SPARE: &str = "spare";
/// What goes along was shown.
const SEEN: &str = "seen";

/// Entries of a craft's log that are counted before it is handed on.
const LINES: usize = 500;

/// Shows the forms; `thing` and `to` in the address choose.
pub(super) async fn show(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    RawQuery(query): RawQuery,
) -> Response {
    let filled = Filled::asked(&pages, query.as_deref()).await;
    page(&pages, &visit, filled, None).await
}

/// Records the move; of a craft that goes to another station it first shows what goes along.
pub(super) async fn keep(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Form(form): Form<Vec<Pair>>,
) -> Response {
    let member = match recorder(&pages, &visit, &form) {
        Ok(member) => member,
        Err(response) => return *response,
    };
    let known = match pages.known().await {
        Ok(known) => known,
        Err(why) => return not_shown(&pages, &visit, why),
    };
    let given = match as_typed(&form, &known) {
        Ok(given) => given,
        Err(fault) => {
            let filled = Filled::refused(form, Failed::Fields(vec![fault]));
            return page(&pages, &visit, filled, None).await;
        }
    };
    let own = [&OF_THE_PAGE[..], &[SPARE, SEEN]].concat();
    let args: MoveArgs = match filled::read(&given, &own) {
        Ok(args) => args,
        Err(faults) => {
            let filled = Filled::refused(form, Failed::Fields(faults));
            return page(&pages, &visit, filled, None).await;
        }
    };
    if filled::value(&form, SEEN).is_empty()
        && let Some(craft) = handed_on(&given, &known)
    {
        return match along(&pages, &known, craft).await {
            Ok(along) => page(&pages, &visit, Filled::asked_back(form), Some(&along)).await,
            Err(why) => not_shown(&pages, &visit, why),
        };
    }
    let done = press(&pages, &member, &form, async |session| {
        moved::run(&args, session).await.map(|_| ())
    });
    match done.await {
        Ok(name) => on_to("/move", &name),
        Err(failed) => page(&pages, &visit, Filled::refused(form, failed), None).await,
    }
}

/// The fields as the command has them: a swap is a move of the spare bag to the other one's craft.
fn as_typed(form: &[Pair], known: &Catalogue) -> Result<Vec<Pair>, Fault> {
    let spare = filled::value(form, SPARE);
    let taken_off = filled::value(form, "for");
    if spare.is_empty() && taken_off.is_empty() {
        return Ok(form.to_vec());
    }
    let refused = |field: &str, text: String| Fault {
        field: field.to_owned(),
        text,
    };
    if spare.is_empty() {
        let text = "choose the spare bag that takes its place".to_owned();
        return Err(refused(SPARE, text));
    }
    if taken_off.is_empty() {
        return Err(refused(
            "for",
            "choose the bag that is taken off".to_owned(),
        ));
    }
    let bag = known.find(&[SubjectType::Bag], taken_off);
    let bag = bag.map_err(|error| refused("for", CommandError::from(error).to_string()))?;
    if bag.craft.is_empty() {
        return Err(refused(
            "for",
            format!("{taken_off} is on no craft: choose one that is"),
        ));
    }
    let others = form
        .iter()
        .filter(|(name, _)| !["thing", "to", "part"].contains(&name.as_str()));
    let mut given: Vec<Pair> = others.cloned().collect();
    given.push(("thing".to_owned(), spare.to_owned()));
    given.push(("to".to_owned(), format!("#{}", hex(&bag.craft))));
    Ok(given)
}

/// The craft that goes to another station; none when it is another move.
fn handed_on<'a>(given: &[Pair], known: &'a Catalogue) -> Option<&'a CatalogueEntry> {
    let craft = known.find(&THINGS, filled::value(given, "thing")).ok()?;
    let to = known.find(&PLACES, filled::value(given, "to")).ok()?;
    let goes = craft.r#type() == SubjectType::Craft
        && to.r#type() == SubjectType::Station
        && craft.station != to.id;
    goes.then_some(craft)
}

/// What goes with a craft.
async fn along(
    pages: &Pages,
    known: &Catalogue,
    craft: &CatalogueEntry,
) -> Result<GoesAlong, NotShown> {
    let log = pages.door.log_of(&craft.id, LINES).await?;
    let count = i64::try_from(log.lines.len()).unwrap_or(i64::MAX);
    let counted = format!(
        "{count} {}",
        if count == 1 {
            "entry of its log"
        } else {
            "entries of its log"
        }
    );
    let is_aboard = |entry: &&CatalogueEntry| {
        entry.craft == craft.id && [SubjectType::Gear, SubjectType::Bag].contains(&entry.r#type())
    };
    Ok(GoesAlong {
        number: craft.number.clone(),
        entries: if log.next_page_token.is_empty() {
            counted
        } else {
            format!("more than {counted}")
        },
        faults: known.faults(craft).into_iter().map(what_is_open).collect(),
        aboard: numbers(known.entries().iter().filter(is_aboard)),
    })
}

async fn page(pages: &Pages, visit: &Visit, filled: Filled, along: Option<&GoesAlong>) -> Response {
    let known = match pages.known().await {
        Ok(known) => known,
        Err(why) => return not_shown(pages, visit, why),
    };
    let own = match pages.door.about().await {
        Ok(about) => about.station,
        Err(refusal) => return not_shown(pages, visit, refusal),
    };
    let of = |kinds: &[SubjectType]| things(&known, kinds, &own);
    let bags: Vec<(bool, Thing)> = of(&[SubjectType::Bag]);
    let part = |on_craft: bool| -> Vec<Thing> {
        let bags = bags.iter().filter(|(is_on, _)| *is_on == on_craft);
        bags.map(|(_, thing)| thing.clone()).collect()
    };
    let alone =
        |all: Vec<(bool, Thing)>| -> Vec<Thing> { all.into_iter().map(|it| it.1).collect() };
    let (on_craft, spares) = (part(true), part(false));
    let (all, places) = (alone(of(&THINGS)), alone(of(&PLACES)));
    let filled = filled.with_numbers(&["thing", "to"], &known);
    filled
        .page((pages, visit), ("/move", "Moves"), |page| {
            let facts = MoveFacts {
                things: &all,
                places: &places,
                bags: &on_craft,
                spares: &spares,
                along,
            };
            move_body(&facts, page)
        })
        .await
}

/// Things with a number, those of one station first; whether each is on a craft.
pub(super) fn things(known: &Catalogue, kinds: &[SubjectType], own: &[u8]) -> Vec<(bool, Thing)> {
    let mut entries: Vec<&CatalogueEntry> = known
        .entries()
        .iter()
        .filter(|entry| kinds.contains(&entry.r#type()))
        .collect();
    // A thing is listed under each of its numbers.
    entries.dedup_by(|one, other| one.id == other.id);
    entries.sort_by_key(|entry| {
        (
            entry.station != own && entry.id != own,
            entry.number.clone(),
        )
    });
    let named = entries.iter().map(|entry| {
        let at = match (known.by_id(&entry.craft), known.by_id(&entry.station)) {
            (Some(craft), _) => format!(", on {}", craft.number),
            (None, Some(station)) if station.id != entry.id => format!(", at {}", station.number),
            (None, Some(_) | None) => String::new(),
        };
        let sort = match (entry.r#type(), entry.gear.as_str()) {
            (SubjectType::Gear, gear) if !gear.is_empty() => gear,
            (kind, _) => type_word(kind),
        };
        let thing = Thing {
            name: name_of(known, entry),
            words: format!("{} ({sort}{at})", entry.number),
        };
        (!entry.craft.is_empty(), thing)
    });
    named.collect()
}

/// How a form names a thing: by its number, or by its id where another carries the same.
pub(super) fn name_of(known: &Catalogue, entry: &CatalogueEntry) -> String {
    let same = known
        .entries()
        .iter()
        .any(|other| other.number == entry.number && other.id != entry.id);
    if same {
        format!("#{}", hex(&entry.id))
    } else {
        entry.number.clone()
    }
}
