//! The page's own files, embedded in the program.

use std::sync::OnceLock;

use axum::body::Body;
use axum::extract::Path;
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE, ETAG, IF_NONE_MATCH};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Response};
use rust_embed::{EmbeddedFile, RustEmbed};

use crate::answer::Trouble;
use crate::fingerprint::hex;

#[derive(RustEmbed)]
#[folder = "web/"]
struct Web;

/// The serif that the sheets are set in, by the names under which the page asks for it.
const FONTS: [(&str, &str); 3] = [
    ("fonts/serif-regular.otf", "LibertinusSerif-Regular"),
    ("fonts/serif-italic.otf", "LibertinusSerif-Italic"),
    ("fonts/serif-bold.otf", "LibertinusSerif-Bold"),
];

/// A file of the page by its name under `/web/`.
pub(crate) async fn file(Path(name): Path<String>, headers: HeaderMap) -> Response {
    if let Some((_, font)) = FONTS.iter().find(|(file, _)| *file == name) {
        return font_file(font);
    }
    answer(&name, &headers)
}

/// A page by the name of its file.
pub(crate) fn page(name: &'static str, headers: &HeaderMap) -> Response {
    answer(name, headers)
}

fn answer(name: &str, headers: &HeaderMap) -> Response {
    let Some(EmbeddedFile { data, metadata }) = Web::get(name) else {
        return Trouble::new(StatusCode::NOT_FOUND, "There is no such page.").into_response();
    };
    let tag = format!("\"{}\"", hex(&metadata.sha256_hash()[..8]));
    // Asked for anew each time, and not sent again while it is the same: a new version of the program shows at once.
    let cache = [(CACHE_CONTROL, "no-cache".to_owned()), (ETAG, tag.clone())];
    if headers.get(IF_NONE_MATCH).is_some_and(|known| known.as_bytes() == tag.as_bytes()) {
        return (StatusCode::NOT_MODIFIED, cache).into_response();
    }
    (cache, [(CONTENT_TYPE, kind_of(name))], Body::from(data.into_owned())).into_response()
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

    #[test]
    fn every_font_that_the_page_asks_for_is_there() {
        for (_, name) in FONTS {
            assert_eq!(font_file(name).status(), StatusCode::OK, "{name}");
        }
    }
}
