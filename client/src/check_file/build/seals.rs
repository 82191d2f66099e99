//! Seals of bags as written down: number and earliest date; and who checked, on paper.

use sponson_log::event::MEMBER_BYTES_MAX;
use sponson_proto::event::v1::{BagSeal, SubjectType};
use sponson_show::{clean, dates};

use super::super::{CheckFileError, date_mark_to_wire};
use super::Builder;

/// Longest number of a seal: those that are sold have up to 12.
const SEAL_BYTES_MAX: usize = 40;

impl Builder<'_> {
    pub(super) fn seals(&mut self) -> Result<Vec<BagSeal>, CheckFileError> {
        let file = self.file;
        let mut seals = Vec::new();
        for (bag, line) in &file.seals {
            let at = format!("seals.{}", clean(bag));
            let bag = self.touch(&at, &[SubjectType::Bag], bag)?;
            let earliest = line.earliest.as_deref();
            let earliest = earliest.map(|text| dates::date_mark(&format!("{at}.earliest"), text));
            let earliest = earliest.transpose();
            let earliest = earliest.map_err(|error| CheckFileError::Quantity(error.to_string()))?;
            seals.push(BagSeal {
                bag,
                seal: number(&at, &line.number)?,
                earliest: earliest.map(date_mark_to_wire),
            });
        }
        Ok(seals)
    }

    pub(super) fn checked_by(&self) -> Result<String, CheckFileError> {
        let member = self.file.checked_by.clone().unwrap_or_default();
        let member = member.trim().to_owned();
        if member.len() <= MEMBER_BYTES_MAX && !member.chars().any(char::is_control) {
            return Ok(member);
        }
        Err(CheckFileError::Value {
            place: "checked_by".to_owned(),
            value: clean(&member),
            limit: format!("a member number has at most {MEMBER_BYTES_MAX} bytes"),
        })
    }
}

/// The number on a seal; empty when it is broken or gone.
fn number(at: &str, text: &str) -> Result<String, CheckFileError> {
    let text = text.trim();
    if ["broken", "gone", "none", "open", "missing"].contains(&text.to_lowercase().as_str()) {
        return Ok(String::new());
    }
    let fits = !text.is_empty() && text.len() <= SEAL_BYTES_MAX;
    if fits && !text.chars().any(char::is_control) {
        return Ok(text.to_owned());
    }
    Err(CheckFileError::Value {
        place: format!("{at}.number"),
        value: clean(text),
        limit: format!(
            "give the number on the seal, at most {SEAL_BYTES_MAX} bytes; broken or gone when it is"
        ),
    })
}
