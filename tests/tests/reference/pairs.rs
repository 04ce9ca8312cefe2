//! A flock of two rams and five ewes whose best set can be proved on paper, from the core and from the command line.
//!
//! Coancestries (Wright 1922: parent and child ¼, half sibs ⅛, unrelated 0; half a step more halves them):
//!
//! | ewe | what she is | with R1 | with R2 |
//! | --- | --- | --- | --- |
//! | E1 | daughter of R1 | ¼ | 0 |
//! | E2 | half sister of R1 (same dam) | ⅛ | 0 |
//! | E3 | daughter of R2 | 0 | ¼ |
//! | E4 | granddaughter of R2 | 0 | ⅛ |
//! | E5 | no kin | 0 | 0 |
//!
//! R1 may have four ewes and R2 one, so just one ewe x goes to R2, and the sum is ⅜ − f(x, R1) + f(x, R2): E1 ⅛,
//! E2 ¼, E5 ⅜, E4 ½, E3 ⅝. These five are all the sets there are.

use std::process::Stdio;

use hirsel_core::book::Book;
use hirsel_core::entry::{self, AnimalDraft, GeneTestDraft};
use hirsel_core::flock::{Flock, Sire, Tested};
use hirsel_core::reckon::kinship::Kindred;
use hirsel_core::reckon::mating::{
    CarriedGenes, HandsOn as _, Pairs, PairsAsk, RamCap, Weights, pairs, percent,
};
use hirsel_core::terms::{AnimalId, Born, GeneStatus, Sex, Tag};
use hirsel_tests::cli::{hirsel, run, said};
use hirsel_tests::flocks::{Folder, day, empty_book, write};

const TODAY: &str = "2026-10-10";

/// Writes the flock as a book.
fn book(folder: &Folder) -> std::sync::Arc<Flock> {
    let book = open(folder);
    let flock = book.flock();
    book.close().expect("closed");
    flock
}

fn open(folder: &Folder) -> Book {
    let mut book = empty_book(folder);
    let mut drafts: Vec<AnimalDraft> = Vec::new();
    let rows: [(&str, Sex, &str, &str, &str); 12] = [
        // Tag, sex, born, dam, sire.
        ("D1", Sex::Ewe, "2015-04-01", "", ""),
        ("S1", Sex::Ram, "2015-04-01", "", ""),
        ("S2", Sex::Ram, "2015-04-01", "", ""),
        ("D2", Sex::Ewe, "2015-04-01", "", ""),
        ("R1", Sex::Ram, "2018-04-01", "D1", "S1"),
        ("R2", Sex::Ram, "2018-04-01", "", ""),
        ("E1", Sex::Ewe, "2020-04-01", "D2", "R1"),
        ("E2", Sex::Ewe, "2019-04-01", "D1", "S2"),
        ("E3", Sex::Ewe, "2020-04-01", "", "R2"),
        ("G3", Sex::Ewe, "2020-04-01", "", "R2"),
        ("E4", Sex::Ewe, "2022-04-01", "G3", ""),
        ("E5", Sex::Ewe, "2020-04-01", "", ""),
    ];
    let id = |drafts: &[AnimalDraft], tag: &str| {
        let found = drafts.iter().find(|d| d.identities.iter().any(|i| i.tag.as_str() == tag));
        found.map(|d| d.id)
    };
    for (tag, sex, born, dam, sire) in rows {
        let mut d = AnimalDraft::new(Tag::parse(tag).expect("a tag"), sex);
        d.born = Born::parse(born).expect("a day");
        d.dam = id(&drafts, dam);
        d.sire = id(&drafts, sire).map_or(Sire::Unknown, Sire::Known);
        drafts.push(d);
    }
    let check = entry::animals(drafts, &book.flock(), day(TODAY));
    write(&mut book, check);
    book
}

fn id(flock: &Flock, tag: &str) -> AnimalId {
    flock.by_tag(tag).unwrap_or_else(|| panic!("{tag}"))
}

fn ask(flock: &Flock) -> PairsAsk {
    PairsAsk {
        ewes: ["E1", "E2", "E3", "E4", "E5"].iter().map(|t| id(flock, t)).collect(),
        rams: vec![
            RamCap { ram: id(flock, "R1"), most: 4, least: 0 },
            RamCap { ram: id(flock, "R2"), most: 1, least: 0 },
        ],
        weights: Weights::KINSHIP,
        ..PairsAsk::default()
    }
}

fn solve(flock: &Flock, ask: &PairsAsk) -> Pairs {
    pairs(flock, &Kindred::of(flock), ask, &mut |_| true).unwrap_or_else(|e| panic!("{e}"))
}

fn rams(flock: &Flock, p: &Pairs) -> String {
    p.pairs().map(|p| format!("{}:{}", flock.tag(p.ewe), flock.tag(p.ram))).collect::<Vec<_>>().join(" ")
}

fn same(a: f64, b: f64) {
    assert!((a - b).abs() < 1e-9, "{a} and {b}");
}

#[test]
fn coancestries_are_those_of_the_table() {
    let folder = Folder::new();
    let flock = book(&folder);
    let found = solve(&flock, &ask(&flock));
    for (ewe, one, two) in
        [("E1", 0.25, 0.0), ("E2", 0.125, 0.0), ("E3", 0.0, 0.25), ("E4", 0.0, 0.125), ("E5", 0.0, 0.0)]
    {
        for (ram, f) in [("R1", one), ("R2", two)] {
            let terms = found.terms(id(&flock, ewe), id(&flock, ram)).expect("terms");
            same(terms.coancestry, f);
        }
    }
}

#[test]
fn the_best_set_the_next_ones_and_every_change() {
    let folder = Folder::new();
    let flock = book(&folder);
    let found = solve(&flock, &ask(&flock));
    assert_eq!(rams(&flock, &found), "E1:R2 E2:R1 E3:R1 E4:R1 E5:R1");
    let totals = found.totals();
    same(totals.mean, 0.125 / 5.0);
    same(totals.worst.coancestry, 0.125);
    assert_eq!(totals.worst.ewe, id(&flock, "E2"));
    assert_eq!(totals.ewes.iter().map(|e| e.1).collect::<Vec<_>>(), [4, 1]);
    // The four other sets, in order of their sums less the best: ¼, ⅜, ½, ⅝ less ⅛.
    let next = found.alternatives(9);
    let extra: Vec<f64> = next.iter().map(|a| a.extra).collect();
    assert_eq!(extra.len(), 4, "there are five sets in all");
    for (a, b) in extra.iter().zip([0.125, 0.25, 0.375, 0.5]) {
        same(*a, b);
    }
    // Forcing a ewe to R2 is the set with her there; forcing E1 to R1 is the next best set.
    for (ewe, ram, cost, alone) in [
        ("E2", "R2", 0.125, -0.125),
        ("E5", "R2", 0.25, 0.0),
        ("E4", "R2", 0.375, 0.125),
        ("E3", "R2", 0.5, 0.25),
        ("E1", "R1", 0.125, 0.25),
    ] {
        let (e, r) = (id(&flock, ewe), id(&flock, ram));
        same(found.cost_of_forcing(e, r).expect("it can be"), cost);
        same(found.cost_alone(e, r).expect("known"), alone);
        let new = found.force(&flock, e, r).expect("it can be");
        assert_eq!(new.ram_of(e), Some(r));
        same(new.totals().mean, (0.125 + cost) / 5.0);
        // She stays there whatever else is changed.
        assert_eq!(new.kept(), [(e, r)]);
        let back = new.free(&flock, e).expect("freed");
        assert_eq!(rams(&flock, &back), rams(&flock, &found));
    }
}

#[test]
fn the_reasons_are_said() {
    let folder = Folder::new();
    let flock = book(&folder);
    let found = solve(&flock, &ask(&flock));
    let why = |p: &Pairs, ewe: &str| p.told(&flock, id(&flock, ewe)).expect("told").reason;
    assert_eq!(why(&found, "E1"), "no known kin; R1 would give 25.0 %");
    assert_eq!(
        why(&found, "E2"),
        "R2 would give 0.0 %, but others need him more: worse by 12.5 % over all lambs"
    );
    assert_eq!(why(&found, "E5"), "no known kin of either");
    let forced = found.force(&flock, id(&flock, "E3"), id(&flock, "R2")).expect("it can be");
    assert_eq!(why(&forced, "E3"), "kept as you set it; R1 would give 0.0 %");
    let mut limited = ask(&flock);
    limited.limit = Some(0.2);
    let limited = solve(&flock, &limited);
    assert_eq!(why(&limited, "E1"), "the only one within the limit; R1 would give 25.0 %");
    assert_eq!(percent(0.0625), "6.3 %");
}

#[test]
fn what_cannot_be_is_told_with_who_stands_in_the_way() {
    let folder = Folder::new();
    let flock = book(&folder);
    let mut asked = ask(&flock);
    asked.limit = Some(0.1);
    let why = |asked: &PairsAsk| {
        pairs(&flock, &Kindred::of(&flock), asked, &mut |_| true)
            .err()
            .map(|e| e.to_string())
            .unwrap_or_default()
    };
    assert_eq!(
        why(&asked),
        "2 ewes (E1, E2) may only go to R2, who may have 1: raise a number or the limit, allow other pairs, or leave 1 out"
    );
    asked.forbid = vec![(id(&flock, "E1"), id(&flock, "R2"))];
    assert_eq!(
        why(&asked),
        "no ram for E1 stays within 10.0 %; R1 would give least, 25.0 %: raise the limit or leave her out"
    );
}

/// The same by the command line: the contract's columns first, the second choice after them.
#[test]
fn the_command_line_says_the_same() {
    let folder = Folder::new();
    book(&folder);
    let ewes = ["--animal", "E1", "--animal", "E2", "--animal", "E3", "--animal", "E4", "--animal", "E5"];
    let call = |more: &[&str]| {
        let mut c = hirsel(folder.path());
        c.args(["reckon", "flock.hirsel", "pairs", "--format", "csv", "--on", TODAY]).args(ewes).args(more);
        c.stdin(Stdio::null());
        run(c)
    };
    let text = |more: &[&str]| {
        let output = call(more);
        assert!(output.status.success(), "{more:?}: {}", said(&output));
        String::from_utf8_lossy(&output.stdout).into_owned()
    };
    let rams = ["--rams", "R1:4,R2:1"];
    assert_eq!(
        text(&rams),
        "ewe,ram,coancestry,second_ram,second_coancestry\n\
         E1,R2,0,R1,0.25\nE2,R1,0.125,R2,0\nE3,R1,0,R2,0.25\nE4,R1,0,R2,0.125\nE5,R1,0,R2,0\n"
    );
    let kept = text(&[&rams[..], &["--keep", "E5:R2", "--forbid", "E1:R2"]].concat());
    assert!(kept.contains("E5,R2,0,,\n") && kept.contains("E1,R1,0.25,,\n"), "{kept}");
    for (more, code, words) in [
        (&["--limit", "10%"][..], 1, "2 ewes (E1, E2) may only go to R2"),
        (&["--limit", "much"], 2, "'much' is no limit on inbreeding: write it like 0.0625 or 6.25%"),
        (&["--forbid", "E1"], 2, "'E1' is no pair: write the ewe and the ram like 0412:R1"),
        (&["--keep", "R1:E1"], 1, "R1 is a ram: write the ewe before the colon and the ram after it"),
        (&["--keep", "E9:R1"], 1, "no animal wears the tag E9: mend the tag"),
    ] {
        let output = call(&[&rams[..], more].concat());
        assert_eq!(output.status.code(), Some(code), "{more:?}: {}", said(&output));
        assert!(said(&output).contains(words), "{more:?}: {}", said(&output));
    }
    let mut c = hirsel(folder.path());
    c.args(["reckon", "flock.hirsel", "kinship", "--limit", "0.1"]).stdin(Stdio::null());
    assert_eq!(said(&run(c)), "hirsel: --limit goes with pairs only: leave it out\n");
}

/// R1 is a carrier by test. His daughter E1 has the copy from him with ½ and, at a share of 0.05 among what nobody
/// tested (genotypes of founders q², 2q(1−q): Hardy 1908, Weinberg 1908), from her dam with 0.05: she hands it on with
/// (0.5 + 0.05)/2 = 0.275. Of E5 nothing is known.
#[test]
fn what_a_daughter_hands_on_follows_from_her_sires_test() {
    let folder = Folder::new();
    let mut book = open(&folder);
    let flock = book.flock();
    let draft = GeneTestDraft {
        animal: id(&flock, "R1"),
        on: day("2026-09-01"),
        found: Tested::Recessive { gene: "grey wool".into(), status: GeneStatus::Carrier },
        lab: None,
        number: None,
        note: None,
    };
    let check = entry::gene_tests(vec![draft], &flock, day(TODAY));
    write(&mut book, check);
    let flock = book.flock();
    let [r1, e1, e5] = ["R1", "E1", "E5"].map(|t| id(&flock, t));
    let genes = CarriedGenes::of(&flock, &[r1, e1, e5]);
    same(genes.chance(r1, 0).expect("tested"), 0.5);
    same(genes.chance(e1, 0).expect("through her sire"), 0.275);
    assert_eq!(genes.chance(e5, 0), None);
    same(genes.genes()[0].affected(0.5, 0.275), 0.1375);
}
