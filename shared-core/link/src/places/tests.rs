//! Lists as a county writes them, and each way in which one is wrong.

use super::*;

const LIST: &str = "\
place,position,access,station,minutes
Mill Street ramp,\"44.9000,-103.2000\",ramp,Mill Race,6
Mill Street ramp,,,Otter Ferry,24
Low Meadow,44.8500N 103.1000W,bank,Mill Race,35
Quarry Landing,44.8000 -103.0000,,,
";

fn parsed(text: &str) -> LaunchPlaces {
    LaunchPlaces::parse(text).expect("a list")
}

fn position(lat_e7: i32, lon_e7: i32) -> Position {
    Position { lat_e7, lon_e7 }
}

#[test]
fn a_list_is_read_in_its_order() {
    let list = parsed(LIST);
    let said: Vec<String> = list
        .iter()
        .map(|place| {
            let minutes = &place.minutes;
            format!("{}: {:?} {minutes:?}", place.name, place.access)
        })
        .collect();
    assert_eq!(
        said,
        [
            "Mill Street ramp: Some(Ramp) {\"Mill Race\": 6, \"Otter Ferry\": 24}",
            "Low Meadow: Some(Bank) {\"Mill Race\": 35}",
            "Quarry Landing: None {}",
        ]
    );
    let found = list.named("mill-street RAMP").expect("one of the list");
    assert_eq!(found.position, position(449_000_000, -1_032_000_000));
    assert_eq!(found.minutes_from("otter ferry"), Some(24));
    assert_eq!(found.minutes_from("Ridge"), None);
    assert_eq!(list.named("Mill Street"), None);
}

#[test]
fn a_spreadsheet_may_write_it_another_way() {
    let other = LIST
        .replace('"', "")
        .replace("44.9000,-103.2000", "44.9 -103.2")
        .replace(',', ";")
        .replace('\n', "\r\n");
    assert_eq!(parsed(&format!("\u{feff}{other}")), parsed(LIST));
    let columns = "Station;Minutes;Place;Position\nMill Race;0;Here;44 -103\n;;;\n";
    let list = parsed(columns);
    let place = list.iter().next().expect("one");
    assert_eq!(
        (place.minutes_from("Mill Race"), place.access),
        (Some(0), None)
    );
    assert_eq!(parsed("place,position\n"), LaunchPlaces::default());
}

/// A degree of latitude at 45 degrees north is 111,131 m: 0.00224 degrees are 249 m, 0.00226 are
/// 251 m.
#[test]
fn a_position_is_taken_as_the_nearest_place_within_250_m() {
    let list = parsed("place,position\nNorth,45.00300 -103\nSouth,45 -103\n");
    for (lat_e7, wanted) in [
        (450_000_000, Some(("South", 0))),
        (449_977_600, Some(("South", 249))),
        (449_977_400, None),
        (450_014_000, Some(("South", 156))),
        (450_016_000, Some(("North", 156))),
    ] {
        let found = list.near(position(lat_e7, -1_030_000_000));
        let found = found.map(|(place, away_m)| (place.name.as_str(), away_m));
        assert_eq!(found, wanted, "{lat_e7}");
    }
}

#[test]
fn every_wrong_list_says_where_and_what_to_do() {
    let head = "place,position,access,station,minutes\n";
    let row = |row: &str| format!("{head}A,44 -103,ramp,Mill Race,5\n{row}\n");
    let cases = [
        ("a", "line 1: column 'a' is not known"),
        ("place", "column 'position' is missing"),
        ("position", "column 'place' is missing"),
        ("place,position,Place", "column 'Place' stands twice"),
        (
            &row(",44 -103,,,"),
            "line 3, column place: ''; give the launch place a name",
        ),
        (
            &row("44.9 -103.2,44 -103,,,"),
            "line 3, column place: '44.9 -103.2'; that reads as a position",
        ),
        (
            &row("\u{202e}B,44 -103,,,"),
            "leave out characters that are not shown",
        ),
        (
            &row(&format!("{},44 -103,,,", "x".repeat(65))),
            "it has 65 bytes; at most 64 are allowed",
        ),
        (
            &row("B,,,,"),
            "line 3, column position: ''; say where B is in its first row",
        ),
        (&row("B,here,,,"), "line 3, column position: "),
        (&row("B,91 -103,,,"), "line 3, column position: "),
        (
            &row("B,44.9,-103.2,ramp,,"),
            "line 3: 6 cells under 5 columns: write a position in quotes",
        ),
        (
            &row("a,44 -104,,,"),
            "line 3, column position: '44 -104'; line 2 says that A is elsewhere",
        ),
        (
            &row("A,,bank,,"),
            "line 3, column access: 'bank'; an earlier row of A says otherwise",
        ),
        (
            &row("B,44 -103,slip,,"),
            "line 3, column access: 'slip'; give ramp or bank",
        ),
        (
            &row("A,,,,5"),
            "line 3, column station: ''; say from which station",
        ),
        (
            &row("A,,,Ridge,"),
            "line 3, column minutes: ''; give whole minutes",
        ),
        (
            &row("A,,,Ridge,5 min"),
            "column minutes: '5 min'; give whole minutes of driving, from 0 to 1440",
        ),
        (
            &row("A,,,Ridge,1441"),
            "column minutes: '1441'; give whole minutes",
        ),
        (
            &row("A,,,Ridge,-1"),
            "column minutes: '-1'; give whole minutes",
        ),
        (
            &row("A,,,mill race,9"),
            "line 3, column station: 'mill race'; line 2 has minutes from there",
        ),
    ];
    for (text, wanted) in cases {
        let error = LaunchPlaces::parse(text).expect_err(text).to_string();
        assert!(error.contains(wanted), "{text}\n{error}\n{wanted}");
    }
}

#[test]
fn a_list_beyond_its_limits_is_refused() {
    let rows = |count| {
        let rows: String = (0..count).map(|n| format!("P{n},44 -103\n")).collect();
        LaunchPlaces::parse(&format!("place,position\n{rows}"))
    };
    assert!(rows(10_000).is_ok());
    assert_eq!(rows(10_001), Err(PlacesError::Rows));
    let padded = |bytes| {
        let list = format!("{LIST}{}", "\n".repeat(bytes - LIST.len()));
        LaunchPlaces::parse(&list)
    };
    assert_eq!(padded(LIST_BYTES_MAX), Ok(parsed(LIST)));
    assert!(matches!(
        padded(LIST_BYTES_MAX + 1),
        Err(PlacesError::Bytes { .. })
    ));
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("places.csv");
    let error = LaunchPlaces::read(&file).expect_err("no file").to_string();
    assert!(
        error.contains("places.csv") && error.contains("'places' in the settings"),
        "{error}"
    );
    std::fs::write(&file, LIST).expect("written");
    assert_eq!(LaunchPlaces::read(&file), Ok(parsed(LIST)));
}
