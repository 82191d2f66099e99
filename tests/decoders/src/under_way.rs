//! The file of a check under way, on a device's own disk.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

use sha2::{Digest as _, Sha256};
use sponson_link::local::under_way::{UNDER_WAY_FOLDER, UnderWay};

use crate::said::shown;

/// One folder for each process that decodes.
static FOLDER: LazyLock<PathBuf> = LazyLock::new(|| {
    let name = format!("sponson-decoders-{}", std::process::id());
    let shared = PathBuf::from("/dev/shm");
    let above = if shared.is_dir() {
        shared
    } else {
        std::env::temp_dir()
    };
    above.join(name)
});

/// The file of a check under way. Lines that lack their check digits get them.
///
/// # Panics
/// When a file that was opened is opened otherwise the second time.
pub fn check_under_way(data: &[u8]) {
    let mut file = Vec::new();
    for line in data.split_inclusive(|byte| *byte == b'\n') {
        if line.starts_with(b"{") {
            let json = line.strip_suffix(b"\n").unwrap_or(line);
            let mut digits = data_encoding::HEXLOWER.encode(&Sha256::digest(json));
            digits.truncate(8);
            file.extend(digits.into_bytes());
            file.push(b' ');
        }
        file.extend(line);
    }
    // Several threads may replay files at once.
    let thread = format!("{:?}", std::thread::current().id());
    let device = FOLDER.join(thread.replace(['(', ')'], "-"));
    let folder = device.join(UNDER_WAY_FOLDER);
    fs::create_dir_all(&folder).expect("the folder can be made");
    fs::write(folder.join("c1.check"), &file).expect("the file can be written");
    let mut before: Option<Vec<(String, Vec<u8>)>> = None;
    for _ in 0..2 {
        match UnderWay::open(&device) {
            Ok(open) => open.close(),
            Err(error) => shown(&error.to_string()),
        }
        let now = contents(&folder);
        if let Some(before) = before {
            assert_eq!(before, now, "opened twice, it is another");
        }
        before = Some(now);
    }
    fs::remove_dir_all(&device).expect("the folder can be removed");
}

fn contents(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let entries = fs::read_dir(folder).expect("the folder can be read");
    let mut files: Vec<_> = entries
        .map(|entry| {
            let path = entry.expect("the folder can be read").path();
            let bytes = fs::read(&path).expect("the file can be read");
            (path.display().to_string(), bytes)
        })
        .collect();
    files.sort();
    files
}
