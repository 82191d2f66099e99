//! The county's own map file, read at the door: water, roads, boundary and launch places as GeoJSON
//! (RFC 7946: WGS 84, longitude before latitude).
//!
//! A file is a `FeatureCollection`. The property `kind` of each feature says what it is:
//!
//! | `kind` | geometry |
//! |---|---|
//! | `water` | `Polygon`, `MultiPolygon`; `LineString`, `MultiLineString` for a stream |
//! | `road` | `LineString`, `MultiLineString` |
//! | `boundary` | `Polygon`, `MultiPolygon`, `LineString`, `MultiLineString` |
//! | `launch` | `Point`, `MultiPoint` |
//!
//! The property `name` may name it. A shape that crosses 180° east is cut there, as RFC 7946 3.1.9 says,
//! or goes on to the other side by the shorter way. Nothing is drawn here, and nothing is fetched.

use std::path::{Path, PathBuf};

use ::geojson::{Feature, GeometryValue};
use serde_json::Value;
use sponson_link::taken_file::{self, TakenFileError};
use sponson_show::clean;
use sponson_show::svg::{Form, Ground, Kind, Shape};

mod places;

/// Longest file, bytes: 20,000 points of 40 bytes are 0.8 MB; what is over is written with more digits
/// than the ground has.
pub const BYTES_MAX: u64 = 4 * 1024 * 1024;

/// Most features: a county of lakes, rivers and main roads has some hundreds.
pub const FEATURES_MAX: usize = 2_000;

/// Most points: each is laid flat for every map that is drawn, at about 0.2 µs: 4 ms.
pub const POINTS_MAX: usize = 20_000;

/// Longest name, characters: a map shows 22.
pub const NAME_MAX: usize = 80;

/// Why a map file was refused.
#[derive(Debug, thiserror::Error)]
pub enum GroundError {
    /// It cannot be read.
    #[error("{} cannot be read: {source}; check map in settings.toml", file.display())]
    File {
        /// The file.
        file: PathBuf,
        /// Why.
        source: std::io::Error,
    },
    /// It is too long.
    #[error("the map file has {bytes} bytes; at most {BYTES_MAX} are allowed; simplify its shapes")]
    Long {
        /// Its length.
        bytes: u64,
    },
    /// It is no JSON.
    #[error("the map file is no JSON: {0}; export it as GeoJSON")]
    Json(#[from] serde_json::Error),
    /// A value that cannot be.
    #[error("{field} is {value}; {limit}")]
    Value {
        /// Where, as a path into the file; features are counted from 0.
        field: String,
        /// The value.
        value: String,
        /// What is allowed, and the remedy.
        limit: String,
    },
}

/// Reads a map file.
///
/// # Errors
/// When it cannot be read, or says what cannot be.
pub fn read(file: &Path) -> Result<Ground, GroundError> {
    let bytes = taken_file::bytes(file, BYTES_MAX).map_err(|error| match error {
        TakenFileError::TooLong(bytes) => GroundError::Long { bytes },
        TakenFileError::Unreadable(source) => GroundError::File {
            file: file.to_owned(),
            source,
        },
    })?;
    parse(&bytes)
}

/// Parses the text of a map file.
///
/// # Errors
/// When it says what cannot be: the first such value.
pub fn parse(text: &[u8]) -> Result<Ground, GroundError> {
    let bytes = text.len() as u64;
    if bytes > BYTES_MAX {
        return Err(GroundError::Long { bytes });
    }
    let mut whole: Value = serde_json::from_slice(text)?;
    let sort = whole.get("type").map_or_else(|| "absent".to_owned(), shown);
    if sort != "FeatureCollection" {
        let limit = "it must be FeatureCollection: export all layers into one";
        return Err(wrong("type", sort, limit));
    }
    reference(&whole)?;
    let features = match whole.get_mut("features").map(Value::take) {
        Some(Value::Array(features)) => features,
        Some(other) => return Err(wrong("features", shown(&other), "it must be a list")),
        None => return Err(wrong("features", "absent", "it must be a list")),
    };
    if features.len() > FEATURES_MAX {
        let count = format!("{} features", features.len());
        let limit = format!("at most {FEATURES_MAX} are allowed; leave out small ones");
        return Err(wrong("features", count, &limit));
    }
    let mut room = POINTS_MAX;
    let features = features.into_iter().enumerate();
    let shapes = features.map(|(index, feature)| shape(index, feature, &mut room));
    Ok(Ground {
        shapes: shapes.collect::<Result<_, _>>()?,
    })
}

/// Files by the specification of 2008 can name another reference system.
fn reference(whole: &Value) -> Result<(), GroundError> {
    let Some(named) = whole.get("crs").filter(|crs| !crs.is_null()) else {
        return Ok(());
    };
    let name = named.pointer("/properties/name").and_then(Value::as_str);
    let is_wgs84 = name.is_some_and(|name| name.ends_with("CRS84") || name.ends_with(":4326"));
    if is_wgs84 {
        return Ok(());
    }
    let limit = "only WGS 84 is allowed (RFC 7946, section 4): export it in WGS 84";
    Err(wrong(
        "crs",
        name.map_or_else(|| shown(named), clean),
        limit,
    ))
}

fn shape(index: usize, feature: Value, room: &mut usize) -> Result<Shape, GroundError> {
    let at = format!("features[{index}]");
    let kind = kind(&at, &feature)?;
    let name = name(&at, &feature)?;
    let feature: Feature = serde_json::from_value(feature).map_err(|error| {
        let limit = "it must be a feature of RFC 7946: export it again";
        wrong(&at, clean(&error.to_string()), limit)
    })?;
    let at = format!("{at}.geometry");
    let Some(geometry) = feature.geometry else {
        return Err(wrong(
            &at,
            "absent",
            "give the feature a place, or leave it out",
        ));
    };
    let form = form(&at, kind, geometry.value, room)?;
    Ok(Shape { kind, name, form })
}

fn kind(at: &str, feature: &Value) -> Result<Kind, GroundError> {
    let field = format!("{at}.properties.kind");
    let limit = "it must be water, road, boundary or launch: set it for the whole layer";
    let said = feature.pointer("/properties/kind");
    let word = said.and_then(Value::as_str);
    let kind = Kind::ALL.into_iter().find(|kind| Some(kind.id()) == word);
    kind.ok_or_else(|| {
        wrong(
            &field,
            said.map_or_else(|| "absent".to_owned(), shown),
            limit,
        )
    })
}

fn name(at: &str, feature: &Value) -> Result<String, GroundError> {
    let field = format!("{at}.properties.name");
    match feature.pointer("/properties/name") {
        None | Some(Value::Null) => Ok(String::new()),
        Some(Value::String(name)) if name.chars().count() <= NAME_MAX => Ok(name.trim().to_owned()),
        Some(Value::String(name)) => {
            let count = format!("{} characters", name.chars().count());
            let limit = format!("at most {NAME_MAX} are allowed; shorten it");
            Err(wrong(&field, count, &limit))
        }
        Some(other) => Err(wrong(&field, shown(other), "it must be text")),
    }
}

fn form(
    at: &str,
    kind: Kind,
    geometry: GeometryValue,
    room: &mut usize,
) -> Result<Form, GroundError> {
    let sort = geometry.type_name();
    let at = format!("{at}.coordinates");
    let form = match geometry {
        GeometryValue::Point { coordinates } => {
            Form::Points(vec![places::place(&at, &coordinates, room)?])
        }
        GeometryValue::MultiPoint { coordinates } => {
            Form::Points(places::places(&at, &coordinates, room)?)
        }
        GeometryValue::LineString { coordinates } => {
            Form::Lines(vec![places::line(&at, &coordinates, room)?])
        }
        GeometryValue::MultiLineString { coordinates } => {
            Form::Lines(places::each(&at, &coordinates, room, |at, one, room| {
                places::line(at, one, room)
            })?)
        }
        GeometryValue::Polygon { coordinates } => {
            Form::Areas(vec![places::area(&at, &coordinates, room)?])
        }
        GeometryValue::MultiPolygon { coordinates } => {
            Form::Areas(places::each(&at, &coordinates, room, |at, one, room| {
                places::area(at, one, room)
            })?)
        }
        GeometryValue::GeometryCollection { .. } => {
            let field = at.replace(".coordinates", ".type");
            let limit = "make each of its parts a feature of its own";
            return Err(wrong(&field, sort, limit));
        }
    };
    let allowed = match (kind, &form) {
        (Kind::Water | Kind::Boundary, Form::Areas(_) | Form::Lines(_))
        | (Kind::Road, Form::Lines(_))
        | (Kind::Launch, Form::Points(_)) => return Ok(form),
        (Kind::Water | Kind::Boundary, Form::Points(_)) => "an area or a line",
        (Kind::Road, Form::Areas(_) | Form::Points(_)) => "a line",
        (Kind::Launch, Form::Areas(_) | Form::Lines(_)) => "a point",
    };
    let field = at.replace(".coordinates", ".type");
    let limit = format!(
        "{} must be {allowed}: change its kind or its shape",
        kind.id()
    );
    Err(wrong(&field, sort, &limit))
}

fn wrong(field: &str, value: impl Into<String>, limit: &str) -> GroundError {
    GroundError::Value {
        field: field.to_owned(),
        value: value.into(),
        limit: limit.to_owned(),
    }
}

/// A value as a message shows it: short, and safe on a terminal.
fn shown(value: &Value) -> String {
    let text = match value {
        Value::String(text) => text.clone(),
        Value::Array(_) => "a list".to_owned(),
        Value::Object(_) => "an object".to_owned(),
        Value::Null | Value::Bool(_) | Value::Number(_) => value.to_string(),
    };
    clean(&text.chars().take(60).collect::<String>())
}

#[cfg(test)]
mod tests;
