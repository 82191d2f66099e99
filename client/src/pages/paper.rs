//! Paper: the sheet of a craft to print, its label, where the label leads, and the filled sheet as it
//! is entered.
//!
//! What is entered is a check under way that came from paper: kept as it is typed, recorded as the
//! round records, at the time and by the member that stand on the sheet.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::extract::{Extension, Form, Path, State};
use axum::http::header::{ACCEPT, CONTENT_TYPE, HeaderMap};
use axum::http::{StatusCode, Uri};
use axum::response::{Html, IntoResponse as _, Redirect, Response};
use axum::routing::get;
use sponson_proto::event::v1::SubjectType;
use sponson_proto::service::v1::{
    AppendRequest, BeginRequest, CatalogueEntry, CheckUnderWay, EndUnderWayRequest, EnterRequest,
    FieldTyped, RecordUnderWayRequest, TryCheckRequest, UnderWayKind, UnderWayRequest,
    UnderWayStage,
};
use sponson_readiness::event::Extent;
use sponson_readiness::moment::Moment;
use sponson_show::html::station::label::label_page;
use sponson_show::html::station::paper::{PAPER_SCRIPT, PaperAsked, PaperEntry, paper_page};
use sponson_show::html::station::sheet::{PAPER_STYLE, sheet_page};
use sponson_show::html::{Fault, FormValues};

use super::record::{Pair, recorder, value};
use super::routes::{Gate, Route, both, read};
use super::state::{NotShown, Pages};
use crate::catalogue::{Catalogue, LookupError, hex};
use crate::error::CommandError;
use crate::paper::{PaperCraft, label};
use crate::under_way::fields::FieldName;
use crate::under_way::finish::plan;
use crate::under_way::form::{fields_of, try_fields};
use crate::under_way::typed::yes;
use crate::web::files::File;
use crate::web::visit::Visit;

/// Routes of paper.
pub(super) fn routes() -> Vec<Route> {
    vec![
        read("/sheet/{id}", Gate::Reads, get(sheet)),
        read("/label/{id}", Gate::Reads, get(one_label)),
        read("/c/{number}", Gate::Reads, get(from_label)),
        both("/paper/{id}", Gate::Records, get(show).post(take)),
        read(&style().path, Gate::Open, get(serve_style)),
        read(&script().path, Gate::Open, get(serve_script)),
    ]
}

/// Style of sheets and labels.
fn style() -> File {
    File::style("paper", PAPER_STYLE)
}

/// Script of the page on which a sheet is entered.
fn script() -> File {
    File::script("paper", PAPER_SCRIPT)
}

/// Serves the style.
async fn serve_style(headers: HeaderMap) -> Response {
    style().serve(&headers)
}

/// Serves the script.
async fn serve_script(headers: HeaderMap) -> Response {
    script().serve(&headers)
}

/// A craft and what its paper is made from.
struct Asked {
    known: Arc<Catalogue>,
    craft: CatalogueEntry,
    paper: PaperCraft,
}

/// Finds a craft by its id or its number.
///
/// # Errors
/// When none is known here, its model has no standard, or the log is closed.
async fn asked(pages: &Pages, name: &str, extent: Extent) -> Result<Asked, NotShown> {
    let known = pages.known().await?;
    let craft = craft(&known, name).map_err(CommandError::from)?;
    let about = pages.door.about().await?;
    let aboard = pages.door.walk_of(&craft.id).await?.aboard;
    let paper =
        PaperCraft::of(&craft, (aboard, extent), (&known, &about)).map_err(CommandError::from)?;
    Ok(Asked {
        known,
        craft,
        paper,
    })
}

fn craft(known: &Catalogue, name: &str) -> Result<CatalogueEntry, LookupError> {
    let mut entries = known.entries().iter();
    let by_id =
        entries.find(|entry| entry.r#type() == SubjectType::Craft && hex(&entry.id) == name);
    by_id.map_or_else(|| known.craft(name).cloned(), |entry| Ok(entry.clone()))
}

/// The sheet to print.
async fn sheet(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Path(name): Path<String>,
    uri: Uri,
) -> Response {
    let extent = match uri.query() {
        Some("extent=short") => Extent::Short,
        _ => Extent::Full,
    };
    let asked = match asked(&pages, &name, extent).await {
        Ok(asked) => asked,
        Err(why) => return pages.not_shown(&visit, &why),
    };
    let entry = format!("{}{}", pages.front.at.url, asked.paper.entry_path());
    let printed = Moment(pages.door.now().unix_ms);
    let back = format!("/craft/{}", hex(&asked.craft.id));
    let facts = asked.paper.sheet(printed, Some(&entry));
    Html(sheet_page(&facts, &style().path, &back)).into_response()
}

/// The label of a craft.
async fn one_label(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Path(name): Path<String>,
) -> Response {
    let asked = match asked(&pages, &name, Extent::Full).await {
        Ok(asked) => asked,
        Err(why) => return pages.not_shown(&visit, &why),
    };
    let back = format!("/craft/{}", hex(&asked.craft.id));
    let label = label(&asked.craft, &asked.known, &pages.front.at.url);
    Html(label_page(&[label], &style().path, &back)).into_response()
}

/// Where a label leads: to the craft's check that is under way, else to the craft, where one begins.
async fn from_label(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Path(number): Path<String>,
) -> Response {
    match leads_to(&pages, &number).await {
        Ok(path) => Redirect::to(&path).into_response(),
        Err(why) => pages.not_shown(&visit, &why),
    }
}

async fn leads_to(pages: &Pages, number: &str) -> Result<String, NotShown> {
    let known = pages.known().await?;
    let craft = craft(&known, number).map_err(CommandError::from)?;
    let of_boat =
        |check: &CheckUnderWay| !check.from_paper && check.kind() != UnderWayKind::FittingOut;
    let open = open_check(pages, &craft, of_boat).await?;
    Ok(match open {
        Some(check) => format!("/check/{}", check.id),
        None => format!("/craft/{}", hex(&craft.id)),
    })
}

/// The open check of a craft that changed last.
async fn open_check(
    pages: &Pages,
    craft: &CatalogueEntry,
    is: impl Fn(&CheckUnderWay) -> bool,
) -> Result<Option<CheckUnderWay>, NotShown> {
    let all = pages.door.under_way(UnderWayRequest::default()).await?;
    let mut all = all.checks.into_iter();
    Ok(all.find(|check| {
        let is_open = matches!(
            check.stage(),
            UnderWayStage::Open | UnderWayStage::Recording
        );
        is_open && check.craft == craft.id && is(check)
    }))
}

/// Shows the page on which a filled sheet is entered.
async fn show(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Path(name): Path<String>,
) -> Response {
    let shown = async {
        let asked = asked(&pages, &name, Extent::Full).await?;
        let check = open_check(&pages, &asked.craft, |check| check.from_paper).await?;
        Ok::<_, NotShown>((asked, check))
    };
    match shown.await {
        Err(why) => pages.not_shown(&visit, &why),
        Ok((asked, check)) => {
            let back = match &check {
                None => Ok(BTreeMap::new()),
                Some(check) => asked_back(&pages, &asked, check).await,
            };
            let shown = back.map(|back| Shown {
                form: FormValues::of(entered(check.as_ref())),
                kept: check.is_some(),
                left_out: Vec::new(),
                asked: back,
            });
            match shown {
                Ok(shown) => page(&pages, &visit, &asked, &shown).await,
                Err(why) => pages.not_shown(&visit, &why),
            }
        }
    }
}

/// What a page shows beside the lines.
struct Shown {
    form: FormValues,
    kept: bool,
    left_out: Vec<String>,
    asked: BTreeMap<String, PaperAsked>,
}

/// What hardly makes sense in a check that can be read.
async fn asked_back(
    pages: &Pages,
    asked: &Asked,
    check: &CheckUnderWay,
) -> Result<BTreeMap<String, PaperAsked>, NotShown> {
    let now = Moment(pages.door.now().unix_ms);
    let Ok(planned) = plan(check, &check.begun_by, &asked.known, now) else {
        return Ok(BTreeMap::new());
    };
    let events = planned.events.into_iter().map(|event| AppendRequest {
        texts: Vec::new(),
        ..event
    });
    let affirmed = fields_of(check).into_iter().filter_map(|(name, value)| {
        let stood_by = name.is_affirmed() && yes(&value) == Some(true);
        stood_by.then(|| name.to_string())
    });
    let request = TryCheckRequest {
        craft: check.craft.clone(),
        events: events.collect(),
        question: None,
        affirmed: affirmed.collect(),
    };
    let tried = pages.door.try_check(request).await?;
    let lines = tried.asked.into_iter().map(|line| {
        let asked = PaperAsked {
            words: line.words,
            stand_by: line.affirmed_by,
        };
        (line.field, asked)
    });
    Ok(lines.collect())
}

/// The fields of a check as they stand, its extent among them.
fn entered(check: Option<&CheckUnderWay>) -> Vec<Pair> {
    let Some(check) = check else {
        return Vec::new();
    };
    let fields = check.fields.iter();
    let fields = fields.map(|field| (field.name.clone(), field.value.clone()));
    let extent = match check.kind() {
        UnderWayKind::Short => "short",
        UnderWayKind::Part => "part",
        UnderWayKind::Full | UnderWayKind::FittingOut | UnderWayKind::Unspecified => "full",
    };
    fields
        .chain([(EXTENT.to_owned(), extent.to_owned())])
        .collect()
}

/// Field of the form that says how much was checked.
const EXTENT: &str = "extent";

/// Fields of the form that are none of the check.
const NOT_OF_CHECK: [&str; 3] = ["token", "do", EXTENT];

async fn page(pages: &Pages, visit: &Visit, asked: &Asked, shown: &Shown) -> Response {
    let path = format!("/paper/{}", hex(&asked.craft.id));
    let facts = match pages.facts(visit, &path).await {
        Ok(facts) => facts,
        Err(why) => return pages.not_shown(visit, &why),
    };
    let craft_path = format!("/craft/{}", hex(&asked.craft.id));
    let entry = PaperEntry {
        number: asked.paper.number(),
        craft_path: &craft_path,
        path: &path,
        script: &script().path,
        source: asked.paper.source(),
        form: &shown.form,
        asked: &shown.asked,
        left_out: &shown.left_out,
        kept: shown.kept,
    };
    let status = if shown.form.faults().is_empty() {
        StatusCode::OK
    } else {
        StatusCode::BAD_REQUEST
    };
    (status, Html(paper_page(&facts, &entry))).into_response()
}

/// Takes what was entered: keeps it, records it, or drops it.
async fn take(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Path(name): Path<String>,
    headers: HeaderMap,
    Form(form): Form<Vec<Pair>>,
) -> Response {
    let member = match recorder(&pages, &visit, &form) {
        Ok(member) => member,
        Err(response) => return *response,
    };
    let asked = match asked(&pages, &name, Extent::Full).await {
        Ok(asked) => asked,
        Err(why) => return pages.not_shown(&visit, &why),
    };
    let taken = taken(&pages, &asked, &member, &form).await;
    let wants_json = headers
        .get(ACCEPT)
        .is_some_and(|it| it.as_bytes() == b"application/json");
    match taken {
        Err(why) => pages.not_shown(&visit, &why),
        Ok(Taken::Again(shown)) if wants_json => {
            let refused = shown.form.faults().iter();
            let refused: Vec<&str> = refused.map(|one| one.text.as_str()).collect();
            said(&refused)
        }
        Ok(Taken::Elsewhere(_)) if wants_json => said(&[]),
        Ok(Taken::Elsewhere(path)) => Redirect::to(&path).into_response(),
        Ok(Taken::Again(shown)) => page(&pages, &visit, &asked, &shown).await,
    }
}

/// What the script of the page is told.
fn said(refused: &[&str]) -> Response {
    let text = serde_json::json!({ "refused": refused }).to_string();
    ([(CONTENT_TYPE, "application/json")], text).into_response()
}

/// What became of a form.
enum Taken {
    /// It is done; the page to go to.
    Elsewhere(String),
    /// The page again, with what was wrong or is asked.
    Again(Shown),
}

async fn taken(
    pages: &Pages,
    asked: &Asked,
    member: &str,
    form: &[Pair],
) -> Result<Taken, NotShown> {
    let craft_path = format!("/craft/{}", hex(&asked.craft.id));
    let wanted = value(form, "do");
    let check = begun(pages, asked, member, value(form, EXTENT)).await?;
    if wanted == "drop" {
        end(pages, &check, member).await?;
        return Ok(Taken::Elsewhere(craft_path));
    }
    let (check, refused) = keep(pages, asked, (member, form), check).await?;
    let again = |refused: Vec<Wrong>, left_out| {
        let (faults, asked): (Vec<Fault>, Vec<_>) = refused.into_iter().unzip();
        Ok(Taken::Again(Shown {
            form: FormValues::of(merged(&check, form)).refused(faults),
            kept: true,
            left_out,
            asked: asked.into_iter().flatten().collect(),
        }))
    };
    if !refused.is_empty() {
        return again(refused, Vec::new());
    }
    if !wanted.starts_with("record") {
        return Ok(Taken::Elsewhere(format!("/paper/{}", hex(&asked.craft.id))));
    }
    let now = Moment(pages.door.now().unix_ms);
    let (planned, mut problems) = match plan(&check, member, &asked.known, now) {
        Ok(planned) => (Some(planned), Vec::new()),
        Err(problems) => {
            let wrong = problems.into_iter().map(|one| {
                let stand_by = one.stand_by.map(|name| name.to_string());
                wrong(&one.field.to_string(), &one.why, stand_by)
            });
            (None, wrong.collect())
        }
    };
    problems.extend(who_checked(&check));
    let Some(planned) = planned.filter(|_| problems.is_empty()) else {
        return again(problems, Vec::new());
    };
    if !planned.left_out.is_empty() && wanted != "record-all-the-same" {
        return again(Vec::new(), planned.left_out);
    }
    let request = RecordUnderWayRequest {
        id: check.id.clone(),
        member: member.to_owned(),
        events: planned.events,
        entries: check.entries,
    };
    pages.door.record_under_way(request).await?;
    Ok(Taken::Elsewhere(craft_path))
}

/// What is wrong with a field, and how it can be stood by.
type Wrong = (Fault, Option<(String, PaperAsked)>);

fn wrong(field: &str, why: &str, stand_by: Option<String>) -> Wrong {
    let fault = Fault {
        field: field.to_owned(),
        text: why.to_owned(),
    };
    let asked = stand_by.map(|stand_by| {
        let words = String::new();
        (field.to_owned(), PaperAsked { words, stand_by })
    });
    (fault, asked)
}

/// Paper says who checked; without it nobody could tell that it is from paper.
fn who_checked(check: &CheckUnderWay) -> Option<Wrong> {
    let name = FieldName::ObservedBy.to_string();
    let mut fields = check.fields.iter();
    let is_said = fields.any(|field| field.name == name);
    (!is_said).then(|| wrong(&name, "type who checked, as it stands on the paper", None))
}

/// The check that is entered, begun where there is none. With another extent it is begun anew, with
/// everything that stands in it.
async fn begun(
    pages: &Pages,
    asked: &Asked,
    member: &str,
    extent: &str,
) -> Result<CheckUnderWay, NotShown> {
    let open = open_check(pages, &asked.craft, |check| check.from_paper).await?;
    let kind = match (extent, &open) {
        ("short", _) => UnderWayKind::Short,
        ("part", _) => UnderWayKind::Part,
        ("", Some(open)) => open.kind(),
        _ => UnderWayKind::Full,
    };
    if let Some(open) = open.as_ref().filter(|open| open.kind() == kind) {
        return Ok(open.clone());
    }
    let request = BeginRequest {
        craft: asked.craft.id.clone(),
        craft_number: asked.craft.number.clone(),
        kind: kind as i32,
        from_paper: true,
        member: member.to_owned(),
        standard: asked.paper.adopted().event.clone(),
        or_go_on: true,
    };
    let begun = pages.door.begin(request).await?.check.unwrap_or_default();
    let Some(before) = open else {
        return Ok(begun);
    };
    let fields = before.fields.iter().map(|field| FieldTyped {
        name: field.name.clone(),
        value: field.value.clone(),
    });
    let begun = enter(pages, &begun, member, fields.collect()).await?;
    end(pages, &before, member).await?;
    Ok(begun)
}

async fn end(pages: &Pages, check: &CheckUnderWay, member: &str) -> Result<(), NotShown> {
    let request = EndUnderWayRequest {
        id: check.id.clone(),
        member: member.to_owned(),
    };
    pages.door.end_under_way(request).await?;
    Ok(())
}

async fn enter(
    pages: &Pages,
    check: &CheckUnderWay,
    member: &str,
    fields: Vec<FieldTyped>,
) -> Result<CheckUnderWay, NotShown> {
    if fields.is_empty() {
        return Ok(check.clone());
    }
    let request = EnterRequest {
        id: check.id.clone(),
        member: member.to_owned(),
        fields,
    };
    let reply = pages.door.enter(request).await?;
    Ok(reply.check.unwrap_or_default())
}

/// Keeps what can be read of a form; says what was refused of the rest.
async fn keep(
    pages: &Pages,
    asked: &Asked,
    (member, form): (&str, &[Pair]),
    check: CheckUnderWay,
) -> Result<(CheckUnderWay, Vec<Wrong>), NotShown> {
    let stands: BTreeMap<&str, &str> = check
        .fields
        .iter()
        .map(|field| (field.name.as_str(), field.value.as_str()))
        .collect();
    let typed: Vec<FieldTyped> = form
        .iter()
        .filter(|(name, _)| !NOT_OF_CHECK.contains(&name.as_str()))
        .filter(|(name, value)| stands.get(name.as_str()).copied().unwrap_or("") != value.trim())
        .map(|(name, value)| FieldTyped {
            name: name.clone(),
            value: value.trim().to_owned(),
        })
        .collect();
    let now = Moment(pages.door.now().unix_ms);
    let tried = try_fields(&check, &typed, &asked.known, now);
    let refused = tried.refused.into_iter();
    let refused = refused.map(|one| wrong(&one.field, &one.why, one.stand_by));
    let refused = refused.collect();
    let check = enter(pages, &check, member, tried.keep).await?;
    Ok((check, refused))
}

/// What stands in the check, and over it what was typed.
fn merged(check: &CheckUnderWay, form: &[Pair]) -> Vec<Pair> {
    let mut all: BTreeMap<String, String> = entered(Some(check)).into_iter().collect();
    let typed = form
        .iter()
        .filter(|(name, _)| !NOT_OF_CHECK.contains(&name.as_str()));
    all.extend(typed.cloned());
    all.into_iter().collect()
}
