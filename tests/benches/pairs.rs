//! Who to whom for 2,000 ewes and 67 rams of a flock of five generations: the bound of the design is 2 s, with every
//! change's cost known after it.

use criterion::{Criterion, criterion_group, criterion_main};
use hirsel_core::book::Book;
use hirsel_core::entry::{AnimalDraft, animals};
use hirsel_core::flock::{Flock, Sire};
use hirsel_core::reckon::kinship::Kindred;
use hirsel_core::reckon::mating::{AheadSpec, PairsAsk, RamCap, Weights, ahead, pairs};
use hirsel_core::terms::{AnimalId, Born, Day, Sex, Tag};
use std::hint::black_box;
use std::sync::Arc;

fn today() -> Day {
    Day::parse_iso("2026-10-01").expect("a day")
}

/// Five crops, each of parents by chance from the one before: `ewes` in all in the last, and `rams`.
fn flock(ewes: usize, rams: usize) -> (Arc<Flock>, Vec<AnimalId>, Vec<AnimalId>) {
    let folder = tempfile::tempdir().expect("a folder");
    let mut book = Book::create(&folder.path().join("pairs.hirsel"), hirsel_demo::holding()).expect("a book");
    let mut dice = fastrand::Rng::with_seed(67);
    let mut before: [Vec<AnimalId>; 2] = [Vec::new(), Vec::new()];
    let mut last = before.clone();
    for crop in 0..5u32 {
        let mut drafts = Vec::new();
        let mut now: [Vec<AnimalId>; 2] = [Vec::new(), Vec::new()];
        for (s, (sex, many)) in [(Sex::Ewe, ewes), (Sex::Ram, rams)].into_iter().enumerate() {
            for n in 0..many {
                let tag = format!("{}{crop}{n:04}", ["E", "R"][s]);
                let mut d = AnimalDraft::new(Tag::parse(&tag).expect("a tag"), sex);
                d.born = Born::parse(&format!("{}-04-01", 2014 + 2 * crop)).expect("a day");
                d.dam = dice.choice(&before[0]).copied();
                d.sire = dice.choice(&before[1]).map_or(Sire::Unknown, |r| Sire::Known(*r));
                now[s].push(d.id);
                drafts.push(d);
            }
        }
        let checked = animals(drafts, &book.flock(), today()).expect("animals");
        book.write(checked.despite("bench").expect("a word")).expect("written");
        (before, last) = (now.clone(), now);
    }
    let [e, r] = last;
    (book.flock(), e, r)
}

fn bench(c: &mut Criterion) {
    let tried = !std::env::args().any(|a| a == "--bench");
    let (many, few) = if tried { (30, 4) } else { (2_000, 67) };
    let (flock, ewes, rams) = flock(many, few);
    let kindred = Kindred::of(&flock);
    let caps = |most| rams.iter().map(move |ram| RamCap { ram: *ram, most, least: 5 }).collect();
    let ask = PairsAsk {
        ewes: ewes.clone(),
        rams: caps(many / few + 5),
        limit: Some(0.125),
        weights: Weights { rare: 0.5, ..Weights::KINSHIP },
        ..PairsAsk::default()
    };
    c.bench_function("2,000 ewes and 67 rams: the best set, with what each change costs", |b| {
        b.iter(|| black_box(pairs(&flock, &kindred, &ask, &mut |_| true).expect("an answer")));
    });
    let found = pairs(&flock, &kindred, &ask, &mut |_| true).expect("an answer");
    c.bench_function("2,000 ewes and 67 rams: one ewe forced, all others settled anew", |b| {
        let to = found.told(&flock, ewes[7]).expect("told").others[3].ram;
        b.iter(|| black_box(found.force(&flock, ewes[7], to)).is_ok());
    });
    c.bench_function("2,000 ewes and 67 rams: the reasons of all", |b| {
        b.iter(|| ewes.iter().filter_map(|e| found.told(&flock, *e)).count());
    });
    c.bench_function("2,000 ewes and 67 rams: the five next best sets", |b| {
        b.iter(|| black_box(found.alternatives(5)));
    });
    let (small, rams) = (ewes[..40.min(many - 1)].to_vec(), rams[..4].to_vec());
    let caps: Vec<RamCap> = rams.iter().map(|ram| RamCap { ram: *ram, most: 15, least: 0 }).collect();
    let forty = pairs(&flock, &kindred, &PairsAsk::plain(&small, &caps), &mut |_| true).expect("an answer");
    let spec = AheadSpec::of(&flock, today(), small.len(), rams.len());
    c.bench_function("40 ewes and 4 rams: ten years ahead, 200 runs both ways", |b| {
        b.iter(|| black_box(ahead(&forty, &spec, &mut |_| true)));
    });
}

criterion_group! {
    name = whom;
    config = Criterion::default().sample_size(10).without_plots();
    targets = bench
}
criterion_main!(whom);
