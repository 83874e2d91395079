//! The mark-up sheet: every ruler reading needed to mark the canvas, large enough to be read at arm's length.

use plan::{
    Angle, Contradiction, DetailMarks, Insets, Length, Marks, Orientation, Plan, Reading, Ruler, SideMarks,
    Stock, Unit,
};
use serde::Serialize;

use crate::edge_strips::capitalised;
use crate::figures::{Figure, Line, abbreviation, line};
use crate::paper::PaperRect;

/// Height of a row of large figures, in mm: 20 pt figures are read at arm's length.
const ROW: f64 = 9.6;
/// Height of a block's title with its column heads, in mm.
const BLOCK_HEAD: f64 = 12.0;
/// Gap below a block, in mm.
const BLOCK_GAP: f64 = 8.0;
/// Gap between columns of blocks, in mm.
const COLUMN_GAP: f64 = 12.0;
/// Room above the blocks for the sheet's title, in mm.
const HEADING: f64 = 18.0;
/// Least width of a column of blocks, in mm: two large figures with what stands beside them.
const LEAST_COLUMN: f64 = 76.0;
/// White kept inside the printable area.
const WHITE: Length = Length::mm(8.0);

/// One page of readings.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct MarkUpSheet {
    heading_at: PaperRect,
    blocks: Vec<PlacedBlock>,
}

#[derive(Clone, Debug, Serialize)]
struct PlacedBlock {
    at: PaperRect,
    row_height: f64,
    head_height: f64,
    #[serde(flatten)]
    block: Block,
}

/// Readings that belong together, under one title.
#[derive(Clone, Debug, Serialize)]
struct Block {
    title: String,
    /// What the columns of figures are.
    heads: Vec<String>,
    rows: Vec<Row>,
}

/// One row of a block.
#[derive(Clone, Debug, Serialize)]
struct Row {
    /// What the row is, at its left.
    name: String,
    /// The large figures, one for each head.
    figures: Vec<Figure>,
    /// Small print at the right: the exact place in the other unit, what was rounded away, or how to use the figures.
    aside: Vec<Line>,
    /// True for a total, which is set off by a rule.
    is_total: bool,
}

/// All mark-up pages of a plan.
pub(crate) fn mark_up_sheets(plan: &Plan, marks: &Marks, stock: &Stock) -> Vec<MarkUpSheet> {
    let orientation = Orientation::Portrait;
    let printable = PaperRect::sheet(stock.paper, orientation).inside(stock.margins(orientation));
    let content = printable.inside(Insets::all(WHITE));
    let heading_at = PaperRect { height: HEADING, ..content };
    let per_page = ((content.width + COLUMN_GAP) / (LEAST_COLUMN + COLUMN_GAP)).max(1.0).floor();
    let step = (content.width + COLUMN_GAP) / per_page;
    let columns = columns(blocks(plan, marks), content.height - HEADING);
    let mut columns = columns.into_iter().peekable();
    let mut sheets = Vec::new();
    while columns.peek().is_some() {
        let mut placed = Vec::new();
        for (at, blocks) in columns.by_ref().take(per_page as usize).enumerate() {
            let (x, width) = (content.x + at as f64 * step, step - COLUMN_GAP);
            let mut y = heading_at.bottom();
            for block in blocks {
                let at = PaperRect { x, y, width, height: block.height() };
                y = at.bottom() + BLOCK_GAP;
                placed.push(PlacedBlock { at, row_height: ROW, head_height: BLOCK_HEAD, block });
            }
        }
        sheets.push(MarkUpSheet { heading_at, blocks: placed });
    }
    sheets
}

impl Block {
    fn height(&self) -> f64 {
        BLOCK_HEAD + self.rows.len() as f64 * ROW
    }

    /// Cuts the block in two where the first part has so many rows; the second says that it continues the first.
    fn split_off(&mut self, rows: usize) -> Self {
        let title = self.title.trim_end_matches(CONTINUED);
        Self {
            title: format!("{title}{CONTINUED}"),
            heads: self.heads.clone(),
            rows: self.rows.split_off(rows),
        }
    }
}

const CONTINUED: &str = ", continued";

/// Fills columns of this height with blocks: each into the first column that has room for it, so that no page holds a
/// straggler. Only a block higher than a column is cut.
fn columns(blocks: Vec<Block>, height: f64) -> Vec<Vec<Block>> {
    let most_rows = ((height - BLOCK_HEAD) / ROW).max(1.0) as usize;
    let mut columns: Vec<Vec<Block>> = Vec::new();
    for mut block in blocks {
        while block.rows.len() > most_rows {
            let rest = block.split_off(most_rows);
            columns.push(vec![block]);
            block = rest;
        }
        let filled = |column: &Vec<Block>| column.iter().map(|block| block.height() + BLOCK_GAP).sum::<f64>();
        match columns.iter_mut().find(|column| filled(column) + block.height() <= height) {
            Some(column) => column.push(block),
            None => columns.push(vec![block]),
        }
    }
    columns
}

fn blocks(plan: &Plan, marks: &Marks) -> Vec<Block> {
    let ruler = plan.ruler;
    let mut blocks: Vec<Block> = marks
        .sides
        .iter()
        .map(|side| side_block(side, ruler, format!("{} side", capitalised(side.side.name()))))
        .collect();
    blocks.push(squareness(plan, marks));
    for detail in &marks.details {
        blocks.push(detail_corners(detail, ruler));
        for (inner, name) in detail.inner.iter().zip(["across", "down"]) {
            blocks.push(side_block(inner, ruler, format!("{}, {name}", detail.name)));
        }
    }
    blocks
}

/// A side's marks from both its ends, and its length to check them by.
fn side_block(side: &SideMarks, ruler: Ruler, title: String) -> Block {
    let unit = abbreviation(ruler.unit());
    let (start, end) = if side.side.is_level() { ("left", "right") } else { ("top", "bottom") };
    let mut rows: Vec<Row> = side
        .marks
        .iter()
        .enumerate()
        .map(|(number, mark)| Row {
            name: (number + 1).to_string(),
            figures: vec![mark.from_start.into(), mark.from_end.into()],
            aside: exact_place(mark.from_start, ruler),
            is_total: false,
        })
        .collect();
    let other = Figure::in_other_unit(side.total.exact(), ruler);
    rows.push(Row {
        name: "side".to_owned(),
        figures: vec![side.total.into()],
        aside: vec![line![other]],
        is_total: true,
    });
    Block { title, heads: vec![format!("from {start}, {unit}"), format!("from {end}, {unit}")], rows }
}

/// The place in the other unit, and what rounding to the ruler took away, if a pencil could show it.
fn exact_place(reading: Reading, ruler: Ruler) -> Vec<Line> {
    let mut lines = vec![line![Figure::in_other_unit(reading.exact(), ruler)]];
    let away = reading.rounded_away();
    if away.abs() >= LEAST_WORTH_TELLING {
        let side = if away > Length::ZERO { "more" } else { "less" };
        lines.push(line![Figure::millimetres(away.abs()), format!(" {side}")]);
    }
    lines
}

/// Rounding by less than this is not told: a fifth of the finest pencil line.
const LEAST_WORTH_TELLING: Length = Length::mm(0.1);

/// The diagonals, and what the measured canvas implies.
fn squareness(plan: &Plan, marks: &Marks) -> Block {
    let [down, up] = marks.diagonals;
    let row = |name: &str, reading: Reading| Row {
        name: name.to_owned(),
        figures: vec![reading.into()],
        aside: vec![line![Figure::in_other_unit(reading.exact(), plan.ruler)]],
        is_total: false,
    };
    let mut rows = vec![row("down", down), row("up", up)];
    let note = |aside: Vec<Line>| Row { name: String::new(), figures: Vec::new(), aside, is_total: false };
    match plan.canvas.solved() {
        None => rows.push(note(vec![
            line!["Measure both: they are equal when it is square. If not, plan again with"],
            line!["them and the sides: top ______  right ______  bottom ______  left ______"],
        ])),
        Some(solved) => {
            let leg = square_leg(plan.unit);
            let opens =
                |angle: Angle| off_square(leg * (angle.to_degrees() - 90.0).to_radians().tan(), plan.unit);
            let [top_left, top_right, bottom_right, bottom_left] = solved.outline.corner_angles().map(opens);
            let along = leg.in_unit(plan.unit);
            rows.push(note(vec![
                line![format!("A square laid into a corner is off the side, {along} along (+ open, − closed):")],
                line![format!(
                    "top left {top_left}, top right {top_right}, bottom left {bottom_left}, bottom right {bottom_right}."
                )],
            ]));
            let residual = Figure::millimetres(solved.residual());
            rows.push(note(match plan.canvas.contradiction(plan.ruler) {
                None => vec![
                    line!["The six measurements agree to ", residual, ". Lengths and marks here fit"],
                    line!["them all best; a single one may differ from what you measured by as much."],
                ],
                Some(contradiction) => contradiction_lines(contradiction, plan.ruler),
            }));
        }
    }
    Block {
        title: "Diagonals".to_owned(),
        heads: vec![format!("from corner to corner, {}", abbreviation(plan.ruler.unit()))],
        rows,
    }
}

fn contradiction_lines(contradiction: Contradiction, ruler: Ruler) -> Vec<Line> {
    vec![
        line!["The six measurements contradict each other: a side is"],
        line![
            "misread by about ",
            ruler.read(contradiction.side_off),
            ", or a diagonal by ",
            ruler.read(contradiction.diagonal_off),
            "."
        ],
    ]
}

/// How far along its side from a corner its being off the square is told: about the blade of a carpenter's square.
fn square_leg(unit: Unit) -> Length {
    match unit {
        Unit::Inch => Length::inches(12.0),
        Unit::Centimetre | Unit::Millimetre => Length::mm(300.0),
    }
}

/// A small length with its sign, in the painter's unit: to a tenth of a millimetre or 1/64 in.
fn off_square(by: Length, unit: Unit) -> String {
    let (tick, unit) = unit.finest_tick();
    let ticks = (by / tick).round();
    let sign = match ticks {
        0.0 => "",
        down if down < 0.0 => "−",
        _ => "+",
    };
    format!("{sign}{}", (tick * ticks.abs()).in_unit(unit))
}

/// How to find a detail box on the canvas: each corner from the two sides nearest to it.
fn detail_corners(detail: &DetailMarks, ruler: Ruler) -> Block {
    let unit = abbreviation(ruler.unit());
    let from_nearest = detail.from_nearest_sides();
    let corner = |at: usize, name: &str| {
        let [across, down] = from_nearest[at];
        Row {
            name: name.to_owned(),
            figures: vec![across.1.into(), down.1.into()],
            aside: vec![
                line![format!("from the {}", across.0.name())],
                line![format!("from the {}", down.0.name())],
            ],
            is_total: false,
        }
    };
    let rows = vec![
        corner(0, "top left"),
        corner(1, "top right"),
        corner(2, "bottom right"),
        corner(3, "bottom left"),
        Row {
            name: "diagonals".to_owned(),
            figures: vec![detail.diagonal.into()],
            aside: vec![line!["both"]],
            is_total: true,
        },
    ];
    Block {
        title: format!("{}, corners: square to the side", detail.name),
        heads: vec![format!("across, {unit}"), format!("down, {unit}")],
        rows,
    }
}
