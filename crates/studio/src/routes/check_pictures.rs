//! Requests for what of a check is seen and printed: the photo of the canvas, squared up, held against the reference, and the sheet.

use std::ops::ControlFlow;
use std::sync::Arc;

use axum::extract::State;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use check::Report;
use painting::KeptCheck;
use plan::Plan;
use serde::Deserialize;
use utoipa::IntoParams;

use super::checks::{named, report_of, stored_report};
use super::paper::{disposition, in_words};
use super::pictures::KEPT;
use super::{stoppable_work, work};
use crate::answer::{Trouble, Troubles};
use crate::asked::{CheckNumber, PaintingId, Wishes};
use crate::checking;
use crate::fingerprint::fingerprint;
use crate::open_painting::News;
use crate::paper;
use crate::pictures::{DISPLAY_QUALITY, DISPLAY_SIDE};
use crate::state::Studio;

type Shared = State<Arc<Studio>>;

/// Which photo.
#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub(super) struct WhichPhoto {
    /// Its name.
    photo: String,
}

/// The photo of the canvas, reduced for the screen.
#[utoipa::path(get, path = "/api/paintings/{id}/canvas-photo.jpg", params(("id" = String, Path), WhichPhoto),
    responses((status = 200, body = Vec<u8>, content_type = "image/jpeg"), Troubles))]
pub(super) async fn canvas_picture(
    State(studio): Shared,
    PaintingId(id): PaintingId,
    Wishes(which): Wishes<WhichPhoto>,
) -> Result<Response, Trouble> {
    let jpeg = work(move || {
        let open = studio.open(&id)?;
        let photo = named(&open, &which.photo)?;
        open.pictures.kept(&format!("canvas {}", which.photo), || {
            Ok(photo.preview(DISPLAY_SIDE)?.to_jpeg(DISPLAY_QUALITY)?)
        })
    })
    .await?;
    Ok(picture(&jpeg))
}

fn picture(jpeg: &[u8]) -> Response {
    ([KEPT], [(CONTENT_TYPE, "image/jpeg")], jpeg.to_vec()).into_response()
}

/// A short name for what the squared-up picture is made of.
pub(super) fn squared_up_version(kept: &KeptCheck, report: &Report) -> String {
    fingerprint(format!("{} {:?} {:?}", kept.photo, report.outline_px, report.canvas))
}

/// The same for the picture of differences.
pub(super) fn difference_version(kept: &KeptCheck, report: &Report, plan: &Plan) -> String {
    fingerprint(format!("{} {:?}", squared_up_version(kept, report), plan.reference))
}

/// The canvas as the photo shows it, squared up: straight on, and nothing but the canvas.
#[utoipa::path(get, path = "/api/paintings/{id}/checks/{number}/squared-up.jpg",
    params(("id" = String, Path), ("number" = i64, Path)),
    responses((status = 200, body = Vec<u8>, content_type = "image/jpeg"), Troubles))]
pub(super) async fn squared_up(State(studio): Shared, asked: CheckNumber) -> Result<Response, Trouble> {
    let jpeg = work(move || {
        let open = studio.open(&asked.painting)?;
        let kept = open.with_painting(|painting| painting.check(asked.number))?;
        let report = stored_report(&kept)?;
        open.pictures.kept(&format!("squared up {}", squared_up_version(&kept, &report)), || {
            checking::squared_up(&*open.photo_of_check(&kept)?, &report)
        })
    })
    .await?;
    Ok(picture(&jpeg))
}

/// By how much the painting is lighter or darker than the reference after a squint: the grey of value 5 where they are alike.
#[utoipa::path(get, path = "/api/paintings/{id}/checks/{number}/difference.jpg",
    params(("id" = String, Path), ("number" = i64, Path)),
    responses((status = 200, body = Vec<u8>, content_type = "image/jpeg"), Troubles))]
pub(super) async fn difference(State(studio): Shared, asked: CheckNumber) -> Result<Response, Trouble> {
    let jpeg = work(move || {
        let open = studio.open(&asked.painting)?;
        let document = open.present()?.document;
        let kept = open.with_painting(|painting| painting.check(asked.number))?;
        let report = stored_report(&kept)?;
        let reference = open.photo(&document)?;
        open.pictures
            .kept(&format!("difference {}", difference_version(&kept, &report, &document.plan)), || {
                checking::difference(&*open.photo_of_check(&kept)?, &report, &document, reference.as_deref())
            })
    })
    .await?;
    Ok(picture(&jpeg))
}

/// For which printer.
#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub(super) struct WhichPrinter {
    /// The printer's name; one that prints true if not said.
    printer: Option<String>,
}

/// The check sheet as a PDF: the squared-up photo with its lines, the list of lines, and drift in words.
#[utoipa::path(get, path = "/api/paintings/{id}/checks/{number}/sheet.pdf",
    params(("id" = String, Path), ("number" = i64, Path), WhichPrinter),
    responses((status = 200, body = Vec<u8>, content_type = "application/pdf"), Troubles))]
pub(super) async fn sheet(
    State(studio): Shared,
    asked: CheckNumber,
    Wishes(which): Wishes<WhichPrinter>,
) -> Result<Response, Trouble> {
    let (title, pdf) = stoppable_work(move |stop| {
        let open = studio.open(&asked.painting)?;
        let _alone = open.heavy_work();
        let document = open.present()?.document;
        let kept = open.with_painting(|painting| painting.check(asked.number))?;
        let report = report_of(&kept, &document.plan)?;
        let progress = |stage| {
            open.tell(News::Working(in_words(stage)));
            if stop.is_stopped() { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
        };
        let picture = checking::squared_up(&open.photo_of_check(&kept)?.stopped_by(stop), &report)?;
        let printers = paper::printers(studio.folder().path());
        let packet = paper::check_sheet(&document, &report, picture, &printers, which.printer, &progress)?;
        Ok((document.title, packet.pdf))
    })
    .await?;
    let named = [
        (CONTENT_DISPOSITION, disposition(&title, "check", "pdf")),
        (CONTENT_TYPE, "application/pdf".to_owned()),
    ];
    Ok((named, pdf).into_response())
}
