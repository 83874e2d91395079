//! Stopping the reading of a photo from another thread.

use std::io::{self, BufRead, Cursor, Read, Seek, SeekFrom};
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
    bytes: Cursor<&'a [u8]>,
    stop: Stop,
}

impl<'a> Watched<'a> {
    pub(crate) fn new(bytes: &'a [u8], stop: &Stop) -> Self {
        Self { bytes: Cursor::new(bytes), stop: stop.clone() }
    }

    /// Bytes that nobody will stop.
    pub(crate) fn unstopped(bytes: &'a [u8]) -> Self {
        Self::new(bytes, &Stop::default())
    }

    fn go_on(&self) -> io::Result<()> {
        if self.stop.is_stopped() { Err(io::Error::other("stopped")) } else { Ok(()) }
    }
}

impl Read for Watched<'_> {
    #[inline]
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        self.go_on()?;
        self.bytes.read(into)
    }

    #[inline]
    fn read_exact(&mut self, into: &mut [u8]) -> io::Result<()> {
        self.go_on()?;
        self.bytes.read_exact(into)
    }
}

impl BufRead for Watched<'_> {
    fn fill_buf(&mut self) -> io::Result<&[u8]> {
        self.go_on()?;
        self.bytes.fill_buf()
    }

    fn consume(&mut self, count: usize) {
        self.bytes.consume(count);
    }
}

impl Seek for Watched<'_> {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        self.bytes.seek(to)
    }
}
