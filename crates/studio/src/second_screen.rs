//! The second screen: where in the house the studio can be reached, if the painter has said that it may be.

use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::sync::{Mutex, MutexGuard};
use std::time::Instant;

use qrcode::QrCode;
use qrcode::render::svg;
use qrcode::types::QrError;
use tokio::net::TcpListener;

use crate::StartError;
use crate::pairing::Pairing;
use crate::state::locked;

/// The side of a QR code on the page, in CSS pixels at the least.
const QR_SIDE: u32 = 220;

/// Where screens in the same house may come in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lan {
    /// At every address that this computer has on a private network (RFC 1918).
    Home,
    /// At this address of this computer.
    At(Ipv4Addr),
}

/// What the studio knows of second screens.
pub(crate) struct SecondScreen {
    addresses: Vec<SocketAddr>,
    pairing: Mutex<Pairing>,
    now: Box<dyn Fn() -> Instant + Send + Sync>,
}

impl SecondScreen {
    /// `now` is the clock by which codes run out.
    pub(crate) fn new(addresses: Vec<SocketAddr>, now: impl Fn() -> Instant + Send + Sync + 'static) -> Self {
        Self { addresses, pairing: Mutex::default(), now: Box::new(now) }
    }

    /// Where it can be reached; nowhere unless the painter has said so.
    pub(crate) fn addresses(&self) -> &[SocketAddr] {
        &self.addresses
    }

    pub(crate) fn pairing(&self) -> MutexGuard<'_, Pairing> {
        locked(&self.pairing)
    }

    pub(crate) fn now(&self) -> Instant {
        (self.now)()
    }
}

/// Listens for screens in the house, by the studio's own port where it is free.
pub(crate) async fn listen(lan: Lan, port: u16) -> Result<Vec<TcpListener>, StartError> {
    let addresses = match lan {
        Lan::At(address) => vec![address],
        Lan::Home => home_addresses(),
    };
    let mut listeners = Vec::new();
    for address in addresses {
        let listener = match TcpListener::bind((address, port)).await {
            Ok(listener) => listener,
            Err(_) => TcpListener::bind((address, 0))
                .await
                .map_err(|cause| StartError::Lan { address, cause: cause.to_string() })?,
        };
        listeners.push(listener);
    }
    if listeners.is_empty() { Err(StartError::NoHomeNetwork) } else { Ok(listeners) }
}

fn home_addresses() -> Vec<Ipv4Addr> {
    let found = if_addrs::get_if_addrs().unwrap_or_default().into_iter().map(|interface| interface.ip());
    let private = found.filter_map(|address| match address {
        IpAddr::V4(address) if address.is_private() => Some(address),
        _ => None,
    });
    private.collect()
}

/// A QR code (ISO/IEC 18004) as an SVG that needs nothing else.
pub(crate) fn qr(text: &str) -> Result<String, QrError> {
    let code = QrCode::new(text)?;
    Ok(code.render::<svg::Color<'_>>().min_dimensions(QR_SIDE, QR_SIDE).build())
}
