//! What every format's header gives, before any pixel is decoded.

use crate::colour::ColourClaim;
use crate::facts::Facts;
use crate::picture::Channels;

/// The header of a picture, within the limits.
#[derive(Debug, Clone)]
pub(crate) struct Header {
    /// Stored width in pixels, before it is turned upright.
    pub(crate) width: u32,
    /// Stored height in pixels, before it is turned upright.
    pub(crate) height: u32,
    /// Bits per channel as stored.
    pub(crate) bits: u8,
    pub(crate) channels: Channels,
    pub(crate) claim: ColourClaim,
    pub(crate) facts: Facts,
}
