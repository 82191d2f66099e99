//! Many events without a process for each.

use prost::Message as _;
use sponson_log::ids::SubjectId;
use sponson_proto::event::v1::{Fault, FaultFound, Kind, Severity, SubjectType, Use, WaterType};
use sponson_replica::{NewEvent, Replica};

/// Now and then an event has a text so long that it takes several rows.
const LONG_TEXT_EVERY: u64 = 7;

/// The first two craft of [`crate::county::World`].
///
/// # Panics
/// When the county did not register them.
#[must_use]
pub fn craft(replica: &mut Replica) -> Vec<SubjectId> {
    let entries = replica.catalogue().entries;
    let craft = ["11", "12"].map(|number| {
        let found = entries.iter().find(|entry| entry.number == number);
        found.expect("the county registered it").id
    });
    craft.to_vec()
}

/// Uses, and a fault now and then, so that an event that is lost or doubled shows in the answer.
///
/// # Panics
/// When there are more than `u32::MAX`, or no craft.
#[must_use]
pub fn nth(number: u64, craft: &[SubjectId]) -> NewEvent {
    let place = usize::try_from(number).expect("few events") % craft.len();
    let (kind, payload) = payload(number);
    let long = number % LONG_TEXT_EVERY == LONG_TEXT_EVERY - 1;
    let text = (String::new(), "looked at, again. ".repeat(200), [9; 16]);
    NewEvent {
        kind,
        kind_version: 1,
        payload,
        subjects: vec![(craft[place], SubjectType::Craft)],
        observed: None,
        member: "M-7".to_owned(),
        texts: long.then_some(text).into_iter().collect(),
    }
}

fn payload(number: u64) -> (Kind, Vec<u8>) {
    if number.is_multiple_of(250) {
        let found = FaultFound {
            part: "tube-3".to_owned(),
            class: "leak".to_owned(),
            severity: Severity::Minor as i32,
            ..FaultFound::default()
        };
        let message = Fault {
            faults: vec![found],
        };
        return (Kind::Fault, message.encode_to_vec());
    }
    let message = Use {
        duration_s: 60 + u32::try_from(number).expect("few events"),
        water: WaterType::Fresh as i32,
        ..Use::default()
    };
    (Kind::Use, message.encode_to_vec())
}
