//! What lies within the sheet of lines and rings that may go far beyond it: segments by Liang and
//! Barsky, rings by Sutherland and Hodgman.

use super::Point;

/// A side of the sheet: what is measured along, where the side is, and which way is in.
type Side = (fn(Point) -> f64, f64, f64);

/// The sheet, from the corner (0, 0).
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Sheet {
    pub(super) width: f64,
    pub(super) height: f64,
}

impl Sheet {
    /// Whether a place lies on it.
    pub(super) fn holds(self, point: Point) -> bool {
        (0.0..=self.width).contains(&point.x) && (0.0..=self.height).contains(&point.y)
    }

    /// The pieces of a line that lie on it.
    pub(super) fn line(self, points: &[Point]) -> Vec<Vec<Point>> {
        let mut pieces: Vec<Vec<Point>> = Vec::new();
        for pair in points.windows(2) {
            let Some((from, to)) = self.segment(pair[0], pair[1]) else {
                continue;
            };
            match pieces.last_mut() {
                Some(piece) if piece.last() == Some(&from) => piece.push(to),
                Some(_) | None => pieces.push(vec![from, to]),
            }
        }
        pieces
    }

    fn segment(self, from: Point, to: Point) -> Option<(Point, Point)> {
        let (dx, dy) = (to.x - from.x, to.y - from.y);
        let edges = [
            (-dx, from.x),
            (dx, self.width - from.x),
            (-dy, from.y),
            (dy, self.height - from.y),
        ];
        let (mut enters, mut leaves) = (0.0_f64, 1.0_f64);
        for (towards, room) in edges {
            if towards == 0.0 && room < 0.0 {
                return None;
            } else if towards < 0.0 {
                enters = enters.max(room / towards);
            } else if towards > 0.0 {
                leaves = leaves.min(room / towards);
            }
        }
        let at = |share: f64| self.onto(Point::new(from.x + share * dx, from.y + share * dy));
        let start = if enters > 0.0 { at(enters) } else { from };
        let end = if leaves < 1.0 { at(leaves) } else { to };
        (enters <= leaves).then_some((start, end))
    }

    /// The part of a ring that lies on it, without the first point again; empty when none.
    pub(super) fn ring(self, points: &[Point]) -> Vec<Point> {
        let sides: [Side; 4] = [
            (|point| point.x, 0.0, 1.0),
            (|point| point.x, self.width, -1.0),
            (|point| point.y, 0.0, 1.0),
            (|point| point.y, self.height, -1.0),
        ];
        let open = match points {
            [first, between @ .., last] if first == last && !between.is_empty() => {
                &points[..points.len() - 1]
            }
            other => other,
        };
        let cut = sides
            .iter()
            .fold(open.to_vec(), |ring, (along, edge, sign)| {
                cut_by(&ring, |point| (along(point) - edge) * sign)
            });
        cut.into_iter().map(|point| self.onto(point)).collect()
    }

    /// Rounding can leave a cut a hair beyond the edge.
    fn onto(self, point: Point) -> Point {
        Point::new(
            point.x.clamp(0.0, self.width),
            point.y.clamp(0.0, self.height),
        )
    }
}

/// The part of a ring where `inside` is not negative.
fn cut_by(ring: &[Point], inside: impl Fn(Point) -> f64) -> Vec<Point> {
    let mut out = Vec::with_capacity(ring.len());
    let Some(mut before) = ring.last().copied() else {
        return out;
    };
    for &point in ring {
        let (was, is) = (inside(before), inside(point));
        if (was < 0.0) != (is < 0.0) {
            let share = was / (was - is);
            let x = before.x + share * (point.x - before.x);
            let y = before.y + share * (point.y - before.y);
            out.push(Point::new(x, y));
        }
        if is >= 0.0 {
            out.push(point);
        }
        before = point;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const SHEET: Sheet = Sheet {
        width: 100.0,
        height: 50.0,
    };

    fn points(given: &[(f64, f64)]) -> Vec<Point> {
        given.iter().map(|(x, y)| Point::new(*x, *y)).collect()
    }

    #[test]
    fn a_line_through_the_sheet_keeps_what_is_on_it() {
        for (given, pieces) in [
            (
                vec![(-50.0, 25.0), (150.0, 25.0)],
                vec![vec![(0.0, 25.0), (100.0, 25.0)]],
            ),
            (vec![(-10.0, -10.0), (-10.0, 90.0)], vec![]),
            (
                vec![(10.0, 10.0), (10.0, 90.0), (20.0, 90.0), (20.0, 10.0)],
                vec![
                    vec![(10.0, 10.0), (10.0, 50.0)],
                    vec![(20.0, 50.0), (20.0, 10.0)],
                ],
            ),
        ] {
            let pieces: Vec<_> = pieces.iter().map(|piece| points(piece)).collect();
            assert_eq!(SHEET.line(&points(&given)), pieces);
        }
    }

    #[test]
    fn a_ring_round_the_sheet_is_the_sheet() {
        let round = [
            (-9.0, -9.0),
            (109.0, -9.0),
            (109.0, 59.0),
            (-9.0, 59.0),
            (-9.0, -9.0),
        ];
        let cut = SHEET.ring(&points(&round));
        let (mut xs, mut ys) = (0.0, 0.0);
        for point in &cut {
            xs += point.x;
            ys += point.y;
        }
        assert_eq!((cut.len(), xs, ys), (4, 200.0, 100.0));
        let beside = [(-9.0, 0.0), (-1.0, 0.0), (-1.0, 9.0), (-9.0, 0.0)];
        assert!(SHEET.ring(&points(&beside)).is_empty());
    }

    proptest! {
        #[test]
        fn nothing_is_left_outside(
            given in prop::collection::vec((-1e7..1e7, -1e7..1e7), 0..30),
        ) {
            let given = points(&given);
            for point in SHEET.line(&given).concat().into_iter().chain(SHEET.ring(&given)) {
                prop_assert!(SHEET.holds(point), "{point:?}");
            }
        }
    }
}
