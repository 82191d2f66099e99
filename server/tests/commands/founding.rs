//! A founding that is cut short anywhere is begun anew by the same command.

use std::fs;
use std::path::{Path, PathBuf};

use sponson_link::founding::{BEGUN_FILE, Begun};
use sponson_log::ids::CountyId;
use sponson_show::terminal::Exit;

use crate::world::World;

const INIT: &str = "init --name Lake --root-key";

/// Files of a folder and those below it, with their contents, in the order in which they were made.
fn files(folder: &Path, below: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder.join(below)).expect("a folder") {
        let name = below.join(entry.expect("an entry").file_name());
        let path = folder.join(&name);
        if path.is_dir() {
            found.extend(files(folder, &name));
        } else {
            found.push((name, fs::read(path).expect("reads")));
        }
    }
    let place = |(name, _): &(PathBuf, Vec<u8>)| {
        let order = ["tls.key", "tls.crt", "log.key", "store"];
        order.iter().position(|first| name.starts_with(first))
    };
    // Settings come last of all.
    found.sort_by_key(|file| (place(file).unwrap_or(usize::MAX), file.0.clone()));
    found
}

fn put(folder: &Path, name: &Path, contents: &[u8]) {
    let path = folder.join(name);
    fs::create_dir_all(path.parent().expect("a folder")).expect("made");
    fs::write(path, contents).expect("writes");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_founding_that_is_cut_anywhere_is_begun_anew() {
    let whole = World::new();
    let root = whole.path("stick.key");
    let init = format!("{INIT} {}", root.display());
    whole.check("county", &init, Exit::Fine, "founded").await;
    let old_root = fs::read(&root).expect("a root key");
    let made = files(&whole.path("county"), Path::new(""));
    assert!(made.len() >= 6, "{made:?}");

    // Cut before the root key, within it, and within or after each file.
    for step in 0..2 * made.len() + 3 {
        let world = World::new();
        let (folder, root) = (world.path("county"), world.path("stick.key"));
        let county = county_of(&old_root);
        drop(Begun::begin(&folder, county, &root).expect("begun"));
        if step > 0 {
            let written = if step == 1 { 7 } else { old_root.len() };
            fs::write(&root, &old_root[..written]).expect("writes");
        }
        let halves = step.saturating_sub(2);
        for (name, contents) in made.iter().take(halves / 2) {
            put(&folder, name, contents);
        }
        if let (1, Some((name, contents))) = (halves % 2, made.get(halves / 2)) {
            // Settings are written beside, and take their name once they are whole.
            let beside = name.with_extension("toml.new");
            let settings = name.ends_with("settings.toml");
            let name = if settings { &beside } else { name };
            put(&folder, name, &contents[..contents.len() / 2]);
        }
        let whose = format!("step {step}");
        world
            .check("county", "about", Exit::Store, "cut short")
            .await;
        let init = format!("{INIT} {}", root.display());
        world.check("county", &init, Exit::Fine, "founded").await;
        world.check("county", "about", Exit::Fine, "county").await;
        assert_ne!(fs::read(&root).expect("a root key"), old_root, "{whose}");
        assert!(!folder.join(BEGUN_FILE).exists(), "{whose}");
        let again = world.check("county", &init, Exit::Refused, "already").await;
        assert!(again.contains("county already"), "{whose}: {again}");
    }
}

fn county_of(root_file: &[u8]) -> CountyId {
    let text = String::from_utf8_lossy(root_file);
    let digits = text.lines().nth(1).expect("two lines");
    let seed = data_encoding::HEXLOWER.decode(digits.as_bytes());
    let seed: [u8; 32] = seed.expect("hex").try_into().expect("32 bytes");
    CountyId::of_root(&sponson_log::sign::DeviceKey::from_seed(seed).key())
}

#[tokio::test(flavor = "multi_thread")]
async fn another_countys_root_key_is_left_alone() {
    let world = World::new();
    let (folder, root) = (world.path("county"), world.path("stick.key"));
    let theirs = format!("sponson root key 1\n{}\n", "07".repeat(32));
    fs::write(&root, &theirs).expect("writes");
    let init = format!("{INIT} {}", root.display());
    world
        .check("county", &init, Exit::Refused, "never written over")
        .await;
    // Also after a cut just then.
    let ours = CountyId::from_bytes([9; 16]);
    drop(Begun::begin(&folder, ours, &root).expect("nothing was left"));
    world
        .check("county", &init, Exit::Refused, "never written over")
        .await;
    assert_eq!(fs::read_to_string(&root).expect("reads"), theirs);
    let elsewhere = format!("{INIT} {}", world.path("other.key").display());
    world
        .check("county", &elsewhere, Exit::Fine, "founded")
        .await;
}

#[cfg(unix)]
#[tokio::test(flavor = "multi_thread")]
async fn a_county_is_for_its_user_only() {
    use std::os::unix::fs::PermissionsExt as _;
    let world = World::new();
    world.found().await;
    world
        .check("county", "admit South", Exit::Fine, "works once")
        .await;
    let mode = |path: PathBuf| {
        let meta = fs::metadata(&path).expect("there");
        meta.permissions().mode() & 0o777
    };
    let folder = world.path("county");
    assert_eq!(mode(folder.clone()), 0o700);
    assert_eq!(mode(folder.join("store")), 0o700);
    for name in ["log.key", "tls.key", "codes.json"] {
        assert_eq!(mode(folder.join(name)), 0o600, "{name}");
    }
    assert_eq!(mode(world.path("stick.key")), 0o600);
}
