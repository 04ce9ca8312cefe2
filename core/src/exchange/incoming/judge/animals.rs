//! Rows of animals: whose they are, the new ones, and what changes of the others.

use super::super::changed::{self, Change};
use super::super::matching::{Known, Who};
use super::super::preview::{CouldBe, Decision, Fate, Row};
use super::made::add;
use super::{Judge, Made, ROUNDS, cell};
use crate::entry::{Checked, Entry};
use crate::exchange::animals::{draft, read_as};
use crate::exchange::names::Names;
use crate::exchange::sheet::Sheet;
use crate::exchange::table::Line;
use crate::exchange::{BadRow, Caution, Kind, Reading};
use crate::flock::Animal;
use crate::terms::{AnimalId, Sex};
use std::collections::{BTreeMap, HashMap, HashSet};

impl Judge<'_> {
    /// Animals: whose rows they are first, then the new ones, then what changes of the others.
    pub(super) fn animals(
        &mut self,
        heads: &[&'static str],
        mut made: Vec<Made>,
        rows: &mut BTreeMap<usize, Row>,
    ) {
        let known = Known::of(self.flock);
        let (mut those, mut first): (HashMap<usize, AnimalId>, HashMap<AnimalId, usize>) = Default::default();
        made.retain(|m| {
            let line = m.line.number;
            let value = |c: &str| cell(heads, &m.line, c);
            let who = match self.choice.decisions.get(&line) {
                Some(Decision::That(id)) => Who::That(*id),
                Some(Decision::New) => Who::New,
                _ => known.who(&self.names, value),
            };
            let Some(row) = rows.get_mut(&line) else { return false };
            match who {
                Who::New => true,
                Who::That(id) => {
                    if let Some(other) = first.insert(id, line) {
                        row.fate = Fate::Refused;
                        row.why.push(format!("line {other} is the same animal: take one of the two out"));
                        return false;
                    }
                    row.fate = Fate::Same;
                    those.insert(line, id);
                    true
                }
                Who::CouldBe(all) => {
                    row.fate = Fate::Doubtful;
                    let words = |c: &CouldBe| format!("it may be {}: {}", self.flock.tag(c.animal), c.why);
                    row.why.extend(all.iter().map(words));
                    row.could_be = all;
                    false
                }
            }
        });
        let ids: HashMap<usize, AnimalId> = made
            .iter()
            .map(|m| (m.line.number, those.get(&m.line.number).copied().unwrap_or_else(AnimalId::new)))
            .collect();
        // Rows of animals of the book may bring them marks by which others of the file name them.
        let names = || {
            let mut names = Names::of(self.flock);
            for m in &made {
                if let Some(id) = those.get(&m.line.number) {
                    add(&mut names, heads, &m.line, *id);
                }
            }
            names
        };
        let lines: Vec<Line> = made.iter().map(|m| m.line.clone()).collect();
        let reading = self.read(heads, lines, rows, &those, |sheet| {
            let of: Vec<AnimalId> = sheet.rows.iter().filter_map(|l| ids.get(&l.number).copied()).collect();
            Ok(Reading::of(
                Kind::Animals,
                &self.preview.file,
                read_as(sheet, self.flock, names(), self.today, &of)?,
            ))
        });
        let new: Vec<Animal> = match reading.as_ref().and_then(|r| r.checked.as_ref()).map(Checked::entry) {
            Some(Entry::Animals { animals, .. }) => animals.clone(),
            _ => Vec::new(),
        };
        let mut all = names();
        for a in &new {
            for i in &a.identities {
                all.add(a.id, i.kind, i.tag.as_str(), i.ended.is_some(), a.born);
            }
        }
        let changes = self.changes(heads, &made, &those, &new, all, &known, rows);
        self.take(reading);
        self.change(changes, &new, rows);
    }

    /// What rows would change of the animals they are.
    #[allow(clippy::too_many_arguments)]
    fn changes(
        &self,
        heads: &[&'static str],
        made: &[Made],
        those: &HashMap<usize, AnimalId>,
        new: &[Animal],
        names: Names,
        known: &Known<'_>,
        rows: &mut BTreeMap<usize, Row>,
    ) -> Vec<Change> {
        let new: HashMap<AnimalId, &Animal> = new.iter().map(|a| (a.id, a)).collect();
        let animal = |id: AnimalId| new.get(&id).copied().or_else(|| self.flock.animal(id));
        let name = |id: AnimalId| animal(id).map_or_else(String::new, |a| names.name(a));
        let header: Vec<String> = heads.iter().map(ToString::to_string).collect();
        let lines: Vec<Line> = made
            .iter()
            .filter_map(|m| {
                let old = self.flock.animal(*those.get(&m.line.number)?)?;
                let mut line = m.line.clone();
                // What a new animal must have, one of the book has already.
                for (column, own) in [("sex", old.sex.word()), ("tag", old.tag())] {
                    if let Some(c) =
                        heads.iter().position(|h| *h == column).and_then(|i| line.cells.get_mut(i))
                        && (c.is_empty() || c.contains(" born "))
                    {
                        *c = own.into();
                    }
                }
                Some(line)
            })
            .collect();
        let Ok(sheet) = Sheet::of(Kind::Animals, ',', &header, lines) else { return Vec::new() };
        let (mut all, mut bad) = (Vec::new(), Vec::new());
        for line in &sheet.rows {
            let Some(old) = those.get(&line.number).and_then(|id| self.flock.animal(*id)) else { continue };
            let mut c = sheet.cells(line, &mut bad);
            let sex_of = |e: AnimalId| animal(e).map(|a: &Animal| -> Sex { a.sex });
            let Some(mut d) = draft(&mut c, old.id, &names, sex_of) else { continue };
            // A parent that is new and to mend itself cannot be named yet.
            let there = |id: &AnimalId| animal(*id).is_some();
            d.dam = d.dam.filter(there);
            d.genetic_dam = d.genetic_dam.filter(there);
            if !d.sire.possible().iter().all(there) {
                d.sire = Default::default();
            }
            let change =
                changed::compare(line.number, old, d, known, |c| !cell(heads, line, c).is_empty(), &name);
            if let Some(row) = rows.get_mut(&line.number).filter(|_| !change.is_none()) {
                row.fate = Fate::Changes;
                row.changes.clone_from(&change.fields);
                all.push(change);
            }
        }
        for b in &bad {
            self.refuse(rows, b);
        }
        all
    }

    /// The entries of what changes, if the table may change the book.
    fn change(&mut self, mut changes: Vec<Change>, new: &[Animal], rows: &mut BTreeMap<usize, Row>) {
        if !self.choice.change {
            return;
        }
        for _ in 0..ROUNDS {
            match changed::entries(&changes, new, self.flock, self.today) {
                Ok(all) => {
                    for (line, checked) in all {
                        let asked = checked
                            .questions()
                            .iter()
                            .map(|q| Caution(BadRow::new(line, q.field.name, "", q)));
                        self.preview.cautions.extend(asked);
                        self.preview.checked.push(checked);
                    }
                    return;
                }
                Err(bad) => {
                    let lines: HashSet<usize> = bad.iter().map(|b| b.0).collect();
                    for (line, column, why) in bad {
                        self.refuse(rows, &BadRow::new(line, column, "", why));
                    }
                    let before = changes.len();
                    changes.retain(|c| !lines.contains(&c.line));
                    if changes.len() == before {
                        return;
                    }
                }
            }
        }
    }
}
