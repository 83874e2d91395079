//! The studio: the local web server that shows a painting's plan in the painter's browser, and the page.
//!
//! The server binds to this computer alone. The page computes nothing that matters: it sends edits in the painter's own
//! words and shows the derived view that comes back.

mod answer;
mod asked;
mod description;
pub mod edit;
mod fingerprint;
mod folder;
mod guard;
mod paper;
mod pictures;
mod routes;
mod shape;
mod state;
pub mod view;
mod web;

use std::io;
use std::net::{Ipv4Addr, SocketAddr};
use std::path::PathBuf;
use std::sync::Arc;

use thiserror::Error;
use tokio::net::TcpListener;

pub use folder::Demo;
use folder::Folder;
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
    /// The port asked for is taken.
    #[error("Port {port} is taken by another program. Leave out --port to let the studio find a free one.")]
    PortTaken {
        /// The port.
        port: u16,
    },
    /// The server cannot listen or stopped.
    #[error("The studio cannot be reached: {0}.")]
    Network(#[from] io::Error),
}

/// A studio that listens but does not answer yet.
pub struct Listening {
    listener: TcpListener,
    studio: Arc<Studio>,
}

impl Listening {
    /// Opens the folder and begins to listen, on this computer alone.
    ///
    /// # Errors
    /// When the folder cannot be used or the port is taken.
    pub async fn start(options: Options) -> Result<Self, StartError> {
        let folder = options.folder.clone();
        let opened = Folder::open(&folder, options.demo.as_ref());
        let folder = opened.map_err(|cause| StartError::Folder { folder, cause })?;
        let listener = listen(options.port).await?;
        let studio = Arc::new(Studio::new(folder, listener.local_addr()?.port()));
        Ok(Self { listener, studio })
    }

    /// Where the studio is.
    pub fn address(&self) -> String {
        format!("http://127.0.0.1:{}/", self.studio.port())
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
