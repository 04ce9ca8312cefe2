//! One evening, written up twice by the keyboard: by the note line and by the forms. Both put the same into the book;
//! the keys are counted against the letters of the page that came in from the barn.

use egui::{Key, Modifiers};
use hirsel_core::book::{Book, Evening};
use hirsel_core::entry::{self, AnimalDraft, ProductDraft};
use hirsel_core::flock::{Flock, Sire};
use hirsel_core::reckon::clearance::clearance;
use hirsel_core::reckon::life;
use hirsel_core::terms::{Born, Day, DoseRule, Route, Sex, Tag, Withdrawal};
use hirsel_tests::cli::workspace;
use hirsel_tests::flocks::{self, day, desk, type_in, write};

const TODAY: &str = "2026-04-10";

type Page = egui_kittest::Harness<'static, hirsel_app::desk::Desk>;

fn read(name: &str) -> String {
    let path = workspace().join("tests/evening").join(name);
    std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

/// The flock before the evening: three ewes near lambing, a foster ewe, a lame one, and twelve lambs of four weeks.
fn before(folder: &flocks::Folder) -> Book {
    let today = day(TODAY);
    let mut book = flocks::empty_book(folder);
    for tag in ["0398", "0412", "0405", "0391", "0377", "0433"] {
        flocks::add(&mut book, tag, Sex::Ewe, "2021-04-02", today);
    }
    flocks::add(&mut book, "R7", Sex::Ram, "2022-03-20", today);
    let dam = book.flock().by_tag("0433").expect("0433");
    let lambs = (601..=612).map(|n| {
        let sex = if n % 2 == 0 { Sex::Ewe } else { Sex::Ram };
        let mut lamb = AnimalDraft::new(Tag::parse(&format!("0{n}")).expect("a tag"), sex);
        lamb.born = Born::On(day("2026-03-12"));
        (lamb.dam, lamb.sire) = (Some(dam), Sire::Unknown);
        lamb.pen = Some(if n <= 606 { "Pen 3" } else { "Pen 4" }.into());
        lamb
    });
    let check = entry::animals(lambs.collect(), &book.flock(), today);
    write(&mut book, check);
    let vaccine = ProductDraft {
        name: "Clostridial vaccine 4-in-1".into(),
        substance: Some("clostridial toxoids".into()),
        form: None,
        strength: None,
        rule: DoseRule::PerHead(2000),
        route: Some(Route::Subcutaneous),
        meat: Withdrawal::Days(0),
        milk: Withdrawal::Days(0),
        licensed_for: Some("sheep".into()),
        more: Default::default(),
    };
    let check = entry::products(vec![vaccine], &book.flock());
    write(&mut book, check);
    // The pens named in the notes are known from days before.
    let mut pens = Evening::of("2026-04-08 0377 to \"Jug 2\"; 0377 to \"Pen 4\"");
    assert!(book.write_notes(&mut pens, today).expect("written").is_ok());
    book
}

/// Every fact of the evening, as sentences in order of tag: what the two ways must agree on.
fn facts(flock: &Flock) -> Vec<String> {
    let today = day(TODAY);
    let mut all: Vec<String> = Vec::new();
    for f in flock.files() {
        let a = &f.animal;
        let events = life::life(flock, f).into_iter().filter(|e| e.at.day == today && !e.struck);
        // A round of the plan names itself as the reason; the note does not.
        let text = |e: &life::Event| e.text.split(" for ").next().unwrap_or_default().to_string();
        all.extend(
            events.map(|e| format!("{}: {:?} {}", a.tag(), e.kind, text(&e).replace(" not done: ", ": "))),
        );
        all.push(format!(
            "{}: {:?} {:?} {:?}",
            a.tag(),
            a.status.words(),
            a.pen,
            clearance(f, today).meat.clear
        ));
        if let Some(b) = &f.birth {
            all.push(format!(
                "{}: {:?} {:?} {:?}",
                a.tag(),
                b.sucked,
                a.birth_weight,
                flock.reared_by(a).map(|r| flock.tag(r))
            ));
        }
        for t in &f.treatments {
            all.push(format!(
                "{}: {} {:?} {:?} {:?} {:?}",
                a.tag(),
                t.product,
                t.batch,
                t.dose,
                t.route,
                t.given_by
            ));
        }
    }
    all.sort();
    all
}

/// What was left to notice: the scouring lamb's note differs in words between the two ways.
fn without_scouring(all: &[String]) -> Vec<String> {
    all.iter().filter(|f| !f.to_lowercase().contains("scouring")).cloned().collect()
}

/// Types a script and counts the keys: each letter is one, `{Enter 4}` four, `{Ctrl+Enter}` two,
/// `{P}` is a letter that is a key of the page.
fn play(h: &mut Page, script: &str) -> usize {
    let mut keys = 0;
    for line in script.lines().filter(|l| !l.starts_with('#')) {
        let mut rest = line;
        while let Some((text, braced)) = rest.split_once('{') {
            keys += typed(h, text);
            let (key, after) = braced.split_once('}').unwrap_or_else(|| panic!("a brace is open: {line}"));
            keys += pressed(h, key);
            rest = after;
        }
        keys += typed(h, rest);
    }
    keys
}

fn typed(h: &mut Page, text: &str) -> usize {
    for c in text.chars() {
        type_in(h, &c.to_string());
    }
    text.chars().count()
}

fn pressed(h: &mut Page, what: &str) -> usize {
    let (what, times) = what.rsplit_once(' ').map_or((what, 1), |(w, n)| (w, n.parse().expect("a count")));
    let (modifiers, name) = match what.split_once('+') {
        Some(("Ctrl", key)) => (Modifiers::COMMAND, key),
        Some((other, _)) => panic!("{other} is no key of a script"),
        None => (Modifiers::NONE, what),
    };
    let key = Key::from_name(name).unwrap_or_else(|| panic!("{name} is no key"));
    for _ in 0..times {
        h.key_press_modifiers(modifiers, key);
        h.run();
        h.run();
    }
    times * if modifiers.is_none() { 1 } else { 2 }
}

fn flock(h: &Page) -> std::sync::Arc<Flock> {
    h.state().flock().cloned().expect("a book is open")
}

/// Letters of the page from the barn; the end of a line counts as one, as Enter does.
fn letters(text: &str) -> usize {
    text.trim_end().chars().count() + 1
}

#[test]
fn an_evening_by_the_note_line_and_by_the_forms() {
    let today: Day = day(TODAY);
    let pencil = letters(&read("pencil.txt"));

    let folder = flocks::Folder::new();
    let mut h = desk(&folder, before(&folder), today);
    let mut by_notes = pressed(&mut h, "Ctrl+N");
    for line in read("notes.txt").lines() {
        by_notes += typed(&mut h, line) + pressed(&mut h, "Enter");
    }
    let notes = facts(&flock(&h));

    let folder = flocks::Folder::new();
    let mut h = desk(&folder, before(&folder), today);
    let by_forms = play(&mut h, &read("forms.txt"));
    let forms = facts(&flock(&h));

    // What must be there, by hand.
    let has = |all: &[String], fact: &str| assert!(all.iter().any(|f| f.contains(fact)), "{fact}: {all:#?}");
    for all in [&notes, &forms] {
        for fact in [
            "0398: Lambing Lambed a single: 0398/26-1 ewe 5.1 kg",
            "0412: Lambing Lambed twins: 0412/26-1 ram 4.3 kg, 0412/26-2 ewe 3.9 kg",
            "0405: Lambing Lambed triplets: 0405/26-1 ewe 3.4 kg, 0405/26-2 ram 3.1 kg, 0405/26-3 ewe 2.8 kg",
            "0405/26-3: None Some(Weight(2800)) Some(\"0591\")",
            "0601: Clostridial vaccine 4-in-1 Some(\"7731\") Some(Volume(2000)) Some(Subcutaneous) Some(\"Maud Thornley\")",
            "0612: Weighing Weighed 13.6 kg",
            "0612: Standing Dead: bloat",
            "0398: \"in the flock\" Some(\"Jug 2\")",
            "0377: Note lame near fore",
        ] {
            has(all, fact);
        }
        assert!(all.iter().any(|f| f.contains("scouring")), "the scouring lamb has its note");
        assert!(!all.iter().any(|f| f.starts_with("0606: Clostridial")), "and no vaccine");
        assert_eq!(all.iter().filter(|f| f.contains(": Weighing ")).count(), 12);
    }
    assert_eq!(without_scouring(&notes), without_scouring(&forms), "both ways write the same");

    let share = |keys: usize| keys as f64 / pencil as f64;
    println!("the page from the barn: {pencil} letters");
    println!("note line: {by_notes} keys, {:.2} of them", share(by_notes));
    println!("forms: {by_forms} keys, {:.2} of them", share(by_forms));
    assert!(share(by_notes) <= 1.15, "note line: {by_notes} keys for {pencil} letters");
    assert!(share(by_forms) <= 1.6, "forms: {by_forms} keys for {pencil} letters");
}
