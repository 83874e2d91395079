//! The studio: the local web server that shows a painting's plan in the painter's browser, and the page.
//!
//! The server binds to this computer alone, unless the painter asks for a second screen: then a second door, on the home
//! network, shows paired screens the easel page and nothing else. The page computes nothing that matters: it sends edits in the painter's own
//! words and shows the derived view that comes back.

mod answer;
mod asked;
mod bundle;
mod checking;
mod choices;
mod description;
mod doorway;
pub mod edit;
mod fingerprint;
mod folder;
mod guard;
mod kept_list;
mod known_screens;
mod lenses;
mod lingering;
mod lock;
mod open_painting;
mod painting_state;
mod pairing;
mod paper;
mod photo_at_hand;
mod pictures;
mod routes;
mod running;
mod same_picture;
mod second_screen;
mod shape;
mod state;
mod tones;
pub mod view;
mod web;

use std::io;
use std::net::{Ipv4Addr, SocketAddr};
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Instant;

use thiserror::Error;
use tokio::net::TcpListener;

use folder::Folder;
pub use folder::{Demo, DemoCheck};
use running::Holder;
pub use second_screen::Lan;
use second_screen::SecondScreen;
use state::Studio;

/// The port that is tried first; a memorable one that no registered service uses.
pub const USUAL_PORT: u16 = 7448;

/// How the studio is started.
#[derive(Clone, Debug)]
pub struct Options {
    /// The folder with the paintings; made if it is not there.
    pub folder: PathBuf,
    /// The port to listen on: `None` for the usual one or, if that is taken, a free one; 0 for a free one.
    pub port: Option<u16>,
    /// A painting to put on an empty shelf that is made anew.
    pub demo: Option<Demo>,
    /// Where screens elsewhere in the house may come in from the start; the painter can open and shut that door later.
    pub lan: Option<Lan>,
}

/// Why the studio cannot be started.
#[derive(Debug, Error)]
pub enum StartError {
    /// The folder cannot be used.
    #[error("The folder “{}” cannot be used: {cause}. Choose another with --folder.", .folder.display())]
    Folder {
        /// The folder.
        folder: PathBuf,
        /// What the system says.
        cause: String,
    },
    /// Another studio has this folder open.
    #[error("The studio is open already at {address}.")]
    OpenAlready {
        /// Where it is.
        address: String,
    },
    /// The port asked for is taken.
    #[error("Port {port} is taken by another program. Leave out --port to let the studio find a free one.")]
    PortTaken {
        /// The port.
        port: u16,
    },
    /// The computer is on no home network.
    #[error(
        "No home network was found. Connect this computer to it, or name its address there with --lan=ADDRESS, or leave out --lan."
    )]
    NoHomeNetwork,
    /// The computer cannot be reached at this address.
    #[error("Screens in the house cannot come in at {address}: {cause}. Is it an address of this computer?")]
    Lan {
        /// The address.
        address: Ipv4Addr,
        /// What the system says.
        cause: String,
    },
    /// The server cannot listen or stopped.
    #[error("The studio cannot be reached: {0}.")]
    Network(#[from] io::Error),
}

/// A studio that listens but does not answer yet.
pub struct Listening {
    listener: TcpListener,
    studio: Arc<Studio>,
    _claim: Option<running::Claim>,
}

impl Listening {
    /// Opens the folder and begins to listen, on this computer and, if it is asked for, on the home network.
    ///
    /// # Errors
    /// When the folder cannot be used, another studio has it open, or the port is taken.
    pub async fn start(options: Options) -> Result<Self, StartError> {
        let folder = options.folder.clone();
        let opened = Folder::open(&folder, options.demo.as_ref());
        let folder = opened.map_err(|cause| StartError::Folder { folder, cause })?;
        let claim = match running::claim(folder.path()).await {
            Holder::Mine(claim) => Some(claim),
            Holder::Elsewhere(address) => return Err(StartError::OpenAlready { address }),
            Holder::Unknown => None,
        };
        let listener = listen(options.port).await?;
        let port = listener.local_addr()?.port();
        let screens = SecondScreen::new(options.lan.unwrap_or(Lan::Home), Instant::now);
        let studio = Arc::new(Studio::new(folder, port, screens));
        if options.lan.is_some() {
            second_screen::open_door(&studio).await?;
        }
        if let Some(claim) = &claim {
            claim.tell(&address_at(port));
        }
        Ok(Self { listener, studio, _claim: claim })
    }

    /// Where the studio is.
    pub fn address(&self) -> String {
        address_at(self.studio.port())
    }

    /// Where screens elsewhere in the house find it, if they may.
    pub fn house_addresses(&self) -> Vec<String> {
        self.studio
            .second_screen()
            .addresses()
            .iter()
            .map(|address| format!("http://{address}/pair"))
            .collect()
    }

    /// Answers until `stop` is done.
    ///
    /// # Errors
    /// When the network fails.
    pub async fn serve(self, stop: impl Future<Output = ()> + Send + 'static) -> Result<(), StartError> {
        let studio = Arc::clone(&self.studio);
        let stop = async move {
            stop.await;
            studio.close();
        };
        axum::serve(self.listener, routes::router(self.studio)).with_graceful_shutdown(stop).await?;
        Ok(())
    }
}

fn address_at(port: u16) -> String {
    format!("http://127.0.0.1:{port}/")
}

async fn listen(port: Option<u16>) -> Result<TcpListener, StartError> {
    let bind = |port| TcpListener::bind(SocketAddr::from((Ipv4Addr::LOCALHOST, port)));
    match port {
        Some(port) => bind(port).await.map_err(|error| match error.kind() {
            io::ErrorKind::AddrInUse => StartError::PortTaken { port },
            _ => StartError::Network(error),
        }),
        None => match bind(USUAL_PORT).await {
            Ok(listener) => Ok(listener),
            Err(_) => Ok(bind(0).await?),
        },
    }
}
