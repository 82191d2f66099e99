//! Lines with fewer points, nowhere further from what was given than a tolerance (Douglas and
//! Peucker, 1973).

use super::Point;

/// The points that are kept: the first, the last, and whatever stands out by more than the tolerance.
pub(super) fn simplified(points: &[Point], tolerance: f64) -> Vec<Point> {
    let Some(last) = points.len().checked_sub(1) else {
        return Vec::new();
    };
    let mut kept = vec![false; points.len()];
    kept[0] = true;
    kept[last] = true;
    // A list of stretches, not a call of itself: a file can be one line of 100,000 points.
    let mut stretches = vec![(0, last)];
    while let Some((from, to)) = stretches.pop() {
        let Some(out) = furthest(points, (from, to), tolerance) else {
            continue;
        };
        kept[out] = true;
        stretches.push((from, out));
        stretches.push((out, to));
    }
    let all = points.iter().zip(kept);
    all.filter_map(|(point, kept)| kept.then_some(*point))
        .collect()
}

fn furthest(points: &[Point], (from, to): (usize, usize), tolerance: f64) -> Option<usize> {
    let (start, end) = (points[from], points[to]);
    let between = from + 1..to;
    let far = between.map(|index| (index, distance(points[index], start, end)));
    let (index, far) = far.reduce(|best, one| if one.1 > best.1 { one } else { best })?;
    (far > tolerance).then_some(index)
}

/// Distance of a point from a stretch.
pub(super) fn distance(point: Point, start: Point, end: Point) -> f64 {
    let (along_x, along_y) = (end.x - start.x, end.y - start.y);
    let length_2 = along_x * along_x + along_y * along_y;
    let (dx, dy) = (point.x - start.x, point.y - start.y);
    let share = if length_2 > 0.0 {
        ((dx * along_x + dy * along_y) / length_2).clamp(0.0, 1.0)
    } else {
        0.0
    };
    let (dx, dy) = (dx - share * along_x, dy - share * along_y);
    (dx * dx + dy * dy).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn what_stands_out_stays() {
        let line = [
            (0.0, 0.0),
            (5.0, 0.1),
            (10.0, 4.0),
            (15.0, 0.1),
            (20.0, 0.0),
        ];
        let line = line.map(|(x, y)| Point::new(x, y));
        assert_eq!(simplified(&line, 5.0), [line[0], line[4]]);
        assert_eq!(simplified(&line, 2.0), [line[0], line[2], line[4]]);
        assert_eq!(simplified(&line, 0.0), line);
        assert_eq!(simplified(&[], 1.0), []);
        assert_eq!(simplified(&line[..1], 1.0), line[..1]);
    }

    proptest! {
        #[test]
        fn nothing_moves_further_than_the_tolerance(
            given in prop::collection::vec((0.0..400.0, 0.0..400.0), 2..60),
            tolerance in 0.0..50.0,
        ) {
            let given: Vec<Point> = given.into_iter().map(|(x, y)| Point::new(x, y)).collect();
            let kept = simplified(&given, tolerance);
            prop_assert_eq!(kept.first(), given.first());
            prop_assert_eq!(kept.last(), given.last());
            for point in &given {
                let near = kept.windows(2).map(|pair| distance(*point, pair[0], pair[1]));
                prop_assert!(near.fold(f64::MAX, f64::min) <= tolerance + 1e-9);
            }
        }
    }
}
