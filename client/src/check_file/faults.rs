//! One fault as written down, against the craft's standard.

use sponson_proto::event::v1::{Face, FaultFound, PartPlace, Severity, Side};
use sponson_readiness::standard::Standard;
use sponson_show::{clean, units};

use super::{CheckFileError, FaceWord, FaultLine, SeverityWord, SideWord};
use crate::catalogue::Catalogue;
use crate::near::{near, plain};

/// Classes of fault that the trade knows; common practice, no source. Others are recorded too.
pub(crate) const CLASSES: [&str; 16] = [
    "leak",
    "tear",
    "puncture",
    "abrasion",
    "seam-open",
    "delamination",
    "crack",
    "corrosion",
    "loose",
    "missing",
    "broken",
    "worn",
    "blocked",
    "wet",
    "dead",
    "dirty",
];

/// Longest word for a class.
const CLASS_CHARS_MAX: usize = 40;

/// Reads one fault.
///
/// # Errors
/// When the part, a mission or the gear is not known, or a value cannot be.
pub(crate) fn fault_found(
    at: &str,
    line: &FaultLine,
    standard: &Standard,
    catalogue: &Catalogue,
) -> Result<FaultFound, CheckFileError> {
    let part = place(&format!("{at}.part"), &line.part, standard)?;
    let gear = match &line.gear {
        None => bytes::Bytes::new(),
        Some(number) => catalogue
            .gear(number)
            .map_err(|error| CheckFileError::Name {
                place: format!("{at}.gear"),
                what: error.to_string(),
            })?
            .id
            .clone(),
    };
    Ok(FaultFound {
        part,
        place: part_place(at, line)?,
        class: class(at, &line.class)?,
        severity: severity(line.severity) as i32,
        missions: missions(at, &line.missions, standard)?,
        gear,
    })
}

/// Finds a part of the standard by its id as people type it.
///
/// # Errors
/// When the standard has no such part; names near ones.
pub(crate) fn place(at: &str, name: &str, standard: &Standard) -> Result<String, CheckFileError> {
    let ids = standard.parts.iter().map(|part| part.id.as_str());
    known_line(at, "part", name, ids, standard)
}

/// Finds one id of the standard as people type it.
///
/// # Errors
/// When the standard has no such id; names near ones.
pub(crate) fn known_line<'a>(
    at: &str,
    what: &str,
    name: &str,
    ids: impl Iterator<Item = &'a str> + Clone,
    standard: &Standard,
) -> Result<String, CheckFileError> {
    let wanted = plain(name);
    if let Some(id) = ids.clone().find(|id| plain(id) == wanted) {
        return Ok(id.to_owned());
    }
    let near = near(name, ids.clone());
    let offered = if near.is_empty() {
        format!("it has {}", ids.collect::<Vec<_>>().join(", "))
    } else {
        format!("did you mean {}?", near.join(", "))
    };
    Err(CheckFileError::Name {
        place: at.to_owned(),
        what: format!(
            "boat standard {} has no {what} {}; {offered}",
            standard.model,
            clean(name)
        ),
    })
}

fn missions(
    at: &str,
    names: &[String],
    standard: &Standard,
) -> Result<Vec<String>, CheckFileError> {
    let ids = standard.missions.keys().map(|id| id.as_str());
    names
        .iter()
        .map(|name| {
            known_line(
                &format!("{at}.missions"),
                "mission",
                name,
                ids.clone(),
                standard,
            )
        })
        .collect()
}

fn class(at: &str, word: &str) -> Result<String, CheckFileError> {
    let word = word.trim().to_lowercase().replace(' ', "-");
    let sound = !word.is_empty()
        && word.chars().count() <= CLASS_CHARS_MAX
        && word.chars().all(|c| c.is_alphanumeric() || c == '-');
    if sound {
        return Ok(word);
    }
    Err(CheckFileError::Value {
        place: format!("{at}.class"),
        value: clean(&word),
        limit: format!(
            "give one word of at most {CLASS_CHARS_MAX} letters, for example {}",
            CLASSES.join(", ")
        ),
    })
}

fn part_place(at: &str, line: &FaultLine) -> Result<Option<PartPlace>, CheckFileError> {
    let from_transom_mm = line
        .from_transom
        .as_deref()
        .map(|text| units::length(&format!("{at}.from_transom"), text))
        .transpose()
        .map_err(|error| CheckFileError::Quantity(error.to_string()))?;
    if line.side.is_none() && line.face.is_none() && from_transom_mm.is_none() {
        return Ok(None);
    }
    let side = match line.side {
        None => Side::Unspecified,
        Some(SideWord::Port) => Side::Port,
        Some(SideWord::Starboard) => Side::Starboard,
        Some(SideWord::Centre) => Side::Centre,
    };
    let face = match line.face {
        None => Face::Unspecified,
        Some(FaceWord::Top) => Face::Top,
        Some(FaceWord::Bottom) => Face::Bottom,
        Some(FaceWord::Inboard) => Face::Inboard,
        Some(FaceWord::Outboard) => Face::Outboard,
    };
    Ok(Some(PartPlace {
        side: side as i32,
        from_transom_mm,
        face: face as i32,
    }))
}

const fn severity(word: SeverityWord) -> Severity {
    match word {
        SeverityWord::Disabling => Severity::Disabling,
        SeverityWord::Restrictive => Severity::Restrictive,
        SeverityWord::Major => Severity::Major,
        SeverityWord::Minor => Severity::Minor,
    }
}
