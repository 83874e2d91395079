//! The server asked as the page asks it, and as a stranger might.

mod checks;
mod photos;
mod shelf;
mod strangers;
mod tones;

use std::time::Instant;

use axum::body::{Body, to_bytes};
use axum::http::{Method, Request, Response, StatusCode};
use tempfile::TempDir;
use tower::ServiceExt as _;

use super::*;
use crate::folder::Folder;
use crate::second_screen::{Lan, SecondScreen};
use serde_json::{Value, json};

const PORT: u16 = 7448;

const PILOT: &[u8] = include_bytes!("../../../../demo/harbour-pilot.jpg");

/// A studio in a folder of its own.
struct Visit {
    home: TempDir,
    router: Router,
}

impl Visit {
    fn new() -> Self {
        let home = tempfile::tempdir().unwrap();
        let folder = Folder::open(&home.path().join("Paintings"), None).unwrap();
        Self {
            router: router(Arc::new(Studio::new(folder, PORT, SecondScreen::new(Lan::Home, Instant::now)))),
            home,
        }
    }

    async fn send(&self, request: Request<Body>) -> Response<Body> {
        self.router.clone().oneshot(request).await.unwrap()
    }

    async fn ask(&self, method: Method, path: &str, body: Body) -> (StatusCode, Value) {
        let request = Request::builder().method(method).uri(path).header("host", "127.0.0.1:7448");
        let response =
            self.send(request.header("content-type", "application/json").body(body).unwrap()).await;
        let status = response.status();
        let bytes = to_bytes(response.into_body(), usize::MAX).await.unwrap();
        (status, serde_json::from_slice(&bytes).unwrap_or(Value::Null))
    }

    async fn post(&self, path: &str, body: Value) -> (StatusCode, Value) {
        self.ask(Method::POST, path, body.to_string().into()).await
    }

    async fn get(&self, path: &str) -> (StatusCode, Value) {
        self.ask(Method::GET, path, Body::empty()).await
    }

    async fn new_painting(&self) -> String {
        let (status, answer) =
            self.post("/api/paintings", json!({ "title": "Study", "size": "12 x 16 in" })).await;
        assert_eq!(status, StatusCode::OK, "{answer}");
        format!("/api/paintings/{}", answer["id"].as_str().unwrap())
    }

    /// Makes an edit from the present revision.
    async fn edit(&self, painting: &str, edit: Value) -> (StatusCode, Value) {
        let revision = self.get(painting).await.1["revision"].clone();
        self.post(
            &format!("{painting}/edits"),
            json!({ "revision": revision, "gesture": null, "edit": edit }),
        )
        .await
    }

    /// Sends a painting file of this name, percent-encoded.
    async fn import(&self, name: &str, body: Body) -> (StatusCode, Value) {
        let request = Request::builder().method(Method::POST).uri("/api/paintings/import");
        let request = request.header("host", "127.0.0.1:7448").header("x-name", name);
        let request = request.header("content-type", "application/octet-stream").body(body).unwrap();
        let response = self.send(request).await;
        let status = response.status();
        let bytes = to_bytes(response.into_body(), usize::MAX).await.unwrap();
        (status, serde_json::from_slice(&bytes).unwrap())
    }

    async fn bring_photo(&self, painting: &str) -> Value {
        self.bring(painting, PILOT.to_vec()).await
    }

    async fn bring(&self, painting: &str, photo: Vec<u8>) -> Value {
        let revision = self.get(painting).await.1["revision"].clone();
        let (status, state) =
            self.ask(Method::POST, &format!("{painting}/photo?revision={revision}"), photo.into()).await;
        assert_eq!(status, StatusCode::OK, "{state}");
        state
    }
}

#[tokio::test]
async fn a_painting_goes_from_an_empty_shelf_to_a_packet() {
    let visit = Visit::new();
    assert_eq!(visit.get("/api/shelf").await.1["paintings"], json!([]));
    let painting = visit.new_painting().await;
    let state = visit.bring_photo(&painting).await;
    assert_eq!(state["photo"]["pixels"], "3000 x 4000");
    let (_, state) = visit
        .edit(
            &painting,
            json!({ "reference": { "do": "mark-head", "crown": [140, 60], "chin": [120, 230] } }),
        )
        .await;
    assert!(state["view"]["notebook"][2]["sentence"].as_str().unwrap().starts_with("Head "), "{state}");
    let (_, state) =
        visit.edit(&painting, json!({ "reference": { "do": "head-height", "height": "8in" } })).await;
    assert_eq!(state["view"]["reference"]["head"]["height"], "8 in");
    assert_eq!(state["undo"], "Change the head's height");
    let request = Request::builder()
        .uri(format!("{painting}/packet.pdf?kinds=marks,reference"))
        .header("host", "127.0.0.1:7448");
    let response = visit.send(request.body(Body::empty()).unwrap()).await;
    assert_eq!(response.headers()["content-type"], "application/pdf");
    assert!(to_bytes(response.into_body(), usize::MAX).await.unwrap().starts_with(b"%PDF"));
    assert_eq!(visit.get("/api/shelf").await.1["paintings"][0]["title"], "Study");
}

#[tokio::test]
async fn undo_and_redo_go_back_and_forth_over_fifty_edits() {
    let visit = Visit::new();
    let painting = visit.new_painting().await;
    for columns in 1..=50 {
        visit.edit(&painting, json!({ "grid": { "do": "parts", "columns": columns, "rows": 4 } })).await;
    }
    for columns in (4..50).rev() {
        let revision = visit.get(&painting).await.1["revision"].clone();
        let (_, state) = visit.post(&format!("{painting}/undo"), json!({ "revision": revision })).await;
        assert_eq!(state["view"]["grid"]["parts"], json!([columns, 4]));
    }
    let revision = visit.get(&painting).await.1["revision"].clone();
    let (_, state) = visit.post(&format!("{painting}/redo"), json!({ "revision": revision })).await;
    assert_eq!(state["view"]["grid"]["parts"], json!([5, 4]));
}

#[tokio::test]
async fn what_is_told_of_a_painting_follows_every_change_by_whatever_program() {
    let visit = Visit::new();
    let painting = visit.new_painting().await;
    let told = async || visit.get(&painting).await.1;
    let first = told().await;
    assert_eq!(told().await, first);
    let (_, edited) =
        visit.edit(&painting, json!({ "grid": { "do": "parts", "columns": 3, "rows": 5 } })).await;
    assert_eq!(told().await, edited);
    let file = visit.home.path().join("Paintings").join(first["file"].as_str().unwrap());
    let mut elsewhere = ::painting::Painting::open(&file).unwrap();
    let present = elsewhere.present().unwrap();
    let document = ::painting::Document { title: "Renamed".to_owned(), ..present.document };
    elsewhere.apply(present.revision, "Rename", None, &document).unwrap();
    assert_eq!(told().await["title"], "Renamed");
}

#[tokio::test]
async fn an_edit_from_a_stale_revision_changes_nothing_and_brings_the_present_state() {
    let visit = Visit::new();
    let painting = visit.new_painting().await;
    let stale = visit.get(&painting).await.1["revision"].clone();
    visit.edit(&painting, json!({ "grid": { "do": "parts", "columns": 3, "rows": 3 } })).await;
    let edit = json!({ "grid": { "do": "parts", "columns": 9, "rows": 9 } });
    let (status, answer) = visit
        .post(&format!("{painting}/edits"), json!({ "revision": stale, "gesture": null, "edit": edit }))
        .await;
    assert_eq!(status, StatusCode::CONFLICT);
    assert_eq!(answer["state"]["view"]["grid"]["parts"], json!([3, 3]));
}

#[tokio::test]
async fn trying_an_edit_saves_nothing() {
    let visit = Visit::new();
    let painting = visit.new_painting().await;
    let before = visit.get(&painting).await.1;
    let (_, tried) = visit
        .post(
            &format!("{painting}/try"),
            json!({ "edit": { "canvas": { "do": "size", "width": "10 in", "height": "10 in" } } }),
        )
        .await;
    assert_eq!(tried["view"]["canvas"]["size"], "10 x 10 in");
    assert_eq!(visit.get(&painting).await.1, before);
}

#[tokio::test]
async fn what_cannot_be_is_said_and_changes_nothing() {
    let visit = Visit::new();
    let painting = visit.new_painting().await;
    let before = visit.get(&painting).await.1;
    let (status, answer) = visit
        .edit(&painting, json!({ "canvas": { "do": "size", "width": "wide", "height": "16 in" } }))
        .await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer["message"].as_str().unwrap().contains("The width “wide” is not a length"));
    let (status, answer) =
        visit.ask(Method::POST, &format!("{painting}/photo?revision=1"), "no picture".into()).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{answer}");
    let (status, answer) = visit.import("a%20letter.mahlstick", "no painting".into()).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{answer}");
    assert!(answer["message"].as_str().unwrap().starts_with("“a letter.mahlstick” is not a painting file, "));
    assert_eq!(visit.get(&painting).await.1, before);
    let left: Vec<_> = std::fs::read_dir(visit.home.path().join("Paintings")).unwrap().collect();
    assert_eq!(left.len(), 1, "nothing that was refused is left in the folder: {left:?}");
}

#[tokio::test]
async fn a_squared_up_photo_is_shown_and_printed() {
    let visit = Visit::new();
    let painting = visit.new_painting().await;
    visit.bring_photo(&painting).await;
    let corners = json!([[300, 300], [2700, 400], [2600, 3700], [350, 3600]]);
    let (_, state) = visit
        .edit(
            &painting,
            json!({ "reference": { "do": "square-up", "corners": corners, "print_size": "8 x 10 in" } }),
        )
        .await;
    let size = &state["view"]["reference"]["size"];
    assert!((size[0].as_f64().unwrap() / size[1].as_f64().unwrap() - 0.8).abs() < 0.001, "{size}");
    for path in [
        state["photo"]["picture"].as_str().unwrap().to_owned(),
        format!("{painting}/packet.pdf?kinds=reference"),
    ] {
        let request =
            Request::builder().uri(&path).header("host", "127.0.0.1:7448").body(Body::empty()).unwrap();
        assert_eq!(visit.send(request).await.status(), StatusCode::OK, "{path}");
    }
}

#[tokio::test]
async fn every_sheet_is_shown_as_it_will_come_out() {
    let visit = Visit::new();
    let painting = visit.new_painting().await;
    visit.bring_photo(&painting).await;
    let (status, answer) = visit.get(&format!("{painting}/sheets")).await;
    assert_eq!(status, StatusCode::OK, "{answer}");
    let sheets = answer["sheets"].as_array().unwrap();
    assert_eq!(
        (&sheets[0]["kind"], sheets[0]["width_mm"].as_f64().map(f64::round)),
        (&json!("plan"), Some(216.0))
    );
    for sheet in sheets {
        let address = sheet["picture"].as_str().unwrap();
        let request = Request::builder().uri(address).header("host", "127.0.0.1:7448");
        let response = visit.send(request.body(Body::empty()).unwrap()).await;
        assert_eq!(response.headers()["content-type"], "image/svg+xml", "{address}");
        assert!(to_bytes(response.into_body(), usize::MAX).await.unwrap().starts_with(b"<svg"));
    }
    let (status, _) = visit.get(&format!("{painting}/sheet.svg?at=99")).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
}

#[tokio::test]
async fn every_answer_of_a_painting_is_described() {
    let visit = Visit::new();
    let painting = visit.new_painting().await;
    let state = visit.bring_photo(&painting).await;
    let described = visit.get("/openapi.json").await.1;
    let schemas = &described["components"]["schemas"];
    for (name, answer) in [
        ("PaintingState", &state),
        ("View", &state["view"]),
        ("CanvasView", &state["view"]["canvas"]),
        ("ReferenceView", &state["view"]["reference"]),
        ("SheetPlanView", &state["view"]["sheets"]),
    ] {
        let fields: Vec<_> = answer.as_object().unwrap().keys().collect();
        let known: Vec<_> = schemas[name]["properties"].as_object().unwrap().keys().collect();
        assert_eq!(fields, known, "{name}");
    }
}

#[tokio::test]
async fn a_page_names_what_it_will_ask_for_and_nothing_else() {
    let visit = Visit::new();
    let named = async |path: &str| {
        let request = Request::builder().uri(path).header("host", "127.0.0.1:7448");
        let response = visit.send(request.body(Body::empty()).unwrap()).await;
        let links = response.headers().get_all("link").iter();
        links.map(|link| link.to_str().unwrap().to_owned()).collect::<Vec<_>>()
    };
    let link = |path: &str| format!("<{path}>; rel=preload; as=fetch; crossorigin");
    assert_eq!(named("/").await, [link("/api/shelf")]);
    let of_painting = ["/api/paintings/5a%2F", "/api/paintings/5a%2F/choices"].map(link);
    assert_eq!(named("/painting/5a%2F").await, of_painting);
    assert_eq!(named("/easel/5a").await, [link("/api/paintings/5a")]);
    assert!(named("/painting/a;rel=x").await.is_empty());
}

#[tokio::test]
async fn printers_are_kept_and_nonsense_is_not() {
    let visit = Visit::new();
    let put = |printers: Value| {
        visit.ask(Method::PUT, "/api/printers", json!({ "printers": printers }).to_string().into())
    };
    assert_eq!(
        put(json!([{ "name": "Attic", "across": "99.4 mm", "along": "100.6 mm" }])).await.0,
        StatusCode::OK
    );
    assert_eq!(
        put(json!([{ "name": "Attic", "across": "80 mm", "along": "100.6 mm" }])).await.0,
        StatusCode::UNPROCESSABLE_ENTITY
    );
    assert_eq!(visit.get("/api/printers").await.1["printers"][0]["across"], "99.4 mm");
}

#[tokio::test]
async fn a_painting_whose_photo_cannot_be_opened_is_shown_and_takes_another() {
    let visit = Visit::new();
    let file = visit.home.path().join("Paintings").join("broken.mahlstick");
    let plan = plan::Plan {
        reference: Some(plan::Reference::fitted(plan::PhotoSize { width: 600, height: 800 })),
        ..plan::Plan::new(
            plan::Canvas::nominal(plan::Length::cm(30.0), plan::Length::cm(40.0)),
            plan::Unit::Centimetre,
        )
    };
    let photo: &[u8] = b"this is no picture at all";
    let document = ::painting::Document {
        title: "Broken".to_owned(),
        photo: Some(::painting::PhotoId::of(photo)),
        plan,
    };
    let contents = ::painting::Contents { document: &document, photos: &[photo], checks: &[] };
    ::painting::Painting::write_new(&file, contents, ::painting::IfExists::Refuse).unwrap();
    let shelf = visit.get("/api/shelf").await.1;
    let painting = format!("/api/paintings/{}", shelf["paintings"][0]["id"].as_str().unwrap());
    let (status, state) = visit.get(&painting).await;
    assert_eq!(status, StatusCode::OK, "{state}");
    assert_eq!(state["photo"], Value::Null);
    let told = state["photo_trouble"].as_str().unwrap();
    assert_eq!(state["view"]["notebook"][0]["sentence"], "The photo does not open. Bring it in again.");
    assert!(told.starts_with("The photo in this painting"), "{told}");
    let mended = visit.bring_photo(&painting).await;
    assert_eq!((&mended["photo"]["pixels"], &mended["photo_trouble"]), (&json!("3000 x 4000"), &Value::Null));
}

#[tokio::test]
async fn a_painting_that_another_program_holds_keeps_no_other_waiting() {
    let visit = Visit::new();
    let (held, other) = (visit.new_painting().await, visit.new_painting().await);
    let file = visit.get(&held).await.1["file"].as_str().unwrap().to_owned();
    let holder = rusqlite::Connection::open(visit.home.path().join("Paintings").join(file)).unwrap();
    holder.execute_batch("BEGIN EXCLUSIVE").unwrap();
    let asking = visit.get(&held);
    let meanwhile = async {
        for _ in 0..3 {
            assert_eq!(visit.get(&other).await.0, StatusCode::OK);
        }
        // Whoever asks for the held painting is still waiting for it, and gets it.
        holder.execute_batch("ROLLBACK").unwrap();
    };
    let ((status, state), ()) = tokio::join!(asking, meanwhile);
    assert_eq!(status, StatusCode::OK, "{state}");
}

#[tokio::test]
async fn the_sheets_on_the_canvas_are_those_of_the_printer_that_is_chosen() {
    let visit = Visit::new();
    let painting = visit.new_painting().await;
    visit.bring_photo(&painting).await;
    visit.edit(&painting, json!({ "reference": { "do": "fill" } })).await;
    let put = async |path: String, body: Value| visit.ask(Method::PUT, &path, body.to_string().into()).await;
    let counts = async || {
        let seen = visit.get(&painting).await.1["view"]["sheets"]["windows"].as_array().unwrap().len();
        let chosen = visit.get(&format!("{painting}/choices")).await.1["printer"].clone();
        let wish = format!("kinds=reference&printer={}", chosen.as_str().unwrap());
        let made =
            visit.get(&format!("{painting}/sheets?{wish}")).await.1["sheets"].as_array().unwrap().len();
        (seen, made)
    };
    let small = |bar: &str| json!({ "printers": [{ "name": "small", "across": bar, "along": bar }] });
    let mut differ = false;
    for width in 18..26 {
        let size = json!({ "canvas": { "do": "size", "width": format!("{width} in"), "height": "36 in" } });
        assert_eq!(visit.edit(&painting, size).await.0, StatusCode::OK);
        assert_eq!(put(format!("{painting}/choices"), json!({ "printer": "" })).await.0, StatusCode::OK);
        let (plain, made) = counts().await;
        assert_eq!(plain, made);
        // One that prints 4 % too small has less of the picture on each sheet.
        assert_eq!(put("/api/printers".to_owned(), small("96 mm")).await.0, StatusCode::OK);
        assert_eq!(put(format!("{painting}/choices"), json!({ "printer": "small" })).await.0, StatusCode::OK);
        let (seen, made) = counts().await;
        assert_eq!(seen, made);
        differ |= seen != plain;
        // Measured anew it is another printer, though its name is the same.
        assert_eq!(put("/api/printers".to_owned(), small("100 mm")).await.0, StatusCode::OK);
        assert_eq!(counts().await, (plain, plain));
    }
    assert!(differ, "some canvas takes more sheets on that printer");
}
