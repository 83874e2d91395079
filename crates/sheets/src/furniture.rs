//! What stands around the picture on every true-size sheet: which sheet it is, where it goes, and the scale bars.

use plan::{CanvasPoint, Insets, Length, Quad, SheetLayout, SheetWindow};
use serde::Serialize;

use crate::joins::joined_piece;
use crate::paper::{Drawing, PaperPoint, PaperRect};
use crate::scale_bar::ScaleBar;

/// Room for the furniture inside the printable area, as the sheet is read: a band below for the label, the map and the
/// level bar; a strip at the left for the upright bar and the readings of level lines; a strip above for the readings
/// of upright lines.
pub const FURNITURE: Insets = Insets {
    top: Length::mm(LABEL_STRIP),
    right: Length::mm(OUTLINE_OVERHANG),
    bottom: Length::mm(BAND),
    left: Length::mm(BAR_STRIP + LABEL_STRIP),
};

/// Half of the canvas's outline stands beyond the picture's right edge, in mm.
const OUTLINE_OVERHANG: f64 = 0.2;
/// Height of the band below the picture, in mm.
const BAND: f64 = 14.0;
/// Width of the strip that holds the upright scale bar, in mm.
const BAR_STRIP: f64 = 9.5;
/// Width of the strips that hold the lines' readings, in mm.
const LABEL_STRIP: f64 = 4.0;
/// Gap between the picture and the band, in mm.
const BAND_GAP: f64 = 2.5;
/// Largest width and height of the map, in mm.
const MAP: (f64, f64) = (15.0, BAND - BAND_GAP);
/// Width of the sheet's letter and number, in mm.
const NAME_WIDTH: f64 = 16.0;
/// Room beyond the level bar's end for half of its last label, in mm.
const BAR_OVERHANG: f64 = 5.0;
/// Gap between the parts of the band, in mm.
const GAP: f64 = 3.0;

/// The furniture of one sheet.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct Furniture {
    /// The sheet's letter and number.
    name: String,
    name_at: PaperRect,
    /// Said below what the sheet is.
    notes: Vec<String>,
    words_at: PaperRect,
    map: Map,
    bars: [ScaleBar; 2],
}

/// A small picture of all sheets with this one filled in.
#[derive(Clone, Debug, Serialize)]
struct Map {
    canvas: Vec<PaperPoint>,
    /// Sides and seams, each right through: as many as rows and columns, where single sheets would be as many as both multiplied.
    lines: Vec<[PaperPoint; 2]>,
    here: PaperRect,
}

impl Furniture {
    /// Furnishes one of the sheets of `layout`, called `name`. `printable` is what lies inside the sheet's margins, `drawn` how long to
    /// draw what shall come out as 1.
    pub(crate) fn new(
        name: String,
        printable: PaperRect,
        drawn: (f64, f64),
        layout: &SheetLayout,
        sheet: &SheetWindow,
        canvas: &Quad,
        notes: Vec<String>,
    ) -> Self {
        let top = printable.bottom() - MAP.1;
        let level = ScaleBar::level(drawn.0);
        let upright = ScaleBar::upright(drawn.1);
        let bar_x = printable.right() - BAR_OVERHANG - level.length();
        let name_at = PaperRect { x: printable.x, y: top, width: NAME_WIDTH, height: MAP.1 };
        let map = Map::new(PaperPoint::new(name_at.right() + GAP, top), layout, sheet, canvas);
        let words_x = map.right() + GAP;
        let bar_y = printable.y + FURNITURE.top.to_mm();
        Self {
            name,
            name_at,
            notes,
            words_at: PaperRect { x: words_x, y: top, width: bar_x - 2.0 * GAP - words_x, height: MAP.1 },
            map,
            bars: [
                level.at(PaperPoint::new(bar_x, f64::midpoint(top, printable.bottom()))),
                upright.at(PaperPoint::new(printable.x + BAR_STRIP / 2.0, bar_y)),
            ],
        }
    }
}

impl Map {
    fn new(at: PaperPoint, layout: &SheetLayout, sheet: &SheetWindow, canvas: &Quad) -> Self {
        let bounds = canvas.bounds();
        let scale = (MAP.0 / bounds.width.to_mm()).min(MAP.1 / bounds.height.to_mm());
        let drawing = Drawing::new(bounds.origin, at, (scale, scale));
        let piece = |sheet| joined_piece(layout, sheet);
        let lines = layout.sheets.first().zip(layout.sheets.last()).map(|(first, last)| {
            let (from, to) = (piece(first).origin, piece(last));
            let across = [from.x, to.right()].into_iter().chain(layout.upright_seams.iter().copied());
            let down = [from.y, to.bottom()].into_iter().chain(layout.level_seams.iter().copied());
            let point = |x, y| drawing.point(CanvasPoint::new(x, y));
            let upright = across.map(|x| [point(x, from.y), point(x, to.bottom())]);
            let level = down.map(|y| [point(from.x, y), point(to.right(), y)]);
            upright.chain(level).collect()
        });
        Self {
            canvas: drawing.points(&canvas.corners),
            lines: lines.unwrap_or_default(),
            here: drawing.rect(piece(sheet)),
        }
    }

    fn right(&self) -> f64 {
        self.canvas.iter().map(|corner| corner.x).fold(0.0, f64::max)
    }
}
