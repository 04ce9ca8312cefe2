//! Animals as rows: parents by tag in any row order, every mark with its days.

use super::fault::BadRow;
use super::names::{Names, escaped, listed};
use super::sheet::{Cells, Sheet, said};
use super::{Taken, Unfit, table::Line, text};
use crate::entry::{AnimalDraft, Entry, IdentityDraft, Refusal, Refused, animals};
use crate::flock::{Animal, Ended, Flock, Identity, Sire, natural};
use crate::terms::{
    AnimalId, BirthType, Born, Breed, Day, ElectronicId, IdentityId, IdentityKind, MeantFor, Misread,
    RearType, Rearing, Sex, Status, Tag, Units, Weight, norm,
};
use std::collections::{HashMap, HashSet};

/// What to do about a parent that is nowhere.
const ADD_A_ROW: &str = "mend the tag, or add a row for it with the status 'outside'";

const MARKS: [(&str, IdentityKind); 3] = [
    ("electronic", IdentityKind::Electronic),
    ("official", IdentityKind::Official),
    ("registry", IdentityKind::Registry),
];

pub(super) fn read(sheet: &Sheet, flock: &Flock, names: Names, today: Day) -> Result<Taken, Unfit> {
    // Ids first, so that rows can name each other whatever their order.
    let ids: Vec<AnimalId> = sheet.rows.iter().map(|_| AnimalId::new()).collect();
    read_as(sheet, flock, names, today, &ids)
}

/// As [`read`], with the id of each row's animal given.
pub(super) fn read_as(
    sheet: &Sheet,
    flock: &Flock,
    mut names: Names,
    today: Day,
    ids: &[AnimalId],
) -> Result<Taken, Unfit> {
    let mut sexes: HashMap<AnimalId, Sex> = HashMap::new();
    for (line, id) in sheet.rows.iter().zip(ids) {
        let born = Born::parse(sheet.value(line, "born")).unwrap_or_default();
        let (marks, dated) = marks(|column| sheet.value(line, column), |_, _| {});
        for m in &marks {
            names.add(*id, m.kind, m.tag.as_str(), false, born);
        }
        for m in &dated {
            names.add(*id, m.kind, m.tag.as_str(), m.ended.is_some(), born);
        }
        sexes.extend(Sex::parse(sheet.value(line, "sex")).ok().map(|s| (*id, s)));
    }
    let (mut bad, mut drafts, mut order) = (Vec::new(), Vec::new(), Vec::new());
    for (i, (line, id)) in sheet.rows.iter().zip(ids).enumerate() {
        let mut c = sheet.cells(line, &mut bad);
        if let Some(draft) =
            draft(&mut c, *id, &names, |e| flock.animal(e).map(|a| a.sex).or_else(|| sexes.get(&e).copied()))
        {
            drafts.push(draft);
            order.push(i);
        }
    }
    // A row that could not be read is no parent to the checks; that it is named is not a second fault.
    let read: HashSet<AnimalId> = drafts.iter().map(|d| d.id).collect();
    let there = |id: &AnimalId| read.contains(id) || flock.animal(*id).is_some();
    for d in &mut drafts {
        d.dam = d.dam.filter(there);
        d.genetic_dam = d.genetic_dam.filter(there);
        if !d.sire.possible().iter().all(there) {
            d.sire = Sire::Unknown;
        }
    }
    let check = (!drafts.is_empty()).then(|| animals(drafts, flock, today));
    let shown = |r: &Refusal| shown(sheet, &names, ids, &order, r);
    sheet.outcome(bad, check, &order, Vec::new(), shown, |c| match c.entry() {
        Entry::Animals { animals, .. } => {
            let new: HashMap<AnimalId, &Animal> = animals.iter().map(|a| (a.id, a)).collect();
            let name = |id: AnimalId| {
                new.get(&id).copied().or_else(|| flock.animal(id)).map_or_else(String::new, |a| names.name(a))
            };
            animals.iter().map(|a| row(a, &name)).collect()
        }
        _ => Vec::new(),
    })
}

pub(super) fn draft(
    c: &mut Cells<'_>,
    id: AnimalId,
    names: &Names,
    sex_of: impl Fn(AnimalId) -> Option<Sex>,
) -> Option<AnimalDraft> {
    let tag = c.must("tag", "a tag", Tag::parse);
    let sex = c.must("sex", "the sex", Sex::parse);
    let mut faults = Vec::new();
    let (identities, dated) = marks(|column| c.value(column), |column, why| faults.push((column, why)));
    for (column, why) in faults {
        c.wrong(column, why);
    }
    let one = |t: &str| names.read(t, ADD_A_ROW);
    let dam = c.may("dam", one);
    let sire = c.may("sire", |t| names.read_sire(t, ADD_A_ROW));
    let genetic_dam = c.may("genetic_dam", one);
    let rearing = c.may("reared_by", |t| {
        let rearing = reared_by(t, names, ADD_A_ROW)?;
        match rearing {
            Rearing::Foster(e) if sex_of(e).is_some_and(|s| s != Sex::Ewe) => {
                Err(Misread::new(format!("{t} is no ewe: write the tag of a ewe, or bottle")))
            }
            Rearing::Foster(e) if Some(e) == dam => Ok(Rearing::Dam),
            other => Ok(other),
        }
    });
    let born = c.may("born", Born::parse).unwrap_or_default();
    let breed = c.may("breed", Breed::parse).flatten();
    let birth_type = c.may("birth_type", BirthType::parse);
    let rear_type = c.may("rear_type", RearType::parse);
    let birth_weight = c.may("birth_weight_kg", |t| Weight::parse(t, Units::Metric));
    let status = c.may("status", Status::parse).unwrap_or(Status::Present);
    let status_on = c.may("status_on", Day::parse_iso);
    let meant_for = c.may("meant_for", MeantFor::parse).unwrap_or_default();
    let good = c.good();
    let (Some(tag), Some(sex), true) = (tag, sex, good) else { return None };
    let mut d = AnimalDraft::new(tag, sex);
    d.id = id;
    d.identities = identities;
    d.dated = dated;
    d.name = c.words("name");
    d.breed = breed;
    d.born = born;
    d.dam = dam;
    d.sire = sire.unwrap_or_default();
    d.genetic_dam = genetic_dam;
    d.rearing = rearing.unwrap_or_default();
    d.birth_type = birth_type;
    d.rear_type = rear_type;
    d.birth_weight = birth_weight;
    d.colour = c.words("colour");
    d.marks = c.words("marks");
    d.pen = c.words("pen");
    d.note = c.words("note");
    d.status = status;
    d.status_on = status_on;
    d.status_reason = c.words("status_reason");
    d.meant_for = meant_for;
    d.prefix = c.words("prefix");
    d.section = c.words("section");
    Some(d)
}

/// The tag of a ewe, `bottle`, or `dam`.
pub(super) fn reared_by(text: &str, names: &Names, mend: &str) -> Result<Rearing, Misread> {
    match text.to_lowercase().as_str() {
        "bottle" => Ok(Rearing::Bottle),
        "dam" => Ok(Rearing::Dam),
        _ => names.read(text, mend).map(Rearing::Foster),
    }
}

/// As [`reared_by`] reads it.
pub(super) fn reared_by_text(rearing: Rearing, name: impl Fn(AnimalId) -> String) -> String {
    match rearing {
        Rearing::Dam => String::new(),
        Rearing::Bottle => "bottle".into(),
        Rearing::Foster(e) => name(e),
    }
}

/// Every mark of a row: those without days, and those of `other_tags`. The text of `tag` is a flock tag unless
/// `other_tags` holds the same text: then that mark is what the animal is called by.
fn marks<'a>(
    value: impl Fn(&str) -> &'a str,
    mut wrong: impl FnMut(&'static str, Misread),
) -> (Vec<IdentityDraft>, Vec<Identity>) {
    let mut dated = Vec::new();
    for item in listed(value("other_tags")) {
        match mark(&item) {
            Ok(m) => dated.push(m),
            Err(why) => wrong("other_tags", why),
        }
    }
    let has = |dated: &[Identity], kind: Option<IdentityKind>, tag: &Tag| {
        dated.iter().any(|m| kind.is_none_or(|k| k == m.kind) && m.tag.norm() == tag.norm())
    };
    let mut plain = Vec::new();
    if let Ok(tag) = Tag::parse(value("tag"))
        && !has(&dated, None, &tag)
    {
        plain.push(IdentityDraft { kind: IdentityKind::Flock, tag });
    }
    for (column, kind) in MARKS {
        let text = value(column);
        if text.is_empty() {
            continue;
        }
        match tag_of(kind, text) {
            Ok(tag) if has(&dated, Some(kind), &tag) => {}
            Ok(tag) => plain.push(IdentityDraft { kind, tag }),
            Err(why) => wrong(column, why),
        }
    }
    (plain, dated)
}

fn tag_of(kind: IdentityKind, text: &str) -> Result<Tag, Misread> {
    match kind {
        IdentityKind::Electronic => Tag::parse(&ElectronicId::parse(text)?.digits()),
        _ => Tag::parse(text),
    }
}

/// `flock 0399, from 2020-03-01, lost 2023-04-01`.
fn mark(item: &str) -> Result<Identity, Misread> {
    let wrong = || {
        Misread::new(format!(
            "'{item}' is not a mark: write its kind ({}), the tag and its days: flock 0399, from 2020-03-01, lost 2023-04-01",
            IdentityKind::ALL.map(IdentityKind::word).join(", ")
        ))
    };
    let (mut from, mut to, mut ended, mut rest) = (None, None, None, item);
    while let Some((before, last)) = rest.rsplit_once(',') {
        let (word, day) = last.trim().split_once(' ').unwrap_or((last.trim(), ""));
        let day = || if day.is_empty() { Ok(None) } else { Day::parse_iso(day).map(Some) };
        match word {
            "from" if from.is_none() => from = day()?,
            "lost" if ended.is_none() => (ended, to) = (Some(Ended::Lost), day()?),
            "replaced" if ended.is_none() => (ended, to) = (Some(Ended::Replaced), day()?),
            _ => break, // a comma of the tag itself
        }
        rest = before;
    }
    let (kind, tag) = rest.trim().split_once(' ').ok_or_else(wrong)?;
    let kind = IdentityKind::from_word(&kind.to_lowercase()).ok_or_else(wrong)?;
    Ok(Identity { id: IdentityId::new(), kind, tag: tag_of(kind, tag)?, from, to, ended })
}

fn mark_text(m: &Identity) -> String {
    let mut text = format!("{} {}", m.kind.word(), m.tag);
    if let Some(day) = m.from {
        text.push_str(&format!(", from {day}"));
    }
    if let Some(ended) = m.ended {
        text.push_str(match ended {
            Ended::Lost => ", lost",
            Ended::Replaced => ", replaced",
        });
        if let Some(day) = m.to {
            text.push_str(&format!(" {day}"));
        }
    }
    escaped(&text)
}

/// Refusals that a file can say better: at the very column, at the row the circle begins with.
fn shown(sheet: &Sheet, names: &Names, ids: &[AnimalId], order: &[usize], r: &Refusal) -> Option<BadRow> {
    let line = sheet.rows.get(*order.get(r.field.row)?)?;
    match &r.why {
        Refused::TagInUse { tag, .. } => {
            Some(sheet.place(Some(line), column_of(sheet, line, tag), said(&r.why)))
        }
        Refused::TagTwice(tag) => {
            let other = sheet.rows.iter().filter(|l| l.number != line.number).find(|l| holds(sheet, l, tag));
            let where_ = other.map_or_else(String::new, |l| format!(" (the other is in line {})", l.number));
            let why = format!("the tag {tag} is given twice{where_}: mend one of the two");
            Some(sheet.place(Some(line), column_of(sheet, line, tag), why))
        }
        Refused::Loop(circle) => {
            let (first, parent) = (circle.first()?, circle.get(1)?);
            let first = names.find(first).ok()?;
            let line = ids.iter().position(|id| *id == first).and_then(|i| sheet.rows.get(i))?;
            let parent = names.find(parent).ok();
            let column = ["dam", "sire", "genetic_dam"].into_iter().find(|c| {
                listed(sheet.value(line, c)).iter().any(|t| parent.is_some() && names.find(t).ok() == parent)
            });
            Some(sheet.place(Some(line), column?, said(&r.why)))
        }
        Refused::ParentYounger { parent, .. } | Refused::WrongSex { tag: parent, .. } => {
            // The check says 'dam' of a genetic dam too.
            let id = names.find(parent).ok();
            let genetic = r.field.name == "dam" && names.find(sheet.value(line, "dam")).ok() != id;
            Some(sheet.place(Some(line), if genetic { "genetic_dam" } else { r.field.name }, said(&r.why)))
        }
        _ => None,
    }
}

fn holds(sheet: &Sheet, line: &Line, tag: &str) -> bool {
    let (plain, dated) = marks(|c| sheet.value(line, c), |_, _| {});
    let worn = dated.iter().filter(|m| m.ended.is_none()).map(|m| m.tag.norm());
    plain.iter().map(|m| m.tag.norm()).chain(worn).any(|t| t == norm(tag))
}

fn column_of(sheet: &Sheet, line: &Line, tag: &str) -> &'static str {
    let reads = |c: &&str| norm(sheet.value(line, c)) == norm(tag);
    ["tag", "electronic", "official", "registry"].into_iter().find(reads).unwrap_or("other_tags")
}

pub(super) fn rows(flock: &Flock, names: &Names) -> Vec<Vec<String>> {
    let mut all: Vec<&Animal> = flock.files().map(|f| &f.animal).collect();
    all.sort_by(|a, b| natural(a.tag(), b.tag()).then(a.id.cmp(&b.id)));
    let name = |id: AnimalId| names.name_of(flock, Some(id));
    all.into_iter().map(|a| row(a, &name)).collect()
}

pub(super) fn row(a: &Animal, name: &dyn Fn(AnimalId) -> String) -> Vec<String> {
    let sires: Vec<String> = a.sire.possible().iter().map(|s| escaped(&name(*s))).collect();
    let called = a.called();
    let plain = |i: &Identity| i.from.is_none() && i.to.is_none() && i.ended.is_none();
    let mut columns: [String; 3] = Default::default();
    let mut others = Vec::new();
    for i in &a.identities {
        let is_called = called.is_some_and(|c| c.id == i.id);
        let at = MARKS.iter().position(|(_, k)| *k == i.kind);
        match at {
            Some(at) if i.ended.is_none() && columns[at].is_empty() => {
                columns[at] = i.tag.to_string();
                if !plain(i) || is_called {
                    others.push(i);
                }
            }
            None if is_called && plain(i) => {} // the column `tag`
            _ => others.push(i),
        }
    }
    // The rule of reading: `tag` is a flock tag unless it stands in `other_tags` too.
    if let Some(c) = called
        && !others.iter().any(|i| i.id == c.id)
        && others.iter().any(|i| i.tag.norm() == c.tag.norm())
    {
        others.insert(0, c);
    }
    let others: Vec<String> = others.into_iter().map(mark_text).collect();
    let [electronic, official, registry] = columns;
    vec![
        a.tag().to_string(),
        a.sex.word().to_string(),
        text(&a.name),
        a.breed.as_ref().map(ToString::to_string).unwrap_or_default(),
        a.born.to_string(),
        a.dam.map(name).unwrap_or_default(),
        sires.join("|"),
        a.birth_type.map(|b| b.count().to_string()).unwrap_or_default(),
        a.rear_type.map(|r| r.count().to_string()).unwrap_or_default(),
        a.birth_weight.map(|w| w.kg_text()).unwrap_or_default(),
        text(&a.pen),
        a.status.word().to_string(),
        a.status_on.map(|d| d.to_string()).unwrap_or_default(),
        text(&a.status_reason),
        a.genetic_dam.map(name).unwrap_or_default(),
        reared_by_text(a.rearing, name),
        electronic,
        official,
        registry,
        others.join(" | "),
        text(&a.colour),
        text(&a.marks),
        text(&a.note),
        if a.meant_for == MeantFor::Undecided { String::new() } else { a.meant_for.word().to_string() },
        text(&a.prefix),
        text(&a.section),
    ]
}
