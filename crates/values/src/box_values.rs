//! The mean value of each grid box, for holding a painting against its reference.

use photo::Picture;
use plan::{CanvasPoint, Grid, GridBox, PhotoPoint, Quad, Size};
use rayon::prelude::*;

use crate::munsell::value_of;
use crate::value_map::luminance_at;

/// The most samples taken across a box, each way: a mean of 10 000 of them errs by a hundredth of their spread.
const MOST_SAMPLES: f64 = 100.0;

/// The least share of a box that must be seen for its value to be told.
const LEAST_SEEN: f64 = 0.5;

/// The mean value of a grid box.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BoxValue {
    /// The box.
    pub grid_box: GridBox,
    /// The Munsell value of the mean of its light; `None` where less than half of it is in the picture.
    pub value: Option<f64>,
}

/// The mean value of every box of `grid`, ruled on `outline` whose nominal size is `size`, row by row from the top left.
/// `to_picture` says where in the picture a point of the canvas is seen, in the picture's own pixels: a placing's map
/// for a reference, the map found in a photo of the canvas for a painting.
pub fn box_values(
    picture: &Picture,
    to_picture: impl Fn(CanvasPoint) -> PhotoPoint + Sync,
    outline: &Quad,
    grid: &Grid,
    size: Size,
) -> Vec<BoxValue> {
    let with_sides = |shares: Vec<f64>| [vec![0.0], shares, vec![1.0]].concat();
    let (across, down) = (with_sides(grid.shares_across(size)), with_sides(grid.shares_down(size)));
    let on_canvas = |right: f64, below: f64| {
        let [top_left, top_right, bottom_right, bottom_left] = outline.corners;
        top_left.towards(top_right, right).towards(bottom_left.towards(bottom_right, right), below)
    };
    let boxes: Vec<GridBox> = (0..down.len() - 1)
        .flat_map(|row| (0..across.len() - 1).map(move |column| GridBox { column, row }))
        .collect();
    boxes
        .into_par_iter()
        .map(|grid_box| {
            let GridBox { column, row } = grid_box;
            let (left, right) = (across[column], across[column + 1]);
            let (top, bottom) = (down[row], down[row + 1]);
            let corner = |right, below| to_picture(on_canvas(right, below));
            let diagonal = corner(left, top).distance_to(corner(right, bottom));
            let samples = diagonal.clamp(1.0, MOST_SAMPLES).ceil() as usize;
            let between =
                |from: f64, to: f64, at: usize| from + (to - from) * (at as f64 + 0.5) / samples as f64;
            let (mut light, mut seen) = (0.0, 0_u32);
            for y in 0..samples {
                for x in 0..samples {
                    let at = to_picture(on_canvas(between(left, right, x), between(top, bottom, y)));
                    let inside = (0.0..f64::from(picture.width())).contains(&at.x)
                        && (0.0..f64::from(picture.height())).contains(&at.y);
                    if inside {
                        light += f64::from(luminance_at(picture, at.x as usize, at.y as usize));
                        seen += 1;
                    }
                }
            }
            let enough = f64::from(seen) >= LEAST_SEEN * (samples * samples) as f64;
            BoxValue { grid_box, value: enough.then(|| value_of(light / f64::from(seen))) }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use plan::{CanvasRect, Length};

    #[test]
    fn each_box_has_its_own_value_and_one_that_is_not_seen_has_none() {
        // ASTM D1535 and IEC 61966-2-1: the numbers of values 2, 5, 8 and 9.
        let greys = [[49, 121], [200, 227]];
        let rgb: Vec<u8> = (0..80 * 60).flat_map(|at| [greys[at / 80 / 30][at % 80 / 40]; 3]).collect();
        let picture = Picture::from_rgb(80, 60, rgb).unwrap();
        let rect = CanvasRect::new(CanvasPoint::ORIGIN, Length::mm(120.0), Length::mm(60.0));
        let size = Size { width: rect.width, height: rect.height };
        let at = |point: CanvasPoint| PhotoPoint::new(point.x.to_mm(), point.y.to_mm());
        let values = box_values(&picture, at, &rect.into(), &Grid::parts(3, 2), size);
        let told: Vec<_> = values
            .iter()
            .map(|b| (b.grid_box.to_string(), b.value.map(|v| (v * 10.0).round() / 10.0)))
            .collect();
        let expected = [
            ("A1", Some(2.0)),
            ("B1", Some(5.0)),
            ("C1", None),
            ("A2", Some(8.0)),
            ("B2", Some(9.0)),
            ("C2", None),
        ];
        assert_eq!(told, expected.map(|(name, value)| (name.to_owned(), value)));
    }
}
