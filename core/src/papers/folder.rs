//! The inspector's folder: the chosen registers of a span as one paper, with a front page, contents, bookmarks and
//! page numbers over the whole.

use super::flow::{Flow, foot};
use super::heads::{Heads, MARGINS, body, flock_name};
use super::lamb_cards::capital;
use super::register::{FOOT, foot_words, section};
use super::sheet::{Area, Face, Ink, Look, Page, Paper, SheetSize, Turn};
use super::{PaperFailed, Watch};
use crate::flock::Flock;
use crate::phrase;
use crate::reckon::visit::{Answer, Question, Visit, gathered, visit};
use crate::registers::{Register, RegisterKind, Span};
use crate::terms::Day;
use crate::terms::speech;
use crate::terms::speech::Speech;

/// What goes into the folder.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FolderOptions {
    /// The sheet.
    pub sheet: SheetSize,
    /// The days.
    pub span: Span,
    /// The registers, in this order.
    pub kinds: Vec<RegisterKind>,
    /// With what an inspector asks, the answers, and what is missing.
    pub gaps: bool,
}

impl Default for FolderOptions {
    /// All registers from the beginning, and what is missing.
    fn default() -> Self {
        Self {
            sheet: SheetSize::default(),
            span: Span::default(),
            kinds: RegisterKind::ALL.to_vec(),
            gaps: true,
        }
    }
}

/// A part of the folder, laid out.
struct Part {
    title: String,
    /// What is said of it in the contents.
    said: String,
    pages: Vec<Page>,
    turn: Turn,
}

/// Lays out the folder.
///
/// # Errors
/// [`PaperFailed::Stopped`] when `watch` says so; [`PaperFailed::Nothing`] without a register.
pub fn inspector_folder(
    flock: &Flock,
    today: Day,
    options: &FolderOptions,
    watch: Watch<'_>,
) -> Result<Paper, PaperFailed> {
    let _official = Speech::official();
    if options.kinds.is_empty() {
        return Err(PaperFailed::Nothing {
            paper: "inspector's folder",
            mend: "choose one or more registers",
        });
    }
    let total = options.kinds.len() + 1;
    let mut parts = Vec::with_capacity(total);
    for (i, kind) in options.kinds.iter().enumerate() {
        if !watch(i, total) {
            return Err(PaperFailed::Stopped);
        }
        let made = kind.make(flock, options.span, today);
        let never = |_: usize, _: usize| watch(i, total);
        let (pages, turn) = section(flock.holding(), &made, options.sheet, &never)?;
        let said = if made.rows.is_empty() { phrase!("no entries") } else { said(&made) };
        parts.push(Part { title: made.title, said, pages, turn });
    }
    if !watch(total - 1, total) {
        return Err(PaperFailed::Stopped);
    }
    if options.gaps {
        parts.insert(0, gaps(flock, today, options.sheet));
    }
    // The front page names pages that come after it: its own length is known once it was laid out.
    let long = front(flock, today, options, &parts, 0).len();
    let mut pages = front(flock, today, options, &parts, long);
    let mut turns = vec![Turn::Portrait; pages.len()];
    for part in parts {
        turns.extend(vec![part.turn; part.pages.len()]);
        let mut part_pages = part.pages;
        if let Some(first) = part_pages.first_mut() {
            first.bookmark = Some(part.title);
        }
        pages.append(&mut part_pages);
    }
    let (of, words) = (pages.len(), foot_words(today));
    for (i, (page, turn)) in pages.iter_mut().zip(turns).enumerate() {
        foot(page, body(options.sheet, turn), FOOT, (i + 1, of), &words);
    }
    Ok(Paper {
        title: phrase!("Inspector's folder, {}", options.span.words(today)),
        author: flock.holding().flock.clone(),
        printed: Some(today),
        pages,
    })
}

/// Lines of gaps below a question; of more, how many gaps there are.
const TOLD: usize = 40;

/// What an inspector asks, the book's answers, and what is missing.
fn gaps(flock: &Flock, today: Day, sheet: SheetSize) -> Part {
    const TITLE: &str = "Questions and what is missing";
    let visit = visit(flock, today);
    let days = phrase!("records from {} to {}", visit.since.words(), today.words());
    let heads = Heads::of(flock.holding(), TITLE, &days, sheet, Turn::Portrait);
    let head = |page: &mut Page, number: usize| heads.paint(page, number);
    let mut flow = Flow::new(sheet, Turn::Portrait, MARGINS, &head);
    let plain = Look::new(Face::Sans, 9.5);
    let grey = Look::new(Face::Sans, 8.0).ink(Ink::Grey);
    flow.paragraph(plain, &heads.more);
    flow.paragraph(Look::new(Face::SansStrong, 10.5), &format!("{}.", visit.summary()));
    // What cannot be mended by writing is told first.
    for gap in visit.breaches() {
        let words = format!("{}: {}", speech::said(gap.sort_words()), gap.words);
        indented(&mut flow, Look::new(Face::SansStrong, 9.5), &words);
    }
    flow.paragraph(grey, &visit.by);
    for q in &visit.questions {
        flow.y += 3.2;
        flow.need(16.0);
        flow.paragraph(Look::new(Face::SansStrong, 9.5), &format!("{}. {}", q.number, q.ask));
        flow.paragraph(plain, &format!("{}. {}", answered(q), capital(&q.found)));
        flow.paragraph(grey, &phrase!("Why it is asked: {}", q.source));
        let all = gathered(flock, q);
        for gap in all.iter().take(TOLD) {
            let sort = speech::said(gap.sort_words);
            indented(&mut flow, Look::new(Face::Sans, 8.8), &format!("{sort}: {}", gap.words));
        }
        let more = q.more + all.iter().skip(TOLD).map(|g| g.count).sum::<usize>();
        if more > 0 {
            indented(
                &mut flow,
                Look::new(Face::SansItalic, 8.8),
                &phrase!("and {more} more, told in the program"),
            );
        }
    }
    let said = in_short(&visit);
    Part { title: TITLE.into(), said, pages: flow.pages, turn: Turn::Portrait }
}

/// What is missing in a few words, for a line of the contents.
fn in_short(visit: &Visit) -> String {
    let breaches = visit.breaches().count();
    let missing = visit.missing.saturating_sub(breaches + visit.wrong);
    let parts = [
        (breaches, phrase!("breaches {breaches}")),
        (visit.wrong, phrase!("to mend {}", visit.wrong)),
        (missing, phrase!("missing {missing}")),
        (visit.advised, phrase!("better written {}", visit.advised)),
    ];
    let some: Vec<String> = parts.into_iter().filter(|(n, _)| *n > 0).map(|(_, words)| words).collect();
    if some.is_empty() { visit.summary() } else { some.join(", ") }
}

/// How a question is answered, in words that fit every question.
fn answered(q: &Question) -> String {
    match (q.answer, q.count()) {
        (Answer::Yes, _) => speech::said("Complete").into_owned(),
        (Answer::NothingToAsk, _) => speech::said("Nothing to ask").into_owned(),
        (Answer::No, n) => phrase!("Gaps: {n}"),
    }
}

/// A paragraph set in, with a short rule before it.
fn indented(flow: &mut Flow<'_>, look: Look, words: &str) {
    const BY: f32 = 5.0;
    let lines = look.wrap(words, flow.body().w - BY);
    for (i, line) in lines.iter().enumerate() {
        flow.need(look.leading_mm());
        let (x, y) = (flow.body().x, flow.y + look.leading_mm() * 0.78);
        if i == 0 {
            flow.page().rule(x + 1.0, y - look.cap_mm() / 2.0, 2.4, 0.3, Ink::Rule);
        }
        flow.page().text(x + BY, y, look, line);
        flow.y += look.leading_mm();
    }
    flow.y += 0.3;
}

fn said(register: &Register) -> String {
    if register.kind.is_of_a_day() {
        phrase!("{} on {}", register.counted(), register.on.words())
    } else {
        register.counted()
    }
}

/// The front page: whose records, which days, under which rules, and what is in it on which page.
fn front(flock: &Flock, today: Day, options: &FolderOptions, parts: &[Part], before: usize) -> Vec<Page> {
    let holding = flock.holding();
    let head = |page: &mut Page, number: usize| {
        let area = body(options.sheet, Turn::Portrait);
        if number == 0 {
            page.bookmark = Some(phrase!("Front page and contents"));
            return area.y;
        }
        let small = Look::new(Face::Sans, 8.0).ink(Ink::Grey);
        let number = super::heads::given("holding number", &holding.number);
        page.text(
            area.x,
            area.y + 3.0,
            small,
            &phrase!("Inspector's folder · {} · {number}", &flock_name(holding)),
        );
        area.y + 6.0
    };
    let mut flow = Flow::new(options.sheet, Turn::Portrait, MARGINS, &head);
    flow.y += 14.0;
    flow.paragraph(Look::new(Face::SerifStrong, 28.0), &speech::said("Inspector's folder"));
    flow.y += 1.0;
    flow.paragraph(Look::new(Face::Serif, 15.0), flock_name(holding));
    flow.y += 5.0;
    let (area, y) = (flow.body(), flow.y);
    flow.page().rule(area.x, y, area.w, 0.5, Ink::Accent);
    flow.y += 4.0;
    let rules = match flock.rules() {
        Some(rules) => rules.name().to_string(),
        None => phrase!("no rule set chosen in the book"),
    };
    let organic = if holding.organic { "kept by the rules for organic flocks" } else { "" };
    for (label, value) in [
        ("Days", options.span.words(today)),
        ("Holding number", holding.number.clone()),
        ("Keeper", holding.keeper.clone()),
        ("Address", holding.address.clone()),
        ("Rules", super::text::joined([rules.as_str(), organic], "; ").into_owned()),
        ("Printed", today.long()),
    ] {
        fact(&mut flow, label, if value.trim().is_empty() { "not written down" } else { &value });
    }
    flow.y += 6.0;
    flow.need(40.0);
    flow.paragraph(Look::new(Face::SerifStrong, 15.0), &speech::said("Contents"));
    flow.y += 2.5;
    let mut page = before + 1;
    for part in parts {
        entry(&mut flow, &part.title, &part.said, page);
        page += part.pages.len();
    }
    flow.y += 5.0;
    let small = Look::new(Face::SansItalic, 8.5).ink(Ink::Grey);
    flow.need(20.0);
    flow.paragraph(
        small,
        &speech::said("Made by the keeper's own program from the flock's book; not an official form. Struck-out records are kept and \
         shown struck through; what was changed later is told below its row with the old value. Label, vet and local \
         law decide."),
    );
    flow.pages
}

/// A label and its value in lines beside it.
fn fact(flow: &mut Flow<'_>, label: &str, value: &str) {
    const LABEL: f32 = 38.0;
    let (grey, look) = (Look::new(Face::Sans, 10.0).ink(Ink::Grey), Look::new(Face::Sans, 10.5));
    let lines = look.wrap(value, flow.body().w - LABEL);
    for (i, line) in lines.iter().enumerate() {
        flow.need(look.leading_mm());
        let (x, y) = (flow.body().x, flow.y + look.leading_mm() * 0.78);
        if i == 0 {
            flow.page().text(x, y, grey, label);
        }
        flow.page().text(x + LABEL, y, look, line);
        flow.y += look.leading_mm();
    }
    flow.y += 0.8;
}

/// A line of the contents: title, what is said of it, dots, page.
fn entry(flow: &mut Flow<'_>, title: &str, said: &str, page: usize) {
    let (look, grey) = (Look::new(Face::SansStrong, 10.5), Look::new(Face::Sans, 9.0).ink(Ink::Grey));
    flow.need(look.leading_mm() + 1.2);
    let Area { x, .. } = flow.body();
    let (right, baseline) = (flow.body().right(), flow.y + look.leading_mm() * 0.78);
    let number = page.to_string();
    let paper = flow.page();
    let end = paper.text(x, baseline, look, title);
    let end = paper.text(end + 3.0, baseline, grey, said);
    paper.text_right(right, baseline, look, &number);
    let (from, to) = (end + 2.5, right - look.width_mm(&number) - 2.5);
    if to > from {
        paper.marks.push(super::Mark::Line {
            from: (from, baseline - 0.4),
            to: (to, baseline - 0.4),
            width_mm: 0.25,
            dash: Some((0.3, 1.2)),
            ink: Ink::Rule,
        });
    }
    flow.y += look.leading_mm() + 1.2;
}

#[cfg(test)]
mod tests;
