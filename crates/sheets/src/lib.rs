//! The packet: a plan and its photo to a PDF at true size.
//!
//! [`packet()`] computes every position on every sheet in millimetres and hands them to Typst templates as plain data;
//! the templates only place, draw and set type. The paper frame never leaves this crate, which knows nothing of HTTP
//! or storage.
//!
//! True size has three parts: positions are derived from the plan's millimetres alone; the file asks the viewer for no
//! scaling; and every true-size sheet carries scale bars, whose measured lengths correct the next print.

mod amend;
mod bars_sheet;
mod card_sheet;
mod check_sheet;
mod date;
mod edge_strips;
mod figures;
mod furniture;
mod joins;
mod kind;
mod likeness_sheets;
mod mark_up;
mod packet;
mod paper;
mod photo_stream;
mod plan_sheet;
mod proportions_sheet;
mod reference_picture;
mod ruled_lines;
mod scale_bar;
mod scene;
mod sheet_pictures;
mod show;
#[cfg(test)]
mod tests;
mod true_size;
mod typeset;
mod value_strip;
mod world;

pub use check_sheet::check_packet;
pub use date::Date;
pub use furniture::FURNITURE;
pub use kind::{SheetKind, SheetKindError};
pub use packet::{Packet, PacketOptions, SheetSummary, SheetsError, Stage, packet};
pub use photo_stream::{PhotoStream, Stored};
pub use reference_picture::reference_picture;
pub use sheet_pictures::{SheetPicture, sheet_pictures};
pub use show::Show;
