//! Kin: a small flock whose ancestors repeat, for tests of pedigrees.

use crate::flocks::{self, Folder, day, write};
use hirsel_core::book::Book;
use hirsel_core::entry::{self, AnimalDraft};
use hirsel_core::flock::Sire;
use hirsel_core::terms::{AnimalId, Born, Breed, Day, Sex, Status, Tag};
use std::collections::HashMap;

/// The day the book is read.
pub const TODAY: &str = "2026-04-10";

/// Animals by tag.
pub type Ids = HashMap<String, AnimalId>;

/// Tag, name, year of birth, sire, dam; a ram's tag begins with R; outside the flock from before 2014.
const ALL: [(&str, &str, i32, &str, &str); 28] = [
    ("R01", "Threlkeld Duke", 2008, "", ""),
    ("0011", "Old Heather", 2009, "", ""),
    ("0012", "Moorland Queen", 2009, "", ""),
    ("R02", "Caldbeck Thor", 2009, "", ""),
    ("0031", "Juniper", 2011, "R01", "0011"),
    ("0032", "Tansy", 2011, "R02", "0012"),
    ("R03", "Rannoch", 2011, "R01", "0012"),
    ("0033", "Sorrel", 2012, "R02", "0011"),
    ("R11", "Thornley Bramble", 2014, "R03", "0031"),
    ("0105", "Fern", 2014, "R03", "0032"),
    ("0106", "Rowan", 2015, "R01", "0033"),
    ("R12", "Thornley Alder", 2015, "R02", "0031"),
    ("R21", "Thornley Major", 2017, "R11", "0105"),
    ("0207", "Burnet", 2017, "R12", "0106"),
    ("0208", "Thyme", 2018, "R12", "0105"),
    ("0209", "Bilberry", 2018, "R11", "0106"),
    ("R31", "Thornley Regent", 2020, "R21", "0207"),
    ("0311", "Clover", 2020, "R21", "0208"),
    ("0312", "Vetch", 2021, "R21", "0209"),
    ("0412", "Bracken", 2023, "R31", "0311"),
    ("0413", "Sedge", 2023, "R31", "0312"),
    ("R41", "Thornley Squire", 2023, "R31", "0208"),
    ("0501", "Foxglove", 2025, "R41", "0412"),
    ("0502", "", 2025, "R41", "0412"),
    ("0503", "Campion", 2025, "R41/R31", "0413"),
    ("0504", "", 2025, "", "0311"),
    ("0601", "", 2026, "R41", "0501"),
    ("X1", "", 0, "", ""),
];

/// The book, whose 0412 Bracken has ancestors that stand in several places.
///
/// # Panics
/// When it cannot be made.
pub fn book(folder: &Folder) -> (Book, Ids) {
    let mut book = flocks::empty_book(folder);
    let mut ids = Ids::new();
    let today = day(TODAY);
    let mut drafts = Vec::new();
    for (n, (tag, name, year, sire, dam)) in ALL.iter().enumerate() {
        let sex = if tag.starts_with('R') { Sex::Ram } else { Sex::Ewe };
        let mut draft = AnimalDraft::new(Tag::parse(tag).unwrap_or_else(|e| panic!("{e}")), sex);
        draft.name = (!name.is_empty()).then(|| (*name).to_string());
        let born = Day::new(*year, if *year == 2026 { 2 } else { 4 }, n as u32 + 1);
        draft.born = if *year == 0 { Born::Unknown } else { born.map_or(Born::Year(*year), Born::On) };
        let rams: Vec<AnimalId> = sire.split('/').filter_map(|s| ids.get(s).copied()).collect();
        draft.sire = match rams.as_slice() {
            [] => Sire::Unknown,
            [one] => Sire::Known(*one),
            _ => Sire::OneOf(rams),
        };
        draft.dam = ids.get(*dam).copied();
        draft.breed = Breed::parse(if *year < 2012 { "Fellside" } else { "" }).unwrap_or_default();
        if *year > 0 && *year < 2014 {
            draft.status = Status::Outside;
        }
        ids.insert((*tag).to_string(), draft.id);
        drafts.push(draft);
    }
    let check = entry::animals(drafts, &book.flock(), today);
    write(&mut book, check);
    (book, ids)
}
