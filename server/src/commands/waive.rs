//! `waive`: signed permission to go with restrictive faults.

use clap::Args;
use sponson_client::CommandError;
use sponson_client::catalogue::{short_fault, subject};
use sponson_client::session::{Record, Session};
use sponson_proto::event::v1::{FaultRef, Kind, WaiverGranted};
use sponson_show::terminal::Exit;
use sponson_show::{clean, dates};

use crate::error::CountyError;

/// Permit a craft to go with restrictive faults, for named missions and until a time.
#[derive(Args, Debug)]
pub struct WaiveArgs {
    /// Number of the craft.
    craft: String,
    /// Short names of the faults, for example 1a2b3c4d-0.
    #[arg(required = true)]
    fault: Vec<String>,
    /// Mission that is permitted. May be given again.
    #[arg(long, required = true)]
    mission: Vec<String>,
    /// End of the permission, for example "2026-03-14 18:00".
    #[arg(long, value_name = "TIME")]
    until: String,
    /// In words.
    #[arg(long)]
    note: Option<String>,
}

/// Records the waiver.
///
/// # Errors
/// When a name is not known, the fault is not restrictive, the end has passed, or the service
/// refuses.
pub async fn run(args: &WaiveArgs, session: &mut Session<'_>) -> Result<Exit, CountyError> {
    let catalogue = session.catalogue().await?;
    let craft = catalogue.craft(&args.craft)?;
    let standard = catalogue.standard(craft)?.standard;
    let until = dates::moment("--until", &args.until, catalogue.policy().utc_offset_min)
        .map_err(CommandError::from)?;
    if until.0 <= session.now_unix_ms() {
        return Err(refused(
            "--until",
            &args.until,
            "it has passed: give a later time",
        ));
    }
    let mut faults = Vec::new();
    for name in &args.fault {
        let fault = catalogue.fault(craft, name)?;
        if fault.severity != "restrictive" {
            let said = format!(
                "{}, which is {}",
                short_fault(fault),
                clean(&fault.severity)
            );
            return Err(refused(
                "FAULT",
                &said,
                "only a restrictive fault can be waived",
            ));
        }
        faults.push(FaultRef {
            event: fault.event.clone(),
            ordinal: fault.ordinal,
        });
    }
    for mission in &args.mission {
        if !standard.missions.keys().any(|id| id.as_str() == mission) {
            let ids: Vec<&str> = standard.missions.keys().map(|id| id.as_str()).collect();
            let limit = format!("its boat standard has {}", ids.join(", "));
            return Err(refused("--mission", mission, &limit));
        }
    }
    let message = WaiverGranted {
        faults,
        missions: args.mission.clone(),
        until_unix_ms: until.0,
    };
    let record = Record::about([subject(craft)]).note(args.note.as_deref());
    let event = session
        .record(Kind::WaiverGranted, &message, record)
        .await?;
    let said = format!(
        "{}: may go for {} until {}",
        clean(&craft.number),
        args.mission.join(", "),
        clean(&args.until)
    );
    session.recorded(&said, &event)?;
    Ok(Exit::Fine)
}

fn refused(field: &str, value: &str, limit: &str) -> CountyError {
    CountyError::Command(CommandError::Refused {
        field: field.to_owned(),
        value: clean(value),
        limit: limit.to_owned(),
    })
}
