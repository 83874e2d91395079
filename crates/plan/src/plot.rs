//! Plots: where each landmark lies within its grid box, in ruler readings from the nearest lines.
//!
//! A line is told by its number: 0 is the left or top side, 1 the first line ruled, and so on. Distances are square to
//! the line, as a ruler laid against it reads them, also where the canvas is out of square.

use std::fmt;

use crate::canvas::Size;
use crate::frame::CanvasPoint;
use crate::grid::Grid;
use crate::landmarks::LandmarkName;
use crate::length::Length;
use crate::outline::{Quad, Side};
use crate::painting_plan::Plan;
use crate::ruler::{Reading, Ruler};

/// A box of a grid, named by its column's letter from the left and its row's number from the top: `C4`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct GridBox {
    /// The column, counted from 0 at the left.
    pub column: usize,
    /// The row, counted from 0 at the top.
    pub row: usize,
}

impl fmt::Display for GridBox {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.column_letters(), self.row_number())
    }
}

impl GridBox {
    /// The column's letter, as in its name.
    pub fn column_letters(self) -> String {
        letters(self.column)
    }

    /// The row's number, as in its name.
    pub fn row_number(self) -> String {
        (self.row + 1).to_string()
    }
}

/// A, B, … Z, AA, AB, … as in the columns of a ledger, for 0, 1, …
pub fn letters(number: usize) -> String {
    let letter = char::from(b'A' + (number % 26) as u8);
    match number / 26 {
        0 => letter.to_string(),
        before => format!("{}{letter}", letters(before - 1)),
    }
}

/// How far a landmark lies from the line of one direction that is nearest to it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FromLine {
    /// The line's number: 0 for the left or top side.
    pub line: usize,
    /// Where the line's mark is: from the left end of the top side, or from the top end of the left side.
    pub mark: Reading,
    /// On which side of the line the landmark lies: right or left of an upright line, below ([`Side::Bottom`]) or above
    /// ([`Side::Top`]) a level one.
    pub towards: Side,
    /// How far from it, never negative.
    pub distance: Reading,
}

impl FromLine {
    /// Whether the ruler shows no distance from the line.
    pub fn is_on_line(&self) -> bool {
        self.distance.rounded() == Length::ZERO
    }

    /// Which side of the line in words: `right of`, `above`.
    pub const fn beside(&self) -> &'static str {
        match self.towards {
            Side::Right => "right of",
            Side::Left => "left of",
            Side::Top => "above",
            Side::Bottom => "below",
        }
    }
}

/// A landmark's place within one grid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BoxPlot {
    /// The box it lies in.
    pub grid_box: GridBox,
    /// From the nearest upright line.
    pub across: FromLine,
    /// From the nearest level line.
    pub down: FromLine,
}

/// A landmark's place in a detail box.
#[derive(Clone, Debug, PartialEq)]
pub struct DetailPlot {
    /// The detail box's name.
    pub detail: String,
    /// The place within its grid.
    pub plot: BoxPlot,
}

/// Where a landmark lies on the canvas.
#[derive(Clone, Debug, PartialEq)]
pub struct Plot {
    /// The landmark's name.
    pub name: LandmarkName,
    /// Its place on the canvas.
    pub at: CanvasPoint,
    /// Its place within the canvas's grid; `None` where it falls beyond the canvas's edge.
    pub plot: Option<BoxPlot>,
    /// Its place in every detail box that holds it, in the plan's order.
    pub details: Vec<DetailPlot>,
}

/// The plots of all landmarks, from the crown down, read on the plan's ruler. Empty without a photo.
pub fn plots(plan: &Plan) -> Vec<Plot> {
    let Some(placing) = plan.placing() else { return Vec::new() };
    let ruled = |outline, grid: &Grid, size| Ruled::new(outline, grid, size, plan.ruler);
    let whole = ruled(plan.canvas.outline(), &plan.grid, plan.canvas.nominal);
    let details: Vec<(&str, Ruled)> = plan
        .details
        .iter()
        .map(|detail| (detail.name.as_str(), ruled(detail.rect.into(), &detail.grid, detail.size())))
        .collect();
    let plot = |name, at| Plot {
        name,
        at,
        plot: whole.plot(at),
        details: details
            .iter()
            .filter_map(|(name, ruled)| {
                Some(DetailPlot { detail: (*name).to_owned(), plot: ruled.plot(at)? })
            })
            .collect(),
    };
    plan.all_landmarks()
        .into_iter()
        .map(|landmark| plot(landmark.name, placing.to_canvas(landmark.at)))
        .collect()
}

/// A grid with its lines' shares, the sides among them.
struct Ruled {
    outline: Quad,
    across: Vec<f64>,
    down: Vec<f64>,
    ruler: Ruler,
}

impl Ruled {
    fn new(outline: Quad, grid: &Grid, size: Size, ruler: Ruler) -> Self {
        let with_sides = |shares: Vec<f64>| [vec![0.0], shares, vec![1.0]].concat();
        let (across, down) = (with_sides(grid.shares_across(size)), with_sides(grid.shares_down(size)));
        Self { outline, across, down, ruler }
    }

    fn plot(&self, point: CanvasPoint) -> Option<BoxPlot> {
        let (column, across) = self.nearest_line(&self.across, Side::Top, Side::Left, point)?;
        let (row, down) = self.nearest_line(&self.down, Side::Left, Side::Top, point)?;
        Some(BoxPlot { grid_box: GridBox { column, row }, across, down })
    }

    /// Which two neighbouring lines the point lies between, and the distance from the nearer one. `marked` is the side
    /// with the lines' marks, `first` the side that is line 0.
    fn nearest_line(
        &self,
        shares: &[f64],
        marked: Side,
        first: Side,
        point: CanvasPoint,
    ) -> Option<(usize, FromLine)> {
        let upright = first == Side::Left;
        let opposite = if upright { Side::Bottom } else { Side::Right };
        // Positive on the far side of the line, right of it or below it.
        let beyond = |share: f64| {
            let (from, to) = (self.outline.along(marked, share), self.outline.along(opposite, share));
            let line = Quad { corners: [from, to, to, from] };
            let signed = line.distance_from_side(Side::Top, point);
            if upright { -signed } else { signed }
        };
        let distances: Vec<_> = shares.iter().map(|share| beyond(*share)).collect();
        let between = distances
            .windows(2)
            .position(|pair| pair[0].to_mm() >= -ON_THE_EDGE && pair[1].to_mm() <= ON_THE_EDGE)?;
        // A point on a line belongs to the box after it, unless that line is the last side.
        let column =
            (between..distances.len() - 1).rev().find(|at| distances[*at].to_mm() >= -ON_THE_EDGE)?;
        let near = if distances[column].abs().to_mm() <= distances[column + 1].abs().to_mm() + ON_THE_EDGE {
            column
        } else {
            column + 1
        };
        let towards = match (upright, distances[near].to_mm() < 0.0) {
            (true, false) => Side::Right,
            (true, true) => Side::Left,
            (false, false) => Side::Bottom,
            (false, true) => Side::Top,
        };
        let mark = self.ruler.read(self.outline.side_length(marked) * shares[near]);
        let distance = self.ruler.read(distances[near].abs());
        Some((column, FromLine { line: near, mark, towards, distance }))
    }
}

/// A point this near a line, in mm, lies on it: what the arithmetic leaves open.
const ON_THE_EDGE: f64 = 1e-9;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::canvas::{Canvas, Measured};
    use crate::detail::DetailBox;
    use crate::frame::{CanvasRect, PhotoPoint, PhotoSize};
    use crate::landmarks::Landmark;
    use crate::length::Unit;
    use crate::placing::Place;
    use crate::reference::Reference;
    use proptest::prelude::*;

    /// A canvas of 12 x 12 in in quarters whose photo has ten pixels to the inch.
    fn plan_of(points: &[(&str, f64, f64)]) -> Plan {
        let mut plan = Plan::new(Canvas::nominal(Length::inches(12.0), Length::inches(12.0)), Unit::Inch);
        let mut reference = Reference::fitted(PhotoSize { width: 160, height: 160 });
        let middle = CanvasPoint::new(Length::inches(6.0), Length::inches(6.0));
        reference.place = Place::At { pixel: Length::inches(0.1), middle };
        plan.reference = Some(reference);
        for (name, x, y) in points {
            // The photo reaches 2 in beyond the canvas on every side.
            let at = PhotoPoint::new((x + 2.0) * 10.0, (y + 2.0) * 10.0);
            plan.place_landmark(Landmark { name: (*name).into(), at }).unwrap();
        }
        plan
    }

    fn told(plot: &BoxPlot) -> String {
        let BoxPlot { grid_box, across, down } = plot;
        format!(
            "{grid_box}: {} {} {}, {} {} {}",
            across.distance,
            across.beside(),
            across.line,
            down.distance,
            down.beside(),
            down.line
        )
    }

    #[test]
    fn a_landmark_is_told_by_its_box_and_the_nearest_two_lines() {
        let plan = plan_of(&[("right pupil", 5.0, 4.5), ("left pupil", 6.5, 4.375), ("mole", 11.5, 0.25)]);
        let told: Vec<_> = plots(&plan).iter().map(|plot| told(&plot.plot.unwrap())).collect();
        assert_eq!(
            told,
            [
                "B2: 1 in left of 2, 1 1/2 in below 1",
                "C2: 1/2 in right of 2, 1 3/8 in below 1",
                "D1: 1/2 in left of 4, 1/4 in below 0"
            ]
        );
    }

    #[test]
    fn a_landmark_on_a_line_belongs_to_the_box_after_it_and_one_on_the_rim_to_the_last() {
        let plan = plan_of(&[("a", 3.0, 3.0), ("b", 12.0, 12.0), ("c", 0.0, 0.0), ("d", 12.5, 3.0)]);
        let boxes: Vec<_> =
            plots(&plan).iter().map(|plot| plot.plot.map(|plot| plot.grid_box.to_string())).collect();
        assert_eq!(boxes, [Some("B2".into()), Some("D4".into()), Some("A1".into()), None]);
    }

    #[test]
    fn a_detail_box_that_holds_the_landmark_is_read_with_its_own_grid() {
        let mut plan = plan_of(&[("right pupil", 5.0, 4.5), ("chin", 6.0, 11.0)]);
        let two = Length::inches(2.0);
        let rect = CanvasRect::new(CanvasPoint::new(two, two), Length::inches(8.0), Length::inches(8.0));
        plan.details.push(DetailBox::new("Face".to_owned(), rect, Grid::parts(8, 8)));
        let plots = plots(&plan);
        assert_eq!(told(&plots[0].details[0].plot), "D3: 0 in right of 3, 1/2 in below 2");
        assert!(plots[1].details.is_empty());
    }

    #[test]
    fn columns_go_on_after_z_like_a_ledger() {
        assert_eq!(GridBox { column: 63, row: 9 }.to_string(), "BL10");
    }

    proptest! {
        #[test]
        fn on_a_leaning_canvas_no_other_line_is_nearer(
            x in 0.02..0.98_f64, y in 0.02..0.98_f64, columns in 1..12_u32, rows in 1..12_u32, lean in -3.0..3.0_f64,
        ) {
            let mut plan = plan_of(&[("mole", 12.0 * x, 12.0 * y)]);
            let side = Length::inches(12.0);
            plan.canvas.measured = Some(Measured { down: Length::mm(431.05 + lean), ..Measured::rectangle(side, side) });
            plan.grid = Grid::parts(columns, rows);
            let outline = plan.canvas.outline();
            let plot = plots(&plan).remove(0);
            if let Some(boxed) = plot.plot {
                for (lines, from) in [
                    (plan.grid.shares_across(plan.canvas.nominal), boxed.across),
                    (plan.grid.shares_down(plan.canvas.nominal), boxed.down),
                ] {
                    let upright = matches!(from.towards, Side::Left | Side::Right);
                    for share in [vec![0.0], lines, vec![1.0]].concat() {
                        let (a, b) = if upright { (Side::Top, Side::Bottom) } else { (Side::Left, Side::Right) };
                        let (a, b) = (outline.along(a, share), outline.along(b, share));
                        let (ux, uy) = ((b.x - a.x).to_mm(), (b.y - a.y).to_mm());
                        let off = (ux * (plot.at.y - a.y).to_mm() - uy * (plot.at.x - a.x).to_mm()) / ux.hypot(uy);
                        prop_assert!(off.abs() >= from.distance.exact().to_mm() - 1e-9);
                    }
                }
            }
        }
    }
}
