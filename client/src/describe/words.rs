//! One event in one short line.

use bytes::Bytes;
use prost::Message;
use sponson_proto::event::v1::{self as wire, Kind};
use sponson_readiness::moment::Moment;
use sponson_show::clean;
use sponson_show::units::print;

use crate::catalogue::{Catalogue, short_event};

/// A kind of event in words.
#[must_use]
pub const fn kind_words(kind: Kind) -> &'static str {
    match kind {
        Kind::Unspecified => "something that this version does not know",
        Kind::KeyAdmitted => "key admitted",
        Kind::KeyEnded => "key ended",
        Kind::StationRegistered => "station registered",
        Kind::RoleGiven => "roles given",
        Kind::Policy => "policy set",
        Kind::BoatStandard => "boat standard adopted",
        Kind::LogBegun => "county log begun anew",
        Kind::CraftRegistered => "craft registered",
        Kind::GearRegistered => "gear registered",
        Kind::BagRegistered => "bag registered",
        Kind::ShelfRegistered => "shelf registered",
        Kind::NumberChanged => "number changed",
        Kind::Placed => "placed",
        Kind::Fitted => "fitted",
        Kind::TakenOff => "taken off",
        Kind::Condemned => "condemned",
        Kind::HeldCountyWide => "held county-wide",
        Kind::HoldLifted => "county-wide hold lifted",
        Kind::SameAs => "said to be the same as another",
        Kind::StockCounted => "spares counted",
        Kind::Check => "check",
        Kind::AirChanged => "air changed",
        Kind::Use => "used",
        Kind::Fault => "fault",
        Kind::Repair => "repair",
        Kind::SignOff => "signed off",
        Kind::InspectionDone => "inspection",
        Kind::OutOfService => "out of service",
        Kind::Returned => "back in service",
        Kind::WaiverGranted => "waiver granted",
        Kind::WaiverWithdrawn => "waiver withdrawn",
        Kind::Assigned => "assigned",
        Kind::Released => "released",
        Kind::CrewsAvailable => "crews available",
        Kind::MemberLevel => "member's level",
        Kind::Correction => "correction",
        Kind::Dismissed => "unconfirmed events dismissed",
        Kind::LeadDecision => "decision of the lead",
        Kind::Attachment => "pictures added",
        Kind::Note => "note",
        Kind::Redacted => "text removed",
    }
}

/// An event in one short line, without whom it is about.
#[must_use]
pub fn describe(kind: Kind, payload: &Bytes, catalogue: &Catalogue) -> String {
    match kind {
        Kind::Check => with(kind, payload, check),
        Kind::AirChanged => with(kind, payload, air),
        Kind::Use => with(kind, payload, usage),
        Kind::Fault => with(kind, payload, fault),
        Kind::Repair => with(kind, payload, repair),
        Kind::LeadDecision => with(kind, payload, decided),
        Kind::Redacted => with(kind, payload, redacted),
        Kind::SignOff => with(kind, payload, |message: wire::SignOff| {
            format!("signed off {}", faults(&message.closes))
        }),
        Kind::InspectionDone => with(kind, payload, inspection),
        Kind::OutOfService => with(kind, payload, out),
        Kind::WaiverGranted => with(kind, payload, |message: wire::WaiverGranted| {
            let missions = clean(&message.missions.join(", "));
            format!("waiver for {missions} with {}", faults(&message.faults))
        }),
        Kind::Assigned => with(kind, payload, assigned),
        Kind::Placed => with(kind, payload, |message: wire::Placed| {
            format!("now at {}", catalogue.number(&message.at))
        }),
        Kind::Fitted => with(kind, payload, |message: wire::Fitted| {
            let craft = catalogue.number(&message.craft);
            format!("fitted to {craft} as {}", clean(&message.part))
        }),
        Kind::TakenOff => with(kind, payload, |message: wire::TakenOff| {
            format!("taken off {}", catalogue.number(&message.craft))
        }),
        Kind::NumberChanged => with(kind, payload, |message: wire::NumberChanged| {
            format!("number changed to {}", clean(&message.number))
        }),
        Kind::CraftRegistered => with(kind, payload, |message: wire::CraftRegistered| {
            format!("craft registered, {}", clean(&message.model))
        }),
        Kind::StationRegistered => with(kind, payload, |message: wire::StationRegistered| {
            format!("station {} registered", clean(&message.name))
        }),
        Kind::BoatStandard => with(kind, payload, |message: wire::BoatStandard| {
            format!(
                "boat standard {} revision {}",
                clean(&message.model),
                message.revision
            )
        }),
        Kind::KeyAdmitted => with(kind, payload, |message: wire::KeyAdmitted| {
            let key = short_event(&message.key);
            format!("key {key} admitted {}", clean(&message.device))
                .trim_end()
                .to_owned()
        }),
        Kind::LogBegun => with(kind, payload, log_begun),
        Kind::Correction => with(kind, payload, |message: wire::Correction| {
            format!("correction of {}", short_event(&message.original))
        }),
        Kind::KeyEnded => with(kind, payload, |message: wire::KeyEnded| {
            let key = short_event(&message.key);
            let good = match message.last_good_seq {
                0 => "none of its entries is good".to_owned(),
                last => format!("its entries to {last} are good"),
            };
            format!("key {key} ended: {good}")
        }),
        Kind::RoleGiven => with(kind, payload, |message: wire::RoleGiven| {
            let key = short_event(&message.key);
            format!(
                "roles given to key {key} from its entry {}",
                message.from_seq
            )
        }),
        Kind::Dismissed => with(kind, payload, |message: wire::Dismissed| {
            let key = short_event(&message.key);
            let from = message.from_seq;
            format!("unconfirmed entries of key {key} dismissed from {from} on")
        }),
        Kind::HeldCountyWide => with(kind, payload, held),
        Kind::HoldLifted => with(kind, payload, |message: wire::HoldLifted| {
            format!("county-wide hold {} lifted", short_event(&message.hold))
        }),
        Kind::CrewsAvailable => with(kind, payload, |message| crews(&message, catalogue)),
        Kind::MemberLevel => with(kind, payload, level),
        Kind::SameAs => with(kind, payload, |message: wire::SameAs| {
            let other = catalogue.number(&message.other);
            let one = catalogue.number(&message.one);
            format!("{one} and {other} are the same")
        }),
        Kind::Unspecified
        | Kind::Policy
        | Kind::GearRegistered
        | Kind::BagRegistered
        | Kind::ShelfRegistered
        | Kind::Condemned
        | Kind::StockCounted
        | Kind::Returned
        | Kind::WaiverWithdrawn
        | Kind::Released
        | Kind::Attachment
        | Kind::Note => kind_words(kind).to_owned(),
    }
}

fn with<M: Message + Default>(kind: Kind, payload: &Bytes, say: impl Fn(M) -> String) -> String {
    M::decode(payload.clone())
        .map_or_else(|_| format!("{} (cannot be read)", kind_words(kind)), say)
}

/// What a station can raise, in the county's local time.
fn crews(message: &wire::CrewsAvailable, catalogue: &Catalogue) -> String {
    let number = print::count(i64::from(message.crews), "crew");
    let persons = match message.persons {
        0 => String::new(),
        persons => format!(" ({})", print::count(i64::from(persons), "person")),
    };
    let offset = catalogue.policy().utc_offset_min;
    let at = |unix_ms| print::local(Moment(unix_ms), offset);
    let (from, until) = (at(message.from_unix_ms), at(message.until_unix_ms));
    let operators = match message.operators.as_slice() {
        [] => String::new(),
        named => format!(", operators {}", clean(&named.join(", "))),
    };
    format!("{number}{persons} from {from} until {until}{operators}")
}

fn level(message: wire::MemberLevel) -> String {
    let until = message.until.map(|mark| {
        let (month, day) = (mark.month, mark.day);
        match (month, day) {
            (0, _) => format!(" until {}", mark.year),
            (month, 0) => format!(" until {}-{month:02}", mark.year),
            (month, day) => format!(" until {}-{month:02}-{day:02}", mark.year),
        }
    });
    let level = clean(&message.level);
    let member = clean(&message.member);
    format!("member {member}: {level}{}", until.unwrap_or_default())
}

/// What is held: a model, a batch, a part, and for which missions.
fn held(message: wire::HeldCountyWide) -> String {
    let named = [
        ("model", &message.model),
        ("batch", &message.batch),
        ("part", &message.part),
    ];
    let named: Vec<String> = named
        .iter()
        .filter(|(_, value)| !value.is_empty())
        .map(|(name, value)| format!("{name} {}", clean(value)))
        .collect();
    let missions = if message.missions.is_empty() {
        String::new()
    } else {
        format!(" for {}", clean(&message.missions.join(", ")))
    };
    format!("held county-wide: {}{missions}", named.join(", "))
}

/// What the lead decided, about what, resting on how many faults.
fn decided(message: wire::LeadDecision) -> String {
    let action = match message.action() {
        wire::LeadAction::Unspecified => "something that this version does not know",
        wire::LeadAction::RepairAgain => "repair it again",
        wire::LeadAction::SendToMaker => "send it to the maker",
        wire::LeadAction::TakeOut => "take it out of service",
        wire::LeadAction::Condemn => "condemn it",
        wire::LeadAction::HoldBatch => "hold all of them",
        wire::LeadAction::Watch => "watch it",
    };
    let named = [
        ("model ", &message.model),
        ("batch ", &message.batch),
        ("", &message.part),
    ];
    let named = named
        .iter()
        .filter(|(_, value)| !value.is_empty())
        .map(|(name, value)| format!("{name}{}", clean(value)));
    let faults = match message.faults.len() {
        0 => None,
        number => Some(print::count(
            i64::try_from(number).unwrap_or(i64::MAX),
            "fault",
        )),
    };
    let about: Vec<String> = named.chain(faults).collect();
    match about.as_slice() {
        [] => format!("decided: {action}"),
        about => format!("decided: {action} ({})", about.join(", ")),
    }
}

fn assigned(message: wire::Assigned) -> String {
    let incident = clean(&message.incident);
    match clean(&message.mission) {
        mission if mission.is_empty() => format!("assigned to {incident}"),
        mission => format!("assigned to {incident} for {mission}"),
    }
}

fn check(message: wire::Check) -> String {
    let extent = match message.extent() {
        wire::CheckExtent::Full => "full check",
        wire::CheckExtent::Short => "short check",
        wire::CheckExtent::Part => "part of a check",
        wire::CheckExtent::Unspecified => "check",
    };
    let no = message
        .answers
        .iter()
        .filter(|answer| answer.value() == wire::AnswerValue::No)
        .count();
    let parts = [
        (message.readings.len(), "reading"),
        (message.counts.len(), "count"),
        (message.answers.len(), "answer"),
        (no, "'no'"),
        (message.faults.len(), "fault"),
        (message.seals.len(), "seal"),
    ];
    let parts: Vec<String> = parts
        .iter()
        .filter(|(number, _)| *number > 0)
        .map(|(number, noun)| match *noun {
            "'no'" => format!("{number} 'no'"),
            noun => print::count(i64::try_from(*number).unwrap_or(i64::MAX), noun),
        })
        .collect();
    let paper = if message.checked_by.is_empty() {
        String::new()
    } else {
        format!(", from paper, checked by {}", clean(&message.checked_by))
    };
    if parts.is_empty() {
        return format!("{extent}{paper}");
    }
    format!("{extent}: {}{paper}", parts.join(", "))
}

fn log_begun(message: wire::LogBegun) -> String {
    let held = message.old_size;
    match message.reason() {
        wire::LogBegunReason::Restored => {
            format!("county restored from a backup of {held} entries")
        }
        wire::LogBegunReason::Shown => format!(
            "county was put back: it held {held} entries, and had signed {}",
            message.shown_size
        ),
        wire::LogBegunReason::Unspecified => {
            format!("county log begun anew after {held} entries")
        }
    }
}

fn redacted(message: wire::Redacted) -> String {
    let why = match message.reason() {
        wire::RedactionReason::Unspecified => "",
        wire::RedactionReason::Personal => " (it told of a person)",
        wire::RedactionReason::Patient => " (it told of a patient)",
        wire::RedactionReason::Misplaced => " (it did not belong there)",
        wire::RedactionReason::Ordered => " (it may not be kept)",
    };
    format!("text of {} removed{why}", short_event(&message.event))
}

fn air(message: wire::AirChanged) -> String {
    let done = match message.direction() {
        wire::AirDirection::Added => "air added to",
        wire::AirDirection::LetOut => "air let out of",
        wire::AirDirection::Unspecified => "air changed at",
    };
    format!("{done} {}", clean(&message.part))
}

fn usage(message: wire::Use) -> String {
    let mut said = format!(
        "used for {}",
        print::span(i64::from(message.duration_s) * 1000)
    );
    for (happened, words) in [
        (message.capsized, "capsized"),
        (message.motor_immersed, "motor under water"),
        (message.hard, "hard use"),
    ] {
        if happened {
            said.push_str(", ");
            said.push_str(words);
        }
    }
    said
}

fn fault(message: wire::Fault) -> String {
    let faults: Vec<String> = message.faults.iter().map(one_fault).collect();
    faults.join("; ")
}

/// One fault: how bad, what, where.
pub(super) fn one_fault(fault: &wire::FaultFound) -> String {
    let severity = match fault.severity() {
        wire::Severity::Unspecified => "fault:",
        wire::Severity::Disabling => "disabling",
        wire::Severity::Restrictive => "restrictive",
        wire::Severity::Major => "major",
        wire::Severity::Minor => "minor",
    };
    format!(
        "{severity} {} at {}",
        clean(&fault.class),
        clean(&fault.part)
    )
}

fn repair(message: wire::Repair) -> String {
    let method = clean(&message.method.replace('-', " "));
    format!("repair ({method}) of {}", faults(&message.faults))
}

fn inspection(message: wire::InspectionDone) -> String {
    let result = match message.result() {
        wire::InspectionResult::Passed => "passed",
        wire::InspectionResult::Failed => "failed",
        wire::InspectionResult::Unspecified => "done",
    };
    let ran = message.run_s.map_or_else(String::new, |run_s| {
        let span = sponson_show::units::print::span(i64::from(run_s) * 1_000);
        format!(", ran for {span}")
    });
    let parts: Vec<String> = message.holds.iter().map(|it| clean(&it.part)).collect();
    let held = match parts.as_slice() {
        [] => String::new(),
        parts => format!(" ({} held)", parts.join(", ")),
    };
    format!("{} {result}{ran}{held}", clean(&message.inspection))
}

fn out(message: wire::OutOfService) -> String {
    let reason = match message.reason() {
        wire::OutReason::Mechanical => "mechanical",
        wire::OutReason::Personnel => "personnel",
        wire::OutReason::Rest => "rest",
        wire::OutReason::Unspecified => "no reason given",
    };
    format!("out of service ({reason})")
}

fn faults(references: &[wire::FaultRef]) -> String {
    let names: Vec<String> = references
        .iter()
        .map(|fault| format!("{}-{}", short_event(&fault.event), fault.ordinal))
        .collect();
    names.join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::tests::sample;

    #[test]
    fn events_are_described_in_plain_words() {
        let say = |kind, message: &dyn Fn() -> Vec<u8>| {
            describe(kind, &Bytes::from(message()), &sample())
        };
        let check = wire::Check {
            extent: wire::CheckExtent::Full as i32,
            readings: vec![wire::Reading::default(); 2],
            answers: vec![wire::Answer {
                value: wire::AnswerValue::No as i32,
                ..wire::Answer::default()
            }],
            ..wire::Check::default()
        };
        let used = wire::Use {
            duration_s: 5_400,
            capsized: true,
            ..wire::Use::default()
        };
        let placed = wire::Placed {
            at: Bytes::from(vec![1; 16]),
            at_type: wire::SubjectType::Station as i32,
        };
        let said = [
            say(Kind::Check, &|| check.encode_to_vec()),
            say(Kind::Use, &|| used.encode_to_vec()),
            say(Kind::Placed, &|| placed.encode_to_vec()),
            say(Kind::Returned, &Vec::new),
            say(Kind::Fault, &|| vec![0xff]),
        ];
        insta::assert_snapshot!(said.join("\n"), @r"
        full check: 2 readings, 1 answer, 1 'no'
        used for 1 h 30 min, capsized
        now at North Landing
        back in service
        fault (cannot be read)
        ");
    }
}
