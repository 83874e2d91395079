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
use crate::bundle::{Bundle, bundled};
use crate::fingerprint::{fingerprint, hex};

#[derive(RustEmbed)]
#[folder = "web/"]
struct Web;

/// For a year, as long as HTTP/1.1 once allowed (RFC 9111, 5.3), without asking again (RFC 8246).
const UNCHANGING: HeaderValue = HeaderValue::from_static("max-age=31536000, immutable");

/// The serif that the sheets are set in, by the names under which the page asks for it.
const FONTS: [(&str, &str); 3] = [
    ("fonts/serif-regular.otf", "LibertinusSerif-Regular"),
    ("fonts/serif-italic.otf", "LibertinusSerif-Italic"),
    ("fonts/serif-bold.otf", "LibertinusSerif-Bold"),
];

/// What each page is made of, by the page's name.
static BUNDLES: LazyLock<Vec<(Cow<'static, str>, Bundle)>> = LazyLock::new(|| {
    let text_of = |name: &str| {
        Web::get(name).map_or_else(String::new, |file| String::from_utf8_lossy(&file.data).into_owned())
    };
    let pages = Web::iter().filter(|name| name.ends_with(".html"));
    pages.map(|name| (name.clone(), bundled(&name, &text_of(&name), text_of))).collect()
});

/// The version of all files together but the fonts, and of what is bundled of them, by which pages ask for them: `/web/VERSION/NAME`.
/// What has a version in its address never changes, and a browser that has it asks no more.
static VERSION: LazyLock<String> = LazyLock::new(|| {
    let mut told = String::new();
    for name in Web::iter() {
        let hash = Web::get(&name).map(|file| hex(&file.metadata.sha256_hash()));
        told.extend([&*name, " ", &*hash.unwrap_or_default(), "\n"]);
    }
    for (_, Bundle { script, style, .. }) in BUNDLES.iter() {
        told.extend([&*fingerprint(&script.1), " ", &*fingerprint(&style.1), "\n"]);
    }
    fingerprint(told)
});

/// A file of the page by its name under `/web/`, with a version before it or without. A page that an older program made names its
/// version; it gets the files of this one, to be asked for anew.
pub(crate) async fn file(Path(path): Path<String>, headers: HeaderMap) -> Response {
    let (version, name) = path.split_once('/').filter(|(first, _)| is_version(first)).unwrap_or(("", &path));
    if let Some((_, font)) = FONTS.iter().find(|(file, _)| *file == name) {
        return font_file(font);
    }
    let mut response = answer(name, &headers);
    let is_there = matches!(response.status(), StatusCode::OK | StatusCode::NOT_MODIFIED);
    if is_there && version == *VERSION {
        response.headers_mut().insert(CACHE_CONTROL, UNCHANGING);
    }
    response
}

/// Whether part of an address has the form of a version: a fingerprint.
fn is_version(part: &str) -> bool {
    part.len() == VERSION.len() && part.bytes().all(|digit| digit.is_ascii_hexdigit())
}

/// The shelf's page.
pub(crate) async fn shelf(headers: HeaderMap) -> Response {
    asking_for("/api/shelf", page("shelf.html", &headers))
}

/// The worktable's page.
pub(crate) async fn worktable(address: Uri, headers: HeaderMap) -> Response {
    let choices = format!("{}/choices", of_painting(&address));
    asking_for(&choices, asking_for(&of_painting(&address), page("worktable.html", &headers)))
}

/// The easel's page.
pub(crate) async fn easel(address: Uri, headers: HeaderMap) -> Response {
    asking_for(&of_painting(&address), page("easel.html", &headers))
}

/// Where a painting is asked for whose page has this address: its id ends it, and goes into a header as it stands there,
/// percent-encoded.
fn of_painting(address: &Uri) -> String {
    let id = address.path().rsplit('/').next().unwrap_or_default();
    format!("/api/paintings/{id}")
}

/// The answer with a link that lets a browser ask for `path`, as the page's first script will (`rel=preload`, HTML Living Standard
/// 4.6.7.20, in the header of RFC 8288). A path with signs that may not stand there is left to the script.
fn asking_for(path: &str, mut page: Response) -> Response {
    let is_plain = |sign: u8| sign.is_ascii_alphanumeric() || b"/-_.~%".contains(&sign);
    let link = HeaderValue::try_from(format!("<{path}>; rel=preload; as=fetch; crossorigin"));
    if let (true, Ok(link)) = (path.bytes().all(is_plain), link) {
        page.headers_mut().append(LINK, link);
    }
    page
}

/// A page by the name of its file.
pub(crate) fn page(name: &str, headers: &HeaderMap) -> Response {
    match MADE.get(name) {
        Some(made) => made.sent(name, headers),
        None => unknown(),
    }
}

/// A file that is made when the program starts: a page, or its modules or styles in one.
struct Made {
    fingerprint: String,
    text: Vec<u8>,
}

impl Made {
    fn new(text: String) -> Self {
        Self { fingerprint: fingerprint(&text), text: text.into_bytes() }
    }

    fn sent(&'static self, name: &str, headers: &HeaderMap) -> Response {
        sent_if_changed(name, &self.fingerprint, Cow::Borrowed(&self.text), headers)
    }
}

/// The pages and what is bundled for them, by name.
static MADE: LazyLock<HashMap<&str, Made>> = LazyLock::new(|| {
    let mut made = HashMap::new();
    for (name, Bundle { page, script, style }) in BUNDLES.iter() {
        let page = page.replace("\"/web/", &format!("\"/web/{}/", *VERSION));
        made.insert(&**name, Made::new(page));
        made.extend([script, style].map(|(name, text)| (&**name, Made::new(text.clone()))));
    }
    made
});

fn answer(name: &str, headers: &HeaderMap) -> Response {
    if let Some(made) = MADE.get(name) {
        return made.sent(name, headers);
    }
    let Some(EmbeddedFile { data, metadata }) = Web::get(name) else { return unknown() };
    sent_if_changed(name, &hex(&metadata.sha256_hash()[..8]), data, headers)
}

fn unknown() -> Response {
    Trouble::new(StatusCode::NOT_FOUND, "There is no such page.").into_response()
}

/// Asked for anew each time, and not sent again while it is the same. Pages are, and name their files by version: so a new version
/// of the program shows at once.
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
            let response = super::page(&page, &HeaderMap::new());
            let html = axum::body::to_bytes(response.into_body(), usize::MAX).await.unwrap();
            let html = String::from_utf8(html.to_vec()).unwrap();
            let named: Vec<&str> =
                html.split("\"/web/").skip(1).filter_map(|rest| Some(rest.split_once('"')?.0)).collect();
            assert_eq!(
                named.len(),
                5,
                "the mark, a font, styles, what comes before all, and modules: {html}"
            );
            for path in named {
                let response = file(Path(path.to_owned()), HeaderMap::new()).await;
                assert_eq!(response.status(), StatusCode::OK, "{path}");
                if path.contains("/fonts/") {
                    continue;
                }
                assert_eq!(response.headers()[CACHE_CONTROL], UNCHANGING, "{path}");
                // When a browser asks all the same, what it hears must not take that away again.
                let known = HeaderMap::from_iter([(IF_NONE_MATCH, response.headers()[ETAG].clone())]);
                let again = file(Path(path.to_owned()), known).await;
                assert_eq!(again.status(), StatusCode::NOT_MODIFIED, "{path}");
                assert_eq!(again.headers()[CACHE_CONTROL], UNCHANGING, "{path}");
            }
        }
    }

    #[tokio::test]
    async fn an_address_without_this_version_is_answered_and_not_kept() {
        for path in ["server.js", "0123456789abcdef/server.js"] {
            let response = file(Path(path.to_owned()), HeaderMap::new()).await;
            assert_eq!(response.status(), StatusCode::OK, "{path}");
            assert_eq!(response.headers()[CACHE_CONTROL], "no-cache", "{path}");
        }
        let nowhere = file(Path("of-another-form/server.js".to_owned()), HeaderMap::new()).await;
        assert_eq!(nowhere.status(), StatusCode::NOT_FOUND);
    }

    #[test]
    fn every_font_that_the_page_asks_for_is_there() {
        for (_, name) in FONTS {
            assert_eq!(font_file(name).status(), StatusCode::OK, "{name}");
        }
    }
}
