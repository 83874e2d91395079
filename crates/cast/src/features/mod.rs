//! The features of the head, each modelled on the skull in the head frame, the sitter's left side only: the right is
//! its mirror image before the sculptor's asymmetries (see `face.rs`).

pub(crate) mod ear;
pub(crate) mod eye;
pub(crate) mod mouth;
pub(crate) mod nose;
