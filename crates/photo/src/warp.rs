//! Warping a picture through a projective map, such as squaring up a print that was photographed at a slant.

use rayon::prelude::*;

use crate::picture::Picture;

impl Picture {
    /// A picture of `width` by `height` pixels whose point (x, y) shows this picture's point `map`·(x, y, 1), by bilinear
    /// interpolation between the four nearest pixels. Both frames have their origin at the top left corner, pixel
    /// edges on whole numbers. What lies outside this picture shows its nearest edge; a width or height of 0 is taken
    /// for 1.
    ///
    /// The map should not shrink: where several pixels fall on one, reduce the picture first.
    #[must_use]
    pub fn warped(&self, map: [[f64; 3]; 3], width: u32, height: u32) -> Self {
        let (width, height) = (width.max(1), height.max(1));
        let mut rgb = vec![0_u8; width as usize * height as usize * 3];
        rgb.par_chunks_exact_mut(width as usize * 3).enumerate().for_each(|(row, line)| {
            let y = row as f64 + 0.5;
            for (column, pixel) in line.chunks_exact_mut(3).enumerate() {
                let x = column as f64 + 0.5;
                let [u, v, w] = map.map(|[a, b, c]| a * x + b * y + c);
                pixel.copy_from_slice(&self.between_pixels(u / w, v / w));
            }
        });
        Self { width, height, rgb }
    }

    /// The colour at a point, between the middles of the four pixels around it.
    fn between_pixels(&self, x: f64, y: f64) -> [u8; 3] {
        let (left, share_right) = neighbour(x, self.width);
        let (top, share_down) = neighbour(y, self.height);
        let right = (left + 1).min(self.width as usize - 1);
        let below = (top + 1).min(self.height as usize - 1);
        let at = |column: usize, row: usize| (row * self.width as usize + column) * 3;
        let [a, b, c, d] = [at(left, top), at(right, top), at(left, below), at(right, below)];
        [0, 1, 2].map(|channel| {
            let value = |at: usize| f64::from(self.rgb[at + channel]);
            let above = value(a) + (value(b) - value(a)) * share_right;
            let beneath = value(c) + (value(d) - value(c)) * share_right;
            (above + (beneath - above) * share_down).round() as u8
        })
    }
}

/// The last pixel whose middle is not beyond `place`, and how far on the way to the next one's middle the place is.
fn neighbour(place: f64, count: u32) -> (usize, f64) {
    let last = f64::from(count) - 1.0;
    let place = if place.is_finite() { (place - 0.5).clamp(0.0, last) } else { 0.0 };
    (place as usize, place.fract())
}

#[cfg(test)]
mod tests {
    use super::*;

    const SAME: [[f64; 3]; 3] = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

    fn picture() -> Picture {
        let rgb = (0..6 * 4 * 3).map(|at| (at * 37 % 251) as u8).collect();
        Picture::from_rgb(6, 4, rgb).unwrap()
    }

    #[test]
    fn a_map_that_moves_nothing_changes_nothing() {
        assert_eq!(picture().warped(SAME, 6, 4).rgb(), picture().rgb());
    }

    #[test]
    fn moving_by_whole_pixels_moves_pixels() {
        let moved = picture().warped([[1.0, 0.0, 2.0], [0.0, 1.0, 1.0], [0.0, 0.0, 1.0]], 4, 3);
        assert_eq!(moved.rgb()[..3], picture().rgb()[(6 + 2) * 3..(6 + 2) * 3 + 3]);
    }

    #[test]
    fn a_map_into_nowhere_gives_a_picture_all_the_same() {
        let nowhere = [[0.0; 3], [f64::NAN; 3], [0.0; 3]];
        assert_eq!(picture().warped(nowhere, 3, 3).rgb().len(), 27);
    }
}
