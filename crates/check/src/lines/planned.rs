//! The lines that the plan wants on the canvas.

use nalgebra::Vector2;
use plan::{CanvasPoint, Direction, Length, Plan, Ruler, Side, Unit};

use crate::edges::line_frame;
use crate::pose::millimetres;

/// Where a line runs on the canvas, in mm: start, direction, the direction square to it that leads right or down, length.
pub(crate) type LineFrame = (Vector2<f64>, Vector2<f64>, Vector2<f64>, f64);

/// One line of the plan.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct PlannedLine {
    /// What the painter calls it.
    pub(crate) name: String,
    /// Its direction.
    pub(crate) direction: Direction,
    /// Its end at the top or left.
    pub(crate) from: CanvasPoint,
    /// Its end at the bottom or right.
    pub(crate) to: CanvasPoint,
    /// The detail box it belongs to; `None` for the main grid.
    pub(crate) detail: Option<usize>,
}

impl PlannedLine {
    /// The line as a frame of its own.
    pub(crate) fn frame(&self) -> LineFrame {
        line_frame(millimetres(self.from), millimetres(self.to), self.direction == Direction::Vertical)
    }

    /// The distance of its middle from the canvas's left side, or from the top for one that is not vertical.
    pub(crate) fn planned(&self) -> Length {
        let middle = self.from.towards(self.to, 0.5);
        if self.direction == Direction::Vertical { middle.x } else { middle.y }
    }
}

/// Parallel lines nearer than this, mm, are ruled as one: the width of a pencil line.
const ONE_LINE: Length = Length::mm(0.5);

/// All lines of the plan: the main grid's, then each detail box's sides and grid as far as no line of the main grid runs there, which
/// is ruled once and has its own name.
pub(crate) fn planned_lines(plan: &Plan) -> Vec<PlannedLine> {
    let outline = plan.canvas.outline();
    let mut lines: Vec<PlannedLine> = plan
        .grid_lines()
        .into_iter()
        .map(|line| {
            let side = if line.direction == Direction::Vertical { Side::Top } else { Side::Left };
            let at = outline.side_length(side) * line.share;
            PlannedLine {
                name: name(line.direction, at, plan.unit),
                direction: line.direction,
                from: line.from,
                to: line.to,
                detail: None,
            }
        })
        .collect();
    let of_grid = lines.clone();
    let is_new = |line: &PlannedLine| {
        let same = |other: &PlannedLine| {
            let (origin, _, across, _) = other.frame();
            let runs_by = |end| (millimetres(end) - origin).dot(&across).abs() < ONE_LINE.to_mm();
            other.direction == line.direction && runs_by(line.from) && runs_by(line.to)
        };
        !of_grid.iter().any(same)
    };
    for (at, detail) in plan.details.iter().enumerate() {
        let [top_left, top_right, bottom_right, bottom_left] = detail.rect.corners();
        let sides = [
            ("top side", Direction::Horizontal, top_left, top_right),
            ("right side", Direction::Vertical, top_right, bottom_right),
            ("bottom side", Direction::Horizontal, bottom_left, bottom_right),
            ("left side", Direction::Vertical, top_left, bottom_left),
        ];
        let of_box = |name: &str, direction, from, to| PlannedLine {
            name: format!("{}: {name}", detail.name),
            direction,
            from,
            to,
            detail: Some(at),
        };
        let sides = sides.map(|(name, direction, from, to)| of_box(name, direction, from, to));
        lines.extend(sides.into_iter().filter(is_new));
        let inner = detail.lines().into_iter().map(|line| {
            let size = detail.size();
            let length = if line.direction == Direction::Vertical { size.width } else { size.height };
            of_box(&name(line.direction, length * line.share, plan.unit), line.direction, line.from, line.to)
        });
        lines.extend(inner.filter(is_new));
    }
    lines
}

/// A line by its direction and where it is marked: `vertical at 3 in`.
fn name(direction: Direction, at: Length, unit: Unit) -> String {
    let reading = Ruler::usual(unit).read(at);
    match direction {
        Direction::Vertical => format!("vertical at {reading}"),
        Direction::Horizontal => format!("horizontal at {reading}"),
        Direction::Down => "diagonal down".to_owned(),
        Direction::Up => "diagonal up".to_owned(),
    }
}
