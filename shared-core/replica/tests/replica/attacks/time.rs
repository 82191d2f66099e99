//! Clocks that lie or stopped, and numbers at their ends.

use super::*;

#[test]
fn a_check_is_not_fresh_for_ever_whatever_its_device_says_of_time() {
    let full = wire::Check {
        extent: wire::CheckExtent::Full as i32,
        ..wire::Check::default()
    };
    let far = START + 50 * YEAR;
    let lies = [
        ("clock", far, None, None),
        ("clock and checkpoint", far, Some(held(far)), None),
        ("checkpoint", START + DAY, Some(held(far)), None),
        ("late entry", far, None, Some((far - DAY, far))),
        (
            "ends of time",
            i64::MAX,
            Some(held(i64::MAX)),
            Some((i64::MAX - 1, i64::MAX)),
        ),
        (
            "turned round",
            START,
            Some(held(i64::MAX)),
            Some((i64::MAX, i64::MIN)),
        ),
    ];
    for (name, unix_ms, checkpoint, observed) in lies {
        let (mut county, ..) = with_tablet(&[Role::Crew]);
        let header = Header {
            clock: clock(unix_ms),
            checkpoint,
            observed,
            ..header(&key(5), None, Kind::Check)
        };
        let check = signed(&key(5), header, full.encode_to_vec());
        let mut alone = join(north());
        let everything = county.events();
        keep(&mut alone, everything, START + DAY);
        keep(&mut alone, vec![check.clone()], START + DAY);
        keep(&mut county, vec![check], START + 2 * DAY);
        let later = START + YEAR;
        let stale = |rules: &[Rule]| {
            rules.contains(&Rule::CheckStale) || rules.contains(&Rule::NeverChecked)
        };
        assert!(stale(&rules(&mut county, later)), "{name}, stored");
        // Not stored yet, so that nothing but the asker's clock bounds it: by then it has been.
        let unstored = alone
            .replica
            .records()
            .values()
            .next()
            .expect("one")
            .checks
            .clone();
        let at = unstored.values().next().expect("checked").0[0]
            .origin
            .interval;
        assert!(at.earliest(Moment(later)) <= Moment(later), "{name}, alone");
    }
}

#[test]
fn an_asker_whose_clock_stopped_is_answered_at_the_county_s_time() {
    let (mut county, mut lead, _) = with_tablet(&[Role::Crew]);
    let full = wire::Check {
        extent: wire::CheckExtent::Full as i32,
        ..wire::Check::default()
    };
    lead.append(event(Kind::Check, &full), START + DAY);
    sync(&mut lead, &mut county, START + DAY);
    sync(&mut lead, &mut county, START + YEAR);
    for asked in [0, i64::MIN, START + DAY] {
        assert!(
            rules(&mut lead, asked).contains(&Rule::CheckStale),
            "{asked}"
        );
    }
}

#[test]
fn the_ends_of_time_and_number_panic_nowhere() {
    let (mut county, ..) = with_tablet(&[Role::Crew, Role::Maintenance, Role::Lead]);
    let line = "hull-inspection".to_owned();
    let meter = wire::MeterReading {
        engine_s: u64::MAX,
        ..wire::MeterReading::default()
    };
    let payloads = [
        (
            Kind::Check,
            wire::Check {
                extent: wire::CheckExtent::Full as i32,
                meters: vec![meter.clone()],
                counts: vec![wire::ItemCount {
                    item: "paddle".to_owned(),
                    count: 1_000_000,
                    ..wire::ItemCount::default()
                }],
                readings: vec![wire::Reading {
                    part: "tube-1".to_owned(),
                    moment: wire::ReadingMoment::AsFound as i32,
                    gauge_pa: 2_000_000,
                    air_mc: Some(120_000),
                    stood_s: Some(u32::MAX),
                    ..wire::Reading::default()
                }],
                ..wire::Check::default()
            }
            .encode_to_vec(),
        ),
        (
            Kind::Use,
            wire::Use {
                meters: vec![meter],
                ..wire::Use::default()
            }
            .encode_to_vec(),
        ),
        (
            Kind::Repair,
            wire::Repair {
                part: "tube-1".to_owned(),
                method: "patch".to_owned(),
                holds: vec![wire::Hold {
                    r#type: wire::HoldType::Launch as i32,
                    duration_s: u32::MAX,
                }],
                ..wire::Repair::default()
            }
            .encode_to_vec(),
        ),
        (
            Kind::InspectionDone,
            wire::InspectionDone {
                inspection: line,
                result: wire::InspectionResult::Passed as i32,
                engine_s: Some(u64::MAX),
                ..wire::InspectionDone::default()
            }
            .encode_to_vec(),
        ),
        (Kind::Note, vec![0xff; 60_000]),
        (
            Kind::NumberChanged,
            wire::NumberChanged {
                number: "\u{1b}[2J".repeat(15_000),
            }
            .encode_to_vec(),
        ),
    ];
    let ends = [i64::MIN, i64::MIN + 1, 0, i64::MAX - 1, i64::MAX];
    let mut last = None;
    let mut events = Vec::new();
    for (kind, payload) in payloads {
        for from in ends {
            let to = ends[events.len() % ends.len()];
            let header = Header {
                clock: clock(from),
                checkpoint: Some(held(to)),
                observed: (events.len() % 2 == 0).then_some((from, to)),
                ..header(&key(5), last, kind)
            };
            let event = signed(&key(5), header, payload.clone());
            last = Some((event.header().seq, event.id()));
            events.push(event);
        }
    }
    keep(&mut county, events, START + 2 * DAY);
    for now in ends {
        for as_of in ends {
            let asked = sponson_readiness::engine::Question {
                as_of: Moment(as_of),
                ..question(now)
            };
            let answer = county.replica.ask(&asked);
            assert!(answer.craft.len() <= 1);
        }
    }
    assert!(!rules(&mut county, START + 3 * DAY).is_empty());
}

#[test]
fn a_device_hears_its_own_station_now() {
    let (mut county, mut lead, _) = with_tablet(&[Role::Crew]);
    let now = Moment(START + 100 * DAY);
    let heard = |placed: &Placed, id: SubjectId| {
        let id = sponson_readiness::ids::SubjectId::from_bytes(*id.as_bytes());
        placed.replica.stations(now)[&id].last_heard
    };
    assert_eq!(heard(&lead, NORTH), Some(now));
    assert_eq!(heard(&lead, SOUTH), None);
    assert_eq!(heard(&county, NORTH), Some(Moment(START + DAY)));
    county.append(end(&north(), None), START + 2 * DAY);
    sync(&mut lead, &mut county, START + 2 * DAY);
    assert_eq!(heard(&lead, NORTH), None, "nothing of its key is good");
}

#[test]
fn an_old_paper_says_when_its_tablet_wrote_it() {
    let (mut county, mut lead, _) = with_tablet(&[Role::Crew]);
    let paper = NewEvent {
        observed: Some((START - YEAR, START - YEAR + DAY)),
        ..reading(20_000)
    };
    lead.append(paper, START + 5 * DAY);
    sync(&mut lead, &mut county, START + 5 * DAY);
    let id = sponson_readiness::ids::SubjectId::from_bytes(*NORTH.as_bytes());
    let stations = county.replica.stations(Moment(START + 6 * DAY));
    assert_eq!(stations[&id].last_heard, Some(Moment(START + 5 * DAY)));
}
