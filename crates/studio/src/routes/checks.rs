//! Requests about checks of the canvas: a photo brought in, its outline confirmed, what is found kept and gone on with.

use std::sync::Arc;
use std::sync::atomic::{AtomicU32, Ordering};

use axum::Json;
use axum::extract::State;
use axum::http::HeaderMap;
use check::{
    CanvasPhoto, GridCheckWishes, ImagePoint, Outline, Report, USUAL_TOLERANCE, find_lying_outlines,
    find_other_shape,
};
use painting::{KeptCheck, PhotoId};
use photo::Photo;
use plan::{Length, Plan};
use serde::Deserialize;
use utoipa::ToSchema;

use super::check_pictures::{difference_version, squared_up_version};
use super::painting::{PHOTO_TOO_LARGE, name_in, received};
use super::shelf::{Done, moment};
use super::{stoppable_work, work};
use crate::answer::{Trouble, Troubles};
use crate::asked::{Body, CheckNumber, PaintingId};
use crate::checking;
use crate::lenses;
use crate::open_painting::{News, Open};
use crate::photo_at_hand::CANVAS_PHOTO;
use crate::shape::Xy;
use crate::state::Studio;
use crate::view::{CanvasPhotoView, CheckLine, CheckView, ChecksView, Kept};

/// Tolerances that make sense: less than a pencil's line is wide, and more than a grid box, do not.
const TOLERANCES: std::ops::RangeInclusive<Length> = Length::mm(0.1)..=Length::mm(25.4);

pub(super) type Answer<T> = Result<Json<T>, Trouble>;
type Shared = State<Arc<Studio>>;

/// Takes in a photo of the canvas, and proposes where the canvas lies in it. Nothing is kept before its outline is confirmed.
/// The photo's name may come along as `x-name`.
#[utoipa::path(post, path = "/api/paintings/{id}/canvas-photo", params(("id" = String, Path)),
    request_body(content = Vec<u8>, content_type = "application/octet-stream"),
    responses((status = 200, body = CanvasPhotoView), Troubles))]
pub(super) async fn canvas_photo(
    State(studio): Shared,
    PaintingId(id): PaintingId,
    headers: HeaderMap,
    body: axum::body::Body,
) -> Answer<CanvasPhotoView> {
    let file = received(body, studio.folder().path(), PHOTO_TOO_LARGE).await?;
    let name = name_in(&headers);
    stoppable_work(move |stop| {
        let open = studio.open(&id)?;
        let _alone = open.heavy_work();
        open.tell(News::Working("Looking for the canvas in the photo.".to_owned()));
        let bytes = std::fs::read(file.path()).map_err(Trouble::own_fault)?;
        let (photo_id, photo) = open.canvas_photo.bring_in(bytes, name)?;
        let (_, canvas_photo) = CanvasPhoto::decoded(&photo.stopped_by(stop))?;
        let document = open.present()?.document;
        let reference = open.photo(&document)?;
        let upright = checking::outlines(&canvas_photo, &document, reference.as_deref())?;
        let size = document.plan.canvas.nominal;
        let lying = if upright.is_empty() { find_lying_outlines(&canvas_photo, size) } else { Vec::new() };
        let nothing = upright.is_empty() && lying.is_empty();
        let other = nothing.then(|| find_other_shape(&canvas_photo, size)).flatten();
        let photo_id = photo_id.to_string();
        Ok(Json(CanvasPhotoView::of(&id, &photo_id, size_of(&photo), &upright, &lying, other)))
    })
    .await
}

fn size_of(photo: &Photo) -> [u32; 2] {
    let size = photo.size();
    [size.width, size.height]
}

/// The photo of the canvas of this name: at hand, or kept with a check.
pub(super) fn named(open: &Open, name: &str) -> Result<Arc<Photo>, Trouble> {
    let gone = || Trouble::refused("The photo of the canvas is not here any more. Bring it in again.");
    let id: PhotoId = name.parse().map_err(|_| gone())?;
    open.canvas_photo.take(id, CANVAS_PHOTO, || {
        let checks = open.with_painting(|painting| painting.checks())?;
        let known = checks.iter().any(|check| check.photo == id);
        if !known {
            return Err(gone());
        }
        Ok(open.with_painting(|painting| painting.photo(id))?)
    })
}

/// The checks that were kept.
#[utoipa::path(get, path = "/api/paintings/{id}/checks", params(("id" = String, Path)),
    responses((status = 200, body = ChecksView), Troubles))]
pub(super) async fn checks(State(studio): Shared, PaintingId(id): PaintingId) -> Answer<ChecksView> {
    work(move || {
        let open = studio.open(&id)?;
        let plan = open.present()?.document.plan;
        let kept = open.with_painting(|painting| painting.checks())?;
        let line = |check: &KeptCheck| {
            CheckLine::of(check.number, moment(check.made_at), report_of(check, &plan).ok().as_ref(), &plan)
        };
        Ok(Json(ChecksView { checks: kept.iter().map(line).collect() }))
    })
    .await
}

/// An outline that the painter confirmed, to be measured.
#[derive(Deserialize, ToSchema)]
pub(super) struct CheckWish {
    /// The photo's name, for a new check.
    photo: String,
    /// The corners in pixels of the photo, from the top left clockwise.
    corners: [Xy; 4],
    /// The middles of the top, right, bottom and left edges, where the edges cannot be followed.
    middles: Option<[Xy; 4]>,
    /// Whether the corners are as they were proposed.
    as_proposed: bool,
    /// What is let pass, as typed.
    tolerance: Option<String>,
    /// The phone it was taken with, if its lens was measured.
    phone: Option<String>,
    /// The check to measure anew, if it is not a new one.
    number: Option<i64>,
}

/// Measures the photo within its confirmed outline and keeps the check. The events of the painting tell how far it is; whoever
/// stops waiting stops the work.
#[utoipa::path(post, path = "/api/paintings/{id}/checks", params(("id" = String, Path)), request_body = CheckWish,
    responses((status = 200, body = CheckView), Troubles))]
pub(super) async fn measure(
    State(studio): Shared,
    PaintingId(id): PaintingId,
    Body(wish): Body<CheckWish>,
) -> Answer<CheckView> {
    stoppable_work(move |stop| {
        let open = studio.open(&id)?;
        let _alone = open.heavy_work();
        let document = open.present()?.document;
        let reference = open.photo(&document)?;
        let kept =
            wish.number.map(|number| open.with_painting(|painting| painting.check(number))).transpose()?;
        let photo = match &kept {
            Some(kept) => open.photo_of_check(kept)?,
            None => named(&open, &wish.photo)?,
        };
        let photo = photo.stopped_by(stop);
        let before = kept.as_ref().map(stored_report).transpose()?;
        let tolerance = match (&wish.tolerance, &before) {
            (Some(text), _) => tolerance(text, &document.plan)?,
            (None, Some(before)) => before.tolerance(),
            (None, None) => USUAL_TOLERANCE,
        };
        let phones = lenses::lenses(studio.folder().path());
        let phone = phones.iter().find(|kept| Some(&kept.name) == wish.phone.as_ref());
        let wishes = GridCheckWishes { tolerance, lens: phone.map(|phone| &phone.lens) };
        let told = AtomicU32::new(0);
        let going_on = |share: f64| {
            let tenths = (share * 10.0) as u32;
            if told.fetch_max(tenths + 1, Ordering::Relaxed) <= tenths {
                open.tell(News::Working(format!("Measuring, {:.0} % done.", 100.0 * share)));
            }
            !stop.is_stopped()
        };
        let mut report =
            checking::measured(&photo, &wish.outline(), &document, reference.as_deref(), wishes, &going_on)?;
        report.warnings.extend(phone.map(|phone| {
            format!(
                "Measured with the lens of “{}”. If another phone took this photo, choose it under “Taken with” beside the list of checks, \
                 and set the outline anew.",
                phone.name
            )
        }));
        if stop.is_stopped() {
            return Err(Trouble::refused("Stopped."));
        }
        let kept = if let Some(number) = wish.number {
            // What is painted is taken over as it stands now: landmarks may have been set while this was measured.
            let (kept, ()) = open.go_on_with_check(number, |kept| {
                let stored = stored_report(kept)?;
                report.take_painted(stored.painted, &document.plan).map_err(Trouble::refused)?;
                Ok((written(&report)?, ()))
            })?;
            kept
        } else {
            let result = written(&report)?;
            open.with_painting(|painting| {
                let number = painting.keep_check(photo.file_bytes(), &result)?;
                painting.check(number)
            })?
        };
        open.tell(News::Chosen);
        Ok(Json(view(&id, &open, &kept, report, &document.plan)?))
    })
    .await
}

impl CheckWish {
    fn outline(&self) -> Outline {
        let points = |points: &[Xy; 4]| points.map(|Xy([x, y])| ImagePoint::new(x, y));
        let corners = points(&self.corners);
        match &self.middles {
            Some(middles) => Outline::clicked(corners, points(middles)),
            None if self.as_proposed => Outline::confirmed(corners),
            None => Outline::given(corners),
        }
    }
}

pub(super) fn tolerance(text: &str, plan: &Plan) -> Result<Length, Trouble> {
    let length = Length::parse(text, Some(plan.unit)).map_err(Trouble::refused)?.length;
    if TOLERANCES.contains(&length) {
        return Ok(length);
    }
    Err(Trouble::refused("What is let pass is from 0.1 mm to 25.4 mm (1 in), such as 1 mm or 1/32 in."))
}

/// The report of a kept check as the plan now tells it.
pub(super) fn report_of(check: &KeptCheck, plan: &Plan) -> Result<Report, Trouble> {
    Ok(stored_report(check)?.held_against(plan))
}

/// The report of a kept check as it was written, to be gone on with.
pub(super) fn stored_report(check: &KeptCheck) -> Result<Report, Trouble> {
    serde_json::from_str(&check.result).map_err(|_| {
        Trouble::refused(
            "This check was made by another Mahlstick and cannot be opened here. Bring the photo of the canvas in again.",
        )
    })
}

pub(super) fn written(report: &Report) -> Result<String, Trouble> {
    serde_json::to_string(report).map_err(Trouble::own_fault)
}

pub(super) fn view(
    id: &str,
    open: &Open,
    kept: &KeptCheck,
    report: Report,
    plan: &Plan,
) -> Result<CheckView, Trouble> {
    let kept = Kept {
        painting: id,
        number: kept.number,
        made: moment(kept.made_at),
        photo: kept.photo.to_string(),
        photo_size: size_of(&*open.photo_of_check(kept)?),
        versions: [squared_up_version(kept, &report), difference_version(kept, &report, plan)],
    };
    Ok(CheckView::of(kept, &report.held_against(plan), plan))
}

/// One check.
#[utoipa::path(get, path = "/api/paintings/{id}/checks/{number}", params(("id" = String, Path), ("number" = i64, Path)),
    responses((status = 200, body = CheckView), Troubles))]
pub(super) async fn check(State(studio): Shared, asked: CheckNumber) -> Answer<CheckView> {
    work(move || {
        let open = studio.open(&asked.painting)?;
        let plan = open.present()?.document.plan;
        let kept = open.with_painting(|painting| painting.check(asked.number))?;
        Ok(Json(view(&asked.painting, &open, &kept, stored_report(&kept)?, &plan)?))
    })
    .await
}

/// Takes a check out of the painting, with its photo. There is no undo.
#[utoipa::path(delete, path = "/api/paintings/{id}/checks/{number}", params(("id" = String, Path), ("number" = i64, Path)),
    responses((status = 200, body = Done), Troubles))]
pub(super) async fn remove(State(studio): Shared, asked: CheckNumber) -> Answer<Done> {
    work(move || {
        let open = studio.open(&asked.painting)?;
        open.with_painting(|painting| painting.remove_check(asked.number))?;
        open.tell(News::Chosen);
        Ok(Json(Done {}))
    })
    .await
}
