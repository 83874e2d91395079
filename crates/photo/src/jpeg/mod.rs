//! JPEG: what its markers say, its pixels, and a copy of it fit to be embedded.

mod decode;
mod embed;
mod encode;
mod halves;
mod huffman;
mod markers;
mod scans;

pub(crate) use decode::decode;
pub use embed::EmbeddableJpeg;
pub(crate) use embed::embeddable;
pub(crate) use markers::{Markers, is_whole_and_within, read_header};
