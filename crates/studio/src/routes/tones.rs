//! Requests about light and dark: the reference in another tone, the value at a spot, and the steps of value maps.

use std::ops::RangeInclusive;
use std::sync::Arc;

use axum::Json;
use axum::extract::State;
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::http::{HeaderName, HeaderValue};
use axum::response::{IntoResponse, Response};
use plan::{CanvasPoint, Length, Unit};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use values::{BLURS, SMOOTHINGS, Step, Tone, ValueSteps};

use super::pictures::KEPT;
use super::{stoppable_work, work};
use crate::answer::{Trouble, Troubles};
use crate::asked::{PaintingId, Wishes};
use crate::state::Studio;
use crate::tones::{Use, no_photo, version};

type Shared = State<Arc<Studio>>;

/// How wide a spot is of which the value is told, on the canvas: about a touch of a small brush. The command's is the same.
const SPOT: Length = Length::mm(3.0);

/// For a picture that is no longer the one its address tells of.
const NOT_KEPT: (HeaderName, HeaderValue) = (CACHE_CONTROL, HeaderValue::from_static("no-store"));

/// Which tone.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub(crate) struct ToneWanted {
    /// `photo`, `grey`, `values:5`, `values:5:3mm` with the smallest mass, `squint:4mm`.
    tone: String,
    /// The version of the picture that the page knows of.
    v: Option<String>,
}

/// The picture that lies on the canvas, in a tone. Whoever stops waiting stops the work.
#[utoipa::path(get, path = "/api/paintings/{id}/toned.jpg", params(("id" = String, Path), ToneWanted),
    responses((status = 200, body = Vec<u8>, content_type = "image/jpeg"), Troubles))]
pub(super) async fn toned(
    State(studio): Shared,
    PaintingId(id): PaintingId,
    Wishes(wanted): Wishes<ToneWanted>,
) -> Result<Response, Trouble> {
    let tone: Tone = wanted.tone.parse().map_err(Trouble::refused)?;
    let (jpeg, now) = stoppable_work(move |stop| {
        let open = studio.open(&id)?;
        let document = open.present()?.document;
        let photo = open.photo(&document)?.ok_or_else(no_photo)?;
        let jpeg = open.tones.jpeg(&photo, &document, tone, Use::Screen, stop)?;
        Ok((jpeg, version(&document)))
    })
    .await?;
    let kept = if wanted.v.is_some_and(|known| known == now) { KEPT } else { NOT_KEPT };
    Ok(([kept], [(CONTENT_TYPE, "image/jpeg")], jpeg.to_vec()).into_response())
}

/// A length that a tone is made with.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct ToneLength {
    /// The smallest mass, or the blur, on the canvas, in the painting's unit: `2 mm`, `5/64 in`.
    length: String,
}

/// Reads the smallest mass of a value map, or the blur of a squint, as typed.
#[utoipa::path(get, path = "/api/paintings/{id}/tone-length", params(("id" = String, Path), ToneWanted),
    responses((status = 200, body = ToneLength), Troubles))]
pub(super) async fn tone_length(
    State(studio): Shared,
    PaintingId(id): PaintingId,
    Wishes(wanted): Wishes<ToneWanted>,
) -> Result<Json<ToneLength>, Trouble> {
    let (length, range) = match wanted.tone.parse().map_err(Trouble::refused)? {
        Tone::Values { smoothing, .. } => (smoothing, SMOOTHINGS),
        Tone::Squint { breadth } => (breadth, BLURS),
        Tone::Photo | Tone::Grey => {
            return Err(Trouble::refused("This way to show the photo has no length."));
        }
    };
    let unit = work(move || Ok(studio.open(&id)?.present()?.document.plan.unit)).await?;
    Ok(Json(ToneLength { length: small_length(length, &range, unit) }))
}

/// A length that need not be exact, in the painter's family of units: the nearest 1/64 in or tenth of a millimetre in the range.
fn small_length(length: Length, range: &RangeInclusive<Length>, unit: Unit) -> String {
    let (tick, unit) = unit.finest_tick();
    let mut ticks = (length / tick).round();
    if tick * ticks > *range.end() {
        ticks -= 1.0;
    }
    if tick * ticks < *range.start() {
        ticks += 1.0;
    }
    (tick * ticks).in_unit(unit)
}

/// Which spot.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub(crate) struct SpotWanted {
    /// In mm from the canvas's left.
    x: f64,
    /// In mm from the canvas's top.
    y: f64,
    /// The number of steps of the value map in which its step is told.
    steps: u32,
}

/// The value at a spot of the reference.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct Spot {
    /// Its Munsell value, to one decimal.
    value: String,
    /// The step of the value map that it belongs to.
    step: ValueStep,
    /// Both in a sentence.
    says: String,
}

/// The Munsell value at a spot of the reference, and its step.
#[utoipa::path(get, path = "/api/paintings/{id}/spot", params(("id" = String, Path), SpotWanted),
    responses((status = 200, body = Spot), Troubles))]
pub(super) async fn spot(
    State(studio): Shared,
    PaintingId(id): PaintingId,
    Wishes(SpotWanted { x, y, steps }): Wishes<SpotWanted>,
) -> Result<Json<Spot>, Trouble> {
    let steps = ValueSteps::new(steps).map_err(Trouble::refused)?;
    let value = work(move || {
        let open = studio.open(&id)?;
        let document = open.present()?.document;
        let photo = open.photo(&document)?.ok_or_else(no_photo)?;
        open.tones.value_at(&photo, &document, CanvasPoint::mm(x, y), SPOT)
    })
    .await?;
    let step = ValueStep::of(steps.of(value));
    let says = format!(
        "Value {value:.1}: step {} of {}, which stands for value {}.",
        step.number,
        steps.count(),
        step.value
    );
    Ok(Json(Spot { value: format!("{value:.1}"), step, says }))
}

/// Whether the photo holds enough light, and not too much.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct ExposureSaid {
    /// What the painter should know; nothing where the head, or the photo while none is marked, is well exposed.
    says: Option<String>,
}

/// Whether the head in the photo is dark or burnt out.
#[utoipa::path(get, path = "/api/paintings/{id}/exposure", params(("id" = String, Path)),
    responses((status = 200, body = ExposureSaid), Troubles))]
pub(super) async fn exposure(
    State(studio): Shared,
    PaintingId(id): PaintingId,
) -> Result<Json<ExposureSaid>, Trouble> {
    let told = work(move || {
        let open = studio.open(&id)?;
        let document = open.present()?.document;
        let photo = open.photo(&document)?.ok_or_else(no_photo)?;
        open.tones.exposure(&photo, &document)
    })
    .await?;
    Ok(Json(ExposureSaid { says: told.in_words() }))
}

/// The steps of every value map there is.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct ValueMaps {
    /// One for each number of steps, the fewest first.
    maps: Vec<ValueMapSteps>,
}

/// The steps of a value map.
#[derive(Debug, Serialize, ToSchema)]
struct ValueMapSteps {
    /// The darkest first.
    steps: Vec<ValueStep>,
}

/// One step of a value map.
#[derive(Debug, Serialize, ToSchema)]
struct ValueStep {
    /// Its number, 1 for the darkest.
    number: u8,
    /// Its Munsell value, as text.
    value: String,
    /// The values that it stands for, as text.
    band: String,
    /// Its grey as a number of sRGB, the same for red, green and blue.
    grey: u8,
}

/// The steps of value maps of 2 to 9 steps.
#[utoipa::path(get, path = "/api/value-steps", responses((status = 200, body = ValueMaps)))]
pub(super) async fn value_steps() -> Json<ValueMaps> {
    let maps = ValueSteps::every().map(|map| ValueMapSteps { steps: map.all().map(ValueStep::of).collect() });
    Json(ValueMaps { maps: maps.collect() })
}

impl ValueStep {
    fn of(Step { number, value, from, to, grey }: Step) -> Self {
        let short = |value: f64| {
            let text = format!("{value:.1}");
            text.strip_suffix(".0").map(str::to_owned).unwrap_or(text)
        };
        Self { number, value: short(value), band: format!("{} to {}", short(from), short(to)), grey }
    }
}
