//! What was changed later or struck out: which record, when, by whom, why, from what to what.

use super::words::{changes, product};
use super::{Cell, Column, Register, RegisterKind, Row, Span};
use crate::flock::{AnimalFile, Flock, Link, RecordRef, Struck};
use crate::terms::Day;

const COLUMNS: [Column; 7] = [
    Column::new("When", "when", 1.1),
    Column::new("Record", "record", 2.6),
    Column::new("Of the day", "record_day", 0.9),
    Column::new("What", "what", 0.8),
    Column::new("From what to what", "changes", 3.2),
    Column::new("Why", "why", 2.0),
    Column::new("By", "by", 1.0),
];

/// A record of the book as the trail needs it.
struct Kept<'a> {
    record: RecordRef,
    title: String,
    day: Option<Day>,
    struck: Option<&'a Struck>,
    link: Link,
}

/// Rows with what they sort by.
struct Trail<'a> {
    flock: &'a Flock,
    span: Span,
    rows: Vec<(String, Row)>,
}

impl Trail<'_> {
    /// Takes in a record that was amended or struck out; `title` is only made then.
    fn take(
        &mut self,
        record: RecordRef,
        struck: Option<&Struck>,
        kept: impl FnOnce() -> (String, Option<Day>, Link),
    ) {
        let amended = self.flock.amendments(record);
        if amended.is_empty() && struck.is_none() {
            return;
        }
        let (title, day, link) = kept();
        self.rows_of(&Kept { record, title, day, struck, link });
    }

    fn rows_of(&mut self, kept: &Kept<'_>) {
        let within = |at: &str| {
            let day = at.get(..10).and_then(|d| Day::parse_iso(d).ok());
            day.map_or(self.span.is_open(), |d| self.span.holds(d))
        };
        let reason =
            |r: &str| if r.trim().is_empty() { "no reason written down".to_string() } else { r.to_string() };
        let row = |when: Cell, what: &str, changes: String, why: &str, by: &str| Row {
            cells: vec![
                when,
                Cell::words(kept.title.as_str()),
                Cell::day(kept.day),
                Cell::words(what).strong(),
                Cell::words(changes),
                Cell::words(reason(why)),
                Cell::words(by),
            ],
            link: Some(kept.link),
            ..Row::default()
        };
        for a in self.flock.amendments(kept.record).iter().filter(|a| within(&a.at)) {
            let (day, time) = a.at.split_at_checked(10).unwrap_or((&a.at, ""));
            let shown = Day::parse_iso(day).map_or_else(|_| a.at.clone(), Day::words);
            let when = Cell::shown_as(super::words::whole(&shown), a.at.as_str()).under(time.trim());
            self.rows.push((a.at.clone(), row(when, "amended", changes(a), &a.reason, &a.who)));
        }
        if let Some(s) = kept.struck.filter(|s| self.span.holds(s.on)) {
            let changes = "struck out; kept to be read, counted no more".to_string();
            let when = Cell::day(Some(s.on));
            self.rows.push((format!("{} 24", s.on), row(when, "struck out", changes, &s.reason, "")));
        }
    }

    fn animal(&mut self, f: &AnimalFile) {
        let a = &f.animal;
        let (id, tag) = (a.id, a.tag());
        let at = |record| Link::Record(id, record);
        let record = RecordRef::Animal(id);
        self.take(record, None, || (format!("Facts of {}", a.title()), None, Link::Animal(id)));
        for l in &f.lambings {
            let r = RecordRef::Lambing(l.id);
            self.take(r, l.struck.as_ref(), || (format!("Lambing of {tag}"), Some(l.at.day), at(r)));
        }
        for j in &f.joinings {
            let r = RecordRef::Joining(j.id);
            let title = || (format!("Joining of {tag} with {}", self.flock.tag(j.ram)), Some(j.from), at(r));
            let made = title();
            self.take(r, j.struck.as_ref(), || made);
        }
        for w in &f.weighings {
            let r = RecordRef::Weighing(w.id);
            self.take(r, w.struck.as_ref(), || {
                (format!("Weighing of {tag}: {}", w.weight), Some(w.at.day), at(r))
            });
        }
        for t in &f.treatments {
            let r = RecordRef::Treatment(t.id);
            self.take(r, t.struck.as_ref(), || {
                (format!("Treatment of {tag}: {}", t.product), Some(t.at.day), at(r))
            });
        }
        for m in &f.pen_moves {
            let r = RecordRef::PenMove(m.id);
            let pen = m.pen.as_deref().unwrap_or("no pen");
            self.take(r, m.struck.as_ref(), || (format!("Pen of {tag}: {pen}"), Some(m.on), at(r)));
        }
        for m in &f.movements {
            let r = RecordRef::Movement(m.id);
            self.take(r, m.struck.as_ref(), || {
                (format!("Standing of {tag}: {}", m.to.words()), Some(m.on), at(r))
            });
        }
        for m in &f.remarks {
            let r = RecordRef::Remark(m.id);
            self.take(r, m.struck.as_ref(), || (format!("Note on {tag}: {}", m.text), Some(m.on), at(r)));
        }
        for t in &f.ticks {
            let r = RecordRef::Tick(t.id);
            self.take(r, t.struck.as_ref(), || (format!("Job of {tag}"), Some(t.at.day), at(r)));
        }
    }

    fn cupboard(&mut self) {
        let flock = self.flock;
        let c = flock.cupboard();
        for p in flock.products() {
            let r = RecordRef::Product(p.id);
            self.take(r, None, || (format!("Product {}", p.name), None, Link::Cupboard(r)));
        }
        for b in &c.batches {
            let r = RecordRef::Batch(b.id);
            let title = || format!("Batch {} of {}", b.number, product(flock, b.product));
            self.take(r, b.struck.as_ref(), || (title(), b.bought_on, Link::Cupboard(r)));
        }
        for m in &c.moves {
            let r = RecordRef::StockMove(m.id);
            let title = || format!("{}, {}", product(flock, m.product), m.change.word());
            self.take(r, m.struck.as_ref(), || (title(), Some(m.on), Link::Cupboard(r)));
        }
        for v in &c.vets {
            let r = RecordRef::Vet(v.id);
            self.take(r, None, || (format!("Vet {}", v.name), None, Link::Cupboard(r)));
        }
        for p in &c.prescriptions {
            let r = RecordRef::Prescription(p.id);
            self.take(r, p.struck.as_ref(), || {
                (format!("Prescription of {}", p.product), Some(p.on), Link::Cupboard(r))
            });
        }
        for d in &c.documents {
            let r = RecordRef::Document(d.id);
            self.take(r, d.struck.as_ref(), || (format!("Paper {}", d.name), Some(d.on), Link::Cupboard(r)));
        }
        for e in &c.egg_counts {
            let r = RecordRef::EggCount(e.id);
            let whose =
                e.animal.map_or_else(|| e.group.clone().unwrap_or_default(), |a| flock.tag(a).to_string());
            self.take(r, e.struck.as_ref(), || {
                (format!("Egg count of {whose}"), Some(e.on), Link::Cupboard(r))
            });
        }
    }
}

/// Every amendment and every striking-out, in order of time.
pub(super) fn trail(flock: &Flock, span: Span, today: Day) -> Register {
    let mut trail = Trail { flock, span, rows: Vec::new() };
    for f in flock.files() {
        trail.animal(f);
    }
    trail.cupboard();
    trail.rows.sort_by(|(a, r), (b, s)| a.cmp(b).then_with(|| r.cells[1].csv.cmp(&s.cells[1].csv)));
    let mut register = Register::new(RegisterKind::Amendments, span, today, &COLUMNS);
    register.rows = trail.rows.into_iter().map(|(_, row)| row).collect();
    register.about.push(
        "Read from the book's journal: the days are those of the change, not of the record. The old value of every \
         change is kept; what is struck out stays in its register, struck through."
            .into(),
    );
    register
}
