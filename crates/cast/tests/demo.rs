//! What the demo in the repository must be: this code's own picture, with its true landmarks and the camera's facts.

use std::path::PathBuf;

use cast::{Camera, Light, Sculpture, landmarks, render};
use exif::{In, Tag, Value};
use jpeg_decoder::Decoder;

fn demo(file: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../demo").join(file)
}

#[test]
fn the_landmarks_in_the_repository_are_those_the_sculpture_has() {
    let text = std::fs::read_to_string(demo("harbour-pilot.json")).unwrap();
    let account: serde_json::Value = serde_json::from_str(&text).unwrap();
    let camera = Camera::demo();
    assert_eq!(account["photo"], "harbour-pilot.jpg");
    assert_eq!(account["width"], camera.size.0);
    assert_eq!(account["height"], camera.size.1);
    let written = account["landmarks"].as_array().unwrap();
    let found = landmarks(&Sculpture::new(), &camera);
    assert_eq!(written.len(), found.len());
    for (written, found) in written.iter().zip(&found) {
        assert_eq!(written["name"], found.name);
        assert_eq!(written["visible"], found.visible, "{}", found.name);
        for (axis, value) in [("x", found.x), ("y", found.y)] {
            let off = written[axis].as_f64().unwrap() - value;
            assert!(off.abs() < 0.01, "{} is {off} px off in {axis}", found.name);
        }
    }
}

#[test]
fn the_picture_in_the_repository_is_3000_by_4000_px_in_under_2_mb() {
    let bytes = std::fs::read(demo("harbour-pilot.jpg")).unwrap();
    assert!(bytes.len() < 2_000_000, "{} bytes", bytes.len());
    let mut decoder = Decoder::new(bytes.as_slice());
    let pixels = decoder.decode().unwrap();
    assert_eq!(decoder.info().map(|info| (info.width, info.height)), Some((3000, 4000)));
    assert_eq!(pixels.len(), 3000 * 4000 * 3);
}

#[test]
fn the_picture_in_the_repository_tells_its_focal_length_and_date_but_no_maker_and_no_place() {
    let file = std::fs::File::open(demo("harbour-pilot.jpg")).unwrap();
    let facts = exif::Reader::new().read_from_container(&mut std::io::BufReader::new(file)).unwrap();
    let whole = |tag| facts.get_field(tag, In::PRIMARY).and_then(|f| f.value.get_uint(0));
    assert_eq!(whole(Tag::FocalLengthIn35mmFilm), Some(85));
    assert_eq!(whole(Tag::Orientation), Some(1));
    assert_eq!(whole(Tag::ColorSpace), Some(1));
    assert_eq!(whole(Tag::PixelXDimension), Some(3000));
    assert_eq!(whole(Tag::PixelYDimension), Some(4000));
    let focal = facts.get_field(Tag::FocalLength, In::PRIMARY).unwrap();
    assert!(matches!(&focal.value, Value::Rational(v) if (v[0].to_f64() - 85.0).abs() < 1e-9));
    assert!(facts.get_field(Tag::DateTimeOriginal, In::PRIMARY).is_some());
    for absent in [Tag::Make, Tag::Model, Tag::MakerNote, Tag::GPSLatitude, Tag::GPSLongitude] {
        assert!(facts.get_field(absent, In::PRIMARY).is_none(), "{absent}");
    }
}

#[test]
fn the_picture_in_the_repository_is_the_one_this_code_renders() {
    // One pixel of the small picture stands for a square of this side of the large one.
    const SQUARE: usize = 50;
    let bytes = std::fs::read(demo("harbour-pilot.jpg")).unwrap();
    let large = Decoder::new(bytes.as_slice()).decode().unwrap();
    let camera = Camera { size: (60, 80), ..Camera::demo() };
    let small = render(&Sculpture::new(), &camera, &Light::quick());
    let mut off = 0.0;
    for (i, pixel) in small.rgb.chunks(3).enumerate() {
        let (left, top) = (i % 60 * SQUARE, i / 60 * SQUARE);
        let square = (0..SQUARE * SQUARE).map(|k| {
            let (x, y) = (left + k % SQUARE, top + k / SQUARE);
            f64::from(large[(y * 3000 + x) * 3 + 1])
        });
        off += (square.sum::<f64>() / (SQUARE * SQUARE) as f64 - f64::from(pixel[1])).abs();
    }
    // Outlines and noise cost a few levels of 255; another head, pose or light costs many more.
    assert!(off / 4800.0 < 4.0, "{} levels off on average", off / 4800.0);
}
