//! `mahlstick marks`: where to mark the canvas's sides, as a table to work from or as JSON.

use std::fmt::Write as _;

use plan::{Mark, Marks, Plan, Reading, SideMarks, marks};
use serde::Serialize;

use crate::plan_options::{cautions, other_unit};

/// The marks as a table: every side, every mark from both of its ends.
pub(crate) fn table(plan: &Plan) -> String {
    let marks = marks(plan);
    let mut text = String::new();
    let size = plan.canvas.nominal;
    let (own, other) = (plan.unit, other_unit(plan.ruler));
    let _ = writeln!(text, "Canvas {} ({})", size.in_unit(own), size.about_in_unit(other));
    if let Some(solved) = plan.canvas.solved() {
        let corners = solved.outline.corner_angles().map(|angle| format!("{:.2}°", angle.to_degrees()));
        let _ = writeln!(text, "Measured: corners {} (top left first, clockwise)", corners.join(", "));
    }
    for side in &marks.sides {
        let (start, end) = if side.side.is_level() { ("left", "right") } else { ("top", "bottom") };
        let _ = writeln!(text, "\n{} side, {} long", capitalised(side.side.name()), side.total);
        side_table(&mut text, side, start, end);
    }
    let [down, up] = marks.diagonals;
    let _ = writeln!(
        text,
        "\nDiagonals: {down} down from the top left corner, {up} up from the bottom left corner"
    );
    for detail in &marks.details {
        detail_table(&mut text, detail);
    }
    for caution in cautions(plan) {
        let _ = writeln!(text, "\n{caution}");
    }
    text
}

fn detail_table(text: &mut String, detail: &plan::DetailMarks) {
    let [across, down] = &detail.inner;
    let _ = writeln!(
        text,
        "\n{}: {} wide, {} high, diagonals {}",
        detail.name, across.total, down.total, detail.diagonal
    );
    let _ = writeln!(
        text,
        "  {:<14}{:>14}{:>14}{:>14}{:>14}",
        "corner", "from top", "from right", "from bottom", "from left"
    );
    for (name, distances) in CORNER_NAMES.into_iter().zip(&detail.corners) {
        let _ = write!(text, "  {name:<14}");
        for distance in distances {
            let _ = write!(text, "{:>14}", distance.to_string());
        }
        text.push('\n');
    }
    for (side, start, end) in [(across, "left", "right"), (down, "top", "bottom")] {
        let _ = writeln!(text, "  marks {}", if side.side.is_level() { "across" } else { "down" });
        side_table(text, side, start, end);
    }
}

fn side_table(text: &mut String, side: &SideMarks, start: &str, end: &str) {
    if side.marks.is_empty() {
        let _ = writeln!(text, "  no marks");
        return;
    }
    let _ = writeln!(
        text,
        "  {:>2}{:>16}{:>18}{:>14}",
        "",
        format!("from the {start}"),
        format!("from the {end}"),
        "exactly"
    );
    for (at, mark) in side.marks.iter().enumerate() {
        let exactly = format!("{:.2} mm", mark.from_start.exact().to_mm());
        let _ = writeln!(
            text,
            "  {:>2}{:>16}{:>18}{exactly:>14}",
            at + 1,
            mark.from_start.to_string(),
            mark.from_end.to_string()
        );
    }
}

const CORNER_NAMES: [&str; 4] = ["top left", "top right", "bottom right", "bottom left"];

fn capitalised(word: &str) -> String {
    let mut letters = word.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// The marks as JSON, in millimetres to the nearest millionth and as ruler readings.
pub(crate) fn json(plan: &Plan) -> Result<String, serde_json::Error> {
    serde_json::to_string_pretty(&MarksJson::of(plan))
}

#[derive(Serialize)]
struct MarksJson {
    canvas: CanvasJson,
    sides: SidesJson,
    diagonal_mm: [f64; 2],
    details: Vec<DetailJson>,
    cautions: Vec<String>,
}

#[derive(Serialize)]
struct CanvasJson {
    width_mm: f64,
    height_mm: f64,
    measured: Option<MeasuredJson>,
}

#[derive(Serialize)]
struct MeasuredJson {
    corners_mm: [[f64; 2]; 4],
    residual_mm: f64,
    corner_degrees: [f64; 4],
}

#[derive(Serialize)]
struct SidesJson {
    top: Vec<MarkJson>,
    right: Vec<MarkJson>,
    bottom: Vec<MarkJson>,
    left: Vec<MarkJson>,
}

#[derive(Serialize)]
struct MarkJson {
    mm: f64,
    reading: String,
    rounded_mm: f64,
    from_other_end_mm: f64,
    from_other_end_reading: String,
}

#[derive(Serialize)]
struct DetailJson {
    name: String,
    x_mm: f64,
    y_mm: f64,
    width_mm: f64,
    height_mm: f64,
    diagonal_mm: f64,
    corners: Vec<CornerJson>,
    across: Vec<MarkJson>,
    down: Vec<MarkJson>,
}

#[derive(Serialize)]
struct CornerJson {
    corner: &'static str,
    from_top: DistanceJson,
    from_right: DistanceJson,
    from_bottom: DistanceJson,
    from_left: DistanceJson,
}

#[derive(Serialize)]
struct DistanceJson {
    mm: f64,
    reading: String,
}

impl MarksJson {
    fn of(plan: &Plan) -> Self {
        let Marks { sides, details, .. } = marks(plan);
        let [top, right, bottom, left] = sides.map(|side| marks_json(&side));
        Self {
            canvas: CanvasJson::of(plan),
            sides: SidesJson { top, right, bottom, left },
            diagonal_mm: plan.canvas.outline().diagonals().map(|diagonal| rounded(diagonal.to_mm())),
            details: details
                .iter()
                .zip(&plan.details)
                .map(|(marks, detail)| DetailJson::of(marks, detail))
                .collect(),
            cautions: cautions(plan),
        }
    }
}

impl CanvasJson {
    fn of(plan: &Plan) -> Self {
        let measured = plan.canvas.solved().map(|solved| MeasuredJson {
            corners_mm: solved
                .outline
                .corners
                .map(|corner| [rounded(corner.x.to_mm()), rounded(corner.y.to_mm())]),
            residual_mm: rounded(solved.residual().to_mm()),
            corner_degrees: solved.outline.corner_angles().map(|angle| rounded(angle.to_degrees())),
        });
        let size = plan.canvas.nominal;
        Self { width_mm: rounded(size.width.to_mm()), height_mm: rounded(size.height.to_mm()), measured }
    }
}

impl DetailJson {
    fn of(marks: &plan::DetailMarks, detail: &plan::DetailBox) -> Self {
        let corners = CORNER_NAMES.into_iter().zip(&marks.corners).map(|(corner, distances)| {
            let [from_top, from_right, from_bottom, from_left] = distances.map(|reading| DistanceJson {
                mm: rounded(reading.exact().to_mm()),
                reading: reading.to_string(),
            });
            CornerJson { corner, from_top, from_right, from_bottom, from_left }
        });
        let [across, down] = &marks.inner;
        Self {
            name: marks.name.clone(),
            x_mm: rounded(detail.rect.origin.x.to_mm()),
            y_mm: rounded(detail.rect.origin.y.to_mm()),
            width_mm: rounded(detail.rect.width.to_mm()),
            height_mm: rounded(detail.rect.height.to_mm()),
            diagonal_mm: rounded(marks.diagonal.exact().to_mm()),
            corners: corners.collect(),
            across: marks_json(across),
            down: marks_json(down),
        }
    }
}

fn marks_json(side: &SideMarks) -> Vec<MarkJson> {
    let mm = |reading: Reading| rounded(reading.exact().to_mm());
    let one = |mark: &Mark| MarkJson {
        mm: mm(mark.from_start),
        reading: mark.from_start.to_string(),
        rounded_mm: rounded(mark.from_start.rounded().to_mm()),
        from_other_end_mm: mm(mark.from_end),
        from_other_end_reading: mark.from_end.to_string(),
    };
    side.marks.iter().map(one).collect()
}

/// To a millionth of a millimetre: what lies beyond is the noise of the arithmetic.
fn rounded(number: f64) -> f64 {
    (number * 1e6).round() / 1e6
}
