//! The lead's sheets: boat standard and policy.

use sponson_readiness::standard::{Policy, Standard};

use crate::said::{choice, refused, text};

/// A boat standard. A first byte below 32 that is no blank or line end is left out.
///
/// # Panics
/// When the same text is read as another sheet.
pub fn boat_standard(data: &[u8]) {
    let Some(text) = text(data) else { return };
    match Standard::parse(text) {
        Ok(standard) => {
            assert_eq!(Standard::parse(text).as_ref(), Ok(&standard));
            assert!(
                standard
                    .parts
                    .iter()
                    .all(|part| !part.id.as_str().is_empty())
            );
        }
        Err(error) => refused(&sponson_show::clean(&error.to_string())),
    }
}

/// A county's policy.
///
/// # Panics
/// When the same text is read as another policy, or one was taken with which no local time can be
/// told.
pub fn policy(data: &[u8]) {
    let Some(text) = text(data) else { return };
    match Policy::parse(text) {
        Ok(policy) => {
            assert_eq!(Policy::parse(text).as_ref(), Ok(&policy));
            let day_min = 24 * 60;
            assert!((-day_min..=day_min).contains(&policy.utc_offset_min));
        }
        Err(error) => refused(&sponson_show::clean(&error.to_string())),
    }
}

/// Which sheet and question, and the text of the sheet.
pub(crate) fn sheet(data: &[u8]) -> Option<(usize, &str)> {
    let (which, rest) = choice(data);
    Some((which, text(rest)?))
}
