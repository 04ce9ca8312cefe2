//! The rows of the lists.

use super::super::super::Ctx;
use super::super::super::list::{Row, fits};
use super::Which;
use crate::parts::record_table::Column;
use hirsel_core::flock::{Animal, AnimalFile};
use hirsel_core::phrase;
use hirsel_core::reckon::pedigree::{
    Family, Sib, Through, breed_of_parents, dam_line, descendants, families, inbred_words, percent, sibs,
    sire_line,
};
use hirsel_core::terms::{AnimalId, counted};

/// How a column stands.
#[derive(Clone, Copy)]
pub(super) enum Shape {
    Wide(f32),
    Rest(f32),
    Right(f32),
}

impl Shape {
    /// The column, its head in words.
    pub(super) fn column(self, head: &str) -> Column {
        let mut words = head.replace('_', " ");
        if let Some(first) = words.get_mut(..1) {
            first.make_ascii_uppercase();
        }
        match self {
            Self::Wide(w) => Column::new(words, w),
            Self::Rest(w) => Column::new(words, w).rest(),
            Self::Right(w) => Column::new(words, w).right(),
        }
    }
}

/// Heads of a list as in the exported table, and how their columns stand.
pub(super) fn heads(which: Which) -> &'static [(&'static str, Shape)] {
    use Shape::{Rest, Right, Wide};
    const KIN: &[(&str, Shape)] = &[
        ("tag", Wide(92.0)),
        ("name", Rest(100.0)),
        ("what", Rest(160.0)),
        ("relation", Rest(140.0)),
        ("inbreeding", Wide(112.0)),
        ("a_lamb_of_the_two", Right(122.0)),
    ];
    const FAMILY: &[(&str, Shape)] = &[
        ("founder", Wide(92.0)),
        ("name", Rest(100.0)),
        ("what", Rest(150.0)),
        ("in_the_flock", Right(92.0)),
        ("known", Right(62.0)),
        ("generations", Right(96.0)),
        ("who", Rest(130.0)),
    ];
    const BREED: &[(&str, Shape)] = &[
        ("tag", Wide(92.0)),
        ("name", Rest(100.0)),
        ("what", Rest(160.0)),
        ("breed", Rest(150.0)),
        ("by_its_parents", Rest(150.0)),
        ("differs", Wide(80.0)),
    ];
    match which {
        Which::RamFamilies | Which::DamFamilies => FAMILY,
        Which::Breeds => BREED,
        _ => KIN,
    }
}

/// What is said of an empty list.
pub(super) fn empty(which: Which) -> &'static str {
    match which {
        Which::Descendants => "It has no offspring in the book.",
        Which::FullSibs => "No animal in the book has the same dam and the same sire.",
        Which::HalfSibs => "No animal in the book shares only its dam or only its sire.",
        Which::Dams => "Its dam is not known.",
        Which::Sires => "Its sire is not known, or is one of several.",
        Which::RamFamilies | Which::DamFamilies | Which::Breeds => {
            "No animal is in the flock: the first one is written under Flock (Ctrl+3), with its parents."
        }
    }
}

/// Rows and a note over them.
pub(super) struct Made {
    pub rows: Vec<Row<AnimalId>>,
    pub note: String,
}

/// Makes the rows that fit a search.
pub(super) fn make(ctx: &Ctx<'_>, of: Option<AnimalId>, which: Which, search: &str) -> Made {
    match which {
        Which::RamFamilies => family_rows(ctx, Through::Sires, search),
        Which::DamFamilies => family_rows(ctx, Through::Dams, search),
        Which::Breeds => breeds(ctx, search),
        _ => of.map_or(Made { rows: Vec::new(), note: String::new() }, |id| kin(ctx, id, which, search)),
    }
}

fn generation(n: u32) -> String {
    match n {
        1 => phrase!("offspring"),
        2 => phrase!("grand-offspring"),
        n => phrase!("generation {n}"),
    }
}

/// One animal and what it is to the one asked about, with what the order goes by.
type Relation = (AnimalId, String, i64);

fn relations(ctx: &Ctx<'_>, id: AnimalId, which: Which) -> (Vec<Relation>, String) {
    let flock = ctx.flock;
    let tag = flock.tag(id);
    match which {
        Which::Descendants => {
            let all = descendants(flock, id);
            let note = phrase!("{} of {tag} known", counted(all.len(), "descendant"), tag = &tag);
            let one = |d: &hirsel_core::reckon::pedigree::Descendant| {
                let perhaps = if d.sure { "" } else { ", perhaps" };
                let by =
                    if d.generation > 1 { phrase!(" by {}", &flock.tag(d.through)) } else { String::new() };
                (d.animal, format!("{}{by}{perhaps}", generation(d.generation)), i64::from(d.generation))
            };
            (all.iter().map(one).collect(), note)
        }
        Which::FullSibs | Which::HalfSibs => {
            let full = which == Which::FullSibs;
            let all: Vec<_> =
                sibs(flock, id).into_iter().filter(|(_, how, _)| (*how == Sib::Full) == full).collect();
            let what = if full { "full sib" } else { "half sib" };
            let note = phrase!("{} of {tag} known", counted(all.len(), what), tag = &tag);
            let one = |(id, how, sure): (AnimalId, Sib, bool)| {
                let doubt = match (sure, how) {
                    (true, _) => "",
                    (false, Sib::ByDam) => ", perhaps a full one",
                    (false, _) => ", perhaps",
                };
                (id, phrase!("{}{doubt}", how.words()), how as i64)
            };
            (all.into_iter().map(one).collect(), note)
        }
        _ => {
            let (line, parent) = match which {
                Which::Dams => (dam_line(flock, id), "dam"),
                _ => (sire_line(flock, id), "sire"),
            };
            let back = counted(line.animals.len(), "generation");
            let circle = if line.circle { "; it runs in a circle: see Doubts" } else { "" };
            let note = phrase!(
                "The line of {parent}s of {tag} is known over {back}{circle}",
                parent = &parent,
                tag = &tag
            );
            let one = |(n, id): (usize, &AnimalId)| {
                let words = match n {
                    0 => parent.to_string(),
                    1 => format!("{parent}'s {parent}"),
                    n => phrase!("{parent}, {} back", n + 1),
                };
                (*id, words, n as i64)
            };
            (line.animals.iter().enumerate().map(one).collect(), note)
        }
    }
}

fn kin(ctx: &Ctx<'_>, id: AnimalId, which: Which, search: &str) -> Made {
    let (all, note) = relations(ctx, id, which);
    let ids: Vec<AnimalId> = all.iter().map(|(id, ..)| *id).collect();
    let shared = ctx.kindred.map(|k| k.with_each(id, &ids)).unwrap_or_else(|| vec![None; ids.len()]);
    let mut rows = Vec::new();
    for ((other, relation, order), f) in all.into_iter().zip(shared) {
        let Some(file) = ctx.flock.file(other) else { continue };
        let (tag, name, what) = names(ctx, file);
        if !fits(search, [tag, name, &what, &relation]) {
            continue;
        }
        let inbred = ctx.kindred.map(|k| inbred_words(k, other)).unwrap_or_default();
        let own = ctx.kindred.and_then(|k| k.inbreeding(other)).map(|f| (f * 1e6) as i64);
        let lamb = f.map(percent).unwrap_or_default();
        let said = phrase!(
            "{} {name}, {what}, {relation}, {inbred}, a lamb of the two would be {lamb} inbred",
            &file.animal.tag(),
            name = &name
        );
        rows.push(
            Row::new(other)
                .tag(tag)
                .text(name.to_string())
                .text(what)
                .number(relation, Some(order))
                .number(inbred, own)
                .number(lamb, f.map(|f| (f * 1e6) as i64))
                .said(said),
        );
    }
    Made { rows, note }
}

fn names<'a>(ctx: &Ctx<'_>, file: &'a AnimalFile) -> (&'a str, &'a str, String) {
    (file.animal.tag(), file.animal.name.as_deref().unwrap_or_default(), ctx.detail(file))
}

/// So many of a family are named.
const NAMED: usize = 8;

fn family_rows(ctx: &Ctx<'_>, by: Through, search: &str) -> Made {
    let all = families(ctx.flock, by);
    let alone = all.iter().filter(|f| f.known == 1).count();
    let kind = if by == Through::Sires { "ram families" } else { "dam families" };
    let note = phrase!("{} {kind}; {alone} of one animal alone, whose parent is not known", all.len());
    let row = |f: &Family| {
        let file = ctx.flock.file(f.founder)?;
        let (tag, name, what) = names(ctx, file);
        let tags: Vec<&str> = f.present.iter().take(NAMED).map(|id| ctx.flock.tag(*id)).collect();
        let more = f.present.len().saturating_sub(tags.len());
        let more = if more > 0 { phrase!(" and {more} more") } else { String::new() };
        let who = format!("{}{more}", tags.join(", "));
        if !fits(search, [tag, name, &what, &who]) {
            return None;
        }
        let number = |n: usize| (n.to_string(), i64::try_from(n).ok());
        let (here, known, back) = (number(f.present.len()), number(f.known), number(f.generations));
        let said = phrase!(
            "{tag} {name}, {} in the flock, {} known: {who}",
            here.0,
            known.0,
            tag = &tag,
            name = &name,
            who = &who
        );
        let row = Row::new(f.founder).tag(tag).text(name.to_string()).text(what);
        Some(row.number(here.0, here.1).number(known.0, known.1).number(back.0, back.1).text(who).said(said))
    };
    Made { rows: all.iter().filter_map(row).collect(), note }
}

fn breeds(ctx: &Ctx<'_>, search: &str) -> Made {
    let mut differ = 0;
    let mut files: Vec<&AnimalFile> = ctx.flock.present().collect();
    files.sort_by(|a, b| hirsel_core::flock::natural(a.animal.tag(), b.animal.tag()));
    let mut rows = Vec::new();
    for file in files {
        let a: &Animal = &file.animal;
        let (tag, name, what) = names(ctx, file);
        let written = a.breed.as_ref().map(ToString::to_string).unwrap_or_default();
        let parents = breed_of_parents(ctx.flock, a);
        let other = a.breed.as_ref().zip(parents.as_ref()).is_some_and(|(b, p)| !same(b, p));
        differ += usize::from(other);
        let (by, word) =
            (parents.map(|p| p.to_string()).unwrap_or_default(), if other { "differs" } else { "" });
        if fits(search, [tag, name, &what, &written, &by, word]) {
            rows.push(
                Row::new(a.id).tag(tag).text(name.to_string()).text(what).text(written).text(by).text(word),
            );
        }
    }
    let note = match differ {
        0 => phrase!("Breeds as written, and as the parents' breeds make them"),
        n => phrase!("Breeds as written, and as the parents' breeds make them: {n} differ"),
    };
    Made { rows, note }
}

/// The same parts in any order.
fn same(a: &hirsel_core::terms::Breed, b: &hirsel_core::terms::Breed) -> bool {
    let sorted = |breed: &hirsel_core::terms::Breed| {
        let mut all: Vec<(String, u32, u32)> =
            breed.parts().iter().map(|p| (p.name.to_lowercase(), p.num, p.den)).collect();
        all.sort();
        all
    };
    sorted(a) == sorted(b)
}
