//! The paper frame, which never leaves this crate: millimetres on a sheet as it is read, from its top left corner, x to
//! the right, y down. And how the canvas is laid on it.

use plan::{CanvasPoint, CanvasRect, Insets, Orientation, Paper, PhotoPoint, Placing};
use serde::Serialize;

use crate::photo_stream::Stored;

/// A point on the sheet, in millimetres from its top left corner.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(into = "[f64; 2]")]
pub(crate) struct PaperPoint {
    pub(crate) x: f64,
    pub(crate) y: f64,
}

impl PaperPoint {
    pub(crate) const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    pub(crate) fn moved(self, dx: f64, dy: f64) -> Self {
        Self::new(self.x + dx, self.y + dy)
    }
}

impl From<PaperPoint> for [f64; 2] {
    fn from(point: PaperPoint) -> Self {
        [point.x, point.y]
    }
}

/// An upright rectangle on the sheet, in millimetres.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub(crate) struct PaperRect {
    pub(crate) x: f64,
    pub(crate) y: f64,
    pub(crate) width: f64,
    pub(crate) height: f64,
}

impl PaperRect {
    /// The whole sheet.
    pub(crate) fn sheet(paper: Paper, orientation: Orientation) -> Self {
        let (width, height) = paper.size(orientation);
        Self { x: 0.0, y: 0.0, width: width.to_mm(), height: height.to_mm() }
    }

    /// What is left inside the insets.
    pub(crate) fn inside(self, insets: Insets) -> Self {
        Self {
            x: self.x + insets.left.to_mm(),
            y: self.y + insets.top.to_mm(),
            width: self.width - (insets.left + insets.right).to_mm(),
            height: self.height - (insets.top + insets.bottom).to_mm(),
        }
    }

    pub(crate) const fn right(self) -> f64 {
        self.x + self.width
    }

    pub(crate) const fn bottom(self) -> f64 {
        self.y + self.height
    }
}

/// How the canvas lies on a sheet: upright, each direction drawn at its own scale (1 is true size).
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Drawing {
    canvas: CanvasPoint,
    paper: PaperPoint,
    scale: (f64, f64),
}

impl Drawing {
    /// The drawing that puts the canvas point `canvas` on the paper point `paper`.
    pub(crate) const fn new(canvas: CanvasPoint, paper: PaperPoint, scale: (f64, f64)) -> Self {
        Self { canvas, paper, scale }
    }

    /// The same drawing farther right and down on the sheet, by so many millimetres.
    pub(crate) fn moved(self, dx: f64, dy: f64) -> Self {
        Self { paper: self.paper.moved(dx, dy), ..self }
    }

    pub(crate) fn point(&self, point: CanvasPoint) -> PaperPoint {
        self.paper.moved(
            (point.x - self.canvas.x).to_mm() * self.scale.0,
            (point.y - self.canvas.y).to_mm() * self.scale.1,
        )
    }

    pub(crate) fn points(&self, points: &[CanvasPoint]) -> Vec<PaperPoint> {
        points.iter().map(|&point| self.point(point)).collect()
    }

    pub(crate) fn rect(&self, rect: CanvasRect) -> PaperRect {
        let origin = self.point(rect.origin);
        PaperRect {
            x: origin.x,
            y: origin.y,
            width: rect.width.to_mm() * self.scale.0,
            height: rect.height.to_mm() * self.scale.1,
        }
    }

    /// Where and how the photo's stored pixels are laid so that each comes to its place on the canvas.
    pub(crate) fn photo(&self, placing: &Placing, stored: &Stored) -> LaidPhoto {
        let place = |x: f64, y: f64| placing.to_canvas(stored.upright(PhotoPoint::new(x, y)));
        let (width, height) = (f64::from(stored.width), f64::from(stored.height));
        let origin = place(0.0, 0.0);
        let across = place(width, 0.0);
        let down = place(0.0, height);
        let (across_x, across_y) = ((across.x - origin.x).to_mm(), (across.y - origin.y).to_mm());
        let (down_x, down_y) = ((down.x - origin.x).to_mm(), (down.y - origin.y).to_mm());
        LaidPhoto {
            at: self.point(origin),
            width: across_x.hypot(across_y),
            height: down_x.hypot(down_y),
            mirror: across_x * down_y - across_y * down_x < 0.0,
            turn: (-down_x).atan2(down_y).to_degrees(),
            scale: [self.scale.0, self.scale.1],
        }
    }
}

/// The photo as it is laid on a sheet: its stored pixels are made `width` by `height` mm large, mirrored about their
/// left edge, turned about their top left corner, scaled in each direction of the sheet, and that corner moved to `at`.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub(crate) struct LaidPhoto {
    at: PaperPoint,
    width: f64,
    height: f64,
    mirror: bool,
    /// Degrees, clockwise.
    turn: f64,
    scale: [f64; 2],
}
