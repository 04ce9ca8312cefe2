//! The page of registers: chosen with the arrows, followed with Enter, printed for its days.

use egui::{Key, Role};
use egui_kittest::kittest::Queryable as _;
use hirsel_app::pages::PageId;
use hirsel_tests::flocks::{self, ctrl, day, desk_sized, press, says, shed_book, wait_for};
use hirsel_tests::shot;

const TODAY: &str = "2026-04-10";

fn open(size: [f32; 2]) -> (flocks::Folder, egui_kittest::Harness<'static, hirsel_app::desk::Desk>) {
    let folder = flocks::Folder::new();
    let (book, _) = shed_book(&folder);
    let mut h = desk_sized(&folder, book, day(TODAY), size);
    h.state_mut().pages().expect("open").at = PageId::Inspect;
    h.run();
    ctrl(&mut h, Key::PageDown);
    wait_for(&mut h, "the registers", |h| says(h, "What was given to whom, when, why, and the clear days"));
    (folder, h)
}

#[test]
fn registers_are_chosen_with_the_arrows_and_printed() {
    let (_folder, mut h) = open([1240.0, 800.0]);
    for _ in 0..9 {
        press(&mut h, Key::ArrowDown);
    }
    wait_for(&mut h, "births", |h| says(h, "Lambs born, dead ones too, with dam, sire and marks"));
    h.get_by_role_and_label(Role::Button, "Print the register").click();
    wait_for(&mut h, "the preview", |h| says(h, "Page 1 of"));
    assert!(says(&h, "Birth register"));
}

#[test]
fn registers_wide() {
    picture([1240.0, 800.0], "registers_wide");
}

#[test]
fn registers_narrow() {
    picture([1024.0, 700.0], "registers_narrow");
}

fn picture(size: [f32; 2], name: &str) {
    let (_folder, mut h) = open(size);
    for _ in 0..9 {
        press(&mut h, Key::ArrowDown);
    }
    wait_for(&mut h, "births", |h| says(h, "entr"));
    shot::check(&mut h, name);
}
