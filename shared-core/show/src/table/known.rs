//! What an answer about earlier knowledge rests on, before anything else is said.

use sponson_readiness::answer::CountyAnswer;

use super::lines::Lines;

/// Which entries of which county log were known, at most 80 columns wide.
#[must_use]
pub fn known_by_text(answer: &CountyAnswer) -> String {
    let known = &answer.known_by;
    let hex = |bytes: &[u8]| -> String { bytes.iter().map(|byte| format!("{byte:02x}")).collect() };
    let mut lines = Lines::default();
    lines.hanging(
        "",
        &format!(
            "AS KNOWN BY ENTRY {} OF THE COUNTY LOG: what came later has no part in this.",
            known.size
        ),
    );
    lines.hanging("  log ", &hex(&known.log_id));
    lines.hanging("  root ", &hex(&known.root));
    lines.into_text()
}
