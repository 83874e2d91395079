//! A plan on a canvas of another size: the picture keeps its size and, in proportion, its place.

use crate::canvas::{Canvas, Size};
use crate::frame::CanvasPoint;
use crate::length::Length;
use crate::painting_plan::Plan;
use crate::placing::Place;

/// A size that differs by no more than this share is the same canvas with its size put right: what was measured on it stays. Stretched canvases
/// are sold to about 1 % (common practice, no source).
const SAME_CANVAS: f64 = 0.02;

impl Plan {
    /// Takes a canvas of another nominal size. A photo that lies on it by the painter's hand keeps its scale; the middle of the head, or of
    /// the photo without one, keeps its share of the way across and down. Detail boxes go along with the photo, and are moved or cut to lie
    /// on the canvas. Measurements are kept only of what may be the same canvas.
    pub fn change_canvas(&mut self, size: Size) {
        let before = self.clone();
        let old = before.canvas.nominal;
        let measured = before.canvas.measured.filter(|_| is_nearly(old, size));
        self.canvas = Canvas { nominal: size, measured };
        if self.canvas.check().is_err() {
            // What is measured is of another canvas after all, or the size is refused with all the rest.
            self.canvas = Canvas { nominal: size, measured: None };
        }
        let moved = |point: CanvasPoint| {
            CanvasPoint::new(size.width * (point.x / old.width), size.height * (point.y / old.height))
        };
        let head = before.head().map(|head| head.middle());
        if let Some(reference) = &mut self.reference {
            match &mut reference.place {
                Place::Head { middle: Some(middle), .. } => *middle = moved(*middle),
                Place::At { middle, .. } => {
                    let seen = head.unwrap_or(*middle);
                    let to = moved(seen);
                    *middle = middle.moved(to.x - seen.x, to.y - seen.y);
                }
                Place::Head { middle: None, .. } | Place::Fit | Place::Fill => {}
            }
        }
        let (from, to, canvas) = (before.placing(), self.placing(), self.canvas.outline());
        for detail in &mut self.details {
            *detail = match (&from, &to) {
                (Some(from), Some(to)) => detail.carried(from, to, &canvas),
                _ => detail.kept_on(&canvas),
            };
        }
    }
}

fn is_nearly(old: Size, new: Size) -> bool {
    let near = |old: Length, new: Length| (new / old - 1.0).abs() <= SAME_CANVAS;
    near(old.width, new.width) && near(old.height, new.height)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::canvas::Measured;
    use crate::detail::DetailBox;
    use crate::frame::{CanvasRect, PhotoPoint, PhotoSize};
    use crate::grid::Grid;
    use crate::head::HeadMarks;
    use crate::length::Unit;
    use crate::reference::Reference;

    /// A head of 8 in in the middle of a canvas of 16 x 20 in, with a box on the eyes.
    fn portrait(place: Place) -> Plan {
        let mut plan = Plan::new(Canvas::nominal(Length::inches(16.0), Length::inches(20.0)), Unit::Inch);
        let mut reference = Reference::fitted(PhotoSize { width: 3000, height: 4000 });
        let (crown, chin) = (PhotoPoint::new(1500.0, 500.0), PhotoPoint::new(1500.0, 2500.0));
        reference.head = Some(HeadMarks { crown, chin });
        reference.place = place;
        plan.reference = Some(reference);
        let middle = plan.head().unwrap().middle();
        let eyes = CanvasRect::new(
            middle.moved(Length::inches(-2.0), Length::inches(-1.0)),
            Length::inches(4.0),
            Length::inches(1.0),
        );
        plan.details.push(DetailBox::new("Eyes".to_owned(), eyes, Grid::default()));
        plan
    }

    fn size(width: f64, height: f64) -> Size {
        Size { width: Length::inches(width), height: Length::inches(height) }
    }

    #[test]
    fn the_head_keeps_its_size_and_its_share_of_the_way() {
        let middle = CanvasPoint::new(Length::inches(8.0), Length::inches(9.0));
        let at = Place::At {
            pixel: Length::inches(8.0 / 2000.0),
            middle: middle.moved(Length::ZERO, Length::inches(2.0)),
        };
        for place in [Place::Head { height: Length::inches(8.0), middle: Some(middle) }, at] {
            let mut plan = portrait(place);
            let eyes = plan.details[0].rect;
            plan.change_canvas(size(12.0, 16.0));
            assert_eq!(plan.check(), Ok(()));
            let head = plan.head().unwrap();
            assert!((head.height() - Length::inches(8.0)).abs() < Length::mm(1e-9));
            let wanted = CanvasPoint::new(Length::inches(6.0), Length::inches(7.2));
            assert!(head.middle().distance_to(wanted) < Length::mm(1e-9), "{:?}", head.middle());
            let gone = (
                plan.details[0].rect.centre().x - eyes.centre().x,
                plan.details[0].rect.centre().y - eyes.centre().y,
            );
            assert!(
                (gone.0 - Length::inches(-2.0)).abs() < Length::mm(1e-9)
                    && (gone.1 - Length::inches(-1.8)).abs() < Length::mm(1e-9)
            );
        }
    }

    #[test]
    fn a_canvas_without_room_for_a_box_is_taken_and_the_box_comes_back_with_the_room() {
        let middle = CanvasPoint::new(Length::inches(8.0), Length::inches(9.0));
        let before = portrait(Place::Head { height: Length::inches(8.0), middle: Some(middle) });
        let mut plan = before.clone();
        plan.change_canvas(size(3.0, 4.0));
        assert_eq!(plan.check(), Ok(()));
        plan.change_canvas(size(16.0, 20.0));
        let (was, is) = (before.details[0].rect, plan.details[0].rect);
        assert!(
            (was.width - is.width).abs() < Length::mm(1e-6)
                && was.centre().distance_to(is.centre()) < Length::mm(1e-6)
        );
        let mut bare = before;
        bare.reference = None;
        bare.change_canvas(size(3.0, 4.0));
        assert_eq!(bare.check(), Ok(()));
    }

    #[test]
    fn measurements_are_kept_only_of_the_same_canvas() {
        let mut plan = portrait(Place::Fit);
        let measured = Measured::rectangle(Length::inches(16.0), Length::inches(20.0));
        plan.canvas.measured = Some(measured);
        plan.change_canvas(size(16.1, 20.0));
        assert_eq!(plan.canvas.measured, Some(measured));
        plan.change_canvas(size(18.0, 20.0));
        assert_eq!(plan.canvas.measured, None);
    }
}
