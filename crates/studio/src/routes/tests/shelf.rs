//! The shelf: paintings made, brought in, duplicated, taken down and hung again.

use super::*;

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
async fn the_file_that_is_handed_out_holds_all_and_hangs_elsewhere_with_ticks_and_notes() {
    let visit = Visit::new();
    let painting = visit.new_painting().await;
    visit.bring_photo(&painting).await;
    let put = async |what: &str, body: Value| {
        let (status, answer) =
            visit.ask(Method::PUT, &format!("{painting}/{what}"), body.to_string().into()).await;
        assert_eq!(status, StatusCode::OK, "{answer}");
        answer
    };
    put("choices", json!({ "tick": ["top 3 in"] })).await;
    // As long as may be, of letters that take three bytes each, and line breaks.
    let long = "日\n".repeat(25_000);
    assert_eq!(put("notes", json!({ "was": "", "notes": long })).await["kept"], true);
    put("notes", json!({ "was": long, "notes": "North light, no necklace." })).await;
    // Another window had the long ones: it is told, and changes nothing.
    let late = put("notes", json!({ "was": long, "notes": "Other" })).await;
    assert_eq!((&late["kept"], &late["notes"]), (&json!(false), &json!("North light, no necklace.")));
    let request = Request::builder().uri(format!("{painting}/file")).header("host", "127.0.0.1:7448");
    let answer = visit.send(request.body(Body::empty()).unwrap()).await;
    let name = answer.headers()["content-disposition"].to_str().unwrap().to_owned();
    let today = jiff::Zoned::now().date();
    assert!(
        name.ends_with(&format!("''Study%20{}.mahlstick", today.to_string().replace('-', "%2D"))),
        "{name}"
    );
    let length: usize = answer.headers()["content-length"].to_str().unwrap().parse().unwrap();
    let bytes = to_bytes(answer.into_body(), usize::MAX).await.unwrap();
    assert_eq!(bytes.len(), length);
    let (status, made) = visit.import("Study.mahlstick", bytes.into()).await;
    assert_eq!(status, StatusCode::OK, "{made}");
    let elsewhere = format!("/api/paintings/{}", made["id"].as_str().unwrap());
    assert_ne!(elsewhere, painting);
    assert_eq!(visit.get(&format!("{elsewhere}/choices")).await.1["ticked"], json!(["top 3 in"]));
    assert_eq!(visit.get(&format!("{elsewhere}/notes")).await.1["notes"], "North light, no necklace.");
    // A copy for another canvas begins with the notes, and with nothing ticked off.
    let (_, copy) = visit.post(&format!("{painting}/duplicate"), json!({})).await;
    let copy = format!("/api/paintings/{}", copy["id"].as_str().unwrap());
    assert_eq!(visit.get(&format!("{copy}/notes")).await.1["notes"], "North light, no necklace.");
    assert_eq!(visit.get(&format!("{copy}/choices")).await.1["ticked"], json!([]));
    assert_eq!(visit.get(&elsewhere).await.1["photo"]["pixels"], "3000 x 4000");
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
async fn where_the_folder_is_gone_the_paintings_are_not_told_as_gone() {
    let visit = Visit::new();
    let painting = visit.new_painting().await;
    let [here, elsewhere] = ["Paintings", "Old paintings"].map(|name| visit.home.path().join(name));
    std::fs::rename(&here, &elsewhere).unwrap();
    for (status, answer) in [
        visit.get("/api/shelf").await,
        visit.get("/api/taken-down").await,
        visit.get(&painting).await,
        visit.post("/api/paintings", json!({})).await,
        visit.post(&format!("{painting}/duplicate"), json!({})).await,
        visit.post(&format!("{painting}/take-down"), json!({})).await,
        visit.import("study.mahlstick", Body::from("anything")).await,
    ] {
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{answer}");
        let message = answer["message"].as_str().unwrap();
        let told = message.contains("is not there") && message.contains("nothing in it was changed");
        assert!(told, "{message}");
    }
    std::fs::rename(&elsewhere, &here).unwrap();
    assert_eq!(visit.get("/api/shelf").await.1["paintings"][0]["title"], "Study");
    assert_eq!(visit.get(&painting).await.0, StatusCode::OK);
}
