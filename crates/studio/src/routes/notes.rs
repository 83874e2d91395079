//! The painter's notes, in the painting's file.

use std::sync::Arc;

use axum::Json;
use axum::extract::State;
use painting::{Painting, PaintingError};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::work;
use crate::answer::{Trouble, Troubles};
use crate::asked::{Body, PaintingId};
use crate::open_painting::News;
use crate::state::Studio;

/// The most letters of the notes: those of a thick notebook.
const MAX_NOTES_CHARS: usize = 50_000;

/// The most bytes of a request that keeps them: both texts, each letter written out with six signs, as JSON may.
pub(super) const MAX_NOTES_BYTES: usize = 2 * 6 * MAX_NOTES_CHARS + 1024;

/// The name under which they are kept in the painting's file.
const KEPT_AS: &str = "notes";

type Answer<T> = Result<Json<T>, Trouble>;
type Shared = State<Arc<Studio>>;

/// The notes of a painting as they are kept.
#[derive(Serialize, ToSchema)]
pub(super) struct Notes {
    /// All of them.
    notes: String,
    /// Whether what was sent is what is kept. If not, another window had kept something else, and nothing was changed.
    kept: bool,
}

/// Notes to be kept in place of others.
#[derive(Deserialize, ToSchema)]
pub(super) struct NotesWish {
    /// Those that were changed: if other ones are kept by now, nothing is changed.
    was: String,
    /// What they are now.
    notes: String,
}

/// The notes of a painting; blank if there are none.
pub(super) fn of(painting: &Painting) -> Result<String, PaintingError> {
    Ok(painting.beside(KEPT_AS)?.unwrap_or_default())
}

/// Has a copy of a painting begin with the notes of the one that it was made of.
pub(super) fn begin_with(painting: &mut Painting, notes: &str) -> Result<(), PaintingError> {
    if notes.is_empty() { Ok(()) } else { painting.keep_beside(KEPT_AS, notes) }
}

/// The notes.
#[utoipa::path(get, path = "/api/paintings/{id}/notes", params(("id" = String, Path)),
    responses((status = 200, body = Notes), Troubles))]
pub(super) async fn notes(State(studio): Shared, PaintingId(id): PaintingId) -> Answer<Notes> {
    work(move || {
        let open = studio.open(&id)?;
        Ok(Json(Notes { notes: open.with_painting(|painting| of(painting))?, kept: true }))
    })
    .await
}

/// Keeps notes in place of those that were changed.
#[utoipa::path(put, path = "/api/paintings/{id}/notes", params(("id" = String, Path)),
    request_body = NotesWish, responses((status = 200, body = Notes), Troubles))]
pub(super) async fn keep_notes(
    State(studio): Shared,
    PaintingId(id): PaintingId,
    Body(wish): Body<NotesWish>,
) -> Answer<Notes> {
    work(move || {
        if wish.notes.chars().count() > MAX_NOTES_CHARS {
            return Err(Trouble::refused(format!(
                "Notes of more than {MAX_NOTES_CHARS} letters are not kept. Make them shorter."
            )));
        }
        let open = studio.open(&id)?;
        let answer = open.with_painting(|painting| {
            let now = of(painting)?;
            if now != wish.was && now != wish.notes {
                return Ok(Notes { notes: now, kept: false });
            }
            painting.keep_beside(KEPT_AS, &wish.notes)?;
            Ok::<_, PaintingError>(Notes { notes: wish.notes, kept: true })
        })?;
        if answer.kept {
            open.tell(News::Chosen);
        }
        Ok(Json(answer))
    })
    .await
}
