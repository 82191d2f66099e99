//! The check that a running service goes on with: slowly, so that nobody waits for it.

use std::time::Duration;

use sponson_proto::service::v1::AboutReply;
use sponson_replica::{Scrubbed, Upkeep};

use crate::shared::{Gone, Shared};

/// Events that are checked at a time: 100 signatures take about 10 ms, which is what a command may
/// have to wait.
const EVENTS_AT_ONCE: u64 = 100;

/// Pause between two of these: a county's 100,000 events take 17 minutes then.
const PAUSE: Duration = Duration::from_secs(1);

/// Pause between two passes. A disk that goes bad is known within a day's work.
const BETWEEN_PASSES: Duration = Duration::from_secs(3_600);

/// Checks again and again, until the replica is closed. What is found goes to the program's log
/// and into `about`.
pub(super) async fn scrub(shared: Shared) {
    while let Ok(scrubbed) = few(&shared).await {
        let pause = match scrubbed {
            Scrubbed::More => PAUSE,
            Scrubbed::Pass => {
                if disk(&shared).await.is_err() || tell(&shared).await.is_err() {
                    return;
                }
                BETWEEN_PASSES
            }
        };
        tokio::time::sleep(pause).await;
    }
}

async fn few(shared: &Shared) -> Result<Scrubbed, Gone> {
    let now = shared.clock().now().unix_ms;
    shared
        .call(move |replica| replica.scrub(EVENTS_AT_ONCE, now))
        .await
}

/// Reads a copy of the files. One that was made while the engine tidied up may not be whole, so
/// only what two in a row show is damage.
async fn disk(shared: &Shared) -> Result<(), Gone> {
    let mut lines = Vec::new();
    for _ in 0..2 {
        let copy = shared.call(|replica| replica.copy_for_check()).await?;
        let Some(copy) = copy else {
            return Ok(());
        };
        let checked = tokio::task::spawn_blocking(move || copy.check()).await;
        lines = checked.map_err(|_| Gone::Broken)?;
        if lines.is_empty() {
            break;
        }
    }
    shared.call(move |replica| replica.note_disk(lines)).await
}

/// Says what a pass found; damage was told as it was found.
async fn tell(shared: &Shared) -> Result<(), Gone> {
    let upkeep = shared.call(|replica| replica.upkeep()).await?;
    if upkeep.is_swollen() {
        tracing::warn!(
            store.disk_bytes = upkeep.disk_bytes,
            store.event_bytes = upkeep.event_bytes,
            "{}",
            Upkeep::SWOLLEN
        );
    }
    if upkeep.is_nearly_full() {
        tracing::warn!(
            disk.free_bytes = upkeep.free_bytes,
            "{}",
            Upkeep::NEARLY_FULL
        );
    }
    tracing::info!(store.damage = upkeep.damage.len(), "the store was checked");
    Ok(())
}

/// What `about` says of it.
pub(super) fn add(reply: AboutReply, upkeep: Upkeep) -> AboutReply {
    let mut room_warnings = Vec::new();
    if upkeep.is_swollen() {
        room_warnings.push(Upkeep::SWOLLEN.to_owned());
    }
    if upkeep.is_nearly_full() {
        room_warnings.push(Upkeep::NEARLY_FULL.to_owned());
    }
    AboutReply {
        disk_bytes: upkeep.disk_bytes,
        free_bytes: upkeep.free_bytes,
        event_bytes: upkeep.event_bytes,
        checked_unix_ms: upkeep.checked_unix_ms,
        damage: upkeep.damage,
        room_warnings,
        ..reply
    }
}
