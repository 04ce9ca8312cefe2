//! A file of the reader or scale head in the window: shown first, then written as one session.

use egui::{Key, Role};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use hirsel_app::desk::Desk;
use hirsel_core::book::Book;
use hirsel_core::entry::{self, AnimalDraft, IdentityDraft, WeighingDraft};
use hirsel_core::terms::{AnimalId, Born, IdentityKind, Moment, Sex, Tag, Weight};
use hirsel_tests::flocks::{self, ctrl, day, desk_sized, press, retype, says, type_in, wait_for, write};
use hirsel_tests::shot;

const TODAY: &str = "2026-04-10";

type Page = egui_kittest::Harness<'static, Desk>;

/// Eight lambs in the Orchard, weighed 20 kg on 1 March.
fn lambs(folder: &flocks::Folder) -> (Book, Vec<AnimalId>) {
    let mut book = flocks::empty_book(folder);
    let tag = |t: &str| Tag::parse(t).expect("a tag");
    let drafts: Vec<AnimalDraft> = (1..=8)
        .map(|n| {
            let mut d = AnimalDraft::new(tag(&format!("04{n:02}")), Sex::Ewe);
            d.born = Born::On(day("2026-01-05"));
            d.birth_weight = Weight::from_grams(4_200);
            d.pen = Some("Orchard".into());
            if n < 7 {
                let number = tag(&format!("8260123456004{n:02}"));
                d.identities.push(IdentityDraft { kind: IdentityKind::Electronic, tag: number });
            }
            d
        })
        .collect();
    let ids: Vec<AnimalId> = drafts.iter().map(|d| d.id).collect();
    let check = entry::animals(drafts, &book.flock(), day(TODAY));
    write(&mut book, check);
    let drafts = ids
        .iter()
        .map(|id| WeighingDraft {
            animal: *id,
            at: Moment::day(day("2026-03-01")),
            weight: Weight::from_grams(20_000).expect("a weight"),
            note: None,
        })
        .collect();
    let check = entry::weighings(drafts, &book.flock(), day(TODAY));
    write(&mut book, check);
    (book, ids)
}

fn opened(folder: &flocks::Folder, text: &str) -> (Page, Vec<AnimalId>) {
    let (book, ids) = lambs(folder);
    let file = folder.path().join("scale.txt");
    std::fs::write(&file, text).expect("a file");
    let mut h = desk_sized(folder, book, day(TODAY), [1240.0, 860.0]);
    ctrl(&mut h, Key::Num7);
    ctrl(&mut h, Key::R);
    h.run();
    assert!(flocks::has_keyboard(&h, Role::TextInput, "File"), "the file's name has the keyboard");
    // A bare name lies beside the book, and is the same in every picture.
    type_in(&mut h, "scale.txt");
    press(&mut h, Key::Enter);
    wait_for(&mut h, "the file", |h| says(h, "scale.txt: "));
    h.run();
    (h, ids)
}

fn click(h: &mut Page, name: &str) {
    h.get_by_role_and_label(Role::Button, name).click();
    h.run();
}

fn sessions(h: &Page) -> usize {
    h.state().flock().map_or(0, |f| f.daybook().sessions.len())
}

fn rows(h: &Page) -> Vec<String> {
    h.query_all_by_role(Role::Row).filter_map(|n| n.accesskit_node().label()).collect()
}

const FILE: &str = "# yard scale\nEID;VID;Weight (kg);Date;Time;Dag\n\
    826012345600401;0401;32,5;08/04/2026;09:41;1\n\
    826012345600402;0402;31,0;08/04/2026;09:42;0\n\
    826012345600403;0403;52,0;08/04/2026;09:43;0\n\
    826012345600777;;29,5;08/04/2026;09:44;2\n\
    826012345600407;0407;30,5;08/04/2026;09:45;0\n\
    826012345600404;0404;heavy;08/04/2026;09:46;0\n";

#[test]
fn it_is_shown_asked_about_and_written_as_one_session() {
    let folder = flocks::Folder::new();
    let (mut h, ids) = opened(&folder, &FILE.replace("08/04/", "03/04/"));
    assert!(says(&h, "7 lines: 0 weights") || says(&h, "6 lines: 0 weights"), "{:?}", rows(&h));
    assert!(says(&h, "Which day is '03/04/2026' on line 3?"), "never guessed");
    click(&mut h, "3 Apr 2026 (day, month, year)");
    wait_for(&mut h, "the day", |h| says(h, "4 weights"));
    h.run();
    assert!(says(&h, "1 not in the book") && says(&h, "1 line to mend"));
    assert!(rows(&h).iter().any(|r| r.contains("no lamb gains that")), "{:?}", rows(&h));
    assert!(rows(&h)[0].contains("to mend") || rows(&h).iter().any(|r| r.contains("to mend")));
    retype(&mut h, "Group", "Orchard");
    assert!(says(&h, "Of Orchard not in the file: 0404, 0405, 0406, 0408"));
    shot::check(&mut h, "weights_read");
    assert_eq!(sessions(&h), 0, "nothing is written yet");
    click(&mut h, "Write 4 animals as a session");
    assert_eq!(sessions(&h), 0, "what is unlikely needs a word");
    retype(&mut h, "Why", "two on the scale");
    click(&mut h, "Write 4 animals as a session");
    h.run();
    assert_eq!(sessions(&h), 1);
    let flock = h.state().flock().cloned().expect("a book");
    let session = &flock.daybook().sessions[0];
    assert_eq!((session.on, session.group.as_deref()), (day("2026-04-03"), Some("Orchard")));
    let first = flock.file(ids[0]).expect("there");
    assert_eq!(
        first.weighings.last().map(|w| (w.weight.grams(), w.session)),
        Some((32_500, Some(session.id)))
    );
    assert_eq!(first.scores.len(), 1);
    assert!(!says(&h, "Lines of the file"), "back at the scale");
    ctrl(&mut h, Key::Z);
    assert_eq!(sessions(&h), 0, "one undo takes it all back");
}

#[test]
fn a_file_is_written_without_the_mouse() {
    let folder = flocks::Folder::new();
    let (mut h, _) = opened(&folder, &FILE.replace("08/04/", "03/04/"));
    let first = "3 Apr 2026 (day, month, year)";
    assert!(flocks::has_keyboard(&h, Role::Button, first), "the first reading of the day has the keyboard");
    press(&mut h, Key::Enter);
    wait_for(&mut h, "the day", |h| says(h, "4 weights"));
    h.run();
    assert!(flocks::has_keyboard(&h, Role::TextInput, "Why"), "what looks unlikely wants a word");
    type_in(&mut h, "two on the scale");
    ctrl(&mut h, Key::Enter);
    h.run();
    assert_eq!(sessions(&h), 1);
}

#[test]
fn numbers_beside_a_tag_are_given() {
    let folder = flocks::Folder::new();
    let (mut h, ids) = opened(&folder, FILE);
    click(&mut h, "Give 1 animal its number");
    h.run();
    let flock = h.state().flock().cloned().expect("a book");
    let worn = flock.animal(ids[6]).and_then(|a| a.worn(IdentityKind::Electronic)).map(|i| i.tag.to_string());
    assert_eq!(worn.as_deref(), Some("826012345600407"));
    wait_for(&mut h, "the file read again", |h| {
        h.query_by_role_and_label(Role::Button, "Give 1 animal its number").is_none()
    });
}

#[test]
fn a_list_of_tags_is_scored_in_its_order() {
    let folder = flocks::Folder::new();
    let (mut h, ids) = opened(&folder, "826 012345600403\n826 012345600401\n");
    assert!(says(&h, "2 lines: 2 animals there"));
    retype(&mut h, "Score all", "condition 2.5");
    click(&mut h, "Write the score for all");
    let flock = h.state().flock().cloned().expect("a book");
    let scored = |n: usize| flock.file(ids[n]).map(|f| f.scores.clone()).unwrap_or_default();
    assert_eq!(scored(2)[0].score.words(), "condition 2.5");
    assert!(scored(2)[0].id < scored(0)[0].id, "in the order they came");
    assert!(scored(1).is_empty());
}
