//! The lens card: crosses whose places are known exactly, to be photographed once with each phone.

use check::LensCard;
use plan::{Insets, Length, Orientation, Stock};
use serde::Serialize;

use crate::paper::{Drawing, PaperPoint, PaperRect};

/// White kept inside the printable area.
const WHITE: Length = Length::mm(4.0);
/// Room for the words below the crosses, in mm.
const WORDS: f64 = 20.0;
/// From the card's outermost crosses to the words, in mm.
const GAP: f64 = 9.0;

/// The sheet's data.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct CardSheet {
    /// The arms of all crosses.
    arms: Vec<[PaperPoint; 2]>,
    /// How wide an arm is drawn.
    stroke: f64,
    /// Marks the four outermost crosses in the order in which they are asked for.
    corners: Vec<Corner>,
    words_at: PaperRect,
}

/// The number of an outermost cross.
#[derive(Clone, Debug, Serialize)]
struct Corner {
    at: PaperPoint,
    number: String,
}

/// The card in the middle of the sheet, upright; it comes out true on the printer that the stock is corrected for.
pub(crate) fn card_sheet(stock: &Stock) -> CardSheet {
    let orientation = Orientation::Portrait;
    let printable = PaperRect::sheet(stock.paper, orientation).inside(stock.margins(orientation));
    let content = printable.inside(Insets::all(WHITE));
    let card = LensCard::printed();
    let drawn = stock.correction.drawn(orientation);
    let bounds = card.outermost.bounds();
    let (width, height) = (bounds.width.to_mm() * drawn.0, bounds.height.to_mm() * drawn.1);
    let at = PaperPoint::new(
        content.x + (content.width - width) / 2.0,
        content.y + ((content.height - WORDS - GAP - height) / 2.0).max(card.arm.to_mm()),
    );
    let drawing = Drawing::new(bounds.origin, at, drawn);
    let arms = card.crosses.iter().flat_map(|cross| {
        let (arm, none) = (card.arm, Length::ZERO);
        [(arm, none), (none, arm)]
            .map(|(dx, dy)| [drawing.point(cross.moved(-dx, -dy)), drawing.point(cross.moved(dx, dy))])
    });
    let middle = bounds.centre();
    let corners = card.outermost.corners.iter().zip(1..).map(|(corner, number)| {
        let beside = |middle: Length, corner: Length| if corner < middle { -1.0 } else { 1.0 };
        let off = 0.6 * card.arm.to_mm();
        let at = drawing.point(*corner);
        Corner {
            at: at.moved(off * beside(middle.x, corner.x), off * beside(middle.y, corner.y)),
            number: number.to_string(),
        }
    });
    CardSheet {
        arms: arms.collect(),
        stroke: LensCard::STROKE.to_mm(),
        corners: corners.collect(),
        words_at: PaperRect { y: content.bottom() - WORDS, height: WORDS, ..content },
    }
}
