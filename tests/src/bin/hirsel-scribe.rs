//! A scribe for the tests that kill it: opens a book and writes without end, saying on standard output what it is
//! about to do (`do 12 write 3`: three records marked 12; `do 13 undo 12`) and, once it is done, `ok 12`.
//!
//! `hirsel-scribe BOOK FIRST-NUMBER [HOW-MANY]`. On a failure it prints the program's own message and exits 2.

use fastrand::Rng;
use hirsel_core::book::{Book, Failed};
use hirsel_core::entry::{
    AnimalDraft, Check, DoseDraft, LambDraft, LambingDraft, RemarkDraft, TreatmentDraft, WeighingDraft,
    animals, lambing, remark, treatments, weighings,
};
use hirsel_core::flock::{Flock, Sire};
use hirsel_core::terms::{AnimalId, Dose, Moment, Sex, Tag, Weight, Withdrawal};
use hirsel_tests::book::today;
use std::io::Write as _;
use std::path::Path;
use std::process::ExitCode;

fn main() -> ExitCode {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let [path, first, rest @ ..] = args.as_slice() else {
        eprintln!("hirsel-scribe BOOK FIRST-NUMBER [HOW-MANY]");
        return ExitCode::from(2);
    };
    let (Ok(first), Ok(many)) =
        (first.parse::<u64>(), rest.first().map_or(Ok(u64::MAX), |n| n.parse::<u64>()))
    else {
        eprintln!("numbers are needed");
        return ExitCode::from(2);
    };
    match write_on(Path::new(path), first, many) {
        Ok(()) => ExitCode::SUCCESS,
        Err(e) => {
            eprintln!("{e}");
            ExitCode::from(2)
        }
    }
}

fn say(line: &str) {
    let mut out = std::io::stdout().lock();
    // Nobody listens any more: the test is over.
    if writeln!(out, "{line}").and_then(|()| out.flush()).is_err() {
        std::process::exit(0);
    }
}

fn write_on(path: &Path, first: u64, many: u64) -> Result<(), Failed> {
    let mut book = Book::open_plain(path)?;
    let mut rng = Rng::with_seed(first);
    let mut last_write = None;
    for n in (first..).take(usize::try_from(many).unwrap_or(usize::MAX)) {
        if let Some(m) = last_write.filter(|_| rng.u32(..9) == 0) {
            say(&format!("do {n} undo {m}"));
            book.undo()?;
            last_write = None;
        } else {
            let (records, check) = entry(&mut rng, &book.flock(), n);
            let sure = check
                .unwrap_or_else(|r| panic!("{n}: {}", r[0]))
                .despite("a made-up record")
                .unwrap_or_else(|e| panic!("{e}"));
            say(&format!("do {n} write {records}"));
            book.write(sure)?;
            last_write = Some(n);
        }
        say(&format!("ok {n}"));
    }
    book.close()
}

/// An entry whose records all carry the mark `#n`, and how many records those are.
fn entry(rng: &mut Rng, flock: &Flock, n: u64) -> (usize, Check) {
    let mark = Some(format!("#{n}"));
    let of = |sex: Sex| -> Vec<AnimalId> {
        flock
            .files()
            .filter(|f| f.animal.sex == sex && f.animal.born.exact().is_none())
            .map(|f| f.animal.id)
            .collect()
    };
    let ewes = of(Sex::Ewe);
    if ewes.len() < 4 {
        return flock_of(rng, n, 6);
    }
    let some = |rng: &mut Rng, most: usize| -> Vec<AnimalId> {
        (0..rng.usize(1..=most)).map(|_| ewes[rng.usize(..ewes.len())]).collect()
    };
    let at = Moment::day(today());
    match rng.u32(..8) {
        0 => flock_of(rng, n, 4),
        // A long one, so that kills fall within a transaction.
        1 => flock_of(rng, n, 60),
        2 | 3 => {
            let many = rng.usize(1..=3);
            let lamb = |i| LambDraft {
                tag: Tag::parse(&format!("L{n}x{i}")).ok(),
                weight: Weight::from_grams(rng.i64(2500..6000)),
                colour: mark.clone(),
                ..LambDraft::new(if rng.bool() { Sex::Ewe } else { Sex::Ram })
            };
            let lambs: Vec<LambDraft> = (0..many).map(lamb).collect();
            let draft = LambingDraft {
                ewe: ewes[rng.usize(..ewes.len())],
                at,
                sire: of(Sex::Ram).first().map_or(Sire::Unknown, |r| Sire::Known(*r)),
                ease: None,
                help: None,
                note: mark.clone(),
                pen: Some(format!("Jug {}", rng.u32(1..9))),
                lambs,
                foster_on: Vec::new(),
            };
            (1 + draft.lambs.len(), lambing(draft, flock, today()))
        }
        4 => {
            let drafts: Vec<WeighingDraft> = some(rng, 20)
                .into_iter()
                .map(|animal| WeighingDraft {
                    animal,
                    at,
                    weight: Weight::from_grams(rng.i64(40_000..90_000)).unwrap_or_else(|| panic!("a weight")),
                    note: mark.clone(),
                })
                .collect();
            (drafts.len(), weighings(drafts, flock, today()))
        }
        5 => {
            let text = format!("#{n}");
            let draft = RemarkDraft { animals: some(rng, 5), on: today(), text };
            (draft.animals.len(), remark(draft, flock, today()))
        }
        _ => {
            let draft = TreatmentDraft {
                animals: some(rng, 10),
                at,
                product: "Fellmectin".into(),
                batch: mark,
                dose: DoseDraft::Typed(Dose::from_ml(2.5)),
                route: None,
                site: None,
                reason: None,
                given_by: None,
                prescribed_by: None,
                meat: Some(Withdrawal::Days(28)),
                milk: Some(Withdrawal::Unknown),
                more: Default::default(),
            };
            (draft.animals.len(), treatments(vec![draft], flock, today()))
        }
    }
}

fn flock_of(rng: &mut Rng, n: u64, many: usize) -> (usize, Check) {
    let drafts: Vec<AnimalDraft> = (0..many)
        .map(|i| {
            let sex = if rng.u32(..5) == 0 { Sex::Ram } else { Sex::Ewe };
            let tag = Tag::parse(&format!("A{n}x{i}")).unwrap_or_else(|e| panic!("{e}"));
            AnimalDraft { colour: Some(format!("#{n}")), ..AnimalDraft::new(tag, sex) }
        })
        .collect();
    (many, animals(drafts, &Flock::default(), today()))
}
