//! Guide lines that painters use in composing. They help to place the reference and are never printed or marked.

use serde::{Deserialize, Serialize};

use crate::frame::{CanvasPoint, CanvasRect};
use crate::length::Length;

/// The golden section: the larger part of a length divided so that the whole is to the larger as the larger to the
/// smaller (Euclid, Elements VI, definition 3), (√5 − 1)/2.
const GOLDEN_SHARE: f64 = 0.618_033_988_749_894_8;

/// A set of guide lines.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Guide {
    /// The two lines through the middle.
    CentreLines,
    /// Lines at a third and two thirds each way.
    Thirds,
    /// The two diagonals.
    Diagonals,
    /// The short side swung onto the long side from both ends, with the diagonals of the two squares.
    Rabatment,
    /// Lines at the golden section from either end, each way.
    GoldenSection,
}

impl Guide {
    /// Every set, in the order in which they are offered.
    pub const ALL: [Self; 5] =
        [Self::CentreLines, Self::Thirds, Self::Diagonals, Self::Rabatment, Self::GoldenSection];

    /// The lines of this set on a canvas, each from one end to the other.
    pub fn lines(self, canvas: CanvasRect) -> Vec<(CanvasPoint, CanvasPoint)> {
        match self {
            Self::CentreLines => both_ways(canvas, &[0.5]),
            Self::Thirds => both_ways(canvas, &[1.0 / 3.0, 2.0 / 3.0]),
            Self::Diagonals => diagonals(canvas),
            Self::GoldenSection => both_ways(canvas, &[1.0 - GOLDEN_SHARE, GOLDEN_SHARE]),
            Self::Rabatment => rabatment(canvas),
        }
    }
}

fn upright(canvas: CanvasRect, share: f64) -> (CanvasPoint, CanvasPoint) {
    let [top_left, top_right, bottom_right, bottom_left] = canvas.corners();
    (top_left.towards(top_right, share), bottom_left.towards(bottom_right, share))
}

fn level(canvas: CanvasRect, share: f64) -> (CanvasPoint, CanvasPoint) {
    let [top_left, top_right, bottom_right, bottom_left] = canvas.corners();
    (top_left.towards(bottom_left, share), top_right.towards(bottom_right, share))
}

fn both_ways(canvas: CanvasRect, shares: &[f64]) -> Vec<(CanvasPoint, CanvasPoint)> {
    let uprights = shares.iter().map(|share| upright(canvas, *share));
    uprights.chain(shares.iter().map(|share| level(canvas, *share))).collect()
}

fn diagonals(canvas: CanvasRect) -> Vec<(CanvasPoint, CanvasPoint)> {
    let [top_left, top_right, bottom_right, bottom_left] = canvas.corners();
    vec![(top_left, bottom_right), (bottom_left, top_right)]
}

fn rabatment(canvas: CanvasRect) -> Vec<(CanvasPoint, CanvasPoint)> {
    let (width, height) = (canvas.width, canvas.height);
    let side = width.min(height);
    let far = canvas.origin.moved(width - side, height - side);
    let squares = [canvas.origin, far].map(|origin| CanvasRect::new(origin, side, side));
    let swung = if width > height {
        [side / width, 1.0 - side / width].map(|share| upright(canvas, share))
    } else {
        [side / height, 1.0 - side / height].map(|share| level(canvas, share))
    };
    // On a square canvas the swung sides are the canvas's own, and both squares are the canvas.
    if (width - height).abs() < Length::mm(1e-9) {
        return diagonals(canvas);
    }
    swung.into_iter().chain(squares.into_iter().flat_map(diagonals)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn canvas(width: f64, height: f64) -> CanvasRect {
        CanvasRect::new(CanvasPoint::ORIGIN, Length::mm(width), Length::mm(height))
    }

    #[test]
    fn the_rabatment_cuts_a_square_from_each_end() {
        let lines = Guide::Rabatment.lines(canvas(300.0, 400.0));
        assert!(lines[0].0.distance_to(CanvasPoint::mm(0.0, 300.0)) < Length::mm(1e-9));
        assert!(lines[1].0.distance_to(CanvasPoint::mm(0.0, 100.0)) < Length::mm(1e-9));
        assert_eq!(lines.len(), 6);
    }

    #[test]
    fn the_golden_section_divides_as_its_definition_says() {
        let at = Guide::GoldenSection.lines(canvas(300.0, 400.0))[1].0.x.to_mm();
        assert!((300.0 / at - at / (300.0 - at)).abs() < 1e-9);
    }

    #[test]
    fn every_guide_line_ends_on_the_canvas() {
        for (width, height) in [(300.0, 400.0), (400.0, 300.0), (300.0, 300.0)] {
            let canvas = canvas(width, height);
            let nearly = CanvasRect::new(
                CanvasPoint::mm(-1e-9, -1e-9),
                canvas.width + Length::mm(2e-9),
                canvas.height + Length::mm(2e-9),
            );
            for (from, to) in Guide::ALL.into_iter().flat_map(|guide| guide.lines(canvas)) {
                assert!(nearly.contains(from) && nearly.contains(to), "{from:?} {to:?}");
            }
        }
    }
}
