//! The packet: which sheets a plan needs, in order, and the PDF that holds them.

mod options;
mod sheets;

use std::ops::ControlFlow;
use std::panic::resume_unwind;
use std::thread;

use photo::PhotoError;
use plan::{LayoutError, Plan, PlanError, SheetLayout};
use thiserror::Error;

pub use self::options::PacketOptions;
pub(crate) use self::sheets::{LaidOut, laid_out_check, lay_out, size_in_words};
use crate::kind::SheetKind;
use crate::photo_stream::PhotoStream;
use crate::typeset::typeset;

/// A finished packet.
#[derive(Clone, Debug)]
pub struct Packet {
    /// The PDF file.
    pub pdf: Vec<u8>,
    /// Its pages in order.
    pub sheets: Vec<SheetSummary>,
    /// How the reference sheets are laid over the canvas, if there are any.
    pub reference: Option<SheetLayout>,
}

/// One page of a packet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SheetSummary {
    /// What it is.
    pub kind: SheetKind,
    /// Its name among the pages, such as `B2`; it is the page's label in a viewer.
    pub label: String,
}

/// What is being done, for a line of progress.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// The sheets are being laid out.
    LayingOut,
    /// So many sheets are being drawn and set.
    Drawing {
        /// The number of sheets.
        sheets: usize,
    },
}

/// Why there is no packet.
#[derive(Debug, Error)]
pub enum SheetsError {
    /// The plan cannot be carried out.
    #[error(transparent)]
    Plan(#[from] PlanError),
    /// The canvas cannot be cut over this paper.
    #[error(transparent)]
    Layout(#[from] LayoutError),
    /// The photo is not the one that was planned with.
    #[error(
        "The photo is {} x {} pixels, but the plan was made with one of {} x {}. Plan again with this photo.",
        .given.0, .given.1, .planned.0, .planned.1
    )]
    OtherPhoto {
        /// Width and height of the photo given.
        given: (u32, u32),
        /// Width and height of the photo in the plan.
        planned: (u32, u32),
    },
    /// The photo is damaged.
    #[error(transparent)]
    Photo(#[from] PhotoError),
    /// None of the kinds asked for has a sheet.
    #[error(
        "None of these sheets can be made yet: detail sheets need a detail box, reference sheets a photo, plots and proportions landmarks, the measures sheet a measure."
    )]
    Nothing,
    /// The painter stopped it.
    #[error("Stopped. Nothing was written.")]
    Stopped,
    /// The sheets could not be set: a fault of this program.
    #[error("The sheets could not be set ({0}). This is a fault in Mahlstick: please report it.")]
    Setting(String),
}

/// Makes the packet of a plan. Without a photo there are no reference sheets, and detail sheets show their grid alone.
/// `progress` is told what is being done and may stop it.
///
/// The same input gives the same bytes.
///
/// # Errors
/// See [`SheetsError`].
pub fn packet(
    plan: &Plan,
    photo: Option<&PhotoStream>,
    options: &PacketOptions,
    progress: &dyn Fn(Stage) -> ControlFlow<()>,
) -> Result<Packet, SheetsError> {
    plan.check()?;
    if let (Some(photo), Some(reference)) = (photo, &plan.reference) {
        let (given, planned) = (photo.stored().upright_size(), reference.size());
        if given != planned {
            let (given, planned) = ((given.width, given.height), (planned.width, planned.height));
            return Err(SheetsError::OtherPhoto { given, planned });
        }
    }
    thread::scope(|scope| {
        // Reading the photo's codes takes a fifth of the time that setting the sheets takes: it is done beside it.
        let photo_check = photo.map(|photo| scope.spawn(|| photo.check()));
        go_on(progress(Stage::LayingOut))?;
        let laid_out = lay_out(plan, photo.map(PhotoStream::stored), options)?;
        let packet = laid_out.set(photo, options, progress)?;
        if let Some(check) = photo_check {
            check.join().unwrap_or_else(|panic| resume_unwind(panic))?;
        }
        Ok(packet)
    })
}

impl LaidOut {
    /// Sets the sheets; `photo` is the picture on them.
    pub(crate) fn set(
        self,
        photo: Option<&PhotoStream>,
        options: &PacketOptions,
        progress: &dyn Fn(Stage) -> ControlFlow<()>,
    ) -> Result<Packet, SheetsError> {
        let Self { data, summaries, reference } = self;
        go_on(progress(Stage::Drawing { sheets: summaries.len() }))?;
        let labels: Vec<String> = summaries.iter().map(|sheet| sheet.label.clone()).collect();
        let pdf = typeset(&data, photo, &labels, options.date)?;
        Ok(Packet { pdf, sheets: summaries, reference })
    }
}

pub(crate) fn go_on(flow: ControlFlow<()>) -> Result<(), SheetsError> {
    if flow.is_break() { Err(SheetsError::Stopped) } else { Ok(()) }
}
