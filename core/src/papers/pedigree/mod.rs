//! The pedigree on paper: the certificate that goes with an animal, and the drawing of its ancestors alone.
//!
//! Ancestors are drawn as waters that run together: the oldest to the left, each name along its own reach, a sire
//! above a dam, and the width of a water is its share of the blood. Of what has no room on its line nothing is
//! lost: it stands in full on a page after it.

mod certificate;
mod drawing;
mod particulars;
#[cfg(test)]
mod tests;
mod water;

use crate::phrase;
use crate::terms::speech::said;
pub use certificate::pedigree_certificate;
pub use drawing::pedigree_drawing;

use super::sheet::Page;
use super::sheet::{Face, Ink, Look};
use super::{PaperFailed, flow};
use crate::flock::Flock;
use crate::reckon::kinship::Kindred;
use crate::reckon::pedigree::Ancestry;
use crate::terms::AnimalId;

/// Generations of the certificate.
const CERTIFICATE: u32 = 4;

/// What a page of ancestors is made from.
struct Source<'a> {
    flock: &'a Flock,
    kindred: &'a Kindred,
    tree: &'a Ancestry,
    /// Words that had no room: whose, and in full.
    cut: std::cell::RefCell<Vec<String>>,
}

impl Source<'_> {
    /// Words on one line no wider than that: set smaller, and at last cut, to stand in full on the page after.
    fn fit(&self, look: Look, words: &str, width: f32, whole: &str) -> (Look, String) {
        const LEAST: f32 = 7.4;
        if look.width_mm(words) <= width {
            return (look, words.to_owned());
        }
        let size = look.size_pt * width / look.width_mm(words);
        if size >= LEAST {
            return (look.size(size), words.to_owned());
        }
        let look = look.size(LEAST.min(look.size_pt));
        let mut short = String::new();
        for c in words.chars() {
            short.push(c);
            if look.width_mm(&short) + look.width_mm("…") > width {
                short.pop();
                break;
            }
        }
        let mut cut = self.cut.borrow_mut();
        if !cut.iter().any(|w| w == whole) {
            cut.push(whole.to_owned());
        }
        (look, format!("{}…", short.trim_end()))
    }
}

/// The animals to print of, each once; without one there is no paper.
fn wanted(flock: &Flock, animals: &[AnimalId], paper: &'static str) -> Result<Vec<AnimalId>, PaperFailed> {
    let mut all: Vec<AnimalId> = Vec::new();
    for id in animals {
        if flock.animal(*id).is_some() && !all.contains(id) {
            all.push(*id);
        }
    }
    if all.is_empty() {
        return Err(PaperFailed::Nothing { paper, mend: "choose the animal whose pedigree it is" });
    }
    Ok(all)
}

/// What was cut, in full, on pages of its own.
fn in_full(
    title: &str,
    cut: &[String],
    sheet: super::SheetSize,
    turn: super::Turn,
    margins: [f32; 4],
) -> Vec<Page> {
    if cut.is_empty() {
        return Vec::new();
    }
    let head = |_: &mut Page, _: usize| margins[1];
    let mut flow = flow::Flow::new(sheet, turn, margins, &head);
    flow.paragraph(Look::new(Face::SerifStrong, 15.0), &phrase!("{title}: in full", title = &title));
    flow.y += 2.0;
    flow.paragraph(
        Look::new(Face::SansItalic, 9.0).ink(Ink::Grey),
        &said("What had no room on its line, marked … there."),
    );
    flow.y += 2.0;
    for words in cut {
        flow.paragraph(Look::new(Face::Sans, 10.0), words);
        flow.y += 1.2;
    }
    flow.pages
}
