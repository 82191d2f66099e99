//! Lists and maps that a county brings along: what is to be registered, launch places, the ground.

use bytes::Bytes;
use sponson_client::catalogue::Catalogue;
use sponson_link::places::LaunchPlaces;
use sponson_log::ids::SubjectId;
use sponson_proto::event::v1::SubjectType;
use sponson_proto::service::v1 as service;
use sponson_server::bring_in::{self, ListKind};
use sponson_server::ground;

use crate::county::{BAG, CRAFT, MODEL, MOTOR, NORTH, SHEETS};
use crate::said::{choice, refused, shown, text};

/// A list of craft, gear or bags; the first byte says which.
///
/// # Panics
/// When a row stands at no line, or rows are out of order.
pub fn bring_in_list(data: &[u8]) {
    let (which, rest) = choice(data);
    let Some(text) = text(rest) else { return };
    let kind = match which % 3 {
        0 => ListKind::Craft,
        1 => ListKind::Gear,
        _ => ListKind::Bags,
    };
    if let Ok(names) = bring_in::left_out(kind, text) {
        assert!(names.len() <= text.len());
    }
    if let Err(error) = bring_in::station_names(kind, text) {
        refused(&error.to_string());
    }
    match bring_in::read(kind, text, &catalogue()) {
        Ok(rows) => {
            // A row that ends with a carriage return alone stands on the line of the next.
            assert!(rows.is_sorted_by_key(|row| row.line));
            for row in rows {
                assert!(row.line >= 1);
                if let Err(error) = row.result {
                    refused(&error.to_string());
                }
            }
        }
        Err(error) => refused(&error.to_string()),
    }
}

/// Launch places and the way from each station.
///
/// # Panics
/// When a place that was taken lies nowhere on Earth or has a name that is too long.
pub fn launch_places(data: &[u8]) {
    let Some(text) = text(data) else { return };
    match LaunchPlaces::parse(text) {
        Ok(places) => {
            assert_eq!(LaunchPlaces::parse(text).as_ref(), Ok(&places));
            for place in places.iter() {
                assert!(place.name.len() <= sponson_link::places::NAME_BYTES_MAX);
                assert!(!place.name.trim().is_empty());
                assert!(place.position.lat_e7.abs() <= 900_000_000);
                assert!(place.position.lon_e7.abs() <= 1_800_000_000);
                let drives = place.minutes.values();
                assert!(
                    drives
                        .into_iter()
                        .all(|it| *it <= sponson_link::places::MINUTES_MAX)
                );
            }
        }
        Err(error) => refused(&error.to_string()),
    }
}

/// The county's map file.
///
/// # Panics
/// When the same text is read as another map.
pub fn map_file(data: &[u8]) {
    match ground::parse(data) {
        Ok(ground) => {
            let again = ground::parse(data);
            assert_eq!(
                format!("{:?}", again.ok()),
                format!("{:?}", Some(&ground)),
                "a map is read in one way"
            );
        }
        Err(error) => {
            let text = error.to_string();
            refused(&text);
            shown(&text);
        }
    }
}

/// What the county's commands and forms read names from.
pub(crate) fn catalogue() -> Catalogue {
    let entry = |id: SubjectId, kind: SubjectType, number: &str| service::CatalogueEntry {
        id: id.to_bytes(),
        r#type: kind as i32,
        number: number.to_owned(),
        station: NORTH.to_bytes(),
        ..service::CatalogueEntry::default()
    };
    let craft = service::CatalogueEntry {
        model: MODEL.to_owned(),
        ..entry(CRAFT, SubjectType::Craft, "4-1")
    };
    let motor = service::CatalogueEntry {
        gear: "motor".to_owned(),
        craft: CRAFT.to_bytes(),
        ..entry(MOTOR, SubjectType::Gear, "M1")
    };
    let reply = service::CatalogueReply {
        entries: vec![
            craft,
            motor,
            entry(BAG, SubjectType::Bag, "B1"),
            entry(NORTH, SubjectType::Station, "North Ford"),
        ],
        standards: vec![service::CatalogueStandard {
            model: MODEL.to_owned(),
            revision: 1,
            text: SHEETS[0].to_owned(),
            event: Bytes::from_static(&[5; 32]),
        }],
        ..service::CatalogueReply::default()
    };
    Catalogue::new(reply)
}
