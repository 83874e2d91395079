//! The scale bars' own sheet: long bars both ways, how to measure them, and what an error of the printer comes to.

use plan::{Length, Orientation, Plan, PrinterCorrection, Stock, Unit};
use serde::Serialize;

use crate::figures::Figure;
use crate::paper::{PaperPoint, PaperRect};
use crate::scale_bar::{Reach, ScaleBar};

/// Room for half of a bar with its numbers, in mm.
const HALF_BAR: f64 = 7.0;
/// Width of a line of words that is read with ease, in mm.
const MEASURE: f64 = 130.0;
/// White kept around the words, in mm.
const WHITE: f64 = 10.0;

/// The scale bars' sheet.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct BarsSheet {
    bars: [ScaleBar; 2],
    words_at: PaperRect,
    correction: Option<String>,
    /// What a printer that is off by half a per cent does: a length, and by how much it comes out wrong.
    errors: Vec<[Figure; 2]>,
}

/// Half a per cent: what a home printer that is nothing special may be off (common practice, no source).
const EXAMPLE_ERROR: f64 = 0.005;

/// The sheet for this paper, upright.
pub(crate) fn bars_sheet(plan: &Plan, stock: &Stock) -> BarsSheet {
    let orientation = Orientation::Portrait;
    let printable = PaperRect::sheet(stock.paper, orientation).inside(stock.margins(orientation));
    let drawn = stock.correction.drawn(orientation);
    let zero = PaperPoint::new(printable.x + 2.0 * HALF_BAR, printable.y + 2.0 * HALF_BAR);
    let level = ScaleBar::level(drawn.0).reaching(reach((printable.right() - zero.x - HALF_BAR) / drawn.0));
    let upright =
        ScaleBar::upright(drawn.1).reaching(reach((printable.bottom() - zero.y - HALF_BAR) / drawn.1));
    let lengths = match plan.unit {
        Unit::Inch => [1.0, 4.0, 8.0, 12.0, 24.0].map(Length::inches),
        Unit::Centimetre | Unit::Millimetre => [2.0, 10.0, 20.0, 30.0, 60.0].map(Length::cm),
    };
    BarsSheet {
        bars: [
            level.at(PaperPoint::new(zero.x, printable.y + HALF_BAR)),
            upright.at(PaperPoint::new(printable.x + HALF_BAR, zero.y)),
        ],
        words_at: PaperRect {
            x: zero.x + WHITE,
            y: zero.y + WHITE,
            width: (printable.right() - zero.x - 2.0 * WHITE).min(MEASURE),
            height: printable.bottom() - zero.y - 2.0 * WHITE,
        },
        correction: correction_line(stock.correction, plan.unit),
        errors: lengths
            .map(|length| [plan.ruler.read(length).into(), Figure::millimetres(length * EXAMPLE_ERROR)])
            .to_vec(),
    }
}

/// The longest bars that `room` mm hold.
fn reach(room: f64) -> Reach {
    Reach::LONG.into_iter().find(|reach| reach.longer() <= room).unwrap_or(Reach::SHORT)
}

/// Says that and how the sheets are corrected; nothing when they are not.
fn correction_line(correction: PrinterCorrection, unit: Unit) -> Option<String> {
    (!correction.is_none()).then(|| {
        let [across, along] = correction.bars_in_words(unit);
        format!("Corrected for bars measured as {across} across and {along} along the paper.")
    })
}
