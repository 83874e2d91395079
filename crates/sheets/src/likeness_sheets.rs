//! Plots and measures: tables of where each landmark lies within its grid box, and of the measures taken.

use plan::{BoxPlot, FromLine, Insets, Length, Orientation, Plan, Plot, Reading, Stock, measures, plots};
use serde::Serialize;

use crate::figures::{Figure, Line, line};
use crate::paper::PaperRect;

/// Height of a row, in mm: 15 pt figures with air, read at half an arm's length.
const ROW: f64 = 8.4;
/// Height of the column heads, in mm.
const HEAD: f64 = 7.0;
/// Room for the sheet's title, in mm, and for the table's own title below it.
const HEADING: f64 = 17.0;
const TITLE: f64 = 8.0;
/// Gap between columns, in mm.
const GUTTER: f64 = 3.0;
/// White kept inside the printable area.
const WHITE: Length = Length::mm(8.0);

/// One page of a table.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct TableSheet {
    heading_at: PaperRect,
    /// How to read it, below the heading.
    words: &'static str,
    title: Option<String>,
    columns: Vec<Column>,
    gutter: f64,
    head_height: f64,
    row_height: f64,
    rows_at: PaperRect,
    rows: Vec<Vec<Option<Cell>>>,
}

#[derive(Clone, Debug, Serialize)]
pub(crate) struct Column {
    head: String,
    /// In mm; as a share of the whole until it is laid on a sheet.
    width: f64,
    right: bool,
}

#[derive(Clone, Debug, Serialize)]
pub(crate) struct Cell {
    words: Line,
    large: bool,
}

/// A table before it is cut over pages.
pub(crate) struct Table {
    pub(crate) words: &'static str,
    pub(crate) title: Option<String>,
    pub(crate) columns: Vec<Column>,
    pub(crate) rows: Vec<Vec<Option<Cell>>>,
}

const HOW_TO_PLOT: &str = "Find the box by its column’s letter and its row’s number. Lay the ruler square to the \
    line that is named and measure from it. Line 0 is the side of the canvas, or of the box.";

const HOW_TO_MEASURE: &str = "Lengths are those on the canvas. Run is along the level, rise along the plumb line. \
    Off level and off plumb are the lean of the line between the two points.";

/// The pages of plots: one table for the canvas's grid, one for each detail box that holds a landmark.
pub(crate) fn plot_sheets(plan: &Plan, stock: &Stock) -> Vec<TableSheet> {
    let plots = plots(plan);
    let of_canvas = table_of_plots(None, plots.iter().filter_map(|plot| Some((plot, plot.plot?))));
    let of_details = plan.details.iter().map(|detail| {
        let title = format!("In the box {}, by its own grid", detail.name);
        let held = plots.iter().filter_map(|plot| {
            let found = plot.details.iter().find(|inside| inside.detail == detail.name)?;
            Some((plot, found.plot))
        });
        table_of_plots(Some(title), held)
    });
    std::iter::once(of_canvas).chain(of_details).flat_map(|table| table.pages(stock)).collect()
}

fn table_of_plots<'a>(title: Option<String>, plots: impl Iterator<Item = (&'a Plot, BoxPlot)>) -> Table {
    let rows = plots.map(|(plot, BoxPlot { grid_box, across, down })| {
        let distance = |from: FromLine| [Some(Cell::reading(from.distance)), Some(Cell::small(beside(from)))];
        let name =
            [Some(Cell::small(line![plot.name.as_str()])), Some(Cell::large(line![grid_box.to_string()]))];
        name.into_iter().chain(distance(across)).chain(distance(down)).collect()
    });
    Table {
        words: HOW_TO_PLOT,
        title,
        columns: vec![
            Column::left("landmark", 0.28),
            Column::left("box", 0.08),
            Column::right("across", 0.13),
            Column::left("", 0.19),
            Column::right("down", 0.13),
            Column::left("", 0.19),
        ],
        rows: rows.collect(),
    }
}

/// `right of line 2, at 6 in`; `on line 2, at 6 in` where the ruler shows no distance.
fn beside(from: FromLine) -> Line {
    let beside = if from.is_on_line() { "on" } else { from.beside() };
    line![format!("{beside} line {}, at ", from.line), from.mark]
}

/// The pages of measures.
pub(crate) fn measure_sheets(plan: &Plan, stock: &Stock) -> Vec<TableSheet> {
    let ruler = plan.ruler;
    let rows = measures(plan).into_iter().map(|measure| {
        let units = measure.in_units.map(|units| {
            let words = if measure.is_unit { "the unit".to_owned() } else { format!("{units:.2}") };
            Cell { words: line![words], large: !measure.is_unit }
        });
        let other = Figure::in_other_unit(measure.exact(), ruler);
        let lean = measure.lean().replace('-', "−");
        vec![
            Some(Cell::small(line![measure.name])),
            Some(Cell::reading(measure.length)),
            Some(Cell::small(line![other])),
            Some(Cell::small(line![measure.run])),
            Some(Cell::small(line![measure.rise])),
            Some(Cell::small(line![lean])),
            units,
        ]
    });
    let units = plan.unit_measure.as_ref().map_or_else(String::new, |unit| format!("in units of {unit}"));
    let table = Table {
        words: HOW_TO_MEASURE,
        title: None,
        columns: vec![
            Column::left("measure", 0.18),
            Column::right("length", 0.12),
            Column::right("", 0.09),
            Column::right("run", 0.09),
            Column::right("rise", 0.09),
            Column::left("lean", 0.32),
            Column::right(&units, 0.11),
        ],
        rows: rows.collect(),
    };
    table.pages(stock)
}

impl Column {
    pub(crate) fn left(head: &str, share: f64) -> Self {
        Self { head: head.to_owned(), width: share, right: false }
    }

    fn right(head: &str, share: f64) -> Self {
        Self { right: true, ..Self::left(head, share) }
    }
}

impl Cell {
    pub(crate) fn small(words: Line) -> Self {
        Self { words, large: false }
    }

    fn large(words: Line) -> Self {
        Self { words, large: true }
    }

    fn reading(reading: Reading) -> Self {
        Self::large(line![reading])
    }
}

impl Table {
    /// The table cut over as many pages as it takes; none if it is empty.
    pub(crate) fn pages(self, stock: &Stock) -> Vec<TableSheet> {
        let orientation = Orientation::Portrait;
        let printable = PaperRect::sheet(stock.paper, orientation).inside(stock.margins(orientation));
        let content = printable.inside(Insets::all(WHITE));
        let above = HEADING + HEAD + if self.title.is_some() { TITLE } else { 0.0 };
        let rows_at = PaperRect { y: content.y + above, height: content.height - above, ..content };
        let for_columns = content.width - GUTTER * (self.columns.len() as f64 - 1.0);
        let columns: Vec<Column> = self
            .columns
            .into_iter()
            .map(|column| Column { width: column.width * for_columns, ..column })
            .collect();
        let on_page = (rows_at.height / ROW).max(1.0) as usize;
        let page = |rows: &[Vec<Option<Cell>>]| TableSheet {
            heading_at: PaperRect { height: HEADING, ..content },
            words: self.words,
            title: self.title.clone(),
            columns: columns.clone(),
            gutter: GUTTER,
            head_height: HEAD,
            row_height: ROW,
            rows_at,
            rows: rows.to_vec(),
        };
        self.rows.chunks(on_page).map(page).collect()
    }
}
