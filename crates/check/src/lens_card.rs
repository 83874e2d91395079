//! The lens card: a sheet of crosses at known places, photographed once, tells the lens for every later check.

use nalgebra::Vector2;
use plan::{CanvasPoint, Length, Quad};

use crate::camera::CanvasPhoto;
use crate::edges::median;
use crate::frame::ImagePoint;
use crate::luma::Luma;
use crate::pose::{
    Beforehand, CanvasMap, Estimate, Evidence, KnownLens, Lens, LensFocal, Spot, check_corners, estimate,
    millimetres,
};
use crate::unfit::Unfit;

/// Fewest crosses that tell a lens: a grid of four by five.
pub const FEWEST_CROSSES: usize = 20;

/// Step of the profiles across a cross's arms, mm.
const STEP: f64 = 0.05;

/// The part of an arm that is looked at, from the cross's middle: shares of the arm.
const ARM: (f64, f64) = (0.25, 0.85);

/// How far around its expected place a cross is looked for, in arms: first as the lens is unknown, then again.
const RANGES: [f64; 3] = [0.7, 0.35, 0.2];

/// The least depth of a cross's stroke: the natural logarithm of the ratio of light.
const LEAST_DEPTH: f64 = 0.15;

/// A cross further off than this many times the median is left out.
const FAR_OFF: f64 = 4.0;

/// No cross is found better than this, pixels.
const FINEST: f64 = 0.03;

/// The card: crosses on a flat sheet, in mm from its top left corner, like points of a canvas.
#[derive(Clone, Debug, PartialEq)]
pub struct LensCard {
    /// The middles of all crosses.
    pub crosses: Vec<CanvasPoint>,
    /// The outermost four of them: top left, top right, bottom right, bottom left.
    pub outermost: Quad,
    /// The length of each of a cross's four arms.
    pub arm: Length,
}

impl LensCard {
    /// How wide an arm of a printed cross is.
    pub const STROKE: Length = Length::mm(0.6);

    /// The card that is printed: seven by nine crosses, which fits on A4 and on Letter.
    pub fn printed() -> Self {
        const APART: f64 = 28.0;
        let at = |column: u32, row: u32| CanvasPoint::mm(APART * f64::from(column), APART * f64::from(row));
        let crosses = (0..9).flat_map(|row| (0..7).map(move |column| at(column, row))).collect();
        let outermost = Quad { corners: [at(0, 0), at(6, 0), at(6, 8), at(0, 8)] };
        Self { crosses, outermost, arm: Length::mm(6.0) }
    }
}

impl KnownLens {
    /// Measures the lens on a photo of the card; `corners` are the outermost four crosses in the photo, from the top left
    /// clockwise, to within a few pixels.
    ///
    /// # Errors
    /// When the corners make no card, or too few crosses are seen.
    pub fn from_card(photo: &CanvasPhoto, card: &LensCard, corners: [ImagePoint; 4]) -> Result<Self, Unfit> {
        check_corners(photo, corners)?;
        let mut map = CanvasMap::through_corners(photo.view(), corners, &card.outermost, Lens::default())
            .ok_or(Unfit::NoOutline)?;
        for range in RANGES {
            let spots: Vec<Spot> = card
                .crosses
                .iter()
                .filter_map(|cross| seen_cross(photo.luma(), &map, *cross, card.arm, range))
                .collect();
            if spots.len() < FEWEST_CROSSES {
                return Err(Unfit::CrossesNotSeen { seen: spots.len(), needed: FEWEST_CROSSES });
            }
            map = settled(&map, spots).ok_or(Unfit::NoMap)?.map;
        }
        let [k1_sd, k2_sd] = map.lens_sd();
        Ok(Self { lens: map.lens(), k1_sd, k2_sd, focal: Some(LensFocal::of(photo)) })
    }
}

/// Where a cross is seen: the darkest place across its upright arms, then across its level ones.
fn seen_cross(luma: &Luma, map: &CanvasMap, cross: CanvasPoint, arm: Length, range: f64) -> Option<Spot> {
    let (place, arm) = (millimetres(cross), arm.to_mm());
    let (right, down) = (Vector2::x(), Vector2::y());
    let mut seen = place;
    // Each direction twice: the second time the arms are looked at where they are.
    for _ in 0..2 {
        let across = darkest(luma, map, seen, right, down, arm, range)?;
        let along = darkest(luma, map, seen, down, right, arm, range)?;
        seen += right * across + down * along;
    }
    let pixel = map.pixel(seen);
    luma.holds(pixel.x, pixel.y, 2.0).then_some(Spot { pixel, place, sd: 0.3 })
}

/// How far off in the direction `across` the stroke along `along` lies, mm.
fn darkest(
    luma: &Luma,
    map: &CanvasMap,
    middle: Vector2<f64>,
    across: Vector2<f64>,
    along: Vector2<f64>,
    arm: f64,
    range: f64,
) -> Option<f64> {
    const SAMPLES: i32 = 12;
    let half = (range * arm / STEP).ceil() as i32;
    let light: Vec<f64> = (-half..=half)
        .map(|off| {
            let sum: f64 = (0..2 * SAMPLES)
                .map(|sample| {
                    let share = f64::from(sample % SAMPLES) / f64::from(SAMPLES - 1);
                    let sign = if sample < SAMPLES { 1.0 } else { -1.0 };
                    let place = sign * arm * (ARM.0 + (ARM.1 - ARM.0) * share);
                    let pixel = map.pixel(middle + across * (f64::from(off) * STEP) + along * place);
                    f64::from(luma.at(pixel.x, pixel.y).max(1e-3).ln())
                })
                .sum();
            sum / f64::from(2 * SAMPLES)
        })
        .collect();
    let paper = median(light.iter().copied())?;
    let least = light.iter().copied().fold(f64::INFINITY, f64::min);
    if paper - least < LEAST_DEPTH {
        return None;
    }
    // The middle of what is darker than halfway: a stroke is even, so this beats its single darkest place.
    let halfway = f64::midpoint(paper, least);
    let (mut sum, mut weights) = (0.0, 0.0);
    let darkest = light.iter().position(|light| *light <= least)?;
    let dark = |at: &usize| light[*at] < halfway;
    let before = (0..darkest).rev().take_while(|at| dark(at));
    let after = (darkest..light.len()).take_while(|at| dark(at));
    for at in before.chain(after) {
        let weight = halfway - light[at];
        sum += weight * (at as f64 - f64::from(half)) * STEP;
        weights += weight;
    }
    (weights > 0.0).then(|| sum / weights)
}

/// The estimate from crosses, those far off left out and the others counted for what they scatter.
fn settled(start: &CanvasMap, spots: Vec<Spot>) -> Option<Estimate> {
    let mut evidence = Evidence { curves: Vec::new(), spots, beforehand: Beforehand::of_a_telephone() };
    let mut settled = estimate(start, &evidence)?;
    for _ in 0..2 {
        let off = |spot: &Spot| (settled.map.pixel(spot.place) - spot.pixel).norm();
        let usual = median(evidence.spots.iter().map(off))?.max(FINEST);
        let mut kept: Vec<Spot> =
            evidence.spots.iter().copied().filter(|spot| off(spot) < FAR_OFF * usual).collect();
        for spot in &mut kept {
            spot.sd = usual;
        }
        evidence.spots = kept;
        settled = estimate(&settled.map, &evidence)?;
    }
    Some(settled)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pose::View;
    use photo::{CameraFacts, Picture};

    /// The card drawn through a known lens, 1200 x 1600 pixels, four samples to the pixel.
    fn photographed(lens: Lens) -> (CanvasPhoto, [ImagePoint; 4]) {
        let (width, height) = (1200_u32, 1600_u32);
        let facts = CameraFacts { focal_length_35mm: Some(26.0), ..CameraFacts::default() };
        let focal = 26.0 / 43.266_615 * f64::from(width).hypot(f64::from(height));
        let view = View { middle: Vector2::new(600.0, 800.0), focal };
        let corners = [(110.0, 120.0), (1090.0, 150.0), (1060.0, 1480.0), (140.0, 1440.0)]
            .map(|(x, y)| ImagePoint::new(x, y));
        let map = CanvasMap::through_corners(view, corners, &LensCard::printed().outermost, lens).unwrap();
        let near = |mm: f64| mm - 28.0 * (mm / 28.0).round();
        let ink = |x: f64, y: f64| {
            let Some(place) = map.place(Vector2::new(x, y)) else { return 0.0 };
            let (x, y) = (near(place.x).abs(), near(place.y).abs());
            f64::from(u8::from((x < 0.3 && y < 6.0) || (y < 0.3 && x < 6.0)))
        };
        let mut rgb = Vec::new();
        for at in 0..width * height {
            let (x, y) = (f64::from(at % width), f64::from(at / width));
            let covered: f64 =
                [0.25, 0.75].iter().flat_map(|dx| [0.25, 0.75].map(|dy| ink(x + dx, y + dy))).sum();
            rgb.extend([(225.0 - 45.0 * covered) as u8; 3]);
        }
        (CanvasPhoto::new(&Picture::from_rgb(width, height, rgb).unwrap(), &facts).unwrap(), corners)
    }

    #[test]
    fn the_lens_is_measured_to_a_few_thousandths() {
        let lens = Lens { k1: -0.06, k2: 0.01 };
        let (photo, corners) = photographed(lens);
        let slipped = corners.map(|corner| ImagePoint::new(corner.x + 2.0, corner.y - 3.0));
        let known = KnownLens::from_card(&photo, &LensCard::printed(), slipped).unwrap();
        assert!((known.lens.k1 - lens.k1).abs() < 0.004, "{known:?}");
        assert!(known.k1_sd < 0.004, "{known:?}");
        // k₁ and k₂ make good for each other; the bend at the photo's corner is what counts.
        let bend = |lens: Lens| 0.25 * (lens.k1 + 0.25 * lens.k2);
        assert!((bend(known.lens) - bend(lens)).abs() < 3e-4, "{known:?}");
    }

    #[test]
    fn a_photo_without_crosses_tells_no_lens() {
        let picture = Picture::from_rgb(1200, 1600, vec![200; 1200 * 1600 * 3]).unwrap();
        let photo = CanvasPhoto::new(&picture, &CameraFacts::default()).unwrap();
        let corners = [(110.0, 120.0), (1090.0, 150.0), (1060.0, 1480.0), (140.0, 1440.0)]
            .map(|(x, y)| ImagePoint::new(x, y));
        assert!(matches!(
            KnownLens::from_card(&photo, &LensCard::printed(), corners),
            Err(Unfit::CrossesNotSeen { seen: 0, .. })
        ));
    }
}
