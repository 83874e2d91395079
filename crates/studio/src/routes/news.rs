//! News of a painting, for the pages that show it.

use std::convert::Infallible;
use std::sync::Arc;
use std::time::Duration;

use axum::extract::State;
use axum::response::sse::{Event, KeepAlive, Sse};
use axum::response::{IntoResponse, Response};
use painting::Revision;
use serde::Serialize;
use tokio::sync::{mpsc, watch};
use tokio_stream::StreamExt as _;
use utoipa::ToSchema;

use super::work;
use crate::answer::{Trouble, Troubles};
use crate::asked::PaintingId;
use crate::open_painting::{News, Open};
use crate::state::Studio;

/// How often a file is looked at for changes that another program made.
const LOOK_EVERY: Duration = Duration::from_secs(2);

/// The event `changed`.
#[derive(Serialize, ToSchema)]
pub(super) struct Changed {
    /// The revision that the painting has now.
    #[schema(value_type = i64)]
    revision: Revision,
}

/// The event `working`.
#[derive(Serialize, ToSchema)]
pub(crate) struct Working {
    /// What is being done, in words.
    saying: String,
}

/// Server-sent events (WHATWG HTML) until the page goes or the studio stops: `changed` ([`Changed`]) for every change,
/// whoever made it, `working` ([`Working`]) while something takes a while, and `chosen` when something beside the plan was chosen.
#[utoipa::path(get, path = "/api/paintings/{id}/events", params(("id" = String, Path)),
    responses((status = 200, body = Changed, content_type = "text/event-stream"), Troubles))]
pub(super) async fn events(
    State(studio): State<Arc<Studio>>,
    PaintingId(id): PaintingId,
) -> Result<Response, Trouble> {
    stream(studio, id, std::future::pending()).await
}

/// The events of a painting, until `until` is done as well.
pub(super) async fn stream(
    studio: Arc<Studio>,
    id: String,
    until: impl Future<Output = ()> + Send + 'static,
) -> Result<Response, Trouble> {
    let opener = Arc::clone(&studio);
    let open = work(move || opener.open(&id)).await?;
    let (sender, receiver) = mpsc::channel(4);
    let closing = studio.closing();
    tokio::spawn(async move {
        tokio::select! {
            () = until => {}
            () = tell(open, closing, sender) => {}
        }
    });
    let events = tokio_stream::wrappers::ReceiverStream::new(receiver).map(Ok::<Event, Infallible>);
    Ok(Sse::new(events).keep_alive(KeepAlive::default()).into_response())
}

async fn tell(open: Arc<Open>, mut closing: watch::Receiver<bool>, page: mpsc::Sender<Event>) {
    let mut news = open.news();
    let mut look = tokio::time::interval(LOOK_EVERY);
    let mut told = None;
    loop {
        let heard = tokio::select! {
            // A studio that began to close before this was asked for is heard too.
            _ = closing.wait_for(|closes| *closes) => return,
            () = page.closed() => return,
            heard = news.recv() => heard.ok(),
            _ = look.tick() => None,
        };
        let event = match heard {
            Some(News::Working(saying)) => Event::default().event("working").json_data(Working { saying }),
            // Without data a browser drops an event (WHATWG HTML, 9.2.6).
            Some(News::Chosen) => Ok(Event::default().event("chosen").data("beside the plan")),
            Some(News::Changed(revision)) => match changed(revision, &mut told) {
                Some(event) => event,
                None => continue,
            },
            None => {
                let looked_at = Arc::clone(&open);
                let look = move || Ok(looked_at.is_there().then(|| looked_at.revision_at_once()));
                let Ok(Some(now)) = work(look).await else { return };
                match now.and_then(|now| changed(now, &mut told)) {
                    Some(event) => event,
                    None => continue,
                }
            }
        };
        let Ok(event) = event else { return };
        if page.send(event).await.is_err() {
            return;
        }
    }
}

/// The event that tells of a revision, if it is news.
fn changed(revision: Revision, told: &mut Option<Revision>) -> Option<Result<Event, axum::Error>> {
    if *told == Some(revision) {
        return None;
    }
    *told = Some(revision);
    Some(Event::default().event("changed").json_data(Changed { revision }))
}
