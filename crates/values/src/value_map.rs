//! Value maps: the picture in two to nine greys, its masses tidied.
//!
//! The work is done on pixels of about a sixth of the smoothing, whatever the photo has: values are smoothed where they
//! vary little and kept at edges, sorted into steps, and rid of slivers and specks. At the end each photo pixel takes
//! the step that has most weight around it, so that the edges of masses run smoothly at the photo's own resolution.

use photo::Picture;
use plan::Length;
use rayon::prelude::*;

use crate::light::{light, pixel as pixel_at, same_size};
use crate::masses::{MOST, Numbers};
use crate::munsell::values;
use crate::plane::{Between, Plane, places};
use crate::steps::{ValueSteps, in_pixels};

/// The smoothing that is usual: masses down to this size on the canvas, about a bristle brush of small size.
pub const USUAL_SMOOTHING: Length = Length::mm(2.0);

/// The smoothings that may be asked for: from none to the width of a house painter's brush.
pub const SMOOTHINGS: std::ops::RangeInclusive<Length> = Length::ZERO..=Length::mm(50.0);

/// How many working pixels the smoothing spans.
const SPAN: f64 = 6.0;

/// The variance, in squared steps of Munsell value, at which smoothing keeps half of what is there: a contrast of one
/// value across an edge is mostly kept, the texture of skin and cloth mostly levelled.
const STRENGTH: f32 = 0.12;

/// A picture sorted into steps of value.
#[derive(Clone, Debug, PartialEq)]
pub struct ValueMap {
    steps: ValueSteps,
    picture: Picture,
    shares: Vec<f64>,
}

impl ValueMap {
    /// The map of a picture whose pixels are `pixel` large on the canvas. Features smaller than `smoothing` on the canvas
    /// go into the masses around them; smoothings beyond [`SMOOTHINGS`] are held to it.
    pub fn of(picture: &Picture, pixel: Length, steps: ValueSteps, smoothing: Length) -> Self {
        let smoothing = smoothing.max(*SMOOTHINGS.start()).min(*SMOOTHINGS.end());
        let (width, height) = (picture.width() as usize, picture.height() as usize);
        let span = in_pixels(smoothing, pixel).min(width.max(height) as f64);
        let scale = ((span / SPAN).round() as usize).max(1);
        let span = span / scale as f64;
        let mut values = working_values(picture, scale);
        let radius = (span / 2.0).round() as usize;
        if radius > 0 {
            values = values.edge_keeping(2 * radius, STRENGTH);
        }
        let mut numbers = Numbers {
            width: values.width,
            height: values.height,
            data: values.data.par_iter().map(|value| steps.of(f64::from(*value)).number - 1).collect(),
        };
        if radius > 0 {
            numbers = numbers.without_slivers(radius).without_specks((span * span) as usize);
        }
        let greys: Vec<u8> = steps.all().map(|step| step.grey).collect();
        let (rgb, counts) = drawn(&numbers, scale, (width, height), radius > 0, &greys);
        let all = (width * height) as f64;
        let shares = counts[..greys.len()].iter().map(|count| *count as f64 / all).collect();
        Self { steps, picture: same_size(picture, rgb), shares }
    }

    /// The map as a picture of the photo's size, each step in its own grey.
    pub const fn picture(&self) -> &Picture {
        &self.picture
    }

    /// The same, given away.
    pub fn into_picture(self) -> Picture {
        self.picture
    }

    /// The steps it has.
    pub const fn steps(&self) -> ValueSteps {
        self.steps
    }

    /// How much of the picture each step takes, the darkest first; together 1.
    pub fn shares(&self) -> &[f64] {
        &self.shares
    }
}

/// Munsell values of blocks of `scale` by `scale` pixels: of the mean of their light.
fn working_values(picture: &Picture, scale: usize) -> Plane {
    let (light, values) = (light(), values());
    let mut plane = Plane::block_means(picture, scale, |pixel| light.luminance(pixel));
    plane.data.par_iter_mut().for_each(|number| *number = values.of(*number));
    plane
}

/// The map's pixels, and how many each step has.
fn drawn(
    numbers: &Numbers,
    scale: usize,
    (width, height): (usize, usize),
    smooth: bool,
    greys: &[u8],
) -> (Vec<u8>, [usize; MOST]) {
    let (across, down) = (places(width, numbers.width, scale), places(height, numbers.height, scale));
    let mixed = mixed_cells(numbers);
    let mut rgb = vec![0; width * height * 3];
    let counts = rgb
        .par_chunks_mut(width * 3)
        .zip(&down)
        .map(|(line, down)| {
            let mut counts = [0; MOST];
            for (pixel, across) in line.chunks_exact_mut(3).zip(&across) {
                let number = if smooth && mixed[down.first * numbers.width + across.first] {
                    weightiest(numbers, across, down)
                } else {
                    let nearest =
                        |place: &Between| if place.share < 0.5 { place.first } else { place.second };
                    numbers.at(nearest(across), nearest(down))
                };
                counts[number as usize] += 1;
                pixel.fill(greys[number as usize]);
            }
            counts
        })
        .reduce(|| [0; MOST], |one, other| std::array::from_fn(|step| one[step] + other[step]));
    (rgb, counts)
}

/// For each working pixel whether the four by four around the cell to its lower right are not all of one step.
fn mixed_cells(numbers: &Numbers) -> Vec<bool> {
    let (width, height) = (numbers.width, numbers.height);
    let mut mixed = vec![false; numbers.data.len()];
    mixed.par_chunks_mut(width).enumerate().for_each(|(row, line)| {
        let rows = row.saturating_sub(1)..(row + 3).min(height);
        for (column, mixed) in line.iter_mut().enumerate() {
            let columns = column.saturating_sub(1)..(column + 3).min(width);
            let number = numbers.at(column, row);
            *mixed = rows
                .clone()
                .any(|row| numbers.data[row * width..][columns.clone()].iter().any(|other| *other != number));
        }
    });
    mixed
}

/// The step with most weight around a place, weighted by the cubic B-spline, whose level lines are smooth.
fn weightiest(numbers: &Numbers, across: &Between, down: &Between) -> u8 {
    let (columns, rows) = (spline(across.share), spline(down.share));
    let mut weights = [0.0_f32; MOST];
    let near = |first: usize, by: usize, count: usize| (first + by).saturating_sub(1).min(count - 1);
    for (by_row, of_row) in rows.iter().enumerate() {
        let row = near(down.first, by_row, numbers.height);
        for (by_column, of_column) in columns.iter().enumerate() {
            let column = near(across.first, by_column, numbers.width);
            weights[numbers.at(column, row) as usize] += of_row * of_column;
        }
    }
    let most = weights.iter().enumerate().max_by(|one, other| one.1.total_cmp(other.1));
    most.map_or(0, |(step, _)| step as u8)
}

/// The weights of the uniform cubic B-spline for the four pixels around a place between the middle two.
fn spline(share: f32) -> [f32; 4] {
    let (t, s) = (share, 1.0 - share);
    [
        s * s * s / 6.0,
        (4.0 - 6.0 * t * t + 3.0 * t * t * t) / 6.0,
        (4.0 - 6.0 * s * s + 3.0 * s * s * s) / 6.0,
        t * t * t / 6.0,
    ]
}

/// The luminance of a pixel of a picture.
pub(crate) fn luminance_at(picture: &Picture, column: usize, row: usize) -> f32 {
    light().luminance(pixel_at(picture.rgb(), (row * picture.width() as usize + column) * 3))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::munsell::value_of;
    use proptest::prelude::*;

    fn picture(width: u32, height: u32, grey: impl Fn(u32, u32) -> u8) -> Picture {
        let rgb =
            (0..height).flat_map(|y| (0..width).map(move |x| (x, y))).flat_map(|(x, y)| [grey(x, y); 3]);
        Picture::from_rgb(width, height, rgb.collect()).unwrap()
    }

    fn map(picture: &Picture, count: u32, smoothing: f64) -> ValueMap {
        ValueMap::of(picture, Length::mm(0.1), ValueSteps::new(count).unwrap(), Length::mm(smoothing))
    }

    #[test]
    fn without_smoothing_each_pixel_goes_to_the_step_of_its_own_value() {
        let ramp = picture(256, 2, |x, _| x as u8);
        let map = map(&ramp, 5, 0.0);
        for x in 0..256_usize {
            let value = value_of(f64::from(luminance_at(&ramp, x, 0)));
            assert_eq!(map.picture().rgb()[x * 3], ValueSteps::FIVE.of(value).grey, "{x}");
        }
        assert!((map.shares().iter().sum::<f64>() - 1.0).abs() < 1e-12);
    }

    #[test]
    fn the_edge_of_a_mass_stays_where_it_is_and_bears_no_rim() {
        let edge = picture(300, 200, |x, _| if x < 150 { 30 } else { 230 });
        let map = map(&edge, 9, 2.0);
        let row: Vec<u8> =
            map.picture().rgb()[300 * 3 * 100..300 * 3 * 101].chunks(3).map(|p| p[0]).collect();
        let (dark, light) = (row[0], row[299]);
        assert!(row.iter().all(|grey| *grey == dark || *grey == light), "{row:?}");
        let at = row.iter().position(|grey| *grey == light).unwrap();
        assert!((147..=153).contains(&at), "{at}");
    }

    #[test]
    fn what_is_smaller_than_the_smoothing_goes_into_the_mass_around_it() {
        // Dots of 1 mm and a disc of 8 mm.
        let spotted = picture(400, 400, |x, y| {
            let disc = (f64::from(x) - 200.0).hypot(f64::from(y) - 200.0) < 40.0;
            let dot = x % 80 < 10 && y % 80 < 10;
            if disc || dot { 240 } else { 60 }
        });
        let map = map(&spotted, 4, 3.0);
        let used: Vec<f64> = map.shares().iter().copied().filter(|share| *share > 0.0).collect();
        assert_eq!(used.len(), 2);
        let disc = std::f64::consts::PI * 1600.0 / 160_000.0;
        assert!((used[1] / disc - 1.0).abs() < 0.05, "{} {disc}", used[1]);
    }

    #[test]
    fn grain_leaves_no_specks() {
        let grainy = picture(300, 300, |x, y| {
            let noise = (x.wrapping_mul(7919) ^ y.wrapping_mul(104_729)).wrapping_mul(2_654_435_761) >> 27;
            100 + x as u8 / 5 + noise as u8
        });
        let smooth = map(&grainy, 9, 2.0);
        let changes = smooth.picture().rgb().chunks(3).collect::<Vec<_>>();
        let row_changes =
            (0..300).map(|y| (1..300).filter(|x| changes[y * 300 + x] != changes[y * 300 + x - 1]).count());
        assert!(row_changes.max().unwrap() <= 3);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(24))]

        #[test]
        fn any_picture_size_and_smoothing_gives_a_map(
            width in 1..60_u32, height in 1..60_u32, smoothing in prop_oneof![Just(f64::NAN), -5.0..80.0_f64], pixel in prop_oneof![Just(0.0), Just(f64::NAN), 0.001..30.0_f64], count in 2..=9_u32,
        ) {
            let any = picture(width, height, |x, y| (x * 31 + y * 17) as u8);
            let map = ValueMap::of(&any, Length::mm(pixel), ValueSteps::new(count).unwrap(), Length::mm(smoothing));
            prop_assert_eq!((map.picture().width(), map.picture().height()), (width, height));
            prop_assert!((map.shares().iter().sum::<f64>() - 1.0).abs() < 1e-9);
        }
    }
}
