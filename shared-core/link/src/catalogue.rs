//! What a replica knows by number: craft, gear, bags, shelves, stations, standards.

use bytes::Bytes;
use sponson_log::ids::SubjectId as LogSubjectId;
use sponson_proto::event::v1::{HeldCountyWide, SubjectType};
use sponson_proto::service::v1 as wire;
use sponson_readiness::event::{GearKind, PartPlace, Trust};
use sponson_readiness::ids::SubjectId;
use sponson_replica::{
    Catalogue, CatalogueEntry, CatalogueHold, CatalogueStandard, OpenFault, Replica,
};
use sponson_show::words;

/// Painted numbers of all craft, each with the craft.
pub(crate) fn craft_numbers(replica: &mut Replica) -> Vec<(String, SubjectId)> {
    replica
        .catalogue()
        .entries
        .into_iter()
        .filter(|entry| entry.kind == SubjectType::Craft)
        .map(|entry| (entry.number, SubjectId::from_bytes(*entry.id.as_bytes())))
        .collect()
}

/// The catalogue as messages.
pub(crate) fn to_wire(catalogue: Catalogue) -> wire::CatalogueReply {
    wire::CatalogueReply {
        entries: catalogue.entries.into_iter().map(entry).collect(),
        standards: catalogue.standards.into_iter().map(standard).collect(),
        policy: catalogue.policy.unwrap_or_default(),
        holds: catalogue.holds.into_iter().map(hold).collect(),
    }
}

fn hold(held: CatalogueHold) -> wire::CatalogueHold {
    let missions = held.hold.missions.into_iter().map(|mission| mission.0);
    wire::CatalogueHold {
        event: held.event.to_bytes(),
        hold: Some(HeldCountyWide {
            model: held.hold.model,
            batch: held.hold.batch,
            part: held.hold.part,
            missions: missions.collect(),
        }),
        unconfirmed: held.trust != Trust::Trusted,
    }
}

fn entry(entry: CatalogueEntry) -> wire::CatalogueEntry {
    let or_empty = |id: Option<LogSubjectId>| id.map(LogSubjectId::to_bytes).unwrap_or_default();
    wire::CatalogueEntry {
        id: entry.id.to_bytes(),
        r#type: entry.kind.into(),
        number: entry.number,
        model: entry.model,
        station: or_empty(entry.station),
        faults: entry.faults.into_iter().map(fault).collect(),
        out: entry.out.iter().map(|id| id.to_bytes()).collect(),
        assigned: entry.assigned.iter().map(|id| id.to_bytes()).collect(),
        craft: or_empty(entry.craft),
        gear: entry.gear.map(gear_word).unwrap_or("").to_owned(),
    }
}

fn fault(fault: OpenFault) -> wire::CatalogueFault {
    wire::CatalogueFault {
        event: fault.event.to_bytes(),
        ordinal: fault.ordinal,
        part: fault.part,
        place: place(fault.place),
        class: fault.class,
        severity: fault
            .severity
            .map(sponson_readiness::event::Severity::id)
            .unwrap_or("")
            .to_owned(),
        found_unix_ms: fault.found_unix_ms,
        line: fault.line,
    }
}

/// Equal texts for equal places.
fn place(place: PartPlace) -> String {
    let side = place.side.map(|side| words::side(side).to_owned());
    let along = place.from_transom_mm.map(|mm| format!("{mm} mm"));
    let face = place.face.map(|face| words::face(face).to_owned());
    let said: Vec<String> = [side, along, face].into_iter().flatten().collect();
    said.join(", ")
}

fn standard(standard: CatalogueStandard) -> wire::CatalogueStandard {
    wire::CatalogueStandard {
        model: standard.model,
        revision: standard.revision,
        text: standard.text,
        event: Bytes::copy_from_slice(standard.event.as_bytes()),
    }
}

/// The word for a sort of gear on the wire.
pub(crate) const fn gear_word(kind: GearKind) -> &'static str {
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
