//! Pictures for the screen: the reference at a sharp, right size, made once and kept; and the canvas as it hangs on the
//! shelf.

use std::collections::HashMap;
use std::sync::{Arc, Mutex};

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use painting::Document;
use photo::Photo;
use plan::Plan;
use sheets::{SheetPicture, reference_picture};

use crate::answer::Trouble;
use crate::fingerprint::fingerprint;
use crate::lock::locked;
use crate::shape::Matrix;
use crate::view::ReferenceView;

/// The longer side of the picture on the worktable: twice what a large laptop shows of it, so that it stays sharp when
/// the painter looks closer.
pub(crate) const DISPLAY_SIDE: u32 = 2600;

/// The longer side of the picture on the easel screen, where a large canvas is seen at true size: as large as the graphics of
/// any tablet take in one piece.
pub(crate) const EASEL_SIDE: u32 = 4096;

/// The longer side of a picture on the shelf.
const HANGING_SIDE: u32 = 480;

/// The longer side of the picture on pictures of sheets: each sheet carries it whole.
pub(crate) const SHEETS_SIDE: u32 = 900;

/// JPEG quality at which a picture on a screen shows no loss.
pub(crate) const DISPLAY_QUALITY: u8 = 88;

/// The most finished pictures kept for one painting; they are some hundred kilobytes each, the one for the easel some megabytes.
const MAX_KEPT: usize = 6;

/// The pictures of one painting, made when first asked for.
#[derive(Default)]
pub(crate) struct Pictures {
    finished: Mutex<HashMap<String, Arc<Vec<u8>>>>,
    /// Pictures of the sheets, and the short name of the state of the painting and the wishes they were made for.
    sheets: Mutex<Option<(String, Arc<Vec<SheetPicture>>)>>,
    /// Held while a picture is made, so that two requests do not make the same one.
    making: Mutex<()>,
}

impl Pictures {
    /// The picture that lies on the canvas, as a JPEG for the screen.
    pub(crate) fn display(&self, photo: &Photo, document: &Document) -> Result<Arc<Vec<u8>>, Trouble> {
        self.kept(&format!("display {}", version(document)), || {
            on_canvas(photo, &document.plan, DISPLAY_SIDE)
        })
    }

    /// The picture that lies on the canvas, as a JPEG for the easel screen.
    pub(crate) fn easel(&self, photo: &Photo, document: &Document) -> Result<Arc<Vec<u8>>, Trouble> {
        self.kept(&format!("easel {}", version(document)), || on_canvas(photo, &document.plan, EASEL_SIDE))
    }

    /// The upright photo before any squaring up, as a JPEG for the screen.
    pub(crate) fn original(&self, photo: &Photo, document: &Document) -> Result<Arc<Vec<u8>>, Trouble> {
        let id = document.photo.map(|id| id.to_string()).unwrap_or_default();
        self.kept(&format!("original {id}"), || Ok(photo.preview(DISPLAY_SIDE)?.to_jpeg(DISPLAY_QUALITY)?))
    }

    /// The picture that lies on the canvas, as a JPEG for pictures of sheets.
    pub(crate) fn on_sheets(&self, photo: &Photo, document: &Document) -> Result<Arc<Vec<u8>>, Trouble> {
        self.kept(&format!("sheets {}", version(document)), || on_canvas(photo, &document.plan, SHEETS_SIDE))
    }

    /// Pictures of the sheets of the packet, for the state and the wishes of this short name.
    pub(crate) fn sheets(
        &self,
        version: &str,
        make: impl FnOnce() -> Result<Vec<SheetPicture>, Trouble>,
    ) -> Result<Arc<Vec<SheetPicture>>, Trouble> {
        let known = locked(&self.sheets).clone();
        if let Some((_, sheets)) = known.filter(|(known, _)| known == version) {
            return Ok(sheets);
        }
        let sheets = Arc::new(make()?);
        *locked(&self.sheets) = Some((version.to_owned(), Arc::clone(&sheets)));
        Ok(sheets)
    }

    /// The canvas with its picture as an SVG that needs nothing else, for the shelf.
    pub(crate) fn hanging(&self, photo: Option<&Photo>, document: &Document) -> Result<String, Trouble> {
        let small = photo.map(|photo| {
            self.kept(&format!("hanging {}", version(document)), || {
                on_canvas(photo, &document.plan, HANGING_SIDE)
            })
        });
        Ok(hanging_svg(&document.plan, small.transpose()?.as_deref().map(Vec::as_slice)))
    }

    /// The picture of this name, made when it is first asked for.
    pub(crate) fn kept(
        &self,
        key: &str,
        make: impl FnOnce() -> Result<Vec<u8>, Trouble>,
    ) -> Result<Arc<Vec<u8>>, Trouble> {
        let known = || locked(&self.finished).get(key).map(Arc::clone);
        if let Some(picture) = known() {
            return Ok(picture);
        }
        let _one_at_a_time = locked(&self.making);
        if let Some(picture) = known() {
            return Ok(picture);
        }
        let picture = Arc::new(make()?);
        let mut finished = locked(&self.finished);
        if finished.len() >= MAX_KEPT {
            finished.clear();
        }
        finished.insert(key.to_owned(), Arc::clone(&picture));
        Ok(picture)
    }
}

/// A short name for what the picture on the canvas is made of: it changes when the photo or its squaring up does.
pub(crate) fn version(document: &Document) -> String {
    let photo = document.photo.map(|id| id.to_string()).unwrap_or_default();
    let square_up = document.plan.reference.and_then(|reference| reference.square_up);
    fingerprint(format!("{photo} {square_up:?}"))
}

/// The picture that lies on the canvas, reduced, as a JPEG for the screen.
fn on_canvas(photo: &Photo, plan: &Plan, longest_side: u32) -> Result<Vec<u8>, Trouble> {
    let picture = match &plan.reference {
        Some(reference) => reference_picture(photo, reference, Some(longest_side))?,
        None => photo.preview(longest_side)?,
    };
    Ok(picture.to_jpeg(DISPLAY_QUALITY)?)
}

/// The canvas true to its proportions, in units of a millimetre.
fn hanging_svg(plan: &Plan, picture: Option<&[u8]>) -> String {
    let bounds = plan.canvas.outline().bounds();
    let (width, height) = (bounds.width.to_mm(), bounds.height.to_mm());
    let corners = plan
        .canvas
        .outline()
        .corners
        .map(|corner| format!("{:.2},{:.2}", corner.x.to_mm(), corner.y.to_mm()));
    let points = corners.join(" ");
    let image = picture.zip(ReferenceView::of(plan)).map_or(String::new(), |(jpeg, reference)| {
        let Matrix([a, b, c, d, e, f]) = reference.matrix;
        let [width, height] = reference.size;
        let data = STANDARD.encode(jpeg);
        format!(
            "<image transform=\"matrix({a} {b} {c} {d} {e} {f})\" width=\"{width}\" height=\"{height}\" \
             preserveAspectRatio=\"none\" href=\"data:image/jpeg;base64,{data}\"/>"
        )
    });
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width:.2} {height:.2}\" width=\"{width:.2}\" height=\"{height:.2}\">\
         <clipPath id=\"c\" clipPathUnits=\"userSpaceOnUse\"><polygon points=\"{points}\"/></clipPath>\
         <polygon points=\"{points}\" fill=\"#f5f3ee\"/><g clip-path=\"url(#c)\">{image}</g></svg>"
    )
}
