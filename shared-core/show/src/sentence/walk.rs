//! What a stop of the walk round a craft is called.

use sponson_readiness::walk::StopLabel;

use crate::clean::clean;

/// A stop in words.
#[must_use]
pub fn stop_text(label: &StopLabel) -> String {
    match label {
        StopLabel::Sheet(words) => clean(words),
        StopLabel::Arriving => "On arriving".to_owned(),
        StopLabel::Round => "Round the craft".to_owned(),
        StopLabel::Motor => "Motor and fuel".to_owned(),
        StopLabel::Trailer => "Trailer".to_owned(),
        StopLabel::Kit => "Kit on the craft".to_owned(),
        StopLabel::Bag(number) => format!("Kit bag {}", clean(number)),
        StopLabel::Rest => "What is left".to_owned(),
        StopLabel::Faults => "Faults found".to_owned(),
    }
}
