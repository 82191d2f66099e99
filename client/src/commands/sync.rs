//! `sync`: meets the county now.

use clap::Args;
use sponson_proto::event::v1::LogBegunReason;
use sponson_proto::service::v1::{SyncNowReply, SyncNowRequest, SyncReport};
use sponson_show::clean;
use sponson_show::terminal::Exit;
use sponson_show::units::print;

use crate::clock_words;
use crate::error::CommandError;
use crate::progress::Progress;
use crate::session::Session;

/// Meet the county now: send what it lacks, fetch what is new there.
#[derive(Args, Debug)]
pub struct SyncArgs {}

/// Syncs.
///
/// # Errors
/// When the county cannot be reached, or something of this device was refused.
pub async fn run(_args: &SyncArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let mut stream = session
        .service()
        .sync_now(SyncNowRequest {})
        .await?
        .into_inner();
    let mut progress = Progress::start(session.terminal().attended(), "sync");
    let mut last = SyncNowReply::default();
    while let Some(reply) = stream.message().await? {
        let total = reply.to_send.saturating_add(reply.to_receive);
        progress.at(reply.sent.saturating_add(reply.received), total);
        last = reply;
    }
    progress.end();
    let Some(report) = last.report else {
        return Err(CommandError::Refused {
            field: "sync".to_owned(),
            value: "without an end".to_owned(),
            limit: "nothing is lost: try again".to_owned(),
        });
    };
    session.terminal().result(&said(&report))?;
    if let Some(line) = pictures(&report) {
        session.terminal().result(&line)?;
    }
    for why in &report.pictures_said {
        let line = format!("pictures: {}", clean(why));
        session.terminal().talk(&line)?;
    }
    if let Some(line) = moved(&report) {
        session.terminal().talk(&line)?;
    }
    for refusal in &report.refusals {
        session
            .terminal()
            .talk(&format!("refused: {}", clean(refusal)))?;
    }
    if let Some(off) = report.measured_offset_ms {
        let line = format!("clock: {}", clock_words::measured(off));
        let line = if clock_words::is_off(off) {
            format!("{line}: set it")
        } else {
            line
        };
        session.terminal().talk(&line)?;
    }
    let about = session.about().await?;
    if let Some(doubt) = super::about::doubt(&about) {
        session
            .terminal()
            .talk(&format!("tell the lead: {doubt}"))?;
    }
    Ok(if report.refused == 0 {
        Exit::Fine
    } else {
        Exit::Refused
    })
}

/// What the county lost, and got back from here.
fn moved(report: &SyncReport) -> Option<String> {
    let moved = report.moved.as_ref()?;
    let what = match moved.reason() {
        LogBegunReason::Restored => "the county was restored from a backup",
        LogBegunReason::Shown => "the county had been put back to an older state",
        LogBegunReason::Unspecified => "the county began its log anew",
    };
    Some(match report.given_back {
        0 => format!("{what}; it had lost nothing that this station holds"),
        1 => format!("{what}; this station held 1 entry that it had lost: it is back"),
        many => {
            format!("{what}; this station held {many} entries that it had lost: they are back")
        }
    })
}

/// What became of the pictures; nothing when there are none.
fn pictures(report: &SyncReport) -> Option<String> {
    let pictures = |number: u64| print::count(i64::try_from(number).unwrap_or(i64::MAX), "picture");
    let parts = [
        (report.pictures_sent, "sent"),
        (report.pictures_fetched, "fetched"),
        (report.pictures_waiting, "still waiting to go"),
        (report.pictures_to_fetch, "still to come"),
    ];
    let said: Vec<String> = parts
        .iter()
        .filter(|(number, _)| *number > 0)
        .map(|(number, what)| format!("{} {what}", pictures(*number)))
        .collect();
    (!said.is_empty()).then(|| said.join(", "))
}

fn said(report: &SyncReport) -> String {
    let events = |number: u64| print::count(i64::try_from(number).unwrap_or(i64::MAX), "event");
    let mut said = format!(
        "sent {}, received {}",
        events(report.sent),
        events(report.received)
    );
    if report.refused > 0 {
        said.push_str(&format!(", {} refused", events(report.refused)));
    }
    let waiting = if report.waiting == 0 {
        "nothing waits".to_owned()
    } else {
        format!("{} still waiting", events(report.waiting))
    };
    format!("{said}; {waiting}")
}
