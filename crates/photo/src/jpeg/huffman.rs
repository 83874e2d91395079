//! Huffman tables and the bits they are read from (ITU-T T.81, annexes C and F.2.2).

/// A code table. Codes up to [`SHORT`] bits are looked up; longer ones, which are rare, are searched by length.
pub(super) struct Table {
    /// For each value of the next [`SHORT`] bits: the code's length in the high byte, its symbol in the low one; 0 if longer.
    short: [u16; 1 << SHORT],
    /// For each length: the first value of the next 16 bits that belongs to a longer code.
    limit: [u32; 17],
    /// For each length: what to add to a code, wrapping around, to get the place of its symbol.
    offset: [u32; 17],
    /// For each length from 1: how many codes there are.
    counts: [u8; 16],
    symbols: Vec<u8>,
}

const SHORT: u32 = 9;

impl Table {
    /// Builds a table from the number of codes of each length 1 to 16 and the symbols in order of their codes. `None` if there
    /// are more codes than the lengths have room for.
    pub(super) fn new(counts: &[u8; 16], symbols: &[u8]) -> Option<Self> {
        let mut table = Self {
            short: [0; 1 << SHORT],
            limit: [0; 17],
            offset: [0; 17],
            counts: *counts,
            symbols: symbols.to_vec(),
        };
        let (mut code, mut place) = (0_u32, 0_usize);
        for (length, &count) in (1..=16).zip(counts) {
            table.offset[length as usize] = (place as u32).wrapping_sub(code);
            for &symbol in symbols.get(place..place + usize::from(count))? {
                if code >> length != 0 {
                    return None;
                }
                if length <= SHORT {
                    let first = (code << (SHORT - length)) as usize;
                    let entry = (length as u16) << 8 | u16::from(symbol);
                    table.short[first..first + (1 << (SHORT - length))].fill(entry);
                }
                code += 1;
            }
            place += usize::from(count);
            table.limit[length as usize] = code << (16 - length);
            code <<= 1;
        }
        Some(table)
    }

    /// The numbers of codes of each length and the symbols, as [`Table::new`] takes them, with codes for all symbols up to `last`: behind
    /// those that there are, which stay as they are. `None` if there is no room.
    pub(super) fn completed(&self, last: u8) -> Option<([u8; 16], Vec<u8>)> {
        let missing: Vec<u8> = (0..=last).filter(|symbol| !self.symbols.contains(symbol)).collect();
        let (mut counts, mut symbols) = (self.counts, self.symbols.clone());
        if missing.is_empty() {
            return Some((counts, symbols));
        }
        // An encoder leaves the code of ones alone free (T.81, annex C): it is the beginning of the new ones.
        let longest = (1..=16).rev().find(|length| counts[length - 1] > 0)?;
        let length = (longest + 4).min(16);
        let room = ((1_u32 << 16) - self.limit[longest]) >> (16 - length);
        counts[length - 1] += missing.len() as u8;
        symbols.extend(&missing);
        (missing.len() < room as usize).then_some((counts, symbols))
    }

    /// A symbol's code and its length. `None` if the table has none.
    pub(super) fn code_of(&self, symbol: u8) -> Option<(u32, u32)> {
        (1..=16_u32).find_map(|length| {
            let bound = |length: u32, at: u32| self.limit[length as usize] >> (16 - at);
            let mut codes = bound(length - 1, length)..bound(length, length);
            codes
                .find(|code| {
                    let place = code.wrapping_add(self.offset[length as usize]) as usize;
                    self.symbols.get(place) == Some(&symbol)
                })
                .map(|code| (code, length))
        })
    }

    /// The code at the head of the next 16 bits: its length and symbol.
    #[inline]
    fn find(&self, next: u32) -> Option<(u32, u8)> {
        let entry = self.short[(next >> (16 - SHORT)) as usize];
        if entry != 0 {
            return Some((u32::from(entry >> 8), entry as u8));
        }
        let length = (SHORT + 1..=16).find(|&length| next < self.limit[length as usize])?;
        let place = (next >> (16 - length)).wrapping_add(self.offset[length as usize]);
        Some((length, *self.symbols.get(place as usize)?))
    }
}

/// Reads entropy-coded data bit by bit up to the next marker. Reading on behind it gives zeros, and [`Bits::ran_out`] tells.
#[derive(Clone)]
pub(super) struct Bits<'a> {
    data: &'a [u8],
    at: usize,
    /// The next bits, from the highest down.
    next: u64,
    /// How many of them are real; below 0 once more have been taken than there were.
    real: i64,
}

impl<'a> Bits<'a> {
    pub(super) fn new(data: &'a [u8]) -> Self {
        Self { data, at: 0, next: 0, real: 0 }
    }

    /// The symbol of the next code. The bits that belong to it can be taken at once, up to 16.
    #[inline]
    pub(super) fn symbol(&mut self, table: &Table) -> Option<u32> {
        self.refill();
        let (length, symbol) = table.find((self.next >> 48) as u32)?;
        self.take(length);
        Some(symbol.into())
    }

    /// The symbol of the next code, and passes over the bits that belong to it: as many as its low four bits say.
    #[inline]
    pub(super) fn symbol_with_value(&mut self, table: &Table) -> Option<u32> {
        self.refill();
        let (length, symbol) = table.find((self.next >> 48) as u32)?;
        let symbol = u32::from(symbol);
        self.take(length + (symbol & 15));
        Some(symbol)
    }

    /// Takes up to 31 bits, of which there must be enough since the last symbol.
    #[inline]
    pub(super) fn take(&mut self, count: u32) -> u32 {
        let taken = (self.next >> 1 >> (63 - count)) as u32;
        self.next <<= count;
        self.real -= i64::from(count);
        taken
    }

    /// Bytes that have not been looked at, to the end of the data.
    pub(super) fn bytes_left(&self) -> usize {
        self.data.len() - self.at
    }

    /// Hands on all bits that are left before the marker, up to 31 at a time with their number.
    pub(super) fn hand_on(mut self, mut to: impl FnMut((u32, u32))) {
        loop {
            self.refill();
            let count = self.real.clamp(0, 31) as u32;
            if count == 0 {
                return;
            }
            to((self.take(count), count));
        }
    }

    /// Passes over any number of bits.
    pub(super) fn skip(&mut self, mut count: u32) {
        while count > 0 {
            self.refill();
            let step = count.min(16);
            self.take(step);
            count -= step;
        }
    }

    /// Whether more bits were taken than there were before the marker.
    #[inline]
    pub(super) fn ran_out(&self) -> bool {
        self.real < 0
    }

    /// Goes on behind the restart marker with this number, 0 to 7. `None` if another marker or more data comes first.
    pub(super) fn restart(&mut self, number: u8) -> Option<()> {
        // What is left of the last byte is padding.
        if self.real >= 8 {
            return None;
        }
        while self.data.get(self.at..self.at + 2)? == [0xFF, 0xFF] {
            self.at += 1;
        }
        if self.data[self.at..self.at + 2] != [0xFF, 0xD0 | number] {
            return None;
        }
        *self = Self { data: self.data, at: self.at + 2, next: 0, real: 0 };
        Some(())
    }

    /// Fills up to at least 57 bits, unless a marker comes before.
    #[inline]
    fn refill(&mut self) {
        if (0..64).contains(&self.real)
            && let Some(eight) = self.data.get(self.at..self.at + 8)
            && let Ok(eight) = eight.try_into()
        {
            let word = u64::from_be_bytes(eight);
            if !has_ff_byte(word) {
                // Bits of a byte that is not counted yet come again, unchanged, with the next refill.
                self.next |= word >> self.real;
                let bytes = (63 - self.real) >> 3;
                self.at += bytes as usize;
                self.real += 8 * bytes;
                return;
            }
        }
        self.refill_bytewise();
    }

    #[cold]
    fn refill_bytewise(&mut self) {
        while (0..=56).contains(&self.real) {
            let (byte, length) = match self.data.get(self.at..) {
                Some(&[0xFF, 0, ..]) => (0xFF, 2),
                Some(&[0xFF, ..] | &[]) | None => return,
                Some(&[byte, ..]) => (byte, 1),
            };
            self.next |= u64::from(byte) << (56 - self.real);
            self.real += 8;
            self.at += length;
        }
    }
}

/// Whether one of the word's bytes is 0xFF: the well-known test for a zero byte, on the complement.
pub(super) fn has_ff_byte(word: u64) -> bool {
    const LOW: u64 = 0x0101_0101_0101_0101;
    let inverted = !word;
    inverted.wrapping_sub(LOW) & word & (LOW << 7) != 0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_symbol_is_found_by_its_code() {
        let table = Table::new(&[0, 1, 5, 1, 1, 1, 1, 1, 1, 0, 0, 0, 0, 0, 0, 0], &LUMINANCE_DC).unwrap();
        for symbol in LUMINANCE_DC {
            let (code, length) = table.code_of(symbol).unwrap();
            assert_eq!(table.find(code << (16 - length)), Some((length, symbol)));
        }
        assert_eq!(table.code_of(12), None);
    }

    /// The symbols of the table for first coefficients of luminance (T.81, table K.3).
    const LUMINANCE_DC: [u8; 12] = [0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11];

    #[test]
    fn a_table_is_completed_behind_its_own_codes() {
        let fitted = Table::new(&[1, 1, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0], &[3, 0, 5]).unwrap();
        let (counts, symbols) = fitted.completed(11).unwrap();
        let completed = Table::new(&counts, &symbols).unwrap();
        for symbol in [3, 0, 5] {
            assert_eq!(completed.code_of(symbol), fitted.code_of(symbol));
        }
        for symbol in 0..=11 {
            let (code, length) = completed.code_of(symbol).unwrap();
            assert_eq!(completed.find(code << (16 - length)), Some((length, symbol)));
            assert_ne!(code, (1 << length) - 1, "the code of ones stays free");
        }
        let full = Table::new(&[0, 4, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0], &[0, 1, 2, 3]).unwrap();
        assert!(full.completed(11).is_none());
        assert!(full.completed(3).is_some());
    }
}
