//! How much a process and a folder take: memory, threads, open files, bytes on the disk.

use std::path::Path;

/// What a process takes, by what the system says of it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Taken {
    /// Resident memory now, bytes.
    pub rss: u64,
    /// Resident memory at most so far, bytes.
    pub most: u64,
    /// Threads.
    pub threads: u64,
    /// Open files and sockets.
    pub open: u64,
}

/// What a process takes; none when it is no more, or the system does not say.
#[must_use]
pub fn of_process(id: u32) -> Option<Taken> {
    let status = std::fs::read_to_string(format!("/proc/{id}/status")).ok()?;
    let number = |name: &str| -> Option<u64> {
        let line = status.lines().find_map(|line| line.strip_prefix(name))?;
        line.trim_start_matches(':')
            .split_whitespace()
            .next()?
            .parse()
            .ok()
    };
    let open = std::fs::read_dir(format!("/proc/{id}/fd")).ok()?.count();
    Some(Taken {
        rss: number("VmRSS")? * 1024,
        most: number("VmHWM")? * 1024,
        threads: number("Threads")?,
        open: open as u64,
    })
}

/// What this process takes.
///
/// # Panics
/// Where the system does not say.
#[must_use]
pub fn own() -> Taken {
    of_process(std::process::id()).expect("the system says it")
}

/// Bytes of all files under a folder, as long as they are.
#[must_use]
pub fn of_folder(folder: &Path) -> u64 {
    let Ok(entries) = std::fs::read_dir(folder) else {
        return 0;
    };
    let bytes = entries.flatten().map(|entry| match entry.metadata() {
        Ok(metadata) if metadata.is_dir() => of_folder(&entry.path()),
        Ok(metadata) => metadata.len(),
        // A snapshot may go while it is looked at.
        Err(_) => 0,
    });
    bytes.sum()
}
