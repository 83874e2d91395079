//! Requests for pictures: the reference on the canvas, the photo as it came, the canvas as it hangs.

use std::sync::Arc;

use axum::extract::State;
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::http::{HeaderName, HeaderValue};
use axum::response::{IntoResponse, Response};
use painting::Document;
use photo::Photo;

use super::{stoppable_work, work};
use crate::answer::{Trouble, Troubles};
use crate::asked::PaintingId;
use crate::open_painting::Open;
use crate::state::Studio;
use crate::tones::no_photo;

type Shared = State<Arc<Studio>>;

/// For pictures under an address that changes with them, so that a browser may keep them.
pub(super) const KEPT: (HeaderName, HeaderValue) =
    (CACHE_CONTROL, HeaderValue::from_static("private, max-age=31536000, immutable"));

/// The picture that lies on the canvas.
#[utoipa::path(get, path = "/api/paintings/{id}/picture.jpg", params(("id" = String, Path)),
    responses((status = 200, body = Vec<u8>, content_type = "image/jpeg"), Troubles))]
pub(super) async fn picture(State(studio): Shared, PaintingId(id): PaintingId) -> Result<Response, Trouble> {
    jpeg_of(studio, id, |open, photo, document| open.pictures.display(photo, document)).await
}

/// The picture that lies on the canvas, finer, for the easel screen.
#[utoipa::path(get, path = "/api/paintings/{id}/easel.jpg", params(("id" = String, Path)),
    responses((status = 200, body = Vec<u8>, content_type = "image/jpeg"), Troubles))]
pub(super) async fn easel(State(studio): Shared, PaintingId(id): PaintingId) -> Result<Response, Trouble> {
    jpeg_of(studio, id, |open, photo, document| open.pictures.easel(photo, document)).await
}

/// The photo before any squaring up.
#[utoipa::path(get, path = "/api/paintings/{id}/original.jpg", params(("id" = String, Path)),
    responses((status = 200, body = Vec<u8>, content_type = "image/jpeg"), Troubles))]
pub(super) async fn original(State(studio): Shared, PaintingId(id): PaintingId) -> Result<Response, Trouble> {
    jpeg_of(studio, id, |open, photo, document| open.pictures.original(photo, document)).await
}

async fn jpeg_of(
    studio: Arc<Studio>,
    id: String,
    make: impl FnOnce(&Open, &Photo, &Document) -> Result<Arc<Vec<u8>>, Trouble> + Send + 'static,
) -> Result<Response, Trouble> {
    let jpeg = stoppable_work(move |stop| {
        let open = studio.open(&id)?;
        let document = open.present()?.document;
        let photo = open.photo(&document)?.ok_or_else(no_photo)?;
        make(&open, &photo.stopped_by(stop), &document)
    })
    .await?;
    Ok(([KEPT], [(CONTENT_TYPE, "image/jpeg")], jpeg.to_vec()).into_response())
}

/// The canvas with its picture, for the shelf.
#[utoipa::path(get, path = "/api/paintings/{id}/hanging.svg", params(("id" = String, Path)),
    responses((status = 200, body = String, content_type = "image/svg+xml"), Troubles))]
pub(super) async fn hanging(State(studio): Shared, PaintingId(id): PaintingId) -> Result<Response, Trouble> {
    let svg = work(move || {
        let open = studio.open(&id)?;
        let document = open.present()?.document;
        let photo = open.photo(&document)?;
        open.pictures.hanging(photo.as_deref(), &document)
    })
    .await?;
    Ok(([KEPT], [(CONTENT_TYPE, "image/svg+xml")], svg).into_response())
}
