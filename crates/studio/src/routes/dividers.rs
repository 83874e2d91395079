//! Requests about proportional dividers: their setting for a picture of another size than the canvas.

use std::sync::Arc;

use axum::Json;
use axum::extract::State;
use plan::{Length, Plan, Ratio};
use serde::{Deserialize, Serialize};
use thiserror::Error;
use utoipa::{IntoParams, ToSchema};

use super::work;
use crate::answer::{Trouble, Troubles};
use crate::asked::{PaintingId, Wishes};
use crate::state::Studio;

/// Dividers that a painter may have, from point to point when closed: from a pocket pair to one for murals.
const LENGTHS: std::ops::RangeInclusive<Length> = Length::mm(50.0)..=Length::mm(2000.0);

/// For what the dividers are set.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub(crate) struct DividersWanted {
    /// The picture's size to the canvas's: `1:2`.
    ratio: String,
    /// The length of the dividers when closed, as typed; blank where only the setting is asked for.
    length: Option<String>,
}

/// How proportional dividers are set.
#[derive(Debug, PartialEq, Serialize, ToSchema)]
pub(super) struct Dividers {
    /// The picture's size to the canvas's, as painters write it.
    ratio: String,
    /// The setting, in a sentence.
    setting: String,
    /// Where the pivot sits, in a sentence; none where no length was given.
    pivot: Option<String>,
}

/// A length that no dividers have.
#[derive(Debug, Error)]
#[error("Dividers are from 5 cm (2 in) to 2 m (79 in) long from point to point when closed.")]
struct LengthOutOfRange;

/// How proportional dividers are set for a picture of another size than the canvas, and where the pivot sits on a pair of a
/// given length.
#[utoipa::path(get, path = "/api/paintings/{id}/dividers", params(("id" = String, Path), DividersWanted),
    responses((status = 200, body = Dividers), Troubles))]
pub(super) async fn dividers(
    State(studio): State<Arc<Studio>>,
    PaintingId(id): PaintingId,
    Wishes(DividersWanted { ratio, length }): Wishes<DividersWanted>,
) -> Result<Json<Dividers>, Trouble> {
    let ratio: Ratio = ratio.parse().map_err(Trouble::refused)?;
    let plan = work(move || Ok(studio.open(&id)?.present()?.document.plan)).await?;
    let length = length.filter(|text| !text.trim().is_empty());
    let length = length.map(|text| length_of(&text, &plan)).transpose()?;
    Ok(Json(Dividers::of(ratio, length, &plan)))
}

fn length_of(text: &str, plan: &Plan) -> Result<Length, Trouble> {
    let length = Length::parse(text, Some(plan.ruler.unit())).map_err(Trouble::refused)?.length;
    if LENGTHS.contains(&length) { Ok(length) } else { Err(Trouble::refused(LengthOutOfRange)) }
}

impl Dividers {
    fn of(ratio: Ratio, length: Option<Length>, plan: &Plan) -> Self {
        let setting = format!("{:.3}", ratio.setting());
        let setting = setting.trim_end_matches('0').trim_end_matches('.');
        let wide = if ratio < Ratio::TRUE_SIZE { "canvas" } else { "picture" };
        let setting = if ratio.is_true_size() {
            "The picture has the canvas’s own size: plain dividers carry each distance over as it is."
                .to_owned()
        } else {
            format!("Set the dividers to {setting} to 1: the wide points measure the {wide}.")
        };
        let pivot = length.map(|length| {
            let (wide, narrow) = ratio.pivot(length);
            let read = |length| plan.ruler.read(length);
            format!(
                "On dividers of {} the pivot sits {} from the wide points and {} from the narrow ones.",
                read(length),
                read(wide),
                read(narrow)
            )
        });
        Self { ratio: ratio.to_string(), setting, pivot }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use plan::{Canvas, Unit};

    #[test]
    fn setting_and_pivot_are_told_on_the_painter_s_ruler() {
        let plan = Plan::new(Canvas::nominal(Length::inches(12.0), Length::inches(16.0)), Unit::Inch);
        let of = |ratio: &str, length| Dividers::of(ratio.parse().unwrap(), length, &plan);
        let half = of("1:2", Some(Length::inches(12.0)));
        assert_eq!(half.setting, "Set the dividers to 2 to 1: the wide points measure the canvas.");
        assert_eq!(
            half.pivot.unwrap(),
            "On dividers of 12 in the pivot sits 8 in from the wide points and 4 in from the narrow ones."
        );
        let screen = of("0.4:1", None);
        assert_eq!((screen.ratio.as_str(), screen.pivot), ("2:5", None));
        assert!(of("3:1", None).setting.contains("measure the picture"));
        assert!(of("1:1", None).setting.contains("plain dividers"));
        assert!(length_of("1 in", &plan).is_err() && length_of("30 cm", &plan).is_ok());
    }
}
