//! The air that a craft's parts want, as messages.

use sponson_proto::answer::v1 as wire;
use sponson_readiness::answer::{AirFrom, AirNeeded, Breathing, Feed, Gives, PartAir};
use sponson_readiness::event::PumpPower;
use sponson_show::Context;
use sponson_show::sentence::{air_from_text, subject_text};

pub(super) fn air(needed: &AirNeeded, ctx: &Context) -> wire::AirNeeded {
    wire::AirNeeded {
        reference_mc: needed.reference_mc,
        reference_pa: needed.reference_pa,
        growth_ppm: needed.growth_ppm,
        losses_ppm: needed.losses_ppm,
        free_air_ml: needed.free_air_ml,
        parts: needed.parts.iter().map(part).collect(),
        from: needed.from.iter().map(|one| from(one, ctx)).collect(),
    }
}

fn part(part: &PartAir) -> wire::PartAir {
    wire::PartAir {
        part: part.part.0.clone(),
        from_pa: part.from_pa,
        to_pa: part.to_pa,
        free_air_ml: part.free_air_ml,
        feed: Feed::id(part.feed).to_owned(),
    }
}

fn from(from: &AirFrom, ctx: &Context) -> wire::AirFrom {
    let whole = wire::AirFrom {
        source: subject_text(&from.source, ctx),
        parts: from.parts.iter().map(|part| part.0.clone()).collect(),
        text: air_from_text(from, ctx),
        ..wire::AirFrom::default()
    };
    match from.gives {
        Gives::Cylinder {
            gauge_pa,
            after_pa,
            cylinders,
            breathing,
        } => wire::AirFrom {
            sort: match breathing {
                Breathing::Set => "breathing_set",
                Breathing::No => "cylinder",
            }
            .to_owned(),
            gauge_pa,
            after_pa,
            cylinders,
            ..whole
        },
        Gives::Pump {
            strokes,
            most_pa,
            runs_on,
        } => wire::AirFrom {
            sort: "pump".to_owned(),
            strokes,
            most_pa,
            runs_on: runs_on.map(PumpPower::id).unwrap_or_default().to_owned(),
            ..whole
        },
    }
}
