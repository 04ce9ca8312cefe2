//! What a row would change of an animal of the book. A blank changes nothing; nothing of it is written unless the keeper
//! says that the table may change what the book holds.

use super::matching::Known;
use super::preview::FieldChange;
use crate::entry::{
    AnimalDraft, Checked, IdentityDraft, MarksDraft, PenMoveDraft, Refusal, StandingDraft, edit_animals,
    marks_of, pen_move, standing,
};
use crate::exchange::animals::row;
use crate::exchange::kind::Kind;
use crate::flock::{Animal, Flock, Identity, Sire};
use crate::terms::{AnimalId, Born, Day, IdentityKind, MeantFor, Rearing, Status, Words};
use std::collections::BTreeMap;

/// What a row makes of an animal.
#[derive(Debug, Clone)]
pub(super) struct Change {
    pub line: usize,
    pub animal: AnimalId,
    /// The facts as they would stand; none where they stay.
    pub edit: Option<Animal>,
    pub worn: Vec<IdentityDraft>,
    pub dated: Vec<Identity>,
    pub pen: Option<String>,
    /// The standing, since when and why.
    pub status: Option<(Status, Option<Day>, Option<String>)>,
    pub fields: Vec<FieldChange>,
}

impl Change {
    pub(super) fn is_none(&self) -> bool {
        self.fields.is_empty()
    }
}

/// Compares a row with its animal; `given` says of a column that the row has a value there, `name` names an animal.
pub(super) fn compare(
    line: usize,
    old: &Animal,
    d: AnimalDraft,
    known: &Known<'_>,
    given: impl Fn(&str) -> bool,
    name: &dyn Fn(AnimalId) -> String,
) -> Change {
    let mut new = old.clone();
    let own =
        |text: &Option<String>, old: &Option<Words>| text.as_ref().map(Words::from).or_else(|| old.clone());
    new.sex = d.sex;
    new.name = own(&d.name, &old.name);
    new.breed = d.breed.clone().or_else(|| old.breed.clone());
    // The year alone says nothing against a day of it.
    if d.born != Born::Unknown && !within(&d.born, &old.born) {
        new.born = d.born;
    }
    new.dam = d.dam.or(old.dam);
    if d.sire != Sire::Unknown {
        new.sire = d.sire.clone();
    }
    new.genetic_dam = d.genetic_dam.or(old.genetic_dam);
    if given("reared_by") {
        new.rearing = match d.rearing {
            Rearing::Foster(e) if Some(e) == new.dam => Rearing::Dam,
            other => other,
        };
    }
    new.birth_type = d.birth_type.or(old.birth_type);
    new.rear_type = d.rear_type.or(old.rear_type);
    new.birth_weight = d.birth_weight.or(old.birth_weight);
    new.colour = own(&d.colour, &old.colour);
    new.marks = own(&d.marks, &old.marks);
    new.prefix = own(&d.prefix, &old.prefix);
    new.section = own(&d.section, &old.section);
    // What a note says already is not said again; nothing of it is lost.
    new.note = match (&old.note, &d.note) {
        (Some(o), Some(n)) if o.to_lowercase().contains(&n.trim().to_lowercase()) => Some(o.clone()),
        (Some(o), Some(n)) => Some(format!("{o}; {n}").into()),
        (o, n) => n.as_ref().map(Words::from).or_else(|| o.clone()),
    };
    if d.meant_for != MeantFor::Undecided {
        new.meant_for = d.meant_for;
    }
    let mut fields = facts(old, &new, name);
    let edit = (!fields.is_empty()).then_some(new);
    let worn: Vec<IdentityDraft> = d.identities.iter().filter(|i| !wears(old, known, i)).cloned().collect();
    for i in &worn {
        let before = old.worn(i.kind).map(|m| m.tag.to_string()).unwrap_or_default();
        fields.push(FieldChange { field: column_of(i.kind), old: before, new: i.tag.to_string() });
    }
    let held = |m: &Identity| old.identities.iter().any(|i| i.kind == m.kind && i.tag.norm() == m.tag.norm());
    let dated: Vec<Identity> = d.dated.iter().filter(|m| !held(m)).cloned().collect();
    for m in &dated {
        fields.push(FieldChange {
            field: "other_tags",
            old: String::new(),
            new: format!("{} {}", m.kind.word(), m.tag),
        });
    }
    // Where an animal stood that is gone is past.
    let pen = d.pen.filter(|p| old.status.is_here() && !same(old.pen.as_deref(), p));
    if let Some(p) = &pen {
        fields.push(FieldChange {
            field: "pen",
            old: old.pen.as_deref().unwrap_or_default().into(),
            new: p.clone(),
        });
    }
    let status =
        (given("status") && d.status != old.status).then_some((d.status, d.status_on, d.status_reason));
    if let Some((to, ..)) = &status {
        let (old, new) = (old.status.word().to_string(), to.word().to_string());
        fields.push(FieldChange { field: "status", old, new });
    }
    Change { line, animal: old.id, edit, worn, dated, pen, status, fields }
}

/// A mark of the row that the animal wears already, of whatever kind: the column of tags may hold any of its marks.
fn wears(old: &Animal, known: &Known<'_>, i: &IdentityDraft) -> bool {
    known.wears(old.id, i.kind, i.tag.as_str())
        || i.kind == IdentityKind::Flock
            && (old.identities.iter().any(|m| m.tag.norm() == i.tag.norm())
                || i.tag.as_str().contains(" born "))
}

fn column_of(kind: IdentityKind) -> &'static str {
    match kind {
        IdentityKind::Flock => "tag",
        IdentityKind::Electronic => "electronic",
        IdentityKind::Official => "official",
        IdentityKind::Registry => "registry",
    }
}

fn same(old: Option<&str>, new: &str) -> bool {
    old.unwrap_or_default().trim().to_lowercase() == new.trim().to_lowercase()
}

/// A birth that says less than the book, and nothing else.
fn within(new: &Born, old: &Born) -> bool {
    match (new.earliest(), new.latest(), old.earliest(), old.latest()) {
        (Some(e), Some(l), Some(from), Some(to)) => e <= from && to <= l,
        _ => false,
    }
}

/// The facts that differ, as our tables write them.
fn facts(old: &Animal, new: &Animal, name: &dyn Fn(AnimalId) -> String) -> Vec<FieldChange> {
    let (before, after) = (row(old, name), row(new, name));
    Kind::Animals
        .columns()
        .iter()
        .zip(before.into_iter().zip(after))
        .filter(|(_, (o, n))| o != n)
        .map(|(c, (old, new))| FieldChange { field: c.name, old, new })
        .collect()
}

/// What is refused: line of the file, column, why.
pub(super) type RefusedAt = (usize, &'static str, String);

/// The entries of all changes, or what is refused, by line and column.
pub(super) fn entries(
    changes: &[Change],
    new: &[Animal],
    flock: &Flock,
    today: Day,
) -> Result<Vec<(usize, Checked)>, Vec<RefusedAt>> {
    let (mut bad, mut all) = (Vec::new(), Vec::new());
    let told = |rows: &[usize], why: &[Refusal]| -> Vec<RefusedAt> {
        why.iter()
            .map(|r| (rows.get(r.field.row).copied().unwrap_or(1), r.field.name, r.why.to_string()))
            .collect()
    };
    let (lines, edits): (Vec<usize>, Vec<Animal>) =
        changes.iter().filter_map(|c| c.edit.clone().map(|e| (c.line, e))).unzip();
    match edit_animals(edits, new, flock, today) {
        Ok(checked) => all.extend(lines.iter().copied().zip(checked)),
        Err(why) => bad.extend(told(&lines, &why)),
    }
    let marked = || changes.iter().filter(|c| !c.worn.is_empty() || !c.dated.is_empty());
    let lines: Vec<usize> = marked().map(|c| c.line).collect();
    let drafts = marked()
        .map(|c| MarksDraft { animal: c.animal, worn: c.worn.clone(), dated: c.dated.clone() })
        .collect();
    match marks_of(drafts, flock) {
        Ok(checked) => all.extend(lines.iter().copied().zip(checked)),
        Err(why) => bad.extend(told(&lines, &why)),
    }
    // Those that go to one pen go together.
    let mut pens: BTreeMap<String, Vec<&Change>> = BTreeMap::new();
    for c in changes {
        if let Some(pen) = &c.pen {
            pens.entry(pen.clone()).or_default().push(c);
        }
    }
    for (pen, of) in pens {
        let lines: Vec<usize> = of.iter().map(|c| c.line).collect();
        let animals = of.iter().map(|c| c.animal).collect();
        match pen_move(PenMoveDraft { animals, on: today, pen: Some(pen) }, flock, today) {
            Ok(checked) => all.push((lines.first().copied().unwrap_or(1), checked)),
            Err(why) => bad.extend(told(&lines, &why)),
        }
    }
    for c in changes {
        let Some((to, on, reason)) = &c.status else { continue };
        let Some(on) = on else {
            let why = format!(
                "it would be {} from now on, and nothing says since when: add the day as status_on, or leave the row out",
                to.words()
            );
            bad.push((c.line, "status", why));
            continue;
        };
        let draft = StandingDraft {
            animals: vec![c.animal],
            to: *to,
            on: *on,
            other: None,
            reason: reason.clone(),
            details: Default::default(),
        };
        match standing(draft, flock, today) {
            Ok(checked) => all.push((c.line, checked)),
            Err(why) => bad.extend(told(&[c.line], &why)),
        }
    }
    if bad.is_empty() { Ok(all) } else { Err(bad) }
}
