//! Requests about one painting: its state, edits, pictures, packet and news.

use std::convert::Infallible;
use std::io::Write;
use std::path::Path as FilePath;
use std::sync::Arc;
use std::time::Duration;

use axum::Json;
use axum::body::Body;
use axum::extract::{Path, Query, State};
use axum::http::header::{CACHE_CONTROL, CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::http::{HeaderMap, StatusCode};
use axum::response::sse::{Event, KeepAlive, Sse};
use axum::response::{IntoResponse, Response};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use painting::{Document, MAX_PHOTO_BYTES, Revision};
use percent_encoding::percent_decode_str;
use photo::Photo;
use plan::Reference;
use serde::Deserialize;
use serde_json::{Value, json};
use tempfile::NamedTempFile;
use tokio::sync::mpsc;
use tokio_stream::StreamExt as _;

use super::work;
use crate::answer::Trouble;
use crate::edit::{Edit, edited};
use crate::paper::{self, Wish};
use crate::state::{Open, Studio};
use crate::view::View;

/// How often a file is looked at for changes that another program made.
const LOOK_EVERY: Duration = Duration::from_secs(2);

/// The most characters of a file's name in a message.
const MAX_NAME_CHARS: usize = 100;

type Answer = Result<Json<Value>, Trouble>;
type Shared = State<Arc<Studio>>;

pub(super) async fn state(State(studio): Shared, Path(id): Path<String>) -> Answer {
    work(move || Ok(Json(studio.open(&id)?.state()?))).await
}

#[derive(Deserialize)]
pub(super) struct Change {
    revision: Revision,
    gesture: Option<String>,
    edit: Edit,
}

pub(super) async fn edit(
    State(studio): Shared,
    Path(id): Path<String>,
    Json(change): Json<Change>,
) -> Answer {
    work(move || {
        let open = studio.open(&id)?;
        let state = open.change(|painting| {
            let document = painting.present()?.document;
            let (plan, label) = edited(&document.plan, &change.edit)?;
            let document = Document { plan, ..document };
            painting
                .apply(change.revision, label, change.gesture.as_deref(), &document)
                .map_err(Trouble::of_change)
        })?;
        Ok(Json(state))
    })
    .await
}

#[derive(Deserialize)]
pub(super) struct Try {
    edit: Edit,
}

/// What an edit would give; nothing is saved.
pub(super) async fn try_edit(
    State(studio): Shared,
    Path(id): Path<String>,
    Json(wanted): Json<Try>,
) -> Answer {
    work(move || {
        let document = studio.open(&id)?.present()?.document;
        let (plan, _) = edited(&document.plan, &wanted.edit)?;
        Ok(Json(json!({ "view": View::of(&plan, sheets::FURNITURE) })))
    })
    .await
}

#[derive(Deserialize)]
pub(super) struct Title {
    revision: Revision,
    title: String,
}

pub(super) async fn title(
    State(studio): Shared,
    Path(id): Path<String>,
    Json(wanted): Json<Title>,
) -> Answer {
    work(move || {
        let state = studio.open(&id)?.change(|painting| {
            let document = Document { title: wanted.title.trim().to_owned(), ..painting.present()?.document };
            painting.apply(wanted.revision, "Change the title", None, &document).map_err(Trouble::of_change)
        })?;
        Ok(Json(state))
    })
    .await
}

#[derive(Deserialize)]
pub(super) struct From {
    revision: Revision,
}

pub(super) async fn undo(State(studio): Shared, Path(id): Path<String>, Json(from): Json<From>) -> Answer {
    work(move || {
        let open = studio.open(&id)?;
        Ok(Json(open.change(|painting| painting.undo(from.revision).map_err(Trouble::of_change))?))
    })
    .await
}

pub(super) async fn redo(State(studio): Shared, Path(id): Path<String>, Json(from): Json<From>) -> Answer {
    work(move || {
        let open = studio.open(&id)?;
        Ok(Json(open.change(|painting| painting.redo(from.revision).map_err(Trouble::of_change))?))
    })
    .await
}

/// Takes a picture file in as the reference: it lies on the canvas whole.
pub(super) async fn photo(
    State(studio): Shared,
    Path(id): Path<String>,
    Query(from): Query<From>,
    headers: HeaderMap,
    body: Body,
) -> Answer {
    let file = received(body, studio.folder().path()).await?;
    let name = name_in(&headers);
    work(move || {
        let open = studio.open(&id)?;
        let bytes = std::fs::read(file.path()).map_err(Trouble::own_fault)?;
        let photo = Photo::from_bytes(bytes.clone(), name)?;
        // A picture that is damaged further in is told of now, not when it is printed.
        photo.preview(64)?;
        let photo::PhotoSize { width, height } = photo.size();
        let state = open.change(|painting| {
            let id = painting.add_photo(&bytes)?;
            let mut document = painting.present()?.document;
            document.photo = Some(id);
            document.plan.forget_marked();
            document.plan.reference = Some(Reference::fitted(plan::PhotoSize { width, height }));
            painting.apply(from.revision, "Bring in a photo", None, &document).map_err(Trouble::of_change)
        })?;
        Ok(Json(state))
    })
    .await
}

pub(super) async fn picture(State(studio): Shared, Path(id): Path<String>) -> Result<Response, Trouble> {
    jpeg_of(studio, id, |open, photo, document| open.pictures.display(photo, document)).await
}

pub(super) async fn original(State(studio): Shared, Path(id): Path<String>) -> Result<Response, Trouble> {
    jpeg_of(studio, id, |open, photo, document| open.pictures.original(photo, document)).await
}

/// A picture under an address that changes with it, so that a browser may keep it.
async fn jpeg_of(
    studio: Arc<Studio>,
    id: String,
    make: impl FnOnce(&Open, &Photo, &Document) -> Result<Arc<Vec<u8>>, Trouble> + Send + 'static,
) -> Result<Response, Trouble> {
    let jpeg = work(move || {
        let open = studio.open(&id)?;
        let document = open.present()?.document;
        let photo = open
            .photo(&document)?
            .ok_or_else(|| Trouble::refused("There is no photo in this painting yet."))?;
        make(&open, &photo, &document)
    })
    .await?;
    let kept = (CACHE_CONTROL, "private, max-age=31536000, immutable");
    Ok(([kept, (CONTENT_TYPE, "image/jpeg")], jpeg.to_vec()).into_response())
}

pub(super) async fn hanging(State(studio): Shared, Path(id): Path<String>) -> Result<Response, Trouble> {
    let svg = work(move || {
        let open = studio.open(&id)?;
        let document = open.present()?.document;
        let photo = open.photo(&document)?;
        open.pictures.hanging(photo.as_deref(), &document)
    })
    .await?;
    let kept = (CACHE_CONTROL, "private, max-age=31536000, immutable");
    Ok(([kept, (CONTENT_TYPE, "image/svg+xml")], svg).into_response())
}

pub(super) async fn packet(
    State(studio): Shared,
    Path(id): Path<String>,
    Query(wish): Query<Wish>,
) -> Result<Response, Trouble> {
    let pdf = work(move || {
        let open = studio.open(&id)?;
        let document = open.present()?.document;
        let photo = open.photo(&document)?;
        let printers = paper::printers(studio.folder().path());
        Ok(paper::packet(&document, photo.as_deref(), &printers, &wish)?.pdf)
    })
    .await?;
    let disposition = (CONTENT_DISPOSITION, "attachment; filename=\"packet.pdf\"");
    Ok(([disposition, (CONTENT_TYPE, "application/pdf")], pdf).into_response())
}

/// Pictures of all the sheets, as they will come out.
pub(super) async fn sheets(
    State(studio): Shared,
    Path(id): Path<String>,
    Query(wish): Query<Wish>,
) -> Answer {
    work(move || {
        let open = studio.open(&id)?;
        let document = open.present()?.document;
        let photo = open.photo(&document)?;
        let small = photo.map(|photo| open.pictures.on_sheets(&photo, &document)).transpose()?;
        let printers = paper::printers(studio.folder().path());
        let pictures = paper::pictures(&document, small.map(|small| small.to_vec()), &printers, &wish)?;
        let sheets: Vec<Value> = pictures
            .into_iter()
            .map(|picture| {
                let [width, height] = picture.size_mm;
                json!({
                    "kind": picture.kind.word(),
                    "label": picture.label,
                    "width_mm": width,
                    "height_mm": height,
                    "picture": format!("data:image/svg+xml;base64,{}", STANDARD.encode(picture.svg)),
                })
            })
            .collect();
        Ok(Json(json!({ "sheets": sheets })))
    })
    .await
}

/// News of every change, whoever made it, until the page goes or the studio stops.
pub(super) async fn events(State(studio): Shared, Path(id): Path<String>) -> Result<Response, Trouble> {
    let opener = Arc::clone(&studio);
    let open = work(move || opener.open(&id)).await?;
    let (sender, receiver) = mpsc::channel(4);
    tokio::spawn(tell(open, studio.closing(), sender));
    let events = tokio_stream::wrappers::ReceiverStream::new(receiver).map(Ok::<Event, Infallible>);
    Ok(Sse::new(events).keep_alive(KeepAlive::default()).into_response())
}

async fn tell(open: Arc<Open>, mut closing: tokio::sync::watch::Receiver<bool>, page: mpsc::Sender<Event>) {
    let mut news = open.news();
    let mut look = tokio::time::interval(LOOK_EVERY);
    let mut told = None;
    loop {
        let now = tokio::select! {
            _ = closing.changed() => return,
            () = page.closed() => return,
            heard = news.recv() => heard.ok(),
            _ = look.tick() => None,
        };
        if !open.is_there() {
            return;
        }
        let looked_at = Arc::clone(&open);
        let now = match now {
            Some(revision) => Some(revision),
            None => work(move || Ok(looked_at.revision()?)).await.ok(),
        };
        let Some(now) = now.filter(|now| told != Some(*now)) else { continue };
        told = Some(now);
        let Ok(event) = Event::default().event("changed").json_data(json!({ "revision": now })) else {
            return;
        };
        if page.send(event).await.is_err() {
            return;
        }
    }
}

/// Writes what is sent to a file as it comes, so that a large picture takes no memory, and no more than a photo may have.
pub(super) async fn received(body: Body, folder: &FilePath) -> Result<NamedTempFile, Trouble> {
    let failed = |error: std::io::Error| match error.kind() {
        std::io::ErrorKind::StorageFull => Trouble::new(
            StatusCode::INSUFFICIENT_STORAGE,
            "The disk is full. Nothing was changed. Make room and bring the file in again.",
        ),
        _ => Trouble::own_fault(error),
    };
    let mut file = tempfile::Builder::new().prefix(".arriving-").tempfile_in(folder).map_err(failed)?;
    let mut length = 0_u64;
    let mut parts = body.into_data_stream();
    while let Some(part) = parts.next().await {
        let part = part.map_err(|_| Trouble::refused("The file did not arrive whole. Bring it in again."))?;
        length += part.len() as u64;
        if length > MAX_PHOTO_BYTES as u64 {
            return Err(Trouble::new(
                StatusCode::PAYLOAD_TOO_LARGE,
                "The file is larger than any photo or painting may be.",
            ));
        }
        file.write_all(&part).map_err(failed)?;
    }
    Ok(file)
}

/// The name the file had where it came from, only ever shown in messages.
pub(super) fn name_in(headers: &HeaderMap) -> String {
    let name = headers.get("x-name").and_then(|name| name.to_str().ok()).unwrap_or("The photo");
    let name = percent_decode_str(name).decode_utf8_lossy();
    let own_name = name.rsplit(['/', '\\']).next().unwrap_or_default();
    own_name.chars().filter(|c| !c.is_control()).take(MAX_NAME_CHARS).collect()
}
