//! Requests about the shelf: which paintings there are, new ones, and taking them down.

use std::sync::Arc;
use std::time::SystemTime;

use axum::Json;
use axum::body::Body;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode};
use painting::{Document, Painting};
use plan::{Canvas, Length, Plan, Unit, parse_pair};
use serde::Deserialize;
use serde_json::{Value, json};

use super::painting::{name_in, received};
use super::work;
use crate::answer::Trouble;
use crate::folder::Entry;
use crate::paper::{self, Printer};
use crate::state::Studio;

type Answer = Result<Json<Value>, Trouble>;
type Shared = State<Arc<Studio>>;

pub(super) async fn shelf(State(studio): Shared) -> Answer {
    work(move || {
        let paintings: Vec<Value> = studio.folder().entries().iter().map(hung).collect();
        Ok(Json(json!({ "paintings": paintings, "folder": studio.folder().path().display().to_string() })))
    })
    .await
}

/// A painting as it hangs, or what is the trouble with its file.
fn hung(Entry { id, file, changed }: &Entry) -> Value {
    let changed = moment(*changed);
    match Painting::open_read_only(file).and_then(|painting| painting.present()) {
        Ok(present) => {
            let size = present.document.plan.canvas.outline().bounds();
            let version = serde_json::to_string(&present.revision).unwrap_or_default();
            json!({
                "id": id,
                "title": present.document.title,
                "changed": changed,
                "width_mm": size.width.to_mm(),
                "height_mm": size.height.to_mm(),
                "picture": format!("/api/paintings/{id}/hanging.svg?v={version}"),
                "trouble": null,
            })
        }
        Err(error) => {
            let name = file.file_stem().unwrap_or_default().to_string_lossy();
            json!({ "id": id, "title": name, "changed": changed, "picture": null, "trouble": error.to_string() })
        }
    }
}

fn moment(time: SystemTime) -> String {
    jiff::Timestamp::try_from(time).map(|moment| moment.to_string()).unwrap_or_default()
}

#[derive(Deserialize)]
pub(super) struct New {
    title: Option<String>,
    size: Option<String>,
}

pub(super) async fn create(State(studio): Shared, Json(new): Json<New>) -> Answer {
    work(move || {
        let (canvas, unit) = match &new.size {
            Some(text) => {
                let (width, height) = parse_pair(text, None).map_err(Trouble::refused)?;
                (Canvas::nominal(width.length, height.length), width.unit)
            }
            None => (Canvas::nominal(Length::inches(16.0), Length::inches(20.0)), Unit::Inch),
        };
        let title = new.title.unwrap_or_else(|| "Untitled".to_owned());
        let document = Document { title, photo: None, plan: Plan::new(canvas, unit) };
        Ok(Json(json!({ "id": studio.folder().create(&document, &[])? })))
    })
    .await
}

/// Puts a painting file that the painter was sent on the shelf, after looking through all of it.
pub(super) async fn import(State(studio): Shared, headers: HeaderMap, body: Body) -> Answer {
    let draft = received(body, studio.folder().path()).await?;
    let name = name_in(&headers);
    work(move || {
        let title = Painting::open(draft.path())?.present()?.document.title;
        let title = if title.is_empty() { name } else { title };
        let file = draft.into_temp_path();
        let id = studio.folder().adopt(&file, &title).map_err(Trouble::own_fault)?;
        Ok(Json(json!({ "id": id })))
    })
    .await
}

pub(super) async fn duplicate(State(studio): Shared, Path(id): Path<String>) -> Answer {
    work(move || {
        let open = studio.open(&id)?;
        let mut document = open.present()?.document;
        let photo = open.photo_bytes(&document)?;
        document.title = format!("{}, copy", document.title);
        let photos: Vec<&[u8]> = photo.iter().map(Vec::as_slice).collect();
        Ok(Json(json!({ "id": studio.folder().create(&document, &photos)? })))
    })
    .await
}

pub(super) async fn take_down(State(studio): Shared, Path(id): Path<String>) -> Answer {
    work(move || {
        studio.forget(&id);
        moved(studio.folder().take_down(&id))
    })
    .await
}

pub(super) async fn hang_again(State(studio): Shared, Path(id): Path<String>) -> Answer {
    work(move || moved(studio.folder().hang_again(&id))).await
}

fn moved(moved: std::io::Result<bool>) -> Answer {
    match moved {
        Ok(true) => Ok(Json(json!({}))),
        Ok(false) => Err(Trouble::not_found()),
        Err(error) => Err(Trouble::new(
            StatusCode::CONFLICT,
            format!("The painting's file could not be moved: {error}."),
        )),
    }
}

pub(super) async fn printers(State(studio): Shared) -> Answer {
    work(move || Ok(Json(json!({ "printers": paper::printers(studio.folder().path()) })))).await
}

#[derive(Deserialize)]
pub(super) struct Printers {
    printers: Vec<Printer>,
}

pub(super) async fn keep_printers(State(studio): Shared, Json(wanted): Json<Printers>) -> Answer {
    work(move || {
        paper::keep_printers(studio.folder().path(), &wanted.printers)?;
        Ok(Json(json!({ "printers": wanted.printers })))
    })
    .await
}
