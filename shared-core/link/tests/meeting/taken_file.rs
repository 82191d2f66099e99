//! A file that is named is read no further than it may be long.

use std::path::Path;

use sponson_link::taken_file::{TakenFileError, bytes, headed, text};

#[test]
fn a_file_has_so_many_bytes_and_a_device_no_more() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("list.csv");
    for (length, fits) in [(0, true), (10, true), (11, false), (5_000, false)] {
        std::fs::write(&file, "x".repeat(length)).expect("writes");
        assert_eq!(text(&file, 10).is_ok(), fits, "{length}");
    }
    let told = text(&file, 10).expect_err("too long").to_string();
    assert!(told.contains("5000 bytes"), "{told}");
    // Tells no length, and never ends.
    let endless = bytes(Path::new("/dev/zero"), 1_000).expect_err("never ends");
    assert!(
        matches!(endless, TakenFileError::TooLong(1_001)),
        "{endless}"
    );
    // Of another sort: nothing but what shows it is read.
    let other = headed(Path::new("/dev/zero"), b"head", 1_000).expect("read");
    assert_eq!(other, [0; 4]);
    std::fs::write(&file, "head, and more").expect("writes");
    assert_eq!(headed(&file, b"head", 14).expect("fits"), b"head, and more");
    assert!(headed(&file, b"head", 13).is_err());
    std::fs::write(&file, b"caf\xe9").expect("writes");
    assert!(matches!(
        text(&file, 10),
        Err(TakenFileError::Unreadable(_))
    ));
}
