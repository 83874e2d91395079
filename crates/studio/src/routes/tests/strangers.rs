//! What a stranger gets: nothing; and what every answer forbids.

use super::*;

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
async fn every_answer_forbids_what_the_page_does_not_need() {
    let visit = Visit::new();
    let request = Request::builder().uri("/").header("host", "localhost:7448").body(Body::empty()).unwrap();
    let response = visit.send(request).await;
    let policy = response.headers()["content-security-policy"].to_str().unwrap();
    assert!(policy.starts_with("default-src 'none'") && !policy.contains("unsafe"), "{policy}");
    assert_eq!(response.headers()["x-content-type-options"], "nosniff");
}
