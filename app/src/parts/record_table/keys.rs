//! The keys of a record table. They are read from the events as they come, so that none is lost when two fall
//! into one frame.

use egui::{Event, EventFilter, Id, Key, Modifiers, Ui};

use super::{RecordTable, Rows, Sort, TableEvent, TableState};

/// The keys, for the page of all keys: key, what it does.
pub const KEYS: &[(&str, &str)] = &[
    ("↑ ↓", "one row up or down"),
    ("Page up, Page down", "one screen up or down"),
    ("Home, End", "first or last row"),
    ("letters, figures", "go to the row that begins so"),
    ("Enter", "open the record"),
    ("Space", "select the row, or free it"),
    ("Shift+↑ ↓ …", "select from here to there"),
    ("Ctrl+A", "select all rows shown, or none"),
    ("Ctrl+← →", "sort by the column before or after"),
    ("Ctrl+↑ ↓", "sort upwards or downwards"),
    ("Ctrl+L", "choose the columns"),
    ("Ctrl+S", "save the rows as CSV or a spreadsheet"),
];

#[derive(Clone, Copy)]
enum Act {
    Step(isize),
    First,
    Last,
    Open,
    Toggle,
    All,
    SortColumn(isize),
    SortDown(bool),
    Save,
    Columns,
}

/// What a key means in a table where `page` rows are seen; `true` if the selection is to follow.
fn act(key: Key, held: Modifiers, page: isize, many: bool) -> Option<(Act, bool)> {
    if held.alt {
        return None;
    }
    let act = match (key, held.command) {
        (Key::ArrowDown, false) => Act::Step(1),
        (Key::ArrowUp, false) => Act::Step(-1),
        (Key::PageDown, false) => Act::Step(page),
        (Key::PageUp, false) => Act::Step(-page),
        (Key::Home, _) => Act::First,
        (Key::End, _) => Act::Last,
        (Key::Enter, false) if !held.shift => Act::Open,
        (Key::Space, _) if many => Act::Toggle,
        (Key::S, true) if !held.shift => Act::Save,
        (Key::L, true) if !held.shift => Act::Columns,
        (Key::A, true) if many && !held.shift => Act::All,
        (Key::ArrowRight, true) => Act::SortColumn(1),
        (Key::ArrowLeft, true) => Act::SortColumn(-1),
        (Key::ArrowUp, true) => Act::SortDown(false),
        (Key::ArrowDown, true) => Act::SortDown(true),
        _ => return None,
    };
    Some((act, many && held.shift && matches!(act, Act::Step(_) | Act::First | Act::Last)))
}

impl RecordTable<'_> {
    pub(super) fn keys<R: Rows>(
        &self,
        ui: &Ui,
        id: Id,
        state: &mut TableState<R::Key>,
        rows: &R,
        events: &mut Vec<TableEvent<R::Key>>,
    ) {
        // Bare arrows would otherwise carry the focus to the nearest widget.
        let filter = EventFilter {
            vertical_arrows: true,
            horizontal_arrows: true,
            escape: !state.typed.is_empty(),
            ..EventFilter::default()
        };
        ui.memory_mut(|m| m.set_focus_lock_filter(id, filter));
        let page = isize::try_from(state.page_rows).unwrap_or(1);
        let mut acts = Vec::new();
        ui.input_mut(|i| {
            let now = i.time;
            i.events.retain(|event| match event {
                Event::Key { key, pressed: true, modifiers, .. } => {
                    match act(*key, *modifiers, page, self.many) {
                        Some(found) => {
                            state.typed.clear();
                            acts.push(found);
                            false
                        }
                        None if *key == Key::Escape && !state.typed.is_empty() => {
                            state.typed.clear();
                            false
                        }
                        None => true,
                    }
                }
                // A blank is the key that selects, unless it stands within a name.
                Event::Text(text) if !text.trim().is_empty() || !state.typed.is_empty() => {
                    !state.seek(text, now, rows)
                }
                _ => true,
            });
        });
        let before = state.cursor();
        for (act, follow) in acts {
            if follow && state.cursor().is_none() {
                state.step(0, rows);
                state.drop_anchor();
            }
            match act {
                Act::Save => {
                    self.want(ui.ctx(), state, rows);
                    continue;
                }
                Act::Columns => {
                    self.open_chooser(ui.ctx(), id);
                    continue;
                }
                _ => {}
            }
            self.carry_out(act, state, rows, events);
            if follow {
                state.select_from_anchor(rows);
                events.push(TableEvent::SelectionChanged);
            } else if matches!(act, Act::Step(_) | Act::First | Act::Last) {
                state.drop_anchor();
            }
        }
        if let Some(now) = state.cursor().filter(|now| before != Some(*now)) {
            events.push(TableEvent::CursorMoved(now));
        }
    }

    fn carry_out<R: Rows>(
        &self,
        act: Act,
        state: &mut TableState<R::Key>,
        rows: &R,
        events: &mut Vec<TableEvent<R::Key>>,
    ) {
        match act {
            Act::Step(by) => state.step(by, rows),
            Act::First => state.go(0, rows),
            Act::Last => state.go(usize::MAX, rows),
            Act::Open => {
                // Only what is seen is opened: a filter may hide the cursor's record.
                if let Some(place) = state.place(rows) {
                    events.push(TableEvent::Opened(rows.key(state.row_at(place))));
                }
            }
            Act::Toggle => {
                if state.place(rows).is_some() {
                    state.toggle_cursor();
                    events.push(TableEvent::SelectionChanged);
                }
            }
            Act::All => {
                state.toggle_all(rows);
                events.push(TableEvent::SelectionChanged);
            }
            Act::SortColumn(by) => {
                if let Some(column) = self.next_sortable(state.sort(), by) {
                    state.set_sort(Some(Sort { column, descending: false }));
                    state.refresh(rows);
                    events.push(TableEvent::SortChanged);
                }
            }
            Act::Save | Act::Columns => {} // they need the window: see where the keys are read
            Act::SortDown(descending) => {
                if let Some(sort) = state.sort() {
                    state.set_sort(Some(Sort { descending, ..sort }));
                    state.refresh(rows);
                    events.push(TableEvent::SortChanged);
                }
            }
        }
    }

    /// The sortable column before or after the one in force, round the ends.
    fn next_sortable(&self, sort: Option<Sort>, by: isize) -> Option<usize> {
        let able: Vec<usize> = (0..self.columns.len()).filter(|&i| self.columns[i].sortable).collect();
        let count = isize::try_from(able.len()).ok().filter(|n| *n > 0)?;
        let here = sort.and_then(|s| able.iter().position(|&i| i == s.column));
        let next = match here {
            Some(place) => (isize::try_from(place).ok()? + by).rem_euclid(count),
            None if by > 0 => 0,
            None => count - 1,
        };
        able.get(usize::try_from(next).ok()?).copied()
    }
}
