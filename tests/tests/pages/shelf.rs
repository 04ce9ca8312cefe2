//! The medicine cupboard by the keyboard: purchases, waste, the count, amendments, papers, vets, egg counts, labels.

use egui::{Key, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use hirsel_app::desk::Desk;
use hirsel_core::flock::{Flock, StockChange};
use hirsel_core::reckon::stock;
use hirsel_core::terms::{Dose, ProductClass, Route, Withdrawal};
use hirsel_tests::flocks::{
    Folder, ctrl, day, desk, desk_sized, enter, has_keyboard, press, retype, says, shed_book, type_in,
    wait_for,
};
use hirsel_tests::shelf::{DRENCH, VACCINE, shelf_book, today};
use hirsel_tests::shot;
use std::sync::Arc;

type Page = Harness<'static, Desk>;

fn flock(h: &Harness<'_, Desk>) -> Arc<Flock> {
    h.state().flock().cloned().expect("a book is open")
}

/// Turns the Treatments page to a part: 4 is Batches and stock, 5 vets, 6 egg counts.
fn part(h: &mut Page, n: usize) {
    ctrl(h, Key::Num6);
    for _ in 0..n {
        ctrl(h, Key::PageDown);
    }
}

fn click(h: &mut Page, label: &str) {
    h.get_by_role_and_label(Role::Button, label).click();
    h.run();
}

fn ml(n: u32) -> Option<Dose> {
    Some(Dose::Volume(n * 1000))
}

fn left(h: &Page, product: &str, number: &str) -> Option<Dose> {
    let f = flock(h);
    stock::level(&f, f.product(product).expect("known").id, Some(number), today())
}

/// The row whose spoken sentence begins so, opened.
fn open_row(h: &mut Page, table: &str, begins: &str) {
    let at = h
        .query_all_by_role(Role::Row)
        .filter_map(|n| egui_kittest::kittest::NodeT::accesskit_node(&n).label())
        .position(|l| l.starts_with(begins))
        .unwrap_or_else(|| panic!("no row {begins}"));
    let id = h.query_all_by_role(Role::Grid).find(|n| {
        egui_kittest::kittest::NodeT::accesskit_node(n).label().is_some_and(|l| l.starts_with(table))
    });
    id.unwrap_or_else(|| panic!("no table {table}")).focus();
    h.run();
    press(h, Key::Home);
    for _ in 0..at {
        press(h, Key::ArrowDown);
    }
    press(h, Key::Enter);
}

#[test]
fn a_purchase_is_written_by_keyboard_and_the_next_keeps_what_repeats() {
    let folder = Folder::new();
    let (book, _) = shed_book(&folder);
    let mut h = desk(&folder, book, today());
    part(&mut h, 4);
    assert!(says(&h, "Nothing in the cupboard yet."));
    shot::check(&mut h, "shelf_empty");
    press(&mut h, Key::Enter);
    assert!(has_keyboard(&h, Role::TextInput, "Product"));
    enter(
        &mut h,
        &["leva", "L41", "02/2026", "2 x 500 ml", "", "1 mar", "Dale Farm", "Thornley", "2231", "42.5", ""],
    );
    assert!(says(&h, "it expires on 28 Feb 2026, before it was bought on 1 Mar 2026"), "at its field");
    assert!(has_keyboard(&h, Role::TextInput, "Expiry"), "and the keyboard is there");
    retype(&mut h, "Expiry", "05/2027");
    ctrl(&mut h, Key::Enter);
    let f = flock(&h);
    let b = &f.cupboard().batches[0];
    assert_eq!((b.number.as_str(), b.expiry, b.quantity), ("L41", Some(day("2027-05-31")), ml(1000)));
    assert_eq!((b.bought_on, b.price.map(|p| p.cents())), (Some(day("2026-03-01")), Some(4250)));
    assert!(has_keyboard(&h, Role::TextInput, "Product"), "ready for the next");
    enter(&mut h, &["clos", "V7", "2027-01"]);
    ctrl(&mut h, Key::Enter);
    let f = flock(&h);
    let b = f.cupboard().batches.iter().find(|b| b.number == "V7").expect("written");
    assert_eq!((b.supplier.as_deref(), b.invoice.as_deref()), (Some("Dale Farm"), Some("2231")));
    assert_eq!(b.bought_on, Some(day("2026-03-01")));
    click(&mut h, "Back to the list (Esc)");
    assert!(says(&h, "levamisole drench L41"));
    ctrl(&mut h, Key::Z);
    assert_eq!(flock(&h).cupboard().batches.len(), 1, "undone");
}

#[test]
fn what_is_left_of_an_expired_batch_is_brought_away() {
    let folder = Folder::new();
    let (book, _) = shelf_book(&folder);
    let mut h = desk(&folder, book, today());
    part(&mut h, 4);
    enter(&mut h, &["expired"]);
    assert!(says(&h, "levamisole drench L22, expired"));
    assert!(!says(&h, "levamisole drench L41, in order"), "searched");
    press(&mut h, Key::Enter);
    assert!(says(&h, "expired on 31 Mar 2026: 250 ml left"));
    click(&mut h, "Dispose of what is left");
    enter(&mut h, &["in its bottle", "the vet's practice", "out of date"]);
    let f = flock(&h);
    let m = f.cupboard().moves.iter().find(|m| m.change == StockChange::Disposed).expect("written");
    assert_eq!(
        (m.quantity, m.batch.as_deref(), m.how.as_deref()),
        (ml(250), Some("L22"), Some("in its bottle"))
    );
    assert_eq!((m.place.as_deref(), m.reason.as_deref()), (Some("the vet's practice"), Some("out of date")));
    assert_eq!(left(&h, DRENCH, "L22"), ml(0));
    // Of another one more than there is: the desk asks.
    assert!(has_keyboard(&h, Role::TextInput, "Batch"), "ready for the next");
    enter(&mut h, &["V1", "", "60"]);
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "only 4 ml of clostridial vaccine 4-in-1 V1 is left by the book, 60 ml is more"));
    press(&mut h, Key::Escape);
    assert_eq!(left(&h, VACCINE, "V1"), ml(4));
}

#[test]
fn a_bottle_is_opened() {
    let folder = Folder::new();
    let (book, _) = shelf_book(&folder);
    let mut h = desk(&folder, book, today());
    part(&mut h, 4);
    click(&mut h, "Opened, wasted, disposed of");
    assert!(has_keyboard(&h, Role::RadioGroup, "What happened"));
    enter(&mut h, &["", "L41", "-2"]);
    let f = flock(&h);
    let b = f.cupboard().batches.iter().find(|b| b.number == "L41").expect("there");
    assert_eq!(b.opened_on, Some(day("2026-04-08")));
}

#[test]
fn the_shelf_is_counted_in_one_column() {
    let folder = Folder::new();
    let (book, _) = shelf_book(&folder);
    let mut h = desk(&folder, book, today());
    part(&mut h, 4);
    click(&mut h, "Count the shelf");
    assert!(has_keyboard(&h, Role::TextInput, "clostridial vaccine 4-in-1 V1"));
    enter(&mut h, &["", "none", "", "470 ml spilled"]);
    shot::check(&mut h, "shelf_count");
    ctrl(&mut h, Key::Enter);
    // Nothing there of L22 where the book says 250 ml, and no reason.
    assert!(says(&h, "0 ml of levamisole drench L22 found where the book says 250 ml: a reason is needed"));
    assert!(has_keyboard(&h, Role::TextInput, "levamisole drench L22"));
    retype(&mut h, "Reason", "never taken off when it went back");
    ctrl(&mut h, Key::Enter);
    let f = flock(&h);
    let counts: Vec<_> = f.cupboard().moves.iter().filter(|m| m.change == StockChange::Counted).collect();
    assert_eq!(counts.len(), 5, "a line for each batch that may be there");
    assert_eq!(left(&h, DRENCH, "L22"), ml(0));
    assert_eq!(left(&h, DRENCH, "L41"), ml(470));
    assert_eq!(left(&h, VACCINE, "V1"), ml(4), "as the book said");
    let why = |number: &str| {
        let m = counts.iter().find(|m| m.batch.as_deref() == Some(number)).expect("counted");
        m.reason.clone().unwrap_or_default()
    };
    assert_eq!(why("L22"), "never taken off when it went back");
    assert_eq!(why("L41"), "spilled");
    assert_eq!(why("V1"), "", "no reason where nothing differs");
}

#[test]
fn a_record_is_amended_and_struck_out_with_a_reason() {
    let folder = Folder::new();
    let (mut book, _) = shelf_book(&folder);
    book.set_clock(Some("2026-04-10 21:05:00"));
    let mut h = desk(&folder, book, today());
    part(&mut h, 4);
    enter(&mut h, &["L38"]);
    press(&mut h, Key::Enter);
    assert!(says(&h, "gun leaked"));
    open_row(&mut h, "Records of the batch", "20 Mar 2026");
    assert!(says(&h, "levamisole drench L38: wasted"));
    press(&mut h, Key::A);
    assert!(has_keyboard(&h, Role::TextInput, "Day"));
    retype(&mut h, "Quantity", "30");
    // Left and opened again: what was typed is there.
    click(&mut h, "Back to the list (Esc)");
    open_row(&mut h, "Records of the batch", "20 Mar 2026");
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "a reason is needed: the old value stays readable"));
    retype(&mut h, "Reason", "read the gun again");
    ctrl(&mut h, Key::Enter);
    let m = flock(&h).cupboard().moves[0].clone();
    assert_eq!(m.quantity, ml(30));
    assert!(says(&h, "read the gun again"), "the trail stands beside it");
    shot::check(&mut h, "shelf_amended");
    press(&mut h, Key::K);
    enter(&mut h, &["it was another bottle"]);
    let m = flock(&h).cupboard().moves[0].clone();
    assert_eq!(m.struck.map(|s| s.reason).as_deref(), Some("it was another bottle"));
    press(&mut h, Key::Escape);
    assert!(says(&h, "wasted, struck out"));
}

#[test]
fn a_paper_is_kept_with_its_batch() {
    let folder = Folder::new();
    let (book, _) = shelf_book(&folder);
    std::fs::write(folder.path().join("scan.pdf"), b"%PDF-1.7\nan invoice").expect("written");
    std::fs::write(folder.path().join("letter.txt"), b"an invoice").expect("written");
    let mut h = desk(&folder, book, today());
    part(&mut h, 4);
    enter(&mut h, &["L41"]);
    press(&mut h, Key::Enter);
    press(&mut h, Key::Enter);
    assert!(says(&h, "levamisole drench L41, as it was bought"));
    for (name, words) in [
        ("nowhere.pdf", "could not be read (no such file"),
        ("letter.txt", "'letter.txt' is neither a PDF nor a picture"),
    ] {
        retype(&mut h, "File to keep", name);
        press(&mut h, Key::Enter);
        wait_for(&mut h, words, |h| says(h, words));
    }
    retype(&mut h, "File to keep", "scan.pdf");
    press(&mut h, Key::Enter);
    wait_for(&mut h, "the paper", |h| !flock(h).documents().all().is_empty());
    let d = flock(&h).documents().all()[0].clone();
    assert_eq!((d.name.as_str(), d.kind.as_str(), d.size), ("scan.pdf", "pdf", 19));
    assert!(says(&h, "scan.pdf (pdf, 19 bytes), kept 10 Apr 2026"));
    click(&mut h, "Strike out scan.pdf");
    enter(&mut h, &["of another bottle"]);
    assert!(flock(&h).documents().all()[0].struck.is_some());
    assert!(says(&h, "of another bottle"), "it stays readable");
}

#[test]
fn a_vet_and_a_prescription_by_keyboard() {
    let folder = Folder::new();
    let (book, _) = shed_book(&folder);
    let mut h = desk(&folder, book, today());
    part(&mut h, 5);
    assert!(says(&h, "No vet yet."));
    press(&mut h, Key::Enter);
    enter(&mut h, &["Ada Kell", "Fell Side", "2 Mill Lane", "01632 960017", "V-5512"]);
    assert_eq!(flock(&h).cupboard().vets[0].practice.as_deref(), Some("Fell Side"));
    click(&mut h, "New prescription");
    assert!(has_keyboard(&h, Role::TextInput, "Product"), "the only vet is the one");
    enter(&mut h, &["leva", "1 apr", "31/3/2026"]);
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "the last day 31 Mar 2026 is before the first 1 Apr 2026"));
    retype(&mut h, "Valid until", "10/2026");
    enter(&mut h, &["", "RX 1", "top field", "10 ml", "worms", "o", "35", "never"]);
    let f = flock(&h);
    let p = &f.cupboard().prescriptions[0];
    assert_eq!((p.on, p.valid_to), (day("2026-04-01"), Some(day("2026-10-31"))));
    assert_eq!((p.off_label, p.meat, p.milk), (true, Withdrawal::Days(35), Withdrawal::Never));
    assert!(says(&h, "off the label"));
    // The same name again is refused at its field.
    click(&mut h, "New vet");
    enter(&mut h, &["ada kell"]);
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "a vet called Ada Kell is in the book already"));
}

#[test]
fn egg_counts_are_typed_row_after_row() {
    let folder = Folder::new();
    let (book, ids) = shelf_book(&folder);
    let mut h = desk(&folder, book, today());
    part(&mut h, 6);
    assert!(says(&h, "91.8 % fewer eggs"), "1350 eggs to 110");
    enter(&mut h, &["9 apr", "low field", "leva", "20 mar", "", "0433", "150"]);
    assert!(has_keyboard(&h, Role::TextInput, "Animal"), "ready for the next");
    enter(&mut h, &["0412", "many"]);
    assert!(says(&h, "'many' is no egg count"));
    retype(&mut h, "Eggs in a gram", "0");
    press(&mut h, Key::Enter);
    let f = flock(&h);
    let low: Vec<_> =
        f.cupboard().egg_counts.iter().filter(|e| e.group.as_deref() == Some("low field")).collect();
    assert_eq!(
        low.iter().map(|e| (e.on, e.epg)).collect::<Vec<_>>(),
        [(day("2026-04-09"), 150), (day("2026-04-09"), 0)]
    );
    assert_eq!((low[1].animal, low[1].treated_on), (Some(ids[0]), Some(day("2026-03-20"))));
    assert!(says(&h, "no counts before the treatment"));
    retype(&mut h, "Search", "low 0433");
    press(&mut h, Key::Enter);
    press(&mut h, Key::Enter);
    assert!(says(&h, "Egg count of 0433"));
    press(&mut h, Key::A);
    retype(&mut h, "Eggs in a gram", "160");
    retype(&mut h, "Reason", "read again");
    press(&mut h, Key::Enter);
    assert!(flock(&h).cupboard().egg_counts.iter().any(|e| e.epg == 160));
}

#[test]
fn a_label_is_written_whole() {
    let folder = Folder::new();
    let (book, _) = shelf_book(&folder);
    let mut h = desk(&folder, book, today());
    part(&mut h, 3);
    open_row(&mut h, "Products", "levamisole");
    assert!(has_keyboard(&h, Role::TextInput, "Name on the label"));
    retype(&mut h, "Use after opening", "soon");
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "'soon' is no number of days: write 28"));
    retype(&mut h, "Use after opening", "90");
    retype(&mut h, "Storage", "cool and dark");
    retype(&mut h, "Most at once", "20");
    h.get_by_role_and_label(Role::RadioGroup, "It is").focus();
    h.run();
    type_in(&mut h, "w");
    click(&mut h, "Another route, with its own periods");
    shot::check(&mut h, "shelf_label");
    assert!(has_keyboard(&h, Role::RadioGroup, "Route, route 2"));
    type_in(&mut h, "u");
    press(&mut h, Key::Enter);
    enter(&mut h, &["35", "never"]);
    let f = flock(&h);
    let m = &f.product(DRENCH).expect("there").more;
    assert_eq!((m.opened_days, m.storage.as_deref(), m.most), (Some(90), Some("cool and dark"), ml(20)));
    assert_eq!(m.class, ProductClass::Wormer);
    let r = m.routes[0];
    assert_eq!((r.route, r.meat, r.milk), (Route::Subcutaneous, Withdrawal::Days(35), Withdrawal::Never));
    assert!(!says(&h, "Write the product"), "closed");
}

#[test]
fn tonight_tells_of_the_cupboard_and_leads_there() {
    let folder = Folder::new();
    let (book, _) = shelf_book(&folder);
    let mut h = desk_sized(&folder, book, today(), [1240.0, 1100.0]);
    ctrl(&mut h, Key::Num1);
    assert!(says(&h, "4 to see to in the cupboard"));
    shot::check(&mut h, "shelf_tonight");
    twice(&mut h, "levamisole drench L22: expired on 31 Mar 2026");
    assert!(says(&h, "levamisole drench L22, as it was bought"));
}

/// A row by its words, clicked twice.
fn twice(h: &mut Page, begins: &str) {
    for _ in 0..2 {
        let row = h.query_all_by_role(Role::Row).find(|n| {
            egui_kittest::kittest::NodeT::accesskit_node(n).label().is_some_and(|l| l.starts_with(begins))
        });
        row.unwrap_or_else(|| panic!("no row {begins}")).click();
        h.step();
    }
    h.run();
}

#[test]
fn pictures() {
    let folder = Folder::new();
    let (book, _) = shelf_book(&folder);
    let mut h = desk(&folder, book, today());
    part(&mut h, 4);
    shot::check(&mut h, "shelf_list");
    open_row(&mut h, "Batches and stock", "levamisole drench L38");
    shot::check(&mut h, "shelf_line");
    part(&mut h, 1);
    shot::check(&mut h, "shelf_vets");
    ctrl(&mut h, Key::PageDown);
    shot::check(&mut h, "shelf_eggs");
}

/// Every part at both sizes, light and dark, to be looked at: `LOOK=FOLDER cargo test -p hirsel_tests looked_at`.
#[test]
fn looked_at() {
    let Ok(to) = std::env::var("LOOK") else { return };
    for (theme, size, name) in [
        (egui::Theme::Light, [1240.0, 800.0], "light_wide"),
        (egui::Theme::Dark, [1240.0, 800.0], "dark_wide"),
        (egui::Theme::Light, [1024.0, 700.0], "light_small"),
        (egui::Theme::Dark, [1024.0, 700.0], "dark_small"),
    ] {
        let folder = Folder::new();
        let (book, _) = shelf_book(&folder);
        let kept = hirsel_app::desk::kept::Kept::at(&folder.path().join("kept"));
        let desk = Desk::with_book(kept, book, today());
        let mut h: Page = shot::themed(theme, size, |ui, desk: &mut Desk| desk.view(ui), desk);
        h.run();
        let mut n = 0;
        let mut look = |h: &mut Page, what: &str| {
            n += 1;
            shot::to_png(h, format!("{to}/{name}_{n:02}_{what}.png")).expect("painted");
        };
        ctrl(&mut h, Key::Num1);
        look(&mut h, "tonight");
        part(&mut h, 4);
        look(&mut h, "list");
        for (button, what) in
            [("Bought", "bought"), ("Opened, wasted, disposed of", "moved"), ("Count the shelf", "count")]
        {
            click(&mut h, button);
            look(&mut h, what);
            click(&mut h, "Back to the list (Esc)");
        }
        open_row(&mut h, "Batches and stock", "oxytetracycline");
        look(&mut h, "line");
        press(&mut h, Key::Enter);
        look(&mut h, "record");
        press(&mut h, Key::A);
        look(&mut h, "amend");
        ctrl(&mut h, Key::PageDown);
        look(&mut h, "vets");
        click(&mut h, "New prescription");
        look(&mut h, "prescription");
        ctrl(&mut h, Key::PageDown);
        look(&mut h, "eggs");
        part(&mut h, 0);
        for _ in 0..3 {
            ctrl(&mut h, Key::PageUp);
        }
        look(&mut h, "products");
        open_row(&mut h, "Products", "oxytetracycline");
        look(&mut h, "label");
    }
}
