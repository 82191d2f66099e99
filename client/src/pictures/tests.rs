//! Pictures as cameras write them, made here byte by byte, read back by a library of its own.

use std::io::Cursor;

use exif::experimental::Writer;
use exif::{Field, In, Rational, Reader, Tag, Value};
use image::{GenericImageView as _, ImageFormat, RgbImage};
use sponson_readiness::standard::{PicturesPolicy, Policy};

use super::*;

fn policy() -> PicturesPolicy {
    let shipped = Policy::parse(Policy::default_text());
    shipped.expect("it reads").pictures
}

/// Red on its left half, blue on its right.
fn two_halves(width: u32, height: u32) -> RgbImage {
    RgbImage::from_fn(width, height, |x, _| {
        image::Rgb(if x < width / 2 {
            [220, 10, 10]
        } else {
            [10, 10, 220]
        })
    })
}

/// Noise: what packs worst.
fn noise(width: u32, height: u32) -> RgbImage {
    let mut state = 1_u32;
    RgbImage::from_fn(width, height, |_, _| {
        let mut next = || {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            state.to_be_bytes()[0]
        };
        image::Rgb([next(), next(), next()])
    })
}

fn jpeg(picture: &RgbImage, exif: Option<Vec<u8>>) -> Vec<u8> {
    let mut out = Vec::new();
    let mut encoder = JpegEncoder::new_with_quality(&mut out, 95);
    if let Some(exif) = exif {
        encoder.set_exif_metadata(exif).expect("it takes it");
    }
    picture.write_with_encoder(encoder).expect("it writes");
    out
}

fn degrees(values: [u32; 3]) -> Value {
    let rational = |num| Rational { num, denom: 1 };
    Value::Rational(values.map(rational).to_vec())
}

fn ascii(text: &str) -> Value {
    Value::Ascii(vec![text.as_bytes().to_vec()])
}

/// What a phone writes: place, maker, model, owner, time, and a small copy of the picture.
fn as_a_phone_writes(orientation: u16) -> Vec<u8> {
    let field = |tag, ifd_num, value| Field {
        tag,
        ifd_num,
        value,
    };
    let fields = [
        field(
            Tag::Orientation,
            In::PRIMARY,
            Value::Short(vec![orientation]),
        ),
        field(Tag::Make, In::PRIMARY, ascii("PHONEMAKER")),
        field(Tag::Model, In::PRIMARY, ascii("PHONEMODEL")),
        field(Tag::BodySerialNumber, In::PRIMARY, ascii("SERIAL77")),
        field(Tag::CameraOwnerName, In::PRIMARY, ascii("OWNERNAME")),
        field(
            Tag::DateTimeOriginal,
            In::PRIMARY,
            ascii("2026:01:02 03:04:05"),
        ),
        field(Tag::GPSLatitudeRef, In::PRIMARY, ascii("N")),
        field(Tag::GPSLatitude, In::PRIMARY, degrees([51, 30, 26])),
        field(Tag::GPSLongitudeRef, In::PRIMARY, ascii("W")),
        field(Tag::GPSLongitude, In::PRIMARY, degrees([1, 2, 3])),
        field(Tag::GPSAltitude, In::PRIMARY, degrees([42, 0, 0])),
        field(Tag::GPSDateStamp, In::PRIMARY, ascii("2026:01:02")),
    ];
    let small = jpeg(&two_halves(16, 16), None);
    let mut writer = Writer::new();
    for field in &fields {
        writer.push_field(field);
    }
    writer.set_jpeg(&small, In::THUMBNAIL);
    let mut out = Cursor::new(Vec::new());
    writer.write(&mut out, false).expect("it writes");
    out.into_inner()
}

/// Fields that the library finds beside a picture.
fn fields(picture: &[u8]) -> Vec<Tag> {
    let read = Reader::new().read_from_container(&mut Cursor::new(picture));
    let mut tags: Vec<Tag> = read
        .iter()
        .flat_map(|exif| exif.fields().map(|field| field.tag))
        .collect();
    tags.sort();
    tags
}

/// Markers of what stands beside the dots: names of makers' and other programs' data.
fn markers(picture: &[u8]) -> Vec<u8> {
    let mut found = Vec::new();
    let mut at = 2;
    while let Some([0xff, marker, high, low]) = picture.get(at..at + 4) {
        found.push(*marker);
        // What follows the start of the dots has no length.
        if *marker == 0xda {
            break;
        }
        at += 2 + usize::from(u16::from_be_bytes([*high, *low]));
    }
    found
}

fn holds(picture: &[u8], text: &str) -> bool {
    picture
        .windows(text.len())
        .any(|window| window == text.as_bytes())
}

const TELLING: [&str; 6] = [
    "PHONEMAKER",
    "PHONEMODEL",
    "SERIAL77",
    "OWNERNAME",
    "2026:01",
    "Exif",
];

#[test]
fn nothing_is_left_of_what_the_camera_wrote_beside_the_picture() {
    let file = jpeg(&two_halves(64, 48), Some(as_a_phone_writes(1)));
    assert!(fields(&file).contains(&Tag::GPSLatitude), "the file has it");
    assert!(TELLING.iter().all(|text| holds(&file, text)));
    let kept = prepared(&file, &policy()).expect("it is taken");
    assert_eq!(fields(&kept), []);
    for text in TELLING {
        assert!(!holds(&kept, text), "{text}");
    }
    // JFIF's own header, tables, frame and dots: no other program's data, no remark.
    for marker in markers(&kept) {
        assert!(
            matches!(marker, 0xe0 | 0xdb | 0xc0 | 0xc4 | 0xda),
            "{marker:#x}"
        );
    }
    assert_eq!(
        kept.windows(2).filter(|two| two == &[0xff, 0xd8]).count(),
        1
    );
}

#[test]
fn what_stands_behind_the_picture_or_in_other_segments_goes_too() {
    let plain = jpeg(&two_halves(64, 48), None);
    let (begin, rest) = plain.split_at(2);
    let mut file = begin.to_vec();
    for (marker, data) in [
        (0xe1_u8, "http://ns.adobe.com/xap/1.0/\0OWNERNAME"),
        (0xed, "SERIAL77"),
        (0xfe, "PHONEMODEL"),
    ] {
        let length = u16::try_from(data.len() + 2).expect("short");
        file.extend([0xff, marker]);
        file.extend(length.to_be_bytes());
        file.extend(data.as_bytes());
    }
    file.extend(rest);
    file.extend(b"PHONEMAKER trailer, as of a moving picture");
    let kept = prepared(&file, &policy()).expect("it is taken");
    for text in ["OWNERNAME", "SERIAL77", "PHONEMODEL", "PHONEMAKER"] {
        assert!(holds(&file, text) && !holds(&kept, text), "{text}");
    }
}

#[test]
fn the_place_stays_alone_when_the_policy_says_so() {
    let file = jpeg(&two_halves(64, 48), Some(as_a_phone_writes(6)));
    let keeping = PicturesPolicy {
        keep_position: KeepPosition::Yes,
        ..policy()
    };
    let kept = prepared(&file, &keeping).expect("it is taken");
    let mut wanted = vec![
        Tag::GPSLatitudeRef,
        Tag::GPSLatitude,
        Tag::GPSLongitudeRef,
        Tag::GPSLongitude,
    ];
    wanted.sort();
    assert_eq!(fields(&kept), wanted);
    let read = Reader::new()
        .read_from_container(&mut Cursor::new(&kept))
        .expect("it reads");
    let said = |tag| {
        let field = read.get_field(tag, In::PRIMARY).expect("it is there");
        field.display_value().to_string()
    };
    assert_eq!(said(Tag::GPSLatitude), "51 deg 30 min 26 sec");
    assert_eq!(said(Tag::GPSLongitude), "1 deg 2 min 3 sec");
    assert_eq!(said(Tag::GPSLongitudeRef), "W");
    for text in ["PHONEMAKER", "SERIAL77", "OWNERNAME", "2026"] {
        assert!(!holds(&kept, text), "{text}");
    }
    // A picture without a place is taken as it is.
    let plain = prepared(&jpeg(&two_halves(64, 48), None), &keeping).expect("it is taken");
    assert_eq!(fields(&plain), []);
}

/// Where the red half lies once the picture is upright: the colour at the middle of each edge.
#[test]
fn a_picture_is_turned_upright() {
    // EXIF 2.32, 4.6.4 A, Orientation: what the first row and the first column of the file are.
    for (orientation, red_at) in [
        (1, "left"),
        (2, "right"),
        (3, "right"),
        (4, "left"),
        (5, "top"),
        (6, "top"),
        (7, "bottom"),
        (8, "bottom"),
    ] {
        let file = jpeg(&two_halves(96, 64), Some(as_a_phone_writes(orientation)));
        let kept = prepared(&file, &policy()).expect("it is taken");
        let upright = image::load_from_memory_with_format(&kept, ImageFormat::Jpeg).expect("reads");
        let (width, height) = upright.dimensions();
        assert_eq!(
            (width, height),
            if orientation < 5 { (96, 64) } else { (64, 96) }
        );
        let red = |x, y| upright.get_pixel(x, y).0[0] > 128;
        let at = match (
            red(4, height / 2),
            red(width - 5, height / 2),
            red(width / 2, 4),
        ) {
            (true, false, _) => "left",
            (false, true, _) => "right",
            (_, _, true) => "top",
            (_, _, false) => "bottom",
        };
        assert_eq!(at, red_at, "orientation {orientation}");
    }
}

#[test]
fn a_picture_is_made_as_small_as_the_policy_says() {
    for (file, longest_side, bytes_each) in [
        (noise(1_200, 900), 800, 60_000),
        (noise(1_200, 900), 800, 20_000),
        (two_halves(2_000, 500), 800, 400_000),
        (two_halves(40, 30), 800, 400_000),
    ] {
        let small = PicturesPolicy {
            longest_side,
            bytes_each,
            ..policy()
        };
        let kept = prepared(&jpeg(&file, None), &small).expect("it is taken");
        assert!(kept.len() <= usize::try_from(bytes_each).expect("small"));
        let read = image::load_from_memory_with_format(&kept, ImageFormat::Jpeg).expect("reads");
        let side = read.width().max(read.height());
        assert!(side <= longest_side, "{side}");
        assert!(side >= SIDE_LEAST.min(file.width()), "{side}");
        // No picture is made larger, and none loses its shape.
        assert!(side <= file.width());
        let shape = |w: u32, h: u32| f64::from(w) / f64::from(h);
        let off = shape(read.width(), read.height()) / shape(file.width(), file.height());
        assert!((0.98..1.02).contains(&off), "{off}");
    }
}

/// A frame header that says how large it is, as a picture of 40 million dots has it.
fn says_it_is(width: u16, height: u16) -> Vec<u8> {
    let mut file = jpeg(&two_halves(16, 16), None);
    let at = file
        .windows(2)
        .position(|two| two == [0xff, 0xc0])
        .expect("it has a frame");
    file[at + 5..at + 7].copy_from_slice(&height.to_be_bytes());
    file[at + 7..at + 9].copy_from_slice(&width.to_be_bytes());
    file
}

#[test]
fn what_is_no_picture_is_refused_with_what_it_is_and_what_to_do() {
    let whole = jpeg(&two_halves(64, 48), None);
    let phone = jpeg(&two_halves(64, 48), Some(as_a_phone_writes(1)));
    let png = b"\x89PNG\r\n\x1a\n0000IHDR".to_vec();
    let all = [
        Vec::new(),
        png,
        b"\0\0\0\x18ftypheic\0\0".to_vec(),
        b"not a picture at all".to_vec(),
        whole[..whole.len() / 2].to_vec(),
        whole[..whole.len() - 2].to_vec(),
        phone[..phone.len() - 9].to_vec(),
        [BEGINS.as_slice(), &ENDS].concat(),
        says_it_is(7_728, 5_200),
        says_it_is(20_000, 10),
        vec![0; FILE_BYTES_MAX + 1],
    ]
    .map(|file| {
        prepared(&file, &policy())
            .expect_err("it is refused")
            .to_string()
    });
    insta::assert_snapshot!(all.join("\n"), @r"
    the picture is 0 bytes long; give a picture as JPEG, as a camera or phone writes it
    the picture is a PNG, whatever its name says; give a picture as JPEG, as a camera or phone writes it
    the picture is a HEIC; give a picture as JPEG, as a camera or phone writes it
    the picture is no JPEG; give a picture as JPEG, as a camera or phone writes it
    the picture is cut off; its end is missing: copy it again, or take it again
    the picture is cut off; its end is missing: copy it again, or take it again
    the picture is cut off; its end is missing: copy it again, or take it again
    the picture is cut off; its end is missing: copy it again, or take it again
    the picture is 7728 x 5200 dots; at most 25 million dots and 12000 on a side are read: take it again with a smaller setting of the camera
    the picture is 20000 x 10 dots; at most 25 million dots and 12000 on a side are read: take it again with a smaller setting of the camera
    the picture is 16777217 bytes long; at most 16 MB is read: take it again with a smaller setting of the camera
    ");
}
