//! The eight ways a camera can have been held (Exif tag 0x0112), and turning stored pixels upright.

use rayon::prelude::*;

/// How the stored pixels must be turned to stand upright.
///
/// Exif 2.32 (CIPA DC-008), tag 0x0112: the number tells on which side of the upright picture the stored first row and first
/// column lie.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Orientation {
    /// 1: already upright.
    #[default]
    Upright = 1,
    /// 2: mirrored left to right.
    MirrorLeftRight = 2,
    /// 3: upside down; turn by 180°.
    Turn180 = 3,
    /// 4: mirrored top to bottom.
    MirrorTopBottom = 4,
    /// 5: rows and columns exchanged.
    Transpose = 5,
    /// 6: turn by 90° clockwise.
    Turn90Clockwise = 6,
    /// 7: rows and columns exchanged across the other diagonal.
    AntiTranspose = 7,
    /// 8: turn by 90° anticlockwise.
    Turn90Anticlockwise = 8,
}

impl Orientation {
    /// The orientation with this Exif number; other numbers than 1 to 8 are reserved and mean upright.
    pub fn from_exif(number: u32) -> Self {
        match number {
            2 => Self::MirrorLeftRight,
            3 => Self::Turn180,
            4 => Self::MirrorTopBottom,
            5 => Self::Transpose,
            6 => Self::Turn90Clockwise,
            7 => Self::AntiTranspose,
            8 => Self::Turn90Anticlockwise,
            _ => Self::Upright,
        }
    }

    /// The Exif number, 1 to 8.
    pub fn exif(self) -> u8 {
        self as u8
    }

    /// Whether width and height change places on the way to upright.
    pub fn swaps_sides(self) -> bool {
        self.exif() >= 5
    }

    /// Width and height when upright, of a picture stored so.
    pub fn upright_size(self, width: u32, height: u32) -> (u32, u32) {
        if self.swaps_sides() { (height, width) } else { (width, height) }
    }

    /// The stored pixel that belongs at column `x`, row `y` of the upright picture; `width` and `height` are the stored ones.
    fn stored(self, x: usize, y: usize, width: usize, height: usize) -> (usize, usize) {
        match self {
            Self::Upright => (x, y),
            Self::MirrorLeftRight => (width - 1 - x, y),
            Self::Turn180 => (width - 1 - x, height - 1 - y),
            Self::MirrorTopBottom => (x, height - 1 - y),
            Self::Transpose => (y, x),
            Self::Turn90Clockwise => (y, height - 1 - x),
            Self::AntiTranspose => (width - 1 - y, height - 1 - x),
            Self::Turn90Anticlockwise => (width - 1 - y, x),
        }
    }

    /// Turns stored RGB pixels upright; gives the upright width, height and pixels.
    pub(crate) fn apply(self, width: u32, height: u32, stored: Vec<u8>) -> (u32, u32, Vec<u8>) {
        /// Square blocks keep both the rows read and the rows written in the processor's cache while sides are exchanged.
        const BLOCK: usize = 64;
        if self == Self::Upright {
            return (width, height, stored);
        }
        let (stored_width, stored_height) = (width as usize, height as usize);
        let (width, height) = self.upright_size(width, height);
        let w = width as usize;
        let mut upright = vec![0; stored.len()];
        upright.par_chunks_mut(3 * w * BLOCK).enumerate().for_each(|(number, rows)| {
            for left in (0..w).step_by(BLOCK) {
                for (row, pixels) in rows.chunks_exact_mut(3 * w).enumerate() {
                    for x in left..w.min(left + BLOCK) {
                        let (from_x, from_y) =
                            self.stored(x, number * BLOCK + row, stored_width, stored_height);
                        let from = 3 * (from_y * stored_width + from_x);
                        pixels[3 * x..3 * x + 3].copy_from_slice(&stored[from..from + 3]);
                    }
                }
            }
        });
        (width, height, upright)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Six pixels, 3 wide and 2 high, told apart by their red:  1 2 3 / 4 5 6.
    fn upright_reds(number: u32) -> (u32, u32, Vec<u8>) {
        let stored = (1..=6).flat_map(|red| [red, 0, 0]).collect();
        let (width, height, rgb) = Orientation::from_exif(number).apply(3, 2, stored);
        (width, height, rgb.chunks_exact(3).map(|pixel| pixel[0]).collect())
    }

    #[test]
    fn each_number_puts_the_first_row_and_column_where_exif_says() {
        assert_eq!(upright_reds(1), (3, 2, vec![1, 2, 3, 4, 5, 6]));
        assert_eq!(upright_reds(2), (3, 2, vec![3, 2, 1, 6, 5, 4]));
        assert_eq!(upright_reds(3), (3, 2, vec![6, 5, 4, 3, 2, 1]));
        assert_eq!(upright_reds(4), (3, 2, vec![4, 5, 6, 1, 2, 3]));
        assert_eq!(upright_reds(5), (2, 3, vec![1, 4, 2, 5, 3, 6]));
        assert_eq!(upright_reds(6), (2, 3, vec![4, 1, 5, 2, 6, 3]));
        assert_eq!(upright_reds(7), (2, 3, vec![6, 3, 5, 2, 4, 1]));
        assert_eq!(upright_reds(8), (2, 3, vec![3, 6, 2, 5, 1, 4]));
    }

    #[test]
    fn reserved_numbers_mean_upright() {
        for number in [0, 9, 65_535] {
            assert_eq!(Orientation::from_exif(number), Orientation::Upright);
        }
    }
}
