//! Walks through every page and part of the window, and tells what controls stand on it and where.

use std::collections::HashMap;

use egui::accesskit::NodeId;
use egui::{Id, LayerId, Rect, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use hirsel_app::desk::Desk;
use hirsel_app::pages::{PageId, sections};
use hirsel_core::book::Book;
use hirsel_core::terms::{AnimalId, Day, Sex};

use crate::flocks::{self, Folder};

/// The whole desk under test.
pub type Page = Harness<'static, Desk>;

/// One thing that the keyboard or the mouse can use.
#[derive(Debug, Clone)]
pub struct Control {
    /// Its id.
    pub id: Id,
    /// What it is.
    pub role: Role,
    /// Its name; empty if it has none.
    pub name: String,
    /// What stands in it.
    pub value: Option<String>,
    /// Where it is.
    pub rect: Rect,
    /// What of it is seen.
    pub seen: Rect,
    /// On which layer.
    pub layer: LayerId,
    /// Out of use.
    pub off: bool,
}

/// A made-up flock in a book of its own.
///
/// # Panics
/// When it cannot be made.
pub fn made_up(folder: &Folder, today: Day) -> Book {
    let path = folder.path().join("flock.hirsel");
    let spec = hirsel_demo::Spec { ewes: 12, seasons: 2, ..hirsel_demo::Spec::default() };
    let mut book = Book::create(&path, hirsel_demo::holding()).unwrap_or_else(|e| panic!("{e}"));
    hirsel_demo::make(&mut book, &spec, today, &mut |_| {}).unwrap_or_else(|e| panic!("{e}"));
    book
}

/// Lets threads bring what they reckon, until none works and nothing changes any more.
///
/// # Panics
/// When they have not ended after some minutes.
pub fn settle<S>(h: &mut Harness<'_, S>) {
    let (mut before, mut same) = (0, 0);
    for _ in 0..10_000 {
        h.run_ok();
        let now = h.root().children_recursive().count();
        let rests = now == before && hirsel_app::desk::worker::under_way(&h.ctx) == 0;
        same = if rests { same + 1 } else { 0 };
        before = now;
        if same >= 2 {
            return;
        }
        std::thread::sleep(std::time::Duration::from_millis(15));
    }
    panic!("what was begun does not end");
}

/// Every control of what is shown, in reading order.
pub fn controls<S>(h: &Harness<'_, S>) -> Vec<Control> {
    // Between two passes the last one is the one before.
    let widgets = h.ctx.viewport(|v| {
        let all = v.prev_pass.widgets.layers().flat_map(|(_, w)| w.iter().copied());
        all.map(|w| (w.id.accesskit_id(), w)).collect::<HashMap<NodeId, egui::WidgetRect>>()
    });
    let mut found = Vec::new();
    for node in h.root().children_recursive() {
        let node = node.accesskit_node();
        let Some(w) = widgets.get(&node.locate().0) else { continue };
        let known = matches!(
            node.role(),
            Role::Button
                | Role::Link
                | Role::CheckBox
                | Role::Switch
                | Role::RadioButton
                | Role::RadioGroup
                | Role::TextInput
                | Role::MultilineTextInput
                | Role::PasswordInput
                | Role::ComboBox
                | Role::Slider
                | Role::SpinButton
                | Role::Tab
                | Role::MenuItem
                | Role::Grid
                | Role::Row
                | Role::ColumnHeader
                | Role::ListBoxOption
        );
        if !w.visible || !(known || w.sense.is_focusable()) || node.role() == Role::Window {
            continue;
        }
        found.push(Control {
            id: w.id,
            role: node.role(),
            name: node.label().unwrap_or_default(),
            value: node.value(),
            rect: w.rect,
            seen: w.interact_rect,
            layer: w.layer_id,
            off: node.is_disabled(),
        });
    }
    found
}

/// Every text of what is shown, as it is read out: names and labels, and values that were not typed.
pub fn texts<S>(h: &Harness<'_, S>) -> Vec<String> {
    let mut found = Vec::new();
    for node in h.root().children_recursive() {
        let node = node.accesskit_node();
        let typed = matches!(
            node.role(),
            Role::TextInput | Role::MultilineTextInput | Role::PasswordInput | Role::TextRun
        );
        found.extend(node.label());
        found.extend(node.value().filter(|_| !typed));
        found.extend(node.placeholder().map(str::to_owned));
    }
    found
}

/// Where a widget was in the last pass, and what of it was seen.
pub fn place<S>(h: &Harness<'_, S>, id: Id) -> Option<(Rect, Rect)> {
    h.ctx.viewport(|v| v.prev_pass.widgets.get(id).map(|w| (w.rect, w.interact_rect)))
}

/// Shows a page, or one of its parts.
///
/// # Panics
/// When no book is open.
pub fn show(h: &mut Page, page: PageId, part: Option<&'static str>) {
    let pages = h.state_mut().pages().expect("a book is open");
    pages.at = page;
    if page == PageId::Flock {
        flocks::ctrl(h, egui::Key::Num3); // from a leaf back to the list
    }
    if let Some(part) = part {
        sections::wish(&h.ctx, part);
    }
    settle(h);
}

/// Visits every page and every part of it, a ewe's leaf and its forms; `see` is told the name of each.
///
/// # Panics
/// When there is no ewe.
pub fn everywhere(h: &mut Page, mut see: impl FnMut(&mut Page, &str)) {
    for page in PageId::ALL {
        let parts = sections::parts(page);
        if parts.is_empty() {
            show(h, page, None);
            see(h, page.words());
        }
        for part in parts {
            show(h, page, Some(part));
            see(h, &format!("{}, {part}", page.words()));
            further(h, page, part, &mut see);
        }
        if page == PageId::Tonight {
            further(h, page, "", &mut see);
        }
    }
    leaf(h, &mut see);
}

/// Choices within a part.
fn further(h: &mut Page, page: PageId, part: &str, see: &mut impl FnMut(&mut Page, &str)) {
    let within: &[&str] = match (page, part) {
        (PageId::Blood, "Genes and registry") => &["carriers", "registry"],
        (PageId::Feed, "Creep") => &["List"],
        (PageId::Tonight, _) => &["tomorrow", "this week"],
        _ => return,
    };
    for word in within {
        let found = h
            .query_all_by_role(Role::RadioButton)
            .find(|n| n.accesskit_node().label().is_some_and(|l| l.starts_with(word)));
        if let Some(node) = found {
            node.click();
            settle(h);
            let at = if part.is_empty() { String::new() } else { format!("{part}, ") };
            see(h, &format!("{}, {at}{word}", page.words()));
        }
    }
}

/// A ewe's leaf with each of its forms.
fn leaf(h: &mut Page, see: &mut impl FnMut(&mut Page, &str)) {
    let ewe = a_ewe(h);
    let open = |h: &mut Page| {
        show(h, PageId::Flock, None);
        h.state_mut().pages().expect("a book is open").leaf.show(ewe);
        settle(h);
    };
    open(h);
    see(h, "Leaf");
    for word in ["Weigh", "Join", "Move to pen", "Change standing", "Note", "Facts", "Tags", "Picture"] {
        open(h);
        let Some(button) = h.query_by_role_and_label(Role::Button, word) else { continue };
        button.click();
        settle(h);
        see(h, &format!("Leaf, {word}"));
        flocks::press(h, egui::Key::Escape);
    }
}

/// A ewe with the most written of her.
///
/// # Panics
/// When there is none.
pub fn a_ewe(h: &Page) -> AnimalId {
    let flock = h.state().flock().expect("a book is open");
    let ewes = flock.present().filter(|f| f.animal.sex == Sex::Ewe);
    ewes.max_by_key(|f| f.lambings.len() + f.treatments.len() + f.weighings.len()).expect("a ewe").animal.id
}
