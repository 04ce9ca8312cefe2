//! The timeline on paper: the season of many animals row by row, or one animal's life on one page.

pub mod drawing;
pub mod glyph;
pub(super) mod ink;
pub mod life;
#[cfg(test)]
mod tests;

use super::flow::Flow;
use super::sheet::{Face, Ink, Look, Page, Paper, SheetSize, Turn};
use super::{PaperFailed, Watch};
use crate::flock::{AnimalFile, Flock};
use crate::phrase;
use crate::reckon::due::{Board, Ground};
use crate::reckon::season::{self, Filter, JobMark, Kind, Kinds, Line, Picked, Roll, Row, What};
use crate::terms::speech::said;
use crate::terms::{AnimalId, Day, Status, counted};
use drawing::{AXIS, Canvas, ROW, SMALL, Scale, Side, Tone, Type, View};
use ink::{OnPage, UNIT};
use life::Whose;

/// Left, top, right and bottom margins in millimetres.
const MARGINS: [f32; 4] = [13.0, 12.0, 13.0, 14.0];
/// Room for tags and names before the days, in units.
const NAMES: f32 = 170.0;

/// What the paper shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct TimelineOptions {
    /// The sheet; it lies across.
    pub sheet: SheetSize,
    /// First day: none is some weeks before today, or the beginning of a life.
    pub from: Option<Day>,
    /// Last day: none is some weeks ahead.
    pub to: Option<Day>,
    /// What kinds of event.
    pub kinds: Kinds,
}

/// Lays out the timeline of these animals, or of all that have a row in the season. A single one has its life on one
/// page.
///
/// # Errors
/// [`PaperFailed::Stopped`] when `watch` says so; [`PaperFailed::Nothing`] without an animal.
pub fn timeline(
    flock: &Flock,
    animals: Option<&[AnimalId]>,
    today: Day,
    options: &TimelineOptions,
    watch: Watch<'_>,
) -> Result<Paper, PaperFailed> {
    let nothing =
        || PaperFailed::Nothing { paper: "timeline", mend: "choose an animal, or a pen that holds one" };
    let (title, pages) = match animals {
        Some([one]) => {
            let file = flock.file(*one).ok_or_else(nothing)?;
            one_life(flock, file, today, options)
        }
        _ => {
            let mut roll = Roll::of(flock, today);
            let start = options.from.unwrap_or(season::usual_span(today).0);
            // Of those that left before the days shown there is nothing to draw, unless they were asked for.
            let drawn = |id: &AnimalId| {
                let a = flock.animal(*id);
                a.is_some_and(|a| a.status == Status::Present || a.status_on.is_none_or(|on| on >= start))
            };
            let those: Vec<AnimalId> = match animals {
                Some(these) => these.to_vec(),
                None => roll.animals().filter(drawn).collect(),
            };
            roll = roll.only(&those);
            let board = Board::new(flock, today);
            let picked = roll.pick(flock, Some(&board), today, &Filter::default());
            if picked.animals == 0 {
                return Err(nothing());
            }
            season(flock, &roll, &picked, board.ground(), options, watch)?
        }
    };
    Ok(Paper { title, author: flock.holding().flock.clone(), printed: Some(today), pages })
}

fn finish(flow: Flow<'_>, today: Day) -> Vec<Page> {
    let foot = phrase!("Printed {}. Label, vet and local law decide.", today.words());
    flow.finish(Look::new(Face::Sans, 7.5).ink(Ink::Grey), &foot)
}

/// Title, and the words under it, on the first page; a short title on the others.
fn head(page: &mut Page, number: usize, title: &str, under: &str) -> f32 {
    let (x, y) = (MARGINS[0], MARGINS[1]);
    if number > 0 {
        page.text(x, y + 3.0, Look::new(Face::SansStrong, 9.0), title);
        return y + 5.5;
    }
    page.text(x, y + 6.0, Look::new(Face::SerifStrong, 18.0), title);
    page.text(x, y + 11.5, Look::new(Face::Sans, 9.5).ink(Ink::Grey), under);
    y + 14.0
}

/// The marks and their words; gives how high they are in units.
fn legend(on: &mut dyn Canvas, kinds: Kinds, wide: f32) -> f32 {
    let look = Type::new(SMALL, Tone::Ink);
    let (mut x, mut y) = (0.0, 10.0);
    let states = glyph::JOB_MARKS.iter().filter(|_| kinds.has(Kind::Job));
    let kinds = Kind::ALL.into_iter().filter(|k| kinds.has(*k));
    let all = kinds.map(|k| (Err(k), k.words())).chain(states.map(|(s, w)| (Ok(*s), *w)));
    for (what, words) in all.filter(|(w, _): &(Result<JobMark, Kind>, _)| *w != Err(Kind::Job)) {
        let take = 34.0 + on.width(look, words) + 14.0;
        if x + take > wide {
            (x, y) = (0.0, y + 18.0);
        }
        match what {
            Err(kind) => glyph::sample(on, kind, (x, y)),
            Ok(state) => glyph::mark(on, What::Job(state), (x + 20.0, y)),
        }
        on.text((x + 32.0, y), Side::Left, look, words);
        x += take;
    }
    y + 14.0
}

/// The season at a glance, in words.
fn summary(picked: &Picked, today: Day) -> String {
    let mut said = vec![counted(picked.animals, "animal")];
    if let Some((day, n)) = picked.counts.peak(today.plus(-300), today) {
        let n = counted(n as usize, "ewe");
        said.push(phrase!("lambing peak {} to {}: {n}", day.short(), day.plus(6).words()));
    }
    let (jobs, _) = picked.overdue;
    said.push(if jobs == 0 { "no job overdue".into() } else { phrase!("{} overdue", counted(jobs, "job")) });
    said.push(match picked.held {
        0 => "none under withdrawal".into(),
        n => phrase!("{n} under withdrawal"),
    });
    said.join(" · ")
}

fn season(
    flock: &Flock,
    roll: &Roll,
    picked: &Picked,
    ground: &Ground,
    options: &TimelineOptions,
    watch: Watch<'_>,
) -> Result<(String, Vec<Page>), PaperFailed> {
    let today = ground.day();
    let usual = season::usual_span(today);
    let start = options.from.unwrap_or(usual.0);
    let end = options.to.unwrap_or(usual.1).max(start.plus(6));
    let name = if flock.holding().flock.is_empty() { "the flock" } else { flock.holding().flock.as_str() };
    let title = phrase!("Season of {name}, {} to {}", start.words(), end.words(), name = &name);
    let under = summary(picked, today);
    let heads = |page: &mut Page, number: usize| head(page, number, &title, &under);
    let mut flow = Flow::new(options.sheet, Turn::Landscape, MARGINS, &heads);
    let wide = flow.body().w / UNIT;
    let scale = Scale { left: NAMES, right: wide - 6.0, start, end };
    let view = View { scale, kinds: options.kinds, today };
    let (x, y) = (flow.body().x, flow.y);
    let mut on = OnPage { page: flow.page(), from: (x, y) };
    let mut used = legend(&mut on, options.kinds, wide);
    used = drawing::bands(&mut on, &view, &picked.counts, 0.0, used);
    flow.y += (used + 4.0) * UNIT;
    let mut rows = picked.rows.iter().enumerate().peekable();
    while rows.peek().is_some() {
        let y = flow.y;
        let room = flow.left() / UNIT - AXIS;
        // A head is not left alone at the foot of a page.
        let mut take = (room / ROW).floor().max(2.0) as usize;
        let first = rows.peek().map_or(0, |(i, _)| *i);
        if matches!(picked.rows.get(first + take - 1), Some(Row::Head(..))) {
            take -= 1;
        }
        let n = take.min(picked.rows.len() - first);
        let bottom = AXIS + n as f32 * ROW;
        let mut on = OnPage { page: flow.page(), from: (x, y) };
        drawing::axis(&mut on, &view, 0.0, bottom);
        drawing::today(&mut on, &view, 0.0, bottom, true);
        for (k, (i, row)) in rows.by_ref().take(n).enumerate() {
            if i % 64 == 0 && !watch(i, picked.rows.len()) {
                return Err(PaperFailed::Stopped);
            }
            let top = AXIS + k as f32 * ROW;
            match row {
                Row::Head(group, n) => {
                    on.shape([-4.0, top + 3.0, wide + 4.0, ROW - 5.0], 0.0, Some(Tone::Wash), None);
                    let words = roll.groups.get(*group as usize).map_or("", |g| g.words());
                    let said = format!("{words}: {}", counted(*n as usize, "animal"));
                    on.text((0.0, top + ROW / 2.0), Side::Left, Type::strong(SMALL, Tone::Ink), &said);
                }
                Row::Animal(id) => {
                    let Some(file) = flock.file(*id) else { continue };
                    let line = Line::of(flock, file, today, Some(ground));
                    label(&mut on, file, top, today);
                    drawing::row(&mut on, &view, file, &line, top, None);
                }
            }
        }
        flow.y += (bottom + 4.0) * UNIT;
        if rows.peek().is_some() {
            flow.turn_page();
        }
    }
    Ok((title.clone(), finish(flow, today)))
}

/// Tag and name before a row.
fn label(on: &mut dyn Canvas, file: &AnimalFile, top: f32, today: Day) {
    let a = &file.animal;
    let (strong, plain) = (Type::strong(SMALL, Tone::Ink), Type::new(SMALL, Tone::Faint));
    let mid = top + drawing::MID;
    on.text((0.0, mid), Side::Left, strong, a.tag());
    let from = on.width(strong, a.tag()) + 8.0;
    let sex = said(season::sex_words(a, today));
    let name = a.name.as_deref().unwrap_or(&sex);
    if from + on.width(plain, name) < NAMES - 8.0 {
        on.text((from, mid), Side::Left, plain, name);
    }
}

fn one_life(flock: &Flock, file: &AnimalFile, today: Day, options: &TimelineOptions) -> (String, Vec<Page>) {
    let ground = Ground::of(flock, today);
    let line = Line::of(flock, file, today, Some(&ground));
    let whose = Whose { flock, file, line: &line };
    let usual = life::span(whose, today);
    let start = options.from.unwrap_or(usual.0);
    let end = options.to.unwrap_or(usual.1).max(start.plus(6));
    let a = &file.animal;
    let title = phrase!("Life of {}", a.title());
    let born = if a.born.day().is_some() { phrase!(", born {}", a.born.words()) } else { String::new() };
    let pen = a.pen.as_ref().map(|p| phrase!(", in {p}")).unwrap_or_default();
    let sex = said(season::sex_words(a, today));
    let under = phrase!("{sex}{born}{pen} · {} to {}", start.words(), end.words());
    let heads = |page: &mut Page, number: usize| head(page, number, &title, &under);
    let mut flow = Flow::new(options.sheet, Turn::Landscape, MARGINS, &heads);
    let wide = flow.body().w / UNIT;
    let view =
        View { scale: Scale { left: 130.0, right: wide - 6.0, start, end }, kinds: options.kinds, today };
    let from = (flow.body().x, flow.y);
    let mut on = OnPage { page: flow.page(), from };
    let used = legend(&mut on, options.kinds, wide);
    let (bottom, _) = life::life(&mut on, &view, whose, 0.0, used + 4.0, None);
    flow.y += bottom * UNIT + 5.0;
    happened(&mut flow, &view, whose);
    (title.clone(), finish(flow, today))
}

/// What happened in the days shown, in sentences, newest first, as far as this page has room; how many did not find
/// any is said.
fn happened(flow: &mut Flow<'_>, view: &View, whose: Whose<'_>) {
    let look = Look::new(Face::Sans, 8.5);
    let shown = whose.line.events.iter().rev().filter(|e| {
        let past = e.from <= view.today && e.from >= view.scale.start && e.from <= view.scale.end;
        let job = e.what.kind() == Kind::Job && e.what != What::Job(JobMark::Overdue);
        past && !job && view.kinds.has(e.what.kind())
    });
    let shown: Vec<_> = shown.collect();
    for (i, e) in shown.iter().enumerate() {
        let said = season::say(whose.flock, whose.file, whose.line, e, view.today);
        let lines = look.wrap(&said, flow.body().w).len() as f32;
        // Room for the line that tells of the rest, unless this is the last.
        let rest = if i + 1 < shown.len() { look.leading_mm() } else { 0.0 };
        if lines * look.leading_mm() + rest > flow.left() {
            let earliest = shown.last().map_or(e.from, |e| e.from);
            let more = shown.len() - i;
            flow.paragraph(
                look.ink(Ink::Grey),
                &phrase!("And {more} earlier, back to {}.", earliest.words()),
            );
            break;
        }
        flow.paragraph(look, &said);
    }
}
