//! The server asked as the page asks it, and as a stranger might.

mod checks;
mod photos;

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
async fn a_painting_file_that_is_too_large_to_be_sent_is_told_the_way_into_the_folder() {
    let visit = Visit::new();
    let part = vec![0_u8; 1_000_000];
    let parts =
        std::iter::repeat_n(part, ::painting::MAX_PHOTO_BYTES / 1_000_000 + 1).map(Ok::<_, std::io::Error>);
    let (status, answer) =
        visit.import("study.mahlstick", Body::from_stream(tokio_stream::iter(parts))).await;
    assert_eq!(status, StatusCode::PAYLOAD_TOO_LARGE, "{answer}");
    let message = answer["message"].as_str().unwrap();
    assert!(message.contains("Copy it into ") && message.contains("Paintings yourself"), "{message}");
}

#[tokio::test]
async fn a_painting_file_without_a_title_keeps_its_name_when_it_is_brought_in() {
    let visit = Visit::new();
    let elsewhere = visit.home.path().join("sent.mahlstick");
    let plan = plan::Plan::new(
        plan::Canvas::nominal(plan::Length::inches(12.0), plan::Length::inches(16.0)),
        plan::Unit::Inch,
    );
    let document = ::painting::Document { title: String::new(), photo: None, plan };
    ::painting::Painting::create(&elsewhere, &document, &[], ::painting::IfExists::Refuse).unwrap();
    let (status, answer) =
        visit.import("The%20pilot.mahlstick", std::fs::read(elsewhere).unwrap().into()).await;
    assert_eq!(status, StatusCode::OK, "{answer}");
    assert!(visit.home.path().join("Paintings/the-pilot.mahlstick").exists());
}

#[tokio::test]
async fn a_painting_is_duplicated_taken_down_and_hung_again() {
    let visit = Visit::new();
    let painting = visit.new_painting().await;
    visit.bring_photo(&painting).await;
    let (_, copy) = visit.post(&format!("{painting}/duplicate"), json!({})).await;
    let copy = format!("/api/paintings/{}", copy["id"].as_str().unwrap());
    assert_eq!(visit.get(&copy).await.1["photo"]["pixels"], "3000 x 4000");
    assert_eq!(visit.post(&format!("{painting}/take-down"), json!({})).await.0, StatusCode::OK);
    assert_eq!(visit.get(&painting).await.0, StatusCode::NOT_FOUND);
    assert_eq!(visit.get("/api/shelf").await.1["taken_down"], 1);
    assert_eq!(visit.get("/api/taken-down").await.1["paintings"][0]["title"], "Study");
    // In the copy a photo hangs: it is not thrown away.
    assert_eq!(visit.post(&format!("{copy}/discard"), json!({})).await.0, StatusCode::NOT_FOUND);
    assert_eq!(visit.get(&copy).await.0, StatusCode::OK);
    assert_eq!(visit.post(&format!("{painting}/hang-again"), json!({})).await.0, StatusCode::OK);
    assert_eq!(visit.get(&painting).await.1["title"], "Study");
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
async fn a_request_that_cannot_be_read_is_answered_with_a_sentence() {
    let visit = Visit::new();
    let painting = visit.new_painting().await;
    let edits = format!("{painting}/edits");
    for (method, path, body, expected) in [
        (Method::POST, edits.as_str(), "{", StatusCode::BAD_REQUEST),
        (Method::POST, &edits, r#"{"revision":"one"}"#, StatusCode::UNPROCESSABLE_ENTITY),
        (Method::POST, &format!("{painting}/photo?revision=x"), "", StatusCode::BAD_REQUEST),
        (Method::DELETE, &edits, "", StatusCode::METHOD_NOT_ALLOWED),
    ] {
        let (status, answer) = visit.ask(method, path, body.to_owned().into()).await;
        assert_eq!(status, expected, "{path} {body}");
        assert!(answer["message"].as_str().unwrap().ends_with('.'), "{answer}");
    }
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
async fn strangers_are_turned_away_everywhere() {
    let visit = Visit::new();
    let painting = visit.new_painting().await;
    for path in ["/", "/web/worktable.js", "/api/shelf", &painting, &format!("{painting}/packet.pdf")] {
        let request =
            Request::builder().uri(path).header("host", "paint.example").body(Body::empty()).unwrap();
        assert_eq!(visit.send(request).await.status(), StatusCode::FORBIDDEN, "{path}");
    }
    let request = Request::builder()
        .method(Method::POST)
        .uri(format!("{painting}/take-down"))
        .header("host", "127.0.0.1:7448");
    let response =
        visit.send(request.header("origin", "http://paint.example").body(Body::empty()).unwrap()).await;
    assert_eq!(response.status(), StatusCode::FORBIDDEN);
    assert_eq!(visit.get(&painting).await.0, StatusCode::OK);
}

#[tokio::test]
async fn no_path_leads_out_of_the_folder_or_the_page() {
    let visit = Visit::new();
    for path in [
        "/web/../Cargo.toml",
        "/web/%2e%2e/Cargo.toml",
        "/web/..%2f..%2fetc%2fpasswd",
        "/api/paintings/..%2f..%2fetc%2fpasswd",
        "/api/paintings/%00",
        "/api/paintings/%2e%2e/take-down",
        "/nowhere",
    ] {
        let (status, _) = visit.get(path).await;
        assert!(status.is_client_error(), "{path}: {status}");
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
async fn every_answer_forbids_what_the_page_does_not_need() {
    let visit = Visit::new();
    let request = Request::builder().uri("/").header("host", "localhost:7448").body(Body::empty()).unwrap();
    let response = visit.send(request).await;
    let policy = response.headers()["content-security-policy"].to_str().unwrap();
    assert!(policy.starts_with("default-src 'none'") && !policy.contains("unsafe"), "{policy}");
    assert_eq!(response.headers()["x-content-type-options"], "nosniff");
}

impl Visit {
    /// A picture in a tone, decoded, and whether a browser may keep it.
    async fn toned(&self, address: &str, tone: &str) -> (photo::Picture, bool) {
        let request =
            Request::builder().uri(format!("{address}&tone={tone}")).header("host", "127.0.0.1:7448");
        let response = self.send(request.body(Body::empty()).unwrap()).await;
        assert_eq!(response.status(), StatusCode::OK, "{tone}");
        let kept = response.headers()["cache-control"].to_str().unwrap().contains("immutable");
        let jpeg = to_bytes(response.into_body(), usize::MAX).await.unwrap();
        (photo::Photo::from_bytes(jpeg.to_vec(), tone).unwrap().upright().unwrap(), kept)
    }
}

#[tokio::test]
async fn the_reference_is_shown_in_tones_and_a_spot_has_the_value_of_its_place_in_them() {
    let visit = Visit::new();
    let painting = visit.new_painting().await;
    let state = visit.bring_photo(&painting).await;
    let address = state["photo"]["toned"].as_str().unwrap();
    let (map, kept) = visit.toned(address, "values:4").await;
    assert!(kept);
    let maps = visit.get("/api/value-steps").await.1;
    let steps = maps["maps"][2]["steps"].as_array().unwrap();
    assert_eq!((maps["maps"].as_array().unwrap().len(), steps.len()), (8, 4));
    // Of the four greys alone, but for what the picture's coding blurs along their edges.
    let greys: Vec<i16> = steps.iter().map(|step| step["grey"].as_i64().unwrap() as i16).collect();
    let off = |pixel: &[u8]| greys.iter().map(|grey| (grey - i16::from(pixel[1])).abs()).min().unwrap();
    let pixels = map.rgb().len() / 3;
    let beside = map.rgb().chunks(3).filter(|pixel| off(pixel) > 3).count();
    assert!(beside * 20 < pixels, "{beside} of {pixels} pixels are of none of the greys");
    // The spot's step is the map's own at that place: a wide mass is picked, the upper left of the ground.
    let reference = &state["view"]["reference"];
    let matrix: Vec<f64> =
        reference["matrix"].as_array().unwrap().iter().map(|n| n.as_f64().unwrap()).collect();
    let (column, row) = (map.width() / 12, map.height() / 12);
    let shrunk = f64::from(map.width()) / reference["size"][0].as_f64().unwrap();
    let (x, y) = (f64::from(column) / shrunk, f64::from(row) / shrunk);
    let (x, y) = (matrix[0] * x + matrix[2] * y + matrix[4], matrix[1] * x + matrix[3] * y + matrix[5]);
    let spot = visit.get(&format!("{painting}/spot?x={x}&y={y}&steps=4")).await.1;
    let there = map.rgb()[((row * map.width() + column) * 3) as usize];
    let grey = spot["step"]["grey"].as_i64().unwrap();
    assert!((grey - i64::from(there)).abs() <= 3, "{spot} {there}");
    assert!(spot["says"].as_str().unwrap().starts_with("Value "), "{spot}");
}

#[tokio::test]
async fn a_tone_is_kept_while_the_photo_lies_as_large_as_it_does_and_made_anew_when_it_does_not() {
    let visit = Visit::new();
    let painting = visit.new_painting().await;
    let state = visit.bring_photo(&painting).await;
    let address = |state: &Value| state["photo"]["toned"].as_str().unwrap().to_owned();
    let edit = |edit| visit.edit(&painting, json!({ "reference": edit }));
    let moved = edit(json!({ "do": "move", "right": 12, "down": -7 })).await.1;
    assert_eq!(address(&moved), address(&state));
    let larger = edit(json!({ "do": "scale", "factor": 1.5, "about": [0, 0] })).await.1;
    assert_ne!(address(&larger), address(&state));
    // Asked for under the former address, it must not be kept for it.
    assert!(!visit.toned(&address(&state), "squint:4mm").await.1);
    assert!(visit.toned(&address(&larger), "squint:4mm").await.1);
}

#[tokio::test]
async fn a_tones_length_is_told_in_the_paintings_unit_and_refused_where_no_picture_could_be_made_with_it() {
    let visit = Visit::new();
    let painting = visit.new_painting().await;
    let told = async |tone: &str| visit.get(&format!("{painting}/tone-length?tone={tone}")).await;
    let lengths = ["values:5:2mm", "squint:4mm", "squint:100mm", "squint:0.1mm", "values:5:0mm"];
    let mut read = Vec::new();
    for unit in ["inch", "centimetre"] {
        visit.edit(&painting, json!({ "canvas": { "do": "unit", "unit": unit } })).await;
        for tone in lengths {
            let (status, answer) = told(tone).await;
            assert_eq!(status, StatusCode::OK, "{tone}: {answer}");
            let length = answer["length"].as_str().unwrap().to_owned();
            // What is told can be asked for again, to the ends of the ranges.
            let again = format!("{}:{length}", &tone[..tone.rfind(':').unwrap()]).replace(' ', "%20");
            assert_eq!(told(&again).await.1["length"], *length, "{again}");
            read.push(length);
        }
    }
    assert_eq!(&read[..5], ["5/64 in", "5/32 in", "3 59/64 in", "1/64 in", "0 in"]);
    assert_eq!(&read[5..], ["2 mm", "4 mm", "100 mm", "0.1 mm", "0 mm"]);
    for (tone, expected) in [
        ("values:5:wide%20mm", "is not a length"),
        ("values:5:90mm", "The smallest mass is from"),
        ("squint:9in", "The blur is from"),
        ("grey", "has no length"),
    ] {
        let (status, answer) = told(tone).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{tone}");
        assert!(answer["message"].as_str().unwrap().contains(expected), "{tone}: {answer}");
    }
}

#[tokio::test]
async fn a_new_painting_has_the_unit_and_paper_it_is_asked_for_and_a_usual_canvas_in_them() {
    let visit = Visit::new();
    let begun = async |asked: Value| {
        let id = visit.post("/api/paintings", asked).await.1["id"].as_str().unwrap().to_owned();
        let view = visit.get(&format!("/api/paintings/{id}")).await.1["view"].clone();
        [&view["unit"], &view["canvas"]["size"], &view["printing"]["paper"]]
            .map(|told| told.as_str().unwrap().to_owned())
    };
    assert_eq!(begun(json!({ "unit": "centimetre" })).await, ["centimetre", "40 x 50 cm", "a4"]);
    assert_eq!(begun(json!({ "unit": "inch" })).await, ["inch", "16 x 20 in", "letter"]);
    assert_eq!(
        begun(json!({ "unit": "centimetre", "paper": "letter" })).await,
        ["centimetre", "40 x 50 cm", "letter"]
    );
}

#[tokio::test]
async fn a_file_keeps_its_name_when_its_painting_is_renamed_and_the_page_is_told_it() {
    let visit = Visit::new();
    let painting = visit.new_painting().await;
    let revision = visit.get(&painting).await.1["revision"].clone();
    let title = json!({ "revision": revision, "title": "Harbour at noon" });
    let (_, state) = visit.post(&format!("{painting}/title"), title).await;
    assert_eq!((&state["title"], &state["file"]), (&json!("Harbour at noon"), &json!("study.mahlstick")));
    assert_eq!(visit.get("/api/shelf").await.1["paintings"][0]["file"], "study.mahlstick");
    assert!(visit.home.path().join("Paintings").join("study.mahlstick").is_file());
}

#[tokio::test]
async fn a_tone_or_spot_that_cannot_be_is_told_in_a_sentence() {
    let visit = Visit::new();
    let painting = visit.new_painting().await;
    let told = async |path: &str| {
        let (status, answer) = visit.get(&format!("{painting}/{path}")).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{path}");
        answer["message"].as_str().unwrap().to_owned()
    };
    assert_eq!(told("toned.jpg?tone=grey").await, "There is no photo in this painting yet.");
    visit.bring_photo(&painting).await;
    for (path, expected) in [
        ("toned.jpg?tone=sepia", "not a way to show"),
        ("toned.jpg?tone=values:12", "2 to 9 steps"),
        ("toned.jpg?tone=squint:9in", "The blur is from"),
        ("spot?x=-500&y=20&steps=5", "beside the photo"),
        ("spot?x=NaN&y=1e308&steps=5", "beside the photo"),
        ("spot?x=100&y=100&steps=1", "2 to 9 steps"),
        ("dividers?ratio=half", "is not a ratio"),
        ("dividers?ratio=1:2&length=1in", "Dividers are from"),
        ("sheets?ratio=1:99", "out of range"),
        ("packet.pdf?show=sepia", "not a way to show"),
    ] {
        let message = told(path).await;
        assert!(message.contains(expected), "{path}: {message}");
    }
}
