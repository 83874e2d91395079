//! Checks of the canvas, asked for as the page does.

use super::*;

const RULED: &[u8] = include_bytes!("../../../../../demo/ruled-canvas.jpg");

/// A painting on a 12 x 16 in canvas with the demo's reference, its head 8 in high.
async fn pilot(visit: &Visit) -> String {
    let painting = visit.new_painting().await;
    visit.bring_photo(&painting).await;
    painting
}

async fn bring_canvas(visit: &Visit, painting: &str, photo: &[u8]) -> (StatusCode, Value) {
    visit.ask(Method::POST, &format!("{painting}/canvas-photo"), photo.to_vec().into()).await
}

async fn measured(visit: &Visit, painting: &str) -> Value {
    let (status, brought) = bring_canvas(visit, painting, RULED).await;
    assert_eq!(status, StatusCode::OK, "{brought}");
    let wish = json!({ "photo": brought["photo"], "corners": brought["outlines"][0], "as_proposed": true });
    let (status, check) = visit.post(&format!("{painting}/checks"), wish).await;
    assert_eq!(status, StatusCode::OK, "{check}");
    check
}

async fn jpeg(visit: &Visit, path: &str) -> photo::PhotoSize {
    let request = Request::builder().uri(path).header("host", "127.0.0.1:7448");
    let response = visit.send(request.body(Body::empty()).unwrap()).await;
    assert_eq!(response.headers()["content-type"], "image/jpeg", "{path}");
    let bytes = to_bytes(response.into_body(), usize::MAX).await.unwrap();
    photo::Photo::from_bytes(bytes.to_vec(), "picture").unwrap().size()
}

#[tokio::test]
async fn a_ruled_canvas_is_proposed_confirmed_measured_kept_and_taken_away() {
    let visit = Visit::new();
    let painting = pilot(&visit).await;
    let check = measured(&visit, &painting).await;
    let verdicts = |check: &Value| {
        let lines = check["lines"].as_array().unwrap();
        lines
            .iter()
            .filter(|line| line["verdict"] == "off")
            .map(|line| line["name"].clone())
            .collect::<Vec<_>>()
    };
    let mut off = verdicts(&check);
    off.sort_by_key(ToString::to_string);
    assert_eq!(off, ["horizontal at 8 in", "vertical at 9 in"]);
    assert_eq!(
        (&check["sentence"], &check["tolerance"]),
        (&json!("2 of 6 lines are off"), &json!("1/32 in"))
    );
    let state = visit.get(&painting).await.1;
    assert_eq!(state["view"]["notebook"][7]["sentence"], "2 of 6 lines are off");
    let picture = jpeg(&visit, check["picture"].as_str().unwrap()).await;
    assert!((f64::from(picture.width) / f64::from(picture.height) - 0.75).abs() < 0.001);
    jpeg(&visit, check["photo_picture"].as_str().unwrap()).await;
    jpeg(&visit, check["difference"].as_str().unwrap()).await;

    let one = format!("{painting}/checks/{}", check["number"]);
    let (_, lenient) =
        visit.ask(Method::PUT, &one, json!({ "tolerance": "1/4 in" }).to_string().into()).await;
    assert!(verdicts(&lenient).is_empty(), "{lenient}");
    assert_eq!(visit.get(&one).await.1, lenient, "what was changed is kept");
    let listed = visit.get(&format!("{painting}/checks")).await.1;
    assert_eq!(listed["checks"][0]["sentence"], "All 6 lines are true");
    assert_eq!(visit.ask(Method::DELETE, &one, Body::empty()).await.0, StatusCode::OK);
    assert_eq!(visit.ask(Method::DELETE, &one, Body::empty()).await.0, StatusCode::NOT_FOUND);
    assert_eq!(visit.get(&format!("{painting}/checks")).await.1["checks"], json!([]));
}

#[tokio::test]
async fn a_canvas_that_lies_on_its_side_in_the_photo_is_measured_all_the_same() {
    let visit = Visit::new();
    let painting = pilot(&visit).await;
    let upright = photo::Photo::from_bytes(RULED.to_vec(), "ruled").unwrap().upright().unwrap();
    let (width, height) = (upright.width(), upright.height());
    // A quarter turn clockwise: the canvas's top comes to lie at the right.
    let quarter_turn = [[0.0, 1.0, 0.0], [-1.0, 0.0, f64::from(height)], [0.0, 0.0, 1.0]];
    let turned = upright.warped(quarter_turn, height, width, photo::Interpolation::Bilinear);
    let (status, brought) = bring_canvas(&visit, &painting, &turned.to_jpeg(92).unwrap()).await;
    assert_eq!(status, StatusCode::OK, "{brought}");
    assert!(brought["remark"].as_str().unwrap().contains("lie on its side"), "{brought}");
    assert_eq!(brought["outlines"].as_array().unwrap().len(), 2);
    let wish = json!({ "photo": brought["photo"], "corners": brought["outlines"][0], "as_proposed": true });
    let (status, check) = visit.post(&format!("{painting}/checks"), wish).await;
    assert_eq!(status, StatusCode::OK, "{check}");
    assert_eq!(check["sentence"], "2 of 6 lines are off");
    let off = [0, 1].map(|at| check["lines"][at]["name"].as_str().unwrap());
    assert!(off.contains(&"vertical at 9 in") && off.contains(&"horizontal at 8 in"), "{off:?}");
}

#[tokio::test]
async fn a_canvas_of_another_shape_is_told_to_be_one() {
    let visit = Visit::new();
    let painting = pilot(&visit).await;
    let square = json!({ "canvas": { "do": "size", "width": "16 in", "height": "16 in" } });
    assert_eq!(visit.edit(&painting, square).await.0, StatusCode::OK);
    let (_, brought) = bring_canvas(&visit, &painting, RULED).await;
    let remark = brought["remark"].as_str().unwrap();
    assert_eq!(brought["outlines"], json!([]), "{brought}");
    assert!(remark.contains("about 0.75 times its height, that of this painting's canvas 1.00"), "{remark}");
}

#[tokio::test]
async fn landmarks_set_where_they_are_planned_show_no_drift_and_moved_ones_do() {
    let visit = Visit::new();
    let painting = pilot(&visit).await;
    for (name, at) in
        [("crown", [150, 80]), ("chin", [130, 280]), ("right pupil", [110, 180]), ("left pupil", [170, 175])]
    {
        visit.edit(&painting, json!({ "likeness": { "do": "landmark", "name": name, "at": at } })).await;
    }
    let check = measured(&visit, &painting).await;
    assert_eq!(check["drift"], Value::Null);
    let one = format!("{painting}/checks/{}", check["number"]);
    let landmarks = check["landmarks"].as_array().unwrap();
    assert_eq!(landmarks.len(), 4);
    let set = |painted: Value| visit.ask(Method::PUT, &one, json!({ "painted": painted }).to_string().into());
    let set_all = async |down: f64, by: &str| {
        let mut last = Value::Null;
        for landmark in landmarks {
            let planned = landmark["planned"].as_array().unwrap();
            let at = [planned[0].as_f64().unwrap(), planned[1].as_f64().unwrap() + down];
            (_, last) =
                set(json!({ "name": landmark["name"], "at": at, "by": by, "screen_px_mm": 0.8 })).await;
        }
        last
    };
    let still = set_all(0.0, "loupe").await;
    let whole = still["drift"]["sentence"].as_str().unwrap();
    assert!(whole.starts_with("As a whole in its place, to within "), "{whole}");
    let moved = set_all(5.0, "loupe").await;
    assert!(
        moved["drift"]["sentence"].as_str().unwrap().starts_with("As a whole 3/16 in low"),
        "{}",
        moved["drift"]
    );
    assert_eq!(moved["landmarks"][0]["painted"].as_array().unwrap().len(), 2);
    // Set with a fingertip it is less sure.
    let give = |check: &Value| check["drift"]["whole"][1]["give_or_take"].as_str().unwrap().to_owned();
    let loose = set_all(5.0, "finger").await;
    assert_ne!(give(&loose), give(&moved));
    // One that is taken away leaves the others as they are, and so does one that another window took away first.
    let painted = |check: &Value| {
        let all = check["landmarks"].as_array().unwrap().clone();
        let of = |one: &Value| (one["name"].to_string(), one["painted"].clone());
        all.iter().map(of).filter(|(_, at)| !at.is_null()).collect::<Vec<_>>()
    };
    let (first, others) = (landmarks[0]["name"].clone(), &painted(&loose)[1..]);
    for _ in 0..2 {
        let (status, without) = set(json!({ "name": first })).await;
        assert_eq!((status, painted(&without).as_slice()), (StatusCode::OK, others));
    }
    set_all(5.0, "loupe").await;
    let (status, refused) = set(json!({ "name": "third eye", "at": [10, 10] })).await;
    assert_eq!(
        (status, refused["message"].as_str().unwrap().contains("no landmark “third eye”")),
        (StatusCode::UNPROCESSABLE_ENTITY, true)
    );
    let (status, refused) = set(json!({ "name": "crown", "at": [-10, 10] })).await;
    assert_eq!(
        (status, refused["message"].as_str().unwrap().contains("outside the canvas")),
        (StatusCode::UNPROCESSABLE_ENTITY, true)
    );
    let listed = visit.get(&format!("{painting}/checks")).await.1;
    assert!((listed["checks"][0]["off_mm"].as_f64().unwrap() - 5.0).abs() < 0.05, "{listed}");
}

#[tokio::test]
async fn an_outline_that_cannot_be_is_told_and_nothing_is_kept() {
    let visit = Visit::new();
    let painting = pilot(&visit).await;
    let brought = bring_canvas(&visit, &painting, RULED).await.1;
    let outline = brought["outlines"][0].as_array().unwrap().clone();
    let checks = format!("{painting}/checks");
    let order = |order: [usize; 4]| order.map(|at| outline[at].clone());
    for (corners, told) in [
        (order([1, 0, 3, 2]), "mirrored"),
        (order([0, 2, 1, 3]), "cross"),
        (order([1, 2, 3, 0]), "shape of this canvas"),
    ] {
        let wish = json!({ "photo": brought["photo"], "corners": corners, "as_proposed": false });
        let (status, answer) = visit.post(&checks, wish).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
        assert!(answer["message"].as_str().unwrap().contains(told), "{answer}");
    }
    let wish = json!({ "photo": "0".repeat(64), "corners": outline, "as_proposed": false });
    assert!(visit.post(&checks, wish).await.1["message"].as_str().unwrap().contains("Bring it in again"));
    assert_eq!(visit.get(&checks).await.1["checks"], json!([]));
    let (status, answer) = bring_canvas(&visit, &painting, b"no picture").await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{answer}");
}

#[tokio::test]
async fn eight_clicks_serve_where_edges_cannot_be_followed() {
    let visit = Visit::new();
    let painting = pilot(&visit).await;
    let followed = measured(&visit, &painting).await;
    let corners = &followed["corners"];
    let at = |corner: usize, axis: usize| corners[corner][axis].as_f64().unwrap();
    // The photo's lens is nearly straight, so that the middles lie halfway.
    let middle = |a: usize, b: usize| [0, 1].map(|axis| f64::midpoint(at(a, axis), at(b, axis)));
    let middles = [middle(0, 1), middle(1, 2), middle(3, 2), middle(0, 3)];
    let wish = json!({
        "photo": followed["photo"], "corners": corners, "middles": middles, "as_proposed": false,
        "number": followed["number"],
    });
    let (status, clicked) = visit.post(&format!("{painting}/checks"), wish).await;
    assert_eq!(status, StatusCode::OK, "{clicked}");
    assert_eq!(clicked["number"], followed["number"], "the check was measured anew, not a second one kept");
    assert_eq!(clicked["middles"].as_array().unwrap().len(), 4);
    let names = |check: &Value| {
        let lines = check["lines"].as_array().unwrap();
        lines.iter().take(2).map(|line| line["name"].to_string()).collect::<std::collections::BTreeSet<_>>()
    };
    assert_eq!(names(&clicked), names(&followed), "the two lines drawn wrong come first either way");
}

/// The lens card from straight on, 7 pixels to the millimetre: crosses 28 mm apart, 0.6 mm wide, with arms of 6 mm.
fn card() -> Vec<u8> {
    let (width, height) = (1512_u32, 1905_u32);
    let near = |px: u32| {
        let mm = (f64::from(px) + 0.5) / 7.0 - 24.0;
        (mm - 28.0 * (mm / 28.0).round()).abs()
    };
    let rgb = (0..width * height).flat_map(|at| {
        let (x, y) = (near(at % width), near(at / width));
        [if (x < 0.3 && y < 6.0) || (y < 0.3 && x < 6.0) { 30 } else { 225 }; 3]
    });
    photo::Picture::from_rgb(width, height, rgb.collect()).unwrap().to_jpeg(92).unwrap()
}

#[tokio::test]
async fn a_phone_s_lens_is_measured_on_the_card_used_by_name_and_forgotten() {
    let visit = Visit::new();
    let painting = pilot(&visit).await;
    let (status, brought) = visit.ask(Method::POST, &format!("{painting}/canvas-photo"), card().into()).await;
    assert_eq!(status, StatusCode::OK, "{brought}");
    let corners = json!([[169, 167], [1343, 169], [1344, 1737], [167, 1736]]);
    let wish = json!({ "photo": brought["photo"], "corners": corners, "phone": "Mine" });
    let (status, phones) = visit.post(&format!("{painting}/lens"), wish).await;
    assert_eq!((status, &phones["phones"]), (StatusCode::OK, &json!(["Mine"])), "{phones}");
    let brought = bring_canvas(&visit, &painting, RULED).await.1;
    // The card's lens is straight and the canvas's photo is not: a lens taken for known is heeded, and so does worse here.
    let check = |phone: Value| {
        let wish = json!({
            "photo": brought["photo"], "corners": brought["outlines"][0], "as_proposed": true, "phone": phone,
        });
        let visit = &visit;
        let checks = format!("{painting}/checks");
        async move { visit.post(&checks, wish).await.1 }
    };
    let (with, without) = (check(json!("Mine")).await, check(Value::Null).await);
    assert_ne!(with["lines"], without["lines"], "the lens is heeded");
    assert_eq!(visit.ask(Method::DELETE, "/api/lenses/Mine", Body::empty()).await.1["phones"], json!([]));
    let wish = json!({ "photo": brought["photo"], "corners": brought["outlines"][0], "phone": "Mine" });
    let (status, refused) = visit.post(&format!("{painting}/lens"), wish).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused["message"].as_str().unwrap().contains("crosses of the lens card"), "{refused}");
}

#[tokio::test]
async fn a_landmark_that_the_plan_has_no_more_is_judged_no_more_and_comes_back_with_it() {
    let visit = Visit::new();
    let painting = pilot(&visit).await;
    let check = measured(&visit, &painting).await;
    let one = format!("{painting}/checks/{}", check["number"]);
    let places =
        [("crown", [150, 80]), ("chin", [130, 280]), ("right pupil", [110, 180]), ("mole", [170, 175])];
    for (name, at) in places {
        visit.edit(&painting, json!({ "likeness": { "do": "landmark", "name": name, "at": at } })).await;
        let wish = json!({ "painted": { "name": name, "at": at } });
        let (status, set) = visit.ask(Method::PUT, &one, wish.to_string().into()).await;
        assert_eq!(status, StatusCode::OK, "{set}");
    }
    let own = |check: &Value| check["drift"]["own"].as_array().map_or(0, Vec::len);
    assert_eq!(own(&visit.get(&one).await.1), 4);
    let forgotten = json!({ "likeness": { "do": "forget-landmark", "name": "mole" } });
    assert_eq!(visit.edit(&painting, forgotten).await.0, StatusCode::OK);
    let without = visit.get(&one).await.1;
    assert_eq!((own(&without), without["plan_changed"].is_string()), (3, true), "{without}");
    let back = json!({ "likeness": { "do": "landmark", "name": "mole", "at": [170, 175] } });
    visit.edit(&painting, back).await;
    assert_eq!(own(&visit.get(&one).await.1), 4);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_landmark_set_while_the_check_is_measured_anew_is_kept() {
    let visit = Visit::new();
    let painting = pilot(&visit).await;
    visit
        .edit(&painting, json!({ "likeness": { "do": "landmark", "name": "crown", "at": [150, 80] } }))
        .await;
    let check = measured(&visit, &painting).await;
    let one = format!("{painting}/checks/{}", check["number"]);
    let wish = json!({ "photo": check["photo"], "corners": check["corners"], "as_proposed": true, "number": check["number"] });
    let checks = format!("{painting}/checks");
    let set = async {
        // The measuring has begun, and takes longer than this.
        tokio::time::sleep(std::time::Duration::from_millis(50)).await;
        let wish = json!({ "painted": { "name": "crown", "at": [152, 81] } });
        visit.ask(Method::PUT, &one, wish.to_string().into()).await
    };
    let ((measured, anew), (set, _)) = tokio::join!(visit.post(&checks, wish), set);
    assert_eq!((measured, set), (StatusCode::OK, StatusCode::OK), "{anew}");
    let kept = visit.get(&one).await.1;
    assert!(kept["landmarks"][0]["painted"].is_array(), "{}", kept["landmarks"]);
}
