//! A craft on paper: what its printed sheet and its label are made from. The commands and the
//! station's pages share it; how paper looks is made in `show`.

use sponson_proto::service::v1::{AboutReply, CatalogueEntry, CatalogueFault};
use sponson_readiness::event::Extent;
use sponson_readiness::moment::Moment;
use sponson_readiness::standard::Units;
use sponson_readiness::walk::{Aboard, Walk, walk};
use sponson_show::clean;
use sponson_show::html::station::label::{Label, label_path};
use sponson_show::html::station::paper_lines::PaperSource;
use sponson_show::html::station::sheet::SheetFacts;
use sponson_show::units::print;

use crate::catalogue::{Adopted, Catalogue, LookupError, hex};

/// Faults that are named on a sheet; of more it says how many.
const FAULTS_MAX: usize = 6;

/// A craft as its sheet of paper needs it.
#[derive(Clone, Debug)]
pub struct PaperCraft {
    number: String,
    station: String,
    id: Vec<u8>,
    adopted: Adopted,
    aboard: Aboard,
    walk: Walk,
    open_faults: Vec<String>,
    known: String,
    units: Units,
    utc_offset_min: i32,
}

impl PaperCraft {
    /// Puts together what is known of a craft.
    ///
    /// # Errors
    /// When its model has no boat standard here, or this version cannot read it.
    pub fn of(
        craft: &CatalogueEntry,
        (aboard, extent): (Aboard, Extent),
        (catalogue, about): (&Catalogue, &AboutReply),
    ) -> Result<Self, LookupError> {
        let adopted = catalogue.standard(craft)?;
        let policy = catalogue.policy();
        Ok(Self {
            number: craft.number.clone(),
            station: station(craft, catalogue),
            id: craft.id.to_vec(),
            walk: walk(&adopted.standard, &aboard, extent),
            open_faults: open_faults(&catalogue.faults(craft), policy.utc_offset_min),
            known: known(about, policy.utc_offset_min),
            units: policy.units,
            utc_offset_min: policy.utc_offset_min,
            adopted,
            aboard,
        })
    }

    /// What the lines of paper are made from.
    #[must_use]
    pub const fn source(&self) -> PaperSource<'_> {
        PaperSource {
            standard: &self.adopted.standard,
            walk: &self.walk,
            aboard: &self.aboard,
            units: self.units,
        }
    }

    /// The facts of its printed sheet. `entry` is the address at which it is entered.
    #[must_use]
    pub fn sheet<'a>(&'a self, printed: Moment, entry: Option<&'a str>) -> SheetFacts<'a> {
        SheetFacts {
            number: &self.number,
            station: &self.station,
            source: self.source(),
            open_faults: &self.open_faults,
            printed,
            utc_offset_min: self.utc_offset_min,
            known: &self.known,
            entry,
        }
    }

    /// Number of the craft.
    #[must_use]
    pub fn number(&self) -> &str {
        &self.number
    }

    /// The boat standard and its event.
    #[must_use]
    pub const fn adopted(&self) -> &Adopted {
        &self.adopted
    }

    /// Path at which its filled sheet is entered.
    #[must_use]
    pub fn entry_path(&self) -> String {
        format!("/paper/{}", hex(&self.id))
    }
}

/// The label of a craft, whose code opens its check at a station's address: `http://host:port`.
#[must_use]
pub fn label(craft: &CatalogueEntry, catalogue: &Catalogue, address: &str) -> Label {
    let model = catalogue
        .standard(craft)
        .map_or_else(|_| craft.model.clone(), |adopted| adopted.standard.label);
    Label {
        number: craft.number.clone(),
        model,
        station: station(craft, catalogue),
        address: format!(
            "{}{}",
            address.trim_end_matches('/'),
            label_path(&craft.number)
        ),
    }
}

fn station(craft: &CatalogueEntry, catalogue: &Catalogue) -> String {
    if craft.station.is_empty() {
        return String::new();
    }
    catalogue.number(&craft.station)
}

/// From what knowledge something is printed.
fn known(about: &AboutReply, utc_offset_min: i32) -> String {
    let synced = about.last_sync_unix_ms.map_or_else(
        || "never synced with the county".to_owned(),
        |at| {
            let at = print::local(Moment(at), utc_offset_min);
            format!("synced with the county {at}")
        },
    );
    match about.waiting {
        0 => synced,
        1 => format!("{synced}, 1 entry waiting"),
        waiting => format!("{synced}, {waiting} entries waiting"),
    }
}

fn open_faults(faults: &[&CatalogueFault], utc_offset_min: i32) -> Vec<String> {
    let said = |fault: &&CatalogueFault| {
        let what = match (fault.line.as_str(), fault.class.as_str()) {
            ("", class) => class,
            (line, _) => line,
        };
        let part = clean(&fault.part).replace('-', " ");
        let gap = if part.is_empty() { "" } else { ": " };
        let since = print::local_day(Moment(fault.found_unix_ms), utc_offset_min);
        format!(
            "{part}{gap}{}, since {since}",
            clean(what).replace('-', " ")
        )
    };
    let mut told: Vec<String> = faults.iter().take(FAULTS_MAX).map(said).collect();
    if faults.len() > FAULTS_MAX {
        told.push(format!("and {} more", faults.len() - FAULTS_MAX));
    }
    told
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use sponson_readiness::standard::{Policy, Standard, built_in};
    use sponson_show::html::station::paper_lines::{
        AIR_SOURCES, BoxKind, PaperBox, fault_boxes, paper_stops,
    };

    use super::*;
    use crate::under_way::fields::FieldName;
    use crate::under_way::finish::SOURCES;

    /// Every box of every sheet that comes with the program, those of faults among them.
    fn boxes() -> Vec<PaperBox> {
        let units = Policy::parse(Policy::default_text())
            .expect("built in")
            .units;
        let mut boxes = fault_boxes(1);
        for (name, text) in built_in() {
            let standard = Standard::parse(text).expect(name);
            let aboard = Aboard::default();
            let walk = walk(&standard, &aboard, Extent::Full);
            let source = PaperSource {
                standard: &standard,
                walk: &walk,
                aboard: &aboard,
                units,
            };
            let lines = paper_stops(&source).into_iter().flat_map(|stop| stop.lines);
            boxes.extend(lines.flat_map(|line| line.boxes));
        }
        boxes
    }

    #[test]
    fn every_box_of_a_sheet_is_a_field_of_a_check() {
        for one in boxes() {
            let name: Result<FieldName, _> = one.field.parse();
            assert!(name.is_ok(), "{}", one.field);
        }
    }

    #[test]
    fn air_is_added_by_what_a_check_takes() {
        let known: BTreeSet<&str> = AIR_SOURCES.iter().map(|(value, _)| *value).collect();
        let taken: BTreeSet<&str> = SOURCES.iter().map(|(word, _)| *word).collect();
        assert_eq!(known, taken);
        let asked = boxes()
            .iter()
            .any(|one| one.kind == BoxKind::OneOf(AIR_SOURCES));
        assert!(asked, "chambers ask for it");
    }
}
