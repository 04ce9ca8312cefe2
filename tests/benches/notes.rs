//! How long the note line takes to read what is typed: lines of a keeper, and the longest nonsense.

use criterion::{Criterion, criterion_group, criterion_main};
use hirsel_core::book::Book;
use hirsel_core::entry::notes::{LONGEST_LINE, Words, read};
use hirsel_core::terms::Day;
use hirsel_tests::flocks::Folder;
use std::hint::black_box;

/// Words of the grammar and of the made-up flock, in a row as long as a line may be.
fn nonsense(words: &[&str], seed: u64) -> String {
    let mut rng = fastrand::Rng::with_seed(seed);
    let mut line = String::new();
    while line.len() < LONGEST_LINE - 24 {
        line.push_str(words[rng.usize(..words.len())]);
        line.push(' ');
    }
    line
}

fn notes(c: &mut Criterion) {
    let folder = Folder::new();
    let today = Day::parse_iso("2026-03-29").expect("a day");
    let mut book = Book::create(&folder.path().join("made up.hirsel"), hirsel_demo::holding()).expect("made");
    hirsel_demo::make(&mut book, &hirsel_demo::Spec::default(), today, &mut |_| {}).expect("filled");
    let flock = book.flock();
    c.bench_function("words of the flock", |b| b.iter(|| black_box(Words::of(&flock, today))));
    let keeper = "0166 twins: ram 4.3, ewe 3.9, both up and sucked";
    c.bench_function("a line of a keeper", |b| {
        b.iter(|| {
            let words = Words::of(&flock, today);
            black_box(read(keeper, &flock, &words, today))
        });
    });
    let all = [
        "0166",
        "0166a",
        "0169",
        "bank field lambs",
        "orchard",
        "all",
        "but",
        "twins",
        "triplet:",
        "ram",
        "ewe",
        "4.3",
        "kg,",
        "2 ml",
        "clostridial",
        "penicillin",
        "im",
        "batch",
        "to",
        "on the bottle",
        "fostered on",
        "dead",
        "(why)",
        "both",
        "one",
        "sucked",
        "at 4:55",
        "yesterday",
        "12 mar",
        "weighed",
        "lost tag",
        "new tag",
        "by",
        "for",
        "with",
        "docked,",
        "castrated,",
        "ram out",
        "note",
        "until 3 apr",
        "lame",
        "vet",
        "creep",
        "weaned,",
        ",",
        ":",
        ";",
    ];
    let jobs = ["bank field lambs docked,", "castrated,", "weaned,", "docked;", "orchard lambs eyelids,"];
    let mut lines: Vec<String> = (0..60).map(|seed| nonsense(&all, seed)).collect();
    lines.extend((0..8).map(|seed| nonsense(&jobs, seed)));
    lines.extend(["(", "\"", ",", "0166 ", "at ", "12.", "all "].map(|w| w.repeat(LONGEST_LINE / w.len())));
    let words = Words::of(&flock, today);
    let mut longest = (std::time::Duration::ZERO, 0);
    for (i, line) in lines.iter().enumerate() {
        let fresh = Words::of(&flock, today);
        let began = std::time::Instant::now();
        black_box(read(line, &flock, &fresh, today));
        longest = longest.max((began.elapsed(), i));
    }
    println!("the slowest of {} longest lines, read for the first time: {:?}", lines.len(), longest.0);
    c.bench_function("the slowest line again", |b| {
        b.iter(|| black_box(read(&lines[longest.1], &flock, &words, today)));
    });
}

criterion_group! { name = all; config = Criterion::default().sample_size(20); targets = notes }
criterion_main!(all);
