//! What a plan asks of the sheets that show its reference: what they show, where seams keep away, and what must be on them.

use crate::detail::DetailBox;
use crate::frame::{CanvasPoint, CanvasRect};
use crate::layout::{LayoutError, Seams, SheetLayout, Stock};
use crate::length::Length;
use crate::painting_plan::Plan;
use crate::printing::Printing;

impl Plan {
    /// The upright rectangle of canvas that reference sheets have to show: around what the photo covers, or the whole
    /// canvas without a photo.
    pub fn sheet_region(&self) -> CanvasRect {
        self.covered().bounds().unwrap_or_else(|| self.canvas.outline().bounds())
    }

    /// Points from which seams between sheets keep their distance: those of the face if crown and chin are marked and
    /// every landmark of the head that is placed; without any, the middles of the detail boxes.
    pub fn seam_points(&self) -> Vec<CanvasPoint> {
        let mut points = self.head().map_or_else(Vec::new, |head| head.face_points());
        if let Some(placing) = self.placing() {
            let of_head = self.landmarks.iter().filter(|landmark| landmark.name.is_of_head());
            points.extend(of_head.map(|landmark| placing.to_canvas(landmark.at)));
        }
        if points.is_empty() {
            points.extend(self.details.iter().map(|detail| detail.rect.centre()));
        }
        points
    }

    /// What seams beside the head keep whole, if sheets can hold it: the head, or else what of it they can, and then the detail boxes that
    /// lie elsewhere, such as one on the face of a second sitter.
    pub fn kept_whole(&self) -> Vec<CanvasRect> {
        let head = self.head().map(|head| head.kept_whole());
        head.into_iter().flatten().chain(self.boxes_elsewhere().map(|detail| detail.rect)).collect()
    }

    /// The detail boxes whose middle lies on what the reference sheets show, but not on the head.
    pub fn boxes_elsewhere(&self) -> impl Iterator<Item = &DetailBox> {
        let (head, region) = (self.head().map(|head| head.bounds()), self.sheet_region());
        let elsewhere = move |detail: &&DetailBox| {
            let middle = detail.rect.centre();
            region.contains(middle) && head.is_none_or(|head| !head.contains(middle))
        };
        self.details.iter().filter(elsewhere)
    }

    /// Those of [`Plan::boxes_elsewhere`] that a seam of this layout, in the canvas's frame, runs through.
    pub fn boxes_cut_by(&self, layout: &SheetLayout) -> impl Iterator<Item = &DetailBox> {
        self.boxes_elsewhere().filter(|detail| layout.crosses(detail.rect))
    }

    /// The widest of some laps narrower than the painter's with which seams beside the head leave it whole; `None` where they do already, run
    /// otherwise, or no lap that can still be glued helps.
    pub fn lap_beside_head(&self, stock: &Stock) -> Option<Length> {
        let Printing { lap: now, ref seams, .. } = self.printing;
        let head = self.head().filter(|_| *seams == Seams::BesideHead)?;
        let is_whole =
            |lap| self.sheet_layout(stock, lap).is_ok_and(|layout| layout.through(&head).is_none());
        let mut narrower = Printing::laps(self.unit).into_iter().filter(|lap| *lap < now);
        if is_whole(now) { None } else { narrower.find(|lap| is_whole(*lap)) }
    }

    /// The reference, or the whole canvas without one, cut over sheets of `stock` as [`Printing::seams`] has it.
    ///
    /// # Errors
    /// See [`SheetLayout::new`] and [`SheetLayout::at_seams`].
    pub fn sheet_layout(&self, stock: &Stock, lap: Length) -> Result<SheetLayout, LayoutError> {
        let (region, limit) = (self.sheet_region(), self.canvas.outline().bounds());
        self.printing.seams.cut(region, limit, stock, lap, &self.seam_points(), &self.kept_whole())
    }

    /// Where the likeness lies: the head, the detail boxes, and every landmark as a rectangle without width. A sheet that shows nothing
    /// of it shows background.
    pub fn likeness(&self) -> Vec<CanvasRect> {
        let head = self.head().map(|head| head.bounds());
        let boxes = self.details.iter().map(|detail| detail.rect);
        let placing = self.placing();
        let landmarks = self.landmarks.iter().filter_map(|landmark| {
            Some(CanvasRect::new(placing.as_ref()?.to_canvas(landmark.at), Length::ZERO, Length::ZERO))
        });
        head.into_iter().chain(boxes).chain(landmarks).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::canvas::Canvas;
    use crate::length::Unit;
    use crate::painting_plan::tests::{boxes_here_and_there, portrait};
    use crate::placing::Place;

    #[test]
    fn sheets_show_what_the_photo_covers() {
        let mut plan = portrait();
        assert!((plan.sheet_region().width - Length::inches(9.0)).abs() < Length::mm(1e-9));
        plan.reference = None;
        assert_eq!(plan.sheet_region().width, Length::inches(12.0));
    }

    #[test]
    fn the_widest_lap_is_offered_with_which_the_head_stays_whole() {
        let mut plan = portrait();
        plan.canvas = Canvas::nominal(Length::cm(50.0), Length::cm(70.0));
        plan.unit = Unit::Centimetre;
        plan.printing = Printing::usual(plan.unit);
        let stock = plan.printing.stock(crate::Insets::default(), crate::PrinterCorrection::NONE);
        let offered = |plan: &mut Plan, head: f64| {
            if let Some(reference) = &mut plan.reference {
                let middle = CanvasPoint::mm(250.0, 300.0);
                reference.place = Place::At { pixel: Length::mm(head / 2000.0), middle };
            }
            plan.lap_beside_head(&stock)
        };
        // A sheet of A4 with margins of 7 mm has room for 196 mm across, of which the lap of 10 mm is taken at the seams. A head is
        // three quarters as broad as high: 186 mm for one of 248 mm, to which a millimetre is added on each side.
        assert_eq!(offered(&mut plan, 240.0), None, "it is whole as it is");
        assert_eq!(
            offered(&mut plan, 250.0),
            Some(Length::mm(6.0)),
            "187.5 + 2 + 6 fit in 196, 187.5 + 2 + 8 do not"
        );
        assert_eq!(offered(&mut plan, 265.0), None, "no lap helps");
        plan.printing.lap = Length::mm(20.0);
        assert_eq!(offered(&mut plan, 240.0), Some(Length::mm(10.0)), "the usual lap does");
        plan.printing.seams = Seams::Fewest;
        assert_eq!(offered(&mut plan, 250.0), None, "they need not run beside the head");
    }

    #[test]
    fn boxes_elsewhere_lie_neither_on_the_head_nor_where_no_sheet_is() {
        let mut plan = portrait();
        plan.details = boxes_here_and_there();
        let elsewhere: Vec<CanvasRect> = plan.boxes_elsewhere().map(|detail| detail.rect).collect();
        assert_eq!(elsewhere, [plan.details[1].rect]);
    }
}
