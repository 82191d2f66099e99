//! The invented county: its moments, its keys, its ids, and how its stores begin.

use std::sync::LazyLock;

use sponson_log::ids::{CountyId, LogId, SubjectId};
use sponson_log::sign::DeviceKey;
use sponson_replica::{Founding, Now};

/// 2027-03-01T08:00:00Z.
pub const START: i64 = 1_803_888_000_000;
/// Milliseconds of a minute.
pub const MINUTE: i64 = 60_000;
/// Milliseconds of a day.
pub const DAY: i64 = 24 * 60 * MINUTE;

/// Model of its craft, one of the built-in sheets.
pub const MODEL: &str = "inflatable-14";

/// Station North Ford.
pub const NORTH: SubjectId = SubjectId::from_bytes([0x11; 16]);
/// Station South Lock.
pub const SOUTH: SubjectId = SubjectId::from_bytes([0x22; 16]);
/// A craft.
pub const CRAFT: SubjectId = SubjectId::from_bytes([0xc1; 16]);
/// A motor.
pub const MOTOR: SubjectId = SubjectId::from_bytes([0xe1; 16]);

/// A key by its number. 1 to 4 and 9 have names.
#[must_use]
pub fn key(number: u8) -> DeviceKey {
    DeviceKey::from_seed([number; 32])
}

/// The county's root key, made once: to make a key takes as long as to sign.
#[must_use]
pub fn root() -> DeviceKey {
    static ROOT: LazyLock<DeviceKey> = LazyLock::new(|| key(1));
    ROOT.clone()
}

/// The county's working key.
#[must_use]
pub fn working() -> DeviceKey {
    key(2)
}

/// The key of station North Ford.
#[must_use]
pub fn north() -> DeviceKey {
    key(3)
}

/// The key of station South Lock.
#[must_use]
pub fn south() -> DeviceKey {
    key(4)
}

/// A key that nobody admitted.
#[must_use]
pub fn stranger() -> DeviceKey {
    key(9)
}

/// The county.
#[must_use]
pub fn county_id() -> CountyId {
    static COUNTY: LazyLock<CountyId> = LazyLock::new(|| CountyId::of_root(&root().key()));
    *COUNTY
}

/// The county as what an event is about.
#[must_use]
pub fn county_subject() -> SubjectId {
    SubjectId::from_bytes(*county_id().as_bytes())
}

/// How the county's store begins.
#[must_use]
pub fn founding() -> Founding {
    Founding::County {
        county: county_id(),
        root: root().key(),
        log: LogId::from_bytes([0xaa; 16]),
    }
}

/// How a station's store begins.
#[must_use]
pub fn joining() -> Founding {
    Founding::Station {
        county: county_id(),
    }
}

/// What a device's clock says that is right, six hours west of Greenwich.
#[must_use]
pub const fn now(unix_ms: i64) -> Now {
    Now {
        unix_ms,
        utc_offset_min: -360,
        boot_id: [7; 16],
        monotonic_ms: 1_000,
    }
}
