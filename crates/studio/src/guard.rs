//! The door: only the page itself, on this computer, may speak to the studio.
//!
//! A web page elsewhere can make a browser send requests to 127.0.0.1, and can point a name of its own there (DNS
//! rebinding). So the `Host` must be ours, and a request that says where it comes from must come from ourselves.

use std::sync::Arc;

use axum::extract::{Request, State};
use axum::http::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, HOST, ORIGIN, REFERRER_POLICY, X_CONTENT_TYPE_OPTIONS,
    X_FRAME_OPTIONS,
};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use crate::state::Studio;

/// Nothing but our own files; no inline script or style, no frames, no forms, no outside request of any kind.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; \
                      font-src 'self'; connect-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'none'; \
                      frame-ancestors 'none'";

/// Says where a request comes from (W3C Fetch Metadata): `same-origin` from our page, `none` from the address bar.
const FETCH_SITE: HeaderName = HeaderName::from_static("sec-fetch-site");

/// Heeded only where the page is a secure context, as on this computer.
const OPENER_POLICY: HeaderName = HeaderName::from_static("cross-origin-opener-policy");
const RESOURCE_POLICY: HeaderName = HeaderName::from_static("cross-origin-resource-policy");

/// The port that browsers leave out of `Host` and `Origin` (RFC 9110, 4.2.1).
const USUAL_OF_HTTP: u16 = 80;

/// Lets our own page in, turns everything else away, and adds the headers that hold for every answer.
pub(crate) async fn door(State(studio): State<Arc<Studio>>, request: Request, next: Next) -> Response {
    let own_hosts = hosts(&["127.0.0.1", "localhost"], studio.port());
    let mut response = if is_ours(request.method(), request.headers(), &own_hosts) {
        with_policy(next.run(request).await)
    } else {
        with_policy(turned_away())
    };
    response.headers_mut().insert(OPENER_POLICY, HeaderValue::from_static("same-origin"));
    response
}

/// How browsers write these names with this port.
pub(crate) fn hosts(names: &[&str], port: u16) -> Vec<String> {
    let with_port = names.iter().map(|name| format!("{name}:{port}"));
    let alone = names.iter().filter(|_| port == USUAL_OF_HTTP).map(|name| (*name).to_owned());
    with_port.chain(alone).collect()
}

/// The answer to whoever is not let in.
pub(crate) fn turned_away() -> Response {
    (StatusCode::FORBIDDEN, "This is Mahlstick's studio. It answers only its own page.\n").into_response()
}

/// An answer with the headers that hold for every answer, at whichever door.
pub(crate) fn with_policy(mut response: Response) -> Response {
    let headers = response.headers_mut();
    headers.insert(CONTENT_SECURITY_POLICY, HeaderValue::from_static(POLICY));
    headers.insert(X_CONTENT_TYPE_OPTIONS, HeaderValue::from_static("nosniff"));
    headers.insert(X_FRAME_OPTIONS, HeaderValue::from_static("DENY"));
    headers.insert(REFERRER_POLICY, HeaderValue::from_static("no-referrer"));
    headers.insert(RESOURCE_POLICY, HeaderValue::from_static("same-origin"));
    headers.entry(CACHE_CONTROL).or_insert(HeaderValue::from_static("no-store"));
    response
}

/// Whether a request is for one of these hosts, each with its port, and comes from our own page there, as far as it says.
pub(crate) fn is_ours(method: &Method, headers: &HeaderMap, own_hosts: &[String]) -> bool {
    let one = |name: &HeaderName| {
        let mut all = headers.get_all(name).iter();
        let first = all.next().map(|value| value.to_str().unwrap_or("?").to_owned());
        if all.next().is_some() { Some("?".to_owned()) } else { first }
    };
    let Some(host) = one(&HOST).filter(|host| own_hosts.contains(host)) else { return false };
    let from_here = one(&ORIGIN).is_none_or(|origin| origin == format!("http://{host}"));
    // Following a link from elsewhere to our page is harmless, as long as it only asks to see it.
    let site = one(&FETCH_SITE).unwrap_or_else(|| "none".to_owned());
    let by_ourselves = matches!(site.as_str(), "same-origin" | "none")
        || (method == Method::GET && headers.get("sec-fetch-mode").is_some_and(|mode| mode == "navigate"));
    from_here && by_ourselves
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ours(method: &Method, headers: &[(&'static str, &str)]) -> bool {
        let mut map = HeaderMap::new();
        for (name, value) in headers {
            map.append(*name, HeaderValue::from_str(value).unwrap());
        }
        is_ours(method, &map, &["127.0.0.1:7448", "localhost:7448"].map(str::to_owned))
    }

    #[test]
    fn the_usual_port_is_left_out_by_browsers() {
        assert_eq!(hosts(&["192.0.2.7"], 7448), ["192.0.2.7:7448"]);
        assert_eq!(hosts(&["192.0.2.7"], 80), ["192.0.2.7:80", "192.0.2.7"]);
    }

    #[test]
    fn our_own_page_is_let_in() {
        assert!(ours(&Method::GET, &[("host", "127.0.0.1:7448")]));
        assert!(ours(
            &Method::POST,
            &[
                ("host", "localhost:7448"),
                ("origin", "http://localhost:7448"),
                ("sec-fetch-site", "same-origin")
            ]
        ));
        assert!(ours(
            &Method::GET,
            &[("host", "127.0.0.1:7448"), ("sec-fetch-site", "cross-site"), ("sec-fetch-mode", "navigate")]
        ));
    }

    #[test]
    fn a_page_elsewhere_is_turned_away() {
        let turned_away: [&[(&str, &str)]; 8] = [
            &[],
            &[("host", "paint.example:7448")],
            &[("host", "127.0.0.1:80")],
            &[("host", "127.0.0.1:7448"), ("host", "paint.example")],
            &[("host", "127.0.0.1:7448"), ("origin", "http://paint.example")],
            &[("host", "127.0.0.1:7448"), ("origin", "null")],
            &[("host", "127.0.0.1:7448"), ("origin", "http://localhost:7448")],
            &[("host", "127.0.0.1:7448"), ("sec-fetch-site", "cross-site")],
        ];
        for headers in turned_away {
            assert!(!ours(&Method::POST, headers), "{headers:?}");
        }
        assert!(!ours(
            &Method::GET,
            &[("host", "127.0.0.1:7448"), ("sec-fetch-site", "same-site"), ("sec-fetch-mode", "no-cors")]
        ));
    }
}
