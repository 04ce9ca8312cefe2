//! The sale list: animals that are to be sold, each with what a buyer asks, and a column left for the price.

use super::flow::Flow;
use super::heads::{Heads, MARGINS, odd_letters};
use super::lamb_cards::capital;
use super::register::{FOOT, foot_words};
use super::sheet::{Face, Ink, Look, Page, Paper, SheetSize, Turn};
use super::table::{Between, Cell, Column, Row, Table, Width};
use super::who::{self, Nursery};
use super::{PaperFailed, Watch, text};
use crate::flock::{AnimalFile, Flock, Sire, natural};
use crate::phrase;
use crate::reckon::clearance::{Clear, Clearance, clearance_in};
use crate::reckon::kinship::{DEEP_ENOUGH, Kindred, percent};
use crate::terms::speech::said;
use crate::terms::{AnimalId, Day, IdentityKind, MeantFor, Sex, counted};

/// Lays out the list of these animals, or of all in the flock that are meant for the market.
///
/// # Errors
/// [`PaperFailed::Nothing`] without an animal; [`PaperFailed::Stopped`] when `watch` says so.
pub fn sale_list(
    flock: &Flock,
    animals: Option<&[AnimalId]>,
    today: Day,
    sheet: SheetSize,
    watch: Watch<'_>,
) -> Result<Paper, PaperFailed> {
    let mut files: Vec<&AnimalFile> = match animals {
        Some(all) => all.iter().filter_map(|id| flock.file(*id)).collect(),
        None => flock.present().filter(|f| f.animal.meant_for == MeantFor::Market).collect(),
    };
    if files.is_empty() {
        let mend = "no animal is meant for the market; choose the animals, or write on their leaves what they are meant for";
        return Err(PaperFailed::Nothing { paper: "sale list", mend });
    }
    files.sort_by(|a, b| natural(a.animal.tag(), b.animal.tag()).then(a.animal.id.cmp(&b.animal.id)));
    files.dedup_by_key(|f| f.animal.id);
    let title = "Sale list";
    let days = today.words();
    let heads = Heads::of(flock.holding(), title, &days, sheet, Turn::Landscape);
    let head = |page: &mut Page, number: usize| heads.paint(page, number);
    let mut flow = Flow::new(sheet, Turn::Landscape, MARGINS, &head);
    let plain = Look::new(Face::Sans, 9.5);
    flow.paragraph(plain, &heads.more);
    let list = Sale { flock, today, kindred: Kindred::of(flock), nursery: Nursery::of(flock) };
    let rows: Vec<Row> = files.iter().map(|f| list.row(f)).collect();
    flow.paragraph(Look::new(Face::SansStrong, 10.5), &list.summary(&files));
    flow.y += 2.5;
    table().flow(&mut flow, rows.into_iter(), watch)?;
    closing(&mut flow);
    let pages = flow.finish(FOOT, &foot_words(today));
    Ok(Paper {
        title: format!("{title}, {days}"),
        author: flock.holding().flock.clone(),
        printed: Some(today),
        pages,
    })
}

fn table() -> Table {
    Table {
        columns: vec![
            Column::new("Animal", Width::Mm(38.0)),
            Column::new("Kind, born", Width::Mm(33.0)),
            Column::new("Breed, section", Width::Mm(26.0)),
            Column::new("Sire", Width::Mm(29.0)),
            Column::new("Dam", Width::Mm(29.0)),
            Column::figures("Inbred", Width::Mm(20.0)),
            Column::figures("Last weight", Width::Mm(20.0)),
            Column::new("", Width::Mm(2.0)),
            Column::new("Tests", Width::Share(1.0)),
            Column::new("Withdrawal", Width::Mm(28.0)),
            Column::new("Price", Width::Mm(20.0)).ruled(),
        ],
        size_pt: 8.6,
        between: Between::Hairline,
    }
}

/// What the rows of one list share.
struct Sale<'a> {
    flock: &'a Flock,
    today: Day,
    kindred: Kindred,
    nursery: Nursery,
}

impl Sale<'_> {
    fn clearance(&self, f: &AnimalFile) -> (Clearance, bool) {
        let milks = f.animal.sex == Sex::Ewe && !f.animal.is_lamb(self.today);
        (clearance_in(self.flock, f, self.today), milks)
    }

    fn summary(&self, files: &[&AnimalFile]) -> String {
        let held = files.iter().filter(|f| {
            let (clear, milks) = self.clearance(f);
            !clear.to_be_told(self.today, milks).is_empty()
        });
        let are = match (held.count(), files.len()) {
            (0, 1) => phrase!("It is not under withdrawal"),
            (_, 1) => phrase!("It is under withdrawal, as its line says"),
            (0, _) => phrase!("None of them is under withdrawal"),
            (1, _) => phrase!("1 of them is under withdrawal, as its line says"),
            (n, _) => phrase!("{n} of them are under withdrawal, as their lines say"),
        };
        phrase!("{} for sale. {are}.", counted(files.len(), "animal"))
    }

    fn row(&self, f: &AnimalFile) -> Row {
        let a = &f.animal;
        let mut animal = Cell::strong(text::unbroken(a.tag()));
        if let Some(name) = &a.name {
            animal = animal.and_line(name.as_str());
        }
        for (_, number) in who::numbers(a) {
            animal = animal.under(text::unbroken(&number));
        }
        let kind = if a.is_lamb(self.today) { a.sex.lamb_words() } else { a.sex.words() };
        let litter = who::litter_words(self.flock, &self.nursery, f);
        let kind = Cell::new(said(kind)).and_line(text::unbroken(&a.born.words())).under(litter);
        let breed = Cell::new(a.breed.as_ref().map_or_else(|| "–".into(), ToString::to_string));
        let section = a.section.as_deref().map(|s| phrase!("section {s}", s = &s)).unwrap_or_default();
        let (clear, milks) = self.clearance(f);
        let told = clear.to_be_told(self.today, milks);
        let weight = f.last_weight(self.today);
        let units = self.flock.holding().units;
        let weight = weight.map_or_else(
            || Cell::new("–"),
            |(on, w)| Cell::new(text::unbroken(&w.show(units))).under(text::unbroken(&on.words())),
        );
        Row {
            cells: vec![
                animal,
                kind,
                breed.under(section),
                self.sire(&a.sire),
                a.blood_dam().map_or_else(|| Cell::new("not known"), |d| self.parent(d)),
                self.inbreeding(a.id),
                weight,
                Cell::default(),
                self.tests(f),
                withdrawal(&clear, milks, self.today),
                Cell::default(),
            ],
            struck: false,
            notes: told.iter().map(|t| format!("{}.", capital(t))).collect(),
        }
    }

    fn parent(&self, id: AnimalId) -> Cell {
        let (tag, name) = who::tag_and_name(self.flock, id);
        let number = self.flock.animal(id).and_then(|a| a.worn(IdentityKind::Registry));
        let number = number.map(|i| i.tag.to_string()).filter(|n| *n != tag).unwrap_or_default();
        Cell::strong(text::unbroken(&tag)).and_line(name).under(text::unbroken(&number))
    }

    fn sire(&self, sire: &Sire) -> Cell {
        match sire {
            Sire::Unknown => Cell::new("not known"),
            Sire::Known(id) => self.parent(*id),
            Sire::OneOf(all) => {
                let tags: Vec<&str> = all.iter().map(|id| self.flock.tag(*id)).collect();
                Cell::new(phrase!("one of {}", tags.join(", "))).remark("not yet told apart")
            }
        }
    }

    fn inbreeding(&self, id: AnimalId) -> Cell {
        inbreeding(&self.kindred, id)
    }

    fn tests(&self, f: &AnimalFile) -> Cell {
        let mut cell = Cell::default();
        let mut any = false;
        for t in f.tests.iter().filter(|t| t.struck.is_none()) {
            any = true;
            cell =
                cell.and_line(crate::entry::says(&t.found, self.flock)).under(text::unbroken(&t.on.words()));
        }
        if any { cell } else { Cell::new("none") }
    }
}

/// Inbreeding with the depth behind it; a shallow pedigree is said to be one.
pub(super) fn inbreeding(kindred: &Kindred, id: AnimalId) -> Cell {
    let (Some(f), Some(depth)) = (kindred.inbreeding(id), kindred.depth(id)) else {
        return Cell::new("not known");
    };
    let under = if depth < DEEP_ENOUGH { "pedigree short" } else { "" };
    Cell::new(text::unbroken(&percent(f))).under(under)
}

/// The first clear days, said plainly; milk of ewes only.
fn withdrawal(clear: &Clearance, milks: bool, today: Day) -> Cell {
    let day = |c: &Clear| match c {
        Clear::Free => phrase!("clear"),
        Clear::From(day) if *day <= today => phrase!("clear"),
        Clear::From(day) => text::unbroken(&phrase!("from {}", day.words())),
        Clear::Unknown => phrase!("not clear: not known"),
        Clear::Never => phrase!("never"),
    };
    let (meat, milk) = (day(&clear.meat.clear), day(&clear.milk.clear));
    let held = meat != "clear" || milks && milk != "clear";
    if !held {
        return Cell::new(if milks { "clear, meat and milk" } else { "clear" });
    }
    let cell = Cell::strong("NOT CLEAR").and_line(phrase!("meat {meat}"));
    if milks { cell.and_line(phrase!("milk {milk}")) } else { cell }
}

fn closing(flow: &mut Flow<'_>) {
    let look = Look::new(Face::SansItalic, 8.5).ink(Ink::Grey);
    let odd = odd_letters(&flow.pages);
    let words = phrase!(
        "Inbred: the chance that both copies of a gene come from the same ancestor; a lamb of half sibs is 12.5 %, of \
         first cousins 6.3 %. 'Pedigree short': fewer than 3 full generations are known, so it may be more. Withdrawal is \
         reckoned from the flock's own treatment log: the day given is the first clear one. The seller's own list, no \
         official form. {odd}"
    );
    let tall = look.wrap(&words, flow.body().w).len() as f32 * look.leading_mm();
    flow.y += 3.5;
    flow.need(tall);
    flow.paragraph(look, words.trim());
}

#[cfg(test)]
mod tests;
