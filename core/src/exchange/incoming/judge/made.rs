//! Every line put into our words, under our columns.

use super::super::columns::Meaning;
use super::super::form::{Form, form};
use super::super::matching::MARKS;
use super::super::values::{Told, animals, value};
use super::super::words::MassUnit;
use super::{Judge, Made, cell};
use crate::exchange::Kind;
use crate::exchange::names::Names;
use crate::exchange::table::Line;
use crate::terms::{AnimalId, Born};

impl Judge<'_> {
    /// Every line in our words, under our columns.
    pub(super) fn made(&self) -> (Vec<&'static str>, Vec<Made>) {
        let kind = self.kind();
        let told = Told { kind, order: self.preview.order, today: self.today };
        let mut heads: Vec<&'static str> = Vec::new();
        let mut from: Vec<(usize, &'static str, MassUnit)> = Vec::new();
        let mut remarks: Vec<usize> = Vec::new();
        for (at, c) in self.preview.columns.iter().enumerate() {
            match c.meaning {
                Meaning::Column(name) => {
                    heads.push(name);
                    from.push((at, name, c.unit.unwrap_or(MassUnit::Kg)));
                }
                Meaning::Remark => remarks.push(at),
                Meaning::Out => {}
            }
        }
        let has_time = kind.columns().iter().any(|c| c.name == "time") && !heads.contains(&"time");
        let mut more: Vec<&'static str> = Vec::new();
        more.extend((!remarks.is_empty() && !heads.contains(&"note")).then_some("note"));
        more.extend(has_time.then_some("time"));
        if kind == Kind::Animals {
            more.extend((!heads.contains(&"tag")).then_some("tag"));
            more.extend((!heads.contains(&"other_tags")).then_some("other_tags"));
            more.extend((!heads.contains(&"sex")).then_some("sex"));
        }
        let bare = from.len();
        heads.extend(more);
        let place = |name: &str| heads.iter().position(|h| *h == name);
        let mut made = Vec::new();
        for l in &self.inc.lines {
            let mut cells = vec![String::new(); heads.len()];
            let mut how = Vec::new();
            for (i, (at, name, unit)) in from.iter().enumerate() {
                let v = value(l.cell(*at), name, *unit, told);
                how.extend(v.how);
                if let (Some(t), true, "on", Some(p)) = (v.time, has_time, *name, place("time")) {
                    cells[p] = t.to_string();
                }
                cells[i] = v.text;
            }
            if cells.iter().take(bare).all(String::is_empty) {
                continue; // nothing of it is wanted
            }
            if let Some(p) = place("note").filter(|_| !remarks.is_empty()) {
                let said = remarks.iter().filter(|at| !l.cell(**at).is_empty());
                let told =
                    said.map(|at| format!("{}: {}", self.preview.columns[*at].head, l.cell(*at).text()));
                let all: Vec<String> =
                    std::iter::once(cells[p].clone()).filter(|n| !n.is_empty()).chain(told).collect();
                cells[p] = all.join("; ");
            }
            if kind == Kind::Animals {
                called_by(&heads, &mut cells);
            }
            made.push(Made { line: Line { number: l.number, cells }, how });
        }
        // A file of animals may name its own.
        let mut names = Names::of(self.flock);
        if kind == Kind::Animals {
            for m in &made {
                add(&mut names, &heads, &m.line, AnimalId::new());
            }
        }
        for m in &mut made {
            for (i, head) in heads.iter().enumerate() {
                let f = form(kind, head);
                if matches!(f, Form::Animal | Form::Animals)
                    && m.line.cells[i] != "bottle"
                    && m.line.cells[i] != "dam"
                {
                    let v = animals(&m.line.cells[i], f, &names);
                    m.line.cells[i] = v.text;
                    m.how.extend(v.how);
                }
            }
        }
        (heads, made)
    }
}

/// An animal without a flock tag is called by its official, electronic or registry number.
fn called_by(heads: &[&'static str], cells: &mut [String]) {
    let place = |name: &str| heads.iter().position(|h| *h == name);
    let (Some(tag), Some(others)) = (place("tag"), place("other_tags")) else { return };
    if !cells[tag].is_empty() {
        return;
    }
    for column in ["official", "electronic", "registry"] {
        if let Some(text) = place(column).map(|p| cells[p].clone()).filter(|t| !t.is_empty()) {
            let mark = format!("{column} {}", crate::exchange::names::escaped(&text));
            cells[others] =
                if cells[others].is_empty() { mark } else { format!("{} | {mark}", cells[others]) };
            cells[tag] = text;
            return;
        }
    }
}

/// The marks of a row among the names.
pub(super) fn add(names: &mut Names, heads: &[&'static str], line: &Line, id: AnimalId) {
    let born = Born::parse(cell(heads, line, "born")).unwrap_or_default();
    for (column, kind) in MARKS {
        let text = cell(heads, line, column);
        if !text.is_empty() {
            names.add(id, kind, text, false, born);
        }
    }
}
