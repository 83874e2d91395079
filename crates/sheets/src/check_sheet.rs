//! The check sheet: the squared-up photo of the canvas with each line in the style of its verdict, the list of lines, and drift
//! in words. Style comes first: it reads in black only, and a colour repeats it.

use std::ops::ControlFlow;

use check::{Drift, ENLARGED, OwnDrift, Report, Verdict, WholeNumber};
use plan::{CanvasPoint, Insets, Length, Orientation, Placing, Plan, Stock};
use serde::Serialize;

use crate::figures::line;
use crate::likeness_sheets::{Cell, Column, Table, pages};
use crate::packet::{Packet, PacketOptions, SheetsError, Stage, go_on, laid_out_check, size_in_words};
use crate::paper::{Drawing, LaidPhoto, PaperPoint, PaperRect};
use crate::photo_stream::{PhotoStream, Stored};

/// White kept inside the printable area.
const WHITE: Length = Length::mm(8.0);
/// Room for the sheet's title, in mm.
const HEADING: f64 = 17.0;
/// Room around the canvas for the lines' numbers, in mm.
const NUMBERS: f64 = 6.0;
/// Share of the height that the picture takes.
const PICTURE_SHARE: f64 = 0.7;
/// Gap between the parts of the sheet, in mm.
const GAP: f64 = 6.0;
/// Half the gap between the two strokes of a line that is off, in mm.
const APART: f64 = 0.45;
/// How many times larger than life a landmark's own error is drawn.
const OWN_ENLARGED: f64 = 3.0;
/// An arrow's barbs, in mm: along it and to either side.
const BARB: (f64, f64) = (2.0, 0.9);
/// A shorter arrow on the sheet would be all barbs, in mm.
const SHORTEST_ARROW: f64 = 1.0;

/// From where an arrow begins to the middle of its letter, on the side that it does not go to, in mm.
const LETTER_AWAY: f64 = 3.0;

/// What the wider column of a table holds in the two lines of a row, in bytes of a name.
const ROW_CHARS: usize = 150;

/// How the numbers are to be read.
const HOW_TO_READ: &str = "Numbers and letters are those beside lines and arrows on the picture. An error is told in ruler readings, with how far the \
    photo may be wrong about it.";

/// The first page: picture and words.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct CheckSheet {
    heading_at: PaperRect,
    photo: Option<LaidPhoto>,
    canvas: Vec<PaperPoint>,
    lines: Vec<DrawnLine>,
    arrows: Vec<Arrow>,
    /// Such as `Canvas 12 × 16 in`.
    canvas_size: String,
    enlarged: f64,
    let_pass: String,
    words: Vec<String>,
    words_at: PaperRect,
}

/// One planned line on the picture.
#[derive(Clone, Debug, Serialize)]
struct DrawnLine {
    verdict: Verdict,
    planned: [PaperPoint; 2],
    /// Where it was seen, its error enlarged: one stroke or two; none where it was not seen.
    strokes: Vec<[PaperPoint; 2]>,
    number: String,
    number_at: PaperPoint,
}

/// The own error of a landmark that stands out.
#[derive(Clone, Debug, Serialize)]
struct Arrow {
    /// Shaft and barbs; none where it would be all barbs.
    strokes: Vec<[PaperPoint; 2]>,
    letter: String,
    letter_at: PaperPoint,
}

/// Makes the check sheet. `picture` is the squared-up photo, which shows the bounds of the report's canvas; without one the lines
/// stand on white. `progress` is told what is being done and may stop it.
///
/// # Errors
/// When the paper has no room, or the work was stopped.
pub fn check_packet(
    report: &Report,
    plan: &Plan,
    picture: Option<&PhotoStream>,
    options: &PacketOptions,
    progress: &dyn Fn(Stage) -> ControlFlow<()>,
) -> Result<Packet, SheetsError> {
    go_on(progress(Stage::LayingOut))?;
    let stored = picture.map(PhotoStream::stored);
    let lay = |stock: &Stock| {
        let of_paint = report
            .drift
            .iter()
            .flat_map(|drift| [whole_table(drift, plan), features_table(drift, report.nose(), plan)]);
        let tables = of_paint.chain([lines_table(report, plan)]);
        (check_sheet(report, plan, stored, stock), pages(HOW_TO_READ, tables, stock))
    };
    laid_out_check(plan, options, lay)?.set(picture, options, progress)
}

fn check_sheet(report: &Report, plan: &Plan, stored: Option<Stored>, stock: &Stock) -> CheckSheet {
    let orientation = Orientation::Portrait;
    let printable = PaperRect::sheet(stock.paper, orientation).inside(stock.margins(orientation));
    let content = printable.inside(Insets::all(WHITE));
    let picture_at = PaperRect {
        x: content.x + NUMBERS,
        y: content.y + HEADING + NUMBERS,
        width: content.width - 2.0 * NUMBERS,
        height: content.height * PICTURE_SHARE - HEADING - NUMBERS,
    };
    let bounds = report.canvas.bounds();
    let scale = (picture_at.width / bounds.width.to_mm()).min(picture_at.height / bounds.height.to_mm());
    let x = picture_at.x + (picture_at.width - scale * bounds.width.to_mm()) / 2.0;
    let drawing = Drawing::new(bounds.origin, PaperPoint::new(x, picture_at.y), (scale, scale));
    let words_y = picture_at.y + scale * bounds.height.to_mm() + GAP;
    CheckSheet {
        heading_at: PaperRect { height: HEADING, ..content },
        photo: stored.map(|stored| {
            let pixel = bounds.width / f64::from(stored.upright_size().width);
            drawing.photo(&Placing::new(bounds.origin, pixel, plan::Angle::ZERO, false), &stored)
        }),
        canvas: drawing.points(&report.canvas.corners),
        lines: drawn_lines(report, &drawing),
        arrows: arrows(report, &drawing),
        canvas_size: size_in_words(plan),
        enlarged: ENLARGED,
        let_pass: check::small_length(report.tolerance(), plan.ruler),
        words: words(report, plan),
        words_at: PaperRect { y: words_y, height: content.bottom() - words_y, ..content },
    }
}

/// The lines, numbered in the order of the list.
fn drawn_lines(report: &Report, drawing: &Drawing) -> Vec<DrawnLine> {
    let lines = report.worst_first().into_iter().zip(1..).map(|(line, number)| {
        let on_paper = |[from, to]: [CanvasPoint; 2]| [drawing.point(from), drawing.point(to)];
        let planned = on_paper([line.from, line.to]);
        let [from, to] = planned;
        let (dx, dy) = (to.x - from.x, to.y - from.y);
        let length = dx.hypot(dy).max(f64::MIN_POSITIVE);
        let seen = line.drawn_enlarged().map(on_paper);
        let offsets: &[f64] = if line.verdict == Verdict::Off { &[-APART, APART] } else { &[0.0] };
        let beside = |[from, to]: [PaperPoint; 2], off: f64| {
            let (across, down) = (-dy / length * off, dx / length * off);
            [from.moved(across, down), to.moved(across, down)]
        };
        DrawnLine {
            verdict: line.verdict,
            planned,
            strokes: seen
                .map_or_else(Vec::new, |seen| offsets.iter().map(|off| beside(seen, *off)).collect()),
            number: number.to_string(),
            number_at: from.moved(-dx / length * NUMBERS / 2.0, -dy / length * NUMBERS / 2.0),
        }
    });
    lines.collect()
}

/// Each landmark's own error, enlarged, from where it is painted.
fn arrows(report: &Report, drawing: &Drawing) -> Vec<Arrow> {
    let Some(drift) = &report.drift else { return Vec::new() };
    let [left_top, _, right_bottom, _] = report.canvas.bounds().corners().map(|corner| drawing.point(corner));
    let arrow = |letter: String, own: &OwnDrift| {
        let from = drawing.point(own.painted);
        let mm = |mm: f64| Length::mm(OWN_ENLARGED * mm);
        let to = drawing.point(own.painted.moved(mm(own.right_mm), mm(own.down_mm)));
        // A very long one ends at the picture's edge.
        let to =
            PaperPoint::new(to.x.clamp(left_top.x, right_bottom.x), to.y.clamp(left_top.y, right_bottom.y));
        let (dx, dy) = (to.x - from.x, to.y - from.y);
        let length = dx.hypot(dy);
        let (ux, uy) = (dx / length, dy / length);
        let barb =
            |side: f64| [to, to.moved(-BARB.0 * ux - side * BARB.1 * uy, -BARB.0 * uy + side * BARB.1 * ux)];
        let away = if dy > 0.0 { -LETTER_AWAY } else { LETTER_AWAY };
        let strokes =
            if length < SHORTEST_ARROW { Vec::new() } else { vec![[from, to], barb(1.0), barb(-1.0)] };
        Arrow { strokes, letter, letter_at: from.moved(0.0, away) }
    };
    lettered(drift).filter_map(|(letter, own)| Some(arrow(letter?, own))).collect()
}

/// The landmarks, those that stand out with the letters by which picture, words and list name them: A, B, … in their order.
fn lettered(drift: &Drift) -> impl Iterator<Item = (Option<String>, &OwnDrift)> {
    let mut before = 0;
    drift.own.iter().map(move |own| {
        let letter = own.stands_out.then(|| plan::letters(before));
        before += usize::from(own.stands_out);
        (letter, own)
    })
}

fn words(report: &Report, plan: &Plan) -> Vec<String> {
    let (few_seen, others) = report.parted_warnings();
    let mut words: Vec<String> = few_seen.map(str::to_owned).into_iter().collect();
    if let Some(drift) = &report.drift {
        words.push(drift.whole_in_words(plan.ruler));
        let own = drift.standing_out(plan.ruler, report.nose()).into_iter().enumerate();
        let own: Vec<_> = own.map(|(at, told)| format!("{}, {told}", plan::letters(at))).collect();
        if !own.is_empty() {
            words.push(format!("On their own: {}.", own.join("; ")));
        }
        words.extend(drift.not_counted());
        words.extend(drift.remarks());
    }
    words.push(report.shape.in_words(plan.ruler));
    words.extend(others.into_iter().map(str::to_owned));
    words
}

fn row<const COLUMNS: usize>(cells: [String; COLUMNS]) -> Vec<Option<Cell>> {
    cells.into_iter().map(|words| Some(Cell::small(line![words]))).collect()
}

/// What all landmarks have in common.
fn whole_table(drift: &Drift, plan: &Plan) -> Table {
    let of = |number: WholeNumber| row([number.what.to_owned(), number.told, number.give_or_take]);
    Table {
        title: Some("As a whole".to_owned()),
        columns: vec![
            Column::left("", 0.3),
            Column::left("off by", 0.45),
            Column::left("give or take", 0.25),
        ],
        rows: drift.whole_numbers(plan.ruler).map(of).into(),
    }
}

/// What each painted landmark is off on its own. Those that are in their places follow together.
fn features_table(drift: &Drift, nose: Option<CanvasPoint>, plan: &Plan) -> Table {
    let of = |(letter, own): (Option<String>, &OwnDrift)| {
        let name = letter.map_or_else(|| own.name.clone(), |letter| format!("{letter}. {}", own.name));
        row([name, own.in_words(plan.ruler, nose)])
    };
    let (in_place, off): (Vec<_>, Vec<_>) = lettered(drift).partition(|(_, own)| own.is_in_place(plan.ruler));
    let others = match in_place.len() {
        0 | 1 => in_place.into_iter().map(of).collect(),
        count => {
            let who = if off.is_empty() { format!("all {count}") } else { format!("{count} others") };
            together(who, in_place.iter().map(|(_, own)| own.name.as_str()))
        }
    };
    Table {
        title: Some("Features, once the whole is put right".to_owned()),
        columns: vec![Column::left("landmark", 0.3), Column::left("on its own", 0.7)],
        rows: off.into_iter().map(of).chain(others).collect(),
    }
}

/// Landmarks that are in their places, by their names, in as many rows as those fill.
fn together<'a>(who: String, names: impl Iterator<Item = &'a str>) -> Vec<Vec<Option<Cell>>> {
    let mut told = vec!["in their places, as far as can be told:".to_owned()];
    let mut names = names.peekable();
    while let Some(name) = names.next() {
        let comma = if names.peek().is_some() { "," } else { "" };
        match told.last_mut() {
            Some(last) if last.len() + name.len() <= ROW_CHARS => last.extend([" ", name, comma]),
            _ => told.push(format!("{name}{comma}")),
        }
    }
    let who = std::iter::once(who).chain(std::iter::repeat(String::new()));
    who.zip(told).map(|(who, told)| row([who, told])).collect()
}

/// The lines, numbered as on the picture. Those that were not seen come last and share a row: paint hides most of them, and there
/// is one thing to say of all.
fn lines_table(report: &Report, plan: &Plan) -> Table {
    let (seen, unseen): (Vec<_>, Vec<_>) =
        report.worst_first().into_iter().zip(1..).partition(|(line, _)| line.offset_mm.is_some());
    let mut rows: Vec<_> = seen
        .iter()
        .map(|(line, number)| row([format!("{number}. {}", line.name), line.in_words(plan.ruler)]))
        .collect();
    match unseen.as_slice() {
        [] => {}
        [(line, _)] => rows.push(row([line.name.clone(), line.in_words(plan.ruler)])),
        [(_, first), .., (_, last)] => {
            let told =
                "not seen in this photo, and without a number on the picture; they may be there all the same"
                    .to_owned();
            rows.push(row([format!("{first} to {last}"), told]));
        }
    }
    Table {
        title: report.drift.is_some().then(|| "Lines".to_owned()),
        columns: vec![Column::left("line", 0.3), Column::left("as it was seen", 0.7)],
        rows,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn landmarks_in_their_places_are_all_named_in_rows_that_hold_them() {
        let names: Vec<String> =
            (0..60).map(|number| format!("{}landmark {number}", "very ".repeat(number % 5))).collect();
        let rows = together("60 others".to_owned(), names.iter().map(String::as_str));
        let told: Vec<String> =
            rows.iter().map(|row| serde_json::to_string(&row[1]).unwrap().replace("very ", "")).collect();
        assert!(rows.len() > 5 && told.iter().all(|row| row.len() < ROW_CHARS + 100), "{told:?}");
        for number in 0..60 {
            let named = |row: &String| {
                row.contains(&format!("landmark {number},")) || row.contains(&format!("landmark {number}\""))
            };
            assert_eq!(told.iter().filter(|row| named(row)).count(), 1, "landmark {number} in {told:?}");
        }
    }
}
