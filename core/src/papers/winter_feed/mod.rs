//! Winter feed on paper: how long each feed lasts, drawn and in rows, what to buy, and on what it rests.

mod drawn;
#[cfg(test)]
mod tests;

use crate::phrase;
use crate::terms::speech::said;
pub use drawn::{WinterRow, winter_chart, winter_rows};

use super::chart::chart;
use super::flow::foot;
use super::heads::{body, flock_name};
use super::sheet::{Face, Ink, Look, Page, Paper, SheetSize, Turn};
use super::timeline::ink::{OnPage, UNIT};
use super::{PaperFailed, Watch};
use crate::flock::Flock;
use crate::reckon::spring::{Ask, NoWinter, Winter, winter};
use crate::terms::Day;

/// Rows of the table at most, or nearly.
const ROWS: usize = 14;

/// Lays out a sheet for each winter asked for; without any, for every feed with a ration that holds or is planned, each
/// to its first day of grass.
///
/// # Errors
/// [`PaperFailed::Nothing`] where no feed has a ration; [`PaperFailed::Stopped`] when `watch` says so.
pub fn winter_feed(
    flock: &Flock,
    asks: &[Ask],
    today: Day,
    sheet: SheetSize,
    watch: Watch<'_>,
) -> Result<Paper, PaperFailed> {
    let usual = if asks.is_empty() { Ask::usual(flock, today) } else { Vec::new() };
    let asks = if asks.is_empty() { &usual } else { asks };
    let mut pages = Vec::new();
    let mut names = Vec::new();
    for (i, ask) in asks.iter().enumerate() {
        let total = 100 * asks.len();
        let mut go_on = |done: u32, of: u32| watch(100 * i + (100 * done / of.max(1)) as usize, total);
        match winter(flock, ask, today, &mut go_on) {
            Ok(w) => {
                let mut page = one(flock, &w, sheet);
                page.bookmark = (asks.len() > 1).then(|| w.feed.name.clone());
                names.push(w.feed.name.clone());
                pages.push(page);
            }
            Err(NoWinter::Stopped) => return Err(PaperFailed::Stopped),
            Err(_) => {}
        }
    }
    let title = match names.as_slice() {
        [] => {
            let mend = "write what each group is given of a feed a day, under Feed, Day by day";
            return Err(PaperFailed::Nothing { paper: "winter feed", mend });
        }
        [one] => phrase!("{one} to spring"),
        _ => "Winter feed".into(),
    };
    let of = pages.len();
    let words = phrase!("Printed {}. All amounts as fed.", today.words());
    let look = Look::new(Face::Sans, 7.5).ink(Ink::Grey);
    for (i, page) in pages.iter_mut().enumerate() {
        foot(page, body(sheet, Turn::Portrait), look, (i + 1, of), &words);
    }
    Ok(Paper { title, author: flock.holding().flock.clone(), printed: Some(today), pages })
}

fn one(flock: &Flock, w: &Winter, sheet: SheetSize) -> Page {
    let mut page = Page::new(sheet, Turn::Portrait);
    let area = body(sheet, Turn::Portrait);
    let small = Look::new(Face::Sans, 9.0).ink(Ink::Grey);
    let plain = Look::new(Face::Sans, 9.5);
    let strong = Look::new(Face::SansStrong, 10.5);
    let head = Look::new(Face::SerifStrong, 17.0);
    let first =
        |look: Look, words: &str, room: f32| look.wrap(words, room).into_iter().next().unwrap_or_default();
    page.text(area.x, area.y + 5.5, head, &first(head, &phrase!("{} to spring", w.feed.name), area.w * 0.66));
    let whose = first(small, flock_name(flock.holding()), area.w * 0.32);
    page.text_right(area.right(), area.y + 5.5, small, &whose);
    let mut y = area.y + 13.0;
    let put = |page: &mut Page, look: Look, words: &str, y: &mut f32| {
        for line in look.wrap(words, area.w) {
            page.text(area.x, *y, look, &line);
            *y += look.leading_mm();
        }
    };
    for words in [w.lasts(), w.at_grass(), w.buy()] {
        put(&mut page, strong, &format!("{words}."), &mut y);
    }
    for c in &w.cautions {
        put(&mut page, plain, &phrase!("Mind: {c}."), &mut y);
    }
    y += 1.0;
    let tall = 78.0;
    let mut on = OnPage { page: &mut page, from: (area.x, y) };
    chart(&mut on, [0.0, 0.0, area.w / UNIT, tall / UNIT], &winter_chart(w, None), None);
    y += tall + 6.0;
    table(&mut page, w, area.x, area.w, &mut y);
    y += 3.0;
    page.text(area.x, y, Look::new(Face::SansStrong, 9.0), &said("What it rests on"));
    y += 4.2;
    let said = Look::new(Face::Sans, 8.0).ink(Ink::Grey);
    for r in &w.rests {
        for line in said.wrap(&format!("{r}."), area.w) {
            // What has no room is on the screen.
            if y < area.bottom() - 5.0 {
                page.text(area.x, y, said, &line);
            }
            y += said.leading_mm();
        }
    }
    page
}

fn table(page: &mut Page, w: &Winter, x: f32, width: f32, y: &mut f32) {
    let look = Look::new(Face::Sans, 9.0);
    let strong = Look::new(Face::SansStrong, 8.5);
    let right = [0.58, 0.72, 0.86, 1.0].map(|s| x + width * s);
    let heads = ["Needed a day", "Left: low", "Left: middle", "Left: high"];
    page.text(x, *y, strong, &said("Evening of"));
    page.text(x + width * 0.2, *y, strong, &said("Who eats, on the mean"));
    let mut tall = 0;
    for (head, at) in heads.iter().zip(right) {
        let lines = strong.wrap(head, width * 0.13);
        tall = tall.max(lines.len());
        for (i, line) in lines.iter().enumerate() {
            page.text_right(at, *y + i as f32 * strong.leading_mm(), strong, line);
        }
    }
    *y += (tall.max(1) - 1) as f32 * strong.leading_mm() + 1.6;
    page.rule(x, *y, width, 0.3, Ink::Black);
    *y += 4.2;
    for r in winter_rows(w, ROWS) {
        page.text(x, *y, look, &r.on.words());
        let who = look.wrap(&r.heads, width * 0.26).into_iter().next().unwrap_or_default();
        page.text(x + width * 0.2, *y, look, &who);
        let [low, middle, high] = &r.left;
        for (words, at) in [&r.need, low, middle, high].into_iter().zip(right) {
            page.text_right(at, *y, look, words);
        }
        *y += 1.5;
        page.rule(x, *y, width, 0.1, Ink::Pale);
        *y += 3.5;
    }
    let small = Look::new(Face::Sans, 8.0).ink(Ink::Grey);
    page.text(x, *y - 0.5, small, &said("Low: one winter in ten leaves less. High: one in ten leaves more."));
    *y += 4.0;
}
