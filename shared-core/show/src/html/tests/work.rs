//! The station's pages of work beside the check.

use maud::{Markup, html};
use proptest::prelude::*;
use scraper::{Html, Selector};
use sponson_readiness::answer::{Action, Effect, Rule, Step, StepId, StepState, Subject, ToDo};
use sponson_readiness::ids::LineId;
use sponson_readiness::standard::{Standard, built_in};

use super::checks::faults;
use super::{facts, in_lines};
use crate::html::station::place::{PlaceAsked, place_picker};
use crate::html::station::work::{
    AirFacts, CrewsFacts, Due, DueFacts, FaultFacts, FitOutFacts, GoesAlong, Kept, LendFacts,
    LikeFault, MendFacts, Mending, MoveFacts, Needs, OfCraft, OpenFault, OutNow, ServiceFacts,
    StepBy, Thing, UseFacts, WorkPage, air_body, crews_body, due_body, due_of, fault_body,
    fit_out_body, lend_body, mend_body, move_body, service_body, use_body,
};
use crate::html::{Fault, FormValues, Standing, frame};
use crate::sample;

const ID: &str = "00112233445566778899aabbccddeeff";

fn sheet(model: &str) -> Standard {
    let mut all = built_in().into_iter();
    let found = all.find(|(name, _)| *name == model);
    let (_, text) = found.unwrap_or(built_in()[0]);
    Standard::parse(text).expect("a built-in sheet")
}

fn craft() -> OfCraft<'static> {
    OfCraft {
        id: ID,
        number: "Boat <3>",
    }
}

fn kept() -> Vec<Kept> {
    vec![Kept {
        event: "1a2b3c4d".to_owned(),
        what: "Boat 3: on the water for 1 h 30 min".to_owned(),
        standing: Standing::Waiting,
    }]
}

/// One field with what is wrong with it.
fn wrong(fields: &[&str]) -> FormValues {
    let of = fields
        .iter()
        .map(|field| ((*field).to_owned(), "x".to_owned()));
    let faults = fields.iter().map(|field| Fault {
        field: (*field).to_owned(),
        text: format!("--{field} is x; give what it is"),
    });
    FormValues::of(of).refused(faults.collect())
}

fn page(form: &FormValues, kept: &[Kept], body: impl FnOnce(&WorkPage<'_>) -> Markup) -> String {
    let page = WorkPage {
        token: Some("a-token"),
        member: Some("214"),
        here: "/crews",
        once: "0011aabb",
        kept,
        form,
    };
    frame("Work", &facts(), &body(&page))
}

fn used(form: &FormValues) -> String {
    let standard = sheet("inflatable-14");
    let items: Vec<(String, String)> = standard
        .items
        .iter()
        .map(|item| (item.id.to_string(), item.label.clone()))
        .collect();
    let missions: Vec<String> = standard.missions.keys().map(ToString::to_string).collect();
    let owed = [
        Due {
            line: "motor-flush".to_owned(),
            label: "Motor flushed".to_owned(),
            why: "owed after salt water".to_owned(),
            minutes: Some(10),
            needs: Needs::Nothing,
        },
        Due {
            line: "immersed".to_owned(),
            label: "Motor that was under water".to_owned(),
            why: "it was under water".to_owned(),
            minutes: None,
            needs: Needs::Run(180),
        },
    ];
    page(form, &kept(), |page| {
        let facts = UseFacts {
            craft: craft(),
            assigned: &["Flood 12".to_owned()],
            meters: &["M 3".to_owned()],
            items: &items,
            missions: &missions,
            owed: &owed,
        };
        use_body(&facts, page)
    })
}

fn faulty(form: &FormValues, like: &[LikeFault]) -> String {
    let standard = sheet("inflatable-14");
    page(form, &[], |page| {
        let facts = FaultFacts {
            craft: craft(),
            standard: &standard,
            units: sample::context().units,
            classes: &["leak", "seam-open"],
            gear: &["M3".to_owned()],
            open: &[OpenFault {
                name: "1a2b3c4d-0".to_owned(),
                what: "leak at tube-2, port".to_owned(),
                severity: "major".to_owned(),
                found: "2026-03-13 08:00".to_owned(),
            }],
            like,
        };
        fault_body(&facts, page)
    })
}

fn like() -> Vec<LikeFault> {
    vec![LikeFault {
        name: "1a2b3c4d-0".to_owned(),
        what: "leak at tube-2".to_owned(),
        found: "2026-03-13 08:00".to_owned(),
    }]
}

fn due(form: &FormValues, chosen: usize) -> String {
    let standard = sheet("inflatable-14");
    let mut answer = sample::limited();
    let mut owed = sample::finding(Rule::OwedAfterUse, Effect::NotReady);
    let line = standard.after_use[0].id.clone();
    owed.subject = Subject::Line(line.clone(), "x".to_owned());
    owed.to_do = vec![ToDo {
        action: Action::Inspect(line),
        minutes: Some(10),
    }];
    answer.why.push(owed);
    let (due, others) = due_of(&answer, &standard, sample::AS_OF, &sample::context());
    assert_eq!(due.len(), 1, "{due:?}");
    page(form, &[], |page| {
        let facts = DueFacts {
            craft: craft(),
            due: &due,
            others: &others,
            chosen: others.get(chosen),
        };
        due_body(&facts, page)
    })
}

fn thing(name: &str) -> Thing {
    Thing {
        name: name.to_owned(),
        words: format!("{name} (bag, at Mill Race)"),
    }
}

fn moved(form: &FormValues, along: Option<&GoesAlong>) -> String {
    page(form, &[], |page| {
        let facts = MoveFacts {
            things: &[thing("Boat 3"), thing("B3")],
            places: &[thing("Mill Race"), thing("Boat 3")],
            bags: &[thing("B3")],
            spares: &[thing("B9")],
            along,
        };
        move_body(&facts, page)
    })
}

fn lent(form: &FormValues) -> String {
    let back = (
        "/lend?from=Boat%205&to=Boat%203&item=throw-bag".to_owned(),
        "Bring it back".to_owned(),
    );
    page(form, &[], |page| {
        let facts = LendFacts {
            places: &[thing("Boat 3"), thing("Boat 5")],
            items: &[("throw-bag".to_owned(), "throw bag".to_owned())],
            back: &[back],
        };
        lend_body(&facts, page)
    })
}

fn others(form: &FormValues) -> Vec<String> {
    let out = [OutNow {
        what: "Boat 3: out of service (mechanical)".to_owned(),
        by: "2026-03-13 08:00, by Mill Race, 214".to_owned(),
    }];
    let parts = [(
        "tube-1".to_owned(),
        "tube 1 (wanted 3.0 to 3.5 psi)".to_owned(),
    )];
    vec![
        page(form, &[], |page| {
            let facts = ServiceFacts {
                craft: craft(),
                out: &out,
            };
            service_body(&facts, page)
        }),
        page(form, &[], |page| {
            let facts = AirFacts {
                craft: craft(),
                parts: &parts,
                sources: &["P1".to_owned()],
                unit: "psi",
            };
            air_body(&facts, page)
        }),
        page(form, &[], |page| {
            let facts = CrewsFacts {
                station: "Mill Race",
                now: Some("2 crews until 18:00"),
            };
            crews_body(&facts, page)
        }),
    ]
}

fn fitting_out() -> String {
    let mut answer = sample::limited();
    let event = sample::event(7);
    let at = sample::AS_OF.plus_ms(-86_400_000);
    let mut open = sample::finding(Rule::InspectionOverdue, Effect::NotReady);
    open.subject = Subject::Line(LineId::from("hold-24h"), "hold test".to_owned());
    let step = |step, state, open| Step {
        step,
        state,
        open,
        minutes: None,
    };
    answer.in_service = vec![
        step(
            StepId::Registered,
            StepState::Done { event, at },
            Vec::new(),
        ),
        step(StepId::Inspections, StepState::Clear, Vec::new()),
        step(StepId::HoldTest, StepState::Open, vec![open]),
        step(StepId::Plate, StepState::Open, Vec::new()),
    ];
    let by = [StepBy {
        event,
        who: "member 214, Mill Race".to_owned(),
    }];
    page(&FormValues::default(), &[], |page| {
        let facts = FitOutFacts {
            craft: craft(),
            answer: &answer,
            as_of: sample::AS_OF,
            by: &by,
            under_way: Some("begun by member 214"),
        };
        fit_out_body(&facts, &sample::context(), page)
    })
}

fn all(form: &FormValues) -> Vec<String> {
    let along = GoesAlong {
        number: "Boat 3".to_owned(),
        entries: "41 entries of its log".to_owned(),
        faults: vec!["leak at tube-2".to_owned()],
        aboard: vec!["M3".to_owned(), "B3".to_owned()],
    };
    let mut all = vec![
        used(form),
        faulty(form, &[]),
        faulty(form, &like()),
        moved(form, None),
        moved(form, Some(&along)),
        lent(form),
        fitting_out(),
    ];
    all.extend((0..6).map(|chosen| due(form, chosen)));
    all.extend(others(form));
    all.extend([Mending::Repair, Mending::SignOff].map(|mending| mended(form, mending)));
    all
}

fn mended(form: &FormValues, mending: Mending) -> String {
    let open = [OpenFault {
        name: "1a2b3c4d-0".to_owned(),
        what: "leak at tube-2".to_owned(),
        severity: "major".to_owned(),
        found: "2026-03-13 08:00".to_owned(),
    }];
    page(form, &[], |page| {
        let facts = MendFacts {
            craft: craft(),
            mending,
            open: &open,
            methods: &["patch-two-part".to_owned()],
        };
        mend_body(&facts, page)
    })
}

#[test]
fn every_page_is_sound_also_where_fields_are_wrong() {
    let fields = [
        "time",
        "meter.M 3",
        "water",
        "used-up.throw-bag",
        "release",
        "part",
        "class",
        "severity",
        "side",
        "from-transom",
        "face",
        "mission",
        "gear",
        "result",
        "hours",
        "start.tube-1",
        "reason",
        "done",
        "before",
        "by",
        "with",
        "crews",
        "until",
        "thing",
        "to",
        "for",
        "from",
        "item",
        "left",
        "there",
        "",
    ];
    for form in [FormValues::default(), wrong(&fields)] {
        for page in all(&form) {
            assert_eq!(faults(&page), Vec::<String>::new(), "{page}");
        }
    }
}

#[test]
fn what_is_wrong_stands_beside_its_field_and_what_was_typed_stays() {
    let page = used(&wrong(&["time", "meter.M 3"]));
    let html = Html::parse_document(&page);
    let one = |css: &str| {
        let css = Selector::parse(css).expect("a selector");
        html.select(&css).next().map(|it| it.html())
    };
    let field = one("input[name=time]").expect("the field");
    assert!(
        field.contains("value=\"x\"") && field.contains("aria-invalid=\"true\""),
        "{field}"
    );
    assert!(field.contains("e-time"), "{field}");
    assert!(
        one("p#e-time")
            .expect("beside it")
            .contains("give what it is")
    );
    assert!(one("#e-meter\\.M_3").is_some(), "{page}");
    assert!(page.contains("Nothing was kept of this"), "{page}");
}

#[test]
fn what_was_recorded_is_said_with_its_name_and_that_it_waits() {
    let page = used(&FormValues::default());
    for said in [
        "on the water for 1 h 30 min",
        "event 1a2b3c4d",
        "waiting to be sent",
        "member 214",
    ] {
        assert!(page.contains(said), "{said}: {page}");
    }
}

#[test]
fn nobody_records_who_has_not_said_who_it_is() {
    let form = FormValues::default();
    let nobody = WorkPage {
        token: Some("t"),
        member: None,
        here: "/crews",
        once: "1",
        kept: &[],
        form: &form,
    };
    let facts = CrewsFacts {
        station: "Mill Race",
        now: None,
    };
    let page = crews_body(&facts, &nobody).into_string();
    assert!(
        !page.contains("<button") && page.contains("/who?back=/crews"),
        "{page}"
    );
}

#[test]
fn each_page_reads_so() {
    let form = FormValues::default();
    let along = GoesAlong {
        number: "Boat 3".to_owned(),
        entries: "41 entries of its log".to_owned(),
        faults: vec!["leak at tube-2".to_owned()],
        aboard: vec!["M3".to_owned()],
    };
    let main = |page: &str| {
        let (_, rest) = page.split_once("<h1>").expect("a heading");
        in_lines(rest.split("</main>").next().expect("its end"))
    };
    insta::assert_snapshot!("use", main(&used(&form)));
    insta::assert_snapshot!(
        "fault_asked_back",
        main(&faulty(
            &FormValues::of([
                ("part", "tube-2"),
                ("side", "port"),
                ("from-transom", "40cm")
            ]),
            &like()
        ))
    );
    insta::assert_snapshot!("due", main(&due(&form, 0)));
    insta::assert_snapshot!("move", main(&moved(&form, Some(&along))));
    insta::assert_snapshot!("lend", main(&lent(&form)));
    insta::assert_snapshot!("fit_out", main(&fitting_out()));
}

/// Every part of every sheet can be chosen, by the drawing as far as it has a place there, and by name.
#[test]
fn every_part_can_be_chosen() {
    for (_, text) in built_in() {
        let standard = Standard::parse(text).expect("a built-in sheet");
        let asked = PlaceAsked {
            prefix: "fault.0.",
            link: None,
            units: sample::context().units,
        };
        let form = FormValues::of([("fault.0.part", standard.parts[0].id.as_str())]);
        let markup = html! { (place_picker(&standard, &asked, &form)) }.into_string();
        let html = Html::parse_fragment(&markup);
        let css = |css: &str| Selector::parse(css).expect("a selector");
        let named: Vec<String> = html
            .select(&css("option"))
            .filter_map(|one| one.value().attr("value").map(str::to_owned))
            .filter(|it| !it.is_empty())
            .collect();
        let parts: Vec<String> = standard
            .parts
            .iter()
            .map(|part| part.id.to_string())
            .collect();
        assert_eq!(named, parts);
        let drawn = html.select(&css("[data-part]")).count();
        assert!(
            drawn > 0 && drawn <= parts.len(),
            "{drawn} of {}",
            parts.len()
        );
        let svg = html.select(&css("svg")).next().expect("a drawing");
        for name in ["data-centre", "data-beam", "data-bow", "data-transom"] {
            assert!(svg.value().attr(name).is_some(), "{name}");
        }
        assert_eq!(
            svg.value().attr("data-length-mm"),
            standard.length_mm.map(|mm| mm.to_string()).as_deref()
        );
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    /// Whatever was typed or recorded stays text.
    #[test]
    fn what_people_wrote_is_text(
        hostile in "[<>&\"'`=/a-z \u{202e}\u{1b}]{1,24}|<script>alert\\(1\\)</script>|\"><img src=x onerror=y>",
    ) {
        let fields = ["time", "note", "part", "class", "gear", "thing", "to", "from", "item", "water"];
        let of = fields.map(|field| (field.to_owned(), hostile.clone()));
        let faults_of = fields.map(|field| Fault { field: field.to_owned(), text: hostile.clone() });
        let form = FormValues::of(of).refused(faults_of.to_vec());
        for page in all(&form) {
            let wrong = faults(&page).into_iter().filter(|it| !it.starts_with("says nothing"));
            prop_assert_eq!(wrong.collect::<Vec<_>>(), Vec::<String>::new());
        }
    }
}
