//! The station's pages in a real browser: a boat check by one finger on a phone, the network cut and
//! restored, the station killed in the middle, a clock that is wrong, two phones on one check, by keys
//! alone, without script, and the sheet on paper.
//!
//! Pictures are kept under `target/screenshots`.

use std::net::SocketAddr;

use end_to_end::browser::{self, Browser, DESK, Medium, NARROW, Network, PHONE, Script};
use end_to_end::county::World;
use end_to_end::process::{Device, Running};
use serde_json::{Value, json};

/// A station with its pages up. The county was there when it joined, and is not in reach.
struct Station {
    world: World,
    device: Device,
    pages: SocketAddr,
    up: Running,
}

impl Station {
    fn up() -> Self {
        let world = World::founded();
        let (county, address) = world.county().serve_county();
        let device = world.joined("Millrace", address);
        device.fine(&["sync"]);
        assert_eq!(county.terminate().code(), Some(0));
        let (up, pages) = device.serve_pages("127.0.0.1:0");
        Self {
            world,
            device,
            pages,
            up,
        }
    }

    fn url(&self, path: &str) -> String {
        format!("http://{}{path}", self.pages)
    }

    /// Says who is at the page, as a crew does once.
    fn is(&self, browser: &Browser, member: &str) {
        browser.open(&self.url("/who"));
        browser.type_into("input[name=member]", member);
        browser.press("main form button");
        browser.wait_for_text("header", member);
    }

    /// Chooses a craft by its number, and begins its check.
    fn begin(&self, browser: &Browser, number: &str) {
        browser.open(&self.url("/"));
        browser.type_into("input[name=number]", &format!("{number}\u{e007}"));
        browser.wait_for_text("h1", number);
        browser.press("form[action$='/check'] button");
        browser.wait_for_text("#round", "lines");
    }
}

/// One line of the round, as the page has it.
#[derive(Debug)]
struct Line {
    name: String,
    /// What one tap enters: value, and where to tap.
    keys: Vec<(String, String)>,
    typed: Vec<String>,
}

/// Every line that has to be looked at, in the order of the page.
fn lines(browser: &Browser) -> Vec<Line> {
    let found = browser.run(
        "return [...document.querySelectorAll('#round .line[data-proving]')].map(line => ({
            name: line.dataset.line,
            keys: [
                ...[...line.querySelectorAll('button.key[name]')].map(it =>
                    [it.value, `button.key[name=\"${it.name}\"][value=\"${it.value}\"]`]),
                ...[...line.querySelectorAll('input[type=radio]')].map(it =>
                    [it.value, `label[for=\"${it.id}\"]`]),
            ],
            typed: [...line.querySelectorAll('input[name]:not([type=radio]):not([type=hidden])')]
                .map(it => it.name),
        }))",
    );
    let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
    let list = |value: &Value| value.as_array().cloned().unwrap_or_default();
    let line = |found: &Value| Line {
        name: text(&found["name"]),
        keys: list(&found["keys"])
            .iter()
            .map(|key| (text(&key[0]), text(&key[1])))
            .collect(),
        typed: list(&found["typed"]).iter().map(text).collect(),
    };
    list(&found).iter().map(line).collect()
}

/// What the gauge shows of a part that is as it should be, psi.
fn gauge_psi(part: &str) -> &'static str {
    match part {
        "keel" => "3.3",
        "floor" => "16",
        _ => "3.8",
    }
}

/// What a finger and a keyboard did for one check.
#[derive(Debug, Default)]
struct Done {
    lines: usize,
    taps: usize,
    entries: usize,
    readings: usize,
}

/// Goes round: one tap or one entry a line, and a found and a left value where the gauge is read.
fn go_round(browser: &Browser) -> Done {
    let mut done = Done::default();
    for line in lines(browser).iter().filter(|it| it.name != "gauge") {
        done.lines += 1;
        let name = line.name.as_str();
        if let Some(part) = name.strip_prefix("reading.") {
            enter(browser, &format!("{name}.found"), gauge_psi(part));
            done.readings += 1;
        } else if let Some(key) = wanted_key(line) {
            browser.tap(&key);
            done.taps += 1;
        } else {
            let field = line.typed.first().unwrap_or_else(|| panic!("{line:?}"));
            enter(browser, field, typed_at(name));
            done.entries += 1;
        }
        // What the station says of it stands beneath it, and moves what follows.
        is_done(browser, name);
    }
    done
}

/// Waits until a line is done. The page itself looks: asked without a pause from outside, it comes to
/// nothing else.
fn is_done(browser: &Browser, line: &str) {
    let told = browser.promise(&format!(
        "new Promise(done => {{
            const line = document.querySelector('[data-line={line:?}]');
            let looks = 0;
            const look = () => line.dataset.state === 'done' ? done('done')
                : ++looks < 1500 ? setTimeout(look, 20)
                : done([line.innerText, ...line.querySelectorAll('input')].map(it => it.value ?? it)
                    .concat(line.dataset.state, document.getElementById('told').textContent,
                        document.getElementById('unsent').textContent, document.activeElement.name,
                        JSON.stringify(localStorage)).join(' | '));
            look();
        }})"
    ));
    assert_eq!(told, json!("done"), "{line}");
}

/// Where to tap so that a line says that all is as it should be.
fn wanted_key(line: &Line) -> Option<String> {
    let of = |wanted: &str| line.keys.iter().find(|(value, _)| value == wanted);
    let all_there = || {
        let counts = line.name.starts_with("count.");
        line.keys.iter().rev().find(|_| counts)
    };
    let found = of("yes").or_else(|| of("inflated")).or_else(|| of("2 h"));
    found.or_else(all_there).map(|(_, css)| css.clone())
}

/// What is typed where there is no key for it.
fn typed_at(line: &str) -> &'static str {
    match line {
        "air" => "59",
        "stood" => "10 h",
        fuel if fuel.starts_with("fuel") => "6",
        meter if meter.starts_with("meter") => "12.4",
        _ => "1",
    }
}

/// Types into a field as a thumb does, and goes on.
fn enter(browser: &Browser, field: &str, text: &str) {
    let css = format!("#round input[name={field:?}]");
    browser.type_into(&css, text);
    browser.keys("\u{e004}");
}

#[test]
fn a_weekly_check_by_one_finger_with_no_county_in_reach() {
    if !browser::is_here() {
        return;
    }
    let station = Station::up();
    let browser = Browser::start(Script::On);
    browser.phone();
    station.is(&browser, "M-104");
    station.begin(&browser, "11");
    browser.picture("round-begun-phone");
    let done = go_round(&browser);
    // No numbered gauge is at this station: that line is left out.
    let counted = format!("{} of {}", done.lines, done.lines + 1);
    browser.wait_for_text("[data-all-count]", &counted);
    assert!(
        done.taps + done.entries <= done.lines && done.lines >= 30,
        "one tap or entry a line, plus the readings: {done:?}"
    );
    browser.picture("round-done-phone");
    assert_eq!(browser.axe(), Vec::<String>::new());

    // The end: what it would be, then recorded, signed, waiting for the county.
    let before = events(&station.device);
    to_the_end(&browser);
    browser.picture("round-end-phone");
    assert_eq!(browser.axe(), Vec::<String>::new());
    browser.tap("form[action$='/record'] button");
    browser.wait_for_text("main", "M-104");
    browser.wait_for_text("main", "waits for the county");
    assert!(events(&station.device) > before, "it is in the log");
    browser.picture("round-recorded-phone");
    assert_eq!(browser.axe(), Vec::<String>::new());
    let log = station.device.fine(&["log"]);
    assert!(log.contains("M-104") && log.contains("check"), "{log}");
    let report = station.device.run(&["ready", "11"]).out;
    assert!(report.contains("checked less than 1 min ago"), "{report}");
    assert_eq!(browser.complaints(), Vec::<String>::new());
    drop(browser);
    assert_eq!(station.up.terminate().code(), Some(0));
    end_to_end::county::verify(&station.device);
}

/// To the page that says what it comes to.
fn to_the_end(browser: &Browser) {
    browser.press("#end a.main");
    browser.wait_for_text("h1", "the end");
}

fn events(device: &Device) -> u64 {
    end_to_end::county::about(device, "events held")
}

/// What is typed while the phone is out of reach stays on it, also over a new load of the page, and
/// is sent once the station answers.
#[test]
fn the_network_cut_and_restored() {
    if !browser::is_here() {
        return;
    }
    let station = Station::up();
    let browser = Browser::start(Script::On);
    browser.phone();
    station.is(&browser, "M-104");
    station.begin(&browser, "11");
    let round = browser.url();
    enter(&browser, "reading.tube-1.found", "3.8");
    browser.wait_for_text("#told", "Kept");
    browser.network(Network::Gone);
    enter(&browser, "reading.tube-2.found", "3.7");
    browser.tap("button.key[name='count.life-jacket.count'][value='4']");
    browser.wait_for_text("#unsent", "2 entries not at the station yet");
    browser.picture("round-cut-phone");
    assert_eq!(browser.axe(), Vec::<String>::new());
    browser.network(Network::There);
    browser.wait_for_text("#told", "kept");
    wait_for_entry(&station, "3.7");
    // On another screen everything is there.
    browser.open(&round);
    let found = "return document.querySelector('[name=\"reading.tube-2.found\"]').value";
    assert_eq!(browser.run(found), json!("3.7"));
}

fn wait_for_entry(station: &Station, text: &str) {
    let folder = station.device.folder().join("under-way");
    end_to_end::process::wait_for("the entry on the station's disk", || {
        let files = std::fs::read_dir(&folder).ok()?;
        let mut texts = files.filter_map(|file| std::fs::read_to_string(file.ok()?.path()).ok());
        texts.any(|it| it.contains(text)).then_some(())
    });
}

/// A power cut in the middle loses at most the field that is being typed.
#[test]
fn the_station_killed_in_the_middle() {
    if !browser::is_here() {
        return;
    }
    let station = Station::up();
    let browser = Browser::start(Script::On);
    browser.phone();
    station.is(&browser, "M-104");
    station.begin(&browser, "11");
    enter(&browser, "reading.tube-1.found", "3.8");
    browser.wait_for_text("#told", "Kept");
    let Station {
        world,
        device,
        pages,
        up,
    } = station;
    let _ = up.kill();
    enter(&browser, "reading.tube-2.found", "3.7");
    browser.wait_for_text("#unsent", "The station does not answer");
    let (up, again) = device.serve_pages(&pages.to_string());
    assert_eq!(again, pages);
    let station = Station {
        world,
        device,
        pages,
        up,
    };
    wait_for_entry(&station, "3.7");
    browser.reload();
    browser.wait_for_text("#round", "lines");
    for (field, text) in [
        ("reading.tube-1.found", "3.8"),
        ("reading.tube-2.found", "3.7"),
    ] {
        let found = format!("return document.querySelector('[name=\"{field}\"]').value");
        assert_eq!(browser.run(&found), json!(text), "{field}");
    }
}

/// Two people, two phones, one craft: each sees what the other has done, and both are in the log.
#[test]
fn two_phones_on_one_check() {
    if !browser::is_here() {
        return;
    }
    let station = Station::up();
    let one = Browser::start(Script::On);
    let other = one.beside();
    for (browser, member) in [(&one, "M-104"), (&other, "M-201")] {
        browser.phone();
        station.is(browser, member);
    }
    station.begin(&one, "11");
    other.open(&one.url());
    other.wait_for_text("#round", "lines");
    enter(&one, "reading.tube-1.found", "3.8");
    other.wait_for_text("[data-line='reading.tube-1']", "M-104");
    other.tap("button.key[name='count.life-jacket.count'][value='4']");
    one.wait_for_text("[data-line='count.life-jacket']", "M-201");
    one.picture("round-two-phones");
    // One of them records: what the other did is signed as hers.
    to_the_end(&one);
    one.tap("form[action$='/record'] button");
    one.wait_for_text("main", "waits for the county");
    let log = station.device.fine(&["log"]);
    for member in ["M-104", "M-201"] {
        assert!(log.contains(member), "{log}");
    }
    other.wait_for_text("body", "recorded");
}

#[test]
fn by_keys_alone() {
    if !browser::is_here() {
        return;
    }
    let station = Station::up();
    let browser = Browser::start(Script::On);
    browser.size(DESK);
    station.is(&browser, "M-104");
    station.begin(&browser, "11");
    // From one end to the other: each is seen, has a ring, and none holds the keys fast.
    let mut seen = 0;
    for _ in 0..1000 {
        browser.tab();
        let at = browser.run(
            "const it = document.activeElement; if (it === document.body) return null;\
             const box = it.getBoundingClientRect(), style = getComputedStyle(it);\
             return [it.outerHTML.slice(0, 120), box.width * box.height > 0,\
                 box.bottom > 0 && box.top < innerHeight,\
                 style.outlineStyle !== 'none' || style.boxShadow !== 'none']",
        );
        let Some(at) = at.as_array() else { break };
        assert_eq!(
            at[1..],
            [json!(true), json!(true), json!(true)],
            "{}",
            at[0]
        );
        seen += 1;
    }
    assert!((60..1000).contains(&seen), "{seen} stops of the tab key");
    browser.focus("input[name='answer.stop-switch'][value=yes]");
    browser.keys(" ");
    browser.wait_for_text("#told", "Kept");
    wait_for_entry(&station, "answer.stop-switch");
}

#[test]
fn without_script() {
    if !browser::is_here() {
        return;
    }
    let station = Station::up();
    let browser = Browser::start(Script::Off);
    browser.size(PHONE);
    station.is(&browser, "M-104");
    station.begin(&browser, "11");
    browser.type_into("[name='reading.tube-1.found']", "3.8");
    browser.press(".stop:has([name='reading.tube-1.found']) button.main[name=go]");
    wait_for_entry(&station, "3.8");
    to_the_end(&browser);
    browser.wait_for_text("main", "Left out");
}

/// Every page of the station at every size, by day and by night: nothing of WCAG 2.2 broken, nothing
/// wider than the screen, every target as large as a glove.
#[test]
fn every_page_at_every_size() {
    if !browser::is_here() {
        return;
    }
    let station = Station::up();
    let browser = Browser::start(Script::On);
    station.is(&browser, "M-104");
    station.begin(&browser, "11");
    let round = browser
        .run("return location.pathname")
        .as_str()
        .unwrap_or_default()
        .to_owned();
    browser.open(&station.url("/find?number=11"));
    let craft = browser
        .run("return location.pathname")
        .as_str()
        .unwrap_or_default()
        .to_owned();
    let id = craft.rsplit('/').next().expect("a craft's page").to_owned();
    let of = |page: &str| format!("/{page}/{id}");
    let pages = [
        ("home", "/".to_owned()),
        ("who", "/who".to_owned()),
        ("sync", "/sync".to_owned()),
        ("round", round),
        ("craft", craft),
        ("fault", of("fault")),
        ("use", of("use")),
        ("fit-out", of("fit-out")),
        ("paper", of("paper")),
        ("move", "/move".to_owned()),
        ("lend", "/lend".to_owned()),
        ("crews", "/crews".to_owned()),
    ];
    let mut broken = Vec::new();
    for (name, path) in &pages {
        browser.open(&station.url(path));
        if browser.count("main h1") != 1 {
            broken.push(format!("{name}: {}", browser.text("body")));
        }
        for (size_name, size) in [("narrow", NARROW), ("phone", PHONE), ("desk", DESK)] {
            browser.size(size);
            let wide = browser
                .run("return document.documentElement.scrollWidth")
                .as_u64();
            if wide > Some(u64::from(size.0)) {
                broken.push(format!(
                    "{name} at {size_name}: {wide:?} wide, {} there",
                    size.0
                ));
            }
            for (medium_name, medium) in [("day", Medium::Day), ("night", Medium::Night)] {
                browser.medium(medium);
                browser.picture(&format!("station-{name}-{size_name}-{medium_name}"));
                let found = browser.axe();
                broken.extend(
                    found
                        .iter()
                        .map(|it| format!("{name} {size_name} {medium_name}: {it}")),
                );
            }
            if size == PHONE {
                broken.extend(
                    small(&browser)
                        .into_iter()
                        .map(|it| format!("{name}: {it}")),
                );
            }
        }
        browser.medium(Medium::Day);
    }
    assert!(broken.is_empty(), "{}", broken.join("\n"));
}

/// What is pressed and is smaller than 48 CSS pixels, links in text and the skip link aside.
fn small(browser: &Browser) -> Vec<String> {
    let found = browser.run(
        "return [...document.querySelectorAll('main button:not([aria-hidden]), main select, main summary, main input:not([type=hidden])')]
            .filter(it => it.getClientRects().length && it.type !== 'file')
            .map(it => [it.type === 'radio' || it.type === 'checkbox' ? it.labels[0] || it : it, it])
            .map(([box, it]) => [box.getBoundingClientRect(), it])
            .filter(([box]) => box.height < 47.5 || box.width < 47.5)
            .map(([box, it]) => `${Math.round(box.width)} x ${Math.round(box.height)}: ${it.outerHTML.slice(0, 120)}`)",
    );
    let found = found.as_array().cloned().unwrap_or_default();
    found
        .iter()
        .map(|it| it.as_str().unwrap_or_default().to_owned())
        .collect()
}

/// The sheet of a craft on paper: a few pages, all of it black on white; the label on one.
#[test]
fn on_paper() {
    if !browser::is_here() {
        return;
    }
    let station = Station::up();
    let browser = Browser::start(Script::On);
    station.is(&browser, "M-104");
    browser.open(&station.url("/find?number=11"));
    let craft = browser
        .run("return location.pathname")
        .as_str()
        .unwrap_or_default()
        .to_owned();
    let id = craft.rsplit('/').next().expect("a craft's page").to_owned();
    for (page, most) in [("sheet", 4), ("label", 1)] {
        browser.open(&station.url(&format!("/{page}/{id}")));
        browser.medium(Medium::Print);
        let pages = browser.print(&format!("station-{page}"));
        assert!((1..=most).contains(&pages), "{page}: {pages} pages");
        browser.medium(Medium::Day);
        assert_eq!(browser.axe(), Vec::<String>::new(), "{page}");
    }
}

/// A station whose clock stands wrong by two days says so once it has met the county, and its check
/// counts from when the county can show it was done.
#[test]
fn a_clock_that_is_wrong() {
    if !browser::is_here() {
        return;
    }
    let world = World::founded();
    let (_county, address) = world.county().serve_county();
    let device = world.joined("Millrace", address);
    device.fine(&["sync"]);
    let two_days_behind_ms = -2 * 24 * 60 * 60 * 1000;
    let (up, pages) = device.serve_pages_off(two_days_behind_ms);
    let station = Station {
        world,
        device,
        pages,
        up,
    };
    let browser = Browser::start(Script::On);
    browser.phone();
    station.is(&browser, "M-104");
    browser.open(&station.url("/sync"));
    browser.press("main form[action='/sync'] button");
    browser.wait_for_text("main", "slow: set it");
    browser.picture("sync-clock-wrong-phone");
    assert_eq!(browser.axe(), Vec::<String>::new());
    station.begin(&browser, "11");
    let _ = go_round(&browser);
    to_the_end(&browser);
    browser.tap("form[action$='/record'] button");
    browser.wait_for_text("main", "M-104");
    // What the county judges is not two days old because a tablet says so.
    let report = station.device.run(&["ready", "11"]).out;
    assert!(report.contains("checked less than 1 min ago"), "{report}");
}
