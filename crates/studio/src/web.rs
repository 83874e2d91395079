//! The page's own files, embedded in the program.

use std::borrow::Cow;
use std::collections::HashMap;
use std::sync::{LazyLock, OnceLock};

use axum::body::Body;
use axum::extract::Path;
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE, ETAG, IF_NONE_MATCH, LINK};
use axum::http::{HeaderMap, HeaderValue, StatusCode, Uri};
use axum::response::{IntoResponse, Response};
use rust_embed::{EmbeddedFile, RustEmbed};

use crate::answer::Trouble;
use crate::fingerprint::{fingerprint, hex};
use crate::modules::with_modules_named;

#[derive(RustEmbed)]
#[folder = "web/"]
struct Web;

/// For a year, the longest that caches heed (RFC 9111), without asking again (RFC 8246).
const UNCHANGING: HeaderValue = HeaderValue::from_static("max-age=31536000, immutable");

/// The serif that the sheets are set in, by the names under which the page asks for it.
const FONTS: [(&str, &str); 3] = [
    ("fonts/serif-regular.otf", "LibertinusSerif-Regular"),
    ("fonts/serif-italic.otf", "LibertinusSerif-Italic"),
    ("fonts/serif-bold.otf", "LibertinusSerif-Bold"),
];

/// The version of all files together, by which pages ask for them: `/web/VERSION/NAME`. What has a version in its address never
/// changes, and a browser that has it asks no more.
static VERSION: LazyLock<String> = LazyLock::new(|| {
    let mut told = String::new();
    for name in Web::iter() {
        let hash = Web::get(&name).map(|file| hex(&file.metadata.sha256_hash()));
        told.extend([&*name, " ", &*hash.unwrap_or_default(), "\n"]);
    }
    fingerprint(told)
});

/// A file of the page by its name under `/web/`, with the version or without.
pub(crate) async fn file(Path(path): Path<String>, headers: HeaderMap) -> Response {
    let of_this_version = path.strip_prefix(&**VERSION).and_then(|rest| rest.strip_prefix('/'));
    let name = of_this_version.unwrap_or(&path);
    let mut response = match FONTS.iter().find(|(file, _)| *file == name) {
        Some((_, font)) => font_file(font),
        None => answer(name, &headers),
    };
    if of_this_version.is_some() && response.status() == StatusCode::OK {
        response.headers_mut().insert(CACHE_CONTROL, UNCHANGING);
    }
    response
}

/// The page of one painting, by the name of its file, with the painting's state asked for before the page's scripts have come.
pub(crate) fn painting_page(name: &'static str, address: &Uri, headers: &HeaderMap) -> Response {
    let id = address.path().rsplit('/').next().unwrap_or_default();
    asking_for(&format!("/api/paintings/{id}"), page(name, headers))
}

/// The shelf's page, with what is on the shelf asked for before its scripts have come.
pub(crate) fn shelf_page(headers: &HeaderMap) -> Response {
    asking_for("/api/shelf", page("shelf.html", headers))
}

/// The answer with a link that lets a browser ask for `path`, as the page's first script will (`rel=preload`, HTML Living Standard
/// 4.6.7.20, in the header of RFC 8288). A path with signs that may not stand there is left to the script.
fn asking_for(path: &str, mut page: Response) -> Response {
    let is_plain = |sign: u8| sign.is_ascii_alphanumeric() || b"/-_.~%".contains(&sign);
    let link = HeaderValue::try_from(format!("<{path}>; rel=preload; as=fetch; crossorigin"));
    if let (true, Ok(link)) = (path.bytes().all(is_plain), link) {
        page.headers_mut().insert(LINK, link);
    }
    page
}

/// A page by the name of its file.
pub(crate) fn page(name: &'static str, headers: &HeaderMap) -> Response {
    static PAGES: LazyLock<HashMap<String, (String, Vec<u8>)>> = LazyLock::new(|| {
        let text = |name: &str| Some(String::from_utf8_lossy(&Web::get(name)?.data).into_owned());
        let pages = Web::iter().filter(|name| name.ends_with(".html"));
        pages
            .filter_map(|name| {
                let page = with_modules_named(&text(&name)?, text);
                let page = page.replace("\"/web/", &format!("\"/web/{}/", *VERSION));
                Some((name.into_owned(), (fingerprint(&page), page.into_bytes())))
            })
            .collect()
    });
    let Some((version, page)) = PAGES.get(name) else { return unknown() };
    sent_if_changed(name, version, Cow::Borrowed(page), headers)
}

fn answer(name: &str, headers: &HeaderMap) -> Response {
    let Some(EmbeddedFile { data, metadata }) = Web::get(name) else { return unknown() };
    sent_if_changed(name, &hex(&metadata.sha256_hash()[..8]), data, headers)
}

fn unknown() -> Response {
    Trouble::new(StatusCode::NOT_FOUND, "There is no such page.").into_response()
}

/// Asked for anew each time, and not sent again while it is the same: with the page, a new version of the program shows at once.
fn sent_if_changed(name: &str, version: &str, data: Cow<'static, [u8]>, headers: &HeaderMap) -> Response {
    let tag = format!("\"{version}\"");
    let cache = [(CACHE_CONTROL, "no-cache".to_owned()), (ETAG, tag.clone())];
    if headers.get(IF_NONE_MATCH).is_some_and(|known| known.as_bytes() == tag.as_bytes()) {
        return (StatusCode::NOT_MODIFIED, cache).into_response();
    }
    let body = match data {
        Cow::Borrowed(data) => Body::from(data),
        Cow::Owned(data) => Body::from(data),
    };
    (cache, [(CONTENT_TYPE, kind_of(name))], body).into_response()
}

fn font_file(name: &str) -> Response {
    static KNOWN: OnceLock<Vec<(String, &'static [u8])>> = OnceLock::new();
    let known = KNOWN.get_or_init(|| {
        typst_assets::fonts().filter_map(|font| Some((postscript_name(font)?, font))).collect()
    });
    match known.iter().find(|(known, _)| known == name) {
        Some((_, font)) => {
            ([(CACHE_CONTROL, "max-age=604800"), (CONTENT_TYPE, "font/otf")], *font).into_response()
        }
        None => Trouble::new(StatusCode::NOT_FOUND, "There is no such font.").into_response(),
    }
}

fn postscript_name(font: &[u8]) -> Option<String> {
    let face = ttf_parser::Face::parse(font, 0).ok()?;
    let mut names = face.names().into_iter();
    names.find(|name| name.name_id == ttf_parser::name_id::POST_SCRIPT_NAME && name.is_unicode())?.to_string()
}

fn kind_of(name: &str) -> &'static str {
    match name.rsplit_once('.').map(|(_, ending)| ending) {
        Some("html") => "text/html; charset=utf-8",
        Some("js") => "text/javascript; charset=utf-8",
        Some("css") => "text/css; charset=utf-8",
        Some("svg") => "image/svg+xml",
        Some("json" | "webmanifest") => "application/json",
        Some("png") => "image/png",
        _ => "application/octet-stream",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test]
    async fn what_a_page_names_is_there_and_is_kept_by_the_browser() {
        for page in Web::iter().filter(|name| name.ends_with(".html")) {
            let response = super::page(Box::leak(page.into_owned().into_boxed_str()), &HeaderMap::new());
            let html = axum::body::to_bytes(response.into_body(), usize::MAX).await.unwrap();
            let html = String::from_utf8(html.to_vec()).unwrap();
            let named: Vec<&str> =
                html.split("\"/web/").skip(1).filter_map(|rest| Some(rest.split_once('"')?.0)).collect();
            assert!(named.len() > 5, "{html}");
            for path in named {
                let response = file(Path(path.to_owned()), HeaderMap::new()).await;
                assert_eq!(response.status(), StatusCode::OK, "{path}");
                assert_eq!(response.headers()[CACHE_CONTROL], UNCHANGING, "{path}");
            }
        }
    }

    #[tokio::test]
    async fn an_address_without_this_version_is_not_kept() {
        let plain = file(Path("server.js".to_owned()), HeaderMap::new()).await;
        assert_eq!(plain.headers()[CACHE_CONTROL], "no-cache");
        let of_another = file(Path("0123456789abcdef/server.js".to_owned()), HeaderMap::new()).await;
        assert_eq!(of_another.status(), StatusCode::NOT_FOUND);
        assert_ne!(of_another.headers().get(CACHE_CONTROL), Some(&UNCHANGING));
    }

    #[test]
    fn every_font_that_the_page_asks_for_is_there() {
        for (_, name) in FONTS {
            assert_eq!(font_file(name).status(), StatusCode::OK, "{name}");
        }
    }
}
