//! Kinship through the whole program against printed examples (`reference/kinship.toml`, each with its source): a table
//! of animals is brought into a book, and what the window and the command line show is compared. And pedigrees that
//! cannot be: refused by name through forms and imports alike.

use hirsel_core::book::Book;
use hirsel_core::entry::{self, AnimalDraft, Refusal, SireDraft};
use hirsel_core::exchange::{Kind, read};
use hirsel_core::flock::Sire;
use hirsel_core::reckon::kinship::{
    Diversity, FounderShare, Kept, Kindred, Lines, NONE, Pedigree, Side, founder_equivalents,
    genomes_by_kept, inbreeding, lines, size_by_sexes,
};
use hirsel_core::terms::{AnimalId, Sex, Tag};
use hirsel_tests::book::{new_book, room, today};
use hirsel_tests::cli::{hirsel, run, said};
use hirsel_tests::reference::rows;
use serde::Deserialize;
use std::collections::BTreeSet;
use tempfile::TempDir;

const WITHIN: f64 = 1e-6;

fn close(a: f64, b: f64, what: &str) {
    assert!((a - b).abs() < WITHIN, "{what}: {a} and not {b}");
}

/// `1,0,0 2,0,0 3,1,2` as a table of animals; who is a sire is a ram, all others are ewes.
fn table(pedigree: &str, living: &dyn Fn(&str) -> bool) -> String {
    let all: Vec<Vec<&str>> = pedigree.split_whitespace().map(|a| a.split(',').collect()).collect();
    let rams: BTreeSet<&str> = all.iter().map(|a| a[1]).collect();
    let mut text = String::from("tag,sex,sire,dam,status\n");
    for a in &all {
        let tag = |n: &str| if n == "0" { String::new() } else { format!("N{n}") };
        let sex = if rams.contains(a[0]) { "ram" } else { "ewe" };
        let status = if living(a[0]) { "in the flock" } else { "outside" };
        text.push_str(&format!("{},{sex},{},{},{status}\n", tag(a[0]), tag(a[1]), tag(a[2])));
    }
    text
}

/// A book with this table of animals.
fn book_of(csv: &str) -> (TempDir, Book) {
    let room = room();
    let mut book = new_book(room.path());
    let reading = read(Kind::Animals, "animals.csv", csv.as_bytes(), &book.flock(), today())
        .unwrap_or_else(|e| panic!("{e}\n{csv}"));
    book.write(reading.sure("").expect("plain").expect("animals")).unwrap_or_else(|e| panic!("{e}"));
    (room, book)
}

fn id(book: &Book, n: impl std::fmt::Display) -> AnimalId {
    book.flock().by_tag(&format!("N{n}")).expect("the animal")
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Fact {
    what: String,
    pedigree: String,
    inbreeding: f64,
}

#[test]
fn lambs_of_relatives() {
    for r in rows::<Fact>("kinship", "fact") {
        let (_room, book) = book_of(&table(&r.pedigree, &|_| true));
        let k = Kindred::of(&book.flock());
        let last = r.pedigree.split_whitespace().count();
        let lamb = id(&book, last);
        close(k.inbreeding(lamb).expect("known"), r.inbreeding, &r.what);
        // What is shown of a mating before it happens is what the lamb is.
        let flock = book.flock();
        let a = flock.animal(lamb).expect("the lamb");
        let (sire, dam) = (a.sire.known().expect("a sire"), a.dam.expect("a dam"));
        close(k.coancestry(sire, dam).expect("known"), r.inbreeding, &r.what);
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Sibs {
    inbreeding: Vec<f64>,
}

#[test]
fn full_sibs_again_and_again() {
    for r in rows::<Sibs>("kinship", "sibs") {
        let mut pedigree = String::from("1,0,0 2,0,0");
        for g in 1..=r.inbreeding.len() {
            let (s, d) = (2 * g - 1, 2 * g);
            pedigree.push_str(&format!(" {},{s},{d} {},{s},{d}", 2 * g + 1, 2 * g + 2));
        }
        let (_room, book) = book_of(&table(&pedigree, &|_| true));
        let k = Kindred::of(&book.flock());
        for (g, f) in r.inbreeding.iter().enumerate() {
            for lamb in [2 * g + 3, 2 * g + 4] {
                close(k.inbreeding(id(&book, lamb)).expect("known"), *f, &format!("generation {g}"));
            }
        }
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Mrode {
    pedigree: String,
    relationship: Vec<Vec<f64>>,
}

/// The whole matrix, in the program and as the command line prints it.
#[test]
fn mrodes_matrix() {
    for r in rows::<Mrode>("kinship", "mrode") {
        // Animal 5 is a sire, and 4: rams; 2 and 3 are dams.
        let (room, book) = book_of(&table(&r.pedigree, &|_| true));
        let k = Kindred::of(&book.flock());
        let ids: Vec<AnimalId> = (1..=r.relationship.len()).map(|n| id(&book, n)).collect();
        for (i, row) in r.relationship.iter().enumerate() {
            close(k.inbreeding(ids[i]).expect("known"), row[i] - 1.0, "inbreeding");
            for (f, a) in k.with_each(ids[i], &ids).iter().zip(row) {
                close(f.expect("known"), a / 2.0, "coancestry");
            }
        }
        let path = book.path().to_path_buf();
        book.close().expect("closed");
        let mut call = hirsel(room.path());
        call.arg("reckon").arg(&path).args(["kinship", "--matrix"]);
        let done = run(call);
        assert!(done.status.success(), "{}", said(&done));
        let text = String::from_utf8(done.stdout).expect("text");
        let mut lines = text.lines();
        assert_eq!(lines.next(), Some("tag,N1,N2,N3,N4,N5,N6"));
        for (line, row) in lines.zip(&r.relationship) {
            let values: Vec<f64> = line.split(',').skip(1).map(|v| v.parse().expect("a number")).collect();
            assert_eq!(values.len(), row.len());
            values.iter().zip(row).for_each(|(f, a)| close(*f, a / 2.0, "printed"));
        }
        let mut call = hirsel(room.path());
        call.arg("reckon").arg(&path).args(["kinship", "--format", "csv"]);
        let printed = run(call);
        assert!(printed.stdout.starts_with(b"tag,inbreeding,complete_generations\n"));
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Boichard {
    founder_equivalents: f64,
    effective_ancestors: f64,
    founder_genomes: f64,
    mean_inbreeding: f64,
    mean_coancestry: f64,
    complete_generations: f64,
}

fn boichard() -> (TempDir, Book) {
    let text = include_str!("../../reference/boichard_1997_fig2.csv");
    let number = |c: &str| if c.is_empty() { "0".to_string() } else { c.to_string() };
    let pedigree: Vec<String> = text
        .lines()
        .skip(1)
        .map(|l| l.split(',').take(3).map(number).collect::<Vec<_>>().join(","))
        .collect();
    let living = |n: &str| matches!(n.parse::<u32>(), Ok(7..=14 | 19 | 20));
    book_of(&table(&pedigree.join(" "), &living))
}

#[test]
fn boichards_figure() {
    for r in rows::<Boichard>("kinship", "boichard") {
        let (_room, book) = boichard();
        let flock = book.flock();
        let made = Diversity::of(&flock, &Kindred::of(&flock), today());
        assert_eq!(made.living, 10);
        for (key, expected) in [
            ("founder_equivalents", r.founder_equivalents),
            ("effective_ancestors", r.effective_ancestors),
            ("founder_genomes", r.founder_genomes),
            ("mean_inbreeding", r.mean_inbreeding),
            ("mean_kinship", r.mean_coancestry),
            ("complete_generations", r.complete_generations),
        ] {
            let figure = made.figure(key).unwrap_or_else(|| panic!("no {key}"));
            close(figure.value.expect("known"), expected, key);
        }
        // Shares of the founders, and 5 and 6 as the ancestors that explain most.
        for f in &made.founders {
            let expected = if ["N15", "N16"].contains(&flock.tag(f.animal)) { 0.1 } else { 0.2 };
            close(f.share, expected, flock.tag(f.animal));
            assert!(f.unknown.is_none() && f.kept > 0.0 && f.kept <= 1.0);
        }
        close(made.founders.iter().map(|f| f.share).sum(), 1.0, "all founders");
        let top: BTreeSet<&str> = made.ancestors.iter().take(2).map(|a| flock.tag(a.animal)).collect();
        assert_eq!(top, BTreeSet::from(["N5", "N6"]));
        close(made.ancestors[1].together, 0.8, "both together");
        close(made.ancestors.last().expect("some").together, 1.0, "all ancestors");
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Lacy {
    shares: Vec<f64>,
    kept: f64,
    equivalents: f64,
}

#[test]
fn lacys_shares() {
    for r in rows::<Lacy>("kinship", "lacy") {
        let shares: Vec<FounderShare> = r
            .shares
            .iter()
            .zip(0..)
            .map(|(share, place)| FounderShare { place, phantom: false, share: *share })
            .collect();
        let kept: Vec<Kept> = shares.iter().map(|share| Kept { share: *share, kept: r.kept }).collect();
        close(genomes_by_kept(&kept), r.equivalents, "founder genomes");
        if r.kept == 1.0 {
            close(founder_equivalents(&shares), r.equivalents, "founder equivalents");
        }
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Size {
    rams: usize,
    ewes: usize,
    effective: f64,
}

#[test]
fn sizes_by_the_sexes() {
    for r in rows::<Size>("kinship", "size") {
        close(size_by_sexes(r.rams, r.ewes), r.effective, "effective size");
    }
}

/// Every figure has its words, and none is forgotten where there is nothing to reckon it from.
#[test]
fn every_figure_says_what_to_do() {
    let (_room, book) = boichard();
    let flock = book.flock();
    let made = Diversity::of(&flock, &Kindred::of(&flock), today());
    let keys: BTreeSet<&str> = made.figures.iter().map(|f| f.key).collect();
    assert_eq!(keys.len(), made.figures.len(), "no key twice");
    for f in &made.figures {
        let words = [f.name, &f.shown, f.formula, f.source, &f.advice];
        assert!(words.iter().all(|w| !w.trim().is_empty()), "{f:?}");
        assert!(f.value.is_none_or(f64::is_finite), "{f:?}");
        assert!(f.advice.ends_with('.'), "{}", f.advice);
        assert_eq!(f.value.is_none(), f.shown == "not known", "{f:?}");
    }
    assert!(made.figure("generation_interval").expect("there").value.is_none(), "no birth days");
    // Nobody in the flock: no figures, and no panic.
    let (_room, empty) = book_of("tag,sex,status\nN1,ewe,outside\n");
    let flock = empty.flock();
    let made = Diversity::of(&flock, &Kindred::of(&flock), today());
    assert_eq!((made.living, made.figures.len(), made.animals.len()), (0, 0, 0));
}

// --- pedigrees that cannot be ---------------------------------------------------------------------

/// What a table of animals is refused with.
fn refused(csv: &str) -> String {
    let room = room();
    let book = new_book(room.path());
    match read(Kind::Animals, "animals.csv", csv.as_bytes(), &book.flock(), today()) {
        Err(unfit) => unfit.to_string(),
        Ok(_) => panic!("taken in:\n{csv}"),
    }
}

#[test]
fn bad_pedigrees_are_refused_on_import() {
    let three = refused("tag,sex,dam\nA,ewe,C\nB,ewe,A\nC,ewe,B\n");
    for tag in ["A", "B", "C"] {
        assert!(three.contains(tag), "every animal of the circle is named: {three}");
    }
    let own = refused("tag,sex,dam\nA,ewe,A\n");
    assert!(own.contains('A'), "{own}");
    let ewe = refused("tag,sex,sire\nE9,ewe,\nL1,ewe,E9\n");
    assert!(ewe.contains("E9 is a ewe"), "{ewe}");
    let both = refused("tag,sex,sire,dam\nR5,ram,,\nL1,ewe,R5,\nL2,ewe,,R5\n");
    assert!(both.contains("R5 is a ram"), "{both}");
    let young = refused("tag,sex,born,dam\nM1,ewe,2025-01-01,\nL1,ewe,2024-01-01,M1\n");
    assert!(young.contains("M1") && young.contains("L1"), "{young}");
}

fn draft(tag: &str, sex: Sex) -> AnimalDraft {
    AnimalDraft::new(Tag::parse(tag).expect("a tag"), sex)
}

fn words(check: entry::Check) -> String {
    match check {
        Err(refusals) => refusals.iter().map(Refusal::to_string).collect::<Vec<_>>().join("\n"),
        Ok(_) => panic!("let through"),
    }
}

#[test]
fn bad_pedigrees_are_refused_in_forms() {
    let (_room, book) = book_of("tag,sex,dam,sire\nN1,ewe,,\nN2,ewe,N1,\nN3,ewe,N2,\nN4,ram,,\n");
    let flock = book.flock();
    // The granddam as her own grandlamb's lamb: a circle of three through the form of an animal.
    let mut granddam = flock.animal(id(&book, 1)).expect("there").clone();
    granddam.dam = Some(id(&book, 3));
    let why = words(entry::edit_animal(granddam, Some("by mistake"), &flock, today()));
    for tag in ["N1", "N2", "N3"] {
        assert!(why.contains(tag), "{why}");
    }
    let mut own = flock.animal(id(&book, 1)).expect("there").clone();
    own.dam = Some(own.id);
    let why = words(entry::edit_animal(own, Some("by mistake"), &flock, today()));
    assert!(why.contains("N1"), "{why}");
    let mut lamb = draft("L1", Sex::Ewe);
    lamb.sire = SireDraft::Known(id(&book, 1));
    let why = words(entry::animals(vec![lamb], &flock, today()));
    assert!(why.contains("N1 is a ewe"), "{why}");
    let mut lamb = draft("L1", Sex::Ewe);
    lamb.dam = Some(id(&book, 4));
    let why = words(entry::animals(vec![lamb], &flock, today()));
    assert!(why.contains("N4 is a ram"), "{why}");
    assert_eq!(flock.animal(id(&book, 3)).map(|a| a.sire == Sire::Unknown), Some(true));
}

/// Ten thousand generations of one ram on his own daughters, through the import: no deep stack anywhere, and inbreeding
/// nears one half (by hand: f(ram, daughter) = ½(½ + f(ram, dam)), from 0).
#[test]
fn ten_thousand_generations() {
    let mut csv = String::from("tag,sex,sire,dam\nN0,ram,,\nN1,ewe,,\n");
    for g in 2..=10_000 {
        csv.push_str(&format!("N{g},ewe,N0,N{}\n", g - 1));
    }
    let (_room, book) = book_of(&csv);
    let flock = book.flock();
    let k = Kindred::of(&flock);
    assert!(k.circle().is_none());
    let mut f = 0.0;
    for g in 2..60 {
        close(k.inbreeding(id(&book, g)).expect("known"), f, &format!("generation {g}"));
        f = 0.5 * (0.5 + f);
    }
    close(k.inbreeding(id(&book, 10_000)).expect("known"), 0.5, "the last");
    let depth = k.depth(id(&book, 10_000)).expect("known");
    assert!(depth.is_finite() && depth > 1.0, "{depth}");
    let made = Diversity::of(&flock, &k, today());
    assert_eq!(made.dam_lines.len(), 1, "one line of dams, ten thousand long");
}

/// Fifty thousand sires above sires and dams above dams, without a book.
#[test]
fn fifty_thousand_generations_of_lines() {
    let mut p = Pedigree::default();
    let (mut ram, mut ewe) = (p.push(NONE, NONE), p.push(NONE, NONE));
    for _ in 0..50_000 {
        (ram, ewe) = (p.push(ram, NONE), p.push(NONE, ewe));
    }
    let lamb = p.push(ram, ewe);
    assert_eq!(inbreeding(&p, 1)[lamb as usize], 0.0);
    let male: Vec<bool> = (0..p.len()).map(|i| i % 2 == 0).collect();
    let Lines { lines: dams, unknown } = lines(&p, &male, &[lamb], Side::Dams);
    assert_eq!((dams[0].root, unknown), (1, 0));
}
