//! What can be wrong with a picture file, each with what to do about it.

use std::io;

use crate::format::{Format, Unsupported};

/// A picture file that cannot be used, and why.
///
/// `Display` gives one or two sentences for the painter, beginning with the file's name.
#[derive(Debug, thiserror::Error)]
#[error("{file}: {fault}")]
pub struct PhotoError {
    /// The file's name, without the folders it lies in.
    pub file: String,
    /// What is wrong with it.
    pub fault: Fault,
}

/// What is wrong with a picture file.
#[derive(Debug, thiserror::Error)]
pub enum Fault {
    /// There is no such file.
    #[error("There is no such file. Check the name and the folder.")]
    NotFound,
    /// It is a folder.
    #[error("This is a folder. Give the picture file in it.")]
    Folder,
    /// The system would not let it be read.
    #[error("The file cannot be read ({}). Check that you may open it and that its disk is connected.", .0.kind())]
    Unreadable(#[source] io::Error),
    /// The file has no content.
    #[error("The file is empty. Copy it again from where it came.")]
    Empty,
    /// More bytes than [`MAX_FILE_BYTES`](crate::limits::MAX_FILE_BYTES).
    #[error("The file is {} MB, more than the {} MB that can be opened. Save a smaller copy and open that.",
        bytes / 1_000_000, limit / 1_000_000)]
    TooManyBytes {
        /// The file's size in bytes.
        bytes: u64,
        /// The most that is read, in bytes.
        limit: u64,
    },
    /// More pixels, a longer side or more memory than the [`limits`](crate::limits) allow.
    #[error(
        "The picture says it is {width} × {height} pixels, more than can be opened \
         ({} megapixels, or {} along a side). Save a smaller copy and open that.",
        crate::limits::MAX_PIXELS / 1_000_000, crate::limits::MAX_SIDE
    )]
    TooLarge {
        /// Width in pixels as the header states it.
        width: u32,
        /// Height in pixels as the header states it.
        height: u32,
    },
    /// The file is far too small for the size its header states, see [`MAX_EXPANSION`](crate::limits::MAX_EXPANSION).
    #[error(
        "The picture says it is {width} × {height} pixels but fills only {} KB, too little for a photograph of that size. \
         Open the original photo.", file_bytes / 1000
    )]
    TooLittleForItsSize {
        /// Width in pixels as the header states it.
        width: u32,
        /// Height in pixels as the header states it.
        height: u32,
        /// The file's size in bytes.
        file_bytes: u64,
    },
    /// A side of the picture is 0 pixels.
    #[error("The picture has no pixels. Copy the file again from where it came, or open the original photo.")]
    NoPixels,
    /// A known kind of file that is not read here.
    #[error("This is {}, which cannot be opened here. {}", .0.name(), .0.advice())]
    Unsupported(Unsupported),
    /// Nothing that is known to be a picture.
    #[error("This is not a picture file that can be opened. Open a photo saved as JPEG, PNG, TIFF or WebP.")]
    NotAPicture,
    /// The right kind of file, written in a way that is not read here.
    #[error(
        "This {format} is {variety}, which cannot be opened here. Save it again as an ordinary JPEG and open that."
    )]
    UnusualVariety {
        /// The kind of file.
        format: Format,
        /// Which variety, as a phrase after "is": "arithmetic-coded", "of 32 bits per channel".
        variety: String,
    },
    /// The end of the picture is missing.
    #[error(
        "The {0} is cut short: its end is missing. Copy it again from the camera, phone or message it came in."
    )]
    CutShort(Format),
    /// The reading was stopped, see [`Photo::stopped_by`](crate::Photo::stopped_by).
    #[error("The reading was stopped. Nothing was changed.")]
    Stopped,
    /// The content contradicts the format's rules.
    #[error("The {format} is damaged. Copy it again from where it came; if that fails, open another copy.")]
    Damaged {
        /// The kind of file.
        format: Format,
        /// What the decoder found, for a developer; not part of the message.
        detail: String,
    },
}

impl Fault {
    /// A [`Fault::Damaged`] with what a decoder said.
    pub(crate) fn damaged(format: Format, detail: impl Into<String>) -> Self {
        Self::Damaged { format, detail: detail.into() }
    }

    /// A [`Fault::UnusualVariety`].
    pub(crate) fn unusual(format: Format, variety: impl Into<String>) -> Self {
        Self::UnusualVariety { format, variety: variety.into() }
    }

    /// This fault as the error of the file named so.
    pub(crate) fn of(self, file: &str) -> PhotoError {
        PhotoError { file: file.to_owned(), fault: self }
    }
}
