//! Marks: where grid lines meet the canvas's sides, as they are measured with a ruler.
//!
//! Every mark is given from both ends of its side and every reading is rounded from the exact place, so that no error
//! adds up along a side.

use crate::detail::DetailBox;
use crate::frame::CanvasPoint;
use crate::length::Length;
use crate::outline::Side;
use crate::painting_plan::Plan;
use crate::ruler::{Reading, Ruler};

/// A point on a side where a grid line meets it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mark {
    /// From the side's start: the left end of a level side, the top end of an upright one.
    pub from_start: Reading,
    /// From the side's other end.
    pub from_end: Reading,
}

/// The marks along one side.
#[derive(Clone, Debug, PartialEq)]
pub struct SideMarks {
    /// Which side.
    pub side: Side,
    /// The side's whole length: a mark's two readings add up to it, within one division of the ruler.
    pub total: Reading,
    /// The marks in order from the side's start, corners excluded.
    pub marks: Vec<Mark>,
}

/// The marks of a detail box: how to find it on the canvas, and how to divide it.
#[derive(Clone, Debug, PartialEq)]
pub struct DetailMarks {
    /// The box's name.
    pub name: String,
    /// The corners, top left first and clockwise, each with its distances square to the canvas's four sides in the order
    /// top, right, bottom, left.
    pub corners: [[Reading; 4]; 4],
    /// Both diagonals, which are equal in a true box.
    pub diagonal: Reading,
    /// The marks along the box's own sides: `[across, down]`.
    pub inner: [SideMarks; 2],
}

impl DetailMarks {
    /// How each corner is found with a ruler, top left first and clockwise: its distance from the nearer upright side of
    /// the canvas and from the nearer level one. Of two that are as near, the corner's own.
    pub fn from_nearest_sides(&self) -> [[(Side, Reading); 2]; 4] {
        let own = [
            [Side::Left, Side::Top],
            [Side::Right, Side::Top],
            [Side::Right, Side::Bottom],
            [Side::Left, Side::Bottom],
        ];
        std::array::from_fn(|corner| {
            let [top, right, bottom, left] = self.corners[corner];
            own[corner].map(|own| {
                let pairs = match own {
                    Side::Left => [(Side::Left, left), (Side::Right, right)],
                    Side::Right => [(Side::Right, right), (Side::Left, left)],
                    Side::Top => [(Side::Top, top), (Side::Bottom, bottom)],
                    Side::Bottom => [(Side::Bottom, bottom), (Side::Top, top)],
                };
                let [(_, near), (_, far)] = pairs;
                pairs[usize::from(far.rounded() < near.rounded())]
            })
        })
    }

    fn count(&self) -> usize {
        self.corners.len() + self.inner.iter().map(|side| side.marks.len()).sum::<usize>()
    }
}

impl Marks {
    /// How many marks are made along the canvas's sides.
    pub fn count_on_sides(&self) -> usize {
        self.sides.iter().map(|side| side.marks.len()).sum()
    }

    /// How many readings are marked for the detail boxes: the corners of each, and those along its top and its left.
    pub fn count_of_details(&self) -> usize {
        self.details.iter().map(DetailMarks::count).sum()
    }
}

/// Everything a painter measures to mark a canvas.
#[derive(Clone, Debug, PartialEq)]
pub struct Marks {
    /// The four sides, clockwise from the top.
    pub sides: [SideMarks; 4],
    /// The diagonals `[down, up]`, to prove the canvas square.
    pub diagonals: [Reading; 2],
    /// The detail boxes in the plan's order.
    pub details: Vec<DetailMarks>,
}

/// The marks of a plan, read on the plan's ruler.
pub fn marks(plan: &Plan) -> Marks {
    let outline = plan.canvas.outline();
    let (across, down) =
        (plan.grid.shares_across(plan.canvas.nominal), plan.grid.shares_down(plan.canvas.nominal));
    Marks {
        sides: Side::ALL.map(|side| {
            let shares = if side.is_level() { &across } else { &down };
            side_marks(side, outline.side_length(side), shares, plan.ruler)
        }),
        diagonals: outline.diagonals().map(|diagonal| plan.ruler.read(diagonal)),
        details: plan.details.iter().map(|detail| detail_marks(detail, plan)).collect(),
    }
}

fn side_marks(side: Side, length: Length, shares: &[f64], ruler: Ruler) -> SideMarks {
    let marks = shares
        .iter()
        .map(|&share| Mark {
            from_start: ruler.read(length * share),
            from_end: ruler.read(length * (1.0 - share)),
        })
        .collect();
    SideMarks { side, total: ruler.read(length), marks }
}

fn detail_marks(detail: &DetailBox, plan: &Plan) -> DetailMarks {
    let (outline, ruler, size) = (plan.canvas.outline(), plan.ruler, detail.size());
    let distances =
        |corner: CanvasPoint| Side::ALL.map(|side| ruler.read(outline.distance_from_side(side, corner)));
    DetailMarks {
        name: detail.name.clone(),
        corners: detail.rect.corners().map(distances),
        diagonal: ruler.read(detail.rect.origin.distance_to(detail.rect.corners()[2])),
        inner: [
            side_marks(Side::Top, size.width, &detail.grid.shares_across(size), ruler),
            side_marks(Side::Left, size.height, &detail.grid.shares_down(size), ruler),
        ],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::canvas::Canvas;
    use crate::frame::CanvasRect;
    use crate::grid::Grid;
    use crate::length::Unit;
    use proptest::prelude::*;

    fn plan_of(width: Length, height: Length, unit: Unit) -> Plan {
        Plan::new(Canvas::nominal(width, height), unit)
    }

    fn readings(side: &SideMarks) -> Vec<String> {
        side.marks.iter().map(|mark| mark.from_start.to_string()).collect()
    }

    /// Common practice, no source: a 12 in canvas in quarters is marked at 3, 6 and 9 in; its 8 in head box at 2, 4, 6.
    #[test]
    fn a_twelve_inch_canvas_is_marked_at_three_six_and_nine() {
        let mut plan = plan_of(Length::inches(12.0), Length::inches(12.0), Unit::Inch);
        let origin = CanvasPoint::new(Length::inches(2.0), Length::inches(2.0));
        let rect = CanvasRect::new(origin, Length::inches(8.0), Length::inches(8.0));
        plan.details.push(DetailBox::new("Head".to_owned(), rect, Grid::default()));
        let marks = marks(&plan);
        for side in &marks.sides {
            assert_eq!(readings(side), ["3 in", "6 in", "9 in"]);
        }
        assert_eq!(readings(&marks.details[0].inner[0]), ["2 in", "4 in", "6 in"]);
        assert_eq!(
            marks.details[0].corners[0].map(|reading| reading.to_string()),
            ["2 in", "10 in", "10 in", "2 in"]
        );
        assert_eq!(marks.diagonals[0].to_string(), "17 in");
    }

    #[test]
    fn readings_are_rounded_from_the_exact_place_and_never_added_up() {
        let mut plan = plan_of(Length::inches(16.0), Length::inches(20.0), Unit::Inch);
        plan.grid = Grid::parts(7, 7);
        let marks = marks(&plan);
        for (at, mark) in marks.sides[0].marks.iter().enumerate() {
            let exact = 16.0 * (at as f64 + 1.0) / 7.0;
            assert!((mark.from_start.exact().to_inches() - exact).abs() < 1e-9);
            assert!((mark.from_start.rounded().to_inches() - exact).abs() <= 1.0 / 32.0 + 1e-9);
        }
    }

    #[test]
    fn the_corners_of_a_box_are_told_from_the_nearest_sides() {
        let mut plan = plan_of(Length::inches(16.0), Length::inches(20.0), Unit::Inch);
        let boxed = |x, y, width, height| {
            let origin = CanvasPoint::new(Length::inches(x), Length::inches(y));
            let rect = CanvasRect::new(origin, Length::inches(width), Length::inches(height));
            DetailBox::new("Head".to_owned(), rect, Grid::default())
        };
        plan.details = vec![boxed(4.0, 5.0, 8.0, 10.0), boxed(10.0, 2.0, 4.0, 5.0)];
        let found = marks(&plan);
        let told = found.details.iter().map(|detail| {
            let corner = |[across, down]: [(Side, Reading); 2]| {
                format!("{} {}, {} {}", across.1, across.0.name(), down.1, down.0.name())
            };
            detail.from_nearest_sides().map(corner)
        });
        let told: Vec<_> = told.collect();
        assert_eq!(
            told[0],
            [
                "4 in left, 5 in top",
                "4 in right, 5 in top",
                "4 in right, 5 in bottom",
                "4 in left, 5 in bottom"
            ]
        );
        assert_eq!(
            told[1],
            ["6 in right, 2 in top", "2 in right, 2 in top", "2 in right, 7 in top", "6 in right, 7 in top"]
        );
        // Quarters: three marks on each side; four corners and two rows of three for each box.
        assert_eq!((found.count_on_sides(), found.count_of_details()), (12, 20));
    }

    proptest! {
        #[test]
        fn a_marks_two_readings_add_up_to_the_side(width in 50.0..2000.0_f64, columns in 2..20_u32, metric: bool) {
            let unit = if metric { Unit::Centimetre } else { Unit::Inch };
            let mut plan = plan_of(Length::mm(width), Length::mm(400.0), unit);
            plan.grid = Grid::parts(columns, 2);
            let division = plan.ruler.division();
            for side in marks(&plan).sides {
                for mark in side.marks {
                    let sum = mark.from_start.exact() + mark.from_end.exact();
                    prop_assert!((sum - side.total.exact()).abs() < Length::mm(1e-9));
                    let read = mark.from_start.rounded() + mark.from_end.rounded() - side.total.rounded();
                    prop_assert!(read.abs() <= division * 1.000_001);
                }
            }
        }
    }
}
