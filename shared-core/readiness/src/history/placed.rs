//! Where a thing was over time, from what was said of it.

use super::craft::FittedPast;
use super::gather::{At, Moved};
use crate::event::Place;
use crate::ids::{PartId, SubjectId};
use crate::moment::Moment;

/// Where a thing was.
#[derive(Debug, Default)]
pub(super) struct Placed {
    /// Stations, each from a moment on.
    pub(super) stations: Vec<(Moment, SubjectId)>,
    /// Craft, each from a moment on; none for off any.
    pub(super) on: Vec<(Moment, Option<SubjectId>)>,
    /// Times for which it was fitted, each with the craft.
    pub(super) fitted: Vec<(SubjectId, FittedPast)>,
}

impl Placed {
    /// Follows a thing through what was said of it, in order of time.
    pub(super) fn follow(id: SubjectId, moved: &[At<Moved>]) -> Self {
        let mut placed = Self::default();
        let mut serves: Option<(SubjectId, PartId, Moment)> = None;
        for (at, _, moved) in moved {
            let here = placed.on.last().and_then(|(_, craft)| *craft);
            let goes = match moved {
                Moved::To(place, part) => match place {
                    Place::Craft(craft) => Some((Some(*craft), part.clone())),
                    Place::Station(station) => {
                        placed.stands(*at, *station);
                        Some((None, None))
                    }
                    Place::Shelf(_) => Some((None, None)),
                },
                // It is where it was known to be: what it serves as there stays.
                Moved::SeenOn(craft) if here == Some(*craft) => None,
                Moved::SeenOn(craft) => Some((Some(*craft), None)),
                // Taken off another craft than the one that it is on now.
                Moved::OffCraft(craft) if here.is_some_and(|here| here != *craft) => None,
                Moved::OffCraft(_) => Some((None, None)),
            };
            let Some((craft, part)) = goes else { continue };
            placed.ends(id, serves.take(), Some(*at));
            if here != craft || placed.on.is_empty() {
                placed.on.push((*at, craft));
            }
            serves = craft.zip(part).map(|(craft, part)| (craft, part, *at));
        }
        placed.ends(id, serves, None);
        placed
    }

    fn stands(&mut self, at: Moment, station: SubjectId) {
        if self.stations.last().map(|(_, known)| *known) != Some(station) {
            self.stations.push((at, station));
        }
    }

    fn ends(
        &mut self,
        gear: SubjectId,
        served: Option<(SubjectId, PartId, Moment)>,
        until: Option<Moment>,
    ) {
        if let Some((craft, part, from)) = served {
            let fitted = FittedPast {
                gear,
                part,
                from,
                until,
            };
            self.fitted.push((craft, fitted));
        }
    }
}

/// The newest of what holds from a moment on, at another moment; before all of them the first.
pub(super) fn holds_at<T: Copy>(from: &[(Moment, T)], at: Moment) -> Option<T> {
    let known = from.iter().rev().find(|(since, _)| *since <= at);
    known.or(from.first()).map(|(_, value)| *value)
}
