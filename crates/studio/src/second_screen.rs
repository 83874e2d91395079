//! The second screen: where in the house the studio can be reached, while the painter lets it be.

use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::sync::{Arc, Mutex, MutexGuard};
use std::time::Instant;

use qrcode::QrCode;
use qrcode::render::svg;
use qrcode::types::QrError;
use tokio::net::TcpListener;
use tokio::sync::watch;

use crate::StartError;
use crate::answer::Trouble;
use crate::doorway::Doorway;
use crate::lock::locked;
use crate::pairing::Pairing;
use crate::routes::house_router;
use crate::state::Studio;

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
    lan: Lan,
    door: Mutex<Option<Door>>,
    pairing: Mutex<Pairing>,
    /// Why it could not be kept who is let in, when that was tried last.
    not_kept: Mutex<Option<Trouble>>,
    now: Box<dyn Fn() -> Instant + Send + Sync>,
}

/// The second door while it stands open.
struct Door {
    addresses: Vec<SocketAddr>,
    /// Changes when it is shut.
    shut: watch::Sender<bool>,
}

impl SecondScreen {
    /// The door is shut at first. `lan` says where it opens, `now` is the clock by which codes run out.
    pub(crate) fn new(lan: Lan, now: impl Fn() -> Instant + Send + Sync + 'static) -> Self {
        Self {
            lan,
            door: Mutex::default(),
            pairing: Mutex::default(),
            not_kept: Mutex::default(),
            now: Box::new(now),
        }
    }

    /// Where it can be reached; nowhere while the door is shut.
    pub(crate) fn addresses(&self) -> Vec<SocketAddr> {
        locked(&self.door).as_ref().map_or_else(Vec::new, |door| door.addresses.clone())
    }

    /// Whether the door stands open.
    pub(crate) fn is_open(&self) -> bool {
        locked(&self.door).is_some()
    }

    /// The door stands open at these addresses until the receiver that is given changes.
    pub(crate) fn open_at(&self, addresses: Vec<SocketAddr>) -> watch::Receiver<bool> {
        let (shut, told) = watch::channel(false);
        *locked(&self.door) = Some(Door { addresses, shut });
        told
    }

    /// Shuts the door: no screen is shown anything, and codes no longer hold. Who was let in is let in again once it is open.
    pub(crate) fn shut(&self) {
        if let Some(door) = locked(&self.door).take() {
            door.shut.send_replace(true);
        }
        self.pairing().shut();
    }

    pub(crate) fn pairing(&self) -> MutexGuard<'_, Pairing> {
        locked(&self.pairing)
    }

    pub(crate) fn not_kept(&self) -> MutexGuard<'_, Option<Trouble>> {
        locked(&self.not_kept)
    }

    pub(crate) fn now(&self) -> Instant {
        (self.now)()
    }
}

/// Opens the second door, if it is shut: listens for screens in the house and answers them until the door is shut or the
/// studio closed.
///
/// # Errors
/// When there is no home network, or the computer cannot be reached there.
pub(crate) async fn open_door(studio: &Arc<Studio>) -> Result<(), StartError> {
    let screens = studio.second_screen();
    if !screens.addresses().is_empty() {
        return Ok(());
    }
    let mut listening = Vec::new();
    for listener in listen(screens.lan, studio.port()).await? {
        listening.push((listener.local_addr()?, listener));
    }
    let shut = screens.open_at(listening.iter().map(|(address, _)| *address).collect());
    for (address, listener) in listening {
        let (mut shut, mut closing) = (shut.clone(), studio.closing());
        let closed = async move {
            // Door and studio are gone when nothing can shut them any more.
            tokio::select! {
                _ = shut.wait_for(|shut| *shut) => {}
                _ = closing.wait_for(|closing| *closing) => {}
            }
        };
        let router = house_router(Arc::clone(studio), address);
        tokio::spawn(
            axum::serve(Doorway::new(listener), router).with_graceful_shutdown(closed).into_future(),
        );
    }
    Ok(())
}

/// Listens for screens in the house, by the studio's own port where it is free.
async fn listen(lan: Lan, port: u16) -> Result<Vec<TcpListener>, StartError> {
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
