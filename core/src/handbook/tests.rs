use super::*;
use crate::reckon::gestation;
use crate::terms::Day;
use std::path::{Path, PathBuf};

fn resources() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../resources")
}

fn tables(under: &Path) -> Vec<PathBuf> {
    let mut all = Vec::new();
    for entry in std::fs::read_dir(under).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            all.extend(tables(&path));
        } else if path.extension().is_some_and(|e| e == "toml") {
            all.push(path);
        }
    }
    all
}

/// Every table under this one that holds a value of its own.
fn rows<'a>(name: &str, table: &'a toml::Table, into: &mut Vec<(String, &'a toml::Table)>) {
    let deeper = |v: &toml::Value| {
        v.is_table() || v.as_array().is_some_and(|a| a.first().is_some_and(toml::Value::is_table))
    };
    if table.values().any(|v| !deeper(v)) {
        into.push((name.to_owned(), table));
    }
    // The conditions of a row stand on the row's own source.
    for (key, value) in table.iter().filter(|(key, _)| !["when", "repeat"].contains(&key.as_str())) {
        let inner = value.as_array().into_iter().flatten().chain(std::iter::once(value));
        for table in inner.filter_map(toml::Value::as_table) {
            rows(&format!("{name}, {key}"), table, into);
        }
    }
}

#[test]
fn every_row_has_a_source_and_a_mark() {
    let mut seen = 0;
    // These hold words, no facts.
    let facts = tables(&resources())
        .into_iter()
        .filter(|p| !["notes.toml", "columns.toml", "words.toml"].iter().any(|words| p.ends_with(words)));
    for path in facts {
        let text = std::fs::read_to_string(&path).unwrap();
        let table: toml::Table = text.parse().unwrap();
        let mut all = Vec::new();
        rows(&path.file_name().unwrap().to_string_lossy(), &table, &mut all);
        assert!(!all.is_empty(), "{}", path.display());
        for (name, row) in all {
            let source = row.get("source").and_then(toml::Value::as_str).unwrap_or_default();
            assert!(!source.trim().is_empty(), "{name} has no source");
            let practice = source == "common practice, no source";
            assert_eq!(row.get("seen").is_some_and(toml::Value::is_bool), !practice, "{name}: the mark");
            seen += 1;
        }
    }
    assert!(seen > 50, "{seen} rows");
}

/// A table lies in `resources/` only to be read: each is compiled in, and each reads without a fault.
#[test]
fn every_table_is_read_by_the_program() {
    let mut read = vec![
        "handbook.toml".to_owned(),
        "rules/day_count.toml".into(),
        "notes.toml".into(),
        "grading.toml".into(),
        "heritability.toml".into(),
        "growth.toml".into(),
        "keeping.toml".into(),
        "figures.toml".into(),
        "feeds.toml".into(),
        "feeding.toml".into(),
        "columns.toml".into(),
        "words.toml".into(),
    ];
    read.extend(["lamb", "ewe", "ram", "kinds"].map(|name| format!("care/{name}.toml")));
    // The parts of a place are read from the place's file.
    let places = crate::rules::rule_sets().iter().filter(|set| !set.name().contains(": "));
    read.extend(places.map(|set| format!("rules/{}.toml", set.id())));
    read.push("rules/any.toml".into());
    let _ = (&*HANDBOOK, crate::plan::shipped_version(), crate::rules::day_count());
    let _ = crate::reckon::grading::Ladder::shipped();
    assert!(heritability::records_least() > 0);
    let _ = crate::reckon::growth::rules::GrowthRules::shipped();
    let _ = (feeds::all(), crate::reckon::ration::FeedRules::shipped());
    let _ = (crate::reckon::grading::Ladder::shipped(), crate::reckon::keeping::Settings::shipped());
    assert!(crate::plan::kinds().count() > 3 && crate::entry::notes::forms().len() > 3);
    assert!(trade::Trade::all().count() > 3);
    let top = resources();
    let mut there: Vec<String> = tables(&top)
        .iter()
        .map(|p| p.strip_prefix(&top).unwrap().to_string_lossy().replace('\\', "/"))
        .collect();
    there.sort();
    read.sort();
    assert_eq!(there, read);
}

#[test]
fn broken_tables_are_refused() {
    let whole = include_str!("../../../resources/handbook.toml");
    let read = |text: &str| toml::from_str::<Handbook>(text).map(|_| ()).map_err(|e| e.to_string());
    assert_eq!(read(whole), Ok(()));
    for (from, to, why) in [
        ("[gestation.usual_days]", "[gestation.unusual_days]", "unknown field"),
        ("value = 147\n", "", "missing field `value`"),
        ("value = 147", "value = \"long\"", "invalid type"),
        (
            "source = \"Small Ruminant Manual C275\"\nseen = true",
            "source = \" \"\nseen = true",
            "without a source",
        ),
        ("C275\"\nseen = true", "C275\"", "needs the mark"),
        ("C275\"\nseen = true", "C275\"\nseen = false", "from memory"),
    ] {
        assert!(whole.contains(from), "{from}");
        let said = read(&whole.replacen(from, to, 1)).unwrap_err();
        assert!(said.contains(why), "{why}: {said}");
    }
    let spare =
        format!("{whole}\n[dosing.nobody_reads_this]\nvalue = 1\nsource = \"common practice, no source\"\n");
    assert!(read(&spare).is_err(), "a row nobody reads");
}

/// The due day moves with the row of the table, which says 147 days.
#[test]
fn due_days_come_from_the_table() {
    let text = include_str!("../../../resources/handbook.toml");
    let table: toml::Table = text.parse().unwrap();
    let row = |name: &str| table["gestation"][name]["value"].as_integer().unwrap();
    let service = Day::new(2025, 11, 1).unwrap();
    let window = gestation::due(service, Some(service));
    assert_eq!(window.early.since(service), row("early_days"));
    assert_eq!(window.due.since(service), row("usual_days"));
    assert_eq!(window.late.unwrap().since(service), row("late_days"));
}
