//! Stopping the reading of a photo from another thread.

use std::io::{self, BufRead, Cursor, Read, Seek, SeekFrom};
use std::slice;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// Lets another thread stop what reads a photo, see [`Photo::stopped_by`](crate::Photo::stopped_by). Its copies are one.
#[derive(Clone, Debug, Default)]
pub struct Stop(Arc<AtomicBool>);

impl Stop {
    /// From now on everything that is stopped by this ends with [`Fault::Stopped`](crate::Fault::Stopped).
    pub fn stop(&self) {
        self.0.store(true, Ordering::Relaxed);
    }

    /// Whether it was told to stop.
    pub fn is_stopped(&self) -> bool {
        self.0.load(Ordering::Relaxed)
    }
}

/// A file's bytes, of which a decoder gets no more once it is told to stop.
pub(crate) struct Watched<'a> {
    bytes: &'a [u8],
    /// What is given without another look at whether to stop: decoders take a byte at a time.
    at_hand: &'a [u8],
    /// What follows it.
    rest: &'a [u8],
    stop: Stop,
}

/// Bytes between two looks at whether to stop: a millisecond of work or less, whatever the format.
const BYTES_BETWEEN_LOOKS: usize = 1 << 13;

impl<'a> Watched<'a> {
    pub(crate) fn new(bytes: &'a [u8], stop: &Stop) -> Self {
        Self { bytes, at_hand: &[], rest: bytes, stop: stop.clone() }
    }

    /// Bytes that nobody will stop.
    pub(crate) fn unstopped(bytes: &'a [u8]) -> Self {
        Self::new(bytes, &Stop::default())
    }

    /// Takes more bytes to hand, at least as many as are wanted if there are so many.
    #[cold]
    fn go_on(&mut self, wanted: usize) -> io::Result<()> {
        if self.stop.is_stopped() {
            return Err(io::Error::other("stopped"));
        }
        let ahead = &self.bytes[self.position()..];
        (self.at_hand, self.rest) = ahead.split_at(wanted.max(BYTES_BETWEEN_LOOKS).min(ahead.len()));
        Ok(())
    }

    const fn position(&self) -> usize {
        self.bytes.len() - self.rest.len() - self.at_hand.len()
    }
}

impl Read for Watched<'_> {
    #[inline]
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        if self.at_hand.is_empty() {
            self.go_on(into.len())?;
        }
        self.at_hand.read(into)
    }

    #[inline]
    fn read_exact(&mut self, into: &mut [u8]) -> io::Result<()> {
        if self.at_hand.len() < into.len() {
            self.go_on(into.len())?;
        }
        self.at_hand.read_exact(into)
    }
}

impl BufRead for Watched<'_> {
    fn fill_buf(&mut self) -> io::Result<&[u8]> {
        if self.at_hand.is_empty() {
            self.go_on(0)?;
        }
        Ok(self.at_hand)
    }

    fn consume(&mut self, count: usize) {
        self.at_hand.consume(count);
    }
}

impl Seek for Watched<'_> {
    /// What lies beyond the end is not there to be gone to: the end is reached.
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        let mut cursor = Cursor::new(self.bytes);
        cursor.set_position(self.position() as u64);
        let reached = cursor.seek(to)?.min(self.bytes.len() as u64);
        (self.at_hand, self.rest) = (&[], &self.bytes[reached as usize..]);
        Ok(reached)
    }
}

/// Pieces read one after the other as one file, of which a decoder gets no more once it is told to stop.
pub(crate) struct WatchedPieces<'a> {
    now: Watched<'a>,
    next: slice::Iter<'a, &'a [u8]>,
}

impl<'a> WatchedPieces<'a> {
    pub(crate) fn new(pieces: &'a [&'a [u8]], stop: &Stop) -> Self {
        Self { now: Watched::new(&[], stop), next: pieces.iter() }
    }

    #[cold]
    fn read_on(&mut self, into: &mut [u8]) -> io::Result<usize> {
        loop {
            let read = self.now.read(into)?;
            if read > 0 || into.is_empty() {
                return Ok(read);
            }
            let Some(piece) = self.next.next() else {
                return Ok(0);
            };
            self.now = Watched::new(piece, &self.now.stop);
        }
    }

    #[cold]
    fn read_exact_on(&mut self, mut into: &mut [u8]) -> io::Result<()> {
        while !into.is_empty() {
            match self.read_on(into)? {
                0 => return Err(io::ErrorKind::UnexpectedEof.into()),
                read => into = &mut into[read..],
            }
        }
        Ok(())
    }
}

impl Read for WatchedPieces<'_> {
    #[inline]
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        if self.now.at_hand.is_empty() { self.read_on(into) } else { self.now.read(into) }
    }

    #[inline]
    fn read_exact(&mut self, into: &mut [u8]) -> io::Result<()> {
        if into.len() <= self.now.at_hand.len() {
            self.now.read_exact(into)
        } else {
            self.read_exact_on(into)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bytes_come_in_their_order_whatever_is_asked_for_and_end_where_the_file_ends() {
        let bytes: Vec<u8> = (0..3 * BYTES_BETWEEN_LOOKS + 5).map(|at| (at % 251) as u8).collect();
        let mut watched = Watched::unstopped(&bytes);
        let mut read = Vec::new();
        for length in [1, 0, 7, BYTES_BETWEEN_LOOKS - 3, BYTES_BETWEEN_LOOKS + 9, 2] {
            let mut piece = vec![0; length];
            watched.read_exact(&mut piece).unwrap();
            read.extend(piece);
        }
        assert_eq!(watched.stream_position().unwrap(), read.len() as u64);
        watched.read_to_end(&mut read).unwrap();
        assert_eq!(read, bytes);
        assert_eq!(watched.read(&mut [0]).unwrap(), 0);
        assert_eq!(watched.read_exact(&mut [0]).unwrap_err().kind(), io::ErrorKind::UnexpectedEof);
        assert_eq!(watched.fill_buf().unwrap(), b"");
    }

    #[test]
    fn pieces_are_read_as_one_file() {
        let bytes: Vec<u8> = (0..2 * BYTES_BETWEEN_LOOKS + 90).map(|at| (at % 241) as u8).collect();
        let pieces = [&bytes[..5], &[], &bytes[5..70], &bytes[70..]];
        let stop = Stop::default();
        let mut watched = WatchedPieces::new(&pieces, &stop);
        let mut read = Vec::new();
        for length in [1, 0, 3, 8, BYTES_BETWEEN_LOOKS] {
            let mut piece = vec![0; length];
            watched.read_exact(&mut piece).unwrap();
            read.extend(piece);
        }
        watched.read_to_end(&mut read).unwrap();
        assert_eq!(read, bytes);
        assert_eq!(watched.read_exact(&mut [0]).unwrap_err().kind(), io::ErrorKind::UnexpectedEof);

        let mut stopped = WatchedPieces::new(&pieces, &stop);
        stop.stop();
        stopped.read_exact(&mut [0]).unwrap_err();
    }

    #[test]
    fn every_place_can_be_gone_to() {
        let bytes: Vec<u8> = (0..100).collect();
        let mut watched = Watched::unstopped(&bytes);
        for (to, reached) in [
            (SeekFrom::Start(40), 40),
            (SeekFrom::Current(-10), 30),
            (SeekFrom::End(-1), 99),
            (SeekFrom::Start(1000), 100),
            (SeekFrom::Start(0), 0),
        ] {
            assert_eq!(watched.seek(to).unwrap(), reached);
            assert_eq!(watched.stream_position().unwrap(), reached);
            assert_eq!(watched.fill_buf().unwrap().first(), bytes.get(reached as usize));
        }
        assert!(watched.seek(SeekFrom::Current(-1)).is_err());
    }

    #[test]
    fn once_told_to_stop_no_more_comes_than_is_at_hand() {
        let (bytes, stop) = (vec![7; 4 * BYTES_BETWEEN_LOOKS], Stop::default());
        let mut watched = Watched::new(&bytes, &stop);
        watched.read_exact(&mut [0]).unwrap();
        stop.stop();
        let mut read = Vec::new();
        assert!(watched.read_to_end(&mut read).is_err());
        assert!(read.len() < BYTES_BETWEEN_LOOKS);
    }
}
