//! The page of figures: seasons beside seasons, splits, losses and money, by the keyboard.

use egui::{Key, Role, Theme};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use hirsel_app::desk::Desk;
use hirsel_core::book::Book;
use hirsel_core::entry;
use hirsel_core::flock::{Holding, RecordRef};
use hirsel_core::terms::MoneyKind;
use hirsel_tests::flocks::{
    self, ctrl, day, desk_sized, enter, has_keyboard, press, says, type_in, wait_for,
};
use hirsel_tests::shot;

const TODAY: &str = "2026-10-10";

type Page = Harness<'static, Desk>;

/// The invented flock of forty ewes over six seasons.
fn book(folder: &flocks::Folder) -> Book {
    let path = folder.path().join("flock.hirsel");
    let spec = hirsel_demo::Spec { ewes: 40, seasons: 6, ..hirsel_demo::Spec::default() };
    let mut book = Book::create(&path, hirsel_demo::holding()).unwrap_or_else(|e| panic!("{e}"));
    hirsel_demo::make(&mut book, &spec, day(TODAY), &mut |_| {}).expect("made");
    book
}

fn shown(folder: &flocks::Folder, book: Book, size: [f32; 2]) -> Page {
    let mut h = desk_sized(folder, book, day(TODAY), size);
    ctrl(&mut h, Key::G);
    h
}

fn part(h: &mut Page, n: usize) {
    for _ in 0..n {
        ctrl(h, Key::PageDown);
    }
}

#[test]
fn no_season_and_no_money() {
    let folder = flocks::Folder::new();
    let book = flocks::empty_book(&folder);
    let mut h = shown(&folder, book, [1240.0, 800.0]);
    wait_for(&mut h, "that there is none", |h| says(h, "No season yet"));
    part(&mut h, 1);
    assert!(says(&h, "No season yet"));
    part(&mut h, 1);
    assert!(says(&h, "No season yet"));
    part(&mut h, 1);
    assert!(says(&h, "No money is written down"));
}

#[test]
fn seasons_beside_seasons() {
    let folder = flocks::Folder::new();
    let mut h = shown(&folder, book(&folder), [1280.0, 900.0]);
    wait_for(&mut h, "the figures", |h| says(h, "Every figure, season beside season"));
    assert!(has_keyboard(&h, Role::RadioGroup, "Season"));
    assert!(says(&h, "Chart. Lambed of exposed: 2022"), "the chart says its content");
    assert!(says(&h, "Handbook: 96 or more is excellent"));
    assert!(says(&h, "Ewes exposed are those turned out with a ram"));
    // An earlier season by an arrow.
    press(&mut h, Key::ArrowLeft);
    assert!(says(&h, "2025: "));
    press(&mut h, Key::ArrowRight);
    shot::check(&mut h, "figures_seasons_light");
    h.ctx.set_theme(Theme::Dark);
    h.run_steps(3);
    shot::check(&mut h, "figures_seasons_dark");
}

#[test]
fn who_and_where_and_losses() {
    let folder = flocks::Folder::new();
    let mut h = shown(&folder, book(&folder), [1280.0, 900.0]);
    wait_for(&mut h, "the figures", |h| says(h, "Every figure, season beside season"));
    part(&mut h, 1);
    assert!(says(&h, "Born for each ewe lambed, by age of ewe"));
    assert!(says(&h, "Hollow and grey: fewer than 10"));
    shot::check(&mut h, "figures_split");
    part(&mut h, 1);
    assert!(says(&h, "When they were lost"));
    assert!(says(&h, "lost by weaning"));
    shot::check(&mut h, "figures_losses");
}

/// The keeper's sign stands before amounts where they are read; what is kept and taken out is the figure alone.
#[test]
fn amounts_stand_behind_the_currency_of_the_book() {
    let folder = flocks::Folder::new();
    let mut book = flocks::empty_book(&folder);
    let holding = |sign: &str| Holding { currency: sign.into(), ..book.flock().holding().clone() };
    assert!(entry::holding(holding("pounds"), &book.flock()).is_err(), "five letters at most");
    let sure = entry::holding(holding("NZ$"), &book.flock()).expect("a sign").sure().expect("no question");
    book.write(sure).expect("written");
    let mut h = shown(&folder, book, [1240.0, 800.0]);
    part(&mut h, 3);
    type_in(&mut h, "feed");
    press(&mut h, Key::Enter);
    enter(&mut h, &["NZ$ 86.40", "hay"]);
    wait_for(&mut h, "the line", |h| says(h, "NZ$86.40"));
    let flock = h.state().flock().cloned().expect("a book");
    assert_eq!(flock.daybook().money.iter().map(|m| m.amount.to_string()).collect::<Vec<_>>(), ["86.40"]);
    // Taken back, the line; then the sign: amounts are bare again.
    ctrl(&mut h, Key::Z);
    ctrl(&mut h, Key::Z);
    wait_for(&mut h, "no sign", |h| h.state().flock().is_some_and(|f| f.holding().currency.is_empty()));
}

#[test]
fn money_enter_by_enter_amended_and_struck_out() {
    let folder = flocks::Folder::new();
    let book = flocks::empty_book(&folder);
    let mut h = shown(&folder, book, [1240.0, 800.0]);
    part(&mut h, 3);
    assert!(has_keyboard(&h, Role::TextInput, "Kind"));
    // An unknown kind keeps the keyboard where it is.
    type_in(&mut h, "fodder");
    press(&mut h, Key::Enter);
    assert!(says(&h, "is no kind of money"));
    flocks::retype(&mut h, "Kind", "fee");
    press(&mut h, Key::Enter);
    enter(&mut h, &["86.40", "hay"]);
    wait_for(&mut h, "the line", |h| says(h, "86.40"));
    let held = |h: &Page| h.state().flock().map(|f| f.daybook().money.clone()).unwrap_or_default();
    assert_eq!(
        held(&h).iter().map(|m| (m.kind, m.amount.cents())).collect::<Vec<_>>(),
        [(MoneyKind::Feed, 8640)]
    );
    assert!(has_keyboard(&h, Role::TextInput, "Kind"), "ready for the next");
    enter(&mut h, &["lambs", "1200", ""]);
    assert_eq!(held(&h).len(), 2);
    assert!(says(&h, "Gross margin"));
    shot::check(&mut h, "figures_money");
    // The newest line stands first: Enter leads from the search into the list and opens it.
    h.get_by_role_and_label(Role::TextInput, "Search").focus();
    h.run();
    press(&mut h, Key::Enter);
    press(&mut h, Key::Enter);
    assert!(says(&h, "lambs sold, taken of ") || says(&h, "lambs, taken of "), "the line is open");
    // Without a reason nothing is changed.
    ctrl(&mut h, Key::A);
    type_in(&mut h, "1250");
    for _ in 0..4 {
        press(&mut h, Key::Enter);
    }
    assert_eq!(held(&h)[1].amount.cents(), 120_000, "no reason, no change");
    assert!(says(&h, "reason"));
    h.get_by_role_and_label(Role::TextInput, "Reason").focus();
    h.run();
    type_in(&mut h, "the dealer's note says so");
    press(&mut h, Key::Enter);
    wait_for(&mut h, "the amended line", |h| says(h, "1250.00"));
    let amended = |h: &Page| {
        let flock = h.state().flock().cloned().expect("a book");
        let m = flock.daybook().money.iter().find(|m| m.kind == MoneyKind::Lambs).cloned().expect("a line");
        let how =
            flock.amendments(RecordRef::Money(m.id)).iter().map(|a| a.reason.clone()).collect::<Vec<_>>();
        (m.amount.cents(), m.struck.map(|s| s.reason), how)
    };
    assert_eq!(amended(&h), (125_000, None, vec!["the dealer's note says so".into()]));
    // Opened again it shows what stood there; struck out it stays readable and counts in no sum.
    h.get_by_role_and_label(Role::TextInput, "Search").focus();
    h.run();
    press(&mut h, Key::Enter);
    press(&mut h, Key::Enter);
    let said: Vec<String> =
        h.root().children_recursive().filter_map(|n| n.accesskit_node().value()).collect();
    assert!(
        says(&h, "the dealer's note says so") && says(&h, "1200.00"),
        "the old value is readable: {said:?}"
    );
    h.get_by_role_and_label(Role::TextInput, "Reason").focus();
    h.run();
    type_in(&mut h, "written twice");
    h.get_by_role_and_label(Role::Button, "Strike it out").click();
    wait_for(&mut h, "the line struck out", |h| says(h, "struck out"));
    assert_eq!(amended(&h).1.as_deref(), Some("written twice"));
    shot::check(&mut h, "figures_money_struck");
    ctrl(&mut h, Key::Z);
    assert_eq!(amended(&h).1, None, "one undo takes it back");
}
