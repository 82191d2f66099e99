//! Tells a round that something about the checks under way has changed. Says that, and nothing of what:
//! the page asks anew.

use std::convert::Infallible;
use std::sync::Arc;
use std::time::Duration;

use axum::extract::{Extension, State};
use axum::response::sse::{Event, Sse};
use axum::response::{IntoResponse as _, Response};
use tokio::sync::{OwnedSemaphorePermit, mpsc};
use tokio_stream::wrappers::ReceiverStream;

use crate::pages::state::Pages;
use crate::web::changes::still;
use crate::web::guard::busy;
use crate::web::limits::HEARTBEAT;
use crate::web::visit::Visit;

/// How long a browser waits before it comes again.
const AGAIN: Duration = Duration::from_millis(2000);

type Told = mpsc::Sender<Result<Event, Infallible>>;

/// Tells of changes until the page goes, the session ends, or the station does.
pub(in crate::pages) async fn tell(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
) -> Response {
    let Ok(room) = Arc::clone(&pages.front.listeners).try_acquire_owned() else {
        return busy(&pages.front);
    };
    let (sender, receiver) = mpsc::channel(1);
    tokio::spawn(listen(pages, visit, sender, room));
    Sse::new(ReceiverStream::new(receiver)).into_response()
}

async fn listen(pages: Arc<Pages>, visit: Visit, sender: Told, _room: OwnedSemaphorePermit) {
    let Ok(mut changes) = pages.door.watch_under_way() else {
        return;
    };
    let mut told = pages.front.told.clone();
    let now = *changes.borrow_and_update();
    let begin = news(now).retry(AGAIN);
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
        if !still(&pages.front, &visit).await || sender.send(Ok(event)).await.is_err() {
            return;
        }
    }
}

fn news(changes: u64) -> Event {
    Event::default().event("change").data(changes.to_string())
}
