//! An address as a QR code (ISO/IEC 18004), for a sheet of paper, a label, or a phone held before a
//! screen.
//!
//! Always black on white, whatever the page is: a code the other way round is read by few cameras.

use std::fmt::Write as _;

use fast_qr::{ECL, QRBuilder, QRCode};
use maud::{Markup, html};

/// White round the code, modules: ISO/IEC 18004 asks for 4.
const QUIET: usize = 4;

/// The code as a drawing whose name for whoever cannot see it is `said`; none when the text is longer
/// than a code of its level holds: 2,331 bytes at level M, of which 15 % may be dirt.
#[must_use]
pub fn qr(text: &str, said: &str) -> Option<Markup> {
    let code = QRBuilder::new(text).ecl(ECL::M).build().ok()?;
    let side = code.size + 2 * QUIET;
    Some(html! {
        svg class="qr" viewBox={ "0 0 " (side) " " (side) } role="img" aria-label=(said)
            shape-rendering="crispEdges" {
            rect width=(side) height=(side) fill="#fff" {}
            path fill="#000" d=(dark(&code)) {}
        }
    })
}

/// The code as blocks of a terminal; none when the text is longer than a code holds.
#[must_use]
pub fn qr_in_blocks(text: &str) -> Option<String> {
    let code = QRBuilder::new(text).ecl(ECL::L).build().ok()?;
    Some(code.to_str())
}

/// Data of a path round the dark modules, one run of a row after another.
fn dark(code: &QRCode) -> String {
    let mut data = String::new();
    for y in 0..code.size {
        let row = &code[y];
        let mut x = 0;
        while x < code.size {
            let run = (x..code.size).take_while(|x| row[*x].value()).count();
            if run > 0 {
                // Writing to a String cannot fail.
                let _ = write!(data, "M{} {}h{run}v1h-{run}z", x + QUIET, y + QUIET);
            }
            x += run + 1;
        }
    }
    data
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;

    /// Pixels a module takes in the picture that is read.
    const SCALE: usize = 4;

    /// What a decoder that shares nothing with the encoder reads from a drawing: the text of its first
    /// code.
    pub(crate) fn read(svg: &str) -> Option<String> {
        let document = roxmltree::Document::parse(svg).ok()?;
        let root = document.root_element();
        let side: usize = root.attribute("viewBox")?.split(' ').nth(2)?.parse().ok()?;
        let path = root
            .children()
            .find(|node| node.has_tag_name("path"))?
            .attribute("d")?;
        let mut is_dark = vec![false; side * side];
        for run in path.split('M').filter(|run| !run.is_empty()) {
            let (x, rest) = run.split_once(' ')?;
            let (y, rest) = rest.split_once('h')?;
            let (long, _) = rest.split_once('v')?;
            let (x, y, long): (usize, usize, usize) =
                (x.parse().ok()?, y.parse().ok()?, long.parse().ok()?);
            is_dark[y * side + x..][..long].fill(true);
        }
        let shade = |x: usize, y: usize| {
            let dark = is_dark[y / SCALE * side + x / SCALE];
            if dark { 0 } else { 255 }
        };
        let mut picture =
            rqrr::PreparedImage::prepare_from_greyscale(side * SCALE, side * SCALE, shade);
        let grid = picture.detect_grids().into_iter().next()?;
        Some(grid.decode().ok()?.1)
    }

    #[test]
    fn another_decoder_reads_what_was_written() {
        for text in [
            "http://127.0.0.1:7343/c/Boat%203",
            "https://mill-race.example.org:7343/c/RB%2D4",
            &format!("https://h:7343/paper/{}", "0123456789abcdef".repeat(2)),
            "ünï",
        ] {
            let svg = qr(text, "opens the check").expect("short").into_string();
            assert_eq!(read(&svg).as_deref(), Some(text));
        }
    }

    #[test]
    fn what_no_code_holds_gives_none() {
        assert!(qr(&"x".repeat(2_331), "").is_some());
        assert!(qr(&"x".repeat(2_332), "").is_none());
    }
}
