//! Short rows of numbers that page and server send each other: points, lines, boxes and maps.

use serde::{Deserialize, Serialize};
use utoipa::openapi::{ArrayBuilder, RefOr, Schema};
use utoipa::{PartialSchema, ToSchema};

/// A row of so many numbers, which says in the OpenAPI document how many.
macro_rules! numbers {
    ($(#[$about:meta])* $name:ident, $count:literal) => {
        $(#[$about])*
        #[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub [f64; $count]);

        impl PartialSchema for $name {
            fn schema() -> RefOr<Schema> {
                let row = ArrayBuilder::new().items(f64::schema());
                row.min_items(Some($count)).max_items(Some($count)).into()
            }
        }

        impl ToSchema for $name {}
    };
}

numbers!(
    /// A point, as x and y: in pixels of the photo or millimetres of the canvas.
    Xy,
    2
);
numbers!(
    /// Two ends of a line on the canvas: x and y of one, x and y of the other, in mm.
    LineMm,
    4
);
numbers!(
    /// A box on the canvas: left, top, width and height, in mm.
    RectMm,
    4
);
numbers!(
    /// The six numbers of an SVG `matrix(a b c d e f)`, from the picture's pixels to the canvas's mm.
    Matrix,
    6
);
