//! How many events were acknowledged, in a file of its own beside the engine's.
//!
//! The engine takes a damaged piece of its log for the end of it: opened again, it silently holds
//! less. With this mark that is an error instead of a chain that is written a second time from an
//! earlier place. The mark is written after the events are durable and is not synced itself: it
//! may lag behind after a power cut, and never says more than was kept.

use std::fs::{File, OpenOptions};
use std::io::{Read as _, Seek as _, Write as _};
use std::path::Path;

/// Eight bytes of count and four of check sum.
const BYTES: usize = 12;

/// The mark of an open store.
#[derive(Debug)]
pub(crate) struct Mark {
    file: File,
    events: Option<u64>,
}

impl Mark {
    /// Opens or makes the mark of a folder.
    pub(crate) fn open(folder: &Path) -> std::io::Result<Self> {
        let mut file = OpenOptions::new()
            .create(true)
            .truncate(false)
            .read(true)
            .write(true)
            .open(folder.join("kept"))?;
        let mut bytes = Vec::new();
        file.read_to_end(&mut bytes)?;
        Ok(Self {
            events: read(&bytes),
            file,
        })
    }

    /// Events that were acknowledged, as far as the mark says.
    pub(crate) const fn events(&self) -> Option<u64> {
        self.events
    }

    /// Notes how many events are durable.
    pub(crate) fn note(&mut self, events: u64) -> std::io::Result<()> {
        let count = events.to_be_bytes();
        let mut bytes = count.to_vec();
        bytes.extend_from_slice(&crc32c::crc32c(&count).to_be_bytes());
        self.file.rewind()?;
        self.file.write_all(&bytes)?;
        self.events = Some(events);
        Ok(())
    }
}

/// What the mark of a folder says, without opening it for writing.
pub(crate) fn peek(folder: &Path) -> Option<u64> {
    read(&std::fs::read(folder.join("kept")).ok()?)
}

/// A mark that was torn by a power cut says nothing.
fn read(bytes: &[u8]) -> Option<u64> {
    let whole: &[u8; BYTES] = bytes.try_into().ok()?;
    let (count, sum) = whole.split_first_chunk::<8>()?;
    let right = crc32c::crc32c(count).to_be_bytes() == sum;
    right.then(|| u64::from_be_bytes(*count))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_torn_mark_says_nothing() {
        let folder = tempfile::tempdir().expect("a folder");
        let mut mark = Mark::open(folder.path()).expect("a new mark");
        assert_eq!(mark.events(), None);
        mark.note(258).expect("the file can be written");
        let again = Mark::open(folder.path()).expect("the mark opens");
        assert_eq!(again.events(), Some(258));
        let bytes = std::fs::read(folder.path().join("kept")).expect("the file can be read");
        for at in 0..bytes.len() {
            let mut torn = bytes.clone();
            torn[at] ^= 1;
            assert_eq!(read(&torn), None, "byte {at}");
            assert_eq!(read(&bytes[..at]), None, "{at} bytes");
        }
    }
}
