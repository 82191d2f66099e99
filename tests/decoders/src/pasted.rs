//! What people copy from elsewhere: the code of an admission, a weather report.

use sponson_link::Code;
use sponson_readiness::moment::Moment;

use crate::county::START;
use crate::said::{refused, shown, text};

/// A code by which a device is let in.
///
/// # Panics
/// When a code is printed as one that is read otherwise.
pub fn admission_code(data: &[u8]) {
    let Some(typed) = text(data) else { return };
    match Code::parse(typed) {
        Ok(code) => {
            let again = Code::parse(&code.to_string()).expect("a code that was printed reads");
            assert_eq!(again.county(), code.county());
            assert!(again.secret() == code.secret());
        }
        Err(error) => refused(&error.to_string()),
    }
}

/// A weather report as pasted.
///
/// # Panics
/// When the report as it is kept reads otherwise.
pub fn weather_report(data: &[u8]) {
    let Some(pasted) = text(data) else { return };
    match sponson_link::weather_report::read(pasted, Moment(START)) {
        Ok(report) => {
            shown(&report.text);
            let again = sponson_link::weather_report::read(&report.text, Moment(START));
            assert_eq!(again.ok().as_ref(), Some(&report), "'{pasted}'");
        }
        Err(refusal) => {
            refused(refusal.what());
            refused(refusal.to_do());
        }
    }
}
