//! Requests about second screens, from the computer itself: opening and shutting the door, making a code, seeing who is let
//! in, sending away.

use std::sync::Arc;

use axum::Json;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::work;
use crate::StartError;
use crate::answer::{Trouble, Troubles};
use crate::asked::Body;
use crate::known_screens::{self, ShownPainting};
use crate::pairing::CODE_HOLDS;
use crate::second_screen::{open_door, qr};
use crate::state::Studio;

type Shared = State<Arc<Studio>>;

/// Second screens as they stand.
#[derive(Serialize, ToSchema)]
pub(super) struct SecondScreens {
    /// Where the studio can be reached from elsewhere in the house; none while it cannot.
    addresses: Vec<String>,
    /// The screens that are let in.
    screens: Vec<ScreenLetIn>,
    /// The number of the code that can be used now.
    code: Option<u64>,
    /// Why it is not kept for the next start who is let in, if it is not.
    not_kept: Option<String>,
}

/// A screen that is let in.
#[derive(Serialize, ToSchema)]
struct ScreenLetIn {
    /// By which the page asks for it.
    id: String,
    /// When it brought a code last (RFC 3339).
    since: String,
    /// The titles of the paintings that it may see.
    paintings: Vec<String>,
    /// The number of the code that it brought last since the studio was started.
    by_code: Option<u64>,
}

/// Whether screens elsewhere in the house may come in.
#[derive(Deserialize, ToSchema)]
pub(super) struct DoorWanted {
    /// True to open the door, false to shut it.
    open: bool,
}

/// For which painting a code is wanted.
#[derive(Deserialize, ToSchema)]
pub(super) struct CodeWanted {
    /// The painting by its id.
    painting: String,
}

/// A code that lets one screen in, once.
#[derive(Serialize, ToSchema)]
pub(super) struct PairingCode {
    /// The code, to be typed.
    code: String,
    /// Its number; no other code has it.
    number: u64,
    /// For how many seconds it holds.
    seconds: u64,
    /// Where the screen has to go: one way for each network that this computer is on.
    ways: Vec<Way>,
}

/// A way from a second screen to the studio.
#[derive(Serialize, ToSchema)]
struct Way {
    /// The address to be typed, where the code is asked for.
    address: String,
    /// A QR code as SVG that leads there and brings the code along.
    qr: String,
}

/// Second screens as they stand.
#[utoipa::path(get, path = "/api/second-screens", responses((status = 200, body = SecondScreens), Troubles))]
pub(super) async fn second_screens(State(studio): Shared) -> Result<Json<SecondScreens>, Trouble> {
    standing(studio).await
}

/// Opens the door for screens elsewhere in the house, or shuts it: then none of them is shown anything until it is open again.
#[utoipa::path(put, path = "/api/second-screens", request_body = DoorWanted,
    responses((status = 200, body = SecondScreens), Troubles))]
pub(super) async fn door(
    State(studio): Shared,
    Body(DoorWanted { open }): Body<DoorWanted>,
) -> Result<Json<SecondScreens>, Trouble> {
    if open {
        open_door(&studio).await.map_err(|error| match error {
            StartError::NoHomeNetwork => {
                Trouble::refused("No home network was found. Connect this computer to it and try again.")
            }
            other => Trouble::refused(other),
        })?;
    } else {
        studio.second_screen().shut();
    }
    standing(studio).await
}

/// Makes a code for a painting's easel screen. The code before it no longer holds.
#[utoipa::path(post, path = "/api/second-screens/code", request_body = CodeWanted,
    responses((status = 200, body = PairingCode), Troubles))]
pub(super) async fn code(
    State(studio): Shared,
    Body(wanted): Body<CodeWanted>,
) -> Result<Json<PairingCode>, Trouble> {
    let opener = Arc::clone(&studio);
    let painting = work(move || {
        let title = opener.open(&wanted.painting)?.present()?.document.title;
        Ok(ShownPainting { id: wanted.painting, title })
    })
    .await?;
    let screens = studio.second_screen();
    let (code, number) = screens.pairing().offer(painting, screens.now()).map_err(Trouble::own_fault)?;
    // Looked at afterwards, so that a code that was made while the door was being shut is given to nobody.
    let addresses = screens.addresses();
    if addresses.is_empty() {
        return Err(Trouble::refused("The studio is open to this computer alone. Open the door first."));
    }
    let ways = addresses.into_iter().map(|address| {
        let address = format!("http://{address}/pair");
        let qr = qr(&format!("{address}#{code}")).map_err(Trouble::own_fault)?;
        Ok(Way { address, qr })
    });
    Ok(Json(PairingCode {
        ways: ways.collect::<Result<_, Trouble>>()?,
        code,
        number,
        seconds: CODE_HOLDS.as_secs(),
    }))
}

/// Sends a screen away: it is shown nothing from then on, until it brings a new code.
#[utoipa::path(delete, path = "/api/second-screens/{id}", params(("id" = String, Path)),
    responses((status = 200, body = SecondScreens), Troubles))]
pub(super) async fn send_away(
    State(studio): Shared,
    Path(id): Path<String>,
) -> Result<Json<SecondScreens>, Trouble> {
    if !id.parse().is_ok_and(|number| studio.second_screen().pairing().send_away(number)) {
        return Err(Trouble::new(StatusCode::NOT_FOUND, "That screen is not let in any more."));
    }
    keep_screens(&studio).await?;
    standing(studio).await
}

/// Keeps who is let in now.
pub(super) async fn keep_screens(studio: &Arc<Studio>) -> Result<(), Trouble> {
    let studio = Arc::clone(studio);
    work(move || {
        known_screens::keep(&studio);
        Ok(())
    })
    .await
}

async fn standing(studio: Arc<Studio>) -> Result<Json<SecondScreens>, Trouble> {
    let keeper = Arc::clone(&studio);
    let not_kept = work(move || Ok(known_screens::why_not_kept(&keeper))).await?;
    let screens = studio.second_screen();
    let addresses = screens.addresses().iter().map(|address| format!("http://{address}/")).collect();
    let pairing = screens.pairing();
    let let_in = pairing.screens().iter().map(|screen| ScreenLetIn {
        id: screen.number.to_string(),
        since: screen.since.to_string(),
        paintings: screen.paintings.iter().map(|painting| painting.title.clone()).collect(),
        by_code: screen.by_code,
    });
    Ok(Json(SecondScreens {
        addresses,
        screens: let_in.collect(),
        code: pairing.code_that_holds(screens.now()),
        not_kept,
    }))
}
