//! A county with pages in a folder of its own, and a caller that says exactly what is sent.

use std::collections::BTreeMap;
use std::ffi::OsString;
use std::io::{self, Write};
use std::net::SocketAddr;
use std::path::PathBuf;
use std::sync::atomic::{AtomicI64, Ordering};
use std::sync::{Arc, Mutex};
use std::time::Duration;

use sponson_client::Surroundings;
use sponson_client::commands::serve::{StationUp, serve_up, wanted};
use sponson_client::settings::{Places, Settings};
use sponson_link::{Clock, Entropy};
use sponson_replica::Now;
use sponson_server::pages::Wanted;
use sponson_server::{CountyUp, serve_until};
use sponson_show::terminal::Exit;
use tokio::io::{AsyncRead, AsyncReadExt as _, AsyncWrite, AsyncWriteExt as _};
use tokio::net::TcpStream;
use tokio::sync::oneshot;
use tokio::task::JoinHandle;

/// 2026-03-14 09:00 UTC.
pub(crate) const NOW_MS: i64 = 1_773_478_800_000;

/// Longest that anything is waited for.
pub(crate) const PATIENCE: Duration = Duration::from_secs(20);

/// What was written.
#[derive(Clone, Default)]
pub(crate) struct Written(Arc<Mutex<Vec<u8>>>);

impl Written {
    /// All of it.
    pub(crate) fn text(&self) -> String {
        let bytes = self.0.lock().expect("no writer panics").clone();
        String::from_utf8(bytes).expect("UTF-8")
    }
}

impl Write for Written {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0
            .lock()
            .expect("no writer panics")
            .extend_from_slice(bytes);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// A county in a folder, with hands on its clock.
pub(crate) struct World {
    folder: tempfile::TempDir,
    hands: Arc<AtomicI64>,
    pub(crate) stations: String,
    pub(crate) pages: Option<SocketAddr>,
    said: Vec<String>,
    serving: Option<(oneshot::Sender<()>, JoinHandle<()>)>,
    /// While it is there, a station serves its pages.
    station: Option<oneshot::Sender<()>>,
}

impl World {
    /// A county with two craft that serves its pages on this machine.
    pub(crate) async fn up() -> Self {
        let mut world = Self::founded().await;
        world.serve("127.0.0.1:0").await;
        world
    }

    /// A county with two craft that does not serve.
    pub(crate) async fn founded() -> Self {
        let world = Self {
            folder: tempfile::tempdir().expect("a folder"),
            hands: Arc::new(AtomicI64::new(NOW_MS)),
            stations: String::new(),
            pages: None,
            said: Vec::new(),
            serving: None,
            station: None,
        };
        let root = world.path("stick.key");
        let craft = world.path("craft.csv");
        std::fs::write(
            &craft,
            "call sign,model,station,persons,total (lb),hp\n\
             Boat 3,inflatable-14,North Landing,10,2600,40\n\
             Boat 4,inflatable-14,North Landing,10,2200,40\n",
        )
        .expect("writes");
        for line in [
            format!("init --name Lake --root-key {}", root.display()),
            "adopt inflatable-14".to_owned(),
            format!("bring-in --craft {} --register-stations", craft.display()),
        ] {
            world.county(&line).await;
        }
        world
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// Sets the clock so many milliseconds further.
    pub(crate) fn later(&self, ms: i64) {
        self.hands.fetch_add(ms, Ordering::SeqCst);
    }

    pub(crate) fn surroundings(&self) -> (Surroundings, Written, Written) {
        let (out, err) = (Written::default(), Written::default());
        let hands = Arc::clone(&self.hands);
        let now = move || {
            let unix_ms = hands.load(Ordering::SeqCst);
            Now {
                unix_ms,
                utc_offset_min: 0,
                boot_id: [1; 16],
                monotonic_ms: u64::try_from(unix_ms - NOW_MS).unwrap_or(0) + 1,
            }
        };
        let given = Surroundings {
            clock: Clock::new(now),
            entropy: Entropy::system(),
            out: Box::new(out.clone()),
            err: Box::new(err.clone()),
            input: Box::new(io::empty()),
            interactive: false,
        };
        (given, out, err)
    }

    /// Serves the county and its pages; `pages` as `serve --pages` takes it.
    pub(crate) async fn serve(&mut self, pages: &str) {
        let (given, _, _) = self.surroundings();
        let places = Places::of("county", Some(&self.path("county"))).expect("a folder");
        let settings = Settings::read(&places.settings).expect("settings");
        let wanted = Wanted::of(Some(pages), &settings, &places).expect("can be served");
        let up = CountyUp::begin(&places, "127.0.0.1:0", &given)
            .await
            .expect("comes up");
        let up = up
            .with_pages(&wanted.expect("pages"), &settings)
            .await
            .expect("pages come up");
        self.stations = up.address().to_string();
        let pages = up.pages().expect("pages");
        self.said = pages.said();
        let port = pages.address().port();
        self.pages = Some(SocketAddr::from(([127, 0, 0, 1], port)));
        let (stop, stopped) = oneshot::channel::<()>();
        let task = tokio::spawn(async {
            let until = async {
                // A dropped sender stops as well.
                let _ = stopped.await;
            };
            serve_until(up, until).await.expect("ends well");
        });
        self.serving = Some((stop, task));
    }

    /// What was said when the pages came up.
    pub(crate) fn said(&self) -> &[String] {
        &self.said
    }

    /// Tells the county to end, and waits for it.
    pub(crate) async fn stop(&mut self) {
        let (stop, task) = self.serving.take().expect("it serves");
        stop.send(()).expect("still serving");
        tokio::time::timeout(PATIENCE, task)
            .await
            .expect("it ends in time")
            .expect("no panic");
    }

    /// Runs a command of the county that must go well; gives what it wrote.
    pub(crate) async fn county(&self, line: &str) -> String {
        let (exit, said) = self.run("county", line).await;
        assert_eq!(exit, Exit::Fine, "{line}: {said}");
        said
    }

    /// Runs a command of a program in its folder, its words parted by blanks, those with blanks in
    /// them in single quotes.
    pub(crate) async fn run(&self, program: &str, line: &str) -> (Exit, String) {
        let mut words: Vec<String> = Vec::new();
        for (position, piece) in line.split('\'').enumerate() {
            match position % 2 {
                1 => words.push(piece.into()),
                _ => words.extend(piece.split_whitespace().map(Into::into)),
            }
        }
        self.run_words(program, &words).await
    }

    /// Runs a command of a program in its folder, with these words as they are.
    pub(crate) async fn run_words(&self, program: &str, words: &[String]) -> (Exit, String) {
        let (mut given, out, err) = self.surroundings();
        let folder = self.path(program).into_os_string();
        let mut args: Vec<OsString> = vec![program.into(), "--folder".into(), folder];
        args.extend(words.iter().map(Into::into));
        let exit = match program {
            "county" => sponson_server::run_async(args, &mut given).await,
            _ => sponson_client::run_async(args, &mut given).await,
        };
        (exit, format!("{}{}", out.text(), err.text()))
    }

    /// A station that has joined.
    pub(crate) async fn joined(&self, folder: &str) {
        self.joined_with(folder, "admit 'North Landing'").await;
    }

    /// The same, let in by this command of the county.
    pub(crate) async fn joined_with(&self, folder: &str, admit: &str) {
        let said = self.county(admit).await;
        let line = said.lines().next().expect("a line");
        let code = line.rsplit(' ').next().expect("the code");
        let join = format!("join {code} --county {}", self.stations);
        for line in [join.as_str(), "sync"] {
            let (exit, said) = self.run(folder, line).await;
            assert_eq!(exit, Exit::Fine, "{line}: {said}");
        }
    }

    /// Somebody at the machine of a station that has joined and serves its pages, who said who it is.
    pub(crate) async fn station(&mut self, member: &str) -> Caller {
        self.joined("station").await;
        self.station_up(member).await
    }

    /// The same, of a station that has joined already.
    pub(crate) async fn station_up(&mut self, member: &str) -> Caller {
        let (given, ..) = self.surroundings();
        let places = Places::of("station", Some(&self.path("station"))).expect("a folder");
        let settings = Settings::read(&places.settings).expect("settings");
        let at = wanted(Some("127.0.0.1:0"), &places, &settings).expect("can be served");
        let up = StationUp::begin(&places, &settings, &given).await;
        let up = up.expect("comes up");
        let up = up.with_pages(&at.expect("pages"), &settings).await;
        let up = up.expect("pages come up");
        let address = up.pages().expect("pages").address();
        let (stop, stopped) = oneshot::channel::<()>();
        let until = async {
            // A dropped sender stops as well.
            let _ = stopped.await;
        };
        tokio::spawn(async { serve_up(up, until).await.expect("ends well") });
        self.station = Some(stop);
        let mut caller = Caller {
            address,
            host: address.to_string(),
            cookie: String::new(),
            token: String::new(),
        };
        caller.token = form_token(&caller.get("/who").await.text);
        let form = format!("token={}&member={member}&back=%2F", caller.token);
        let said = caller.post("/who", &form).await;
        assert_eq!(said.status, 303, "{}", said.text);
        caller.keep_cookie(&said);
        caller
    }

    /// The path of a new link.
    pub(crate) async fn link(&self, member: &str, role: &str) -> String {
        let said = self.county(&format!("let-in {member} --role {role}")).await;
        let line = said
            .lines()
            .find(|line| line.starts_with("link for "))
            .expect("a link");
        let at = line.find("/enter/").expect("its path");
        line.get(at..).expect("its path").to_owned()
    }

    /// A member who has signed in.
    pub(crate) async fn signed_in(&self, member: &str, role: &str) -> Caller {
        let link = self.link(member, role).await;
        let mut caller = self.caller();
        let entered = caller.post(&link, "").await;
        assert_eq!(entered.status, 303, "{}", entered.text);
        caller.keep_cookie(&entered);
        caller.token = form_token(&caller.get("/").await.text);
        caller
    }

    /// A caller that nobody knows.
    pub(crate) fn caller(&self) -> Caller {
        let address = self.pages.expect("it serves");
        Caller {
            address,
            host: address.to_string(),
            cookie: String::new(),
            token: String::new(),
        }
    }

    /// The id of a craft, as its page's address holds it.
    pub(crate) async fn craft(&self, number: &str) -> String {
        let found = self.caller().get(&format!("/craft/{number}")).await;
        let path = found.header("location");
        path.strip_prefix("/craft/").expect("an id").to_owned()
    }
}

/// The token that the forms of a page carry.
pub(crate) fn form_token(page: &str) -> String {
    let (_, rest) = page
        .split_once("name=\"token\" value=\"")
        .expect("a form with a token");
    rest.split('"').next().expect("its value").to_owned()
}

/// What a browser would send, or somebody else.
#[derive(Clone)]
pub(crate) struct Caller {
    pub(crate) address: SocketAddr,
    pub(crate) host: String,
    pub(crate) cookie: String,
    pub(crate) token: String,
}

/// What came back.
#[derive(Debug)]
pub(crate) struct Reply {
    pub(crate) status: u16,
    pub(crate) headers: BTreeMap<String, String>,
    pub(crate) text: String,
}

impl Reply {
    /// A header; empty when there is none.
    pub(crate) fn header(&self, name: &str) -> &str {
        self.headers.get(name).map_or("", String::as_str)
    }

    /// Reads a whole reply.
    pub(crate) fn read(bytes: &[u8]) -> Self {
        let text = String::from_utf8_lossy(bytes);
        let (head, body) = text.split_once("\r\n\r\n").unwrap_or((&text, ""));
        let mut lines = head.lines();
        let first = lines.next().unwrap_or_default();
        let status = first.split(' ').nth(1).and_then(|it| it.parse().ok());
        let headers = lines.filter_map(|line| line.split_once(": "));
        Self {
            status: status.unwrap_or_else(|| panic!("no reply: {text}")),
            headers: headers
                .map(|(name, value)| (name.to_lowercase(), value.to_owned()))
                .collect(),
            text: body.to_owned(),
        }
    }
}

impl Caller {
    /// Name of the cookie of a session here, without the prefix that it has over TLS.
    pub(crate) fn session_cookie(&self) -> String {
        format!("sponson-{}", self.address.port())
    }

    /// Sends the cookie of a reply from here on.
    pub(crate) fn keep_cookie(&mut self, reply: &Reply) {
        let set = reply.header("set-cookie");
        set.split(';')
            .next()
            .unwrap_or_default()
            .clone_into(&mut self.cookie);
    }

    /// Asks for a page as a browser does whose user goes there.
    pub(crate) async fn get(&self, path: &str) -> Reply {
        self.send("GET", path, &[("Sec-Fetch-Mode", "navigate")], "")
            .await
    }

    /// Sends a form from a page of the server.
    pub(crate) async fn post(&self, path: &str, form: &str) -> Reply {
        let origin = format!("http://{}", self.host);
        self.post_from(path, &[("Origin", &origin)], form).await
    }

    /// Sends a form with these headers about where it comes from.
    pub(crate) async fn post_from(&self, path: &str, about: &[(&str, &str)], form: &str) -> Reply {
        let kind = ("Content-Type", "application/x-www-form-urlencoded");
        let headers: Vec<(&str, &str)> = [kind].iter().chain(about).copied().collect();
        self.send("POST", path, &headers, form).await
    }

    /// The bytes of a request.
    pub(crate) fn request(
        &self,
        method: &str,
        path: &str,
        headers: &[(&str, &str)],
        body: &str,
    ) -> String {
        let mut request = format!("{method} {path} HTTP/1.1\r\nHost: {}\r\n", self.host);
        if !self.cookie.is_empty() {
            request += &format!("Cookie: {}\r\n", self.cookie);
        }
        for (name, value) in headers {
            request += &format!("{name}: {value}\r\n");
        }
        if !body.is_empty() || method == "POST" {
            request += &format!("Content-Length: {}\r\n", body.len());
        }
        request + "Connection: close\r\n\r\n" + body
    }

    /// Sends a request and reads the whole reply.
    pub(crate) async fn send(
        &self,
        method: &str,
        path: &str,
        headers: &[(&str, &str)],
        body: &str,
    ) -> Reply {
        let stream = TcpStream::connect(self.address).await.expect("it listens");
        let request = self.request(method, path, headers, body);
        exchange(stream, request.as_bytes()).await
    }

    /// Listens to what is told of changes.
    pub(crate) async fn listen(&self, headers: &[(&str, &str)]) -> Hearing {
        let mut stream = TcpStream::connect(self.address).await.expect("it listens");
        let request = self.request("GET", "/changes", headers, "");
        stream.write_all(request.as_bytes()).await.expect("sends");
        Hearing {
            stream,
            text: String::new(),
        }
    }
}

/// Sends bytes and reads until the other side ends.
pub(crate) async fn exchange(
    mut stream: impl AsyncRead + AsyncWrite + Unpin,
    bytes: &[u8],
) -> Reply {
    // A refusal can come before everything was sent.
    let _ = stream.write_all(bytes).await;
    let mut reply = Vec::new();
    let read = tokio::time::timeout(PATIENCE, stream.read_to_end(&mut reply));
    let _ = read.await.expect("a reply in time");
    Reply::read(&reply)
}

/// Somebody who is told of changes.
pub(crate) struct Hearing {
    stream: TcpStream,
    pub(crate) text: String,
}

impl Hearing {
    /// Reads until the text holds something so many times.
    pub(crate) async fn hear(&mut self, what: &str, times: usize) {
        let waiting = async {
            while self.text.matches(what).count() < times {
                let mut piece = [0; 4096];
                let length = self.stream.read(&mut piece).await.expect("goes on");
                assert!(length > 0, "it ended: {}", self.text);
                self.text += &String::from_utf8_lossy(&piece[..length]);
            }
        };
        let heard = tokio::time::timeout(PATIENCE, waiting).await;
        assert!(heard.is_ok(), "not heard in time: {what}");
    }

    /// Reads until the server ends it.
    pub(crate) async fn end(&mut self) {
        let mut rest = Vec::new();
        let read = tokio::time::timeout(PATIENCE, self.stream.read_to_end(&mut rest));
        // Cut or closed: either is an end.
        let _ = read.await.expect("ends in time");
    }
}
