//! Pictures of the sheets for a screen, made by the same drawing code as the PDF.

use plan::{PhotoSize, Plan};
use typst_svg::SvgOptions;

use crate::kind::SheetKind;
use crate::packet::{LaidOut, PacketOptions, SheetsError, lay_out};
use crate::photo_stream::Stored;
use crate::typeset::set;

/// The picture of one sheet.
#[derive(Clone, Debug)]
pub struct SheetPicture {
    /// What kind of sheet it is.
    pub kind: SheetKind,
    /// Its name among the sheets, such as `B2`.
    pub label: String,
    /// The paper's width and height in millimetres.
    pub size_mm: [f64; 2],
    /// The sheet as an SVG that needs nothing else.
    pub svg: String,
}

/// Pictures of all sheets of a packet. `photo` is the upright picture on the canvas as a JPEG, reduced for the screen;
/// it is laid where the full one would be.
///
/// # Errors
/// As [`packet`](crate::packet()).
pub fn sheet_pictures(
    plan: &Plan,
    photo: Option<Vec<u8>>,
    options: &PacketOptions,
) -> Result<Vec<SheetPicture>, SheetsError> {
    plan.check()?;
    let stored = photo.as_ref().and(plan.reference.as_ref()).map(|reference| {
        let PhotoSize { width, height } = reference.size();
        Stored { width, height, orientation: 1 }
    });
    let LaidOut { data, summaries, .. } = lay_out(plan, stored, options)?;
    let document = set(&data, photo)?;
    let options = SvgOptions::default();
    let pictures = summaries.into_iter().zip(document.pages()).map(|(sheet, page)| SheetPicture {
        kind: sheet.kind,
        label: sheet.label,
        size_mm: [page.frame.width().to_mm(), page.frame.height().to_mm()],
        svg: typst_svg::svg(page, &options),
    });
    Ok(pictures.collect())
}
