//! The front door of photos: any bytes, opened, reduced, decoded and copied for embedding.

#![no_main]

use libfuzzer_sys::fuzz_target;
use photo::Photo;

/// Pictures above this are only opened: decoding large flat ones tells nothing new and takes the fuzzer's time.
const MOST_PIXELS: u64 = 1 << 20;

fuzz_target!(|bytes: &[u8]| {
    let Ok(photo) = Photo::from_bytes(bytes.to_vec(), "fuzzed") else { return };
    let size = photo.size();
    if u64::from(size.width) * u64::from(size.height) > MOST_PIXELS {
        return;
    }
    if let Some(copy) = photo.embeddable_jpeg() {
        let whole = copy.check().is_ok();
        let again = Photo::from_bytes(copy.bytes, "copy").expect("the copy of a photo that opens opens too");
        assert_eq!(whole, again.upright().is_ok() || photo.upright().is_ok());
    }
    let _ = photo.preview(32);
    if let Ok(picture) = photo.upright() {
        assert_eq!((picture.width(), picture.height()), (size.width, size.height));
    }
});
