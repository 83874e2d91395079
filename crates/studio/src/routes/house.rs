//! What a screen elsewhere in the house is answered: a router of its own with nothing in it but the easel page and what
//! that page reads, so that no path, however written, leads to anything else.
//!
//! Everyone in the house may fetch the page that asks for the code, and the page's own files, which tell nothing of any
//! painting. All else needs the cookie that a right code earns, and an open door. The connection is not encrypted: the network is trusted.

use std::net::SocketAddr;
use std::sync::Arc;

use axum::extract::{DefaultBodyLimit, RawPathParams, Request, State};
use axum::http::header::{COOKIE, ORIGIN, SET_COOKIE};
use axum::http::{HeaderMap, Method, StatusCode};
use axum::middleware::{Next, from_fn, from_fn_with_state};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use axum::{Extension, Json, Router};
use serde::{Deserialize, Serialize};
use tokio::sync::watch;
use utoipa::ToSchema;

use super::second_screen::keep_screens;
use super::{news, painting, pictures, tones, work};
use crate::answer::Trouble;
use crate::asked::{Body, PaintingId};
use crate::guard;
use crate::known_screens::{KNOWN_FOR, ShownPainting};
use crate::lingering::heard_out;
use crate::pairing::Refused;
use crate::state::Studio;
use crate::web;

/// The most bytes of a request: a code, many times over.
const MAX_REQUEST_BYTES: usize = 4096;

/// What the name of the cookie of a screen that is let in begins with. The studio's port follows: browsers give cookies to every port of an
/// address, and another studio on the same computer has its own.
const COOKIE_NAME: &str = "mahlstick-screen";

/// A code as it was typed or brought along.
#[derive(Deserialize, ToSchema)]
pub(crate) struct CodeTyped {
    /// The code.
    code: String,
}

/// Where a screen goes that was let in.
#[derive(Serialize, ToSchema)]
pub(crate) struct LetIn {
    /// The address of the easel page.
    easel: String,
    /// The screen's number, by which the computer names it.
    screen: usize,
}

/// The paintings that the screen that asks may see, the one it was let in for last at the end.
#[derive(Serialize, ToSchema)]
pub(crate) struct Shown {
    paintings: Vec<ShownPainting>,
}

/// Changes when the screen that asks is sent away.
type SentAway = watch::Receiver<bool>;

type Shared = State<Arc<Studio>>;

/// The router for one address of this computer.
pub(crate) fn router(studio: Arc<Studio>, address: SocketAddr) -> Router {
    let for_paired = Router::new()
        .route("/easel/{id}", get(web::easel))
        .route("/api/shown", get(shown))
        .route("/api/paintings/{id}", get(painting::state))
        .route("/api/paintings/{id}/easel.jpg", get(pictures::easel))
        .route("/api/paintings/{id}/toned.jpg", get(tones::toned))
        .route("/api/paintings/{id}/spot", get(tones::spot))
        .route("/api/value-steps", get(tones::value_steps))
        .route("/api/paintings/{id}/events", get(events))
        .route_layer(from_fn_with_state(Arc::clone(&studio), only_paired));
    Router::new()
        .route("/", get(home))
        .route("/pair", get(async |headers: HeaderMap| web::page("pair.html", &headers)))
        .route("/api/pair", post(pair))
        .route("/web/{*name}", get(web::file))
        .merge(for_paired)
        .fallback(async || Trouble::new(StatusCode::NOT_FOUND, "There is no such page for a second screen."))
        .method_not_allowed_fallback(async || {
            Trouble::new(
                StatusCode::METHOD_NOT_ALLOWED,
                "A second screen only looks. Change things on the computer.",
            )
        })
        .layer(DefaultBodyLimit::max(MAX_REQUEST_BYTES))
        .layer(from_fn_with_state(guard::hosts(&[&address.ip().to_string()], address.port()), door))
        .layer(from_fn(heard_out))
        .with_state(studio)
}

/// Lets in only requests for this very address from its own page; one that sends something must say that it is.
async fn door(State(hosts): State<Vec<String>>, request: Request, next: Next) -> Response {
    let looks = matches!(*request.method(), Method::GET | Method::HEAD);
    let says_where_from = looks || request.headers().contains_key(ORIGIN);
    if says_where_from && guard::is_ours(request.method(), request.headers(), &hosts) {
        guard::with_policy(next.run(request).await)
    } else {
        guard::with_policy(guard::turned_away())
    }
}

/// Whoever types the address alone goes on to the picture, or to where the code is asked for.
async fn home(State(studio): Shared, headers: HeaderMap) -> Redirect {
    let token = token(&studio, &headers).unwrap_or_default();
    let paintings = studio.second_screen().pairing().paintings_for(&token);
    Redirect::to(
        &paintings.last().map_or_else(|| "/pair".to_owned(), |painting| format!("/easel/{}", painting.id)),
    )
}

/// What the screen may see, as far as it hangs on the shelf.
async fn shown(State(studio): Shared, headers: HeaderMap) -> Result<Json<Shown>, Trouble> {
    let token = token(&studio, &headers).unwrap_or_default();
    let mut paintings = studio.second_screen().pairing().paintings_for(&token);
    work(move || {
        paintings.retain(|painting| studio.folder().find(&painting.id).is_some());
        Ok(Json(Shown { paintings }))
    })
    .await
}

/// Lets a screen in that knows the code, and gives it the cookie by which it is known from then on.
async fn pair(
    State(studio): Shared,
    headers: HeaderMap,
    Body(typed): Body<CodeTyped>,
) -> Result<Response, Trouble> {
    let screens = studio.second_screen();
    let shown = token(&studio, &headers);
    let admission =
        screens.pairing().admit(&typed.code, shown.as_deref(), screens.now()).map_err(|refused| {
            let status = match refused {
                Refused::TooManyGuesses => StatusCode::TOO_MANY_REQUESTS,
                Refused::NoChance => StatusCode::SERVICE_UNAVAILABLE,
                Refused::NotTheCode | Refused::TooManyScreens => StatusCode::FORBIDDEN,
            };
            Trouble::new(status, refused.to_string())
        })?;
    keep_screens(&studio).await?;
    let (name, seconds) = (cookie_name(&studio), KNOWN_FOR.as_secs());
    let cookie = format!("{name}={}; Max-Age={seconds}; HttpOnly; SameSite=Strict; Path=/", admission.token);
    let easel = format!("/easel/{}", admission.painting);
    Ok(([(SET_COOKIE, cookie)], Json(LetIn { easel, screen: admission.number })).into_response())
}

/// Turns away who is not let in, or not to this painting: a page to where the code is asked for, anything else with a sentence.
async fn only_paired(
    State(studio): Shared,
    asked: RawPathParams,
    mut request: Request,
    next: Next,
) -> Response {
    let painting = asked.iter().find_map(|(name, id)| (name == "id").then_some(id));
    let token = token(&studio, request.headers());
    let (sent_away, sees): (Option<SentAway>, bool) = {
        let pairing = studio.second_screen().pairing();
        let token = token.as_deref().unwrap_or_default();
        (pairing.let_in(token), painting.is_none_or(|painting| pairing.may_see(token, painting)))
    };
    // Looked at after the receiver was taken: a door that is shut in between ends what is answered now.
    if !studio.second_screen().is_open() {
        return Trouble::new(
            StatusCode::SERVICE_UNAVAILABLE,
            "The door was shut on the computer. What is seen here may be old.",
        )
        .into_response();
    }
    match sent_away {
        Some(sent_away) if sees => {
            request.extensions_mut().insert(sent_away);
            next.run(request).await
        }
        _ if request.uri().path().starts_with("/easel/") => Redirect::to("/pair").into_response(),
        Some(_) => Trouble::new(
            StatusCode::FORBIDDEN,
            "This screen was let in for another painting. Make a code for this one on the computer to see it too.",
        )
        .into_response(),
        None => Trouble::new(
            StatusCode::UNAUTHORIZED,
            "This screen is not let in, or was sent away. Make a new code on the computer to let it in.",
        )
        .into_response(),
    }
}

/// News of a painting, until the screen is sent away.
async fn events(
    State(studio): Shared,
    Extension(mut sent_away): Extension<SentAway>,
    PaintingId(id): PaintingId,
) -> Result<Response, Trouble> {
    let until = async move {
        // An error says that the screen is no longer among those let in.
        let _ = sent_away.wait_for(|gone| *gone).await;
    };
    news::stream(studio, id, until).await
}

fn cookie_name(studio: &Studio) -> String {
    format!("{COOKIE_NAME}-{}", studio.port())
}

/// The token in the cookie of a request; none if several are shown.
fn token(studio: &Studio, headers: &HeaderMap) -> Option<String> {
    let name = cookie_name(studio);
    let all = headers.get_all(COOKIE).iter().filter_map(|value| value.to_str().ok());
    let mut shown = all
        .flat_map(|cookies| cookies.split(';'))
        .filter_map(|cookie| cookie.trim().strip_prefix(&name)?.strip_prefix('='));
    let first = shown.next()?.to_owned();
    shown.next().is_none().then_some(first)
}

#[cfg(test)]
mod tests;
