//! Words that several registers use.

use super::Cell;
use crate::flock::{Amendment, Animal, AnimalFile, Flock, Link, RecordRef, Struck, Treatment, Vet};
use crate::reckon::clearance::Clear;
use crate::terms::{Day, ElectronicId, IdentityKind, Sex, Withdrawal};

/// A blank at which no line is broken.
pub(super) const NO_BREAK: char = '\u{a0}';

/// Words whose blanks do not part.
pub(super) fn whole(words: &str) -> String {
    words.replace(' ', "\u{a0}")
}

/// Units that never part from their figure.
const UNITS: [&str; 10] = ["mg", "ml", "g", "kg", "l", "µg", "mcg", "IU", "iu", "%"];

/// A name whose figures keep their units: no line is broken within `75 mg/ml`.
pub fn figures(words: &str) -> String {
    let unit = |word: &str| {
        let first = word.split(['/', ',', ';', ')', '(']).next().unwrap_or_default();
        UNITS.contains(&first)
    };
    let mut out = String::with_capacity(words.len() + 4);
    for (i, word) in words.split(' ').enumerate() {
        if i > 0 {
            let figure = out.ends_with(|c: char| c.is_ascii_digit());
            out.push(if figure && unit(word) { NO_BREAK } else { ' ' });
        }
        out.push_str(word);
    }
    out
}

/// A product, batch and all, by its name.
pub(super) fn product_cell(name: &str) -> Cell {
    let cell = Cell::words(name);
    Cell { shown: figures(&cell.shown), ..cell }
}

/// Who prescribed a treatment: the vet of its prescription, else whom the record names.
pub struct Prescriber<'a> {
    /// The name, where one is known.
    pub name: Option<&'a str>,
    /// The vet, where the cupboard knows them.
    pub vet: Option<&'a Vet>,
    /// The record names another than its prescription, in words.
    pub differs: Option<String>,
}

/// Who prescribed a treatment: one answer for every register and paper.
pub fn prescriber<'a>(flock: &'a Flock, t: &'a Treatment) -> Prescriber<'a> {
    let typed = t.prescribed_by.as_deref().map(str::trim).filter(|n| !n.is_empty());
    let paper = t.more.prescription.and_then(|id| flock.cupboard().prescription(id));
    let vet = paper.and_then(|p| flock.cupboard().vet(p.vet));
    let differs = vet.zip(typed).filter(|(v, typed)| !v.name.trim().eq_ignore_ascii_case(typed));
    let differs = differs.map(|(v, typed)| {
        let number = paper.and_then(|p| p.number.as_deref()).map(|n| format!(" {n}")).unwrap_or_default();
        format!("Written as prescribed by {typed}; its prescription{number} is by {}", v.name)
    });
    Prescriber { name: vet.map(|v| v.name.as_str()).or(typed), vet, differs }
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

/// What changed: `dose was 2 ml, now 2.5 ml`; of a blank that was filled `name Sloe written in`.
pub(super) fn changes(fields: &[(String, String, String)]) -> String {
    let nothing = |v: &str| v.trim().is_empty() || v.trim() == "nothing";
    let one = |(field, old, new): &(String, String, String)| match (nothing(old), nothing(new)) {
        (true, true) => format!("{field} left blank"),
        (true, false) => format!("{field} {new} written in, blank before"),
        (false, true) => format!("{field} was {old}, now blank"),
        (false, false) => format!("{field} was {old}, now {new}"),
    };
    fields.iter().map(one).collect::<Vec<_>>().join("; ")
}

/// A minute of the journal as people read it: `27 Nov 2026, 03:02`; as it stands where it is no such minute.
pub fn minute_words(at: &str) -> String {
    let Some(day) = at.get(..10).and_then(|d| Day::parse_iso(d).ok()) else { return at.to_owned() };
    match at.get(10..).map(str::trim).filter(|t| !t.is_empty()) {
        Some(time) => format!("{}, {time}", day.words()),
        None => day.words(),
    }
}

/// What was changed later of a record, with the old values, and why it was struck out.
pub fn remarks(amendments: &[Amendment], struck: Option<&Struck>) -> Vec<String> {
    let mut all: Vec<String> = amendments
        .iter()
        .map(|a| {
            let by = if a.who.trim().is_empty() { String::new() } else { format!(" by {}", a.who) };
            let at = minute_words(&a.at);
            format!("Amended {at}{by}: {} (reason: {})", changes(&a.fields), said(&a.reason))
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
