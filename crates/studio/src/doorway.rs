//! How many may stand in the doorway of the house at once, and how long one may stand there without saying what is wanted.
//!
//! Whoever is on the home network can open connections and let them lie. Each holds one of the files that the program may have
//! open, which some systems bound at 256 in all, and the painter's own page needs some of them too.

use std::collections::HashMap;
use std::io;
use std::net::{IpAddr, SocketAddr};
use std::pin::Pin;
use std::sync::{Arc, Mutex};
use std::task::{Context, Poll};
use std::time::Duration;

use axum::serve::Listener;
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::net::{TcpListener, TcpStream};
use tokio::time::Sleep;

use crate::lock::locked;

/// The most connections from the house: fifty screens with some to spare, and well below 256 files.
const MOST: usize = 160;

/// The most from one address, so that no one device shuts out all others; a browser keeps up to six for each page.
const MOST_FROM_ONE: usize = 120;

/// How long a connection may take to say its first request: a slow network takes a second or two.
const SILENCE: Duration = Duration::from_secs(10);

/// What a request's head ends with (RFC 9112, 2.1).
const END_OF_HEAD: [u8; 4] = *b"\r\n\r\n";

/// Who stands in the doorway, by address.
type Standing = Arc<Mutex<HashMap<IpAddr, usize>>>;

/// A listener that turns away whoever is one too many.
pub(crate) struct Doorway {
    listener: TcpListener,
    standing: Standing,
    silence: Duration,
}

impl Doorway {
    pub(crate) fn new(listener: TcpListener) -> Self {
        Self { listener, standing: Standing::default(), silence: SILENCE }
    }
}

impl Listener for Doorway {
    type Io = Guest;
    type Addr = SocketAddr;

    async fn accept(&mut self) -> (Guest, SocketAddr) {
        loop {
            let (stream, from) = Listener::accept(&mut self.listener).await;
            if let Some(place) = Place::take(&self.standing, from.ip()) {
                let silence = Some(Box::pin(tokio::time::sleep(self.silence)));
                return (Guest { stream, silence, heard: [0; 4], _place: place }, from);
            }
        }
    }

    fn local_addr(&self) -> io::Result<SocketAddr> {
        self.listener.local_addr()
    }
}

/// A place in the doorway, free again when it is dropped.
struct Place {
    standing: Standing,
    address: IpAddr,
}

impl Place {
    fn take(standing: &Standing, address: IpAddr) -> Option<Self> {
        let mut all = locked(standing);
        let here = all.get(&address).copied().unwrap_or_default();
        if all.values().sum::<usize>() >= MOST || here >= MOST_FROM_ONE {
            return None;
        }
        all.insert(address, here + 1);
        Some(Self { standing: Arc::clone(standing), address })
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        let mut all = locked(&self.standing);
        if let Some(here) = all.get_mut(&self.address) {
            *here -= 1;
            if *here == 0 {
                all.remove(&self.address);
            }
        }
    }
}

/// A connection that has a place.
pub(crate) struct Guest {
    stream: TcpStream,
    /// Runs until the head of the first request has come.
    silence: Option<Pin<Box<Sleep>>>,
    /// The last bytes of it that came.
    heard: [u8; 4],
    _place: Place,
}

impl Guest {
    fn hear(&mut self, said: &[u8]) {
        for byte in said {
            self.heard.rotate_left(1);
            self.heard[3] = *byte;
            if self.heard == END_OF_HEAD {
                self.silence = None;
                return;
            }
        }
    }
}

impl AsyncRead for Guest {
    fn poll_read(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        into: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        let before = into.filled().len();
        let read = Pin::new(&mut self.stream).poll_read(context, into);
        if self.silence.is_some() && read.is_ready() {
            self.hear(&into.filled()[before..]);
        }
        if let Some(silence) = &mut self.silence
            && silence.as_mut().poll(context).is_ready()
        {
            return Poll::Ready(Err(io::ErrorKind::TimedOut.into()));
        }
        read
    }
}

impl AsyncWrite for Guest {
    fn poll_write(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        from: &[u8],
    ) -> Poll<io::Result<usize>> {
        Pin::new(&mut self.stream).poll_write(context, from)
    }

    fn poll_flush(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_flush(context)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_shutdown(context)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_device_is_held_to_its_share_and_all_to_the_whole_and_places_come_free() {
        let standing = Standing::default();
        let [one, other] = [IpAddr::from([192, 168, 1, 2]), IpAddr::from([192, 168, 1, 3])];
        let take = |address| Place::take(&standing, address);
        let mut places: Vec<Place> = std::iter::from_fn(|| take(one)).collect();
        assert_eq!(places.len(), MOST_FROM_ONE);
        places.extend(std::iter::from_fn(|| take(other)));
        assert_eq!(places.len(), MOST);
        places.remove(0);
        assert!(take(other).is_some(), "it is free again at once");
        drop(places);
        assert!(locked(&standing).is_empty());
    }

    #[tokio::test]
    async fn whoever_says_nothing_is_sent_away() {
        use tokio::io::AsyncReadExt as _;
        let listener = TcpListener::bind(("127.0.0.1", 0)).await.unwrap();
        let address = listener.local_addr().unwrap();
        let mut doorway = Doorway { silence: Duration::from_millis(20), ..Doorway::new(listener) };
        let _silent = TcpStream::connect(address).await.unwrap();
        let (mut guest, _) = Listener::accept(&mut doorway).await;
        let error = guest.read(&mut [0; 8]).await.unwrap_err();
        assert_eq!(error.kind(), io::ErrorKind::TimedOut);
    }

    #[tokio::test]
    async fn whoever_begins_a_request_and_does_not_end_it_is_sent_away_and_whoever_ends_it_is_not() {
        use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
        let listener = TcpListener::bind(("127.0.0.1", 0)).await.unwrap();
        let address = listener.local_addr().unwrap();
        let silence = Duration::from_millis(200);
        let mut doorway = Doorway { silence, ..Doorway::new(listener) };
        for (said, is_sent_away) in
            [("GET / HTTP/1.1\r\nHost: a\r\n", true), ("GET / HTTP/1.1\r\n\r\n", false)]
        {
            let mut stream = TcpStream::connect(address).await.unwrap();
            let (mut guest, _) = Listener::accept(&mut doorway).await;
            stream.write_all(said.as_bytes()).await.unwrap();
            let mut heard = vec![0; said.len()];
            guest.read_exact(&mut heard).await.unwrap();
            let more = tokio::time::timeout(3 * silence, guest.read(&mut [0; 8])).await;
            assert_eq!(matches!(more, Ok(Err(_))), is_sent_away, "{said:?}");
        }
    }
}
