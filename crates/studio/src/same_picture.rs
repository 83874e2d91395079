//! Whether two photos are the same picture in two sizes: a painter who is sent a better copy wants to go on where she was.

use photo::{Photo, PhotoSize, Picture, Stop};

/// The longer side at which two pictures are compared, in pixels: enough to tell one pose from the next.
const COMPARED_SIDE: u32 = 96;

/// Shapes that differ by more than this share are not those of the same picture.
const SHAPE: f64 = 0.01;

/// Copies of one picture, compressed and scaled each in its way, agree better than this (correlation of their greys; the copies that
/// were tried lie above 0.995), and two photos of one sitting, from a tripod too, less.
const LEAST_CORRELATION: f64 = 0.985;

/// True when `a` and `b` show the same, upright, whole and without a crop.
pub(crate) fn is_same(a: &Photo, b: &Photo, stop: &Stop) -> bool {
    let shape = |PhotoSize { width, height }: PhotoSize| f64::from(width) / f64::from(height);
    if (shape(a.size()) / shape(b.size()) - 1.0).abs() > SHAPE {
        return false;
    }
    let small = |photo: &Photo| photo.stopped_by(stop).preview(COMPARED_SIDE);
    let (Ok(a), Ok(b)) = (small(a), small(b)) else { return false };
    correlation(&greys(&a, &a), &greys(&b, &a)) > LEAST_CORRELATION
}

/// A picture's greys at as many places as `like` has pixels: rounding may give the two a pixel more or less.
fn greys(picture: &Picture, like: &Picture) -> Vec<f64> {
    let (width, height) = (picture.width() as usize, picture.height() as usize);
    let (across, down) = (like.width() as usize, like.height() as usize);
    let grey = |x: usize, y: usize| {
        let at = 3 * ((y * height / down) * width + x * width / across);
        picture.rgb()[at..at + 3].iter().map(|part| f64::from(*part)).sum()
    };
    (0..down).flat_map(|y| (0..across).map(move |x| (x, y))).map(|(x, y)| grey(x, y)).collect()
}

/// Pearson's correlation; 0 where a list does not vary.
fn correlation(a: &[f64], b: &[f64]) -> f64 {
    let mean = |list: &[f64]| list.iter().sum::<f64>() / list.len().max(1) as f64;
    let (mean_a, mean_b) = (mean(a), mean(b));
    let (mut both, mut of_a, mut of_b) = (0.0, 0.0, 0.0);
    for (a, b) in a.iter().zip(b) {
        both += (a - mean_a) * (b - mean_b);
        of_a += (a - mean_a).powi(2);
        of_b += (b - mean_b).powi(2);
    }
    if of_a * of_b > 0.0 { both / (of_a * of_b).sqrt() } else { 0.0 }
}
