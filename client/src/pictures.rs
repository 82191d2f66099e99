//! Pictures made ready to be kept: read within limits, turned upright, made small, written anew.
//!
//! Writing anew leaves out everything that a camera puts beside the picture: place, device, owner,
//! time, small copies. The place comes back, alone, when the county's policy says so. This keeps
//! nothing and sends nothing.

mod place;

#[cfg(test)]
mod tests;

use std::io::Cursor;

use image::codecs::jpeg::{JpegDecoder, JpegEncoder};
use image::metadata::Orientation;
use image::{DynamicImage, ImageDecoder as _, ImageEncoder as _, Limits};
use sponson_readiness::standard::{KeepPosition, PicturesPolicy};

/// Greatest file that is read: a camera of 25 million dots writes 8 to 12 MB at its best setting.
pub const FILE_BYTES_MAX: usize = 16 * 1024 * 1024;

/// Greatest picture that is read, in dots. Read whole it takes 3 bytes a dot, 75 MB, and one written
/// in passes another 6 bytes a dot meanwhile, 150 MB: what a small tablet has to spare.
pub const DOTS_MAX: u64 = 25_000_000;

/// Greatest side that is read. Longer than any camera's; panoramas are refused with words.
const SIDE_MAX: u32 = 12_000;

/// Qualities that are tried, the best first; a small picture is better than one below 50.
const QUALITIES: [u8; 5] = [85, 75, 65, 57, 50];

/// A picture is not made smaller than this on its longest side, dots.
const SIDE_LEAST: u32 = 160;

/// A picture that cannot be taken.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{field} is {value}; {limit}")]
pub struct PictureError {
    /// What of it.
    pub field: &'static str,
    /// What it is.
    pub value: String,
    /// What is allowed, or what to do.
    pub limit: String,
}

fn refused(
    field: &'static str,
    value: impl Into<String>,
    limit: impl Into<String>,
) -> PictureError {
    PictureError {
        field,
        value: value.into(),
        limit: limit.into(),
    }
}

/// Makes a picture ready to be kept: a JPEG within the policy's size, upright, with nothing beside it.
///
/// # Errors
/// When the file is no JPEG, is cut off, or is larger than what is read.
pub fn prepared(file: &[u8], policy: &PicturesPolicy) -> Result<Vec<u8>, PictureError> {
    is_jpeg(file)?;
    let mut decoder = JpegDecoder::new(Cursor::new(file)).map_err(|error| cut_off(&error))?;
    let (width, height) = decoder.dimensions();
    within(&mut decoder, width, height)?;
    let orientation = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    let exif = match policy.keep_position {
        KeepPosition::No => None,
        KeepPosition::Yes => decoder.exif_metadata().ok().flatten(),
    };
    let read = DynamicImage::from_decoder(decoder).map_err(|error| cut_off(&error))?;
    let mut picture = no_larger(read, policy.longest_side);
    picture.apply_orientation(orientation);
    small_enough(
        picture,
        policy.bytes_each,
        exif.and_then(|exif| place::alone(&exif)),
    )
}

/// A file longer than is read, which nobody has read to its end.
#[must_use]
pub fn too_long() -> PictureError {
    let limit = format!(
        "at most {} MB is read: take it again with a smaller setting of the camera",
        FILE_BYTES_MAX / (1024 * 1024)
    );
    refused("the picture", "longer than is read", limit)
}

/// What a JPEG begins with: its first marker and the beginning of the next.
const BEGINS: [u8; 3] = [0xff, 0xd8, 0xff];

/// What it ends with.
const ENDS: [u8; 2] = [0xff, 0xd9];

fn is_jpeg(file: &[u8]) -> Result<(), PictureError> {
    const TAKE: &str = "give a picture as JPEG, as a camera or phone writes it";
    if file.is_empty() {
        return Err(refused("the picture", "0 bytes long", TAKE));
    }
    if file.len() > FILE_BYTES_MAX {
        return Err(PictureError {
            value: format!("{} bytes long", file.len()),
            ..too_long()
        });
    }
    if !file.starts_with(&BEGINS) {
        let what = if file.starts_with(b"\x89PNG") {
            "a PNG, whatever its name says"
        } else if file.get(4..12).is_some_and(|it| it == b"ftypheic") {
            "a HEIC"
        } else {
            "no JPEG"
        };
        return Err(refused("the picture", what, TAKE));
    }
    // The decoder would fill what is missing with grey.
    if !has_end(file) {
        return Err(refused(
            "the picture",
            "cut off",
            "its end is missing: copy it again, or take it again",
        ));
    }
    Ok(())
}

/// Whether the dots end: behind what stands before them (a small copy there has an end of its own).
/// Some cameras write more behind the end.
fn has_end(file: &[u8]) -> bool {
    const DOTS: u8 = 0xda;
    let mut at = 2;
    while let Some([0xff, marker, high, low]) = file.get(at..at + 4) {
        if *marker == DOTS {
            return file[at..].windows(2).any(|two| two == ENDS);
        }
        at += 2 + usize::from(u16::from_be_bytes([*high, *low]));
    }
    false
}

fn within(
    decoder: &mut JpegDecoder<Cursor<&[u8]>>,
    width: u32,
    height: u32,
) -> Result<(), PictureError> {
    let mut limits = Limits::default();
    limits.max_image_width = Some(SIDE_MAX);
    limits.max_image_height = Some(SIDE_MAX);
    let dots = u64::from(width) * u64::from(height);
    if dots <= DOTS_MAX && decoder.set_limits(limits).is_ok() {
        return Ok(());
    }
    Err(refused(
        "the picture",
        format!("{width} x {height} dots"),
        format!(
            "at most {} million dots and {SIDE_MAX} on a side are read: take it again with a smaller \
             setting of the camera",
            DOTS_MAX / 1_000_000
        ),
    ))
}

fn cut_off(error: &image::ImageError) -> PictureError {
    refused(
        "the picture",
        format!("not readable ({error})"),
        "copy it again, or take it again",
    )
}

fn no_larger(picture: DynamicImage, longest_side: u32) -> DynamicImage {
    if picture.width().max(picture.height()) <= longest_side {
        return picture;
    }
    picture.thumbnail(longest_side, longest_side)
}

/// Writes it with falling quality, then smaller, until it fits.
fn small_enough(
    mut picture: DynamicImage,
    bytes_each: u32,
    place: Option<Vec<u8>>,
) -> Result<Vec<u8>, PictureError> {
    let most = usize::try_from(bytes_each).unwrap_or(usize::MAX);
    loop {
        for quality in QUALITIES {
            let written = written(&picture, quality, place.as_deref())?;
            if written.len() <= most {
                return Ok(written);
            }
        }
        let side = picture.width().max(picture.height()) / 4 * 3;
        if side < SIDE_LEAST {
            return Err(refused(
                "the picture",
                format!("larger than {bytes_each} bytes however small"),
                "take another; the policy sets how many bytes a picture may have",
            ));
        }
        picture = picture.thumbnail(side, side);
    }
}

fn written(
    picture: &DynamicImage,
    quality: u8,
    place: Option<&[u8]>,
) -> Result<Vec<u8>, PictureError> {
    let mut out = Vec::new();
    let mut encoder = JpegEncoder::new_with_quality(&mut out, quality);
    let failed = |what: String| refused("the picture", what, "take another");
    if let Some(place) = place {
        encoder
            .set_exif_metadata(place.to_owned())
            .map_err(|error| failed(error.to_string()))?;
    }
    picture
        .write_with_encoder(encoder)
        .map_err(|error| failed(error.to_string()))?;
    Ok(out)
}
