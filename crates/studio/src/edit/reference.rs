//! Edits of the reference and of how it lies on the canvas.

use plan::{
    Angle, HeadMarks, Length, PhotoPoint, Place, Placing, Plan, Reference, Side, SquareUp, parse_pair,
    turn_to_level, turn_to_plumb,
};
use serde::Deserialize;
use utoipa::ToSchema;

use super::{EditError, in_photo, length, on_canvas};
use crate::shape::Xy;

/// More degrees than this come to a smaller turn, and are typed by mistake.
const ONCE_AROUND: f64 = 360.0;

/// A change of the reference.
#[derive(Clone, Debug, PartialEq, Deserialize, ToSchema)]
#[serde(tag = "do", rename_all = "kebab-case", deny_unknown_fields)]
pub enum ReferenceEdit {
    /// Square up a photo that was taken of a print. Everything marked in it is dropped: that were places in another picture.
    SquareUp {
        /// The print's corners in the upright photo, in pixels, clockwise from the top left.
        #[schema(min_items = 4, max_items = 4)]
        corners: [Xy; 4],
        /// The print's width and height as typed, if they are known: `8 x 10 in`.
        print_size: Option<String>,
    },
    /// Take the photo as it is. Everything marked in the squared-up picture is dropped.
    ForgetSquareUp,
    /// Turn the photo to this many degrees clockwise.
    Turn {
        /// Degrees clockwise.
        degrees: f64,
    },
    /// Turn the photo by a quarter turn.
    QuarterTurn {
        /// Clockwise, or else the other way.
        clockwise: bool,
    },
    /// Turn the photo so that a line which ought to be level or plumb is.
    Straighten {
        /// One end of the line as seen on the canvas, in mm.
        from: Xy,
        /// Its other end.
        to: Xy,
        /// Whether it ought to be level; else it ought to be plumb.
        level: bool,
    },
    /// Exchange left and right of the photo, or put them back.
    Mirror {
        /// Whether the photo is mirrored.
        mirror: bool,
    },
    /// Show the whole photo.
    Fit,
    /// Cover the canvas with the photo.
    Fill,
    /// Mark crown and chin where they are seen on the canvas. The photo stays where it lies.
    MarkHead {
        /// The top of the head, in mm.
        crown: Xy,
        /// The bottom of the chin, in mm.
        chin: Xy,
    },
    /// Forget crown and chin. The photo stays where it lies.
    ForgetHead,
    /// Give the head this height; its middle stays where it is.
    HeadHeight {
        /// From crown to chin, as typed.
        height: String,
    },
    /// Move the head, or a photo without marked head, to stand this far from a side of the canvas.
    Space {
        /// The side of the canvas.
        side: Side,
        /// How far from it, as typed.
        space: String,
    },
    /// Move the photo on the canvas.
    Move {
        /// To the right, in mm.
        right: f64,
        /// Down, in mm.
        down: f64,
    },
    /// Scale the photo about a point of the canvas that keeps its place.
    Scale {
        /// By how much.
        factor: f64,
        /// The point that keeps its place, in mm.
        about: Xy,
    },
}

impl ReferenceEdit {
    /// Makes the edit; the detail boxes on the photo go where it goes.
    pub(super) fn apply(&self, plan: &mut Plan) -> Result<&'static str, EditError> {
        let before = plan.clone();
        let name = self.place(plan)?;
        if !matches!(self, Self::MarkHead { .. }) {
            plan.take_boxes_along(&before);
        }
        Ok(name)
    }

    fn place(&self, plan: &mut Plan) -> Result<&'static str, EditError> {
        let placing = plan.placing().ok_or(EditError::NoPhoto)?;
        let unit = plan.ruler.unit();
        let outline = plan.canvas.outline();
        let head = plan.head();
        let read = |text: &str| length(text, plan);
        let space = match self {
            Self::Space { space, .. } | Self::HeadHeight { height: space } => read(space)?,
            _ => Length::ZERO,
        };
        let covered = plan.sheet_region();
        if matches!(self, Self::SquareUp { .. } | Self::ForgetSquareUp) {
            plan.forget_marked();
        }
        let reference = plan.reference.as_mut().ok_or(EditError::NoPhoto)?;
        Ok(match self {
            Self::SquareUp { corners, print_size } => {
                let sides = print_size.as_deref().map(|text| parse_pair(text, Some(unit))).transpose()?;
                let shape = sides.map(|(width, height)| width.length / height.length);
                reference.square_up = Some(SquareUp { corners: corners.map(in_photo), shape });
                reference.place = Place::Fit;
                "Square up the photo"
            }
            Self::ForgetSquareUp => {
                reference.square_up = None;
                reference.place = Place::Fit;
                "Take the photo as it is"
            }
            Self::Turn { degrees } => {
                if degrees.abs() > ONCE_AROUND {
                    return Err(EditError::TurnTooFar { degrees: *degrees });
                }
                turn_to(reference, Angle::degrees(*degrees), &placing);
                "Turn the photo"
            }
            Self::QuarterTurn { clockwise } => {
                turn_by(reference, Angle::degrees(if *clockwise { 90.0 } else { -90.0 }), &placing);
                "Turn the photo"
            }
            Self::Straighten { from, to, level } => {
                // On the canvas a line turns as the photo does, so its own lean is what is to be undone.
                let by = if *level { turn_to_level } else { turn_to_plumb };
                let by = by(on_canvas(*from), on_canvas(*to)).ok_or(EditError::LineWithoutLength)?;
                turn_by(reference, by, &placing);
                "Straighten the photo"
            }
            Self::Mirror { mirror } => {
                reference.mirror = *mirror;
                if *mirror { "Mirror the photo" } else { "Take the photo unmirrored" }
            }
            Self::Fit => {
                reference.place = Place::Fit;
                "Show the whole photo"
            }
            Self::Fill => {
                reference.place = Place::Fill;
                "Cover the canvas"
            }
            Self::MarkHead { crown, chin } => {
                stay(reference, &placing);
                let seen = |at: Xy| within(placing.to_photo(on_canvas(at)), reference);
                let head = HeadMarks { crown: seen(*crown), chin: seen(*chin) };
                plan.mark_head(head);
                "Mark crown and chin"
            }
            Self::ForgetHead => {
                stay(reference, &placing);
                reference.head = None;
                "Forget crown and chin"
            }
            Self::HeadHeight { .. } => {
                let middle = head.ok_or(EditError::NoHead)?.middle();
                reference.place = Place::Head { height: space, middle: Some(middle) };
                "Change the head's height"
            }
            Self::Space { side, .. } => {
                let from = match head {
                    Some(head) => head.edge(*side),
                    None => plan::CanvasRect::corners(covered)
                        [if matches!(side, Side::Top | Side::Left) { 0 } else { 2 }],
                };
                let by = space - outline.distance_from_side(*side, from);
                let (right, down) = match side {
                    Side::Top => (Length::ZERO, by),
                    Side::Right => (-by, Length::ZERO),
                    Side::Bottom => (Length::ZERO, -by),
                    Side::Left => (by, Length::ZERO),
                };
                shift(reference, &placing, right, down);
                "Move the photo"
            }
            Self::Move { right, down } => {
                shift(reference, &placing, Length::mm(*right), Length::mm(*down));
                "Move the photo"
            }
            Self::Scale { factor, about } => {
                let (about, middle) = (on_canvas(*about), placing.to_canvas(reference.size().centre()));
                reference.place =
                    Place::At { pixel: placing.pixel() * *factor, middle: about.towards(middle, *factor) };
                "Scale the photo"
            }
        })
    }
}

/// Holds the photo where it lies, whatever made it lie there.
fn stay(reference: &mut Reference, placing: &Placing) {
    if !matches!(reference.place, Place::At { .. }) {
        reference.place =
            Place::At { pixel: placing.pixel(), middle: placing.to_canvas(reference.size().centre()) };
    }
}

fn turn_by(reference: &mut Reference, by: Angle, placing: &Placing) {
    turn_to(reference, Angle::degrees(placing.turn().to_degrees() + by.to_degrees()), placing);
}

/// Turns the photo about its middle on the canvas; one that fits or covers the canvas goes on doing so, and a head
/// that was given a height keeps it and its place.
fn turn_to(reference: &mut Reference, turn: Angle, placing: &Placing) {
    if let (Place::Head { height, middle: None }, Some(head)) = (reference.place, reference.head) {
        reference.place = Place::Head { height, middle: Some(placing.to_canvas(head.middle())) };
    }
    let degrees = turn.to_degrees();
    reference.turn = Angle::degrees((degrees + 180.0).rem_euclid(360.0) - 180.0);
}

/// Moves the photo; a head that was given a height keeps it.
fn shift(reference: &mut Reference, placing: &Placing, right: Length, down: Length) {
    reference.place = if let (Place::Head { height, .. }, Some(head)) = (reference.place, reference.head) {
        Place::Head { height, middle: Some(placing.to_canvas(head.middle()).moved(right, down)) }
    } else {
        let middle = placing.to_canvas(reference.size().centre()).moved(right, down);
        Place::At { pixel: placing.pixel(), middle }
    };
}

/// A point dragged beyond the photo's edge stays on the edge.
fn within(point: PhotoPoint, reference: &Reference) -> PhotoPoint {
    let size = reference.size();
    PhotoPoint::new(point.x.clamp(0.0, f64::from(size.width)), point.y.clamp(0.0, f64::from(size.height)))
}
