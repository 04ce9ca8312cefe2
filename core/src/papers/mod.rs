//! Papers: lamb cards, pen cards, the barn sheet, the treatment log and the timeline, as pages and as PDF.
//!
//! Knows the flock, the day and the reckoning; no window, no files, no clock. A paper is laid out once into
//! [`Paper`] (see [`sheet`]); [`to_pdf`] writes it, the window paints it.

mod barn_sheet;
mod cards;
mod certificate;
pub mod chart;
#[cfg(test)]
mod check;
mod creep_sheet;
mod cull_list;
mod declaration;
mod diversity_report;
mod due_list;
mod feed_sheet;
pub mod feed_store;
#[cfg(test)]
pub(crate) mod fixture;
mod flow;
mod folder;
mod growth_chart;
mod growth_list;
mod heads;
mod joining_sheet;
mod keep_sheet;
mod lamb_cards;
mod list;
mod mix_sheet;
pub mod pdf;
mod pedigree;
mod pen_cards;
mod pen_map;
pub mod picture;
pub mod qr;
mod ram_progeny;
mod register;
mod rich;
mod sale_list;
mod season_report;
pub mod sheet;
pub mod table;
pub mod text;
pub mod timeline;
mod treatment_log;
mod weighing_list;
mod who;
mod winter_feed;

pub use barn_sheet::{BarnSheetOptions, barn_sheet};
pub use cards::PerSheet;
pub use certificate::vaccination_certificate;
pub use creep_sheet::{CreepSheetOptions, creep_sheet};
pub use cull_list::cull_list;
pub use declaration::withdrawal_declaration;
pub use diversity_report::diversity_report;
pub use due_list::{DueListOptions, due_list};
pub use feed_sheet::{FeedSheetOptions, feed_sheet};
pub use feed_store::feed_store;
pub use folder::{FolderOptions, inspector_folder};

pub use growth_chart::{Drawn, drawn_for, drawn_of, growth_chart, reach_words};
pub use growth_list::{GrowthListOptions, growth_list};
pub use joining_sheet::{JoiningSheetOptions, joining_sheet};
pub use keep_sheet::keep_sheet;
pub use lamb_cards::{LambCardOptions, LambJob, lamb_cards};
pub use list::{ListColumn, list};
pub use mix_sheet::{MixSheetOptions, mix_sheet, usual_batch};
pub use pdf::{to_pdf, to_pdf_watched};
pub use pedigree::{pedigree_certificate, pedigree_drawing};
pub use pen_cards::{PenCardOptions, pen_cards};
pub use pen_map::pen_map;
pub use ram_progeny::ram_progeny;
pub use register::register;
pub use sale_list::sale_list;
pub use season_report::season_report;
pub use sheet::{Area, Face, Ink, Look, Mark, Page, Paper, SheetSize, Turn};
pub use text::font_bytes;
pub use timeline::{TimelineOptions, timeline};
pub use treatment_log::{TreatmentLogOptions, treatment_log};
pub use weighing_list::{WeighingList, weighing_list};
pub use winter_feed::{WinterRow, winter_chart, winter_feed, winter_rows};

/// Called with how much is done and how much there is; answering `false` stops the work.
pub type Watch<'a> = &'a dyn Fn(usize, usize) -> bool;

/// Lets the work run to its end.
pub fn carry_on(_done: usize, _total: usize) -> bool {
    true
}

/// Why no paper came.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PaperFailed {
    /// The keeper stopped it.
    #[error("printing was stopped; nothing was written")]
    Stopped,
    /// Nothing was chosen that this paper could show.
    #[error("there is nothing to put on the {paper}: {mend}")]
    Nothing {
        /// The paper's name in plain words.
        paper: &'static str,
        /// What to choose instead.
        mend: &'static str,
    },
    /// The PDF could not be put together.
    #[error("the PDF of '{title}' could not be made ({cause}); please report this with the book's size")]
    Write {
        /// The paper's title.
        title: String,
        /// What the writer said.
        cause: String,
    },
}
