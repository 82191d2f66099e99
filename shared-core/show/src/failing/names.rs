//! Names of groups and of what is proposed, in words of the trade.

use std::collections::BTreeMap;

use sponson_readiness::event::{Face, GearKind, LeadAction, PartPlace, PlaceSide, Severity};
use sponson_readiness::history::History;
use sponson_readiness::ids::{ModelId, PartId, SubjectId};
use sponson_readiness::keeps_failing::{About, GroupKey, Kind, PlaceOn};
use sponson_readiness::standard::Standard;

use super::DecidesAbout;
use crate::clean::clean;
use crate::context::Context;
use crate::sentence::words_of;
use crate::units::print;
use crate::words;

/// What names are taken from.
#[derive(Clone, Copy, Debug)]
pub struct Past<'a> {
    /// What happened.
    pub history: &'a History,
    /// Boat standards in force.
    pub standards: &'a BTreeMap<ModelId, Standard>,
    /// How to show it.
    pub ctx: &'a Context,
}

impl Past<'_> {
    /// The number painted on a craft or on gear.
    pub(super) fn number(&self, id: SubjectId) -> String {
        let craft = self.history.crafts.get(&id).map(|it| it.number.as_str());
        let gear = || self.history.gear.get(&id).map(|it| it.number.as_str());
        match craft.or_else(gear) {
            Some(number) if !number.trim().is_empty() => clean(number),
            Some(_) | None => format!("{:.8}", id.to_string()),
        }
    }

    /// A craft by its number, gear with what it is: `motor M3`.
    pub(super) fn thing(&self, id: SubjectId) -> String {
        let number = self.number(id);
        match self.history.gear.get(&id) {
            Some(gear) => format!("{} {number}", gear_kind(gear.kind)),
            None => number,
        }
    }

    fn model_of(&self, on: SubjectId) -> Option<&ModelId> {
        self.history.crafts.get(&on).map(|craft| &craft.model)
    }

    /// The model as its sheet is headed; its id where there is none.
    fn model(&self, model: &str) -> String {
        let sheet = self.standards.get(&ModelId::from(model));
        let label = sheet.map(|sheet| sheet.label.trim());
        match label {
            Some(label) if !label.is_empty() => clean(label),
            Some(_) | None if model.is_empty() => "model not said".to_owned(),
            Some(_) | None => clean(model),
        }
    }

    /// A part as the sheet of the model has it.
    pub(super) fn part(&self, part: &PartId, model: Option<&ModelId>) -> String {
        let sheet = model.and_then(|model| self.standards.get(model));
        let parts = sheet.map(|sheet| sheet.parts.as_slice());
        let known = parts
            .unwrap_or_default()
            .iter()
            .find(|it| it.id == *part && !it.label.trim().is_empty());
        match known {
            Some(known) => clean(&known.label),
            None if part.as_str().is_empty() => "the whole of it".to_owned(),
            None => words_of(part.as_str()),
        }
    }

    /// A part of a craft, and a spot on it.
    pub(super) fn spot(&self, part: &PartId, place: PartPlace, on: Option<SubjectId>) -> String {
        let part = self.part(part, on.and_then(|on| self.model_of(on)));
        let from = place.from_transom_mm.map(|mm| (mm, mm));
        part + &self.on_part(place.side, from, place.face)
    }

    fn place(&self, place: &PlaceOn, model: Option<&ModelId>) -> String {
        let on_part = self.on_part(place.side, place.from_transom_mm, place.face);
        let class = place.class.as_ref();
        let class = class.map_or_else(String::new, |class| format!(": {}", words_of(class)));
        format!("{}{on_part}{class}", self.part(&place.part, model))
    }

    fn on_part(
        &self,
        side: Option<PlaceSide>,
        from: Option<(u32, u32)>,
        face: Option<Face>,
    ) -> String {
        let length = |mm| print::length(mm, self.ctx.units);
        let from = from.map(|(near, far)| match length(near) == length(far) {
            true => format!("{} forward of the transom", length(near)),
            false => format!("{} to {} forward of the transom", length(near), length(far)),
        });
        let side = side.map(|side| words::side(side).to_owned());
        let face = face.map(|face| words::face(face).to_owned());
        [side, from, face]
            .into_iter()
            .flatten()
            .map(|piece| format!(", {piece}"))
            .collect()
    }

    fn batch(&self, kind: Kind, model: &str, batch: &str) -> String {
        match batch.is_empty() {
            true => format!("{}: batch not said", self.of_kind(kind, model)),
            false => format!("{}: batch {}", self.of_kind(kind, model), clean(batch)),
        }
    }

    fn of_kind(&self, kind: Kind, model: &str) -> String {
        match kind {
            Kind::Craft => self.model(model),
            Kind::Gear(kind) if model.is_empty() => format!("{}, model not said", gear_kind(kind)),
            Kind::Gear(kind) => format!("{} {}", gear_kind(kind), clean(model)),
        }
    }

    /// A group.
    pub(super) fn group(&self, key: &GroupKey) -> String {
        let or = |text: &str, none: &str| match text.is_empty() {
            true => none.to_owned(),
            false => words_of(text),
        };
        match key {
            GroupKey::Craft(id) | GroupKey::Gear(id) => self.thing(*id),
            GroupKey::Place { model, place } => format!(
                "{} ({})",
                self.place(place, Some(model)),
                self.model(model.as_str())
            ),
            GroupKey::CraftPlace { craft, place } => format!(
                "{}: {}",
                self.number(*craft),
                self.place(place, self.model_of(*craft))
            ),
            GroupKey::Class { model, class } => {
                format!("{} ({})", or(class, "not said"), self.model(model.as_str()))
            }
            GroupKey::Fabric(fabric) => or(fabric, "fabric not said"),
            GroupKey::Batch { kind, model, batch } => self.batch(*kind, model, batch),
            GroupKey::Method(method) => or(method, "not said how"),
            GroupKey::GlueBatch(batch) if batch.is_empty() => "glue batch not said".to_owned(),
            GroupKey::GlueBatch(batch) => format!("glue batch {}", clean(batch)),
            GroupKey::Station(id) => self.ctx.station(*id),
            GroupKey::Model { kind, model } => self.of_kind(*kind, model),
        }
    }

    /// What a proposal is about.
    pub(super) fn about(&self, about: &About) -> String {
        match about {
            About::Place { on, place } => format!(
                "{}, {}",
                self.thing(*on),
                self.place(place, self.model_of(*on))
            ),
            About::Thing(id) => self.thing(*id),
            About::ModelPlace { model, place } => {
                let id = ModelId::from(model.as_str());
                format!("{}, {}", self.model(model), self.place(place, Some(&id)))
            }
            About::Batch { kind, model, batch } => self.batch(*kind, model, batch),
            About::Model { kind, model } => self.of_kind(*kind, model),
        }
    }
}

impl Past<'_> {
    /// The model on whose sheet the faults of a group can be drawn.
    pub(super) fn drawn_on(&self, key: &GroupKey) -> Option<ModelId> {
        let model = match key {
            GroupKey::Craft(craft) | GroupKey::CraftPlace { craft, .. } => {
                self.model_of(*craft).cloned()
            }
            GroupKey::Place { model, .. } | GroupKey::Class { model, .. } => Some(model.clone()),
            GroupKey::Model {
                kind: Kind::Craft,
                model,
            }
            | GroupKey::Batch {
                kind: Kind::Craft,
                model,
                ..
            } => Some(ModelId::from(model.as_str())),
            GroupKey::Model { .. }
            | GroupKey::Batch { .. }
            | GroupKey::Fabric(_)
            | GroupKey::Method(_)
            | GroupKey::GlueBatch(_)
            | GroupKey::Station(_)
            | GroupKey::Gear(_) => None,
        };
        model.filter(|model| self.standards.contains_key(model))
    }

    /// What a decision about a group would be about.
    pub(super) fn decides(&self, key: &GroupKey) -> Option<DecidesAbout> {
        Some(match key {
            GroupKey::Craft(id) | GroupKey::Gear(id) => self.of_thing(*id),
            GroupKey::CraftPlace { craft, place } => DecidesAbout {
                part: place.part.as_str().to_owned(),
                ..self.of_thing(*craft)
            },
            GroupKey::Place { model, place } => DecidesAbout {
                model: model.as_str().to_owned(),
                part: place.part.as_str().to_owned(),
                ..DecidesAbout::default()
            },
            GroupKey::Batch { model, batch, .. } => of_batch(model, batch),
            GroupKey::Model { model, .. } => of_batch(model, ""),
            GroupKey::Class { .. }
            | GroupKey::Fabric(_)
            | GroupKey::Method(_)
            | GroupKey::GlueBatch(_)
            | GroupKey::Station(_) => return None,
        })
    }

    /// What a proposal is about, as the command names it.
    pub(super) fn decides_about(&self, about: &About) -> DecidesAbout {
        match about {
            About::Place { on, place } => DecidesAbout {
                part: place.part.as_str().to_owned(),
                ..self.of_thing(*on)
            },
            About::Thing(id) => self.of_thing(*id),
            About::ModelPlace { model, place } => DecidesAbout {
                part: place.part.as_str().to_owned(),
                ..of_batch(model, "")
            },
            About::Batch { model, batch, .. } => of_batch(model, batch),
            About::Model { model, .. } => of_batch(model, ""),
        }
    }

    fn of_thing(&self, id: SubjectId) -> DecidesAbout {
        let name = format!("#{id}");
        match self.history.gear.contains_key(&id) {
            true => DecidesAbout {
                gear: name,
                ..DecidesAbout::default()
            },
            false => DecidesAbout {
                craft: name,
                ..DecidesAbout::default()
            },
        }
    }
}

fn of_batch(model: &str, batch: &str) -> DecidesAbout {
    DecidesAbout {
        model: model.to_owned(),
        batch: batch.to_owned(),
        ..DecidesAbout::default()
    }
}

/// The stable name of a group, for an address.
pub(super) fn key(key: &GroupKey) -> String {
    let kind = |kind: &Kind| match kind {
        Kind::Craft => "craft",
        Kind::Gear(kind) => gear_kind(*kind),
    };
    match key {
        GroupKey::Craft(id) | GroupKey::Gear(id) | GroupKey::Station(id) => id.to_string(),
        GroupKey::Place { model, place } => format!("{}|{}", model.as_str(), place_key(place)),
        GroupKey::CraftPlace { craft, place } => format!("{craft}|{}", place_key(place)),
        GroupKey::Class { model, class } => format!("{}|{class}", model.as_str()),
        GroupKey::Fabric(word) | GroupKey::Method(word) | GroupKey::GlueBatch(word) => word.clone(),
        GroupKey::Batch {
            kind: of,
            model,
            batch,
        } => format!("{}|{model}|{batch}", kind(of)),
        GroupKey::Model { kind: of, model } => format!("{}|{model}", kind(of)),
    }
}

/// The nearest spot alone: what is found further on must not change an address.
fn place_key(place: &PlaceOn) -> String {
    let near = place.from_transom_mm.map(|(near, _)| near.to_string());
    let pieces = [
        Some(place.part.as_str().to_owned()),
        place.side.map(|side| words::side(side).to_owned()),
        place.face.map(|face| words::face(face).replace(' ', "-")),
        near,
        place.class.clone(),
    ];
    let pieces: Vec<String> = pieces.into_iter().map(Option::unwrap_or_default).collect();
    pieces.join("|")
}

/// What sort of gear it is.
const fn gear_kind(kind: GearKind) -> &'static str {
    match kind {
        GearKind::Motor => "motor",
        GearKind::FuelTank => "fuel tank",
        GearKind::FuelLine => "fuel line",
        GearKind::Cylinder => "cylinder",
        GearKind::InflatableFloor => "inflatable floor",
        GearKind::Pump => "pump",
        GearKind::Gauge => "gauge",
        GearKind::Radio => "radio",
        GearKind::Trailer => "trailer",
        GearKind::Battery => "battery",
        GearKind::BreathingSet => "breathing set",
    }
}

/// The stable word of a severity, which is also how it is read.
#[must_use]
pub const fn severity(severity: Severity) -> &'static str {
    match severity {
        Severity::Disabling => "disabling",
        Severity::Restrictive => "restrictive",
        Severity::Major => "major",
        Severity::Minor => "minor",
    }
}

/// What a lead can decide: the stable word, as it is typed, and in words.
#[must_use]
pub const fn action(action: LeadAction) -> (&'static str, &'static str, &'static str) {
    match action {
        LeadAction::RepairAgain => ("repair_again", "repair-again", "repair again"),
        LeadAction::SendToMaker => ("send_to_maker", "send-to-maker", "send to the maker"),
        LeadAction::TakeOut => ("take_out", "take-out", "take out of service"),
        LeadAction::Condemn => ("condemn", "condemn", "condemn"),
        LeadAction::Hold => ("hold", "hold", "hold county-wide"),
        LeadAction::Watch => ("watch", "watch", "watch"),
    }
}
