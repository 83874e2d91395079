//! Edge strips: strips of paper with the marks of each side at true size, to lay along the canvas in place of a ruler.

use plan::{Orientation, Plan, Side, SideMarks, Stock};
use serde::Serialize;

use crate::figures::{Figure, Line, line};
use crate::paper::{PaperPoint, PaperRect};

/// Height of a strip, in mm: room for two rows of figures and the side's name.
const STRIP: f64 = 17.0;
/// Gap between strips, in mm.
const STRIP_GAP: f64 = 5.0;
/// Room above the strips for what the sheet is, in mm.
const HEADING: f64 = 19.0;
/// Paper left beyond each end of a strip for the end's tick and the cut, in mm.
const END: f64 = 4.0;
/// The tab by which a strip is glued under its continuation, in mm.
const TAB: f64 = 12.0;
/// A join keeps this far from any mark, in mm, as far as the marks leave room: so that neither a mark nor its figures are
/// glued over.
const JOIN_CLEARANCE: f64 = 13.0;

/// One page of strips.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct StripSheet {
    heading_at: PaperRect,
    strips: Vec<Strip>,
}

/// A strip, or a piece of one.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct Strip {
    /// The paper to cut out. Its lower edge is laid to the canvas's edge.
    outline: PaperRect,
    /// Which side it is and from where it is read.
    name: Line,
    name_at: PaperPoint,
    ticks: Vec<Tick>,
    /// Where the piece before or after it is joined, with the join's letter.
    joins: Vec<Join>,
}

/// A mark on the strip's lower edge.
#[derive(Clone, Debug, Serialize)]
struct Tick {
    line: [PaperPoint; 2],
    /// Its reading, where there is room for it.
    figures: Option<Figures>,
}

/// A reading in both units, centred on a point.
#[derive(Clone, Debug, Serialize)]
struct Figures {
    at: PaperPoint,
    reading: Figure,
    other: Figure,
}

/// A line across the strip at which two pieces meet.
#[derive(Clone, Debug, Serialize)]
struct Join {
    line: [PaperPoint; 2],
    letter: String,
    letter_at: PaperPoint,
    /// What the tab beyond the join is for; nothing on the piece that is laid over it.
    tab: Option<PaperPoint>,
}

/// All strips of a plan, on as many pages as they take. The pages lie on their side, for long strips.
pub(crate) fn strip_sheets(plan: &Plan, marks: &[SideMarks; 4], stock: &Stock) -> Vec<StripSheet> {
    let orientation = Orientation::Landscape;
    let printable = PaperRect::sheet(stock.paper, orientation).inside(stock.margins(orientation));
    let drawn = stock.correction.drawn(orientation).0;
    let longest = (printable.width - 2.0 * END - TAB) / drawn;
    let pieces: Vec<Piece<'_>> = marks.iter().flat_map(|side| pieces(side, longest)).collect();
    let per_sheet = (((printable.height - HEADING + STRIP_GAP) / (STRIP + STRIP_GAP)) as usize).max(1);
    let heading_at =
        PaperRect { x: printable.x + END, width: printable.width - 2.0 * END, height: HEADING, ..printable };
    pieces
        .chunks(per_sheet)
        .map(|chunk| StripSheet {
            heading_at,
            strips: chunk
                .iter()
                .enumerate()
                .map(|(row, piece)| {
                    let top = printable.y + HEADING + row as f64 * (STRIP + STRIP_GAP);
                    piece.strip(plan, PaperPoint::new(printable.x, top), drawn)
                })
                .collect(),
        })
        .collect()
}

/// A side, or a part of it that fits on one sheet, from and to in mm along the side.
struct Piece<'a> {
    side: &'a SideMarks,
    from: f64,
    to: f64,
    number: usize,
    count: usize,
}

/// Cuts a side into pieces of at most `longest` mm, as even as the marks allow.
fn pieces(side: &SideMarks, longest: f64) -> Vec<Piece<'_>> {
    let total = side.total.exact().to_mm();
    // Each join may give way to a mark by twice its clearance, so that much is kept in reserve.
    let count = (total / (longest - 2.0 * JOIN_CLEARANCE)).ceil().max(1.0);
    let count = if total <= longest { 1.0 } else { count };
    let even = total / count;
    let joins: Vec<f64> = (1..count as usize).map(|at| clear_of_marks(side, even * at as f64)).collect();
    let from = std::iter::once(0.0).chain(joins.iter().copied());
    let to = joins.iter().copied().chain(std::iter::once(total));
    let count = count as usize;
    from.zip(to).enumerate().map(|(number, (from, to))| Piece { side, from, to, number, count }).collect()
}

/// The place near `join` that keeps clear of the side's marks, or as clear of them as can be; of equals the nearest.
fn clear_of_marks(side: &SideMarks, join: f64) -> f64 {
    let clearance = |place: f64| {
        let distances = side.marks.iter().map(|mark| (mark.from_start.exact().to_mm() - place).abs());
        distances.fold(JOIN_CLEARANCE, f64::min)
    };
    let steps = (0..=JOIN_CLEARANCE as u32).map(f64::from);
    let places = steps.flat_map(|step| [join - step, join + step]);
    places
        .reduce(|best, place| if clearance(place) > clearance(best) + 1e-9 { place } else { best })
        .unwrap_or(join)
}

/// Length of a mark's tick, in mm.
const TICK: f64 = 5.0;
/// Room that a mark's figures take along the strip, in mm.
const FIGURES_WIDTH: f64 = 16.0;
/// From a tick's top to the middle of its figures, in mm.
const FIGURES_ABOVE: f64 = 3.2;

impl Piece<'_> {
    fn strip(&self, plan: &Plan, at: PaperPoint, drawn: f64) -> Strip {
        let zero = at.x + END;
        let bottom = at.y + STRIP;
        let x = |along: f64| zero + (along - self.from) * drawn;
        let (is_first, is_last) = (self.number == 0, self.number + 1 == self.count);
        let right = x(self.to) + if is_last { 0.0 } else { TAB };
        let mut ticks = Vec::new();
        let mut last_figures = f64::NEG_INFINITY;
        for mark in &self.side.marks {
            let along = mark.from_start.exact();
            if (self.from..=self.to).contains(&along.to_mm()) {
                let foot = PaperPoint::new(x(along.to_mm()), bottom);
                let (first, last) = (x(self.from) + FIGURES_WIDTH / 2.0, right - FIGURES_WIDTH / 2.0);
                // On a strip shorter than figures are wide they stand in its middle.
                let middle =
                    if first <= last { foot.x.clamp(first, last) } else { f64::midpoint(first, last) };
                let has_room = middle - last_figures >= FIGURES_WIDTH;
                if has_room {
                    last_figures = middle;
                }
                ticks.push(Tick {
                    line: [foot, foot.moved(0.0, -TICK)],
                    figures: has_room.then(|| Figures {
                        at: PaperPoint::new(middle, bottom - TICK - FIGURES_ABOVE),
                        reading: mark.from_start.into(),
                        other: Figure::in_other_unit(along, plan.ruler),
                    }),
                });
            }
        }
        Strip {
            outline: PaperRect { x: x(self.from), y: at.y, width: right - x(self.from), height: STRIP },
            name: self.name(plan),
            name_at: PaperPoint::new(x(self.from) + 2.0, at.y + 1.6),
            ticks,
            joins: self.joins(is_first, is_last, x(self.from), x(self.to), at.y),
        }
    }

    fn name(&self, plan: &Plan) -> Line {
        let side = self.side.side;
        let start = if side.is_level() { "left" } else { "top" };
        // With the edge that has the ticks to the canvas's, and read from its left end.
        let lies = match side {
            Side::Top | Side::Right => "outside the canvas",
            Side::Bottom | Side::Left => "on the canvas",
        };
        let mut name = line![
            format!("{} side, read from the {start}, {lies}: ", capitalised(side.name())),
            self.side.total,
            " (",
            Figure::in_other_unit(self.side.total.exact(), plan.ruler),
            ")"
        ];
        if self.count > 1 {
            name.push(format!(", piece {} of {}", self.number + 1, self.count).into());
        }
        name
    }

    fn joins(&self, is_first: bool, is_last: bool, left: f64, right: f64, top: f64) -> Vec<Join> {
        let join = |x: f64, number: usize, inward: f64, tab: bool| Join {
            line: [PaperPoint::new(x, top), PaperPoint::new(x, top + STRIP)],
            letter: join_letter(number),
            letter_at: PaperPoint::new(x + inward, top + STRIP / 2.0),
            tab: tab.then(|| PaperPoint::new(x + TAB / 2.0, top + STRIP / 2.0)),
        };
        let before = (!is_first).then(|| join(left, self.number - 1, 2.5, false));
        let after = (!is_last).then(|| join(right, self.number, -2.5, true));
        before.into_iter().chain(after).collect()
    }
}

/// Joins along a side are lettered a, b, c, …
fn join_letter(number: usize) -> String {
    char::from(b'a' + (number % 26) as u8).to_string()
}

pub(crate) fn capitalised(name: &str) -> String {
    let mut letters = name.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
