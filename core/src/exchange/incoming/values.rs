//! Values in the words of the table to values in ours. What cannot be read stays as it is written: the checks of the kind
//! say what is wrong with it, in their own words.

use super::days;
use super::form::{Form, form};
use super::grid::Cell;
use super::words::{DICTIONARY, MassUnit};
use crate::exchange::Kind;
use crate::exchange::names::{Names, escaped, listed};
use crate::exchange::scale::{DateOrder, number};
use crate::terms::{Day, Minute, Sex};

/// What stands for nothing in a cell.
const BLANKS: [&str; 12] =
    ["-", "--", "—", "?", "n/a", "na", "none", "nil", "unknown", "not known", "#n/a", "null"];

/// What is known of the whole table.
#[derive(Debug, Clone, Copy)]
pub(super) struct Told {
    pub kind: Kind,
    pub order: Option<DateOrder>,
    pub today: Day,
}

/// A value in our words, and how it was read where that is not plain.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Value {
    pub text: String,
    pub how: Option<String>,
    /// A time that stood with a day.
    pub time: Option<Minute>,
}

impl Value {
    fn plain(text: impl Into<String>) -> Self {
        Self { text: text.into(), how: None, time: None }
    }
}

/// A cell under a column of ours; `unit` is what its figures weigh.
pub(super) fn value(cell: &Cell, column: &str, unit: MassUnit, told: Told) -> Value {
    let text = cell.text();
    let form = form(told.kind, column);
    let low = text.trim().to_lowercase();
    let known = DICTIONARY.value(column, &text);
    if BLANKS.contains(&low.as_str()) && known.is_none() && form != Form::Text && form != Form::Tag {
        return Value::plain("");
    }
    match form {
        Form::Day => day(cell, &text, told),
        Form::Born => born(cell, &text, told),
        Form::Time => Value::plain(match cell {
            Cell::Day(_, Some(t)) => t.to_string(),
            _ => days::clock(&text).map_or(text, |t| t.to_string()),
        }),
        Form::Kilograms => Value::plain(kilograms(&text, unit)),
        Form::Number => Value::plain(figures(&text)),
        Form::Electronic => Value::plain(number::electronic(&text).map_or(text, |e| e.digits())),
        Form::Word => Value::plain(match known {
            Some(known) if column != "sex" || Sex::parse(&text).map_or(true, |s| s.word() == known) => {
                known.to_string()
            }
            _ => text,
        }),
        Form::Animal if column == "reared_by" => Value::plain(known.map_or(text, str::to_string)),
        Form::Animal | Form::Animals | Form::Tag | Form::Text => Value::plain(text),
    }
}

fn day(cell: &Cell, text: &str, told: Told) -> Value {
    if let Cell::Day(d, time) = cell {
        return Value { text: d.to_string(), how: None, time: *time };
    }
    if let Some((written, time)) = days::read(text, told.today) {
        let day = match (written, told.order) {
            (days::Written::Sure(d), _) => Some(d),
            (_, Some(order)) => written.day(order, days::last_year(told.today)),
            _ => None,
        };
        return day.map_or_else(|| Value::plain(text), |d| Value { text: d.to_string(), how: None, time });
    }
    match days::serial(text) {
        Some(d) => {
            Value { text: d.to_string(), how: Some(format!("{text} is read as the day {d}")), time: None }
        }
        None => Value::plain(text),
    }
}

fn born(cell: &Cell, text: &str, told: Told) -> Value {
    let is_year = text.len() == 4 && text.bytes().all(|b| b.is_ascii_digit());
    if is_year {
        return Value::plain(text);
    }
    match text.strip_prefix('~') {
        Some(rest) => {
            let v = day(&Cell::of_text(rest), rest.trim(), told);
            Value { text: format!("~{}", v.text), ..v }
        }
        None => Value { time: None, ..day(cell, text, told) },
    }
}

/// A number with a decimal point, signs between thousands left out.
fn figures(text: &str) -> String {
    let t = text.trim();
    let comma = t.rfind(',');
    let point = t.rfind('.');
    let is_plain =
        t.chars().all(|c| c.is_ascii_digit() || matches!(c, ',' | '.' | '-' | '+' | '\'' | ' ' | '\u{a0}'));
    if !is_plain {
        return t.into();
    }
    let bare: String = t.chars().filter(|c| !matches!(c, ' ' | '\'' | '\u{a0}' | '+')).collect();
    match (comma, point) {
        (Some(c), Some(p)) if c > p => bare.replace('.', "").replace(',', "."),
        (Some(_), Some(_)) => bare.replace(',', ""),
        (Some(_), None) => bare.replace(',', "."),
        _ => bare,
    }
}

/// A weight in kilograms; a unit in the cell goes before that of the column.
fn kilograms(text: &str, unit: MassUnit) -> String {
    let low = text.trim().to_lowercase();
    let bare = low.trim_end_matches(|c: char| c.is_ascii_alphabetic() || c == '.').trim_end();
    let word = low.get(bare.len()..).unwrap_or_default().trim().trim_end_matches('.');
    let each = match word {
        "" => match unit {
            MassUnit::Kg => 1.0,
            MassUnit::Lb => 0.453_592_37,
            MassUnit::G => 0.001,
        },
        "kg" | "kgs" | "kilo" | "kilos" => 1.0,
        "lb" | "lbs" | "pounds" => 0.453_592_37,
        "g" | "gr" | "grams" => 0.001,
        _ => return text.trim().into(), // pounds and ounces, or no weight at all
    };
    let plain = figures(bare);
    match plain.parse::<f64>() {
        Ok(_) if each == 1.0 => plain,
        Ok(v) => {
            let kg = format!("{:.3}", v * each);
            kg.trim_end_matches('0').trim_end_matches('.').to_string()
        }
        Err(_) => text.trim().into(),
    }
}

/// The name by which our readers find the animal that is meant: electronic numbers in any dress, noughts that a
/// spreadsheet dropped. A name nobody wears stays as it is.
pub(super) fn animals(text: &str, form: Form, names: &Names) -> Value {
    if text.is_empty() {
        return Value::plain("");
    }
    let one = |name: &str| -> (String, Option<String>) {
        if names.find(name).is_ok() {
            return (name.into(), None);
        }
        match number::find(names, name) {
            Ok((_, Some(found))) => {
                let how = format!("{name} is read as {found}");
                (found, Some(how))
            }
            Ok((_, None)) => {
                let digits = number::electronic(name).map_or_else(|| name.to_string(), |e| e.digits());
                (digits, None)
            }
            // A nought where a parent would stand says that it is not known.
            Err(_) if name == "0" => (String::new(), None),
            Err(_) => (name.into(), None),
        }
    };
    if form == Form::Animals {
        let all: Vec<(String, Option<String>)> = listed(text).iter().map(|n| one(n)).collect();
        let how: Vec<String> = all.iter().filter_map(|a| a.1.clone()).collect();
        let names: Vec<String> = all.iter().map(|a| escaped(&a.0)).filter(|n| !n.is_empty()).collect();
        return Value { text: names.join("|"), how: (!how.is_empty()).then(|| how.join("; ")), time: None };
    }
    let (text, how) = one(text);
    Value { text, how, time: None }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(order: Option<DateOrder>) -> Told {
        Told { kind: Kind::Animals, order, today: Day::parse_iso("2026-04-10").unwrap() }
    }

    #[test]
    fn values_in_any_dress() {
        let dmy = told(Some(DateOrder::DayFirst));
        for (column, text, want) in [
            ("sex", "Gimmer", "ewe"),
            ("sex", "ewe", "ewe"),
            ("born", "3.4.2024", "2024-04-03"),
            ("born", "2024", "2024"),
            ("born", "~3/4/2024", "~2024-04-03"),
            ("born", "45385", "2024-04-03"),
            ("dam", "n/a", ""),
            ("birth_weight_kg", "4,5", "4.5"),
            ("birth_weight_kg", "4.5 kg", "4.5"),
            ("birth_weight_kg", "4500 g", "4.5"),
            ("birth_weight_kg", "10 lb", "4.536"),
            ("birth_weight_kg", "9 lb 4 oz", "9 lb 4 oz"),
            ("birth_type", "Twins", "2"),
            ("electronic", "UK 0123456 00123", "826012345600123"),
            ("tag", "-", "-"),
            ("name", "None", "None"),
        ] {
            let got = value(&Cell::of_text(text), column, MassUnit::Kg, dmy);
            assert_eq!(got.text, want, "{column} {text}");
        }
        assert_eq!(value(&Cell::of_text("100"), "birth_weight_kg", MassUnit::Lb, dmy).text, "45.359");
        assert_eq!(value(&Cell::of_text("3/4/2024"), "born", MassUnit::Kg, told(None)).text, "3/4/2024");
        for (text, want) in
            [("1.234,5", "1234.5"), ("1,234.5", "1234.5"), ("2,5", "2.5"), ("1 200", "1200"), ("x1", "x1")]
        {
            assert_eq!(figures(text), want);
        }
    }
}
