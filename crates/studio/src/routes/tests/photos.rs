//! One photo in the place of another.

use photo::Photo;

use super::*;

/// The pilot's photo in fewer pixels, and compressed more, as a telephone sends it.
fn smaller(longest_side: u32) -> Photo {
    let small = Photo::from_bytes(PILOT.to_vec(), "pilot.jpg").unwrap().preview(longest_side).unwrap();
    Photo::from_bytes(small.to_jpeg(60).unwrap(), "small.jpg").unwrap()
}

#[tokio::test]
async fn what_is_marked_stays_on_the_same_picture_and_goes_with_another() {
    let visit = Visit::new();
    let painting = visit.new_painting().await;
    visit.bring(&painting, smaller(1000).file_bytes().to_vec()).await;
    for edit in [
        json!({ "reference": { "do": "mark-head", "crown": [140, 60], "chin": [120, 230] } }),
        json!({ "reference": { "do": "head-height", "height": "8in" } }),
        json!({ "likeness": { "do": "landmark", "name": "nose tip", "at": [150, 150] } }),
    ] {
        assert_eq!(visit.edit(&painting, edit).await.0, StatusCode::OK);
    }
    let (_, before) = visit.get(&painting).await;
    let now = visit.bring_photo(&painting).await;
    assert_eq!(now["photo"]["pixels"], "3000 x 4000");
    assert_eq!(now["view"]["reference"]["head"], before["view"]["reference"]["head"]);
    let nose = |state: &Value| {
        let at = &state["view"]["likeness"]["landmarks"][0]["at"];
        [at[0].as_f64().unwrap(), at[1].as_f64().unwrap()]
    };
    for (now, before) in nose(&now).into_iter().zip(nose(&before)) {
        assert!((now - before).abs() < 0.01, "{now} {before}");
    }
    // The same sitter turned the other way is another picture.
    let pilot = Photo::from_bytes(PILOT.to_vec(), "pilot.jpg").unwrap().preview(800).unwrap();
    let (width, height) = (pilot.width(), pilot.height());
    let rows = pilot.rgb().chunks_exact(3 * width as usize);
    let turned: Vec<u8> = rows.flat_map(|row| row.chunks_exact(3).rev().flatten().copied()).collect();
    let mut jpeg = Vec::new();
    let encoder = jpeg_encoder::Encoder::new(&mut jpeg, 80);
    encoder.encode(&turned, width as u16, height as u16, jpeg_encoder::ColorType::Rgb).unwrap();
    let other = visit.bring(&painting, jpeg).await;
    assert_eq!(other["view"]["reference"]["head"], Value::Null);
    assert_eq!(other["view"]["likeness"]["landmarks"], json!([]));
}
