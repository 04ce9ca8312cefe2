//! What is half typed in any form is still there after Esc, after another page, and after the program was killed.

use egui::{Key, Role};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use hirsel_app::desk::{Desk, kept::Kept};
use hirsel_app::pages::{PageId, sections};
use hirsel_core::book::Book;
use hirsel_tests::flocks::{self, day, desk, press, type_in};
use hirsel_tests::shot;
use hirsel_tests::walk::{self, Page};

const TODAY: &str = "2026-04-10";

/// Searches, the note line and the fields that find an animal are no forms; a copy under a passphrase is never kept as a
/// draft, on purpose.
const NO_FORM: [&str; 7] = ["Search", "Find", "Barn note", "Life of", "Sealed to", "Passphrase", "Once more"];

type At = (PageId, Option<&'static str>);

/// A field of a page and what was typed in it.
struct Typed {
    at: At,
    name: String,
    text: String,
}

fn fields(h: &Page) -> Vec<(String, String)> {
    let all = walk::controls(h);
    let fields =
        all.into_iter().filter(|c| matches!(c.role, Role::TextInput | Role::MultilineTextInput) && !c.off);
    fields
        .filter(|c| !NO_FORM.iter().any(|n| c.name.starts_with(n)))
        .map(|c| (c.name, c.value.unwrap_or_default()))
        .collect()
}

/// Types into every empty field of what is shown; gives what stands in them at the end.
fn fill(h: &mut Page, at: At) -> Vec<Typed> {
    for (name, value) in fields(h) {
        let node = h
            .query_all_by_role(Role::TextInput)
            .chain(h.query_all_by_role(Role::MultilineTextInput))
            .find(|n| n.accesskit_node().label().as_deref() == Some(name.as_str()));
        let Some(node) = node.filter(|_| value.is_empty()) else { continue };
        node.focus();
        h.run_ok();
        type_in(h, "7");
    }
    let kept = fields(h).into_iter().filter(|(_, text)| text == "7");
    kept.map(|(name, text)| Typed { at, name, text }).collect()
}

fn compare(h: &mut Page, all: &[Typed], when: &str, wrong: &mut Vec<String>) {
    let mut shown: Option<At> = None;
    for typed in all {
        if shown != Some(typed.at) {
            walk::show(h, typed.at.0, typed.at.1);
            shown = Some(typed.at);
        }
        let now = fields(h).into_iter().find(|(name, _)| *name == typed.name).map(|(_, text)| text);
        if now.as_deref() != Some(&typed.text) {
            let at = format!("{}, {}", typed.at.0.words(), typed.at.1.unwrap_or("-"));
            wrong.push(format!("{when}: {at}: {:?} holds {now:?}", typed.name));
        }
    }
}

#[test]
fn what_is_half_typed_outlives_esc_another_page_and_a_kill() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::shed_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    let mut all: Vec<Typed> = Vec::new();
    let mut wrong = Vec::new();
    for page in PageId::ALL {
        let mut parts: Vec<Option<&'static str>> = sections::parts(page).into_iter().map(Some).collect();
        if parts.is_empty() {
            parts.push(None);
        }
        for part in parts {
            walk::show(&mut h, page, part);
            let typed = fill(&mut h, (page, part));
            press(&mut h, Key::Escape);
            let other = if page == PageId::Tonight { PageId::Barn } else { PageId::Tonight };
            walk::show(&mut h, other, None);
            compare(&mut h, &typed, "after Esc and another page", &mut wrong);
            all.extend(typed);
        }
    }
    println!("{} fields typed into", all.len());
    assert!(all.len() > 60, "too few fields were found");
    h.state_mut().save_drafts();
    drop(h); // nothing is closed
    let book = Book::open(&folder.path().join("flock.hirsel")).expect("opened");
    let again = Desk::with_book(Kept::at(&folder.path().join("kept")), book, day(TODAY));
    let mut h = shot::harness([1240.0, 800.0], |ui, desk: &mut Desk| desk.view(ui), again);
    compare(&mut h, &all, "after a kill", &mut wrong);
    assert!(wrong.is_empty(), "{} faults\n{}", wrong.len(), wrong.join("\n"));
}
