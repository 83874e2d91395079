//! Requests about one painting: its state and what changes it.

use std::io::Write as _;
use std::path::Path as FilePath;
use std::sync::Arc;

use axum::Json;
use axum::extract::State;
use axum::http::header::CONTENT_TYPE;
use axum::http::{HeaderMap, StatusCode};
use axum::response::IntoResponse;
use painting::{Document, MAX_PHOTO_BYTES, Revision};
use percent_encoding::percent_decode_str;
use photo::Photo;
use plan::Reference;
use serde::{Deserialize, Serialize};
use tempfile::NamedTempFile;
use tokio_stream::StreamExt as _;
use utoipa::{IntoParams, ToSchema};

use super::{stoppable_work, work};
use crate::answer::{Trouble, Troubles};
use crate::asked::{Body, PaintingId, Wishes};
use crate::edit::{Edit, edited};
use crate::folder::{ARRIVING, gone};
use crate::painting_state::PaintingState;
use crate::same_picture;
use crate::state::Studio;
use crate::view::View;

/// The most characters of a file's name in a message.
const MAX_NAME_CHARS: usize = 100;

type Answer<T> = Result<Json<T>, Trouble>;
type Shared = State<Arc<Studio>>;

/// A painting as it stands.
#[utoipa::path(get, path = "/api/paintings/{id}", params(("id" = String, Path)),
    responses((status = 200, body = PaintingState), Troubles))]
pub(super) async fn state(
    State(studio): Shared,
    PaintingId(id): PaintingId,
) -> Result<impl IntoResponse, Trouble> {
    let json = work(move || studio.open(&id)?.state_as_sent()).await?;
    Ok(([(CONTENT_TYPE, "application/json")], json))
}

/// A change of the plan.
#[derive(Deserialize, ToSchema)]
pub(super) struct Change {
    /// The revision it starts from.
    #[schema(value_type = i64)]
    revision: Revision,
    /// Names the movement of the hand that it is part of: changes of one movement are undone together.
    gesture: Option<String>,
    /// What is to be changed.
    edit: Edit,
}

/// Changes the plan.
#[utoipa::path(post, path = "/api/paintings/{id}/edits", params(("id" = String, Path)), request_body = Change,
    responses((status = 200, body = PaintingState), Troubles))]
pub(super) async fn edit(
    State(studio): Shared,
    PaintingId(id): PaintingId,
    Body(change): Body<Change>,
) -> Answer<PaintingState> {
    work(move || {
        let open = studio.open(&id)?;
        let state = open.change(|painting| {
            let document = painting.present()?.document;
            let (plan, label) = edited(&document.plan, &change.edit, open.correction())?;
            let document = Document { plan, ..document };
            painting
                .apply(change.revision, label, change.gesture.as_deref(), &document)
                .map_err(Trouble::of_change)
        })?;
        Ok(Json(state))
    })
    .await
}

/// An edit to be tried.
#[derive(Deserialize, ToSchema)]
pub(super) struct Trial {
    /// What would be changed.
    edit: Edit,
}

/// What an edit would give.
#[derive(Serialize, ToSchema)]
pub(super) struct Tried {
    /// Everything that would follow from it.
    view: View,
}

/// What an edit would give; nothing is saved.
#[utoipa::path(post, path = "/api/paintings/{id}/try", params(("id" = String, Path)), request_body = Trial,
    responses((status = 200, body = Tried), Troubles))]
pub(super) async fn try_edit(
    State(studio): Shared,
    PaintingId(id): PaintingId,
    Body(wanted): Body<Trial>,
) -> Answer<Tried> {
    work(move || {
        let open = studio.open(&id)?;
        let (plan, _) = edited(&open.present()?.document.plan, &wanted.edit, open.correction())?;
        Ok(Json(Tried { view: open.view(&plan)? }))
    })
    .await
}

/// A new title.
#[derive(Deserialize, ToSchema)]
pub(super) struct Title {
    /// The revision it starts from.
    #[schema(value_type = i64)]
    revision: Revision,
    /// The title.
    title: String,
}

/// Gives the painting a title.
#[utoipa::path(post, path = "/api/paintings/{id}/title", params(("id" = String, Path)), request_body = Title,
    responses((status = 200, body = PaintingState), Troubles))]
pub(super) async fn title(
    State(studio): Shared,
    PaintingId(id): PaintingId,
    Body(wanted): Body<Title>,
) -> Answer<PaintingState> {
    work(move || {
        let state = studio.open(&id)?.change(|painting| {
            let document = Document { title: wanted.title.trim().to_owned(), ..painting.present()?.document };
            painting.apply(wanted.revision, "Change the title", None, &document).map_err(Trouble::of_change)
        })?;
        studio.titled(&id, &state.title);
        Ok(Json(state))
    })
    .await
}

/// From which revision a change starts.
#[derive(Deserialize, ToSchema, IntoParams)]
#[into_params(parameter_in = Query)]
pub(super) struct From {
    /// The revision it starts from.
    #[schema(value_type = i64)]
    #[param(value_type = i64)]
    revision: Revision,
}

/// Takes the last change back.
#[utoipa::path(post, path = "/api/paintings/{id}/undo", params(("id" = String, Path)), request_body = From,
    responses((status = 200, body = PaintingState), Troubles))]
pub(super) async fn undo(
    State(studio): Shared,
    PaintingId(id): PaintingId,
    Body(from): Body<From>,
) -> Answer<PaintingState> {
    work(move || {
        let open = studio.open(&id)?;
        let state = open.change(|painting| painting.undo(from.revision).map_err(Trouble::of_change))?;
        studio.titled(&id, &state.title);
        Ok(Json(state))
    })
    .await
}

/// Makes the change that was taken back again.
#[utoipa::path(post, path = "/api/paintings/{id}/redo", params(("id" = String, Path)), request_body = From,
    responses((status = 200, body = PaintingState), Troubles))]
pub(super) async fn redo(
    State(studio): Shared,
    PaintingId(id): PaintingId,
    Body(from): Body<From>,
) -> Answer<PaintingState> {
    work(move || {
        let open = studio.open(&id)?;
        let state = open.change(|painting| painting.redo(from.revision).map_err(Trouble::of_change))?;
        studio.titled(&id, &state.title);
        Ok(Json(state))
    })
    .await
}

/// Takes a picture file in as the reference: it lies on the canvas whole or, where it is the picture that lies there in another size, as
/// that does. Its name may come along as `x-name`.
#[utoipa::path(post, path = "/api/paintings/{id}/photo", params(("id" = String, Path), From),
    request_body(content = Vec<u8>, content_type = "application/octet-stream"),
    responses((status = 200, body = PaintingState), Troubles))]
pub(super) async fn photo(
    State(studio): Shared,
    PaintingId(id): PaintingId,
    Wishes(from): Wishes<From>,
    headers: HeaderMap,
    body: axum::body::Body,
) -> Answer<PaintingState> {
    let file = received(body, studio.folder().path(), PHOTO_TOO_LARGE).await?;
    let name = name_in(&headers);
    stoppable_work(move |stop| {
        let open = studio.open(&id)?;
        let bytes = std::fs::read(file.path()).map_err(Trouble::own_fault)?;
        let photo = Photo::from_bytes(bytes.clone(), name)?;
        // A picture that is damaged further in is told of now, not when it is printed.
        photo.stopped_by(stop).preview(64)?;
        let photo::PhotoSize { width, height } = photo.size();
        let size = plan::PhotoSize { width, height };
        let before = open.present()?.document;
        // One that cannot be opened any more is no reason to refuse another.
        let is_same =
            matches!(open.photo(&before), Ok(Some(old)) if same_picture::is_same(&old, &photo, stop));
        let state = open.change(|painting| {
            let lay = |mut document: Document, id| {
                if is_same && document.photo == before.photo {
                    document.plan.take_in_another_size(size);
                } else {
                    document.plan.forget_marked();
                    document.plan.reference = Some(Reference::fitted(size));
                }
                document.photo = Some(id);
                document
            };
            painting.bring_in(from.revision, "Bring in a photo", &bytes, lay).map_err(Trouble::of_change)
        })?;
        Ok(Json(state))
    })
    .await
}

/// What to do with a photo that has more bytes than may be.
pub(super) const PHOTO_TOO_LARGE: &str = "Save a smaller copy and bring that in.";

/// Writes what is sent to a file as it comes, so that a large picture takes no memory, and no more than a photo may have. What has
/// more is refused with `too_large`, which says what to do.
pub(super) async fn received(
    body: axum::body::Body,
    folder: &FilePath,
    too_large: &str,
) -> Result<NamedTempFile, Trouble> {
    let failed = |error: std::io::Error| match error.kind() {
        std::io::ErrorKind::StorageFull => Trouble::new(
            StatusCode::INSUFFICIENT_STORAGE,
            "The disk is full. Nothing was changed. Make room and bring the file in again.",
        ),
        std::io::ErrorKind::NotFound => Trouble::refused(gone(folder)),
        _ => Trouble::own_fault(error),
    };
    let mut file = tempfile::Builder::new().prefix(ARRIVING).tempfile_in(folder).map_err(failed)?;
    let mut length = 0_u64;
    let mut parts = body.into_data_stream();
    while let Some(part) = parts.next().await {
        let part = part.map_err(|_| Trouble::refused("The file did not arrive whole. Bring it in again."))?;
        length += part.len() as u64;
        if length > MAX_PHOTO_BYTES as u64 {
            return Err(Trouble::new(
                StatusCode::PAYLOAD_TOO_LARGE,
                format!("The file is larger than {} MB. {too_large}", MAX_PHOTO_BYTES / 1_000_000),
            ));
        }
        file.write_all(&part).map_err(failed)?;
    }
    Ok(file)
}

/// The name the file had where it came from, only ever shown in messages.
pub(super) fn name_in(headers: &HeaderMap) -> String {
    let name = headers.get("x-name").and_then(|name| name.to_str().ok()).unwrap_or("The file");
    let name = percent_decode_str(name).decode_utf8_lossy();
    let own_name = name.rsplit(['/', '\\']).next().unwrap_or_default();
    own_name.chars().filter(|c| !c.is_control()).take(MAX_NAME_CHARS).collect()
}
