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
        end_streams_clearly(&mut document).map_err(told)?;
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
    for stream in streams(document).filter(|stream| is_picture(stream)) {
        stream.dict.set("Width", i64::from(photo.stored().width));
        stream.dict.set("Height", i64::from(photo.stored().height));
        stream.set_content(photo.jpeg().to_vec());
    }
}

/// A stream whose last byte is a carriage return runs together with the line feed that is written before `endstream`:
/// strict readers then find it a byte shorter than it says (ISO 19005-2, 6.1.7.1). By the chance of a checksum this
/// befalls one compressed stream in 256; a line feed after what was compressed changes the checksum and nothing else.
fn end_streams_clearly(document: &mut Document) -> lopdf::Result<()> {
    for stream in streams(document) {
        while stream.content.last() == Some(&b'\r') {
            let mut plain = stream.decompressed_content()?;
            plain.push(b'\n');
            stream.set_plain_content(plain);
            stream.compress()?;
        }
    }
    Ok(())
}

fn streams(document: &mut Document) -> impl Iterator<Item = &mut Stream> {
    document.objects.values_mut().filter_map(|object| object.as_stream_mut().ok())
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
    let numbers: Vec<Object> = (0_i64..)
        .zip(labels)
        .flat_map(|(page, label)| [page.into(), dictionary! { "P" => text_string(label) }.into()])
        .collect();
    dictionary! { "Nums" => numbers }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_stream_ends_with_a_carriage_return() {
        let ends_so = |text: &String| {
            let mut stream = Stream::new(Dictionary::new(), text.clone().into_bytes());
            stream.compress().unwrap();
            (stream.dict.has(b"Filter") && stream.content.last() == Some(&b'\r')).then_some(stream)
        };
        let stream = (60..1000).map(|length| "a".repeat(length)).find_map(|text| ends_so(&text)).unwrap();
        let plain = stream.decompressed_content().unwrap();
        let mut document = Document::new();
        let id = document.add_object(stream);
        end_streams_clearly(&mut document).unwrap();
        let stream = document.get_object(id).unwrap().as_stream().unwrap();
        assert_ne!(stream.content.last(), Some(&b'\r'));
        assert_eq!(stream.decompressed_content().unwrap().strip_suffix(b"\n"), Some(plain.as_slice()));
        assert_eq!(stream.dict.get(b"Length").unwrap(), &Object::from(stream.content.len() as u32));
    }

    #[test]
    fn every_page_has_its_own_label() {
        let labels = page_labels(&["A1".to_owned(), "Tête A2".to_owned()]);
        let numbers = labels.get(b"Nums").unwrap().as_array().unwrap();
        let label =
            |at: usize| lopdf::decode_text_string(numbers[at].as_dict().unwrap().get(b"P").unwrap()).unwrap();
        assert_eq!((numbers[0].as_i64().unwrap(), label(1)), (0, "A1".to_owned()));
        assert_eq!((numbers[2].as_i64().unwrap(), label(3)), (1, "Tête A2".to_owned()));
    }
}
