//! Tests of genes and parents as rows.

use super::kind::{Column, may, must};
use super::names::{ADD_FIRST, Names};
use super::sheet::{Cells, Sheet};
use super::{Taken, Unfit, text};
use crate::entry::{Entry, GeneTestDraft, gene_tests};
use crate::flock::{Flock, GeneTest, Tested, natural};
use crate::terms::{Day, GeneStatus, Misread, Scrapie};

pub(super) const COLUMNS: &[Column] = &[
    must("tag", "tag of the animal"),
    must("on", "day of the report or the sample"),
    must("kind", "scrapie, recessive, parentage, other"),
    may("what", "name of the recessive gene, or what another test was for"),
    may("result", "ARR/ARQ; clear, carrier, affected; is, is not; or in words"),
    may("parent", "of a parentage test: tag of the parent it was about"),
    may("lab", "the laboratory"),
    may("number", "number of its report"),
    may("note", "note"),
];

const IS: &str = "is";
const IS_NOT: &str = "is not";

pub(super) fn read(sheet: &Sheet, flock: &Flock, names: &Names, today: Day) -> Result<Taken, Unfit> {
    let (mut bad, mut drafts, mut order, mut same) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for (i, line) in sheet.rows.iter().enumerate() {
        let mut c = sheet.cells(line, &mut bad);
        let animal = c.must("tag", "a tag", |t| names.read(t, ADD_FIRST));
        let on = c.day("on");
        let found = found(&mut c, names);
        let (lab, number, note) = (c.words("lab"), c.words("number"), c.words("note"));
        let (Some(animal), Some(on), Some(found), true) = (animal, on, found, c.good()) else { continue };
        let draft = GeneTestDraft { animal, on, found, lab, number, note };
        if flock.file(animal).is_some_and(|f| f.tests.iter().any(|t| is_same(t, &draft))) {
            same.push(line.number);
            continue;
        }
        drafts.push(draft);
        order.push(i);
    }
    let check = (!drafts.is_empty()).then(|| gene_tests(drafts, flock, today));
    sheet.outcome(
        bad,
        check,
        &order,
        same,
        // A parentage test that cannot be says so of a dam or sire, which these rows have not.
        |r| {
            let parent = matches!(r.field.name, "dam" | "sire");
            let line = sheet.rows.get(*order.get(r.field.row)?).filter(|_| parent)?;
            Some(sheet.place(Some(line), "parent", &r.why))
        },
        |c| match c.entry() {
            Entry::GeneTests { tests, .. } => tests.iter().map(|t| row(flock, names, t)).collect(),
            _ => Vec::new(),
        },
    )
}

/// What was looked for and found, by the kind of the row.
fn found(c: &mut Cells<'_>, names: &Names) -> Option<Tested> {
    let kind = c.must("kind", "the kind of test", |t| {
        let low = t.to_lowercase();
        let known = ["scrapie", "recessive", "parentage", "other"].into_iter().find(|k| *k == low);
        known.ok_or_else(|| {
            Misread::new(format!("'{t}' is no kind of test: write scrapie, recessive, parentage or other"))
        })
    })?;
    let words = |t: &str| Ok(t.to_string());
    match kind {
        "scrapie" => c.must("result", "the genotype", Scrapie::parse).map(Tested::Scrapie),
        "recessive" => {
            let gene = c.must("what", "the name of the gene", words);
            let status = c.must("result", "what it showed", GeneStatus::parse);
            gene.zip(status).map(|(gene, status)| Tested::Recessive { gene, status })
        }
        "parentage" => {
            let parent = c.must("parent", "the tag of the parent it was about", |t| names.read(t, ADD_FIRST));
            let is = c.must("result", "what it showed", |t| match t.to_lowercase().as_str() {
                IS | "yes" => Ok(true),
                IS_NOT | "isn't" | "no" => Ok(false),
                _ => Err(Misread::new(format!("'{t}' is neither: write is, or is not"))),
            });
            parent.zip(is).map(|(parent, is)| Tested::Parentage { parent, is })
        }
        _ => {
            let what = c.must("what", "what the test was for", words);
            let result = c.must("result", "what it showed", words);
            what.zip(result).map(|(what, result)| Tested::Other { what, result })
        }
    }
}

fn is_same(t: &GeneTest, d: &GeneTestDraft) -> bool {
    t.struck.is_none()
        && (t.on, &t.found) == (d.on, &d.found)
        && (&t.lab, &t.number, &t.note) == (&d.lab, &d.number, &d.note)
}

pub(super) fn rows(flock: &Flock, names: &Names) -> Vec<Vec<String>> {
    let mut all: Vec<&GeneTest> =
        flock.files().flat_map(|f| &f.tests).filter(|t| t.struck.is_none()).collect();
    // Of one animal as they were written: what a later test says of a parent is what stands.
    all.sort_by(|a, b| {
        natural(flock.tag(a.animal), flock.tag(b.animal))
            .then_with(|| a.animal.cmp(&b.animal))
            .then(a.id.cmp(&b.id))
    });
    all.into_iter().map(|t| row(flock, names, t)).collect()
}

fn row(flock: &Flock, names: &Names, t: &GeneTest) -> Vec<String> {
    let (what, result, parent) = match &t.found {
        Tested::Scrapie(g) => (String::new(), g.to_string(), String::new()),
        Tested::Recessive { gene, status } => (gene.clone(), status.word().to_string(), String::new()),
        Tested::Parentage { parent, is } => {
            let is = if *is { IS } else { IS_NOT };
            (String::new(), is.to_string(), names.name_of(flock, Some(*parent)))
        }
        Tested::Other { what, result } => (what.clone(), result.clone(), String::new()),
    };
    vec![
        names.name_of(flock, Some(t.animal)),
        t.on.to_string(),
        t.found.kind().to_string(),
        what,
        result,
        parent,
        text(&t.lab),
        text(&t.number),
        text(&t.note),
    ]
}
