//! Texts that no command lets through: a device with a program of its own signs one event of every
//! kind, each text in it, the member number too, one that means harm.
//!
//! The kinds and their fields come from the golden events and the descriptors, so a new one is tried
//! by itself.

use std::path::PathBuf;

use prost::Message as _;
use prost_reflect::{DescriptorPool, DynamicMessage, ReflectMessage as _, Value};
use sponson_client::device;
use sponson_client::settings::Places;
use sponson_link::local::Side;
use sponson_proto::event::v1 as wire;
use sponson_proto::service::v1::{AppendRequest, AppendSubject, AppendText};

use super::county::County;
use super::texts::{EVERYWHERE, Hostile, SOMEWHERE};
use super::told::Told;

/// Bytes of a member number.
const MEMBER_BYTES: usize = 32;

/// Bytes of a word.
const WORD_BYTES: usize = 64;

/// Texts that are tried in each kind, when not all are.
const OF_A_KIND: usize = 2;

/// One event of a kind, as it was signed once.
struct Golden {
    message: String,
    header: wire::Header,
    payload: Vec<u8>,
}

/// The golden events of the trade; those of the registry are the county's alone.
fn golden() -> Vec<Golden> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../shared-core/log/tests/golden");
    let entries = std::fs::read_dir(folder).expect("golden events");
    let mut files: Vec<PathBuf> = entries
        .map(|entry| entry.expect("an entry").path())
        .collect();
    files.sort();
    let events = files.into_iter().filter_map(|file| {
        let name = file
            .file_name()
            .expect("a name")
            .to_string_lossy()
            .into_owned();
        let is_event = name.starts_with("event-") && name.ends_with(".bin");
        let bytes = is_event.then(|| std::fs::read(&file).expect("it can be read"))?;
        let event = wire::Event::decode(bytes.as_slice()).expect("an event");
        let body = wire::Body::decode(event.body).expect("a body");
        let header = body.header.expect("a header");
        let kind = i32::try_from(header.kind).expect("a kind");
        let kind = wire::Kind::try_from(kind).expect("a kind");
        (kind as i32 >= wire::Kind::CraftRegistered as i32).then(|| Golden {
            message: message(kind),
            header,
            payload: body.payload.to_vec(),
        })
    });
    events.collect()
}

/// The name of a kind's message.
fn message(kind: wire::Kind) -> String {
    let words = kind.as_str_name().trim_start_matches("KIND_").split('_');
    let words = words.map(|word| word[..1].to_owned() + &word[1..].to_lowercase());
    format!("sponson.event.v1.{}", words.collect::<String>())
}

/// Puts a text into every field of a message that takes one, shortened to what a word may have.
fn filled(message: &mut DynamicMessage, text: &str) {
    let fields: Vec<_> = message.descriptor().fields().collect();
    for field in fields {
        let new = message.get_field(&field).into_owned();
        let of_text = matches!(field.kind(), prost_reflect::Kind::String);
        if matches!(new, Value::Message(_)) && !message.has_field(&field) {
            continue;
        }
        let new = match new.as_list() {
            Some([]) if of_text => Value::List(vec![Value::String(text.to_owned())]),
            Some(list) => Value::List(list.iter().map(|it| within(it, text)).collect()),
            None => within(&new, text),
        };
        message.set_field(&field, new);
    }
}

fn within(value: &Value, text: &str) -> Value {
    if value.as_str().is_some() {
        return Value::String(text.to_owned());
    }
    let Some(inner) = value.as_message() else {
        return value.clone();
    };
    let mut inner = inner.clone();
    filled(&mut inner, text);
    Value::Message(inner)
}

/// The longest beginning of a text that has so many bytes.
fn begin(text: &str, bytes: usize) -> &str {
    let ends = text.char_indices().map(|(at, c)| at + c.len_utf8());
    let end = ends.take_while(|end| *end <= bytes).last();
    &text[..end.unwrap_or(0)]
}

/// The bytes with one id in the place of another.
fn replaced(bytes: &[u8], old: &[u8], new: &[u8]) -> Vec<u8> {
    let mut out = bytes.to_vec();
    let mut at = 0;
    while at + old.len() <= out.len() {
        if &out[at..at + old.len()] == old {
            out[at..at + old.len()].copy_from_slice(new);
            at += old.len();
        } else {
            at += 1;
        }
    }
    out
}

/// Appends one event of every kind for each text.
pub(super) async fn append(county: &County, told: &mut Told, seed: usize, all: bool) {
    let pool = DescriptorPool::decode(sponson_proto::DESCRIPTORS).expect("descriptors");
    let (given, ..) = county.world.surroundings();
    let folder = county.world.path("station");
    let places = Places::of("station", Some(&folder)).expect("a folder");
    let opening = device::opening(&places, Side::County, &given);
    let local = device::reach(opening).await.expect("it serves");
    let mut service = local.client();
    let craft = data_encoding::HEXLOWER
        .decode(county.craft.as_bytes())
        .expect("an id");
    let kinds = golden();
    assert!(kinds.len() >= 35, "{} kinds", kinds.len());
    let mut appended = 0;
    for (number, kind) in kinds.iter().enumerate() {
        let descriptor = pool.get_message_by_name(&kind.message);
        let descriptor = descriptor.unwrap_or_else(|| panic!("no message {}", kind.message));
        let count = if all { SOMEWHERE.len() } else { OF_A_KIND };
        let first = (seed + number) * OF_A_KIND % SOMEWHERE.len();
        let rest = SOMEWHERE.iter().cycle().skip(first).take(count);
        for Hostile { text, .. } in EVERYWHERE.iter().chain(rest) {
            let payload = DynamicMessage::decode(descriptor.clone(), kind.payload.as_slice());
            let mut payload = payload.expect("its message");
            filled(&mut payload, begin(text, WORD_BYTES));
            let request = request(kind, &payload.encode_to_vec(), text, &craft);
            match service.append(request).await {
                Ok(_) => appended += 1,
                Err(refused) => {
                    told.terminal(&format!("{} = {text:?}", kind.message), refused.message());
                }
            }
        }
    }
    told.taken += appended;
    assert!(appended > kinds.len(), "{appended} events were taken");
}

fn request(kind: &Golden, payload: &[u8], text: &str, craft: &[u8]) -> AppendRequest {
    let is_craft = |it: &&wire::Subject| it.r#type == wire::SubjectType::Craft as i32;
    let theirs = kind.header.subjects.iter().find(is_craft);
    let registers = kind.message.ends_with("Registered");
    let here = |bytes: &[u8]| match theirs {
        Some(theirs) if !registers => replaced(bytes, &theirs.id, craft),
        _ => bytes.to_vec(),
    };
    let subjects = kind.header.subjects.iter().map(|it| AppendSubject {
        id: here(&it.id).into(),
        r#type: it.r#type,
    });
    AppendRequest {
        kind: kind.header.kind,
        kind_version: kind.header.kind_version,
        payload: here(payload).into(),
        subjects: subjects.collect(),
        member: begin(text, MEMBER_BYTES).to_owned(),
        texts: vec![AppendText {
            belongs_to: String::new(),
            text: text.to_owned(),
        }],
        ..AppendRequest::default()
    }
}
