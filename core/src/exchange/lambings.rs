//! Lambings as rows, one a lamb; rows of one ewe and day are one lambing.

use super::animals::{reared_by, reared_by_text};
use super::names::{ADD_FIRST, Names};
use super::sheet::{Cells, Sheet, said, yes_no, yes_no_text};
use super::{BadRow, Taken, Unfit, text};
use crate::entry::{Entry, LambDraft, LambingDraft, NewLamb, Refusal, Refused, lambings};
use crate::flock::{Animal, AnimalFile, Birth, Flock, Lambing, Sire, natural};
use crate::terms::{
    AnimalId, Day, Dose, Ease, ElectronicId, Fate, IdentityKind, Minute, Misread, Moment, Rearing, Sex,
    Status, Tag, Units, Weight, norm,
};
use std::collections::HashMap;

/// A row as read.
struct LambRow {
    row: usize,
    ewe: AnimalId,
    day: Day,
    time: Option<Minute>,
    ram: Option<Sire>,
    ease: Option<Ease>,
    help: Option<String>,
    note: Option<String>,
    lamb: LambDraft,
}

pub(super) fn read(sheet: &Sheet, flock: &Flock, names: &Names, today: Day) -> Result<Taken, Unfit> {
    let mut bad = Vec::new();
    let mut groups: Vec<Vec<LambRow>> = Vec::new();
    let mut at: HashMap<(AnimalId, Day), usize> = HashMap::new();
    let mut known: HashMap<AnimalId, usize> = HashMap::new();
    for (i, line) in sheet.rows.iter().enumerate() {
        let mut c = sheet.cells(line, &mut bad);
        let Some(row) = row(&mut c, i, flock, names) else { continue };
        if let Some(lamb) = row.lamb.known
            && let Some(first) = known.insert(lamb, line.number)
        {
            c.wrong("lamb", format!("it is given twice (the other is in line {first}): mend one of the two"));
            continue;
        }
        let group = *at.entry((row.ewe, row.day)).or_insert_with(|| {
            groups.push(Vec::new());
            groups.len() - 1
        });
        groups[group].push(row);
    }
    let mut order = Vec::new();
    let mut drafts = Vec::new();
    for group in groups {
        order.extend(group.iter().map(|r| r.row));
        drafts.extend(lambing(sheet, group, flock, &mut bad));
    }
    let check = (!drafts.is_empty()).then(|| lambings(&drafts, flock, today));
    let shown = |r: &Refusal| shown(sheet, &order, r);
    sheet.outcome(bad, check, &order, Vec::new(), shown, |c| match c.entry() {
        Entry::Lambings(all) => {
            let lambs = |l: &crate::entry::NewLambing| -> Vec<Vec<String>> {
                let sire = sire_of(&l.lambing, l.lambs.iter().map(|n| &n.animal));
                let rows = l.lambs.iter().map(|NewLamb { animal, birth, .. }| {
                    // A lamb that is new is not among the names of the book: its own tag is its name.
                    let name = flock.animal(animal.id).map_or_else(|| animal.tag().into(), |a| names.name(a));
                    text_row(flock, names, &l.lambing, &sire, name, animal, birth)
                });
                rows.collect()
            };
            all.iter().flat_map(lambs).collect()
        }
        _ => Vec::new(),
    })
}

fn row(c: &mut Cells<'_>, row: usize, flock: &Flock, names: &Names) -> Option<LambRow> {
    let ewe = c.must("ewe", "the ewe's tag", |t| names.read(t, ADD_FIRST));
    let day = c.day("on");
    let sex = c.must("sex", "the lamb's sex", Sex::parse);
    let (mut tag, mut known) = (None, None);
    if let Some(text) = c.words("lamb") {
        match names.find(&text).ok().and_then(|id| flock.file(id)) {
            None => tag = c.may("lamb", Tag::parse),
            Some(f) => {
                let a = &f.animal;
                if let Some(why) = not_this_lamb(flock, f, ewe, day) {
                    c.wrong("lamb", why);
                }
                known = Some(a.id);
            }
        }
    }
    let time = c.may("time", Minute::parse);
    let ram = c.may("ram", |t| names.read_sire(t, ADD_FIRST));
    let ease = c.may("ease", Ease::parse);
    let weight = c.may("birth_weight_kg", |t| Weight::parse(t, Units::Metric));
    let fate = c.may("fate", Fate::parse).unwrap_or(Fate::Alive);
    let rearing = c.may("reared_by", |t| reared_by(t, names, ADD_FIRST)).unwrap_or_default();
    let lamb_ease = c.may("lamb_ease", Ease::parse);
    let sucked = c.may("sucked", yes_no);
    let navel_dipped = c.may("navel_dipped", yes_no);
    let colostrum = c.may("colostrum_ml", |t| match Dose::parse(t)? {
        ml @ Dose::Volume(_) => Ok(ml),
        _ => Err(Misread::new(format!("'{t}' is not in millilitres: write 150"))),
    });
    let electronic = c.may("electronic", |t| Tag::parse(&ElectronicId::parse(t)?.digits()));
    if let (Some(e), Some(a)) = (&electronic, known.and_then(|k| flock.animal(k)))
        && !a.identities.iter().any(|i| i.kind == IdentityKind::Electronic && i.tag.norm() == e.norm())
    {
        c.wrong(
            "electronic",
            format!(
                "{} is in the book without it: leave it blank, and add the number to the animal",
                a.tag()
            ),
        );
    }
    let died_on = c.may("died_on", Day::parse_iso);
    if fate == Fate::Alive && (died_on.is_some() || c.words("died_of").is_some()) {
        let column = if died_on.is_some() { "died_on" } else { "died_of" };
        c.wrong(column, "the fate says alive: write died as its fate, or leave this blank");
    }
    let good = c.good();
    let (Some(ewe), Some(day), Some(sex), true) = (ewe, day, sex, good) else { return None };
    let lamb = LambDraft {
        known,
        tag,
        electronic,
        name: c.words("name"),
        sex,
        weight,
        fate,
        died_on,
        died_of: c.words("died_of"),
        ease: lamb_ease,
        sucked,
        navel_dipped,
        colostrum,
        colour: c.words("colour"),
        rearing: if rearing == Rearing::Foster(ewe) { Rearing::Dam } else { rearing },
    };
    let (help, note) = (c.words("help"), c.words("note"));
    Some(LambRow { row, ewe, day, time, ram, ease, help, note, lamb })
}

/// Why an animal of the book cannot be the lamb of this row.
fn not_this_lamb(flock: &Flock, f: &AnimalFile, ewe: Option<AnimalId>, day: Option<Day>) -> Option<String> {
    let a = &f.animal;
    if let Some(birth) = &f.birth {
        let ewe = flock.tag(birth.ewe);
        return Some(format!(
            "its birth is in the book already (lambing of {ewe}, {}): take the row out, or mend the tag",
            a.born.words()
        ));
    }
    let (ewe, day) = (ewe?, day?);
    if let Some(dam) = a.dam.filter(|d| *d != ewe) {
        return Some(format!(
            "it is a lamb of {} in the book: mend the tag, the ewe, or the dam of {}",
            flock.tag(dam),
            a.tag()
        ));
    }
    if a.born.earliest().is_some_and(|d| day < d) || a.born.latest().is_some_and(|d| d < day) {
        return Some(format!(
            "it was born {} by the book: mend the tag, or the day of one of the two",
            a.born.words()
        ));
    }
    // Of an animal whose birth is not known, what was done to it tells that it is older.
    let older = f.weighings.iter().any(|w| w.at.day < day)
        || f.treatments.iter().any(|t| t.at.day < day)
        || f.joinings.iter().any(|j| j.from < day)
        || f.lambings.iter().any(|l| l.at.day <= day)
        || f.offspring
            .iter()
            .filter_map(|o| flock.animal(*o))
            .any(|o| o.born.latest().is_some_and(|d| d <= day));
    older.then(|| format!("an older animal wears the tag {} in the book: mend the tag", a.tag()))
}

/// The rows of one ewe and day as one lambing; what belongs to the lambing must not differ between them.
fn lambing(
    sheet: &Sheet,
    mut rows: Vec<LambRow>,
    flock: &Flock,
    bad: &mut Vec<BadRow>,
) -> Option<LambingDraft> {
    let first = rows.first()?;
    let (ewe, day) = (first.ewe, first.day);
    let mut differs = |r: &LambRow, column: &'static str| {
        let why = "the rows of one ewe and day are one lambing, and another row says otherwise: mend one of the two";
        bad.push(sheet.place(sheet.rows.get(r.row), column, why));
    };
    let (mut time, mut ram) = (None, None);
    for r in &rows {
        if r.time.is_some() && *time.get_or_insert(r.time) != r.time {
            differs(r, "time");
        }
        if r.ram.is_some() && ram.get_or_insert(&r.ram) != &&r.ram {
            differs(r, "ram");
        }
    }
    let (time, ram) = (time.flatten(), ram.cloned().flatten());
    if flock.file(ewe).is_some_and(|f| f.lambings_standing().any(|l| l.at.day == day)) {
        let why = format!(
            "the lambing of {} on {day} is in the book already: take its rows out, or mend the day",
            flock.tag(ewe)
        );
        bad.push(sheet.place(sheet.rows.get(first.row), "on", why));
    }
    // One ease for all rows is the lambing's; where rows differ, the hardest is, and each lamb keeps its own.
    let ease = rows.iter().filter_map(|r| r.ease).max();
    for r in &mut rows {
        if r.ease != ease {
            r.lamb.ease = r.lamb.ease.or(r.ease);
        }
    }
    let joined = |of: fn(&LambRow) -> &Option<String>| {
        let mut all: Vec<&str> = Vec::new();
        for text in rows.iter().filter_map(|r| of(r).as_deref()) {
            if !all.contains(&text) {
                all.push(text);
            }
        }
        (!all.is_empty()).then(|| all.join("; "))
    };
    let (help, note) = (joined(|r| &r.help), joined(|r| &r.note));
    let at = Moment { day, time };
    let sire = ram.unwrap_or_default();
    let lambs = rows.into_iter().map(|r| r.lamb).collect();
    Some(LambingDraft { ewe, at, sire, ease, help, note, pen: None, lambs, foster_on: Vec::new() })
}

fn shown(sheet: &Sheet, order: &[usize], r: &Refusal) -> Option<BadRow> {
    let line = sheet.rows.get(*order.get(r.field.row)?)?;
    let column = match (&r.why, r.field.name) {
        (Refused::TagInUse { tag, .. } | Refused::TagTwice(tag), _) => {
            let same = norm(sheet.value(line, "electronic")) == norm(tag);
            if same { "electronic" } else { "lamb" }
        }
        (_, "fate") if !sheet.value(line, "died_on").is_empty() => "died_on",
        _ => return None,
    };
    Some(sheet.place(Some(line), column, said(&r.why)))
}

/// The ram of a lambing; where he is in doubt, the rams its lambs have in common.
fn sire_of<'a>(l: &Lambing, mut lambs: impl Iterator<Item = &'a Animal>) -> Sire {
    if let Some(ram) = l.ram {
        return Sire::Known(ram);
    }
    match lambs.next().map(|a| &a.sire) {
        Some(one @ Sire::OneOf(_)) if lambs.all(|a| a.sire == *one) => one.clone(),
        _ => Sire::Unknown,
    }
}

pub(super) fn rows(flock: &Flock, names: &Names) -> Vec<Vec<String>> {
    let mut all: Vec<&Lambing> = flock.files().flat_map(|f| f.lambings_standing()).collect();
    all.sort_by(|a, b| {
        a.at.cmp(&b.at).then_with(|| natural(flock.tag(a.ewe), flock.tag(b.ewe))).then(a.id.cmp(&b.id))
    });
    let mut rows = Vec::new();
    for l in all {
        let lambs = || l.lambs.iter().filter_map(|id| flock.file(*id));
        let sire = sire_of(l, lambs().map(|f| &f.animal));
        for f in lambs() {
            if let Some(birth) = &f.birth {
                rows.push(text_row(flock, names, l, &sire, names.name(&f.animal), &f.animal, birth));
            }
        }
    }
    rows
}

fn text_row(
    flock: &Flock,
    names: &Names,
    l: &Lambing,
    sire: &Sire,
    name: String,
    a: &Animal,
    birth: &Birth,
) -> Vec<String> {
    let ease = |e: Option<Ease>| e.map(|e| e.word().to_string()).unwrap_or_default();
    // What became of it is told by its standing today; a fate that the standing contradicts is not carried.
    let dead = a.status == Status::Dead;
    let fate = if dead { birth.fate } else { Fate::Alive };
    let died = fate != Fate::Alive;
    vec![
        names.name_of(flock, Some(l.ewe)),
        l.at.day.to_string(),
        name,
        a.sex.word().to_string(),
        l.at.time.map(|t| t.to_string()).unwrap_or_default(),
        names.sire(flock, sire),
        ease(l.ease),
        a.birth_weight.map(|w| w.kg_text()).unwrap_or_default(),
        fate.word().to_string(),
        reared_by_text(a.rearing, |e| names.name_of(flock, Some(e))),
        text(&l.note),
        text(&l.help),
        ease(birth.ease),
        yes_no_text(birth.sucked),
        yes_no_text(birth.navel_dipped),
        birth.colostrum.and_then(Dose::ml).map(|ml| ml.to_string()).unwrap_or_default(),
        text(&a.name),
        a.worn(IdentityKind::Electronic).map(|i| i.tag.to_string()).unwrap_or_default(),
        text(&a.colour),
        a.status_on.filter(|_| died).map(|d| d.to_string()).unwrap_or_default(),
        a.status_reason.clone().filter(|_| died).unwrap_or_default().to_string(),
    ]
}
