//! The two programs as processes: built once, run with a deadline, ended by their own id.
//!
//! Nothing waits for a fixed time: what is waited for can be seen, and has a deadline.

mod device;
mod running;

use std::os::unix::process::CommandExt as _;
use std::path::{Path, PathBuf};
use std::process::{Command, ExitStatus};
use std::sync::OnceLock;
use std::time::{Duration, Instant};

pub use device::{Device, Served, pages_of};
pub use running::{Ended, Running};

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
        let told = signal("-KILL", &format!("-{}", running.id()));
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
