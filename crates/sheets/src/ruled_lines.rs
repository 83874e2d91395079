//! The grid's lines as they are drawn on a true-size sheet, so that each can be seen on any ground in black ink alone.
//!
//! A light line is paper left white, so it is seen on the photo alone: where there is no photo its place is taken by a dark
//! line, which is drawn first, beneath the photo.

use plan::{GridLine, LineLook, LineTone, Polygon};
use serde::Serialize;

use crate::paper::{Drawing, PaperPoint};

/// Width in mm of the finest dark line, whose middle is the true place, and of the light line beside it: together thin
/// enough not to hide an eyelid, each wide enough for an office printer.
const DARK: f64 = 0.13;
const LIGHT: f64 = 0.12;

/// Both ends of a line on the sheet.
type Ends = [PaperPoint; 2];

/// The lines of a sheet, by how they are drawn.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub(crate) struct RuledLines {
    /// Dark lines that the photo covers.
    under: Vec<Ends>,
    light: Vec<Ends>,
    dark: Vec<Ends>,
    light_width: f64,
    dark_width: f64,
}

impl RuledLines {
    /// `photo` is what the photo covers, none where there is no photo.
    pub(crate) fn new(
        lines: &[GridLine],
        look: LineLook,
        photo: Option<&Polygon>,
        drawing: &Drawing,
    ) -> Self {
        let drawn = |line: &GridLine| [drawing.point(line.from), drawing.point(line.to)];
        let all = || lines.iter().map(drawn).collect::<Vec<_>>();
        let (light_width, dark_width) = (LIGHT * look.strength, DARK * look.strength);
        let widths = Self { light_width, dark_width, ..Self::default() };
        match (look.tone, photo) {
            (LineTone::Both, _) => {
                let aside = f64::midpoint(light_width, dark_width);
                let light = all().into_iter().map(|ends| beside(ends, aside)).collect();
                Self { light, dark: all(), ..widths }
            }
            (LineTone::Dark, _) | (LineTone::Light, None) => Self { dark: all(), ..widths },
            (LineTone::Light, Some(photo)) => {
                let on_photo = lines.iter().filter_map(|line| photo.part_of_line(line.from, line.to));
                let light = on_photo.map(|(from, to)| [drawing.point(from), drawing.point(to)]).collect();
                Self { under: all(), light, ..widths }
            }
        }
    }
}

/// The line beside one: to the right of an upright line and below a level one.
fn beside([from, to]: Ends, aside: f64) -> Ends {
    let (right, down) = (to.x - from.x, to.y - from.y);
    let share = aside / right.hypot(down);
    let (aside_x, aside_y) = if right.abs() < down.abs() {
        (down * share, -right * share)
    } else {
        (-down * share, right * share)
    };
    [from.moved(aside_x, aside_y), to.moved(aside_x, aside_y)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use plan::{CanvasPoint, Direction};

    /// A level line 100 mm long, of which the photo covers the middle half.
    fn ruled(tone: LineTone, strength: f64, with_photo: bool) -> RuledLines {
        let (from, to) = (CanvasPoint::mm(0.0, 50.0), CanvasPoint::mm(100.0, 50.0));
        let line = GridLine { direction: Direction::Horizontal, share: 0.5, from, to };
        let photo = Polygon::from(
            [(25.0, 0.0), (75.0, 0.0), (75.0, 90.0), (25.0, 90.0)].map(|(x, y)| CanvasPoint::mm(x, y)),
        );
        let drawing = Drawing::new(CanvasPoint::ORIGIN, PaperPoint::new(0.0, 0.0), (1.0, 1.0));
        RuledLines::new(&[line], LineLook { strength, tone }, with_photo.then_some(&photo), &drawing)
    }

    fn level(from: f64, to: f64) -> Vec<Ends> {
        vec![[PaperPoint::new(from, 50.0), PaperPoint::new(to, 50.0)]]
    }

    #[test]
    fn a_light_line_is_light_on_the_photo_and_dark_beside_it() {
        let light = ruled(LineTone::Light, 2.0, true);
        assert_eq!((light.under, light.light, light.dark), (level(0.0, 100.0), level(25.0, 75.0), vec![]));
        assert_eq!(light.light_width, 0.24);
        let bare = ruled(LineTone::Light, 2.0, false);
        assert_eq!((bare.dark, bare.light), (level(0.0, 100.0), vec![]));
    }

    #[test]
    fn the_dark_line_lies_on_the_true_place_whatever_its_strength() {
        for strength in [1.0, 2.5, 4.0] {
            let both = ruled(LineTone::Both, strength, true);
            assert_eq!(both.dark, level(0.0, 100.0));
            let touching = f64::midpoint(both.light_width, both.dark_width);
            assert!((both.light[0][0].y - 50.0 - touching).abs() < 1e-12, "the two lines touch");
            let dark = ruled(LineTone::Dark, strength, true);
            assert_eq!((dark.dark, dark.light), (level(0.0, 100.0), vec![]));
        }
    }
}
