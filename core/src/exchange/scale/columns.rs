//! Which column is what: by its head, by what stands in it, and by whose tags are in the book. The keeper may say
//! otherwise.

use super::super::names::Names;
use super::number::{electronic, find, is_cut_short};
use super::text::Line;
use super::{Role, Unit, days, weight};
use crate::terms::ScoreKind;

/// What a value looks like.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Shape {
    Empty,
    Electronic,
    DayTime,
    Day,
    Time,
    /// A figure with a unit.
    WithUnit,
    Decimal,
    Whole,
    Text,
}

fn shape(cell: &str) -> Shape {
    if cell.is_empty() {
        return Shape::Empty;
    }
    let figures = |t: &str| !t.is_empty() && t.bytes().all(|b| b.is_ascii_digit());
    if electronic(cell).is_some() || is_cut_short(cell) {
        return Shape::Electronic;
    }
    if days::both(cell).is_some() {
        return Shape::DayTime;
    }
    if days::day(cell, false).is_some() {
        return Shape::Day;
    }
    if days::time(cell).is_some() {
        return Shape::Time;
    }
    if figures(cell) {
        return Shape::Whole;
    }
    let plain = cell.trim_start_matches(['-', '+']);
    if plain.split_once(['.', ',']).is_some_and(|(a, b)| figures(a) && figures(b)) {
        return Shape::Decimal;
    }
    if plain.starts_with(|c: char| c.is_ascii_digit()) && weight::read(cell, Unit::Kg).is_ok() {
        return Shape::WithUnit;
    }
    Shape::Text
}

/// The head line, if the first line is one: words, and nothing that could be a value of a row.
pub(super) fn is_head(first: &Line, names: &Names) -> bool {
    let cells: Vec<&String> = first.cells.iter().filter(|c| !c.is_empty()).collect();
    let words = |c: &&&String| shape(c) == Shape::Text && names.find(c).is_err();
    let named = cells.iter().filter(|c| by_head(c).is_some() && shape(c) == Shape::Text).count();
    !cells.is_empty()
        && (cells.iter().filter(words).count() == cells.len() || named >= 2 && named * 2 >= cells.len())
        && (named > 0 || cells.iter().all(|c| !c.bytes().any(|b| b.is_ascii_digit())))
}

/// What a head says of its column. `Some(Role::Skip)`: it is known not to be wanted.
fn by_head(head: &str) -> Option<Role> {
    let low = head.to_lowercase();
    let words: Vec<&str> = low.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).collect();
    let has = |list: &[&str]| words.iter().any(|w| list.contains(w));
    if has(&[
        "gain", "adg", "average", "previous", "last", "born", "birth", "dob", "target", "change", "days",
        "age",
    ]) {
        return Some(Role::Skip);
    }
    if has(&["eid", "rfid", "electronic", "transponder", "chip", "iso"]) {
        return Some(Role::Electronic);
    }
    if has(&["weight", "wt", "kg", "kgs", "lb", "lbs", "mass", "liveweight"]) {
        return Some(Role::Weight);
    }
    if has(&["datetime", "timestamp"]) || (has(&["date"]) && has(&["time"])) {
        return Some(Role::DayTime);
    }
    if has(&["date", "day"]) {
        return Some(Role::Day);
    }
    if has(&["time", "hour", "clock"]) {
        return Some(Role::Time);
    }
    if let Some(kind) = ScoreKind::ALL.into_iter().find(|k| words.contains(&k.word())) {
        return Some(Role::Score(kind));
    }
    if has(&["bcs", "score", "cs"]) {
        return Some(Role::Score(ScoreKind::Condition));
    }
    if has(&["note", "notes", "remark", "remarks", "comment", "comments"]) {
        return Some(Role::Note);
    }
    if has(&[
        "sex", "breed", "draft", "group", "pen", "session", "lot", "sire", "dam", "gate", "status", "count",
        "row", "line",
    ]) {
        return Some(Role::Skip);
    }
    has(&[
        "tag",
        "tags",
        "vid",
        "visual",
        "visible",
        "ear",
        "animal",
        "id",
        "sheep",
        "lamb",
        "ewe",
        "ram",
        "mark",
        "management",
        "number",
        "no",
        "name",
    ])
    .then_some(Role::Tag)
}

/// The unit a head names.
pub(super) fn unit(head: &str) -> Option<Unit> {
    let low = head.to_lowercase();
    let mut words = low.split(|c: char| !c.is_alphanumeric());
    words.find_map(|w| match w {
        "kg" | "kgs" => Some(Unit::Kg),
        "lb" | "lbs" | "pounds" => Some(Unit::Lb),
        _ => None,
    })
}

/// Shares of the shapes of a column, blanks left out.
struct Seen {
    shapes: Vec<Shape>,
    /// Values that are tags of the book.
    known: usize,
    /// 1, 2, 3, …
    is_count: bool,
    /// Whole and decimal figures that a sheep may weigh.
    weights: usize,
    /// Sentences: nobody writes so many words on a tag.
    prose: bool,
}

impl Seen {
    fn of(rows: &[Line], at: usize, names: &Names) -> Self {
        let cells: Vec<&str> = rows
            .iter()
            .take(300)
            .filter_map(|l| l.cells.get(at))
            .map(String::as_str)
            .filter(|c| !c.is_empty())
            .collect();
        let shapes: Vec<Shape> = cells.iter().map(|c| shape(c)).collect();
        let known = cells
            .iter()
            .zip(&shapes)
            .filter(|(c, s)| {
                !matches!(s, Shape::Decimal | Shape::WithUnit | Shape::Day | Shape::DayTime | Shape::Time)
                    && find(names, c).is_ok()
            })
            .count();
        let numbers: Vec<i64> = cells.iter().filter_map(|c| c.parse().ok()).collect();
        let is_count =
            numbers.len() == cells.len() && numbers.len() > 2 && numbers.windows(2).all(|w| w[1] == w[0] + 1);
        let weights = cells
            .iter()
            .zip(&shapes)
            .filter(|(c, s)| {
                matches!(s, Shape::Decimal | Shape::Whole | Shape::WithUnit)
                    && weight::read(c, Unit::Kg).ok().flatten().is_some_and(|w| w.kg() < 250.0)
            })
            .count();
        let wordy = |c: &&&str| c.split_whitespace().count() > 3;
        let prose = known == 0 && cells.iter().filter(wordy).count() * 2 > cells.len();
        Self { shapes, known, is_count, weights, prose }
    }

    fn most(&self, shape: Shape) -> bool {
        let n = self.shapes.iter().filter(|s| **s == shape).count();
        n > 0 && n * 10 >= self.shapes.len() * 6
    }

    fn all_weights(&self) -> bool {
        !self.shapes.is_empty() && self.weights * 10 >= self.shapes.len() * 8
    }
}

/// A role for each column.
pub(super) fn roles(head: Option<&Line>, rows: &[Line], width: usize, names: &Names) -> Vec<Role> {
    let seen: Vec<Seen> = (0..width).map(|at| Seen::of(rows, at, names)).collect();
    let heads: Vec<Option<Role>> =
        (0..width).map(|at| head.and_then(|h| h.cells.get(at)).and_then(|h| by_head(h))).collect();
    let mut roles: Vec<Role> = vec![Role::Skip; width];
    for at in 0..width {
        let s = &seen[at];
        roles[at] = match heads[at] {
            Some(Role::Electronic | Role::Tag) if s.most(Shape::Electronic) => Role::Electronic,
            Some(Role::Electronic) => Role::Tag,
            Some(Role::Day | Role::DayTime | Role::Time) if s.most(Shape::DayTime) => Role::DayTime,
            Some(Role::Day | Role::DayTime | Role::Time) if s.most(Shape::Time) => Role::Time,
            Some(Role::DayTime) => Role::Day,
            Some(role) => role,
            None if s.most(Shape::Electronic) => Role::Electronic,
            None if s.most(Shape::DayTime) => Role::DayTime,
            None if s.most(Shape::Day) => Role::Day,
            None if s.most(Shape::Time) => Role::Time,
            None if s.most(Shape::WithUnit) => Role::Weight,
            None => Role::Skip,
        };
    }
    tags(&mut roles, &heads, &seen);
    weights(&mut roles, &heads, &seen);
    compact_days(&mut roles, &heads, rows);
    only_one(&mut roles, &seen);
    roles
}

fn has(roles: &[Role], role: Role) -> bool {
    roles.contains(&role)
}

/// Without a tag by its head: the column with the most tags of the book; else the first that could be tags.
fn tags(roles: &mut [Role], heads: &[Option<Role>], seen: &[Seen]) {
    if has(roles, Role::Tag) {
        return;
    }
    let free: Vec<usize> =
        (0..roles.len()).filter(|at| roles[*at] == Role::Skip && heads[*at].is_none()).collect();
    let known = free.iter().copied().filter(|at| seen[*at].known > 0).max_by_key(|at| {
        // Of two alike the first; a running number only if nothing else is known.
        (seen[*at].known * if seen[*at].is_count { 1 } else { 2 }, std::cmp::Reverse(*at))
    });
    let could = |at: &usize| {
        let s = &seen[*at];
        !s.is_count
            && !s.prose
            && !s.shapes.is_empty()
            && (s.most(Shape::Whole) || s.most(Shape::Text))
            && !s.most(Shape::Decimal)
    };
    let first = || free.iter().copied().find(could).filter(|_| !has(roles, Role::Electronic));
    if let Some(at) = known.or_else(first) {
        roles[at] = Role::Tag;
    } else if !has(roles, Role::Electronic) && free.len() == 1 && !seen[free[0]].prose {
        roles[free[0]] = Role::Tag;
    }
}

/// Without a weight by its head or unit: the column of decimal figures, else the last of figures a sheep may weigh.
fn weights(roles: &mut [Role], heads: &[Option<Role>], seen: &[Seen]) {
    if has(roles, Role::Weight) {
        return;
    }
    let free = |at: &usize| roles[*at] == Role::Skip && heads[*at].is_none() && seen[*at].all_weights();
    let all: Vec<usize> = (0..roles.len()).filter(free).collect();
    let decimal = all.iter().copied().find(|at| seen[*at].shapes.contains(&Shape::Decimal));
    let whole = all.iter().copied().rfind(|at| !seen[*at].is_count);
    if let Some(at) = decimal.or(whole) {
        roles[at] = Role::Weight;
    }
}

/// Eight figures are a day where the head says so, or where all of them are days of these years.
fn compact_days(roles: &mut [Role], heads: &[Option<Role>], rows: &[Line]) {
    if roles.iter().any(|r| matches!(r, Role::Day | Role::DayTime)) {
        return;
    }
    for at in 0..roles.len() {
        let mut cells = rows.iter().filter_map(|l| l.cells.get(at)).filter(|c| !c.is_empty()).peekable();
        let days = cells.peek().is_some() && cells.all(|c| days::day(c, true).is_some());
        if days && roles[at] == Role::Skip && heads[at].is_none() {
            roles[at] = Role::Day;
            return;
        }
    }
}

/// Of several columns of one role the best stays; scores of different kinds stand beside each other.
fn only_one(roles: &mut [Role], seen: &[Seen]) {
    let mut had: Vec<(Role, usize)> = Vec::new();
    for at in 0..roles.len() {
        let role = roles[at];
        if role == Role::Skip {
            continue;
        }
        match had.iter_mut().find(|(r, _)| *r == role) {
            None => had.push((role, at)),
            Some((_, kept)) => {
                let better =
                    matches!(role, Role::Tag | Role::Electronic) && seen[at].known > seen[*kept].known;
                let worse = if better { std::mem::replace(kept, at) } else { at };
                roles[worse] = Role::Skip;
            }
        }
    }
}
