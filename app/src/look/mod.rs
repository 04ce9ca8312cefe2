//! Look: colours, type, spacing, fonts and icons. The one place that makes a colour.
//! Knows egui, and nothing of sheep. Invariant: every pair of text and ground reads at 4.5:1, in the forms of high contrast at 7:1 (tested).

pub mod fonts;
pub mod icons;
pub mod paper;
pub mod ring;
pub mod speech;
pub mod style;
pub mod tokens;
pub mod words;

pub use fonts::Face;
pub use icons::Icon;
pub use speech::{said, spoken};
pub use style::{apply, is_high, set_contrast};
pub use tokens::{Tokens, of, size, space, tokens};
pub use words::{
    Kind, banner, button, card, chip, chip_icon, faint, figure, heading, icon, icon_button, italic,
    paragraph, primary, refusal, sentence, strong, subheading, tick, word,
};
