//! The county's settings for pictures, from the `[pictures]` table of its policy.
//!
//! A policy that was signed before a setting existed stands for its default. Nothing here changes
//! how a craft is judged.

use serde::Deserialize;

use crate::standard::StandardError;
use crate::standard::quantity::Spot;

/// Pictures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PicturesPolicy {
    /// Longest side, dots. Default 1,600: common practice, no source.
    pub longest_side: u32,
    /// Greatest size of one, bytes. Default 400,000: common practice, no source.
    pub bytes_each: u32,
    /// Whether the place where it was taken stays in it. Default no.
    pub keep_position: KeepPosition,
    /// Room for pictures on a station's device, bytes. Default 200 MB.
    pub budget_bytes: u64,
}

/// Whether the place where a picture was taken stays in it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum KeepPosition {
    /// It is taken out with everything else.
    No,
    /// It stays, alone.
    Yes,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct RawPictures {
    longest_side: u32,
    bytes_each: u32,
    keep_position: KeepPosition,
    budget: String,
}

impl Default for RawPictures {
    fn default() -> Self {
        Self {
            longest_side: 1_600,
            bytes_each: 400_000,
            keep_position: KeepPosition::No,
            budget: "200 MB".to_owned(),
        }
    }
}

impl RawPictures {
    /// Reads the settings.
    ///
    /// # Errors
    ///
    /// [`StandardError`] names the field, the value and what is allowed.
    pub(super) fn checked(&self) -> Result<PicturesPolicy, StandardError> {
        let at = |field| Spot {
            place: "policy, pictures",
            field,
        };
        if !(320..=4_000).contains(&self.longest_side) {
            let value = self.longest_side.to_string();
            return Err(at("longest_side").refuse(&value, "give from 320 to 4000 dots"));
        }
        // What one event may commit to: see PICTURE_BYTES_MAX of the log.
        if !(20_000..=1_000_000).contains(&self.bytes_each) {
            let value = self.bytes_each.to_string();
            return Err(at("bytes_each").refuse(&value, "give from 20000 to 1000000 bytes"));
        }
        Ok(PicturesPolicy {
            longest_side: self.longest_side,
            bytes_each: self.bytes_each,
            keep_position: self.keep_position,
            budget_bytes: at("budget").bytes(&self.budget)?,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standard::Policy;

    fn read(table: &str) -> Result<PicturesPolicy, StandardError> {
        let text = Policy::default_text();
        let (before, _) = text.split_once("[pictures]").expect("it is the last table");
        Policy::parse(&format!("{before}{table}")).map(|policy| policy.pictures)
    }

    #[test]
    fn a_policy_without_the_table_stands_for_the_settings_that_come_with_the_program() {
        let shipped = Policy::parse(Policy::default_text())
            .expect("it reads")
            .pictures;
        assert_eq!(read(""), Ok(shipped));
        assert_eq!(shipped.longest_side, 1_600);
        assert_eq!(shipped.bytes_each, 400_000);
        assert_eq!(shipped.keep_position, KeepPosition::No);
        assert_eq!(shipped.budget_bytes, 200_000_000);
    }

    #[test]
    fn a_setting_that_cannot_be_is_refused_with_its_limit() {
        for (line, limit) in [
            ("longest_side = 319", "320 to 4000"),
            ("longest_side = 4001", "320 to 4000"),
            ("bytes_each = 19999", "20000 to 1000000"),
            ("bytes_each = 1000001", "20000 to 1000000"),
            ("budget = \"0 MB\"", "1 MB to 100 GB"),
            ("budget = \"200\"", "1 MB to 100 GB"),
            ("keep_position = \"maybe\"", "no"),
            ("quality = 3", "unknown field"),
        ] {
            let refused = read(&format!("[pictures]\n{line}\n")).expect_err(line);
            assert!(refused.to_string().contains(limit), "{refused}");
        }
    }
}
