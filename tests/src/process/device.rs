//! A folder of the county or of a station, and what is done with its program there.

use std::net::SocketAddr;
use std::os::unix::net::UnixStream;
use std::path::{Path, PathBuf};
use std::process::Command;

use super::running::{Ended, Running};
use super::{programs, wait_for};

/// A folder of the county or of a station, and the program that works on it.
#[derive(Clone, Debug)]
pub struct Device {
    program: &'static str,
    folder: PathBuf,
    log: Option<&'static str>,
    /// The process in whose network it runs.
    network: Option<u32>,
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
