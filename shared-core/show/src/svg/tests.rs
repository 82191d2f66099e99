//! What holds of every drawing, for the tests of each.

use super::*;

#[test]
fn a_number_has_a_tenth_at_most() {
    for (value, text) in [
        (1.0, "1"),
        (1.25, "1.3"),
        (-0.04, "0"),
        (-1.5, "-1.5"),
        (0.96, "1"),
    ] {
        assert_eq!(number(value), text);
    }
}

/// The first drawing of some markup.
pub(crate) fn parsed(markup: &str) -> roxmltree::Document<'_> {
    roxmltree::Document::parse(markup).expect("a drawing is XML")
}

/// Every place that a drawing names: points of paths, corners of boxes, ends of texts as wide as they
/// may be.
pub(crate) fn places(document: &roxmltree::Document<'_>) -> Vec<(String, Point)> {
    let nodes = document.descendants().filter(roxmltree::Node::is_element);
    nodes.flat_map(|node| of_node(&node)).collect()
}

fn of_node(node: &roxmltree::Node<'_, '_>) -> Vec<(String, Point)> {
    let value = |name| {
        node.attribute(name)
            .map_or(0.0, |text| text.parse().expect(name))
    };
    let corner = |x, y| Point::new(x, y);
    let points = match node.tag_name().name() {
        "path" => path_points(node.attribute("d").expect("a path has data")),
        "rect" => vec![
            corner(value("x"), value("y")),
            corner(value("x") + value("width"), value("y") + value("height")),
        ],
        "circle" => vec![
            corner(value("cx") - value("r"), value("cy") - value("r")),
            corner(value("cx") + value("r"), value("cy") + value("r")),
        ],
        "text" if node.attribute("x").is_some() => text_ends(node, node.attribute("text-anchor")),
        "tspan" => text_ends(node, None),
        _ => Vec::new(),
    };
    let class = node.attribute("class").unwrap_or_default();
    points
        .into_iter()
        .map(|point| (class.to_owned(), point))
        .collect()
}

fn text_ends(node: &roxmltree::Node<'_, '_>, anchor: Option<&str>) -> Vec<Point> {
    let value = |name| -> f64 { node.attribute(name).expect(name).parse().expect(name) };
    // A plain typeface takes about half its height for a character.
    let width = super::label::width_of(node.text().unwrap_or_default(), 12.0);
    let (left, right) = match anchor {
        Some("middle") => (width / 2.0, width / 2.0),
        Some("end") => (width, 0.0),
        Some(_) | None => (0.0, width),
    };
    let (x, y) = (value("x"), value("y"));
    vec![Point::new(x - left, y), Point::new(x + right, y)]
}

/// Points of the data of a path, of the letters that the drawings use.
pub(crate) fn path_points(data: &str) -> Vec<Point> {
    let spaced: String = data
        .chars()
        .flat_map(|c| {
            if c.is_ascii_alphabetic() {
                vec![' ', c, ' ']
            } else {
                vec![c]
            }
        })
        .collect();
    let mut words = spaced.split_whitespace();
    let (mut at, mut letter, mut points) = (Point::new(0.0, 0.0), "M", Vec::new());
    while let Some(word) = words.next() {
        let first = if word.chars().all(|c| c.is_ascii_alphabetic()) {
            letter = word;
            if letter == "Z" {
                continue;
            }
            words.next()
        } else {
            Some(word)
        };
        let mut number = |text: Option<&str>| -> f64 {
            text.or_else(|| words.next())
                .expect("a number")
                .parse()
                .expect("a number")
        };
        let one = number(first);
        at = match letter {
            "M" | "L" => Point::new(one, number(None)),
            "l" => Point::new(at.x + one, at.y + number(None)),
            "H" => Point::new(one, at.y),
            "h" => Point::new(at.x + one, at.y),
            "V" => Point::new(at.x, one),
            other => panic!("letter {other} in {data}"),
        };
        points.push(at);
    }
    points
}

/// That nothing of a drawing is outside its view.
pub(crate) fn all_inside(document: &roxmltree::Document<'_>) {
    let svg = document.descendants().find(|node| node.has_tag_name("svg"));
    let view = svg
        .and_then(|svg| svg.attribute("viewBox"))
        .expect("a view");
    let view: Vec<f64> = view
        .split(' ')
        .map(|text| text.parse().expect(view))
        .collect();
    for (class, point) in places(document) {
        let inside = (0.0..=view[2]).contains(&point.x) && (0.0..=view[3]).contains(&point.y);
        assert!(inside, "{class} at {point:?} of {view:?}");
    }
}
