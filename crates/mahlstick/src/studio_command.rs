//! `mahlstick studio`, or `mahlstick` alone: the local server and the painter's browser.

use std::path::PathBuf;

use anyhow::{Context, anyhow};
use studio::{Listening, Options, StartError};
use tokio::runtime::Builder;
use tokio::signal;

use crate::Failure;
use crate::args::StudioArguments;
use crate::demo;

/// Opens the studio and serves it until the painter stops it with Ctrl-C.
pub(crate) fn run(arguments: &StudioArguments) -> Result<(), Failure> {
    let folder = match &arguments.folder {
        Some(folder) => folder.clone(),
        None => usual_folder().map_err(Failure::usage)?,
    };
    let options =
        Options { folder, port: arguments.port, demo: Some(demo::for_the_shelf()?), lan: arguments.lan };
    let runtime = Builder::new_multi_thread().enable_all().build().context("The studio cannot start")?;
    runtime.block_on(async {
        let listening = match Listening::start(options).await {
            Err(StartError::OpenAlready { address }) => {
                crate::print(format!("Mahlstick's studio is open already at {address}\n").as_bytes())?;
                show(arguments, &address);
                return Ok(());
            }
            started => started?,
        };
        let address = listening.address();
        crate::print(
            format!("Mahlstick's studio is open at {address}\nStop it with Ctrl-C; everything is saved.\n")
                .as_bytes(),
        )?;
        for way in listening.house_addresses() {
            let text = format!(
                "A tablet in the house finds it at {way}; make its code on the easel page. Do this only on a home network that you trust.\n"
            );
            crate::print(text.as_bytes())?;
        }
        show(arguments, &address);
        listening.serve(asked_to_stop()).await?;
        Ok(())
    })
}

/// Opens the studio in the painter's browser, unless she would rather do that herself.
fn show(arguments: &StudioArguments, address: &str) {
    if !arguments.no_open && open::that_detached(address).is_err() {
        eprintln!("No browser could be opened. Open {address} in one.");
    }
}

/// Ctrl-C or, where there is such a thing, the system's request to end.
async fn asked_to_stop() {
    #[cfg(unix)]
    {
        if let Ok(mut ended) = signal::unix::signal(signal::unix::SignalKind::terminate()) {
            tokio::select! {
                _ = signal::ctrl_c() => {}
                _ = ended.recv() => {}
            }
            return;
        }
    }
    // Without a way to hear Ctrl-C the program runs until it is ended from outside.
    let _ = signal::ctrl_c().await;
}

/// `Paintings` in the user's documents, or in the home folder where there is no such folder.
fn usual_folder() -> anyhow::Result<PathBuf> {
    let home = std::env::home_dir().ok_or_else(|| {
        anyhow!("There is no home folder for the paintings. Say which folder to use with --folder.")
    })?;
    let documents = home.join("Documents");
    Ok(if documents.is_dir() { documents } else { home }.join("Mahlstick paintings"))
}
