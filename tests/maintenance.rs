//! The maintenance lead's pages in a real browser, over a summer of checks, faults and repairs that a
//! small county plays: at every size, by day and night, on paper, without script, and a decision taken
//! from the page.
//!
//! Pictures are kept under `target/screenshots`.

use std::io::{self, Write};
use std::path::PathBuf;
use std::sync::{Arc, Mutex, PoisonError};

use demo_stations::play::Player;
use end_to_end::browser::{self, Browser, DESK, Medium, NARROW, PHONE, Script};
use serde_json::json;
use tokio::runtime::Runtime;

/// Four inflatables of two batches at two stations, invented.
const CRAFT: &str = "number,model,station,persons,persons lb,total lb,hp,fabric,batch\n\
     11,inflatable-14,Millrace,8,1650,2310,30,csm,EL-2021-A\n\
     12,inflatable-14,Millrace,8,1650,2310,30,csm,EL-2021-A\n\
     31,inflatable-14,Sedge Ford,8,1650,2310,30,pvc,EL-2023-C\n\
     32,inflatable-14,Sedge Ford,8,1650,2310,30,pvc,EL-2023-C\n";

const GEAR: &str = "number,type,station,model,mass lb,hp\n\
     M11,motor,Millrace,outboard 25 hp,119,25\n\
     M12,motor,Millrace,outboard 25 hp,119,25\n\
     M31,motor,Sedge Ford,outboard 25 hp,119,25\n\
     M32,motor,Sedge Ford,outboard 25 hp,119,25\n\
     G1,gauge,Millrace,dial,,\n\
     G2,gauge,Millrace,dial,,\n";

const BEGUN: &str = "@time 2026-02-02 06:00\n\
     @founded \"Ellmere County\"\n\
     county- adopt --policy {county}/policy.toml\n\
     county- adopt inflatable-14\n\
     @station Millrace at=44.2010,-93.1050 call=Mill\n\
     @station Sedge-Ford at=44.1120,-93.2810 call=Ford\n\
     county- bring-in --craft {work}/craft.csv\n\
     county- bring-in --gear {work}/gear.csv\n\
     @craft-in-order {folder}/craft.csv\n\
     @sync all\n\
     @fit-motors\n\
     @papers 11 M-101 2025-09-14\n\
     @papers 12 M-101 2025-10-06\n\
     @papers 31 M-301 2025-11-20\n\
     @papers 32 M-301 2025-11-20\n\
     @leak 31 tube-2 0.6\n\
     @stuck 32 tube-1 222\n\
     Millrace- count Millrace \"flare-red-hand=2: 2 x 2027-05\"\n\
     @sync all\n";

/// Every other Monday: the bays' temperatures, a round, and what else happens.
const SUMMER: [(&str, &str, &str); 12] = [
    ("2026-02-09", "4C", "@run 11 M-102 2h 1.4h --at Millrace"),
    ("2026-02-23", "7C", OPENS),
    ("2026-03-09", "12C", "@run 12 M-102 3h 1.9h --at Millrace"),
    ("2026-03-23", "9C", OPENS),
    ("2026-04-06", "14C", "@run 11 M-102 3h 2.1h --at Millrace"),
    ("2026-04-20", "17C", OPENS),
    ("2026-05-04", "13C", "@run 31 M-302 2h 1.1h --at Sedge-Ford"),
    ("2026-05-18", "21C", OPENS),
    ("2026-06-01", "24C", "@run 12 M-102 4h 2.6h --at Millrace"),
    ("2026-06-15", "20C", OPENS),
    ("2026-06-29", "25C", OTHER),
    ("2026-07-13", "22C", OPENS),
];

/// A seam of boat 12 opens, and is mended.
const OPENS: &str = "Millrace- fault 12 tube-4 seam-open --severity disabling --side starboard --from-transom 41cm --face bottom --note \"opens again\"\n\
     Millrace- repair 12 --all-at tube-4 --method seam-reglued --no-inflate 24h --no-launch 72h\n\
     Millrace- sign-off 12 --all-at tube-4";

/// Something else at another boat.
const OTHER: &str =
    "Sedge-Ford- fault 31 tube-2 leak --severity major --side port --from-transom 210cm --face top";

/// What the county printed.
#[derive(Clone, Debug, Default)]
struct Printed(Arc<Mutex<Vec<u8>>>);

impl Printed {
    fn text(&self) -> String {
        let bytes = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        String::from_utf8_lossy(&bytes).into_owned()
    }
}

impl Write for Printed {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let mut held = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        held.extend_from_slice(bytes);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// A county after its summer, with pages that are served by a clock of its own.
struct County {
    runtime: Runtime,
    player: Player,
    printed: Printed,
    pages: String,
    _folder: tempfile::TempDir,
}

impl County {
    fn after_the_summer() -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let work: PathBuf = folder.path().join("county-of-a-summer");
        std::fs::create_dir(&work).expect("a folder for the county");
        for (name, text) in [("craft.csv", CRAFT), ("gear.csv", GEAR)] {
            std::fs::write(work.join(name), text).expect("a file of the county");
        }
        let mut text = BEGUN.replace("{folder}", &work.display().to_string());
        for (monday, celsius, then) in SUMMER {
            text += &format!(
                "@time {monday} 05:00\n@bay Millrace {celsius}\n@bay Sedge-Ford {celsius}\n\
                 @rounds {monday} 07:00 full\n{then}\n@sync all\n"
            );
        }
        let runtime = Runtime::new().expect("a runtime");
        let printed = Printed::default();
        let mut player = Player::new(&work, Box::new(printed.clone()));
        let played = runtime.block_on(player.play(&[("summer", &text)]));
        played.expect("the summer goes by as it is written");
        let said = runtime.block_on(player.serve_pages());
        let said = said.expect("the pages are served").join("\n");
        let pages = said.split_whitespace().find(|word| word.contains("://"));
        let pages = pages.expect(&said).trim_end_matches(['/', '.', ',']);
        Self {
            pages: pages.to_owned(),
            runtime,
            player,
            printed,
            _folder: folder,
        }
    }

    /// What a command prints.
    fn typed(&mut self, line: &str) -> String {
        let before = self.printed.text().len();
        let scenario = [("typed", line)];
        let played = self.runtime.block_on(self.player.play(&scenario));
        played.expect(line);
        self.printed.text()[before..].to_owned()
    }

    fn url(&self, path: &str) -> String {
        format!("{}{path}", self.pages)
    }

    fn let_in(&mut self, browser: &Browser, member: &str, role: &str) {
        let said = self.typed(&format!("county: let-in {member} --role {role}"));
        let link = said
            .split_whitespace()
            .find(|word| word.contains("/enter/"));
        browser.open(link.expect("the link is printed"));
        browser.press("main form button");
        browser.wait_for_text("header", member);
    }

    /// The address of a craft's page.
    fn craft(&self, browser: &Browser, number: &str) -> String {
        browser.open(&self.url("/"));
        let script = format!(
            "return [...document.querySelectorAll('a[href^=\"/craft/\"]')]\
             .find(it => it.textContent.trim().startsWith('{number}')).getAttribute('href')"
        );
        let href = browser.run(&script);
        let href = href.as_str().expect("a link to the craft");
        href.split('?').next().unwrap_or(href).to_owned()
    }

    /// The address of the page of the first group that fails.
    fn group(&self, browser: &Browser) -> String {
        browser.open(&self.url("/faults"));
        let href = browser.run("return document.querySelector('.groups a').getAttribute('href')");
        href.as_str().expect("a link to a group").to_owned()
    }

    fn end(self) {
        self.runtime.block_on(self.player.stop());
    }
}

#[test]
fn every_page_at_every_size_by_day_and_night_and_on_paper() {
    if !browser::is_here() {
        return;
    }
    let mut county = County::after_the_summer();
    let browser = Browser::start(Script::On);
    let craft = county.craft(&browser, "12");
    county.let_in(&browser, "M-900", "lead");
    let (readings, record) = (format!("{craft}/readings"), format!("{craft}/record"));
    let group = county.group(&browser);
    let pages = [
        ("faults", "/faults"),
        ("faults-of-a-place", group.as_str()),
        ("due", "/due"),
        ("gauges", "/gauges"),
        ("readings", readings.as_str()),
        ("record", record.as_str()),
    ];
    let mut broken = Vec::new();
    for (name, path) in pages {
        browser.open(&county.url(path));
        // What is one step behind is looked at as well.
        let _ = browser.run("document.querySelectorAll('details').forEach(it => it.open = true)");
        for (size_name, size) in [("narrow", NARROW), ("phone", PHONE), ("desk", DESK)] {
            browser.size(size);
            let wide = browser.run("return document.documentElement.scrollWidth");
            let wide = wide.as_u64().expect("a width");
            if wide > u64::from(size.0) {
                broken.push(format!("{name} at {size_name}: {wide} wide"));
            }
            for (medium_name, medium) in [("day", Medium::Day), ("night", Medium::Night)] {
                browser.medium(medium);
                browser.picture(&format!("lead-{name}-{size_name}-{medium_name}"));
                let found = browser.axe();
                let said = |it| format!("{name} {size_name} {medium_name}: {it}");
                broken.extend(found.iter().map(said));
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
        if !browser
            .text("body")
            .to_lowercase()
            .contains("local procedure")
        {
            broken.push(format!("{name}: no caution"));
        }
        let sheets = browser.print(&format!("lead-{name}"));
        if sheets == 0 {
            broken.push(format!("{name} on paper: nothing"));
        }
        browser.medium(Medium::Day);
    }
    let complaints = browser.complaints();
    county.end();
    assert!(broken.is_empty(), "{}", broken.join("\n"));
    assert_eq!(complaints, Vec::<String>::new());
}

#[test]
fn the_seam_that_keeps_failing_is_seen_first_and_decided_from_the_page() {
    if !browser::is_here() {
        return;
    }
    let mut county = County::after_the_summer();
    let browser = Browser::start(Script::On);
    browser.size(DESK);

    // Whoever only looks is told, and has no form.
    let group = county.group(&browser);
    let first = browser.text(".groups > li");
    assert!(first.contains("tube 4"), "{first}");
    assert!(first.contains("6 faults"), "{first}");
    assert!(browser.text("#what-to-do ~ .to-do").contains("condemn"));
    assert_eq!(browser.count("details.decide"), 0);

    // One step behind stand the plot, the drawing and the numbers, each as a table too.
    browser.open(&county.url(&group));
    assert_eq!(browser.count("svg.plot-drawing polyline.plot-own"), 1);
    browser.press("details.plot-table > summary");
    let steps = browser.count("details.plot-table tbody tr");
    assert!(steps >= 6, "{steps} steps");
    assert_eq!(browser.count("svg.plan-drawing"), 1);
    assert!(
        browser.count(".plan-number") >= 1,
        "faults stand on the plan"
    );

    // The lead decides, and it is an entry of the log.
    county.let_in(&browser, "M-900", "lead");
    browser.open(&county.url("/faults"));
    browser.press(".to-do details.decide > summary");
    browser.choose(".to-do details.decide select[name=action]", "send-to-maker");
    browser.type_into(
        ".to-do details.decide textarea",
        "six times in one summer, at one place",
    );
    browser.press(".to-do details.decide button");
    browser.wait_for_text("main", "Decided");
    assert!(browser.text("main").contains("M-900"));
    let log = county.typed("county: log 12 --last 3");
    assert!(log.contains("decided") && log.contains("M-900"), "{log}");
    let decided = county.typed("county: decisions");
    assert!(decided.contains("send it to the maker"), "{decided}");
    assert_eq!(browser.complaints(), Vec::<String>::new());
    county.end();
}

#[test]
fn without_script_what_comes_due_is_chosen_and_taken_along() {
    if !browser::is_here() {
        return;
    }
    let county = County::after_the_summer();
    let browser = Browser::start(Script::Off);
    browser.size(PHONE);
    browser.open(&county.url("/due"));
    assert_eq!(browser.count("svg.plot-drawing"), 1);
    assert!(browser.text("main").contains("Sedge Ford"));
    browser.press("#ask-form > summary");
    browser.choose("#question select[name=station]", "Millrace");
    browser.press("#question button.main");
    browser.wait_for_text("main", "Millrace");
    let visits = browser.text("section.visits");
    assert!(!visits.contains("Sedge Ford"), "{visits}");
    let files = browser.count("a[href^='/due.ics'], a[href*='.csv']");
    assert!(files >= 3, "{files} files");
    county.end();
}
