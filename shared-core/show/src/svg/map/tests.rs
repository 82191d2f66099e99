use super::*;
use crate::svg::tests::{all_inside, parsed, path_points};
use crate::svg::{Form, Kind, Point, Shape};

fn at(lat: f64, lon: f64) -> Position {
    let e7 = |degrees: f64| format!("{:.0}", degrees * 1e7).parse().expect("in range");
    Position {
        lat_e7: e7(lat),
        lon_e7: e7(lon),
    }
}

fn station(name: &str, position: Option<Position>, (can_go, craft): (usize, usize)) -> MapStation {
    MapStation {
        name: name.to_owned(),
        position,
        can_go,
        craft,
        silent: can_go == 1,
    }
}

fn stations() -> Vec<MapStation> {
    vec![
        station("Millrace", Some(at(44.20, -93.10)), (2, 3)),
        station("North Landing", Some(at(44.36, -93.02)), (1, 2)),
        station("Sedge Ford", Some(at(44.11, -93.28)), (0, 2)),
        station("Eastbank", Some(at(44.21, -93.09)), (2, 2)),
        station("High Weir", None, (0, 1)),
    ]
}

fn shape(kind: Kind, name: &str, form: Form) -> Shape {
    Shape {
        kind,
        name: name.to_owned(),
        form,
    }
}

fn ring(points: &[(f64, f64)]) -> Vec<Position> {
    points.iter().map(|(lat, lon)| at(*lat, *lon)).collect()
}

fn ground() -> Ground {
    let lake = ring(&[
        (44.20, -93.20),
        (44.20, -93.14),
        (44.26, -93.14),
        (44.26, -93.20),
        (44.20, -93.20),
    ]);
    let island = ring(&[
        (44.22, -93.18),
        (44.22, -93.16),
        (44.24, -93.16),
        (44.22, -93.18),
    ]);
    let county = ring(&[
        (44.0, -93.4),
        (44.0, -92.9),
        (44.45, -92.9),
        (44.45, -93.4),
        (44.0, -93.4),
    ]);
    let road = ring(&[(40.0, -93.1), (44.1, -93.12), (44.3, -93.05), (60.0, -93.0)]);
    Ground {
        shapes: vec![
            shape(
                Kind::Water,
                "Ell Mere",
                Form::Areas(vec![vec![lake, island]]),
            ),
            shape(Kind::Road, "", Form::Lines(vec![road])),
            shape(Kind::Boundary, "", Form::Areas(vec![vec![county]])),
            shape(
                Kind::Launch,
                "Ferry ramp",
                Form::Points(vec![at(44.23, -93.14)]),
            ),
        ],
    }
}

fn shown(ground: &Ground, stations: Vec<MapStation>, place: Option<MapPlace>) -> String {
    let map = Map {
        ground,
        stations,
        place,
    };
    super::map(&map).into_string()
}

fn place() -> Option<MapPlace> {
    Some(MapPlace {
        name: "Mill road".to_owned(),
        position: at(44.3, -93.2),
    })
}

#[test]
fn a_county_with_water_roads_and_a_call_out() {
    let shown = shown(&ground(), stations(), place());
    all_inside(&parsed(&shown));
    insta::assert_snapshot!("county", shown.replace("><", ">\n<"));
}

#[test]
fn stations_alone() {
    let shown = shown(&Ground::default(), stations(), None);
    all_inside(&parsed(&shown));
    assert!(shown.contains("Position not known, so not on the map:"));
    assert!(
        shown.contains("<li>High Weir: 0 of 1 can go</li>"),
        "{shown}"
    );
    insta::assert_snapshot!("alone", shown.replace("><", ">\n<"));
}

#[test]
fn no_position_is_known() {
    let unplaced = vec![station("High Weir", None, (1, 1))];
    insta::assert_snapshot!(shown(&ground(), unplaced, None), @r#"<p class="map-none">No map: no position of a station is known. Give it when a station is admitted.</p>"#);
}

fn boxes(shown: &str, tag: &str) -> Vec<(String, Point)> {
    let document = parsed(shown);
    let found = document.descendants().filter(|it| {
        it.has_tag_name(tag)
            && it
                .attribute("class")
                .is_some_and(|it| it.contains("map-station"))
    });
    let value =
        |it: &roxmltree::Node<'_, '_>, name| it.attribute(name).expect(name).parse().expect(name);
    found
        .map(|it| {
            (
                it.text().unwrap_or_default().to_owned(),
                Point::new(value(&it, "x"), value(&it, "y")),
            )
        })
        .collect()
}

#[test]
fn north_is_up_and_east_is_right_also_across_180_degrees() {
    for (south_west, north_east) in [
        (at(44.0, -93.0), at(44.5, -92.5)),
        (at(-17.2, 179.8), at(-16.8, -179.8)),
        (at(51.0, -180.0), at(51.5, -179.5)),
    ] {
        let two = vec![
            station("A", Some(south_west), (1, 1)),
            station("B", Some(north_east), (2, 2)),
        ];
        let road = Ground {
            shapes: vec![shape(
                Kind::Road,
                "",
                Form::Lines(vec![vec![south_west, north_east]]),
            )],
        };
        let shown = shown(&road, two, None);
        let squares = boxes(&shown, "rect");
        let (first, second) = (squares[0].1, squares[1].1);
        assert!(
            first.x + 50.0 < second.x && first.y > second.y + 50.0,
            "{squares:?}"
        );
        // The road goes straight from the one to the other, not round the Earth.
        let document = parsed(&shown);
        let road = document
            .descendants()
            .find(|it| it.attribute("class") == Some("map-road map-line"));
        let points = path_points(road.and_then(|it| it.attribute("d")).expect("a road"));
        assert_eq!(points.len(), 2);
        assert!(
            (points[0].x - first.x - 9.0).abs() < 1.0 && (points[1].x - second.x - 9.0).abs() < 1.0
        );
    }
}

#[test]
fn names_do_not_stand_over_one_another() {
    // A square of stations, closer than their names are wide, and a heap in one place.
    let grid = (0..6_u32).flat_map(|row| (0..6_u32).map(move |column| (row, column)));
    let mut many: Vec<MapStation> = grid
        .map(|(row, column)| {
            let position = at(
                44.0 + f64::from(row) / 50.0,
                -93.0 + f64::from(column) / 40.0,
            );
            station(&format!("Station {row}{column}"), Some(position), (1, 2))
        })
        .collect();
    many.extend((0..5).map(|n| station(&format!("Heap {n}"), Some(at(44.05, -92.95)), (12, 130))));
    let shown = shown(&ground(), many, place());
    let document = parsed(&shown);
    let texts = document.descendants().filter(|it| it.has_tag_name("text"));
    let boxes: Vec<(String, crate::svg::label::Box)> = texts
        .map(|it| {
            let value = |name| -> f64 { it.attribute(name).expect(name).parse().expect(name) };
            let words = it.text().unwrap_or_default();
            let width = crate::svg::label::width_of(words, 12.0) * 0.98;
            (
                words.to_owned(),
                crate::svg::label::Box::about(Point::new(value("x"), value("y") - 4.0), width, 9.0),
            )
        })
        .collect();
    assert!(boxes.len() > 50, "{}", boxes.len());
    for (index, (name, one)) in boxes.iter().enumerate() {
        for (other_name, other) in &boxes[..index] {
            let is_heap = |name: &str| name == "12" || name == "1";
            let both = is_heap(name) && is_heap(other_name);
            assert!(
                both || !one.meets(*other),
                "{name} {one:?} over {other_name} {other:?}"
            );
        }
    }
}

#[test]
fn a_large_file_makes_a_small_map() {
    let many = (0..200_u32).map(|line| {
        let points = (0..500_u32).map(|step| {
            let wave = f64::from((step * 7919 + line * 104_729) % 1000) / 1000.0;
            at(
                44.0 + f64::from(step) / 1000.0,
                -93.4 + f64::from(line) / 400.0 + wave / 50.0,
            )
        });
        shape(Kind::Road, "", Form::Lines(vec![points.collect()]))
    });
    let mut shapes: Vec<Shape> = many.collect();
    shapes.extend(ground().shapes);
    let shown = shown(&Ground { shapes }, stations(), place());
    assert!(shown.len() < 60_000, "{} bytes", shown.len());
    all_inside(&parsed(&shown));
}

#[test]
fn bars_are_round_lengths() {
    for (most, length, words) in [
        (0.05, 0.1, "0.1"),
        (0.6, 0.5, "0.5"),
        (19.9, 10.0, "10"),
        (20.0, 20.0, "20"),
        (7e4, 5e4, "50000"),
    ] {
        let (found, said) = scale::round_length(most);
        assert!((found - length).abs() < 1e-9, "{found}");
        assert_eq!(said, words);
    }
}

#[test]
fn a_bar_is_as_long_as_it_says() {
    // Two stations 100 km apart, north and south: 100 km of the bar's length are as far on the sheet.
    let two = vec![
        station("A", Some(at(44.0, -93.0)), (1, 1)),
        station("B", Some(at(44.9, -93.0)), (2, 2)),
    ];
    let metres: f64 = {
        use geographiclib_rs::{Geodesic, InverseGeodesic as _};
        Geodesic::wgs84().inverse(44.0, -93.0, 44.9, -93.0)
    };
    let shown = shown(&Ground::default(), two, None);
    let squares = boxes(&shown, "rect");
    let per_metre = (squares[0].1.y - squares[1].1.y) / metres;
    let document = parsed(&shown);
    let bars = document
        .descendants()
        .filter(|it| it.attribute("class") == Some("map-bar"));
    let words = document
        .descendants()
        .filter(|it| it.attribute("class") == Some("map-scale-word"));
    let words: Vec<String> = words
        .skip(1)
        .map(|it| {
            it.descendants()
                .filter_map(|it| it.text())
                .collect::<Vec<_>>()[0]
                .to_owned()
        })
        .collect();
    for (bar, words) in bars.zip(&words) {
        let points = path_points(bar.attribute("d").expect("data"));
        let length = points[2].x - points[0].x;
        let (number, unit) = words.split_once(' ').expect("a unit");
        let unit_m = if unit == "mi" { 1609.344 } else { 1000.0 };
        let said: f64 = number.parse().expect("a number");
        assert!(
            (said * unit_m * per_metre / length - 1.0).abs() < 0.01,
            "{words}: {length}"
        );
    }
    assert_eq!(words.len(), 2);
}

#[test]
fn what_people_wrote_is_text() {
    let hostile = "<script>alert(1)</script>\" onload=\"x\u{202e}";
    let stations = vec![
        station(hostile, Some(at(44.0, -93.0)), (1, 1)),
        station(hostile, None, (1, 1)),
    ];
    let mut ground = ground();
    for shape in &mut ground.shapes {
        shape.name = hostile.to_owned();
    }
    let place = Some(MapPlace {
        name: hostile.to_owned(),
        position: at(44.1, -93.1),
    });
    let shown = shown(&ground, stations, place);
    let document = parsed(&shown);
    assert!(!document.descendants().any(|it| it.has_tag_name("script")));
    let attributes = document
        .descendants()
        .flat_map(|it| it.attributes().collect::<Vec<_>>());
    assert!(
        !attributes
            .map(|it| it.name().to_owned())
            .any(|name| name.starts_with("on"))
    );
    assert!(!shown.contains('\u{202e}'));
}

#[test]
fn a_craft_counts_where_it_stands() {
    let answer = crate::sample::county();
    let ids: Vec<_> = answer.stations.iter().map(|one| one.id).collect();
    let positions = BTreeMap::from([(ids[0], at(44.0, -93.0))]);
    let ground = Ground::default();
    let map = Map::of(&answer, &positions, &ground);
    assert_eq!(map.stations[0].position, Some(at(44.0, -93.0)));
    assert_eq!(map.stations[1].position, None);
    let craft: usize = map.stations.iter().map(|one| one.craft).sum();
    let certain = answer
        .craft
        .iter()
        .filter(|one| one.stations.len() == 1)
        .count();
    assert_eq!(craft, certain);
    assert!(certain < answer.craft.len(), "one is disputed");
}
