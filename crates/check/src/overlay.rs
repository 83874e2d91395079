//! The squared-up photo with the checked lines over it, their errors enlarged.

use photo::Picture;
use plan::Quad;

use crate::grid_check::{GridCheck, LineCheck, Verdict};
use crate::rectify::{RectifyError, rectified};

/// How much larger than life the errors are drawn: 1 mm shows as 10.
pub const ENLARGED: f64 = 10.0;

/// How much of the photo is kept; the rest is white, so that lines stand out from paint.
const PHOTO_KEPT: f64 = 0.6;

/// Colours of the verdicts. They only repeat what the line's style says: solid for true, double for off, dotted for what
/// cannot be told.
const TRUE: [u8; 3] = [0x1d, 0x5f, 0x7a];
const OFF: [u8; 3] = [0x8c, 0x3f, 0x24];
const CANNOT_TELL: [u8; 3] = [0x6b, 0x66, 0x5e];
const PLANNED: [u8; 3] = [0x23, 0x21, 0x1e];

/// The canvas squared up at `ppi` pixels to an inch: each planned line as a hairline in its place, and each seen line
/// as far from there as [`ENLARGED`] times its error, in the style of its verdict.
///
/// # Errors
/// When `ppi` is out of range or makes too many pixels.
pub fn overlay(photo: &Picture, check: &GridCheck, canvas: &Quad, ppi: f64) -> Result<Picture, RectifyError> {
    let per_mm = ppi / 25.4;
    let under = rectified(photo, &check.map, canvas, ppi)?;
    let (width, height) = (under.width(), under.height());
    let faded = under
        .into_rgb()
        .into_iter()
        .map(|code| (255.0 - PHOTO_KEPT * (255.0 - f64::from(code))).round() as u8);
    let mut sheet = Sheet { width: width as usize, height: height as usize, rgb: faded.collect() };
    let origin = canvas.bounds().origin;
    let pen = (0.45 * per_mm).max(1.2);
    for line in &check.lines {
        let ends = [line.from, line.to]
            .map(|end| [(end.x - origin.x).to_mm() * per_mm, (end.y - origin.y).to_mm() * per_mm]);
        sheet.line(ends, (0.25 * pen).max(1.0), PLANNED, Some(2.0 * pen));
        let (colour, style) = match line.verdict {
            Verdict::True => (TRUE, Style::Solid),
            Verdict::Off => (OFF, Style::Double),
            Verdict::CannotTell => (CANNOT_TELL, Style::Dotted),
        };
        let seen = enlarged(line, ends, per_mm);
        match style {
            Style::Solid => sheet.line(seen, pen, colour, None),
            Style::Dotted => sheet.line(seen, pen, colour, Some(3.0 * pen)),
            Style::Double => {
                for side in [-1.0, 1.0] {
                    sheet.line(beside(seen, 1.3 * side * pen), 0.8 * pen, colour, None);
                }
            }
        }
    }
    // The sheet is as large as the photo under it.
    Ok(Picture::from_rgb(width, height, sheet.rgb).unwrap_or_else(|| photo.clone()))
}

#[derive(Clone, Copy)]
enum Style {
    Solid,
    Double,
    Dotted,
}

/// The ends moved across the line by its enlarged errors.
fn enlarged(line: &LineCheck, ends: [[f64; 2]; 2], per_mm: f64) -> [[f64; 2]; 2] {
    let Some(place) = line.place else { return ends };
    let across = across(ends);
    // Offsets are positive to the right or downwards.
    let sign = if across[0] + across[1] < 0.0 { -1.0 } else { 1.0 };
    let moved = |end: [f64; 2], off: f64| {
        [0, 1].map(|axis| end[axis] + sign * across[axis] * off * ENLARGED * per_mm)
    };
    [moved(ends[0], place.start_mm), moved(ends[1], place.end_mm)]
}

fn beside(ends: [[f64; 2]; 2], off: f64) -> [[f64; 2]; 2] {
    let across = across(ends);
    ends.map(|end| [0, 1].map(|axis| end[axis] + across[axis] * off))
}

/// The unit direction across a line.
fn across([from, to]: [[f64; 2]; 2]) -> [f64; 2] {
    let length = (to[0] - from[0]).hypot(to[1] - from[1]).max(1e-9);
    [-(to[1] - from[1]) / length, (to[0] - from[0]) / length]
}

struct Sheet {
    width: usize,
    height: usize,
    rgb: Vec<u8>,
}

impl Sheet {
    /// A line `pen` pixels wide; with a `dash`, drawn for so many pixels and left out for as many.
    fn line(&mut self, [from, to]: [[f64; 2]; 2], pen: f64, colour: [u8; 3], dash: Option<f64>) {
        let span = [to[0] - from[0], to[1] - from[1]];
        let length = span[0].hypot(span[1]);
        if length.is_nan() || length <= 0.0 {
            return;
        }
        // Along the longer axis, so that each step looks at a few pixels across only.
        let steep = span[1].abs() > span[0].abs();
        let (along, wide) = if steep { (1, 0) } else { (0, 1) };
        let most = if steep { [self.height, self.width] } else { [self.width, self.height] };
        let reach = (pen + 1.5) * length / span[along].abs();
        let (low, high) =
            (from[along].min(to[along]).max(0.0), from[along].max(to[along]).min(most[0] as f64));
        for step in low as usize..high.max(0.0) as usize {
            let share = (step as f64 + 0.5 - from[along]) / span[along];
            if dash.is_some_and(|dash| (share * length / dash) as i64 % 2 == 1) {
                continue;
            }
            let centre = from[wide] + share * span[wide];
            let (first, last) = ((centre - reach).max(0.0), (centre + reach).min(most[1] as f64));
            for place in first as usize..last.max(0.0) as usize {
                let off = (place as f64 + 0.5 - centre).abs() * span[along].abs() / length;
                let cover = (pen / 2.0 - off + 0.5).clamp(0.0, 1.0);
                let at = if steep { step * self.width + place } else { place * self.width + step };
                for (code, ink) in self.rgb[3 * at..3 * at + 3].iter_mut().zip(colour) {
                    *code = (f64::from(*code) * (1.0 - cover) + f64::from(ink) * cover).round() as u8;
                }
            }
        }
    }
}
