//! Groups of places: of a model, and of one craft.

use std::collections::{BTreeMap, BTreeSet};

use crate::ids::{ModelId, PartId};

use super::super::group::GroupKey;
use super::super::place::PlaceOn;
use super::super::watched::Span;
use super::{Draft, Seen};

impl<'a> Seen<'a> {
    /// Places of each model: those that failed, and each part that did not, as one place.
    fn model_places(&self) -> BTreeMap<&'a str, BTreeSet<PlaceOn>> {
        let mut places: BTreeMap<&'a str, BTreeSet<PlaceOn>> = BTreeMap::new();
        for unit in self.craft() {
            let of = places.entry(unit.model).or_default();
            of.extend(unit.faults.iter().map(|placed| placed.place.clone()));
        }
        for (model, of) in &mut places {
            let failed: BTreeSet<PartId> = of.iter().map(|place| place.part.clone()).collect();
            let parts = self.parts.get(model).into_iter().flatten();
            let sound = parts.filter(|part| !failed.contains(part));
            of.extend(sound.cloned().map(PlaceOn::whole));
        }
        places
    }

    /// A place on all craft of a model, against every other part of every craft.
    pub(super) fn by_place(&self) -> Vec<Draft<'a>> {
        let no_parts = BTreeSet::new();
        let mut of_parts: Vec<(&'a str, &PartId, Span<'a>)> = Vec::new();
        for unit in self.craft() {
            for part in self.parts.get(unit.model).unwrap_or(&no_parts) {
                let span = unit.whole(|placed| placed.place.part == *part);
                of_parts.extend(span.map(|span| (unit.model, part, span)));
            }
        }
        let mut drafts = Vec::new();
        for (model, places) in self.model_places() {
            for place in places {
                let own = self.craft().filter(|unit| unit.model == model);
                let own = own.filter_map(|unit| unit.whole(|placed| *placed.place == place));
                let others = of_parts
                    .iter()
                    .filter(|(of, part, _)| *of != model || **part != place.part);
                drafts.push(Draft {
                    own: own.collect(),
                    rest: others.map(|(_, _, span)| span.clone()).collect(),
                    alike: 0,
                    key: GroupKey::Place {
                        model: ModelId::from(model),
                        place,
                    },
                });
            }
        }
        drafts
    }

    /// A place on one craft, against the same place on the other craft of its model.
    pub(super) fn by_craft_place(&self) -> Vec<Draft<'a>> {
        let mut drafts = Vec::new();
        let mut alike = 0;
        for (model, places) in self.model_places() {
            for place in places {
                let of_model = self.craft().filter(|unit| unit.model == model);
                let spans: Vec<Span<'a>> = of_model
                    .filter_map(|unit| unit.whole(|placed| *placed.place == place))
                    .collect();
                for own in &spans {
                    let rest = spans.iter().filter(|span| span.of != own.of);
                    drafts.push(Draft {
                        key: GroupKey::CraftPlace {
                            craft: own.of,
                            place: place.clone(),
                        },
                        alike,
                        own: vec![own.clone()],
                        rest: rest.cloned().collect(),
                    });
                }
                alike += 1;
            }
        }
        drafts
    }
}
