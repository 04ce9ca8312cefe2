//! Any marks, crayons, scans and tests, for the round trip.

use super::*;
use crate::entry::{Check, CrayonDraft, GeneTestDraft, MarkDraft, ScanDraft};
use crate::flock::{AnimalFile, Tested};

fn word(n: usize) -> Option<String> {
    (!n.is_multiple_of(3)).then(|| format!("{} {n}", TAGS[n % TAGS.len()]))
}

/// One entry of blood or mating; nothing where it needs what is not there.
pub(super) fn check(flock: &Flock, op: &Op, n: usize) -> Option<Check> {
    let today = day(TODAY);
    let on = today.plus(-i64::from(op.c % 2500));
    let mut files: Vec<_> = flock.files().collect();
    files.sort_by_key(|f| f.animal.id);
    // Mostly of the fitting sex; now and then any, to be refused.
    let of = |sex: Sex, i: usize| -> Option<&AnimalFile> {
        let fit: Vec<_> = files.iter().copied().filter(|f| f.animal.sex == sex || i == 39).collect();
        fit.get(i % fit.len().max(1)).copied()
    };
    Some(match op.what {
        22 | 23 => {
            let draft = MarkDraft {
                ewe: of(Sex::Ewe, op.a)?.animal.id,
                ram: of(Sex::Ram, op.b).map(|f| f.animal.id).filter(|_| op.b.is_multiple_of(2)),
                on,
                kind: MarkKind::ALL[op.a % 2],
                colour: word(op.b),
                note: word(n),
            };
            entry::marks(vec![draft], flock, today)
        }
        24 => {
            let colour = ["red", "", "blue", "=2"][op.b % 4].to_string();
            let draft = CrayonDraft { ram: of(Sex::Ram, op.a)?.animal.id, on, colour };
            entry::crayons(vec![draft], flock, today)
        }
        25 => {
            let found = Scanned::ALL[op.a % Scanned::ALL.len()];
            let draft = ScanDraft {
                ewe: of(Sex::Ewe, op.a)?.animal.id,
                on,
                found,
                age_days: Some(op.c % 170).filter(|_| op.b.is_multiple_of(2)),
                note: word(n),
            };
            entry::scans(vec![draft], flock, today)
        }
        _ => {
            let animal = files.get(op.a % files.len().max(1))?.animal.id;
            let allele = |i: usize| PrionAllele::COMMON[i % 5];
            let parent = files.get(op.b % files.len().max(1))?.animal.id;
            let found = match op.c % 4 {
                0 => Tested::Scrapie(Scrapie::new(allele(op.a), allele(op.b))),
                1 => Tested::Recessive {
                    gene: word(op.b).unwrap_or("grey wool".into()),
                    status: GeneStatus::ALL[op.a % 3],
                },
                2 => Tested::Parentage { parent, is: op.a.is_multiple_of(2) },
                _ => Tested::Other { what: "scrapie".into(), result: word(op.b + 1).unwrap_or("ok".into()) },
            };
            let draft = GeneTestDraft {
                animal,
                on,
                found,
                lab: word(op.a),
                number: Some(format!("0{n}")).filter(|_| op.b.is_multiple_of(2)),
                note: word(op.a + op.b),
            };
            entry::gene_tests(vec![draft], flock, today)
        }
    })
}
