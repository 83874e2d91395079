//! What is embedded in a page is the coded picture itself, and tells nothing about the client.
#![allow(clippy::unwrap_used, reason = "an unexpected error is a failed test")]

mod samples;

use photo::{Orientation, Photo};
use samples::{PLAIN_JPEG, exif_segment, mean_difference, scene};

fn open(bytes: Vec<u8>) -> Photo {
    Photo::from_bytes(bytes, "sitter.jpg").unwrap()
}

fn contains(haystack: &[u8], needle: &[u8]) -> bool {
    haystack.windows(needle.len()).any(|window| window == needle)
}

/// A JPEG with everything in it that should not get out, each marked by the word SECRET.
fn telltale_jpeg() -> Vec<u8> {
    let segment = |signature: &[u8]| [signature, &b"SECRET"[..]].concat();
    let mut bytes = PLAIN_JPEG.coded(&[
        (1, exif_segment(6)),
        (1, segment(b"http://ns.adobe.com/xap/1.0/\0")),
        (2, segment(b"MPF\0")),
        (5, segment(b"maker")),
        (13, segment(b"Photoshop 3.0\0")),
        (15, segment(b"")),
    ]);
    let comment_and_preview = b"\xFF\xFE\0\x08SECRET\xFF\xE0\0\x0EJFXX\0\x10SECRET";
    bytes.splice(2..2, comment_and_preview.iter().copied());
    bytes.extend(PLAIN_JPEG.coded(&[(1, segment(b"Exif\0\0"))]));
    bytes
}

#[test]
fn no_name_place_or_note_reaches_the_embedded_copy() {
    let bytes = telltale_jpeg();
    assert!(contains(&bytes, b"SECRET-PLACE") && contains(&bytes, b"SECRET-ARTIST"), "the trap is set");
    let copy = open(bytes).embeddable_jpeg().unwrap().bytes;
    for word in [&b"SECRET"[..], b"Exif", b"http", b"MPF", b"Photoshop", b"maker", b"JFXX"] {
        assert!(!contains(&copy, word), "{}", String::from_utf8_lossy(word));
    }
}

#[test]
fn none_of_it_reaches_a_new_jpeg_either() {
    let jpeg = open(telltale_jpeg()).as_jpeg(Photo::PRINT_QUALITY).unwrap();
    assert!(!contains(&jpeg, b"SECRET") && !contains(&jpeg, b"Exif"));
}

#[test]
fn the_embedded_copy_is_the_first_picture_itself_to_be_turned_by_the_page() {
    for variety in samples::jpeg_varieties() {
        let original = variety.coded(&[(1, exif_segment(6))]);
        let copy = open([original.clone(), PLAIN_JPEG.coded(&[])].concat()).embeddable_jpeg().unwrap();
        copy.check().unwrap();
        assert_eq!(copy.orientation, Orientation::Turn90Clockwise);
        assert_eq!((copy.width, copy.height), (samples::WIDTH, samples::HEIGHT));
        let plain = open(copy.bytes.clone());
        assert_eq!(plain.orientation(), Orientation::Upright);
        let untouched = Photo::from_bytes(variety.coded(&[]), "the same without EXIF").unwrap();
        assert_eq!(plain.upright().unwrap(), untouched.upright().unwrap(), "{variety:?}");
        assert!(copy.bytes.len() <= original.len());
    }
}

#[test]
fn the_profile_is_kept_however_large() {
    // Larger than one segment, so it must be cut and put together again.
    let mut profile = moxcms::ColorProfile::new_display_p3().encode().unwrap();
    profile.resize(150_000, 0);
    let mut bytes = PLAIN_JPEG.coded(&[]);
    let mut segments = Vec::new();
    for (index, part) in profile.chunks(60_000).enumerate() {
        segments.extend([0xFF, 0xE2]);
        segments.extend((part.len() as u16 + 16).to_be_bytes());
        segments.extend(b"ICC_PROFILE\0");
        segments.extend([index as u8 + 1, 3]);
        segments.extend(part);
    }
    bytes.splice(2..2, segments);
    let photo = open(bytes);
    assert_eq!(photo.colour().name, "Display P3");
    let copy = photo.embeddable_jpeg().unwrap();
    let again = open(copy.bytes);
    assert_eq!(again.colour().name, "Display P3");
    assert_eq!(again.upright().unwrap(), photo.upright().unwrap());
}

#[test]
fn what_a_page_would_show_in_other_colours_is_not_embedded() {
    let inks = vec![100; (4 * samples::WIDTH * samples::HEIGHT) as usize];
    let cmyk = PLAIN_JPEG.coded_as(jpeg_encoder::ColorType::Cmyk, &inks, &[]);
    assert_eq!(open(cmyk).embeddable_jpeg(), None);
    assert_eq!(open(samples::plain_png()).embeddable_jpeg(), None);
    let grey = moxcms::ColorProfile::new_gray_with_gamma(2.2).encode().unwrap();
    let other_kind = PLAIN_JPEG.coded(&[(2, [b"ICC_PROFILE\0\x01\x01".to_vec(), grey].concat())]);
    let photo = open(other_kind);
    assert!(photo.colour().note.is_some());
    assert_eq!(photo.embeddable_jpeg(), None);
}

#[test]
fn a_new_jpeg_is_upright_close_to_the_photo_and_always_the_same() {
    let photo =
        open(samples::png(png::ColorType::Rgb, png::BitDepth::Eight, &scene(), Some(samples::exif_block(8))));
    let jpeg = photo.as_jpeg(Photo::PRINT_QUALITY).unwrap();
    assert_eq!(jpeg, photo.as_jpeg(Photo::PRINT_QUALITY).unwrap());
    let again = open(jpeg);
    assert_eq!(again.orientation(), Orientation::Upright);
    assert!(again.colour().name.contains("sRGB") || again.colour().name == "uRGB", "{}", again.colour().name);
    let (was, is) = (photo.upright().unwrap(), again.upright().unwrap());
    assert_eq!((was.width(), was.height()), (is.width(), is.height()));
    assert!(mean_difference(was.rgb(), is.rgb()) < 2.0);
}
