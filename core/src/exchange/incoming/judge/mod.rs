//! Judges every row: puts it into our words, finds whom it is about, and lets the checks of its kind say what is wrong.

mod animals;
mod asked;
mod made;

use super::columns::{Meaning, kinds};
use super::held::{Held, Records};
use super::preview::{Decision, Fate, FieldChange, Preview, Row};
use super::{Choice, Incoming};
use crate::exchange::names::Names;
use crate::exchange::sheet::Sheet;
use crate::exchange::table::Line;
use crate::exchange::{BadRow, Kind, Reading, Unfit, read_sheet};
use crate::flock::Flock;
use crate::terms::{AnimalId, Day};
use std::collections::{BTreeMap, HashMap, HashSet};

/// Rows that name rows that are left out fall with them, and so on: so many rounds are gone.
const ROUNDS: usize = 12;

/// A row in our words.
struct Made {
    line: Line,
    how: Vec<String>,
}

pub(super) fn preview(inc: &Incoming, choice: &Choice, flock: &Flock, today: Day) -> Preview {
    let names = Names::of(flock);
    let seen = inc.seen(&names, today);
    let called = format!("{} {}", inc.name, inc.sheet.as_deref().unwrap_or_default());
    let (kind, kind_why) = match choice.kind {
        Some(kind) => (kind, "as you said".to_string()),
        None => kinds(&seen, &called)
            .into_iter()
            .next()
            .unwrap_or((Kind::Animals, "nothing of it is known".into())),
    };
    let columns = asked::taken(inc, choice, kind, &seen, flock);
    let (order, ask) = asked::order(inc, choice, kind, &columns, today);
    let has = |name: &'static str| columns.iter().any(|c| c.meaning == Meaning::Column(name));
    let bears = ["electronic", "official", "registry"].into_iter().any(has);
    let missing: Vec<&'static str> = kind
        .columns()
        .iter()
        .filter(|c| c.needed && !has(c.name) && !(kind == Kind::Animals && c.name == "tag" && bears))
        .map(|c| c.name)
        .collect();
    let mut how = inc.how.clone();
    if let Some(order) = order {
        how.push(format!("days as {order}"));
    }
    let mut p = Preview {
        file: inc.name.clone(),
        kind,
        kind_why,
        sheets: inc.sheets.clone(),
        sheet: inc.sheet.clone(),
        columns,
        how,
        order,
        ask,
        missing,
        rows: Vec::new(),
        cautions: Vec::new(),
        is_changing: choice.change,
        is_skipping: choice.skip,
        checked: Vec::new(),
    };
    if p.ask.is_none() && p.missing.is_empty() {
        Judge { inc, choice, flock, today, names, preview: &mut p }.judge();
    }
    p
}

struct Judge<'a> {
    inc: &'a Incoming,
    choice: &'a Choice,
    flock: &'a Flock,
    today: Day,
    names: Names,
    preview: &'a mut Preview,
}

impl Judge<'_> {
    fn kind(&self) -> Kind {
        self.preview.kind
    }

    fn judge(mut self) {
        let (heads, mut made) = self.made();
        let decided = |line: usize| self.choice.decisions.get(&line).copied();
        let mut rows: BTreeMap<usize, Row> = made
            .iter()
            .map(|m| {
                let fate = if decided(m.line.number) == Some(Decision::LeaveOut) {
                    Fate::LeftOut
                } else {
                    Fate::New
                };
                let who = self.who(&heads, &m.line);
                let (line, why) = (m.line.number, m.how.clone());
                (line, Row { line, who, fate, changes: Vec::new(), could_be: Vec::new(), why })
            })
            .collect();
        made.retain(|m| decided(m.line.number) != Some(Decision::LeaveOut));
        match self.kind() {
            Kind::Animals => self.animals(&heads, made, &mut rows),
            _ => self.others(heads, made, &mut rows),
        }
        self.preview.rows = rows.into_values().collect();
    }

    /// What a row is about, in a word.
    fn who(&self, heads: &[&'static str], line: &Line) -> String {
        let first =
            ["tag", "ewe", "product", "name", "feed", "pen", "ram", "electronic", "official", "group"];
        let of = |name: &str| heads.iter().position(|h| *h == name).and_then(|i| line.cells.get(i));
        first.iter().filter_map(|n| of(n)).find(|v| !v.is_empty()).cloned().unwrap_or_default()
    }

    /// Tables other than animals: what the book holds already, then the checks of the kind.
    fn others(&mut self, mut heads: Vec<&'static str>, mut made: Vec<Made>, rows: &mut BTreeMap<usize, Row>) {
        let kind = self.kind();
        let mut records = Records::of(kind, self.flock);
        let mut merged: HashMap<usize, Vec<String>> = HashMap::new();
        made.retain(|m| {
            let line = m.line.number;
            let Some(row) = rows.get_mut(&line) else { return false };
            match records.look(&heads, &m.line.cells) {
                Held::New => true,
                Held::Same(told) => {
                    row.fate = Fate::Same;
                    let otherwise = |c: &FieldChange| {
                        format!("the book has {} {}: mend it on its leaf", c.field.replace('_', " "), c.old)
                    };
                    row.why.extend(told.iter().filter(|c| !c.old.is_empty()).map(otherwise));
                    false
                }
                Held::Changes(changes, cells) => {
                    row.fate = Fate::Changes;
                    row.changes = changes;
                    merged.insert(line, cells);
                    self.choice.change
                }
            }
        });
        if !merged.is_empty() && self.choice.change {
            let all = kind.names();
            for m in &mut made {
                m.line.cells = merged.remove(&m.line.number).unwrap_or_else(|| {
                    let of = |c: &&str| {
                        heads.iter().position(|h| h == c).and_then(|i| m.line.cells.get(i)).cloned()
                    };
                    all.iter().map(|c| of(c).unwrap_or_default()).collect()
                });
            }
            heads = all;
        }
        let lines: Vec<Line> = made.into_iter().map(|m| m.line).collect();
        let (flock, today, file) = (self.flock, self.today, self.preview.file.clone());
        let reading = self
            .read(&heads, lines, rows, &HashMap::new(), |sheet| read_sheet(sheet, kind, &file, flock, today));
        self.take(reading);
    }

    /// Reads rows until no row of them is refused: the others stand by themselves.
    fn read(
        &self,
        heads: &[&'static str],
        mut lines: Vec<Line>,
        rows: &mut BTreeMap<usize, Row>,
        known: &HashMap<usize, AnimalId>,
        read: impl Fn(&Sheet) -> Result<Reading, Unfit>,
    ) -> Option<Reading> {
        let header: Vec<String> = heads.iter().map(ToString::to_string).collect();
        for _ in 0..ROUNDS {
            lines.retain(|l| !known.contains_key(&l.number));
            if lines.is_empty() {
                return None;
            }
            let sheet = Sheet::of(self.kind(), ',', &header, lines.clone()).ok()?;
            match read(&sheet) {
                Ok(reading) => {
                    for line in &reading.same_lines {
                        if let Some(row) = rows.get_mut(line) {
                            row.fate = Fate::Same;
                        }
                    }
                    return Some(reading);
                }
                Err(Unfit::Rows(bad)) => {
                    let mut refused = HashSet::new();
                    for b in bad {
                        refused.insert(b.line);
                        self.refuse(rows, &b);
                    }
                    let before = lines.len();
                    lines.retain(|l| !refused.contains(&l.number));
                    if lines.len() == before {
                        return None;
                    }
                }
                Err(other) => {
                    for l in &lines {
                        self.refuse(rows, &BadRow::new(l.number, "", "", &other));
                    }
                    return None;
                }
            }
        }
        for l in &lines {
            self.refuse(
                rows,
                &BadRow::new(l.number, "", "", "it hangs on rows that are to mend: mend those first"),
            );
        }
        None
    }

    /// A row to mend, with the value and the head as the keeper's file has them.
    fn refuse(&self, rows: &mut BTreeMap<usize, Row>, b: &BadRow) {
        let Some(row) = rows.get_mut(&b.line) else { return };
        row.fate = Fate::Refused;
        row.changes.clear();
        let at = self
            .preview
            .columns
            .iter()
            .position(|c| matches!(c.meaning, Meaning::Column(n) if n == b.column));
        let why = match at {
            Some(at) => {
                let cell = self.inc.lines.iter().find(|l| l.number == b.line).map(|l| l.cell(at).text());
                format!("{} '{}': {}", self.preview.columns[at].head, cell.unwrap_or_default(), b.why)
            }
            None if b.column.is_empty() => b.why.clone(),
            None => format!("{}: {}", b.column.replace('_', " "), b.why),
        };
        if !row.why.contains(&why) {
            row.why.push(why);
        }
    }

    fn take(&mut self, reading: Option<Reading>) {
        let Some(reading) = reading else { return };
        self.preview.cautions.extend(reading.cautions);
        self.preview.checked.extend(reading.checked);
    }
}

fn cell<'a>(heads: &[&'static str], line: &'a Line, column: &str) -> &'a str {
    heads.iter().position(|h| *h == column).and_then(|i| line.cells.get(i)).map_or("", String::as_str)
}
