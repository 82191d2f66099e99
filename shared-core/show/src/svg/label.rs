//! Where marks and names find room: the same places each time, none over another.

use unicode_width::UnicodeWidthStr as _;

use super::Point;
use super::clip::Sheet;

/// Width of a character for its height: more than a plain typeface takes for words.
const CHARACTER: f64 = 0.6;

/// A box, by its corner above and to the left.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Box {
    pub(super) x: f64,
    pub(super) y: f64,
    pub(super) width: f64,
    pub(super) height: f64,
}

impl Box {
    /// About a middle.
    pub(super) const fn about(middle: Point, width: f64, height: f64) -> Self {
        Self {
            x: middle.x - width / 2.0,
            y: middle.y - height / 2.0,
            width,
            height,
        }
    }

    pub(super) const fn middle(self) -> Point {
        Point::new(self.x + self.width / 2.0, self.y + self.height / 2.0)
    }

    pub(super) fn meets(self, other: Self) -> bool {
        self.x < other.x + other.width
            && other.x < self.x + self.width
            && self.y < other.y + other.height
            && other.y < self.y + self.height
    }

    fn is_on(self, sheet: Sheet) -> bool {
        let end = Point::new(self.x + self.width, self.y + self.height);
        sheet.holds(Point::new(self.x, self.y)) && sheet.holds(end)
    }
}

/// Width that a text of a height may take.
pub(super) fn width_of(text: &str, height: f64) -> f64 {
    // No text of a map is so long that its width has no exact f64.
    f64::from(u32::try_from(text.width()).unwrap_or(u32::MAX)) * height * CHARACTER
}

/// What room is taken.
#[derive(Debug)]
pub(super) struct Room {
    sheet: Sheet,
    taken: Vec<Box>,
}

/// Ways from a mark in which its name may stand, the usual first.
const WAYS: [(f64, f64); 8] = [
    (1.0, 0.0),
    (-1.0, 0.0),
    (0.0, 1.0),
    (0.0, -1.0),
    (1.0, 1.0),
    (-1.0, 1.0),
    (1.0, -1.0),
    (-1.0, -1.0),
];

/// How many times further off a name may stand.
const RINGS: u32 = 4;

impl Room {
    pub(super) const fn on(sheet: Sheet) -> Self {
        Self {
            sheet,
            taken: Vec::new(),
        }
    }

    /// Takes a box, whatever is there.
    pub(super) fn take(&mut self, one: Box) {
        self.taken.push(one);
    }

    /// Takes room for a box as near to `mark` as there is: on it where nothing is, else beside it.
    pub(super) fn on_or_beside(&mut self, mark: Box) -> Option<Box> {
        if self.is_free(mark) {
            self.take(mark);
            return Some(mark);
        }
        self.beside(mark, (mark.width, mark.height))
    }

    /// Takes room for a box beside a mark; none where there is no room near.
    pub(super) fn beside(&mut self, mark: Box, (width, height): (f64, f64)) -> Option<Box> {
        let rings = (0..RINGS).flat_map(|ring| WAYS.map(|way| (ring, way)));
        let boxes = rings.map(|(ring, (right, down))| {
            let gap = 3.0 + 8.0 * f64::from(ring);
            let x = right * ((mark.width + width) / 2.0 + gap);
            let y = down * ((mark.height + height) / 2.0 + gap);
            let middle = mark.middle();
            Box::about(Point::new(middle.x + x, middle.y + y), width, height)
        });
        let free = boxes.into_iter().find(|one| self.is_free(*one))?;
        self.take(free);
        Some(free)
    }

    fn is_free(&self, one: Box) -> bool {
        one.is_on(self.sheet) && !self.taken.iter().any(|taken| taken.meets(one))
    }
}
