//! The scene on reference and detail sheets: canvas, photo and grid as they are, seen in a mirror, upside down, or
//! smaller at a ratio.
//!
//! Everything is taken through one map of the canvas frame, so that sheets, seams and labels are laid out as they are
//! for the canvas itself.

use plan::{
    Angle, CanvasPoint, CanvasRect, Direction, GridLine, LayoutError, Length, PhotoSize, Placing, Plan,
    Polygon, Quad, Ratio, Seams, SeamsByHand, SheetLayout, SheetWindow, Stock,
};

use crate::joins::joined_piece;
use crate::show::Show;

/// The canvas with all that lies on it, in a frame of its own that is laid on the sheets one to one.
#[derive(Clone, Debug)]
pub(crate) struct Scene {
    pub(crate) outline: Quad,
    pub(crate) placing: Option<Placing>,
    /// The size of the picture that lies on the canvas.
    pub(crate) photo: Option<PhotoSize>,
    pub(crate) covered: Polygon,
    pub(crate) lines: Vec<GridLine>,
    pub(crate) details: Vec<SceneDetail>,
    /// Where the landmarks lie, crown and chin among them.
    pub(crate) landmarks: Vec<CanvasPoint>,
    /// What reference sheets have to show.
    pub(crate) region: CanvasRect,
    /// Points from which seams keep their distance.
    seam_points: Vec<CanvasPoint>,
    /// Where the seams run.
    pub(crate) seams: Seams,
    /// What seams beside the head keep whole.
    kept_whole: Vec<CanvasRect>,
    /// Where the likeness lies, see [`Plan::likeness`].
    likeness: Vec<CanvasRect>,
    /// The scene's size to the canvas's.
    pub(crate) ratio: Ratio,
    /// Whether left and right, and top and bottom, have changed places.
    pub(crate) turned: (bool, bool),
    /// From which sides of the canvas the figures at the edge count: those seen at the left and at the top.
    pub(crate) figures_from: (&'static str, &'static str),
}

/// A detail box in the scene.
#[derive(Clone, Debug)]
pub(crate) struct SceneDetail {
    pub(crate) name: String,
    pub(crate) rect: CanvasRect,
    pub(crate) lines: Vec<GridLine>,
}

impl Scene {
    /// The canvas of a plan as it is, at true size.
    pub(crate) fn of(plan: &Plan) -> Self {
        Self::seen(plan, Show::default(), Ratio::TRUE_SIZE)
    }

    /// The canvas of a plan shown so, at this ratio.
    pub(crate) fn seen(plan: &Plan, show: Show, ratio: Ratio) -> Self {
        let outline = plan.canvas.outline();
        let map = Map::new(outline.bounds(), show, ratio);
        let details = plan.details.iter().map(|detail| SceneDetail {
            name: detail.name.clone(),
            rect: map.rect(detail.rect),
            lines: detail.lines().iter().map(|line| map.line(line)).collect(),
        });
        Self {
            outline: map.quad(&outline),
            placing: plan.placing().map(|placing| map.placing(&placing)),
            photo: plan.reference.as_ref().map(plan::Reference::size),
            covered: map.polygon(&plan.covered()),
            lines: plan.grid_lines().iter().map(|line| map.line(line)).collect(),
            details: details.collect(),
            landmarks: plan.placing().map_or_else(Vec::new, |placing| {
                let all = plan.all_landmarks();
                all.into_iter().map(|landmark| map.point(placing.to_canvas(landmark.at))).collect()
            }),
            region: map.rect(plan.sheet_region()),
            seams: map.seams(&plan.printing.seams),
            kept_whole: plan.kept_whole().into_iter().map(|rect| map.rect(rect)).collect(),
            likeness: plan.likeness().into_iter().map(|rect| map.rect(rect)).collect(),
            seam_points: plan.seam_points().into_iter().map(|point| map.point(point)).collect(),
            ratio,
            turned: (map.flip_x, map.flip_y),
            figures_from: (
                if map.flip_x { "right" } else { "left" },
                if map.flip_y { "bottom" } else { "top" },
            ),
        }
    }

    /// What reference sheets show, cut over sheets.
    pub(crate) fn layout(&self, stock: &Stock, lap: Length) -> Result<SheetLayout, LayoutError> {
        self.seams.cut(self.region, self.outline.bounds(), stock, lap, &self.seam_points, &self.kept_whole)
    }

    /// Whether a sheet, once it is joined to the others, shows something of the likeness.
    pub(crate) fn shows_likeness(&self, layout: &SheetLayout, sheet: &SheetWindow) -> bool {
        let piece = joined_piece(layout, sheet);
        self.likeness.iter().any(|rect| rect.touches(piece))
    }

    /// The canvas's own length of a length in the scene.
    pub(crate) fn on_canvas(&self, length: Length) -> Length {
        length / self.ratio.picture_to_canvas()
    }
}

/// The map from the canvas frame to the scene's.
struct Map {
    bounds: CanvasRect,
    flip_x: bool,
    flip_y: bool,
    ratio: f64,
}

impl Map {
    fn new(bounds: CanvasRect, show: Show, ratio: Ratio) -> Self {
        let (flip_x, flip_y) = (show.mirror != show.upside_down, show.upside_down);
        Self { bounds, flip_x, flip_y, ratio: ratio.picture_to_canvas() }
    }

    fn point(&self, point: CanvasPoint) -> CanvasPoint {
        let flipped =
            |at: Length, low: Length, high: Length, flip: bool| if flip { low + high - at } else { at };
        let x = flipped(point.x, self.bounds.origin.x, self.bounds.right(), self.flip_x);
        let y = flipped(point.y, self.bounds.origin.y, self.bounds.bottom(), self.flip_y);
        CanvasPoint::new(x * self.ratio, y * self.ratio)
    }

    fn rect(&self, rect: CanvasRect) -> CanvasRect {
        let nothing = CanvasRect::new(self.point(rect.origin), Length::ZERO, Length::ZERO);
        CanvasRect::around(rect.corners().map(|corner| self.point(corner))).unwrap_or(nothing)
    }

    /// Seams put by hand are places on the canvas at its own size; at a ratio they run by themselves.
    fn seams(&self, seams: &Seams) -> Seams {
        let Seams::ByHand(SeamsByHand { orientation, upright, level }) = seams else { return seams.clone() };
        if self.ratio != 1.0 {
            return Seams::Fewest;
        }
        let x = |at: &Length| self.point(CanvasPoint::new(*at, Length::ZERO)).x;
        let y = |at: &Length| self.point(CanvasPoint::new(Length::ZERO, *at)).y;
        Seams::ByHand(SeamsByHand {
            orientation: *orientation,
            upright: upright.iter().map(x).collect(),
            level: level.iter().map(y).collect(),
        })
    }

    fn quad(&self, quad: &Quad) -> Quad {
        let [a, b, c, d] = quad.corners.map(|corner| self.point(corner));
        let corners = match (self.flip_x, self.flip_y) {
            (false, false) => [a, b, c, d],
            (true, false) => [b, a, d, c],
            (false, true) => [d, c, b, a],
            (true, true) => [c, d, a, b],
        };
        Quad { corners }
    }

    fn polygon(&self, polygon: &Polygon) -> Polygon {
        let mut corners: Vec<_> = polygon.corners.iter().map(|corner| self.point(*corner)).collect();
        if self.flip_x != self.flip_y {
            corners.reverse();
        }
        Polygon { corners }
    }

    fn line(&self, line: &GridLine) -> GridLine {
        let (from, to) = (self.point(line.from), self.point(line.to));
        let (direction, flips_share, swaps) = match line.direction {
            Direction::Vertical => (Direction::Vertical, self.flip_x, self.flip_y),
            Direction::Horizontal => (Direction::Horizontal, self.flip_y, self.flip_x),
            // A diagonal goes over into the other one in a mirror; its first end is the left one.
            Direction::Down if self.flip_x != self.flip_y => (Direction::Up, false, self.flip_x),
            Direction::Up if self.flip_x != self.flip_y => (Direction::Down, false, self.flip_x),
            diagonal => (diagonal, false, self.flip_x),
        };
        let share = if flips_share { 1.0 - line.share } else { line.share };
        if swaps {
            GridLine { direction, share, from: to, to: from }
        } else {
            GridLine { direction, share, from, to }
        }
    }

    fn placing(&self, placing: &Placing) -> Placing {
        let degrees = placing.turn().to_degrees();
        let (degrees, mirror) = match (self.flip_x, self.flip_y) {
            (false, false) => (degrees, placing.mirror()),
            (true, true) => (degrees + 180.0, placing.mirror()),
            (true, false) => (-degrees, !placing.mirror()),
            (false, true) => (180.0 - degrees, !placing.mirror()),
        };
        Placing::new(
            self.point(placing.origin()),
            placing.pixel() * self.ratio,
            Angle::degrees(degrees),
            mirror,
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use plan::{Canvas, Grid, Measured, PhotoPoint, Place, Reference, Side, Unit};

    /// A canvas out of square with a turned photo and an uneven grid with diagonals.
    fn plan() -> Plan {
        let mut plan = Plan::new(Canvas::nominal(Length::mm(300.0), Length::mm(400.0)), Unit::Millimetre);
        plan.canvas.measured = Some(Measured {
            down: Length::mm(502.0),
            ..Measured::rectangle(Length::mm(300.0), Length::mm(400.0))
        });
        let mut reference = Reference::fitted(PhotoSize { width: 300, height: 400 });
        (reference.turn, reference.place) = (Angle::degrees(12.0), Place::Fill);
        plan.reference = Some(reference);
        plan.grid = Grid { diagonals: true, ..Grid::parts(3, 5) };
        plan
    }

    #[test]
    fn photo_and_grid_stay_together_however_the_canvas_is_shown() {
        let plan = plan();
        let (placing, outline) = (plan.placing().unwrap(), plan.canvas.outline());
        for (mirror, upside_down) in [(false, false), (true, false), (false, true), (true, true)] {
            for ratio in [1.0, 0.5] {
                let show = Show { mirror, upside_down, ..Show::default() };
                let ratio = Ratio::new(ratio).unwrap();
                let scene = Scene::seen(&plan, show, ratio);
                let map = Map::new(outline.bounds(), show, ratio);
                for at in [PhotoPoint::new(0.0, 0.0), PhotoPoint::new(120.0, 310.0)] {
                    let expected = map.point(placing.to_canvas(at));
                    assert!(scene.placing.unwrap().to_canvas(at).distance_to(expected) < Length::mm(1e-9));
                }
                assert!(scene.outline.is_convex());
                for line in &scene.lines {
                    let [first, second] = match line.direction {
                        Direction::Vertical => [Side::Top, Side::Bottom],
                        Direction::Horizontal => [Side::Left, Side::Right],
                        Direction::Down | Direction::Up => continue,
                    };
                    assert!(scene.outline.along(first, line.share).distance_to(line.from) < Length::mm(1e-9));
                    assert!(scene.outline.along(second, line.share).distance_to(line.to) < Length::mm(1e-9));
                }
                let [top_left, top_right, bottom_right, bottom_left] = scene.outline.corners;
                for line in &scene.lines {
                    match line.direction {
                        Direction::Down => assert_eq!((line.from, line.to), (top_left, bottom_right)),
                        Direction::Up => assert_eq!((line.from, line.to), (bottom_left, top_right)),
                        _ => {}
                    }
                }
                let top = scene.on_canvas(scene.outline.side_length(Side::Top));
                let own = outline.side_length(if upside_down { Side::Bottom } else { Side::Top });
                assert!((top - own).abs() < Length::mm(1e-9));
            }
        }
    }
}
