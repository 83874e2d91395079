//! The camera's facts as Exif (CIPA DC-008): focal length, its 35 mm equivalent, the date, upright, sRGB; no maker,
//! no place.

use crate::camera::Camera;

/// When the picture was taken: invented, like the pilot.
const TAKEN: &str = "2024:10:14 10:30:00";

const SHORT: u16 = 3;
const LONG: u16 = 4;
const ASCII: u16 = 2;
const RATIONAL: u16 = 5;
const UNDEFINED: u16 = 7;

struct Entry {
    tag: u16,
    kind: u16,
    count: u32,
    value: Vec<u8>,
}

/// The Exif block (a little-endian TIFF) for a picture by `camera`.
pub(crate) fn facts(camera: &Camera) -> Vec<u8> {
    let equivalent = camera.focal_35mm.round().clamp(0.0, f64::from(u16::MAX)) as u16;
    let first_offset = 8;
    let mut main = vec![
        short(0x0112, 1), // Orientation: upright
        text(0x0132, TAKEN),
        long(0x8769, 0), // where the Exif entries start; filled in below
    ];
    let exif_offset = first_offset + size(&main);
    main[2] = long(0x8769, exif_offset);
    let exif = vec![
        Entry { tag: 0x9000, kind: UNDEFINED, count: 4, value: b"0232".to_vec() },
        text(0x9003, TAKEN),
        text(0x9004, TAKEN),
        // The frame is taken as 36 x 24 mm, so the focal length is the equivalent one.
        Entry { tag: 0x920A, kind: RATIONAL, count: 1, value: tenths(camera.focal_35mm) },
        short(0xA001, 1), // sRGB
        long(0xA002, camera.size.0),
        long(0xA003, camera.size.1),
        short(0xA405, equivalent),
    ];
    let mut bytes = b"II\x2a\0\x08\0\0\0".to_vec();
    write(&mut bytes, &main);
    write(&mut bytes, &exif);
    bytes
}

fn tenths(value: f64) -> Vec<u8> {
    [((value * 10.0).round() as u32).to_le_bytes(), 10u32.to_le_bytes()].concat()
}

fn short(tag: u16, value: u16) -> Entry {
    Entry { tag, kind: SHORT, count: 1, value: value.to_le_bytes().to_vec() }
}

fn long(tag: u16, value: u32) -> Entry {
    Entry { tag, kind: LONG, count: 1, value: value.to_le_bytes().to_vec() }
}

fn text(tag: u16, value: &str) -> Entry {
    let mut bytes = value.as_bytes().to_vec();
    bytes.push(0);
    Entry { tag, kind: ASCII, count: bytes.len() as u32, value: bytes }
}

/// Bytes a directory takes, with the values that do not fit into its entries.
fn size(entries: &[Entry]) -> u32 {
    let outside: usize =
        entries.iter().map(|e| if e.value.len() > 4 { e.value.len().next_multiple_of(2) } else { 0 }).sum();
    (2 + entries.len() * 12 + 4 + outside) as u32
}

fn write(bytes: &mut Vec<u8>, entries: &[Entry]) {
    let mut outside_at = bytes.len() as u32 + 2 + entries.len() as u32 * 12 + 4;
    let mut outside = Vec::new();
    bytes.extend((entries.len() as u16).to_le_bytes());
    for entry in entries {
        bytes.extend(entry.tag.to_le_bytes());
        bytes.extend(entry.kind.to_le_bytes());
        bytes.extend(entry.count.to_le_bytes());
        let mut value = entry.value.clone();
        if value.len() > 4 {
            bytes.extend(outside_at.to_le_bytes());
            value.resize(value.len().next_multiple_of(2), 0);
            outside_at += value.len() as u32;
            outside.extend(value);
        } else {
            value.resize(4, 0);
            bytes.extend(value);
        }
    }
    bytes.extend(0u32.to_le_bytes());
    bytes.extend(outside);
}
