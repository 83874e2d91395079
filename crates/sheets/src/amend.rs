//! What Typst leaves to be amended in the PDF it writes: the photo's stream, the wish not to be scaled in printing, and
//! the sheets' names.

use lopdf::{Dictionary, Document, Object, Stream, dictionary, text_string};

use crate::packet::SheetsError;
use crate::photo_stream::PhotoStream;

/// The amendments to one file.
pub(crate) struct Amendments<'a> {
    /// A name for each page, in order.
    pub(crate) labels: &'a [String],
    /// The photo whose stand-in the file holds.
    pub(crate) photo: Option<&'a PhotoStream>,
}

impl Amendments<'_> {
    pub(crate) fn apply(&self, pdf: &[u8]) -> Result<Vec<u8>, SheetsError> {
        let told = |error: lopdf::Error| SheetsError::Setting(error.to_string());
        let mut document = Document::load_mem(pdf).map_err(told)?;
        if let Some(photo) = self.photo {
            exchange_stand_in(&mut document, photo);
        }
        let catalog = document.catalog_mut().map_err(told)?;
        ask_for_no_scaling(catalog).map_err(told)?;
        catalog.set("PageLabels", page_labels(self.labels));
        let mut amended = Vec::with_capacity(pdf.len() + self.photo.map_or(0, |photo| photo.jpeg().len()));
        document.save_to(&mut amended).map_err(|error| SheetsError::Setting(error.to_string()))?;
        Ok(amended)
    }
}

/// The photo is the file's only picture, so the one image stream is its stand-in. A packet whose sheets show no photo
/// has none.
fn exchange_stand_in(document: &mut Document, photo: &PhotoStream) {
    let is_picture = |stream: &Stream| {
        stream.dict.get(b"Subtype").and_then(Object::as_name).is_ok_and(|kind| kind == b"Image")
    };
    let streams = document.objects.values_mut().filter_map(|object| object.as_stream_mut().ok());
    for stream in streams.filter(|stream| is_picture(stream)) {
        stream.dict.set("Width", i64::from(photo.stored().width));
        stream.dict.set("Height", i64::from(photo.stored().height));
        stream.set_content(photo.jpeg().to_vec());
    }
}

/// ISO 32000-1, table 150: `PrintScaling` `None` presets the print dialogue to actual size.
fn ask_for_no_scaling(catalog: &mut Dictionary) -> lopdf::Result<()> {
    if !catalog.has(b"ViewerPreferences") {
        catalog.set("ViewerPreferences", Dictionary::new());
    }
    let preferences = catalog.get_mut(b"ViewerPreferences")?.as_dict_mut()?;
    preferences.set("PrintScaling", Object::Name(b"None".to_vec()));
    Ok(())
}

/// ISO 32000-1, 12.4.2: a number tree from page index to label. Each sheet has a label of its own, which Typst's
/// numbering patterns cannot give.
fn page_labels(labels: &[String]) -> Dictionary {
    let entries = labels.iter().enumerate();
    let numbers: Vec<Object> = entries
        .flat_map(|(page, label)| {
            [Object::from(page as i64), dictionary! { "P" => text_string(label) }.into()]
        })
        .collect();
    dictionary! { "Nums" => numbers }
}
