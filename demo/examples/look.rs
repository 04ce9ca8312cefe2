//! scratch
use hirsel_core::book::Book;
use hirsel_core::reckon::*;
use hirsel_core::terms::*;
use std::collections::BTreeMap;
fn main() {
    let a: Vec<String> = std::env::args().collect();
    let spec = hirsel_demo::Spec {
        ewes: a[1].parse().unwrap(),
        seasons: a[2].parse().unwrap(),
        seed: a[3].parse().unwrap(),
    };
    let today = Day::parse_iso(&a[4]).unwrap();
    let path = std::path::PathBuf::from("/tmp/demo-look.hirsel");
    for e in ["", "-wal", "-shm"] {
        let _ = std::fs::remove_file(format!("{}{e}", path.display()));
    }
    let t = std::time::Instant::now();
    let mut book = Book::create(&path, hirsel_demo::holding()).unwrap();
    let mut at = t;
    hirsel_demo::make(&mut book, &spec, today, &mut |s| {
        println!("{:>6} ms  {s}", at.elapsed().as_millis());
        at = std::time::Instant::now();
    })
    .unwrap();
    println!("made in {} ms", t.elapsed().as_millis());
    let f = book.flock();
    let mut by: BTreeMap<String, usize> = BTreeMap::new();
    let (mut w, mut tr, mut pm, mut mv, mut re, mut jo, mut la, mut ids) = (0, 0, 0, 0, 0, 0, 0, 0);
    for x in f.files() {
        let y = x.animal.is_lamb(today);
        let kind = if x.birth.is_some() && x.animal.born.day().is_some_and(|d| today.since(d) < 60) {
            "this season's lamb"
        } else if y {
            "young"
        } else {
            "grown"
        };
        *by.entry(format!("{} {} {}", x.animal.status.words(), x.animal.sex.words(), kind)).or_default() += 1;
        w += x.weighings.len();
        tr += x.treatments.len();
        pm += x.pen_moves.len();
        mv += x.movements.len();
        re += x.remarks.len();
        jo += x.joinings.len();
        la += x.lambings.len();
        ids += x.animal.identities.len();
    }
    println!("{} animals; {by:#?}", f.len());
    println!(
        "weighings {w} treatments {tr} moves {pm} movements {mv} remarks {re} joinings {jo} lambings {la} identities {ids}"
    );
    let held: Vec<String> = f
        .present()
        .filter_map(|x| {
            let c = clearance::clearance(x, today);
            c.is_held(today).then(|| format!("{} {} [{}]", x.animal.tag(), c.held_words(today), c.because()))
        })
        .collect();
    println!("held {}: {held:#?}", held.len());
    for (p, l) in f.pens() {
        println!("{p}: {}", l.len());
    }
    let exp = gestation::expected(&f, today);
    println!("expected {}", exp.len());
    for e in exp.iter().take(20) {
        println!(
            "  {} due {} early {} late {:?}",
            f.tag(e.ewe),
            e.window.due,
            e.window.early,
            e.window.late.map(|d| d.to_string())
        );
    }
    let mut recent: Vec<_> =
        f.files().flat_map(|x| x.lambings.iter()).filter(|l| today.since(l.at.day) < 3).collect();
    recent.sort_by_key(|l| l.at);
    for l in recent {
        println!(
            "  {} {} {:?} {}",
            f.tag(l.ewe),
            l.at.words(),
            l.ease,
            l.lambs
                .iter()
                .map(|x| format!("{}/{}", f.tag(*x), f.animal(*x).unwrap().status.words()))
                .collect::<Vec<_>>()
                .join(" ")
        );
    }
    let mut litters: BTreeMap<usize, usize> = BTreeMap::new();
    for l in f.files().flat_map(|x| x.lambings.iter()) {
        *litters.entry(l.lambs.len()).or_default() += 1;
    }
    println!("litters {litters:?}");
    let means = figures::YearMeans::of(&f);
    for y in (today.year() - 8)..=today.year() {
        println!(
            "{y} birth {:?} sixty {:?}",
            means.birth(y).map(|w| w.to_string()),
            means.sixty(y).map(|w| w.to_string())
        );
    }
    if a.len() > 5 {
        for tag in &a[5..] {
            if let Some(x) = f.find(tag, 1, |_| true).first().and_then(|x| f.file(x.id)) {
                println!("== {} {:?} {}", x.animal.title(), x.animal.sex, x.animal.born.words());
                for e in life::life(&f, x) {
                    println!("   {} {}{}", e.at.words(), e.text, if e.struck { " (struck)" } else { "" });
                }
                for l in &x.lambings {
                    println!("   {:?}", figures::lambing_row(&f, l, today));
                }
            }
        }
    }
    let t = std::time::Instant::now();
    book.close().unwrap();
    let book = Book::open_plain(&path).unwrap();
    println!(
        "reopened {} in {} ms, {} bytes",
        book.flock().len(),
        t.elapsed().as_millis(),
        std::fs::metadata(&path).unwrap().len()
    );
}
