//! Questions: what they rest on, how they stood earlier, and that nobody's doubtful event makes a
//! craft readier.

use proptest::prelude::*;
use prost::Message as _;
use sponson_log::ids::EventId;
use sponson_proto::event::v1::{self as wire, Kind};
use sponson_proto::store::v1::ChunkSource;
use sponson_readiness::answer::{CountyAnswer, Effect, Readiness, Rule};
use sponson_readiness::engine::Question;
use sponson_readiness::ids::{LineId, SubjectId};
use sponson_readiness::moment::Moment;
use sponson_readiness::standard::Standard;

use crate::county::{
    CRAFT, DAY, MINUTE, MOTOR, NORTH, Placed, SHEET, START, about, county_subject,
    craft_registered, event, fault, found, join, north, out_of_service, reading, sign_off,
    stranger, sync, working,
};

pub(crate) fn question(unix_ms: i64) -> Question {
    Question {
        air_mc: Some(15_000),
        water_mc: Some(12_000),
        ..Question::general(Moment(unix_ms), Moment(unix_ms))
    }
}

fn asked(placed: &mut Placed, unix_ms: i64) -> CountyAnswer {
    placed.replica.ask(&question(unix_ms))
}

fn readiness(placed: &mut Placed, unix_ms: i64) -> Readiness {
    let answer = asked(placed, unix_ms);
    answer.craft.first().expect("the craft is known").readiness
}

/// A check in which everything is as the sheet wants it.
fn everything_right() -> sponson_replica::NewEvent {
    let sheet = Standard::parse(SHEET).expect("the sheet can be read");
    let pressures = sheet.parts.iter().filter_map(|part| {
        let pressure = part.pressure.as_ref()?;
        Some(wire::Reading {
            part: part.id.as_str().to_owned(),
            moment: wire::ReadingMoment::AsFound as i32,
            gauge_pa: pressure.nominal_pa,
            air_mc: Some(15_000),
            stood_s: Some(50_000),
            intercommunication: wire::ValveState::Shut as i32,
            elevation_mm: Some(200_000),
            ..wire::Reading::default()
        })
    });
    let counts = sheet.items.iter().map(|item| wire::ItemCount {
        item: item.id.as_str().to_owned(),
        count: item.count_for.values().copied().fold(item.count, u32::max),
        ..wire::ItemCount::default()
    });
    let yes = |line: &LineId| wire::Answer {
        line: line.as_str().to_owned(),
        value: wire::AnswerValue::Yes as i32,
        not_applicable: 0,
    };
    event(
        Kind::Check,
        &wire::Check {
            extent: wire::CheckExtent::Full as i32,
            readings: pressures.collect(),
            counts: counts.collect(),
            answers: sheet.questions.iter().map(|line| yes(&line.id)).collect(),
            stowage: wire::Stowage::Rigged as i32,
            ..wire::Check::default()
        },
    )
}

fn motor() -> [sponson_replica::NewEvent; 2] {
    let registered = wire::GearRegistered {
        number: "M-7".to_owned(),
        r#type: wire::GearType::Motor as i32,
        station: NORTH.to_bytes(),
        mass_g: Some(50_000),
        power_w: Some(18_000),
        ..wire::GearRegistered::default()
    };
    let fitted = wire::Fitted {
        gear: MOTOR.to_bytes(),
        craft: CRAFT.to_bytes(),
        part: "motor".to_owned(),
    };
    let mut fitted = event(Kind::Fitted, &fitted);
    fitted.subjects.push((MOTOR, wire::SubjectType::Gear));
    [
        about(
            Kind::GearRegistered,
            &registered,
            (MOTOR, wire::SubjectType::Gear),
        ),
        fitted,
    ]
}

fn inspections() -> Vec<sponson_replica::NewEvent> {
    let sheet = Standard::parse(SHEET).expect("the sheet can be read");
    let done = sheet.inspections.iter().map(|line| {
        event(
            Kind::InspectionDone,
            &wire::InspectionDone {
                inspection: line.id.as_str().to_owned(),
                result: wire::InspectionResult::Passed as i32,
                engine_s: Some(0),
                ..wire::InspectionDone::default()
            },
        )
    });
    done.collect()
}

/// A county whose one craft was registered and checked at the station on the first day.
pub(crate) fn checked() -> (Placed, Placed) {
    let mut county = found();
    let mut station = join(north());
    sync(&mut station, &mut county, START + DAY);
    station.append(craft_registered("4-1", NORTH), START + DAY);
    for event in motor().into_iter().chain(inspections()) {
        station.append(event, START + DAY);
    }
    station.append(everything_right(), START + DAY + MINUTE);
    sync(&mut station, &mut county, START + DAY + 2 * MINUTE);
    (county, station)
}

#[test]
fn the_county_and_the_station_answer_alike() {
    let (mut county, mut station) = checked();
    let at = START + DAY + 10 * MINUTE;
    let answer = asked(&mut county, at);
    let mut there = asked(&mut station, at);
    assert_eq!(answer.craft, there.craft);
    // Only when each was last heard is for the asker to say: the station itself is heard now.
    assert_eq!(there.stations[0].last_heard, Some(Moment(at)));
    there.stations.clone_from(&answer.stations);
    assert_eq!(answer, there);
    assert_eq!(answer.known_by, county.replica.known_by());
    assert_eq!(answer.craft.len(), 1);
    assert_eq!(answer.craft[0].number, "4-1");
    assert_eq!(answer.stations.len(), 2);
    let mut county = county.reopen(working());
    assert_eq!(asked(&mut county, at), answer);
}

#[test]
fn a_station_is_last_heard_at_its_newest_head() {
    let (mut county, _) = checked();
    let answer = asked(&mut county, START + 2 * DAY);
    let heard = |id: sponson_log::ids::SubjectId, answer: &CountyAnswer| {
        let id = SubjectId::from_bytes(*id.as_bytes());
        let mut stations = answer.stations.iter();
        stations
            .find(|station| station.id == id)
            .expect("registered")
            .last_heard
    };
    assert_eq!(heard(NORTH, &answer), Some(Moment(START + DAY + MINUTE)));
    assert_eq!(heard(crate::county::SOUTH, &answer), None);
    county
        .replica
        .heard(NORTH, START + DAY + 9 * MINUTE)
        .expect("the store is whole");
    let answer = asked(&mut county, START + 2 * DAY);
    assert_eq!(
        heard(NORTH, &answer),
        Some(Moment(START + DAY + 9 * MINUTE))
    );
}

#[test]
fn an_earlier_moment_is_judged_by_what_had_begun() {
    let (mut county, mut station) = checked();
    let before = readiness(&mut county, START + 2 * DAY);
    station.append(out_of_service(), START + 3 * DAY);
    sync(&mut station, &mut county, START + 3 * DAY);
    let now = START + 4 * DAY;
    let earlier = Question {
        as_of: Moment(START + 2 * DAY),
        ..question(now)
    };
    assert_eq!(readiness(&mut county, now), Readiness::NotReady);
    let then = county.replica.ask(&earlier);
    assert_eq!(then.craft[0].readiness, before);
    let unborn = Question {
        as_of: Moment(START),
        ..question(now)
    };
    assert_eq!(county.replica.ask(&unborn).craft, []);
}

#[test]
fn a_correction_counts_from_its_original_on() {
    let (mut county, mut station) = checked();
    let wrong = station.append(fault("leak"), START + 2 * DAY);
    let withdrawn = wire::Correction {
        original: wrong.to_bytes(),
        r#type: wire::CorrectionType::Withdrawn as i32,
        ..wire::Correction::default()
    };
    station.append(event(Kind::Correction, &withdrawn), START + 4 * DAY);
    sync(&mut station, &mut county, START + 4 * DAY);
    let then = Question {
        as_of: Moment(START + 3 * DAY),
        ..question(START + 5 * DAY)
    };
    let answer = county.replica.ask(&then);
    let rules: Vec<_> = answer.craft[0]
        .why
        .iter()
        .map(|finding| finding.rule)
        .collect();
    assert!(
        !rules.contains(&sponson_readiness::answer::Rule::FaultOpen),
        "{rules:?}"
    );
}

#[derive(Clone, Copy, Debug)]
enum Attempt {
    SignOff,
    Check,
    Returned,
    Register,
    Nonsense,
    Reading,
}

fn attempt() -> impl Strategy<Value = Attempt> {
    prop_oneof![
        Just(Attempt::SignOff),
        Just(Attempt::Check),
        Just(Attempt::Returned),
        Just(Attempt::Register),
        Just(Attempt::Nonsense),
        Just(Attempt::Reading),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 16, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_key_that_nobody_admitted_never_makes_a_craft_readier(
        attempts in prop::collection::vec(attempt(), 1..5),
        faulty in any::<bool>(),
        out in any::<bool>(),
    ) {
        let (mut county, mut station) = checked();
        let leak = faulty.then(|| station.append(fault("leak"), START + 2 * DAY));
        let ended = out.then(|| station.append(out_of_service(), START + 2 * DAY));
        sync(&mut station, &mut county, START + 2 * DAY);
        let at = START + 3 * DAY;
        let before = readiness(&mut county, at);

        let mut thief = join(stranger());
        sync(&mut thief, &mut county, START + 2 * DAY);
        for attempt in attempts {
            let event = match attempt {
                Attempt::SignOff => match leak {
                    Some(leak) => sign_off(leak),
                    None => reading(21_000),
                },
                Attempt::Check => everything_right(),
                Attempt::Returned => match ended {
                    Some(ended) => event(Kind::Returned, &wire::Returned {
                        ends: vec![ended.to_bytes()],
                    }),
                    None => reading(21_000),
                },
                Attempt::Register => craft_registered("4-9", NORTH),
                Attempt::Nonsense => fault("tear"),
                Attempt::Reading => reading(20_684),
            };
            thief.append(event, START + 2 * DAY + MINUTE);
        }
        sync(&mut thief, &mut county, START + 2 * DAY + 2 * MINUTE);
        let after = readiness(&mut county, at);
        prop_assert!(after >= before, "{before:?} became {after:?}");
    }
}

#[test]
fn a_sheet_that_cannot_be_read_leaves_its_model_without_one() {
    let (mut county, _) = checked();
    let at = START + DAY + 10 * MINUTE;
    let ready = readiness(&mut county, at);
    assert!(
        ready < Readiness::NotReady,
        "{:?}",
        asked(&mut county, at).craft[0].why
    );
    // Signed by a newer program than this one.
    let head = county
        .replica
        .chains()
        .get(&working().key())
        .expect("it wrote");
    let (previous, seq) = head.heads().iter().next().expect("it wrote");
    let sheet = wire::BoatStandard {
        model: "inflatable-14".to_owned(),
        revision: 2,
        format: 1,
        text: "written for a later engine".to_owned(),
    };
    let adopted = crate::county::sign(
        &working(),
        seq + 1,
        Some(*previous),
        Kind::BoatStandard,
        sheet.encode_to_vec(),
    );
    let kept = county.replica.keep(vec![adopted], ChunkSource::Own, at);
    assert_eq!(kept.expect("the store is whole").new.len(), 1);
    assert!(readiness(&mut county, at) >= Readiness::Unproven);
}

/// A station out of reach checks by the sheet that it holds: a line that the lead added meanwhile
/// waits for its next check. A check by the newer sheet that leaves the line out does not.
#[test]
fn a_check_by_an_older_sheet_could_not_answer_a_newer_line() {
    for (revision, effect) in [(1, Effect::Note), (2, Effect::Unproven)] {
        let (mut county, mut station) = checked();
        let adopted = adopted(&county, 1);
        // Asked from a day long before: by its day alone the check could have answered it.
        let line = "\n[[question]]\nid = \"tow-post\"\nlabel = \"tow post is tight\"\n\
                    no = \"limit\"\nseverity = \"minor\"\nunanswered = \"unproven\"\n\
                    asked_from = \"2020-01-01\"\nbasis = \"trade\"\nsource = \"a test\"\n";
        let newer = wire::BoatStandard {
            model: "inflatable-14".to_owned(),
            revision: 2,
            format: 1,
            text: SHEET.replacen("revision = 1", "revision = 2", 1) + line,
        };
        let county_itself = (county_subject(), wire::SubjectType::County);
        let newer = about(Kind::BoatStandard, &newer, county_itself);
        let newer = county.append(newer, START + DAY + 3 * MINUTE);
        let by = if revision == 1 { adopted } else { newer };
        if revision == 2 {
            sync(&mut station, &mut county, START + DAY + 4 * MINUTE);
        }
        let mut check = everything_right();
        let mut message = wire::Check::decode(check.payload.as_slice()).expect("a check");
        message.standard = by.as_bytes().to_vec().into();
        check.payload = message.encode_to_vec();
        station.append(check, START + DAY + 5 * MINUTE);
        sync(&mut station, &mut county, START + DAY + 6 * MINUTE);
        let answer = asked(&mut county, START + DAY + 7 * MINUTE);
        let mut why = answer.craft[0].why.iter();
        let said = why.find(|finding| finding.rule == Rule::LineNotAnswered);
        assert_eq!(said.map(|said| &said.effect), Some(&effect), "{revision}");
    }
}

fn adopted(county: &Placed, revision: u32) -> EventId {
    let mut events = county.events().into_iter();
    let sheet = events.find(|event| {
        event.header().kind == Kind::BoatStandard as i32
            && wire::BoatStandard::decode(event.payload().clone())
                .is_ok_and(|sheet| sheet.revision == revision)
    });
    sheet.expect("it was adopted").id()
}
