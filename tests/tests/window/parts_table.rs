//! The record table through its accessible names and the keyboard.

use std::cell::Cell as Counter;
use std::cmp::Ordering;

use egui::{Key, Modifiers, Role, Ui};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use hirsel_app::look::Kind;
use hirsel_app::parts::record_table::{Cell, Column, RecordTable, Rows, TableEvent, TableState};
use hirsel_tests::shot;

struct Ewes {
    count: u32,
    asked: Counter<usize>,
}

impl Rows for Ewes {
    type Key = u32;
    fn version(&self) -> u64 {
        u64::from(self.count)
    }
    fn len(&self) -> usize {
        self.count as usize
    }
    fn key(&self, row: usize) -> u32 {
        row as u32
    }
    fn compare(&self, column: usize, a: usize, b: usize) -> Ordering {
        // The weights run against the tags.
        if column == 2 { b.cmp(&a) } else { a.cmp(&b) }
    }
    fn cell(&self, column: usize, row: usize) -> Cell {
        self.asked.set(self.asked.get() + 1);
        match column {
            0 => Cell::text(format!("{row:04}")).strong(),
            1 => Cell::text("Bramble, out of a very long line of ewes that all were called Bramble"),
            2 => Cell::text(format!("{}.5", 90 - row % 50)),
            _ if row % 7 == 3 => Cell::chip(Kind::Caution, "under withdrawal"),
            _ if row % 7 == 4 => Cell::text("struck out").struck().faint(),
            _ => Cell::empty(),
        }
    }
    fn sentence(&self, row: usize) -> String {
        format!("{row:04}, ewe")
    }
}

struct Page {
    ewes: Ewes,
    state: TableState<u32>,
    events: Vec<TableEvent<u32>>,
}

fn columns() -> Vec<Column> {
    vec![
        Column::new("Tag", 90.0),
        Column::new("Name", 160.0).rest(),
        Column::new("Weight", 90.0).right(),
        Column::new("Note", 180.0).unsorted(),
    ]
}

fn view(ui: &mut Ui, page: &mut Page) {
    let _ = ui.button("Add");
    let columns = columns();
    page.events.extend(RecordTable::new("Flock", &columns).show(ui, &mut page.state, &page.ewes));
}

fn page(count: u32) -> Harness<'static, Page> {
    let ewes = Ewes { count, asked: Counter::new(0) };
    let page = Page { ewes, state: TableState::default(), events: Vec::new() };
    let mut harness = shot::harness([760.0, 420.0], view, page);
    press(&mut harness, Key::Tab);
    press(&mut harness, Key::Tab);
    harness
}

fn press(page: &mut Harness<'_, Page>, key: Key) {
    page.key_press(key);
    page.run();
}

fn press_with(page: &mut Harness<'_, Page>, held: Modifiers, key: Key) {
    page.key_press_modifiers(held, key);
    page.run();
}

fn selected(page: &Harness<'_, Page>) -> Vec<u32> {
    let mut keys: Vec<u32> = page.state().state.selected().iter().copied().collect();
    keys.sort_unstable();
    keys
}

#[test]
fn one_tab_stop_and_the_cursor_on_the_first_row() {
    let mut page = page(100);
    page.get_by_role_and_label(Role::Grid, "Flock, 100 rows");
    assert!(page.get_by_role_and_label(Role::Row, "0000, ewe").is_focused());
    assert_eq!(page.state().state.cursor(), Some(0));
    press(&mut page, Key::Tab);
    assert!(page.get_by_label("Add").is_focused());
}

/// A screen reader is told which row the cursor is on.
#[test]
fn the_cursor_row_speaks() {
    let mut page = page(100);
    press(&mut page, Key::ArrowDown);
    let row = page.get_by_role_and_label(Role::Row, "0001, ewe").accesskit_node().id();
    let table = page.get_by_role(Role::Grid);
    assert_eq!(table.accesskit_node().active_descendant().map(|n| n.id()), Some(row));
}

#[test]
fn keys_move_the_cursor_and_show_it() {
    let mut page = page(100_000);
    for (key, row) in [
        (Key::ArrowDown, 1),
        (Key::ArrowDown, 2),
        (Key::ArrowUp, 1),
        (Key::End, 99_999),
        (Key::ArrowDown, 99_999),
        (Key::Home, 0),
        (Key::ArrowUp, 0),
    ] {
        press(&mut page, key);
        assert_eq!(page.state().state.cursor(), Some(row), "{key:?}");
        // Seen, hence in the tree.
        page.get_by_role_and_label(Role::Row, &format!("{row:04}, ewe"));
    }
    press(&mut page, Key::PageDown);
    let down = page.state().state.cursor().unwrap();
    assert!((5..20).contains(&down), "{down}");
    press(&mut page, Key::PageUp);
    assert_eq!(page.state().state.cursor(), Some(0));
}

/// The list moves only when the cursor does, and no further than needed.
#[test]
fn the_list_stays_where_it_is() {
    let mut page = page(1_000);
    press(&mut page, Key::ArrowDown);
    let before = page.get_by_label("0001, ewe").rect();
    page.run();
    press(&mut page, Key::ArrowDown);
    assert_eq!(page.get_by_label("0001, ewe").rect(), before);
}

#[test]
fn enter_opens_the_record() {
    let mut page = page(100);
    press(&mut page, Key::ArrowDown);
    press(&mut page, Key::Enter);
    assert_eq!(page.state().events.last(), Some(&TableEvent::Opened(1)));
}

#[test]
fn shift_and_space_select() {
    let mut page = page(100);
    press(&mut page, Key::ArrowDown);
    press_with(&mut page, Modifiers::SHIFT, Key::ArrowDown);
    press_with(&mut page, Modifiers::SHIFT, Key::ArrowDown);
    assert_eq!(selected(&page), [1, 2, 3]);
    press(&mut page, Key::ArrowDown);
    press(&mut page, Key::ArrowDown);
    press(&mut page, Key::Space);
    assert_eq!(selected(&page), [1, 2, 3, 5]);
    press(&mut page, Key::Space);
    assert_eq!(selected(&page), [1, 2, 3]);
    let row = page.get_by_role_and_label(Role::Row, "0002, ewe");
    assert_eq!(row.accesskit_node().is_selected(), Some(true));
    press_with(&mut page, Modifiers::COMMAND, Key::A);
    assert_eq!(selected(&page).len(), 100);
}

#[test]
fn the_mouse_selects_and_opens() {
    let mut page = page(100);
    page.get_by_label("0002, ewe").click();
    page.run();
    assert_eq!((page.state().state.cursor(), selected(&page).len()), (Some(2), 0));
    page.get_by_label("0004, ewe").click_modifiers(Modifiers::COMMAND);
    page.run();
    assert_eq!(selected(&page), [4]);
    page.get_by_label("0006, ewe").click_modifiers(Modifiers::SHIFT);
    page.run();
    assert_eq!(selected(&page), [4, 5, 6]);
    // The keyboard goes on where the mouse clicked.
    press(&mut page, Key::ArrowDown);
    assert_eq!(page.state().state.cursor(), Some(7));
    // Two clicks on one row open it.
    assert!(!page.state().events.iter().any(|e| matches!(e, TableEvent::Opened(_))));
    page.get_by_label("0008, ewe").click();
    page.get_by_label("0008, ewe").click();
    page.run();
    assert_eq!(page.state().events.last(), Some(&TableEvent::Opened(8)));
}

#[test]
fn sorting_by_head_and_by_key_keeps_the_cursor() {
    let mut page = page(100);
    page.get_by_role_and_label(Role::ColumnHeader, "Weight").click();
    page.run();
    assert!(page.state().events.contains(&TableEvent::SortChanged));
    page.get_by_role_and_label(Role::ColumnHeader, "Weight, sorted upwards");
    assert_eq!(page.state().state.cursor(), Some(0));
    page.get_by_label("0000, ewe"); // now the last row, and still seen
    press_with(&mut page, Modifiers::COMMAND, Key::ArrowDown);
    page.get_by_role_and_label(Role::ColumnHeader, "Weight, sorted downwards");
    // The next sortable column after the last is the first.
    press_with(&mut page, Modifiers::COMMAND, Key::ArrowRight);
    page.get_by_role_and_label(Role::ColumnHeader, "Tag, sorted upwards");
}

/// Data are asked for only where they are seen.
#[test]
fn a_hundred_thousand_rows_cost_no_more_than_a_screenful() {
    let mut page = page(100_000);
    page.state().ewes.asked.set(0);
    page.step();
    let asked = page.state().ewes.asked.get();
    assert!(asked > 0 && asked <= 20 * 4, "{asked} cells");
    let rows = page.get_all_by_role(Role::Row).count();
    assert!((8..=20).contains(&rows), "{rows} rows");
}

#[test]
fn an_empty_table_is_no_trouble() {
    let mut page = page(0);
    for key in [Key::ArrowDown, Key::End, Key::Enter, Key::Space, Key::PageUp] {
        press(&mut page, key);
    }
    assert_eq!(page.state().events, []);
}

#[test]
fn picture() {
    let mut page = page(100);
    press(&mut page, Key::ArrowDown);
    press_with(&mut page, Modifiers::SHIFT, Key::ArrowDown);
    press_with(&mut page, Modifiers::COMMAND, Key::ArrowRight);
    shot::check(&mut page, "record_table");
}

/// Letters go to the row whose first column begins so; Esc and every other key begin anew.
#[test]
fn letters_go_to_a_row() {
    let mut page = page(3_000);
    for (typed, row) in [("0", 0), ("0", 0), ("4", 40), ("2", 42)] {
        page.event(egui::Event::Text(typed.into()));
        page.run();
        assert_eq!(page.state().state.cursor(), Some(row), "after {typed}");
    }
    press(&mut page, Key::Escape);
    assert!(
        page.get_by_role(Role::Grid).accesskit_node().active_descendant().is_some(),
        "Esc keeps the table"
    );
    for typed in ["1", "2"] {
        page.event(egui::Event::Text(typed.into()));
        page.run();
    }
    assert_eq!(page.state().state.cursor(), Some(1_200));
    // It is seen, hence in the tree.
    page.get_by_role_and_label(Role::Row, "1200, ewe");
}
