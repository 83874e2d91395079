//! The interface between page and server: which request does what.

mod painting;
mod shelf;

use std::sync::Arc;
use std::time::Duration;

use axum::extract::DefaultBodyLimit;
use axum::http::HeaderMap;
use axum::middleware::from_fn_with_state;
use axum::routing::{get, post};
use axum::{Json, Router};
use serde_json::{Value, json};
use tokio::task::spawn_blocking;
use tokio::time::timeout;

use crate::answer::Trouble;
use crate::state::Studio;
use crate::{guard, web};

/// The most bytes of a request that is no picture and no painting: many times the longest edit.
const MAX_REQUEST_BYTES: usize = 64 * 1024;

/// The longest an answer may take: squaring up and printing the largest photo on a slow computer.
const LONGEST_ANSWER: Duration = Duration::from_mins(2);

pub(crate) fn router(studio: Arc<Studio>) -> Router {
    let one = Router::new()
        .route("/", get(painting::state))
        .route("/edits", post(painting::edit))
        .route("/try", post(painting::try_edit))
        .route("/title", post(painting::title))
        .route("/undo", post(painting::undo))
        .route("/redo", post(painting::redo))
        .route("/photo", post(painting::photo).layer(DefaultBodyLimit::disable()))
        .route("/picture.jpg", get(painting::picture))
        .route("/original.jpg", get(painting::original))
        .route("/hanging.svg", get(painting::hanging))
        .route("/packet.pdf", get(painting::packet))
        .route("/sheets", get(painting::sheets))
        .route("/events", get(painting::events))
        .route("/duplicate", post(shelf::duplicate))
        .route("/take-down", post(shelf::take_down))
        .route("/hang-again", post(shelf::hang_again));
    Router::new()
        .route("/", get(|headers: HeaderMap| async move { web::page("shelf.html", &headers) }))
        .route(
            "/painting/{id}",
            get(|headers: HeaderMap| async move { web::page("worktable.html", &headers) }),
        )
        .route("/web/{*name}", get(web::file))
        .route("/api/shelf", get(shelf::shelf))
        .route("/api/sizes", get(sizes))
        .route("/api/printers", get(shelf::printers).put(shelf::keep_printers))
        .route("/api/paintings", post(shelf::create))
        .route("/api/paintings/import", post(shelf::import).layer(DefaultBodyLimit::disable()))
        .nest("/api/paintings/{id}", one)
        .fallback(async || Trouble::new(axum::http::StatusCode::NOT_FOUND, "There is no such page."))
        .layer(DefaultBodyLimit::max(MAX_REQUEST_BYTES))
        .layer(from_fn_with_state(Arc::clone(&studio), guard::door))
        .with_state(studio)
}

/// Does work that waits for disk or processor off the threads that answer, and bounds how long it is waited for.
async fn work<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, Trouble> + Send + 'static,
) -> Result<T, Trouble> {
    match timeout(LONGEST_ANSWER, spawn_blocking(work)).await {
        Ok(Ok(done)) => done,
        Ok(Err(panicked)) => Err(Trouble::own_fault(panicked)),
        Err(_) => Err(Trouble::refused("This takes too long. Try a smaller photo, or another computer.")),
    }
}

/// The standard sizes of canvases.
async fn sizes() -> Json<Value> {
    let sizes: Vec<Value> = plan::standard_sizes()
        .into_iter()
        .map(|standard| {
            let unit = if standard.name.ends_with("in") { plan::Unit::Inch } else { plan::Unit::Centimetre };
            json!({
                "name": standard.name,
                "width": standard.size.width.in_unit(unit),
                "height": standard.size.height.in_unit(unit),
            })
        })
        .collect();
    Json(json!({ "sizes": sizes }))
}

#[cfg(test)]
mod tests;
