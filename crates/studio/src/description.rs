//! The OpenAPI document: what the server answers, made from the code that answers.

use utoipa::OpenApi;
use utoipa::openapi::{RefOr, Schema};

use crate::answer::TroubleTold;
use crate::routes::{CodeTyped, LetIn, Shown, Working};

/// What holds for the whole document; the requests are added where they are routed.
#[derive(OpenApi)]
#[openapi(
    components(schemas(CodeTyped, LetIn, Shown, TroubleTold, Working)),
    info(
        title = "Mahlstick's studio",
        description = "What the studio's page asks of its server. Only the page itself, on the same computer, is answered. \
                   Lengths are text as a painter writes them (`12 1/2 in`); geometry is in millimetres of the canvas \
                   frame, from its top left corner."
    )
)]
pub(crate) struct Description;

/// Names of what the page asks; there a field that may be left out is left out.
const ASKED: [&str; 12] = [
    "CheckChange",
    "CheckWish",
    "PaintedWish",
    "LikenessEdit",
    "CanvasEdit",
    "DetailEdit",
    "Edit",
    "GridEdit",
    "PrintEdit",
    "ReferenceEdit",
    "Change",
    "NewPainting",
];

/// Says of every answer that all its fields are always there: one that has no value is null.
pub(crate) fn every_answer_is_whole(document: &mut utoipa::openapi::OpenApi) {
    let Some(components) = &mut document.components else { return };
    for (name, schema) in &mut components.schemas {
        if let (false, RefOr::T(Schema::Object(object))) = (ASKED.contains(&name.as_str()), schema) {
            object.required = object.properties.keys().cloned().collect();
        }
    }
}
