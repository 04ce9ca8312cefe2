//! What a record table remembers: the cursor, the selection, the sort order. Knows nothing of drawing.

use std::cmp::Ordering;
use std::collections::HashSet;
use std::fmt::Debug;
use std::hash::Hash;
use std::ops::RangeInclusive;

use super::Rows;

/// Seconds within which a letter belongs to one before that found nothing.
const AT_ONCE: f64 = 0.8;

/// By which column the rows stand in order.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Sort {
    /// Index into the columns.
    pub column: usize,
    /// Largest or last first.
    pub descending: bool,
}

/// What a record table remembers between frames. `K` is the id of a row's record.
#[derive(Clone, Debug)]
pub struct TableState<K> {
    cursor: Option<K>,
    /// Where the cursor stood last: found again at once if the order did not change.
    cursor_row: usize,
    /// The row a Shift-selection runs from.
    anchor: Option<K>,
    selected: HashSet<K>,
    /// Selected records that the rows shown do not hold (a filter hides them).
    hidden: usize,
    sort: Option<Sort>,
    order: Vec<u32>,
    made_for: Option<(u64, usize, Option<Sort>)>,
    /// Letters typed to find a row.
    pub(super) typed: String,
    /// When a letter last found nothing.
    failed: Option<f64>,
    pub(super) scroll_to_cursor: bool,
    pub(super) page_rows: usize,
}

impl<K> Default for TableState<K> {
    fn default() -> Self {
        Self {
            cursor: None,
            cursor_row: 0,
            anchor: None,
            selected: HashSet::new(),
            hidden: 0,
            sort: None,
            order: Vec::new(),
            made_for: None,
            typed: String::new(),
            failed: None,
            scroll_to_cursor: false,
            page_rows: 10,
        }
    }
}

impl<K: Copy + Eq + Hash + Debug> TableState<K> {
    /// A table that first stands in the order of `column`.
    pub fn sorted_by(column: usize, descending: bool) -> Self {
        Self { sort: Some(Sort { column, descending }), ..Self::default() }
    }

    /// The record under the cursor, though a filter may hide it.
    pub fn cursor(&self) -> Option<K> {
        self.cursor
    }

    /// Puts the cursor on a record and shows it.
    pub fn set_cursor(&mut self, key: K) {
        self.cursor = Some(key);
        self.anchor = Some(key);
        self.scroll_to_cursor = true;
    }

    /// The selected records, in no order.
    pub fn selected(&self) -> &HashSet<K> {
        &self.selected
    }

    /// Whether a record is selected.
    pub fn is_selected(&self, key: K) -> bool {
        self.selected.contains(&key)
    }

    /// How many selected records the rows of the last frame do not hold: say so before acting on them.
    pub fn hidden_selected(&self) -> usize {
        self.hidden
    }

    /// What a job is done to: the selection, or else the record under the cursor.
    pub fn chosen(&self) -> Vec<K> {
        if self.selected.is_empty() {
            self.cursor.into_iter().collect()
        } else {
            self.selected.iter().copied().collect()
        }
    }

    /// Selects these and no others.
    pub fn select(&mut self, keys: impl IntoIterator<Item = K>) {
        self.selected = keys.into_iter().collect();
        self.made_for = None;
    }

    /// Selects nothing.
    pub fn clear_selection(&mut self) {
        self.selected.clear();
        self.hidden = 0;
    }

    /// The order in force.
    pub fn sort(&self) -> Option<Sort> {
        self.sort
    }

    /// Puts the rows in another order.
    pub fn set_sort(&mut self, sort: Option<Sort>) {
        self.sort = sort;
        self.scroll_to_cursor = true;
    }

    /// A click on a column's head: sort by it, or turn its order round.
    pub(super) fn sort_by(&mut self, column: usize) {
        let descending = self.sort.is_some_and(|s| s.column == column && !s.descending);
        self.set_sort(Some(Sort { column, descending }));
    }

    /// The rows in the order of this table, as indexes into `rows`.
    pub fn order(&mut self, rows: &impl Rows<Key = K>) -> &[u32] {
        self.refresh(rows);
        &self.order
    }

    /// Makes the order anew if the rows, their version or the sort changed.
    pub(super) fn refresh(&mut self, rows: &impl Rows<Key = K>) {
        let made_for = Some((rows.version(), rows.len(), self.sort));
        if self.made_for == made_for {
            return;
        }
        self.made_for = made_for;
        self.order.clear();
        self.order.extend(0..u32::try_from(rows.len()).unwrap_or(u32::MAX));
        if let Some(Sort { column, descending }) = self.sort {
            self.order.sort_by(|&a, &b| {
                let order = rows.compare(column, a as usize, b as usize);
                if descending { order.reverse() } else { order }
            });
        }
        if self.selected.is_empty() {
            self.hidden = 0;
        } else {
            let shown = (0..rows.len()).filter(|&row| self.selected.contains(&rows.key(row))).count();
            self.hidden = self.selected.len() - shown;
        }
    }

    /// How many rows the order holds.
    pub(super) fn len(&self) -> usize {
        self.order.len()
    }

    /// The record at a place in the order.
    pub(super) fn row_at(&self, place: usize) -> usize {
        self.order[place] as usize
    }

    /// The place of the cursor in the order, if the rows hold its record.
    pub(super) fn place(&mut self, rows: &impl Rows<Key = K>) -> Option<usize> {
        let cursor = self.cursor?;
        let holds = |place: usize| self.order.get(place).is_some_and(|&row| rows.key(row as usize) == cursor);
        if holds(self.cursor_row) {
            return Some(self.cursor_row);
        }
        let found = (0..self.order.len()).find(|&place| holds(place))?;
        self.cursor_row = found;
        Some(found)
    }

    /// Moves the cursor to a place (the last if there are fewer) and shows it.
    pub(super) fn go(&mut self, place: usize, rows: &impl Rows<Key = K>) {
        let Some(last) = self.order.len().checked_sub(1) else { return };
        let place = place.min(last);
        self.cursor_row = place;
        self.cursor = Some(rows.key(self.row_at(place)));
        self.scroll_to_cursor = true;
    }

    /// Moves the cursor by so many rows; without one it comes to the first row.
    pub(super) fn step(&mut self, by: isize, rows: &impl Rows<Key = K>) {
        match self.place(rows) {
            Some(place) => self.go(place.saturating_add_signed(by), rows),
            None => self.go(0, rows),
        }
    }

    /// Goes to the next row whose first column begins with what is typed. Letters gather as long as a row begins so; else
    /// they begin anew with the last one, from the row after the cursor, so that one letter again and again goes from row
    /// to row. What follows at once on a letter that found nothing finds nothing either: it belongs to another word, such
    /// as a number. `now` in seconds. Tells whether a row was found.
    pub(super) fn seek(&mut self, text: &str, now: f64, rows: &impl Rows<Key = K>) -> bool {
        if self.failed.is_some_and(|at| now - at < AT_ONCE) {
            self.failed = Some(now);
            return false;
        }
        self.failed = None;
        let text = text.to_lowercase();
        let count = self.order.len();
        let here = self.place(rows);
        for (asked, from) in
            [(format!("{}{text}", self.typed), here.unwrap_or(0)), (text, here.map_or(0, |p| p + 1))]
        {
            let begins =
                |place: &usize| rows.cell(0, self.row_at(*place)).words().to_lowercase().starts_with(&asked);
            let found = (0..count).map(|n| (from + n) % count).find(begins);
            if let Some(place) = found {
                self.typed = asked;
                self.go(place, rows);
                return true;
            }
        }
        self.typed.clear();
        self.failed = Some(now);
        false
    }

    /// The next Shift-selection runs from the cursor.
    pub(super) fn drop_anchor(&mut self) {
        self.anchor = self.cursor;
    }

    /// Selects or frees the record under the cursor.
    pub(super) fn toggle_cursor(&mut self) {
        if let Some(key) = self.cursor {
            if !self.selected.remove(&key) {
                self.selected.insert(key);
            }
            self.anchor = Some(key);
        }
    }

    /// Adds all rows from the anchor to the cursor to the selection.
    pub(super) fn select_from_anchor(&mut self, rows: &impl Rows<Key = K>) {
        let Some(to) = self.place(rows) else { return };
        let from = self
            .anchor
            .and_then(|anchor| self.order.iter().position(|&row| rows.key(row as usize) == anchor))
            .unwrap_or(to);
        let range: RangeInclusive<usize> = from.min(to)..=from.max(to);
        self.selected.extend(self.order[range].iter().map(|&row| rows.key(row as usize)));
    }

    /// Selects every row shown, or none of them if all are selected.
    pub(super) fn toggle_all(&mut self, rows: &impl Rows<Key = K>) {
        let keys = (0..rows.len()).map(|row| rows.key(row));
        if self.all_selected() {
            for key in keys {
                self.selected.remove(&key);
            }
        } else {
            self.selected.extend(keys);
        }
    }

    /// Whether every row shown is selected.
    pub(super) fn all_selected(&self) -> bool {
        !self.order.is_empty() && self.selected.len() - self.hidden == self.order.len()
    }
}

/// Compares what may be missing: what is missing comes last.
pub fn missing_last<T: Ord>(a: Option<T>, b: Option<T>) -> Ordering {
    match (a, b) {
        (Some(a), Some(b)) => a.cmp(&b),
        (Some(_), None) => Ordering::Less,
        (None, Some(_)) => Ordering::Greater,
        (None, None) => Ordering::Equal,
    }
}

#[cfg(test)]
mod tests {
    use super::super::Cell;
    use super::*;

    struct Numbers(Vec<u32>, u64);
    impl Rows for Numbers {
        type Key = u32;
        fn version(&self) -> u64 {
            self.1
        }
        fn len(&self) -> usize {
            self.0.len()
        }
        fn key(&self, row: usize) -> u32 {
            self.0[row]
        }
        fn compare(&self, _: usize, a: usize, b: usize) -> Ordering {
            self.0[a].cmp(&self.0[b])
        }
        fn cell(&self, _: usize, row: usize) -> Cell {
            Cell::text(self.0[row].to_string())
        }
        fn sentence(&self, row: usize) -> String {
            self.0[row].to_string()
        }
    }

    fn keys(state: &mut TableState<u32>, rows: &Numbers) -> Vec<u32> {
        state.order(rows).iter().map(|&row| rows.0[row as usize]).collect()
    }

    #[test]
    fn cursor_stays_on_its_record() {
        let mut state = TableState::default();
        let rows = Numbers(vec![3, 1, 2], 0);
        state.refresh(&rows);
        state.step(1, &rows);
        assert_eq!(state.cursor(), Some(3));
        state.sort_by(0);
        state.refresh(&rows);
        assert_eq!((state.cursor(), state.place(&rows)), (Some(3), Some(2)));
        state.sort_by(0);
        assert_eq!(keys(&mut state, &rows), [3, 2, 1]);
        // Filtered away, it is remembered, and found again when its row comes back.
        let few = Numbers(vec![1, 2], 1);
        state.refresh(&few);
        assert_eq!((state.cursor(), state.place(&few)), (Some(3), None));
        state.refresh(&rows);
        assert_eq!(state.place(&rows), Some(0));
    }

    #[test]
    fn order_is_made_anew_only_for_a_new_version() {
        let mut state = TableState::sorted_by(0, false);
        assert_eq!(keys(&mut state, &Numbers(vec![2, 1], 7)), [1, 2]);
        assert_eq!(state.order(&Numbers(vec![1, 2], 7)), [1, 0]); // same version: the old order
        assert_eq!(state.order(&Numbers(vec![1, 2], 8)), [0, 1]);
    }

    #[test]
    fn selection_survives_a_filter_and_says_so() {
        let mut state = TableState::default();
        let all = Numbers((0..10).collect(), 0);
        state.refresh(&all);
        state.go(2, &all);
        state.drop_anchor();
        state.go(4, &all);
        state.select_from_anchor(&all);
        let mut chosen = state.chosen();
        chosen.sort_unstable();
        assert_eq!(chosen, [2, 3, 4]);
        state.refresh(&Numbers(vec![3, 9], 1));
        assert_eq!(state.hidden_selected(), 2);
        state.clear_selection();
        assert_eq!(state.chosen(), [4]);
    }

    #[test]
    fn letters_go_to_the_row_that_begins_so() {
        let mut state = TableState::default();
        let rows = Numbers(vec![401, 412, 417, 512, 520], 0);
        state.refresh(&rows);
        let mut go = |text: &str, now: f64| (state.seek(text, now, &rows), state.cursor());
        assert_eq!(go("4", 1.0), (true, Some(401)));
        assert_eq!(go("1", 1.1), (true, Some(412)));
        // However long one takes.
        assert_eq!(go("7", 60.0), (true, Some(417)));
        // Nothing begins with 4175: begun anew, from the row after it.
        assert_eq!(go("5", 60.1), (true, Some(512)));
        assert_eq!(go("5", 60.2), (true, Some(520)));
        assert_eq!(go("5", 60.3), (true, Some(512)));
        // What finds nothing leaves the cursor, and the letter to others; so does the rest of that word.
        assert_eq!(go("x", 61.0), (false, Some(512)));
        assert_eq!(go("4", 61.5), (false, Some(512)));
        assert_eq!(go("4", 63.0), (true, Some(401)));
    }

    #[test]
    fn all_and_none() {
        let mut state = TableState::default();
        let rows = Numbers(vec![5, 6], 0);
        state.refresh(&rows);
        assert!(!state.all_selected());
        state.toggle_all(&rows);
        assert!(state.all_selected());
        state.toggle_all(&rows);
        assert!(state.selected().is_empty());
    }

    #[test]
    fn nothing_to_go_to() {
        let mut state = TableState::default();
        let none = Numbers(Vec::new(), 0);
        state.refresh(&none);
        state.step(1, &none);
        state.toggle_cursor();
        state.select_from_anchor(&none);
        assert!(state.chosen().is_empty() && !state.all_selected());
    }

    #[test]
    fn the_missing_come_last() {
        let mut v = vec![None, Some(2), Some(1)];
        v.sort_by(|a, b| missing_last(*a, *b));
        assert_eq!(v, [Some(1), Some(2), None]);
    }
}
