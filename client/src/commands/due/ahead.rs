//! How far it is looked ahead, and at which station and craft: as the command takes it and as the
//! county's page does.

use clap::Args;
use sponson_proto::event::v1::SubjectType;
use sponson_proto::service::v1::AheadRequest;
use sponson_readiness::standard::Every;
use sponson_show::dates;

use crate::catalogue::Catalogue;
use crate::error::CommandError;

/// How far ahead, and where.
#[derive(Args, Clone, Debug, Default)]
pub struct Ahead {
    /// List what comes due by station and week, over this time: for example "6 months"; a year when
    /// no time is given.
    #[arg(long, value_name = "PERIOD", num_args = 0..=1, default_missing_value = "1 year")]
    pub ahead: Option<String>,
    /// Only what is at this station.
    #[arg(long, value_name = "NAME")]
    pub station: Option<String>,
    /// Only what is on this craft.
    #[arg(long, value_name = "NUMBER")]
    pub craft: Option<String>,
}

impl Ahead {
    /// Whether any of it is given.
    #[must_use]
    pub const fn is_given(&self) -> bool {
        self.ahead.is_some() || self.station.is_some() || self.craft.is_some()
    }

    /// The request for it: now, and no form of it yet.
    ///
    /// # Errors
    /// When a time is none, or a name is not known.
    pub fn request(&self, catalogue: &Catalogue) -> Result<AheadRequest, CommandError> {
        let (days, months) = match &self.ahead {
            None => (0, 0),
            Some(text) => match dates::every("--ahead", text)? {
                Every::Days(days) => (days, 0),
                Every::Months(months) => (0, months),
            },
        };
        let of = |kind: SubjectType, name: &Option<String>| {
            let name = name.as_deref();
            let entry = name.map(|name| catalogue.find(&[kind], name)).transpose()?;
            Ok::<_, CommandError>(entry.map(|entry| entry.id.clone()).unwrap_or_default())
        };
        Ok(AheadRequest {
            days,
            months,
            station: of(SubjectType::Station, &self.station)?,
            craft: of(SubjectType::Craft, &self.craft)?,
            ..AheadRequest::default()
        })
    }
}
