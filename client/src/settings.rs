//! Where the station keeps its data, and its settings: one TOML file, read once. No secrets.

use std::io::Write as _;
use std::path::{Path, PathBuf};

use data_encoding::HEXLOWER_PERMISSIVE;
use serde::{Deserialize, Serialize};
use sponson_link::local::Side;
use sponson_link::station::CountyAt;
use sponson_log::ids::{CountyId, Digest};

/// Name of the settings file.
pub const SETTINGS_FILE: &str = "settings.toml";

/// The settings of a device, all optional.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Settings {
    /// The county's address, `host:port`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub county: Option<String>,
    /// SHA-256 of the county's TLS key as it was introduced, hexadecimal: public.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub county_tls_key: Option<String>,
    /// The county's id, hexadecimal: public.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub county_id: Option<String>,
    /// The county's name, at the county.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// Member number that is used when none is given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub member: Option<String>,
    /// Where the county listens, `address:port`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub listen: Option<String>,
    /// The county's list of launch places with its travel table, a CSV file; beside the settings
    /// when the path is not whole.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub places: Option<PathBuf>,
    /// Where the county serves its pages, `address:port`, or `none`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pages: Option<String>,
    /// Name by which browsers reach the county's pages beyond its own machine.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pages_name: Option<String>,
    /// Certificate of the county's pages, a PEM file.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pages_certificate: Option<PathBuf>,
    /// Its private key, a PEM file.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pages_key: Option<PathBuf>,
    /// Map of the county, a GeoJSON file.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub map: Option<PathBuf>,
    /// Whether `serve` at a station syncs by itself; it does when this is not said.
    #[serde(skip_serializing_if = "SyncSetting::is_usual")]
    pub sync: SyncSetting,
    /// At the county: days after its newest entry from which its clock is in doubt.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub clock_ahead_days: Option<u32>,
}

/// Whether a station that serves syncs by itself.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum SyncSetting {
    /// At once, soon after something was recorded, and on a schedule.
    #[default]
    #[serde(rename = "by itself")]
    ByItself,
    /// Only when somebody says so.
    #[serde(rename = "by hand")]
    ByHand,
}

impl SyncSetting {
    #[expect(
        clippy::trivially_copy_pass_by_ref,
        reason = "serde hands the field by reference"
    )]
    const fn is_usual(&self) -> bool {
        match self {
            Self::ByItself => true,
            Self::ByHand => false,
        }
    }
}

/// Why settings could not be read or kept.
#[derive(Debug, thiserror::Error)]
pub enum SettingsError {
    /// The platform has no usual place.
    #[error("this machine has no usual folder for data: give --folder DIR")]
    NoUsualFolder,
    /// The file is there and cannot be read.
    #[error("settings file {} cannot be read: {source}", file.display())]
    Unreadable {
        /// The file.
        file: PathBuf,
        /// Why.
        source: std::io::Error,
    },
    /// It is no settings file.
    #[error("settings file {}: {detail}", file.display())]
    Malformed {
        /// The file.
        file: PathBuf,
        /// The parser's words.
        detail: String,
    },
    /// The device has not joined.
    #[error("this device has not joined a county: sponson join CODE --county HOST:PORT")]
    NotJoined,
    /// The county's TLS key is no such.
    #[error("settings: county_tls_key is not 64 hexadecimal digits: join again")]
    TlsKey,
    /// It cannot be written.
    #[error("settings file {} cannot be written: {source}", file.display())]
    Unwritable {
        /// The file.
        file: PathBuf,
        /// Why.
        source: std::io::Error,
    },
}

/// The folders of a replica.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Places {
    /// Folder of the store and the keys.
    pub data: PathBuf,
    /// The settings file.
    pub settings: PathBuf,
}

impl Places {
    /// The folder that was given, else the platform's usual ones for a program of this name.
    ///
    /// # Errors
    /// When none was given and the platform has no usual place.
    pub fn of(program: &str, folder: Option<&Path>) -> Result<Self, SettingsError> {
        if let Some(folder) = folder {
            return Ok(Self {
                data: folder.to_owned(),
                settings: folder.join(SETTINGS_FILE),
            });
        }
        let usual =
            directories::ProjectDirs::from("", "", program).ok_or(SettingsError::NoUsualFolder)?;
        Ok(Self {
            data: usual.data_dir().to_owned(),
            settings: usual.config_dir().join(SETTINGS_FILE),
        })
    }

    /// A file that the settings name: beside them when its path is not whole.
    #[must_use]
    pub fn beside(&self, file: &Path) -> PathBuf {
        let folder = self.settings.parent().unwrap_or(Path::new(""));
        folder.join(file)
    }
}

impl Settings {
    /// Reads the file; all settings are absent when there is none.
    ///
    /// # Errors
    /// When it is there and is not a settings file.
    pub fn read(file: &Path) -> Result<Self, SettingsError> {
        let text = match std::fs::read_to_string(file) {
            Ok(text) => text,
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => {
                return Ok(Self::default());
            }
            Err(source) => {
                return Err(SettingsError::Unreadable {
                    file: file.to_owned(),
                    source,
                });
            }
        };
        toml::from_str(&text).map_err(|error| SettingsError::Malformed {
            file: file.to_owned(),
            detail: error.to_string().trim_end().to_owned(),
        })
    }

    /// What a station's replica is: where its county is, and which key it pinned.
    ///
    /// # Errors
    /// When the device has not joined a county.
    pub fn station_side(&self) -> Result<Side, SettingsError> {
        let (Some(address), Some(key)) = (&self.county, &self.county_tls_key) else {
            return Err(SettingsError::NotJoined);
        };
        let key = HEXLOWER_PERMISSIVE
            .decode(key.as_bytes())
            .map_err(|_| SettingsError::TlsKey)?;
        Ok(Side::Station(CountyAt {
            address: address.clone(),
            tls_key: Digest::parse("county_tls_key", &key).map_err(|_| SettingsError::TlsKey)?,
        }))
    }

    /// The list of launch places, when one is set.
    #[must_use]
    pub fn launch_places(&self, places: &Places) -> Option<PathBuf> {
        self.places.as_ref().map(|file| places.beside(file))
    }

    /// The county's id, when it was noted.
    #[must_use]
    pub fn county_id(&self) -> Option<CountyId> {
        let bytes = HEXLOWER_PERMISSIVE.decode(self.county_id.as_ref()?.as_bytes());
        CountyId::parse("county_id", &bytes.ok()?).ok()
    }

    /// Keeps which county it is and where.
    pub fn set_county(&mut self, id: CountyId, at: &CountyAt) {
        self.county_id = Some(HEXLOWER_PERMISSIVE.encode(id.as_bytes()));
        self.county = Some(at.address.clone());
        self.county_tls_key = Some(at.tls_key.to_string());
    }

    /// Writes the file, and its folder when that is not there.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn write(&self, file: &Path) -> Result<(), SettingsError> {
        let unwritable = |source| SettingsError::Unwritable {
            file: file.to_owned(),
            source,
        };
        let text = toml::to_string(self)
            .map_err(|error| unwritable(std::io::Error::other(error.to_string())))?;
        if let Some(folder) = file.parent() {
            std::fs::create_dir_all(folder).map_err(unwritable)?;
        }
        replace(file, text.as_bytes()).map_err(unwritable)
    }
}

/// Writes beside, syncs, renames: a cut leaves the settings that were there, or the new ones.
fn replace(file: &Path, bytes: &[u8]) -> std::io::Result<()> {
    let beside = file.with_extension("toml.new");
    let mut written = std::fs::File::create(&beside)?;
    written.write_all(bytes)?;
    written.sync_all()?;
    std::fs::rename(&beside, file)?;
    match file.parent() {
        Some(folder) => std::fs::File::open(folder)?.sync_all(),
        None => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn settings_come_back_as_written() {
        let folder = tempfile::tempdir().expect("a folder");
        let places = Places::of("sponson", Some(folder.path())).expect("a folder was given");
        assert_eq!(
            Settings::read(&places.settings).expect("no file is fine"),
            Settings::default()
        );
        let settings = Settings {
            county: Some("county.example:7341".to_owned()),
            ..Settings::default()
        };
        settings.write(&places.settings).expect("writes");
        assert_eq!(Settings::read(&places.settings).expect("reads"), settings);
    }

    #[test]
    fn a_station_syncs_by_itself_unless_it_is_said_otherwise() {
        for (text, sync) in [
            ("", Some(SyncSetting::ByItself)),
            ("sync = \"by itself\"\n", Some(SyncSetting::ByItself)),
            ("sync = \"by hand\"\n", Some(SyncSetting::ByHand)),
            ("sync = \"never\"\n", None),
        ] {
            let read = toml::from_str::<Settings>(text).ok();
            assert_eq!(read.map(|settings| settings.sync), sync, "{text}");
        }
        let by_hand = Settings {
            sync: SyncSetting::ByHand,
            ..Settings::default()
        };
        let text = toml::to_string(&by_hand).expect("writes");
        assert_eq!(text, "sync = \"by hand\"\n");
    }

    #[test]
    fn a_setting_that_does_not_exist_is_named() {
        let folder = tempfile::tempdir().expect("a folder");
        let file = folder.path().join(SETTINGS_FILE);
        std::fs::write(&file, "countty = \"x\"\n").expect("writes");
        let error = Settings::read(&file).expect_err("unknown setting");
        assert!(error.to_string().contains("countty"), "{error}");
    }
}
