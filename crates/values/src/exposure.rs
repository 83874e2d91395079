//! Whether a photo holds enough light, and not too much, to paint a head from.

use std::ops::Range;

use photo::Picture;
use plan::{HEAD_BREADTH, HeadMarks};

use crate::light::pixel;
use crate::munsell::value_of;
use crate::value_map::luminance_at;

/// A head whose lightest twentieth stays below this Munsell value is dark: lit skin of all complexions has lights above it in a
/// photo exposed for the face (common practice, no source; in the tests' portrait they reach 8.7).
const DARK: f64 = 4.5;

/// The share of a head, or of a photo, that may be burnt out without a word: lights on a wet eye or an oily forehead
/// (common practice, no source).
const BURNT_UNSAID: f64 = 0.02;

/// From this number up in red, green and blue alike nothing is drawn any more; a JPEG's own noise is some three numbers.
const BURNT: u8 = 252;

/// The share that counts as the lightest part.
const LIGHTEST: f64 = 0.05;

/// How many levels of light are told apart, by the square root of luminance in even steps: about 0.01 of value.
const LEVELS: usize = 1024;

/// How light the head in a photo is, or the whole photo while no head is marked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Exposure {
    /// Whether it tells of the head; else of the whole photo.
    pub of_head: bool,
    /// The Munsell value above which the lightest twentieth lies, 0 to 10.
    pub lights: f64,
    /// The share that is plain white, 0 to 1.
    pub burnt: f64,
}

impl Exposure {
    /// The exposure of a picture, where `head` is marked in the pixels of this very picture. A head that lies off the picture, or
    /// has no height, is as one not marked.
    pub fn of(picture: &Picture, head: Option<HeadMarks>) -> Self {
        let whole = || {
            let all = (0..picture.width() as usize, 0..picture.height() as usize);
            Self::within(picture, all, false, |_, _| true)
        };
        head.and_then(|marks| Self::of_head(picture, marks)).or_else(whole).unwrap_or(Self {
            of_head: false,
            lights: 10.0,
            burnt: 0.0,
        })
    }

    /// Within the oval that a head fills between crown and chin.
    fn of_head(picture: &Picture, marks: HeadMarks) -> Option<Self> {
        let (middle, half) = (marks.middle(), marks.crown.distance_to(marks.chin) / 2.0);
        let along =
            ((marks.chin.x - marks.crown.x) / (2.0 * half), (marks.chin.y - marks.crown.y) / (2.0 * half));
        // No head is broader than it is high.
        let reach = half;
        let span = |middle: f64, size: u32| {
            let size = f64::from(size);
            (middle - reach).clamp(0.0, size) as usize..(middle + reach).clamp(0.0, size).ceil() as usize
        };
        let around = (span(middle.x, picture.width()), span(middle.y, picture.height()));
        Self::within(picture, around, true, |column, row| {
            let (x, y) = (column as f64 + 0.5 - middle.x, row as f64 + 0.5 - middle.y);
            let down = (x * along.0 + y * along.1) / half;
            let across = (y * along.0 - x * along.1) / (half * HEAD_BREADTH);
            down.hypot(across) <= 1.0
        })
    }

    /// Over the pixels that count among those of these columns and rows; `None` where none does.
    fn within(
        picture: &Picture,
        (columns, rows): (Range<usize>, Range<usize>),
        of_head: bool,
        counts: impl Fn(usize, usize) -> bool,
    ) -> Option<Self> {
        let width = picture.width() as usize;
        let mut levels = [0_u64; LEVELS];
        let (mut burnt, mut counted) = (0_u64, 0_u64);
        for row in rows {
            for column in columns.clone().filter(|column| counts(*column, row)) {
                counted += 1;
                let numbers = pixel(picture.rgb(), (row * width + column) * 3);
                burnt += u64::from(numbers.iter().all(|number| *number >= BURNT));
                let level = luminance_at(picture, column, row).sqrt() * (LEVELS - 1) as f32;
                levels[(level as usize).min(LEVELS - 1)] += 1;
            }
        }
        let lightest = (counted as f64 * LIGHTEST) as u64;
        let mut above = 0;
        let level = levels.iter().rposition(|count| {
            above += count;
            above > lightest
        })?;
        let lights = value_of((level as f64 / (LEVELS - 1) as f64).powi(2));
        Some(Self { of_head, lights, burnt: burnt as f64 / counted as f64 })
    }

    /// What the painter should know before she works from this photo; nothing where it is well exposed.
    pub fn in_words(self) -> Option<String> {
        let what = if self.of_head { "head" } else { "photo" };
        let advice = "Take it again if you can, or correct it in your photo program and choose it again: sheets and values tell what the photo holds.";
        if self.lights < DARK {
            let lights = self.lights;
            return Some(format!(
                "The {what} is dark: even its lightest parts have value {lights:.1} of 10, so forms in the shadows will be hard to see. {advice}"
            ));
        }
        (self.burnt > BURNT_UNSAID).then(|| {
            let burnt = self.burnt * 100.0;
            if self.of_head {
                format!("{burnt:.0} % of the head is burnt out to plain white, where no form is left to paint from. {advice}")
            } else {
                format!(
                    "{burnt:.0} % of the photo is plain white, where no form is left to paint from: burnt out, or open where a picture was cut out \
                     of its ground. If it is burnt out: {advice}"
                )
            }
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use plan::PhotoPoint;

    /// A grey head of one number, 60 high, in the middle of a ground of another.
    fn head_on_ground(head: u8, ground: u8) -> Picture {
        let rgb = (0..100 * 100).flat_map(|at| {
            let (x, y) = (f64::from(at % 100) + 0.5 - 50.0, f64::from(at / 100) + 0.5 - 50.0);
            [if (x / (30.0 * HEAD_BREADTH)).hypot(y / 30.0) <= 1.0 { head } else { ground }; 3]
        });
        Picture::from_rgb(100, 100, rgb.collect()).unwrap()
    }

    fn marks() -> HeadMarks {
        HeadMarks { crown: PhotoPoint::new(50.0, 20.0), chin: PhotoPoint::new(50.0, 80.0) }
    }

    #[test]
    fn a_dark_head_is_told_before_a_light_ground_and_a_light_one_before_a_dark_ground() {
        let dark = Exposure::of(&head_on_ground(77, 255), Some(marks()));
        // ASTM D1535 and IEC 61966-2-1: number 77 is value 3.1.
        assert!((dark.lights - 3.15).abs() < 0.1, "{dark:?}");
        assert_eq!(dark.burnt, 0.0);
        assert!(
            dark.in_words().unwrap().starts_with("The head is dark: even its lightest parts have value 3.")
        );
        let light = Exposure::of(&head_on_ground(200, 0), Some(marks()));
        assert_eq!(light.in_words(), None);
        let unmarked = Exposure::of(&head_on_ground(77, 40), None);
        assert!(unmarked.in_words().unwrap().starts_with("The photo is dark"));
    }

    #[test]
    fn what_is_burnt_out_is_told_in_per_cent_of_the_head() {
        let mut rgb = head_on_ground(180, 255).rgb().to_vec();
        // A band of 7 rows across the head's middle, about 4 of whose 60 rows' area each twentieth is.
        rgb[46 * 300..53 * 300].fill(255);
        let told = Exposure::of(&Picture::from_rgb(100, 100, rgb).unwrap(), Some(marks()));
        // A band of 7 about the middle of an ellipse 60 high: (2/π)(h√(1−h²) + asin h) with h = 3.5/30.
        assert!((told.burnt - 0.148).abs() < 0.005, "{told:?}");
        assert!(told.in_words().unwrap().starts_with("15 % of the head is burnt out"));
    }

    #[test]
    fn a_head_off_the_picture_or_without_height_is_as_one_not_marked() {
        let picture = head_on_ground(180, 60);
        let far = HeadMarks { crown: PhotoPoint::new(900.0, 20.0), chin: PhotoPoint::new(900.0, 80.0) };
        let flat = HeadMarks { crown: PhotoPoint::new(50.0, 50.0), chin: PhotoPoint::new(50.0, 50.0) };
        for marks in [far, flat] {
            assert!(!Exposure::of(&picture, Some(marks)).of_head);
        }
    }
}
