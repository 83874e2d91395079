//! How large a picture may be: every bound on bytes, pixels and memory, each with its reason.
//!
//! All of them are checked from the header, before anything is decoded.

use crate::error::Fault;

/// Largest file that is read, in bytes: an uncompressed 200-megapixel TIFF of 16 bits per channel is 1.2 GB.
pub const MAX_FILE_BYTES: u64 = 5 << 28;

/// Most pixels in a picture: the largest sensors sold (medium-format backs and telephones) stay just under 200 megapixels,
/// some with a few rows to spare.
pub const MAX_PIXELS: u64 = 205_000_000;

/// Longest side in pixels: the most that a JPEG, the commonest kind, can state.
pub const MAX_SIDE: u32 = 65_535;

/// Most memory for the decoded samples, in bytes: 200 megapixels of three 16-bit channels, with room for a fourth of 8 bits.
pub const MAX_DECODED_BYTES: u64 = 5 << 28;

/// How many times larger than its file a picture may unpack, once it is larger than [`UNPACKS_FREELY`].
///
/// The grain of a real photograph keeps it far below: a strongly compressed, very smooth one reaches about 200. Files made to
/// exhaust a computer's memory reach 1000 and more.
pub const MAX_EXPANSION: u64 = 500;

/// Below this size in bytes a picture may unpack as it likes, so that plain drawings and test charts open.
pub const UNPACKS_FREELY: u64 = 64 << 20;

/// Most scans in a JPEG: a progressive one has about ten, and the thriftiest encoders some dozens. Each goes over the whole
/// picture again, so that a small file with thousands would take minutes.
pub(crate) const MAX_SCANS: usize = 200;

/// Largest EXIF block read, in bytes: the standard's own bound in a JPEG is 64 KB; other formats have none.
pub(crate) const MAX_EXIF_BYTES: usize = 1 << 20;

/// Largest colour profile read, in bytes: the largest press profiles are about 3 MB.
pub(crate) const MAX_PROFILE_BYTES: usize = 8 << 20;

/// What the header says about the picture's size, before it is believed.
#[derive(Debug, Clone, Copy)]
pub(crate) struct ClaimedSize {
    pub(crate) width: u32,
    pub(crate) height: u32,
    pub(crate) channels: u32,
    pub(crate) bytes_per_sample: u32,
}

impl ClaimedSize {
    /// Checks the claim against the limits and against the number of bytes that are supposed to hold it.
    pub(crate) fn check(self, file_bytes: usize) -> Result<(), Fault> {
        let Self { width, height, .. } = self;
        if width == 0 || height == 0 {
            return Err(Fault::NoPixels);
        }
        let pixels = u64::from(width) * u64::from(height);
        if pixels > MAX_PIXELS || width > MAX_SIDE || height > MAX_SIDE {
            return Err(Fault::TooLarge { width, height });
        }
        let decoded = pixels * u64::from(self.channels) * u64::from(self.bytes_per_sample);
        if decoded > MAX_DECODED_BYTES {
            return Err(Fault::TooLarge { width, height });
        }
        if decoded > UNPACKS_FREELY && decoded / MAX_EXPANSION > file_bytes as u64 {
            return Err(Fault::TooLittleForItsSize { width, height, file_bytes: file_bytes as u64 });
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rgb8(width: u32, height: u32) -> ClaimedSize {
        ClaimedSize { width, height, channels: 3, bytes_per_sample: 1 }
    }

    #[test]
    fn the_largest_sensors_pass_in_eight_and_sixteen_bits() {
        let telephone = rgb8(16_320, 12_240);
        telephone.check(40_000_000).unwrap();
        ClaimedSize { bytes_per_sample: 2, ..telephone }.check(300_000_000).unwrap();
    }

    #[test]
    fn more_pixels_or_a_longer_side_than_allowed_are_refused() {
        assert!(matches!(rgb8(16_384, 16_384).check(1 << 30), Err(Fault::TooLarge { .. })));
        assert!(matches!(rgb8(65_536, 1).check(1 << 30), Err(Fault::TooLarge { .. })));
        assert!(matches!(rgb8(u32::MAX, u32::MAX).check(1 << 30), Err(Fault::TooLarge { .. })));
        assert!(matches!(rgb8(0, 10).check(100), Err(Fault::NoPixels)));
    }

    #[test]
    fn a_large_blank_packed_very_small_is_refused_but_a_small_one_is_not() {
        assert!(matches!(rgb8(14_000, 14_000).check(600_000), Err(Fault::TooLittleForItsSize { .. })));
        rgb8(4_000, 4_000).check(50_000).unwrap();
    }
}
