//! The coordinator's pages in a real browser: the whole story from two stations that sync to an
//! assignment, on a phone, at a desk and on paper, by keys alone, without script, and while the
//! county is gone.
//!
//! Pictures are kept under `target/screenshots`.

#[path = "coordinator/hostile.rs"]
mod hostile;

use std::net::SocketAddr;

use end_to_end::browser::{self, Browser, DESK, Medium, NARROW, PHONE, Script};
use end_to_end::county::{World, admitted_at, fault, text};
use end_to_end::process::{Device, Running};
use serde_json::json;

/// A county with two stations, a launch place, a map, and pages that are served.
struct County {
    world: World,
    mill: Device,
    weir: Device,
    pages: SocketAddr,
    up: Running,
}

/// Where craft go in, and the minutes from each station: invented.
const PLACES: &str = "place,position,access,station,minutes\n\
     Ferry Steps,\"47.1000,-121.9000\",ramp,Millrace,14\n\
     Ferry Steps,\"47.1000,-121.9000\",ramp,Weir,25\n";

/// A river and a road through the county: invented.
const MAP: &str = r#"{"type":"FeatureCollection","features":[
    {"type":"Feature","properties":{"kind":"water","name":"Reed"},
     "geometry":{"type":"LineString","coordinates":[[-122.0,47.0],[-121.9,47.1],[-121.7,47.15]]}},
    {"type":"Feature","properties":{"kind":"road"},
     "geometry":{"type":"LineString","coordinates":[[-122.0,47.12],[-121.8,47.05]]}}]}"#;

impl County {
    fn up() -> Self {
        let world = World::founded();
        let county = world.county();
        let (up, address) = county.serve_county();
        let join = |name: &str, at: &str| {
            let code = admitted_at(&county, name, at);
            let station = world.station(&name.to_lowercase());
            station.fine(&["join", &code, "--county", &address.to_string()]);
            station.fine(&["sync"]);
            station
        };
        let (mill, weir) = (
            join("Millrace", "47.11,-121.95"),
            join("Weir", "47.02,-121.80"),
        );
        for station in [&mill, &weir] {
            station.fine(&["sync"]);
        }
        assert_eq!(up.terminate().code(), Some(0));
        let places = world.file("county/places.csv", PLACES);
        let map = world.file("county/county.geojson", MAP);
        let file = county.folder().join("settings.toml");
        let mut settings = std::fs::read_to_string(&file).unwrap_or_default();
        settings += &format!("places = {:?}\nmap = {:?}\n", text(&places), text(&map));
        std::fs::write(&file, settings).expect("the county's folder can be written");
        let served = county.serve_both();
        for station in [&mill, &weir] {
            end_to_end::county::county_moved(station, served.stations);
        }
        Self {
            world,
            mill,
            weir,
            pages: served.pages,
            up: served.up,
        }
    }

    fn url(&self, path: &str) -> String {
        format!("http://{}{path}", self.pages)
    }

    /// Signs the member in, as she would: by the link that the lead sent.
    fn let_in(&self, browser: &Browser, member: &str, role: &str) {
        let said = self
            .world
            .county()
            .fine(&["let-in", member, "--role", role]);
        let link = said
            .split_whitespace()
            .find(|word| word.contains("/enter/"));
        browser.open(link.expect("the link is printed"));
        browser.press("main form button");
        browser.wait_for_text("header", member);
    }

    /// A whole check of a craft in order.
    fn checked(&self, station: &Device, craft: &str) {
        let check = end_to_end::county::check_in_order(&self.world, craft);
        station.fine(&["check", craft, "--from", text(&check)]);
    }

    /// The same with every inspection done, and a crew: it can go.
    fn can_go(&self, station: &Device, craft: &str) {
        self.checked(station, craft);
        for inspection in end_to_end::county::inspections() {
            station.fine(&["inspect", craft, &inspection, "passed"]);
        }
        station.fine(&["crews", "1", "--persons", "3", "--for", "12h"]);
    }
}

/// The flooded street of the first line: four people, one of them a toddler, 6 °C, soon dark.
const QUESTION: &str = "/?place=Ferry+Steps&mission=flood&air=4C&water=6C\
     &people=adult%3A3%2Cchild%3A1%4028lb&duration=3h";

#[test]
fn from_two_stations_that_sync_to_an_assignment() {
    if !browser::is_here() {
        return;
    }
    let county = County::up();
    let browser = Browser::start(Script::On);
    browser.size(DESK);
    browser.open(&county.url("/"));
    browser.wait_for_text("main", "not checked");

    // What stations send is seen without anybody touching the page.
    let marked = browser.run("window.sameDocument = true; return true");
    assert_eq!(marked, json!(true));
    county.can_go(&county.mill, "11");
    county.mill.fine(&["sync"]);
    browser.wait_for_text("section.who", "ready");
    county.checked(&county.weir, "21");
    let _ = fault(&county.weir, "21", "tube-3", "leak");
    county.weir.fine(&["sync"]);
    browser.wait_for_text("main", "leak");
    assert_eq!(
        browser.run("return window.sameDocument === true"),
        json!(true)
    );

    // The question, typed into the form.
    county.let_in(&browser, "M-900", "coordinator");
    browser.open(&county.url("/"));
    if browser.count("#ask-form[open]") == 0 {
        browser.press("#ask-form > summary");
    }
    browser.choose("#f-launch", "Ferry Steps");
    browser.choose("#f-mission", "flood");
    for (field, value) in [
        ("air", "4C"),
        ("water", "6C"),
        ("people", "adult:3,child:1@28lb"),
    ] {
        browser.type_into(&format!("#f-{field}"), value);
    }
    browser.press("#question button.main");
    browser.wait_for_text("main", "Ferry Steps");
    assert_eq!(browser.count("section.land svg"), 1, "the county's own map");
    let who = browser.text("section.who");
    assert!(who.contains("11"), "{who}");
    browser.picture("call-out-desk");
    assert_eq!(browser.axe(), Vec::<String>::new());

    // Assigned from the page, by the member who is signed in; the log says so.
    browser.press("section.who details.assign > summary");
    browser.type_into(
        "section.who details.assign [name=incident]",
        "Ferry Street 3",
    );
    browser.type_into(
        "section.who details.assign [name=note]",
        "nearest, and dry suits aboard",
    );
    browser.press("section.who details.assign button");
    browser.wait_for_text("main", "Ferry Street 3");
    let log = county.world.county().fine(&["log"]);
    assert!(log.contains("M-900") && log.contains("Ferry"), "{log}");
    assert_eq!(browser.complaints(), Vec::<String>::new());
}

#[test]
fn on_a_phone_at_a_desk_at_night_and_on_paper() {
    if !browser::is_here() {
        return;
    }
    let county = County::up();
    county.can_go(&county.mill, "11");
    county.mill.fine(&["sync"]);
    let browser = Browser::start(Script::On);
    browser.open(&county.url("/"));
    let craft =
        browser.run("return document.querySelector('a[href^=\"/craft/\"]').getAttribute('href')");
    let craft = craft.as_str().expect("a link to a craft").to_owned();
    county.let_in(&browser, "M-900", "lead");
    let pages = [
        ("county", "/"),
        ("call-out", QUESTION),
        ("refused", "/?air=warm"),
        ("craft", craft.as_str()),
        ("kit-moves", "/kit-moves"),
        ("report", "/report"),
    ];
    let mut broken = Vec::new();
    for (name, path) in pages {
        browser.open(&county.url(path));
        for (size_name, size) in [("narrow", NARROW), ("phone", PHONE), ("desk", DESK)] {
            browser.size(size);
            let wide = browser.run("return document.documentElement.scrollWidth");
            let wide = wide.as_u64().expect("a width");
            if wide > u64::from(size.0) {
                broken.push(format!(
                    "{name} at {size_name}: {wide} wide, {} there",
                    size.0
                ));
            }
            for (medium_name, medium) in [("day", Medium::Day), ("night", Medium::Night)] {
                browser.medium(medium);
                browser.picture(&format!("{name}-{size_name}-{medium_name}"));
                let found = browser.axe();
                broken.extend(
                    found
                        .iter()
                        .map(|it| format!("{name} {size_name} {medium_name}: {it}")),
                );
            }
        }
        browser.medium(Medium::Print);
        let shown = browser.run(
            "return [...document.querySelectorAll('form, nav, button')]\
             .filter(it => it.offsetParent !== null && it.getClientRects().length).length",
        );
        if shown != json!(0) {
            broken.push(format!("{name} on paper: {shown} forms, links or buttons"));
        }
        let body = browser.text("body");
        if name != "refused"
            && !body.contains("Local procedure")
            && !body.contains("local procedure")
        {
            broken.push(format!("{name} on paper: no caution"));
        }
        let sheets = browser.print(name);
        if name == "report" && sheets != 1 {
            broken.push(format!("the report takes {sheets} sheets"));
        }
        browser.medium(Medium::Day);
    }
    assert!(broken.is_empty(), "{}", broken.join("\n"));
}

#[test]
fn by_keys_alone() {
    if !browser::is_here() {
        return;
    }
    let county = County::up();
    county.can_go(&county.mill, "11");
    county.mill.fine(&["sync"]);
    let browser = Browser::start(Script::On);
    browser.size(DESK);
    county.let_in(&browser, "M-900", "coordinator");
    browser.open(&county.url("/"));
    browser.keys("\u{e004}");
    let focus = || {
        browser
            .run("return document.activeElement.className")
            .as_str()
            .unwrap_or_default()
            .to_owned()
    };
    assert_eq!(focus(), "skip", "the first is the way past the head");
    browser.keys("\u{e007}");
    assert_eq!(
        browser.run("return document.activeElement.id"),
        json!("main")
    );

    // From one end to the other: each is seen, has a ring, and none holds the keys fast.
    browser.open(&county.url(QUESTION));
    let mut seen = Vec::new();
    for _ in 0..300 {
        browser.keys("\u{e004}");
        let at = browser.run(
            "const it = document.activeElement; if (it === document.body) return null;\
             const box = it.getBoundingClientRect(), style = getComputedStyle(it);\
             return [it.outerHTML.slice(0, 120), box.width * box.height > 0,\
                 box.bottom > 0 && box.top < innerHeight,\
                 style.outlineStyle !== 'none' || style.boxShadow !== 'none']",
        );
        let Some(at) = at.as_array().cloned() else {
            break;
        };
        let named = at[0].as_str().unwrap_or_default().to_owned();
        assert_eq!(at[1..], [json!(true), json!(true), json!(true)], "{named}");
        if seen.first() == Some(&named) && seen.len() > 3 {
            break;
        }
        seen.push(named);
    }
    assert!(seen.len() > 10, "{seen:?}");
    for wanted in ["/report", "/craft/", "<summary"] {
        assert!(
            seen.iter().any(|it| it.contains(wanted)),
            "{wanted} in {seen:?}"
        );
    }

    // Assigned without a pointer.
    browser.focus("section.who details.assign > summary");
    browser.keys("\u{e007}");
    browser.focus("section.who details.assign [name=incident]");
    browser.keys("Mill Lane\u{e007}");
    browser.wait_for_text("main", "Mill Lane");
}

#[test]
fn without_script() {
    if !browser::is_here() {
        return;
    }
    let county = County::up();
    county.can_go(&county.mill, "11");
    county.mill.fine(&["sync"]);
    let browser = Browser::start(Script::Off);
    browser.size(PHONE);
    county.let_in(&browser, "M-900", "coordinator");
    browser.open(&county.url("/"));
    if browser.count("#ask-form[open]") == 0 {
        browser.press("#ask-form > summary");
    }
    browser.choose("#f-launch", "Ferry Steps");
    browser.press("#question button.main");
    browser.wait_for_text("main", "Ferry Steps");
    browser.wait_for_text("body", "Without script");
    browser.press("section.who details.assign > summary");
    browser.type_into(
        "section.who details.assign [name=incident]",
        "Ferry Street 3",
    );
    browser.press("section.who details.assign button");
    browser.wait_for_text("main", "Ferry Street 3");
}

#[test]
fn the_county_goes_and_comes_back() {
    if !browser::is_here() {
        return;
    }
    let county = County::up();
    let browser = Browser::start(Script::On);
    browser.size(DESK);
    browser.open(&county.url("/"));
    browser.wait_for_text("#live", ":");
    let County {
        world,
        pages,
        up,
        mill,
        ..
    } = county;
    let _ = up.kill();
    browser.wait_for_text("header, #live", "No answer from the county since");
    browser.picture("county-gone");
    assert_eq!(browser.axe(), Vec::<String>::new());
    let at = pages.to_string();
    let served = world.county().serve_at(&at);
    browser.wait_for_gone("#live", "No answer from the county since");
    end_to_end::county::county_moved(&mill, served.stations);
    let _ = fault(&mill, "11", "tube-2", "leak");
    mill.fine(&["sync"]);
    browser.wait_for_text("main", "leak");
}
