//! Words that several registers use.

use super::Cell;
use crate::flock::{Amendment, Animal, AnimalFile, Flock, Link, RecordRef, Struck};
use crate::reckon::clearance::Clear;
use crate::terms::{Day, ElectronicId, IdentityKind, Sex, Withdrawal};

/// A blank at which no line is broken.
pub(super) const NO_BREAK: char = '\u{a0}';

/// Words whose blanks do not part.
pub(super) fn whole(words: &str) -> String {
    words.replace(' ', "\u{a0}")
}

/// A mark as it is read: electronic numbers as 3 and 12 digits.
pub(super) fn mark(kind: IdentityKind, text: &str) -> String {
    match kind {
        IdentityKind::Electronic => {
            ElectronicId::parse(text).map_or_else(|_| text.to_owned(), |e| e.to_string())
        }
        _ => text.to_owned(),
    }
}

/// Official and electronic numbers worn or worn last, other than the one the animal is called by.
pub fn numbers_of(animal: &Animal) -> Vec<String> {
    let called = animal.called().map(|i| i.id);
    [IdentityKind::Official, IdentityKind::Electronic]
        .into_iter()
        .filter_map(|kind| {
            let last = || animal.identities.iter().rev().find(|i| i.kind == kind);
            let found = animal.worn(kind).or_else(last).filter(|i| Some(i.id) != called)?;
            Some(whole(&mark(kind, found.tag.as_str())))
        })
        .collect()
}

/// The cell of an animal: tag, numbers below; and the hidden cell of its numbers.
pub(super) fn animal_cells(animal: &Animal) -> [Cell; 2] {
    let numbers = numbers_of(animal);
    let shown = Cell::whole(animal.tag()).strong().under(numbers.join(", "));
    [shown, Cell::words(numbers.join("; ").replace(NO_BREAK, " "))]
}

/// What kind of sheep it is on a day: `ewe`, `ram lamb`.
pub(super) fn kind(animal: &Animal, on: Day) -> &'static str {
    if animal.is_lamb(on) { animal.sex.lamb_words() } else { animal.sex.words() }
}

/// Animals by kind: `3 ewes, 1 ram lamb`.
pub fn kinds_words<'a>(animals: impl Iterator<Item = &'a Animal>, on: Day) -> String {
    let mut counts: Vec<((bool, u8), &'static str, usize)> = Vec::new();
    for a in animals {
        let word = kind(a, on);
        let sex = match a.sex {
            Sex::Ewe => 0,
            Sex::Ram => 1,
            Sex::Wether => 2,
        };
        match counts.iter_mut().find(|(_, w, _)| *w == word) {
            Some((_, _, n)) => *n += 1,
            None => counts.push(((a.is_lamb(on), sex), word, 1)),
        }
    }
    counts.sort_by_key(|(place, _, _)| *place);
    let all: Vec<String> = counts.iter().map(|(_, w, n)| whole(&crate::terms::counted(*n, w))).collect();
    all.join(", ")
}

/// Age on a day in words; nothing when it is not known.
pub(super) fn age(animal: &Animal, on: Day) -> String {
    let about = if animal.born.exact().is_some() { "" } else { "about " };
    match animal.age_days(on) {
        None => String::new(),
        Some(0) => "day of birth".into(),
        Some(d @ 1..60) => format!("{about}{}", crate::terms::counted(d as usize, "day")),
        Some(d @ 60..730) => format!("{about}{} months", d * 12 / 365),
        Some(d) => format!("{about}{} years", d / 365),
    }
}

/// A withdrawal period.
pub(super) fn period(period: Withdrawal) -> Cell {
    match period {
        Withdrawal::Unknown => Cell::shown_as("unknown, not clear", "unknown"),
        known => Cell::shown_as(whole(&known.to_string()), known.text()),
    }
}

/// A clear day.
pub(super) fn clear(clear: &Clear) -> Cell {
    match clear {
        Clear::From(day) => Cell::day(Some(*day)).strong(),
        Clear::Unknown => Cell::shown_as("not clear", "unknown").strong(),
        Clear::Never => Cell::shown_as("never", "never").strong(),
        Clear::Free => Cell::words(""),
    }
}

/// Some of several texts, the empty ones left out.
pub(super) fn joined<'a>(parts: impl IntoIterator<Item = Option<&'a str>>, between: &str) -> String {
    let kept = parts.into_iter().flatten().map(str::trim).filter(|p| !p.is_empty());
    kept.collect::<Vec<_>>().join(between)
}

fn said(reason: &str) -> &str {
    if reason.trim().is_empty() { "no reason written down" } else { reason }
}

/// What changed in one amendment: `dose was 2 ml, now 2.5 ml`.
pub(super) fn changes(amendment: &Amendment) -> String {
    let value = |v: &str| if v.trim().is_empty() { "nothing".to_owned() } else { v.to_owned() };
    let all = amendment.fields.iter();
    all.map(|(field, old, new)| format!("{field} was {}, now {}", value(old), value(new)))
        .collect::<Vec<_>>()
        .join("; ")
}

/// What was changed later of a record, with the old values, and why it was struck out.
pub fn remarks(amendments: &[Amendment], struck: Option<&Struck>) -> Vec<String> {
    let mut all: Vec<String> = amendments
        .iter()
        .map(|a| {
            let by = if a.who.trim().is_empty() { String::new() } else { format!(" by {}", a.who) };
            format!("Amended {}{by}: {} (reason: {})", a.at, changes(a), said(&a.reason))
        })
        .collect();
    if let Some(struck) = struck {
        all.push(format!("Struck out on {}: {}", struck.on.words(), said(&struck.reason)));
    }
    all
}

/// Remarks of a record of the book.
pub(super) fn remarks_of(flock: &Flock, record: RecordRef, struck: Option<&Struck>) -> Vec<String> {
    remarks(flock.amendments(record), struck)
}

/// The link to a record on an animal's leaf.
pub(super) fn link(file: &AnimalFile, record: RecordRef) -> Option<Link> {
    Some(Link::Record(file.animal.id, record))
}

/// A product's name by its id.
pub(super) fn product(flock: &Flock, id: crate::terms::ProductId) -> String {
    flock.products().iter().find(|p| p.id == id).map_or_else(|| "a product".into(), |p| p.name.clone())
}

/// The mark and the word for it: `flock tag 0412`.
pub(super) fn identity_words(i: &crate::flock::Identity) -> String {
    whole(&mark(i.kind, i.tag.as_str()))
}

/// With a capital first letter.
pub(super) fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
