//! The work of a check: where the canvas may lie in its photo, what is measured, and pictures of it.

use check::{COMPARED_SIDE, CanvasPhoto, GridCheckWishes, Outline, Report, VALUES_SIDE, rectified};
use painting::Document;
use photo::{Interpolation, Photo, Picture};
use plan::{CanvasPoint, Length, PhotoPoint, Placing, Plan, Quad};
use sheets::reference_picture;
use values::squint;

use crate::answer::Trouble;
use crate::pictures::{DISPLAY_QUALITY, DISPLAY_SIDE};

/// The longer side of the picture of differences: it is blurred, so more would show no more.
const DIFFERENCE_SIDE: u32 = 900;

/// A squint blurs over this share of the canvas's shorter side: enough that strokes and pores go, and masses stay.
const SQUINT_SHARE: f64 = 1.0 / 40.0;

/// Where the canvas may lie in the photo, the likeliest first; none where no four edges can be followed.
pub(crate) fn outlines(
    canvas_photo: &CanvasPhoto,
    document: &Document,
    reference: Option<&Photo>,
) -> Result<Vec<Outline>, Trouble> {
    let small = reduced(&document.plan, reference, COMPARED_SIDE)?;
    Ok(Outline::found(canvas_photo, &document.plan, small.as_ref()))
}

/// Measures the photo. `going_on` is told the share done, and stops the work by answering false.
pub(crate) fn measured(
    photo: &Photo,
    outline: &Outline,
    document: &Document,
    reference: Option<&Photo>,
    wishes: GridCheckWishes<'_>,
    going_on: &(dyn Fn(f64) -> bool + Sync),
) -> Result<Report, Trouble> {
    let plan = &document.plan;
    let (picture, canvas_photo) = CanvasPhoto::decoded(photo)?;
    let small = reduced(plan, reference, VALUES_SIDE)?;
    Report::measured((&picture, &canvas_photo), outline, (plan, small.as_ref()), wishes, going_on)
        .map_err(Trouble::refused)
}

/// The canvas as the photo shows it, squared up, as a JPEG for the screen.
pub(crate) fn squared_up(photo: &Photo, report: &Report) -> Result<Vec<u8>, Trouble> {
    let ppi = ppi_for(&report.canvas, DISPLAY_SIDE);
    let picture = rectified(&photo.upright()?, &report.map, &report.canvas, ppi).map_err(Trouble::refused)?;
    Ok(picture.to_jpeg(DISPLAY_QUALITY)?)
}

/// By how much the painting is lighter or darker than the reference after a squint: value 5 where they are alike, and as much
/// lighter or darker than that as the painting is, as a JPEG. Beyond the reference it says nothing.
pub(crate) fn difference(
    photo: &Photo,
    report: &Report,
    document: &Document,
    reference: Option<&Photo>,
) -> Result<Vec<u8>, Trouble> {
    let none =
        || Trouble::refused("There is no reference to hold the painting against. Bring in its photo first.");
    let plan = &document.plan;
    let (placing, size) =
        plan.placing().zip(plan.reference.map(|reference| reference.size())).ok_or_else(none)?;
    let reference = reduced(plan, reference, DIFFERENCE_SIDE)?.ok_or_else(none)?;
    let ppi = ppi_for(&report.canvas, DIFFERENCE_SIDE);
    let painting =
        rectified(&photo.upright()?, &report.map, &report.canvas, ppi).map_err(Trouble::refused)?;
    let pixel = Length::inches(1.0 / ppi);
    let of_canvas = (report.canvas.bounds().origin, pixel);
    let wanted = laid(&reference, (&placing, size.width), of_canvas, (painting.width(), painting.height()));
    let breadth = plan.canvas.nominal.width.min(plan.canvas.nominal.height) * SQUINT_SHARE;
    let [wanted, painted] = [wanted, painting].map(|picture| squint(&picture, pixel, breadth));
    let stops = report.values.as_ref().map_or(0.0, |values| values.exposure_stops);
    Ok(values::difference(&painted, &wanted, stops).to_jpeg(DISPLAY_QUALITY)?)
}

/// The picture that lies on the canvas, reduced; `None` without one.
fn reduced(plan: &Plan, photo: Option<&Photo>, longest_side: u32) -> Result<Option<Picture>, Trouble> {
    let both = photo.zip(plan.reference.as_ref());
    Ok(both.map(|(photo, reference)| reference_picture(photo, reference, Some(longest_side))).transpose()?)
}

fn ppi_for(canvas: &Quad, longest_side: u32) -> f64 {
    let bounds = canvas.bounds();
    f64::from(longest_side) / bounds.width.max(bounds.height).to_inches()
}

/// The reference where it lies on the canvas, in pixels of this size from this point on.
fn laid(
    reference: &Picture,
    (placing, full_width): (&Placing, u32),
    (origin, pixel): (CanvasPoint, Length),
    (width, height): (u32, u32),
) -> Picture {
    let scale = f64::from(reference.width()) / f64::from(full_width);
    let [zero, right, down] = [(0.0, 0.0), (1.0, 0.0), (0.0, 1.0)]
        .map(|(x, y)| placing.to_photo(origin.moved(pixel * x, pixel * y)));
    let row = |at: fn(PhotoPoint) -> f64| {
        [at(right) - at(zero), at(down) - at(zero), at(zero)].map(|element| element * scale)
    };
    let to_photo = [row(|at| at.x), row(|at| at.y), [0.0, 0.0, 1.0]];
    reference.warped(to_photo, width, height, Interpolation::Bilinear)
}
