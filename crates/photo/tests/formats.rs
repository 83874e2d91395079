//! Every format and variety that is read, made in code and read back.
#![allow(clippy::unwrap_used, reason = "an unexpected error is a failed test")]

mod samples;

use jpeg_encoder::ColorType;
use photo::{Fault, Format, Photo, PhotoSize};
use samples::{HEIGHT, PLAIN_JPEG, WIDTH, exif_block, exif_segment, mean_difference, scene};
use tiff::encoder::{Compression, DeflateLevel, colortype};

fn open(bytes: Vec<u8>) -> Photo {
    Photo::from_bytes(bytes, "sitter").unwrap()
}

fn upright(bytes: Vec<u8>) -> Vec<u8> {
    open(bytes).upright().unwrap().into_rgb()
}

#[test]
fn every_variety_of_jpeg_gives_its_scene() {
    for variety in samples::jpeg_varieties() {
        let difference = mean_difference(&upright(variety.coded(&[])), &scene());
        assert!(difference < 4.0, "{variety:?}: {difference}");
    }
}

#[test]
fn a_grey_jpeg_gives_equal_red_green_and_blue() {
    let grey: Vec<u8> = scene().chunks_exact(3).map(|pixel| pixel[1]).collect();
    let rgb = upright(PLAIN_JPEG.coded_as(ColorType::Luma, &grey, &[]));
    let expected: Vec<u8> = grey.iter().flat_map(|value| [*value; 3]).collect();
    assert!(mean_difference(&rgb, &expected) < 3.0);
}

#[test]
fn adobes_inverted_cmyk_and_ycck_jpegs_give_white_paper_and_dark_ink() {
    // The encoder takes amounts of ink, stores the ink left out and writes Adobe's marker, as such files are in the wild.
    let pixels = (WIDTH * HEIGHT) as usize;
    let full_colour = samples::Jpeg { sampling: jpeg_encoder::SamplingFactor::F_1_1, ..PLAIN_JPEG };
    for kind in [ColorType::Cmyk, ColorType::CmykAsYcck] {
        let inked = |inks: [u8; 4]| full_colour.coded_as(kind, &inks.repeat(pixels), &[]);
        assert!(open(inked([0; 4])).colour().note.as_deref().unwrap_or_default().contains("CMYK"));
        let paper = upright(inked([0; 4]));
        assert!(paper.iter().all(|value| *value > 250), "{kind:?}: paper is white, not {:?}", &paper[..3]);
        let black = upright(inked([0, 0, 0, 255]));
        assert!(black.iter().all(|value| *value < 60), "{kind:?}: black ink is dark, not {:?}", &black[..3]);
        let cyan = upright(inked([255, 0, 0, 0]));
        assert!(cyan[0] < 60 && cyan[2] > 200, "{kind:?}: cyan ink is cyan, not {:?}", &cyan[..3]);
    }
}

#[test]
fn png_of_eight_and_sixteen_bits_is_exact() {
    let wide: Vec<u8> = scene().iter().flat_map(|value| (u16::from(*value) * 257).to_be_bytes()).collect();
    assert_eq!(upright(samples::plain_png()), scene());
    let photo = open(samples::png(png::ColorType::Rgb, png::BitDepth::Sixteen, &wide, None));
    assert_eq!(photo.bits(), 16);
    assert_eq!(photo.upright().unwrap().rgb(), scene());
}

#[test]
fn sixteen_bits_are_rounded_not_cut() {
    let almost_one = 200_u16.to_be_bytes().repeat((3 * WIDTH * HEIGHT) as usize);
    let rgb = upright(samples::png(png::ColorType::Rgb, png::BitDepth::Sixteen, &almost_one, None));
    assert!(rgb.iter().all(|value| *value == 1));
}

#[test]
fn what_is_transparent_shows_white() {
    let half: Vec<u8> =
        (0..WIDTH * HEIGHT).flat_map(|i| [0, 0, 0, if i % 2 == 0 { 0 } else { 255 }]).collect();
    let rgb = upright(samples::png(png::ColorType::Rgba, png::BitDepth::Eight, &half, None));
    assert_eq!(&rgb[..6], [255, 255, 255, 0, 0, 0]);
    let rgb = upright(samples::tiff::<colortype::RGBA8>(&half, Compression::Uncompressed, 1));
    assert_eq!(&rgb[..6], [255, 255, 255, 0, 0, 0]);
}

#[test]
fn lossless_webp_is_exact() {
    assert_eq!(upright(samples::webp(None)), scene());
}

#[test]
fn tiff_is_exact_in_all_its_packings_and_depths() {
    for packing in [
        Compression::Uncompressed,
        Compression::Lzw,
        Compression::Deflate(DeflateLevel::Fast),
        Compression::Packbits,
    ] {
        assert_eq!(upright(samples::tiff::<colortype::RGB8>(&scene(), packing, 1)), scene());
        let wide: Vec<u16> = scene().iter().map(|value| u16::from(*value) * 257).collect();
        assert_eq!(upright(samples::tiff::<colortype::RGB16>(&wide, packing, 1)), scene());
    }
    let grey = vec![77; (WIDTH * HEIGHT) as usize];
    assert!(
        upright(samples::tiff::<colortype::Gray8>(&grey, Compression::Lzw, 1))
            .iter()
            .all(|value| *value == 77)
    );
    let paper = vec![0; (4 * WIDTH * HEIGHT) as usize];
    let rgb = upright(samples::tiff::<colortype::CMYK8>(&paper, Compression::Lzw, 1));
    assert!(rgb.iter().all(|value| *value > 250), "TIFF stores ink, so 0 is bare paper");
}

#[test]
fn all_eight_orientations_are_followed_in_all_formats() {
    for number in 1..=8_u16 {
        let with_signature = [b"Exif\0\0".to_vec(), exif_block(number)].concat();
        let files = [
            PLAIN_JPEG.coded(&[(1, exif_segment(number))]),
            samples::png(png::ColorType::Rgb, png::BitDepth::Eight, &scene(), Some(exif_block(number))),
            samples::webp(Some(exif_block(number))),
            samples::webp(Some(with_signature)),
            samples::tiff::<colortype::RGB8>(&scene(), Compression::Lzw, number),
        ];
        for file in files {
            let photo = open(file);
            assert_eq!(u16::from(photo.orientation().exif()), number, "{:?}", photo.format());
            let size = if number < 5 { (WIDTH, HEIGHT) } else { (HEIGHT, WIDTH) };
            assert_eq!(photo.size(), PhotoSize { width: size.0, height: size.1 });
            let picture = photo.upright().unwrap();
            assert_eq!((picture.width(), picture.height()), size);
            // The scene's red grows to the right and its green downwards; so its first stored corner is dark in both.
            let at = |x: u32, y: u32| {
                let place = 3 * (y * size.0 + x) as usize;
                u32::from(picture.rgb()[place]) + u32::from(picture.rgb()[place + 1])
            };
            let (right, bottom) = (size.0 - 1, size.1 - 1);
            let first_corner = match number {
                1 | 5 => at(0, 0),
                2 | 6 => at(right, 0),
                3 | 7 => at(right, bottom),
                _ => at(0, bottom),
            };
            assert!(first_corner < 30, "orientation {number} of {:?}: {first_corner}", photo.format());
        }
    }
}

#[test]
fn camera_facts_are_read() {
    let photo = open(PLAIN_JPEG.coded(&[(1, exif_segment(1))]));
    let camera = photo.camera();
    assert_eq!(camera.focal_length_mm, Some(85.0));
    assert_eq!(camera.focal_length_35mm, Some(127.0));
    assert_eq!(camera.taken.unwrap().to_string(), "2024-05-17 14:03:22");
}

#[test]
fn a_preview_has_the_asked_side_and_is_never_enlarged() {
    for file in [PLAIN_JPEG.coded(&[(1, exif_segment(6))]), samples::plain_png()] {
        let photo = open(file);
        for side in [1, 7, 20, 60] {
            let preview = photo.preview(side).unwrap();
            assert_eq!(preview.width().max(preview.height()), side);
        }
        let whole = photo.preview(5000).unwrap();
        assert_eq!(PhotoSize { width: whole.width(), height: whole.height() }, photo.size());
    }
}

#[test]
fn the_content_decides_what_a_file_is() {
    assert_eq!(Photo::from_bytes(samples::plain_png(), "sitter.jpg").unwrap().format(), Format::Png);
}

#[test]
fn colours_that_only_a_camera_names_are_believed() {
    use exif::{Field, In, Tag, Value};
    let uncalibrated =
        Field { tag: Tag::ColorSpace, ifd_num: In::PRIMARY, value: Value::Short(vec![65_535]) };
    let index = Field {
        tag: Tag::InteroperabilityIndex,
        ifd_num: In::PRIMARY,
        value: Value::Ascii(vec![b"R03".to_vec()]),
    };
    let mut writer = exif::experimental::Writer::new();
    writer.push_field(&uncalibrated);
    writer.push_field(&index);
    let mut block = std::io::Cursor::new(Vec::new());
    writer.write(&mut block, true).unwrap();
    let photo = open(PLAIN_JPEG.coded(&[(1, [b"Exif\0\0".to_vec(), block.into_inner()].concat())]));
    assert_eq!(photo.colour().name, "Adobe RGB (1998)");
    let embeddable = photo.embeddable_jpeg().unwrap();
    assert_eq!(
        open(embeddable.bytes).colour().name,
        "Adobe RGB 1998",
        "the copy carries a profile instead of the EXIF"
    );
}

#[test]
fn a_damaged_profile_is_noted_and_does_not_stop_the_photo() {
    let profile = [b"ICC_PROFILE\0\x01\x01".to_vec(), vec![7; 400]].concat();
    let photo = open(PLAIN_JPEG.coded(&[(2, profile)]));
    assert!(photo.colour().note.as_deref().unwrap().contains("profile is damaged"));
    assert!(mean_difference(photo.upright().unwrap().rgb(), &scene()) < 4.0);
}

#[test]
fn messages_name_the_file_and_are_sentences() {
    let error = Photo::from_bytes(b"GIF89a".to_vec(), "sitter.gif").unwrap_err();
    assert!(matches!(error.fault, Fault::Unsupported(_)));
    let message = error.to_string();
    assert!(message.starts_with("sitter.gif: This is a GIF picture"), "{message}");
    assert!(message.ends_with('.') && !message.contains('!'), "{message}");
}

#[test]
fn a_raw_file_is_told_from_a_tiff() {
    let mut bytes = std::io::Cursor::new(Vec::new());
    let mut encoder = tiff::encoder::TiffEncoder::new(&mut bytes).unwrap();
    let mut image = encoder.new_image::<colortype::RGB8>(WIDTH, HEIGHT).unwrap();
    image.encoder().write_tag(tiff::tags::Tag::Unknown(50_706), &[1_u8, 4, 0, 0][..]).unwrap();
    image.write_data(&scene()).unwrap();
    let message = Photo::from_bytes(bytes.into_inner(), "sitter.dng").unwrap_err().to_string();
    assert!(message.contains("raw file (DNG)") && message.contains("Develop it"), "{message}");
}
