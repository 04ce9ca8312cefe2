//! The movement register: animals that came and went, those of one day, place and document together.

use super::words::{age, joined, kinds_words, numbers_of, remarks, whole};
use super::{Cell, Column, Register, RegisterKind, Row, Span, dayless_words};
use crate::flock::{AnimalFile, Flock, Link, Movement, RecordRef, natural};
use crate::terms::{Day, Status};

const COLUMNS: [Column; 13] = [
    Column::new("Day", "on", 1.0),
    Column::new("On or off", "direction", 0.7),
    Column::new("Why", "what", 1.1),
    Column::figures("Animals", "count", 0.7),
    Column::new("Kinds", "kinds", 1.2),
    Column::new("Identities", "identities", 4.4),
    Column::new("Other place", "other_place", 1.5),
    Column::new("Its number", "other_number", 1.1),
    Column::new("Its address", "other_address", 1.5),
    Column::new("Carrier", "carrier", 1.1),
    Column::new("Vehicle", "vehicle", 0.9),
    Column::new("Document", "document", 1.0),
    Column::hidden("reason"),
];

/// Onto the holding or off it; none for what is no move.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Way {
    On,
    Off,
}

/// Which way a change of standing went. Being lost is no move; one killed on the holding neither.
fn way(f: &AnimalFile, m: &Movement) -> Option<Way> {
    match m.to {
        Status::Present => (f.animal.born.exact() != Some(m.on)).then_some(Way::On),
        Status::Sold | Status::Lent => Some(Way::Off),
        Status::Culled => {
            let d = &m.details;
            let went = m.other.is_some() || d.number.is_some() || d.document.is_some() || d.carrier.is_some();
            went.then_some(Way::Off)
        }
        Status::Dead | Status::Missing | Status::Outside => None,
    }
}

fn what(f: &AnimalFile, m: &Movement) -> &'static str {
    let before = f.movements.iter().rev().find(|o| o.struck.is_none() && (o.on, o.id) < (m.on, m.id));
    match (m.to, before.map(|o| o.to)) {
        (Status::Present, Some(Status::Lent)) => "back from loan",
        (Status::Present, Some(Status::Missing)) => "found again",
        (Status::Present, Some(_)) => "came back",
        (Status::Present, None) => "came",
        (Status::Sold, _) => "sold",
        (Status::Lent, _) => "lent",
        (Status::Culled, _) => "to slaughter",
        (Status::Dead | Status::Missing | Status::Outside, _) => "",
    }
}

/// One move: what its animals have in common.
struct Group<'a> {
    way: Way,
    what: &'static str,
    moves: Vec<(&'a AnimalFile, &'a Movement)>,
}

fn alike(a: &Movement, b: &Movement) -> bool {
    let reason = |m: &Movement| m.struck.as_deref().map(|s| (s.on, s.reason.clone()));
    a.on == b.on
        && a.other == b.other
        && a.reason == b.reason
        && a.details == b.details
        && reason(a) == reason(b)
}

fn groups(flock: &Flock, span: Span) -> Vec<Group<'_>> {
    let mut all: Vec<(&AnimalFile, &Movement, Way, &'static str)> = flock
        .files()
        .flat_map(|f| {
            let moves = f.movements.iter().filter(move |m| span.holds(m.on));
            moves.filter_map(move |m| way(f, m).map(|way| (f, m, way, what(f, m))))
        })
        .collect();
    let place = |m: &Movement| (m.on, m.struck.is_some());
    all.sort_by(|(fa, a, wa, ta), (fb, b, wb, tb)| {
        let (da, db) = (&a.details, &b.details);
        place(a)
            .cmp(&place(b))
            .then_with(|| wa.cmp(wb))
            .then_with(|| ta.cmp(tb))
            .then_with(|| (&a.other, &a.reason, &da.document).cmp(&(&b.other, &b.reason, &db.document)))
            .then_with(|| (&da.number, &da.carrier, &da.vehicle).cmp(&(&db.number, &db.carrier, &db.vehicle)))
            .then_with(|| natural(fa.animal.tag(), fb.animal.tag()))
            .then_with(|| a.id.cmp(&b.id))
    });
    let mut groups: Vec<Group<'_>> = Vec::new();
    for (f, m, way, what) in all {
        match groups.last_mut() {
            Some(g) if g.way == way && g.what == what && g.moves.last().is_some_and(|(_, o)| alike(o, m)) => {
                g.moves.push((f, m));
            }
            _ => groups.push(Group { way, what, moves: vec![(f, m)] }),
        }
    }
    groups
}

/// Tag and numbers of an animal as one word of a list.
fn identity(f: &AnimalFile) -> String {
    let numbers = numbers_of(&f.animal);
    let tag = whole(f.animal.tag());
    if numbers.is_empty() { tag } else { whole(&format!("{tag} ({})", numbers.join(", "))) }
}

fn row(flock: &Flock, g: &Group<'_>) -> Option<Row> {
    let (first, m) = *g.moves.first()?;
    let d = &m.details;
    let ids: Vec<String> = g.moves.iter().map(|(f, _)| identity(f)).collect();
    let plain: Vec<String> = ids.iter().map(|i| i.replace('\u{a0}', " ")).collect();
    let kinds = kinds_words(g.moves.iter().map(|(f, _)| &f.animal), m.on);
    let mut notes = Vec::new();
    for (f, m) in &g.moves {
        let whose = if g.moves.len() > 1 { format!("{}: ", f.animal.tag()) } else { String::new() };
        let changed = remarks(flock.amendments(RecordRef::Movement(m.id)), None);
        notes.extend(changed.into_iter().map(|r| format!("{whose}{r}")));
    }
    notes.extend(remarks(&[], m.struck.as_deref()));
    let kinds_csv = kinds.replace('\u{a0}', " ");
    Some(Row {
        cells: vec![
            Cell::day(Some(m.on)),
            Cell::words(if g.way == Way::On { "on" } else { "off" }).strong(),
            Cell::words(g.what).under(m.reason.clone().unwrap_or_default()),
            Cell::number(g.moves.len()),
            Cell::shown_as(kinds, kinds_csv),
            // One animal a line, so that they can be counted.
            Cell::shown_as(ids.join("\n"), plain.join("; ")),
            Cell::opt(m.other.as_deref()),
            Cell::opt(d.number.as_deref()),
            Cell::opt(d.address.as_deref()),
            Cell::opt(d.carrier.as_deref()),
            Cell::opt(d.vehicle.as_deref()),
            Cell::opt(d.document.as_deref()),
            Cell::opt(m.reason.as_deref()),
        ],
        struck: m.struck.is_some(),
        remarks: notes,
        link: Some(Link::Record(first.animal.id, RecordRef::Movement(m.id))),
    })
}

/// Animals that came and went.
pub(super) fn movements(flock: &Flock, span: Span, today: Day) -> Register {
    let mut register = Register::new(RegisterKind::Movements, span, today, &COLUMNS);
    register.rows = groups(flock, span).iter().filter_map(|g| row(flock, g)).collect();
    register.about.push(
        "Animals of one day with the same other place, document and reason stand together. Deaths, animals killed on \
         the holding and lost ones are in the death register; births in the birth register."
            .into(),
    );
    if let Some((rules, r)) = flock.rules().and_then(|set| Some((set, set.register()?))) {
        register.about.push(format!("{}: {}. Source: {}.", rules.name(), r.words(), r.ground));
    }
    let gone = |f: &&AnimalFile| {
        !matches!(f.animal.status, Status::Present | Status::Outside)
            && f.animal.status_on.is_none()
            && f.movements.iter().all(|m| m.struck.is_some())
            && f.birth.is_none()
    };
    let dayless = flock.files().filter(gone).count();
    if let Some(words) = dayless_words(dayless, "animal") {
        let short = words.split(" and fit").next().unwrap_or_default();
        register
            .about
            .push(format!("{short} for leaving, and stand in no register of moves: open them and write it."));
    }
    register
}

/// One line about an animal for the registers of births and deaths: kind and age.
pub(super) fn kind_and_age(f: &AnimalFile, on: Day) -> String {
    let age = age(&f.animal, on);
    joined([Some(super::words::kind(&f.animal, on)), Some(age.as_str())], ", ")
}
