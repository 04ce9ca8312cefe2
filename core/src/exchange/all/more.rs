//! What no kind of table carries, as tables of its own. Struck lines stand among the others, with day and reason.

use super::super::forms::Form;
use super::super::listed::{Listed, Value};
use super::super::names::Names;
use super::JournalLine;
use crate::flock::{AnimalFile, Flock, Outcome, RecordRef, Struck};
use crate::reckon::trail::{kept_words, trail};
use crate::terms::{AnimalId, DocumentId};

/// A column: its name, what stands in it, how it is written.
pub(super) type Column = (&'static str, &'static str, Form);

/// A table beside those of the kinds.
pub(super) struct Further {
    /// Name of its file.
    word: &'static str,
    /// What it holds.
    pub about: &'static str,
    /// Its columns.
    pub columns: &'static [Column],
    rows: fn(&Flock, &Names) -> Vec<Vec<Value>>,
}

impl Further {
    /// Where it lies.
    pub fn place(&self) -> String {
        format!("more/{}.csv", self.word)
    }

    pub fn heads(&self) -> Vec<String> {
        self.columns.iter().map(|c| c.0.to_string()).collect()
    }

    pub fn list(&self, flock: &Flock, names: &Names) -> Listed {
        Listed { name: self.word.into(), heads: self.heads(), rows: (self.rows)(flock, names) }
    }
}

/// The columns of a line that may be struck out.
pub(super) const STRUCK_ON: Column =
    ("struck_on", "day the line was struck out; blank: it stands", Form::Day);
pub(super) const STRUCK_BECAUSE: Column = ("struck_because", "why it was struck out", Form::Text);
pub(super) const STRUCK_BY: Column = ("struck_by", "who struck it out, where it is known", Form::Text);
const TAG: Column = ("tag", "tag of the animal", Form::Text);

/// Of the journal, whose rows come from the book.
pub(super) const JOURNAL: Further = Further {
    word: "journal",
    about: "every write, in order: what was done, by whom, when and why",
    columns: &[
        ("line", "its number", Form::Number),
        ("at", "when, as YYYY-MM-DD HH:MM:SS, local time", Form::Text),
        ("who", "who wrote it", Form::Text),
        ("what", "what was written, as one sentence", Form::Text),
        ("why", "the reason given", Form::Text),
        ("undoes", "number of the line it took back", Form::Number),
        ("redoes", "number of the undo it took back", Form::Number),
    ],
    rows: |_, _| Vec::new(),
};

/// All but the journal, in order.
pub(super) fn all() -> [Further; 9] {
    [
        Further {
            word: "flock",
            about: "who keeps the flock, how the book speaks, and what the keeper changed of its ways of reckoning",
            columns: &[
                ("setting", "which setting", Form::Text),
                ("value", "as it stands; rules of reckoning as TOML", Form::Text),
            ],
            rows: |flock, _| settings(flock),
        },
        Further {
            word: "pens",
            about: "pens and fields of the past and of today: every move, in order",
            columns: &[
                TAG,
                ("on", "day", Form::Day),
                ("pen", "to this pen; blank: taken out of any", Form::Text),
                STRUCK_ON,
                STRUCK_BECAUSE,
            ],
            rows: |flock, names| {
                of_animals(flock, names, |f, row| {
                    for m in &f.pen_moves {
                        row(vec![Value::Day(m.on), words(m.pen.as_deref())], m.struck.as_deref());
                    }
                })
            },
        },
        Further {
            word: "notes",
            about: "the keeper's dated notes on animals",
            columns: &[
                TAG,
                ("on", "day", Form::Day),
                ("text", "the note", Form::Text),
                STRUCK_ON,
                STRUCK_BECAUSE,
            ],
            rows: |flock, names| {
                of_animals(flock, names, |f, row| {
                    for r in &f.remarks {
                        row(vec![Value::Day(r.on), Value::text(&r.text)], r.struck.as_deref());
                    }
                })
            },
        },
        Further {
            word: "jobs",
            about: "jobs of the care plan ticked off, left out or put off",
            columns: &[
                TAG,
                ("step", "key of the step of the care plan", Form::Text),
                ("counted_from", "day the step was counted from when it was ticked", Form::Day),
                ("round", "which time, of a step done again and again; 0 is the first", Form::Number),
                ("outcome", "done, left out, put off", Form::Text),
                ("until", "of a job put off: until this day", Form::Day),
                ("on", "day it was ticked", Form::Day),
                ("time", "time it was ticked", Form::Time),
                ("note", "what was seen, or why it was left out or put off", Form::Text),
                STRUCK_ON,
                STRUCK_BECAUSE,
            ],
            rows: |flock, names| of_animals(flock, names, ticks),
        },
        Further {
            word: "papers",
            about: "papers kept in the book; the files themselves lie in papers/",
            columns: &[
                ("file", "name of the file in this ZIP", Form::Text),
                ("of", "what it belongs to", Form::Text),
                ("name", "name of the file it came from", Form::Text),
                ("kind", "pdf, png, jpeg", Form::Text),
                ("size_bytes", "its size", Form::Number),
                ("on", "day it was put into the book", Form::Day),
                STRUCK_ON,
                STRUCK_BECAUSE,
            ],
            rows: |flock, _| papers(flock).into_iter().map(|p| p.row).collect(),
        },
        Further {
            word: "pen-map",
            about: "pens as the keeper laid them out on the map of the shed",
            columns: &[
                ("pen", "its name", Form::Text),
                ("sort", "shed, outside; off: taken off the map while nobody is in it", Form::Text),
                ("from_left_cm", "its left edge from the left of the map", Form::Number),
                ("from_top_cm", "its upper edge from the top of the map", Form::Number),
                ("wide_cm", "its width", Form::Number),
                ("deep_cm", "its depth", Form::Number),
            ],
            rows: |flock, _| {
                let cm = |n: u16| Value::count(u32::from(n) * u32::from(crate::terms::STEP_CM));
                let row = |p: &crate::flock::PenPlace| {
                    let at = [p.at.x, p.at.y, p.at.w, p.at.h].map(cm);
                    [Value::text(&p.pen), Value::text(p.sort.word())].into_iter().chain(at).collect()
                };
                flock.pen_places().iter().map(row).collect()
            },
        },
        Further {
            word: "steps-changed",
            about: "steps of the care plan that the keeper changed or added",
            columns: &[
                ("season", "year it is for; blank: every year", Form::Number),
                ("step", "key of the step", Form::Text),
                ("toml", "the whole step as it is to be, as TOML", Form::Text),
            ],
            rows: |flock, _| {
                let row = |c: &crate::plan::PlanStep| {
                    let season = c.season.map_or(Value::Nothing, Value::count);
                    vec![season, Value::text(&c.step.key), Value::text(c.step.to_toml())]
                };
                flock.plan().changes().iter().map(row).collect()
            },
        },
        Further {
            word: "rules-changed",
            about: "rows of rule sets that the keeper changed, and whole sets of their own",
            columns: &[
                ("rules", "id of the rule set", Form::Text),
                ("row", "key of the row; blank: the whole set", Form::Text),
                ("toml", "the row or the set as TOML; blank: an earlier change was taken back", Form::Text),
            ],
            rows: |flock, _| {
                let row = |c: &crate::rules::RuleChange| [&c.set, &c.row, &c.toml].map(Value::text).to_vec();
                flock.rule_changes().iter().map(row).collect()
            },
        },
        Further {
            word: "amended",
            about: "what was changed after it was written: old and new value of each field, newest first",
            columns: &[
                ("at", "when, as YYYY-MM-DD HH:MM, local time", Form::Text),
                ("who", "who changed it", Form::Text),
                ("record", "which record", Form::Text),
                ("field", "which of its values", Form::Text),
                ("was", "what stood there", Form::Text),
                ("is", "what stands there since", Form::Text),
                ("why", "the reason given", Form::Text),
            ],
            rows: |flock, _| amended(flock),
        },
    ]
}

fn words(text: Option<&str>) -> Value {
    Value::text(text.unwrap_or_default())
}

/// Animals by their names, so that equal books make equal tables.
pub(super) fn by_name<'a>(flock: &'a Flock, names: &Names) -> Vec<(String, &'a AnimalFile)> {
    let mut all: Vec<_> = flock.files().map(|f| (names.name(&f.animal), f)).collect();
    let order = |a: &(String, &AnimalFile)| -> AnimalId { a.1.animal.id };
    all.sort_by(|a, b| crate::flock::natural(&a.0, &b.0).then(order(a).cmp(&order(b))));
    all
}

/// A row of an animal's record, with its strike-out if there is one.
type Add<'a> = dyn FnMut(Vec<Value>, Option<&Struck>) + 'a;

/// Rows of every animal: its name before them, what struck them out behind.
fn of_animals(flock: &Flock, names: &Names, rows: fn(&AnimalFile, &mut Add<'_>)) -> Vec<Vec<Value>> {
    let mut all = Vec::new();
    for (name, f) in by_name(flock, names) {
        rows(f, &mut |row, struck| {
            let mut whole = vec![Value::text(&name)];
            whole.extend(row);
            whole.extend(struck_out(struck));
            all.push(whole);
        });
    }
    all
}

pub(super) fn struck_out(struck: Option<&Struck>) -> [Value; 2] {
    [Value::on(struck.map(|s| s.on)), words(struck.map(|s| s.reason.as_str()))]
}

fn ticks(f: &AnimalFile, row: &mut Add<'_>) {
    for t in &f.ticks {
        let until = match t.outcome {
            Outcome::PutOff(day) => Some(day),
            Outcome::Done | Outcome::Skipped => None,
        };
        let time = t.at.time.map(|t| t.to_string()).unwrap_or_default();
        let values = vec![
            Value::text(&t.step),
            Value::Day(t.anchor),
            Value::count(t.round),
            Value::text(t.outcome.did().to_lowercase()),
            Value::on(until),
            Value::Day(t.at.day),
            Value::text(time),
            words(t.note.as_deref()),
        ];
        row(values, t.struck.as_deref());
    }
}

fn settings(flock: &Flock) -> Vec<Vec<Value>> {
    let h = flock.holding();
    let units = h.units.word();
    let organic = if h.organic { "yes" } else { "no" };
    [
        ("flock", h.flock.as_str()),
        ("keeper", &h.keeper),
        ("holding number", &h.number),
        ("address", &h.address),
        ("usual giver of treatments", &h.given_by),
        ("usual vet", &h.vet),
        ("units", units),
        ("rules", &h.rules),
        ("paper", &h.sheet),
        ("rams go in", &h.joining_day),
        ("prefix", &h.prefix),
        ("registry", &h.registry),
        ("organic", organic),
        ("days of gestation", &h.gestation),
        ("grading up", &h.grading),
        ("growth", &h.growth),
        ("keeping", &h.keeping),
        ("figures", &h.figures),
        ("feeding", &h.feeding),
        ("words", h.trade().id()),
        ("days", h.days.words()),
    ]
    .into_iter()
    .map(|(name, value)| vec![Value::text(name), Value::text(value)])
    .collect()
}

fn amended(flock: &Flock) -> Vec<Vec<Value>> {
    let mut rows = Vec::new();
    for change in trail(flock).into_iter().filter(|c| !c.struck) {
        for (field, was, is) in &change.fields {
            let all = [&change.at, &change.who, &change.what, field, was, is, &change.why];
            rows.push(all.map(Value::text).to_vec());
        }
    }
    rows
}

/// The line of the journal as a row of [`JOURNAL`].
pub(super) fn journal_row(l: &JournalLine) -> Vec<Value> {
    let number = |n: Option<i64>| n.map_or(Value::Nothing, Value::count);
    let mut row = vec![Value::count(l.line)];
    row.extend([&l.at, &l.who, &l.what].map(Value::text));
    row.extend([words(l.why.as_deref()), number(l.undoes), number(l.redoes)]);
    row
}

/// A kept paper and where its file lies.
pub(super) struct Paper {
    pub id: DocumentId,
    pub file: String,
    pub of: String,
    row: Vec<Value>,
}

/// Every kept paper, by day.
pub(super) fn papers(flock: &Flock) -> Vec<Paper> {
    let paper = |(i, d): (usize, &crate::flock::Document)| {
        let of = kept_words(flock, RecordRef::Document(d.id)).unwrap_or_default();
        let file = format!("papers/{:04} {}", i + 1, file_name(&d.name, &d.kind));
        let mut row = vec![
            Value::text(&file),
            Value::text(&of),
            Value::text(&d.name),
            Value::text(&d.kind),
            Value::count(d.size),
            Value::Day(d.on),
        ];
        row.extend(struck_out(d.struck.as_deref()));
        Paper { id: d.id, file, of, row }
    };
    flock.documents().all().iter().enumerate().map(paper).collect()
}

/// A name that any system takes for a file: no signs that lead elsewhere, not too long, with its ending.
pub(super) fn file_name(name: &str, kind: &str) -> String {
    let sign = |c: char| if c.is_control() || "/\\:*?\"<>|".contains(c) { '_' } else { c };
    let clean: String = name.chars().map(sign).collect();
    let stem = clean.rsplit_once('.').map_or(clean.as_str(), |(stem, _)| stem);
    let stem: String = stem.trim_matches(['.', ' ']).chars().take(80).collect();
    let stem = if stem.trim().is_empty() { "paper" } else { stem.trim_end() };
    let ending = match kind {
        "jpeg" => "jpg",
        k if k.chars().all(|c| c.is_ascii_alphanumeric()) && !k.is_empty() => k,
        _ => "bin",
    };
    format!("{stem}.{ending}")
}
