//! Other languages: everything that is part of the program can be translated, and a file of translations is spoken.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use egui::{Key, Modifiers, Role};
use hirsel_app::desk::{Desk, kept::Kept};
use hirsel_core::handbook::trade::Trade;
use hirsel_core::terms::speech::Language;
use hirsel_tests::flocks::{self, day, desk, says};
use hirsel_tests::marked::{self, Given, Marked};
use hirsel_tests::texts::{self, Kind, Texts};
use hirsel_tests::walk;

const TODAY: &str = "2026-04-10";
/// So many runs of text stand between the marks unsaid and are not the book's: sources that are quoted, and words that
/// are filled in as text made beforehand. It may only become less.
const UNSAID: usize = 265;
/// Names of files that come with the program: kinds of feed, of regions, of genes.
fn of_files(text: &str) -> bool {
    Trade::all().any(|t| t.name() == text) || text.chars().all(|c| c.is_ascii_uppercase() || c == '/')
}

fn kept_template() -> std::path::PathBuf {
    std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../resources/text/hirsel.pot")
}

/// The template that translators begin with holds every text of the sources, and no other.
#[test]
fn the_template_is_that_of_the_sources() {
    let made = texts::template(&texts::read());
    if std::env::var_os("UPDATE_SNAPSHOTS").is_some() {
        std::fs::create_dir_all(kept_template().parent().expect("a folder")).expect("made");
        std::fs::write(kept_template(), &made).expect("written");
    }
    let kept = std::fs::read_to_string(kept_template()).expect("resources/text/hirsel.pot");
    assert!(kept == made, "the texts have changed: UPDATE_SNAPSHOTS=1 writes resources/text/hirsel.pot anew");
    let read = hirsel_core::language::Catalogue::read(kept.as_bytes()).expect("read");
    assert!(read.is_empty(), "a template has no translations");
}

/// What stands on the page without a mark and is not of the book.
fn unmarked(control: &walk::Control, own: &BTreeSet<String>) -> bool {
    let head = matches!(
        control.role,
        Role::Button
            | Role::Heading
            | Role::RadioButton
            | Role::CheckBox
            | Role::TextInput
            | Role::ColumnHeader
    );
    let name = control.name.trim();
    let letters = name.chars().filter(|c| c.is_alphabetic()).count() > 1;
    head && letters && !name.contains(marked::OPEN) && !own.contains(name)
}

#[test]
fn everything_that_is_part_of_the_program_is_said_by_the_language() {
    let folder = flocks::Folder::new();
    let book = walk::made_up(&folder, day(TODAY));
    let path = book.path().to_path_buf();
    drop(book);
    let mut given = Given::of(&path);
    let book = hirsel_core::book::Book::open(&path).expect("opened");
    let mut h = desk(&folder, book, day(TODAY));
    // What was prepared before is prepared anew.
    walk::everywhere(&mut h, |_, _| {});
    let language = Arc::new(Marked::default());
    h.state_mut().speak(Some(Arc::clone(&language) as Arc<dyn Language>));
    let flock = Arc::clone(h.state().flock().expect("open"));
    // Names of animals, pens, products, feeds: those of the book.
    let mut own: BTreeSet<String> = BTreeSet::new();
    for f in flock.files() {
        own.extend([f.animal.tag().to_owned(), f.animal.title()]);
        own.extend(f.animal.pen.as_deref().map(str::to_owned));
        own.extend(f.treatments.iter().map(|t| t.product.to_string()));
    }
    own.extend(flock.feedroom().feeds.iter().map(|f| f.name.to_string()));
    // Rule sets and the care plan are files of their own, which a keeper changes.
    own.extend(hirsel_core::rules::known(flock.rule_changes()).into_iter().map(|(_, name)| name));
    let steps: Vec<String> = flock.plan().all().map(|s| format!("{}, ", s.short)).collect();
    given.add(own.iter().cloned());
    let (mut shown, mut bare) = (0, BTreeMap::<String, String>::new());
    let (mut read, mut unsaid) = (0, BTreeMap::<String, String>::new());
    walk::everywhere(&mut h, |h, at| {
        for control in walk::controls(h) {
            shown += 1;
            if unmarked(&control, &own) && !steps.iter().any(|s| control.name.starts_with(s)) {
                bare.entry(format!("{:?} {}", control.role, control.name)).or_insert_with(|| at.to_owned());
            }
        }
        for text in walk::texts(h) {
            read += 1;
            for run in marked::unsaid(&text, &given) {
                unsaid.entry(run).or_insert_with(|| format!("{at}: {text}"));
            }
        }
    });
    let lines: Vec<String> = bare.iter().map(|(name, at)| format!("{at}: {name}")).collect();
    println!("{shown} controls; {} of them are not said by the language:\n{}", lines.len(), lines.join("\n"));
    println!("{read} texts; {} runs in them are neither said nor given:", unsaid.len());
    unsaid.iter().for_each(|(run, at)| println!("«{run}» {at}"));
    let known: Texts = texts::read();
    let texts: BTreeSet<&str> =
        known.keys().filter(|(k, _)| *k == Kind::Text).map(|(_, t)| t.as_str()).collect();
    let counted: BTreeSet<String> =
        known.keys().filter(|(k, _)| *k == Kind::Counted).map(|(_, t)| format!("{{}} {t}")).collect();
    let asked = language.asked();
    let missing: Vec<&String> = asked
        .iter()
        .filter(|t| !texts.contains(t.as_str()) && !counted.contains(*t) && !of_files(t))
        .collect();
    println!("{} texts asked for; {} not in the template: {missing:#?}", asked.len(), missing.len());
    assert!(asked.len() > 1_000, "the walk went too short a way: {}", asked.len());
    assert!(missing.is_empty() && lines.is_empty());
    assert!(unsaid.len() <= UNSAID, "{} runs of text are not said, more than {UNSAID}", unsaid.len());
}

#[test]
fn a_file_of_translations_is_spoken_and_kept() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::joined_book(&folder);
    let kept = folder.path().join("kept");
    std::fs::create_dir_all(kept.join("languages")).expect("made");
    let file = "msgid \"\"\nmsgstr \"\"\n\"Language: xx\\n\"\n\"Plural-Forms: nplurals=2; plural=n != 1;\\n\"\n\n\
                msgid \"Joinings\"\nmsgstr \"Nuptiae\"\n";
    std::fs::write(kept.join("languages/xx.po"), file).expect("written");
    std::fs::create_dir_all(kept.join("languages/xx/help")).expect("made");
    std::fs::write(kept.join("languages/xx/help/tonight.md"), "# Hac nocte\n\nQuid agendum.\n")
        .expect("written");
    let path = book.path().to_path_buf();
    let at = |book| Desk::with_book(Kept::at(&kept), book, day(TODAY));
    let mut h = hirsel_tests::shot::harness([1240.0, 800.0], |ui, desk: &mut Desk| desk.view(ui), at(book));
    h.key_press_modifiers(Modifiers::COMMAND, Key::J);
    walk::settle(&mut h);
    assert!(says(&h, "Joinings"));
    h.key_press_modifiers(Modifiers::COMMAND.plus(Modifiers::SHIFT), Key::L);
    walk::settle(&mut h);
    assert!(says(&h, "Nuptiae") && !says(&h, "Joinings"));
    // So is its help, and what is not translated is English.
    h.key_press(Key::F1);
    walk::settle(&mut h);
    let help = h.state_mut().help_pages();
    let title = |key: &str| help.iter().find(|p| p.key == key).map(|p| p.title.clone());
    assert_eq!(title("tonight").as_deref(), Some("Hac nocte"));
    assert_eq!(title("lambing"), hirsel_app::help::page("lambing").map(|p| p.title.clone()));
    h.key_press(Key::Escape);
    walk::settle(&mut h);
    drop(h);
    // It is spoken at the next start, too, and one more press is English again.
    let book = hirsel_core::book::Book::open(&path).expect("opened");
    let mut h = hirsel_tests::shot::harness([1240.0, 800.0], |ui, desk: &mut Desk| desk.view(ui), at(book));
    walk::settle(&mut h);
    assert!(says(&h, "Nuptiae"));
    h.key_press_modifiers(Modifiers::COMMAND.plus(Modifiers::SHIFT), Key::L);
    walk::settle(&mut h);
    assert!(says(&h, "Joinings") && !says(&h, "Nuptiae"));
}

#[test]
fn a_file_that_is_no_catalogue_is_told_of_in_words() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::joined_book(&folder);
    let kept = folder.path().join("kept");
    let desk = Desk::with_book(Kept::at(&kept), book, day(TODAY));
    let mut h = hirsel_tests::shot::harness([1240.0, 800.0], |ui, desk: &mut Desk| desk.view(ui), desk);
    let next = |h: &mut walk::Page| {
        h.key_press_modifiers(Modifiers::COMMAND.plus(Modifiers::SHIFT), Key::L);
        walk::settle(h);
    };
    next(&mut h);
    assert!(says(&h, "No other language is here"));
    std::fs::create_dir_all(kept.join("languages")).expect("made");
    std::fs::write(kept.join("languages/yy.po"), "tag,sex\n").expect("written");
    next(&mut h);
    assert!(says(&h, "The language yy cannot be spoken"));
}
