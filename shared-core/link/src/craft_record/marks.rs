//! What was said of an entry since: corrected, withdrawn, signed off, ended; and whether it counts.

use std::collections::BTreeMap;

use bytes::Bytes;
use prost::Message as _;
use sponson_log::trust::{Trust, Unconfirmed};
use sponson_proto::event::v1::{self as wire, Kind};

use super::build::{Making, Spoken};
use super::said::event_name;

/// Marks by the event that they are of.
#[derive(Debug, Default)]
pub(super) struct Marks {
    said: BTreeMap<Vec<u8>, Vec<String>>,
    withdrawn: std::collections::BTreeSet<Vec<u8>>,
}

impl Marks {
    pub(super) fn of(all: &[Spoken<'_>], making: &Making<'_>) -> Self {
        let mut marks = Self::default();
        for one in all.iter().filter(|one| !one.line.dismissed) {
            for (event, what) in names(one) {
                let unconfirmed = match one.line.line.trust {
                    Trust::Trusted => "",
                    Trust::Unconfirmed(_) => ", unconfirmed: it changes nothing",
                };
                let by = event_name(one.line.line.event.id().as_bytes());
                let when = making.when(one.line);
                let of_event = marks.said.entry(event.to_vec()).or_default();
                of_event.push(format!("{what} by entry {by}, {when}{unconfirmed}"));
            }
            if is_withdrawal(one) && one.line.line.trust == Trust::Trusted {
                marks.withdrawn.extend(original(one).map(|id| id.to_vec()));
            }
        }
        marks
    }

    /// What is to be said of an entry.
    pub(super) fn of_entry(&self, one: &Spoken<'_>) -> Vec<String> {
        let mut marks = Vec::new();
        if one.line.dismissed {
            marks.push("dismissed by the lead: it says nothing any more".to_owned());
        } else if let Trust::Unconfirmed(why) = one.line.line.trust {
            marks.push(format!(
                "unconfirmed, it relieves nothing: {}",
                unconfirmed(why)
            ));
        }
        if !one.line.understood {
            let text =
                "of a kind or version that this program does not know: use the newer program";
            marks.push(text.to_owned());
        }
        if one.kind == Kind::Correction && !one.line.may_sign_off {
            let text = "its author may not sign faults off: where it would make the craft better it \
                        stands beside the original, and the worse counts";
            marks.push(text.to_owned());
        }
        let id = one.line.line.event.id();
        let said = self.said.get(id.as_bytes().as_slice());
        marks.extend(said.into_iter().flatten().cloned());
        marks
    }

    /// Whether an entry was withdrawn or dismissed.
    pub(super) fn says_nothing(&self, one: &Spoken<'_>) -> bool {
        let id = one.line.line.event.id();
        one.line.dismissed || self.withdrawn.contains(id.as_bytes().as_slice())
    }
}

const fn unconfirmed(why: Unconfirmed) -> &'static str {
    match why {
        Unconfirmed::NotAdmitted => "the device is not admitted yet",
        Unconfirmed::NoRole => "the device may not record this",
        Unconfirmed::AfterEnd => "the lead ended the device's key before this",
        Unconfirmed::Parted => "the device was restored or copied: the lead must confirm this",
    }
}

fn correction(one: &Spoken<'_>) -> Option<wire::Correction> {
    let is_one = one.kind == Kind::Correction;
    is_one
        .then(|| wire::Correction::decode(one.line.line.event.payload().clone()).ok())
        .flatten()
}

fn is_withdrawal(one: &Spoken<'_>) -> bool {
    correction(one).is_some_and(|it| it.r#type() == wire::CorrectionType::Withdrawn)
}

fn original(one: &Spoken<'_>) -> Option<Bytes> {
    correction(one).map(|it| it.original)
}

/// The events that an entry names, and what it does to each.
fn names(one: &Spoken<'_>) -> Vec<(Bytes, String)> {
    let payload = one.line.line.event.payload().clone();
    named_faults(one.kind, &payload)
        .or_else(|| named_events(one.kind, &payload))
        .unwrap_or_default()
}

fn named_faults(kind: Kind, payload: &Bytes) -> Option<Vec<(Bytes, String)>> {
    let payload = payload.clone();
    let (faults, what) = if kind == Kind::SignOff {
        (wire::SignOff::decode(payload).ok()?.closes, "signed off")
    } else if kind == Kind::Repair {
        (wire::Repair::decode(payload).ok()?.faults, "worked on")
    } else if kind == Kind::WaiverGranted {
        let waiver = wire::WaiverGranted::decode(payload).ok()?;
        (waiver.faults, "waived for a time")
    } else if kind == Kind::LeadDecision {
        let decision = wire::LeadDecision::decode(payload).ok()?;
        (decision.faults, "decided about")
    } else {
        return None;
    };
    let named = faults.into_iter();
    Some(
        named
            .map(|fault| (fault.event, format!("fault {} {what}", fault.ordinal)))
            .collect(),
    )
}

fn named_events(kind: Kind, payload: &Bytes) -> Option<Vec<(Bytes, String)>> {
    let payload = payload.clone();
    let (events, what) = if kind == Kind::Returned {
        (wire::Returned::decode(payload).ok()?.ends, "ended")
    } else if kind == Kind::WaiverWithdrawn {
        let it = wire::WaiverWithdrawn::decode(payload).ok()?;
        (vec![it.waiver], "withdrawn")
    } else if kind == Kind::Released {
        let it = wire::Released::decode(payload).ok()?;
        (vec![it.assignment], "released")
    } else if kind == Kind::HoldLifted {
        (vec![wire::HoldLifted::decode(payload).ok()?.hold], "lifted")
    } else if kind == Kind::Attachment {
        let it = wire::Attachment::decode(payload).ok()?;
        (vec![it.event], "pictures added")
    } else if kind == Kind::Redacted {
        let it = wire::Redacted::decode(payload).ok()?;
        (vec![it.event], "a text or picture removed")
    } else if kind == Kind::Correction {
        let it = wire::Correction::decode(payload).ok()?;
        let what = match it.r#type() {
            wire::CorrectionType::Withdrawn => "withdrawn",
            wire::CorrectionType::Restated => "restated",
            wire::CorrectionType::Unspecified => "corrected",
        };
        (vec![it.original], what)
    } else {
        return None;
    };
    let named = events.into_iter();
    Some(named.map(|event| (event, what.to_owned())).collect())
}
