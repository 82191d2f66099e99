//! Pages as they are served.

use insta::assert_snapshot;
use sponson_readiness::answer::CountyAnswer;

use super::{facts, in_lines};
use crate::html::{
    Fault, FormValues, Message, PageFacts, Viewer, county_page, enter_body, frame, message_page,
    not_signed_in_body, refused_page,
};
use crate::sample;
use crate::sample::callout::called_out;

fn form() -> FormValues {
    FormValues::of([("mission", "swiftwater")])
}

#[test]
fn the_county() {
    let page = county_page(&sample::county(), &sample::context(), &facts(), &form());
    assert_snapshot!(in_lines(&page));
}

#[test]
fn a_call_out() {
    let facts = PageFacts {
        query: "mission=swiftwater&place=Mill+Lane+ramp&people=adult:5&air=".to_owned(),
        ..facts()
    };
    let form = FormValues::of([
        ("mission", "swiftwater"),
        ("place", "Mill Lane ramp"),
        ("people", "adult:5"),
    ]);
    let page = county_page(&called_out(), &sample::context(), &facts, &form);
    assert_snapshot!(in_lines(&page));
}

#[test]
fn a_county_with_nothing_in_it() {
    let empty = CountyAnswer {
        stations: Vec::new(),
        craft: Vec::new(),
        missing_kit: Vec::new(),
        overdue: Vec::new(),
        disagreements: Vec::new(),
        ..sample::county()
    };
    let page = county_page(&empty, &sample::context(), &facts(), &FormValues::default());
    assert_snapshot!(in_lines(&page));
}

#[test]
fn what_was_refused_stands_beside_its_field() {
    let fault = |field: &str, text: &str| Fault {
        field: field.to_owned(),
        text: text.to_owned(),
    };
    let values = FormValues::of([
        ("mission", "swiftwater"),
        ("air", "warm"),
        ("closed", "Mill Race"),
    ]);
    let form = values.refused(vec![
        fault(
            "--air",
            "--air: 'warm' is no temperature; write for example -5C or 23F",
        ),
        fault("", "the question is longer than 8192 bytes; ask for less"),
    ]);
    assert_snapshot!(in_lines(&refused_page(&facts(), &form)));
}

#[test]
fn other_pages() {
    let nobody = PageFacts {
        viewer: Viewer::Nobody,
        token: None,
        query: String::new(),
        ..facts()
    };
    let message = Message {
        title: "Boat 7 is assigned".to_owned(),
        text: vec!["Recorded for incident Mill Lane.".to_owned()],
        links: vec![("/".to_owned(), "Back to the county".to_owned())],
    };
    let pages = [
        message_page(&message, &facts()),
        frame(
            "Enter",
            &nobody,
            &enter_body("/enter/CODE", "214", "coordinator", 12),
        ),
        frame(
            "Not signed in",
            &nobody,
            &not_signed_in_body("sponson-county let-in"),
        ),
    ];
    let mains: Vec<&str> = pages
        .iter()
        .filter_map(|page| page.split_once("<main")?.1.split_once("</main>"))
        .map(|(main, _)| main)
        .collect();
    assert_snapshot!(in_lines(&mains.join("\n")));
}
