//! Every decoder of the project as a function of bytes, each with the properties that it keeps
//! whatever the bytes are: what is fuzzed on nightly, and replayed over the kept files on stable.
//!
//! A target panics when a property does not hold. None touches the network; those that need a file
//! make one in the system's folder for passing files.

mod county;
mod files;
#[cfg(feature = "programs")]
mod forms;
#[cfg(feature = "programs")]
mod given;
mod judged;
#[cfg(feature = "programs")]
mod lists;
mod logged;
#[cfg(feature = "programs")]
mod pasted;
#[cfg(feature = "programs")]
mod pictures;
mod said;
mod seeds;
mod sheets;
mod stored;
mod synced;
mod typed;
#[cfg(feature = "programs")]
mod under_way;

pub use files::{carry_file, proof_file};
#[cfg(feature = "programs")]
pub use forms::{check_file, page_form, reckoned, settings_file};
#[cfg(feature = "programs")]
pub use given::{backup_file, craft_record, signed_answer};
pub use judged::{judged_by_sheet, kept_events};
#[cfg(feature = "programs")]
pub use lists::{bring_in_list, launch_places, map_file};
pub use logged::{checkpoint, event, tree_proofs};
#[cfg(feature = "programs")]
pub use pasted::{admission_code, weather_report};
#[cfg(feature = "programs")]
pub use pictures::picture;
pub use sheets::{boat_standard, policy};
pub use stored::store_rows;
pub use synced::{sync_reply, sync_request};
pub use typed::{dates, quantities};
#[cfg(feature = "programs")]
pub use under_way::check_under_way;

/// A decoder: its name, the function, and bytes to begin with.
#[derive(Clone, Copy, Debug)]
pub struct Target {
    /// Name of the fuzz target, and of its folders of files.
    pub name: &'static str,
    /// Decodes; panics when a property does not hold.
    pub decode: fn(&[u8]),
    /// Files that a fuzzer begins with.
    pub seeds: fn() -> Vec<Vec<u8>>,
}

macro_rules! target {
    ($seeds:path, $name:ident) => {{
        use $seeds as seeds;
        Target {
            name: stringify!($name),
            decode: $name,
            seeds: seeds::$name,
        }
    }};
}

/// What the cores decode.
pub const OF_THE_CORES: &[Target] = &[
    target!(crate::seeds, boat_standard),
    target!(crate::seeds, carry_file),
    target!(crate::seeds, checkpoint),
    target!(crate::seeds, dates),
    target!(crate::seeds, event),
    target!(crate::seeds, judged_by_sheet),
    target!(crate::seeds, kept_events),
    target!(crate::seeds, policy),
    target!(crate::seeds, proof_file),
    target!(crate::seeds, quantities),
    target!(crate::seeds, store_rows),
    target!(crate::seeds, sync_reply),
    target!(crate::seeds, sync_request),
    target!(crate::seeds, tree_proofs),
];

/// What the programs and the wire decode.
#[cfg(feature = "programs")]
pub const OF_THE_PROGRAMS: &[Target] = &[
    target!(crate::seeds::programs, admission_code),
    target!(crate::seeds::programs, backup_file),
    target!(crate::seeds::programs, bring_in_list),
    target!(crate::seeds::programs, check_file),
    target!(crate::seeds::programs, check_under_way),
    target!(crate::seeds::programs, craft_record),
    target!(crate::seeds::programs, launch_places),
    target!(crate::seeds::programs, map_file),
    target!(crate::seeds::programs, page_form),
    target!(crate::seeds::programs, picture),
    target!(crate::seeds::programs, reckoned),
    target!(crate::seeds::programs, settings_file),
    target!(crate::seeds::programs, signed_answer),
    target!(crate::seeds::programs, weather_report),
];
