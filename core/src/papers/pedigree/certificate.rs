//! The pedigree certificate: the keeper's own statement of an animal and four generations behind it.

use super::super::heads::{odd_letters, sign_lines};
use super::super::qr::Code;
use super::super::sheet::{Area, Face, Ink, Look, Page, Paper, SheetSize, Turn};
use super::super::{PaperFailed, Watch, text};
use super::particulars::{called, code, facts, tests};
use super::water::{Form, number, paint};
use super::{CERTIFICATE, Source, in_full, wanted};
use crate::flock::{Animal, AnimalFile, Flock};
use crate::papers::lamb_cards::capital;
use crate::phrase;
use crate::reckon::kinship::Kindred;
use crate::reckon::pedigree::{Ancestry, depth_words, inbred_words};
use crate::terms::speech::said;
use crate::terms::{AnimalId, Day};

/// Side of the code.
const CODE: f32 = 27.0;
/// Left, top, right and bottom margins.
const MARGINS: [f32; 4] = [13.0, 12.0, 13.0, 13.0];
const LABEL: Look = Look::new(Face::Sans, 9.0).ink(Ink::Grey);
const VALUE: Look = Look::new(Face::Sans, 9.8);
const HEAD: Look = Look::new(Face::Sans, 8.4).ink(Ink::Grey);

/// Lays out a certificate for each of the animals: a page each, and a second where words had no room.
///
/// # Errors
/// [`PaperFailed::Nothing`] without an animal; [`PaperFailed::Stopped`] when `watch` says so.
pub fn pedigree_certificate(
    flock: &Flock,
    animals: &[AnimalId],
    today: Day,
    sheet: SheetSize,
    watch: Watch<'_>,
) -> Result<Paper, PaperFailed> {
    let all = wanted(flock, animals, "pedigree certificate")?;
    let kindred = Kindred::of(flock);
    let mut pages = Vec::new();
    for (i, id) in all.iter().enumerate() {
        if !watch(i, all.len()) {
            return Err(PaperFailed::Stopped);
        }
        if let Some(file) = flock.file(*id) {
            pages.append(&mut one(flock, &kindred, file, today, sheet, all.len() > 1));
        }
    }
    let title = match all.as_slice() {
        [one] => {
            phrase!("Pedigree of {}", flock.animal(*one).map_or_else(|| "–".into(), Animal::title))
        }
        more => phrase!("Pedigrees of {} animals", more.len()),
    };
    Ok(Paper { title, author: flock.holding().flock.clone(), printed: Some(today), pages })
}

fn one(
    flock: &Flock,
    kindred: &Kindred,
    file: &AnimalFile,
    today: Day,
    sheet: SheetSize,
    marked: bool,
) -> Vec<Page> {
    let tree = Ancestry::of(flock, file.animal.id, CERTIFICATE);
    let source = Source { flock, kindred, tree: &tree, cut: std::cell::RefCell::default() };
    let mut page = Page::new(sheet, Turn::Portrait);
    let [left, top, right, bottom] = MARGINS;
    let area = Area::new(0.0, 0.0, page.width_mm, page.height_mm).inside(left, top, right, bottom);
    frame(&mut page);
    let printed = printed(flock, today);
    let below_head = head(&mut page, &source, file, area, &printed);
    let below_tests = tested(&mut page, &source, file, area, below_head);
    let top_of_foot = foot(&mut page, &source, area, &printed);
    let waters = Area::new(area.x, below_tests, area.w, top_of_foot - below_tests);
    blood(&mut page, &source, waters);
    let mut pages = vec![page];
    let cut = source.cut.take();
    pages.append(&mut in_full(&file.animal.title(), &cut, sheet, Turn::Portrait, [18.0, 16.0, 18.0, 16.0]));
    let odd = odd_letters(&pages);
    if !odd.is_empty()
        && let Some(first) = pages.first_mut()
    {
        first.text(area.x + 4.0, area.bottom() + 5.2, HEAD.size(7.4), &odd);
    }
    if marked && let Some(first) = pages.first_mut() {
        first.bookmark = Some(file.animal.title());
    }
    pages
}

/// One quiet line round the page.
fn frame(page: &mut Page) {
    let round = Area::new(0.0, 0.0, page.width_mm, page.height_mm).inside(7.5, 7.0, 7.5, 7.0);
    page.outline(round, 2.5, Ink::Accent, 0.45);
}

fn printed(flock: &Flock, today: Day) -> String {
    let holding = flock.holding();
    let keeper = holding.keeper.trim();
    let by = if keeper.is_empty() { holding.flock.trim() } else { keeper };
    let by = if by.is_empty() { String::new() } else { phrase!(" by {by}", by = &by) };
    phrase!("Printed {}{by}", today.words())
}

/// Whose pedigree it is, its particulars, and the code; answers where the next thing may stand.
fn head(page: &mut Page, source: &Source<'_>, file: &AnimalFile, area: Area, printed: &str) -> f32 {
    let a = &file.animal;
    let words = code(source, file, printed);
    let code = Code::of(&words);
    let side = if code.is_some() { CODE + 4.0 } else { 0.0 };
    let room = area.w - side;
    let mut y = area.y + 6.0;
    page.text(area.x, y, Look::new(Face::Serif, 13.0).ink(Ink::Grey), &said("Pedigree"));
    y += 9.0;
    let called = called(a);
    let called = called.as_str();
    let size = text::fit_size(Face::SerifStrong, called, room, 9.0, 27.0);
    let title = Look::new(Face::SerifStrong, size.max(13.0));
    for line in title.wrap(called, room).into_iter().take(2) {
        page.text(area.x, y, title, &line);
        y += title.leading_mm();
    }
    y -= title.leading_mm() - 5.6;
    if let Some(code) = code {
        let quiet = code.quiet_mm(CODE);
        code.paint(page, area.right() - CODE - quiet * 0.4, area.y + 3.0, CODE);
    }
    // Two columns of labels and values; the second begins under the code.
    let facts = facts(source.flock, file);
    let half = (area.w - 6.0) / 2.0;
    let label = 27.0;
    let mut ends = [y, y];
    for (i, (name, value)) in facts.iter().enumerate() {
        let column = usize::from(i >= 4);
        let width = if column == 1 && ends[1] < area.y + CODE + 6.0 { half - side } else { half };
        let x = area.x + column as f32 * (half + 6.0);
        let lines = VALUE.wrap(value, (width - label).max(27.0));
        page.text(x, ends[column], LABEL, name);
        let cut = lines.len() > 3;
        for (n, line) in lines.iter().take(3).enumerate() {
            let more = if cut && n == 2 { "…" } else { "" };
            page.text(x + label, ends[column], VALUE, &format!("{line}{more}"));
            ends[column] += VALUE.leading_mm();
        }
        if cut {
            source.cut.borrow_mut().push(format!("{name}: {value}"));
        }
        ends[column] += 0.9;
    }
    ends[0].max(ends[1]).max(area.y + CODE + 8.0)
}

/// Inbreeding with what it rests on, and the tests.
fn tested(page: &mut Page, source: &Source<'_>, file: &AnimalFile, area: Area, from: f32) -> f32 {
    let strong = Look::new(Face::SansStrong, 9.8);
    let mut y = from + 2.0;
    page.rule(area.x, y - 4.7, area.w, 0.2, Ink::Pale);
    let id = file.animal.id;
    let inbred = capital(&inbred_words(source.kindred, id));
    page.text(area.x, y, LABEL, &said("Inbreeding"));
    let mut x = page.text(area.x + 27.0, y, strong, &format!("{inbred}. "));
    for line in VALUE.size(9.2).wrap(&depth_words(source.kindred, id), area.right() - x) {
        page.text(x, y, VALUE.size(9.2), &line);
        y += VALUE.leading_mm();
        // Only the first line stands behind the figure.
        x = x.min(area.right());
    }
    if source.kindred.circle().is_none() && depth_words(source.kindred, id).is_empty() {
        y += VALUE.leading_mm();
    }
    y += 0.8;
    page.text(area.x, y, LABEL, &said("Tests"));
    let all = tests(source.flock, file);
    const MOST: usize = 4;
    if all.is_empty() {
        page.text(area.x + 27.0, y, VALUE, &said("none is written down"));
        y += VALUE.leading_mm();
    }
    let (shown, more) = if all.len() > MOST { (MOST - 1, all.len() - MOST + 1) } else { (all.len(), 0) };
    for words in all.iter().take(shown) {
        let (look, line) = source.fit(VALUE, words, area.w - 27.0, &phrase!("Test: {words}"));
        page.text(area.x + 27.0, y, look, &line);
        y += VALUE.leading_mm();
    }
    if more > 0 {
        page.text(area.x + 27.0, y, VALUE, &phrase!("and {more} more, in full on the page after this"));
        y += VALUE.leading_mm();
        source.cut.borrow_mut().extend(all.iter().skip(shown).map(|w| phrase!("Test: {w}")));
    }
    page.rule(area.x, y - 2.2, area.w, 0.2, Ink::Pale);
    y
}

/// The ancestors, and what the numbers in rings mean.
fn blood(page: &mut Page, source: &Source<'_>, area: Area) {
    let form = Form {
        root: crate::reckon::pedigree::Place::SELF,
        last: CERTIFICATE,
        size: 9.2,
        wide: 3.2,
        outside: false,
    };
    let legend = legend(source, area.w);
    let small = HEAD.size(8.2);
    let tall = legend.len() as f32 * (small.leading_mm() + 0.6);
    let mut y = area.bottom() - tall + 2.0;
    for line in &legend {
        let mut x = area.x;
        if let Some(n) = line.0 {
            number(page, x, y, small, n);
            x += small.cap_mm() + 2.8;
        }
        page.text(x, y, small.ink(Ink::Black), &line.1);
        y += small.leading_mm() + 0.6;
    }
    let waters = area.inside(0.0, 0.5, 0.0, tall + 1.0);
    paint(page, source, &form, waters);
    if source.tree.known() == 0 {
        let look = Look::new(Face::SansItalic, 10.0).ink(Ink::Grey);
        page.text(
            waters.x,
            waters.y + waters.h / 2.0,
            look,
            &said("No ancestor is written down in the book."),
        );
    }
}

/// Who stands in several places, and where; what has no room is only told on the page after.
pub(super) fn legend(source: &Source<'_>, width: f32) -> Vec<(Option<usize>, String)> {
    const MOST: usize = 3;
    let look = HEAD.size(8.2);
    let words = |r: &crate::reckon::pedigree::Repeat| {
        let places: Vec<String> = r.places.iter().map(|p| p.words()).collect();
        let title = source.flock.animal(r.animal).map_or_else(|| "–".into(), Animal::title);
        phrase!("{title} stands in {} places: {}", r.places.len(), places.join(", "))
    };
    let all = source.tree.repeats();
    let mut lines: Vec<(Option<usize>, String)> = all
        .iter()
        .take(if all.len() > MOST { MOST - 1 } else { MOST })
        .map(|r| {
            let whole = words(r);
            let (_, line) = source.fit(look, &whole, width - 6.0, &whole);
            (Some(r.number), line)
        })
        .collect();
    let rest = all.len() - lines.len();
    if rest > 0 {
        lines.push((None, phrase!("{rest} more ancestors stand in several places, each with its number")));
    }
    lines
}

/// The statement, the lines to sign on, and who printed it; answers where it begins.
fn foot(page: &mut Page, source: &Source<'_>, area: Area, printed: &str) -> f32 {
    let look = Look::new(Face::SansItalic, 8.4).ink(Ink::Grey);
    let registry = source.flock.holding().registry.trim();
    let of = if registry.is_empty() { phrase!("a breed registry") } else { registry.to_owned() };
    let words = phrase!(
        "{printed} from the book of this flock. It is the flock's own record of what is known, and not a certificate \
         of {of}; an ancestor without a name is not known to this flock.",
        printed = &printed
    );
    let lines = look.wrap(&words, area.w);
    let signs = area.bottom() - 5.0;
    sign_lines(page, area, signs, &[(3.0, "Signature of the keeper"), (2.5, "Name"), (1.4, "Date")]);
    let mut y = signs - 12.0 - (lines.len() as f32 - 1.0) * look.leading_mm();
    let begins = y - 6.0;
    page.rule(area.x, y - 4.2, area.w, 0.2, Ink::Pale);
    for line in lines {
        page.text(area.x, y, look, &line);
        y += look.leading_mm();
    }
    begins
}
