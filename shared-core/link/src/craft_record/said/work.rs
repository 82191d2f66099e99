//! Air, use, repairs, inspections, status, permissions, assignments, decisions.

use sponson_proto::event::v1 as wire;
use sponson_show::clean;
use sponson_show::units::print;

use super::{Said, Words, checks, event_name, faults_named, line_words, list, part_words, seconds};

pub(super) fn air(it: &wire::AirChanged, words: &Words<'_>) -> Said {
    let part = part_words(words.newest(), &it.part);
    let what = match it.direction() {
        wire::AirDirection::Added => format!("Air added to {part}"),
        wire::AirDirection::LetOut => format!("Air let out of {part}"),
        wire::AirDirection::Unspecified => format!("Air changed at {part}"),
    };
    let source = match it.source() {
        wire::AirSource::Unspecified => "",
        wire::AirSource::HandPump => "hand pump",
        wire::AirSource::FootPump => "foot pump",
        wire::AirSource::ElectricPump => "electric pump",
        wire::AirSource::Cylinder => "cylinder",
        wire::AirSource::BreathingSet => "breathing set",
        wire::AirSource::Compressor => "compressor",
    };
    let gauge = |pa: Option<i64>| pa.map(|pa| words.pressure(pa)).unwrap_or_default();
    let left = it.source_after_kpa.map(|kpa| i64::from(kpa) * 1_000);
    let named = |id: &[u8]| match id {
        [] => String::new(),
        id => words.name(id),
    };
    Said::new(what)
        .with("gauge before", gauge(it.gauge_before_pa))
        .with("gauge after", gauge(it.gauge_after_pa))
        .with("from", source)
        .with("which", named(&it.source_gear))
        .with("its gauge afterwards", gauge(left))
        .with(
            "air temperature",
            it.air_mc
                .map(|mc| words.temperature(mc))
                .unwrap_or_default(),
        )
}

pub(super) fn used(it: &wire::Use, words: &Words<'_>) -> Said {
    let water = match it.water() {
        wire::WaterType::Unspecified => "",
        wire::WaterType::Fresh => "fresh",
        wire::WaterType::Salt => "salt",
        wire::WaterType::Polluted => "polluted",
    };
    let yes = |happened: bool| if happened { "yes" } else { "" };
    let engine = it.engine_s.map(|s| print::engine(s.into()));
    let used_up = it.used_up.iter();
    Said::new(format!("On the water for {}", seconds(it.duration_s)))
        .with("mission", &it.mission)
        .with("engine ran", engine.unwrap_or_default())
        .with_all(it.meters.iter().map(|one| checks::meter(one, words)))
        .with("water", water)
        .with("capsized", yes(it.capsized))
        .with("motor under water", yes(it.motor_immersed))
        .with("hard use", yes(it.hard))
        .with_all(used_up.map(|one| {
            let (item, number) = checks::count(one, words.newest(), words);
            (format!("used up: {item}"), number)
        }))
}

pub(super) fn repair(it: &wire::Repair, words: &Words<'_>) -> Said {
    let part = part_words(words.newest(), &it.part);
    let method = clean(&it.method.replace('-', " "));
    let holds = it.holds.iter().map(|hold| {
        let what = match hold.r#type() {
            wire::HoldType::Unspecified => "nothing",
            wire::HoldType::Inflate => "not to be inflated for",
            wire::HoldType::Launch => "not to be launched for",
        };
        (
            "hold".to_owned(),
            format!("{what} {}", seconds(hold.duration_s)),
        )
    });
    Said::new(format!("Repair of {part}: {method}"))
        .with("faults worked on", faults_named(&it.faults))
        .with("glue batch", &it.adhesive_batch)
        .with_all(holds)
}

pub(super) fn inspection(it: &wire::InspectionDone, words: &Words<'_>) -> Said {
    let result = match it.result() {
        wire::InspectionResult::Passed => "passed",
        wire::InspectionResult::Failed => "FAILED",
        wire::InspectionResult::Unspecified => "done",
    };
    let sheet = words.newest();
    let line = line_words(sheet, &it.inspection);
    let meter = it.engine_s.map(print::engine);
    let holds = it.holds.iter().map(|hold| {
        (
            format!("hold test of {}", part_words(sheet, &hold.part)),
            held(hold, words),
        )
    });
    Said::new(format!("Inspection {result}: {line}"))
        .with("engine meter", meter.unwrap_or_default())
        .with("ran for", it.run_s.map(seconds).unwrap_or_default())
        .with_all(holds)
}

/// A hold test: both ends, and how long.
fn held(it: &wire::HoldTest, words: &Words<'_>) -> String {
    let end = |pa: i64, mc: Option<i32>, ambient: Option<u32>| {
        let mut said = words.pressure(pa);
        if let Some(mc) = mc {
            said.push_str(&format!(" at {}", words.temperature(mc)));
        }
        if let Some(pa) = ambient {
            said.push_str(&format!(", barometer {}", print::altimeter(pa.into())));
        }
        said
    };
    format!(
        "{}, then {} after {}",
        end(it.start_gauge_pa, it.start_mc, it.start_ambient_pa),
        end(it.end_gauge_pa, it.end_mc, it.end_ambient_pa),
        seconds(it.duration_s)
    )
}

pub(super) fn out(it: &wire::OutOfService) -> Said {
    Said::new(match it.reason() {
        wire::OutReason::Mechanical => "Out of service: mechanical",
        wire::OutReason::Personnel => "Out of service: personnel",
        wire::OutReason::Rest => "Out of service: rest",
        wire::OutReason::Unspecified => "Out of service",
    })
}

pub(super) fn waiver(it: &wire::WaiverGranted, words: &Words<'_>) -> Said {
    Said::new(format!("Waiver until {}", words.local(it.until_unix_ms)))
        .with("with the faults", faults_named(&it.faults))
        .with("for", list(&it.missions))
}

/// An assignment keeps what was shown: its readiness then, and the report by its SHA-256.
pub(super) fn assigned(it: &wire::Assigned, words: &Words<'_>) -> Said {
    let hex = |bytes: &[u8]| data_encoding::HEXLOWER.encode(bytes);
    let people = it.people.iter().map(|one| {
        let lying = if one.lying { ", lying" } else { "" };
        format!("{} {}{lying}", one.count, clean(&one.size))
    });
    let people: Vec<String> = people.collect();
    let judged = it.as_of_unix_ms.map(|ms| words.local(ms));
    let rested = match it.known_size {
        0 => String::new(),
        size => format!(
            "{size} entries of the county log, and {} beyond it",
            it.known_beyond
        ),
    };
    let engine = match it.engine {
        0 => String::new(),
        version => format!("version {version}"),
    };
    Said::new(format!("Assigned to {}", clean(&it.incident)))
        .with("mission", &it.mission)
        .with("place", &it.place)
        .with("people to bring home", people.join("; "))
        .with("what was shown: readiness", it.readiness.replace('_', " "))
        .with("judged for", judged.unwrap_or_default())
        .with("by the rules", engine)
        .with("it rested on", rested)
        .with("SHA-256 of the answer shown", hex(&it.shown_sha256))
        .with("SHA-256 of the report shown", hex(&it.report_sha256))
        .with("SHA-256 of the list shown", hex(&it.listed_sha256))
}

pub(super) fn decided(it: &wire::LeadDecision, words: &Words<'_>) -> Said {
    let action = match it.action() {
        wire::LeadAction::Unspecified => "not said",
        wire::LeadAction::RepairAgain => "repair again",
        wire::LeadAction::SendToMaker => "send to the maker",
        wire::LeadAction::TakeOut => "take out of service",
        wire::LeadAction::Condemn => "condemn",
        wire::LeadAction::HoldBatch => "hold the batch or model",
        wire::LeadAction::Watch => "watch",
    };
    let place = it.place.map(|place| checks::place(place, words));
    Said::new(format!("The lead decided: {action}"))
        .with("faults", faults_named(&it.faults))
        .with("part", part_words(words.newest(), &it.part))
        .with("place", place.unwrap_or_default())
        .with("every craft of the model", &it.model)
        .with("everything of the maker's batch", &it.batch)
}

pub(super) fn redacted(it: &wire::Redacted) -> Said {
    let why = match it.reason() {
        wire::RedactionReason::Unspecified => "",
        wire::RedactionReason::Personal => "it told of a person",
        wire::RedactionReason::Patient => "it told of a patient",
        wire::RedactionReason::Misplaced => "it did not belong there",
        wire::RedactionReason::Ordered => "it may not be kept",
    };
    Said::new("Text removed at the lead's word")
        .with("of entry", event_name(&it.event))
        .with("why", why)
}
