//! The record table: any number of records in rows, found, sorted and chosen with the keyboard.
//! Draws only what is seen; asks for the data of those rows alone. One tab stop; the cursor is a record, not a
//! row number, so it stays put when the order changes. Each row is one node with one spoken sentence.

mod cell;
pub mod columns;
mod keys;
mod state;
mod taken;

use hirsel_core::phrase;
use std::borrow::Cow;
use std::cmp::Ordering;
use std::fmt::Debug;
use std::hash::Hash;

use egui::{
    Color32, CornerRadius, Id, Rect, Role, ScrollArea, Sense, Stroke, StrokeKind, Ui, Vec2, WidgetInfo, pos2,
};

use crate::look::{self, Face, Icon, Tokens, icons, size, space, tokens};

use super::take_keyboard;
pub use cell::{Cell, Column};
use hirsel_core::exchange::shown;
use hirsel_core::terms::{Text, counted};
pub use keys::KEYS;
pub use state::{Sort, TableState, missing_last};
pub use taken::wanted;

/// The records of a table. Implement it on a small struct that borrows what the page shows.
pub trait Rows {
    /// The id of a record.
    type Key: Copy + Eq + Hash + Debug;
    /// Another number whenever the records, their order or what is compared may have changed.
    fn version(&self) -> u64;
    /// How many records.
    fn len(&self) -> usize;
    /// Whether there is none.
    fn is_empty(&self) -> bool {
        self.len() == 0
    }
    /// The id of a record; must be quick.
    fn key(&self, row: usize) -> Self::Key;
    /// The order of two records by a column (ascending); must be quick.
    fn compare(&self, column: usize, a: usize, b: usize) -> Ordering;
    /// What stands in a column. Asked only for rows that are seen.
    fn cell(&self, column: usize, row: usize) -> Cell;
    /// What stands in a column, as it is saved.
    fn plain(&self, column: usize, row: usize) -> (shown::Cell, String) {
        (shown::Cell::Words, self.cell(column, row).words().to_string())
    }
    /// A heavy line is drawn under this row, to part what is above from what is below.
    fn line_under(&self, _row: usize) -> bool {
        false
    }
    /// The row as one sentence for those who listen: "0412, ewe, born 2021, under withdrawal".
    fn sentence(&self, row: usize) -> String;
    /// The same with the program's own words as they are said.
    fn spoken(&self, row: usize, _say: &dyn Fn(&'static str) -> Cow<'static, str>) -> String {
        self.sentence(row)
    }
}

/// What the keeper did in a table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TableEvent<K> {
    /// Enter or a double click: show this record.
    Opened(K),
    /// The cursor stands on another record.
    CursorMoved(K),
    /// Other records are selected.
    SelectionChanged,
    /// The rows stand in another order.
    SortChanged,
}

/// Keys of a table for the strip; [`KEYS`] has them all.
const HERE: [(&str, &str); 4] =
    [("↑ ↓", "row"), ("letters", "go to a row"), ("Enter", "open"), ("Ctrl+L", "columns")];

/// Of one in which rows are selected.
const HERE_MANY: [(&str, &str); 5] = [
    ("↑ ↓", "row"),
    ("letters", "go to a row"),
    ("Enter", "open"),
    ("Space", "select"),
    ("Ctrl+L", "columns"),
];

const CHECK: f32 = 36.0;
const HEAD: f32 = 34.0;

/// A table with a name for screen readers. Build it, then [`RecordTable::show`] it.
pub struct RecordTable<'a> {
    name: Text,
    columns: &'a [Column],
    many: bool,
}

impl<'a> RecordTable<'a> {
    /// `name` says what the rows are ("Flock"); it also tells two tables of one page apart.
    pub fn new(name: impl Into<Text>, columns: &'a [Column]) -> Self {
        Self { name: name.into(), columns, many: true }
    }

    /// One record at a time: no selection, no column of ticks.
    #[must_use]
    pub fn single(mut self) -> Self {
        self.many = false;
        self
    }

    /// The id that has the keyboard when the table has: `ui.memory_mut(|m| m.request_focus(id))`.
    pub fn id(&self, ui: &Ui) -> Id {
        ui.make_persistent_id(("record_table", self.name.as_str()))
    }

    /// Draws the table into all the room there is and tells what happened.
    pub fn show<R: Rows>(
        &self,
        ui: &mut Ui,
        state: &mut TableState<R::Key>,
        rows: &R,
    ) -> Vec<TableEvent<R::Key>> {
        state.refresh(rows);
        let mut events = Vec::new();
        let id = self.id(ui);
        let area = ui.available_rect_before_wrap();
        let focus = ui.interact(area, id, Sense::focusable_noninteractive());
        let shown = columns::shown(ui.ctx(), self.name.as_str(), self.columns);
        let name = look::speech::shown(&self.name);
        let spoken = match self.columns.len() - shown.len() {
            0 => phrase!("{name}, {} rows", state.len()),
            n => phrase!("{name}, {} rows, {} not shown", state.len(), counted(n, "column")),
        };
        focus.widget_info(|| WidgetInfo::labeled(Role::Grid, true, &spoken));
        if focus.has_focus() {
            super::live::here(ui, if self.many { &HERE_MANY } else { &HERE });
            self.keys(ui, id, state, rows, &mut events);
            if self.chooser_asked(ui.ctx()) {
                self.open_chooser(ui.ctx(), id);
            }
        }
        if focus.lost_focus() {
            state.typed.clear();
        }
        self.chooser(ui, id);
        if focus.gained_focus() {
            focus.scroll_to_me(None);
            if state.place(rows).is_none() && state.len() > 0 {
                state.go(0, rows);
            }
        }
        let focused = focus.has_focus();
        ScrollArea::horizontal().id_salt(id).auto_shrink(false).show(ui, |ui| {
            let bar = ui.spacing().scroll.allocated_width();
            let edge = if self.many { CHECK } else { 0.0 };
            let seen: Vec<Column> = shown.iter().map(|i| self.columns[*i].clone()).collect();
            let least: f32 = seen.iter().map(|c| c.width).sum::<f32>() + edge;
            let width = (ui.available_width() - bar).max(least);
            ui.set_min_width(width);
            ui.spacing_mut().item_spacing = Vec2::ZERO;
            let spans = cell::spread(&seen, ui.max_rect().left() + edge, width - edge);
            let spans: Vec<(usize, (f32, f32))> = shown.iter().copied().zip(spans).collect();
            self.head(ui, id, state, rows, &spans, width, &mut events);
            ScrollArea::vertical().id_salt(id.with("rows")).auto_shrink(false).show_viewport(
                ui,
                |ui, seen| {
                    self.body(ui, id, state, rows, &spans, width, seen, focused, &mut events);
                },
            );
        });
        events
    }

    #[expect(clippy::too_many_arguments)] // the parts of one frame
    fn head<R: Rows>(
        &self,
        ui: &mut Ui,
        id: Id,
        state: &mut TableState<R::Key>,
        rows: &R,
        spans: &[(usize, (f32, f32))],
        width: f32,
        events: &mut Vec<TableEvent<R::Key>>,
    ) {
        let t = tokens(ui);
        let (rect, _) = ui.allocate_exact_size(Vec2::new(width, HEAD), Sense::hover());
        ui.painter().hline(rect.x_range(), rect.bottom() - 0.5, Stroke::new(1.0, t.edge));
        if self.many {
            let tick = Rect::from_min_size(rect.min, Vec2::new(CHECK, HEAD));
            let response = ui.interact(tick, id.with("all"), Sense::CLICK);
            let all = state.all_selected();
            response.widget_info(|| {
                WidgetInfo::selected(Role::CheckBox, true, all, look::said("Select all rows shown"))
            });
            paint_tick(ui, tick, all, t);
            if response.on_hover_text(phrase!("Select all rows shown (Ctrl+A)")).clicked() {
                take_keyboard(ui, id);
                state.toggle_all(rows);
                events.push(TableEvent::SelectionChanged);
            }
        }
        for &(i, (left, right)) in spans {
            let column = &self.columns[i];
            let place =
                Rect::from_min_max(pos2(left - space::S, rect.top()), pos2(right + space::S, rect.bottom()));
            let sorted = state.sort().filter(|s| s.column == i);
            let arrow = sorted.map_or("", |s| if s.descending { " ▼" } else { " ▲" });
            let sense = if column.sortable { Sense::CLICK } else { Sense::HOVER };
            let response = ui.interact(place, id.with(("head", i)), sense);
            let title = look::speech::shown(&column.title);
            let spoken = match sorted {
                Some(Sort { descending: false, .. }) => phrase!("{title}, sorted upwards"),
                Some(_) => phrase!("{title}, sorted downwards"),
                None if title.is_empty() => look::said("Mark").into_owned(),
                None => title.to_string(),
            };
            response.widget_info(|| WidgetInfo::labeled(Role::ColumnHeader, true, &spoken));
            if column.sortable && response.hovered() {
                ui.painter().rect_filled(place, CornerRadius::same(space::ROUND), t.hover);
            }
            let ink = if sorted.is_some() { t.accent } else { t.faint };
            let text = format!("{title}{arrow}");
            let job = cell::line(text, Face::Strong, size::SMALL, ink, Stroke::NONE, right - left);
            let galley = ui.painter().layout_job(job);
            let x = if column.right { right - galley.size().x } else { left };
            ui.painter().galley(pos2(x, rect.center().y - galley.size().y / 2.0), galley, ink);
            if response.secondary_clicked() {
                self.open_chooser(ui.ctx(), id);
            }
            if response.clicked() {
                take_keyboard(ui, id);
                state.sort_by(i);
                events.push(TableEvent::SortChanged);
            }
        }
        state.refresh(rows);
    }

    #[expect(clippy::too_many_arguments)] // the parts of one frame
    fn body<R: Rows>(
        &self,
        ui: &mut Ui,
        id: Id,
        state: &mut TableState<R::Key>,
        rows: &R,
        spans: &[(usize, (f32, f32))],
        width: f32,
        seen: Rect,
        focused: bool,
        events: &mut Vec<TableEvent<R::Key>>,
    ) {
        let count = state.len();
        ui.set_min_size(Vec2::new(width, count as f32 * space::ROW));
        let origin = ui.max_rect().left_top();
        let row_rect = |place: usize| {
            Rect::from_min_size(
                origin + Vec2::new(0.0, place as f32 * space::ROW),
                Vec2::new(width, space::ROW),
            )
        };
        state.page_rows = ((seen.height() / space::ROW) as usize).saturating_sub(1).max(1);
        let cursor = state.place(rows);
        if std::mem::take(&mut state.scroll_to_cursor)
            && let Some(place) = cursor
        {
            ui.scroll_to_rect(row_rect(place), None);
        }
        let first = (seen.top() / space::ROW).max(0.0) as usize;
        let last = ((seen.bottom() / space::ROW).ceil() as usize).min(count);
        let say = look::said;
        for place in first..last {
            let row = state.row_at(place);
            let key = rows.key(row);
            let rect = row_rect(place);
            let response = ui.interact(rect, id.with(key), Sense::CLICK);
            let selected = state.is_selected(key);
            response.widget_info(|| WidgetInfo::labeled(Role::Row, true, rows.spoken(row, &say)));
            ui.ctx().accesskit_node_builder(response.id, |node| {
                node.set_selected(selected);
                node.set_row_index(place + 1);
            });
            if cursor == Some(place) {
                ui.ctx().accesskit_node_builder(id, |node| {
                    node.set_active_descendant(response.id.accesskit_id())
                });
            }
            let look = RowLook { odd: place % 2 == 1, selected, cursor: cursor == Some(place), focused };
            let cut = self.paint_row(ui, rows, row, rect, spans, look, response.hovered());
            if response.clicked() {
                // egui counts two quick clicks on two rows as a double click: both must hit this row.
                let again = state.cursor() == Some(key) && self.many_clicks(ui, &response, rect);
                self.clicked(ui, id, state, rows, place, rect, events);
                if again {
                    events.push(TableEvent::Opened(key));
                }
            }
            if let Some(whole) = cut {
                response.on_hover_text(crate::look::spoken(whole));
            }
        }
    }

    /// Whether this is the second of two quick clicks, not on the tick.
    fn many_clicks(&self, ui: &Ui, response: &egui::Response, row: Rect) -> bool {
        let at = ui.input(|i| i.pointer.interact_pos());
        (response.double_clicked() || response.triple_clicked()) && !self.on_tick(at, row)
    }

    fn on_tick(&self, at: Option<egui::Pos2>, row: Rect) -> bool {
        self.many && at.is_some_and(|p| p.x < row.left() + CHECK)
    }

    #[expect(clippy::too_many_arguments)] // the parts of one frame
    fn clicked<R: Rows>(
        &self,
        ui: &Ui,
        id: Id,
        state: &mut TableState<R::Key>,
        rows: &R,
        place: usize,
        rect: Rect,
        events: &mut Vec<TableEvent<R::Key>>,
    ) {
        take_keyboard(ui, id);
        let before = state.cursor();
        state.go(place, rows);
        state.scroll_to_cursor = false; // it is under the pointer
        let (held, at) = ui.input(|i| (i.modifiers, i.pointer.interact_pos()));
        let on_tick = self.on_tick(at, rect);
        if self.many && held.shift {
            state.select_from_anchor(rows);
            events.push(TableEvent::SelectionChanged);
        } else if self.many && (held.command || on_tick) {
            state.toggle_cursor();
            events.push(TableEvent::SelectionChanged);
        } else {
            state.drop_anchor();
        }
        if let Some(now) = state.cursor().filter(|now| before != Some(*now)) {
            events.push(TableEvent::CursorMoved(now));
        }
    }

    /// Draws one row; returns the whole text of the cell under the pointer if it had to be cut.
    #[expect(clippy::too_many_arguments)] // the parts of one frame
    fn paint_row<R: Rows>(
        &self,
        ui: &Ui,
        rows: &R,
        row: usize,
        rect: Rect,
        spans: &[(usize, (f32, f32))],
        look: RowLook,
        hovered: bool,
    ) -> Option<String> {
        let t = tokens(ui);
        let painter = ui.painter();
        let ground = look.ground(hovered, t);
        if ground != Color32::TRANSPARENT {
            painter.rect_filled(rect, CornerRadius::ZERO, ground);
        }
        if self.many {
            let tick = Rect::from_min_size(rect.min, Vec2::new(CHECK, rect.height()));
            paint_tick(ui, tick, look.selected, t);
        }
        let pointer = if hovered { ui.input(|i| i.pointer.hover_pos()) } else { None };
        let mut cut = None;
        for &(i, (left, right)) in spans {
            let column = &self.columns[i];
            let place = Rect::from_min_max(pos2(left, rect.top()), pos2(right, rect.bottom()));
            let cell = rows.cell(i, row);
            let whole = cell.paint(painter, place, column.right, t);
            if pointer.is_some_and(|p| place.contains(p)) {
                cut = whole;
            }
        }
        if rows.line_under(row) {
            painter.hline(rect.x_range(), rect.bottom() - 1.0, Stroke::new(2.5, t.accent));
        }
        if look.cursor {
            let (wide, ink) = if look.focused { (space::RING, t.focus) } else { (1.0, t.edge) };
            painter.rect_stroke(rect, CornerRadius::same(3), Stroke::new(wide, ink), StrokeKind::Inside);
        }
        cut
    }
}

#[derive(Clone, Copy)]
struct RowLook {
    odd: bool,
    selected: bool,
    cursor: bool,
    focused: bool,
}

impl RowLook {
    fn ground(self, hovered: bool, t: &Tokens) -> Color32 {
        if self.selected {
            t.selection
        } else if hovered {
            t.hover
        } else if self.odd {
            t.stripe
        } else {
            Color32::TRANSPARENT
        }
    }
}

/// The box of a row's tick: a mark besides the colour.
fn paint_tick(ui: &Ui, rect: Rect, ticked: bool, t: &Tokens) {
    let square = Rect::from_center_size(rect.center(), Vec2::splat(16.0));
    let ground = if ticked { t.accent } else { t.field };
    let edge = if ticked { t.accent } else { t.edge };
    ui.painter().rect(square, CornerRadius::same(3), ground, Stroke::new(1.0, edge), StrokeKind::Inside);
    if ticked {
        icons::paint(Icon::Tick, ui.painter(), square.shrink(1.0), t.on_accent);
    }
}
