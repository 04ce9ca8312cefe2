//! What the tests of this folder share: a desk to bring tables to, and a flock told in lines.

use super::*;
use crate::book::Book;
use crate::entry;
use crate::flock::Holding;
use crate::terms::*;
use std::collections::BTreeMap;

pub(super) const TODAY: &str = "2026-11-25";

pub(super) fn day(text: &str) -> Day {
    Day::parse_iso(text).unwrap()
}

pub(super) struct Desk {
    pub(super) _dir: tempfile::TempDir,
    pub(super) book: Book,
}

impl Desk {
    pub(super) fn new() -> Self {
        let dir = tempfile::tempdir().unwrap();
        let holding = Holding { flock: "Test flock".into(), ..Holding::default() };
        let book = Book::create(&dir.path().join("test.hirsel"), holding).unwrap();
        Self { _dir: dir, book }
    }

    pub(super) fn flock(&self) -> std::sync::Arc<Flock> {
        self.book.flock()
    }

    pub(super) fn import(&mut self, kind: Kind, text: impl AsRef<[u8]>) -> Result<Reading, Vec<String>> {
        let reading = read(kind, "file.csv", text.as_ref(), &self.flock(), day(TODAY))
            .map_err(|e| e.to_string().lines().map(str::to_string).collect::<Vec<_>>())?;
        let copy = read(kind, "file.csv", text.as_ref(), &self.flock(), day(TODAY)).unwrap();
        if let Some(sure) = copy.sure("").unwrap() {
            self.book.write(sure).unwrap();
        }
        Ok(reading)
    }

    pub(super) fn took(&mut self, kind: Kind, text: &str) -> Vec<String> {
        let reading = self.import(kind, text).unwrap();
        reading.cautions.iter().map(ToString::to_string).collect()
    }

    pub(super) fn refused(&mut self, kind: Kind, text: impl AsRef<[u8]>) -> Vec<String> {
        let before = portrait(&self.flock());
        let lines = self.import(kind, text).unwrap_err();
        assert_eq!(portrait(&self.flock()), before, "nothing was written");
        lines
    }

    pub(super) fn has(&mut self, draft: entry::Check) -> bool {
        let Ok(checked) = draft else { return false };
        self.book.write(checked.despite("test").unwrap()).unwrap();
        true
    }
}

/// Everything the kinds carry, without ids, so that two flocks can be compared.
pub(super) fn portrait(flock: &Flock) -> Vec<String> {
    let who = |id: AnimalId| {
        let a = flock.animal(id).unwrap();
        let mut tags: Vec<_> = a.identities.iter().map(|i| format!("{}:{}", i.kind.word(), i.tag)).collect();
        tags.sort();
        format!("<{} {} {:?}>", tags.join(" "), a.born, a.name)
    };
    let keys = super::sessions::Keys::of(flock);
    let mut all: Vec<String> = flock
        .products()
        .iter()
        .map(|p| {
            let mut p = p.clone();
            p.id = ProductId::from_bytes([0; 16]);
            format!("{p:?}")
        })
        .collect();
    for f in flock.files() {
        let a = &f.animal;
        let mut marks: Vec<_> = a
            .identities
            .iter()
            .map(|i| format!("{:?} {} {:?} {:?} {:?}", i.kind, i.tag, i.from, i.to, i.ended))
            .collect();
        marks.sort();
        let sires: Vec<_> = a.sire.possible().iter().map(|s| who(*s)).collect();
        let rearing = match a.rearing {
            Rearing::Foster(e) => who(e),
            other => format!("{other:?}"),
        };
        let mut lines = vec![format!(
            "called {} marks {marks:?} {:?} {:?} {:?} {:?} dam {:?} sire {sires:?} genetic {:?} {rearing} {:?} {:?} {:?} {:?} {:?} {:?} {:?} {:?} {:?} {:?} {:?} {:?} {:?}",
            a.tag(),
            a.name,
            a.sex,
            a.breed,
            a.born,
            a.dam.map(who),
            a.genetic_dam.map(who),
            a.birth_type,
            a.rear_type,
            a.birth_weight,
            a.colour,
            a.marks,
            a.pen,
            a.note,
            a.meant_for,
            a.status,
            a.status_on,
            a.status_reason,
            a.prefix,
            a.section
        )];
        if let Some(b) = &f.birth {
            lines.push(format!(
                "birth of {} order {} {:?} {:?} {:?} {:?} {:?}",
                who(b.ewe),
                b.order,
                b.fate,
                b.ease,
                b.sucked,
                b.navel_dipped,
                b.colostrum
            ));
        }
        for l in f.lambings_standing() {
            let lambs: Vec<_> = l.lambs.iter().map(|l| who(*l)).collect();
            lines.push(format!(
                "lambing {:?} {:?} {:?} {:?} {:?} {lambs:?}",
                l.at,
                l.ram.map(who),
                l.ease,
                l.help,
                l.note
            ));
        }
        for j in f.joinings.iter().filter(|j| j.struck.is_none()) {
            let (when, group) = ((j.from, j.to), &j.group);
            lines.push(format!("joining {} {when:?} {:?} {group:?}", who(j.ram), j.method));
        }
        for w in f.weighings.iter().filter(|w| w.struck.is_none()) {
            let session = keys.name(w.session);
            lines.push(format!("weighing {:?} {:?} {:?} {session}", w.at, w.weight, w.note));
        }
        for t in f.treatments_standing() {
            let mut t = t.clone();
            (t.id, t.animal) = (TreatmentId::from_bytes([0; 16]), AnimalId::from_bytes([0; 16]));
            let prescription = t.more.prescription.take().and_then(|p| flock.cupboard().prescription(p));
            // Which doses belong together, whatever the course is called.
            let course = t.more.course.take().map(|c| {
                let doses = f.treatments_standing().filter(|o| o.more.course.is_some_and(|o| o.id == c.id));
                let mut doses: Vec<_> =
                    doses.map(|o| format!("{:?} {:?}", o.at, o.more.course.map(|o| o.nth))).collect();
                doses.sort();
                (c.nth, c.of, c.every_hours, doses)
            });
            lines.push(format!("{t:?} {:?} {course:?}", prescription.map(|p| said(flock, p))));
        }
        super::blood_tests::told(f, &who, &mut lines);
        weighed(f, &keys, &mut lines);
        let moves: Vec<_> = f.movements.iter().filter(|m| m.struck.is_none()).collect();
        for m in &moves {
            // Of a day only which is the last is told.
            let last = moves.iter().rfind(|o| o.on == m.on).is_some_and(|o| o.id == m.id);
            lines.push(format!(
                "moved {} {:?} {last} {:?} {:?} {:?}",
                m.on, m.to, m.other, m.reason, m.details
            ));
        }
        lines[1..].sort();
        all.push(format!("{}\n  {}", who(a.id), lines.join("\n  ")));
    }
    cupboard(flock, &mut all);
    daybook(flock, &mut all);
    feedroom(flock, &mut all);
    all.sort();
    all
}

/// Scores, decisions and groups of an animal.
pub(super) fn weighed(f: &crate::flock::AnimalFile, keys: &super::sessions::Keys, lines: &mut Vec<String>) {
    for s in f.scores.iter().filter(|s| s.struck.is_none()) {
        lines.push(format!("{:?} {} {} {:?}", s.at, s.score.words(), keys.name(s.session), s.note));
    }
    for d in f.decisions.iter().filter(|d| d.struck.is_none()) {
        lines.push(format!("decided {} {:?} {:?}", d.on, d.what, d.reason));
    }
    lines.extend(f.groups.iter().map(|g| format!("group {} {}", g.age_days, g.group)));
}

/// Sessions in their order, and money.
pub(super) fn daybook(flock: &Flock, all: &mut Vec<String>) {
    let book = flock.daybook();
    for (n, s) in book.sessions.iter().enumerate() {
        let bare = crate::flock::Session { id: SessionId::from_bytes([0; 16]), ..s.clone() };
        all.push(format!("session {n} {bare:?}"));
    }
    for m in book.money.iter().filter(|m| m.struck.is_none()) {
        all.push(format!("{:?}", crate::flock::Money { id: MoneyId::from_bytes([0; 16]), ..m.clone() }));
    }
}

/// The feed room, each list in its order.
pub(super) fn feedroom(flock: &Flock, all: &mut Vec<String>) {
    use crate::flock::{Creep, Feed, FeedMove, FeedSheet, Measure, PenCheck, Ration};
    let (room, none) = (flock.feedroom(), FeedId::from_bytes([0; 16]));
    let name = |id| room.name(id).to_string();
    for f in &room.feeds {
        let mut parts: Vec<_> = f.parts.iter().map(|p| (name(p.feed), p.share)).collect();
        parts.sort();
        let medicine = f.medicine.map(|m| {
            let product = flock.products().iter().find(|p| p.id == m.product).map(|p| p.name.clone());
            (product, m.per_kg)
        });
        let bare = Feed { id: none, parts: Vec::new(), medicine: None, ..f.clone() };
        all.push(format!("{bare:?} {parts:?} {medicine:?}"));
    }
    for (n, m) in room.moves.iter().filter(|m| m.struck.is_none()).enumerate() {
        let parts: Vec<_> = m.parts.iter().map(|(f, kg)| (name(*f), *kg)).collect();
        let bare =
            FeedMove { id: FeedMoveId::from_bytes([0; 16]), feed: none, parts: Vec::new(), ..m.clone() };
        all.push(format!("{n} {} {bare:?} {parts:?}", name(m.feed)));
    }
    for (n, s) in room.sheets.iter().filter(|s| s.struck.is_none()).enumerate() {
        let bare = FeedSheet { id: FeedSheetId::from_bytes([0; 16]), feed: none, ..s.clone() };
        all.push(format!("{n} {} {bare:?}", name(s.feed)));
    }
    let measure = |m: &Measure| {
        let bare = Measure { id: MeasureId::from_bytes([0; 16]), feed: none, ..m.clone() };
        format!("{} {bare:?}", name(m.feed))
    };
    let measures = room.measures.iter().filter(|m| m.struck.is_none()).enumerate();
    all.extend(measures.map(|(n, m)| format!("{n} {}", measure(m))));
    for c in room.creeps.iter().filter(|c| c.struck.is_none()) {
        let bare = Creep { id: CreepId::from_bytes([0; 16]), feed: None, ..c.clone() };
        all.push(format!("{:?} {bare:?}", c.feed.map(name)));
    }
    for (n, r) in room.rations.iter().filter(|r| r.struck.is_none()).enumerate() {
        let held = r.measure.and_then(|id| room.measure(id)).filter(|m| m.struck.is_none());
        let bare = Ration { id: RationId::from_bytes([0; 16]), feed: none, measure: None, ..r.clone() };
        all.push(format!("{n} {} {bare:?} {:?}", name(r.feed), held.map(measure)));
    }
    for (n, k) in room.checks.iter().filter(|k| k.struck.is_none()).enumerate() {
        all.push(format!("{n} {:?}", PenCheck { id: PenCheckId::from_bytes([0; 16]), ..k.clone() }));
    }
}

/// A prescription without ids.
pub(super) fn said(flock: &Flock, p: &crate::flock::Prescription) -> String {
    let mut p = p.clone();
    let vet = flock.cupboard().vet(p.vet).map(|v| v.name.clone());
    (p.id, p.vet) = (PrescriptionId::from_bytes([0; 16]), VetId::from_bytes([0; 16]));
    format!("{vet:?} {p:?}")
}

pub(super) fn cupboard(flock: &Flock, all: &mut Vec<String>) {
    let shelf = flock.cupboard();
    let product = |id| flock.products().iter().find(|p| p.id == id).map(|p| p.name.clone());
    let none = ProductId::from_bytes([0; 16]);
    for v in &shelf.vets {
        all.push(format!("{:?}", crate::flock::Vet { id: VetId::from_bytes([0; 16]), ..v.clone() }));
    }
    all.extend(shelf.prescriptions.iter().filter(|p| p.struck.is_none()).map(|p| said(flock, p)));
    for b in shelf.batches.iter().filter(|b| b.struck.is_none()) {
        let bare = crate::flock::Batch { id: BatchId::from_bytes([0; 16]), product: none, ..b.clone() };
        all.push(format!("{:?} {bare:?}", product(b.product)));
    }
    for m in shelf.moves.iter().filter(|m| m.struck.is_none()) {
        let bare =
            crate::flock::StockMove { id: StockMoveId::from_bytes([0; 16]), product: none, ..m.clone() };
        all.push(format!("{:?} {bare:?}", product(m.product)));
    }
    for e in shelf.egg_counts.iter().filter(|e| e.struck.is_none()) {
        let tag = e.animal.map(|a| flock.tag(a).to_string());
        let bare = crate::flock::EggCount { id: EggCountId::from_bytes([0; 16]), animal: None, ..e.clone() };
        all.push(format!("{tag:?} {bare:?}"));
    }
}

pub(super) fn exported(flock: &Flock) -> BTreeMap<&'static str, String> {
    Kind::ALL.into_iter().map(|k| (k.word(), export(k, flock))).collect()
}

pub(super) fn copied(flock: &Flock) -> Desk {
    let mut copy = Desk::new();
    for kind in Kind::ALL {
        let text = export(kind, flock);
        copy.import(kind, &text).unwrap_or_else(|e| panic!("{}: {e:#?}\n{text}", kind.word()));
    }
    copy
}

pub(super) const FLOCK: &str = "tag,sex,born,dam,sire,status
0412,ewe,2022-03-01,,,
R7,ram,2021-04-02,,OUT1|OUT2,
0413,ewe,~2020-03-01,0412X,,
0412X,ewe,2015,,,outside
OUT1,ram,2016,,,outside
OUT2,ram,2017,,,outside
";

pub(super) fn small() -> Desk {
    let mut desk = Desk::new();
    assert_eq!(desk.took(Kind::Animals, FLOCK), [""; 0]);
    desk
}
