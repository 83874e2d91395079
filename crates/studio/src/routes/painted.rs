//! Requests that go on with a check: a landmark set where it is painted, or taken away, and what is let pass.

use std::sync::Arc;

use axum::Json;
use axum::extract::State;
use check::{MOST_PAINTED, Painted, PlanChange, Report};
use plan::{CanvasPoint, LandmarkName, Plan};
use serde::Deserialize;
use utoipa::ToSchema;

use super::checks::{Answer, stored_report, tolerance, view, written};
use super::work;
use crate::answer::{Trouble, Troubles};
use crate::asked::{Body, CheckNumber};
use crate::open_painting::News;
use crate::shape::Xy;
use crate::state::Studio;
use crate::view::CheckView;

/// How far a landmark set under the loupe may be off, standard deviation in pixels of the photo of the canvas.
const CLICK_SD_PX: f64 = 1.5;

/// The same in pixels of the screen that it was set on: the loupe shows a quarter of one.
const LOUPE_SD_SCREEN_PX: f64 = 0.4;

/// The same for one set by a press of the mouse or a pen, without the loupe (common practice, no source).
const TAP_SD_SCREEN_PX: f64 = 1.2;

/// The same for one set by the tip of a finger, which hides it (common practice, no source).
const FINGER_SD_SCREEN_PX: f64 = 5.0;

/// What of a check is to be changed. It is one landmark at a time, so that two windows on one check do not undo each other's.
#[derive(Deserialize, ToSchema)]
pub(super) struct CheckChange {
    /// What is let pass, as typed.
    tolerance: Option<String>,
    /// A landmark that is set, or taken away.
    painted: Option<PaintedWish>,
}

/// Where a landmark is painted.
#[derive(Deserialize, ToSchema)]
struct PaintedWish {
    /// The landmark's name.
    name: String,
    /// Where it is painted, in mm of the canvas; nothing takes it away.
    at: Option<Xy>,
    /// What it was set with; under the loupe if not said.
    by: Option<SetBy>,
    /// How large a pixel of the screen is on which it was set, in mm of the canvas.
    screen_px_mm: Option<f64>,
}

/// What a landmark was set with.
#[derive(Clone, Copy, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
enum SetBy {
    /// Dragged or moved by keys under the loupe.
    Loupe,
    /// A press of the mouse or a pen.
    Tap,
    /// The tip of a finger.
    Finger,
}

/// Goes on with a check: sets where a landmark is painted, or holds it against another tolerance.
#[utoipa::path(put, path = "/api/paintings/{id}/checks/{number}", params(("id" = String, Path), ("number" = i64, Path)),
    request_body = CheckChange, responses((status = 200, body = CheckView), Troubles))]
pub(super) async fn change(
    State(studio): State<Arc<Studio>>,
    asked: CheckNumber,
    Body(change): Body<CheckChange>,
) -> Answer<CheckView> {
    work(move || {
        let open = studio.open(&asked.painting)?;
        let plan = open.present()?.document.plan;
        let (kept, report) = open.go_on_with_check(asked.number, |kept| {
            let mut report = stored_report(kept)?;
            if report.is_of_another_canvas(&plan) {
                return Err(Trouble::refused(PlanChange::Canvas.in_words()));
            }
            if let Some(text) = &change.tolerance {
                report.set_tolerance(tolerance(text, &plan)?, &plan).map_err(Trouble::refused)?;
            }
            if let Some(wish) = &change.painted {
                let painted = wish.made(&report, &plan)?;
                report.take_painted(painted, &plan).map_err(Trouble::refused)?;
            }
            Ok((written(&report)?, report))
        })?;
        open.tell(News::Chosen);
        Ok(Json(view(&asked.painting, &open, &kept, report, &plan)?))
    })
    .await
}

impl PaintedWish {
    /// All that is painted once this wish is granted.
    fn made(&self, report: &Report, plan: &Plan) -> Result<Vec<Painted>, Trouble> {
        let mut painted = report.painted.clone();
        let before = painted.iter().position(|one| one.name == self.name);
        match (self.at, before) {
            (Some(at), Some(index)) => painted[index] = self.painted(at, report, plan)?,
            (Some(at), None) if painted.len() < MOST_PAINTED => painted.push(self.painted(at, report, plan)?),
            (Some(_), None) => {
                return Err(Trouble::refused(format!(
                    "At most {MOST_PAINTED} landmarks can be set in one check."
                )));
            }
            (None, Some(index)) => drop(painted.remove(index)),
            // Another window was first.
            (None, None) => {}
        }
        Ok(painted)
    }

    fn painted(&self, Xy([x, y]): Xy, report: &Report, plan: &Plan) -> Result<Painted, Trouble> {
        let Self { name, .. } = self;
        let placing = plan.placing().ok_or_else(|| {
            Trouble::refused("There is no photo, so that no landmark has a place. Bring it in first.")
        })?;
        let planned = plan.landmark(&LandmarkName::from(name.as_str())).ok_or_else(|| {
            Trouble::refused(format!("The plan has no landmark “{name}”. Place it on the reference first."))
        })?;
        let point = CanvasPoint::mm(x, y);
        if !point.is_finite() || !report.canvas.bounds().contains(point) {
            return Err(Trouble::refused(format!("“{name}” lies outside the canvas. Set it on the canvas.")));
        }
        let screen_px = self.screen_px_mm.filter(|mm| mm.is_finite() && *mm > 0.0).unwrap_or(0.0);
        let screen_sd = match self.by.unwrap_or(SetBy::Loupe) {
            SetBy::Loupe => LOUPE_SD_SCREEN_PX,
            SetBy::Tap => TAP_SD_SCREEN_PX,
            SetBy::Finger => FINGER_SD_SCREEN_PX,
        };
        let of_screen = screen_sd * screen_px * report.map.pixels_per_mm(point);
        Ok(Painted {
            name: name.clone(),
            planned: placing.to_canvas(planned),
            at_px: report.map.to_image(point),
            sd_px: of_screen.max(CLICK_SD_PX),
        })
    }
}
