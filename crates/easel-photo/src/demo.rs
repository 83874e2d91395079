//! The demo's two photos of its canvas, and what is true of them: the ruled canvas with two lines drawn wrong, and the painting
//! half done with the head 3 % too large and the left eye 1/8 in low.

use std::sync::Arc;

use photo::Picture;
use plan::{
    Canvas, CanvasPoint, HeadMarks, Length, PhotoPoint, PhotoSize, Place, Placing, Plan, Reference, Unit,
};

use crate::{Background, Bitmap, DrawnLine, Misplaced, Paint, Portrait, Scene};

/// Width and height of the demo's canvas, 12 x 16 in, in mm.
const SIZE: [f64; 2] = [304.8, 406.4];

/// The eighth of an inch by which things are wrong, mm.
pub const WRONG_BY: f64 = 25.4 / 8.0;

/// How much too large the head is painted.
pub const TOO_LARGE: f64 = 1.03;

/// Before any paint: the line 9 in from the left stands 1/8 in too far to the right, and the one 8 in from the top falls by
/// 1/8 in towards the right.
pub fn ruled() -> Scene {
    let mut lines = lines(0.24);
    lines[2] = lines[2].moved(WRONG_BY, 0.0);
    lines[4].to[1] += WRONG_BY;
    easel(11).with_lines(lines)
}

/// The painting half done.
#[derive(Clone, Debug)]
pub struct HalfDone {
    /// The plan that is painted after.
    pub plan: Plan,
    /// What is photographed.
    pub scene: Scene,
    /// How it was painted.
    pub portrait: Portrait,
}

/// The half-done painting of a reference whose `crown`, `chin` and `left pupil` are at these pixels. `None` if the plan cannot be
/// carried out.
pub fn half_done(reference: Picture, [crown, chin, left_pupil]: [PhotoPoint; 3]) -> Option<HalfDone> {
    let (width, height) = (reference.width(), reference.height());
    let mut plan = Plan::new(Canvas::nominal(Length::mm(SIZE[0]), Length::mm(SIZE[1])), Unit::Inch);
    let mut laid = Reference::fitted(PhotoSize { width, height });
    laid.head = Some(HeadMarks { crown, chin });
    let middle = CanvasPoint::new(Length::inches(6.0), Length::inches(6.5));
    laid.place = Place::Head { height: Length::inches(8.0), middle: Some(middle) };
    plan.reference = Some(laid);
    let placing: Placing = plan.placing()?;
    // Too large about the head's middle.
    let larger = |at: CanvasPoint| {
        let (x, y) = (middle.x.to_mm(), middle.y.to_mm());
        [x + TOO_LARGE * (at.x.to_mm() - x), y + TOO_LARGE * (at.y.to_mm() - y)]
    };
    let portrait = Portrait {
        origin: larger(placing.origin()),
        pixel: TOO_LARGE * placing.pixel().to_mm(),
        turn: placing.turn().to_degrees(),
        misplaced: vec![Misplaced {
            at: larger(placing.to_canvas(left_pupil)),
            radius: 20.0,
            by: [0.0, WRONG_BY],
        }],
        bare_border: 3.0,
        covered: 0.62,
        brush: 1.6,
        picture: Arc::new(Bitmap::new(width as usize, height as usize, reference.into_rgb())?),
    };
    let mut scene = easel(23).with_lines(lines(0.2));
    scene.paint = Paint::Portrait(Box::new(portrait.clone()));
    Some(HalfDone { plan, scene, portrait })
}

/// The canvas on its easel before a grey wall, as the painter's phone sees it.
fn easel(seed: u64) -> Scene {
    let mut scene = Scene::new(SIZE[0], SIZE[1], seed).sized(1800, 2400);
    scene.background = Background::Cluttered { wall: 0.22, clamp: false };
    scene.camera.tilt = 7.0;
    scene.camera.tilt_about = 35.0;
    scene.camera.roll = -1.2;
    scene.camera.k1 = 0.03;
    scene.light.quality = 88;
    scene.filling(0.8)
}

/// The quarters of the canvas: three upright lines, then three level ones.
fn lines(contrast: f64) -> Vec<DrawnLine> {
    let scene = Scene::new(SIZE[0], SIZE[1], 0);
    let quarter = |at: u32, side: f64| f64::from(at) * side / 4.0;
    let upright = (1..4).map(|at| scene.vertical(quarter(at, SIZE[0]), contrast));
    upright.chain((1..4).map(|at| scene.horizontal(quarter(at, SIZE[1]), contrast))).collect()
}
