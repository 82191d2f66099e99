//! A county and a station on hosts of their own, with a line between them that can be cut by real
//! means: network namespaces and TUN devices, nothing of this machine's own network.
//!
//! A test that wants them runs itself once more inside a fresh network namespace ([`inside`]): all
//! that is made there is gone with that process. The kernel's own `netem` is not used: many kernels
//! are built without it, and its chances cannot be seeded.

mod line;

use std::net::Ipv4Addr;
use std::path::Path;
use std::process::Command;
use std::time::Duration;

use tappers::Interface;
use tappers::linux::Tun;

pub use line::{Carried, Line, Passes, Quality};

use crate::process::{Running, wait_for, within};

/// Set in the run inside.
const INSIDE: &str = "SPONSON_TEST_INSIDE";

/// When set, a machine that cannot do it fails the test instead of leaving it out.
const WANTED: &str = "SPONSON_TEST_NAMESPACES";

/// Whether this is the run inside. Else runs the named test inside and holds that it went well; where
/// namespaces or TUN devices are not to be had it says so, and nothing is tried.
///
/// # Panics
/// When the run inside fails, does not end in time, or cannot be had although it was asked for.
#[must_use]
pub fn inside(test: &str, limit: Duration) -> bool {
    if std::env::var_os(INSIDE).is_some() {
        return true;
    }
    let Some(flags) = flags() else {
        let why = "network namespaces, /dev/net/tun or ip are not to be had here";
        assert!(std::env::var_os(WANTED).is_none(), "{why}");
        #[expect(
            clippy::print_stderr,
            reason = "whoever runs the tests is told what was left out"
        )]
        {
            eprintln!("left out: {test}: {why}");
        }
        return false;
    };
    // They are built where the registry can be reached.
    let _ = crate::process::programs();
    let mut again = Command::new("unshare");
    again
        .arg(flags)
        .arg(std::env::current_exe().expect("a program knows its file"))
        .args(["--exact", test, "--nocapture", "--test-threads", "1"])
        .env(INSIDE, "yes");
    let ended = within(again, limit).unwrap_or_else(|hangs| panic!("{hangs}"));
    assert_eq!(ended.code(), Some(0), "{}{}", ended.out, ended.err);
    false
}

/// How `unshare` makes a network namespace here: as root, else in a user namespace of our own.
fn flags() -> Option<&'static str> {
    let works = |flags: &str| {
        let mut tried = Command::new("unshare");
        let script = "ip tuntap add dev try0 mode tun && exec 3<>/dev/net/tun";
        tried.args([flags, "sh", "-c", script]);
        tried.output().is_ok_and(|ended| ended.status.success())
    };
    ["-n", "-rn"].into_iter().find(|flags| works(flags))
}

/// A host: a network namespace that lasts as long as one process of ours in it.
#[derive(Debug)]
pub struct Host {
    holder: Running,
    device: String,
    /// Where it is in the network of the line.
    pub address: Ipv4Addr,
}

impl Host {
    fn at_the_end_of(device: &str, address: Ipv4Addr) -> Self {
        let mut holder = Command::new("unshare");
        holder.args(["-n", "sleep", "86400"]);
        let holder = Running::start(holder);
        let namespace =
            |id: &str| std::fs::read_link(Path::new("/proc").join(id).join("ns/net")).ok();
        let (ours, id) = (namespace("self"), holder.id().to_string());
        wait_for("a network namespace", || {
            namespace(&id).filter(|its| Some(its) != ours.as_ref())
        });
        run("ip", &["link", "set", device, "netns", &id]);
        let host = Self {
            holder,
            device: device.to_owned(),
            address,
        };
        host.ip(&["link", "set", "lo", "up"]);
        host.has_address(address);
        host.link("up");
        host
    }

    /// Sets its end of the line `up` or `down`.
    ///
    /// # Panics
    /// When it cannot be.
    pub fn link(&self, state: &str) {
        self.ip(&["link", "set", &self.device, state]);
    }

    /// Gives it one more address.
    ///
    /// # Panics
    /// When it cannot be.
    pub fn has_address(&self, address: Ipv4Addr) {
        self.ip(&["addr", "add", &format!("{address}/24"), "dev", &self.device]);
    }

    /// Takes an address away, as a network that a tablet has left.
    ///
    /// # Panics
    /// When it cannot be.
    pub fn lost_address(&self, address: Ipv4Addr) {
        self.ip(&["addr", "del", &format!("{address}/24"), "dev", &self.device]);
    }

    /// The process whose network it is.
    #[must_use]
    pub fn id(&self) -> u32 {
        self.holder.id()
    }

    fn ip(&self, args: &[&str]) {
        let id = self.id().to_string();
        run("nsenter", &[&["-t", &id, "-n", "ip"], args].concat());
    }
}

fn run(program: &str, args: &[&str]) {
    let ended = Command::new(program).args(args).output();
    let ended = ended.unwrap_or_else(|error| panic!("{program}: {error}"));
    assert!(ended.status.success(), "{program} {args:?}: {ended:?}");
}

/// A county's host and a station's, and the line between them.
#[derive(Debug)]
pub struct TwoHosts {
    /// The county's.
    pub county: Host,
    /// The station's.
    pub station: Host,
    /// Between them.
    pub line: Line,
}

impl TwoHosts {
    /// Makes them, the n-th of this process. Only [`inside`].
    ///
    /// # Panics
    /// When the system gives no device.
    #[must_use]
    pub fn nth(number: u64, seed: u64) -> Self {
        let device = |end: &str| {
            let name = format!("{end}{number}");
            let interface = Interface::new(&name).expect("a short name");
            let tun = Tun::create_named(interface).expect("a new device");
            (name, tun)
        };
        let ((county, county_tun), (station, station_tun)) = (device("county"), device("station"));
        Self {
            county: Host::at_the_end_of(&county, Ipv4Addr::new(10, 77, 0, 1)),
            station: Host::at_the_end_of(&station, Ipv4Addr::new(10, 77, 0, 2)),
            line: Line::between(county_tun, station_tun, seed),
        }
    }
}
