//! What a painter may choose about a packet.

use plan::{
    Insets, LayoutError, Length, LineLook, Orientation, Paper, Plan, PrinterCorrection, Printing, Ratio,
    Stock,
};

use crate::date::Date;
use crate::furniture::FURNITURE;
use crate::kind::SheetKind;
use crate::paper::PaperRect;
use crate::show::Show;

/// The least width and height that the margins must leave of the paper held upright, in mm: room for the level scale bar
/// with what stands beside it, and for the upright one.
const LEAST_PRINTABLE: (f64, f64) = (175.0, 190.0);

/// What a painter may choose about a packet, beyond the plan itself.
#[derive(Clone, Debug, PartialEq)]
pub struct PacketOptions {
    /// The painting's title, as it stands on every sheet.
    pub title: String,
    /// The day on the sheets and in the file; without one the sheets bear none.
    pub date: Option<Date>,
    /// The paper.
    pub paper: Paper,
    /// What the printer leaves blank, with the paper held upright.
    pub margins: Insets,
    /// How much of the picture two neighbouring sheets both show.
    pub lap: Length,
    /// The printer's error, if the painter measured it.
    pub correction: PrinterCorrection,
    /// Whether the grid is drawn over the photo.
    pub lines: bool,
    /// How the lines are drawn.
    pub line_look: LineLook,
    /// How the reference is shown on reference and detail sheets. The photo handed over has this tone already, see
    /// [`PhotoStream::shown`](crate::PhotoStream::shown).
    pub show: Show,
    /// The size of reference and detail sheets to the canvas's, for a canvas too large to print.
    pub ratio: Ratio,
    /// The focal length in mm, as on 36 × 24 mm film, that the photo tells; the plan's own goes before it.
    pub focal_35mm: Option<f64>,
    /// Whether the landmarks are marked on reference, detail and film sheets.
    pub landmarks: bool,
    /// Whether reference sheets are left out that show neither the head nor a detail box nor a landmark.
    pub likeness_only: bool,
    /// The kinds of sheets to make, in any order.
    pub kinds: Vec<SheetKind>,
}

impl PacketOptions {
    /// Whether reference sheets show the canvas as it is: at true size, and neither in a mirror nor upside down. Where their seams run is
    /// told in its frame only then.
    pub fn shows_canvas_as_it_is(&self) -> bool {
        self.ratio.is_true_size() && !self.show.is_turned()
    }

    /// All usual sheets as a plan says they are printed, for a printer that prints true.
    pub fn of_plan(title: impl Into<String>, plan: &Plan) -> Self {
        let Printing { paper, margin, lap, lines, line_look, .. } = plan.printing;
        Self {
            title: title.into(),
            date: None,
            paper,
            margins: Insets::all(margin),
            lap,
            correction: PrinterCorrection::NONE,
            lines,
            line_look,
            show: Show::default(),
            ratio: Ratio::TRUE_SIZE,
            focal_35mm: None,
            landmarks: false,
            likeness_only: false,
            kinds: SheetKind::ALL.into_iter().filter(|kind| kind.is_usual()).collect(),
        }
    }

    pub(crate) fn prints(&self, kind: SheetKind) -> bool {
        self.kinds.contains(&kind)
    }

    /// The paper with what the printer and the sheets' own furniture take of it.
    ///
    /// # Errors
    /// When a margin is below zero or not a number, or the margins leave too little.
    pub(crate) fn stock(&self) -> Result<Stock, LayoutError> {
        let Self { paper, margins, correction, .. } = *self;
        let insets = [margins.top, margins.right, margins.bottom, margins.left];
        if !insets.iter().all(|inset| inset.is_finite() && *inset >= Length::ZERO) {
            return Err(LayoutError::NegativeInset);
        }
        let printable = PaperRect::sheet(paper, Orientation::Portrait).inside(margins);
        if printable.width < LEAST_PRINTABLE.0 || printable.height < LEAST_PRINTABLE.1 {
            return Err(LayoutError::NoRoom { paper });
        }
        Ok(Stock { paper, margins, furniture: FURNITURE, correction })
    }
}
