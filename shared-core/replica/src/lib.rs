//! What is kept and asked: one replica of the log on one device, county or station.
//!
//! Blocking, no async, no network. The only crate that names sled. Keeps events durably before it
//! acknowledges them, derives everything else (chains, registry, county log tree, records) and
//! answers questions from it. `now` and randomness are arguments.

mod errors;
mod index;
mod parse;
mod pictures;
mod records;
mod replica;
mod salvage;
mod store;
mod values;

pub use errors::{
    AppendError, CarryInError, CompactError, OpenError, REMEDY, RowError, StoreError,
};
pub use parse::ParseError;
pub use pictures::{PICTURE_FILE_BYTES_MAX, Picture, PictureFileError, SALT_BYTES};
pub use replica::Replica;
pub use replica::append::{TEXT_BYTES_MAX, TEXTS_MAX};
pub use replica::carry::CarryScope;
pub use replica::clock::ClockWorth;
pub use replica::craft_record::{CraftLine, CraftLines, RecordOf, Via};
pub use replica::history::CountyPast;
pub use replica::known::{Answered, Inputs, Knowing, Known, KnownError};
pub use replica::pictures::{
    NewPicture, PICTURES_MAX, Part, PictureBeside, PictureError, PicturePlace, PicturesAbout,
    PicturesPlan,
};
pub use replica::prove::ProveError;
pub use replica::trying::{TRIED_MAX, Tried, WalkOf};
pub use replica::upkeep::{DiskCopy, Scrubbed};
pub use salvage::{Filled, OwnTail, Refill, SalvageError, Salvaged, StoreOf, TailDoubt, Whose};
pub use store::compact::Compacted;
pub use store::simulated::{SimulatedDisk, Undurable};
pub use values::{
    About, Appended, Begun, Catalogue, CatalogueEntry, CatalogueHold, CatalogueStandard, ChainView,
    ClockOffset, Device, DismissFrom, Founding, GivenBack, Held, Kept, LogLine, NewEvent, Now,
    OpenFault, Page, RefusedEvent, Removed, StationClock, SyncRefused, Untrusted, Upkeep, Verified,
};
