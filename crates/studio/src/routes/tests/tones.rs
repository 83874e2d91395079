//! The reference in other tones, and the value at a spot.

use super::*;

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
        ("spot?x=-500&y=20&steps=5", "beyond the canvas"),
        ("spot?x=NaN&y=1e308&steps=5", "beyond the canvas"),
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

#[tokio::test]
async fn a_photo_too_dark_to_paint_from_is_told_and_a_well_lit_one_is_not() {
    let visit = Visit::new();
    let painting = visit.new_painting().await;
    visit.bring_photo(&painting).await;
    let address = format!("{painting}/exposure");
    assert_eq!(visit.get(&address).await.1["says"], serde_json::Value::Null);
    let dark = photo::Picture::from_rgb(60, 80, vec![40; 60 * 80 * 3]).unwrap().to_jpeg(90).unwrap();
    visit.bring(&painting, dark).await;
    let says = visit.get(&address).await.1["says"].as_str().unwrap().to_owned();
    assert!(says.starts_with("The photo is dark: even its lightest parts have value 1."), "{says}");
}
