//! Lists as people see them, made into tables: a figure with its unit becomes a number, its unit goes into the head.

use super::forms::unit;
use super::listed::{Listed, Value, is_number, iso_day};
use crate::registers::Register;
use crate::terms::Day;

/// What a shown cell is, as far as who showed it knows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cell {
    /// Words and tags.
    Words,
    /// It sorts by a figure or a day.
    Figures,
    /// Not known: of a column that is not shown, or empty.
    Open,
}

/// Heads under which marks stand: text, even where it looks like a day.
const MARKS: [&str; 10] =
    ["tag", "ewe", "ram", "lamb", "dam", "sire", "number", "batch", "registry", "electronic"];

/// Units that figures are shown with.
const UNITS: [&str; 19] = [
    "kg", "g", "mg", "t", "lb", "oz", "ml", "l", "%", "g a day", "kg a day", "lb a day", "oz a day",
    "ml a day", "days", "hours", "weeks", "months", "years",
];

/// A list of shown cells as a table. Words stay words, `0412` among them; days become days where they are written as
/// such; of a column of figures that all have the same unit, `12.5 kg` becomes 12.5 under 'weight (kg)'.
pub fn listed(name: &str, heads: &[&str], rows: Vec<Vec<(Cell, String)>>) -> Listed {
    let columns = rows.iter().map(Vec::len).chain([heads.len()]).max().unwrap_or(0);
    let units: Vec<Option<String>> = (0..columns).map(|i| one_unit(&rows, i)).collect();
    let head = |i: usize| {
        let head = heads.get(i).copied().unwrap_or_default();
        match units[i].as_deref() {
            Some(unit) if !unit.is_empty() && !says(head, unit) => format!("{head} ({unit})"),
            _ => head.to_string(),
        }
    };
    let value = |i: usize, (cell, text): (Cell, String)| match cell {
        _ if is_blank(&text) => Value::Nothing,
        Cell::Figures => match (units[i].is_some(), figure(&text)) {
            (true, Some((number, _))) => Value::Number(number),
            _ => day_of(&text).map_or_else(|| Value::text(text), Value::Day),
        },
        Cell::Open if is_number(&text) && heads.get(i).is_some_and(|h| unit(h).is_some()) => {
            Value::Number(text)
        }
        _ if heads.get(i).is_some_and(|h| MARKS.contains(h)) => Value::Text(text),
        _ => day_of(&text).map_or(Value::Text(text), Value::Day),
    };
    Listed {
        name: name.into(),
        heads: (0..columns).map(head).collect(),
        rows: rows
            .into_iter()
            .map(|row| row.into_iter().enumerate().map(|(i, cell)| value(i, cell)).collect())
            .collect(),
    }
}

/// A register as it is taken out: figures as numbers, days as days, all else as words.
pub fn of_register(register: &Register) -> Listed {
    let right: Vec<bool> = register.columns.iter().map(|c| c.right).collect();
    let value = |(i, text): (usize, String)| match right.get(i) {
        Some(true) => Value::number(text),
        _ => Value::day(text),
    };
    Listed {
        name: register.kind.word().into(),
        heads: register.heads().into_iter().map(String::from).collect(),
        rows: register
            .values()
            .into_iter()
            .map(|row| row.into_iter().enumerate().map(value).collect())
            .collect(),
    }
}

/// A day as it is written or shown: `2026-04-03`, `3 Apr 2026`; nothing else is one.
fn day_of(text: &str) -> Option<Day> {
    let shown = || {
        let mut parts = text.split(' ');
        let (day, month, year) = (parts.next()?, parts.next()?, parts.next()?);
        let (day, year) = (day.parse().ok()?, year.parse().ok()?);
        let all = (1..=12).filter_map(|m| Day::new(year, m, day));
        all.filter(|d| d.words().split(' ').nth(1) == Some(month)).find(|d| d.words() == text)
    };
    iso_day(text).or_else(shown)
}

/// A dash says that there is nothing.
fn is_blank(text: &str) -> bool {
    text.is_empty() || text == "–"
}

/// The head names the unit already: `weight_kg`, `meat days`.
fn says(head: &str, unit: &str) -> bool {
    head.split(['_', ' ']).any(|part| part == unit)
}

/// `12.5 kg` as 12.5 and kg; nothing where it is no figure with at most a unit behind it.
fn figure(text: &str) -> Option<(String, &str)> {
    let (number, unit) = text.split_once([' ', '\u{a0}', '\u{202f}']).unwrap_or((text, ""));
    let (number, unit) = match number.strip_suffix('%') {
        Some(number) if unit.is_empty() => (number, "%"),
        _ => (number, unit),
    };
    let number = number.replace('−', "-");
    let number = number.strip_prefix('+').unwrap_or(&number);
    // A single day is of the same unit as several; '3 Apr' is no figure with a unit.
    let unit = if unit == "day" { "days" } else { unit };
    (is_number(number) && (unit.is_empty() || UNITS.contains(&unit))).then(|| (number.to_string(), unit))
}

/// The unit that all figures of a column have; nothing where they differ, or where some are no figures with a unit.
fn one_unit(rows: &[Vec<(Cell, String)>], column: usize) -> Option<String> {
    let mut found: Option<&str> = None;
    for (cell, text) in rows.iter().filter_map(|r| r.get(column)).filter(|(_, t)| !is_blank(t)) {
        let figure = figure(text).filter(|_| *cell == Cell::Figures);
        match (figure, found) {
            (Some((_, unit)), None) => found = Some(unit),
            (Some((_, unit)), Some(other)) if unit == other => {}
            // A bare number or words among bare numbers: each is taken for what it is.
            (None, None | Some("")) if *cell == Cell::Figures => found = found.or(Some("")),
            _ => return None,
        }
    }
    found.map(str::to_string)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn one(head: &str, cells: &[(Cell, &str)]) -> (String, Vec<Value>) {
        let rows = cells.iter().map(|(c, t)| vec![(*c, t.to_string())]).collect();
        let list = listed("x", &[head], rows);
        (list.heads[0].clone(), list.rows.into_iter().flatten().collect())
    }

    fn number(n: &str) -> Value {
        Value::Number(n.into())
    }

    fn words(t: &str) -> Value {
        Value::Text(t.into())
    }

    #[test]
    fn figures_lose_a_unit_they_all_have() {
        let f = |t| (Cell::Figures, t);
        assert_eq!(
            one("weight", &[f("12.5 kg"), f("–"), f("−3 kg"), f("")]),
            ("weight (kg)".into(), vec![number("12.5"), Value::Nothing, number("-3"), Value::Nothing])
        );
        assert_eq!(one("weight_kg", &[f("12.5 kg")]), ("weight_kg".into(), vec![number("12.5")]));
        assert_eq!(one("gain", &[f("250 g a day"), f("−10 g a day")]).0, "gain (g a day)");
        assert_eq!(
            one("share", &[f("12.5 %"), f("7%")]),
            ("share (%)".into(), vec![number("12.5"), number("7")])
        );
        assert_eq!(
            one("age", &[f("1 day"), f("3 days")]),
            ("age (days)".into(), vec![number("1"), number("3")])
        );
        assert_eq!(one("lambs", &[f("2"), f("1")]), ("lambs".into(), vec![number("2"), number("1")]));
        // Different units, two figures, words: as they stand.
        for cells in [
            &[f("12 kg"), f("3 lb")][..],
            &[f("27 lb 2 oz")],
            &[f("1 of 3")],
            &[f("3 Apr")],
            &[f("12 kg"), f("3")],
        ] {
            let (head, values) = one("weight", cells);
            assert_eq!(head, "weight");
            assert_eq!(values, cells.iter().map(|(_, t)| words(t)).collect::<Vec<_>>());
        }
        assert_eq!(one("left", &[f("3"), f("never")]).1, [number("3"), words("never")]);
    }

    #[test]
    fn tags_stay_text_and_days_become_days() {
        let day = Value::Day(Day::new(2026, 4, 3).unwrap());
        assert_eq!(one("tag", &[(Cell::Words, "0412"), (Cell::Words, "12")]).1, [words("0412"), words("12")]);
        assert_eq!(one("tag", &[(Cell::Words, "2026-04-03")]).1, [words("2026-04-03")]);
        assert_eq!(
            one("born", &[(Cell::Words, "2026-04-03"), (Cell::Words, "~2026-04-03")]).1,
            [day.clone(), words("~2026-04-03")]
        );
        for shown in ["3 Apr 2026", "2026-04-03"] {
            assert_eq!(one("seen", &[(Cell::Figures, shown), (Cell::Figures, "")]).1[0], day);
            assert_eq!(one("seen", &[(Cell::Words, shown)]).1[0], day);
        }
        for words_only in ["3 Apr", "03 Apr 2026", "31 Feb 2026", "3 Apr 2026, 06:40", "about 3 Apr 2026"] {
            assert_eq!(one("seen", &[(Cell::Figures, words_only)]).1, [words(words_only)]);
        }
        assert_eq!(one("on", &[(Cell::Figures, "2026-04-03"), (Cell::Open, "")]).1, [day, Value::Nothing]);
        assert_eq!(one("weight_kg", &[(Cell::Open, "12.5")]).1, [number("12.5")]);
        assert_eq!(one("electronic", &[(Cell::Open, "826012345678901")]).1, [words("826012345678901")]);
        assert_eq!(listed("x", &["a", "b"], Vec::new()).heads, ["a", "b"]);
    }
}
