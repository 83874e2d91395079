//! The kinds of photo that the checks are measured on.

use easel_photo::{Chance, DrawnLine, Kind, Scene};
use plan::{CanvasPoint, CanvasRect, DetailBox, Direction, Grid, Length};

/// What is drawn, on what.
pub(crate) struct Condition {
    /// How it is asked for on the command line, and what is told of it.
    pub(crate) name: &'static str,
    pub(crate) what: &'static str,
    /// Standard deviation of the edges' bows, mm.
    pub(crate) bow: f64,
    pen: fn([f64; 2], [f64; 2], f64) -> DrawnLine,
    contrasts: [f64; 4],
    /// Weave that is rougher than ordinary: contrast, rms, least and most.
    weave: Option<(f64, f64)>,
    strokes: bool,
    /// Whether the plan has a detail box with lines 1 to 6 mm beside the grid's; every other time it is ruled.
    detail: bool,
}

const ORDINARY: Condition = Condition {
    name: "straight",
    what: "straight edges, pencil of 8 to 25 %",
    bow: 0.0,
    pen: DrawnLine::pencil,
    contrasts: [0.08, 0.12, 0.16, 0.25],
    weave: None,
    strokes: false,
    detail: false,
};

/// All of them.
pub(crate) const CONDITIONS: [Condition; 8] = [
    ORDINARY,
    Condition { name: "bowed", what: "edges bowed by 0.4 mm, pencil of 8 to 25 %", bow: 0.4, ..ORDINARY },
    Condition {
        name: "faint",
        what: "straight edges, pencil of 4 to 8 %",
        contrasts: [0.04, 0.05, 0.065, 0.08],
        ..ORDINARY
    },
    Condition {
        name: "thick",
        what: "straight edges, thick pencil",
        pen: DrawnLine::thick_pencil,
        ..ORDINARY
    },
    Condition { name: "chalk", what: "straight edges, chalk", pen: DrawnLine::chalk, ..ORDINARY },
    Condition {
        name: "rough",
        what: "straight edges, rough weave of 8 to 15 %, pencil",
        weave: Some((0.08, 0.15)),
        ..ORDINARY
    },
    Condition {
        name: "strokes",
        what: "straight edges, 10 to 60 % under loose strokes, pencil, before clutter",
        strokes: true,
        ..ORDINARY
    },
    Condition {
        name: "detail",
        what: "straight edges, pencil, a detail box with lines 1 to 6 mm beside the grid's, ruled or not",
        detail: true,
        ..ORDINARY
    },
];

/// A line as drawn: how far off it lies, in mm.
pub(crate) struct Drawn {
    pub(crate) planned: f64,
    pub(crate) direction: Direction,
    pub(crate) middle: f64,
    pub(crate) wrong: bool,
    /// Whether it belongs to the detail box.
    pub(crate) in_detail: bool,
}

/// What a scene holds.
pub(crate) struct Prepared {
    pub(crate) scene: Scene,
    pub(crate) drawn: Vec<Drawn>,
    pub(crate) detail: Option<DetailBox>,
}

impl Condition {
    /// The scene of a seed, and the lines drawn in it.
    pub(crate) fn prepared(&self, size: [f64; 2], seed: u64, chance: &mut Chance) -> Prepared {
        let kind = match seed % 4 {
            _ if self.strokes => Kind::Strokes,
            0 | 1 => Kind::Plain,
            _ => Kind::Cluttered,
        };
        let mut scene = Scene::random(size[0], size[1], kind, seed);
        scene.canvas.bow = [0.0; 4].map(|_| chance.normal(self.bow));
        if let Some((least, most)) = self.weave {
            scene.canvas.weave = chance.between(least, most);
        }
        let mut drawn = draw(&mut scene, self, chance);
        let detail = self.detail.then(|| detail_beside_the_middle(size, chance));
        if let Some(detail) = detail.as_ref().filter(|_| chance.happens(0.5)) {
            rule(&mut scene, detail, self, &mut drawn, chance);
        }
        Prepared { scene, drawn, detail }
    }
}

/// Side of the detail box, mm, and into how many parts it is divided each way.
const DETAIL: (f64, u32) = (80.0, 4);

/// A box whose middle lines lie a little beside those of the canvas.
fn detail_beside_the_middle(size: [f64; 2], chance: &mut Chance) -> DetailBox {
    let [left, top] = size.map(|span| {
        let aside = chance.between(1.0, 6.0);
        (span - DETAIL.0) / 2.0 + if chance.happens(0.5) { aside } else { -aside }
    });
    let side = Length::mm(DETAIL.0);
    let rect = CanvasRect::new(CanvasPoint::mm(left, top), side, side);
    DetailBox::new("Face".to_owned(), rect, Grid::parts(DETAIL.1, DETAIL.1))
}

/// Rules the box's sides and its grid as a careful hand does.
fn rule(
    scene: &mut Scene,
    detail: &DetailBox,
    condition: &Condition,
    drawn: &mut Vec<Drawn>,
    chance: &mut Chance,
) {
    let contrast = condition.contrasts[1];
    let [left, top] = [detail.rect.origin.x, detail.rect.origin.y].map(Length::to_mm);
    for at in 0..=DETAIL.1 {
        let along = f64::from(at) / f64::from(DETAIL.1) * DETAIL.0;
        for (direction, planned) in
            [(Direction::Vertical, left + along), (Direction::Horizontal, top + along)]
        {
            let ends = [0.0; 2].map(|_| chance.normal(0.12));
            let line = if direction == Direction::Vertical {
                (condition.pen)([planned + ends[0], top], [planned + ends[1], top + DETAIL.0], contrast)
            } else {
                (condition.pen)([left, planned + ends[0]], [left + DETAIL.0, planned + ends[1]], contrast)
            };
            scene.lines.push(line);
            drawn.push(Drawn {
                planned,
                direction,
                middle: f64::midpoint(ends[0], ends[1]),
                wrong: false,
                in_detail: true,
            });
        }
    }
}

/// Draws the quarters both ways: one of them 2 mm off, the others as a careful hand leaves them.
fn draw(scene: &mut Scene, condition: &Condition, chance: &mut Chance) -> Vec<Drawn> {
    let wrong = (chance.between(0.0, 6.0)) as usize;
    let contrast = condition.contrasts[(chance.between(0.0, 4.0)) as usize];
    let [width, height] = scene.size;
    let mut drawn = Vec::new();
    for at in 0..6 {
        let direction = if at < 3 { Direction::Vertical } else { Direction::Horizontal };
        let span = if at < 3 { width } else { height };
        let planned = span * (at % 3 + 1) as f64 / 4.0;
        let sign = if chance.happens(0.5) { 1.0 } else { -1.0 };
        let shift = if at == wrong { 2.0 * sign } else { 0.0 };
        let ends = [0.0; 2].map(|_| shift + chance.normal(0.12));
        let line = if at < 3 {
            (condition.pen)([planned + ends[0], 0.0], [planned + ends[1], height], contrast)
        } else {
            (condition.pen)([0.0, planned + ends[0]], [width, planned + ends[1]], contrast)
        };
        scene.lines.push(line);
        drawn.push(Drawn {
            planned,
            direction,
            middle: f64::midpoint(ends[0], ends[1]),
            wrong: at == wrong,
            in_detail: false,
        });
    }
    drawn
}
