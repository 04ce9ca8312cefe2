//! The creep sheet: a card for each creep's door, with what to fill, the protein and until when, and two weeks of boxes
//! for a pencil. Two to a sheet of paper, to be cut apart.

use super::flow::foot;
use super::sheet::{Area, Face, Ink, Look, Page, Paper, SheetSize, Turn};
use super::{PaperFailed, Watch, text};
use crate::flock::Flock;
use crate::phrase;
use crate::reckon::creep::{Board, PenCreep, board};
use crate::terms::speech::said;
use crate::terms::{Day, norm};

/// How the creep sheet is printed.
#[derive(Debug, Clone, Default)]
pub struct CreepSheetOptions {
    /// The sheet of paper, upright.
    pub sheet: SheetSize,
    /// These pens alone; none is every pen with a creep open.
    pub pens: Vec<String>,
}

const SIDE: f32 = 14.0;
const TOP: f32 = 11.0;
const BOTTOM: f32 = 14.0;
const DAYS: i64 = 14;

const PEN: Look = Look::new(Face::SerifStrong, 19.0);
const STRONG: Look = Look::new(Face::SansStrong, 10.0);
const PLAIN: Look = Look::new(Face::Sans, 9.0);
const SMALL: Look = Look::new(Face::Sans, 7.8).ink(Ink::Grey);

/// Lays out a card for each creep.
///
/// # Errors
/// [`PaperFailed::Nothing`] where no creep is open; [`PaperFailed::Stopped`] when `watch` says so.
pub fn creep_sheet(
    flock: &Flock,
    today: Day,
    options: &CreepSheetOptions,
    watch: Watch<'_>,
) -> Result<Paper, PaperFailed> {
    let of_day = board(flock, today);
    let asked =
        |c: &&PenCreep| options.pens.is_empty() || options.pens.iter().any(|p| norm(p) == norm(&c.pen));
    let creeps: Vec<&PenCreep> = of_day.creeps.iter().filter(asked).collect();
    if creeps.is_empty() {
        let mend = "no creep is open there; open one on the page of feed, or name other pens";
        return Err(PaperFailed::Nothing { paper: "creep sheet", mend });
    }
    let mut pages: Vec<Page> = Vec::new();
    for (i, c) in creeps.iter().enumerate() {
        if !watch(i, creeps.len()) {
            return Err(PaperFailed::Stopped);
        }
        if i % 2 == 0 {
            pages.push(Page::new(options.sheet, Turn::Portrait));
        }
        let Some(page) = pages.last_mut() else { continue };
        let half = (page.height_mm - TOP - BOTTOM) / 2.0;
        let top = TOP + half * (i % 2) as f32;
        if i % 2 == 1 {
            let cut = top - 1.0;
            page.rule(SIDE, cut, page.width_mm - 2.0 * SIDE, 0.2, Ink::Grey);
            top_word(page, cut);
        }
        let at = Area::new(SIDE, top + 3.0, page.width_mm - 2.0 * SIDE, half - 7.0);
        card(page, at, flock, &of_day, c, today);
    }
    let of = pages.len();
    for (i, page) in pages.iter_mut().enumerate() {
        let body = Area::new(SIDE, TOP, page.width_mm - 2.0 * SIDE, page.height_mm - TOP - BOTTOM);
        let remark = phrase!("Printed {}. Feed analyst, label and vet go before all of it.", today.words());
        foot(page, body, SMALL, (i + 1, of), &remark);
    }
    Ok(Paper {
        title: phrase!("Creep sheets, {}", today.words()),
        author: flock.holding().flock.clone(),
        printed: Some(today),
        pages,
    })
}

fn top_word(page: &mut Page, at: f32) {
    let look = SMALL.size(6.5);
    page.text_right(page.width_mm - SIDE, at + 2.6, look, &said("cut here"));
}

/// Writes lines below one another; gives where the next may stand.
fn lines(page: &mut Page, x: f32, mut y: f32, look: Look, words: &str, width: f32, most: usize) -> f32 {
    for line in look.wrap(words, width).into_iter().take(most) {
        page.text(x, y + look.leading_mm() * 0.78, look, &line);
        y += look.leading_mm();
    }
    y
}

fn card(page: &mut Page, at: Area, flock: &Flock, board: &Board, c: &PenCreep, today: Day) {
    let units = flock.holding().units;
    let mut y = lines(page, at.x, at.y, PEN, &phrase!("Creep: {}", c.pen), at.w * 0.6, 1);
    let days = phrase!("{} to {}", today.short(), today.plus(DAYS - 1).short());
    let base = at.y + PEN.leading_mm() * 0.78;
    page.text_right(at.right(), base, SMALL, &days);
    if let Some(name) = SMALL.wrap(&flock.holding().flock, at.w * 0.38).first() {
        page.text_right(at.right(), base - SMALL.leading_mm(), SMALL, name);
    }
    page.rule(at.x, y + 0.8, at.w, 0.5, Ink::Black);
    y += 2.4;
    // Left: what to fill. Right: protein and until when.
    let (left, gap) = (at.w * 0.5 - 3.0, 6.0);
    let right = at.x + left + gap;
    let wide = at.w - left - gap;
    let top = y;
    let feed = c.feed.as_ref();
    let fill = feed.map_or(phrase!("Fill with: ____________________"), |f| phrase!("Fill with {}", f.name));
    let mut a = lines(page, at.x, top, STRONG, &fill, left, 2);
    let size = c.trough.holds.map(|m| phrase!("The trough holds {} when full. ", m.show(units)));
    let day = c.a_day.map(|m| phrase!("They eat about {} a day.", m.show(units)));
    let much = format!("{}{}", size.unwrap_or_default(), day.unwrap_or_default());
    if !much.is_empty() {
        a = lines(page, at.x, a, PLAIN, &much, left, 2);
    }
    a = lines(page, at.x, a, PLAIN, &format!("{}.", c.lambs_words()), left, 2);
    let protein = match feed {
        Some(f) => phrase!("Protein {}", f.protein_words()),
        None => phrase!("Protein: as the rules ask"),
    };
    let mut b = lines(page, right, top, STRONG, &protein, wide, 2);
    for words in c.step_words() {
        b = lines(page, right, b, PLAIN, &words, wide, 2);
    }
    let least = board.steps.last().map_or(16.0, |s| s.1);
    let rule = match c.steps.may_end {
        Some(end) => phrase!("Weaned: they stay on it until {}.", end.short()),
        None => phrase!(
            "Never empty, fresh each day; not under {least} % before two weeks after weaning. Change feed over some days."
        ),
    };
    b = lines(page, right, b, PLAIN, &rule, wide, 3);
    y = a.max(b) + 2.0;
    grid(page, Area::new(at.x, y, at.w, (at.bottom() - y).max(20.0)), c, today);
}

const COLUMNS: [(&str, f32); 8] = [
    ("Day", 1.5),
    ("Filled with", 1.5),
    ("Level before", 1.3),
    ("Trough", 0.9),
    ("Gate", 0.9),
    ("Lamp", 0.9),
    ("Water", 0.9),
    ("Remarks", 2.6),
];

/// Two weeks of boxes.
fn grid(page: &mut Page, at: Area, c: &PenCreep, today: Day) {
    let whole: f32 = COLUMNS.iter().map(|(_, share)| share).sum();
    let head = 5.0;
    let row = ((at.h - head) / DAYS as f32).min(6.6);
    let bottom = at.y + head + row * DAYS as f32;
    let mut x = at.x;
    let steps = |day: Day| {
        let next =
            |a: Option<crate::reckon::creep::Asked>| a.and_then(|a| a.next).filter(|(.., on)| *on == day);
        next(c.steps.mean).map(|(p, ..)| phrase!("step: {p} % for the mean lamb"))
    };
    for (i, (name, share)) in COLUMNS.iter().enumerate() {
        let wide = at.w * share / whole;
        page.text(x + 1.0, at.y + head - 1.6, SMALL.size(8.0), name);
        page.line((x, at.y), (x, bottom), 0.15, Ink::Grey);
        for n in 0..DAYS {
            let day = today.plus(n);
            let top = at.y + head + row * n as f32;
            let base = top + row * 0.68;
            let ink = SMALL.size(8.0);
            match i {
                0 => drop(page.text(x + 1.0, base, PLAIN.size(8.5), &text::unbroken(&weekday(day)))),
                3..=6 => {
                    let side = (row * 0.5).min(3.2);
                    let left = x + (wide - side) / 2.0;
                    page.outline(Area::new(left, top + (row - side) / 2.0, side, side), 0.5, Ink::Grey, 0.25);
                }
                7 => {
                    if let Some(words) = steps(day) {
                        page.text(x + 1.0, base, ink, &words);
                    }
                }
                _ => {}
            }
        }
        x += wide;
    }
    page.line((at.right(), at.y), (at.right(), bottom), 0.15, Ink::Grey);
    for n in 0..=DAYS {
        let line = if n % 7 == 0 { 0.35 } else { 0.15 };
        page.rule(at.x, at.y + head + row * n as f32, at.w, line, Ink::Grey);
    }
    page.rule(at.x, at.y, at.w, 0.35, Ink::Grey);
}

/// `Thu 26 Nov`.
fn weekday(day: Day) -> String {
    let short: String = day.long().chars().take(3).collect();
    format!("{short} {}", day.short())
}

#[cfg(test)]
mod tests;
