//! Registrations, numbers, places, what is fitted, holds of the whole county.

use sponson_proto::event::v1 as wire;
use sponson_show::clean;
use sponson_show::units::print;

use super::{Said, Words, checks, date, event_name, list, part_words};

pub(super) fn bag(it: &wire::BagRegistered, words: &Words<'_>) -> Said {
    Said::new(format!("Bag registered: {}", clean(&it.number)))
        .with("station", words.named(&it.station))
        .with("belongs to", words.named(&it.craft))
}

pub(super) fn shelf(it: &wire::ShelfRegistered, words: &Words<'_>) -> Said {
    Said::new(format!("Shelf registered: {}", clean(&it.number)))
        .with("station", words.named(&it.station))
}

pub(super) fn fitted(it: &wire::Fitted, words: &Words<'_>) -> Said {
    let (gear, craft) = (words.name(&it.gear), words.name(&it.craft));
    Said::new(format!("{gear} fitted to {craft}"))
        .with("serves as", part_words(words.newest(), &it.part))
}

pub(super) fn taken_off(it: &wire::TakenOff, words: &Words<'_>) -> Said {
    let (gear, craft) = (words.name(&it.gear), words.name(&it.craft));
    Said::new(format!("{gear} taken off {craft}"))
}

pub(super) fn held(it: &wire::HeldCountyWide, words: &Words<'_>) -> Said {
    Said::new("Held county-wide")
        .with("model", &it.model)
        .with("batch", &it.batch)
        .with("part", part_words(words.newest(), &it.part))
        .with("for", list(&it.missions))
}

pub(super) fn same_as(it: &wire::SameAs, words: &Words<'_>) -> Said {
    let (one, other) = (words.name(&it.one), words.name(&it.other));
    let ids = [event_name(&it.one), event_name(&it.other)];
    Said::new(format!("{one} and {other} are said to be one")).with("ids", ids.join(", "))
}

pub(super) fn stock(it: &wire::StockCounted, words: &Words<'_>) -> Said {
    let counts = it.counts.iter();
    Said::new("Spares counted")
        .with_all(counts.map(|one| checks::count(one, words.newest(), words)))
}

impl Words<'_> {
    /// A name, and nothing for no id.
    fn named(&self, id: &[u8]) -> String {
        match id {
            [] => String::new(),
            id => self.name(id),
        }
    }
}

pub(super) fn craft(it: &wire::CraftRegistered, words: &Words<'_>) -> Said {
    Said::new(format!("Craft registered: {}", clean(&it.number)))
        .with("model", &it.model)
        .with("station", words.named(&it.station))
        .with("hull number", &it.hull_number)
        .with("made", date(it.made))
        .with("fabric", &it.fabric)
        .with("maker's batch", &it.batch)
        .with_all(plate(it.plate.as_ref(), words))
}

/// What the maker's plate says.
fn plate(plate: Option<&wire::CapacityPlate>, words: &Words<'_>) -> Vec<(String, String)> {
    let Some(plate) = plate else {
        return Vec::new();
    };
    let mass = |g: u64| print::mass(i64::try_from(g).unwrap_or(i64::MAX), words.units);
    let said = [
        ("persons", plate.persons.map(|it| it.to_string())),
        ("persons alone", plate.persons_mass_g.map(mass)),
        ("persons, motor and gear", plate.total_mass_g.map(mass)),
        (
            "greatest motor power",
            plate.power_w.map(|w| print::power(w, words.units)),
        ),
        (
            "greatest motor weight",
            plate.motor_mass_g.map(|g| mass(g.into())),
        ),
    ];
    let said = said.into_iter();
    said.filter_map(|(name, value)| Some((format!("plate: {name}"), value?)))
        .collect()
}

pub(super) fn gear(it: &wire::GearRegistered, words: &Words<'_>) -> Said {
    let kpa = |kpa: u32| words.pressure(i64::from(kpa) * 1_000);
    let mass = it.mass_g.map(|g| print::mass(g.into(), words.units));
    let power = it.power_w.map(|w| print::power(w, words.units));
    let volume = it.water_volume_ml;
    let volume = volume.map(|ml| print::volume(ml.into(), words.units));
    Said::new(format!(
        "{} registered: {}",
        sort(it.r#type()),
        clean(&it.number)
    ))
    .with("model", &it.model)
    .with("station", words.named(&it.station))
    .with("serial", &it.serial)
    .with("made", date(it.made))
    .with("maker's batch", &it.batch)
    .with("weight", mass.unwrap_or_default())
    .with("power", power.unwrap_or_default())
    .with("water volume", volume.unwrap_or_default())
    .with(
        "service pressure",
        it.service_pressure_kpa.map(kpa).unwrap_or_default(),
    )
    .with("specification", &it.specification)
    .with("requalified", date(it.requalified))
    .with("gauge", it.gauge_kpa.map(kpa).unwrap_or_default())
    .with("connector", &it.connector)
}

const fn sort(sort: wire::GearType) -> &'static str {
    match sort {
        wire::GearType::Unspecified => "Gear",
        wire::GearType::Motor => "Motor",
        wire::GearType::FuelTank => "Fuel tank",
        wire::GearType::FuelLine => "Fuel line",
        wire::GearType::Cylinder => "Cylinder",
        wire::GearType::InflatableFloor => "Inflatable floor",
        wire::GearType::Pump => "Pump",
        wire::GearType::Gauge => "Gauge",
        wire::GearType::Radio => "Radio",
        wire::GearType::Trailer => "Trailer",
        wire::GearType::Battery => "Battery",
        wire::GearType::BreathingSet => "Breathing set",
    }
}

pub(super) fn condemned(it: &wire::Condemned) -> Said {
    let why = match it.reason() {
        wire::CondemnedReason::Unspecified => "",
        wire::CondemnedReason::WornOut => "worn out",
        wire::CondemnedReason::Damaged => "damaged",
        wire::CondemnedReason::LifeExpired => "past its life",
        wire::CondemnedReason::FailedTest => "failed a test",
        wire::CondemnedReason::Recalled => "recalled",
    };
    Said::new("Condemned: never to be used again").with("why", why)
}
