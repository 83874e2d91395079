//! Plots and measures: tables of where each landmark lies within its grid box, and of the measures taken.

use plan::{BoxPlot, FromLine, Insets, Length, Orientation, Plan, Plot, Reading, Stock, measures, plots};
use serde::Serialize;

use crate::figures::{Figure, Line, line};
use crate::paper::PaperRect;
use crate::show::Show;

/// Height of a row, in mm: 15 pt figures with air, read at half an arm's length.
const ROW: f64 = 8.4;
/// Height of the column heads, in mm.
const HEAD: f64 = 7.0;
/// Room for the sheet's title, in mm, and for the table's own title below it.
const HEADING: f64 = 20.0;
const TITLE: f64 = 8.0;
/// Gap below a table, in mm.
const TABLE_GAP: f64 = 10.0;
/// Gap between columns, in mm.
const GUTTER: f64 = 3.0;
/// White kept inside the printable area.
const WHITE: Length = Length::mm(8.0);

/// One page with a table, or with several that have room on it.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct TableSheet {
    heading_at: PaperRect,
    /// How to read it, below the heading.
    words: String,
    tables: Vec<PlacedTable>,
}

/// A table, or as much of it as is on one page.
#[derive(Clone, Debug, Serialize)]
struct PlacedTable {
    title: Option<String>,
    columns: Vec<Column>,
    gutter: f64,
    title_height: f64,
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

/// A table before it is laid on pages.
pub(crate) struct Table {
    pub(crate) title: Option<String>,
    pub(crate) columns: Vec<Column>,
    pub(crate) rows: Vec<Vec<Option<Cell>>>,
}

const HOW_TO_PLOT: &str = "Find the box by its column’s letter and its row’s number. Lay the ruler square to the \
    line that is named and measure from it. Line 0 is the side of the canvas, or of the box. Right and left in a name are the sitter’s own. \
    Distances are told to the finest mark of your ruler.";

/// Said of plots beside reference sheets that are turned.
const PLOTS_ARE_NOT_TURNED: &str = " The reference sheets of this packet are turned: their figures count from other sides. These plots are \
    for the canvas as it stands.";

const HOW_TO_MEASURE: &str = "Lengths are those on the canvas. Run is along the level, rise along the plumb line. \
    Off level and off plumb are the lean of the line between the two points.";

/// The pages of plots: one table for the canvas's grid, one for each detail box that holds a landmark.
pub(crate) fn plot_sheets(plan: &Plan, show: Show, stock: &Stock) -> Vec<TableSheet> {
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
    let turned = if show.is_turned() { PLOTS_ARE_NOT_TURNED } else { "" };
    pages(&format!("{HOW_TO_PLOT}{turned}"), std::iter::once(of_canvas).chain(of_details), stock)
}

fn table_of_plots<'a>(title: Option<String>, plots: impl Iterator<Item = (&'a Plot, BoxPlot)>) -> Table {
    let rows = plots.map(|(plot, BoxPlot { grid_box, across, down })| {
        let distance = |from: FromLine| [Some(Cell::reading(from.distance)), Some(Cell::small(beside(from)))];
        let name =
            [Some(Cell::small(line![plot.name.as_str()])), Some(Cell::large(line![grid_box.to_string()]))];
        name.into_iter().chain(distance(across)).chain(distance(down)).collect()
    });
    Table {
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
    pages(HOW_TO_MEASURE, [table], stock)
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

/// Lays tables on pages, one below the other as long as a whole one has room; those without rows are left out. One that is
/// higher than a page is cut into parts of as many rows each, so that no page holds a straggler.
pub(crate) fn pages(words: &str, tables: impl IntoIterator<Item = Table>, stock: &Stock) -> Vec<TableSheet> {
    let orientation = Orientation::Portrait;
    let printable = PaperRect::sheet(stock.paper, orientation).inside(stock.margins(orientation));
    let content = printable.inside(Insets::all(WHITE));
    let heading_at = PaperRect { height: HEADING, ..content };
    let mut sheets: Vec<TableSheet> = Vec::new();
    let mut y = content.bottom();
    for table in tables {
        for part in table.parts(content.height - HEADING) {
            if sheets.is_empty() || y + part.height() > content.bottom() {
                sheets.push(TableSheet { heading_at, words: words.to_owned(), tables: Vec::new() });
                y = heading_at.bottom();
            }
            let at = PaperRect { y, height: part.height(), ..content };
            y = at.bottom() + TABLE_GAP;
            if let Some(sheet) = sheets.last_mut() {
                sheet.tables.push(part.placed(at));
            }
        }
    }
    sheets
}

impl Table {
    /// Height above the rows, in mm.
    fn above(&self) -> f64 {
        HEAD + if self.title.is_some() { TITLE } else { 0.0 }
    }

    fn height(&self) -> f64 {
        self.above() + self.rows.len() as f64 * ROW
    }

    /// As few parts as pages of this height take, none if the table is empty.
    fn parts(self, page: f64) -> Vec<Self> {
        let on_page = ((page - self.above()) / ROW).max(1.0) as usize;
        let pages = self.rows.len().div_ceil(on_page).max(1);
        let in_part = self.rows.len().div_ceil(pages).max(1);
        let part = |rows: &[Vec<Option<Cell>>]| Self {
            title: self.title.clone(),
            columns: self.columns.clone(),
            rows: rows.to_vec(),
        };
        self.rows.chunks(in_part).map(part).collect()
    }

    fn placed(self, at: PaperRect) -> PlacedTable {
        let above = self.above();
        let for_columns = at.width - GUTTER * (self.columns.len() as f64 - 1.0);
        let columns = self
            .columns
            .into_iter()
            .map(|column| Column { width: column.width * for_columns, ..column })
            .collect();
        PlacedTable {
            title: self.title,
            columns,
            gutter: GUTTER,
            title_height: TITLE,
            head_height: HEAD,
            row_height: ROW,
            rows_at: PaperRect { y: at.y + above, height: at.height - above, ..at },
            rows: self.rows,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::figures::line;
    use plan::{PrinterCorrection, Printing, Unit};

    fn laid(rows: &[usize]) -> Vec<Vec<usize>> {
        let stock =
            Printing::usual(Unit::Centimetre).stock(Insets::all(Length::ZERO), PrinterCorrection::NONE);
        let table = |&rows: &usize| Table {
            title: Some("In the box Face, by its own grid".to_owned()),
            columns: vec![Column::left("landmark", 1.0)],
            rows: (0..rows).map(|row| vec![Some(Cell::small(line![row.to_string()]))]).collect(),
        };
        let sheets = pages(HOW_TO_PLOT, rows.iter().map(table), &stock);
        for sheet in &sheets {
            let spans = sheet.tables.iter().map(|table| (table.rows_at.y, table.rows_at.bottom()));
            let spans: Vec<_> = spans.collect();
            assert!(spans.windows(2).all(|pair| pair[0].1 + HEAD + TITLE < pair[1].0), "{spans:?}");
        }
        sheets.iter().map(|sheet| sheet.tables.iter().map(|table| table.rows.len()).collect()).collect()
    }

    #[test]
    fn small_tables_share_a_page_and_a_large_one_leaves_no_straggler_on_its_last() {
        assert_eq!(laid(&[8, 3, 0, 4]), [[8, 3, 4]]);
        assert_eq!(laid(&[21, 15]), [[21], [15]]);
        assert_eq!(laid(&[30]), [[15], [15]]);
        assert_eq!(laid(&[0]), [[0; 0]; 0]);
    }
}
