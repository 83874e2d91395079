//! A large JPEG decoded in two halves at once, which come to exactly the samples that it gives as a whole.
//!
//! Most of a decoder's time goes by at reading codes, one after the other: nobody knows where a code begins but by reading all
//! before it, and each block's first coefficient is sent as its difference to the block before. The check of the scans reads the
//! codes twice as fast as the decoder, so it is sent ahead. Where it comes to the middle, the rest is made a JPEG of its own: its
//! first unit is coded anew with the differences to nothing, the other codes follow as they are. Tables that were fitted to the picture
//! may lack codes for such differences, and are completed. While that is decoded the check goes on to the end.

use super::decode::{Decoded, decode_leniently};
use super::huffman::{Bits, Table, has_ff_byte};
use super::markers::{APP0, APP13, APP15, COM, Component, DHT, DRI, EOI, Markers, RST0, RST7, SOS, Segment};
use super::scans::{MOST_DC_BITS, Place, Scan, State, read_dc};
use crate::error::Fault;
use crate::stop::Stop;

/// Pixels from which on a picture is decoded in halves: below, the whole takes a few hundredths of a second.
const LARGE: u64 = 4_000_000;

/// Rows of units that each half has beside its own, for colour that is sent at half the height is spread over the seam from both
/// sides.
const BESIDE: u32 = 1;

/// The most bytes of codes that are divided, since half of them stand in memory twice meanwhile: as many as the largest photo of a camera has.
const MOST_BYTES: usize = 64 << 20;

/// Where a picture is divided.
pub(super) struct Halves<'a> {
    bytes: &'a [u8],
    markers: &'a Markers,
    /// Where among the segments its one scan is.
    scan: usize,
    /// The codes, without restart markers at their end.
    codes: &'a [u8],
    /// Rows of units in the upper half.
    upper: u32,
    /// Height of a row of units, in pixels.
    unit_height: u32,
}

impl<'a> Halves<'a> {
    /// The halves of a picture, if it is large and sent in one sequential scan without restarts.
    pub(super) fn of(bytes: &'a [u8], markers: &'a Markers) -> Option<Self> {
        let large = u64::from(markers.frame.width) * u64::from(markers.frame.height) >= LARGE;
        if large { Self::of_any_size(bytes, markers) } else { None }
    }

    fn of_any_size(bytes: &'a [u8], markers: &'a Markers) -> Option<Self> {
        let frame = &markers.frame;
        let scan = markers.segments.iter().position(|segment| segment.marker == SOS)?;
        // What follows the scan is part of neither half, and must say nothing of the picture.
        let idle = |segment: &Segment| matches!(segment.marker, APP0..=APP13 | APP15 | COM);
        let alone = markers.segments[scan + 1..].iter().all(idle);
        let restarts = markers.segments.iter().any(|segment| segment.marker == DRI);
        let square = |c: &Component| c.horizontal == 1 && c.vertical == 1;
        // A picture of one component is sent block by block, whatever it says of sampling: that is left to the decoder.
        let plain = frame.components.len() > 1 || frame.components.iter().all(square);
        let unit_height = 8 * u32::from(frame.components.iter().map(|c| c.vertical).max()?);
        let upper = u32::from(frame.height) / unit_height / 2;
        let sos = &markers.segments[scan];
        let mut codes = &bytes[sos.content.end..sos.whole.end];
        while let [before @ .., 0xFF, RST0..=RST7] = codes {
            codes = before;
        }
        (alone && plain && !restarts && !frame.progressive && upper > BESIDE && codes.len() <= MOST_BYTES)
            .then_some(Self { bytes, markers, scan, codes, upper, unit_height })
    }

    /// Decodes both and checks all codes. `width` is that of the decoded picture, which tells its size of the four.
    ///
    /// `None` if the lower half cannot be made a JPEG of its own, for want of room in its tables or because it is damaged.
    pub(super) fn decode(&self, width: u32, stop: &Stop) -> Result<Option<Decoded>, Fault> {
        let (upper, lower) =
            rayon::join(|| self.decode_upper(width, stop), || self.check_and_decode_lower(width, stop));
        let (lower, upper) = (lower?, upper?);
        Ok(lower.map(|lower| self.joined(upper, &lower)))
    }

    fn decode_upper(&self, width: u32, stop: &Stop) -> Result<Decoded, Fault> {
        // The decoder ends with its last row, and passes over the codes behind it.
        self.decode_half((self.upper + BESIDE) * self.unit_height, &[], self.codes, width, stop)
    }

    /// Decodes codes as a picture of another height, with these segments before its scan.
    fn decode_half(
        &self,
        height: u32,
        tables: &[u8],
        codes: &[u8],
        width: u32,
        stop: &Stop,
    ) -> Result<Decoded, Fault> {
        // The height follows the precision (T.81, B.2.2).
        let at = self.markers.frame.content + 1;
        let height = (height as u16).to_be_bytes();
        let sos = &self.markers.segments[self.scan];
        let before = &self.bytes[at + 2..sos.whole.start];
        let header = &self.bytes[sos.whole.start..sos.content.end];
        let pieces = [&self.bytes[..at], &height, before, tables, header, codes, &[0xFF, EOI]];
        decode_leniently(&pieces, Some((width, ANY_HEIGHT)), stop)
    }

    fn check_and_decode_lower(&self, width: u32, stop: &Stop) -> Result<Option<Decoded>, Fault> {
        let (before, after) = self.markers.segments.split_at(self.scan);
        let mut state = State::new(&self.markers.frame);
        state.read(self.bytes, before, stop)?;
        let scan = state.read_scan_header(&self.bytes[self.markers.segments[self.scan].content.clone()])?;
        let mut place = Place::start(self.codes);
        let row = self.upper - BESIDE;
        state.read_units(&scan, &mut place, row * state.units.0, stop)?;
        let begun = Begun::anew(&state, &scan, place.bits.clone());
        // What is first is begun at once, what is second when a thread is free: decoding takes longer.
        let (decoded, checked) = rayon::join(
            || {
                let height = u32::from(self.markers.frame.height) - row * self.unit_height;
                let decode = |Begun { tables, codes }| self.decode_half(height, &tables, &codes, width, stop);
                begun.map(decode).transpose()
            },
            || {
                state.finish_scan(&scan, &mut place, stop)?;
                state.read(self.bytes, &after[1..], stop)?;
                state.is_whole()
            },
        );
        checked.and(decoded)
    }

    fn joined(&self, upper: Decoded, lower: &Decoded) -> Decoded {
        let row = upper.samples.len() / (self.upper + BESIDE) as usize;
        let mut samples = upper.samples;
        samples.truncate(row * self.upper as usize);
        samples.extend_from_slice(&lower.samples[row * BESIDE as usize..]);
        let beside = upper.height / (self.upper + BESIDE) * BESIDE;
        Decoded { samples, width: upper.width, height: upper.height - 2 * beside + lower.height }
    }
}

/// A height that no decoded size of a half reaches, so that the width alone tells which it is.
const ANY_HEIGHT: u32 = u16::MAX as u32;

/// The rest of a scan as the scan of a picture that begins there.
struct Begun {
    /// Segments that define its tables for first coefficients, completed.
    tables: Vec<u8>,
    codes: Vec<u8>,
}

impl Begun {
    /// `None` if a table has no room, or the codes make no sense.
    fn anew(state: &State, scan: &Scan, mut bits: Bits<'_>) -> Option<Self> {
        let mut tables = Vec::new();
        let mut codes = Codes::default();
        for &(component, dc_number, ac) in &scan.parts {
            let (dc, ac) = (state.dc[dc_number].as_ref()?, state.ac[ac].as_ref()?);
            let (counts, symbols) = dc.completed(MOST_DC_BITS as u8)?;
            let completed = Table::new(&counts, &symbols)?;
            let length = (2 + 1 + counts.len() + symbols.len()) as u16;
            // T.81, B.2.4.2: tables for first coefficients are of class 0. To define one twice does no harm.
            tables.extend([0xFF, DHT]);
            tables.extend(length.to_be_bytes());
            tables.push(dc_number as u8);
            tables.extend(counts);
            tables.extend(symbols);

            let component = &state.components[component];
            let mut before = component.level;
            for _ in 0..if scan.parts.len() == 1 { 1 } else { component.blocks_in_unit } {
                codes.put_number(&completed, read_dc(&mut bits, dc)?.checked_add(before)?)?;
                before = 0;
                let mut at = 1;
                while at < 64 {
                    let symbol = bits.symbol(ac)?;
                    let (zeros, size) = (symbol >> 4, symbol & 15);
                    codes.put(ac.code_of(symbol as u8)?);
                    codes.put((bits.take(size), size));
                    at = if size == 0 && zeros < 15 { 64 } else { at + zeros + 1 };
                }
            }
        }
        // Room for a stuffed zero in every hundredth byte, where one in 256 is to be expected.
        codes.bytes.reserve(bits.bytes_left() / 100 * 101);
        bits.hand_on(|some| codes.put(some));
        Some(Self { tables, codes: codes.finished() })
    }
}

/// Codes being written.
#[derive(Default)]
struct Codes {
    bytes: Vec<u8>,
    /// The last bits, fewer than 32, in the lowest places.
    last: u64,
    count: u32,
}

impl Codes {
    /// Puts up to 31 bits.
    fn put(&mut self, (bits, count): (u32, u32)) {
        self.last = self.last << count | u64::from(bits);
        self.count += count;
        if self.count >= 32 {
            self.count -= 32;
            let word = (self.last >> self.count) as u32;
            if has_ff_byte(word.into()) {
                word.to_be_bytes().into_iter().for_each(|byte| self.put_byte(byte));
            } else {
                self.bytes.extend_from_slice(&word.to_be_bytes());
            }
        }
    }

    /// A byte of ones is told from a marker by a zero behind it (T.81, F.1.2.3).
    fn put_byte(&mut self, byte: u8) {
        self.bytes.push(byte);
        if byte == 0xFF {
            self.bytes.push(0);
        }
    }

    /// The bytes, the last of them filled up with ones (T.81, F.1.2.3).
    fn finished(mut self) -> Vec<u8> {
        self.put((0x7F, 7));
        while self.count >= 8 {
            self.count -= 8;
            self.put_byte((self.last >> self.count) as u8);
        }
        self.bytes
    }

    /// Puts a first coefficient's difference (T.81, F.1.2.1).
    fn put_number(&mut self, table: &Table, number: i32) -> Option<()> {
        let size = u32::BITS - number.unsigned_abs().leading_zeros();
        if size > MOST_DC_BITS {
            return None;
        }
        self.put(table.code_of(size as u8)?);
        let told = if number < 0 { number - 1 } else { number };
        self.put((told as u32 & ((1 << size) - 1), size));
        Some(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::jpeg::markers::read_header;
    use crate::jpeg::scans;
    use jpeg_encoder::{ColorType, Encoder, SamplingFactor};
    use proptest::prelude::*;

    const WIDTH: u32 = 401;

    /// Clouds with edges and grain.
    fn photo(height: u32, kind: ColorType, sampling: SamplingFactor) -> Vec<u8> {
        let channels = match kind {
            ColorType::Luma => 1,
            ColorType::Rgb => 3,
            _ => 4,
        };
        let mut seed = 1_u32;
        let samples: Vec<u8> = (0..WIDTH * height * channels)
            .map(|at| {
                seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                let (x, y) = (at / channels % WIDTH, at / channels / WIDTH);
                let cloud = (x as f32 / 97.0 + (at % channels) as f32).sin() * (y as f32 / 61.0).cos();
                let edge = if (x / 50 + y / 70) % 2 == 0 { 30.0 } else { -30.0 };
                (cloud * 90.0 + 128.0 + edge + (seed >> 28) as f32) as u8
            })
            .collect();
        let mut jpeg = Vec::new();
        let mut encoder = Encoder::new(&mut jpeg, 85);
        encoder.set_sampling_factor(sampling);
        encoder.encode(&samples, WIDTH as u16, height as u16, kind).unwrap();
        jpeg
    }

    /// In halves and as a whole, both with all codes checked.
    fn both(jpeg: &[u8], part: u32) -> (Result<Option<Decoded>, Fault>, Result<Decoded, Fault>) {
        let stop = Stop::default();
        let (_, markers) = read_header(jpeg).unwrap();
        let halves = Halves::of_any_size(jpeg, &markers).expect("one sequential scan");
        let least = Some((WIDTH / part, u32::from(markers.frame.height) / part));
        let whole = scans::check(jpeg, &markers, &stop).and(decode_leniently(&[jpeg], least, &stop));
        (halves.decode(WIDTH.div_ceil(part), &stop), whole)
    }

    #[test]
    fn halves_come_to_the_same_samples_as_the_whole() {
        for (height, kind, sampling) in [
            (320, ColorType::Rgb, SamplingFactor::F_2_2),
            (319, ColorType::Rgb, SamplingFactor::F_2_2),
            (303, ColorType::Rgb, SamplingFactor::F_2_1),
            (303, ColorType::Rgb, SamplingFactor::F_1_2),
            (301, ColorType::Rgb, SamplingFactor::F_1_1),
            (64, ColorType::Rgb, SamplingFactor::F_2_2),
            (299, ColorType::Luma, SamplingFactor::F_1_1),
            (299, ColorType::Cmyk, SamplingFactor::F_1_1),
        ] {
            let jpeg = photo(height, kind, sampling);
            for part in [1, 2, 4, 8] {
                let (halves, whole) = both(&jpeg, part);
                let (halves, whole) = (halves.unwrap().expect("codes for all"), whole.unwrap());
                assert_eq!((halves.width, halves.height), (whole.width, whole.height));
                assert!(halves.samples == whole.samples, "{height} {kind:?} {sampling:?} 1/{part}");
            }
        }
    }

    #[test]
    fn what_is_large_is_divided_but_not_what_is_sent_with_restarts_or_with_more_behind_the_scan() {
        let is_divided = |jpeg: &[u8]| Halves::of(jpeg, &read_header(jpeg).unwrap().1).is_some();
        let large = photo(LARGE as u32 / WIDTH + 1, ColorType::Luma, SamplingFactor::F_1_1);
        assert!(is_divided(&large));
        assert!(!is_divided(&photo(64, ColorType::Rgb, SamplingFactor::F_2_2)));
        let behind_scan = large.len() - 2;
        for (at, segment, divided) in [
            (2, &[0xFF, DRI, 0, 4, 0, 0][..], false),
            (behind_scan, &[0xFF, COM, 0, 2], true),
            (behind_scan, &[0xFF, APP13 + 1, 0, 2], false),
            (behind_scan, &[0xFF, RST0, 0xFF, RST0 + 1], true),
        ] {
            let mut more = large.clone();
            more.splice(at..at, segment.iter().copied());
            assert_eq!(is_divided(&more), divided, "{segment:?}");
        }
    }

    #[test]
    fn restart_markers_behind_the_last_code_do_not_matter() {
        let mut jpeg = photo(128, ColorType::Rgb, SamplingFactor::F_2_2);
        let behind_scan = jpeg.len() - 2;
        jpeg.splice(behind_scan..behind_scan, [0xFF, RST0, 0xFF, RST0 + 1]);
        let (_, markers) = read_header(&jpeg).unwrap();
        assert!(
            Halves::of_any_size(&jpeg, &markers).unwrap().decode(WIDTH, &Stop::default()).unwrap().is_some()
        );
    }

    #[test]
    fn a_number_without_a_code_is_not_put() {
        let mut counts = [0; 16];
        counts[2] = 3;
        let table = Table::new(&counts, &[0, 2, 3]).unwrap();
        let mut codes = Codes::default();
        assert_eq!(codes.put_number(&table, 1), None);
        assert_eq!(codes.put_number(&table, 5000), None);
        // Code 010 and 100 for 4; code 001 and 00 for -3; ones to the end.
        codes.put_number(&table, 4).unwrap();
        codes.put_number(&table, -3).unwrap();
        assert_eq!(codes.finished(), [0b0101_0000, 0b1001_1111]);
    }

    proptest! {
        #[test]
        fn a_damaged_picture_is_refused_or_the_same_as_its_whole(
            at in 0.0..1.0_f64,
            change in 1..=255_u8,
            part in prop::sample::select(vec![1_u32, 4, 8]),
        ) {
            let mut jpeg = photo(128, ColorType::Rgb, SamplingFactor::F_2_2);
            let (_, markers) = read_header(&jpeg).unwrap();
            let codes = markers.segments.last().unwrap();
            let place = codes.content.end + ((codes.whole.end - codes.content.end) as f64 * at) as usize;
            jpeg[place] ^= change;
            // A marker in the middle of the codes may end them.
            prop_assume!(read_header(&jpeg).is_ok_and(|(_, now)| now.segments.len() == markers.segments.len()));
            match both(&jpeg, part) {
                (Ok(Some(halves)), Ok(whole)) => prop_assert!(halves.samples == whole.samples),
                // Numbers that no picture has cannot be coded anew.
                (Ok(None), Ok(_)) | (Err(_), Err(_)) => {}
                (Ok(None), Err(_)) => return Err(TestCaseError::fail("halves do not say that it is damaged".to_owned())),
                (Ok(Some(_)), Err(fault)) => return Err(TestCaseError::fail(format!("halves do not see: {fault:?}"))),
                (Err(fault), Ok(_)) => return Err(TestCaseError::fail(format!("halves alone see: {fault:?}"))),
            }
        }
    }
}
