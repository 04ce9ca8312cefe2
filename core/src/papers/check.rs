//! What every paper's tests ask of its pages.

use super::sheet::{Mark, Page, Paper};
use super::{text, to_pdf};
use crate::phrase;

/// Marks that reach over the page's edge less `margin_mm`, as readable sentences. Cut marks and the like are let
/// through by `margin_mm` = 0.
pub fn outside(page: &Page, margin_mm: f32) -> Vec<String> {
    let mut faults = Vec::new();
    let mut ask = |what: String, x: f32, y: f32, right: f32, bottom: f32, margin: f32| {
        let m = margin - 0.05;
        if x < m || y < m || right > page.width_mm - m || bottom > page.height_mm - m {
            faults.push(phrase!("{what} at {x:.1}, {y:.1} to {right:.1}, {bottom:.1}"));
        }
    };
    for mark in &page.marks {
        match mark {
            Mark::Text { x_mm, baseline_mm, size_pt, face, text: words, .. } => {
                let right = x_mm + text::width_mm(*face, *size_pt, words);
                let top = baseline_mm - text::cap_height_mm(*face, *size_pt);
                ask(format!("'{words}'"), *x_mm, top, right, *baseline_mm, margin_mm);
            }
            Mark::Line { from, to, .. } => {
                ask(
                    "a line".into(),
                    from.0.min(to.0),
                    from.1.min(to.1),
                    from.0.max(to.0),
                    from.1.max(to.1),
                    0.0,
                );
            }
            Mark::Box { x_mm, y_mm, w_mm, h_mm, .. } => {
                ask("a box".into(), *x_mm, *y_mm, x_mm + w_mm, y_mm + h_mm, 0.0);
            }
            Mark::Tiles { tiles, .. } => {
                for [x, y, w, h] in tiles {
                    ask("a tile".into(), *x, *y, x + w, y + h, margin_mm);
                }
            }
        }
    }
    faults
}

/// Fails if any text of the paper is outside the margins.
pub fn assert_inside(paper: &Paper, margin_mm: f32) {
    for (i, page) in paper.pages.iter().enumerate() {
        let faults = outside(page, margin_mm);
        assert!(faults.is_empty(), "page {}: {faults:?}", i + 1);
    }
}

/// All letters of the paper without blanks, in painting order.
pub fn letters(paper: &Paper) -> String {
    bare(&paper.words().collect::<String>())
}

/// Without blanks.
pub fn bare(words: &str) -> String {
    words.chars().filter(|c| !c.is_whitespace()).collect()
}

/// Fails if two writings of the paper differ in a byte.
pub fn assert_same_bytes(paper: &Paper) {
    let (one, two) = (to_pdf(paper).unwrap(), to_pdf(paper).unwrap());
    assert!(one.starts_with(b"%PDF-"));
    assert!(one == two, "two writings of '{}' differ", paper.title);
}

/// With `HIRSEL_PICTURES=FOLDER` set, leaves the paper there as PDF, to be looked at.
pub fn picture(name: &str, paper: &Paper) {
    if let Some(folder) = std::env::var_os("HIRSEL_PICTURES") {
        let path = std::path::Path::new(&folder).join(format!("{name}.pdf"));
        std::fs::write(path, to_pdf(paper).unwrap()).unwrap();
    }
}
