//! Pictures as a camera or anybody else gives them.

use sponson_client::pictures::prepared;
use sponson_readiness::standard::{KeepPosition, Policy};

use crate::said::refused;

/// Dots of pictures that are decoded here: a fuzzer that waits for great pictures tries few.
const DOTS_MAX: u64 = 1_000_000;

/// Makes a picture ready to be kept, once without its place and once with it.
///
/// # Panics
/// When it is larger than the policy says, holds what a camera puts beside a picture, or is no
/// picture any more.
pub fn picture(data: &[u8]) {
    if dots(data) > DOTS_MAX {
        return;
    }
    let policy = Policy::parse(Policy::default_text()).expect("the built-in policy reads");
    let mut pictures = policy.pictures;
    for keep in [KeepPosition::No, KeepPosition::Yes] {
        pictures.keep_position = keep;
        match prepared(data, &pictures) {
            Ok(made) => {
                let most = usize::try_from(pictures.bytes_each).unwrap_or(usize::MAX);
                assert!(made.len() <= most);
                let beside = made.windows(6).any(|six| six == b"Exif\0\0");
                assert!(
                    !beside || keep == KeepPosition::Yes,
                    "something is beside it"
                );
                let again = prepared(&made, &pictures);
                assert!(again.is_ok(), "what was made is no picture: {again:?}");
            }
            Err(error) => refused(&error.to_string()),
        }
    }
}

/// Dots of the greatest frame that a file announces (JPEG, ITU-T T.81, B.2.2).
fn dots(data: &[u8]) -> u64 {
    let frames = data.windows(9).filter(|nine| {
        nine[0] == 0xff
            && (0xc0..=0xcf).contains(&nine[1])
            && !matches!(nine[1], 0xc4 | 0xc8 | 0xcc)
    });
    let sizes = frames.map(|nine| {
        let side = |high: usize| u64::from(u16::from_be_bytes([nine[high], nine[high + 1]]));
        side(5) * side(7)
    });
    sizes.max().unwrap_or(0)
}
