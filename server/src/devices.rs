//! The devices of the county by the names that a lead gives them, and in words. Asks the local
//! service once; decides nothing.

use sponson_client::CommandError;
use sponson_client::catalogue::{ID_DIGITS_MIN, LookupError, hex, short_event};
use sponson_client::near::near;
use sponson_client::session::Session;
use sponson_proto::event::v1::{KeyEndReason, Role};
use sponson_proto::service::v1::{ChainReply, ChainRequest, Device, DevicesRequest};
use sponson_show::clean;

/// All devices.
#[derive(Clone, Debug)]
pub struct Devices(Vec<Device>);

impl Devices {
    /// Asks the service for them.
    ///
    /// # Errors
    /// When the service fails.
    pub async fn fetch(session: &mut Session<'_>) -> Result<Self, CommandError> {
        let reply = session.service().devices(DevicesRequest {}).await?;
        Ok(Self(reply.into_inner().devices))
    }

    /// By station and in the order of admission; what is not admitted last.
    #[must_use]
    pub fn in_order(&self) -> Vec<&Device> {
        let mut devices: Vec<&Device> = self.0.iter().collect();
        devices.sort_by_key(|device| {
            (
                !device.admitted,
                !device.station.is_empty(),
                &device.station,
                device.epoch,
            )
        });
        devices
    }

    /// Finds one by `STATION/NUMBER`, by its station when only one of its devices is not ended, by
    /// what people call it, or by the beginning of its key.
    ///
    /// # Errors
    /// When there is none, or more than one.
    pub fn find(&self, name: &str) -> Result<&Device, LookupError> {
        let wanted = name.trim();
        let by = |fits: &dyn Fn(&Device) -> bool| -> Vec<&Device> {
            self.0.iter().filter(|device| fits(device)).collect()
        };
        let is_key = wanted.len() >= ID_DIGITS_MIN && wanted.bytes().all(|b| b.is_ascii_hexdigit());
        let digits = wanted.to_ascii_lowercase();
        let ways = [
            by(&|device| name_of(device) == wanted),
            by(&|device| is_key && hex(&device.key).starts_with(&digits)),
            by(&|device| device.admitted && device.device == wanted),
            by(&|device| device.station == wanted && device.ended_at.is_none()),
            by(&|device| device.station == wanted),
        ];
        match ways
            .iter()
            .find(|found| !found.is_empty())
            .map(Vec::as_slice)
        {
            Some([one]) => Ok(one),
            Some(several) => Err(LookupError::Several {
                name: clean(name),
                ids: several.iter().map(|device| name_of(device)).collect(),
            }),
            None => {
                let names: Vec<String> = self.0.iter().map(name_of).collect();
                Err(LookupError::Unknown {
                    what: "device",
                    name: clean(name),
                    near: near(wanted, names.iter().map(String::as_str)),
                })
            }
        }
    }
}

/// Asks for the chain of a device: what is unconfirmed of it, and what stands at a seq.
///
/// # Errors
/// When the service fails.
pub async fn chain(
    session: &mut Session<'_>,
    device: &Device,
    seq: u64,
) -> Result<ChainReply, CommandError> {
    let request = ChainRequest {
        key: device.key.clone(),
        seq,
    };
    Ok(session.service().chain(request).await?.into_inner())
}

/// The name by which a device is found: `STATION/NUMBER`, or the beginning of its key.
#[must_use]
pub fn name_of(device: &Device) -> String {
    if device.station.is_empty() {
        return short_event(&device.key);
    }
    format!("{}/{}", clean(&device.station), device.epoch)
}

/// Its name, and what people call it.
#[must_use]
pub fn called(device: &Device) -> String {
    let name = name_of(device);
    if device.device.is_empty() {
        return name;
    }
    format!("{name} ({})", clean(&device.device))
}

/// Roles in words.
#[must_use]
pub fn roles(roles: impl IntoIterator<Item = Role>) -> String {
    let words: Vec<&str> = roles.into_iter().map(role_word).collect();
    words.join(", ")
}

const fn role_word(role: Role) -> &'static str {
    match role {
        Role::Unspecified => "none",
        Role::Crew => "crew",
        Role::Maintenance => "maintenance",
        Role::Coordinator => "coordinator",
        Role::Lead => "lead",
        Role::County => "county",
        Role::Reader => "reader",
    }
}

/// Why a key ended, in words.
#[must_use]
pub const fn reason_word(reason: KeyEndReason) -> &'static str {
    match reason {
        KeyEndReason::Unspecified => "no reason given",
        KeyEndReason::Lost => "lost",
        KeyEndReason::Replaced => "replaced",
        KeyEndReason::Copied => "copied",
        KeyEndReason::Retired => "retired",
    }
}

/// How far what it recorded counts.
#[must_use]
pub fn counts(device: &Device) -> String {
    let mut said = Vec::new();
    if !device.admitted {
        said.push("not admitted".to_owned());
    }
    if let Some(last) = device.ended_at {
        let reason = reason_word(device.end_reason());
        said.push(if last == 0 {
            format!("ended, nothing of it counts ({reason})")
        } else {
            format!("ended after entry {last} ({reason})")
        });
    } else if let Some(parted) = device.parted_at {
        said.push(format!(
            "copied or restored: counts before entry {parted}, until revoked"
        ));
    }
    if device.unconfirmed > 0 {
        said.push(format!("{} unconfirmed", entries(device.unconfirmed)));
    }
    if device.dismissed > 0 {
        said.push(format!("{} dismissed", entries(device.dismissed)));
    }
    if device.after_dismissal > 0 {
        let more = entries(device.after_dismissal);
        said.push(format!("{more} of them came after the dismissal"));
    }
    if said.is_empty() {
        "all".to_owned()
    } else {
        said.join("; ")
    }
}

/// `1 entry`, `2 entries`.
#[must_use]
pub fn entries(number: u64) -> String {
    if number == 1 {
        return "1 entry".to_owned();
    }
    format!("{number} entries")
}
