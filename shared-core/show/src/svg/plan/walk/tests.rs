use sponson_readiness::event::Extent;
use sponson_readiness::standard::built_in;
use sponson_readiness::walk::{Aboard, walk};

use super::*;
use crate::sample;
use crate::svg::tests::{all_inside, parsed};

fn sheets() -> Vec<Standard> {
    let texts = built_in().into_iter();
    texts
        .map(|(_, text)| Standard::parse(text).expect("a built-in sheet"))
        .collect()
}

/// Every craft's drawing, with every second stop done and the third the one where somebody stands.
fn check(holds: impl Fn(&Standard, &Walk, &roxmltree::Document<'_>)) {
    for standard in sheets() {
        let mut bare = standard.clone();
        bare.stops.clear();
        for standard in [standard, bare] {
            let walk = walk(&standard, &Aboard::default(), Extent::Full);
            let done = walk.stops.iter().step_by(2).map(|stop| stop.id.clone());
            let done: BTreeSet<StopId> = done.collect();
            let here = walk.stops.get(2).map(|stop| &stop.id);
            let markup = plan_at_stop(&standard, &walk, (&done, here), &sample::context());
            holds(&standard, &walk, &parsed(&markup.into_string()));
        }
    }
}

fn links<'a>(document: &'a roxmltree::Document<'a>, within: &str) -> Vec<(&'a str, &'a str)> {
    let mut nodes = document.descendants();
    let within = nodes.find(|node| node.has_tag_name(within)).expect("there");
    let links = within.descendants().filter(|node| node.has_tag_name("a"));
    links
        .map(|link| {
            let of = |name| link.attribute(name).expect("set");
            (of("href"), of("class"))
        })
        .collect()
}

#[test]
fn every_stop_is_one_link_in_the_list_done_or_open() {
    check(|_, walk, document| {
        let listed = links(document, "ol");
        let ids = walk.stops.iter().map(|stop| format!("#stop-{}", stop.id));
        assert!(ids.eq(listed.iter().map(|(href, _)| (*href).to_owned())));
        for (index, (_, class)) in listed.iter().enumerate() {
            let word = if index % 2 == 0 {
                "walk-done"
            } else {
                "walk-open"
            };
            assert!(class.contains(word), "{class}");
            assert_eq!(class.contains("walk-here"), index == 2);
        }
    });
}

#[test]
fn every_mark_is_that_of_a_stop_and_no_mark_hides_another() {
    check(|standard, _, document| {
        all_inside(document);
        let listed = links(document, "ol");
        let marked = links(document, "svg");
        assert!(marked.iter().all(|mark| listed.contains(mark)));
        let marks = document.descendants().filter(|node| {
            let class = node.attribute("class");
            class == Some("walk-mark")
        });
        let middle = |node: roxmltree::Node<'_, '_>| {
            let of = |name| {
                node.attribute(name)
                    .map(|text| text.parse::<f64>().expect("a number"))
            };
            let half = of("width").map_or(0.0, |width| width / 2.0);
            let at = |round, square| of(round).or(of(square).map(|edge| edge + half));
            Point::new(at("cx", "x").expect("x"), at("cy", "y").expect("y"))
        };
        let places: Vec<Point> = marks.map(middle).collect();
        assert!(!places.is_empty(), "{}", standard.model);
        for (index, one) in places.iter().enumerate() {
            for other in &places[index + 1..] {
                let apart = (one.x - other.x).hypot(one.y - other.y);
                assert!(apart > 2.0 * MARK, "{}: {one:?} {other:?}", standard.model);
            }
        }
    });
}

#[test]
fn the_parts_of_the_stop_where_somebody_stands_are_set_off() {
    let standard = &sheets()[0];
    let walk = walk(standard, &Aboard::default(), Extent::Full);
    let bow = StopId::from("bow");
    let none = BTreeSet::new();
    let markup = plan_at_stop(standard, &walk, (&none, Some(&bow)), &sample::context());
    let text = markup.into_string();
    assert_eq!(text.matches("walk-part-here").count(), 2, "tubes 1 and 2");
    let markup = plan_for_walk(standard, &walk, &none, &sample::context());
    assert!(!markup.into_string().contains("walk-part-here"));
}
