//! The second door attacked: guessing, a used code, an old code, a foreign host or origin, crooked paths, the cookie of a
//! screen that was sent away. Each is refused, and a screen that is let in can look and nothing else.

use std::sync::Mutex;
use std::time::{Duration, Instant};

use axum::body::{Body, to_bytes};
use axum::http::Request;
use serde_json::{Value, json};
use tempfile::TempDir;
use tower::ServiceExt as _;

use super::*;
use crate::folder::Folder;
use crate::lock::locked;
use crate::pairing::{CODE_HOLDS, GUESSES_FORGOTTEN, MAX_WRONG};
use crate::second_screen::{Lan, SecondScreen};

/// An address for documentation (RFC 5737).
const HOST: &str = "192.0.2.7:7448";
const ORIGIN_HERE: &str = "http://192.0.2.7:7448";

/// A house with a studio in it, its clock in our hands.
struct Home {
    folder: TempDir,
    studio: Arc<Studio>,
    desk: Router,
    door: Router,
    painting: String,
    clock: Arc<Mutex<Instant>>,
}

struct Answer {
    status: StatusCode,
    headers: HeaderMap,
    body: Value,
}

impl Home {
    async fn new() -> Self {
        let mut home = Self::started(tempfile::tempdir().unwrap());
        let made =
            home.at_desk("POST", "/api/paintings", json!({ "title": "Study", "size": "12 x 16 in" })).await;
        home.painting = made.body["id"].as_str().unwrap().to_owned();
        home
    }

    /// The studio closed and started anew, its door open.
    fn the_day_after(self) -> Self {
        Self { painting: self.painting, ..Self::started(self.folder) }
    }

    fn started(folder: TempDir) -> Self {
        let paintings = Folder::open(&folder.path().join("Paintings"), None).unwrap();
        let clock = Arc::new(Mutex::new(Instant::now()));
        let read = Arc::clone(&clock);
        let address = HOST.parse().unwrap();
        let screens = SecondScreen::new(Lan::Home, move || *locked(&read));
        drop(screens.open_at(vec![address]));
        let studio = Arc::new(Studio::new(paintings, 7448, screens));
        let (desk, door) = (super::super::router(Arc::clone(&studio)), router(Arc::clone(&studio), address));
        Self { folder, studio, desk, door, painting: String::new(), clock }
    }

    fn later(&self, by: Duration) {
        *locked(&self.clock) += by;
    }

    async fn at_desk(&self, method: &str, path: &str, body: Value) -> Answer {
        let request = Request::builder().method(method).uri(path).header("host", "127.0.0.1:7448");
        let request = request.header("content-type", "application/json");
        ask(&self.desk, request.body(Body::from(body.to_string())).unwrap()).await
    }

    async fn code(&self) -> String {
        let made =
            self.at_desk("POST", "/api/second-screens/code", json!({ "painting": self.painting })).await;
        assert_eq!(made.status, StatusCode::OK, "{}", made.body);
        made.body["code"].as_str().unwrap().to_owned()
    }

    async fn guess(&self, code: &str) -> Answer {
        self.at_door("POST", "/api/pair", &[("origin", ORIGIN_HERE)], json!({ "code": code })).await
    }

    /// A screen that was let in: its cookie.
    async fn let_in(&self) -> String {
        let answer = self.guess(&self.code().await).await;
        assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
        assert_eq!(answer.body["easel"], format!("/easel/{}", self.painting));
        let cookie = answer.headers["set-cookie"].to_str().unwrap();
        assert!(cookie.ends_with("; Max-Age=15552000; HttpOnly; SameSite=Strict; Path=/"), "{cookie}");
        cookie.split(';').next().unwrap().to_owned()
    }

    async fn at_door(&self, method: &str, path: &str, headers: &[(&str, &str)], body: Value) -> Answer {
        let mut request = Request::builder().method(method).uri(path);
        if !headers.iter().any(|(name, _)| *name == "host") {
            request = request.header("host", HOST);
        }
        request = request.header("content-type", "application/json");
        for (name, value) in headers {
            request = request.header(*name, *value);
        }
        ask(&self.door, request.body(Body::from(body.to_string())).unwrap()).await
    }

    async fn look(&self, cookie: &str, path: &str) -> StatusCode {
        self.at_door("GET", path, &[("cookie", cookie)], Value::Null).await.status
    }

    fn state(&self) -> String {
        format!("/api/paintings/{}", self.painting)
    }
}

async fn ask(router: &Router, request: Request<Body>) -> Answer {
    let response = router.clone().oneshot(request).await.unwrap();
    let (parts, body) = response.into_parts();
    let bytes = to_bytes(body, usize::MAX).await.unwrap();
    let body = serde_json::from_slice(&bytes).unwrap_or(Value::Null);
    Answer { status: parts.status, headers: parts.headers, body }
}

#[tokio::test]
async fn a_screen_that_knows_the_code_sees_the_easel_and_nothing_before() {
    let home = Home::new().await;
    let before = home.at_door("GET", &format!("/easel/{}", home.painting), &[], Value::Null).await;
    assert_eq!(
        (before.status, &before.headers["location"]),
        (StatusCode::SEE_OTHER, &"/pair".parse().unwrap())
    );
    assert_eq!(home.look("", &home.state()).await, StatusCode::UNAUTHORIZED);
    let cookie = home.let_in().await;
    assert_eq!(home.look(&cookie, &format!("/easel/{}", home.painting)).await, StatusCode::OK);
    assert_eq!(home.look(&cookie, &home.state()).await, StatusCode::OK);
    assert_eq!(home.look("", "/pair").await, StatusCode::OK);
    assert_eq!(home.look("", "/web/easel/pair.js").await, StatusCode::OK);
}

#[tokio::test]
async fn guessing_shuts_the_door() {
    let home = Home::new().await;
    let code = home.code().await;
    for at in 0..MAX_WRONG {
        assert_eq!(home.guess(&format!("{at:08}")).await.status, StatusCode::FORBIDDEN);
    }
    let right = home.guess(&code).await;
    assert_eq!(right.status, StatusCode::TOO_MANY_REQUESTS);
    assert!(!right.headers.contains_key("set-cookie"));
    home.later(GUESSES_FORGOTTEN);
    assert_eq!(home.guess(&code).await.status, StatusCode::FORBIDDEN);
    home.let_in().await;
}

#[tokio::test]
async fn a_used_code_lets_no_one_in_again() {
    let home = Home::new().await;
    let code = home.code().await;
    assert_eq!(home.guess(&code).await.status, StatusCode::OK);
    assert_eq!(home.guess(&code).await.status, StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn an_old_code_lets_no_one_in() {
    let home = Home::new().await;
    let code = home.code().await;
    home.later(CODE_HOLDS);
    assert_eq!(home.guess(&code).await.status, StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn a_foreign_host_or_origin_is_turned_away_even_with_code_and_cookie() {
    let home = Home::new().await;
    let cookie = home.let_in().await;
    for host in [
        "paint.example:7448",
        "127.0.0.1:7448",
        "localhost:7448",
        "192.0.2.7",
        "192.0.2.7:80",
        "192.0.2.8:7448",
    ] {
        let answer =
            home.at_door("GET", &home.state(), &[("host", host), ("cookie", &cookie)], Value::Null).await;
        assert_eq!(answer.status, StatusCode::FORBIDDEN, "{host}");
    }
    let two_hosts = [("host", HOST), ("host", "paint.example"), ("cookie", cookie.as_str())];
    assert_eq!(
        home.at_door("GET", &home.state(), &two_hosts, Value::Null).await.status,
        StatusCode::FORBIDDEN
    );
    let code = home.code().await;
    for origin in [
        "http://paint.example",
        "null",
        "http://127.0.0.1:7448",
        "https://192.0.2.7:7448",
        "http://192.0.2.7",
    ] {
        let headers = [("origin", origin), ("cookie", cookie.as_str())];
        let looked = home.at_door("GET", &home.state(), &headers, Value::Null).await;
        let paired = home.at_door("POST", "/api/pair", &headers, json!({ "code": code })).await;
        assert_eq!(
            (looked.status, paired.status),
            (StatusCode::FORBIDDEN, StatusCode::FORBIDDEN),
            "{origin}"
        );
    }
    let no_origin = home.at_door("POST", "/api/pair", &[], json!({ "code": code })).await;
    assert_eq!(no_origin.status, StatusCode::FORBIDDEN);
    // None of these used the code up.
    assert_eq!(home.guess(&code).await.status, StatusCode::OK);
}

#[tokio::test]
async fn no_path_leads_to_anything_but_the_easel() {
    let home = Home::new().await;
    let (cookie, id) = (home.let_in().await, home.painting.clone());
    let crooked = [
        format!("/painting/{id}"),
        "/api/shelf".to_owned(),
        "/api/second-screens".to_owned(),
        "/openapi.json".to_owned(),
        format!("/api/paintings/{id}/original.jpg"),
        format!("/api/paintings/{id}/picture.jpg"),
        format!("/api/paintings/{id}/packet.pdf"),
        format!("/easel/{id}/../../api/shelf"),
        "/web/../api/shelf".to_owned(),
        "/web/..%2f..%2f..%2f..%2fetc%2fpasswd".to_owned(),
        "/web//etc/passwd".to_owned(),
        "/web/%2e%2e/Cargo.toml".to_owned(),
        "//api/shelf".to_owned(),
        "/API/paintings".to_owned(),
        format!("/api/paintings/{id}/"),
    ];
    for path in crooked {
        assert_eq!(home.look(&cookie, &path).await, StatusCode::NOT_FOUND, "{path}");
    }
    // Where a painting is named crookedly it is one that the screen was not let in for, whether there is one or not.
    for name in [format!("..%2f{id}"), "..%2f..%2fshelf".to_owned(), "%00".to_owned(), "0".repeat(16)] {
        assert_eq!(
            home.look(&cookie, &format!("/api/paintings/{name}")).await,
            StatusCode::FORBIDDEN,
            "{name}"
        );
    }
    // The address alone leads on to the picture or, without a cookie, to where the code is asked for.
    for (cookie, to) in [(cookie.as_str(), format!("/easel/{id}")), ("none=1", "/pair".to_owned())] {
        let answer = home.at_door("GET", "/", &[("cookie", cookie)], Value::Null).await;
        assert_eq!(
            (answer.status, answer.headers["location"].to_str().unwrap()),
            (StatusCode::SEE_OTHER, &*to)
        );
    }
    // Nor does an address written as for a proxy.
    let by_proxy =
        home.at_door("GET", "http://127.0.0.1:7448/api/shelf", &[("cookie", &cookie)], Value::Null).await;
    assert_eq!(by_proxy.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_screen_that_is_let_in_changes_nothing() {
    let home = Home::new().await;
    let cookie = home.let_in().await;
    let before = home.at_desk("GET", &home.state(), Value::Null).await.body;
    let edit = json!({ "revision": before["revision"], "edit": { "grid": { "do": "parts", "columns": 9, "rows": 9 } } });
    for (method, end) in [
        ("POST", "/edits"),
        ("POST", "/try"),
        ("POST", "/undo"),
        ("POST", "/title"),
        ("POST", "/photo"),
        ("DELETE", ""),
        ("POST", ""),
        ("PUT", ""),
    ] {
        let path = format!("{}{end}", home.state());
        let headers = [("cookie", cookie.as_str()), ("origin", ORIGIN_HERE)];
        let answer = home.at_door(method, &path, &headers, edit.clone()).await;
        assert!(
            [StatusCode::NOT_FOUND, StatusCode::METHOD_NOT_ALLOWED].contains(&answer.status),
            "{method} {path}: {}",
            answer.status
        );
    }
    assert_eq!(home.at_desk("GET", &home.state(), Value::Null).await.body, before);
}

#[tokio::test]
async fn a_screen_that_was_sent_away_is_shown_nothing_more() {
    let home = Home::new().await;
    let (first, second) = (home.let_in().await, home.let_in().await);
    let request = Request::builder().uri(format!("{}/events", home.state())).header("host", HOST);
    let stream =
        home.door.clone().oneshot(request.header("cookie", &first).body(Body::empty()).unwrap()).await;
    let stream = stream.unwrap();
    assert_eq!(stream.status(), StatusCode::OK);
    let listed = home.at_desk("GET", "/api/second-screens", Value::Null).await.body;
    assert_eq!(listed["screens"].as_array().unwrap().len(), 2, "{listed}");
    let id = listed["screens"][0]["id"].as_str().unwrap();
    let gone = home.at_desk("DELETE", &format!("/api/second-screens/{id}"), Value::Null).await;
    assert_eq!(gone.status, StatusCode::OK);
    // The news it was listening to ends; without that this would wait for ever.
    to_bytes(stream.into_body(), usize::MAX).await.unwrap();
    assert_eq!(home.look(&first, &home.state()).await, StatusCode::UNAUTHORIZED);
    assert_eq!(home.look(&second, &home.state()).await, StatusCode::OK);
    let again = home.at_desk("DELETE", &format!("/api/second-screens/{id}"), Value::Null).await;
    assert_eq!(again.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn when_the_door_is_shut_no_screen_is_shown_anything_and_no_code_holds() {
    let home = Home::new().await;
    let (cookie, code) = (home.let_in().await, home.code().await);
    let shut = home.at_desk("PUT", "/api/second-screens", json!({ "open": false })).await;
    assert_eq!(shut.body["addresses"], json!([]));
    assert_eq!(home.look(&cookie, &home.state()).await, StatusCode::SERVICE_UNAVAILABLE);
    assert_eq!(home.look("", &home.state()).await, StatusCode::SERVICE_UNAVAILABLE);
    assert_eq!(home.guess(&code).await.status, StatusCode::FORBIDDEN);
    let refused =
        home.at_desk("POST", "/api/second-screens/code", json!({ "painting": home.painting })).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    // Who was let in is let in again with the door open, and not once it was sent away with the door shut.
    drop(home.studio.second_screen().open_at(vec![HOST.parse().unwrap()]));
    assert_eq!(home.look(&cookie, &home.state()).await, StatusCode::OK);
    home.studio.second_screen().shut();
    let gone = home.at_desk("DELETE", "/api/second-screens/1", Value::Null).await;
    assert_eq!((gone.status, &gone.body["screens"]), (StatusCode::OK, &json!([])));
    drop(home.studio.second_screen().open_at(vec![HOST.parse().unwrap()]));
    assert_eq!(home.look(&cookie, &home.state()).await, StatusCode::UNAUTHORIZED);
    // From the house itself the door can be neither opened nor shut.
    let path = "/api/second-screens";
    for method in ["PUT", "GET", "POST"] {
        let asked = home.at_door(method, path, &[("origin", ORIGIN_HERE)], json!({ "open": true })).await;
        assert_eq!(asked.status, StatusCode::NOT_FOUND, "{method}");
    }
}

#[tokio::test]
async fn a_screen_is_let_in_once_and_not_every_morning_unless_it_was_sent_away() {
    let home = Home::new().await;
    let (stays, goes) = (home.let_in().await, home.let_in().await);
    assert_eq!(home.at_desk("DELETE", "/api/second-screens/2", Value::Null).await.status, StatusCode::OK);
    let kept = std::fs::read_to_string(home.folder.path().join("Paintings/screens.json")).unwrap();
    let token = stays.split_once('=').unwrap().1;
    assert!(!kept.contains(token), "a token is as good as a key");
    let home = home.the_day_after();
    assert_eq!(home.look(&stays, &home.state()).await, StatusCode::OK);
    assert_eq!(home.look(&goes, &home.state()).await, StatusCode::UNAUTHORIZED);
    let listed = home.at_desk("GET", "/api/second-screens", Value::Null).await.body;
    assert_eq!((listed["screens"].as_array().unwrap().len(), &listed["screens"][0]["id"]), (1, &json!("1")));
    assert_eq!((&listed["screens"][0]["paintings"], &listed["not_kept"]), (&json!(["Study"]), &Value::Null));
}

#[cfg(unix)]
#[tokio::test]
async fn that_it_cannot_be_kept_who_is_let_in_is_told_until_it_can() {
    use std::os::unix::fs::symlink;

    let home = Home::new().await;
    let cookie = home.let_in().await;
    // Nothing can be written in a folder that is gone, not even by root; the link's end is not there.
    let [paintings, elsewhere] = ["Paintings", "Elsewhere"].map(|name| home.folder.path().join(name));
    std::fs::rename(&paintings, &elsewhere).unwrap();
    symlink("nowhere", &paintings).unwrap();
    let gone = home.at_desk("DELETE", "/api/second-screens/1", Value::Null).await;
    assert_eq!(gone.status, StatusCode::OK, "{}", gone.body);
    let told = gone.body["not_kept"].as_str().unwrap();
    assert!(told.starts_with("Which screens are let in could not be kept"), "{told}");
    assert_eq!(home.look(&cookie, &home.state()).await, StatusCode::UNAUTHORIZED);
    std::fs::remove_file(&paintings).unwrap();
    std::fs::rename(&elsewhere, &paintings).unwrap();
    // Looking again keeps it.
    let listed = home.at_desk("GET", "/api/second-screens", Value::Null).await.body;
    assert_eq!(listed["not_kept"], Value::Null);
    let home = home.the_day_after();
    assert_eq!(home.look(&cookie, &home.state()).await, StatusCode::UNAUTHORIZED);
}

#[tokio::test]
async fn a_new_painting_in_the_place_of_one_that_is_gone_is_shown_to_nobody() {
    let home = Home::new().await;
    let cookie = home.let_in().await;
    let id = &home.painting;
    let discarded = home.at_desk("POST", &format!("/api/paintings/{id}/discard"), Value::Null).await;
    assert_eq!(discarded.status, StatusCode::OK, "{}", discarded.body);
    let new = json!({ "title": "Study", "size": "12 x 16 in" });
    assert_eq!(home.at_desk("POST", "/api/paintings", new).await.body["id"], json!(id));
    assert_eq!(home.look(&cookie, &home.state()).await, StatusCode::FORBIDDEN);
    let home = home.the_day_after();
    assert_eq!(home.look(&cookie, &home.state()).await, StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn a_screen_is_told_which_paintings_it_may_see_and_the_desk_whether_a_code_was_used() {
    let mut home = Home::new().await;
    let cookie = home.let_in().await;
    let made =
        home.at_desk("POST", "/api/paintings", json!({ "title": "Second", "size": "12 x 16 in" })).await;
    let first = std::mem::replace(&mut home.painting, made.body["id"].as_str().unwrap().to_owned());
    let shown =
        async || home.at_door("GET", "/api/shown", &[("cookie", cookie.as_str())], Value::Null).await.body;
    assert_eq!(shown().await, json!({ "paintings": [{ "id": first, "title": "Study" }] }));
    let code = home.code().await;
    let holds = async || home.at_desk("GET", "/api/second-screens", Value::Null).await.body["code"].clone();
    assert_eq!(holds().await, json!(2));
    let headers = [("origin", ORIGIN_HERE), ("cookie", cookie.as_str())];
    home.at_door("POST", "/api/pair", &headers, json!({ "code": code })).await;
    assert_eq!(holds().await, Value::Null);
    let listed = home.at_desk("GET", "/api/second-screens", Value::Null).await.body;
    assert_eq!(listed["screens"][0]["by_code"], json!(2));
    // Under its new title, and without what was taken down.
    let revision = home.at_desk("GET", &home.state(), Value::Null).await.body["revision"].clone();
    let title = json!({ "title": "Third", "revision": revision });
    let titled = home.at_desk("POST", &format!("{}/title", home.state()), title).await;
    assert_eq!(titled.status, StatusCode::OK, "{}", titled.body);
    home.at_desk("POST", &format!("/api/paintings/{first}/take-down"), json!({})).await;
    assert_eq!(shown().await["paintings"], json!([{ "id": home.painting, "title": "Third" }]));
    let listed = home.at_desk("GET", "/api/second-screens", Value::Null).await.body;
    assert_eq!(listed["screens"][0]["paintings"], json!(["Study", "Third"]));
    let without = home.at_door("GET", "/api/shown", &[], Value::Null).await;
    assert_eq!(without.status, StatusCode::UNAUTHORIZED);
}

#[tokio::test]
async fn a_screen_that_is_let_in_sees_tones_and_spots() {
    let home = Home::new().await;
    let cookie = home.let_in().await;
    for (path, status) in [
        ("/api/value-steps".to_owned(), StatusCode::OK),
        // There is no photo in this painting.
        (format!("{}/toned.jpg?tone=grey", home.state()), StatusCode::UNPROCESSABLE_ENTITY),
        (format!("{}/spot?x=1&y=1&steps=5", home.state()), StatusCode::UNPROCESSABLE_ENTITY),
    ] {
        assert_eq!(home.look(&cookie, &path).await, status, "{path}");
        assert_eq!(home.look("", &path).await, StatusCode::UNAUTHORIZED, "{path}");
    }
}

#[tokio::test]
async fn a_made_up_or_doubled_cookie_is_no_cookie() {
    let home = Home::new().await;
    let cookie = home.let_in().await;
    let token = cookie.split_once('=').unwrap().1;
    for shown in [
        "mahlstick-screen-7448=".to_owned(),
        format!("mahlstick-screen-7448={}", "0".repeat(token.len())),
        format!("mahlstick-screen-7448={}", &token[1..]),
        format!("other={token}"),
        format!("mahlstick-screen-74480={token}"),
        format!("mahlstick-screen-7448=0; {cookie}"),
    ] {
        assert_eq!(home.look(&shown, &home.state()).await, StatusCode::UNAUTHORIZED, "{shown}");
    }
    assert_eq!(home.look(&format!("theme=dim; {cookie}"), &home.state()).await, StatusCode::OK);
}

#[tokio::test]
async fn a_studio_that_is_not_open_to_the_house_makes_no_code() {
    let folder = tempfile::tempdir().unwrap();
    let paintings = Folder::open(&folder.path().join("Paintings"), None).unwrap();
    let studio = Studio::new(paintings, 7448, SecondScreen::new(Lan::Home, Instant::now));
    let desk = super::super::router(Arc::new(studio));
    let post = |path: &str, body: Value| {
        let request = Request::builder().method("POST").uri(path).header("host", "127.0.0.1:7448");
        request.header("content-type", "application/json").body(Body::from(body.to_string())).unwrap()
    };
    let made = ask(&desk, post("/api/paintings", json!({}))).await;
    let answer = ask(&desk, post("/api/second-screens/code", json!({ "painting": made.body["id"] }))).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{}", answer.body);
}

#[tokio::test]
async fn a_screen_sees_the_painting_it_was_let_in_for_and_no_other_until_it_has_its_code_too() {
    let mut home = Home::new().await;
    let cookie = home.let_in().await;
    let first = home.state();
    let made =
        home.at_desk("POST", "/api/paintings", json!({ "title": "Private", "size": "12 x 16 in" })).await;
    home.painting = made.body["id"].as_str().unwrap().to_owned();
    let easel = format!("/easel/{}", home.painting);
    let looks = [home.state(), format!("{}/events", home.state()), format!("{}/easel.jpg", home.state())];
    for path in &looks {
        assert_eq!(home.look(&cookie, path).await, StatusCode::FORBIDDEN, "{path}");
    }
    assert_eq!(home.look(&cookie, &easel).await, StatusCode::SEE_OTHER);
    let headers = [("origin", ORIGIN_HERE), ("cookie", cookie.as_str())];
    let again = home.at_door("POST", "/api/pair", &headers, json!({ "code": home.code().await })).await;
    assert_eq!((again.status, &again.body["screen"]), (StatusCode::OK, &json!(1)));
    for path in [&first, &home.state(), &easel] {
        assert_eq!(home.look(&cookie, path).await, StatusCode::OK, "{path}");
    }
}
