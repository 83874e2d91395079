//! Takes the lens's bend out of the small picture, so that what is straight is straight in it.

use nalgebra::Vector2;
use rayon::prelude::*;

use super::edges::EdgePoint;
use super::tracks::Run;
use super::votes::{Votes, along_run};
use crate::pose::Lens;

/// Largest k₁ tried either way, and the steps from 0 to it: what is left of a step's half bends an edge as long as the picture
/// by about a pixel, which is followed.
const LARGEST_K1: f64 = 0.1;
const K1_STEPS: i32 = 5;

/// The most edge points that vote on the bend: every so many of them, evenly.
const MOST_VOTERS: usize = 20_000;

/// How much more the votes must agree under a bend than under none: k₁ is only believed where long edges show it.
const CLEARLY: f64 = 1.05;

/// Points tried along each of the picture's sides.
const AROUND: usize = 8;

/// The small picture's own frame, and the straight one of the same size that shows all of it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Straight {
    lens: Lens,
    middle: Vector2<f64>,
    /// Focal length, pixels of the small picture.
    bent_focal: f64,
    /// The same in the straight frame: what a lens spreads is drawn together again, so that the frame holds it.
    pub(super) focal: f64,
}

impl Straight {
    /// The frame for a picture of this size and focal length, in its pixels; `None` where the lens folds back in it.
    fn of(lens: Lens, width: f64, height: f64, focal: f64) -> Option<Self> {
        let middle = Vector2::new(width, height) / 2.0;
        let mut straight_focal = f64::INFINITY;
        for at in 0..=AROUND {
            let share = at as f64 / AROUND as f64 - 0.5;
            for rim in [Vector2::new(share * width, height / 2.0), Vector2::new(width / 2.0, share * height)]
            {
                let ray = lens.straightened(rim / focal)?.at;
                for axis in 0..2 {
                    if ray[axis].abs() > 1e-6 {
                        straight_focal = straight_focal.min(middle[axis] / ray[axis].abs());
                    }
                }
            }
        }
        Some(Self { lens, middle, bent_focal: focal, focal: straight_focal })
    }

    /// The frame in which most edge points lie on straight lines (the plumb-line method; D. C. Brown, "Close-range camera
    /// calibration", Photogrammetric Engineering 37, 1971): the canvas's edges, shelves, bars and frames all bend alike.
    pub(super) fn by_votes(points: &[EdgePoint], width: usize, height: usize, focal: f64) -> Self {
        let none = Self {
            lens: Lens::default(),
            middle: Vector2::new(width as f64, height as f64) / 2.0,
            bent_focal: focal,
            focal,
        };
        let tried: Vec<(f64, Self)> = (-K1_STEPS..=K1_STEPS)
            .into_par_iter()
            .filter_map(|step| {
                let k1 = LARGEST_K1 * f64::from(step) / f64::from(K1_STEPS);
                let frame = Self::of(Lens { k1, k2: 0.0 }, width as f64, height as f64, focal)?;
                // As large as the picture itself: points drawn together would agree better for that alone.
                let as_large = Self { focal, ..frame };
                let voters = points.iter().step_by(points.len() / MOST_VOTERS + 1);
                let straight: Vec<EdgePoint> =
                    voters.filter_map(|point| as_large.taken_over(point)).collect();
                let agreement = Votes::of(&along_run(&straight, Run::Level), width, height).agreement()
                    + Votes::of(&along_run(&straight, Run::Plumb), height, width).agreement();
                Some((agreement, frame))
            })
            .collect();
        let without =
            tried.iter().find(|(_, frame)| frame.lens == Lens::default()).map_or(0.0, |tried| tried.0);
        tried
            .into_iter()
            .filter(|(agreement, _)| *agreement > CLEARLY * without)
            .max_by(|a, b| a.0.total_cmp(&b.0))
            .map_or(none, |tried| tried.1)
    }

    /// Where a point of the straight frame lies in the small picture.
    pub(super) fn to_picture(self, [x, y]: [f64; 2]) -> [f64; 2] {
        let ray = (Vector2::new(x, y) - self.middle) / self.focal;
        (self.middle + self.lens.bent(ray) * self.bent_focal).into()
    }

    /// An edge point of the small picture in the straight frame.
    fn taken_over(self, point: &EdgePoint) -> Option<EdgePoint> {
        let ray = (Vector2::new(f64::from(point.x), f64::from(point.y)) - self.middle) / self.bent_focal;
        let straight = self.lens.straightened(ray)?;
        let at = self.middle + straight.at * self.focal;
        let along = straight.by_place * Vector2::new(-f64::from(point.across[1]), f64::from(point.across[0]));
        let along = along.normalize();
        let across = [along.y as f32, -along.x as f32];
        Some(EdgePoint { x: at.x as f32, y: at.y as f32, across, strength: point.strength })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const SIZE: [f64; 2] = [960.0, 1280.0];
    const FOCAL: f64 = 960.0;

    /// Edge points along straight lines of the straight frame, as the lens shows them.
    fn seen_through(k1: f64) -> Vec<EdgePoint> {
        let frame = Straight::of(Lens { k1, k2: 0.0 }, SIZE[0], SIZE[1], FOCAL).unwrap();
        let lines = [([150.0, 200.0], [820.0, 240.0]), ([130.0, 1050.0], [850.0, 1010.0])];
        let plumb = [([150.0, 200.0], [130.0, 1050.0]), ([820.0, 240.0], [850.0, 1010.0])];
        lines
            .into_iter()
            .chain(plumb)
            .flat_map(|([x, y], [u, v]): ([f64; 2], [f64; 2])| {
                (0..600).map(move |step| {
                    let at = |step: f64| {
                        let share = step / 600.0;
                        frame.to_picture([x + share * (u - x), y + share * (v - y)])
                    };
                    let (here, next) = (at(f64::from(step)), at(f64::from(step) + 1.0));
                    let along = Vector2::new(next[0] - here[0], next[1] - here[1]).normalize();
                    let across = [-along.y as f32, along.x as f32];
                    EdgePoint { x: here[0] as f32, y: here[1] as f32, across, strength: 1.0 }
                })
            })
            .collect()
    }

    proptest! {
        #[test]
        fn the_bend_is_found_from_four_edges(k1 in -0.09..0.09_f64) {
            let found = Straight::by_votes(&seen_through(k1), SIZE[0] as usize, SIZE[1] as usize, FOCAL);
            // What is left bends an edge as long as the picture by three pixels, which is followed.
            prop_assert!((found.lens.k1 - k1).abs() < 0.045, "{:?}", found.lens);
        }

        #[test]
        fn an_edge_point_taken_over_is_shown_where_it_was(
            x in 5.0..955.0_f64, y in 5.0..1275.0_f64, k1 in -0.1..0.1_f64
        ) {
            let frame = Straight::of(Lens { k1, k2: 0.0 }, SIZE[0], SIZE[1], FOCAL).unwrap();
            let point = EdgePoint { x: x as f32, y: y as f32, across: [0.0, 1.0], strength: 1.0 };
            let over = frame.taken_over(&point).unwrap();
            let [back_x, back_y] = frame.to_picture([f64::from(over.x), f64::from(over.y)]);
            prop_assert!((back_x - x).hypot(back_y - y) < 1e-3);
            prop_assert!(over.x > -1.0 && over.x < 961.0 && over.y > -1.0 && over.y < 1281.0);
        }
    }
}
