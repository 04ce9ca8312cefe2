//! The growth chart on paper: a page for each animal, with what the chart says in words.

mod drawn;
#[cfg(test)]
mod tests;

use crate::phrase;
pub use drawn::{Drawn, drawn_for, drawn_of, reach_words};

use super::chart::chart;
use super::flow::foot;
use super::heads::{body, flock_name};
use super::sheet::{Face, Ink, Look, Page, Paper, SheetSize, Turn};
use super::timeline::ink::{OnPage, UNIT};
use super::{PaperFailed, Watch};
use crate::flock::{Animal, AnimalFile, Flock};
use crate::reckon::curves::MODELS;
use crate::terms::{AnimalId, Day};

/// Lays out the growth chart of each of these animals, one to a sheet that lies across.
///
/// # Errors
/// [`PaperFailed::Nothing`] without an animal; [`PaperFailed::Stopped`] when `watch` says so.
pub fn growth_chart(
    flock: &Flock,
    animals: &[AnimalId],
    today: Day,
    sheet: SheetSize,
    watch: Watch<'_>,
) -> Result<Paper, PaperFailed> {
    let files: Vec<&AnimalFile> = animals.iter().filter_map(|id| flock.file(*id)).collect();
    if files.is_empty() {
        return Err(PaperFailed::Nothing { paper: "growth chart", mend: "choose an animal" });
    }
    let mut pages = Vec::new();
    for (i, file) in files.iter().enumerate() {
        if !watch(i, files.len()) {
            return Err(PaperFailed::Stopped);
        }
        let mut page = one(flock, file, today, sheet);
        if files.len() > 1 {
            page.bookmark = Some(file.animal.title());
        }
        pages.push(page);
    }
    let of = pages.len();
    let words = phrase!("Printed {}. From the flock's own weighings.", today.words());
    let look = Look::new(Face::Sans, 7.5).ink(Ink::Grey);
    for (i, page) in pages.iter_mut().enumerate() {
        foot(page, body(sheet, Turn::Landscape), look, (i + 1, of), &words);
    }
    let title = match files.as_slice() {
        [one] => phrase!("Growth of {}", one.animal.title()),
        more => phrase!("Growth of {} animals", more.len()),
    };
    Ok(Paper { title, author: flock.holding().flock.clone(), printed: Some(today), pages })
}

fn one(flock: &Flock, file: &AnimalFile, today: Day, sheet: SheetSize) -> Page {
    let mut page = Page::new(sheet, Turn::Landscape);
    let area = body(sheet, Turn::Landscape);
    let drawn = drawn_for(flock, file, today, &MODELS);
    let half = area.w * 0.7;
    let title = phrase!("Growth of {}", file.animal.title());
    let head = Look::new(Face::SerifStrong, 17.0);
    let fit =
        |look: Look, words: &str, room: f32| look.wrap(words, room).into_iter().next().unwrap_or_default();
    page.text(area.x, area.y + 5.5, head, &fit(head, &title, half));
    let small = Look::new(Face::Sans, 9.0).ink(Ink::Grey);
    page.text_right(
        area.right(),
        area.y + 5.5,
        small,
        &fit(small, flock_name(flock.holding()), area.w - half - 4.0),
    );
    page.text(area.x, area.y + 10.8, small, &fit(small, &whose(&file.animal, today), area.w));
    // The words stand at the foot, the chart takes the room between.
    let plain = Look::new(Face::Sans, 9.5);
    let strong = Look::new(Face::SansStrong, 9.5);
    let names = 34.0;
    let mut lines: Vec<(&str, String)> = Vec::new();
    let missing = drawn.missing.iter().map(|m| ("", m.clone()));
    for (label, words) in missing.chain(drawn.facts.iter().cloned()) {
        for (i, line) in plain.wrap(&words, area.w - names).into_iter().enumerate() {
            lines.push((if i == 0 { label } else { "" }, line));
        }
    }
    let leading = plain.leading_mm();
    let tall = lines.len() as f32 * leading + 3.0;
    let top = area.y + 15.0;
    let room = (area.bottom() - tall - top).max(60.0);
    let mut on = OnPage { page: &mut page, from: (area.x, top) };
    chart(&mut on, [0.0, 0.0, area.w / UNIT, room / UNIT], &drawn.chart, None);
    let mut y = top + room + 4.0;
    for (label, words) in &lines {
        page.text(area.x, y, strong, label);
        page.text(area.x + names, y, plain, words);
        y += leading;
    }
    page
}

/// `ewe lamb, born 3 Apr 2026, in Bank field`.
fn whose(a: &Animal, today: Day) -> String {
    let mut words = if a.is_lamb(today) { a.sex.lamb_words() } else { a.sex.words() }.to_string();
    if a.born.day().is_some() {
        words += &phrase!(", born {}", a.born.words());
    }
    words.extend(a.pen.iter().map(|p| phrase!(", in {p}")));
    words
}
