//! Tells a page that what is held has changed: a station synced, an event was recorded.
//!
//! Says that, and nothing of what changed: the page asks anew, by the way that everything is asked.

use std::convert::Infallible;
use std::sync::Arc;

use axum::extract::Extension;
use axum::http::HeaderMap;
use axum::response::sse::{Event, Sse};
use axum::response::{IntoResponse as _, Response};
use sponson_replica::Held;
use tokio::sync::{OwnedSemaphorePermit, mpsc};
use tokio_stream::wrappers::ReceiverStream;

use super::Front;
use super::at::Reach;
use super::guard::busy;
use super::limits::{HEARTBEAT, TOLD_EVERY};
use super::visit::Visit;

/// How long a browser waits before it comes again, milliseconds.
const AGAIN_MS: u64 = 3000;

type Told = mpsc::Sender<Result<Event, Infallible>>;

/// Tells of changes until the page goes, the session ends, or the server does.
pub async fn tell(
    Extension(front): Extension<Arc<Front>>,
    Extension(visit): Extension<Visit>,
    headers: HeaderMap,
) -> Response {
    let Ok(room) = Arc::clone(&front.listeners).try_acquire_owned() else {
        return busy(&front);
    };
    let last = headers.get("last-event-id");
    let last = last.and_then(|it| it.to_str().ok()).map(str::to_owned);
    let (sender, receiver) = mpsc::channel(1);
    tokio::spawn(listen(front, visit, last, sender, room));
    Sse::new(ReceiverStream::new(receiver)).into_response()
}

async fn listen(
    front: Arc<Front>,
    visit: Visit,
    last: Option<String>,
    sender: Told,
    _room: OwnedSemaphorePermit,
) {
    let mut changes = front.door.changes();
    let mut told = front.told.clone();
    let held = *changes.borrow_and_update();
    let begin = Event::default().retry(std::time::Duration::from_millis(AGAIN_MS));
    // Whoever comes again and missed something hears it at once.
    let begin = match last {
        Some(last) if last != id(held) => {
            news(held).retry(std::time::Duration::from_millis(AGAIN_MS))
        }
        Some(_) | None => begin.id(id(held)).comment("listening"),
    };
    if sender.send(Ok(begin)).await.is_err() {
        return;
    }
    loop {
        let event = tokio::select! {
            changed = changes.changed() => match changed {
                Ok(()) => news(*changes.borrow_and_update()),
                Err(_) => return,
            },
            () = tokio::time::sleep(HEARTBEAT) => Event::default().event("still").data("here"),
            _ = told.changed() => return,
            () = sender.closed() => return,
        };
        if !still(&front, &visit).await || sender.send(Ok(event)).await.is_err() {
            return;
        }
        // What comes meanwhile is told as one.
        tokio::time::sleep(TOLD_EVERY).await;
    }
}

/// Whether the session that listens goes on.
pub(crate) async fn still(front: &Front, visit: &Visit) -> bool {
    let Some(session) = &visit.session else {
        return visit.reach == Reach::Machine;
    };
    let now = front.door.now().unix_ms;
    let visitors = front.door.visitors().lock().await;
    visitors.who(session, now).is_some()
}

fn news(held: Held) -> Event {
    Event::default().id(id(held)).data(id(held))
}

/// What is held, for telling one state from another.
fn id(held: Held) -> String {
    let heard = held.heard_ms_sum;
    format!("{}-{}-{heard}", held.events, held.county_size)
}
