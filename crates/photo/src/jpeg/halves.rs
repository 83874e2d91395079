//! A large JPEG decoded in two halves at once, which come to exactly the samples that it gives as a whole.
//!
//! Most of a decoder's time goes by at reading codes, one after the other: nobody knows where a code begins but by reading all
//! before it, and each block's first coefficient is sent as its difference to the block before. The check of the scans reads the
//! codes twice as fast as the decoder, so it is sent ahead. Where it comes to the middle, the rest is made a JPEG of its own: its
//! first unit is coded anew with the differences to nothing, the other codes follow as they are. While that is decoded the check
//! goes on to the end.

use super::decode::{Decoded, decode_leniently};
use super::huffman::{Bits, Table, has_ff_byte};
use super::markers::{Component, DRI, EOI, Markers, SOS, Segment};
use super::scans::{MOST_DC_BITS, Place, Scan, State, read_dc};
use crate::error::Fault;
use crate::stop::Stop;

/// Pixels from which on a picture is decoded in halves: below, the whole takes a few hundredths of a second.
const LARGE: u64 = 4_000_000;

/// Rows of units that each half has beside its own, for colour that is sent at half the height is spread over the seam from both
/// sides.
const BESIDE: u32 = 1;

/// Where a picture is divided.
pub(super) struct Halves<'a> {
    bytes: &'a [u8],
    markers: &'a Markers,
    /// Where among the segments its one scan is.
    scan: usize,
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
        let mut scans = (0..markers.segments.len()).filter(|&at| markers.segments[at].marker == SOS);
        let (Some(scan), None) = (scans.next(), scans.next()) else {
            return None;
        };
        let restarts = markers.segments.iter().any(|segment| segment.marker == DRI);
        let square = |c: &Component| c.horizontal == 1 && c.vertical == 1;
        // A picture of one component is sent block by block, whatever it says of sampling.
        let plain = frame.components.len() > 1 || frame.components.iter().all(square);
        let unit_height = 8 * u32::from(frame.components.iter().map(|c| c.vertical).max()?);
        let upper = u32::from(frame.height) / unit_height / 2;
        (plain && !restarts && !frame.progressive && upper > BESIDE).then_some(Self {
            bytes,
            markers,
            scan,
            upper,
            unit_height,
        })
    }

    /// Decodes both and checks all codes. `width` is that of the decoded picture, which tells its size of the four.
    ///
    /// `None` if the lower half cannot be made a JPEG of its own: a number has no code, as it occurs nowhere in the picture.
    pub(super) fn decode(&self, width: u32, stop: &Stop) -> Result<Option<Decoded>, Fault> {
        let (upper, lower) =
            rayon::join(|| self.decode_upper(width, stop), || self.check_and_decode_lower(width, stop));
        let (lower, upper) = (lower?, upper?);
        Ok(lower.map(|lower| self.joined(upper, &lower)))
    }

    fn decode_upper(&self, width: u32, stop: &Stop) -> Result<Decoded, Fault> {
        let head = self.head((self.upper + BESIDE) * self.unit_height);
        decode_leniently(&[&head, self.codes(), END], Some((width, ANY_HEIGHT)), stop)
    }

    fn check_and_decode_lower(&self, width: u32, stop: &Stop) -> Result<Option<Decoded>, Fault> {
        let (before, after) = self.markers.segments.split_at(self.scan);
        let mut state = State::new(&self.markers.frame);
        state.read(self.bytes, before, stop)?;
        let scan = state.read_scan_header(&self.bytes[self.sos().content.clone()])?;
        let mut place = Place::start(self.codes());
        let row = self.upper - BESIDE;
        state.read_units(&scan, &mut place, row * state.units.0, stop)?;
        let codes = begin_anew(&state, &scan, place.bits.clone());
        // The longer way first: it is gone at once, and the other when a thread is free.
        let (decoded, checked) = rayon::join(
            || {
                let head = self.head(u32::from(self.markers.frame.height) - row * self.unit_height);
                codes
                    .map(|codes| decode_leniently(&[&head, &codes, END], Some((width, ANY_HEIGHT)), stop))
                    .transpose()
            },
            || {
                state.finish_scan(&scan, &mut place, stop)?;
                state.read(self.bytes, &after[1..], stop)?;
                state.is_whole()
            },
        );
        checked.and(decoded)
    }

    fn sos(&self) -> &Segment {
        &self.markers.segments[self.scan]
    }

    fn codes(&self) -> &[u8] {
        &self.bytes[self.sos().content.end..self.sos().whole.end]
    }

    /// All before the codes, for a picture of another height.
    fn head(&self, height: u32) -> Vec<u8> {
        let mut head = self.bytes[..self.sos().content.end].to_vec();
        // T.81, B.2.2: the height follows the precision.
        let at = self.markers.frame.content + 1;
        head[at..at + 2].copy_from_slice(&(height as u16).to_be_bytes());
        head
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

const END: &[u8] = &[0xFF, EOI];

/// A height that no decoded size of a half reaches, so that the width alone tells which it is.
const ANY_HEIGHT: u32 = u16::MAX as u32;

/// The codes from here on as those of a picture that begins here. `None` if a number that is needed has no code.
fn begin_anew(state: &State, scan: &Scan, mut bits: Bits<'_>) -> Option<Vec<u8>> {
    let mut codes = Codes::default();
    for &(component, dc, ac) in &scan.parts {
        let (dc, ac) = (state.dc[dc].as_ref()?, state.ac[ac].as_ref()?);
        let component = &state.components[component];
        let mut before = component.level;
        for _ in 0..if scan.parts.len() == 1 { 1 } else { component.blocks_in_unit } {
            codes.put_number(dc, read_dc(&mut bits, dc)?.checked_add(before)?)?;
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
    Some(codes.finished())
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
    fn what_is_small_or_sent_with_restarts_is_left_whole() {
        let jpeg = photo(64, ColorType::Rgb, SamplingFactor::F_2_2);
        let (_, mut markers) = read_header(&jpeg).unwrap();
        assert!(Halves::of(&jpeg, &markers).is_none());
        markers.segments[0].marker = DRI;
        assert!(Halves::of_any_size(&jpeg, &markers).is_none());
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
                (Ok(None), _) | (Err(_), Err(_)) => {}
                (Ok(Some(_)), Err(fault)) => return Err(TestCaseError::fail(format!("halves do not see: {fault:?}"))),
                (Err(fault), Ok(_)) => return Err(TestCaseError::fail(format!("halves alone see: {fault:?}"))),
            }
        }
    }
}
