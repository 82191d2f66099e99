//! Power cuts that are simulated: what a real process wrote, synced and acknowledged is recorded
//! by strace, and replayed into the files that a disk may hold when the power goes at any moment.
//!
//! The model. What was written to a file before a sync of it began is there once that sync has
//! ended. Anything else may be there, be missing, or be there in part, whole sectors each for
//! itself. Names (made, renamed, removed) are there once their folder was synced; the others are
//! there in order up to some point, as a journal of names keeps them. A hint to write back soon
//! (`sync_file_range`) is no sync.

mod image;
mod trace;

pub use image::{Cut, Image};
pub use trace::{Deed, Done, Trace};

use std::path::Path;
use std::process::Command;

/// System calls that are recorded.
const CALLS: &str = "trace=openat,write,pwrite64,ftruncate,fdatasync,fsync,rename,renameat,\
                     renameat2,unlink,unlinkat,lseek,close";

/// Longest string of one call: the engine writes at most a segment of 512 KiB.
const STRING_MAX: &str = "1200000";

/// A command that records what the program does into a file. None when there is no strace here.
#[must_use]
pub fn recorded(program: &Path, into: &Path) -> Option<Command> {
    has_strace().then(|| {
        let mut command = Command::new("strace");
        command
            .args([
                "-f", "-y", "-qq", "-xx", "-s", STRING_MAX, "-e", CALLS, "-o",
            ])
            .arg(into)
            .arg("--")
            .arg(program);
        command
    })
}

/// A command whose system calls fail as told: `calls` as strace writes them, for example
/// `fdatasync:error=EIO:when=3`. None when there is no strace here.
#[must_use]
pub fn failing(program: &Path, fault: &str) -> Option<Command> {
    has_strace().then(|| {
        let call = fault.split(':').next().unwrap_or_default();
        let mut command = Command::new("strace");
        let trace = format!("trace={call}");
        let inject = format!("inject={fault}");
        command.args([
            "-f",
            "-qq",
            "-o",
            "/dev/null",
            "-e",
            &trace,
            "-e",
            &inject,
            "--",
        ]);
        command.arg(program);
        command
    })
}

/// Whether strace is here and may trace; `tests/run` installs it.
///
/// # Panics
/// When `SPONSON_TEST_STRACE` says that it must be here and it is not.
#[must_use]
pub fn has_strace() -> bool {
    let mut tried = Command::new("strace");
    let works = runs_quietly(tried.args(["-qq", "-o", "/dev/null", "true"]));
    assert!(
        works || std::env::var_os("SPONSON_TEST_STRACE").is_none(),
        "strace is not here or may not trace"
    );
    works
}

fn runs_quietly(command: &mut Command) -> bool {
    let quiet = std::process::Stdio::null;
    let status = command.stdout(quiet()).stderr(quiet()).status();
    status.is_ok_and(|status| status.success())
}
