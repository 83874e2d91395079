//! Requests for what is printed: the packet, and pictures of its sheets.

use std::ops::ControlFlow;
use std::sync::Arc;

use axum::Json;
use axum::extract::State;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use percent_encoding::{NON_ALPHANUMERIC, utf8_percent_encode};
use photo::Stop;
use plan::Ratio;
use serde::{Deserialize, Serialize};
use sheets::{SheetKind, SheetPicture, Stage};
use utoipa::{IntoParams, ToSchema};
use values::Tone;

use super::pictures::KEPT;
use super::stoppable_work;
use crate::answer::{Trouble, Troubles};
use crate::asked::{PaintingId, Wishes};
use crate::fingerprint::fingerprint;
use crate::open_painting::{News, Open};
use crate::paper::{self, Wish};
use crate::state::Studio;
use crate::tones::Use;

type Shared = State<Arc<Studio>>;

/// The packet as one PDF. The events of the painting tell how far it is; whoever stops waiting stops the work.
#[utoipa::path(get, path = "/api/paintings/{id}/packet.pdf", params(("id" = String, Path), Wish),
    responses((status = 200, body = Vec<u8>, content_type = "application/pdf"), Troubles))]
pub(super) async fn packet(
    State(studio): Shared,
    PaintingId(id): PaintingId,
    Wishes(wish): Wishes<Wish>,
) -> Result<Response, Trouble> {
    let printed = what_is_printed(&wish);
    let (title, what, pdf) = stoppable_work(move |stop| {
        let open = studio.open(&id)?;
        let _alone = open.heavy_work();
        let document = open.present()?.document;
        let photo = open.photo(&document)?.map(|photo| photo.stopped_by(stop));
        let printers = paper::printers(studio.folder().path());
        if document.plan.reference.as_ref().is_some_and(|reference| reference.square_up.is_some()) {
            open.tell(News::Working("Squaring up the photo.".to_owned()));
        }
        if wish.show()?.tone != Tone::Photo {
            open.tell(News::Working("Making the picture in its tone.".to_owned()));
        }
        let progress = |stage| {
            open.tell(News::Working(in_words(stage)));
            if stop.is_stopped() { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
        };
        let packet = paper::packet(&document, photo.as_ref(), &printers, &wish, &progress)?;
        // Of two canvases for one painting the packets must not be taken for each other.
        let canvas = document.plan.canvas.nominal.in_unit(document.plan.unit);
        let what = letters([printed.as_str(), &canvas].into_iter());
        Ok((document.title, what, packet.pdf))
    })
    .await?;
    let disposition = [
        (CONTENT_DISPOSITION, disposition(&title, &what, "pdf")),
        (CONTENT_TYPE, "application/pdf".to_owned()),
    ];
    Ok((disposition, pdf).into_response())
}

pub(super) fn in_words(stage: Stage) -> String {
    match stage {
        Stage::LayingOut => "Laying out the sheets.".to_owned(),
        Stage::Drawing { sheets: 1 } => "Drawing the sheet.".to_owned(),
        Stage::Drawing { sheets } => format!("Drawing {sheets} sheets."),
    }
}

/// What a packet is, for its file's name: `packet`, or `packet reference values 5 mirror 1 to 2`. Tone, mirror and ratio are those of the sheets
/// that have the photo.
fn what_is_printed(wish: &Wish) -> String {
    let kind = wish.kinds.as_deref().filter(|kinds| !kinds.contains(','));
    let has_photo = wish.kinds.as_deref().is_none_or(|kinds| {
        let with_photo = [SheetKind::Reference, SheetKind::Details].map(|kind| kind.to_string());
        kinds.is_empty() || kinds.split(',').any(|kind| with_photo.iter().any(|photo| photo == kind))
    });
    if !has_photo {
        return letters(["packet"].into_iter().chain(kind));
    }
    let show = wish.show.as_deref().filter(|show| *show != Tone::Photo.to_string());
    let ratio = wish
        .ratio
        .as_deref()
        .filter(|ratio| ratio.parse().ok() != Some(Ratio::TRUE_SIZE))
        .map(|ratio| ratio.replace(':', " to "));
    let said = [Some("packet"), kind, show, ratio.as_deref()].into_iter().flatten();
    letters(said)
}

/// Words that any file system takes.
fn letters<'a>(said: impl Iterator<Item = &'a str>) -> String {
    let plain = said.map(|said| said.replace(|c: char| !c.is_ascii_alphanumeric() && c != '.', " "));
    plain.collect::<Vec<_>>().join(" ").trim_end().to_owned()
}

/// Names the file after the painting and what it is (RFC 6266; RFC 8187 for what is not ASCII).
pub(super) fn disposition(title: &str, what: &str, ending: &str) -> String {
    let words: String = title.chars().map(|c| if c.is_alphanumeric() { c } else { ' ' }).collect();
    let words: Vec<&str> = words.split_whitespace().chain([what]).collect();
    let encoded = utf8_percent_encode(&words.join(" "), NON_ALPHANUMERIC).to_string();
    format!("attachment; filename=\"{what}.{ending}\"; filename*=UTF-8''{encoded}.{ending}")
}

/// The sheets of the packet, in its order.
#[derive(Serialize, ToSchema)]
pub(super) struct Sheets {
    sheets: Vec<Sheet>,
}

/// A sheet of the packet.
#[derive(Serialize, ToSchema)]
pub(super) struct Sheet {
    /// Its kind, by the word that asks for it.
    kind: &'static str,
    /// Its name among the sheets.
    label: String,
    /// The paper's width.
    width_mm: f64,
    /// The paper's height.
    height_mm: f64,
    /// Where its picture is to be had.
    picture: String,
}

/// All the sheets of the packet, with where to have pictures of them as they will come out.
#[utoipa::path(get, path = "/api/paintings/{id}/sheets", params(("id" = String, Path), Wish),
    responses((status = 200, body = Sheets), Troubles))]
pub(super) async fn sheets(
    State(studio): Shared,
    PaintingId(id): PaintingId,
    Wishes(wish): Wishes<Wish>,
) -> Result<Json<Sheets>, Trouble> {
    stoppable_work(move |stop| {
        let open = studio.open(&id)?;
        let (version, pictures) = drawn(&studio, &open, &wish, stop)?;
        let switches = [wish.landmarks, wish.likeness_only].map(|on| on.map(|on| on.to_string()));
        let [landmarks, likeness_only] = &switches;
        let wishes = [
            ("kinds", &wish.kinds),
            ("printer", &wish.printer),
            ("show", &wish.show),
            ("ratio", &wish.ratio),
            ("landmarks", landmarks),
            ("likeness_only", likeness_only),
        ];
        let asked: Vec<String> = wishes
            .into_iter()
            .filter_map(|(name, text)| Some((name, text.as_deref()?)))
            .map(|(name, text)| format!("&{name}={}", utf8_percent_encode(text, NON_ALPHANUMERIC)))
            .collect();
        let asked = asked.concat();
        let address = |at: usize| format!("/api/paintings/{id}/sheet.svg?at={at}&v={version}{asked}");
        let sheets = pictures.iter().enumerate().map(|(at, picture)| Sheet {
            kind: picture.kind.word(),
            label: picture.label.clone(),
            width_mm: picture.size_mm[0],
            height_mm: picture.size_mm[1],
            picture: address(at),
        });
        Ok(Json(Sheets { sheets: sheets.collect() }))
    })
    .await
}

/// Which of the sheets.
#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub(super) struct At {
    /// Counted from 0 in the packet's order.
    at: usize,
}

/// A picture of one sheet, as it will come out.
#[utoipa::path(get, path = "/api/paintings/{id}/sheet.svg", params(("id" = String, Path), At, Wish),
    responses((status = 200, body = String, content_type = "image/svg+xml"), Troubles))]
pub(super) async fn sheet(
    State(studio): Shared,
    PaintingId(id): PaintingId,
    Wishes(At { at }): Wishes<At>,
    Wishes(wish): Wishes<Wish>,
) -> Result<Response, Trouble> {
    let svg = stoppable_work(move |stop| {
        let open = studio.open(&id)?;
        let (_, pictures) = drawn(&studio, &open, &wish, stop)?;
        let picture =
            pictures.get(at).ok_or_else(|| Trouble::refused("There is no such sheet in the packet."))?;
        Ok(picture.svg.clone())
    })
    .await?;
    Ok(([KEPT], [(CONTENT_TYPE, "image/svg+xml")], svg).into_response())
}

/// The sheets as pictures, drawn once for a state of the painting, and a short name for that state.
fn drawn(
    studio: &Studio,
    open: &Open,
    wish: &Wish,
    stop: &Stop,
) -> Result<(String, Arc<Vec<SheetPicture>>), Trouble> {
    let _alone = open.heavy_work();
    if stop.is_stopped() {
        return Err(Trouble::refused("Stopped."));
    }
    let present = open.present()?;
    let printers = paper::printers(studio.folder().path());
    let printer = wish.printer.as_deref().and_then(|name| paper::called(&printers, name));
    let version = fingerprint(format!("{:?} {wish:?} {printer:?}", present.revision).as_bytes());
    let pictures = open.pictures.sheets(&version, || {
        let photo = open.photo(&present.document)?;
        let focal = photo.as_ref().and_then(|photo| photo.camera().focal_length_35mm);
        let tone = wish.show()?.tone;
        let small = photo.map(|photo| match tone {
            Tone::Photo => open.pictures.on_sheets(&photo.stopped_by(stop), &present.document),
            tone => open.tones.jpeg(&photo, &present.document, tone, Use::Sheets, stop),
        });
        let small = small.transpose()?;
        paper::pictures(&present.document, small.map(|small| small.to_vec()), focal, &printers, wish)
    })?;
    Ok((version, pictures))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_file_is_named_after_the_painting_in_any_script() {
        let named = |title| disposition(title, "packet", "pdf").split_once("''").unwrap().1.to_owned();
        assert_eq!(named("The harbour pilot"), "The%20harbour%20pilot%20packet.pdf");
        assert_eq!(named("Zoë / \"quoted\"\r\n"), "Zo%C3%AB%20quoted%20packet.pdf");
        assert_eq!(named(""), "packet.pdf");
    }

    #[test]
    fn a_packet_shown_otherwise_has_another_name() {
        let wish = |kinds: &str, show: &str, ratio: &str| {
            let said = |text: &str| (!text.is_empty()).then(|| text.to_owned());
            what_is_printed(&Wish {
                kinds: said(kinds),
                show: said(show),
                ratio: said(ratio),
                ..Wish::default()
            })
        };
        assert_eq!(wish("", "", ""), "packet");
        assert_eq!(wish("plan,marks", "photo", "1:1"), "packet");
        assert_eq!(
            wish("reference", "values:5,mirror", "1.5:1"),
            "packet reference values 5 mirror 1.5 to 1"
        );
        assert_eq!(wish("film", "values:5,mirror", "1:2"), "packet film");
        assert_eq!(wish("plan,marks", "values:5", "1:2"), "packet");
        assert_eq!(wish("\"\r\n", "", ""), "packet");
    }
}
