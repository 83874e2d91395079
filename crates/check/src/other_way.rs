//! The canvas the other way round in its photo: taken in a mirror, upside down, or with the corners begun at another one.
//!
//! Edges alone cannot tell: a mirrored canvas has the same outline. What can are lines that have no partner in the plan, as those of
//! a detail box, and a painting that resembles its reference only when it is turned over.

use std::fmt;

use photo::Picture;
use plan::{CanvasPoint, CanvasRect, Direction, Grid, Length, Plan};

use crate::lines::{PlannedLine, Seen, Sighting};
use crate::pose::CanvasMap;
use crate::unfit::Unfit;
use crate::value_check::values_of_both;

/// A line tells which way round the canvas is when no planned line comes nearer than this to where it would lie the other way round.
/// Lines are looked for up to 6 mm from their places, so a nearer one could be taken for it.
const TELLING: Length = Length::mm(8.0);

/// With fewer telling lines a fold or a smear could pass for them.
const FEWEST_TELLING: usize = 3;

/// At most this share of the telling lines may be in place, and at least that share must lie the other way round.
const IN_PLACE: f64 = 0.2;
const OTHERWISE: f64 = 0.8;

/// Painting and reference are compared by the mean values of so many boxes each way.
const BOXES: usize = 16;
const GRID: Grid = Grid::parts(BOXES as u32, BOXES as u32);

/// A painting whose values, beyond an even rise, spread less than this on the Munsell scale is too bare to compare.
const BARE: f64 = 0.4;

/// The correlation that the other way round must reach, and by how much it must surpass the right one. A face is alike in a mirror
/// but for its light: the demo's head mirrored reaches 0.3 less than itself.
const ALIKE: f64 = 0.6;
const MORE_ALIKE: f64 = 0.15;

/// Another way round than the plan's: mirrored left to right or not, and then turned clockwise by quarters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct OtherWay {
    /// Whether left and right have changed places before it is turned.
    pub mirrored: bool,
    /// Quarter turns clockwise, 0 to 3.
    pub quarters: u8,
}

impl fmt::Display for OtherWay {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let turned = match self.quarters {
            0 => "",
            1 => "turned a quarter to the right",
            2 => "upside down",
            _ => "turned a quarter to the left",
        };
        match (self.mirrored, turned) {
            (true, "") => f.write_str("mirrored"),
            (true, turned) => write!(f, "mirrored and {turned}"),
            (false, turned) => f.write_str(turned),
        }
    }
}

impl OtherWay {
    /// All seven.
    fn all() -> impl Iterator<Item = Self> {
        (1..8).map(|number| Self { mirrored: number >= 4, quarters: number % 4 })
    }

    /// Where a place of the canvas comes to lie, both as shares of its breadth and height.
    fn moved(self, (x, y): (f64, f64)) -> (f64, f64) {
        let x = if self.mirrored { 1.0 - x } else { x };
        match self.quarters {
            0 => (x, y),
            1 => (1.0 - y, x),
            2 => (1.0 - x, 1.0 - y),
            _ => (y, 1.0 - x),
        }
    }

    /// Where a planned line comes to lie on a canvas with these bounds; `None` for a diagonal, which tells nothing.
    fn line(self, line: &PlannedLine, canvas: CanvasRect) -> Option<PlannedLine> {
        let upright = match line.direction {
            Direction::Vertical => true,
            Direction::Horizontal => false,
            Direction::Down | Direction::Up => return None,
        };
        let place = |point: CanvasPoint| {
            let (x, y) = self.moved((
                (point.x - canvas.origin.x) / canvas.width,
                (point.y - canvas.origin.y) / canvas.height,
            ));
            canvas.origin.moved(canvas.width * x, canvas.height * y)
        };
        let upright = upright == self.quarters.is_multiple_of(2);
        let (a, b) = (place(line.from), place(line.to));
        let in_order = if upright { a.y < b.y } else { a.x < b.x };
        let (from, to) = if in_order { (a, b) } else { (b, a) };
        let direction = if upright { Direction::Vertical } else { Direction::Horizontal };
        Some(PlannedLine { direction, from, to, ..line.clone() })
    }
}

/// Looks whether lines that have no partner in the plan are missing where they are planned, and there the other way round. `look`
/// looks for lines at other places in the same photo.
///
/// # Errors
/// [`Unfit::OtherWayRound`] when they are.
pub(crate) fn refuse_lines(
    planned: &[PlannedLine],
    seen: &[Sighting],
    canvas: CanvasRect,
    look: impl Fn(&[PlannedLine]) -> Vec<Sighting>,
) -> Result<(), Unfit> {
    let found = |sightings: &[Sighting], of: &[usize]| {
        let found = of.iter().filter(|at| sightings[**at].seen == Seen::Found).count();
        found as f64 / of.len() as f64
    };
    for way in OtherWay::all() {
        // A diagonal stays where it is, so that lines and sightings keep their numbers.
        let otherwise: Vec<PlannedLine> =
            planned.iter().map(|line| way.line(line, canvas).unwrap_or_else(|| line.clone())).collect();
        let telling: Vec<usize> = (0..planned.len())
            .filter(|at| tells(&otherwise[*at], planned) && tells(&planned[*at], &otherwise))
            .collect();
        if telling.len() >= FEWEST_TELLING
            && found(seen, &telling) <= IN_PLACE
            && found(&look(&otherwise), &telling) >= OTHERWISE
        {
            return Err(Unfit::OtherWayRound { way });
        }
    }
    Ok(())
}

/// Whether none of these lines runs where this one does.
fn tells(line: &PlannedLine, others: &[PlannedLine]) -> bool {
    let straight = matches!(line.direction, Direction::Vertical | Direction::Horizontal);
    let apart = |other: &PlannedLine| (other.planned() - line.planned()).abs() > TELLING;
    straight && others.iter().all(|other| other.direction != line.direction || apart(other))
}

/// Holds the painting against its reference in every way round. `painting` is the photo of the canvas, `reference` the picture that
/// lies on the canvas, reduced or not.
///
/// # Errors
/// [`Unfit::OtherWayRound`] when it resembles the reference clearly more another way round. A bare canvas is never refused.
pub fn refuse_painting(
    painting: &Picture,
    map: &CanvasMap,
    reference: &Picture,
    plan: &Plan,
) -> Result<(), Unfit> {
    let Some(both) = values_of_both(painting, map, reference, plan, &GRID) else { return Ok(()) };
    let [wanted, painted] = both.map(|boxes| boxes.into_iter().map(|one| one.value).collect::<Vec<_>>());
    match more_alike(&wanted, &painted) {
        Some(way) => Err(Unfit::OtherWayRound { way }),
        None => Ok(()),
    }
}

/// The other way round in which the painting is clearly more like the reference; both as [`BOXES`] rows of as many values.
fn more_alike(wanted: &[Option<f64>], painted: &[Option<f64>]) -> Option<OtherWay> {
    let alike = |way: Option<OtherWay>| {
        let pairs: Vec<[f64; 4]> = (0..BOXES * BOXES)
            .filter_map(|at| {
                let share = |number: usize| (number as f64 + 0.5) / BOXES as f64;
                let (x, y) = (share(at % BOXES), share(at / BOXES));
                let (u, v) = way.map_or((x, y), |way| way.moved((x, y)));
                let seen = (v * BOXES as f64) as usize * BOXES + (u * BOXES as f64) as usize;
                Some([x, y, wanted[at]?, painted[seen]?])
            })
            .collect();
        correlation(&pairs)
    };
    let upright = alike(None)?;
    let (best, way) = OtherWay::all()
        .filter_map(|way| Some((alike(Some(way))?, way)))
        .max_by(|a, b| a.0.total_cmp(&b.0))?;
    (best > ALIKE && best > upright + MORE_ALIKE).then_some(way)
}

/// The correlation of the third with the fourth of each row, after what rises evenly over the first two was taken from both: light
/// from one side makes the barest canvas resemble something. `None` where either is bare or too little is seen.
fn correlation(rows: &[[f64; 4]]) -> Option<f64> {
    if rows.len() < BOXES * BOXES / 4 {
        return None;
    }
    let [a, b] = [2, 3].map(|column| {
        let even =
            nalgebra::DMatrix::from_fn(rows.len(), 3, |row, at| if at < 2 { rows[row][at] } else { 1.0 });
        let values = nalgebra::DVector::from_iterator(rows.len(), rows.iter().map(|row| row[column]));
        let rise = even.clone().svd(true, true).solve(&values, 1e-9).ok()?;
        Some(values - even * rise)
    });
    let (a, b) = (a?, b?);
    let spread = |values: &nalgebra::DVector<f64>| values.norm() / (rows.len() as f64).sqrt();
    (spread(&a) > BARE && spread(&b) > BARE).then(|| a.dot(&b) / (a.norm() * b.norm()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_way_is_told_from_the_others_by_a_painting_without_symmetry() {
        let value = |x: f64, y: f64| {
            let spot = |u: f64, v: f64, r: f64| if (x - u).hypot(y - v) < r { 1.0 } else { 0.0 };
            Some(6.0 - 3.0 * spot(0.3, 0.25, 0.2) + 2.0 * spot(0.7, 0.6, 0.15) - 2.0 * spot(0.2, 0.8, 0.15))
        };
        let share = |number: usize| (number as f64 + 0.5) / BOXES as f64;
        let wanted: Vec<_> =
            (0..BOXES * BOXES).map(|at| value(share(at % BOXES), share(at / BOXES))).collect();
        assert_eq!(more_alike(&wanted, &wanted), None);
        for way in OtherWay::all() {
            let mut painted = vec![None; BOXES * BOXES];
            for (at, wanted) in wanted.iter().enumerate() {
                let (u, v) = way.moved((share(at % BOXES), share(at / BOXES)));
                let seen = (v * BOXES as f64) as usize * BOXES + (u * BOXES as f64) as usize;
                // Underexposed, and with light from one side.
                painted[seen] = wanted.map(|value| 0.8 * value + u - 0.5);
            }
            assert_eq!(more_alike(&wanted, &painted), Some(way), "{way}");
        }
        let bare: Vec<_> = (0..BOXES * BOXES).map(|at| Some(9.0 - 2.0 * share(at % BOXES))).collect();
        assert_eq!(more_alike(&wanted, &bare), None);
    }
}
