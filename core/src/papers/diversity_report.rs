//! The flock's diversity on paper: what is left of the founders' blood, in pictures and figures, each with what it means
//! in one line and where that stands.

mod pictures;

use super::flow::Flow;
use super::heads::{Heads, MARGINS, odd_letters};
use super::lamb_cards::capital;
use super::register::{FOOT, foot_words};
use super::sheet::{Area, Face, Ink, Look, Page, Paper, SheetSize, Turn};
use super::table::{Between, Cell, Column, Row, Table, Width};
use super::{PaperFailed, Watch};
use crate::flock::Flock;
use crate::phrase;
use crate::reckon::kinship::{Diversity, Figure, Kindred, Standing, percent};
use crate::terms::speech::said;
use crate::terms::{Day, counted};
use pictures::{Bar, Step};

/// How many founders have a bar of their own.
const FOUNDERS: usize = 14;
/// How many lines have one.
const LINES: usize = 7;
/// How many crops have a column.
const YEARS: usize = 14;
/// How many animals of rare blood are named.
const RARE: usize = 12;
/// Grown animals from this age on share a row of the pyramid.
const OLD: i64 = 9;

const PLAIN: Look = Look::new(Face::Sans, 9.5);
const SMALL: Look = Look::new(Face::Sans, 8.3).ink(Ink::Grey);
const HEADING: Look = Look::new(Face::SerifStrong, 12.5);

/// Lays out the report of the flock as of a day.
///
/// # Errors
/// [`PaperFailed::Nothing`] where no animal is in the flock or the pedigree runs in a circle; [`PaperFailed::Stopped`]
/// when `watch` says so.
pub fn diversity_report(
    flock: &Flock,
    today: Day,
    sheet: SheetSize,
    watch: Watch<'_>,
) -> Result<Paper, PaperFailed> {
    let nothing = |mend| Err(PaperFailed::Nothing { paper: "diversity report", mend });
    if !watch(0, 4) {
        return Err(PaperFailed::Stopped);
    }
    let kindred = Kindred::of(flock);
    if !watch(1, 4) {
        return Err(PaperFailed::Stopped);
    }
    let made = Diversity::of(flock, &kindred, today);
    if made.circle.is_some() {
        return nothing("an animal is its own ancestor; mend a parent under Blood, Doubts first");
    }
    if made.living == 0 {
        return nothing("no animal is in the flock; write one up first");
    }
    let title = "Diversity of the flock";
    let days = today.words();
    let heads = Heads::of(flock.holding(), title, &days, sheet, Turn::Portrait);
    let head = |page: &mut Page, number: usize| heads.paint(page, number);
    let mut flow = Flow::new(sheet, Turn::Portrait, MARGINS, &head);
    flow.paragraph(PLAIN, &heads.more);
    summary(&mut flow, &made);
    if !watch(2, 4) {
        return Err(PaperFailed::Stopped);
    }
    by_year(&mut flow, &made, today);
    founders(&mut flow, flock, &made);
    ages(&mut flow, flock, today);
    lines(&mut flow, flock, &made);
    rare(&mut flow, flock, &made);
    figures(&mut flow, &made, watch)?;
    closing(&mut flow);
    let pages = flow.finish(FOOT, &foot_words(today));
    Ok(Paper {
        title: format!("{title}, {days}"),
        author: flock.holding().flock.clone(),
        printed: Some(today),
        pages,
    })
}

/// Four figures large, each with its name, and what calls for something.
fn summary(flow: &mut Flow<'_>, made: &Diversity) {
    let body = flow.body();
    flow.paragraph(
        PLAIN,
        &phrase!(
            "{} in the flock, from {} in their pedigrees. What each figure means and how it is reckoned stands at the end.",
            counted(made.living, "animal"),
            counted(made.founders.len(), "founder")
        ),
    );
    flow.y += 2.5;
    let keys = ["mean_inbreeding", "mean_kinship", "founder_genomes", "complete_generations"];
    let shown: Vec<&Figure> = keys.iter().filter_map(|k| made.figure(k)).collect();
    let gap = 4.0;
    let wide = (body.w - gap * (shown.len().max(1) - 1) as f32) / shown.len().max(1) as f32;
    let tall = 20.0;
    flow.need(tall + 4.0);
    let y = flow.y;
    for (i, f) in shown.iter().enumerate() {
        let at = Area::new(body.x + i as f32 * (wide + gap), y, wide, tall);
        let page = flow.page();
        page.outline(at, 1.5, Ink::Rule, 0.25);
        let small = super::text::fit_size(Face::Sans, f.name, wide - 6.0, 3.0, 8.5);
        page.text(at.x + 3.0, at.y + 5.2, Look::new(Face::Sans, small).ink(Ink::Grey), f.name);
        let size = super::text::fit_size(Face::SerifStrong, &f.shown, wide - 6.0, 5.0, 20.0);
        page.text(at.x + 3.0, at.y + 14.5, Look::new(Face::SerifStrong, size), &f.shown);
    }
    flow.y += tall + 4.0;
    let calls: Vec<&Figure> = made.figures.iter().filter(|f| f.calls).take(4).collect();
    if calls.is_empty() {
        flow.paragraph(
            PLAIN,
            &said("Nothing calls for anything now: the flock's blood is broad enough, and well written up."),
        );
        return;
    }
    flow.paragraph(HEADING, &said("What calls for something"));
    flow.y += 0.5;
    for f in calls {
        flow.paragraph(PLAIN, &phrase!("{}, {}: {}", f.name, f.shown, f.advice));
        flow.y += 0.6;
    }
}

/// A heading, and below the picture what it means.
fn headed(flow: &mut Flow<'_>, heading: &str, picture: f32, meaning: &str) -> f32 {
    let told = SMALL.wrap(meaning, flow.body().w).len() as f32 * SMALL.leading_mm();
    flow.y += 4.5;
    flow.need(HEADING.leading_mm() + 1.5 + picture + 2.0 + told);
    flow.paragraph(HEADING, heading);
    flow.y += 1.5;
    let top = flow.y;
    flow.y += picture + 2.0;
    flow.paragraph(SMALL, meaning);
    top
}

fn by_year(flow: &mut Flow<'_>, made: &Diversity, today: Day) {
    let known = made.cohorts.iter().filter(|c| c.known > 0 && c.year <= today.year());
    let mut steps: Vec<Step> = known
        .map(|c| Step {
            name: c.year.to_string(),
            value: c.inbreeding,
            shown: percent(c.inbreeding),
            of: c.known,
        })
        .collect();
    let steps = steps.split_off(steps.len().saturating_sub(YEARS));
    if steps.is_empty() {
        return;
    }
    let tall = 48.0;
    let top = headed(
        flow,
        &said("Mean inbreeding by year of birth"),
        tall,
        &said(
            "Columns that rise by more than 1 % in a generation (three to four years) say that blood narrows faster than breed \
         conservation asks for. Below each year: how many born then have both parents known. Dashed: a lamb of first \
         cousins, 6.3 %. Wright 1922; FAO 2013 (from memory).",
        ),
    );
    let body = flow.body();
    pictures::columns(flow.page(), Area::new(body.x, top, body.w, tall), &steps, Some(0.0625));
}

fn founders(flow: &mut Flow<'_>, flock: &Flock, made: &Diversity) {
    let most = made.founders.iter().map(|f| f.share).fold(0.0, f64::max);
    let bars: Vec<Bar> = made
        .founders
        .iter()
        .take(FOUNDERS)
        .map(|f| {
            let name = flock.animal(f.animal).map_or_else(String::new, crate::flock::Animal::title);
            let parent = if f.unknown.is_some() { "unknown parent of " } else { "" };
            Bar {
                name: format!("{parent}{name}"),
                length: f.share / most.max(1e-9),
                filled: f.kept,
                shown: phrase!("{}, carried by {}", percent(f.share), f.carriers),
            }
        })
        .collect();
    if bars.is_empty() {
        return;
    }
    let rest: f64 = made.founders.iter().skip(FOUNDERS).map(|f| f.share).sum();
    let others = made.founders.len() - bars.len();
    let more = match others {
        0 => String::new(),
        n => phrase!(" The other {n} founders have {} together.", percent(rest)),
    };
    let tall = bars.len() as f32 * pictures::BAR;
    let meaning = phrase!(
        "The longer a bar, the more of the flock's genes come from that founder; the filled part is how much of its own \
         genes is still here.{more} Go easy on the longest, and breed from those that carry the shortest. Lacy 1989; \
         MacCluer 1986."
    );
    let top = headed(flow, &said("Whose blood it is: founders by their share"), tall, &meaning);
    let body = flow.body();
    pictures::bars(flow.page(), Area::new(body.x, top, body.w, tall), &bars);
}

fn ages(flow: &mut Flow<'_>, flock: &Flock, today: Day) {
    let (rows, unknown) = pictures::Pyramid::of(flock, today, OLD);
    if rows.is_empty() {
        return;
    }
    let tall = (rows.len() + 1) as f32 * pictures::AGE;
    let open = match unknown {
        0 => String::new(),
        n => phrase!(" {} of unknown age left out.", counted(n, "animal")),
    };
    let meaning = phrase!(
        "Many young and few old animals mean short generations: blood is lost by generations, not by years, so rams and \
         ewes that are kept longer slow it.{} Rendel and Robertson 1950.",
        open
    );
    let top = headed(flow, &said("Ages of the flock"), tall, &meaning);
    let body = flow.body();
    pictures::pyramid(flow.page(), Area::new(body.x, top, body.w, tall), &rows);
}

fn lines(flow: &mut Flow<'_>, flock: &Flock, made: &Diversity) {
    let bars = |all: &[crate::reckon::kinship::Line]| -> Vec<Bar> {
        let most = all.iter().map(|l| l.ewes + l.rams).max().unwrap_or(1).max(1);
        all.iter()
            .take(LINES)
            .map(|l| Bar {
                name: flock.animal(l.root).map_or_else(String::new, crate::flock::Animal::title),
                length: (l.ewes + l.rams) as f64 / most as f64,
                filled: 1.0,
                shown: phrase!("{} and {}", counted(l.ewes, "ewe"), counted(l.rams, "ram")),
            })
            .collect()
    };
    let (dams, rams) = (bars(&made.dam_lines), bars(&made.ram_families));
    let most = dams.len().max(rams.len());
    if most == 0 {
        return;
    }
    let tall = most as f32 * pictures::BAR + 5.0;
    let (d, r) = (made.dam_lines.len(), made.ram_families.len());
    let meaning = phrase!(
        "Each animal stands in the line of its oldest known dam and in the family of its oldest known sire: {} of dams \
         and {} of rams, the largest of each drawn. Wethers count as rams. A line that hangs on one animal ends with it: \
         keep a daughter, or a son. Common practice, no source.",
        counted(d, "line"),
        if r == 1 { phrase!("1 family") } else { phrase!("{r} families") }
    );
    let top = headed(flow, &said("Lines of dams and families of rams"), tall, &meaning);
    let body = flow.body();
    let half = (body.w - 8.0) / 2.0;
    for (i, (name, bars)) in [("Lines of dams", &dams), ("Families of rams", &rams)].into_iter().enumerate() {
        let at = Area::new(body.x + i as f32 * (half + 8.0), top, half, tall);
        flow.page().text(at.x, at.y + 3.2, Look::new(Face::SansStrong, 8.8), &said(name));
        pictures::bars(flow.page(), at.inside(0.0, 5.0, 0.0, 0.0), bars);
    }
}

/// Young stock of rare blood, and whose loss costs most.
fn rare(flow: &mut Flow<'_>, flock: &Flock, made: &Diversity) {
    let told = |all: &[&Standing], what: &dyn Fn(&Standing) -> String| {
        let said: Vec<String> = all
            .iter()
            .map(|s| super::text::unbroken(&format!("{} ({})", flock.tag(s.animal), what(s))))
            .collect();
        said.join(", ")
    };
    flow.y += 4.5;
    flow.need(22.0);
    flow.paragraph(HEADING, &said("Keep these before others"));
    flow.y += 1.0;
    let young = made.rare_young();
    if !young.is_empty() {
        let some = &young[..young.len().min(RARE)];
        let words = told(some, &|s| percent(s.kinship));
        flow.paragraph(
            PLAIN,
            &phrase!("Young stock that carries rare blood, with its mean kinship to the flock (the lower, the rarer): {words}."),
        );
        flow.y += 1.0;
    }
    let mut costly: Vec<&Standing> = made.animals.iter().filter(|a| a.loss < -0.005).collect();
    costly.sort_by(|a, b| a.loss.total_cmp(&b.loss));
    costly.truncate(RARE);
    if !costly.is_empty() {
        let words = told(&costly, &|s| format!("{:.2}", -s.loss));
        flow.paragraph(PLAIN, &phrase!("Whose loss would cost the most, in founder genomes: {words}."));
        flow.y += 1.0;
    }
    flow.paragraph(SMALL, &said("Ballou and Lacy 1995; Caballero and Toro 2000."));
}

fn figures(flow: &mut Flow<'_>, made: &Diversity, watch: Watch<'_>) -> Result<(), PaperFailed> {
    flow.y += 4.5;
    flow.need(40.0);
    flow.paragraph(HEADING, &said("Every figure, what it means and where it stands"));
    flow.y += 1.5;
    let table = Table {
        columns: vec![
            Column::new("Figure", Width::Mm(43.0)),
            Column::figures("Value", Width::Mm(26.0)),
            Column::new("What it means here, and what to do", Width::Share(1.0)),
        ],
        size_pt: 8.6,
        between: Between::Hairline,
    };
    let rows = made.figures.iter().map(|f| {
        let name = Cell::strong(f.name);
        Row {
            cells: vec![
                if f.calls { name.remark("calls for something") } else { name },
                Cell::new(super::text::unbroken(&f.shown)),
                Cell::new(f.advice.as_str()).under(format!("{}. {}.", capital(f.formula), f.source)),
            ],
            ..Row::default()
        }
    });
    let rows: Vec<Row> = rows.collect();
    table.flow(flow, rows.into_iter(), watch)
}

fn closing(flow: &mut Flow<'_>) {
    let odd = odd_letters(&flow.pages);
    let look = Look::new(Face::SansItalic, 8.5).ink(Ink::Grey);
    let words = phrase!(
        "Reckoned from the pedigrees as they stand in the book; of a sire that is one of several nothing is taken for \
         known. {odd}"
    );
    let tall = look.wrap(&words, flow.body().w).len() as f32 * look.leading_mm();
    flow.y += 3.5;
    flow.need(tall);
    flow.paragraph(look, words.trim());
}

#[cfg(test)]
mod tests;
