//! One animal under two tags: pairs that share a number, a name with birth and dam, or a tag, scored by what speaks for
//! it and against it. Points and the bar are common practice, no source.

use super::{DoubtKind, Found};
use crate::flock::{AnimalFile, Link};
use crate::phrase;
use crate::terms::{IdentityKind, Sex, Status, norm};
use rapidhash::{RapidHashMap, RapidHashSet};

/// A pair is listed from this score.
const BAR: i32 = 50;
/// Of more animals with one mark only neighbours are compared: it is then no mark of one animal.
const CROWD: usize = 8;

/// What two animals have alike.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Likeness {
    /// 0 to 100.
    pub score: u8,
    /// What speaks for it.
    pub same: Vec<&'static str>,
    /// What speaks against it.
    pub other: Vec<&'static str>,
}

/// Marks by which pairs are found; each kind of mark among its own.
#[derive(PartialEq, Eq, Hash)]
enum By {
    Number(String),
    Tag(String),
    Facts(String),
}

pub(super) fn look(files: &[&AnimalFile], found: &mut Found<'_>) {
    let mut groups: RapidHashMap<By, Vec<u32>> = RapidHashMap::default();
    for (f, i) in files.iter().zip(0u32..) {
        let mut put = |by: By| {
            let group = groups.entry(by).or_default();
            if group.last() != Some(&i) {
                group.push(i);
            }
        };
        for mark in &f.animal.identities {
            match mark.kind {
                IdentityKind::Electronic => put(By::Number(mark.tag.norm())),
                _ => put(By::Tag(misread(&mark.tag.norm()))),
            }
        }
        if let (Some(name), Some(born)) = (&f.animal.name, f.animal.born.exact()) {
            put(By::Facts(format!("{} {born}", norm(name))));
        }
    }
    let mut seen: RapidHashSet<(u32, u32)> = RapidHashSet::default();
    let mut pairs = Vec::new();
    for group in groups.into_values().filter(|g| g.len() > 1) {
        let reach = if group.len() > CROWD { 1 } else { group.len() };
        for (n, a) in group.iter().enumerate() {
            for b in group.iter().skip(n + 1).take(reach) {
                if seen.insert((*a.min(b), *a.max(b))) {
                    pairs.push((*a.min(b), *a.max(b)));
                }
            }
        }
    }
    pairs.sort_unstable();
    for (a, b) in pairs {
        let (a, b) = (files[a as usize], files[b as usize]);
        let Some(like) = likeness(a, b) else { continue };
        // The one that has more written of it is kept.
        let (keep, gone) = if weight(b) > weight(a) { (b, a) } else { (a, b) };
        found.scored(DoubtKind::Duplicate, like.score, |_| {
            let (x, y) = (keep.animal.title(), gone.animal.title());
            let against = match like.other.as_slice() {
                [] => String::new(),
                some => phrase!("; but {} differ", some.join(", ")),
            };
            let words = phrase!(
                "{x} and {y} may be one animal ({} in 100): the same {}{against}. If so, merge them",
                like.score,
                like.same.join(", ")
            );
            (vec![keep.animal.id, gone.animal.id], words, Link::Animal(gone.animal.id))
        });
    }
}

/// How much is written of an animal; those in the flock weigh most.
fn weight(f: &AnimalFile) -> usize {
    let here = if f.animal.status == Status::Outside { 0 } else { 1_000 };
    let parents = usize::from(f.animal.dam.is_some()) + f.animal.sire.possible().len().min(1);
    here + f.records().count() + 3 * f.offspring.len() + parents + 10 * usize::from(f.birth.is_some())
}

/// A mark as eyes confuse it: letters that look like figures, blanks, strokes and noughts in front left out.
fn misread(norm: &str) -> String {
    let mut text = String::with_capacity(norm.len());
    for c in norm.chars().filter(|c| c.is_alphanumeric()) {
        text.push(match c {
            'O' | 'Q' => '0',
            'I' | 'L' => '1',
            'S' => '5',
            'B' => '8',
            'Z' => '2',
            other => other,
        });
    }
    let bare = text.trim_start_matches('0');
    if bare.is_empty() { text } else { bare.to_string() }
}

fn numbers(f: &AnimalFile) -> impl Iterator<Item = String> {
    f.animal.identities.iter().filter(|i| i.kind == IdentityKind::Electronic).map(|i| i.tag.norm())
}

/// What two animals have alike, if it is enough to ask whether they are one.
pub(super) fn likeness(a: &AnimalFile, b: &AnimalFile) -> Option<Likeness> {
    let (x, y) = (&a.animal, &b.animal);
    let mut score = 0;
    let (mut same, mut other) = (Vec::new(), Vec::new());
    // A parent is not its own lamb.
    if a.offspring.contains(&y.id) || b.offspring.contains(&x.id) {
        return None;
    }
    let mut add = |points: i32, what: &'static str| {
        score += points;
        if points > 0 { same.push(what) } else { other.push(what) }
    };
    if numbers(a).any(|n| numbers(b).any(|m| m == n)) {
        add(70, "electronic number");
    } else if x.worn(IdentityKind::Electronic).is_some() && y.worn(IdentityKind::Electronic).is_some() {
        add(-40, "electronic numbers");
    }
    let tags = |f: &AnimalFile| -> Vec<(IdentityKind, String)> {
        let all = f.animal.identities.iter().filter(|i| i.kind != IdentityKind::Electronic);
        all.map(|i| (i.kind, i.tag.norm())).collect()
    };
    let (of_a, of_b) = (tags(a), tags(b));
    let outside = x.status == Status::Outside || y.status == Status::Outside;
    let alike = of_a.iter().find(|t| of_b.iter().any(|o| o.1 == t.1));
    let close = || of_a.iter().any(|t| of_b.iter().any(|o| misread(&o.1) == misread(&t.1)));
    match alike {
        Some((IdentityKind::Flock, _)) if outside => add(45, "tag"),
        Some((IdentityKind::Flock, _)) => add(30, "tag"),
        Some(_) => add(55, "number"),
        None if close() => add(25, "tag but for what is easily misread"),
        None => {}
    }
    let named = |f: &AnimalFile| f.animal.name.as_deref().map(norm);
    match (named(a), named(b)) {
        (Some(n), Some(m)) if n == m => add(20, "name"),
        (Some(_), Some(_)) => add(-10, "names"),
        _ => {}
    }
    match (x.born.exact(), y.born.exact()) {
        (Some(p), Some(q)) if p == q => add(20, "day of birth"),
        _ => {
            let apart = |p: Option<_>, q: Option<_>| p.zip(q).is_some_and(|(p, q)| p > q);
            if apart(x.born.earliest(), y.born.latest()) || apart(y.born.earliest(), x.born.latest()) {
                add(-40, "births");
            }
        }
    }
    match (x.dam, y.dam) {
        (Some(p), Some(q)) if p == q => add(15, "dam"),
        (Some(_), Some(_)) => add(-25, "dams"),
        _ => {}
    }
    match (x.sire.known(), y.sire.known()) {
        (Some(p), Some(q)) if p == q => add(5, "sire"),
        (Some(_), Some(_)) => add(-15, "sires"),
        _ => {}
    }
    if (x.sex == Sex::Ewe) == (y.sex == Sex::Ewe) {
        add(5, "sex")
    } else {
        add(-40, "sexes")
    }
    // Both written down at a lambing: a twin, or another lamb.
    if a.birth.is_some() && b.birth.is_some() {
        add(-40, "lambings");
    }
    if same == ["sex"] || score < BAR {
        return None;
    }
    Some(Likeness { score: u8::try_from(score.clamp(0, 100)).unwrap_or(100), same, other })
}
