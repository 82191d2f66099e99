//! The shape of each class of craft from above: how wide it is where, and the course of its tube.

use sponson_readiness::event::PlaceSide;
use sponson_readiness::standard::CraftClass;

use crate::svg::Point;

/// The middle of the drawing, half the beam, and where bow and transom are.
pub(super) const CENTRE: f64 = 220.0;
pub(super) const BEAM: f64 = 76.0;
pub(super) const BOW: f64 = 28.0;
pub(super) const TRANSOM: f64 = 408.0;
pub(super) const LENGTH: f64 = TRANSOM - BOW;

/// Where the motor ends, and with it the drawing.
pub(super) const FOOT: f64 = 470.0;

/// Pieces of one stretch of the tube.
const STEPS: u32 = 20;

/// A class of craft from above.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Hull {
    class: CraftClass,
}

impl Hull {
    pub(super) const fn of(class: CraftClass) -> Self {
        Self { class }
    }

    /// Thickness of the tube; 0 where the craft has none.
    pub(super) const fn tube(self) -> f64 {
        match self.class {
            CraftClass::Inflatable | CraftClass::Raft => 30.0,
            CraftClass::RigidInflatable => 24.0,
            CraftClass::FlatBottom => 0.0,
        }
    }

    /// Share of the length that the bend of the bow takes, and that of the stern.
    const fn bends(self) -> (f64, f64) {
        match self.class {
            CraftClass::Inflatable => (0.36, 0.0),
            CraftClass::RigidInflatable => (0.46, 0.0),
            CraftClass::Raft => (0.24, 0.24),
            CraftClass::FlatBottom => (0.0, 0.0),
        }
    }

    /// Whether the tube leaves the stern open, so that there is a transom between its ends.
    pub(super) fn is_open_astern(self) -> bool {
        self.bends().1 <= 0.0
    }

    /// Height on the drawing of a share of the length from the transom.
    pub(super) const fn y(along: f64) -> f64 {
        TRANSOM - along * LENGTH
    }

    /// Half the width at a share of the length from the transom.
    pub(super) fn half(self, along: f64) -> f64 {
        if self.class == CraftClass::FlatBottom {
            let fore = ((along - 0.4) / 0.6).max(0.0);
            return BEAM * (1.0 - 0.28 * fore * fore);
        }
        let (bow, stern) = self.bends();
        let over = if along > 1.0 - bow {
            (along - (1.0 - bow)) / bow
        } else if along < stern {
            (stern - along) / stern
        } else {
            0.0
        };
        BEAM * (1.0 - over * over).max(0.0).sqrt()
    }

    /// A place on the tube's course, so far within the outline: `share` from the stern, 0, to the
    /// stem, 1.
    pub(super) fn course(self, side: PlaceSide, share: f64, inset: f64) -> Point {
        let (bow, stern) = self.bends();
        let beam = BEAM - inset;
        let quarter = std::f64::consts::FRAC_PI_2;
        let (across, from_transom) = if share > 1.0 - bow {
            let angle = (share - (1.0 - bow)) / bow * quarter;
            let reach = (bow * LENGTH - inset) * libm::sin(angle);
            (beam * libm::cos(angle), (1.0 - bow) * LENGTH + reach)
        } else if share < stern {
            let angle = (stern - share) / stern * quarter;
            let reach = (stern * LENGTH - inset) * libm::sin(angle);
            (beam * libm::cos(angle), stern * LENGTH - reach)
        } else {
            (beam, share * LENGTH)
        };
        Point::new(CENTRE + sign(side) * across, TRANSOM - from_transom)
    }

    /// Points of the tube's course from one share to another.
    pub(super) fn stretch(self, side: PlaceSide, (from, to): (f64, f64), inset: f64) -> Vec<Point> {
        let steps = (0..=STEPS).map(|step| f64::from(step) / f64::from(STEPS));
        let points = steps.map(|step| self.course(side, from + step * (to - from), inset));
        points.collect()
    }

    /// The whole outline, so far within itself.
    pub(super) fn outline(self, inset: f64) -> Vec<Point> {
        if self.class == CraftClass::FlatBottom {
            return self.flat_outline(inset);
        }
        let mut points = self.stretch(PlaceSide::Port, (0.0, 1.0), inset);
        let mut back = self.stretch(PlaceSide::Starboard, (0.0, 1.0), inset);
        back.reverse();
        points.extend(back);
        points
    }

    fn flat_outline(self, inset: f64) -> Vec<Point> {
        let within = inset / LENGTH;
        let steps = (0..=STEPS).map(|step| f64::from(step) / f64::from(STEPS));
        let along: Vec<f64> = steps
            .map(|step| within + step * (1.0 - 2.0 * within))
            .collect();
        let point = |side, along: f64| {
            Point::new(
                CENTRE + sign(side) * (self.half(along) - inset),
                Self::y(along),
            )
        };
        let port = along.iter().map(|along| point(PlaceSide::Port, *along));
        let back = along.iter().rev();
        port.chain(back.map(|along| point(PlaceSide::Starboard, *along)))
            .collect()
    }
}

/// Port is on the left.
pub(super) const fn sign(side: PlaceSide) -> f64 {
    match side {
        PlaceSide::Port => -1.0,
        PlaceSide::Starboard => 1.0,
        PlaceSide::Centre => 0.0,
    }
}
