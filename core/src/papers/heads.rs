//! The head of a paper that an inspector reads: title and days, and whose flock it is; a small one on the pages after.

use super::lamb_cards::capital;
use super::sheet::{Area, Face, Ink, Look, Page, SheetSize, Turn};
use crate::flock::Holding;
use crate::phrase;
use crate::terms::Text;
use crate::terms::speech::said;

/// Left, top, right and bottom margins in millimetres.
pub(super) const MARGINS: [f32; 4] = [11.0, 11.0, 11.0, 15.0];

/// The part of a sheet between the margins.
pub(super) fn body(sheet: SheetSize, turn: Turn) -> Area {
    let (w, h) = sheet.size_mm(turn);
    let [left, top, right, bottom] = MARGINS;
    Area::new(0.0, 0.0, w, h).inside(left, top, right, bottom)
}

/// The flock's name, or that it has none.
pub(super) fn flock_name(holding: &Holding) -> &str {
    if holding.flock.trim().is_empty() { "Flock without a name" } else { &holding.flock }
}

/// A label and its value, or that it was not written down.
pub(super) fn given(label: &'static str, value: &str) -> String {
    let value = if value.trim().is_empty() { said("not written down") } else { value.into() };
    format!("{} {value}", said(label))
}

/// The large head of the first page and the small one of the others, broken into lines beforehand.
pub(super) struct Heads {
    title: Vec<(Look, String)>,
    holding: Vec<(Look, String)>,
    running: Vec<(Look, String)>,
    body: Area,
    /// Where the holding's lines begin.
    holding_x: f32,
    /// What of an endless name or address the head has no room for.
    pub(super) more: String,
}

impl Heads {
    /// A head for a paper of this title and these days.
    pub(super) fn of(
        holding: &Holding,
        title: impl Into<Text>,
        days: &str,
        sheet: SheetSize,
        turn: Turn,
    ) -> Self {
        let body = body(sheet, turn);
        let title = title.into();
        let title: &str = &title.said(said);
        let half = body.w * 0.48;
        let set = |look: Look, words: &str, width: f32| -> Vec<(Look, String)> {
            look.wrap(words, width).into_iter().map(|line| (look, line)).collect()
        };
        let flock = flock_name(holding);
        let mut lines_of_title = set(Look::new(Face::SerifStrong, 21.0), title, half);
        lines_of_title.extend(set(Look::new(Face::Sans, 11.0), &capital(days), half));
        let plain = Look::new(Face::Sans, 9.0);
        let mut lines = set(Look::new(Face::SansStrong, 11.0), flock, half);
        lines.extend(set(plain, &given("Holding number", &holding.number), half));
        lines.extend(set(plain, &given("Keeper", &holding.keeper), half));
        if !holding.address.trim().is_empty() {
            lines.extend(set(plain, &holding.address, half));
        }
        let number = given("holding number", &holding.number);
        let small = Look::new(Face::Sans, 8.0).ink(Ink::Grey);
        let mut running = set(small, &format!("{title}, {days} · {flock} · {number}"), body.w);
        if running.len() > 2 {
            // Names in full stand on the first page.
            running = set(small, &format!("{title}, {days}"), body.w);
        }
        // A head may not eat the page: lines beyond the twelfth follow below it.
        let more = lines
            .split_off(lines.len().min(12))
            .into_iter()
            .map(|(_, line)| line)
            .collect::<Vec<_>>()
            .join(" ");
        Heads { title: lines_of_title, holding: lines, running, body, holding_x: body.right() - half, more }
    }

    /// Paints the head of a page (counted from 0); answers where the body begins.
    pub(super) fn paint(&self, page: &mut Page, number: usize) -> f32 {
        let column = |page: &mut Page, x: f32, lines: &[(Look, String)]| {
            let mut y = self.body.y;
            for (look, line) in lines {
                page.text(x, y + look.leading_mm() * 0.78, *look, line);
                y += look.leading_mm();
            }
            y
        };
        if number > 0 {
            return column(page, self.body.x, &self.running) + 2.0;
        }
        let left = column(page, self.body.x, &self.title);
        let right = column(page, self.holding_x, &self.holding);
        let y = left.max(right) + 2.0;
        page.rule(self.body.x, y, self.body.w, 0.5, Ink::Accent);
        y + 3.0
    }
}

/// The signs that came out as □, in a sentence; empty when every letter is printed as it is.
pub(super) fn odd_letters(pages: &[Page]) -> String {
    let odd: std::collections::BTreeSet<char> =
        pages.iter().flat_map(|page| page.not_printable.iter().copied()).collect();
    if odd.is_empty() {
        return String::new();
    }
    let all: Vec<String> = odd.into_iter().map(|c| format!("U+{:04X}", u32::from(c))).collect();
    phrase!("□ stands for letters this program cannot print ({}).", all.join(", "))
}

/// Lines to sign on, side by side: their widths as shares, and what stands below each.
pub(super) fn sign_lines(page: &mut Page, body: Area, y: f32, lines: &[(f32, &str)]) {
    let label = Look::new(Face::Sans, 8.5).ink(Ink::Grey);
    let gap = 8.0;
    let all: f32 = lines.iter().map(|(share, _)| share).sum();
    let room = body.w - gap * lines.len().saturating_sub(1) as f32;
    let mut x = body.x;
    for (share, words) in lines {
        let long = room * share / all;
        page.rule(x, y, long, 0.2, Ink::Black);
        page.text(x, y + 4.0, label, words);
        x += long + gap;
    }
}
