//! Where a picture was taken, alone: read out of what a camera wrote beside it.

use std::io::Cursor;

use exif::experimental::Writer;
use exif::{Context, Field, In, Reader, Tag};

/// Fields of a place: which half and which degrees. Not the height, the direction, the time or the
/// method, which say nothing of where on a boat or a bank it was.
const FIELDS: [Tag; 4] = [
    Tag::GPSLatitudeRef,
    Tag::GPSLatitude,
    Tag::GPSLongitudeRef,
    Tag::GPSLongitude,
];

/// The place and nothing else, as it is written beside a picture; none when it is not whole.
pub(super) fn alone(exif: &[u8]) -> Option<Vec<u8>> {
    let read = Reader::new().read_raw(exif.to_owned()).ok()?;
    let fields: Vec<&Field> = FIELDS
        .iter()
        .filter_map(|tag| read.get_field(*tag, In::PRIMARY))
        .filter(|field| field.tag.context() == Context::Gps)
        .collect();
    if fields.len() < FIELDS.len() {
        return None;
    }
    let mut writer = Writer::new();
    for field in fields {
        writer.push_field(field);
    }
    let mut out = Cursor::new(Vec::new());
    writer.write(&mut out, true).ok()?;
    Some(out.into_inner())
}
