//! Files that are cut short, tell lies or are garbled: told as such, never shown in part, never a panic.

mod samples;

use photo::{Fault, Photo, PhotoError, Picture, Stop};
use proptest::prelude::*;
use samples::{PLAIN_JPEG, exif_segment};

fn upright(bytes: &[u8]) -> Result<Picture, PhotoError> {
    Photo::from_bytes(bytes.to_vec(), "sitter")?.upright()
}

fn one_of_each() -> Vec<Vec<u8>> {
    vec![
        PLAIN_JPEG.coded(&[(1, exif_segment(6))]),
        samples::Jpeg { progressive: true, restart_interval: 2, ..PLAIN_JPEG }.coded(&[]),
        samples::plain_png(),
        samples::plain_tiff(),
        samples::webp(Some(samples::exif_block(3))),
    ]
}

#[test]
fn a_file_cut_anywhere_is_refused() {
    for whole in one_of_each() {
        upright(&whole).unwrap();
        for length in 0..whole.len() {
            assert!(upright(&whole[..length]).is_err(), "{length} of {} bytes were accepted", whole.len());
        }
    }
}

#[test]
fn a_jpeg_cut_inside_its_picture_is_refused_even_with_an_end_stitched_on() {
    const END: [u8; 2] = [0xFF, 0xD9];
    for variety in samples::jpeg_varieties() {
        let whole = variety.coded(&[]);
        // Near the very end the cut can fall into the padding of the last byte, where nothing is missing.
        for length in (whole.len() / 4..whole.len() - 8).step_by(3) {
            let stitched = [&whole[..length], &END].concat();
            let photo = Photo::from_bytes(stitched, "sitter");
            let accepted = photo.is_ok_and(|photo| {
                photo.upright().is_ok() || photo.embeddable_jpeg().is_some_and(|copy| copy.check().is_ok())
            });
            assert!(!accepted, "{variety:?}, cut at {length} of {}", whole.len());
        }
    }
}

#[test]
fn a_jpeg_that_cannot_be_read_to_the_end_is_not_embedded() {
    let mut bytes = PLAIN_JPEG.coded(&[]);
    let middle = bytes.len() * 2 / 3;
    bytes.splice(middle..middle + 40, [0xFF, 0xD3]);
    let photo = Photo::from_bytes(bytes, "sitter").unwrap();
    let error = photo.embeddable_jpeg().unwrap().check().unwrap_err();
    assert!(matches!(error.fault, Fault::Damaged { .. }));
    assert_eq!(error.file, "sitter");
}

/// Found by fuzzing: what the decoder refuses in a scan's header would have gone into a PDF.
#[test]
fn a_jpeg_whose_scan_cannot_be_decoded_is_not_embedded() {
    let whole = PLAIN_JPEG.coded(&[]);
    let scan = whole.windows(2).position(|marker| marker == [0xFF, 0xDA]).unwrap();
    // Marker, length, count and two bytes a component; then first and last coefficient and the bits sent.
    let first = scan + 5 + 2 * usize::from(whole[scan + 4]);
    let tables = scan + 6;
    for (at, value) in [(first, 255), (first + 1, 255), (first + 2, 0x10), (tables, 0x51), (tables - 1, 77)] {
        let mut bytes = whole.clone();
        bytes[at] = value;
        let photo = Photo::from_bytes(bytes, "sitter").unwrap();
        assert!(photo.upright().is_err(), "byte {at}");
        assert!(photo.embeddable_jpeg().unwrap().check().is_err(), "byte {at}");
    }
}

/// Found by fuzzing, as the last.
#[test]
fn a_jpeg_with_a_zero_in_a_quantization_table_or_without_one_is_not_embedded() {
    let whole = PLAIN_JPEG.coded(&[]);
    let table = whole.windows(2).position(|marker| marker == [0xFF, 0xDB]).unwrap();
    let (mut zero, mut missing) = (whole.clone(), whole.clone());
    // Marker, length and number; then 64 entries. A comment has the same form as any other segment.
    zero[table + 9] = 0;
    missing[table + 1] = 0xFE;
    for bytes in [zero, missing] {
        let photo = Photo::from_bytes(bytes, "sitter").unwrap();
        assert!(photo.upright().is_err());
        assert!(photo.embeddable_jpeg().unwrap().check().is_err());
    }
}

#[test]
fn a_stopped_photo_gives_no_picture_and_its_twin_still_does() {
    for bytes in one_of_each() {
        let photo = Photo::from_bytes(bytes, "sitter").unwrap();
        let stop = Stop::default();
        let stopped = photo.stopped_by(&stop);
        assert_eq!(stopped.upright().unwrap(), photo.upright().unwrap());
        stop.stop();
        for read in [stopped.upright(), stopped.preview(16)] {
            assert!(matches!(read.unwrap_err().fault, Fault::Stopped), "{:?}", photo.format());
        }
        photo.upright().unwrap();
    }
}

#[test]
fn a_header_that_claims_too_much_is_refused_before_decoding() {
    let mut png = samples::plain_png();
    png.splice(16..24, [0, 1, 0, 0, 0, 1, 0, 0]);
    let header = &png[12..29];
    let check = crc(header);
    png.splice(29..33, check.to_be_bytes());
    let fault = Photo::from_bytes(png, "sitter").unwrap_err().fault;
    assert!(matches!(fault, Fault::TooLarge { width: 65_536, height: 65_536 }), "{fault:?}");

    let mut jpeg = PLAIN_JPEG.coded(&[]);
    let frame = jpeg.windows(2).position(|two| two == [0xFF, 0xC0]).unwrap();
    jpeg.splice(frame + 5..frame + 9, [0x2E, 0xE0, 0x2E, 0xE0]);
    let fault = Photo::from_bytes(jpeg, "sitter").unwrap_err().fault;
    assert!(matches!(fault, Fault::TooLittleForItsSize { width: 12_000, .. }), "{fault:?}");
}

#[test]
fn a_jpeg_of_endless_scans_is_refused() {
    let whole = samples::Jpeg { progressive: true, ..PLAIN_JPEG }.coded(&[]);
    let end = whole.len() - 2;
    let scan = whole.windows(2).rposition(|two| two == [0xFF, 0xDA]).unwrap();
    let endless = [&whole[..end], &whole[scan..end].repeat(1000), &whole[end..]].concat();
    assert!(matches!(Photo::from_bytes(endless, "sitter").unwrap_err().fault, Fault::Damaged { .. }));
}

/// The check sum of PNG chunks (W3C PNG, annex D).
fn crc(data: &[u8]) -> u32 {
    !data.iter().fold(u32::MAX, |crc, byte| {
        (0..8).fold(
            crc ^ u32::from(*byte),
            |crc, _| if crc & 1 == 1 { crc >> 1 ^ 0xEDB8_8320 } else { crc >> 1 },
        )
    })
}

#[test]
fn files_that_are_not_there_or_not_files_are_told_apart() {
    let folder = std::env::temp_dir();
    assert!(matches!(Photo::open(&folder).unwrap_err().fault, Fault::Folder));
    assert!(matches!(Photo::open(&folder.join("no such photo.jpg")).unwrap_err().fault, Fault::NotFound));
    assert!(matches!(Photo::from_bytes(Vec::new(), "sitter.jpg").unwrap_err().fault, Fault::Empty));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn garbled_files_never_panic_and_never_give_another_size_than_they_state(
        which in 0_usize..5,
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..12),
    ) {
        let mut bytes = one_of_each().swap_remove(which);
        for (place, value) in changes {
            let place = place.index(bytes.len());
            bytes[place] = value;
        }
        if let Ok(photo) = Photo::from_bytes(bytes, "sitter") {
            let _ = photo.embeddable_jpeg().map(|copy| copy.check());
            if let Ok(preview) = photo.preview(16) {
                prop_assert!(preview.width().max(preview.height()) <= 16);
            }
            if let Ok(picture) = photo.upright() {
                prop_assert_eq!((picture.width(), picture.height()), (photo.size().width, photo.size().height));
            }
        }
    }
}
