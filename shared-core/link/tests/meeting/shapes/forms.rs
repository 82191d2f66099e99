//! Messages of every form there is, with the values that hardly anybody tries: made by walking the
//! descriptors, from one seed.
//!
//! Some are right in form and extreme in value, some are broken; genuine ones are put in where their
//! form is asked for, so that what they hold is reached.

use std::collections::BTreeMap;

use prost::Message as _;
use prost::encoding::encode_varint;
use prost_types::field_descriptor_proto::{Label, Type};
use prost_types::{DescriptorProto, FieldDescriptorProto, FileDescriptorSet};
use sponson_made::Seeded;
use sponson_proto::DESCRIPTORS;

/// Depth beyond which prost reads no message (its recursion limit is 100).
const TOO_DEEP: usize = 120;

/// Depth to which messages within messages are made.
const DEPTH_MAX: usize = 6;

/// What there is to make.
pub(super) struct Forms {
    messages: BTreeMap<String, DescriptorProto>,
    /// Path and full name of the request.
    pub(super) methods: Vec<(String, String)>,
}

impl Forms {
    pub(super) fn read() -> Self {
        let set = FileDescriptorSet::decode(DESCRIPTORS).expect("descriptors");
        let (mut messages, mut methods) = (BTreeMap::new(), Vec::new());
        for file in &set.file {
            for message in &file.message_type {
                let name = format!(".{}.{}", file.package(), message.name());
                messages.insert(name, message.clone());
            }
            for service in &file.service {
                for method in &service.method {
                    let path = format!("/{}.{}/{}", file.package(), service.name(), method.name());
                    methods.push((path, method.input_type().to_owned()));
                }
            }
        }
        Self { messages, methods }
    }

    /// Whether there is a message of this name.
    pub(super) fn has(&self, name: &str) -> bool {
        self.messages.contains_key(name)
    }
}

/// Numbers at which something may turn over.
const NUMBERS: [u64; 16] = [
    0,
    1,
    2,
    3,
    7,
    60,
    1_000,
    0x7f,
    0x7fff_ffff,
    0x8000_0000,
    0xffff_ffff,
    0x7fff_ffff_ffff_ffff,
    0x8000_0000_0000_0000,
    0xffff_ffff_ffff_fffe,
    0xffff_ffff_ffff_ffff,
    // Milliseconds of a day in 2026, twice: a signed number is written so.
    2 * 1_772_352_000_000,
];

/// Numbers that may well be meant: counts, kilopascals, and a moment of 2026 in milliseconds, which a
/// signed number holds twice.
const MEANT: [u64; 8] = [1, 1, 2, 4, 20, 44, 400, 2 * 1_772_352_000_000];

/// What a field of this name may well hold.
const TEXTS_MEANT: [(&str, &str); 14] = [
    ("part", "tube-1"),
    ("part", "tube-2"),
    ("part", "transom"),
    ("part", "keel"),
    ("line", "drain-plug"),
    ("item", "paddle"),
    ("mission", "flood"),
    ("missions", "flood"),
    ("model", "inflatable-14"),
    ("member", "M-1"),
    ("date", "2026-03-01"),
    ("inspection", "yearly"),
    ("level", "operator"),
    ("number", "Quay 1"),
];

const REALS: [f64; 16] = [
    0.0,
    -0.0,
    1.0,
    -1.0,
    20.0,
    101.325,
    1e-300,
    -1e300,
    1e300,
    f64::NAN,
    f64::INFINITY,
    f64::NEG_INFINITY,
    f64::MIN_POSITIVE,
    f64::MAX,
    f64::MIN,
    9e18,
];

const TEXTS: [&str; 16] = [
    "",
    "x",
    "Quay 1",
    "inflatable-14",
    "flood",
    "tube-1",
    "keel",
    "full",
    "M-1",
    "2026-03-01",
    "9999-12-31",
    "-271821-04-20",
    "a\0b",
    "\u{202e}\u{1b}[2J",
    "\u{10ffff}\u{0301}\u{0301}",
    "-1e999",
];

/// What is put into messages.
pub(super) struct Pool {
    /// Genuine ids, keys, signatures, parts of messages.
    pub(super) bytes: Vec<Vec<u8>>,
    /// Genuine messages by their full name.
    pub(super) genuine: BTreeMap<&'static str, Vec<Vec<u8>>>,
}

/// Makes messages.
pub(super) struct Maker<'a> {
    pub(super) forms: &'a Forms,
    pub(super) pool: &'a Pool,
    pub(super) drawn: Seeded,
    /// Whether a message is broken now and then, or always right in form.
    pub(super) breaks: bool,
}

impl Maker<'_> {
    /// A message of this form.
    pub(super) fn message(&mut self, name: &str) -> Vec<u8> {
        let mut bytes = self.fields(name, 0);
        if self.breaks {
            self.break_now_and_then(name, &mut bytes);
        }
        bytes
    }

    fn fields(&mut self, name: &str, depth: usize) -> Vec<u8> {
        if let Some(genuine) = self.pool.genuine.get(name)
            && !genuine.is_empty()
            && self.drawn.one_in(2)
        {
            let mut bytes = self.drawn.of_these(genuine).clone();
            if self.breaks && self.drawn.one_in(4) && !bytes.is_empty() {
                let place = self.drawn.place(bytes.len());
                bytes[place] ^= 1 << self.drawn.place(8);
            }
            return bytes;
        }
        let mut bytes = Vec::new();
        let Some(form) = self.forms.messages.get(name) else {
            return bytes;
        };
        for field in &form.field {
            let repeated = field.label() == Label::Repeated;
            let counts: &[usize] = if repeated {
                &[0, 1, 1, 2, 9]
            } else {
                &[0, 1, 1, 1]
            };
            for _ in 0..*self.drawn.of_these(counts) {
                self.field(field, depth, &mut bytes);
            }
        }
        bytes
    }

    fn field(&mut self, field: &FieldDescriptorProto, depth: usize, bytes: &mut Vec<u8>) {
        let number = u64::from(field.number().unsigned_abs());
        match field.r#type() {
            Type::Double => {
                tag(bytes, number, 1);
                let real = if self.breaks || self.drawn.one_in(4) {
                    *self.drawn.of_these(&REALS)
                } else {
                    *self.drawn.of_these(&[0.0, 1.0, 15.0, 20.5, 3.0, 101.0])
                };
                bytes.extend(real.to_le_bytes());
            }
            Type::Fixed64 | Type::Sfixed64 => {
                tag(bytes, number, 1);
                bytes.extend(self.drawn.of_these(&NUMBERS).to_le_bytes());
            }
            Type::Float | Type::Fixed32 | Type::Sfixed32 => {
                tag(bytes, number, 5);
                bytes.extend(&self.drawn.of_these(&NUMBERS).to_le_bytes()[..4]);
            }
            Type::String => {
                let text = self.text(field.name());
                block(bytes, number, &text);
            }
            Type::Bytes => {
                let content = self.content();
                block(bytes, number, &content);
            }
            Type::Message | Type::Group => {
                if depth < DEPTH_MAX {
                    let inner = self.fields(field.type_name(), depth + 1);
                    block(bytes, number, &inner);
                }
            }
            Type::Enum => {
                tag(bytes, number, 0);
                let small = u64::try_from(self.drawn.place(8)).expect("fits");
                let value = if self.drawn.one_in(8) {
                    *self.drawn.of_these(&NUMBERS)
                } else {
                    small
                };
                encode_varint(value, bytes);
            }
            Type::Int64
            | Type::Uint64
            | Type::Int32
            | Type::Bool
            | Type::Uint32
            | Type::Sint32
            | Type::Sint64 => {
                tag(bytes, number, 0);
                encode_varint(self.number(), bytes);
            }
        }
    }

    /// A number: in a message that is right in form, mostly one that may well be meant.
    fn number(&mut self) -> u64 {
        if self.breaks || self.drawn.one_in(4) {
            return *self.drawn.of_these(&NUMBERS);
        }
        *self.drawn.of_these(&MEANT)
    }

    fn text(&mut self, field: &str) -> Vec<u8> {
        let meant = TEXTS_MEANT.iter().filter(|(name, _)| field == *name);
        let meant: Vec<_> = meant.map(|(_, text)| *text).collect();
        if !meant.is_empty() && !self.drawn.one_in(8) {
            return self.drawn.of_these(&meant).as_bytes().to_vec();
        }
        if self.breaks && self.drawn.one_in(40) {
            // No UTF-8: overlong, a lone surrogate, cut off.
            let wrong: [&[u8]; 3] = [b"\xc0\xaf", b"\xed\xa0\x80", b"\xf0\x9f"];
            return (*self.drawn.of_these(&wrong)).to_vec();
        }
        if self.drawn.one_in(20) {
            return "y"
                .repeat(*self.drawn.of_these(&[63, 64, 65, 4_000, 70_000]))
                .into();
        }
        self.drawn.of_these(&TEXTS).as_bytes().to_vec()
    }

    fn content(&mut self) -> Vec<u8> {
        if self.drawn.one_in(if self.breaks { 4 } else { 20 }) {
            let length = *self
                .drawn
                .of_these(&[0, 1, 15, 16, 17, 31, 32, 33, 64, 65, 70_000]);
            let byte = *self.drawn.of_these(&[0, 1, 0x7f, 0x80, 0xff]);
            return vec![byte; length];
        }
        self.drawn.of_these(&self.pool.bytes).clone()
    }

    fn break_now_and_then(&mut self, name: &str, bytes: &mut Vec<u8>) {
        let form = self.forms.messages.get(name);
        let inner = form.and_then(|form| {
            let mut messages = form
                .field
                .iter()
                .filter(|field| field.r#type() == Type::Message);
            messages.next()
        });
        match self.drawn.place(16) {
            // Cut off.
            0 if !bytes.is_empty() => bytes.truncate(self.drawn.place(bytes.len())),
            // A length beyond the end.
            1 => {
                tag(bytes, 1, 2);
                encode_varint(*self.drawn.of_these(&NUMBERS), bytes);
            }
            // A group that never ends, groups within groups, an end without a beginning.
            2 => bytes.extend([0x0b].repeat(*self.drawn.of_these(&[1, TOO_DEEP, 10_000]))),
            3 => bytes.push(0x0c),
            // A field that nobody knows; the number 0; a wire type that is none.
            4 => block(bytes, 90_000, b"newer"),
            5 => tag(bytes, 0, 2),
            6 => tag(bytes, 1, 7),
            // A number of more than 10 bytes (protobuf encoding guide, 'base 128 varints').
            7 => bytes.extend([&[0x08][..], &[0xff; 11]].concat()),
            // Messages within messages, deeper than is read.
            8 => {
                let number = inner.map_or(1, |field| u64::from(field.number().unsigned_abs()));
                let mut deep = Vec::new();
                for _ in 0..TOO_DEEP {
                    let mut around = Vec::new();
                    block(&mut around, number, &deep);
                    deep = around;
                }
                bytes.extend(deep);
            }
            // A wire type of another field.
            9 => {
                tag(bytes, 1, 0);
                encode_varint(5, bytes);
            }
            10 => {
                tag(bytes, 2, 5);
                bytes.extend([1, 2, 3, 4]);
            }
            // Noise.
            11 => {
                for _ in 0..self.drawn.place(200) {
                    let byte = self.drawn.any().to_le_bytes()[0];
                    bytes.push(byte);
                }
            }
            _ => {}
        }
    }
}

fn tag(bytes: &mut Vec<u8>, number: u64, wire_type: u64) {
    encode_varint(number << 3 | wire_type, bytes);
}

fn block(bytes: &mut Vec<u8>, number: u64, content: &[u8]) {
    tag(bytes, number, 2);
    encode_varint(u64::try_from(content.len()).expect("fits"), bytes);
    bytes.extend(content);
}
