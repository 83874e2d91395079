//! The squared-up photo with the checked lines over it, their errors enlarged.

use photo::Picture;
use plan::CanvasPoint;

use crate::grid_check::Verdict;
use crate::rectify::{RectifyError, rectified};
use crate::report::{LineReport, Report};

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

impl LineReport {
    /// Its ends where they are drawn: as seen, with the error [`ENLARGED`] where it can be told. `None` where it was not seen.
    pub fn drawn_enlarged(&self) -> Option<[CanvasPoint; 2]> {
        self.drawn(if self.verdict == Verdict::CannotTell { 1.0 } else { ENLARGED })
    }
}

/// The canvas squared up at `ppi` pixels to an inch: each planned line as a hairline in its place, and each seen line
/// where [`LineReport::drawn_enlarged`] has it, in the style of its verdict.
///
/// # Errors
/// When `ppi` is out of range or makes too many pixels.
pub fn overlay(photo: &Picture, check: &Report, ppi: f64) -> Result<Picture, RectifyError> {
    let per_mm = ppi / 25.4;
    let under = rectified(photo, &check.map, &check.canvas, ppi)?;
    let (width, height) = (under.width(), under.height());
    let faded = under
        .into_rgb()
        .into_iter()
        .map(|code| (255.0 - PHOTO_KEPT * (255.0 - f64::from(code))).round() as u8);
    let mut sheet = Sheet { width: width as usize, height: height as usize, rgb: faded.collect() };
    let origin = check.canvas.bounds().origin;
    let on_sheet = |ends: [CanvasPoint; 2]| {
        ends.map(|end| [(end.x - origin.x).to_mm() * per_mm, (end.y - origin.y).to_mm() * per_mm])
    };
    let pen = (0.45 * per_mm).max(1.2);
    for line in &check.lines {
        let ends = on_sheet([line.from, line.to]);
        sheet.line(ends, (0.25 * pen).max(1.0), PLANNED, Some(2.0 * pen));
        let (colour, style) = match line.verdict {
            Verdict::True => (TRUE, Style::Solid),
            Verdict::Off => (OFF, Style::Double),
            Verdict::CannotTell => (CANNOT_TELL, Style::Dotted),
        };
        let seen = line.drawn_enlarged().map_or(ends, on_sheet);
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::ImagePoint;
    use crate::lines::Seen;
    use crate::outline::Standing;
    use crate::pose::{CanvasMap, Lens, View};
    use crate::report::{LensFound, LineReport};
    use crate::shape::CanvasShape;
    use nalgebra::Vector2;
    use plan::{CanvasRect, Direction, Length, Quad};

    fn vertical(at: f64, off: Option<f64>, verdict: Verdict) -> LineReport {
        LineReport {
            name: format!("vertical at {at} mm"),
            in_detail: false,
            direction: Direction::Vertical,
            planned_mm: at,
            found: off.is_some(),
            seen: if off.is_some() { Seen::Found } else { Seen::NotSeen },
            start_mm: off,
            start_95_mm: Some(0.1),
            end_mm: off,
            end_95_mm: Some(0.1),
            offset_mm: off,
            offset_95_mm: Some(0.1),
            tilt_deg: Some(0.0),
            other_mm: None,
            verdict,
            from: CanvasPoint::mm(at, 0.0),
            to: CanvasPoint::mm(at, 100.0),
        }
    }

    /// A white photo of a canvas of 100 x 100 mm, 4 pixels to the millimetre.
    fn drawn(lines: Vec<LineReport>) -> Picture {
        let canvas: Quad = CanvasRect::new(CanvasPoint::ORIGIN, Length::mm(100.0), Length::mm(100.0)).into();
        let corners =
            [(0.0, 0.0), (400.0, 0.0), (400.0, 400.0), (0.0, 400.0)].map(|(x, y)| ImagePoint::new(x, y));
        let view = View { middle: Vector2::new(200.0, 200.0), focal: 400.0 };
        let report = Report {
            outline_px: corners,
            middles_px: None,
            outline: Standing::Given,
            canvas,
            lens: LensFound { k1: 0.0, k1_sd: 0.0 },
            rms_px: 0.0,
            tolerance_mm: 0.8,
            lines,
            unplanned: Vec::new(),
            shape: CanvasShape {
                tilt: plan::Angle::ZERO,
                wider_mm: 0.0,
                wider_95_mm: 0.0,
                leans_mm: 0.0,
                leans_95_mm: 0.0,
                lens_told: true,
                against_measured: false,
                told: false,
            },
            painted: Vec::new(),
            drift: None,
            proportions: Vec::new(),
            values: None,
            warnings: Vec::new(),
            map: CanvasMap::through_corners(view, corners, &canvas, Lens::default()).unwrap(),
            plan_changed: None,
        };
        let white = Picture::from_rgb(400, 400, vec![255; 400 * 400 * 3]).unwrap();
        overlay(&white, &report, 101.6).unwrap()
    }

    /// The columns, in mm, at which a row of the picture is inked in a colour nearer to `ink` than to white.
    fn inked(picture: &Picture, row: usize, ink: [u8; 3]) -> Vec<f64> {
        let width = picture.width() as usize;
        let near = |at: usize| {
            let pixel = &picture.rgb()[3 * (row * width + at)..][..3];
            pixel.iter().zip(ink).all(|(code, ink)| code.abs_diff(ink) < 40)
        };
        (0..width).filter(|at| near(*at)).map(|at| (at as f64 + 0.5) / 4.0).collect()
    }

    #[test]
    fn an_error_is_drawn_ten_times_as_large_in_two_strokes() {
        let picture = drawn(vec![vertical(30.0, Some(0.8), Verdict::Off)]);
        let columns = inked(&picture, 200, OFF);
        let (first, last) = (columns[0], columns[columns.len() - 1]);
        assert!((f64::midpoint(first, last) - 38.0).abs() < 0.3, "{columns:?}");
        assert!(
            columns.windows(2).any(|pair| pair[1] - pair[0] > 0.3),
            "two strokes with a gap: {columns:?}"
        );
    }

    #[test]
    fn a_true_line_is_one_stroke_and_what_cannot_be_told_is_dotted() {
        let picture =
            drawn(vec![vertical(30.0, Some(-0.2), Verdict::True), vertical(70.0, None, Verdict::CannotTell)]);
        let columns = inked(&picture, 200, TRUE);
        assert!(columns.iter().all(|at| (at - 28.0).abs() < 0.6) && !columns.is_empty(), "{columns:?}");
        let dots = (0..400)
            .filter(|row| inked(&picture, *row, CANNOT_TELL).iter().any(|at| (at - 70.0).abs() < 0.6));
        let dots = dots.count();
        assert!((120..280).contains(&dots), "half of it is drawn: {dots}");
    }
}
