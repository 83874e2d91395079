//! Requests about what the painter chose for a painting beside its plan.

use std::sync::Arc;

use axum::Json;
use axum::extract::State;

use super::work;
use crate::answer::{Trouble, Troubles};
use crate::asked::{Body, PaintingId};
use crate::choices::{self, Chosen, ChosenChange};
use crate::open_painting::News;
use crate::state::Studio;

type Answer<T> = Result<Json<T>, Trouble>;
type Shared = State<Arc<Studio>>;

/// What was chosen for a painting.
#[utoipa::path(get, path = "/api/paintings/{id}/choices", params(("id" = String, Path)),
    responses((status = 200, body = Chosen), Troubles))]
pub(super) async fn choices(State(studio): Shared, PaintingId(id): PaintingId) -> Answer<Chosen> {
    work(move || {
        let open = studio.open(&id)?;
        Ok(Json(open.with_painting(|painting| choices::of(painting))?))
    })
    .await
}

/// Keeps what is chosen anew for a painting.
#[utoipa::path(put, path = "/api/paintings/{id}/choices", params(("id" = String, Path)),
    request_body = ChosenChange, responses((status = 200, body = Chosen), Troubles))]
pub(super) async fn choose(
    State(studio): Shared,
    PaintingId(id): PaintingId,
    Body(change): Body<ChosenChange>,
) -> Answer<Chosen> {
    work(move || {
        let open = studio.open(&id)?;
        let chosen = open.with_painting(|painting| choices::change(painting, change))?;
        // Kept it is, also where the printers cannot be looked up at the moment.
        let _ = open.look_at_printer(studio.folder().path());
        open.tell(News::Chosen);
        Ok(Json(chosen))
    })
    .await
}
