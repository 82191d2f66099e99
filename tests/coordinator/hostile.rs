//! Texts that mean harm, in the fields of the main pages, in a real browser: each is shown as the text
//! that it is, nothing of it runs, nobody elsewhere is asked, and the page's own policy has nothing to
//! stop. Every field and every output, read by a parser: `server/tests/pages/hostile/`.

use std::io::{Read as _, Write as _};
use std::net::{Ipv4Addr, SocketAddr, TcpListener, TcpStream};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::thread::JoinHandle;

use end_to_end::browser::{self, Browser, DESK, Script};
use serde_json::{Value, json};

use super::{County, QUESTION};

/// Markup that runs, asks elsewhere, moves the page or breaks out of what is around it (CWE-79; OWASP
/// XSS prevention, rules 1 and 2, from memory). `PORT` is where nobody may be asked.
const TEXTS: [&str; 8] = [
    "<script>alert(1)</script>",
    "'\"><img src=//127.0.0.1:PORT/a onerror=alert(2)>",
    "\" autofocus onfocus=alert(3) x=\"",
    "</title></textarea></svg><svg onload=alert(4)>",
    "<meta http-equiv=refresh content=0;//127.0.0.1:PORT/>",
    "<link rel=stylesheet href=//127.0.0.1:PORT/b>",
    "<iframe srcdoc='<script>alert(5)</script>'></iframe>",
    "javascript:alert(6)",
];

/// Runs before anything of a page: notes what opens a dialog, and what the page's policy stops.
const BEFORE: &str = "window.harm = [];
    for (const it of ['alert', 'confirm', 'prompt', 'print'])
        window[it] = () => { window.harm.push(it); };
    document.addEventListener('securitypolicyviolation',
        it => window.harm.push(`stopped: ${it.violatedDirective} ${it.blockedURI}`));";

/// What became of texts in the page that is shown: what ran or was stopped, elements and attributes
/// that no page of ours has, addresses of others.
const FOUND: &str = "const all = [...document.querySelectorAll('*')];
    const said = it => it.outerHTML.slice(0, 120);
    const ours = it => it === 'data:,' || new URL(it, document.baseURI).origin === location.origin;
    const leads = it => ['href', 'src', 'action', 'formaction'].map(name => it.getAttribute(name))
        .filter(it => it !== null);
    return [
        ...window.harm,
        ...all.filter(it => [...it.attributes].some(one => one.name.startsWith('on'))).map(said),
        ...[...document.querySelectorAll('iframe, object, embed, base, foreignObject, style, '
            + 'script:not([src]), [srcdoc], meta[http-equiv=refresh]')].map(said),
        ...all.filter(it => leads(it).some(it => !ours(it))).map(said),
        ...performance.getEntriesByType('resource').map(it => it.name).filter(it => !ours(it)),
    ]";

/// All text that a page shows, and all that stands in its fields.
const SHOWN: &str = "return [document.body.innerText,
    ...[...document.querySelectorAll('input, textarea')].map(it => it.value)].join('\\n')";

/// Somebody elsewhere: counts who asks, and answers with the same always.
struct Elsewhere {
    at: SocketAddr,
    asked: Arc<AtomicUsize>,
    ends: Arc<AtomicBool>,
    thread: Option<JoinHandle<()>>,
}

impl Elsewhere {
    fn answering(answer: String) -> Self {
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).expect("a free port");
        let at = listener.local_addr().expect("it is bound");
        let (asked, ends) = (
            Arc::new(AtomicUsize::new(0)),
            Arc::new(AtomicBool::new(false)),
        );
        let (counts, told) = (asked.clone(), ends.clone());
        let thread = std::thread::spawn(move || {
            while let Ok((mut stream, _)) = listener.accept() {
                if told.load(Ordering::SeqCst) {
                    return;
                }
                counts.fetch_add(1, Ordering::SeqCst);
                // Whatever is asked is answered; whoever went away again is not missed.
                let _ = stream.read(&mut [0; 4_096]);
                let _ = stream.write_all(answer.as_bytes());
            }
        });
        Self {
            at,
            asked,
            ends,
            thread: Some(thread),
        }
    }

    fn asked(&self) -> usize {
        self.asked.load(Ordering::SeqCst)
    }
}

impl Drop for Elsewhere {
    fn drop(&mut self) {
        self.ends.store(true, Ordering::SeqCst);
        let _ = TcpStream::connect(self.at);
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

fn list(found: &Value) -> Vec<String> {
    let found = found.as_array().cloned().unwrap_or_default();
    let texts = found.iter().map(|it| it.as_str().unwrap_or_default());
    texts.map(str::to_owned).collect()
}

/// A page that puts the texts into its markup as they are: what the test looks for is found there.
fn page_that_escapes_nothing(texts: &[String], policy: &str) -> Elsewhere {
    let fields: String = texts
        .iter()
        .filter(|text| !text.contains("refresh"))
        .map(|text| format!("<p>{text}</p><a href=\"{text}\">a</a><input value=\"{text}\">"))
        .collect();
    Elsewhere::answering(format!(
        "HTTP/1.1 200 OK\r\ncontent-type: text/html\r\nconnection: close\r\n{policy}\r\n\
         <!doctype html><title>x</title>{fields}"
    ))
}

/// What is looked for is seen where it is: without a policy, and where a policy stops it.
fn harm_is_seen(browser: &Browser, texts: &[String], elsewhere: &Elsewhere) {
    for (policy, told) in [
        ("", "alert"),
        (
            "content-security-policy: default-src 'self'\r\n",
            "stopped: ",
        ),
    ] {
        let page = page_that_escapes_nothing(texts, policy);
        browser.open(&format!("http://{}/", page.at));
        let found = list(&browser.run(FOUND));
        for wanted in [told, "<img", "<iframe", "<link", "onfocus", "javascript:"] {
            let seen = found.iter().any(|it| it.contains(wanted));
            assert!(seen, "{wanted} was not seen in {found:?}");
        }
    }
    assert!(elsewhere.asked() > 0, "nobody elsewhere was asked");
}

/// Puts the texts into the log, by the commands that take words.
fn fill(county: &County, texts: &[String]) {
    let [script, out, focus, drawing, moves, style, frame, leads] = texts else {
        panic!("as many as there are fields below");
    };
    let (mill, lead) = (&county.mill, county.world.county());
    let fault = ["fault", "12", "tube-2", "leak", "--severity", "minor"];
    for note in [out, moves] {
        mill.fine(&[&fault[..], &["--note", note]].concat());
    }
    for note in [script, style] {
        mill.fine(&["use", "12", "--time", "1h", "--note", note]);
    }
    mill.fine(&["out", "12", "rest", "--note", frame]);
    mill.fine(&["number", "12", drawing]);
    mill.fine(&["sync"]);
    let decide = [
        "decide", "--craft", "21", "--part", "tube-1", "--action", "watch",
    ];
    lead.fine(&[&decide[..], &["--why", focus]].concat());
    lead.fine(&["hold", "--model", "inflatable-14", "--note", leads]);
}

#[test]
fn what_means_harm_is_shown_as_a_text_and_runs_nowhere() {
    if !browser::is_here() {
        return;
    }
    let elsewhere = Elsewhere::answering("HTTP/1.1 204 No Content\r\n\r\n".to_owned());
    let port = elsewhere.at.port().to_string();
    let texts: Vec<String> = TEXTS.iter().map(|it| it.replace("PORT", &port)).collect();
    let county = County::up();
    let browser = Browser::start(Script::On);
    browser.size(DESK);
    let before = json!({ "source": BEFORE });
    browser.devtools("Page.addScriptToEvaluateOnNewDocument", before);
    harm_is_seen(&browser, &texts, &elsewhere);
    let (asked, _) = (elsewhere.asked(), browser.complaints());

    // It arrives while the page is open, which puts it in its place by itself.
    county.let_in(&browser, "M-900", "lead");
    browser.open(&county.url("/"));
    fill(&county, &texts);
    // Of a long number the county's page shows the beginning.
    browser.wait_for_text("main", "</title>");
    let mut shown = String::new();
    let mut look = |at: &str| {
        let found = list(&browser.run(FOUND));
        assert!(found.is_empty(), "{at}: {found:#?}");
        shown += browser.run(SHOWN).as_str().unwrap_or_default();
    };
    look("the county's page, changed by itself");

    // Typed into the question, refused beside it; typed into an assignment, taken.
    let values = |names: &[&str]| -> String {
        let pairs = names.iter().zip(texts.iter().cycle());
        let pairs = pairs.map(|(name, text)| format!("{name}={}", escaped(text)));
        pairs.collect::<Vec<_>>().join("&")
    };
    let craft = browser.run(
        "return [...document.querySelectorAll('a[href^=\"/craft/\"]')]\
         .find(it => it.textContent.includes('</title>')).getAttribute('href')",
    );
    let craft = craft
        .as_str()
        .expect("the craft with a new number")
        .to_owned();
    let names = [
        "mission", "air", "place", "water", "people", "wind", "duration", "metar",
    ];
    let asked_for = format!("/?{}", values(&names));
    let pages = [
        QUESTION,
        &asked_for,
        &craft,
        &format!("{craft}/record"),
        "/faults",
        "/due",
        "/gauges",
        "/kit-moves",
        "/report",
    ];
    for path in pages {
        browser.open(&county.url(path));
        look(path);
    }
    browser.open(&county.url(&craft));
    let opened = "document.querySelectorAll('details').forEach(it => { it.open = true; })";
    let _ = browser.run(opened);
    browser.type_into("main form[action$='/assign'] [name=incident]", &texts[2]);
    browser.press("main form[action$='/assign'] button");
    browser.wait_for_text("main", "onfocus=alert(3)");
    look("assigned");

    // The same craft at its station, and a check of it with such texts typed into its lines.
    let (up, station) = county.mill.serve_pages("127.0.0.1:0");
    let at = |path: &str| format!("http://{station}{path}");
    for path in [
        "/",
        &craft,
        "/due",
        "/sync",
        &format!("/find?{}", values(&["number"])),
    ] {
        browser.open(&at(path));
        look(&at(path));
    }
    browser.open(&at("/who"));
    browser.type_into("input[name=member]", "M-104");
    browser.press("main form button");
    browser.wait_for_text("header", "M-104");
    browser.open(&at(&craft));
    browser.press("form[action$='/check'] button");
    browser.wait_for_text("#round", "lines");
    for (field, text) in [("air", &texts[0]), ("stood", &texts[1])] {
        let css = format!("#round input[name={field:?}]");
        browser.type_into(&css, &format!("{text}\u{e004}"));
        browser.wait_for_text("#round", text);
    }
    look("the round");
    browser.reload();
    look("the round again");
    assert_eq!(up.terminate().code(), Some(0));

    for text in &texts {
        assert!(shown.contains(text), "{text} was shown nowhere as a text");
    }
    assert_eq!(elsewhere.asked(), asked, "somebody elsewhere was asked");
    // A refused entry of the round is answered with a status that the browser notes.
    let complaints = browser.complaints().into_iter();
    let others: Vec<String> = complaints
        .filter(|it| !it.contains("status of 4"))
        .collect();
    assert_eq!(others, Vec::<String>::new());
}

/// A text as a value of an address (RFC 3986, 2.1).
fn escaped(text: &str) -> String {
    text.bytes().map(|byte| format!("%{byte:02X}")).collect()
}
