//! What is said of an animal: on its certificate, and along its water.

use super::super::lamb_cards::capital;
use super::super::text::{joined, unbroken};
use super::super::who;
use super::Source;
use crate::flock::{Animal, AnimalFile, Flock, GeneTest, Tested};
use crate::phrase;
use crate::reckon::pedigree::{Place, Who, inbred_words};
use crate::terms::{AnimalId, Born, IdentityKind, Status};

/// `Thornley F0123, section A`; empty when nothing of the registry is written down.
pub(super) fn registry(a: &Animal) -> String {
    let number = a.worn(IdentityKind::Registry).map(|i| i.tag.as_str());
    let name = joined([a.prefix.as_deref(), number].into_iter().flatten(), " ");
    let section = a.section.as_deref().map(|s| {
        // A letter alone says nothing; a name of its own speaks for itself.
        if s.chars().count() > 3 { s.to_owned() } else { phrase!("section {s}", s = &s) }
    });
    joined([Some(&*name), section.as_deref()].into_iter().flatten().filter(|w| !w.is_empty()), ", ")
        .into_owned()
}

/// What it is called on its certificate: the breeder's prefix and its name, or its tag.
pub(super) fn called(a: &Animal) -> String {
    match (&a.prefix, &a.name) {
        (Some(prefix), Some(name)) if !name.starts_with(prefix.as_str()) => format!("{prefix} {name}"),
        (_, Some(name)) => name.to_string(),
        _ => a.tag().to_string(),
    }
}

/// A prefix of more characters stands behind the number, where room is short.
const LONG_PREFIX: usize = 14;

/// Tag and name of so many characters stand on one line.
const ONE_LINE: usize = 18;

/// Prefix and number alone.
fn number(a: &Animal) -> String {
    let called = a.called().is_some_and(|i| i.kind == IdentityKind::Registry);
    let number = a.worn(IdentityKind::Registry).filter(|_| !called).map(|i| i.tag.as_str());
    let prefix = a.prefix.as_deref();
    let long = prefix.is_some_and(|p| p.chars().count() > LONG_PREFIX);
    let parts = if long { [number, prefix] } else { [prefix, number] };
    joined(parts.into_iter().flatten(), " ").into_owned()
}

/// The registry's words where they say more than the tag it is called by.
fn registry_beside(a: &Animal) -> String {
    let called = a.called().is_some_and(|i| i.kind == IdentityKind::Registry);
    if called && a.prefix.is_none() && a.section.is_none() { String::new() } else { registry(a) }
}

/// `born 3 Apr 2021`, `born about 2019`; empty when not known.
pub(super) fn born(a: &Animal) -> String {
    if a.born == Born::Unknown { String::new() } else { phrase!("born {}", a.born.words()) }
}

/// Where an animal does not belong to the flock, the word for it.
fn outside(a: &Animal) -> &'static str {
    if a.status == Status::Outside { "outside" } else { "" }
}

fn list(words: &[&str]) -> String {
    joined(words.iter().copied().filter(|w| !w.is_empty()), " · ").into_owned()
}

/// What stands along a water: above it who it is, below it what is known; each a line.
#[derive(Debug, Default)]
pub(super) struct Along {
    /// Sign and tag.
    pub tag: String,
    /// The name, on the line of the tag or on one of its own.
    pub name: String,
    /// The name has a line of its own.
    pub apart: bool,
    /// Below the water.
    pub below: Vec<String>,
    /// Where it stands, and all that is said.
    pub whole: String,
    /// A known animal.
    pub known: bool,
}

/// What stands along the water of a place. `rich` is how many generations stand behind it on the page: those
/// nearer to the animal have more room; `slim` is for narrow columns.
pub(super) fn along(
    source: &Source<'_>,
    place: Place,
    (rich, slim): (u32, bool),
    mark_outside: bool,
) -> Along {
    let sign = if place.is_sire() { "♂" } else { "♀" };
    let plain = |tag: String, below: Vec<String>| {
        let whole = phrase!("{}: {tag} {}", capital(&place.words()), below.join(" · "));
        Along { tag, whole, below, ..Along::default() }
    };
    match source.tree.who(place) {
        Who::Nothing => Along::default(),
        Who::Unknown => plain(phrase!("{sign} not known"), Vec::new()),
        Who::OneOf(rams) => {
            let tags: Vec<&str> = rams.iter().map(|r| source.flock.tag(*r)).collect();
            plain(phrase!("{sign} one of {}", tags.join(", ")), vec![phrase!("which one is not known")])
        }
        Who::Circle(id) => {
            let tag = format!("{sign} {}", source.flock.tag(*id));
            plain(tag, vec![phrase!("its own ancestor: a circle")])
        }
        Who::Animal(id) => animal(source, place, *id, (rich, slim), mark_outside),
    }
}

fn animal(
    source: &Source<'_>,
    place: Place,
    id: AnimalId,
    (rich, slim): (u32, bool),
    mark_outside: bool,
) -> Along {
    let Some(a) = source.flock.animal(id) else { return Along::default() };
    let (registry, born, inbred) = (registry_beside(a), born(a), inbred_words(source.kindred, id));
    let told = registry.clone();
    // A long prefix may be cut, but never the number behind it.
    let long = a.prefix.as_deref().is_some_and(|p| p.chars().count() > LONG_PREFIX);
    let registry = if long { number(a) } else { registry };
    let outside = if mark_outside { outside(a) } else { "" };
    let breed = a.breed.as_ref().map(ToString::to_string).unwrap_or_default();
    let year = a.born.year().map(|y| phrase!("born {y}")).unwrap_or_default();
    let number = if slim { String::new() } else { number(a) };
    let registry = if slim { self::number(a) } else { registry };
    // Far back there is room for one thing besides the number: what is inbred, or else the year.
    let is_inbred = source.kindred.inbreeding(id).is_some_and(|f| f > 0.0);
    let below = match rich {
        0 => vec![list(&[&number, if is_inbred { &inbred } else { &year }, outside])],
        1 => vec![list(&[&number, &year]), list(&[&inbred, outside])],
        2 => vec![registry.clone(), born.clone(), list(&[&inbred, outside])],
        _ => vec![registry.clone(), born.clone(), breed.clone(), list(&[&inbred, outside])],
    };
    let name = a.name.clone().unwrap_or_default();
    let said = list(&[&told, &born, &breed, &inbred, outside]);
    Along {
        tag: format!("{} {}", a.sex.symbol(), a.tag()),
        whole: phrase!("{}: {} {name} · {said}", capital(&place.words()), &a.tag()),
        apart: rich >= 2 || (rich == 1 && a.tag().chars().count() + name.chars().count() > ONE_LINE),
        below: below.into_iter().filter(|w| !w.is_empty()).collect(),
        known: true,
        name: name.to_string(),
    }
}

/// Labels and values of the certificate's head.
pub(super) fn facts(flock: &Flock, file: &AnimalFile) -> Vec<(&'static str, String)> {
    let a = &file.animal;
    let holding = flock.holding();
    let marks = a.called().map(|i| phrase!("{} ({})", &i.tag.as_str(), i.kind.words()));
    let numbers = who::numbers(a).into_iter().filter(|(label, _)| !label.starts_with("Registry"));
    let numbers: Vec<String> =
        numbers.map(|(label, n)| format!("{} {}", label.to_lowercase(), unbroken(&n))).collect();
    let tags = joined(marks.as_deref().into_iter().chain(numbers.iter().map(String::as_str)), ", ");
    let registered = registry(a);
    let registry = match (holding.registry.trim(), registered.as_str()) {
        ("", "") => String::new(),
        ("", number) => number.to_owned(),
        (name, "") => phrase!("{name}: no number is written down", name = &name),
        (name, number) => format!("{name}: {number}"),
    };
    let litter = who::birth_type(flock, file).map(|b| match b.count() {
        5.. => b.words(),
        _ => phrase!("a {}", b.words()),
    });
    let birth =
        joined([Some(a.born.words().as_str()), litter.as_deref()].into_iter().flatten(), ", ").into_owned();
    let at =
        |name: &str| if name.trim().is_empty() { "not written down".to_owned() } else { name.to_owned() };
    let keeper = list(&[&holding.keeper, &holding.flock, &holding.address]);
    let kept = if file.birth.is_some() { "Bred and kept by" } else { "Kept by" };
    let gone = !matches!(a.status, Status::Present | Status::Lent);
    let kept = if gone && file.birth.is_some() { "Bred by" } else { kept };
    let from = if gone && file.birth.is_none() { "From the book of" } else { kept };
    vec![
        ("Tag", tags.into_owned()),
        ("Registry", if registry.is_empty() { phrase!("none is written down") } else { registry }),
        ("Sex", a.sex.words().to_owned()),
        ("Born", if a.born == Born::Unknown { phrase!("not known") } else { birth }),
        ("Breed", a.breed.as_ref().map_or_else(|| phrase!("not written down"), ToString::to_string)),
        ("Colour", at(a.colour.as_deref().unwrap_or_default())),
        (from, at(&keeper)),
        ("Holding number", at(&holding.number)),
    ]
}

/// Tests that stand, newest first, a line each.
pub(super) fn tests(flock: &Flock, file: &AnimalFile) -> Vec<String> {
    let mut all: Vec<&GeneTest> = file.tests.iter().filter(|t| t.struck.is_none()).collect();
    all.sort_by_key(|t| std::cmp::Reverse(t.on));
    all.into_iter()
        .map(|t| {
            let found = match &t.found {
                Tested::Scrapie(g) => phrase!("Scrapie genotype {g}"),
                Tested::Recessive { gene, status } => phrase!("{gene}: {}", status.words()),
                Tested::Parentage { parent, is } => {
                    let name = flock.animal(*parent).map_or_else(|| "–".into(), Animal::title);
                    phrase!("Parentage: {name} {}", if *is { "is a parent" } else { "cannot be a parent" })
                }
                Tested::Other { what, result } => phrase!("{what}: {result}"),
            };
            let number = t.number.as_ref().map(|n| phrase!("report {n}"));
            let by = [t.lab.as_deref(), number.as_deref()];
            let by = joined(by.into_iter().flatten(), ", ").into_owned();
            let by = if by.is_empty() { by } else { format!(" ({by})") };
            phrase!("{found}, {}{by}", t.on.words())
        })
        .collect()
}

/// What the code holds: the same in plain text, no address of any kind.
pub(super) fn code(source: &Source<'_>, file: &AnimalFile, printed: &str) -> String {
    let a = &file.animal;
    let parent = |p: Place, word: &'static str| match source.tree.who(p) {
        Who::Animal(id) => {
            let a = source.flock.animal(*id);
            a.map_or_else(String::new, |a| phrase!("{word}: {}", list(&[&a.title(), &registry_beside(a)])))
        }
        Who::OneOf(rams) => {
            let tags: Vec<&str> = rams.iter().map(|r| source.flock.tag(*r)).collect();
            phrase!("{word}: one of {}", tags.join(", "))
        }
        _ => phrase!("{word}: not known"),
    };
    let lines = [
        phrase!("Pedigree: {}", a.title()),
        registry(a),
        list(&[a.sex.words(), &born(a), &a.breed.as_ref().map(ToString::to_string).unwrap_or_default()]),
        parent(Place::SELF.sire(), "Sire"),
        parent(Place::SELF.dam(), "Dam"),
        inbred_words(source.kindred, a.id),
        list(&[&source.flock.holding().keeper, &source.flock.holding().flock]),
        printed.to_owned(),
        phrase!("The flock's own record"),
    ];
    joined(lines.iter().map(String::as_str).filter(|l| !l.is_empty()), "\n").into_owned()
}
