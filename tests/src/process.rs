//! The two programs as processes: built once, run with a deadline, ended by their own id.
//!
//! Nothing waits for a fixed time: what is waited for can be seen, and has a deadline.

use std::io::Read;
use std::net::SocketAddr;
use std::os::unix::net::UnixStream;
use std::os::unix::process::CommandExt as _;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, ExitStatus, Stdio};
use std::sync::{Arc, Mutex, OnceLock};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

/// How long one command may take. A debug build on a busy machine needs a few seconds at most.
pub const DEADLINE: Duration = Duration::from_secs(60);

/// How long a command may take whose disk fails, or under strace: the store gives up a call that
/// does not come back after 15 s, at opening, at a write and at closing, and [`DEADLINE`] stands
/// beside for all else, twice over since strace stops every call.
pub const DEADLINE_OF_A_FAULT: Duration = Duration::from_secs(3 * 15 + 2 * DEADLINE.as_secs());

/// Pause between two looks at what is waited for.
const LOOK_EVERY: Duration = Duration::from_millis(2);

/// Looks again and again until something is there; panics when [`DEADLINE`] passes first.
///
/// # Panics
/// When it is not there in time.
pub fn wait_for<T>(what: &str, mut look: impl FnMut() -> Option<T>) -> T {
    let begun = Instant::now();
    loop {
        if let Some(found) = look() {
            return found;
        }
        assert!(
            begun.elapsed() < DEADLINE,
            "{what}: not within {DEADLINE:?}"
        );
        std::thread::sleep(LOOK_EVERY);
    }
}

/// Folder of the programs of this build, which are built when they are not there or old; or of
/// others that `SPONSON_TEST_PROGRAMS` names.
///
/// # Panics
/// When they cannot be built.
pub fn programs() -> &'static Path {
    static BUILT: OnceLock<PathBuf> = OnceLock::new();
    BUILT.get_or_init(|| {
        let given = std::env::var_os("SPONSON_TEST_PROGRAMS");
        given.map_or_else(build, PathBuf::from)
    })
}

/// A program of this crate: built beside its tests, as every binary of it is.
///
/// # Panics
/// When the running program does not know its own file.
#[must_use]
pub fn beside(name: &str) -> PathBuf {
    profile().join(name)
}

/// The running test stands in `TARGET/PROFILE/deps`, a bench in `TARGET/PROFILE`; the programs
/// belong in `TARGET/PROFILE`.
fn profile() -> PathBuf {
    let running = std::env::current_exe().expect("a program knows its file");
    let folder = running.parent().expect("it stands in a folder");
    let folder = match folder.ends_with("deps") {
        true => folder.parent().expect("TARGET/PROFILE/deps"),
        false => folder,
    };
    folder.to_owned()
}

/// They are built as the tests of the whole workspace build them, each beside a test of its own
/// package: asked for by package, cargo would choose other features of shared libraries and build
/// everything once more.
fn build() -> PathBuf {
    let folder = profile();
    let target = folder.parent().expect("PROFILE is in TARGET");
    let mut cargo = Command::new(env!("CARGO"));
    cargo
        .args(["test", "--no-run", "--workspace", "--locked", "--quiet"])
        .args(["--test", "commands", "--test", "program"])
        .arg("--target-dir")
        .arg(target)
        .current_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/.."));
    // What cargo tells a test about its package would make build scripts run again.
    for (name, _) in std::env::vars_os() {
        let name = name.to_string_lossy();
        if name == "CARGO_MANIFEST_DIR" || name.starts_with("CARGO_PKG_") {
            cargo.env_remove(&*name);
        }
    }
    if folder.ends_with("release") {
        cargo.arg("--release");
    }
    let built = cargo.output().expect("cargo runs");
    assert!(
        built.status.success(),
        "{}",
        String::from_utf8_lossy(&built.stderr)
    );
    folder
}

/// Runs a command to its end, in a process group of its own: strace and what it runs. One that does
/// not end in time is killed with all of its group, and what it had written is the error.
///
/// # Errors
/// When it does not end in time.
///
/// # Panics
/// When the process cannot be started.
pub fn within(mut command: Command, limit: Duration) -> Result<Ended, String> {
    command.process_group(0);
    let named = format!("{command:?}");
    let mut running = Running::start(command);
    let Some(status) = running.ended_within(limit) else {
        let told = signal("-KILL", &format!("-{}", running.child.id()));
        let (out, err) = (running.out(), running.err());
        return Err(format!(
            "hangs: not ended within {limit:?}, killed ({told}): {named} wrote {out}{err}"
        ));
    };
    Ok(running.ended(status))
}

/// The shell's own kill: it is there wherever a shell is, and takes one id, of a process or of a
/// group of our own.
pub(crate) fn signal(sort: &str, id: &str) -> ExitStatus {
    let mut shell = Command::new("sh");
    shell.args(["-c", "kill \"$0\" \"$1\"", sort, id]);
    shell.status().expect("a shell runs")
}

/// A folder of the county or of a station, and the program that works on it.
#[derive(Clone, Debug)]
pub struct Device {
    program: &'static str,
    folder: PathBuf,
    log: Option<&'static str>,
    /// The process in whose network it runs.
    network: Option<u32>,
}

/// How a command ended, and what it wrote.
#[derive(Clone, Debug)]
pub struct Ended {
    /// How it ended.
    pub status: ExitStatus,
    /// Standard output.
    pub out: String,
    /// Standard error.
    pub err: String,
}

impl Ended {
    /// The number it ended with; none when a signal ended it.
    #[must_use]
    pub fn code(&self) -> Option<i32> {
        self.status.code()
    }
}

impl Device {
    /// A folder of the county.
    #[must_use]
    pub fn county(folder: &Path) -> Self {
        Self {
            program: "sponson-county",
            folder: folder.to_owned(),
            log: None,
            network: None,
        }
    }

    /// A folder of a station.
    #[must_use]
    pub fn station(folder: &Path) -> Self {
        Self {
            program: "sponson",
            ..Self::county(folder)
        }
    }

    /// The same with `RUST_LOG` set; without it the programs log warnings and worse.
    #[must_use]
    pub fn logging(mut self, filter: &'static str) -> Self {
        self.log = Some(filter);
        self
    }

    /// The same in the network of another process.
    #[must_use]
    pub fn in_network_of(mut self, process: u32) -> Self {
        self.network = Some(process);
        self
    }

    /// The folder.
    #[must_use]
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// Has a station that joined sync only when it is told to.
    pub fn sync_by_hand(&self) {
        let file = self.folder.join(sponson_client::settings::SETTINGS_FILE);
        let text = std::fs::read_to_string(&file).expect("it joined");
        std::fs::write(&file, format!("sync = \"by hand\"\n{text}")).expect("it can be written");
    }

    /// The socket of its local service.
    #[must_use]
    pub fn socket(&self) -> PathBuf {
        self.folder.join(sponson_link::local::SOCKET)
    }

    /// Starts a command.
    ///
    /// # Panics
    /// When the process cannot be started.
    #[must_use]
    pub fn start(&self, args: &[&str]) -> Running {
        let program = programs().join(self.program);
        let mut command = match self.network {
            None => Command::new(program),
            Some(process) => {
                let mut enter = Command::new("nsenter");
                enter.args(["-t", &process.to_string(), "-n"]).arg(program);
                enter
            }
        };
        command.arg("--folder").arg(&self.folder).args(args);
        command.env_remove("RUST_LOG");
        if let Some(filter) = self.log {
            command.env("RUST_LOG", filter);
        }
        Running::start(command)
    }

    /// Runs a command to its end.
    ///
    /// # Panics
    /// When it does not end in time.
    #[must_use]
    pub fn run(&self, args: &[&str]) -> Ended {
        self.start(args).wait()
    }

    /// Runs a command that must end with 0; gives its standard output.
    ///
    /// # Panics
    /// When it ends otherwise, or not in time.
    pub fn fine(&self, args: &[&str]) -> String {
        let ended = self.run(args);
        assert_eq!(ended.code(), Some(0), "{args:?}: {ended:?}");
        ended.out
    }

    /// Serves the county on any free port, once it answers.
    ///
    /// # Panics
    /// When it does not come up in time.
    #[must_use]
    pub fn serve_county(&self) -> (Running, SocketAddr) {
        self.serve_county_at(std::net::Ipv4Addr::LOCALHOST)
    }

    /// Serves the county on any free port of an address, once it answers.
    ///
    /// # Panics
    /// When it does not come up in time.
    #[must_use]
    pub fn serve_county_at(&self, address: std::net::Ipv4Addr) -> (Running, SocketAddr) {
        let listen = format!("{address}:0");
        let mut up = self.start(&["serve", "--listen", &listen, "--pages", "none"]);
        let address = wait_for("the county's address", || {
            up.assert_up();
            up.out()
                .lines()
                .find_map(|line| line.strip_prefix("listening on ")?.parse().ok())
        });
        // What it says is so: its own commands find it from that line on.
        UnixStream::connect(self.socket()).expect("the socket is there once it says so");
        (up, address)
    }

    /// Serves the county and its pages on any free ports, once they answer.
    ///
    /// # Panics
    /// When they do not come up in time.
    #[must_use]
    pub fn serve_both(&self) -> Served {
        self.serve_at("127.0.0.1:0")
    }

    /// The same with the pages at an address, as after a restart.
    ///
    /// # Panics
    /// When they do not come up in time.
    #[must_use]
    pub fn serve_at(&self, pages: &str) -> Served {
        let mut up = self.start(&["serve", "--listen", "127.0.0.1:0", "--pages", pages]);
        let line = |up: &Running, begins: &str| {
            let said = up.out();
            let mut lines = said.lines();
            let found = lines.find_map(|line| line.strip_prefix(begins))?;
            found.trim_end_matches('/').parse().ok()
        };
        let (stations, pages) = wait_for("the addresses of the county and its pages", || {
            up.assert_up();
            Some((line(&up, "listening on ")?, line(&up, "pages at http://")?))
        });
        Served {
            up,
            stations,
            pages,
        }
    }

    /// Serves the local service of a station, once it answers.
    ///
    /// # Panics
    /// When it does not come up in time.
    #[must_use]
    pub fn serve_station(&self) -> Running {
        let mut up = self.start(&["serve", "--pages", "none"]);
        wait_for("the local service", || {
            up.assert_up();
            UnixStream::connect(self.socket()).ok()
        });
        up
    }

    /// Serves a station and its pages at an address, once they answer; port 0 is any that is free.
    ///
    /// # Panics
    /// When they do not come up in time.
    #[must_use]
    pub fn serve_pages(&self, pages: &str) -> (Running, SocketAddr) {
        let up = self.start(&["serve", "--pages", pages]);
        let at = pages_of(&up);
        (up, at)
    }

    /// Serves a station and its pages on any free port, with a wall clock that is so far off.
    ///
    /// # Panics
    /// When they do not come up in time.
    #[must_use]
    pub fn serve_pages_off(&self, off_ms: i64) -> (Running, SocketAddr) {
        let up = self.start_off(off_ms, &["serve", "--pages", "127.0.0.1:0"]);
        let at = pages_of(&up);
        (up, at)
    }

    /// Runs a command of a station whose wall clock is so far off.
    ///
    /// # Panics
    /// When it does not end in time.
    #[must_use]
    pub fn run_off(&self, off_ms: i64, args: &[&str]) -> Ended {
        self.start_off(off_ms, args).wait()
    }

    fn start_off(&self, off_ms: i64, args: &[&str]) -> Running {
        // Built beside the tests of this crate, as every binary of it is.
        let mut command = Command::new(programs().join("station_off"));
        command.arg(off_ms.to_string());
        command.arg("--folder").arg(&self.folder);
        command.args(args);
        command.env_remove("RUST_LOG");
        Running::start(command)
    }
}

/// Where a station that was started serves its pages.
///
/// # Panics
/// When they do not come up in time.
#[must_use]
pub fn pages_of(up: &Running) -> SocketAddr {
    wait_for("the address of the pages", || {
        let said = [up.out(), up.err()].concat();
        let mut lines = said.lines();
        let found = lines.find_map(|line| line.strip_prefix("pages at http://"))?;
        found.trim_end_matches('/').parse().ok()
    })
}

/// A county that serves its stations and its pages.
#[derive(Debug)]
pub struct Served {
    /// The process.
    pub up: Running,
    /// Where stations sync.
    pub stations: SocketAddr,
    /// Where the pages are.
    pub pages: SocketAddr,
}

/// A process that was started, with all that it wrote so far. Dropped, it is killed.
#[derive(Debug)]
pub struct Running {
    child: Child,
    out: Written,
    err: Written,
}

impl Running {
    /// Starts a program of our own.
    ///
    /// # Panics
    /// When the process cannot be started.
    #[must_use]
    pub fn start(mut command: Command) -> Self {
        let mut child = command
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program starts");
        let out = Written::of(child.stdout.take().expect("piped"));
        let err = Written::of(child.stderr.take().expect("piped"));
        Self { child, out, err }
    }

    /// Its process id.
    #[must_use]
    pub fn id(&self) -> u32 {
        self.child.id()
    }

    /// Standard output so far.
    #[must_use]
    pub fn out(&self) -> String {
        self.out.text()
    }

    /// Standard error so far.
    #[must_use]
    pub fn err(&self) -> String {
        self.err.text()
    }

    /// Whether it still runs.
    ///
    /// # Panics
    /// When the system does not say.
    pub fn is_up(&mut self) -> bool {
        self.child.try_wait().expect("our own child").is_none()
    }

    fn assert_up(&mut self) {
        assert!(self.is_up(), "it ended: {}{}", self.out(), self.err());
    }

    /// Waits for its end; gives how it ended and all that it wrote.
    ///
    /// # Panics
    /// When it does not end in time.
    #[must_use]
    pub fn wait(self) -> Ended {
        self.wait_within(DEADLINE)
    }

    /// The same with a limit of its own.
    ///
    /// # Panics
    /// When it does not end in time.
    #[must_use]
    pub fn wait_within(mut self, limit: Duration) -> Ended {
        let status = self.ended_within(limit).unwrap_or_else(|| {
            let (out, err) = (self.out(), self.err());
            panic!("not ended within {limit:?}; it wrote {out}{err}");
        });
        self.ended(status)
    }

    fn ended_within(&mut self, limit: Duration) -> Option<ExitStatus> {
        let begun = Instant::now();
        loop {
            let status = self.child.try_wait().expect("our own child");
            if status.is_some() || begun.elapsed() > limit {
                return status;
            }
            std::thread::sleep(LOOK_EVERY);
        }
    }

    fn ended(mut self, status: ExitStatus) -> Ended {
        Ended {
            status,
            out: self.out.read_to_end(),
            err: self.err.read_to_end(),
        }
    }

    /// Asks it to end with SIGTERM, and waits for its end.
    ///
    /// # Panics
    /// When it cannot be told, or does not end in time.
    #[must_use]
    pub fn terminate(self) -> Ended {
        let told = signal("-TERM", &self.child.id().to_string());
        assert!(told.success(), "SIGTERM could not be sent");
        self.wait()
    }

    /// Asks it to end with SIGTERM, when it has not ended by itself; one that does not end in time
    /// is killed, and what it had written is the error.
    ///
    /// # Errors
    /// When it does not end in time.
    pub fn terminate_within(mut self, limit: Duration) -> Result<Ended, String> {
        if self.is_up() {
            // It may end by itself just now.
            let _ = signal("-TERM", &self.child.id().to_string());
        }
        match self.ended_within(limit) {
            Some(status) => Ok(self.ended(status)),
            None => Err(format!(
                "hangs: not ended within {limit:?}, killed; it wrote {}{}",
                self.out(),
                self.err()
            )),
        }
    }

    /// Ends it with SIGKILL; gives how it ended, which tells whether it had ended by itself.
    ///
    /// # Panics
    /// When it does not end in time.
    #[must_use]
    pub fn kill(mut self) -> Ended {
        self.child.kill().expect("our own child");
        self.wait()
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        // It may have ended already; then there is nothing to do.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// What a process wrote on one pipe.
#[derive(Debug)]
struct Written {
    bytes: Arc<Mutex<Vec<u8>>>,
    reader: Option<JoinHandle<()>>,
}

impl Written {
    fn of(mut pipe: impl Read + Send + 'static) -> Self {
        let bytes = Arc::new(Mutex::new(Vec::new()));
        let kept = Arc::clone(&bytes);
        let reader = std::thread::spawn(move || {
            let mut piece = [0; 4096];
            while let Ok(length @ 1..) = pipe.read(&mut piece) {
                let piece = piece.get(..length).unwrap_or_default();
                kept.lock().expect("no panic").extend_from_slice(piece);
            }
        });
        Self {
            bytes,
            reader: Some(reader),
        }
    }

    fn text(&self) -> String {
        String::from_utf8_lossy(&self.bytes.lock().expect("no panic")).into_owned()
    }

    fn read_to_end(&mut self) -> String {
        if let Some(reader) = self.reader.take() {
            reader.join().expect("no panic");
        }
        self.text()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_hangs_is_killed_with_all_that_it_started() {
        let mut hangs = Command::new("sh");
        hangs.args(["-c", "sleep 600 & echo $!; wait"]);
        let hung = within(hangs, Duration::from_millis(500)).expect_err("it hangs");
        assert!(hung.starts_with("hangs: not ended within 500ms"), "{hung}");
        let sleeper = hung.rsplit("wrote ").next().expect("it wrote").trim();
        let sleeper: u32 = sleeper.parse().expect("the id of what it started");
        wait_for("the end of what it started", || {
            let state = std::fs::read_to_string(format!("/proc/{sleeper}/stat"));
            // Nobody need have reaped it.
            let gone = state.map_or(true, |state| state.contains(") Z "));
            gone.then_some(())
        });
        let ends = Command::new("true");
        let ended = within(ends, DEADLINE).expect("it ends");
        assert_eq!(ended.code(), Some(0));
    }
}
