//! Whether a JPEG's scans are whole: every code of every scan is read to its last block, without making pixels of it.
//!
//! Decoders fill in grey where data is missing and do not say so, and a decoder that does say takes three times as long. After
//! this check, for every Huffman-coded JPEG, baseline, extended or progressive: each scan holds all the blocks of the picture,
//! all codes are defined, restart markers follow in order, and all coefficients have been sent at full precision.
//! What it cannot see is damage that happens to spell other valid codes to the end.

use super::huffman::{Bits, Table};
use super::markers::{DHT, DQT, DRI, Frame, Markers, SOS, Segment};
use crate::error::Fault;
use crate::format::Format;
use crate::stop::Stop;

/// Units read between two looks at whether to stop: some milliseconds of work.
const UNITS_BETWEEN_LOOKS: u32 = 1 << 14;

/// The most blocks in a unit of a scan of several components (T.81, B.2.3).
const MOST_BLOCKS_IN_UNIT: u32 = 10;

/// Most bits that the difference of two 8-bit samples' first coefficients takes (T.81, table F.1).
pub(super) const MOST_DC_BITS: u32 = 11;

/// Checks all scans.
pub(super) fn check(bytes: &[u8], markers: &Markers, stop: &Stop) -> Result<(), Fault> {
    let mut state = State::new(&markers.frame);
    state.read(bytes, &markers.segments, stop)?;
    state.is_whole()
}

fn fault(detail: &str) -> Fault {
    Fault::damaged(Format::Jpeg, detail)
}

/// What earlier segments have defined, and how much of the picture their scans have sent.
pub(super) struct State {
    /// The highest number that a code table may have (T.81, B.2.3).
    last_table: u8,
    progressive: bool,
    /// Minimum coded units of a scan of several components, across and down.
    pub(super) units: (u32, u32),
    pub(super) components: Vec<Component>,
    pub(super) dc: [Option<Table>; 4],
    pub(super) ac: [Option<Table>; 4],
    /// Which quantization tables have been sent.
    quantization: [bool; 4],
    restart_interval: u32,
}

pub(super) struct Component {
    id: u8,
    /// The number of its quantization table.
    quantization: usize,
    /// Blocks in one unit of a scan of several components.
    pub(super) blocks_in_unit: u32,
    /// All blocks, in a scan of this component alone.
    blocks: u32,
    /// Which of the 64 coefficients have been sent to their last bit.
    complete: u64,
    /// The first coefficient of the last block read, as it was sent; of a sequential picture without restarts.
    pub(super) level: i32,
    /// For each block of a progressive picture, which coefficients are known not to be zero: refining takes one bit for each.
    nonzero: Vec<u64>,
}

pub(super) struct Scan {
    /// Component and the numbers of its two tables.
    pub(super) parts: Vec<(usize, usize, usize)>,
    /// First and last coefficient, in zigzag order.
    first: u32,
    last: u32,
    refines: bool,
    final_bit: bool,
}

/// How far a scan has been read.
pub(super) struct Place<'a> {
    pub(super) bits: Bits<'a>,
    /// The next unit.
    unit: u32,
    /// The blocks still to come in a run of blocks without any coefficient.
    zero_blocks: u32,
}

impl<'a> Place<'a> {
    pub(super) fn start(data: &'a [u8]) -> Self {
        Self { bits: Bits::new(data), unit: 0, zero_blocks: 0 }
    }
}

impl State {
    /// The sizes by T.81, A.1.1 and A.2.
    pub(super) fn new(frame: &Frame) -> Self {
        let (width, height) = (u32::from(frame.width), u32::from(frame.height));
        let most = |factor: fn(&super::markers::Component) -> u8| {
            u32::from(frame.components.iter().map(factor).max().unwrap_or(1))
        };
        let (across, down) = (most(|c| c.horizontal), most(|c| c.vertical));
        let components = frame.components.iter().map(|c| {
            let (horizontal, vertical) = (u32::from(c.horizontal), u32::from(c.vertical));
            let blocks_across = (width * horizontal).div_ceil(across).div_ceil(8);
            let blocks_down = (height * vertical).div_ceil(down).div_ceil(8);
            let blocks = blocks_across * blocks_down;
            Component {
                id: c.id,
                quantization: usize::from(c.quantization),
                blocks_in_unit: horizontal * vertical,
                blocks,
                complete: 0,
                level: 0,
                nonzero: if frame.progressive { vec![0; blocks as usize] } else { Vec::new() },
            }
        });
        Self {
            last_table: if frame.baseline { 1 } else { 3 },
            progressive: frame.progressive,
            units: (width.div_ceil(8 * across), height.div_ceil(8 * down)),
            components: components.collect(),
            dc: [const { None }; 4],
            ac: [const { None }; 4],
            quantization: [false; 4],
            restart_interval: 0,
        }
    }

    /// Takes in these segments, and reads the codes of the scans among them.
    pub(super) fn read(&mut self, bytes: &[u8], segments: &[Segment], stop: &Stop) -> Result<(), Fault> {
        for segment in segments {
            let content = &bytes[segment.content.clone()];
            let (sound, what) = match segment.marker {
                DHT => (self.define_tables(content), "a bad code table"),
                DQT => (self.define_quantization(content), "a bad quantization table"),
                DRI => (self.define_restarts(content), "a bad restart interval"),
                SOS => {
                    let scan = self.read_scan_header(content)?;
                    let mut place = Place::start(&bytes[segment.content.end..segment.whole.end]);
                    self.finish_scan(&scan, &mut place, stop)?;
                    continue;
                }
                _ => continue,
            };
            sound.ok_or_else(|| fault(what))?;
        }
        Ok(())
    }

    /// Whether all coefficients of all components have been sent.
    pub(super) fn is_whole(&self) -> Result<(), Fault> {
        let whole = self.components.iter().all(|component| component.complete == u64::MAX);
        whole.then_some(()).ok_or_else(|| fault("scans are missing"))
    }

    fn define_tables(&mut self, mut content: &[u8]) -> Option<()> {
        while let Some((&[class_and_number], rest)) = content.split_first_chunk() {
            let (counts, rest) = rest.split_first_chunk::<16>()?;
            let total: usize = counts.iter().map(|&count| usize::from(count)).sum();
            let (symbols, rest) = rest.split_at_checked(total)?;
            let (class, number) = (class_and_number >> 4, class_and_number & 15);
            if !(1..=256).contains(&total) || class > 1 || number > self.last_table {
                return None;
            }
            let tables = if class == 0 { &mut self.dc } else { &mut self.ac };
            tables[usize::from(number)] = Some(Table::new(counts, symbols)?);
            content = rest;
        }
        Some(())
    }

    /// Every coefficient is divided by at least 1 (T.81, B.2.4.1): decoders refuse a table with a zero.
    fn define_quantization(&mut self, mut content: &[u8]) -> Option<()> {
        while let Some((&[precision_and_number], rest)) = content.split_first_chunk() {
            let bytes = match precision_and_number >> 4 {
                0 => 1,
                1 => 2,
                _ => return None,
            };
            let (table, rest) = rest.split_at_checked(64 * bytes)?;
            if table.chunks_exact(bytes).any(|entry| entry.iter().all(|byte| *byte == 0)) {
                return None;
            }
            *self.quantization.get_mut(usize::from(precision_and_number & 15))? = true;
            content = rest;
        }
        Some(())
    }

    fn define_restarts(&mut self, content: &[u8]) -> Option<()> {
        self.restart_interval = u32::from(u16::from_be_bytes(content.try_into().ok()?));
        Some(())
    }

    pub(super) fn read_scan_header(&self, content: &[u8]) -> Result<Scan, Fault> {
        self.scan_header(content).ok_or_else(|| fault("a bad scan header"))
    }

    fn scan_header(&self, content: &[u8]) -> Option<Scan> {
        let (&count, rest) = content.split_first()?;
        let (list, &[first, last, bits]) = rest.split_last_chunk()?;
        if !matches!(count, 1..=4) || list.len() != 2 * usize::from(count) {
            return None;
        }
        let parts = list.chunks_exact(2).map(|part| {
            let component = self.components.iter().position(|component| component.id == part[0])?;
            let (dc, ac) = (part[1] >> 4, part[1] & 15);
            (dc.max(ac) <= self.last_table).then_some((component, usize::from(dc), usize::from(ac)))
        });
        let (high, low) = (bits >> 4, bits & 15);
        // What a decoder refuses is refused here too (T.81, B.2.3 and G.1.1.1), but for a last coefficient that some cameras leave at 0.
        let sensible = if self.progressive {
            // Only coefficient 0 may be sent for several components at once, and only alone; each scan refines by one bit.
            let alone = if first == 0 { last == 0 } else { count == 1 };
            first <= last && last < 64 && alone && high <= 13 && low <= 13 && (high == 0 || high == low + 1)
        } else {
            first == 0 && matches!(last, 0 | 63) && bits == 0
        };
        let last = if self.progressive { last } else { 63 };
        let parts: Vec<(usize, usize, usize)> = parts.collect::<Option<_>>()?;
        let quantized = |component: usize| {
            self.quantization.get(self.components[component].quantization).copied().unwrap_or_default()
        };
        let in_order = parts.is_sorted_by(|one, next| one.0 < next.0);
        let blocks: u32 =
            parts.iter().map(|&(component, ..)| self.components[component].blocks_in_unit).sum();
        let sensible = sensible
            && in_order
            && (parts.len() == 1 || blocks <= MOST_BLOCKS_IN_UNIT)
            && parts.iter().all(|&(component, ..)| quantized(component));
        sensible.then_some(Scan {
            parts,
            first: first.into(),
            last: last.into(),
            refines: high > 0,
            final_bit: low == 0,
        })
    }

    /// The blocks of a scan of one component, or the units of one of several.
    fn units_of(&self, scan: &Scan) -> u32 {
        match scan.parts[..] {
            [(component, ..)] => self.components[component].blocks,
            _ => self.units.0 * self.units.1,
        }
    }

    /// Reads what is left of a scan.
    pub(super) fn finish_scan(
        &mut self,
        scan: &Scan,
        place: &mut Place<'_>,
        stop: &Stop,
    ) -> Result<(), Fault> {
        self.read_units(scan, place, self.units_of(scan), stop)?;
        if scan.final_bit {
            let sent = u64::MAX >> (63 - scan.last) & u64::MAX << scan.first;
            scan.parts.iter().for_each(|&(component, ..)| self.components[component].complete |= sent);
        }
        Ok(())
    }

    /// Reads the units of a scan that come before this one.
    pub(super) fn read_units(
        &mut self,
        scan: &Scan,
        place: &mut Place<'_>,
        end: u32,
        stop: &Stop,
    ) -> Result<(), Fault> {
        self.read_to(scan, place, end, stop).ok_or_else(|| fault("a scan that ends early or makes no sense"))
    }

    fn read_to(&mut self, scan: &Scan, place: &mut Place<'_>, end: u32, stop: &Stop) -> Option<()> {
        let alone = scan.parts.len() == 1;
        let Place { bits, unit: next, zero_blocks } = place;
        for unit in *next..end {
            if self.restart_interval > 0 && unit > 0 && unit % self.restart_interval == 0 {
                bits.restart((unit / self.restart_interval - 1) as u8 % 8)?;
                *zero_blocks = 0;
            }
            for &(component, dc, ac) in &scan.parts {
                let (dc, ac) = (self.dc[dc].as_ref(), self.ac[ac].as_ref());
                let component = &mut self.components[component];
                if !self.progressive {
                    for _ in 0..if alone { 1 } else { component.blocks_in_unit } {
                        let difference = read_sequential_block(bits, dc?, ac?)?;
                        component.level = component.level.wrapping_add(difference);
                    }
                } else if scan.first == 0 {
                    for _ in 0..if alone { 1 } else { component.blocks_in_unit } {
                        if scan.refines {
                            bits.skip(1);
                        } else {
                            read_dc(bits, dc?)?;
                        }
                    }
                } else {
                    let nonzero = component.nonzero.get_mut(unit as usize)?;
                    let band = (scan.first, scan.last);
                    if scan.refines {
                        refine_ac(bits, ac?, band, zero_blocks, nonzero)?;
                    } else {
                        read_ac(bits, ac?, band, zero_blocks, nonzero)?;
                    }
                }
            }
            if bits.ran_out() || unit % UNITS_BETWEEN_LOOKS == 0 && stop.is_stopped() {
                return None;
            }
        }
        *next = end;
        Some(())
    }
}

/// A block of a baseline or extended sequential picture (T.81, F.2.2). Gives its first coefficient's difference.
#[inline]
fn read_sequential_block(bits: &mut Bits<'_>, dc: &Table, ac: &Table) -> Option<i32> {
    let difference = read_dc(bits, dc)?;
    let mut at = 1;
    while at < 64 {
        let symbol = bits.symbol_with_value(ac)?;
        let (zeros, size) = (symbol >> 4, symbol & 15);
        if size == 0 && zeros < 15 {
            return Some(difference);
        }
        at += zeros + 1;
    }
    (at == 64).then_some(difference)
}

/// The first coefficient's difference to the one of the component's block before (T.81, F.2.2.1).
#[inline]
pub(super) fn read_dc(bits: &mut Bits<'_>, table: &Table) -> Option<i32> {
    let size = bits.symbol(table).filter(|size| *size <= MOST_DC_BITS)?;
    let told = bits.take(size).cast_signed();
    // The lower half of a size's numbers stands for the negative ones.
    Some(if size > 0 && told >> (size - 1) == 0 { told + 1 - (1 << size) } else { told })
}

/// A block's band of coefficients, sent for the first time (T.81, G.1.2.2). `zero_blocks` counts the blocks still to come in a
/// run of blocks without any.
fn read_ac(
    bits: &mut Bits<'_>,
    table: &Table,
    (first, last): (u32, u32),
    zero_blocks: &mut u32,
    nonzero: &mut u64,
) -> Option<()> {
    if *zero_blocks > 0 {
        *zero_blocks -= 1;
        return Some(());
    }
    let mut at = first;
    while at <= last {
        let symbol = bits.symbol(table)?;
        let (zeros, size) = (symbol >> 4, symbol & 15);
        if size == 0 && zeros < 15 {
            *zero_blocks = (1 << zeros) - 1 + bits.take(zeros);
            return Some(());
        }
        at += zeros;
        if size > 0 && at <= last {
            *nonzero |= 1 << at;
        }
        bits.take(size);
        at += 1;
    }
    (at == last + 1).then_some(())
}

/// A block's band of coefficients, made more precise by one bit (T.81, G.1.2.3).
fn refine_ac(
    bits: &mut Bits<'_>,
    table: &Table,
    (first, last): (u32, u32),
    zero_blocks: &mut u32,
    nonzero: &mut u64,
) -> Option<()> {
    let mut at = first;
    while *zero_blocks == 0 && at <= last {
        let symbol = bits.symbol(table)?;
        let (mut zeros, size) = (symbol >> 4, symbol & 15);
        if size == 0 && zeros < 15 {
            *zero_blocks = (1 << zeros) + bits.take(zeros);
            break;
        }
        if size > 1 {
            return None;
        }
        bits.take(size);
        // Coefficients that were not zero before do not count as part of the run; each takes one bit.
        while at <= last && (zeros > 0 || *nonzero >> at & 1 != 0) {
            if *nonzero >> at & 1 != 0 {
                bits.skip(1);
            } else {
                zeros -= 1;
            }
            at += 1;
        }
        if at > last {
            return (size == 0 && zeros == 0).then_some(());
        }
        *nonzero |= u64::from(size) << at;
        at += 1;
    }
    if *zero_blocks > 0 {
        let rest = *nonzero & (u64::MAX >> (63 - last)) & u64::MAX.checked_shl(at).unwrap_or(0);
        bits.skip(rest.count_ones());
        *zero_blocks -= 1;
    }
    Some(())
}
