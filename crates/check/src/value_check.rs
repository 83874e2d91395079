//! Values of the painting against the reference, box by box of the grid. Indicative only: a photo of wet paint under a lamp is
//! no measurement of it.

use photo::Picture;
use plan::{CanvasPoint, CanvasRect, Grid, PhotoPoint, Plan};
use serde::{Deserialize, Serialize};
use values::{BoxValue, box_values, luminance_of, value_of};

use crate::edges::median;
use crate::pose::CanvasMap;

/// Luminance below this share of white says nothing of the exposure.
const DARKEST: f64 = 0.005;

/// The longer side, pixels, to which the reference is to be reduced for the values of its boxes: some dozen pixels across a box.
pub const VALUES_SIDE: u32 = 800;

/// The values of the grid's boxes, after the exposure of the painting's photo was fitted to the reference.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ValueCheck {
    /// By how many stops the painting's photo was brightened to match the reference over most boxes.
    pub exposure_stops: f64,
    /// Each box that both show, row by row.
    pub boxes: Vec<BoxValues>,
}

/// The mean values of one box, on the Munsell scale from 0 to 10.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct BoxValues {
    /// The box by its column's letter and its row's number.
    pub name: String,
    /// Its bounds on the canvas.
    pub rect: CanvasRect,
    /// Of the reference.
    pub reference: f64,
    /// Of the painting, exposure fitted.
    pub painting: f64,
}

impl BoxValues {
    /// By how much the painting is too light, in steps of value; below 0 too dark.
    pub fn too_light(&self) -> f64 {
        self.painting - self.reference
    }
}

impl ValueCheck {
    /// Compares the boxes of the plan's grid. `painting` is the photo of the canvas, `reference` the picture that lies on the
    /// canvas, reduced or not. `None` without a reference that is placed, or where no box is seen in both.
    pub fn of(painting: &Picture, map: &CanvasMap, reference: &Picture, plan: &Plan) -> Option<Self> {
        let [wanted, painted] = values_of_both(painting, map, reference, plan, &plan.grid)?;
        let boxes: Vec<(String, CanvasRect, f64, f64)> = wanted
            .iter()
            .zip(&painted)
            .filter_map(|(wanted, painted)| {
                let rect = grid_box_rect(plan, wanted.grid_box.column, wanted.grid_box.row)?;
                Some((
                    wanted.grid_box.to_string(),
                    rect,
                    luminance_of(wanted.value?),
                    luminance_of(painted.value?),
                ))
            })
            .collect();
        let stops = exposure(boxes.iter().map(|(_, _, reference, painting)| (*reference, *painting)));
        let boxes: Vec<BoxValues> = boxes
            .into_iter()
            .map(|(name, rect, reference, painting)| BoxValues {
                name,
                rect,
                reference: value_of(reference),
                painting: value_of((painting * stops.exp2()).min(1.0)),
            })
            .collect();
        (!boxes.is_empty()).then_some(Self { exposure_stops: stops, boxes })
    }

    /// The boxes whose value differs by at least `steps`, those that differ most first.
    pub fn differing(&self, steps: f64) -> Vec<&BoxValues> {
        let mut boxes: Vec<&BoxValues> =
            self.boxes.iter().filter(|one| one.too_light().abs() >= steps).collect();
        boxes.sort_by(|a, b| b.too_light().abs().total_cmp(&a.too_light().abs()));
        boxes
    }
}

/// The mean values of a grid's boxes in the reference and in the painting; `None` without a reference that is placed.
pub(crate) fn values_of_both(
    painting: &Picture,
    map: &CanvasMap,
    reference: &Picture,
    plan: &Plan,
    grid: &Grid,
) -> Option<[Vec<BoxValue>; 2]> {
    let (placing, size) = (plan.placing()?, plan.reference.as_ref()?.size());
    let reduced = f64::from(reference.width()) / f64::from(size.width);
    let in_reference = |point: CanvasPoint| {
        let at = placing.to_photo(point);
        PhotoPoint::new(at.x * reduced, at.y * reduced)
    };
    let in_painting = |point: CanvasPoint| {
        let at = map.to_image(point);
        PhotoPoint::new(at.x, at.y)
    };
    let (outline, canvas) = (plan.canvas.outline(), plan.canvas.nominal);
    Some([
        box_values(reference, in_reference, &outline, grid, canvas),
        box_values(painting, in_painting, &outline, grid, canvas),
    ])
}

/// By how many stops the second of each pair of luminances, 0 to 1, must be brightened to match the first: the median ratio, so
/// that a few boxes painted wrong do not sway it.
fn exposure(pairs: impl Iterator<Item = (f64, f64)>) -> f64 {
    let told = pairs.filter(|(reference, painting)| reference.min(*painting) > DARKEST);
    median(told.map(|(reference, painting)| (reference / painting).log2())).unwrap_or(0.0)
}

/// The bounds of a box of the main grid.
fn grid_box_rect(plan: &Plan, column: usize, row: usize) -> Option<CanvasRect> {
    let [top_left, top_right, bottom_right, bottom_left] = plan.canvas.outline().corners;
    let shares = |shares: Vec<f64>, at: usize| {
        let with_sides = [vec![0.0], shares, vec![1.0]].concat();
        Some((*with_sides.get(at)?, *with_sides.get(at + 1)?))
    };
    let (left, right) = shares(plan.grid.shares_across(plan.canvas.nominal), column)?;
    let (top, bottom) = shares(plan.grid.shares_down(plan.canvas.nominal), row)?;
    let at = |across: f64, down: f64| {
        top_left.towards(top_right, across).towards(bottom_left.towards(bottom_right, across), down)
    };
    CanvasRect::around([at(left, top), at(right, top), at(right, bottom), at(left, bottom)])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::ImagePoint;
    use crate::pose::{Lens, View};
    use nalgebra::Vector2;
    use plan::{Canvas, Grid, Length, PhotoSize, Reference, Unit};

    /// Both pictures are 100 x 100 pixels of a canvas of 100 x 100 mm in four boxes; the painting's photo has half the light.
    #[test]
    fn a_darker_photo_is_brought_up_and_the_one_box_painted_too_dark_shows() {
        let picture = |light: [f64; 4]| {
            let code = |at: usize| photo::srgb::number_of(light[at]) * 255.0;
            let rgb = (0..10_000_usize)
                .flat_map(|at| [code(2 * (at / 5000) + usize::from(at % 100 >= 50)).round() as u8; 3])
                .collect();
            Picture::from_rgb(100, 100, rgb).unwrap()
        };
        let reference = picture([0.2, 0.3, 0.5, 0.6]);
        let painting = picture([0.1, 0.06, 0.25, 0.3]);
        let side = Length::mm(100.0);
        let mut plan = Plan::new(Canvas::nominal(side, side), Unit::Centimetre);
        plan.grid = Grid::parts(2, 2);
        plan.reference = Some(Reference::fitted(PhotoSize { width: 100, height: 100 }));
        let corners =
            [(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0)].map(|(x, y)| ImagePoint::new(x, y));
        let view = View { middle: Vector2::new(50.0, 50.0), focal: 100.0 };
        let map = CanvasMap::through_corners(view, corners, &plan.canvas.outline(), Lens::default()).unwrap();
        let check = ValueCheck::of(&painting, &map, &reference, &plan).unwrap();
        assert!((check.exposure_stops - 1.0).abs() < 0.03, "{}", check.exposure_stops);
        let differing = check.differing(0.5);
        assert_eq!(differing.iter().map(|one| one.name.as_str()).collect::<Vec<_>>(), ["B1"]);
        assert!(differing[0].too_light() < -1.5 && differing[0].rect.origin.x == Length::mm(50.0));
        plan.reference = None;
        assert_eq!(ValueCheck::of(&painting, &map, &reference, &plan), None);
    }
}
