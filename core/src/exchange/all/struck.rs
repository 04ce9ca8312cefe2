//! Lines that are struck out, in the columns of their kinds, with the day, the reason and who did it behind them.
//!
//! Each is written by its kind's own writer: a flock is made that holds this one record of its kind, standing.

use super::super::names::Names;
use super::super::{Kind, Listed, Value, listed, rows};
use super::beside;
use super::more::{STRUCK_BECAUSE, STRUCK_BY, STRUCK_ON, by_name, struck_out};
use crate::flock::{AnimalFile, Flock, RecordRef, Struck};

/// A struck record, made to stand.
struct Met {
    kind: Kind,
    record: RecordRef,
    struck: Struck,
    /// What a row says of it where its kind's writer leaves it out: its animal and day.
    bare: (String, String),
    place: Place,
}

/// Where it stands.
enum Place {
    /// In the file of its animal.
    File(Box<AnimalFile>),
    /// In a flock without others of its kind; flocks share what is the same.
    Flock(Box<Flock>),
}

/// Each kind that has struck lines, with all of them.
pub(super) fn lists(flock: &Flock, names: &Names) -> Vec<(Kind, Listed)> {
    let mut met = of_files(flock, names);
    met.extend(shared(flock));
    // Names are looked up in a flock whose animals have no records but the one.
    let mut bare = flock.clone();
    if met.iter().any(|m| matches!(m.place, Place::File(_))) {
        flock.files().for_each(|f| bare.put(stripped(f)));
    }
    let mut all = Vec::new();
    for kind in Kind::ALL {
        let (mut lines, mut behind) = (Vec::new(), Vec::new());
        for m in met.iter().filter(|m| m.kind == kind) {
            let found = match &m.place {
                Place::File(file) => {
                    let without = stripped(file);
                    bare.put((**file).clone());
                    let found = rows(kind, &bare, names);
                    bare.put(without);
                    found
                }
                Place::Flock(one) => rows(kind, one, names),
            };
            let found = if found.is_empty() { vec![told(kind, m)] } else { found };
            let by = flock.struck_by(m.record).map_or_else(String::new, |b| format!("{}, {}", b.who, b.at));
            for row in found {
                lines.push(row);
                let mut more = struck_out(Some(&m.struck)).to_vec();
                more.push(Value::text(&by));
                behind.push(more);
            }
        }
        if !lines.is_empty() {
            let heads = [STRUCK_ON.0, STRUCK_BECAUSE.0, STRUCK_BY.0];
            all.push((kind, beside(listed(kind, lines), &heads, behind)));
        }
    }
    all
}

/// A row of animal and day alone.
fn told(kind: Kind, m: &Met) -> Vec<String> {
    let names = kind.names();
    let mut row = vec![String::new(); names.len()];
    if let Some(first) = row.first_mut() {
        first.clone_from(&m.bare.0);
    }
    if let Some(on) = names.iter().position(|n| *n == "on" || *n == "from").and_then(|i| row.get_mut(i)) {
        on.clone_from(&m.bare.1);
    }
    row
}

/// The animal without any records.
fn stripped(f: &AnimalFile) -> AnimalFile {
    AnimalFile { birth: f.birth.clone(), ..AnimalFile::of(f.animal.clone()) }
}

fn of_files(flock: &Flock, names: &Names) -> Vec<Met> {
    let mut all = Vec::new();
    macro_rules! look {
        ($name:ident, $f:ident, $($kind:ident $list:ident $record:ident ($r:ident) $on:expr;)*) => {$(
            for $r in &$f.$list {
                let Some(struck) = &$r.struck else { continue };
                let mut one = stripped($f);
                let mut standing = $r.clone();
                standing.struck = None;
                one.$list = [standing].into();
                all.push(Met {
                    kind: Kind::$kind,
                    record: RecordRef::$record($r.id),
                    struck: (**struck).clone(),
                    bare: ($name.clone(), $on.to_string()),
                    place: Place::File(Box::new(one)),
                });
            }
        )*};
    }
    for (name, f) in by_name(flock, names) {
        look!(name, f,
            Joinings joinings Joining (r) r.from;
            Lambings lambings Lambing (r) r.at.day;
            Weighings weighings Weighing (r) r.at.day;
            Scores scores Scoring (r) r.at.day;
            Treatments treatments Treatment (r) r.at.day;
            Movements movements Movement (r) r.on;
            Marks marks Mark (r) r.on;
            Crayons crayons Crayon (r) r.on;
            Scans scans Scan (r) r.on;
            Tests tests GeneTest (r) r.on;
            Decisions decisions Decision (r) r.on;
        );
    }
    all
}

/// Records of cupboard, daybook and feed room.
fn shared(flock: &Flock) -> Vec<Met> {
    let mut all = Vec::new();
    macro_rules! look {
        ($room:ident $set:ident, $($kind:ident $list:ident $record:ident ($r:ident) $on:expr;)*) => {$(
            if flock.$room().$list.iter().any(|r| r.struck.is_some()) {
                let mut room = (**flock.$room()).clone();
                let every = std::mem::take(&mut room.$list);
                for $r in &every {
                    let Some(struck) = &$r.struck else { continue };
                    let mut standing = $r.clone();
                    standing.struck = None;
                    let mut with = room.clone();
                    with.$list.push(standing);
                    let mut one = flock.clone();
                    one.$set(with);
                    all.push(Met {
                        kind: Kind::$kind,
                        record: RecordRef::$record($r.id),
                        struck: (**struck).clone(),
                        bare: (String::new(), $on.to_string()),
                        place: Place::Flock(Box::new(one)),
                    });
                }
            }
        )*};
    }
    let day = |d: Option<crate::terms::Day>| d.map(|d| d.to_string()).unwrap_or_default();
    look!(cupboard set_cupboard,
        Batches batches Batch (r) day(r.bought_on);
        Stock moves StockMove (r) r.on;
        Prescriptions prescriptions Prescription (r) r.on;
        EggCounts egg_counts EggCount (r) r.on;
    );
    look!(daybook set_daybook,
        Money money Money (r) r.on;
    );
    look!(feedroom set_feedroom,
        FeedMoves moves FeedMove (r) r.on;
        FeedSheets sheets FeedSheet (r) r.on;
        Measures measures Measure (r) r.on;
        Creeps creeps Creep (r) r.from;
        Rations rations Ration (r) r.from;
        PenChecks checks PenCheck (r) r.on;
    );
    all
}
