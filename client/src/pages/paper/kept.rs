//! What is kept of a filled sheet: the check under way that it becomes, field by field, and what was
//! refused of it.

use std::collections::BTreeMap;

use sponson_proto::service::v1::{
    BeginRequest, CheckUnderWay, EndUnderWayRequest, EnterRequest, FieldTyped, UnderWayKind,
};
use sponson_readiness::moment::Moment;
use sponson_show::html::Fault;
use sponson_show::html::station::paper::PaperAsked;

use super::super::record::Pair;
use super::super::state::{NotShown, Pages};
use super::{Asked, open_check};
use crate::under_way::fields::FieldName;
use crate::under_way::form::try_fields;

/// The fields of a check as they stand, its extent among them.
pub(super) fn entered(check: Option<&CheckUnderWay>) -> Vec<Pair> {
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
pub(super) const EXTENT: &str = "extent";

/// Fields of the form that are none of the check.
const NOT_OF_CHECK: [&str; 3] = ["token", "do", EXTENT];

/// What is wrong with a field, and how it can be stood by.
pub(super) type Wrong = (Fault, Option<(String, PaperAsked)>);

pub(super) fn wrong(field: &str, why: &str, stand_by: Option<String>) -> Wrong {
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
pub(super) fn who_checked(check: &CheckUnderWay) -> Option<Wrong> {
    let name = FieldName::ObservedBy.to_string();
    let mut fields = check.fields.iter();
    let is_said = fields.any(|field| field.name == name);
    (!is_said).then(|| wrong(&name, "type who checked, as it stands on the paper", None))
}

/// The check that is entered, begun where there is none. With another extent it is begun anew, with
/// everything that stands in it.
pub(super) async fn begun(
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

pub(super) async fn end(
    pages: &Pages,
    check: &CheckUnderWay,
    member: &str,
) -> Result<(), NotShown> {
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
pub(super) async fn keep(
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
pub(super) fn merged(check: &CheckUnderWay, form: &[Pair]) -> Vec<Pair> {
    let mut all: BTreeMap<String, String> = entered(Some(check)).into_iter().collect();
    let typed = form
        .iter()
        .filter(|(name, _)| !NOT_OF_CHECK.contains(&name.as_str()));
    all.extend(typed.cloned());
    all.into_iter().collect()
}
