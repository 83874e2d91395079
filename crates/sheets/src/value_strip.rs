//! The value strip: the steps of a value map, beside the picture on every sheet that shows one.

use serde::Serialize;
use values::ValueSteps;

use crate::furniture::FURNITURE;
use crate::paper::PaperRect;
use crate::scale_bar::ScaleBar;

/// Width of a swatch, and its height where there is room, in mm: large enough to lay a loaded knife beside.
const SWATCH: (f64, f64) = (7.5, 8.0);

/// Gap between the upright scale bar and the strip, and below the strip, in mm.
const GAP: f64 = 6.0;

/// The darkest value whose number is set in black; darker ones bear white numbers.
const BLACK_NUMBER_FROM: f64 = 5.5;

/// One step: its grey, and its Munsell value in figures.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct Swatch {
    at: PaperRect,
    /// A number of sRGB, the same for red, green and blue.
    grey: u8,
    value: String,
    /// Whether the figures are white.
    white: bool,
}

/// The room at the left of the picture, below the upright scale bar and the swatches under it; `drawn` is how long along the
/// sheet what shall come out as 1 is drawn.
pub(crate) fn below_upright_bar(printable: PaperRect, drawn: f64, swatches: &[Swatch]) -> PaperRect {
    let bar = printable.y + FURNITURE.top.to_mm() + ScaleBar::upright(drawn).length();
    let y = swatches.last().map_or(bar, |last| last.at.bottom()) + GAP;
    let height = (printable.bottom() - FURNITURE.bottom.to_mm() - y).max(0.0);
    PaperRect { x: printable.x, y, width: SWATCH.0, height }
}

/// The swatches below the upright scale bar, the lightest above. `drawn` is how long along the sheet what shall come out
/// as 1 is drawn.
pub(crate) fn value_strip(steps: ValueSteps, printable: PaperRect, drawn: f64) -> Vec<Swatch> {
    let top = printable.y + FURNITURE.top.to_mm() + ScaleBar::upright(drawn).length() + GAP;
    let room = printable.bottom() - FURNITURE.bottom.to_mm() - GAP - top;
    let height = SWATCH.1.min(room / f64::from(steps.count()));
    let from_lightest = steps.all().collect::<Vec<_>>().into_iter().rev().enumerate();
    from_lightest
        .map(|(at, step)| Swatch {
            at: PaperRect { x: printable.x, y: top + at as f64 * height, width: SWATCH.0, height },
            grey: step.grey,
            value: format!("{:.1}", step.value).trim_end_matches(".0").to_owned(),
            white: step.value < BLACK_NUMBER_FROM,
        })
        .collect()
}
