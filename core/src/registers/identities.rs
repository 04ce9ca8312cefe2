//! The identity register: every mark, when it was put in, lost or replaced, and what took its place.

use super::words::{identity_words, whole};
use super::{Cell, Column, Register, RegisterKind, Row, Span};
use crate::flock::{AnimalFile, Ended, Flock, Identity, Link, RecordRef, natural};
use crate::terms::{Day, Status, counted};

const COLUMNS: [Column; 11] = [
    Column::new("Animal", "animal", 1.2),
    Column::new("Sex", "sex", 0.6),
    Column::new("Born", "born", 1.1),
    Column::new("Kind of mark", "kind", 1.3),
    Column::new("Mark", "mark", 1.8),
    Column::new("Put in on", "put_in_on", 1.0),
    Column::new("Lost or replaced", "ended", 1.0),
    Column::new("On", "ended_on", 1.0),
    Column::new("In place of", "in_place_of", 1.6),
    Column::new("Replaced by", "replaced_by", 1.6),
    Column::new("Animal now", "now", 1.0),
];

/// The mark of the same kind that took the place of an ended one: the next that was put in.
fn next<'a>(f: &'a AnimalFile, of: &Identity) -> Option<&'a Identity> {
    of.ended?;
    let place = f.animal.identities.iter().position(|i| i.id == of.id)?;
    let same = |i: &&Identity| i.kind == of.kind && i.id != of.id;
    let by_day = f.animal.identities.iter().filter(same).find(|i| i.from.is_some() && i.from == of.to);
    let after = || f.animal.identities.iter().skip(place + 1).find(same);
    // Marks of files made elsewhere may stand in any order: the worn one comes last of all.
    let worn = || f.animal.identities.iter().filter(same).find(|i| i.ended.is_none());
    by_day.or_else(after).or_else(worn)
}

fn row(flock: &Flock, f: &AnimalFile, i: &Identity) -> Row {
    let a = &f.animal;
    let other = |i: Option<&Identity>| match i {
        Some(i) => Cell::shown_as(identity_words(i), i.tag.as_str()),
        None => Cell::words(""),
    };
    let before = a.identities.iter().find(|o| next(f, o).is_some_and(|n| n.id == i.id));
    let ended = match i.ended {
        Some(Ended::Lost) => "lost",
        Some(Ended::Replaced) => "replaced",
        None => "worn",
    };
    Row {
        cells: vec![
            Cell::whole(a.tag()).strong(),
            Cell::words(a.sex.words()),
            Cell::shown_as(whole(&a.born.words()), a.born.day().map(|d| d.to_string()).unwrap_or_default()),
            Cell::words(i.kind.words()),
            Cell::shown_as(identity_words(i), i.tag.as_str()),
            Cell::day(i.from),
            Cell::words(ended),
            Cell::day(i.to),
            other(before),
            other(next(f, i)),
            Cell::words(a.status.words()),
        ],
        struck: false,
        remarks: super::words::remarks_of(flock, RecordRef::Animal(a.id), None)
            .into_iter()
            .filter(|r| r.contains(i.tag.as_str()))
            .collect(),
        link: Some(Link::Animal(a.id)),
    }
}

/// Every mark of the flock's animals.
pub(super) fn identities(flock: &Flock, span: Span, today: Day) -> Register {
    let mut register = Register::new(RegisterKind::Identities, span, today, &COLUMNS);
    let mut dayless = 0;
    let mut files: Vec<&AnimalFile> = flock.files().filter(|f| f.animal.status != Status::Outside).collect();
    files.sort_by(|a, b| natural(a.animal.tag(), b.animal.tag()).then(a.animal.id.cmp(&b.animal.id)));
    for f in files {
        for i in &f.animal.identities {
            let days = [i.from, i.to];
            let taken = match span.is_open() {
                true => true,
                false if days.iter().all(Option::is_none) => {
                    dayless += 1;
                    false
                }
                false => days.into_iter().flatten().any(|d| span.holds(d)),
            };
            if taken {
                register.rows.push(row(flock, f, i));
            }
        }
    }
    register.about.push(
        "Marks put in, lost or replaced in these days; with both days left open, every mark of every animal of the \
         flock, past and present. Old to new: a mark is taken to be replaced by the next of its kind."
            .into(),
    );
    if dayless > 0 {
        let has = if dayless == 1 { "has" } else { "have" };
        let n = counted(dayless, "mark");
        register.about.push(format!(
            "{n} {has} no day written down and fit no span: leave both days open to see them."
        ));
    }
    register
}
