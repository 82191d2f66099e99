//! A real Chromium, driven over WebDriver: one window, at a size, by day, by night or on paper.
//!
//! Debian's `chromium` and `chromium-driver`, on 127.0.0.1 alone. Where they are not installed tests
//! of pages are passed over, unless `SPONSON_TEST_BROWSER` says that they must be here.

use std::os::unix::process::CommandExt as _;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use serde_json::{Value, json};
use thirtyfour::common::capabilities::chromium::ChromiumLikeCapabilities as _;
use thirtyfour::{By, DesiredCapabilities, WebDriver, WebElement};
use tokio::runtime::Runtime;

use crate::process::{Running, signal, wait_for};

/// A phone held upright: the width of most sold, in CSS pixels.
pub const PHONE: (u32, u32) = (390, 844);
/// A desk.
pub const DESK: (u32, u32) = (1280, 900);
/// The narrowest that has to work: 1280 CSS pixels at 400 % (WCAG 2.2, 1.4.10).
pub const NARROW: (u32, u32) = (320, 640);

/// One call of the driver at most: a page of a debug build on a busy machine comes within seconds.
const CALL_MAX: Duration = Duration::from_secs(60);

/// The rules of WCAG as a library, where `tests/run` puts it.
const AXE: &str = concat!(
    env!("CARGO_MANIFEST_DIR"),
    "/../target/test-axe/node_modules/axe-core/axe.min.js"
);

/// One browser at a time: each takes some 300 MB and a core.
static ONE: Mutex<()> = Mutex::new(());

/// Whether scripts of the page run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Script {
    /// They do.
    On,
    /// They do not.
    Off,
}

/// Whether the browser reaches anybody.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Network {
    /// It does.
    There,
    /// It does not.
    Gone,
}

/// What the page is shown on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Medium {
    /// A screen, in the day's colours.
    Day,
    /// A screen of somebody who asked for dark colours.
    Night,
    /// Paper.
    Print,
}

/// Whether a browser is here.
///
/// # Panics
/// When `SPONSON_TEST_BROWSER` is `yes` and none is.
#[must_use]
pub fn is_here() -> bool {
    let has = |program: &str| {
        let found = Command::new(program).arg("--version").output();
        found.is_ok_and(|output| output.status.success())
    };
    let here = has("chromium") && has("chromedriver") && Path::new(AXE).exists();
    let wanted = std::env::var("SPONSON_TEST_BROWSER").is_ok_and(|it| it == "yes");
    assert!(
        here || !wanted,
        "chromium, chromium-driver or axe-core is not here: tests/run installs them"
    );
    here
}

/// A browser with one window. Dropped, it and all that it started end.
#[derive(Debug)]
pub struct Browser {
    runtime: Runtime,
    driver: WebDriver,
    service: Running,
    only: Option<MutexGuard<'static, ()>>,
}

impl Browser {
    /// Starts one.
    ///
    /// # Panics
    /// When it does not come up in time.
    #[must_use]
    pub fn start(script: Script) -> Self {
        let one = ONE.lock().unwrap_or_else(PoisonError::into_inner);
        let mut browser = Self::alone(script);
        browser.only = Some(one);
        browser
    }

    /// Starts a second one, of somebody else: it shares nothing with the first.
    ///
    /// # Panics
    /// When it does not come up in time.
    #[must_use]
    pub fn beside(&self) -> Self {
        Self::alone(Script::On)
    }

    fn alone(script: Script) -> Self {
        let mut command = Command::new("chromedriver");
        command.args(["--port=0"]).process_group(0);
        let service = Running::start(command);
        let port: u16 = wait_for("the driver's port", || {
            let said = service.out();
            let port = said.split("started successfully on port ").nth(1)?;
            port.split('.').next()?.parse().ok()
        });
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .build()
            .expect("a runtime");
        let driver = runtime
            .block_on(connect(port, script))
            .expect("a session of the browser");
        Self {
            runtime,
            driver,
            service,
            only: None,
        }
    }

    fn block<T>(
        &self,
        what: &str,
        call: impl Future<Output = Result<T, thirtyfour::error::WebDriverError>>,
    ) -> T {
        let within = async { tokio::time::timeout(CALL_MAX, call).await };
        let ended = self.runtime.block_on(within);
        let ended = ended.unwrap_or_else(|_| panic!("{what}: not within {CALL_MAX:?}"));
        ended.unwrap_or_else(|error| panic!("{what}: {error}"))
    }

    /// Opens an address.
    ///
    /// # Panics
    /// When the browser cannot, as in all calls here.
    pub fn open(&self, url: &str) {
        self.block(url, self.driver.goto(url));
    }

    /// The address that it shows.
    #[must_use]
    pub fn url(&self) -> String {
        self.block("the address", self.driver.current_url())
            .to_string()
    }

    /// Loads the page again.
    pub fn reload(&self) {
        self.block("reload", self.driver.refresh());
    }

    /// Size of what is seen, in CSS pixels.
    pub fn size(&self, (width, height): (u32, u32)) {
        let metrics = json!({
            "width": width, "height": height, "deviceScaleFactor": 1, "mobile": false,
        });
        self.devtools("Emulation.setDeviceMetricsOverride", metrics);
    }

    /// A phone: its size, its finger instead of a pointer.
    pub fn phone(&self) {
        let (width, height) = PHONE;
        let metrics = json!({
            "width": width, "height": height, "deviceScaleFactor": 1, "mobile": true,
        });
        self.devtools("Emulation.setDeviceMetricsOverride", metrics);
        let touch = json!({ "enabled": true, "maxTouchPoints": 1 });
        self.devtools("Emulation.setTouchEmulationEnabled", touch);
    }

    /// Touches the middle of the first element that matches, with one finger.
    pub fn tap(&self, css: &str) {
        let element = self.element(css);
        self.block(css, element.scroll_into_view());
        let middle = self.run(&format!(
            "const box = document.querySelector({css:?}).getBoundingClientRect();
             return [box.x + box.width / 2, box.y + box.height / 2]"
        ));
        let point = json!({ "x": middle[0], "y": middle[1] });
        for (kind, points) in [("touchStart", json!([point])), ("touchEnd", json!([]))] {
            let params = json!({ "type": kind, "touchPoints": points });
            self.devtools("Input.dispatchTouchEvent", params);
        }
    }

    /// Takes the network away from the browser, or gives it back.
    pub fn network(&self, network: Network) {
        let params = json!({
            "offline": network == Network::Gone,
            "latency": 0, "downloadThroughput": -1, "uploadThroughput": -1,
        });
        self.devtools("Network.enable", json!({}));
        self.devtools("Network.emulateNetworkConditions", params);
    }

    /// What the page is shown on.
    pub fn medium(&self, medium: Medium) {
        let (media, colours) = match medium {
            Medium::Day => ("screen", "light"),
            Medium::Night => ("screen", "dark"),
            Medium::Print => ("print", "light"),
        };
        let features = json!([{ "name": "prefers-color-scheme", "value": colours }]);
        let params = json!({ "media": media, "features": features });
        self.devtools("Emulation.setEmulatedMedia", params);
    }

    /// Runs a script in the page, as the browser's own console would; gives what it returns.
    #[must_use]
    pub fn run(&self, script: &str) -> Value {
        let ran = self.block("a script", self.driver.execute(script, Vec::new()));
        ran.json().clone()
    }

    /// Waits for the promise of a script.
    #[must_use]
    pub fn promise(&self, script: &str) -> Value {
        let whole = format!(
            "const done = arguments[arguments.length - 1]; ({script}).then(done, e => done(String(e)))"
        );
        let ran = self.block("a promise", self.driver.execute_async(&whole, Vec::new()));
        ran.json().clone()
    }

    /// How many elements match.
    #[must_use]
    pub fn count(&self, css: &str) -> usize {
        self.block(css, self.driver.find_all(By::Css(css))).len()
    }

    /// Text of the first element that matches, as it is seen.
    #[must_use]
    pub fn text(&self, css: &str) -> String {
        let element = self.element(css);
        self.block(css, element.text())
    }

    /// Waits until the text of an element holds a piece.
    pub fn wait_for_text(&self, css: &str, piece: &str) {
        wait_for(&format!("'{piece}' in {css}"), || {
            let found = self.block(css, self.driver.find_all(By::Css(css)));
            let held = found.iter().any(|element| {
                // What was replaced meanwhile is looked for again.
                let text = self.runtime.block_on(element.text());
                text.is_ok_and(|text| text.contains(piece))
            });
            held.then_some(())
        });
    }

    /// Presses an element, as a pointer would.
    pub fn press(&self, css: &str) {
        let element = self.element(css);
        self.block(css, element.scroll_into_view());
        self.block(css, element.click());
    }

    /// Types into an element, after what is there.
    pub fn type_into(&self, css: &str, text: &str) {
        let element = self.element(css);
        self.block(css, element.send_keys(text));
    }

    /// Chooses one of several by its value.
    pub fn choose(&self, css: &str, value: &str) {
        let option = format!("{css} option[value={value:?}]");
        let option = self.element(&option);
        self.block(css, option.click());
    }

    /// Puts the focus on an element, as keys would have.
    pub fn focus(&self, css: &str) {
        let element = self.element(css);
        self.block(css, element.focus());
    }

    /// Waits until no element that matches holds a piece of text.
    pub fn wait_for_gone(&self, css: &str, piece: &str) {
        wait_for(&format!("'{piece}' gone from {css}"), || {
            let found = self.block(css, self.driver.find_all(By::Css(css)));
            let held = found.iter().any(|element| {
                let text = self.runtime.block_on(element.text());
                text.is_ok_and(|text| text.contains(piece))
            });
            (!held).then_some(())
        });
    }

    /// Presses keys wherever the focus is.
    pub fn keys(&self, keys: &str) {
        let focused = self.block("the focus", self.driver.active_element());
        self.block("keys", focused.send_keys(keys));
    }

    /// Presses the tab key, also where the focus is on the choice of a file.
    pub fn tab(&self) {
        for kind in ["keyDown", "keyUp"] {
            let key = json!({
                "type": kind, "key": "Tab", "code": "Tab", "windowsVirtualKeyCode": 9,
            });
            self.devtools("Input.dispatchKeyEvent", key);
        }
    }

    /// The whole page as a picture, kept under `target/screenshots`.
    pub fn picture(&self, name: &str) -> PathBuf {
        let size = self.devtools("Page.getLayoutMetrics", json!({}));
        let content = &size["cssContentSize"];
        let clip = json!({
            "x": 0, "y": 0, "width": content["width"], "height": content["height"], "scale": 1,
        });
        let params = json!({ "format": "png", "captureBeyondViewport": true, "clip": clip });
        let taken = self.devtools("Page.captureScreenshot", params);
        let data = taken["data"].as_str().expect("a picture").as_bytes();
        keep(&format!("{name}.png"), &decoded(data))
    }

    /// The page on paper, kept under `target/screenshots`; gives the number of sheets.
    #[must_use]
    pub fn print(&self, name: &str) -> usize {
        let printed = self.devtools("Page.printToPDF", json!({ "preferCSSPageSize": true }));
        let data = printed["data"].as_str().expect("a document").as_bytes();
        let pdf = decoded(data);
        keep(&format!("{name}.pdf"), &pdf);
        let text = String::from_utf8_lossy(&pdf);
        text.matches("/Type /Page\n")
            .count()
            .max(text.matches("/Type/Page\n").count())
    }

    /// What breaks a rule of WCAG 2.0 to 2.2, levels A and AA, as axe-core finds it: each with its
    /// elements. Empty when nothing does.
    #[must_use]
    pub fn axe(&self) -> Vec<String> {
        let library = std::fs::read_to_string(AXE);
        let library = library.expect("axe-core is here: tests/run fetches it");
        let _ = self.run(&library);
        let tags = r#"["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]"#;
        let found = self.promise(&format!(
            "axe.run(document, {{ runOnly: {tags} }}).then(found => ({{
                rules: found.passes.length,
                broken: found.violations.map(rule => rule.id + ': ' + rule.help + ': '
                    + rule.nodes.map(node => node.html + ' ' + node.failureSummary).join(' | ')),
            }}))"
        ));
        let rules = found["rules"].as_u64().unwrap_or_default();
        assert!(rules > 5, "axe-core looked at nothing: {found}");
        let broken = found["broken"].as_array().expect("a list").iter();
        broken
            .map(|one| one.as_str().unwrap_or_default().to_owned())
            .collect()
    }

    /// What the page wrote on the browser's console as an error or a warning.
    #[must_use]
    pub fn complaints(&self) -> Vec<String> {
        let log = self.block("the console", self.driver.browser_log());
        log.iter().map(|entry| entry.message.clone()).collect()
    }

    fn element(&self, css: &str) -> WebElement {
        self.block(css, self.driver.find(By::Css(css)))
    }

    /// A call of the browser's own protocol.
    pub fn devtools(&self, command: &str, params: Value) -> Value {
        self.block(command, self.driver.cdp().send_raw(command, params))
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        // The driver ends the browser; whatever is left of both ends with their group.
        let quit = self.driver.clone().quit();
        let quit = async { tokio::time::timeout(CALL_MAX, quit).await };
        let _ = self.runtime.block_on(quit);
        let _ = signal("-KILL", &format!("-{}", self.service.id()));
    }
}

async fn connect(
    port: u16,
    script: Script,
) -> Result<WebDriver, thirtyfour::error::WebDriverError> {
    let mut wanted = DesiredCapabilities::chrome();
    for arg in [
        "--headless=new",
        "--no-sandbox",
        "--disable-gpu",
        "--disable-dev-shm-usage",
    ] {
        wanted.add_arg(arg)?;
    }
    // Nothing but the pages of the test: no updates, no start page.
    for arg in [
        "--no-first-run",
        "--disable-background-networking",
        "--disable-sync",
    ] {
        wanted.add_arg(arg)?;
    }
    if script == Script::Off {
        let off = json!({ "profile.managed_default_content_settings.javascript": 2 });
        wanted.add_experimental_option("prefs", off)?;
    }
    wanted.set_logging_prefs(
        "browser",
        thirtyfour::common::log::LoggingPrefsLogLevel::All,
    )?;
    WebDriver::new(format!("http://127.0.0.1:{port}"), wanted).await
}

fn decoded(base64: &[u8]) -> Vec<u8> {
    data_encoding::BASE64.decode(base64).expect("base64")
}

fn keep(name: &str, bytes: &[u8]) -> PathBuf {
    let folder = PathBuf::from(concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../target/screenshots"
    ));
    std::fs::create_dir_all(&folder).expect("target can be written");
    let path = folder.join(name);
    std::fs::write(&path, bytes).expect("target can be written");
    path
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_browser_reads_types_and_prints() {
        if !is_here() {
            return;
        }
        let browser = Browser::start(Script::On);
        browser.open("data:text/html,<title>T</title><p id=said>Said</p><input id=in><script>said.append(' on')</script>");
        browser.size(PHONE);
        assert_eq!(browser.text("#said"), "Said on");
        assert_eq!(browser.run("return innerWidth"), json!(PHONE.0));
        browser.type_into("#in", "flood");
        assert_eq!(
            browser.run("return document.getElementById('in').value"),
            json!("flood")
        );
        assert_eq!(browser.promise("Promise.resolve(7)"), json!(7));
        assert_eq!(browser.print("a-browser"), 1);
        assert!(browser.picture("a-browser").exists());
        let broken = browser.axe();
        let named = |rule: &str| broken.iter().any(|one| one.starts_with(rule));
        assert!(named("label:") && named("html-has-lang:"), "{broken:?}");
        drop(browser);
        let browser = Browser::start(Script::Off);
        browser.open("data:text/html,<p id=said>Said</p><script>said.append(' on')</script>");
        assert_eq!(browser.text("#said"), "Said");
    }
}
