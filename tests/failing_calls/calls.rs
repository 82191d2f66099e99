//! The calls of a run, and what may become of each: an error that the system documents for it (the
//! manual pages of section 2, `ERRORS`), or the end of the process there.
//!
//! A call is named by what it touches and by its number among those of one thread that touch it:
//! that is how strace counts. Of two threads that each come to a third write of one file, both fail.

use std::collections::BTreeMap;
use std::fmt::Display;
use std::path::Path;

/// Calls, and errors of each.
const CALLS: [(&str, &[&str]); 34] = [
    ("openat", &["EIO", "ENOSPC", "EMFILE"]),
    ("read", &["EIO"]),
    ("pread64", &["EIO"]),
    ("write", &["EIO", "ENOSPC"]),
    ("pwrite64", &["EIO", "ENOSPC"]),
    ("writev", &["ECONNRESET"]),
    ("fdatasync", &["EIO", "ENOSPC"]),
    ("fsync", &["EIO", "ENOSPC"]),
    ("sync_file_range", &["EIO", "ENOSPC"]),
    ("ftruncate", &["EIO", "ENOSPC"]),
    ("fallocate", &["EIO", "ENOSPC"]),
    ("rename", &["EIO", "ENOSPC"]),
    ("renameat", &["EIO", "ENOSPC"]),
    ("renameat2", &["EIO", "ENOSPC"]),
    ("linkat", &["EIO", "EPERM"]),
    ("unlink", &["EIO"]),
    ("unlinkat", &["EIO"]),
    ("rmdir", &["EIO"]),
    ("mkdir", &["EIO", "ENOSPC"]),
    ("statx", &["EIO"]),
    ("newfstatat", &["EIO"]),
    ("statfs", &["EIO"]),
    ("flock", &["EIO"]),
    ("fcntl", &["EIO"]),
    ("getdents64", &["EIO"]),
    ("copy_file_range", &["EIO", "ENOSPC"]),
    ("socket", &["EMFILE"]),
    ("connect", &["ETIMEDOUT", "ECONNREFUSED"]),
    ("bind", &["EADDRINUSE"]),
    ("listen", &["EADDRINUSE"]),
    ("accept4", &["EMFILE", "ECONNABORTED"]),
    // Killed there only: among a thread's sends is the one by which it hears of a signal, and that
    // pair of sockets has no other end that could be gone.
    ("sendto", &[]),
    ("recvfrom", &["ECONNRESET", "ETIMEDOUT"]),
    // A thread cannot be had: the limit of processes.
    ("clone3", &["EAGAIN"]),
];

/// Calls that name no file: each of them is ours.
const OF_NO_FILE: [&str; 6] = ["socket", "connect", "bind", "listen", "accept4", "clone3"];

/// What becomes of a call.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum What {
    /// It gives this error.
    Error(&'static str),
    /// The process is killed as it makes it.
    Kill,
}

/// One call, and what becomes of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Fault {
    pub(crate) call: String,
    /// What it touches, from the folder of the county and its stations; none for a socket, or a
    /// file whose name is another in every run.
    pub(crate) path: Option<String>,
    /// Its number among those of one thread.
    pub(crate) nth: u32,
    pub(crate) what: What,
}

impl Display for What {
    fn fmt(&self, to: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Error(error) => write!(to, "error={error}"),
            Self::Kill => write!(to, "signal=KILL"),
        }
    }
}

impl Display for Fault {
    fn fmt(&self, to: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let path = self.path.as_deref().unwrap_or("a socket or a passing file");
        write!(
            to,
            "{}:{}:when={} at {path}",
            self.call, self.what, self.nth
        )
    }
}

impl Fault {
    /// Arguments of strace, which end before the program.
    pub(crate) fn args(&self, place: &Path) -> Vec<String> {
        let mut args = vec!["-e".to_owned(), format!("trace={}", self.call)];
        if let Some(path) = &self.path {
            args.extend(["-P".to_owned(), place.join(path).display().to_string()]);
        }
        let inject = format!("inject={}:{}:when={}", self.call, self.what, self.nth);
        args.extend(["-e".to_owned(), inject]);
        args
    }
}

/// What strace is to record; a call that this machine does not have is passed over.
pub(crate) fn traced() -> String {
    let calls = CALLS.map(|(call, _)| format!("?{call}"));
    format!("trace={}", calls.join(","))
}

/// Every fault of a run that was recorded with the paths of its files, in order.
pub(crate) fn faults(trace: &str, place: &Path) -> Vec<Fault> {
    let place = format!("{}/", place.display());
    let mut counts: BTreeMap<(&str, &str, Option<String>), u32> = BTreeMap::new();
    let mut found: BTreeMap<(&str, Option<String>, u32), ()> = BTreeMap::new();
    for line in trace.lines() {
        let Some((thread, call, rest)) = parted(line) else {
            continue;
        };
        let path = path(rest, &place);
        let is_passing = path.as_deref().is_some_and(is_passing);
        let is_ours = path.is_some() || rest.contains("socket:") || OF_NO_FILE.contains(&call);
        // Those without a path are counted with all others of the call.
        let path = path.filter(|_| !is_passing);
        let count = counts.entry((thread, call, path.clone())).or_default();
        *count += 1;
        let mut nth = *count;
        if path.is_none() {
            let every = counts
                .iter()
                .filter(|((of, name, at), _)| *of == thread && *name == call && at.is_some());
            nth += every.map(|(_, count)| count).sum::<u32>();
        }
        if is_ours {
            found.insert((call, path, nth), ());
        }
    }
    let faults = found.into_keys().flat_map(|(call, path, nth)| {
        let errors = CALLS.iter().find(|(name, _)| *name == call);
        // Without a path the same call of another thread may be one to a pipe or an event, which
        // never fails like this.
        let is_exact = path.is_some() || !matches!(call, "read" | "write");
        let errors = errors.filter(|_| is_exact);
        let errors = errors.map_or(&[][..], |(_, errors)| *errors).iter();
        let whats = errors.map(|error| What::Error(error)).chain([What::Kill]);
        whats.map(move |what| Fault {
            call: call.to_owned(),
            path: path.clone(),
            nth,
            what,
        })
    });
    faults.collect()
}

/// Thread, call and the rest of a line.
fn parted(line: &str) -> Option<(&str, &str, &str)> {
    let (thread, rest) = line.split_once(' ')?;
    let (call, rest) = rest.trim_start().split_once('(')?;
    call.chars()
        .all(|letter| letter.is_ascii_alphanumeric() || letter == '_')
        .then_some((thread, call, rest))
}

/// The first path within the folder that a call names or has open.
fn path(rest: &str, place: &str) -> Option<String> {
    let (_, after) = rest.split_once(place)?;
    let end = after.find(['"', '>', '(']).unwrap_or(after.len());
    Some(after[..end].to_owned())
}

/// Whether a name has a hash in it, which is another in every run.
fn is_passing(path: &str) -> bool {
    let mut parts = path.split(['/', '.']);
    parts.any(|part| part.len() == 64 && part.bytes().all(|byte| byte.is_ascii_hexdigit()))
}

#[test]
fn calls_are_named_by_what_they_touch_and_counted_by_thread() {
    let hash = "0".repeat(64);
    let trace = format!(
        "11    openat(AT_FDCWD</>, \"/lib/libc.so\", O_RDONLY) = 3</lib/libc.so>\n\
         11    openat(AT_FDCWD</>, \"/w/a/db\", O_RDONLY) = 3</w/a/db>\n\
         12    openat(AT_FDCWD</>, \"/w/a/db\", O_RDONLY <unfinished ...>\n\
         11    <... openat resumed>) = 3</w/a/db>\n\
         11    openat(AT_FDCWD</>, \"/w/a/{hash}.new\", O_RDONLY) = 3\n\
         11    flock(3</w/a/db>, LOCK_EX) = 0\n\
         11    flock(3</w/a/db>, LOCK_UN) = 0\n\
         11    recvfrom(9<socket:[77]>, \"x\", 1, 0, NULL, NULL) = 1\n"
    );
    let faults = faults(&trace, Path::new("/w"));
    let kills = faults.iter().filter(|fault| fault.what == What::Kill);
    let said: Vec<String> = kills.map(ToString::to_string).collect();
    let passing = "a socket or a passing file";
    assert_eq!(
        said,
        [
            "flock:signal=KILL:when=1 at a/db".to_owned(),
            "flock:signal=KILL:when=2 at a/db".to_owned(),
            format!("openat:signal=KILL:when=3 at {passing}"),
            "openat:signal=KILL:when=1 at a/db".to_owned(),
            format!("recvfrom:signal=KILL:when=1 at {passing}"),
        ]
    );
    assert!(faults.iter().any(|it| it.what == What::Error("EMFILE")));
}
