//! What a camera or an editor writes beside the pixels: an EXIF block and a colour profile, both of any bytes, in a JPEG whose
//! pixels are sound. The first two bytes say where the one ends and the other begins.

#![no_main]

use std::sync::OnceLock;

use jpeg_encoder::{ColorType, Encoder};
use libfuzzer_sys::fuzz_target;
use photo::Photo;

/// What one segment of a JPEG holds at most, less the longest name before it.
const MOST_BYTES: usize = 65_000;

static PLAIN: OnceLock<Vec<u8>> = OnceLock::new();

fuzz_target!(|bytes: &[u8]| {
    let [high, low, rest @ ..] = bytes else { return };
    let split = usize::from(u16::from_be_bytes([*high, *low])).min(rest.len());
    let (exif, profile) = rest.split_at(split);
    if exif.len() > MOST_BYTES || profile.len() > MOST_BYTES {
        return;
    }
    let plain = PLAIN.get_or_init(|| {
        let mut jpeg = Vec::new();
        Encoder::new(&mut jpeg, 80).encode(&[200; 8 * 8 * 3], 8, 8, ColorType::Rgb).expect("a plain JPEG");
        jpeg
    });
    let jpeg = [
        &plain[..2],
        &segment(0xE1, &[b"Exif\0\0", exif].concat()),
        &segment(0xE2, &[b"ICC_PROFILE\0\x01\x01", profile].concat()),
        &plain[2..],
    ];
    let photo = Photo::from_bytes(jpeg.concat(), "fuzzed").expect("bad facts beside the pixels do not spoil a photo");
    let _ = (photo.camera(), photo.colour());
    photo.upright().expect("nor do they spoil its pixels");
});

fn segment(marker: u8, content: &[u8]) -> Vec<u8> {
    let length = u16::try_from(content.len() + 2).expect("bounded above").to_be_bytes();
    [&[0xFF, marker], &length[..], content].concat()
}
