//! What is due as a calendar, and charts and pages as pictures: by the command line and by the window.

use egui::{Key, Role, Theme};
use egui_kittest::kittest::Queryable as _;
use hirsel_app::desk::Desk;
use hirsel_app::look;
use hirsel_app::parts::bars::{Dot, Dots, Level, levels};
use hirsel_app::parts::picture::{Sitter, taken};
use hirsel_core::book::Book;
use hirsel_core::entry::{self, WeighingDraft};
use hirsel_core::papers::picture::{Drawing, Item, png, svg};
use hirsel_core::terms::{AnimalId, Moment, Sex, Weight};
use hirsel_tests::cli::{self, hirsel, run};
use hirsel_tests::flocks::{
    self, add, day, desk_sized, empty_book, has_keyboard, press, retype, says, wait_for, write,
};
use hirsel_tests::shot;
use std::collections::BTreeMap;
use std::path::Path;

const TODAY: &str = "2026-04-10";

type Page = egui_kittest::Harness<'static, Desk>;

fn printed(folder: &Path, words: &[&str]) -> String {
    let mut call = hirsel(folder);
    call.args(words);
    let output = run(call);
    assert!(output.status.success(), "{words:?}: {}", cli::said(&output));
    String::from_utf8(output.stdout).expect("text")
}

/// Of each identity its revision, its day and its status.
fn entries(text: &str) -> BTreeMap<String, (u32, String, String)> {
    let whole = text.replace("\r\n ", "");
    let mut all = BTreeMap::new();
    for entry in whole.split("BEGIN:VEVENT\r\n").skip(1) {
        let value = |name: &str| {
            let line = entry.lines().find(|l| l.split([':', ';']).next() == Some(name));
            line.and_then(|l| l.split_once(':')).map(|(_, v)| v.to_string()).unwrap_or_default()
        };
        let sequence = value("SEQUENCE").parse().expect("a number");
        let before = all.insert(value("UID"), (sequence, value("DTSTART"), value("STATUS")));
        assert!(before.is_none(), "one identity twice");
    }
    all
}

/// Source of the rule: RFC 5545, 3.8.7.4, a revision is told by a higher number under the same UID (from memory).
#[test]
fn a_second_file_changes_the_first() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::shed_book(&folder);
    book.close().expect("closed");
    let asked = ["export", "flock.hirsel", "due", "--each", "--kinds", "jobs,lambings,clear", "--on", TODAY];
    let first = printed(folder.path(), &asked);
    assert_eq!(first, printed(folder.path(), &asked), "the same book on the same day");
    let before = entries(&first);
    assert!(before.len() > 3, "{first}");
    printed(folder.path(), &["write", "flock.hirsel", "0412 foot bathed", "--on", TODAY]);
    let after = entries(&printed(folder.path(), &asked));
    assert_eq!(before.keys().collect::<Vec<_>>(), after.keys().collect::<Vec<_>>());
    for (uid, (sequence, start, status)) in &after {
        let was = &before[uid];
        assert!(*sequence > was.0, "each write raises the revision");
        assert_eq!((start, status), (&was.1, &was.2), "and changes nothing else of these");
    }
    // Copies of a book give the same identities, another book none of them.
    std::fs::copy(folder.path().join("flock.hirsel"), folder.path().join("copy.hirsel")).expect("a copy");
    let mut of_copy = asked;
    of_copy[1] = "copy.hirsel";
    assert_eq!(
        entries(&printed(folder.path(), &of_copy)).keys().collect::<Vec<_>>(),
        after.keys().collect::<Vec<_>>()
    );
    let grouped =
        |folder: &Path| entries(&printed(folder, &["export", "flock.hirsel", "due", "--on", TODAY]));
    let other = flocks::Folder::new();
    let (book, _) = flocks::shed_book(&other);
    book.close().expect("closed");
    let (ours, theirs) = (grouped(folder.path()), grouped(other.path()));
    assert!(!ours.is_empty() && ours.len() == theirs.len());
    assert!(ours.keys().all(|uid| !theirs.contains_key(uid)), "two flocks may stand in one calendar");
}

#[test]
fn pages_are_written_as_pictures() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::shed_book(&folder);
    book.close().expect("closed");
    let print = |to: &str| {
        let cards = [
            "print",
            "flock.hirsel",
            "lamb-cards",
            "--animal",
            "0412",
            "--animal",
            "0417",
            "--per-page",
            "1",
        ];
        printed(folder.path(), &[cards.as_slice(), &["--on", TODAY, "-o", to]].concat())
    };
    let said = print("card.PNG");
    let made = |ending: &str| {
        let all = std::fs::read_dir(folder.path()).expect("the folder").flatten().map(|e| e.file_name());
        let mut all: Vec<String> =
            all.map(|n| n.to_string_lossy().into_owned()).filter(|n| n.ends_with(ending)).collect();
        all.sort();
        all
    };
    let pages = made("PNG");
    assert!(pages.len() == 2 && said.contains(&format!("{} pages", pages.len())), "{said} {pages:?}");
    for page in &pages {
        let image = image::open(folder.path().join(page)).expect("a picture").to_luma8();
        // 297 by 210 mm or upright, at 200 dots an inch.
        let mut sides = [image.width(), image.height()];
        sides.sort_unstable();
        assert_eq!(sides, [1654, 2339]);
        let dark = image.pixels().filter(|p| p.0[0] < 100).count();
        assert!(dark > 2_000, "{page} holds {dark} dark dots");
    }
    print("card.svg");
    assert_eq!(made(".svg").len(), pages.len());
    let text = std::fs::read_to_string(folder.path().join(&made(".svg")[0])).expect("text");
    assert!(
        text.starts_with("<?xml") && text.contains("aria-label=\"Navel dipped\""),
        "words can be read out"
    );
    let mut call = hirsel(folder.path());
    call.args(["print", "flock.hirsel", "stock", "-o", "nowhere/stock.png"]);
    assert_eq!(run(call).status.code(), Some(2));
}

/// A ewe lamb with six weights.
fn weighed(folder: &flocks::Folder) -> (Book, AnimalId) {
    let mut book = empty_book(folder);
    let lamb = add(&mut book, "2601", Sex::Ewe, "2026-01-05", day(TODAY));
    let drafts = [
        ("2026-01-20", 8_100),
        ("2026-02-03", 12_300),
        ("2026-02-17", 16_200),
        ("2026-03-10", 22_000),
        ("2026-04-01", 27_400),
    ]
    .into_iter()
    .map(|(on, g)| WeighingDraft {
        animal: lamb,
        at: Moment::day(day(on)),
        weight: Weight::from_grams(g).expect("a weight"),
        note: None,
    })
    .collect();
    let check = entry::weighings(drafts, &book.flock(), day(TODAY));
    write(&mut book, check);
    (book, lamb)
}

fn click(h: &mut Page, role: Role, label: &str) {
    h.get_by_role_and_label(role, label).click();
    h.run();
}

#[test]
fn the_calendar_is_saved_from_tonight_by_keyboard() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::shed_book(&folder);
    let mut h = desk_sized(&folder, book, day(TODAY), [1240.0, 860.0]);
    h.get_by_role_and_label(Role::Button, "Calendar…").focus();
    h.run();
    press(&mut h, Key::Enter);
    assert!(has_keyboard(&h, Role::TextInput, "Days ahead"), "the form has the keyboard");
    shot::check(&mut h, "calendar_form");
    retype(&mut h, "Days ahead", "none");
    press(&mut h, Key::Enter);
    assert!(says(&h, "'none' is no number of days: write 1 to 400"));
    retype(&mut h, "Days ahead", "90");
    retype(&mut h, "Save as", "shed");
    press(&mut h, Key::Enter);
    let file = folder.path().join("shed.ics");
    wait_for(&mut h, "the calendar", |h| says(h, "saved as shed.ics in"));
    let text = std::fs::read_to_string(&file).expect("the file");
    assert!(text.starts_with("BEGIN:VCALENDAR\r\n") && !entries(&text).is_empty());
    // What is no calendar is not written over.
    std::fs::write(&file, "dear diary").expect("written");
    click(&mut h, Role::Button, "Calendar…");
    press(&mut h, Key::Enter);
    h.get_by_role_and_label(Role::Button, "Save the calendar").click();
    wait_for(&mut h, "the refusal", |h| says(h, "is there already and is no calendar"));
    assert_eq!(std::fs::read_to_string(&file).expect("the file"), "dear diary");
}

#[test]
fn a_chart_of_the_leaf_is_saved_as_picture() {
    let folder = flocks::Folder::new();
    let (book, _) = weighed(&folder);
    let mut h = desk_sized(&folder, book, day(TODAY), [1240.0, 1400.0]);
    flocks::ctrl(&mut h, Key::F);
    flocks::enter(&mut h, &["2601"]);
    h.run();
    let buttons = || h.get_all_by_role_and_label(Role::Button, "Save the picture…").count();
    assert_eq!(buttons(), 2, "of the growth and of the life");
    let first = h.get_all_by_role_and_label(Role::Button, "Save the picture…").next().expect("a button");
    first.focus();
    h.run();
    press(&mut h, Key::Enter);
    assert!(has_keyboard(&h, Role::TextInput, "Save as"), "the name has the keyboard");
    press(&mut h, Key::Enter);
    wait_for(&mut h, "the picture", |h| says(h, "Picture saved as"));
    let saved: Vec<_> = std::fs::read_dir(folder.path())
        .expect("the folder")
        .flatten()
        .map(|e| e.path())
        .filter(|p| p.extension().is_some_and(|e| e == "png"))
        .collect();
    assert_eq!(saved.len(), 1, "{saved:?}");
    let image = image::open(&saved[0]).expect("a picture").to_rgb8();
    assert!(image.width() > 1_400, "twice as fine as the screen: {}", image.width());
    let ground = image.get_pixel(2, 2).0;
    let others = image.pixels().filter(|p| p.0 != ground).count();
    assert!(others > 4_000, "{others} dots are drawn");
}

/// What a part says to those who look, in painting order.
fn words(items: &[Item]) -> Vec<String> {
    let mut all = Vec::new();
    for item in items {
        match item {
            Item::Words(w) => all.push(w.text.clone()),
            Item::Within(_, inner) => all.extend(words(inner)),
            Item::Shape(_) => {}
        }
    }
    all
}

fn dots() -> Dots {
    let dot = |name: &str, value: f64, now| Dot {
        name: name.into(),
        value: Some(value),
        shown: format!("{value} %"),
        under: "of 40".into(),
        now,
        few: false,
    };
    Dots {
        title: "Lambs reared, five first fillies".into(),
        base: "of ewes joined".into(),
        dots: vec![dot("2024", 148.0, false), dot("2025", 155.5, false), dot("2026", 162.0, true)],
        range: Some((Some(140.0), Some(170.0))),
        mean: Some(151.75),
        from_nothing: true,
        said: "Chart".into(),
        foot: "Handbook: 140 to 170".into(),
    }
}

fn bars() -> Vec<Level> {
    let level = |name: &str, length, few| Level {
        name: name.into(),
        length,
        shown: "12 of 40".into(),
        said: name.into(),
        few,
    };
    vec![
        level("Hill ground, affluent", Some(12.0), false),
        level("A very long name of a group that is cut", Some(30.0), true),
        level("None", None, false),
    ]
}

fn both(ui: &mut egui::Ui) {
    dots().show(ui, 420.0);
    ui.add_space(12.0);
    levels(ui, &bars());
}

/// The picture by our SVG and its painter, and the window by its own painter, show the same.
#[test]
fn a_picture_is_what_the_window_shows() {
    let of = Sitter { title: "Both kinds of bars", said: "Dots and bars", width: 460.0, height: None };
    let drawing = taken(&of, both);
    let made = png(&drawing, 96.0).expect("painted");
    let ours = image::load_from_memory(&made.bytes).expect("a picture").to_rgb8();
    let size = [made.width as f32, made.height as f32];
    let mut h = shot::themed(
        Theme::Light,
        size,
        |ui, ()| {
            let t = look::tokens(ui);
            ui.painter().rect_filled(egui::Rect::EVERYTHING, 0.0, t.ground);
            let margin = look::space::L;
            let room = egui::Rect::from_min_size(egui::pos2(margin, margin), egui::vec2(460.0, 2_000.0));
            ui.scope_builder(egui::UiBuilder::new().max_rect(room), |ui| {
                look::subheading(ui, of.title);
                ui.add_space(look::space::S);
                both(ui);
            });
        },
        (),
    );
    h.run();
    let theirs = image::DynamicImage::from(h.render().expect("painted")).to_rgb8();
    assert_eq!(ours.dimensions(), theirs.dimensions());
    let far =
        |a: &image::Rgb<u8>, b: &image::Rgb<u8>| (0..3).map(|i| a.0[i].abs_diff(b.0[i])).max().unwrap_or(0);
    let n = (ours.width() * ours.height()) as f64;
    let sum: f64 = ours.pixels().zip(theirs.pixels()).map(|(a, b)| f64::from(far(a, b))).sum();
    // Softened, so that edges that fall otherwise on the dots do not count: nothing is missing or elsewhere.
    let soft = |i: &image::RgbImage| image::imageops::blur(i, 2.0);
    let (a, b) = (soft(&ours), soft(&theirs));
    let worst = a.pixels().zip(b.pixels()).map(|(a, b)| far(a, b)).max().unwrap_or(0);
    assert!(sum / n < 3.0 && worst < 60, "{:.2} on the mean, {worst} at worst", sum / n);
    shown(&drawing, "bars");
}

#[test]
fn joined_letters_and_cut_words_are_kept() {
    let of = Sitter { title: "Fillies", said: "", width: 460.0, height: None };
    let drawing = taken(&of, both);
    let all = words(&drawing.items);
    for wanted in ["Fillies", "Lambs reared, five first fillies", "155.5 %", "Hill ground, affluent", "2026"]
    {
        assert!(all.iter().any(|w| w == wanted), "{wanted} in {all:#?}");
    }
    assert!(all.iter().any(|w| w.starts_with("A very long") && w.ends_with('…')), "{all:#?}");
    assert!(drawing.size.1 < 600.0, "as tall as what is drawn: {}", drawing.size.1);
}

/// With `HIRSEL_PICTURES=FOLDER` set, leaves the picture there, to be looked at.
fn shown(drawing: &Drawing, name: &str) {
    if let Some(folder) = std::env::var_os("HIRSEL_PICTURES") {
        let at = |ending: &str| Path::new(&folder).join(format!("{name}.{ending}"));
        std::fs::write(at("svg"), svg(drawing).expect("written")).expect("saved");
        std::fs::write(at("png"), png(drawing, 192.0).expect("painted").bytes).expect("saved");
    }
}
