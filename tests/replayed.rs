//! Every file that fuzzing kept, decoded again: those that a fuzzer begins with, and those that
//! once found a bug. And the same files changed at random, which finds what lies near without a
//! fuzzer: `SPONSON_LONG=MINUTES` goes on with that.
//!
//! `SPONSON_WRITE_CORPUS=1` writes the files to begin with anew, for a target that has none.

use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};

use end_to_end::faults::{self, Outcome, Seeded, Tally, rounds, seed};
use sponson_decoders::{OF_THE_CORES, OF_THE_PROGRAMS, Target};
use sponson_log::event::event_id;

/// Files of one target, and bytes of them: what is kept is what finds something.
const FILES_MAX: usize = 130;
const BYTES_MAX: u64 = 300 * 1024;

fn all() -> Vec<Target> {
    [OF_THE_CORES, OF_THE_PROGRAMS].concat()
}

fn folder(sort: &str, target: &str) -> PathBuf {
    let fuzz = Path::new(env!("CARGO_MANIFEST_DIR")).join("fuzz");
    fuzz.join(sort).join(target)
}

/// The files of a folder in the order of their names; none when there is no folder.
fn files(folder: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder).into_iter().flatten();
    let mut files: Vec<PathBuf> = entries
        .map(|entry| entry.expect("the folder can be read").path())
        .collect();
    files.sort();
    files
}

fn write_seeds(target: &Target) {
    let folder = folder("corpus", target.name);
    fs::create_dir_all(&folder).expect("the folder can be made");
    for (number, bytes) in (target.seeds)().iter().enumerate() {
        let file = folder.join(format!("begin-{number:02}"));
        fs::write(file, bytes).expect("the file can be written");
    }
}

/// Decodes the files of a target; what went wrong, with the file.
fn replayed(target: &Target) -> Vec<String> {
    let begin = files(&folder("corpus", target.name));
    assert!(
        !begin.is_empty(),
        "{} has no file to begin with",
        target.name
    );
    let found = files(&folder("found", target.name));
    let length = |file: &PathBuf| fs::metadata(file).expect("the file is there").len();
    let bytes: u64 = begin.iter().map(length).sum();
    assert!(
        begin.len() <= FILES_MAX && bytes <= BYTES_MAX,
        "{} keeps {} files of {bytes} bytes: make them fewer with cargo fuzz cmin",
        target.name,
        begin.len()
    );
    let mut wrong = Vec::new();
    for file in begin.iter().chain(&found) {
        let bytes = fs::read(file).expect("the file can be read");
        if catch_unwind(AssertUnwindSafe(|| (target.decode)(&bytes))).is_err() {
            wrong.push(format!("{}: {}", target.name, file.display()));
        }
    }
    wrong
}

#[test]
fn every_decoder_keeps_its_properties_over_every_kept_file() {
    if std::env::var_os("SPONSON_WRITE_CORPUS").is_some() {
        let bare = |target: &&Target| files(&folder("corpus", target.name)).is_empty();
        all().iter().filter(bare).for_each(write_seeds);
    }
    let targets = all();
    let halves = targets.chunks(targets.len().div_ceil(2));
    let wrong: Vec<String> = std::thread::scope(|threads| {
        let running: Vec<_> = halves
            .map(|half| threads.spawn(|| half.iter().flat_map(replayed).collect::<Vec<_>>()))
            .collect();
        let ended = running.into_iter().map(|thread| thread.join());
        ended
            .flat_map(|wrong| wrong.expect("a target has its files"))
            .collect()
    });
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_target_can_be_fuzzed() {
    let listed = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("fuzz/Cargo.toml"));
    let listed = listed.expect("the workspace of the fuzz targets");
    for target in all() {
        let file = folder("fuzz_targets", "").join(format!("{}.rs", target.name));
        let call = format!("sponson_decoders::{}(data)", target.name);
        let text = fs::read_to_string(&file).unwrap_or_default();
        assert!(text.contains(&call), "{} calls no {call}", file.display());
        let named = format!("name = \"{}\"", target.name);
        assert!(listed.contains(&named), "fuzz/Cargo.toml lacks {named}");
    }
}

/// Files of each target that are changed in the short form.
const CHANGED_EACH: u64 = 30;

/// What numbers and texts break on.
const WORDS: [&[u8]; 16] = [
    b"\0",
    b"\xff\xff\xff\xff\xff\xff\xff\xff\xff\x01",
    b"\x80\x80\x80\x80\x80\x80\x80\x80\x80\x01",
    b"-2147483648",
    b"9223372036854775807",
    b"-9223372036854775808",
    b"1e309",
    b"NaN",
    b"\xf4\x8f\xbf\xbf",
    b"\xe2\x80\xae",
    b"\x1b[2J",
    b"\r\n\r\n",
    b"\"\"\"",
    b"0000-00-00",
    b"9999-12-31",
    b"\x0a\xff\xff\xff\x0f",
];

/// One change: a bit, a byte, bytes gone, bytes twice, bytes of another file, a word, a cut.
fn change(bytes: &mut Vec<u8>, other: &[u8], seeded: &mut Seeded) {
    let at = seeded.place(bytes.len() + 1);
    let end = (at + 1 + seeded.place(24)).min(bytes.len());
    match seeded.place(8) {
        0 | 1 if at < bytes.len() => bytes[at] ^= 1 << seeded.place(8),
        2 if at < bytes.len() => bytes[at] = u8::try_from(seeded.place(256)).unwrap_or(0),
        3 => drop(bytes.drain(at..end.max(at))),
        4 => {
            let twice = bytes[at..end.max(at)].to_vec();
            drop(bytes.splice(at..at, twice));
        }
        5 if !other.is_empty() => {
            let from = seeded.place(other.len());
            let to = (from + 1 + seeded.place(200)).min(other.len());
            drop(bytes.splice(at..end.max(at), other[from..to].iter().copied()));
        }
        6 if seeded.place(4) == 0 => bytes.truncate(at),
        _ => drop(bytes.splice(
            at..end.max(at),
            WORDS[seeded.place(WORDS.len())].iter().copied(),
        )),
    }
}

/// A file of a target, changed in a few places.
fn changed(target: &Target, seeded: &mut Seeded) -> Vec<u8> {
    let files = files(&folder("corpus", target.name));
    let mut read = || fs::read(&files[seeded.place(files.len())]).expect("the file can be read");
    let (mut bytes, other) = (read(), read());
    for _ in 0..=seeded.place(5) {
        change(&mut bytes, &other, seeded);
    }
    bytes
}

/// Keeps what broke a property where it can be looked at.
fn kept(target: &Target, bytes: &[u8]) -> PathBuf {
    let folder = faults::folder().with_file_name("found").join(target.name);
    fs::create_dir_all(&folder).expect("the target folder can be written");
    let file = folder.join(event_id(bytes).to_string());
    fs::write(&file, bytes).expect("the target folder can be written");
    file
}

#[test]
fn every_decoder_keeps_its_properties_over_changed_files() {
    let seed = seed(0x0dec_0de5);
    let mut tally = Tally::begin(
        "changed_files",
        "files, messages and rows changed at random, read by every decoder",
        seed,
    );
    let targets = all();
    let count = u64::try_from(targets.len()).expect("few");
    tally.try_each(rounds(CHANGED_EACH * count), |number, seeded| {
        let target = &targets[usize::try_from(number % count).expect("few")];
        let bytes = changed(target, seeded);
        let mut outcome = Outcome::default();
        if let Err(panic) = catch_unwind(AssertUnwindSafe(|| (target.decode)(&bytes))) {
            let said = panic.downcast_ref::<String>().cloned();
            let said = said.or_else(|| panic.downcast_ref::<&str>().map(|it| (*it).to_owned()));
            let file = kept(target, &bytes);
            let said = said.unwrap_or_default();
            outcome.wrong(format!("{}: {}: {said}", target.name, file.display()));
        }
        outcome
    });
    tally.end();
}
