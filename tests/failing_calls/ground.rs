//! The county, its stations and their files that every operation begins from, made once by the
//! commands, and copied for each fault.

use std::path::{Path, PathBuf};

use end_to_end::county::{World, admitted, fault, text};
use end_to_end::faults::{Outcome, copy_folder};
use end_to_end::process::Device;

/// What every operation begins from.
#[derive(Debug)]
pub(crate) struct Ground {
    world: World,
}

/// A copy of it.
#[derive(Debug)]
pub(crate) struct Place {
    folder: tempfile::TempDir,
}

const CHECK: &str = "craft = \"11\"\nmember = \"M-1\"\nextent = \"part\"\nair = \"15 C\"\n\
                     stood = \"3 h\"\n[readings.tube-1]\nfound = \"3.4 psi\"\n";

impl Ground {
    /// A county, and two stations that have synced. At one of them a fault with its picture waits;
    /// at the other three faults do, which are in a carry file. A code was given, and there is a
    /// backup.
    pub(crate) fn new() -> Self {
        let world = World::founded();
        let county = world.county();
        let (up, address) = county.serve_county();
        let millrace = world.joined("Millrace", address);
        let weir = world.joined("Weir", address);
        for station in [&millrace, &weir] {
            station.fine(&["sync"]);
        }
        let code = admitted(&county, "Millrace");
        assert_eq!(up.terminate().code(), Some(0));
        for part in ["tube-1", "tube-2", "tube-3"] {
            let _named = fault(&weir, "21", part, "leak");
        }
        weir.fine(&["carry", "out", text(&world.path("stick.carry"))]);
        let named = fault(&millrace, "12", "tube-2", "leak");
        let photo = world.path("photo.jpg");
        std::fs::write(&photo, smallest_jpeg()).expect("writes");
        millrace.fine(&["picture", &named, text(&photo)]);
        for (name, content) in [
            ("code", code.as_str()),
            ("fault", &named),
            ("check.toml", CHECK),
        ] {
            let _path = world.file(name, content);
        }
        county.fine(&["backup", text(&world.path("county.backup"))]);
        Self { world }
    }

    pub(crate) fn copy(&self) -> Place {
        let folder = tempfile::tempdir().expect("a folder");
        copy_folder(&self.world.path(""), folder.path());
        Place { folder }
    }
}

impl Place {
    pub(crate) fn path(&self) -> &Path {
        self.folder.path()
    }

    pub(crate) fn file(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// A device by the name of its folder.
    pub(crate) fn device(&self, name: &str) -> Device {
        let folder = self.file(name);
        if name.contains("county") {
            Device::county(&folder)
        } else {
            Device::station(&folder)
        }
    }

    /// Whether a file that was asked for is there. One that is there and is not whole is wrong.
    pub(crate) fn is_whole(&self, name: &str, outcome: &mut Outcome) -> bool {
        let Ok(bytes) = std::fs::read(self.file(name)) else {
            return false;
        };
        let read = if name.contains("backup") {
            let read = sponson_server::backup::Backup::read(&bytes);
            read.map(drop).map_err(|error| error.to_string())
        } else {
            let read = sponson_log::carry::read(&bytes);
            read.map(drop).map_err(|error| error.to_string())
        };
        if let Err(error) = read {
            outcome.wrong(format!("{name} is there by half: {error}"));
        }
        true
    }
}

/// A grey square of 8 by 8, as baseline JPEG: one code in each table (ISO/IEC 10918-1, B.2, from
/// memory).
fn smallest_jpeg() -> Vec<u8> {
    let start = [0xff, 0xd8, 0xff, 0xdb, 0, 67, 0];
    let frame = [0xff, 0xc0, 0, 11, 8, 0, 8, 0, 8, 1, 1, 0x11, 0];
    let table = |class: u8| {
        let mut table = vec![0xff, 0xc4, 0, 20, class, 1];
        table.extend([0; 16]);
        table
    };
    let scan = [0xff, 0xda, 0, 8, 1, 1, 0, 0, 63, 0, 0x3f, 0xff, 0xd9];
    [&start[..], &[1; 64], &frame, &table(0), &table(0x10), &scan].concat()
}
