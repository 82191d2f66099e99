//! Texts in what a lead gives the county as files: labels and sources of a sheet, sources of the
//! policy, names of a map and of launch places.

use sponson_client::settings::Settings;

use super::fill::HARMLESS;
use super::shown::hides;
use super::texts::{EVERYWHERE, Hostile, SOMEWHERE};
use crate::world::World;

const SHEET: &str = include_str!("../../../../shared-core/readiness/standards/inflatable-14.toml");
const POLICY: &str = include_str!("../../../../shared-core/readiness/standards/policy.toml");

/// What is put into files.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum With {
    /// A text that harms nothing.
    Harmless,
    /// Texts that mean harm.
    Hostile,
}

/// Texts with something to be seen in them.
fn texts(with: With) -> Vec<&'static str> {
    match with {
        With::Harmless => vec![HARMLESS],
        With::Hostile => {
            let all = EVERYWHERE.iter().chain(SOMEWHERE);
            let all = all.map(|Hostile { text, .. }| *text);
            all.filter(|text| !text.trim().is_empty()).collect()
        }
    }
}

/// A string of TOML: JSON's, but for the one control character that JSON leaves as it is.
fn quoted(text: &str) -> String {
    let text = serde_json::to_string(text).expect("a string");
    text.replace('\u{7f}', "\\u007f")
}

/// A file with each value of these names another text in turn, from the one at `first` on.
fn filled(file: &str, names: &[&str], with: With, first: usize) -> String {
    let texts = texts(with);
    let mut next = texts.iter().cycle().skip(first);
    let mut out = String::new();
    for line in file.lines() {
        let mut line = line.to_owned();
        for name in names {
            let key = format!("{name} = \"");
            let at = line.find(&key).filter(|_| !line.starts_with('#'));
            let Some(at) = at else { continue };
            let value = at + key.len();
            let end = line[value..].find('"').expect("a string ends") + value;
            let text = quoted(next.next().expect("there is always one"));
            line.replace_range(value - 1..=end, &text);
        }
        out.push_str(&line);
        out.push('\n');
    }
    out
}

/// Adopts the sheet and the policy with texts in them.
pub(super) async fn adopt(world: &World, with: With) {
    let sheet = filled(SHEET, &["label", "source"], with, 0);
    let sheet = sheet.replacen("revision = 1", "revision = 2", 1);
    let policy = filled(POLICY, &["source"], with, 7);
    let files = [("sheet", sheet), ("policy", policy)];
    let [sheet, policy] = files.map(|(name, text)| {
        let path = world.path(&format!("{name}.toml"));
        std::fs::write(&path, text).expect("writes");
        path
    });
    world.county(&format!("adopt {}", sheet.display())).await;
    world
        .county(&format!("adopt --policy {}", policy.display()))
        .await;
}

/// Puts a map and a list of launch places beside the settings of a county that does not serve yet.
pub(super) fn places(world: &World, with: With) {
    let mut features = Vec::new();
    let mut rows = String::from("place,position,access,station,minutes\n");
    for (number, text) in texts(with).into_iter().enumerate() {
        let lon = -103.0 - f64::from(u32::try_from(number).expect("few")) / 100.0;
        let kind = ["water", "road", "boundary"][number % 3];
        features.push(serde_json::json!({
            "type": "Feature",
            "properties": { "kind": kind, "name": text },
            "geometry": { "type": "LineString", "coordinates": [[lon, 44.0], [lon, 44.5]] },
        }));
        features.push(serde_json::json!({
            "type": "Feature",
            "properties": { "kind": "launch", "name": text },
            "geometry": { "type": "Point", "coordinates": [lon, 44.7] },
        }));
        // The list refuses what hides; those names stand in the map alone.
        let plain = !text.chars().any(hides) && text.trim() == text && text.len() <= 60;
        if plain {
            let name = text.replace('"', "\"\"");
            rows += &format!("\"{name} {number}\",\"44.9,-103.2\",ramp,North Landing,9\n");
        }
    }
    let map = serde_json::json!({ "type": "FeatureCollection", "features": features });
    let folder = world.path("county");
    std::fs::write(folder.join("map.geojson"), map.to_string()).expect("writes");
    std::fs::write(folder.join("places.csv"), rows).expect("writes");
    let file = folder.join("settings.toml");
    let mut settings = Settings::read(&file).expect("settings");
    settings.map = Some("map.geojson".into());
    settings.places = Some("places.csv".into());
    settings.write(&file).expect("writes");
}
