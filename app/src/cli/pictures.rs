//! Pages of a paper as pictures.

use super::out::{self, Out};
use super::{Done, Print, Trouble};
use hirsel_core::papers::Paper;
use hirsel_core::papers::picture::{Drawing, Form, PAGE_DPI, numbered};
use std::path::PathBuf;

/// Writes every page; of several each has its number behind the name.
pub fn write(out: &mut Out, paper: &Paper, form: Form, asked: &Print) -> Done {
    let n = paper.pages.len();
    let all: Vec<PathBuf> = (1..=n).map(|page| numbered(&asked.output, page, n)).collect();
    for to in &all {
        super::not_the_book(&asked.book, to)?;
    }
    for (page, to) in paper.pages.iter().zip(&all) {
        let drawing = Drawing::of_page(page, &paper.title);
        let bytes = form.write(&drawing, PAGE_DPI).map_err(|e| Trouble::World(e.to_string()))?;
        out::save(out, to, &bytes)?;
    }
    match all.as_slice() {
        [] => Err(Trouble::Refused("the paper has no page".into())),
        [one] => out.line(&format!("Wrote 1 page to {}", one.display())),
        [first, .., last] => {
            out.line(&format!("Wrote {n} pages to {} to {}", first.display(), last.display()))
        }
    }
}
