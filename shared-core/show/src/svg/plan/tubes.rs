//! The chambers of the tube round a craft: which stretch of its course each takes.

use sponson_readiness::event::PlaceSide;
use sponson_readiness::standard::Part;

use super::hull::{CENTRE, Hull, TRANSOM};
use super::place::{Placed, Role};
use super::shape::Shape;
use crate::svg::Point;

/// Shares of the course that a chamber across the bow, or across the stern, takes on each side.
const BOW_SHARE: f64 = 0.26;
const STERN_SHARE: f64 = 0.16;

/// The chambers, each with its stretch.
pub(super) struct Tubes<'a> {
    hull: Hull,
    stretches: Vec<(&'a Part, Stretch)>,
}

#[derive(Clone, Copy)]
enum Stretch {
    /// On one side, between two shares of the course.
    Side(PlaceSide, f64, f64),
    /// Across the bow, from this share on both sides.
    Bow(f64),
    /// Across the stern, to this share on both sides.
    Stern(f64),
}

impl<'a> Tubes<'a> {
    /// Each side is shared evenly by its chambers, from the stern on as their words say. A chamber of no
    /// side that is neither at the bow nor at the stern has no stretch, nor a second one there.
    pub(super) fn of(known: &[(&'a Part, Option<Placed>)], hull: Hull) -> Self {
        let tubes = known
            .iter()
            .filter_map(|(part, placed)| Some((*part, (*placed)?)));
        let has_tube = hull.tube() > 0.0;
        let tubes: Vec<(&Part, Placed)> = tubes
            .filter(|(_, it)| has_tube && it.role == Role::Tube)
            .collect();
        let across = |is_there: fn(f64) -> bool| {
            let at = |it: &Placed| it.side.is_none() && it.along.is_some_and(is_there);
            let found = tubes.iter().find(|(_, it)| at(it));
            found.map(|(part, _)| *part)
        };
        let bow = across(|along| along > 0.8);
        let stern = across(|along| along < 0.2);
        let low = if stern.is_some() { STERN_SHARE } else { 0.0 };
        let high = if bow.is_some() { 1.0 - BOW_SHARE } else { 1.0 };
        let mut stretches = Vec::new();
        stretches.extend(bow.map(|part| (part, Stretch::Bow(high))));
        stretches.extend(stern.map(|part| (part, Stretch::Stern(low))));
        for side in [PlaceSide::Port, PlaceSide::Starboard] {
            let here = tubes.iter().filter(|(_, it)| it.side == Some(side));
            stretches.extend(shared(here.copied().collect(), side, (low, high)));
        }
        Self { hull, stretches }
    }

    /// The shape of a chamber; none when it has no stretch.
    pub(super) fn shape(&self, part: &Part) -> Option<Shape> {
        let (_, stretch) = self.stretches.iter().find(|(one, _)| one.id == part.id)?;
        let thick = self.hull.tube();
        let line = |side, from, to, inset| self.hull.stretch(side, (from, to), inset);
        let (port, starboard) = (PlaceSide::Port, PlaceSide::Starboard);
        let (points, anchor) = match *stretch {
            Stretch::Side(side, from, to) => (
                vec![line(side, from, to, 0.0), line(side, to, from, thick)],
                self.hull.course(side, f64::midpoint(from, to), thick / 2.0),
            ),
            Stretch::Bow(from) => (
                vec![
                    line(port, from, 1.0, 0.0),
                    line(starboard, 1.0, from, 0.0),
                    line(starboard, from, 1.0, thick),
                    line(port, 1.0, from, thick),
                ],
                self.hull.course(port, 1.0, thick / 2.0),
            ),
            Stretch::Stern(to) => (
                vec![
                    line(port, to, 0.0, 0.0),
                    line(starboard, 0.0, to, 0.0),
                    self.within_stern(starboard, to),
                    self.within_stern(port, to).into_iter().rev().collect(),
                ],
                Point::new(CENTRE, TRANSOM - thick / 2.0),
            ),
        };
        Some(Shape {
            outlines: vec![points.concat()],
            anchor,
        })
    }

    /// The inner edge of a chamber that closes the stern, from its end on a side to the middle.
    fn within_stern(&self, side: PlaceSide, to: f64) -> Vec<Point> {
        let thick = self.hull.tube();
        if !self.hull.is_open_astern() {
            return self.hull.stretch(side, (to, 0.0), thick);
        }
        let end = self.hull.course(side, to, thick);
        vec![end, Point::new(end.x, TRANSOM - thick)]
    }
}

fn shared(
    mut here: Vec<(&Part, Placed)>,
    side: PlaceSide,
    (low, high): (f64, f64),
) -> Vec<(&Part, Stretch)> {
    let along = |it: &Placed| it.along.unwrap_or(0.5);
    here.sort_by(|one, other| along(&one.1).total_cmp(&along(&other.1)));
    let count = u32::try_from(here.len()).unwrap_or(u32::MAX);
    let each = (high - low) / f64::from(count.max(1));
    let stretch = |place: u32| {
        let from = low + f64::from(place) * each;
        Stretch::Side(side, from, from + each)
    };
    let numbered = (0..).zip(here);
    numbered
        .map(|(place, (part, _))| (part, stretch(place)))
        .collect()
}
