//! Requests about the lenses of phones: measured once each on a photo of the lens card, and kept.

use std::sync::Arc;

use axum::Json;
use axum::extract::{Path, State};
use check::{CanvasPhoto, ImagePoint, KnownLens, LensCard};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::checks::named;
use super::work;
use crate::answer::{Trouble, Troubles};
use crate::asked::{Body, PaintingId};
use crate::lenses;
use crate::shape::Xy;
use crate::state::Studio;

type Answer<T> = Result<Json<T>, Trouble>;
type Shared = State<Arc<Studio>>;

/// The phones whose lens was measured.
#[derive(Serialize, ToSchema)]
pub(super) struct Lenses {
    /// What the painter calls each phone.
    phones: Vec<String>,
}

fn kept(studio: &Studio) -> Json<Lenses> {
    let phones = lenses::lenses(studio.folder().path()).into_iter().map(|kept| kept.name).collect();
    Json(Lenses { phones })
}

/// The phones whose lens was measured.
#[utoipa::path(get, path = "/api/lenses", responses((status = 200, body = Lenses), Troubles))]
pub(super) async fn all(State(studio): Shared) -> Answer<Lenses> {
    work(move || Ok(kept(&studio))).await
}

/// A photo of the lens card, to measure a phone's lens on.
#[derive(Deserialize, ToSchema)]
pub(super) struct LensWish {
    /// The photo's name, as it was given when it was brought in.
    photo: String,
    /// The card's crosses 1 to 4 in the photo, in pixels.
    corners: [Xy; 4],
    /// What the painter calls the phone.
    phone: String,
}

/// Measures a phone's lens on a photo of the lens card that was brought in like a photo of the canvas, and keeps it.
#[utoipa::path(post, path = "/api/paintings/{id}/lens", params(("id" = String, Path)), request_body = LensWish,
    responses((status = 200, body = Lenses), Troubles))]
pub(super) async fn measure(
    State(studio): Shared,
    PaintingId(id): PaintingId,
    Body(wish): Body<LensWish>,
) -> Answer<Lenses> {
    work(move || {
        let open = studio.open(&id)?;
        let photo = named(&open, &wish.photo)?;
        let (_, seen) = CanvasPhoto::decoded(&photo)?;
        let corners = wish.corners.map(|Xy([x, y])| ImagePoint::new(x, y));
        let lens = KnownLens::from_card(&seen, &LensCard::printed(), corners).map_err(Trouble::refused)?;
        lenses::keep(studio.folder().path(), &wish.phone, lens)?;
        Ok(kept(&studio))
    })
    .await
}

/// Forgets the lens of a phone.
#[utoipa::path(delete, path = "/api/lenses/{phone}", params(("phone" = String, Path)),
    responses((status = 200, body = Lenses), Troubles))]
pub(super) async fn forget(State(studio): Shared, Path(phone): Path<String>) -> Answer<Lenses> {
    work(move || {
        lenses::forget(studio.folder().path(), &phone)?;
        Ok(kept(&studio))
    })
    .await
}
