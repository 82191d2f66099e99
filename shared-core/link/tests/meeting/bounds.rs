//! Every limit on what a program may ask of the local service: just under passes, just over is
//! refused, in words that say what is allowed. A chapter each for questions, the county's own programs,
//! checks under way, and files.

mod county;
mod files;
mod questions;
mod under_way;

use tonic::Status;

/// Of one limit: whether each value was refused at the door, with its words.
pub(crate) fn held<T>(under: Result<T, Status>, over: Result<T, Status>, said: &str) {
    // It may be refused for something else: only what is over this limit is refused with its words.
    if let Err(status) = &under {
        let told = status.message();
        assert!(!told.contains(said), "just under '{said}': {told}");
    }
    match over {
        Ok(_) => panic!("just over '{said}' was taken"),
        Err(status) => assert!(status.message().contains(said), "'{said}': {status}"),
    }
}

pub(crate) fn long(length: usize) -> String {
    "x".repeat(length)
}
