//! Life: a ewe with a life behind her, her lambs and her blood, for tests of the leaf.

use crate::flocks::{self, Folder, add, day, write};
use hirsel_core::book::Book;
use hirsel_core::entry::{
    self, AnimalDraft, DoseDraft, LambDraft, LambingDraft, RemarkDraft, TreatmentDraft, WeighingDraft,
};
use hirsel_core::flock::Sire;
use hirsel_core::terms::{AnimalId, Born, Dose, Fate, Moment, Sex, Tag, Weight, Withdrawal};

/// The day the book is read.
pub const TODAY: &str = "2026-04-10";

/// The animals tests name.
pub struct Ids {
    /// 0412 Bracken.
    pub ewe: AnimalId,
    /// R7, sire of her lambs.
    pub ram: AnimalId,
    /// 0560, her ram lamb of 2025, weighed twice.
    pub lamb: AnimalId,
    /// 0577 Sedge, sired by R7 or R9.
    pub doubtful: AnimalId,
    /// X1, of which nothing is known.
    pub stranger: AnimalId,
}

fn grams(g: i64) -> Weight {
    Weight::from_grams(g).unwrap_or_else(|| panic!("a weight"))
}

fn child(
    book: &mut Book,
    tag: &str,
    name: &str,
    sex: Sex,
    born: &str,
    dam: AnimalId,
    sire: Sire,
) -> AnimalId {
    let mut draft = AnimalDraft::new(Tag::parse(tag).unwrap_or_else(|e| panic!("{e}")), sex);
    draft.name = Some(name.into());
    draft.born = Born::parse(born).unwrap_or_else(|e| panic!("{e}"));
    (draft.dam, draft.sire) = (Some(dam), sire);
    draft.pen = Some("Long Acre".into());
    let id = draft.id;
    let check = entry::animals(vec![draft], &book.flock(), day(TODAY));
    write(book, check);
    id
}

fn lambs(book: &mut Book, ewe: AnimalId, on: &str, ram: AnimalId, all: &[(&str, Sex, i64, Fate)]) {
    let lambs = all
        .iter()
        .map(|(tag, sex, g, fate)| {
            let mut lamb = LambDraft::new(*sex);
            lamb.tag = Tag::parse(tag).ok();
            (lamb.weight, lamb.fate) = (Weight::from_grams(*g), *fate);
            lamb.sucked = (*fate == Fate::Alive).then_some(false);
            lamb
        })
        .collect();
    let draft = LambingDraft {
        ewe,
        at: Moment::day(day(on)),
        sire: Sire::Known(ram),
        ease: None,
        help: None,
        note: None,
        pen: None,
        lambs,
        foster_on: Vec::new(),
    };
    let check = entry::lambing(draft, &book.flock(), day(TODAY));
    write(book, check);
}

fn weigh(book: &mut Book, animal: AnimalId, on: &str, g: i64) {
    let draft = WeighingDraft { animal, at: Moment::day(day(on)), weight: grams(g), note: None };
    let check = entry::weighings(vec![draft], &book.flock(), day(TODAY));
    write(book, check);
}

fn treat(book: &mut Book, animal: AnimalId, on: &str, product: &str, meat: Withdrawal, milk: Withdrawal) {
    let draft = TreatmentDraft {
        animals: vec![animal],
        at: Moment::day(day(on)),
        product: product.into(),
        batch: Some("B-77".into()),
        dose: DoseDraft::Typed(Dose::from_ml(6.0)),
        route: None,
        site: None,
        reason: Some("worms".into()),
        given_by: None,
        prescribed_by: None,
        meat: Some(meat),
        milk: Some(milk),
        more: Default::default(),
    };
    let check = entry::treatments(vec![draft], &book.flock(), day(TODAY));
    write(book, check);
}

/// A ewe of known blood with three lambings, a treatment not yet clear, weights and a note; her lambs; a lamb with
/// a doubtful sire; an animal of which nothing is known.
///
/// # Panics
/// When the book cannot be made.
pub fn book(folder: &Folder) -> (Book, Ids) {
    let today = day(TODAY);
    let mut b = flocks::empty_book(folder);
    let granddam = add(&mut b, "0105", Sex::Ewe, "2016-04-01", today);
    let grandsire = add(&mut b, "R2", Sex::Ram, "2016-03-20", today);
    let dam = child(&mut b, "0207", "Fern", Sex::Ewe, "2018-04-03", granddam, Sire::Known(grandsire));
    let sire = add(&mut b, "R4", Sex::Ram, "2018-03-11", today);
    let ewe = child(&mut b, "0412", "Bracken", Sex::Ewe, "2021-04-02", dam, Sire::Known(sire));
    let ram = add(&mut b, "R7", Sex::Ram, "2021-03-20", today);
    let other = add(&mut b, "R9", Sex::Ram, "2021-03-21", today);
    lambs(&mut b, ewe, "2024-03-30", ram, &[("0501", Sex::Ewe, 4500, Fate::Alive)]);
    let twins = [("0560", Sex::Ram, 4100, Fate::Alive), ("0561", Sex::Ewe, 3300, Fate::BornDead)];
    lambs(&mut b, ewe, "2025-03-28", ram, &twins);
    let young = [("0601", Sex::Ewe, 4200, Fate::Alive), ("0602", Sex::Ram, 3900, Fate::Alive)];
    lambs(&mut b, ewe, "2026-04-01", ram, &young);
    let lamb = b.flock().by_tag("0560").unwrap_or_else(|| panic!("0560"));
    weigh(&mut b, lamb, "2025-05-27", 20_500);
    weigh(&mut b, lamb, "2025-07-26", 32_500);
    weigh(&mut b, ewe, "2026-02-01", 66_000);
    treat(&mut b, ewe, "2025-10-01", "pour-on", Withdrawal::Days(8), Withdrawal::Days(0));
    treat(&mut b, ewe, "2026-04-08", "levamisole drench", Withdrawal::Days(21), Withdrawal::Hours(60));
    let note = RemarkDraft { animals: vec![ewe], on: day("2025-08-01"), text: "feet trimmed".into() };
    let check = entry::remark(note, &b.flock(), today);
    write(&mut b, check);
    let doubt = Sire::OneOf(vec![ram, other]);
    let doubtful = child(&mut b, "0577", "Sedge", Sex::Ewe, "2025-04-09", dam, doubt);
    let draft = AnimalDraft::new(Tag::parse("X1").unwrap_or_else(|e| panic!("{e}")), Sex::Ewe);
    let stranger = draft.id;
    let check = entry::animals(vec![draft], &b.flock(), today);
    write(&mut b, check);
    (b, Ids { ewe, ram, lamb, doubtful, stranger })
}
