//! Short names of events, subjects and faults, as they are printed and typed.

use sponson_proto::service::v1::CatalogueFault;

/// Fewest hexadecimal digits by which an event or a subject is named: 8 digits are 32 bits, and
/// two of a million events share them in about one county of 10; then more digits are asked for.
pub const ID_DIGITS_MIN: usize = 8;

/// Digits of a name such as `#1a2b3c4d`.
pub(super) fn id_digits(name: &str) -> Option<String> {
    let digits = name.strip_prefix('#')?;
    (digits.len() >= ID_DIGITS_MIN && digits.bytes().all(|b| b.is_ascii_hexdigit()))
        .then(|| digits.to_ascii_lowercase())
}

/// Lower-case hexadecimal.
#[must_use]
pub fn hex(bytes: &[u8]) -> String {
    use std::fmt::Write as _;
    bytes.iter().fold(String::new(), |mut text, byte| {
        // Writing to a String cannot fail.
        let _ = write!(text, "{byte:02x}");
        text
    })
}

/// Short name of an event, `1a2b3c4d`.
#[must_use]
pub fn short_event(id: &[u8]) -> String {
    hex(id).chars().take(ID_DIGITS_MIN).collect()
}

/// Short name of a subject, `#1a2b3c4d`.
#[must_use]
pub fn short_subject(id: &[u8]) -> String {
    format!("#{}", short_event(id))
}

/// Short name of a fault, `1a2b3c4d-0`.
#[must_use]
pub fn short_fault(fault: &CatalogueFault) -> String {
    format!("{}-{}", short_event(&fault.event), fault.ordinal)
}

/// Whole name of a fault.
pub(super) fn whole_fault(fault: &CatalogueFault) -> String {
    format!("{}-{}", hex(&fault.event), fault.ordinal)
}
