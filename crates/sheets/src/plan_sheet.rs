//! The plan sheet: the canvas drawn to scale with photo and grid, its sizes, and the steps of the work in plain words.

use plan::{CanvasRect, DetailBox, Division, Insets, Length, Orientation, Plan, Reading, SheetLayout, Stock};
use serde::Serialize;

use crate::figures::{Figure, Line, line};
use crate::kind::SheetKind;
use crate::packet::PacketOptions;
use crate::paper::{Drawing, LaidPhoto, PaperPoint, PaperRect};
use crate::photo_stream::Stored;

/// White kept around the sheet's content, measured from the paper's edge: enough to be framed behind a mount.
const WHITE: Length = Length::mm(15.0);
/// Room for the title, in mm.
const TITLE: f64 = 17.0;
/// Share of the height that the drawing takes, with its sizes.
const DRAWING_SHARE: f64 = 0.53;
/// Room around the canvas for its sizes: at the left and right, and above and below, in mm.
const SIZES: (f64, f64) = (24.0, 8.0);
/// Gap between the parts of the sheet, in mm.
const GAP: f64 = 8.0;

/// The plan sheet's data.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct PlanSheet {
    title_at: PaperRect,
    canvas: Vec<PaperPoint>,
    canvas_box: PaperRect,
    photo: Option<LaidPhoto>,
    /// What the photo covers; the rest of the canvas is open.
    covered: Vec<PaperPoint>,
    has_open: bool,
    lines: Vec<[PaperPoint; 2]>,
    details: Vec<PlacedDetail>,
    sizes: Vec<Dimension>,
    facts: Vec<Fact>,
    facts_at: PaperRect,
    steps: Vec<&'static str>,
    cautions: Vec<&'static str>,
    steps_at: PaperRect,
}

#[derive(Clone, Debug, Serialize)]
struct PlacedDetail {
    at: PaperRect,
    name: String,
}

/// A dimension line with its length.
#[derive(Clone, Debug, Serialize)]
struct Dimension {
    line: [PaperPoint; 2],
    /// The middle of the words.
    at: PaperPoint,
    words: Line,
    upright: bool,
}

/// A named fact of the plan.
#[derive(Clone, Debug, Serialize)]
struct Fact {
    name: &'static str,
    words: Line,
}

/// The plan sheet, upright on the paper. `layout` is that of the reference sheets, and how many of them are printed.
pub(crate) fn plan_sheet(
    plan: &Plan,
    photo: Option<Stored>,
    layout: Option<(&SheetLayout, usize)>,
    options: &PacketOptions,
    stock: &Stock,
) -> PlanSheet {
    let sheet = PaperRect::sheet(stock.paper, Orientation::Portrait);
    let Insets { top, right, bottom, left } = stock.margins;
    let content = sheet.inside(Insets {
        top: top.max(WHITE),
        right: right.max(WHITE),
        bottom: bottom.max(WHITE),
        left: left.max(WHITE),
    });
    let drawing_at = PaperRect {
        x: content.x + SIZES.0,
        y: content.y + TITLE + SIZES.1,
        width: content.width - 2.0 * SIZES.0,
        height: content.height * DRAWING_SHARE - 2.0 * SIZES.1,
    };
    let outline = plan.canvas.outline();
    let drawing = fitted(outline.bounds(), drawing_at);
    let words_y = drawing_at.bottom() + SIZES.1 + GAP;
    let column = (content.width - GAP) / 2.0;
    let words_at = |x: f64| PaperRect { x, y: words_y, width: column, height: content.bottom() - words_y };
    let placing = plan.placing();
    let covered = plan.covered();
    PlanSheet {
        title_at: PaperRect { height: TITLE, ..content },
        canvas: drawing.points(&outline.corners),
        canvas_box: drawing.rect(outline.bounds()),
        photo: photo.zip(placing).map(|(stored, placing)| drawing.photo(&placing, &stored)),
        covered: drawing.points(&covered.corners),
        has_open: plan.reference.is_some() && plan.open_share() > LEAST_OPEN_SHARE,
        lines: plan
            .grid_lines()
            .iter()
            .map(|line| [drawing.point(line.from), drawing.point(line.to)])
            .collect(),
        details: plan.details.iter().map(|detail| placed_detail(detail, &drawing)).collect(),
        sizes: sizes(plan, &drawing),
        facts: facts(plan, layout, options, stock),
        facts_at: words_at(content.x + column + GAP),
        steps: steps(plan, layout.map(|(layout, _)| layout), options),
        cautions: cautions(plan, options),
        steps_at: words_at(content.x),
    }
}

/// Less open canvas than this is a sliver that rounding leaves.
const LEAST_OPEN_SHARE: f64 = 0.001;

/// The drawing that shows `canvas` as large as `room` holds it, in its middle.
fn fitted(canvas: CanvasRect, room: PaperRect) -> Drawing {
    let scale = (room.width / canvas.width.to_mm()).min(room.height / canvas.height.to_mm());
    let at = PaperPoint::new(
        room.x + (room.width - canvas.width.to_mm() * scale) / 2.0,
        room.y + (room.height - canvas.height.to_mm() * scale) / 2.0,
    );
    Drawing::new(canvas.origin, at, (scale, scale))
}

fn placed_detail(detail: &DetailBox, drawing: &Drawing) -> PlacedDetail {
    PlacedDetail { at: drawing.rect(detail.rect), name: detail.name.clone() }
}

/// From the canvas to its dimension lines, in mm.
const DIMENSION_GAP: f64 = 4.0;
/// From a dimension line to the middle of its words, in mm.
const DIMENSION_WORDS: f64 = 2.6;

fn sizes(plan: &Plan, drawing: &Drawing) -> Vec<Dimension> {
    let outline = plan.canvas.outline();
    let canvas = drawing.rect(outline.bounds());
    let words = |length: Length| both_units(plan, length);
    let level = |y: f64, above: bool, length| Dimension {
        line: [PaperPoint::new(canvas.x, y), PaperPoint::new(canvas.right(), y)],
        at: PaperPoint::new(
            canvas.x + canvas.width / 2.0,
            if above { y - DIMENSION_WORDS } else { y + DIMENSION_WORDS },
        ),
        words: words(length),
        upright: false,
    };
    let upright = |x: f64, from: f64, to: f64, words: Line, right: bool| Dimension {
        line: [PaperPoint::new(x, from), PaperPoint::new(x, to)],
        at: PaperPoint::new(
            if right { x + DIMENSION_WORDS } else { x - DIMENSION_WORDS },
            f64::midpoint(from, to),
        ),
        words,
        upright: true,
    };
    let [top, right, bottom, left] = plan::Side::ALL.map(|side| outline.side_length(side));
    let mut sizes = vec![
        level(canvas.y - DIMENSION_GAP, true, top),
        upright(canvas.x - DIMENSION_GAP, canvas.y, canvas.bottom(), words(left), false),
    ];
    if plan.canvas.measured.is_some() {
        sizes.push(level(canvas.bottom() + DIMENSION_GAP, false, bottom));
        sizes.push(upright(canvas.right() + DIMENSION_GAP, canvas.y, canvas.bottom(), words(right), true));
    }
    if let Some(head) = plan.head() {
        let x = canvas.right()
            + DIMENSION_GAP
            + if plan.canvas.measured.is_some() { 2.0 * DIMENSION_WORDS + 3.0 } else { 0.0 };
        let (crown, chin) = (drawing.point(head.crown), drawing.point(head.chin));
        let mut words = line!["head "];
        words.extend(both_units(plan, head.height()));
        sizes.push(upright(x, crown.y.min(chin.y), crown.y.max(chin.y), words, true));
    }
    sizes
}

/// A length in the painter's unit, the other in brackets.
fn both_units(plan: &Plan, length: Length) -> Line {
    line![plan.ruler.read(length), " (", Figure::in_other_unit(length, plan.ruler), ")"]
}

fn facts(
    plan: &Plan,
    layout: Option<(&SheetLayout, usize)>,
    options: &PacketOptions,
    stock: &Stock,
) -> Vec<Fact> {
    let mut facts = vec![
        Fact { name: "Canvas", words: canvas_words(plan) },
        Fact { name: "Grid", words: grid_words(plan) },
    ];
    for detail in plan.details.iter().take(MOST_DETAILS_TOLD) {
        let mut words = line![format!("{}: ", detail.name)];
        words.extend(size_words(plan, detail.rect.width, detail.rect.height));
        facts.push(Fact { name: "Detail box", words });
    }
    let untold = plan.details.len().saturating_sub(MOST_DETAILS_TOLD);
    if untold > 0 {
        facts.push(Fact { name: "", words: line![format!("and {untold} more, on the mark-up sheet")] });
    }
    if let Some(head) = plan.head() {
        let below_top =
            plan.ruler.read(plan.canvas.outline().distance_from_side(plan::Side::Top, head.crown));
        let mut words = line![
            plan.ruler.read(head.height()),
            " from crown to chin, the crown ",
            below_top,
            " below the top"
        ];
        if head.is_larger_than_life() {
            words.push(". Larger than life".into());
        }
        facts.push(Fact { name: "Head", words });
    }
    if let Some(placing) = plan.placing() {
        let mut words = line![placing.resolution().in_words(plan.unit)];
        if plan.open_share() > LEAST_OPEN_SHARE {
            words.push(
                format!(
                    "; {:.0}\u{a0}% of the canvas is open, beyond the photo",
                    (plan.open_share() * 100.0).max(1.0)
                )
                .into(),
            );
        }
        facts.push(Fact { name: "Reference", words });
    }
    if let Some(layout) = layout.filter(|_| options.prints(SheetKind::Reference)) {
        facts.push(Fact { name: "Sheets", words: sheets_words(plan, layout, options, stock) });
    }
    facts
}

/// More detail boxes than this are only counted on the plan sheet.
const MOST_DETAILS_TOLD: usize = 4;

fn size_words(plan: &Plan, width: Length, height: Length) -> Line {
    line![
        Figure::from(plan.ruler.read(width)).without_unit(),
        " × ",
        plan.ruler.read(height),
        " (",
        Figure::in_other_unit(width, plan.ruler).without_unit(),
        " × ",
        Figure::in_other_unit(height, plan.ruler),
        ")"
    ]
}

fn canvas_words(plan: &Plan) -> Line {
    let mut words = size_words(plan, plan.canvas.nominal.width, plan.canvas.nominal.height);
    match plan.canvas.solved() {
        None => words.push(", not yet measured".into()),
        Some(solved) => {
            let [down, up] = solved.outline.diagonals();
            let apart: Reading = plan.ruler.read((down - up).abs());
            words.push("; measured, the diagonals ".into());
            if apart.rounded() > Length::ZERO {
                words.extend(line![apart, " apart"]);
            } else {
                words.push("equal".into());
            }
            if plan.canvas.contradiction(plan.ruler).is_some() {
                words.push("; the measurements contradict each other: measure again".into());
            }
        }
    }
    words
}

fn grid_words(plan: &Plan) -> Line {
    let mut words = match plan.grid.division {
        Division::Parts { columns, rows } => {
            let size = plan.canvas.nominal;
            let mut words = line![format!("{columns} × {rows} boxes of ")];
            words.extend(size_words(plan, size.width / f64::from(columns), size.height / f64::from(rows)));
            words
        }
        Division::Squares { side, .. } => {
            let mut words = line!["squares of "];
            words.extend(both_units(plan, side));
            words
        }
    };
    if plan.grid.diagonals {
        words.push(", with diagonals".into());
    }
    words
}

fn sheets_words(
    plan: &Plan,
    (layout, printed): (&SheetLayout, usize),
    options: &PacketOptions,
    stock: &Stock,
) -> Line {
    let count = layout.sheets.len();
    let plural = if count == 1 { "" } else { "s" };
    let at = if options.ratio.is_true_size() { String::new() } else { format!(" at {}", options.ratio) };
    let mut words = line![format!("{count} reference sheet{plural} of {}{at}", stock.paper)];
    if printed < count {
        let left_out = count - printed;
        words.push(format!(", {left_out} of them with background alone left out").into());
    }
    if let Some(tone) = options.show.tone_words() {
        words.push(format!(", {tone}").into());
        if options.show.tone.steps().is_some() {
            words.push(": each spot has the nearest of the values beside the picture".into());
        }
    }
    if let Some(turned) = options.show.turned_words() {
        words.push(format!(". {turned} This plan shows the canvas itself").into());
    }
    if !options.shows_canvas_as_it_is() {
        return words;
    }
    if let Some(clearance) = plan.head().and_then(|head| layout.clearance_of_face(&head)) {
        words.extend(line![", no seam within ", plan.ruler.read(clearance), " of the face"]);
    }
    if let Some(through) = plan.head().and_then(|head| layout.through(&head)) {
        words.push(format!(", a seam runs through {}", through.in_words()).into());
    }
    for detail in plan.boxes_cut_by(layout) {
        words.push(format!(", a seam through {}", detail.name).into());
    }
    words
}

/// The steps of the work, for the sheets that the packet holds.
fn steps(plan: &Plan, layout: Option<&SheetLayout>, options: &PacketOptions) -> Vec<&'static str> {
    let mut steps = vec![
        "Print one sheet first, at actual size: not “fit”, not “shrink”. Measure its scale bars, 100 mm and 4 in, both ways. If they are off, the scale bars’ sheet says what to do.",
        "Print the other sheets in the same way.",
    ];
    if plan.canvas.measured.is_none() {
        steps.push("Measure both diagonals of the canvas: it is square when they are equal.");
    }
    steps.push(if options.prints(SheetKind::Strips) {
        "Mark the four sides of the canvas from the mark-up sheet, or lay the edge strips along them."
    } else {
        "Mark the four sides of the canvas from the mark-up sheet."
    });
    steps.push("Rule lightly from mark to mark, from side to opposite side.");
    if !plan.details.is_empty() && options.prints(SheetKind::Marks) {
        steps.push("Find each corner of a detail box by two readings of the mark-up sheet, the ruler square to the side of the canvas that each names; then mark the box’s own sides and rule it.");
    }
    if plan.reference.is_some() && options.prints(SheetKind::Reference) {
        if let Some(layout) = layout.filter(|layout| layout.sheets.len() > 1) {
            steps.push(if layout.lap > Length::ZERO {
                "Cut the reference sheets at their left and upper seams, lay each over its neighbours so that the crosses meet, and tape them from behind."
            } else {
                "Cut the reference sheets along the edges of the picture, lay them edge to edge so that lines and features run on, and tape them from behind."
            });
        }
        steps.push(if options.ratio.is_true_size() {
            "Take a distance from the reference with dividers and set it off on the canvas from the same grid line. It is the same distance, one to one. Large distances first."
        } else {
            "The reference is not at true size: set proportional dividers as its sheets say, take a distance with their one end and set it off on the canvas with the other, from the same grid line. Large distances first."
        });
        if options.show.is_turned() {
            steps.push("The reference is turned, for looking: figures at its edges count from the sides of the canvas that its sheets name. Marks, strips and plots are those of the canvas as it stands.");
        }
    }
    steps
}

fn cautions(plan: &Plan, options: &PacketOptions) -> Vec<&'static str> {
    let mut cautions = Vec::new();
    if options.prints(SheetKind::Reference)
        || options.prints(SheetKind::Strips)
        || options.prints(SheetKind::Details)
    {
        cautions.push("Cut away from your hand, along a steel rule, on a mat. Store the blade covered.");
    }
    cautions.push(
        "Rule with a hard pencil or charcoal, few lines and light. Ink and marker can bleed through paint.",
    );
    cautions.push("Spray fixative only with an exhaust fan and fresh air, as its label says.");
    if plan.reference.is_some() {
        cautions.push("Have the right to paint from this photo, and ask the sitter too.");
    }
    cautions
}
