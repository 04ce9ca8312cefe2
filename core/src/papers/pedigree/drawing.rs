//! The pedigree drawing: four to six generations of ancestors, as large as the sheet allows.

use super::super::flow::foot;
use super::super::heads::{MARGINS, body, flock_name};
use super::super::register::FOOT;
use super::super::sheet::{Face, Ink, Look, Page, Paper, SheetSize, Turn};
use super::super::{PaperFailed, Watch};
use super::certificate::legend;
use super::water::{Form, number, paint};
use super::{Source, in_full, wanted};
use crate::flock::{Animal, Flock};
use crate::papers::lamb_cards::capital;
use crate::phrase;
use crate::reckon::kinship::Kindred;
use crate::reckon::pedigree::{Ancestry, Place, depth_words, inbred_words};
use crate::terms::{AnimalId, Day};

/// Lays the ancestors of each animal out over so many generations (4 to 6): up to four on one sheet turned, five on
/// one upright, six on two: the sire's side and the dam's.
///
/// # Errors
/// [`PaperFailed::Nothing`] without an animal; [`PaperFailed::Stopped`] when `watch` says so.
pub fn pedigree_drawing(
    flock: &Flock,
    animals: &[AnimalId],
    generations: u32,
    today: Day,
    sheet: SheetSize,
    watch: Watch<'_>,
) -> Result<Paper, PaperFailed> {
    let all = wanted(flock, animals, "pedigree drawing")?;
    let generations = generations.clamp(4, 6);
    let kindred = Kindred::of(flock);
    let mut pages: Vec<(Page, Turn)> = Vec::new();
    for (i, id) in all.iter().enumerate() {
        if !watch(i, all.len()) {
            return Err(PaperFailed::Stopped);
        }
        let tree = Ancestry::of(flock, *id, generations);
        let source = Source { flock, kindred: &kindred, tree: &tree, cut: std::cell::RefCell::default() };
        let turn = if generations == 4 { Turn::Landscape } else { Turn::Portrait };
        let roots: &[Place] = if generations == 6 { &[Place(2), Place(3)] } else { &[Place::SELF] };
        for root in roots {
            let mut page = one(&source, *id, *root, generations, sheet, turn);
            if all.len() > 1 && *root == roots[0] {
                page.bookmark = flock.animal(*id).map(Animal::title);
            }
            pages.push((page, turn));
        }
        let title = flock.animal(*id).map_or_else(String::new, Animal::title);
        let cut = source.cut.take();
        pages.extend(in_full(&title, &cut, sheet, turn, MARGINS).into_iter().map(|p| (p, turn)));
    }
    let title = match all.as_slice() {
        [one] => phrase!("Ancestors of {}", flock.animal(*one).map_or_else(|| "–".into(), Animal::title)),
        more => phrase!("Ancestors of {} animals", more.len()),
    };
    let (of, words) = (pages.len(), phrase!("Printed {}. From the flock's own records.", today.words()));
    for (i, (page, turn)) in pages.iter_mut().enumerate() {
        foot(page, body(sheet, *turn), FOOT, (i + 1, of), &words);
    }
    let pages = pages.into_iter().map(|(p, _)| p).collect();
    Ok(Paper { title, author: flock.holding().flock.clone(), printed: Some(today), pages })
}

fn one(source: &Source<'_>, id: AnimalId, root: Place, last: u32, sheet: SheetSize, turn: Turn) -> Page {
    let mut page = Page::new(sheet, turn);
    let area = body(sheet, turn);
    let title = source.flock.animal(id).map_or_else(|| "–".into(), Animal::title);
    let side = match root {
        Place(2) => ", the sire's side",
        Place(3) => ", the dam's side",
        _ => "",
    };
    let look = Look::new(Face::SerifStrong, 17.0);
    let whole = phrase!("Ancestors of {title}{side}");
    let half = area.w * 0.72;
    let size = super::super::text::fit_size(look.face, &whole, half, 6.0, 17.0).max(9.0);
    let (look, line) = source.fit(look.size(size), &whole, half, &whole);
    page.text(area.x, area.y + 5.5, look, &line);
    let small = Look::new(Face::Sans, 9.0).ink(Ink::Grey);
    let flock = flock_name(source.flock.holding());
    let (look, line) = source.fit(small, flock, area.w - half - 4.0, flock);
    page.text_right(area.right(), area.y + 5.5, look, &line);
    let words =
        format!("{}. {}", capital(&inbred_words(source.kindred, id)), depth_words(source.kindred, id));
    let mut y = area.y + 10.8;
    for line in small.wrap(&words, area.w) {
        page.text(area.x, y, small, &line);
        y += small.leading_mm();
    }
    let legend = legend(source, area.w);
    let key = small.size(8.2);
    let tall = legend.len() as f32 * (key.leading_mm() + 0.6) + 1.0;
    let mut at = area.bottom() - tall + 2.4;
    for (n, words) in &legend {
        let mut x = area.x;
        if let Some(n) = n {
            number(&mut page, x, at, key, *n);
            x += key.cap_mm() + 2.8;
        }
        page.text(x, at, key.ink(Ink::Black), words);
        at += key.leading_mm() + 0.6;
    }
    let size = if last == 4 { 9.6 } else { 8.4 };
    let wide = if root == Place::SELF { 4.0 } else { 3.0 };
    let form = Form { root, last, size, wide, outside: true };
    let waters = super::super::Area::new(area.x, y, area.w, area.bottom() - tall - y);
    paint(&mut page, source, &form, waters);
    page
}
