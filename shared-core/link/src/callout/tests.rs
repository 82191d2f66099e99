//! The way from every station, as it is taken, and what an asker cannot say.

use super::*;

const LIST: &str = "\
place,position,access,station,minutes
Mill Street ramp,44.9 -103.2,ramp,Mill Race,6
Low Meadow,44.85 -103.1,,,
";

fn stations() -> BTreeMap<SubjectId, Station> {
    let at = |lat_e7, lon_e7| Some(Position { lat_e7, lon_e7 });
    let known = [
        ("Mill Race", at(449_100_000, -1_032_000_000)),
        ("Otter Ferry", at(450_000_000, -1_030_000_000)),
        ("Ridge", None),
    ];
    let each = (1..).zip(known).map(|(n, (name, position))| {
        let station = Station {
            name: name.to_owned(),
            position,
            elevation_mm: None,
            call: String::new(),
            last_heard: None,
        };
        (SubjectId::from_bytes([n; 16]), station)
    });
    each.collect()
}

/// A folder with the list.
struct Kept(tempfile::TempDir);

impl Kept {
    fn new(list: &str) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        std::fs::write(folder.path().join("places.csv"), list).expect("written");
        Self(folder)
    }

    fn take(&self, question: &wire::Question) -> Result<(CalloutAsked, Launch), String> {
        taken(question, Some(&self.0.path().join("places.csv")))
    }
}

fn taken(question: &wire::Question, list: Option<&Path>) -> Result<(CalloutAsked, Launch), String> {
    let given = question.conditions.clone().unwrap_or_default();
    let position = given.lat_e7.zip(given.lon_e7);
    let position = position.map(|(lat_e7, lon_e7)| Position { lat_e7, lon_e7 });
    let told = |refusal| tonic::Status::from(refusal).message().to_owned();
    let launch = launch(question, position, list).map_err(told)?;
    let asked = question.callout.clone().unwrap_or_default();
    let asked = parse(&asked, &launch, &stations()).map_err(told)?;
    Ok((asked, launch))
}

fn question(place: &str, ways: &[(&str, &str, Option<u32>)]) -> wire::Question {
    let ways = ways.iter().map(|(station, way, minutes)| wire::WayFrom {
        station: (*station).to_owned(),
        way: (*way).to_owned(),
        minutes: *minutes,
        ..wire::WayFrom::default()
    });
    let position = sponson_show::units::position("place", place).ok();
    wire::Question {
        conditions: Some(wire::Conditions {
            lat_e7: position.map(|it| it.lat_e7),
            lon_e7: position.map(|it| it.lon_e7),
            place_name: match position {
                Some(_) => String::new(),
                None => place.to_owned(),
            },
            ..wire::Conditions::default()
        }),
        callout: Some(wire::CalloutAsked {
            ways: ways.collect(),
            ..wire::CalloutAsked::default()
        }),
        ..wire::Question::default()
    }
}

fn ways(asked: &CalloutAsked) -> Vec<Way> {
    asked.ways.values().copied().collect()
}

#[test]
fn each_way_is_the_list_s_else_the_straight_line_else_not_known() {
    let kept = Kept::new(LIST);
    let (asked, launch) = kept
        .take(&question("mill street RAMP", &[]))
        .expect("taken");
    let [
        Way::Table { minutes: 6 },
        Way::Straight { .. },
        Way::NotKnown,
    ] = ways(&asked)[..]
    else {
        panic!("{asked:?}");
    };
    let place = asked.launch.expect("a launch place");
    let said = (place.name.as_str(), place.access);
    assert_eq!(said, ("Mill Street ramp", Some(Access::Ramp)));
    assert_eq!(launch.into_notes(), Vec::<String>::new());

    let (asked, _) = kept.take(&question("44.95,-103.1", &[])).expect("taken");
    let [Way::Straight { .. }, Way::Straight { .. }, Way::NotKnown] = ways(&asked)[..] else {
        panic!("{asked:?}");
    };
    assert_eq!(asked.launch, None);
}

/// To the metre: geographiclib 2.1 (PyPI), Karney 2013. A sphere is off by up to 150 m.
#[test]
fn a_straight_line_is_the_geodesic_of_wgs_84() {
    let text = include_str!("../../../../tests/reference/geodesic-distance.csv");
    let rows = text.lines().filter(|line| !line.starts_with('#')).skip(1);
    let rows: Vec<Vec<&str>> = rows.map(|row| row.split(',').collect()).collect();
    assert_eq!(rows.len(), 9);
    for row in rows {
        let at = format!("{},{}", row[0], row[1]);
        let mut stations = stations();
        for station in stations.values_mut() {
            station.position = sponson_show::units::position("station", &at).ok();
        }
        let question = question(&format!("{},{}", row[2], row[3]), &[]);
        let given = question.conditions.clone().unwrap_or_default();
        let to = given.lat_e7.zip(given.lon_e7);
        let to = to.map(|(lat_e7, lon_e7)| Position { lat_e7, lon_e7 });
        let Ok(launch) = launch(&question, to, None) else {
            panic!("{row:?}");
        };
        let Ok(asked) = parse(&wire::CalloutAsked::default(), &launch, &stations) else {
            panic!("{row:?}");
        };
        for way in asked.ways.values() {
            let Way::Straight { metres } = way else {
                panic!("{way:?}");
            };
            let off_m = f64::from(*metres) - row[4].parse::<f64>().expect("metres");
            assert!(off_m.abs() <= 0.51, "{row:?}: {metres}");
        }
    }
}

#[test]
fn a_position_near_a_place_is_taken_as_it_and_said_so() {
    let kept = Kept::new(LIST);
    let (asked, launch) = kept.take(&question("44.901,-103.2", &[])).expect("taken");
    assert_eq!(ways(&asked).first(), Some(&Way::Table { minutes: 6 }));
    let at = launch.position().expect("a position");
    assert_eq!((at.lat_e7, at.lon_e7), (449_000_000, -1_032_000_000));
    let notes = launch.into_notes().join("; ");
    assert!(notes.contains("111 m from Mill Street ramp"), "{notes}");
    // Another question is not moved.
    let mut other = question("44.901,-103.2", &[]);
    other.callout = None;
    let (_, launch) = kept.take(&other).expect("taken");
    assert_eq!(launch.position().map(|it| it.lat_e7), Some(449_010_000));
}

#[test]
fn what_the_asker_says_goes_before_the_list() {
    let kept = Kept::new(LIST);
    let said = [("mill race", "closed", None), ("Ridge", "said", Some(35))];
    let mut question = question("Mill Street ramp", &said);
    if let Some(callout) = &mut question.callout {
        callout.access = "bank".to_owned();
    }
    let (asked, _) = kept.take(&question).expect("taken");
    let found = ways(&asked);
    assert_eq!(found.first(), Some(&Way::Closed));
    assert_eq!(found.last(), Some(&Way::Said { minutes: 35 }));
    let access = asked.launch.as_ref().and_then(|place| place.access);
    assert_eq!(access, Some(Access::Bank));
    // An answer lists it so that it can be read again.
    let Ok(again) = listed(&asked_to_wire(&asked)) else {
        panic!("what was written is read")
    };
    assert_eq!(again, asked);
}

#[test]
fn without_a_list_that_can_be_read_a_position_is_answered_and_a_name_is_not() {
    let broken = Kept::new("place\n");
    let (asked, launch) = broken.take(&question("44.9,-103.2", &[])).expect("taken");
    assert!(matches!(ways(&asked).first(), Some(Way::Straight { .. })));
    let notes = launch.into_notes().join("; ");
    assert!(
        notes.contains("'position' is missing; ") && notes.contains("no travel times"),
        "{notes}"
    );
    let error = broken
        .take(&question("Low Meadow", &[]))
        .expect_err("no list");
    assert!(error.contains("'position' is missing"), "{error}");
    let error = taken(&question("Low Meadow", &[]), None).expect_err("no list");
    assert!(
        error.contains("no list of launch places is kept here"),
        "{error}"
    );
    assert!(taken(&question("44.9,-103.2", &[]), None).is_ok());
}

#[test]
fn what_cannot_be_said_is_refused_with_what_can() {
    let kept = Kept::new(LIST);
    let refused = |place: &str, ways: &[(&str, &str, Option<u32>)]| {
        kept.take(&question(place, ways))
            .map(drop)
            .expect_err(place)
    };
    for (error, wanted) in [
        (refused("Low Medow", &[]), "did you mean Low Meadow?"),
        (
            refused("Nowhere at all", &[]),
            "the list begins with Mill Street ramp, Low Meadow",
        ),
        (
            refused("Low Meadow", &[("Ridgeway", "closed", None)]),
            "the stations known here are Mill Race",
        ),
        (
            refused("Low Meadow", &[("Ridge", "said", None)]),
            "no minutes from Ridge",
        ),
        (
            refused("Low Meadow", &[("Ridge", "said", Some(1441))]),
            "1441 minutes from Ridge: give minutes of driving, from 0 to 1440",
        ),
        (
            refused("Low Meadow", &[("Ridge", "table", Some(1))]),
            "the way 'table'",
        ),
        (
            refused(
                "Low Meadow",
                &[("Ridge", "said", Some(1)), ("ridge", "closed", None)],
            ),
            "the way from ridge is said twice",
        ),
    ] {
        assert!(error.contains(wanted), "{error}\n{wanted}");
    }
    let mut both = question("44.9,-103.2", &[]);
    both.conditions.get_or_insert_default().place_name = "Low Meadow".to_owned();
    let error = kept.take(&both).expect_err("two places");
    assert!(error.contains("give one of the two"), "{error}");
    let mut access = question("Low Meadow", &[]);
    access.callout.get_or_insert_default().access = "slip".to_owned();
    let error = kept.take(&access).expect_err("no access");
    assert!(error.contains("'slip': give ramp or bank"), "{error}");
    let many = vec![("Ridge", "closed", None); 257];
    let error = refused("Low Meadow", &many);
    assert!(error.contains("at most 256"), "{error}");
}
