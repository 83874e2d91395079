//! The interface between page and server: which request does what.

mod check_pictures;
mod checks;
mod choices;
mod dividers;
mod house;
mod lenses;
mod news;
mod notes;
mod own_file;
mod painted;
mod painting;
mod paper;
mod pictures;
mod second_screen;
mod shelf;
mod tones;

use std::sync::Arc;
use std::time::Duration;

use axum::extract::DefaultBodyLimit;
use axum::http::StatusCode;
use axum::middleware::{from_fn, from_fn_with_state};
use axum::routing::get;
use axum::{Json, Router};
use photo::Stop;
use serde::Serialize;
use tokio::task::spawn_blocking;
use tokio::time::timeout;
use utoipa::{OpenApi, ToSchema};
use utoipa_axum::router::{OpenApiRouter, UtoipaMethodRouterExt as _};
use utoipa_axum::routes;

use crate::answer::Trouble;
use crate::description::{Description, every_answer_is_whole};
use crate::lingering::heard_out;
use crate::state::Studio;
use crate::{guard, web};
pub(crate) use house::{CodeTyped, LetIn, Shown, router as house_router};
pub(crate) use news::Working;

/// The most bytes of a request that is no picture and no painting: many times the longest edit.
const MAX_REQUEST_BYTES: usize = 64 * 1024;

/// The longest an answer may take: squaring up and printing the largest photo on a slow computer.
const LONGEST_ANSWER: Duration = Duration::from_mins(2);

pub(crate) fn router(studio: Arc<Studio>) -> Router {
    let files = || DefaultBodyLimit::disable();
    let (asked, mut described) = OpenApiRouter::with_openapi(Description::openapi())
        .routes(routes!(shelf::shelf))
        .routes(routes!(shelf::taken_down))
        .routes(routes!(sizes))
        .routes(routes!(shelf::printers, shelf::keep_printers))
        .routes(routes!(shelf::create))
        .routes(routes!(shelf::import).layer(files()))
        .routes(routes!(shelf::duplicate))
        .routes(routes!(shelf::take_down))
        .routes(routes!(shelf::discard))
        .routes(routes!(shelf::hang_again))
        .routes(routes!(painting::state))
        .routes(routes!(own_file::own_file))
        .routes(routes!(choices::choices, choices::choose))
        .routes(routes!(notes::notes, notes::keep_notes).layer(DefaultBodyLimit::max(notes::MAX_NOTES_BYTES)))
        .routes(routes!(painting::edit))
        .routes(routes!(painting::try_edit))
        .routes(routes!(painting::title))
        .routes(routes!(painting::undo))
        .routes(routes!(painting::redo))
        .routes(routes!(painting::photo).layer(files()))
        .routes(routes!(pictures::picture))
        .routes(routes!(pictures::easel))
        .routes(routes!(pictures::original))
        .routes(routes!(pictures::hanging))
        .routes(routes!(tones::toned))
        .routes(routes!(tones::tone_length))
        .routes(routes!(tones::spot))
        .routes(routes!(tones::exposure))
        .routes(routes!(tones::value_steps))
        .routes(routes!(dividers::dividers))
        .routes(routes!(paper::packet))
        .routes(routes!(paper::sheets))
        .routes(routes!(paper::sheet))
        .routes(routes!(checks::canvas_photo).layer(files()))
        .routes(routes!(check_pictures::canvas_picture))
        .routes(routes!(checks::checks, checks::measure))
        .routes(routes!(checks::check, painted::change, checks::remove))
        .routes(routes!(check_pictures::squared_up))
        .routes(routes!(check_pictures::difference))
        .routes(routes!(check_pictures::sheet))
        .routes(routes!(lenses::all))
        .routes(routes!(lenses::measure))
        .routes(routes!(lenses::forget))
        .routes(routes!(news::events))
        .routes(routes!(second_screen::second_screens, second_screen::door))
        .routes(routes!(second_screen::code))
        .routes(routes!(second_screen::send_away))
        .split_for_parts();
    every_answer_is_whole(&mut described);
    let described = Arc::new(described);
    asked
        .route("/openapi.json", get(async move || Json(Arc::clone(&described).as_ref().clone())))
        .route("/", get(web::shelf))
        .route("/painting/{id}", get(web::worktable))
        .route("/easel/{id}", get(web::easel))
        .route("/web/{*name}", get(web::file))
        .fallback(async || Trouble::new(StatusCode::NOT_FOUND, "There is no such page."))
        .method_not_allowed_fallback(async || {
            Trouble::new(StatusCode::METHOD_NOT_ALLOWED, "The studio does not do this with that address.")
        })
        .layer(DefaultBodyLimit::max(MAX_REQUEST_BYTES))
        .layer(from_fn_with_state(Arc::clone(&studio), guard::door))
        .layer(from_fn(heard_out))
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

/// The same for work that looks from time to time whether to stop: it stops when the page goes away or no longer waits, and
/// when it has been waited for too long.
async fn stoppable_work<T: Send + 'static>(
    work: impl FnOnce(&Stop) -> Result<T, Trouble> + Send + 'static,
) -> Result<T, Trouble> {
    // The request's future is dropped when nobody waits for it any more, and this with it.
    struct Waiting(Stop);
    impl Drop for Waiting {
        fn drop(&mut self) {
            self.0.stop();
        }
    }
    let waiting = Waiting(Stop::default());
    let stop = waiting.0.clone();
    self::work(move || work(&stop)).await
}

/// The standard sizes of canvases.
#[derive(Serialize, ToSchema)]
struct StandardSizes {
    sizes: Vec<StandardSize>,
}

/// A standard size of canvas.
#[derive(Serialize, ToSchema)]
struct StandardSize {
    /// Its name in the trade.
    name: String,
    /// Its width as text.
    width: String,
    /// Its height as text.
    height: String,
}

/// The standard sizes of canvases.
#[utoipa::path(get, path = "/api/sizes", responses((status = 200, body = StandardSizes)))]
async fn sizes() -> Json<StandardSizes> {
    let sizes = plan::standard_sizes().into_iter().map(|standard| {
        let (width, height) =
            (standard.size.width.in_unit(standard.unit), standard.size.height.in_unit(standard.unit));
        StandardSize { name: standard.name, width, height }
    });
    Json(StandardSizes { sizes: sizes.collect() })
}

#[cfg(test)]
mod tests;
