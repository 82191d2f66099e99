use proptest::prelude::*;

use super::*;

fn file(features: &str) -> String {
    format!(r#"{{"type":"FeatureCollection","features":[{features}]}}"#)
}

fn feature(kind: &str, sort: &str, coordinates: &str) -> String {
    format!(
        r#"{{"type":"Feature","properties":{{"kind":"{kind}","name":"Ell Mere"}},
            "geometry":{{"type":"{sort}","coordinates":{coordinates}}}}}"#
    )
}

const LINE: &str = "[[-93.1,44.2],[-93.0,44.3]]";
const RING: &str = "[[-93.1,44.2],[-93.0,44.2],[-93.0,44.3],[-93.1,44.2]]";
const HOLE: &str = "[[-93.05,44.22],[-93.02,44.22],[-93.02,44.25],[-93.05,44.22]]";

#[test]
fn every_geometry_that_a_kind_may_have() {
    for (kind, sort, coordinates, points) in [
        ("water", "Polygon", format!("[{RING},{HOLE}]"), 8),
        (
            "water",
            "MultiPolygon",
            format!("[[{RING},{HOLE}],[{HOLE}]]"),
            12,
        ),
        ("water", "LineString", LINE.to_owned(), 2),
        ("road", "LineString", LINE.to_owned(), 2),
        ("road", "MultiLineString", format!("[{LINE},{LINE}]"), 4),
        ("boundary", "Polygon", format!("[{RING}]"), 4),
        ("boundary", "MultiLineString", format!("[{LINE}]"), 2),
        ("launch", "Point", "[-93.1,44.2,230.5]".to_owned(), 1),
        ("launch", "MultiPoint", LINE.to_owned(), 2),
    ] {
        let ground = parse(file(&feature(kind, sort, &coordinates)).as_bytes()).expect(sort);
        let [shape] = ground.shapes.as_slice() else {
            panic!("{ground:?}");
        };
        assert_eq!((shape.kind.id(), shape.name.as_str()), (kind, "Ell Mere"));
        assert_eq!(shape.form.places().count(), points, "{sort}");
        let first = shape.form.places().next().expect("a place");
        assert_eq!((first.lat_e7, first.lon_e7), (442_000_000, -931_000_000));
    }
}

#[test]
fn holes_stay_with_their_area() {
    let text = file(&feature(
        "water",
        "MultiPolygon",
        &format!("[[{RING},{HOLE}],[{HOLE}]]"),
    ));
    let ground = parse(text.as_bytes()).expect("it can be read");
    let Form::Areas(areas) = &ground.shapes[0].form else {
        panic!("{ground:?}");
    };
    assert_eq!(areas.iter().map(Vec::len).collect::<Vec<_>>(), [2, 1]);
}

#[test]
fn what_cannot_be_is_refused_in_words() {
    let line = |coordinates: &str| file(&feature("road", "LineString", coordinates));
    let second = |one: &str| file(&format!("{},{one}", feature("road", "LineString", LINE)));
    for (text, words) in [
        ("[".to_owned(), "the map file is no JSON: EOF while parsing a list at line 1 column 1; export it as GeoJSON"),
        ("{}".to_owned(), "type is absent; it must be FeatureCollection: export all layers into one"),
        (r#"{"type":"Feature"}"#.to_owned(), "type is Feature; it must be FeatureCollection: export all layers into one"),
        (r#"{"type":"FeatureCollection"}"#.to_owned(), "features is absent; it must be a list"),
        (r#"{"type":"FeatureCollection","features":{}}"#.to_owned(), "features is an object; it must be a list"),
        (
            r#"{"type":"FeatureCollection","crs":{"type":"name","properties":{"name":"urn:ogc:def:crs:EPSG::26915"}},"features":[]}"#.to_owned(),
            "crs is urn:ogc:def:crs:EPSG::26915; only WGS 84 is allowed (RFC 7946, section 4): export it in WGS 84",
        ),
        (second("7"), "features[1].properties.kind is absent; it must be water, road, boundary or launch: set it for the whole layer"),
        (second(&feature("river", "LineString", LINE)), "features[1].properties.kind is river; it must be water, road, boundary or launch: set it for the whole layer"),
        (
            second(r#"{"type":"Feature","properties":{"kind":"road","name":7},"geometry":null}"#),
            "features[1].properties.name is 7; it must be text",
        ),
        (
            second(r#"{"type":"Feature","properties":{"kind":"road"},"geometry":null}"#),
            "features[1].geometry is absent; give the feature a place, or leave it out",
        ),
        (
            second(&feature("road", "Polygon", &format!("[{RING}]"))),
            "features[1].geometry.type is Polygon; road must be a line: change its kind or its shape",
        ),
        (
            second(&feature("launch", "LineString", LINE)),
            "features[1].geometry.type is LineString; launch must be a point: change its kind or its shape",
        ),
        (
            second(&feature("water", "Point", "[0,0]")),
            "features[1].geometry.type is Point; water must be an area or a line: change its kind or its shape",
        ),
        (
            second(r#"{"type":"Feature","properties":{"kind":"road"},"geometry":{"type":"GeometryCollection","geometries":[]}}"#),
            "features[1].geometry.type is GeometryCollection; make each of its parts a feature of its own",
        ),
        (line("[[44.2,-93.1],[44.3,-93.0]]"), "features[0].geometry.coordinates[0][1] is -93.1; latitude goes from -90 to 90; longitude comes first, in degrees of WGS 84"),
        (line("[[-93.1,44.2],[481234.5,44.3]]"), "features[0].geometry.coordinates[1][0] is 481234.5; longitude goes from -180 to 180; longitude comes first, in degrees of WGS 84"),
        (line("[[-93.1,44.2]]"), "features[0].geometry.coordinates is a list of 1; a line has two or more: leave it out"),
        (
            file(&feature("water", "Polygon", "[[[0,0],[1,0],[0,0]]]")),
            "features[0].geometry.coordinates[0] is a list of 3; a ring has four or more, the last being the first: close it",
        ),
        (
            file(&feature("water", "Polygon", "[[[0,0],[1,0],[1,1],[0,1]]]")),
            "features[0].geometry.coordinates[0] is an open ring; its last position must be its first: close it",
        ),
        (file(&feature("water", "Polygon", "[]")), "features[0].geometry.coordinates is empty; an area has a ring: leave it out"),
    ] {
        let refused = parse(text.as_bytes()).expect_err(&text);
        assert_eq!(refused.to_string(), words);
    }
}

#[test]
fn what_the_library_refuses_names_the_feature() {
    for geometry in [
        r#"{"type":"LineString","coordinates":[7,8]}"#,
        r#"{"type":"LineString","coordinates":[["1","2"],[3,4]]}"#,
        r#"{"type":"Circle","coordinates":[1,2]}"#,
        r#"{"type":"Point"}"#,
    ] {
        let text = file(&format!(
            r#"{{"type":"Feature","properties":{{"kind":"road"}},"geometry":{geometry}}}"#
        ));
        let words = parse(text.as_bytes()).expect_err(geometry).to_string();
        assert!(words.starts_with("features[0] is "), "{words}");
        assert!(
            words.ends_with("it must be a feature of RFC 7946: export it again"),
            "{words}"
        );
    }
}

#[test]
fn there_are_limits() {
    let points = vec!["[1.5,2.5]"; POINTS_MAX].join(",");
    let at_most = file(&feature("road", "LineString", &format!("[{points}]")));
    assert!(parse(at_most.as_bytes()).is_ok());
    let one_more = file(&feature(
        "road",
        "LineString",
        &format!("[{points},[1.5,2.5]]"),
    ));
    let words = parse(one_more.as_bytes())
        .expect_err("one too many")
        .to_string();
    assert_eq!(
        words,
        "features[0].geometry.coordinates[20000] is one point too many; at most 20000 in the file are allowed; simplify its shapes"
    );
    let features = vec![feature("launch", "Point", "[1,2]"); FEATURES_MAX + 1].join(",");
    let words = parse(file(&features).as_bytes())
        .expect_err("one too many")
        .to_string();
    assert_eq!(
        words,
        "features is 2001 features; at most 2000 are allowed; leave out small ones"
    );
    let long = vec![b' '; usize::try_from(BYTES_MAX).expect("fits") + 1];
    let words = parse(&long).expect_err("too long").to_string();
    assert_eq!(
        words,
        "the map file has 4194305 bytes; at most 4194304 are allowed; simplify its shapes"
    );
    let deep = "[".repeat(100_000);
    let deep = file(&feature("water", "Polygon", &deep));
    assert!(parse(deep.as_bytes()).is_err());
}

#[test]
fn the_invented_county_can_be_read() {
    let text = include_bytes!("../../../demo-stations/county/county.geojson");
    let ground = parse(text).expect("it can be read");
    for kind in Kind::ALL {
        assert!(
            ground.shapes.iter().any(|shape| shape.kind == kind),
            "{kind:?}"
        );
    }
}

/// Any JSON, as deep as a file goes.
fn json() -> impl Strategy<Value = Value> {
    let word = prop_oneof![
        Just("type".to_owned()),
        Just("features".to_owned()),
        Just("geometry".to_owned()),
        Just("coordinates".to_owned()),
        Just("properties".to_owned()),
        Just("kind".to_owned()),
        Just("FeatureCollection".to_owned()),
        Just("Feature".to_owned()),
        Just("Polygon".to_owned()),
        Just("MultiPolygon".to_owned()),
        Just("road".to_owned()),
        Just("water".to_owned()),
        ".{0,8}",
    ];
    let leaf = prop_oneof![
        Just(Value::Null),
        any::<bool>().prop_map(Value::from),
        any::<f64>().prop_map(Value::from),
        (-200.0..200.0).prop_map(Value::from),
        word.clone().prop_map(Value::from),
    ];
    leaf.prop_recursive(6, 60, 6, move |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 0..6).prop_map(Value::from),
            prop::collection::btree_map(word.clone(), inner, 0..6)
                .prop_map(|map| Value::Object(map.into_iter().collect())),
        ]
    })
}

proptest! {
    #[test]
    fn no_bytes_make_it_panic(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        let _ = parse(&bytes);
    }

    #[test]
    fn no_json_makes_it_panic(features in prop::collection::vec(json(), 0..4), coordinates in json()) {
        let whole = serde_json::json!({"type": "FeatureCollection", "features": features});
        let _ = parse(whole.to_string().as_bytes());
        for (kind, sort) in [("water", "Polygon"), ("road", "LineString"), ("launch", "MultiPoint"), ("boundary", "MultiPolygon")] {
            let text = file(&feature(kind, sort, &coordinates.to_string()));
            let _ = parse(text.as_bytes());
        }
    }
}
