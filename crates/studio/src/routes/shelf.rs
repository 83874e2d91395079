//! Requests about the shelf: which paintings there are, new ones, and taking them down.

use std::path::PathBuf;
use std::sync::Arc;
use std::time::SystemTime;

use axum::Json;
use axum::extract::State;
use axum::http::{HeaderMap, StatusCode};
use painting::{Document, EXTENSION, Painting, PaintingError};
use plan::{Canvas, Length, Paper, Plan, Unit, parse_pair};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::painting::{name_in, received};
use super::{notes, work};
use crate::answer::{Trouble, Troubles};
use crate::asked::{Body, PaintingId};
use crate::folder::{Entry, Folder, file_name};
use crate::kept_list::LOOK_AT_THE_FOLDER;
use crate::known_screens;
use crate::open_painting::News;
use crate::paper::{self, Printer};
use crate::state::Studio;

type Answer<T> = Result<Json<T>, Trouble>;
type Shared = State<Arc<Studio>>;

/// The paintings on the shelf, newest first.
#[derive(Serialize, ToSchema)]
pub(super) struct Shelf {
    paintings: Vec<ShelfPainting>,
    /// How many were taken down.
    taken_down: usize,
    /// The folder that holds their files.
    folder: String,
}

/// A painting on the shelf.
#[derive(Serialize, ToSchema)]
pub(super) struct ShelfPainting {
    /// By which the page asks for it.
    id: String,
    /// Its title, or the name of a file that cannot be opened.
    title: String,
    /// The name of its file, which stays when the title is changed.
    file: String,
    /// When it was last changed (RFC 3339).
    changed: String,
    /// Its canvas, if the file can be opened.
    canvas: Option<CanvasSize>,
    /// The canvas's size in the painting's unit, if the file can be opened: `50 x 70 cm`.
    size: Option<String>,
    /// Where its picture is to be had, if the file can be opened.
    picture: Option<String>,
    /// Why the file cannot be opened.
    trouble: Option<String>,
}

/// The paintings that were taken down, the one changed last first.
#[derive(Serialize, ToSchema)]
pub(super) struct Store {
    paintings: Vec<TakenDown>,
}

/// A painting that was taken down and can be hung again.
#[derive(Serialize, ToSchema)]
pub(super) struct TakenDown {
    /// By which the page asks for it.
    id: String,
    /// Its title, or the name of a file that cannot be opened.
    title: String,
    /// The name of its file.
    file: String,
}

impl TakenDown {
    fn of(entry: &Entry) -> Self {
        let ShelfPainting { id, title, file, .. } = hung(entry);
        Self { id, title, file }
    }
}

/// How large a canvas is.
#[derive(Serialize, ToSchema)]
pub(super) struct CanvasSize {
    width_mm: f64,
    height_mm: f64,
}

/// The painting that was made or put on the shelf.
#[derive(Serialize, ToSchema)]
pub(super) struct Made {
    /// By which the page asks for it.
    id: String,
}

/// Done, with nothing to tell.
#[derive(Serialize, ToSchema)]
pub(super) struct Done {}

/// The paintings on the shelf.
#[utoipa::path(get, path = "/api/shelf", responses((status = 200, body = Shelf), Troubles))]
pub(super) async fn shelf(State(studio): Shared) -> Answer<Shelf> {
    work(move || {
        studio.folder().check()?;
        let paintings = studio.folder().entries().iter().map(hung).collect();
        let taken_down = studio.folder().taken_down().len();
        Ok(Json(Shelf { paintings, taken_down, folder: studio.folder().path().display().to_string() }))
    })
    .await
}

/// The paintings that were taken down.
#[utoipa::path(get, path = "/api/taken-down", responses((status = 200, body = Store), Troubles))]
pub(super) async fn taken_down(State(studio): Shared) -> Answer<Store> {
    work(move || {
        studio.folder().check()?;
        Ok(Json(Store { paintings: studio.folder().taken_down().iter().map(TakenDown::of).collect() }))
    })
    .await
}

/// A painting as it hangs, or what is the trouble with its file.
fn hung(Entry { id, file, changed }: &Entry) -> ShelfPainting {
    let (id, changed, name) = (id.clone(), moment(*changed), file_name(file));
    match Painting::open_read_only(file).and_then(|painting| painting.present()) {
        Ok(present) => {
            let plan = &present.document.plan;
            let size = plan.canvas.outline().bounds();
            let version = serde_json::to_string(&present.revision).unwrap_or_default();
            let picture = Some(format!("/api/paintings/{id}/hanging.svg?v={version}"));
            let canvas = Some(CanvasSize { width_mm: size.width.to_mm(), height_mm: size.height.to_mm() });
            ShelfPainting {
                id,
                title: present.document.title,
                file: name,
                changed,
                canvas,
                size: Some(plan.canvas.nominal.in_unit(plan.unit)),
                picture,
                trouble: None,
            }
        }
        Err(error) => {
            let title = file.file_stem().unwrap_or_default().to_string_lossy().into_owned();
            ShelfPainting {
                id,
                title,
                file: name,
                changed,
                canvas: None,
                size: None,
                picture: None,
                trouble: Some(error.to_string()),
            }
        }
    }
}

pub(super) fn moment(time: SystemTime) -> String {
    jiff::Timestamp::try_from(time).map(|moment| moment.to_string()).unwrap_or_default()
}

/// A painting to be begun.
#[derive(Deserialize, ToSchema)]
pub(super) struct NewPainting {
    /// Its title, if it has one already.
    title: Option<String>,
    /// The canvas's width and height as typed; if not said, a usual size in the unit.
    size: Option<String>,
    /// The unit of its lengths, if no size says it.
    unit: Option<Unit>,
    /// The paper its sheets are printed on; if not said, the one usual with the unit.
    paper: Option<Paper>,
}

/// The canvas of a painting whose size is not said yet: of the usual sizes one for head and shoulders.
const fn usual_canvas(unit: Unit) -> Canvas {
    match unit {
        Unit::Inch => Canvas::nominal(Length::inches(16.0), Length::inches(20.0)),
        Unit::Centimetre | Unit::Millimetre => Canvas::nominal(Length::cm(40.0), Length::cm(50.0)),
    }
}

/// Begins a painting.
#[utoipa::path(post, path = "/api/paintings", request_body = NewPainting,
    responses((status = 200, body = Made), Troubles))]
pub(super) async fn create(State(studio): Shared, Body(new): Body<NewPainting>) -> Answer<Made> {
    work(move || {
        studio.folder().check()?;
        let (canvas, unit) = if let Some(text) = &new.size {
            let (width, height) = parse_pair(text, None).map_err(Trouble::refused)?;
            (Canvas::nominal(width.length, height.length), width.unit)
        } else {
            let unit = new.unit.unwrap_or(Unit::Inch);
            (usual_canvas(unit), unit)
        };
        let mut plan = Plan::new(canvas, unit);
        plan.printing.paper = new.paper.unwrap_or(plan.printing.paper);
        let document = Document { title: new.title.unwrap_or_default(), photo: None, plan };
        let id = studio.folder().create(&document, &[])?;
        Ok(made(&studio, id))
    })
    .await
}

/// Puts a painting file that the painter was sent on the shelf, after looking through all of it. Its name may come along
/// as `x-name`.
#[utoipa::path(post, path = "/api/paintings/import",
    request_body(content = Vec<u8>, content_type = "application/octet-stream"),
    responses((status = 200, body = Made), Troubles))]
pub(super) async fn import(
    State(studio): Shared,
    headers: HeaderMap,
    body: axum::body::Body,
) -> Answer<Made> {
    let folder = studio.folder().path();
    let too_large = format!("Copy it into {} yourself: it hangs on the shelf then.", folder.display());
    let draft = received(body, folder, &too_large).await?;
    let name = name_in(&headers);
    work(move || {
        // It is told by its own name, not by that of the file it arrives in.
        let own = |error: PaintingError| PaintingError { file: PathBuf::from(&name), ..error };
        let arrived = Painting::open(draft.path()).map_err(own)?;
        let title = arrived.present().map_err(own)?.document.title;
        let title = if title.is_empty() { without_ending(&name) } else { title };
        // Some systems do not move a file that is open.
        drop(arrived);
        draft.as_file().sync_all().map_err(Trouble::own_fault)?;
        let id = studio.folder().adopt(draft.into_temp_path(), &title).map_err(Trouble::own_fault)?;
        Ok(made(&studio, id))
    })
    .await
}

/// A painting that is new on the shelf. No screen was let in for it, whatever was called so before.
fn made(studio: &Studio, id: String) -> Json<Made> {
    if studio.second_screen().pairing().forget_painting(&id) {
        known_screens::keep(studio);
    }
    Json(Made { id })
}

/// A painting file's name without what it ends in.
fn without_ending(name: &str) -> String {
    name.strip_suffix(&format!(".{EXTENSION}")).unwrap_or(name).to_owned()
}

/// Puts a copy on the shelf.
#[utoipa::path(post, path = "/api/paintings/{id}/duplicate", params(("id" = String, Path)),
    responses((status = 200, body = Made), Troubles))]
pub(super) async fn duplicate(State(studio): Shared, PaintingId(id): PaintingId) -> Answer<Made> {
    work(move || {
        let open = studio.open(&id)?;
        let mut document = open.present()?.document;
        let photo = open.photo_bytes(&document)?;
        document.title = studio.folder().title_of_copy(&document.title);
        let photos: Vec<&[u8]> = photo.iter().map(Vec::as_slice).collect();
        let made = made(&studio, studio.folder().create(&document, &photos)?);
        let noted = open.with_painting(|painting| notes::of(painting))?;
        studio.open(&made.id)?.with_painting(|copy| notes::begin_with(copy, &noted))?;
        Ok(made)
    })
    .await
}

/// Takes a painting off the shelf; its file is kept.
#[utoipa::path(post, path = "/api/paintings/{id}/take-down", params(("id" = String, Path)),
    responses((status = 200, body = Done), Troubles))]
pub(super) async fn take_down(State(studio): Shared, PaintingId(id): PaintingId) -> Answer<Done> {
    work(move || {
        studio.forget(&id);
        moved(studio.folder(), studio.folder().take_down(&id))
    })
    .await
}

/// Throws away a painting that was just begun, because the photo it was begun for cannot be opened. One in which anything was done is
/// left as it is, and told as not there.
#[utoipa::path(post, path = "/api/paintings/{id}/discard", params(("id" = String, Path)),
    responses((status = 200, body = Done), Troubles))]
pub(super) async fn discard(State(studio): Shared, PaintingId(id): PaintingId) -> Answer<Done> {
    work(move || {
        studio.forget(&id);
        moved(studio.folder(), studio.folder().discard_unbegun(&id))
    })
    .await
}

/// Puts a painting back that was taken off the shelf.
#[utoipa::path(post, path = "/api/paintings/{id}/hang-again", params(("id" = String, Path)),
    responses((status = 200, body = Done), Troubles))]
pub(super) async fn hang_again(State(studio): Shared, PaintingId(id): PaintingId) -> Answer<Done> {
    work(move || moved(studio.folder(), studio.folder().hang_again(&id))).await
}

fn moved(folder: &Folder, moved: std::io::Result<bool>) -> Answer<Done> {
    folder.check()?;
    match moved {
        Ok(true) => Ok(Json(Done {})),
        Ok(false) => Err(Trouble::not_found()),
        Err(error) => Err(Trouble::new(
            StatusCode::CONFLICT,
            format!("The painting's file could not be moved: {error}. {LOOK_AT_THE_FOLDER}"),
        )),
    }
}

/// The printers that are kept.
#[utoipa::path(get, path = "/api/printers", responses((status = 200, body = Printers), Troubles))]
pub(super) async fn printers(State(studio): Shared) -> Answer<Printers> {
    work(move || Ok(Json(Printers { printers: paper::printers(studio.folder().path()) }))).await
}

/// The printers whose error the painter has measured.
#[derive(Serialize, Deserialize, ToSchema)]
pub(super) struct Printers {
    printers: Vec<Printer>,
}

/// Keeps these printers in place of those kept so far.
#[utoipa::path(put, path = "/api/printers", request_body = Printers, responses((status = 200, body = Printers), Troubles))]
pub(super) async fn keep_printers(State(studio): Shared, Body(wanted): Body<Printers>) -> Answer<Printers> {
    work(move || {
        let folder = studio.folder().path();
        paper::keep_printers(folder, &wanted.printers)?;
        for open in studio.opened() {
            // One whose file cannot be read at the moment is told so by its own page.
            if open.look_at_printer(folder).is_ok() {
                open.tell(News::Chosen);
            }
        }
        Ok(Json(wanted))
    })
    .await
}
