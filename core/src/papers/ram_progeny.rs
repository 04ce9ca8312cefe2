//! A ram's progeny: his lambs season by season with what became of them, his means beside those of the other rams'
//! lambs. Lambs that are perhaps his are named and marked, and count in no mean.

use super::flow::Flow;
use super::growth_list::running_on;
use super::heads::{Heads, MARGINS, odd_letters};
use super::register::{FOOT, foot_words};
use super::sale_list::inbreeding;
use super::sheet::{Face, Ink, Look, Page, Paper, SheetSize, Turn};
use super::table::{Between, Cell, Column, Row, Table, Width};
use super::{PaperFailed, Watch, text, who};
use crate::flock::{Animal, AnimalFile, Flock, Sire, natural};
use crate::phrase;
use crate::reckon::figures::{Mean, reared_at};
use crate::reckon::growth::{SixtyDay, sixty_day};
use crate::reckon::kinship::{DEEP_ENOUGH, Kindred, percent};
use crate::terms::speech::said;
use crate::terms::{AnimalId, Day, Fate, Sex, Status, Units, counted};
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

/// Lays out the progeny of these rams, each from a new page, or of every ram in the flock that has any.
///
/// # Errors
/// [`PaperFailed::Nothing`] without a ram that has lambs; [`PaperFailed::Stopped`] when `watch` says so.
pub fn ram_progeny(
    flock: &Flock,
    rams: Option<&[AnimalId]>,
    today: Day,
    sheet: SheetSize,
    watch: Watch<'_>,
) -> Result<Paper, PaperFailed> {
    let mut files: Vec<&AnimalFile> = match rams {
        Some(all) => all.iter().filter_map(|id| flock.file(*id)).collect(),
        None => flock.present().collect(),
    };
    // A wether may have sired before he was castrated.
    files.retain(|f| f.animal.sex != Sex::Ewe && f.offspring.iter().any(|id| flock.file(*id).is_some()));
    if files.is_empty() {
        let mend = "choose a ram that has lambs in the book";
        return Err(PaperFailed::Nothing { paper: "ram's progeny", mend });
    }
    files.sort_by(|a, b| natural(a.animal.tag(), b.animal.tag()).then(a.animal.id.cmp(&b.animal.id)));
    files.dedup_by_key(|f| f.animal.id);
    let title = "Ram's progeny";
    let days = match files.as_slice() {
        [one] => phrase!("{}, as of {}", one.animal.title(), today.words()),
        many => {
            phrase!("{}, as of {}", counted(many.len(), "ram"), today.words())
        }
    };
    let heads = Heads::of(flock.holding(), title, &days, sheet, Turn::Portrait);
    // The ram and season whose lambs run on when a page is turned; empty between seasons.
    let running = RefCell::new(String::new());
    let head = |page: &mut Page, number: usize| running_on(page, &heads, number, &running.borrow());
    let mut flow = Flow::new(sheet, Turn::Portrait, MARGINS, &head);
    flow.paragraph(PLAIN, &heads.more);
    let all = Progeny {
        flock,
        today,
        units: flock.holding().units,
        kindred: Kindred::of(flock),
        others: others(flock),
    };
    for (n, ram) in files.iter().enumerate() {
        if !watch(n, files.len()) {
            return Err(PaperFailed::Stopped);
        }
        if n > 0 {
            flow.turn_page();
        }
        if files.len() > 1 {
            flow.page().bookmark = Some(ram.animal.title());
        }
        all.ram(&mut flow, ram, (&running, watch))?;
    }
    closing(&mut flow);
    let pages = flow.finish(FOOT, &foot_words(today));
    Ok(Paper {
        title: format!("{}, {days}", said(title)),
        author: flock.holding().flock.clone(),
        printed: Some(today),
        pages,
    })
}

const PLAIN: Look = Look::new(Face::Sans, 9.5);

/// Sums of the lambs of one season.
#[derive(Debug, Clone, Copy, Default)]
struct Sums {
    lambs: usize,
    dead: usize,
    lost: usize,
    reared: usize,
    birth: Mean,
    sixty: Mean,
    inbred: (f64, usize),
}

impl Sums {
    fn add(&mut self, f: &AnimalFile, today: Day) {
        let a = &f.animal;
        self.lambs += 1;
        let died = a.status == Status::Dead && f.birth.as_ref().is_none_or(|b| b.fate != Fate::BornDead);
        let age = |on: Day| a.born.day().map(|b| on.since(b));
        if f.birth.as_ref().is_some_and(|b| b.fate == Fate::BornDead) {
            self.dead += 1;
        } else if died && a.status_on.and_then(age).is_some_and(|d| d < reared_at()) {
            self.lost += 1;
        } else if age(today).is_some_and(|d| d >= reared_at()) {
            self.reared += 1;
        }
        a.birth_weight.into_iter().for_each(|w| self.birth.add(w));
        sixty_day(f).into_iter().for_each(|s| self.sixty.add(s.weight));
    }
}

/// Sums of the lambs of every known sire, by year and sire.
type Others = BTreeMap<i32, BTreeMap<AnimalId, (Mean, Mean)>>;

fn others(flock: &Flock) -> Others {
    let mut all = Others::new();
    for f in flock.files().filter(|f| f.birth.is_some()) {
        if let (Some(sire), Some(year)) = (f.animal.sire.known(), f.animal.born.year()) {
            let (birth, sixty) = all.entry(year).or_default().entry(sire).or_default();
            f.animal.birth_weight.into_iter().for_each(|w| birth.add(w));
            sixty_day(f).into_iter().for_each(|s| sixty.add(s.weight));
        }
    }
    all
}

struct Progeny<'a> {
    flock: &'a Flock,
    today: Day,
    units: Units,
    kindred: Kindred,
    others: Others,
}

impl Progeny<'_> {
    fn ram(
        &self,
        flow: &mut Flow<'_>,
        ram: &AnimalFile,
        (running, watch): (&RefCell<String>, Watch<'_>),
    ) -> Result<(), PaperFailed> {
        let a = &ram.animal;
        flow.y += 1.0;
        flow.paragraph(Look::new(Face::SerifStrong, 15.0), &a.title());
        flow.y += 0.8;
        for line in self.facts(ram) {
            flow.paragraph(PLAIN, &line);
        }
        // By the year of birth; those of which it is not known come last.
        let mut seasons: BTreeMap<i32, Vec<&AnimalFile>> = BTreeMap::new();
        for f in ram.offspring.iter().filter_map(|id| self.flock.file(*id)) {
            seasons.entry(f.animal.born.year().unwrap_or(i32::MAX)).or_default().push(f);
        }
        let (mut whole, mut perhaps) = (Sums::default(), 0);
        for lamb in seasons.values().flatten() {
            match lamb.animal.sire.known() {
                Some(sire) if sire == a.id => self.sum(&mut whole, lamb),
                _ => perhaps += 1,
            }
        }
        flow.y += 1.5;
        let years: BTreeSet<i32> = seasons.keys().copied().filter(|y| *y != i32::MAX).collect();
        flow.paragraph(Look::new(Face::SansStrong, 10.0), &self.whole(&whole, perhaps, years.len()));
        self.beside(flow, a.id, &years);
        for (year, mut lambs) in seasons {
            lambs.sort_by(|a, b| {
                let born = |f: &AnimalFile| f.animal.born.day();
                born(a).cmp(&born(b)).then_with(|| natural(a.animal.tag(), b.animal.tag()))
            });
            self.season(flow, a, year, &lambs, (running, watch))?;
        }
        Ok(())
    }

    fn facts(&self, ram: &AnimalFile) -> Vec<String> {
        let a = &ram.animal;
        let mut first = vec![a.sex.words().to_string(), phrase!("born {}", a.born.words())];
        first.extend(a.breed.as_ref().map(ToString::to_string));
        first.extend(a.section.as_ref().map(|s| phrase!("section {s}")));
        first.extend(who::numbers(a).into_iter().map(|(label, n)| format!("{label} {}", text::unbroken(&n))));
        first.push(match a.status {
            Status::Present => phrase!("in the flock"),
            other => {
                let on = a.status_on.map(|d| phrase!(" {}", d.words())).unwrap_or_default();
                phrase!("{}{on}", other.words())
            }
        });
        let parent = |id: Option<AnimalId>| {
            id.and_then(|id| self.flock.animal(id)).map_or_else(|| phrase!("not known"), |p| p.title())
        };
        let sire = match &a.sire {
            Sire::OneOf(all) => {
                let tags: Vec<&str> = all.iter().map(|id| self.flock.tag(*id)).collect();
                phrase!("one of {}", tags.join(", "))
            }
            other => parent(other.known()),
        };
        let mut second = phrase!("By {sire} out of {}", parent(a.blood_dam()));
        if let (Some(f), Some(depth)) = (self.kindred.inbreeding(a.id), self.kindred.depth(a.id)) {
            second.push_str(&phrase!(". He is {} inbred", text::unbroken(&percent(f))));
            if depth < DEEP_ENOUGH {
                second.push_str(&said(", but his pedigree is short"));
            }
        }
        let tests: Vec<String> = ram
            .tests
            .iter()
            .filter(|t| t.struck.is_none())
            .map(|t| phrase!("{} ({})", crate::entry::says(&t.found, self.flock), t.on.words()))
            .collect();
        let mut all =
            vec![format!("{}.", super::lamb_cards::capital(&first.join(", "))), format!("{second}.")];
        if !tests.is_empty() {
            all.push(phrase!("Tests: {}.", tests.join("; ")));
        }
        all
    }

    fn sum(&self, sums: &mut Sums, lamb: &AnimalFile) {
        sums.add(lamb, self.today);
        let deep = |id| self.kindred.depth(id).is_some_and(|d| d >= DEEP_ENOUGH);
        if let Some(f) = self.kindred.inbreeding(lamb.animal.id).filter(|_| deep(lamb.animal.id)) {
            sums.inbred.0 += f;
            sums.inbred.1 += 1;
        }
    }

    fn mean(&self, mean: Mean) -> Option<String> {
        mean.mean().map(|w| format!("{} ({})", text::unbroken(&w.show(self.units)), mean.n))
    }

    /// What the sums say, in words: counts and means, each mean with how many it is of.
    fn words(&self, s: &Sums) -> String {
        let mut parts = Vec::new();
        if s.dead > 0 {
            parts.push(phrase!("{} born dead", s.dead));
        }
        if s.lost > 0 {
            parts.push(phrase!("{} died within {} days", s.lost, reared_at()));
        }
        if s.reared > 0 {
            parts.push(phrase!("{} lived to {} days", s.reared, reared_at()));
        }
        parts.extend(self.mean(s.birth).map(|m| phrase!("at birth {m}")));
        parts.extend(self.mean(s.sixty).map(|m| phrase!("at 60 days {m}")));
        if s.inbred.1 > 0 {
            let mean = s.inbred.0 / s.inbred.1 as f64;
            parts.push(phrase!("inbred {} ({})", text::unbroken(&percent(mean)), s.inbred.1));
        }
        parts.join(", ")
    }

    fn whole(&self, s: &Sums, perhaps: usize, seasons: usize) -> String {
        let also = match perhaps {
            0 => String::new(),
            1 => phrase!(" and 1 that is perhaps his"),
            n => phrase!(" and {n} that are perhaps his"),
        };
        let said = self.words(s);
        let said = if said.is_empty() { String::new() } else { format!(": {said}") };
        phrase!("{}{also} in {}{said}.", counted(s.lambs, "lamb"), counted(seasons, "season"))
    }

    /// The same means of the other rams' lambs born in the same years, from this flock's lambings.
    fn beside(&self, flow: &mut Flow<'_>, ram: AnimalId, years: &BTreeSet<i32>) {
        let (mut birth, mut sixty) = (Mean::default(), Mean::default());
        let of_years = years.iter().filter_map(|y| self.others.get(y));
        for (_, (b, s)) in of_years.flatten().filter(|(id, _)| **id != ram) {
            birth.join(*b);
            sixty.join(*s);
        }
        let parts: Vec<String> = [("at birth", birth), ("at 60 days", sixty)]
            .into_iter()
            .filter_map(|(what, m)| self.mean(m).map(|m| phrase!("{what} {m}")))
            .collect();
        if !parts.is_empty() {
            flow.paragraph(
                PLAIN,
                &phrase!("Lambs of other rams born here in the same years: {}.", parts.join(", ")),
            );
        }
    }

    fn season(
        &self,
        flow: &mut Flow<'_>,
        of: &Animal,
        year: i32,
        lambs: &[&AnimalFile],
        (running, watch): (&RefCell<String>, Watch<'_>),
    ) -> Result<(), PaperFailed> {
        let ram = of.id;
        let mut sums = Sums::default();
        let known = |f: &&AnimalFile| f.animal.sire.known() == Some(ram);
        lambs.iter().copied().filter(known).for_each(|f| self.sum(&mut sums, f));
        let dams: BTreeSet<AnimalId> = lambs.iter().filter_map(|f| f.animal.dam).collect();
        flow.y += 3.0;
        flow.need(24.0);
        let name: String = if year == i32::MAX { "Year not known".into() } else { year.to_string() };
        flow.paragraph(Look::new(Face::SerifStrong, 12.0), &name);
        let said = self.words(&sums);
        let said = if said.is_empty() { String::new() } else { format!(": {said}") };
        let perhaps = match lambs.len() - sums.lambs {
            0 => String::new(),
            n => phrase!(", {n} perhaps his"),
        };
        let all =
            phrase!("{}{perhaps}, out of {}{said}.", counted(sums.lambs, "lamb"), counted(dams.len(), "ewe"));
        flow.paragraph(Look::new(Face::Sans, 9.0), &all);
        flow.y += 1.0;
        *running.borrow_mut() = phrase!("{}, {name}", of.title());
        let done = table().flow(flow, lambs.iter().map(|f| self.row(f, ram)), watch);
        running.borrow_mut().clear();
        done
    }

    fn row(&self, f: &AnimalFile, ram: AnimalId) -> Row {
        let a = &f.animal;
        let mut lamb = Cell::strong(text::unbroken(a.tag())).under(a.name.as_deref().unwrap_or_default());
        let perhaps = a.sire.known() != Some(ram);
        if perhaps {
            let others: Vec<&str> =
                a.sire.possible().iter().filter(|r| **r != ram).map(|r| self.flock.tag(*r)).collect();
            lamb = lamb.remark(phrase!("perhaps his: or of {}", others.join(", ")));
        }
        let dam = a.blood_dam().map_or_else(
            || Cell::new("not known"),
            |id| {
                let (tag, name) = who::tag_and_name(self.flock, id);
                Cell::new(text::unbroken(&tag)).under(name)
            },
        );
        let litter = who::birth_type(self.flock, f).map_or_else(|| "–".into(), |b| b.words());
        let born = a.born.day().map_or_else(|| a.born.words(), |d| text::unbroken(&d.short()));
        Row {
            cells: vec![
                lamb,
                Cell::new(born),
                dam,
                Cell::new(a.sex.words()),
                Cell::new(litter),
                Cell::new(a.birth_weight.map_or_else(|| "–".into(), |w| text::unbroken(&w.show(self.units)))),
                self.sixty(sixty_day(f)),
                inbreeding(&self.kindred, a.id),
                Cell::default(),
                self.fate(f),
            ],
            ..Row::default()
        }
    }

    fn sixty(&self, s: Option<SixtyDay>) -> Cell {
        let Some(s) = s else { return Cell::new("–") };
        let cell = Cell::new(text::unbroken(&s.weight.show(self.units)));
        if s.is_within_window() { cell } else { cell.under(phrase!("from {} days", s.at_age)) }
    }

    fn fate(&self, f: &AnimalFile) -> Cell {
        let a = &f.animal;
        if f.birth.as_ref().is_some_and(|b| b.fate == Fate::BornDead) {
            return Cell::new("born dead");
        }
        let on = a.status_on.map(|d| text::unbroken(&d.words())).unwrap_or_default();
        match a.status {
            Status::Present => Cell::new("in the flock"),
            Status::Dead => Cell::new("died").under(on).under(a.status_reason.as_deref().unwrap_or_default()),
            other => Cell::new(other.words()).under(on),
        }
    }
}

fn table() -> Table {
    Table {
        columns: vec![
            Column::new("Lamb", Width::Share(1.3)),
            Column::new("Born", Width::Mm(15.0)),
            Column::new("Dam", Width::Share(1.0)),
            Column::new("Sex", Width::Mm(15.0)),
            Column::new("Born as", Width::Mm(17.0)),
            Column::figures("At birth", Width::Mm(17.0)),
            Column::figures("At 60 days", Width::Mm(18.0)),
            Column::figures("Inbred", Width::Mm(18.0)),
            Column::new("", Width::Mm(2.0)),
            Column::new("What became of it", Width::Mm(28.0)),
        ],
        size_pt: 8.4,
        between: Between::Hairline,
    }
}

fn closing(flow: &mut Flow<'_>) {
    let look = Look::new(Face::SansItalic, 8.5).ink(Ink::Grey);
    let odd = odd_letters(&flow.pages);
    let words = phrase!(
        "In brackets: how many lambs a mean is of. Means are as weighed: not corrected for sex, birth type, dam or \
         pasture, so small differences between rams say nothing. Lambs that are perhaps his count in no mean. The weight \
         at 60 days is carried on a straight line from birth (sheep101.info/201/adjweanwts) from a weighing at 42 to 120 \
         days. {}",
        odd
    );
    let tall = look.wrap(&words, flow.body().w).len() as f32 * look.leading_mm();
    flow.y += 4.0;
    flow.need(tall);
    flow.paragraph(look, words.trim());
}

#[cfg(test)]
mod tests;
