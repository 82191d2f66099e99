//! Which spots on a part count as one place.
//!
//! Same part, side and face; distances from the transom that lie near each other, each to the next
//! (`same_place_within`); the same class, where the policy tells classes apart. What was not said of
//! a spot fits where the part has one place alone that says more and agrees: a crew that leaves out
//! the distance does not hide that a seam came apart again. Where there are two, it stays by itself.
//! Places are those of a model, so that the same seam on two craft is the same place.

use std::collections::BTreeMap;

use crate::event::{Face, PartPlace, PlaceSide};
use crate::history::FaultPast;
use crate::ids::{FaultId, PartId};
use crate::standard::{RecurringPolicy, SamePlace};

/// A place on a part.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct PlaceOn {
    /// Part.
    pub part: PartId,
    /// Side; none when not said.
    pub side: Option<PlaceSide>,
    /// Face; none when not said.
    pub face: Option<Face>,
    /// Nearest and furthest spot found, millimetres forward of the transom; none when not said.
    pub from_transom_mm: Option<(u32, u32)>,
    /// Class of fault, where the policy tells them apart.
    pub class: Option<String>,
}

impl PlaceOn {
    /// A part as a whole.
    pub(super) const fn whole(part: PartId) -> Self {
        Self {
            part,
            side: None,
            face: None,
            from_transom_mm: None,
            class: None,
        }
    }

    const fn said(&self) -> [bool; 3] {
        [
            self.side.is_some(),
            self.face.is_some(),
            self.from_transom_mm.is_some(),
        ]
    }

    /// Whether `more` says all that this says, agrees with it, and says more.
    fn fits(&self, more: &Self, near_mm: u32) -> bool {
        let (less_said, more_said) = (self.said(), more.said());
        let holds_all = less_said
            .iter()
            .zip(more_said)
            .all(|(less, more)| !less || more);
        let near = match (self.from_transom_mm, more.from_transom_mm) {
            (Some((low, high)), Some((from, to))) => {
                low <= to.saturating_add(near_mm) && from <= high.saturating_add(near_mm)
            }
            (None, _) | (_, None) => true,
        };
        holds_all
            && less_said != more_said
            && (self.side.is_none() || self.side == more.side)
            && (self.face.is_none() || self.face == more.face)
            && near
    }
}

/// The place of each fault, among faults on things of one model.
pub(super) fn places<'a>(
    faults: impl IntoIterator<Item = &'a FaultPast>,
    policy: &RecurringPolicy,
) -> BTreeMap<FaultId, PlaceOn> {
    let mut by_part: BTreeMap<(&PartId, Option<&str>), Vec<&FaultPast>> = BTreeMap::new();
    for fault in faults {
        let class = match policy.same_class {
            SamePlace::Any => None,
            SamePlace::Same => Some(fault.class.as_str()),
        };
        by_part.entry((&fault.part, class)).or_default().push(fault);
    }
    let mut places = BTreeMap::new();
    for ((part, class), faults) in by_part {
        let spots = faults.iter().map(|fault| fault.place);
        let clusters = clusters(part, class, spots, policy.same_place_mm);
        for fault in faults {
            let own = |place: &&PlaceOn| holds(place, fault.place);
            if let Some(place) = clusters.iter().find(own) {
                let joined = joined(place, &clusters, policy.same_place_mm);
                places.insert(fault.id, joined);
            }
        }
    }
    places
}

/// Spots of equal side and face, each chain of near distances one place.
fn clusters(
    part: &PartId,
    class: Option<&str>,
    spots: impl Iterator<Item = PartPlace>,
    near_mm: u32,
) -> Vec<PlaceOn> {
    let mut spots: Vec<PartPlace> = spots.collect();
    spots.sort_by_key(|spot| (spot.side, spot.face, spot.from_transom_mm));
    let mut clusters: Vec<PlaceOn> = Vec::new();
    for spot in spots {
        let same = clusters
            .last_mut()
            .filter(|last| last.side == spot.side && last.face == spot.face);
        match (same, spot.from_transom_mm) {
            (Some(last), Some(mm)) if is_near(last.from_transom_mm, mm, near_mm) => {
                last.from_transom_mm = last.from_transom_mm.map(|(low, _)| (low, mm));
            }
            (Some(last), None) if last.from_transom_mm.is_none() => {}
            (_, from) => clusters.push(PlaceOn {
                side: spot.side,
                face: spot.face,
                from_transom_mm: from.map(|mm| (mm, mm)),
                class: class.map(str::to_owned),
                ..PlaceOn::whole(part.clone())
            }),
        }
    }
    clusters
}

fn is_near(place: Option<(u32, u32)>, mm: u32, near_mm: u32) -> bool {
    place.is_some_and(|(_, high)| mm <= high.saturating_add(near_mm))
}

fn holds(place: &PlaceOn, spot: PartPlace) -> bool {
    let within = match (place.from_transom_mm, spot.from_transom_mm) {
        (None, None) => true,
        (Some((low, high)), Some(mm)) => (low..=high).contains(&mm),
        (None, Some(_)) | (Some(_), None) => false,
    };
    place.side == spot.side && place.face == spot.face && within
}

/// The one place that says most and that this one fits, else itself.
fn joined(place: &PlaceOn, clusters: &[PlaceOn], near_mm: u32) -> PlaceOn {
    let is_last = |one: &&PlaceOn| !clusters.iter().any(|more| one.fits(more, near_mm));
    let mut fits = clusters
        .iter()
        .filter(|more| place.fits(more, near_mm))
        .filter(is_last);
    match (fits.next(), fits.next()) {
        (Some(only), None) => only.clone(),
        (None, _) | (Some(_), Some(_)) => place.clone(),
    }
}
