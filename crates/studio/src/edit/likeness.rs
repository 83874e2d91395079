//! Edits of what is measured on the sitter: landmarks, measures, and the lens the photo was taken with.

use plan::{Landmark, LandmarkError, LandmarkName, Measure, PhotoPoint, Plan};
use serde::Deserialize;
use utoipa::ToSchema;

use super::{EditError, on_canvas};
use crate::shape::Xy;

/// A change of landmarks or measures. Places are where they are seen on the canvas, in mm.
#[derive(Clone, Debug, PartialEq, Deserialize, ToSchema)]
#[serde(tag = "do", rename_all = "kebab-case", deny_unknown_fields)]
pub enum LikenessEdit {
    /// Place a landmark, or move it.
    Landmark {
        /// Its name: one of the sets', or one of the painter's own.
        name: String,
        /// Where it is.
        at: Xy,
    },
    /// Take a landmark away.
    ForgetLandmark {
        /// Its name.
        name: String,
    },
    /// Take a measure, or change it.
    Measure {
        /// What it is called.
        name: String,
        /// One end.
        from: Xy,
        /// The other end.
        to: Xy,
        /// The landmark that the one end is on, if it is to follow one.
        from_landmark: Option<String>,
        /// The landmark that the other end is on.
        to_landmark: Option<String>,
    },
    /// Give a measure another name.
    RenameMeasure {
        /// Its name.
        name: String,
        /// Its new name.
        to: String,
    },
    /// Take a measure away.
    ForgetMeasure {
        /// Its name.
        name: String,
    },
    /// State the other measures in terms of this one, or of none.
    UnitMeasure {
        /// Its name.
        name: Option<String>,
    },
    /// Say which lens the photo was taken with, where the photo does not.
    Lens {
        /// The focal length in mm, as on 35 mm film.
        focal_35mm: Option<f64>,
    },
}

impl LikenessEdit {
    pub(super) fn apply(&self, plan: &mut Plan) -> Result<&'static str, EditError> {
        let placing = plan.placing().ok_or(EditError::NoPhoto)?;
        let size = plan.reference.as_ref().ok_or(EditError::NoPhoto)?.size();
        // A point dragged beyond the photo's edge stays on the edge.
        let seen = |at: Xy| {
            let PhotoPoint { x, y, .. } = placing.to_photo(on_canvas(at));
            PhotoPoint::new(x.clamp(0.0, f64::from(size.width)), y.clamp(0.0, f64::from(size.height)))
        };
        Ok(match self {
            Self::Landmark { name, at } => {
                let name = LandmarkName::from(name.as_str());
                plan.place_landmark(Landmark { name, at: seen(*at) })?;
                "Place a landmark"
            }
            Self::ForgetLandmark { name } => {
                if !plan.remove_landmark(&LandmarkName::from(name.as_str())) {
                    return Err(EditError::NotThere { name: name.clone() });
                }
                "Take a landmark away"
            }
            Self::Measure { name, from, to, from_landmark, to_landmark } => {
                let measure = Measure::new(name.trim(), seen(*from), seen(*to));
                let from_landmark = placed(plan, from_landmark.as_deref())?;
                let to_landmark = placed(plan, to_landmark.as_deref())?;
                plan.keep_measure(Measure { from_landmark, to_landmark, ..measure })?;
                "Take a measure"
            }
            Self::RenameMeasure { name, to } => {
                if !plan.rename_measure(name, to.trim())? {
                    return Err(EditError::NotThere { name: name.clone() });
                }
                "Rename a measure"
            }
            Self::ForgetMeasure { name } => {
                if !plan.remove_measure(name) {
                    return Err(EditError::NotThere { name: name.clone() });
                }
                "Take a measure away"
            }
            Self::UnitMeasure { name } => {
                plan.unit_measure.clone_from(name);
                "Choose the unit of measures"
            }
            Self::Lens { focal_35mm } => {
                plan.reference.as_mut().ok_or(EditError::NoPhoto)?.focal_35mm = *focal_35mm;
                "Say which lens"
            }
        })
    }
}

/// The name of a landmark that is placed.
fn placed(plan: &Plan, name: Option<&str>) -> Result<Option<LandmarkName>, EditError> {
    let Some(text) = name else { return Ok(None) };
    let name = LandmarkName::from(text);
    match plan.landmark(&name) {
        Some(_) => Ok(Some(name)),
        None => Err(EditError::NotThere { name: text.to_owned() }),
    }
}

impl From<LandmarkError> for EditError {
    fn from(error: LandmarkError) -> Self {
        Self::Plan(error.into())
    }
}
